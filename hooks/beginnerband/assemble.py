"""From a project folder to its products: load, let every room contribute, fill the blocks, keep the result.

Each room of the handbook contributes as the table in ``pages/rooms.py`` says. Rooms are imported only when something
must be computed, since music21 and Verovio are slow to load; an unchanged handbook is read back from
``.cache/products``.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial
from multiprocessing import connection
from pathlib import Path
from typing import TYPE_CHECKING

from beginnerband.products import Products, Stored, fingerprint_of, keep, read

if TYPE_CHECKING:
    from beginnerband.data.book import Book
    from beginnerband.pages.rooms import Work
    from beginnerband.render.printing import Printer

Contribute = Callable[["Book", Products], None]
Made = Callable[[], Products]
"""Gives what a room made, when it is there."""


def obtain(
    root: Path, cache: Path, say: Callable[[str], None] = lambda line: None, printer: Printer | None = None
) -> Stored:
    """The products of the project at ``root``: from ``cache`` when nothing changed, else computed anew.

    ``say`` is told what is being done, a line each time. ``printer`` prints while other things are done, and need not
    have finished yet; without one, all has been printed.
    Raises ``DataError`` when the content has mistakes; the cache is then as before.
    """
    from beginnerband.render.printing import Printer

    waits, printer = printer is None, printer or Printer(cache)
    stored, later = _obtained(root, cache, say, printer, Late(put_off=False))
    assert later is None
    if waits:
        printer.wait(stored.prints.values())
    return stored


def obtain_shown(
    root: Path, cache: Path, say: Callable[[str], None], printer: Printer, at_once: bool
) -> tuple[Stored, PutOff | None]:
    """As :func:`obtain`, but only what pages show, and who makes the rest; ``None`` where there is none.

    ``at_once``, it is begun as soon as that may be; else when it is told to.
    """
    return _obtained(root, cache, say, printer, Late(put_off=_forks(), at_once=at_once))


def _obtained(
    root: Path, cache: Path, say: Callable[[str], None], printer: Printer, late: Late
) -> tuple[Stored, PutOff | None]:
    fingerprint = fingerprint_of(root)
    kept = cache / "products" / fingerprint
    if (kept / "index.pickle").is_file():
        stored = read(kept, fingerprint)
        if all(printer.path(ident).is_file() for ident in stored.prints.values()):
            return stored, None
    from beginnerband.data.book import load_book

    say("Reading the content")
    book = load_book(root)
    say("Working out pages, engraving music, printing what changed (the first time takes a minute or two)")
    products = compute(book, printer, late)
    if not late.works:
        return keep(products, kept, fingerprint), None
    shown = keep(products, kept.with_name(f"{fingerprint}-shown"), fingerprint)
    later = PutOff(late, book, products, printer, lambda: keep(products, kept, fingerprint))
    if late.at_once:
        later.begin()
    return shown, later


@dataclass
class Late:
    """What pages can do without, put off while the rest is made."""

    put_off: bool
    """Whether anything is."""
    at_once: bool = False
    """Whether it is begun meanwhile."""
    works: list[Work] = field(default_factory=list)
    """What was put off."""
    begun: dict[Work, Made] = field(default_factory=dict)
    """What gives that which was begun."""

    def take(self, work: Work, book: Book) -> None:
        """Put something off."""
        self.works.append(work)
        if self.at_once:
            self.begun[work] = _begin(work, book)


def get_ready(root: Path) -> None:
    """Load what a change of the content will need, so that the first one while serving does not wait for it."""
    from beginnerband.data.book import load_book
    from beginnerband.data.problems import DataError
    from beginnerband.pages import rooms  # noqa: F401

    with contextlib.suppress(DataError, OSError):  # said by the build
        load_book(root)


def compute(book: Book, printer: Printer, late: Late | None = None) -> Products:
    """Let every room contribute, then fill in the blocks of the pages people wrote; ``late`` takes what is put off."""
    from beginnerband.data.page_anchors import check_anchors
    from beginnerband.data.page_links import check_links
    from beginnerband.data.problems import Problems
    from beginnerband.data.search import check_pages
    from beginnerband.pages import blocks, rooms
    from beginnerband.pages.guide.search_entries import places

    products, problems = _contributions(book, printer, late), Problems(book.root)
    products.notes += map(str, book.remarks)
    for page in blocks.expand_all(book, products, problems, rooms.blocks()):
        products.pages[page.uri] = page
    folder = book.root / "handbook"
    written = (path.relative_to(folder).as_posix() for path in folder.rglob("*.md"))
    pages = {*products.pages, *written, *places(book)}
    check_pages(book.root, book.search, pages, problems)
    put_off = {uri for work in (late.works if late else ()) if work.later for uri in work.later(book)}
    check_links(book.root, pages, products.assets.keys() | put_off, problems)
    texts = {uri: page.text for uri, page in products.pages.items()}
    check_anchors(book.root, texts, products.fragments, problems)
    problems.stop_if_any()
    products.notes += map(str, problems.remarks)
    return products


def _contributions(book: Book, printer: Printer, late: Late | None = None) -> Products:
    """What all rooms make.

    The rooms that take longest work aside, in processes of their own, where a process can be forked (Linux) and there
    is a second core to run it; elsewhere they come last. What a room made before, and would make again, is taken as it
    is. The result is the same. What is to be printed is begun as soon as it is known.
    """
    from beginnerband.pages import rooms

    products, begun = Products(), {work: _begin(work, book) for work in rooms.WORK if work.early}
    for work in rooms.WORK:
        if late and late.put_off and work.later:
            late.take(work, book)
        elif work.looks_around:
            work.contribute(book, products)
        elif work.aside:
            begun[work] = begun.get(work) or _begin(work, book)
        else:
            _take(work, _begin(work, book)(), book, products, printer)
    late_begun = late.begun.values() if late else ()
    _print_as_it_comes(begun.values(), late_begun, printer)
    for work in rooms.WORK:
        if work in begun:
            _take(work, begun[work](), book, products, printer)
    return products


def _print_as_it_comes(wanted: Iterable[Made], others: Iterable[Made], printer: Printer) -> None:
    """Wait for the rooms ``wanted`` that work aside, and print what they and ``others`` make as soon as it is there.

    It is added to the products after this, in the order of the rooms, and so is told what went wrong.
    """
    needed = [one for one in wanted if isinstance(one, _Aside)]
    missing = [*needed, *(one for one in others if isinstance(one, _Aside))]
    while any(one in missing for one in needed):
        there = connection.wait([one.receiving for one in missing])
        for one in [one for one in missing if one.receiving in there]:
            missing.remove(one)
            with contextlib.suppress(Exception):
                made = one()
                printer.begin(made.prints.values(), made.pictures)


def _take(work: Work, made: Products, book: Book, products: Products, printer: Printer) -> None:
    """Add what a room made, and begin to print."""
    files = made.assets.keys() | made.prints.keys()
    if work.later and (made.pages or made.fragments or files != set(work.later(book))):
        raise RuntimeError(f"{work.contribute.__module__} makes other files than it says")
    products.add(made)
    printer.begin(made.prints.values(), made.pictures)


def _begin(work: Work, book: Book) -> Made:
    """Begin a room's work, in a process of its own where that may be; what is returned gives what it made."""
    kept = book.reuse.known(_alone, book, work.contribute)
    if kept is not None:
        return lambda: kept
    if work.aside and _forks():
        return _Aside(work.contribute, book)
    return partial(_anew, work.contribute, book)


