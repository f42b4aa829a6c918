"""The pieces in parts that lessons use: which of them everybody can play by then, and what keeps back another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import KW_ONLY, dataclass

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.music.piece import Piece
from beginnerband.pages.pieces.programme import programme
from beginnerband.pages.pieces.view import PieceView, known_view, missing, played_key, slowly
from beginnerband.teaching.course import Lesson


@dataclass(frozen=True, slots=True)
class LessonPiece:
    """A piece in parts on the card of a lesson."""

    title: str
    """As printed."""
    _: KW_ONLY
    uri: str
    """Its page."""
    pdf: str
    """Its printable set: score and parts."""
    rehearse: str
    """The page to rehearse it from; empty where none is made."""
    lacks: str
    """Who does not know which notes by then; empty when everybody can play it."""


@dataclass(frozen=True, slots=True)
class Playable:
    """A tune or a piece, and from when the whole band can play it."""

    title: str
    """As printed."""
    _: KW_ONLY
    uri: str
    """Its page."""
    key: str
    """The concert key, as shown."""
    ear: int | None
    """Week (from 0) after which everyone can, taught by ear; ``None`` for a piece in parts, which is read."""
    paper: int | None
    """Week after which everyone can read it; ``None``: the course does not get there."""
    hear: Markup
    """Where a button appears that plays it slowly."""
    parts: bool = False
    """Whether it is in parts."""

    @property
    def week(self) -> int | None:
        """Week after which everyone can play it in one way or the other."""
        return min((place for place in (self.ear, self.paper) if place is not None), default=None)


class LessonPieces:
    """The pieces of every lesson, for one band; each piece is scored once."""

    def __init__(self, book: Book, course: CourseBook) -> None:
        self._book, self._course = book, course
        self._views: dict[str, PieceView] = {}

    def of(self, lesson: Lesson) -> tuple[LessonPiece, ...]:
        """The pieces that the lesson names, in its order; none where the band has no scoring."""
        if self._book.scoring is None:
            return ()
        week = self._course.course.weeks_of(lesson)[0]
        found = (self._book.pieces[ident] for ident in lesson.pieces if ident in self._book.pieces)
        return tuple(self._piece(piece, week) for piece in found)

    def further(self, lesson: Lesson) -> tuple[LessonPiece, ...]:
        """What the band can play as well at its concert, in a lesson that names its programme."""
        kept = programme(self._book)
        if lesson.id not in kept.lessons:
            return ()
        week = self._course.course.weeks_of(lesson)[0]
        return tuple(self._piece(self._book.pieces[ident], week) for ident in kept.further)

    def ready(self, lesson: Lesson) -> tuple[LessonPiece, ...]:
        """Those of them that everybody can play."""
        return tuple(piece for piece in self.of(lesson) if not piece.lacks)

    def playable(self) -> Iterator[Playable]:
        """Every piece of the book with the week from which everybody can play it."""
        if self._book.scoring is None:
            return
        for piece in self._book.pieces.values():
            one = self._view(piece)
            yield Playable(
                piece.title,
                uri=f"pieces/{piece.id}.md",
                key=played_key(one).sign,
                ear=None,
                paper=one.week,
                hear=slowly(self._book, one),
                parts=True,
            )

    def _view(self, piece: Piece) -> PieceView:
        if piece.id not in self._views:
            self._views[piece.id] = known_view(self._book, piece.id)
        return self._views[piece.id]

    def _piece(self, piece: Piece, week: int) -> LessonPiece:
        return LessonPiece(
            piece.title,
            uri=f"pieces/{piece.id}.md",
            pdf=f"print/pieces/{piece.id}.pdf",
            rehearse=f"pieces/rehearse/{piece.id}.md" if self._book.rehearsal else "",
            lacks=_lacks(self._book, self._view(piece), week),
        )


def _lacks(book: Book, one: PieceView, week: int) -> str:
    """Who lacks what after ``week`` lessons are taught (from 0), in words."""
    return "" if one.week is not None and one.week <= week else missing(book, one, week)
