"""What is wider than a phone's screen on a page, and which kinds of pages may have such a part, with the reason."""

from __future__ import annotations

import re

from playwright.sync_api import Page

MUST: dict[str, str] = {
    "look-up.html": "the strip of notes to pick from is as long as the instrument's range; it opens at the note",
    "take-away/pocket.html": "the same strip of notes to pick from, in the page that is sent by message",
    "look-up/*": "the plain tables for want of scripts compare every note with every player; the first column stays",
    "tables/ranges.html": "the chart sets every instrument's range on one keyboard, so that they can be compared",
    "course/progress.html": "the charts have a column a lesson, and the table one a player; the first column stays",
    "tables/blocks.html": "lines of code to copy, which must not be broken",
    "course/write-your-own.html": "lines of code to copy, which must not be broken",
    "tunes/your-own-tune.html": "lines of code to copy, which must not be broken",
}
"""Pages, or kinds of them, that may scroll sideways inside one part, and why."""

_WIDE = """() => {
  const wide = [];
  const root = document.scrollingElement;
  if (root.scrollWidth > root.clientWidth + 1) wide.push(["the page itself", root.scrollWidth - root.clientWidth]);
  for (const part of document.querySelectorAll("main *, body > *, article *")) {
    if (part.scrollWidth <= part.clientWidth + 1 || !part.clientWidth) continue;
    const style = getComputedStyle(part);
    if (!/auto|scroll/.test(style.overflowX) || style.visibility === "hidden" || !part.checkVisibility()) continue;
    const name = part.id || (part.className.baseVal ?? part.className).toString().split(" ")[0] || part.tagName;
    const table = part.querySelector(":scope > table");
    wide.push([table ? `${name} of ${table.className || "table"}` : name, part.scrollWidth - part.clientWidth]);
  }
  return wide;
}"""


def wide_parts(page: Page) -> list[tuple[str, int]]:
    """Every part of the open page that scrolls sideways: its name, and by how many pixels it is too wide."""
    return [(str(name), int(over)) for name, over in page.evaluate(_WIDE)]


def kind_of(name: str) -> str:
    """What kind of page it is: its room, with lessons, tunes and the like as one."""
    return re.sub(
        r"(^|/)lesson-\d+",
        r"\1lesson-*",
        re.sub(r"^(tunes|pieces|pieces/rehearse|instruments|look-up)/[^/]+$", r"\1/*", name),
    )


def may_be_wide(name: str) -> bool:
    """Whether a page is one of those with a reason."""
    return name in MUST or kind_of(name) in MUST
