"""From a project folder to its products: load, let every room contribute, fill the blocks, keep the result.

Each room of the handbook contributes through one function, named in :func:`_rooms`. Rooms are imported only when
something must be computed, since music21 and Verovio are slow to load; an unchanged handbook is read back from
``.cache/products``.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
from collections.abc import Callable
from multiprocessing.connection import Connection
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

    products, problems = _contributions(book), Problems(book.root)
    for page in blocks.expand_all(book, products, problems):
        products.pages[page.uri] = page
    problems.stop_if_any()
    return products


def _contributions(book: Book) -> Products:
    """What all rooms make.

    The rooms that engrave most work aside in processes of their own where a process can be forked (Linux) and there is
    a second core to run it; elsewhere one room follows the other. The result is the same.
    """
    products, rooms = Products(), _rooms()
    forks = sys.platform == "linux" and len(os.sched_getaffinity(0)) > 1
    aside = [_Aside(room, book) for room in rooms if forks and room.__module__.endswith(ENGRAVING_ROOMS)]
    for room in rooms:
        if not (aside and room.__module__.endswith(ENGRAVING_ROOMS)):
            room(book, products)
    for work in aside:
        products.add(work.result())
    return products


ENGRAVING_ROOMS = (".pieces", ".tunes")
"""Modules whose rooms take longest, for the music they engrave; no other room looks at what they make."""


class _Aside:
    """One room at work in a process of its own, which inherits the book instead of being sent it."""

    def __init__(self, room: Contribute, book: Book) -> None:
        context = multiprocessing.get_context("fork")
        self._receiving, sending = context.Pipe(duplex=False)
        self._process = context.Process(target=_work, args=(room, book, sending), daemon=True)
        self._process.start()
        sending.close()  # so that a process that dies is noticed, not waited for

    def result(self) -> Products:
        """What the room made; raises what it raised."""
        try:
            outcome = self._receiving.recv()
        except EOFError:
            raise RuntimeError("a process that was engraving ended early; is there enough memory?") from None
        self._process.join()
        if isinstance(outcome, Exception):
            raise outcome
        assert isinstance(outcome, Products)
        return outcome


def _work(room: Contribute, book: Book, sending: Connection) -> None:
    products = Products()
    try:
        room(book, products)
        sending.send(products)
    except Exception as error:  # handed to the parent, which raises it
        sending.send(error)


def _rooms() -> tuple[Contribute, ...]:
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
