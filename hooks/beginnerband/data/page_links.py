"""Links and pictures on a page that people write: each leads to a page of the handbook, or to a file that is there."""

from __future__ import annotations

import html
import posixpath
import re
from collections.abc import Callable, Collection, Iterator
from pathlib import Path
from urllib.parse import unquote

from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.textfile import last_net, read_text
from beginnerband.data.written import without_code

_INLINE = re.compile(r"(?<!\])\]\(\s*<?([^\s<>()\"']+)>?[^()\n]*\)")  # whatever is shown, as a picture that is a link
_NAMED = re.compile(r"^ {0,3}\[[^\]\n]+\]:\s*<?([^\s<>]+)>?\s*(?:[\"'(][^\n]*)?$", re.M)
_ELEMENT = re.compile(r"<(?:a|img|source|video|audio|image|track)\b[^<>]*>", re.I)
_LEADS = re.compile(r"(?<![\w-])(href|src|srcset|poster)\s*=\s*(?:\"([^\"]*)\"|'([^']*)'|([^\s<>]+))", re.I)
_PARTED = re.compile(r"(\[[^\[\]\n]+\])[ \t]+(\([^\s()]+\.(?:md|html)(?:#[^\s()]*)?\))")
_ELSEWHERE = re.compile(r"[a-z][a-z0-9+.-]*:|//|www\.|#|$", re.I)
_PICTURES = {".png", ".jpg", ".jpeg", ".gif", ".svg", ".webp", ".avif", ".bmp", ".tif", ".tiff"}


MADE = ("band", "course", "instruments", "look-up", "pieces", "tunes")
"""Folders into which rooms put pages and pictures of their own."""


def check_links(root: Path, pages: Collection[str], files: Collection[str], problems: Problems) -> None:
    """Every link on a page in ``handbook/`` to a page or picture leads to one.

    ``pages`` are the addresses of all pages, as ``guide/breathing.md``; ``files`` those of other files that are made.
    """
    _check(root, pages, {*files}, problems, lambda address: False)


def check_links_to_written(root: Path, problems: Problems) -> None:
    """The same before anything is made, of links that can only lead to what people wrote or put there."""
    folder = root / "handbook"
    written = {path.relative_to(folder).as_posix() for path in folder.rglob("*.md")}
    own = {path.name for path in folder.iterdir() if path.is_dir()} - {*MADE} if folder.is_dir() else set[str]()
    _check(root, written, set(), problems, lambda address: "/" in address and address.split("/")[0] not in own)


def _check(
    root: Path, pages: Collection[str], files: set[str], problems: Problems, may_be_made: Callable[[str], bool]
) -> None:
    folder = root / "handbook"
    for path in sorted(folder.rglob("*.md")):
        text = read_text(path, Problems(root))
        here = path.relative_to(folder).parent.as_posix()
        with last_net(path, problems):
            for parted in _PARTED.finditer(without_code(text or "")):
                said = f"no space stands inside a link; write {parted[1]}{parted[2]}"
                problems.add(path, (text or "").count("\n", 0, parted.start()) + 1, said)
            for line, is_html, target in _targets(without_code(text or "")):
                address = posixpath.normpath(posixpath.join(here, target))
                if not may_be_made(address) and (said := _missing(here, target, is_html, pages, files, folder)):
                    problems.add(path, line, said)


def _targets(text: str) -> Iterator[tuple[int, bool, str]]:
    """Links and pictures inside the handbook: line from 1, whether it is written in HTML, and where it leads."""
    for place, is_html, written in written_links(text):
        target = html.unescape(written).strip().split("#")[0].split("?")[0]
        if not _ELSEWHERE.match(target):
            yield text.count("\n", 0, place) + 1, is_html, unquote(target)


def written_links(text: str) -> Iterator[tuple[int, bool, str]]:
    """Links and pictures as they are written: place in the text, whether in HTML, and where each leads."""
    for pattern in (_INLINE, _NAMED):
        yield from ((match.start(), False, match[1]) for match in pattern.finditer(text))
    for element in _ELEMENT.finditer(text):
        for match in _LEADS.finditer(element[0]):
            value = match[2] or match[3] or match[4] or ""
            several = value.split(",") if match[1].lower() == "srcset" else [value]
            size = r"\s+[\d.]+[wx]\s*$"
            yield from ((element.start() + match.start(), True, re.sub(size, "", one)) for one in several)


def _missing(
    here: str, target: str, is_html: bool, pages: Collection[str], files: Collection[str], folder: Path
) -> str:
    """What is wrong with a link on a page in the folder ``here``; empty where nothing is, or it cannot be told."""
    address = posixpath.normpath(posixpath.join(here, target))
    stem, ending = posixpath.splitext(address)
    named = posixpath.splitext(target.rstrip("/"))[0]
    if ending == ".html" and not is_html and f"{stem}.md" in pages:
        return f"a link to a page names its file; write {named}.md"
    if ending == ".md" and is_html and address in pages:
        return f"a link written in HTML names the built page; write {named}.html"
    if ending in (".md", ".html", "") and f"{stem}.md" not in pages and address not in files:
        known = (posixpath.relpath(page, here) for page in pages)
        meant = did_you_mean(f"{named}.md", known)
        return f"there is no page {target!r}{meant.replace('.md', '.html') if is_html else meant}"
    if ending == "" and not is_html:
        return f"a link to a page names its file; write {named}.md"
    if ending.lower() in _PICTURES and address not in files and not (folder / address).is_file():
        return f"there is no picture {target!r}; put its file beside the page, or mend its name"
    return ""
