"""Where a lesson stands in the site and in print, and what it and its date are called."""

from __future__ import annotations

from datetime import date

from beginnerband.data.book import Book
from beginnerband.teaching.course import Lesson

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


TODAY = "course/today.md"
"""The page of what the band can play at the coming lesson."""


def day(value: date, weekday: bool = False) -> str:
    """A date for people: ``16 September 2026``."""
    text = f"{value.day} {MONTHS[value.month - 1]} {value.year}"
    return f"{DAYS[value.weekday()]} {text}" if weekday else text


def lesson_uri(lesson: Lesson) -> str:
    """The page of a lesson."""
    return f"course/{lesson.id}.md"


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
    return f"Handbook {book.edition.version} · {day(book.edition.made)}".replace("Handbook  ·", "Handbook ·")
