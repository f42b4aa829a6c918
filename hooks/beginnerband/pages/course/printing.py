"""The print pack: the whole course in one file, one for each lesson and for its card alone, and a card to fill in."""

from __future__ import annotations

from typing import Any

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.pieces import LessonPieces
from beginnerband.pages.course.print_data import lesson_values, pack_values
from beginnerband.pages.shared.links import card_pdf, lesson_pdf, lesson_title
from beginnerband.products import Products
from beginnerband.render.print_pack import PrintPack


def contribute_whole(book: Book, products: Products) -> None:
    """The whole course in one file; nothing when the content has no course.

    (Apart from the lessons, since Typst remembers all it has set, and both together take half as much memory again.)
    """
    course = book.course
    if course is None:
        return
    pack = PrintPack(book.root / ".cache", book.mark, book.fonts)
    title = f"The course of {book.band.name}"
    values = _lessons(book, course, pack)
    whole = pack_values(book, title, "Leader’s cards and players’ sheets", values, contents=True)
    products.asset("print/course.pdf", pack.pdf(whole))


def contribute_lessons(book: Book, products: Products) -> None:
    """A file for each lesson, its card alone, and a card to fill in; nothing when the content has no course."""
    course = book.course
    if course is None:
        return
    pack = PrintPack(book.root / ".cache", book.mark, book.fonts)
    for lesson, values in zip(course.course.lessons, _lessons(book, course, pack), strict=True):
        one = pack_values(book, lesson_title(lesson), lesson.aim, [values], copies=True)
        products.asset(lesson_pdf(lesson), pack.pdf(one))
        alone = pack_values(book, lesson_title(lesson), lesson.aim, [values | {"sheets": []}])
        products.asset(card_pdf(lesson), pack.pdf(alone))
    products.asset("print/blank-card.pdf", pack.pdf(pack_values(book, "A card to fill in", "", [], blank=True)))


def _lessons(book: Book, course: CourseBook, pack: PrintPack) -> list[dict[str, Any]]:
    """What every lesson's card and sheets show, their pictures given to ``pack``."""
    pictures, pieces = Pictures(book.root / ".cache", book.band.english), LessonPieces(book, course)
    return [
        lesson_values(book, course, lesson, pictures, pack, [piece.title for piece in pieces.ready(lesson)])
        for lesson in course.course.lessons
    ]
