"""The home page's computed parts, and the small blocks every page may use."""

from __future__ import annotations

from markupsafe import escape

from beginnerband.data.book import Book
from beginnerband.pages.blocks import Args, Context
from beginnerband.products import Products


def contribute(book: Book, products: Products) -> None:
    """Nothing to generate yet: the home page is written by hand and asks for its parts by blocks."""


def band_name(context: Context, args: Args) -> str:
    """``[[band-name]]``: the name of the band."""
    args.only()
    return str(escape(context.book.band.name))


def band_note(context: Context, args: Args) -> str:
    """``[[band-note]]``: the band's line about itself."""
    args.only()
    return str(escape(context.book.band.note))


BLOCKS = {"band-name": band_name, "band-note": band_note}
