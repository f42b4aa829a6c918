"""The print pack of the course, read back: every card and sheet, its fonts, its paper and its codes."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
import zxingcpp
from paper import picture, print_lessons, words_on
from pypdf import PdfReader

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook, load_course
from beginnerband.data.problems import Problems
from beginnerband.music.player import Player
from beginnerband.pages.course.lesson_view import lesson_view
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.print_data import lesson_values
from beginnerband.pages.course.sheet_view import sheet_view
from beginnerband.pages.course.whole_course import parts_of
from beginnerband.pages.shared.links import lesson_pdf
from beginnerband.render.print_pack import PrintPack


@pytest.fixture(scope="module")
def course(book: Book) -> CourseBook:
    assert book.course
    return book.course


def pdf(site: Path, uri: str) -> PdfReader:
    return PdfReader(site / uri)


@pytest.fixture(scope="module")
def sheet_pages(book: Book, course: CourseBook) -> dict[str, list[tuple[Player, int]]]:
    """Pages that each player's sheet was laid out for, by lesson."""
    pictures = Pictures(book.root / ".cache", book.band.english, book.band.paper)
    return {
        lesson.id: [
            (player, pictures.of_sheet(sheet_view(book, course, lesson, player))[1].pages) for player in course.players
        ]
        for lesson in course.course.lessons
    }


def written(pages: list[str]) -> list[str]:
    """Pages with more than the edition: not those left empty so that the next sheet is a leaf of its own."""
    return [text for text in pages if len(text.split()) > 8]


def whole_course(course: CourseBook, sheet_pages: dict[str, list[tuple[Player, int]]]) -> tuple[int, int]:
    """Fewest and most pages of all cards and sheets."""
    fewest = len(course.course.lessons) * (2 + len(course.players))
    return fewest, fewest + sum(pages - 1 for sheets in sheet_pages.values() for _, pages in sheets)


def test_few_sheets_take_a_second_page(sheet_pages: dict[str, list[tuple[Player, int]]]) -> None:
    pages = [pages for sheets in sheet_pages.values() for _, pages in sheets]
    assert max(pages) <= 2
    assert pages.count(2) <= len(pages) / 8  # as laid out for the smallest paper


def test_each_lesson_s_pack_has_its_card_and_a_sheet_for_every_player(
    site: Path, course: CourseBook, sheet_pages: dict[str, list[tuple[Player, int]]]
) -> None:
    for lesson in course.course.lessons:
        every = words_on(site / lesson_pdf(lesson))
        read = written(every)
        assert not any(
            "Lesson" in text and "Name" in text for text in every[3::2]
        )  # a sheet begins on a leaf of its own
        longer = sum(player.count for player, pages in sheet_pages[lesson.id] if pages > 1)
        sheets = sum(player.count for player in course.players)
        assert 2 + sheets <= len(read) <= 2 + sheets + longer, lesson.id
        assert f"Lesson {lesson.number}: {lesson.title}" in read[0]


def test_the_whole_course_is_in_files_with_contents(
    site: Path, course: CourseBook, sheet_pages: dict[str, list[tuple[Player, int]]]
) -> None:
    pages, told = 0, []
    for part in parts_of(course):
        read = written(words_on(site / part.uri))
        pages += len(read) - 2  # the title, and the contents, of which nothing runs over to a page of its own
        contents = read[1]
        told += [each for each in course.course.lessons if f"Lesson {each.number}: {each.title}" in contents]
    fewest, most = whole_course(course, sheet_pages)
    assert fewest <= pages <= most
    assert told == list(course.course.lessons)


@pytest.mark.parametrize(
    ("rooms", "players", "sizes"), [(1, 5, [20]), (1, 6, [11, 12]), (2, 5, [10, 10]), (1, 200, [1] * 24)]
)
def test_no_file_of_the_course_has_many_more_cards_and_sheets_than_the_others(
    course: CourseBook, rooms: int, players: int, sizes: list[int]
) -> None:
    """Worked by hand: 120 hold 20 lessons of a card and five sheets, 17 of six or of two cards; never less than one."""
    lessons = [replace(course.course.lessons[0], number=number + 1) for number in range(sum(sizes))]
    of_one = SimpleNamespace(lessons=lessons)
    longer = SimpleNamespace(players=course.players[:1] * players, rooms=course.rooms[:1] * rooms, course=of_one)
    parts = parts_of(cast(CourseBook, longer))
    assert [len(part.lessons) for part in parts] == sizes
    assert (
        parts[0].name == {20: "The whole course", 11: "Lessons 1 to 11", 10: "Lessons 1 to 10", 1: "Lesson 1"}[sizes[0]]
    )