def _forks() -> bool:
    """Whether processes can be forked, and there is a second core to run them."""
    return sys.platform == "linux" and len(os.sched_getaffinity(0)) > 1


def _anew(room: Contribute, book: Book) -> Products:
    return book.reuse.of(_alone, book, room, whole=True)


def _alone(book: Book, room: Contribute) -> Products:
    products = Products()
    room(book, products)
    return products


class _Aside:
    """One room at work in a process of its own, which inherits the book instead of being sent it.

    Called, it waits for what the room makes; raises what it raised.
    """

    def __init__(self, room: Contribute, book: Book) -> None:
        context = multiprocessing.get_context("fork")
        self.receiving, sending = context.Pipe(duplex=False)
        self._outcome: object = None
        self._process = context.Process(target=_work, args=(room, book, sending), daemon=True)
        self._process.start()
        sending.close()  # so that a process that dies is noticed, not waited for

    def end(self) -> None:
        """Leave it undone."""
        self._process.kill()

    def __call__(self) -> Products:
        """What the room made."""
        if self._outcome is None:
            try:
                self._outcome = self.receiving.recv()
            except EOFError:
                self._outcome = RuntimeError("a process that was engraving ended early; is there enough memory?")
            except Exception as error:  # what it sent cannot be read, and is not sent again
                self._outcome = error
            self._process.join()
        if isinstance(self._outcome, Exception):
            raise self._outcome
        assert isinstance(self._outcome, Products)
        return self._outcome


def _end_with_parent() -> None:
    """Have Linux end this process with the build that began it, also when that is killed (prctl(2), PDEATHSIG)."""
    import ctypes

    ctypes.CDLL(None).prctl(1, signal.SIGKILL)


def _work(room: Contribute, book: Book, sending: connection.Connection) -> None:
    _end_with_parent()
    try:
        sending.send(_anew(room, book))
    except Exception as error:  # handed to the parent, which raises it
        sending.send(error)


class PutOff:
    """Makes what was put off, in processes of its own, while pages are shown already."""

    def __init__(
        self, late: Late, book: Book, products: Products, printer: Printer, kept: Callable[[], Stored]
    ) -> None:
        """``products`` have all the rest; ``kept`` keeps them when they are whole."""
        self.addresses = frozenset(uri for work in late.works if work.later for uri in work.later(book))
        """Every file that will be there."""
        self._about: tuple[Late, Book, Products, Printer, Callable[[], Stored]] | None
        self._about = late, book, products, printer, kept
        self._asides: list[_Aside] = []
        self._over, self._thread = threading.Event(), threading.Thread(target=self._run, daemon=True)
        self._stored: Stored | None = None
        self.trouble = ""
        """Why there is nothing."""

    def begin(self) -> None:
        """Begin; returns at once."""
        assert self._about
        late, book, *_ = self._about
        for work in late.works:
            if work not in late.begun:
                aside = _Aside(work.contribute, book)
                self._asides.append(aside)
                late.begun[work] = aside
        self._thread.start()

    def stop(self) -> None:
        """Leave undone what is not done yet."""
        self.trouble = self.trouble or "it was broken off"
        for aside in self._asides:
            aside.end()
        if self._asides and self._thread.is_alive():  # what was begun at once ends with the build
            self._thread.join()
        self._over.set()

    def wait(self) -> Stored | None:
        """All products, when they are there; ``None`` where it was broken off, and :attr:`trouble` says why."""
        self._over.wait()
        return self._stored

    def _run(self) -> None:
        assert self._about
        late, book, products, printer, kept = self._about
        try:
            for work in late.works:
                _take(work, late.begun[work](), book, products, printer)
            self._stored = kept()
        except Exception as error:  # whatever it is, somebody may wait
            self.trouble = self.trouble or f"{type(error).__name__}: {error}"
        finally:
            self._about = None  # a server that runs on has no use for it
            self._over.set()
