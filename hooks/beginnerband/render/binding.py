"""Binds leaves of printed files into one, tagged as they were, so that nothing is set twice.

A leaf is what a bookmark leads to and all up to the next one: a card, a player's sheet. The print engine sets all
leaves of a lesson in one file, each from the front of a sheet of paper on, and at its end a page that is empty but for
its margins: with that one, leaves are filled up. Pages, bookmarks and the file are qpdf's work (pikepdf); what it
leaves to its callers is done here: the tree of tags (ISO 32000-1, 14.7), where each page, and each copy of one, has its
own.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from copy import copy
from dataclasses import KW_ONLY, dataclass
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from pikepdf import Array, Dictionary, Name, NameTree, NumberTree, ObjectStreamMode, Outline, OutlineItem, Pdf, String

Copies = Sequence[int]
"""How many there are to be of a file's first leaf, its second, …"""

Contents = Callable[[Sequence[int]], bytes]
"""Sets the contents for parts of so many pages: a file that ends with a page for each part, to which it leads."""

Thing = Any
"""A page, a tag, a link, another dictionary of a file or a list."""

_IN_TABLES = ("/TD", "/TH")
"""What cells of tables are tagged as."""

Key = tuple[int, int]
"""What a file knows a page, a tag or another dictionary by."""

_CALLS = re.compile(rb'(?<!\\)("(?:obj:)?[0-9]+ 0 R")')
"""A thing, called by its number in qpdf's JSON; what is text there begins with ``u:`` or ``b:``."""

_NAMES = re.compile(rb'"/(?:ID": "u:|Headers": \[[^]]*)')
"""The name of a cell there, or those of its headings."""

_FILE = b"""{"qpdf": [
    {"jsonversion": 2, "pushedinheritedpageresources": false, "calledgetallpages": false, "maxobjectid": %d},
    {%s}
]}"""
"""The highest number in such a text, and its things."""


def bound(parts: Sequence[tuple[Path, Copies]], name: str, contents: Contents | None = None) -> bytes:
    """One file of leaves of others, with contents before them if there are to be any.

    Title, author and language are those of what comes first; ``name`` is one that no other file has.
    """
    with ExitStack() as opened:
        sources = [_Source(opened.enter_context(Pdf.open(path)), copies) for path, copies in parts]
        if contents:
            before = Pdf.open(BytesIO(contents([source.length() for source in sources])))
            whole = _Bound(opened.enter_context(before))
            stands = whole.begin_with_contents(len(parts))
        else:
            whole, stands = _Bound(sources[0].pdf), []
        begins = [whole.add(source) for source in sources]
        whole.lead({page.objgen: begin for page, begin in zip(stands, begins, strict=False)})
        return whole.finished(name)


@dataclass(frozen=True)
class _Leaf:
    """A leaf of a source."""

    title: str
    """Of its bookmark."""
    deep: int
    """How deep that lies among the bookmarks; 0: at the top."""
    _: KW_ONLY
    place: tuple[Thing, ...]
    """Where on its first page it leads."""
    pages: range
    """Counted from 0."""
    copies: int
    """How many there are to be."""


