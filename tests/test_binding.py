"""Files that are bound of what was set once, read by a library other than the one that binds them.

What a tagged file must hold is ISO 32000-1 (PDF 1.7), 14.7: each page and link has a number of its own, under which the
file lists the tags of what is on it; a name of a tag is the only one of its kind (14.7.4.4, 14.8.5.7).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.pages.course.whole_course import parts_of
from beginnerband.pages.shared.links import card_pdf, lesson_pdf, lesson_title

LESSON = 15
"""The number of a lesson with music and pieces."""


@pytest.fixture(scope="module")
def course(book: Book) -> CourseBook:
    assert book.course
    return book.course


@pytest.fixture(scope="module", params=["card", "lesson", "course"])
def bound(request: pytest.FixtureRequest, site: Path, course: CourseBook) -> PdfReader:
    """A file of each kind."""
    lesson = course.course.lessons[LESSON]
    uris = {"card": card_pdf(lesson), "lesson": lesson_pdf(lesson), "course": parts_of(course)[0].uri}
    return PdfReader(site / uris[request.param])


def tags_of(tag: Any) -> Iterator[Any]:
    """A tag and all below it."""
    yield tag
    for one in (each.get_object() for each in tag.get("/K", ())):
        if isinstance(one, DictionaryObject) and "/S" in one:
            assert one["/P"] == tag
            yield from tags_of(one)


def listed(tree: Any) -> Iterator[tuple[Any, Any]]:
    """What a tree of numbers or names leads to, in its order (7.9.6, 7.9.7)."""
    own = tree.get("/Nums", tree.get("/Names", ()))
    yield from ((key, value.get_object()) for key, value in zip(own[::2], own[1::2], strict=True))
    for branch in tree.get("/Kids", ()):
        yield from listed(branch.get_object())


def test_all_that_is_on_a_page_has_its_own_tag(bound: PdfReader) -> None:
    root = bound.root_object["/StructTreeRoot"]
    (whole,) = root["/K"]
    tags = {id(tag) for tag in tags_of(whole.get_object())}
    numbers, left = dict(listed(root["/ParentTree"])), set[int]()
    for page in bound.pages:
        if "/StructParents" in page:
            of_page = [tag.get_object() for tag in numbers[page["/StructParents"]]]
            marked = {int(number) for number in re.findall(rb"/MCID (\d+)", page.get_contents().get_data())}  # type: ignore[union-attr]
            assert marked == set(range(len(of_page)))
            for number, tag in enumerate(of_page):
                assert number in tag["/K"]
                assert tag["/Pg"] == page
                assert id(tag) in tags
            left.add(page["/StructParents"])
        for link in page.get("/Annots", ()):
            number = link.get_object()["/StructParent"]
            assert numbers[number]["/S"] == "/Link"
            left.add(number)
    assert sorted(numbers) == list(range(len(left)))


def test_no_two_tags_share_a_name_and_cells_name_their_headings(bound: PdfReader) -> None:
    root = bound.root_object["/StructTreeRoot"]
    tags = list(tags_of(root["/K"][0].get_object()))
    names = dict(listed(root["/IDTree"]))
    assert list(names) == sorted(tag["/ID"] for tag in tags if "/ID" in tag)
    tables = [list(tags_of(tag)) for tag in tags if tag["/S"] == "/Table"]
    called = [
        {name for tag in table for about in tag.get("/A", ()) for name in about.get("/Headers", ())} for table in tables
    ]
    assert any(called)
    for table, headings in zip(tables, called, strict=True):
        assert headings <= {tag.get("/ID") for tag in table}  # those of the same copy


def marks(bound: PdfReader, some: Any = None) -> Iterator[tuple[int, str, int]]:
    """How deep each bookmark lies, its words, and the page it leads to."""
    for one in bound.outline if some is None else some:
        if isinstance(one, list):
            yield from ((deep + 1, *rest) for deep, *rest in marks(bound, one))
        else:
            place = bound.get_destination_page_number(one)
            assert place is not None
            yield 0, str(one.title), place


def test_every_copy_of_a_sheet_has_a_bookmark_that_leads_to_it(site: Path, course: CourseBook) -> None:
    lesson = course.course.lessons[LESSON]
    bound = PdfReader(site / lesson_pdf(lesson))
    (top, *rest) = marks(bound)
    assert top == (0, lesson_title(lesson), 0)
    assert len(rest) == sum(max(player.count, 1) for player in course.players)
    places = [place for _, _, place in rest]
    assert places == sorted(set(places))
    for deep, title, place in rest:
        assert deep == 1
        assert place % 2 == 0  # on the front of a sheet of paper
        assert title in " ".join(bound.pages[place].extract_text().split())


def test_contents_lead_to_the_lessons_and_say_on_which_page_they_are(site: Path, course: CourseBook) -> None:
    part = parts_of(course)[1]
    bound = PdfReader(site / part.uri)
    tops = [(title, place) for deep, title, place in marks(bound) if deep == 0]
    assert [title for title, _ in tops] == [lesson_title(lesson) for lesson in part.lessons]
    links = [link.get_object() for link in bound.pages[1]["/Annots"]]
    assert [bound.get_page_number(link["/Dest"][0].get_object()) for link in links] == [place for _, place in tops]
    said = " ".join(bound.pages[1].extract_text().split())
    for (title, place), link in zip(tops, links, strict=True):
        assert re.search(rf"{re.escape(title)}[ .]+{place + 1}\b", said)
        assert str(link["/Contents"]).endswith(f"page {place + 1}")
        assert title in " ".join(bound.pages[place].extract_text().split())


def test_copies_of_a_sheet_are_kept_once(site: Path, course: CourseBook) -> None:
    """What is on their pages is the same object, so that a file with eighteen sheets is hardly longer than with ten."""
    bound = PdfReader(site / lesson_pdf(course.course.lessons[LESSON]))
    shown = [page["/Contents"].indirect_reference for page in bound.pages if "/StructParents" in page]
    fonts = {
        font.get_object().indirect_reference.idnum
        for page in bound.pages
        for font in page["/Resources"].get("/Font", {}).values()
    }
    assert len({reference.idnum for reference in shown}) == 2 + len(course.players)
    assert len(fonts) <= 9
