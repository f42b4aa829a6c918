"""The fonts paper is set in: those that are shipped, and those a leader puts into ``content/fonts``.

Fira Sans has Latin with all its marks, Greek and Cyrillic; five signs of notes come from the engraving font. A sign
that no font has would end the printing, or stand there as a box, so every text of the content is looked through while
it is loaded, and what is lacking is a problem with its line.
"""

from __future__ import annotations

import html
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from importlib import resources
from pathlib import Path

import yaml

from beginnerband import audience
from beginnerband.data.abc_fields import plain_text
from beginnerband.data.problems import Problems
from beginnerband.data.textfile import is_leftover, last_net, read_text
from beginnerband.data.yamlfile import QUICK

PACKAGE = "fontpkg-fira-sans"
"""Where Fira Sans comes from."""

SIGNS = {"♭": "flat", "♮": "natural", "♯": "sharp", "𝄫": "double-flat", "𝄪": "double-sharp"}
"""Signs of notes that Fira Sans lacks, with our names for their outlines."""

FOLDER = "fonts"
"""Where a leader puts font files, in ``content/``."""

_KINDS = (".ttf", ".otf", ".ttc", ".otc")
_MUSIC = (".abc", ".musicxml", ".xml")
_ESCAPED = re.compile(r"\\[uUxNLP_e]|&#|&[A-Za-z]")
"""What may stand for a sign that is not in the text itself."""


@dataclass(frozen=True, slots=True)
class FontFile:
    """A font a leader added."""

    path: Path
    """The file."""
    characters: frozenset[str] = field(repr=False)
    """What it has."""


def shipped() -> Path:
    """The files of the text font."""
    return Path(str(resources.files("fontpkg_fira_sans") / "files"))


@lru_cache(maxsize=1)
def known() -> frozenset[str]:
    """Every character that the shipped fonts have."""
    return _characters(shipped() / "FiraSans-Regular.ttf") | SIGNS.keys()


def printable(fonts: Iterable[FontFile]) -> frozenset[str]:
    """Every character that the shipped fonts and ``fonts`` have."""
    return known().union(*(font.characters for font in fonts))


def load_fonts(root: Path, problems: Problems) -> tuple[FontFile, ...]:
    """The fonts in ``content/fonts``, by name; none where there is no such folder."""
    folder = root / "content" / FOLDER
    found = []
    for path in sorted(folder.iterdir()) if folder.is_dir() else ():
        if is_leftover(path) or path.suffix.lower() in (".txt", ".md"):  # a font's licence is kept beside it
            continue
        if path.suffix.lower() not in _KINDS or not path.is_file():
            problems.add(path, 0, "this is no font that can be printed; put a file ending in .ttf or .otf here")
            continue
        try:
            found.append(FontFile(path, _characters(path)))
        except Exception as error:  # the library raises many kinds on damaged files
            problems.add(path, 0, f"this font cannot be read ({' '.join(str(error).split())[:80]}); get the file anew")
    return tuple(found)


def _characters(path: Path) -> frozenset[str]:
    from fontTools.ttLib import TTFont

    with TTFont(path, lazy=True, fontNumber=0) as font:
        if not all(font["name"].getDebugName(number) for number in (1, 6)):
            raise ValueError("it has no name")  # by which print would find it
        return frozenset(map(chr, font.getBestCmap() or ()))


def check_signs(root: Path, fonts: Sequence[FontFile], problems: Problems) -> None:
    """Every sign in a text of ``content/`` must be in a font that paper has.

    Names in the leader's own list of people are left out: there a sign that is lacking is printed as a question mark.
    """
    have = printable(fonts) | set("\n\t")
    content = root / "content"
    people = content / audience.OWN_CONTENT
    for path in sorted(content.rglob("*")):
        if people not in path.parents and not is_leftover(path) and path.is_file():
            with last_net(path, problems):
                check_file(path, have, problems)


def check_file(path: Path, have: frozenset[str], problems: Problems) -> None:
    """Every sign in the texts of one file must be in ``have``, and be one that can be printed where it stands."""
    kind = path.suffix.lower()
    text = read_text(path, Problems(path.parent)) if kind in (".yml", ".yaml", *_MUSIC) else None
    if text is None or not (set(text) - have or _ESCAPED.search(text) or _joined(text)):
        return  # where it cannot be read, its loader says why
    said: set[str] = set()
    told = {each.line for each in problems if problems.root / each.file == path}
    for line, words in _texts(text, kind):
        if line in told:
            continue  # whatever else is wrong there comes first
        if lacking := [sign for sign in dict.fromkeys(words) if sign not in have and sign not in said]:
            said.update(lacking)
            problems.add(path, line, lacking_message(lacking))
        elif kind in _MUSIC and (joined := _joined(words)) and joined not in said:
            said.add(joined)
            problems.add(path, line, f"{joined!r} cannot be printed under music; write it without its added mark")


def lacking_message(signs: Sequence[str]) -> str:
    """That no font has ``signs``, and what to do."""
    shown = " ".join(
        f"{sign} (U+{ord(sign):04X})" if sign.isprintable() else f"U+{ord(sign):04X}" for sign in signs[:5]
    )
    return (
        f"the fonts for paper lack {shown}; leave {'it' if len(signs) == 1 else 'them'} out, or put a font file that "
        f"has {'it' if len(signs) == 1 else 'them'} (.ttf or .otf) into content/{FOLDER}/"
    )


def _joined(text: str) -> str:
    """A letter with a mark that Unicode has no single sign for; the print engine loses such marks in pictures."""
    marks = {sign for sign in set(text) if unicodedata.combining(sign) or sign in "\u200c\u200d\ufe0e\ufe0f"}
    place = min(map(text.index, marks), default=None)
    return "" if place is None else text[max(0, place - 1) : place + 1]


def _texts(text: str, kind: str) -> Iterator[tuple[int, str]]:
    """Lines (from 1) and texts of a file, without comments; in YAML each value."""
    if kind in (".yml", ".yaml"):
        yield from _values(text)
        return
    if kind != ".abc":
        text = re.sub(r"<!--.*?-->", lambda comment: "\n" * comment[0].count("\n"), text, flags=re.S)
    for number, line in enumerate(text.split("\n"), 1):
        words = plain_text(re.sub(r"(?<!\\)%.*", "", line)) if kind == ".abc" else html.unescape(line)
        yield number, unicodedata.normalize("NFC", words)


def _values(text: str) -> Iterator[tuple[int, str]]:
    try:
        node = yaml.compose(text, QUICK)
    except (yaml.YAMLError, RecursionError):
        return  # its loader says so
    waiting = [node] if node else []
    while waiting:
        node = waiting.pop(0)
        if isinstance(node, yaml.ScalarNode):
            line = node.start_mark.line + 1
            if node.style in ("|", ">"):
                yield from ((line + number, part) for number, part in enumerate(node.value.split("\n"), 1))
            else:
                yield line, unicodedata.normalize("NFC", node.value)
        elif isinstance(node, yaml.MappingNode):
            waiting[:0] = [each for pair in node.value for each in pair]
        elif isinstance(node, yaml.SequenceNode):
            waiting[:0] = node.value
