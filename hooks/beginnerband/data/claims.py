"""Sentences that are true for some instruments only, and the words that give them away.

"Horn" means two instruments here, and a rule that is right for a cornet may be wrong for an F horn. So a text that says
"horn" must say which, and a passage of the guide that speaks of a hand, a lip, fingers in common, a shank or a slide
position must carry ``[[checked …]]`` or a table computed from the instruments: then the build knows whether it is true.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from beginnerband.data.problems import Problems
from beginnerband.data.textfile import last_net, read_text, yaml_files

SENTENCES = ("glossary", "guide", "pictures", "supplies", "troubles")
"""Data files in ``content/`` that hold sentences."""

_NO_SENTENCE = re.compile(r"^\s*(?:#|(?:american|british|plural|name|also|tune|for|instrument)\s*:).*$", re.M)
"""Lines of a data file that hold a name or an id, or a comment."""

_HORN = re.compile(
    r"(?<!F )(?<!F\N{NO-BREAK SPACE})(?<!enor )(?<!lto )(?<!\(alto\) )(?<!aritone )(?<![Pp]ost )(?<!E♭ )"
    r"(?<![\w-])[Hh]orns?(?![\w-])"
)
_BAND_WORD = re.compile(r"(?<![\w-])(?:tenor|alto) horns?(?![\w-])")

WHICH_HORN = "'{}' is two instruments here; say F horn, or [[word tenor-horn]]"

UNCHECKED = "this says {}, which differs by instrument; put [[checked …]] beside it, or a computed table"

_DOUBTFUL: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("a hand", re.compile(r"\b(?:left|right)(?: |-)(?:hand|thumb|elbow|arm)(?:ed)?\b", re.I)),
    ("a hand", re.compile(r"\bthe other (?:hand )?(?:plays|carries|holds|is the)\b", re.I)),
    ("where a bell points", re.compile(r"\bbell (?:points|goes|looks)\b|\bhorn's points\b", re.I)),
    (
        "fingers in common",
        re.compile(
            r"\bsame (?:fingers|fingerings?)\b|\bfingers? (?:already|stay)\b|\bkeeps? the (?:same )?finger", re.I
        ),
    ),
    ("where the rim sits", re.compile(r"\b(?:top|upper|each) lip\b", re.I)),
    ("a shank", re.compile(r"\bshanks?\b", re.I)),
    ("a slide position", re.compile(r"\b(?:second|third|fourth|fifth|sixth|seventh) positions?\b", re.I)),
    ("how two notes sound together", re.compile(r"\bclash(?:es)?\b", re.I)),
)
"""What a passage speaks of, and the words that show it."""

_COMPUTED = re.compile(r"\[\[(?:checked|held|hands|same-hands|meetings|slide-asks|shanks|rims)\b")
"""Blocks whose words come from the instruments, or that check the words beside them."""

_BLOCK = re.compile(r"\[\[.*?\]\]")
_LINK = re.compile(r"\]\([^)]*\)")


def vague_horns(text: str) -> Iterator[tuple[int, str]]:
    """Each "horn" in ``text`` that does not say which, as (line from 1, message)."""
    for number, line in enumerate(text.split("\n"), 1):
        if "orn" not in line:
            continue
        for match in _HORN.finditer(_LINK.sub("]", _BLOCK.sub("", line))):
            yield number, WHICH_HORN.format(match[0])


def unspoken_words(text: str) -> Iterator[tuple[int, str]]:
    """Each name that this band may call otherwise, written out where a block can say it, as (line from 1, message)."""
    for number, line in enumerate(text.split("\n"), 1):
        if "horn" not in line:
            continue
        for match in _BAND_WORD.finditer(_LINK.sub("]", _BLOCK.sub("", line))):
            yield number, f"{match[0]!r} is not every band's word; write [[word tenor-horn]]"


@lru_cache(maxsize=512)
def _vague_horns(text: str) -> tuple[tuple[int, str], ...]:
    """:func:`vague_horns`; remembered, since while serving most texts are as they were."""
    return tuple(vague_horns(text))


@lru_cache(maxsize=512)
def _misnamed(text: str) -> tuple[tuple[int, str], ...]:
    """What is wrong with names on a page."""
    return (*vague_horns(text), *unspoken_words(text))


@lru_cache(maxsize=8192)
def unchecked(passage: str) -> str:
    """What a passage says of instruments that nothing checks, in a few words; empty where there is nothing."""
    if _COMPUTED.search(passage):
        return ""
    said = _LINK.sub("]", _BLOCK.sub("", passage))
    return next((what for what, pattern in _DOUBTFUL if pattern.search(said)), "")


def _unchecked_in(path: Path, text: str) -> Iterator[tuple[int, str]]:
    """Unchecked paragraphs of a page outside the guide, which looks at its own passage by passage."""
    line = 1
    for paragraph in text.split("\n\n") if path.parent.name != "guide" else ():
        if what := unchecked(paragraph):
            yield line, UNCHECKED.format(what)
        line += paragraph.count("\n") + 2


def check_page(path: Path, problems: Problems) -> None:
    """:func:`check_words` for one page."""
    text = read_text(path, problems)
    if text is None:
        return
    with last_net(path, problems):
        for line, message in sorted([*_misnamed(text), *_unchecked_in(path, text)]):
            problems.add(path, line, message)


def check_words(root: Path, problems: Problems) -> None:
    """Every "horn" on a page people write, and in the data, must say which; every page checks what it says."""
    for path in sorted((root / "handbook").rglob("*.md")):
        check_page(path, problems)
    content = root / "content"
    for path in (*(content / f"{name}.yml" for name in SENTENCES), *yaml_files(content / "course")):
        if path.is_file():
            text = _NO_SENTENCE.sub("", read_text(path, Problems(root)) or "")  # its loader says what is wrong
            with last_net(path, problems):
                for line, message in _vague_horns(text):
                    problems.add(path, line, message)
