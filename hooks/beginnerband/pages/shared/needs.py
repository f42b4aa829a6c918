"""What music asks of the band's players, and the lesson that brings each thing: the words that pages share."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.words import series
from beginnerband.pages.shared.table import Row, table
from beginnerband.reuse import question
from beginnerband.teaching.readiness import Need, Taught, taught
from beginnerband.teaching.wording import need_words

EVERYONE = "everyone"

FEW = 4
"""So many names are said in a sentence; the table has all."""


@question
def learners(book: Book) -> dict[str, Taught]:
    """What the players of each instrument are taught by when, by instrument id; empty without a course."""
    course = book.course
    if course is None:
        return {}
    return {player.id: taught(course.grades.weeks[player.id], player, course.ladder) for player in course.players}


@question
def lesson_number(book: Book, place: int | None) -> str:
    """Number of the lesson of a week, from 0; empty for none."""
    return "" if place is None or book.course is None else str(book.course.course.weeks[place].number)


@question
def lesson_with(book: Book, piece: str) -> str:
    """Number of the first lesson that works on a piece; empty where none does."""
    weeks = book.course.course.weeks if book.course else ()
    return next((str(lesson.number) for lesson in weeks if piece in lesson.pieces), "")


@dataclass(frozen=True, slots=True)
class SharedNeed:
    """One thing, and everyone who needs it."""

    words: str
    """What, in the band's words; several notes are joined."""
    who: tuple[str, ...]
    """Names of the instruments, or :data:`EVERYONE`."""
    bar: int
    """Where it is first met; 0 where no bar is meant."""
    place: int | None
    """Week from 0 that brings it, ``None``: none does."""
    notes: bool = False
    """Whether it is written notes."""


def gathered(book: Book, needs: Mapping[str, Iterable[Need]]) -> tuple[SharedNeed, ...]:
    """The needs of each instrument (by name), those that are alike together; never taught first, then the latest first.

    The notes one instrument lacks of the same lesson are one thing.
    """
    english = book.band.english
    found: dict[tuple[int | None, str, int, bool], list[str]] = {}
    for name, asked in needs.items():
        notes: dict[int | None, list[Need]] = {}
        for need in asked:
            if need.kind == "note":
                notes.setdefault(need.place, []).append(need)
            else:
                found.setdefault((need.place, need_words(need, english), need.bar, False), []).append(name)
        for place, some in notes.items():
            words = "written " + series([need_words(need, english) for need in some])
            found.setdefault((place, words, min(need.bar for need in some), True), []).append(name)
    everyone = tuple(needs)
    asked_for = (
        SharedNeed(words, _who(tuple(dict.fromkeys(who)), everyone), bar, place, notes)
        for (place, words, bar, notes), who in found.items()
    )
    return tuple(sorted(asked_for, key=lambda one: (one.place is not None, -(one.place or 0), one.bar)))


def _who(names: tuple[str, ...], every: tuple[str, ...]) -> tuple[str, ...]:
    """Names, or everyone, or everyone but a few."""
    others = [name for name in every if name not in names]
    if len(every) == 1 or len(others) * 3 > len(every):
        return names
    return (f"{EVERYONE} but {series(others)}" if others else EVERYONE,)


def missing_words(asked: Sequence[SharedNeed]) -> str:
    """Things with those they are for: ``everyone: 6/8 and slurs (bar 3); E♭ bass: written D5 (bar 4)``."""
    by_who: dict[tuple[str, ...], list[str]] = {}
    for one in asked:
        where = f" (bar {one.bar})" if one.bar else ""
        by_who.setdefault(one.who, []).append(one.words + where)
    return "; ".join(f"{series(who)}: {series(things)}" for who, things in by_who.items())


def things_words(asked: Sequence[SharedNeed]) -> str:
    """Only what, with the bars, for a sentence: ``slurs (bar 3), 6/8 (bar 1) and notes for the cornet``."""
    found: dict[str, int] = {}
    notes: dict[str, None] = {}
    for one in asked:
        if one.notes:
            notes |= dict.fromkeys(one.who)
        elif one.words not in found:
            found[one.words] = one.bar
    said = [words + (f" (bar {bar})" if bar else "") for words, bar in found.items()]
    if notes:
        few = len(notes) <= FEW
        said.append(f"notes for the {series(notes)}" if few else f"notes for {len(notes)} of the band's instruments")
    return series(said)


def needs_table(book: Book, asked: Sequence[SharedNeed], caption: str) -> Markup:
    """Everything asked, and which lesson brings it, the latest first."""
    rows = [
        Row((one.words, series(one.who), str(one.bar) if one.bar else "", lesson_number(book, one.place) or "none"))
        for one in asked
    ]
    return table(caption, ("What it asks", "Of whom", "First in bar", "Lesson that brings it"), rows, kind="bb-needs")
