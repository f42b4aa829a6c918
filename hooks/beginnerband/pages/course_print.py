"""The print pack of the course: a file for each lesson, the whole course in one, and a card to fill in."""

from __future__ import annotations

from beginnerband.data.book import Book
from beginnerband.pages.lesson_pictures import Pictures
from beginnerband.pages.lesson_pieces import LessonPieces
from beginnerband.pages.lesson_view import pdf_uri, title_of
from beginnerband.pages.print_data import lesson_values, pack_values
from beginnerband.products import Products
from beginnerband.render.print_pack import PrintPack


def contribute(book: Book, products: Products) -> None:
    """Every file of the print pack; nothing when the content has no course."""
    course = book.course
    if course is None:
        return
    pictures, pack = Pictures(book.root / ".cache", book.band.words), PrintPack(book.root / ".cache")
    pieces = LessonPieces(book, course)
    lessons = course.course.lessons
    values = [
        lesson_values(book, course, lesson, pictures, pack, [piece.title for piece in pieces.ready(lesson)])
        for lesson in lessons
    ]
    title = f"The course of {book.band.name}"
    whole = pack_values(book, title, "Leader’s cards and players’ sheets", values, contents=True)
    # The whole first: Typst remembers the lessons it has set, and takes less memory than the other way round.
    products.asset("print/course.pdf", pack.pdf(whole))
    for lesson, each in zip(lessons, values, strict=True):
        products.asset(pdf_uri(lesson), pack.pdf(pack_values(book, title_of(lesson), lesson.aim, [each], copies=True)))
    products.asset("print/blank-card.pdf", pack.pdf(pack_values(book, "A card to fill in", "", [], blank=True)))
