"""Links to a heading, on a page that people write: each leads to one that is there."""

from __future__ import annotations

import html
import posixpath
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import yaml
from markdown import Markdown

from beginnerband.data.page_links import written_links
from beginnerband.data.problems import Problems, nearest
from beginnerband.data.textfile import last_net, read_text
from beginnerband.data.written import FRONT, without_code

_ID = re.compile(r"\sid\s*=\s*[\"']([^\"']+)[\"']")
_HEADING = re.compile(r"<h[1-6]\b[^<>]*\sid=\"([^\"]+)\"")
_PLACE = re.compile(r"data-bb=\"([0-9a-f]+)\"")

BY_SCRIPT = frozenset(("look-up.md", "pieces/concert.md", "tables/moving.md"))
"""Pages whose scripts read what stands behind the #, so that it need not be a heading."""

MOST = 6
"""Headings that are named where none is near the one that was asked for."""


def check_anchors(root: Path, made: Mapping[str, str], fragments: Mapping[str, str], problems: Problems) -> None:
    """Every ``#heading`` in a link on a page in ``handbook/`` is on the page it leads to.

    ``made`` has the Markdown of pages that are made or filled in, by address, ``fragments`` the HTML that stands for
    the placeholders in it.
    """
    folder = root / "handbook"

    @cache
    def there(address: str) -> tuple[tuple[str, ...], frozenset[str]]:
        path = folder / address
        text = made.get(address) or (read_text(path, Problems(root)) if path.is_file() else None) or ""
        return _anchors(_html(text, root, fragments))

    for path in sorted(folder.rglob("*.md")):
        here = path.relative_to(folder).as_posix()
        with last_net(path, problems):
            for line, is_html, target, anchor in _aimed(without_code(read_text(path, Problems(root)) or "")):
                address = posixpath.normpath(posixpath.join(posixpath.dirname(here), target)) if target else here
                page = f"{posixpath.splitext(address)[0]}.md" if is_html and address.endswith(".html") else address
                if not page.endswith(".md") or (page not in made and not (folder / page).is_file()):
                    continue  # which is no page, or is told already
                headings, every = there(page)
                if anchor not in every and page not in BY_SCRIPT and not (is_html and anchor == "top"):
                    problems.add(path, line, _said(target, anchor, headings, every))


def _said(target: str, anchor: str, headings: Sequence[str], every: Iterable[str]) -> str:
    """What is wrong with a link to a heading that is not there."""
    where = f"{target!r} has no heading" if target else "this page has no heading"
    if near := nearest(anchor, headings) or nearest(anchor, every):
        return f"{where} #{anchor}; did you mean #{near}?"
    some = ", ".join(f"#{each}" for each in headings[:MOST])
    return f"{where} #{anchor}; {f'it has {some}' if some else 'leave out what stands behind the page'}"


def _aimed(text: str) -> Iterator[tuple[int, bool, str, str]]:
    """Links with a #: line from 1, whether it is written in HTML, the page (empty: this one), and what is asked for."""
    for place, is_html, written in written_links(text):
        target, _, anchor = html.unescape(written).strip().partition("#")
        if anchor and not re.match(r"[a-z][a-z0-9+.-]*:|//|www\.", target, re.I):
            yield text.count("\n", 0, place) + 1, is_html, unquote(target.partition("?")[0]), unquote(anchor)


def _html(text: str, root: Path, fragments: Mapping[str, str]) -> str:
    """A page's HTML, as the site engine will make it, as far as headings and other marks go."""
    converted: str = _converter(root).reset().convert(FRONT.sub("", text))
    return converted + "".join(fragments.get(key, "") for key in _PLACE.findall(converted))


def _anchors(page: str) -> tuple[tuple[str, ...], frozenset[str]]:
    """The headings of a page in order, and everything that a link may lead to."""
    return tuple(_HEADING.findall(page)), frozenset(_ID.findall(page))


@cache
def _converter(root: Path) -> Any:
    """Markdown with the extensions that the site engine is told of."""
    path = root / "mkdocs.yml"
    told = yaml.safe_load(path.read_text(encoding="utf-8"))["markdown_extensions"] if path.is_file() else []
    settings = {name: one or {} for each in told if isinstance(each, dict) for name, one in each.items()}
    names = [each for each in told if isinstance(each, str)]
    return Markdown(extensions=[*dict.fromkeys(["toc", "tables", "fenced_code", *names, *settings])],
                    extension_configs=settings)  # fmt: skip
