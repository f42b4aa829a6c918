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


class Lean:
    """Makes the pages of a site lean, one after the other, and then the theme's sheets."""

    def __init__(self, site: Path) -> None:
        self._site = site
        own = [path.read_text(encoding="utf-8") for path in _files(site, OWN_FILES)]
        theme = [path.read_text(encoding="utf-8") for path in _files(site, THEME_SCRIPTS)]
        self._others = [*own, *theme]
        self._sheets = {
            name: classes_of(path.read_text(encoding="utf-8"))
            for name in ROOM_SHEETS
            if (path := site / "assets" / name).is_file()
        }
        self._classes: set[str] = set().union(*map(prune.words_of, own), *map(prune.given_by, theme))
        self._attributes: set[tuple[str, str]] = set()

    def page(self, html: str) -> str:
        """A page made lean; what it has is noted."""
        here, values = prune.in_markup(html)
        self._classes |= here
        self._attributes |= values
        return with_sheets_in_head(without_unused(html, here, self._sheets))

    def prune_theme(self) -> None:
        """Leave out of the theme's sheets what no page has, when all have been seen."""
        names = prune.UsedNames(frozenset(self._classes), frozenset(self._attributes))
        paths = _files(self._site, THEME_SHEETS)
        small = [prune.without_unmatched(path.read_text(encoding="utf-8"), names) for path in paths]
        for path, text in zip(paths, prune.without_unread(small, self._others), strict=True):
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
