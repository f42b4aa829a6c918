"""From a project folder to its products: load, let every room contribute, fill the blocks, keep the result.

Each room of the handbook contributes as the table in ``pages/rooms.py`` says. Rooms are imported only when something
must be computed, since music21 and Verovio are slow to load; an unchanged handbook is read back from
``.cache/products``.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections.abc import Callable
from functools import partial
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
    from beginnerband.data.search import check_pages
    from beginnerband.pages import blocks, rooms

    products, problems = _contributions(book), Problems(book.root)
    products.notes += map(str, book.remarks)
    for page in blocks.expand_all(book, products, problems, rooms.blocks()):
        products.pages[page.uri] = page
    folder = book.root / "handbook"
    written = (path.relative_to(folder).as_posix() for path in folder.rglob("*.md"))
    check_pages(book.root, book.search, {*products.pages, *written}, problems)
    problems.stop_if_any()
    products.notes += map(str, problems.remarks)
    return products


def _contributions(book: Book) -> Products:
    """What all rooms make.

    The rooms that take longest work aside, in processes of their own, where a process can be forked (Linux) and there
    is a second core to run it; elsewhere they come last. The result is the same.
    """
    from beginnerband.pages import rooms

    products = Products()
    forks = sys.platform == "linux" and len(os.sched_getaffinity(0)) > 1
    aside: list[Callable[[], Products]] = []
    for work in rooms.WORK:
        if work.aside:
            aside.append(_Aside(work.contribute, book).result if forks else partial(_alone, work.contribute, book))
        else:
            work.contribute(book, products)
    for result in aside:
        products.add(result())
    return products


def _alone(room: Contribute, book: Book) -> Products:
    products = Products()
    room(book, products)
    return products


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


def _end_with_parent() -> None:
    """Have Linux end this process with the build that began it, also when that is killed (prctl(2), PDEATHSIG)."""
    import ctypes

    ctypes.CDLL(None).prctl(1, signal.SIGKILL)


def _work(room: Contribute, book: Book, sending: Connection) -> None:
    _end_with_parent()
    try:
        sending.send(_alone(room, book))
    except Exception as error:  # handed to the parent, which raises it
        sending.send(error)
