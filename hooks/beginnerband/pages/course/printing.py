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


def contribute(book: Book, products: Products) -> None:
    """All that is printed of the course; nothing when the content has none."""
    course = book.course
    if course is None:
        return
    pack = PrintPack(book.mark, book.fonts)
    lessons = _lessons(book, course, pack)
    for lesson, values in zip(course.course.lessons, lessons, strict=True):
        title = lesson_title(lesson)
        pack.put(products, lesson_pdf(lesson), pack_values(book, title, lesson.aim, [values], copies=True))
        pack.put(products, card_pdf(lesson), pack_values(book, title, lesson.aim, [values | {"sheets": []}]))
    pack.put(products, "print/blank-card.pdf", pack_values(book, "A card to fill in", "", [], blank=True))
    title = f"The course of {book.band.name}"
    whole = pack_values(book, title, "Leader’s cards and players’ sheets", lessons, contents=True)
    pack.put(products, "print/course.pdf", whole)


def _lessons(book: Book, course: CourseBook, pack: PrintPack) -> list[dict[str, Any]]:
    """What every lesson's card and sheets show, their pictures given to ``pack``."""
    pictures, pieces = Pictures(book.root / ".cache", book.band.english), LessonPieces(book, course)
    return [
        lesson_values(book, course, lesson, pictures, pack, [piece.title for piece in pieces.ready(lesson)])
        for lesson in course.course.lessons
    ]
