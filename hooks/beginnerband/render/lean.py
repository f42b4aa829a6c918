"""Leaves out of each finished page the rooms' style sheets it has no use for, so that a page on a phone is small."""

from __future__ import annotations

import re
from pathlib import Path

ROOM_SHEETS = ("guide.css", "pieces.css", "tables.css", "tunes.css")
"""Style sheets whose every rule is about the classes of one room, whichever page they stand on."""

_CLASSES = re.compile(r"\.(bb-[\w-]+)")


def apply(site: Path) -> None:
    """Take the links to sheets that do nothing out of every page of ``site``."""
    sheets = {}
    for name in ROOM_SHEETS:
        path = site / "assets" / name
        if path.is_file():
            sheets[name] = classes_of(path.read_text(encoding="utf-8"))
    for page in sorted(site.rglob("*.html")):
        html = page.read_text(encoding="utf-8")
        lean = without_unused(html, sheets)
        if lean != html:
            page.write_text(lean, encoding="utf-8", newline="\n")


def classes_of(sheet: str) -> re.Pattern[str]:
    """A pattern that finds any class the style ``sheet`` speaks of in a page's markup."""
    names = "|".join(sorted(set(_CLASSES.findall(sheet)), key=len, reverse=True)) or r"(?!)"
    return re.compile(rf'\bclass="(?:[^"]*\s)?(?:{names})[\s"]')


def without_unused(html: str, sheets: dict[str, re.Pattern[str]]) -> str:
    """``html`` without the links to those ``sheets`` whose classes it does not have."""
    for name, used in sheets.items():
        link = re.search(rf'\s*<link rel="stylesheet" href="[^"]*assets/{re.escape(name)}">', html)
        if link and not used.search(html):
            html = html[: link.start()] + html[link.end() :]
    return html
