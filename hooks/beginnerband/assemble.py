"""From a project folder to its products: load, let every room contribute, fill the blocks, keep the result.

Each room of the handbook contributes through one function, named in :func:`_rooms`. Rooms are imported only when
something must be computed, since music21 and Verovio are slow to load; an unchanged handbook is read back from
``.cache/products``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from beginnerband.products import Products, Stored, fingerprint_of, keep, read

if TYPE_CHECKING:
    from beginnerband.data.book import Book

Contribute = Callable[["Book", Products], None]


def obtain(root: Path, cache: Path) -> Stored:
    """The products of the project at ``root``: from ``cache`` when nothing changed, else computed anew.

    Raises ``DataError`` when the content has mistakes; the cache is then as before.
    """
    fingerprint = fingerprint_of(root)
    kept = cache / "products" / fingerprint
    if (kept / "index.pickle").is_file():
        return read(kept, fingerprint)
    from beginnerband.data.book import load_book

    products = compute(load_book(root))
    return keep(products, kept, fingerprint)


def compute(book: Book) -> Products:
    """Let every room contribute, then fill in the blocks of the pages people wrote."""
    from beginnerband.data.problems import Problems
    from beginnerband.pages import blocks

    products, problems = Products(), Problems(book.root)
    for contribute in _rooms():
        contribute(book, products)
    for page in blocks.expand_all(book, products, problems):
        products.pages[page.uri] = page
    problems.stop_if_any()
    return products


def _rooms() -> Iterable[Contribute]:
    """The rooms of the handbook, in the order they contribute."""
    from beginnerband.pages import (
        assets,
        course,
        datafiles,
        guide,
        home,
        instruments,
        look_up,
        offline,
        pieces,
        pocket,
        tunes,
    )

    return (
        assets.contribute,
        home.contribute,
        look_up.contribute,
        course.contribute,
        pieces.contribute,
        guide.contribute,
        instruments.contribute,
        tunes.contribute,
        datafiles.contribute,
        offline.contribute,
        pocket.contribute,
    )
