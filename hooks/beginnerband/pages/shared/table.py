"""Tables that work on a phone: a caption, header cells with a scope, and a scroll of their own when they are wide."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field

from markupsafe import Markup, escape

from beginnerband.render.html import render

Cell = str | int | Markup
"""Text is escaped, markup of ours is not."""

Rows = list[tuple[Cell, ...]]
"""Plain rows, before they have headings above them."""

STACKED = "bb-stack"
"""Kind of a table that stands as a list of cards on a narrow screen, each cell with its column's name."""

BRIEF = f"{STACKED} bb-brief"
"""Kind of a list whose cards have two lines: what it is called, and what is to be known of it. Cells have no names."""

LONG = 24
"""Letters of a title that stand in one line of the smallest phone, beside a button."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row; its first cell is its header."""

    cells: tuple[Cell, ...]
    """As many as the table has columns."""
    group: str = ""
    """Heading above this row and those after it, up to the next heading."""
    players: str = field(default="", repr=False)
    """Ids of the only players it is for, with spaces between them; empty: everyone."""


def table(
    caption: str, head: Sequence[Cell], rows: Sequence[Row | tuple[Cell, ...]], note: str = "", kind: str = ""
) -> Markup:
    """An HTML table; ``note`` is a line below it, ``kind`` a further class."""
    marked = [row if isinstance(row, Row) else Row(row) for row in rows]
    key = hashlib.sha256(repr((caption, head, marked)).encode()).hexdigest()[:8]
    labels = [escape(cell).striptags() for cell in head] if STACKED in kind.split() else []
    return render(
        "shared/table.html",
        caption=caption,
        head=head,
        rows=marked,
        note=note,
        kind=kind,
        labels=labels,
        id=f"bb-t-{key}",
    )


def table_if_any(
    caption: str,
    head: Sequence[Cell],
    rows: Sequence[Row | tuple[Cell, ...]],
    none: str = "Nobody in this band so far.",
    kind: str = "",
) -> Markup:
    """An HTML table, or the line ``none`` where there are no rows."""
    return table(caption, head, rows, kind=kind) if rows else Markup("<p>{}</p>").format(none)


def link(text: str, href: str) -> Markup:
    """A link inside a cell."""
    return Markup('<a href="{}">{}</a>').format(href, text)


def titled(text: str, href: str) -> Markup:
    """A link by which a card is called; a long one is set smaller, so that it keeps to its line."""
    return Markup('<a href="{}"{}>{}</a>').format(href, Markup(' class="bb-long"' if len(text) > LONG else ""), text)


def stacked(*lines: Cell) -> Markup:
    """Several lines in one cell, empty ones left out."""
    return Markup("").join(Markup("<div>{}</div>").format(line) for line in lines if line)


def quiet(text: Cell) -> Markup:
    """Secondary text."""
    return Markup('<span class="bb-quiet">{}</span>').format(text)


def joined(parts: Sequence[Cell], by: str = ", ") -> Markup:
    """Cells one after another."""
    return Markup(str(escape(by))).join(escape(part) for part in parts)