class _Source:
    """A file with leaves."""

    def __init__(self, pdf: Pdf, copies: Copies) -> None:
        self.pdf = pdf
        pages = [page.obj for page in pdf.pages]
        places = {page.objgen: place for place, page in enumerate(pages)}
        marks = [(mark.title, deep, _where(mark)) for mark, deep in _flat(Outline(pdf).root)]
        begins = [places[page.objgen] for _, _, (page, *_) in marks]
        ends = pairwise([*begins, len(pages) - 1])
        self.leaves = []
        for (title, deep, (_, *place)), (begin, end), count in zip(marks, ends, copies, strict=True):
            # what is empty has no tags
            last = max(number for number in range(begin, end) if Name.StructParents in pages[number])
            leaf = _Leaf(title, deep, place=tuple(place), pages=range(begin, last + 1), copies=count)
            self.leaves.append(leaf)

    def length(self) -> int:
        """Pages, where each leaf begins on the front of a sheet of paper."""
        return sum(leaf.copies * 2 * -(-len(leaf.pages) // 2) for leaf in self.leaves)


class _Tagged(NamedTuple):
    """Pages with their tags."""

    pages: list[Thing]
    on_them: list[Thing]
    """Those of all that is on each page."""
    above: list[Thing]
    """The uppermost ones."""
    headings: list[Thing]
    """Those of the headings of tables, which cells call by name."""


class _Text:
    """Tags as qpdf's JSON, in which all are copied at once: tag by tag it would take twice the time.

    They call each other, pages and what is above them; what else they may call, copies call, too.
    """

    def __init__(self, its: _Tagged) -> None:
        things = [*its.on_them, *_with_all_below(its.above)]
        self.numbers = [thing.objgen[0] for thing in things]
        texts = (thing.to_json(dereference=True) for thing in things)
        text = b",".join(b'"obj:%d 0 R": {"value": %s}' % one for one in zip(self.numbers, texts, strict=True))
        text = _NAMES.sub(lambda name: name[0].replace(b'"u:', b'"u:\0'), text)  # nowhere else is a zero in JSON
        self._pieces = _CALLS.split(text)

    def copied(self, numbers: Mapping[int, int], prefix: str) -> bytes:
        """The same with other ``numbers`` in place of these, and with ``prefix`` before names."""
        calls = {
            b'"%s%d 0 R"' % (kind, own): b'"%s%d 0 R"' % (kind, other)
            for own, other in numbers.items()
            for kind in (b"obj:", b"")
        }
        pieces = [calls.get(piece, piece) for piece in self._pieces]
        return _FILE % (max(numbers.values()), b"".join(pieces).replace(b"\0", prefix.encode()))


class _Bound:
    """A file as it is put together; only title, author and language stay of what it was opened from."""

    def __init__(self, pdf: Pdf) -> None:
        self._pdf, self._root = pdf, pdf.Root.StructTreeRoot
        self._pages: list[Thing] = []
        self._tags: list[Thing] = []
        self._of_things: list[Thing] = []  # the tags on each page, or the one of a link, by its number
        self._named: dict[str, Thing] = {}
        self._marks: list[tuple[OutlineItem, int]] = []
        self._contents: list[Thing] = []

    def begin_with_contents(self, parts: int) -> list[Thing]:
        """Keep what there is but for the last pages, one for each of the parts: return these."""
        pages, of_things = [page.obj for page in self._pdf.pages], NumberTree(self._root.ParentTree)
        self._pages, stands = pages[:-parts], pages[-parts:]
        self._contents = self._pages[:]
        left = {page.objgen for page in stands}
        self._tags = [tag for tag in self._root.K[0].K if _page_of(tag) not in left]
        for page in self._pages:
            for thing, key in ((page, Name.StructParents), *((link, Name.StructParent) for link in _links(page))):
                if key in thing:  # an empty page has none
                    self._number(thing, key, of_things[int(thing[key])])
        return stands

    def add(self, source: _Source) -> Array:
        """Take the leaves of a file; return where the first of them begins."""
        first = len(self._marks)
        pages, root = self._brought(source.pdf, f"{first}.")
        of_things, tops, names = NumberTree(root.ParentTree), _by_page(root.K[0].K), _by_page(_headings(root))
        for leaf in (leaf for leaf in source.leaves if leaf.copies):
            its = [pages[place] for place in leaf.pages]
            on_them = [of_things[int(page.StructParents)] for page in its]
            above, headings = ([tag for page in its for tag in some.get(page.objgen, ())] for some in (tops, names))
            for tagged in self._each(leaf.copies, _Tagged(its, on_them, above, headings)):
                if len(self._pages) % 2:
                    self._pages.append(self._another(pages[-1]))
                self._take(leaf, tagged)
        return _where(self._marks[first][0])

    def _brought(self, pdf: Pdf, prefix: str) -> tuple[list[Thing], Thing]:
        """The pages and the tree of tags of a file, as they are part of this one."""
        if pdf is self._pdf:
            return [page.obj for page in pdf.pages], self._root
        before = len(self._pdf.pages)
        self._pdf.pages.extend(pdf.pages)
        root = self._pdf.copy_foreign(pdf.Root.StructTreeRoot)
        for table in _tables(_headings(root)):
            for cell in _cells(table):
                _rename(cell, prefix)
        return [page.obj for page in self._pdf.pages[before:]], root

    def _each(self, copies: int, its: _Tagged) -> Iterator[_Tagged]:
        """Pages with their tags, so many times; what is on the pages stays the same."""
        yield its
        if copies > 1:
            tags = _Text(its)
            for _ in range(1, copies):
                yield self._copied(its, tags)

    def _take(self, leaf: _Leaf, its: _Tagged) -> None:
        for page, tags in zip(its.pages, its.on_them, strict=True):
            self._number(page, Name.StructParents, tags)
        self._pages += its.pages
        self._tags += its.above
        self._named.update((str(heading.ID), heading) for heading in its.headings)
        self._marks.append((OutlineItem(leaf.title, Array([its.pages[0], *leaf.place])), leaf.deep))

    def _copied(self, its: _Tagged, tags: _Text) -> _Tagged:
        """Pages and their tags once more, with names that begin as no others do."""
        pages = [self._another(page) for page in its.pages]
        free: int = self._another(self._root).objgen[0]  # as all numbers after it are
        numbers = {page.objgen[0]: copied.objgen[0] for page, copied in zip(its.pages, pages, strict=True)}
        numbers |= {number: free + place for place, number in enumerate(tags.numbers)}
        self._pdf.update_from_qpdf_json(BytesIO(tags.copied(numbers, f"{len(self._marks)}.")))
        on_them, above, headings = (
            [self._pdf.get_object(numbers[tag.objgen[0]], 0) for tag in some]
            for some in (its.on_them, its.above, its.headings)
        )
        return _Tagged(pages, on_them, above, headings)

    def _number(self, thing: Thing, key: Name, tags: Thing) -> None:
        thing[key] = len(self._of_things)
        self._of_things.append(tags)

    def _another(self, thing: Thing) -> Thing:
        return self._pdf.make_indirect(copy(thing))

    def lead(self, begins: dict[Key, Array]) -> None:
        """Have links of the contents, to pages that only stood for a part, lead to where it begins."""
        for page in self._contents:
            for link in _links(page):
                link.Dest = begins[link.Dest[0].objgen]

    def finished(self, name: str) -> bytes:
        """The file."""
        pdf, root, whole = self._pdf, self._root, self._root.K[0]
        pdf.Root.Pages = pdf.make_indirect(Dictionary(Type=Name.Pages, Kids=Array(self._pages), Count=len(self._pages)))
        for page in self._pages:
            page.Parent = pdf.Root.Pages
        whole.K = Array(self._tags)
        for tag in self._tags:
            tag.P = whole
        root.ParentTree, root.ParentTreeNextKey = NumberTree.new(pdf).obj, len(self._of_things)
        NumberTree(root.ParentTree).update(enumerate(self._of_things))
        root.IDTree = NameTree.new(pdf).obj
        NameTree(root.IDTree).update(self._named)
        with pdf.open_outline() as outline:
            outline.root = _nested(self._marks)
        said = pdf.Root.Metadata.read_bytes()
        pdf.Root.Metadata.write(_about(said, len(self._pages), name))
        made = BytesIO()
        pdf.save(made, object_stream_mode=ObjectStreamMode.generate, deterministic_id=True, fix_metadata_version=False)
        return made.getvalue()


def _flat(marks: Iterable[OutlineItem], deep: int = 0) -> Iterator[tuple[OutlineItem, int]]:
    """Bookmarks as they follow one another, and how deep each lies."""
    for mark in marks:
        yield mark, deep
        yield from _flat(mark.children, deep + 1)


def _nested(marks: Iterable[tuple[OutlineItem, int]]) -> list[OutlineItem]:
    """Bookmarks below one another, closed."""
    levels: list[list[OutlineItem]] = [[]]
    for mark, deep in marks:
        del levels[deep + 1 :]
        levels[-1].append(mark)
        levels.append(mark.children)
        mark.is_closed = True
    return levels[0]


def _where(mark: OutlineItem) -> Array:
    """Where a bookmark leads: a page, and a place on it."""
    assert isinstance(mark.destination, Array)
    return mark.destination


def _below(tag: Thing) -> Iterator[Thing]:
    return (one for one in tag.get("/K", ()) if isinstance(one, Dictionary))


def _with_all_below(tags: Iterable[Thing]) -> Iterator[Thing]:
    """Tags, each followed by what is below it; what only lies in another is copied with that."""
    for tag in (tag for tag in tags if tag.is_indirect):
        yield tag
        yield from _with_all_below(_below(tag))


def _page_of(tag: Thing) -> Key:
    """On which page a tag begins."""
    while "/Pg" not in tag:
        tag = next(_below(tag))
    key: Key = tag.Pg.objgen
    return key


def _links(page: Thing) -> Iterable[Thing]:
    return page.get("/Annots", ())  # type: ignore[no-any-return]


def _by_page(tags: Iterable[Thing]) -> dict[Key, list[Thing]]:
    """Tags by the page they begin on."""
    found: dict[Key, list[Thing]] = {}
    for tag in tags:
        found.setdefault(_page_of(tag), []).append(tag)
    return found


def _headings(root: Thing) -> list[Thing]:
    """The tags that have names."""
    return list(NameTree(root.IDTree).values()) if Name.IDTree in root else []


def _tables(headings: Iterable[Thing]) -> Iterable[Thing]:
    """The tables of headings, each once."""
    tables = {}
    for heading in headings:
        table = heading
        while str(table.S) != "/Table":
            table = table.P
        tables[table.objgen] = table
    return tables.values()


def _cells(tag: Thing) -> Iterator[Thing]:
    for one in _below(tag):
        if str(one.S) in _IN_TABLES:
            yield one
        else:
            yield from _cells(one)


def _rename(cell: Thing, prefix: str) -> None:
    """Have the name of a cell that is a heading, and those by which it calls headings, begin with something else."""
    if "/ID" in cell:
        cell.ID = String(f"{prefix}{cell.ID}")
    for about in cell.A:
        if "/Headers" in about:
            about.Headers = Array([String(f"{prefix}{heading}") for heading in about.Headers])


def _about(said: bytes, pages: int, name: str) -> bytes:
    """What a file says of itself (XMP), with its own count of pages and name."""
    ident = hashlib.sha256(name.encode()).hexdigest()[:32].encode()
    said = re.sub(rb"(?<=<xmpTPg:NPages>)\d+", str(pages).encode(), said)
    return re.sub(rb"(?<=ID>)[^<]+(?=</xmpMM:)", ident, said)
