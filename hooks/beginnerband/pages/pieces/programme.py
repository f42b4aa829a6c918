"""The programme of the concert, as cards, the guide and the concert's page name it."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, replace

from markupsafe import Markup, escape

from beginnerband.data.book import Book
from beginnerband.music.words import series
from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.pieces.view import PieceView, known_view
from beginnerband.render.html import markdown_text, relative
from beginnerband.reuse import question
from beginnerband.teaching.course import Lesson
from beginnerband.teaching.programme import GAP, Candidate, further
from beginnerband.teaching.wording import spelled


@dataclass(frozen=True, slots=True)
class ConcertPieces:
    """What is played, each kind in its order."""

    _: KW_ONLY
    tunes: tuple[str, ...] = ()
    """Ids of tunes that everybody plays as one, first of all."""
    pieces: tuple[str, ...] = ()
    """Ids of the pieces in parts that the course rehearses."""
    further: tuple[str, ...] = ()
    """Ids of pieces in parts that everybody can play by then, to be rehearsed beside the course."""
    lessons: tuple[str, ...] = ()
    """Ids of the lessons that name all of it."""


@question
def programme(book: Book) -> ConcertPieces:
    """The programme of the band's course; empty without a course, or where its last lesson names no piece."""
    course = book.course.course if book.course else None
    if course is None or book.scoring is None or not course.weeks[-1].pieces:
        return ConcertPieces()
    last = course.weeks[-1]
    naming = [
        place
        for place, lesson in enumerate(course.weeks)
        if lesson.stage == last.stage and set(lesson.pieces) >= set(last.pieces)
    ]
    tunes = _tunes(last)
    dates = book.course.dates if book.course else ()
    found = [_candidate(known_view(book, ident)) for ident in book.pieces]
    day = dates[len(course.weeks) - 1] if dates else None
    lessons = tuple(course.weeks[place].id for place in naming)
    kept = ConcertPieces(tunes=tunes, pieces=last.pieces, lessons=lessons)
    used, _ = running(book, kept)
    return replace(kept, further=further(found, naming[0], used, day, (*last.pieces, *tunes)))


def _tunes(lesson: Lesson) -> tuple[str, ...]:
    items = (lesson.item(item) for step in lesson.steps if step.pieces for item in step.music)
    return tuple(dict.fromkeys(item.tune for item in items if item.tune))


def _candidate(one: PieceView) -> Candidate:
    faults = any(finding.severity == "fault" for finding in one.made)
    return Candidate(
        one.piece.id,
        week=one.week,
        seconds=one.piece.seconds,
        kind=one.piece.kind,
        known=not one.piece.own,
        whole=not one.scoring.uncovered and not faults,
    )


def running(book: Book, kept: ConcertPieces) -> tuple[float, float]:
    """Seconds that a course's own programme takes with what is between two pieces, and with the further ones."""
    pieces = (book.pieces[ident].seconds for ident in kept.pieces if ident in book.pieces)
    own = [*(book.tunes[ident].seconds for ident in kept.tunes), *pieces]
    more = [book.pieces[ident].seconds for ident in kept.further]
    return sum(own) + GAP * max(0, len(own) - 1), sum((*own, *more)) + GAP * max(0, len(own) + len(more) - 1)


def programme_words(context: Context, args: Args) -> str:
    """``[[programme]]``: what this band's first concert begins from and how long it takes; nothing without a course."""
    args.only()
    book = context.book
    kept = programme(book)
    if not kept.pieces:
        return ""
    words = spelled(rehearsed_words(book, kept), book.band.english)
    page = Markup(' <a href="{}">Put it together</a>').format(relative(context.uri, "pieces/concert.md"))
    return str(escape(words) + page + ".")


def rehearsed_words(book: Book, kept: ConcertPieces) -> str:
    """What the course rehearses, what the band can play as well, and how long each takes; in plain text."""
    own = [book.tunes[ident].title for ident in kept.tunes]
    own += [book.pieces[ident].title for ident in kept.pieces if ident in book.pieces]
    short, long = running(book, kept)
    words = f"This band\u2019s course rehearses {series(own)}: {_minutes(short)} with half a minute between two pieces."
    if not kept.further:
        return words
    titles = series([book.pieces[ident].title for ident in kept.further])
    them = "it" if len(kept.further) == 1 else "them"
    return f"{words} By then it can play {titles} as well, if you have rehearsed {them}: {_minutes(long)} in all."


def begins_words(book: Book, kept: ConcertPieces) -> str:
    """What a new programme begins with, as a paragraph of Markdown; nothing where that is what the course rehearses."""
    if not kept.further:
        return ""
    titles = series([markdown_text(book.pieces[ident].title) for ident in kept.further])
    what = f"what your course rehearses, then {titles}, which your band can play by then"
    return spelled(f"A new programme begins with {what}. Take out what you have not rehearsed.\n\n", book.band.english)


def _minutes(seconds: float) -> str:
    """Rounded to half minutes, as ``3½ minutes``."""
    halves = max(1, round(seconds / 30))
    whole = f"{halves // 2 or ''}{'½' if halves % 2 else ''}"
    return f"{whole} {'minute' if halves <= 2 else 'minutes'}"


BLOCKS = {"programme": programme_words}
"""Blocks of the concert."""
