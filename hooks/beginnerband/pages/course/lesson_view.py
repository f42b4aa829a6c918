"""All that the pages and the paper of one lesson show, as plain values: only a change in them makes it anew."""

from __future__ import annotations

from dataclasses import dataclass, replace

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.music.player import Player
from beginnerband.pages.course.card_view import CardView, card_rooms, card_view
from beginnerband.pages.course.pieces import LessonPiece, LessonPieces
from beginnerband.pages.course.sheet_view import SheetView, sheet_view
from beginnerband.pages.shared.links import lesson_title, lesson_uri
from beginnerband.reuse import wide_question
from beginnerband.teaching.course import Lesson

Neighbour = tuple[str, str]
"""The page of another lesson, and its title."""


@dataclass(frozen=True, slots=True)
class LessonView:
    """One lesson."""

    cards: tuple[CardView, ...]
    """The leader's card; where it is taught apart, that of each room's leader."""
    sheets: tuple[SheetView, ...]
    """Every player's sheet, in score order."""
    pieces: tuple[LessonPiece, ...]
    """Pieces in parts that it names."""
    rooms: tuple[str, ...]
    """Names of the rooms of the course."""
    days: str
    """Day and page of every lesson, as :func:`lesson_days` gives them."""
    before: Neighbour | None
    """The lesson before it."""
    after: Neighbour | None
    """The lesson after it."""

    @property
    def card(self) -> CardView:
        """The first card, whose page is the lesson's."""
        return self.cards[0]

    def card_of(self, player: Player) -> CardView:
        """The card of the leader who teaches a player."""
        return next(card for card in self.cards if player.id in card.players)


@wide_question
def lesson_view(book: Book, ident: str) -> LessonView:
    """The lesson of an id; ``KeyError`` where there is none."""
    course = book.course
    assert course is not None  # it is asked of lessons alone
    lessons = course.course.lessons
    place = next((place for place, lesson in enumerate(lessons) if lesson.id == ident), None)
    if place is None:
        raise KeyError(ident)
    lesson = lessons[place]
    every = LessonPieces(book, course)
    pieces, further = every.of(lesson), every.further(lesson)
    untaught = " ".join(f"For {piece.title}: {piece.lacks}." for piece in pieces if piece.lacks)
    return LessonView(
        cards=tuple(
            replace(
                card_view(book, course, lesson, room),
                untaught=untaught,
                further=further,
            )
            for room in card_rooms(course, lesson)
        ),
        sheets=tuple(sheet_view(book, course, lesson, player) for player in course.players),
        pieces=pieces,
        rooms=tuple(room.name for room in course.rooms),
        days=lesson_days(course),
        before=_neighbour(lessons[place - 1]) if place else None,
        after=_neighbour(lessons[place + 1]) if place + 1 < len(lessons) else None,
    )


def lesson_days(course: CourseBook) -> str:
    """Day and page of every lesson, as ``2026-09-16 lesson-01.html``, for the script that marks the coming one."""
    pages = (lesson_uri(lesson).rpartition("/")[2].replace(".md", ".html") for lesson in course.course.weeks)
    return ",".join(f"{date.isoformat()} {page}" for date, page in zip(course.dates, pages, strict=False))


def _neighbour(lesson: Lesson) -> Neighbour:
    return lesson_uri(lesson), lesson_title(lesson)