def test_the_pack_is_tagged_has_a_title_and_language_and_embeds_every_font(site: Path, course: CourseBook) -> None:
    for uri in (parts_of(course)[0].uri, "print/lesson-16.pdf", "print/blank-card.pdf"):
        read = pdf(site, uri)
        root = read.trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"]
        assert "/StructTreeRoot" in root
        assert str(root["/Lang"]).startswith("en")
        assert read.metadata
        assert read.metadata.title
        assert "/CreationDate" not in read.metadata  # nothing that changes from build to build
        assert b"pdfuaid" in root["/Metadata"].get_object().get_data()  # claims PDF/UA, which Typst checked
        for font in fonts_of(read.pages[0]):
            assert any(f"/FontFile{kind}" in font for kind in ("", "2", "3")), uri


def fonts_of(page: Any) -> list[Any]:
    found = []
    for font in page["/Resources"]["/Font"].values():
        for descendant in font.get_object().get("/DescendantFonts", [font]):
            found.append(descendant.get_object()["/FontDescriptor"].get_object())
    return found


def test_the_blank_card_is_one_page_with_room_for_everything(site: Path) -> None:
    (text,) = words_on(site / "print" / "blank-card.pdf")
    for words in ("Aim", "Bring", "Say", "Listen for", "If it goes wrong", "Ready to move on", "Home practice"):
        assert words in text


def test_pages_are_the_band_s_paper(site: Path) -> None:
    box = pdf(site, "print/lesson-02.pdf").pages[0].mediabox
    assert float(box.width) == pytest.approx(595.28, abs=0.1)  # ISO 216 A4, 210 × 297 mm, in points
    assert float(box.height) == pytest.approx(841.89, abs=0.1)


def set_for_america(book: Book, folder: Path, lessons: slice) -> bytes:
    """Lessons of the course set in one file, from nothing, for a band on US Letter with American words."""
    american = replace(book, band=replace(book.band, paper="letter", english="american"))
    course = load_course(book.root, american.band, book.tunes, book.pieces, Problems(book.root))
    assert course
    pictures = Pictures(book.root / ".cache", "american")
    pack = PrintPack()
    views = [lesson_view(replace(american, course=course), lesson.id) for lesson in course.course.lessons[lessons]]
    return print_lessons(american, [lesson_values(american, view, pictures, pack) for view in views], pack, folder)


@pytest.fixture(scope="module")
def letter(book: Book, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The whole course."""
    return set_for_america(book, tmp_path_factory.mktemp("letter"), slice(None))


def test_the_pack_fits_us_letter(
    letter: bytes, course: CourseBook, sheet_pages: dict[str, list[tuple[Player, int]]]
) -> None:
    read = PdfReader(io.BytesIO(letter))
    fewest, most = whole_course(course, sheet_pages)
    assert fewest <= len(written(words_on(letter))) <= most
    assert float(read.pages[0].mediabox.width) == pytest.approx(612)  # 8.5 × 11 in
    assert float(read.pages[0].mediabox.height) == pytest.approx(792)


def test_a_pack_is_reproducible_byte_for_byte(book: Book, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Lessons without music and with it; whole builds are compared in ``test_build.py``."""
    one, two = (set_for_america(book, tmp_path_factory.mktemp(name), slice(1, None, 12)) for name in ("one", "two"))
    assert one == two


def test_words_follow_the_band(site: Path, letter: bytes) -> None:
    british = words_on(site / "print" / "lesson-02.pdf")[0]
    american = next(text for text in words_on(letter) if "Lesson 2:" in text)
    assert "semibreves, minims and crotchets" in " ".join(british.split())
    assert "whole, half and quarter notes" in " ".join(american.split())


@pytest.mark.parametrize("uri", ["course/lesson-07.html", "course/sheets/lesson-07/cornet.html"])
def test_a_handbook_that_is_not_published_prints_no_code(uri: str, site: Path) -> None:
    assert "bb-qr" not in (site / uri).read_text(encoding="utf-8")
    assert not zxingcpp.read_barcodes(picture(site / "print/lesson-07.pdf", 0))


def test_a_published_address_is_in_the_code(book: Book, course: CourseBook) -> None:
    there = replace(book, band=replace(book.band, address="https://band.example/handbook/"))
    pack = PrintPack()
    view = lesson_view(there, course.course.weeks[0].id)
    values = lesson_values(there, view, Pictures(book.root / ".cache", "british"), pack)
    assert values["cards"][0]["address"] == "https://band.example/handbook/course/lesson-01.html"
    assert values["cards"][0]["short"] == "band.example/handbook/course/lesson-01.html"
    sheets = [sheet["address"] for sheet in values["sheets"]]  # a player's leads to their own page, where it is heard
    assert sheets == [f"https://band.example/handbook/{sheet.uri}" for sheet in view.sheets]
    assert "https://band.example/handbook/course/sheets/lesson-01/cornet.html" in sheets
