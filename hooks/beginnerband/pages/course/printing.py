"""What is printed of the course: sheets, all of it, one file for each lesson and each card, a card to fill in."""

from __future__ import annotations

from typing import Any

from beginnerband.data.book import Book
from beginnerband.pages.course import sheets
from beginnerband.pages.course.lesson_view import lesson_view
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.print_data import lesson_values, pack_values
from beginnerband.pages.course.whole_course import parts_of
from beginnerband.pages.shared.links import card_pdf, lesson_pdf, lesson_title
from beginnerband.products import Products
from beginnerband.render.print_pack import PrintPack

BLANK_CARD = "print/blank-card.pdf"
"""A card to fill in."""


def contribute(book: Book, products: Products) -> None:
    """All that is printed of the course; nothing when the content has none."""
    course = book.course
    if course is None:
        return
    sheets.contribute(book, course, products)
    pack, once = PrintPack(book.mark, book.fonts), {}
    for lesson in course.course.lessons:
        values, pictures = book.reuse.of(_lesson, book, lesson.id)
        pack.pictures.update(pictures)
        job = pack.job(pack_values(book, lesson_title(lesson), [values]))
        cards, copies = [1 for _ in values["cards"]], [sheet["copies"] for sheet in values["sheets"]]
        pack.bind(products, lesson_pdf(lesson), [(job, cards + copies)])
        pack.bind(products, card_pdf(lesson), [(job, cards + [0 for _ in copies])])
        once[lesson.id] = (job, cards + [1 for _ in copies])
    pack.put(products, BLANK_CARD, pack_values(book, "A card to fill in", blank=True))
    title = f"The course of {book.band.name}"
    for part in parts_of(course):
        subtitle = f"{part.name}: leader’s cards and players’ sheets"
        named = [lesson_title(lesson) for lesson in part.lessons]
        contents = pack.job(pack_values(book, title, subtitle=subtitle, contents=named))
        pack.bind(products, part.uri, [once[lesson.id] for lesson in part.lessons], contents)


def addresses(book: Book) -> tuple[str, ...]:
    """Every file that :func:`contribute` makes."""
    if book.course is None:
        return ()
    whole = (part.uri for part in parts_of(book.course))
    papers = ((lesson_pdf(lesson), card_pdf(lesson)) for lesson in book.course.course.lessons)
    return (BLANK_CARD, *whole, *(uri for both in papers for uri in both), *sheets.addresses(book.course))


def _lesson(book: Book, ident: str) -> tuple[dict[str, Any], dict[str, bytes]]:
    """What a lesson's card and sheets show, and their pictures by key."""
    pack, pictures = PrintPack(), Pictures(book.root / ".cache", book.band.english, book.band.paper)
    return lesson_values(book, lesson_view(book, ident), pictures, pack), pack.pictures
