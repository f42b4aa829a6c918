"""The rooms of the handbook, a folder each: what each contributes, in which order, and which blocks it offers to pages.

A new room is named here and nowhere else. Rooms may use those below them (``pyproject.toml`` has the order), what is in
``shared``, and never this file.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass

from beginnerband.data.book import Book
from beginnerband.pages import assets
from beginnerband.pages.band import room as band
from beginnerband.pages.band import set_up
from beginnerband.pages.blocks import Block
from beginnerband.pages.carry import pocket
from beginnerband.pages.carry import room as carry
from beginnerband.pages.course import printing as course_printing
from beginnerband.pages.course import room as course
from beginnerband.pages.guide import (
    band_tables,
    claims,
    hearing_tables,
    holding,
    note_tables,
    search_entries,
    supplies,
    troubles,
)
from beginnerband.pages.guide import room as guide
from beginnerband.pages.home import room as home
from beginnerband.pages.instruments import room as instruments
from beginnerband.pages.look_up import room as look_up
from beginnerband.pages.pieces import programme
from beginnerband.pages.pieces import room as pieces
from beginnerband.pages.tables import data_files, transposing
from beginnerband.pages.tables import room as tables
from beginnerband.pages.tunes import room as tunes
from beginnerband.products import Products


@dataclass(frozen=True, slots=True)
class Work:
    """One thing a room contributes."""

    contribute: Callable[[Book, Products], None]
    """Adds its pages and files to the products."""
    aside: bool = False
    """May be done in a process of its own: it is long at work, and no other room looks at what it makes."""
    _: KW_ONLY
    early: bool = False
    """Begun before all else; what it makes still comes in its place."""
    looks_around: bool = False
    """It looks at what those before it made; only what does not can be kept for other builds."""
    later: Callable[[Book], tuple[str, ...]] | None = None
    """Where no page shows what it makes: the address of each file. While serving, pages do not wait for them."""


WORK = (
    Work(pieces.score),
    Work(tunes.contribute, aside=True, early=True),
    Work(assets.contribute),
    Work(look_up.contribute),
    Work(course.contribute),
    Work(course_printing.contribute, aside=True, later=course_printing.addresses),  # after the cards are engraved
    Work(pieces.contribute, aside=True),
    Work(pieces.contribute_rest, aside=True),
    Work(band.contribute),
    Work(set_up.contribute),
    Work(guide.contribute),
    Work(search_entries.contribute),
    Work(instruments.contribute),
    Work(data_files.contribute),
    Work(carry.contribute, aside=True, early=True),  # it draws with Typst, whose threads no later fork would have
    Work(pocket.contribute, looks_around=True),
)
"""Everything that is contributed, in this order."""

WITH_BLOCKS = (
    home,
    look_up,
    course,
    guide,
    band_tables,
    note_tables,
    hearing_tables,
    holding,
    supplies,
    claims,
    troubles,
    tables,
    transposing,
    data_files,
    tunes,
    programme,
    carry,
    set_up,
)
"""Modules that offer blocks."""


def blocks() -> dict[str, Block]:
    """Every block of every room, by name; ``ValueError`` when two rooms offer one name."""
    found: dict[str, Block] = {}
    for module in WITH_BLOCKS:
        twice = found.keys() & module.BLOCKS.keys()
        if twice:
            raise ValueError(f"two rooms offer the block {', '.join(sorted(twice))}")
        found.update(module.BLOCKS)
    return found
