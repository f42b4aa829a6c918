"""Where a lesson stands in the site and in print, and what it is called."""

from __future__ import annotations

from beginnerband.data.book import Book
from beginnerband.pages.shared.dates import day
from beginnerband.teaching.course import Lesson

TODAY = "course/today.md"
"""The page of what the band can play at the coming lesson."""


def lesson_uri(lesson: Lesson) -> str:
    """The page of a lesson."""
    return f"course/{lesson.id}.md"


def card_uri(lesson: Lesson, room: str = "") -> str:
    """The page of a card: the lesson's own, or beside it that of a second room."""
    return f"course/{lesson.id}-{room}.md" if room else lesson_uri(lesson)


def lesson_title(lesson: Lesson) -> str:
    """A lesson's title with its number."""
    return f"Lesson {lesson.number}: {lesson.title}"


def lesson_pdf(lesson: Lesson) -> str:
    """The print pack of one lesson: card and sheets."""
    return f"print/{lesson.id}.pdf"


def card_pdf(lesson: Lesson) -> str:
    """The leader's card of one lesson alone, to print."""
    return f"print/{lesson.id}-card.pdf"


def address_of(book: Book, uri: str) -> str:
    """Where a page is published; empty where the band has no address, since a path alone leads no phone anywhere."""
    path = uri.removesuffix(".md") + ".html" if uri.endswith(".md") else uri
    return f"{book.band.address.rstrip('/')}/{path}" if book.band.address else ""


def edition_words(book: Book) -> str:
    """Which handbook this is, for the foot of a page: ``Handbook 0.2.0 · 26 November 2026``."""
    return f"Handbook {book.edition.version} · {day(book.edition.made, book.band.english)}".replace(
        "Handbook  ·", "Handbook ·"
    )
