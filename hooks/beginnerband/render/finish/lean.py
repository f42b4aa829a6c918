"""Leaves out of the finished site the styles it has no use for, so that a page on a phone is small and stands quickly.

Each page loses the links to those of the rooms' sheets whose classes it does not have, and has the others in its head;
the theme's sheets, which every page needs, lose the rules that match nothing on any page (``prune.py``).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Set
from pathlib import Path

from beginnerband.render.finish import prune

ROOM_SHEETS = ("band.css", "guide.css", "pieces.css", "tables.css", "tunes.css")
"""Style sheets whose every rule is about the classes of one room, whichever page they stand on."""

THEME_SHEETS = "assets/stylesheets/*.css"
"""Where the theme's sheets are, from the site's root."""
THEME_SCRIPTS = "assets/javascripts/*.js"
"""Where its scripts are that change pages."""
OWN_FILES = "assets/*"
"""Where the handbook's own sheets and scripts are."""

_LINK = re.compile(r'<link rel="stylesheet" href="[^"]+">')
_CLASSES = re.compile(r"\.(bb-[\w-]+)")


def apply(site: Path) -> None:
    """Make every page of ``site``, and the theme's sheets, lean."""
    own = [path.read_text(encoding="utf-8") for path in _files(site, OWN_FILES)]
    theme = [path.read_text(encoding="utf-8") for path in _files(site, THEME_SCRIPTS)]
    sheets = {
        name: classes_of(path.read_text(encoding="utf-8"))
        for name in ROOM_SHEETS
        if (path := site / "assets" / name).is_file()
    }
    classes: set[str] = set().union(*map(prune.words_of, own), *map(prune.given_by, theme))
    attributes: set[tuple[str, str]] = set()
    for page in sorted(site.rglob("*.html")):
        html = page.read_text(encoding="utf-8")
        here, values = prune.in_markup(html)
        classes |= here
        attributes |= values
        lean = with_sheets_in_head(without_unused(html, here, sheets))
        if lean != html:
            page.write_text(lean, encoding="utf-8", newline="\n")
    _prune_theme(_files(site, THEME_SHEETS), prune.UsedNames(frozenset(classes), frozenset(attributes)), [*own, *theme])


def _prune_theme(paths: list[Path], names: prune.UsedNames, others: list[str]) -> None:
    small = [prune.without_unmatched(path.read_text(encoding="utf-8"), names) for path in paths]
    for path, text in zip(paths, prune.without_unread(small, others), strict=True):
        path.write_text(text, encoding="utf-8", newline="\n")


def _files(site: Path, pattern: str) -> list[Path]:
    return sorted(path for path in site.glob(pattern) if path.suffix in (".css", ".js"))


def classes_of(sheet: str) -> frozenset[str]:
    """The handbook's own classes that the style ``sheet`` speaks of."""
    return frozenset(_CLASSES.findall(sheet))


def without_unused(html: str, classes: Set[str], sheets: Mapping[str, Set[str]]) -> str:
    """``html``, whose ``classes`` are given, without the links to those ``sheets`` none of whose classes it has."""
    for name, used in sheets.items():
        if not used.isdisjoint(classes):
            continue
        link = re.search(rf'<link rel="stylesheet" href="[^"]*assets/{re.escape(name)}">', html)
        if link:
            html = html[: link.start()].rstrip() + html[link.end() :]
    return html


def with_sheets_in_head(html: str) -> str:
    """``html`` with the style sheets that its body names moved into its head, each once.

    A sheet that comes late has the browser style all again that it has shown already.
    """
    head, end, body = html.partition("</head>")
    links = dict.fromkeys(link for link in _LINK.findall(body) if link not in head)
    return f"{head}{''.join(links)}{end}{_LINK.sub('', body)}" if end else html
