"""What a page of the handbook that people write may hold: its front matter, and nothing that acts by itself.

Pages are copied from mails and web sites. A link that runs a script, an element that does something, a picture on
another host (which tells that host who looks, and is missing without a signal): each is refused on its line. The policy
of the finished pages (``render/finish/policy.py``) would stop most of it, silently and on the reader's phone.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Annotated

from pydantic import Field

from beginnerband.data.problems import Problems
from beginnerband.data.textfile import last_net, read_text, unseen
from beginnerband.data.yamlfile import Strict, parsed, validate


class PageFront(Strict):
    """The lines between ``---`` at the top of a page."""

    title: Annotated[str, Field(min_length=1, max_length=60)] = "Page"
    """Title, for the tab, the navigation and the search; left out, the first heading."""
    stages: list[str] = Field(default_factory=list)
    """Stages of the course whose lessons need the page; of the guide."""
    summary: Annotated[str, Field(max_length=120)] = ""
    """One line about it; of the guide."""
    hide: list[str] = Field(default_factory=list)
    """Parts of the frame that the page does without: ``navigation``, ``toc``."""
    search: dict[str, bool] = Field(default_factory=dict)
    """``exclude: true`` keeps it out of the search."""


FRONT = re.compile(r"\A---\n(.*?)\n---\n", re.S)
"""What stands before a page, and says of it what its text does not."""

_CODE = re.compile(r"^\s*(```+|~~~+).*?^\s*\1[`~]*\s*$|(`+)(?!`).*?(?<!`)\2(?!`)", re.S | re.M)
_ENTITY = re.compile(r"&#?\w+;")
_SCRIPT = re.compile(r"(?:javascript|vbscript|data):", re.I)
_BEFORE_SCHEME = re.compile(r"[(\"'=<:\[]$")
_HOST = r"[\"'<]?\s*(?:https?:)?//"
_ACTS = (
    (
        re.compile(r"<\s*/?\s*(script|iframe|object|embed|form|base|meta|link|style|template|frame|applet)\b", re.I),
        "an element <{0}> may not stand on a page; leave it out",
    ),
    (
        re.compile(r"\]\(\s*<?www\.", re.I),
        "a link that begins with www. leads nowhere; write https:// before it",
    ),
    (
        re.compile(
            r"(?:\]\(\s*<?|<|\b(?:href|src)\s*=\s*[\"']?|^ {0,3}\[[^\]\n]+\]:\s*<?)(?:file:|[a-z]:[/\\])", re.I | re.M
        ),
        "a link to a file of one computer leads nowhere on others; put the file into handbook/ and name that",
    ),
    (
        re.compile(r"<[a-z][^<>]*?\s(on[a-z]+)\s*=|\{:?[^{}\n]*?\b(on[a-z]+)\s*=[^{}\n]*\}", re.I),
        "a page may not do something by itself ({0}=…); leave it out",
    ),
    (
        re.compile(
            rf"!\[[^\]\n]*\]\(\s*({_HOST})|<(?:img|source|video|audio|image|track)\b[^<>]*?\b(?:src|srcset|href|poster)"
            rf"\s*=\s*({_HOST})|\{{:?[^{{}}\n]*\bsrc=({_HOST})|\burl\(\s*({_HOST})",
            re.I,
        ),
        "a picture on another host is missing without a signal; put its file into handbook/ and name that",
    ),
)
_IMAGE_BY_NAME = re.compile(r"!\[([^\]\n]*)\](?:\[([^\]\n]*)\])?(?!\()")


def check_written(root: Path, problems: Problems) -> None:
    """Every page in ``handbook/`` is what people may write; see the head of this module."""
    for path in sorted((root / "handbook").rglob("*.md")):
        check_page(path, problems)


def check_page(path: Path, problems: Problems) -> None:
    """:func:`check_written` for one page."""
    text = read_text(path, Problems(path.parent))
    if text is None:
        return  # who reads it for its words says why
    front = FRONT.match(text)
    if front and path.parent.name != "guide":  # the guide has a front matter of its own, which is read with it
        located = parsed(front[1], path, problems, above=1)
        if located is not None:
            validate(PageFront, located, problems)
    with last_net(path, problems):
        for line, message in _acting(text):
            problems.add(path, line, message)


def without_code(text: str) -> str:
    """A page's text with blanks in place of what is shown as it is written; lines stay where they are."""
    return _CODE.sub(lambda code: re.sub(r"[^\n]", " ", code[0]), text)


@lru_cache(maxsize=512)
def _acting(text: str) -> tuple[tuple[int, str], ...]:
    """:func:`acting`, in order; remembered, since while serving most pages are as they were."""
    return tuple(sorted(set(acting(text))))


def acting(text: str) -> Iterator[tuple[int, str]]:
    """What on a page would act by itself or fetch from another host, as (line from 1, message); code is left out."""
    shown = without_code(text)
    for pattern, message in _ACTS:
        for match in pattern.finditer(shown):
            what = next((group for group in match.groups() if group), "")
            yield shown.count("\n", 0, match.start()) + 1, message.format(what.lower())
    yield from _scripts(shown)
    for entity in _ENTITY.finditer(shown):
        if hidden := unseen(html.unescape(entity[0])):
            yield shown.count("\n", 0, entity.start()) + 1, f"{entity[0]} is {hidden[1]}; leave it out"
    for match in _IMAGE_BY_NAME.finditer(shown):
        name = re.escape(match[2] or match[1])
        if re.search(rf"^ {{0,3}}\[{name}\]:\s*({_HOST})", shown, re.I | re.M):
            yield shown.count("\n", 0, match.start()) + 1, _ACTS[-1][1]


def _scripts(text: str) -> Iterator[tuple[int, str]]:
    """Addresses that run a script. Browsers pass over white space in them and read entities, and so does this."""
    if not _SCRIPT.search(_seen(_ENTITY.sub(lambda entity: html.unescape(entity[0]), text))):
        return
    kept: list[str] = []
    lines: list[int] = []
    line = 1
    for piece in re.split(rf"({_ENTITY.pattern}|\s)", text):
        signs = _seen(html.unescape(piece) if piece.startswith("&") else piece)
        kept += signs
        lines += [line] * len(signs)
        line += piece.count("\n")
    plain = "".join(kept)
    for match in _SCRIPT.finditer(plain):
        if _BEFORE_SCHEME.search(plain[: match.start()]):
            said = "a link that begins with {} runs a script; lead it to a page or an address that begins with https://"
            yield lines[match.start()], said.format(match[0].lower())


def _seen(text: str) -> str:
    """``text`` without white space, and without what cannot be seen."""
    return "".join(filter(str.isprintable, text)).replace(" ", "")  # of what is white only a space is printable
