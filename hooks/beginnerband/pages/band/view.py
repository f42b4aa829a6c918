"""What the pages and the sheets of one planned band show: worked out once, used by both."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import chain

from beginnerband.data.book import Book
from beginnerband.data.planned import Planned
from beginnerband.music.player import Player
from beginnerband.pages.band.words import Words
from beginnerband.people.changes import Borrowing, Refusal, borrowings, movers, refusals, steps
from beginnerband.people.coverage import Absence, LineCover, away, coverage, pairs_that_lose
from beginnerband.people.matching import Matching
from beginnerband.people.plan import Place, Plan
from beginnerband.people.roster import CupboardItem
from beginnerband.people.seating import Seating, seat
from beginnerband.people.timetable import Session, timetable
from beginnerband.teaching.grading import Grades, grade
from beginnerband.teaching.ladder import missing_for_mover


@dataclass(frozen=True, slots=True)
class Lack:
    """What somebody who moves has not been taught, after some lesson."""

    lesson: int
    """Number of the lesson."""
    notes: tuple[str, ...]
    """Written notes."""


class BandView:
    """One planned band; everything is worked out when it is first asked for."""

    def __init__(self, book: Book, planned: Planned) -> None:
        self.book, self.planned = book, planned
        self.words = Words(book, planned)
        self.plan: Plan = planned.plan
        self.places: tuple[Place, ...] = planned.plan.places
        self.met = planned.plan if not planned.clash else None

    @cached_property
    def workable(self) -> Matching:
        """What plans are made with, without the demands that cannot be met."""
        return self.planned.matching.without(self.plan.dropped)

    @cached_property
    def others(self) -> tuple[Plan, ...]:
        """The next-best plans."""
        return self.workable.others(self.plan)

    @cached_property
    def refused(self) -> dict[str, Refusal]:
        """First wishes not granted, by name."""
        return {each.place.learner.name: each for each in refusals(self.workable, self.plan)}

    @cached_property
    def borrowings(self) -> tuple[Borrowing, ...]:
        """What borrowing would do: what somebody would lend, or, where nobody is named, any instrument."""
        roster = self.planned.roster
        everything = [CupboardItem(instrument, state="could-be-lent") for instrument in self.book.instruments.values()]
        matching = self.planned.matching
        if self.met is not None:
            return borrowings(matching, self.met, roster.lendable or everything)
        named = [things for things in (roster.lendable, everything) if things]
        whole = (borrowings(matching, None, things) for things in named)
        nearer = (steps(matching, self.plan, things) for things in named)  # one instrument is not enough
        return next(filter(None, chain(whole, nearer)), ())

    @cached_property
    def coverage(self) -> tuple[LineCover, ...]:
        """Each line from the top."""
        home = self.book.scoring.rules.home if self.book.scoring else {}
        return coverage(self.places, self.planned.matching.rules, home)

    @cached_property
    def absences(self) -> tuple[tuple[Absence, ...], tuple[Absence, ...]]:
        """Everybody away alone, and every two whose absence costs a line that neither alone would."""
        rules = self.planned.matching.rules
        singles = tuple(away(self.places, [place.learner.name], rules) for place in self.places)
        return singles, pairs_that_lose(self.places, rules)

    @cached_property
    def seating(self) -> Seating:
        """Where everybody sits."""
        gathering = self.planned.gathering
        return seat(self.places, gathering.room, self.planned.matching.rules, gathering.seats)

    @cached_property
    def movers(self) -> tuple[Place, ...]:
        """Those who play something else now."""
        return movers(self.plan)

    @cached_property
    def meetings(self) -> tuple[Session, ...]:
        """Every lesson with a date."""
        course = self.book.course
        if course is None or not course.dates:
            return ()
        lessons = [
            (day, lesson.id, any(not step.together for step in lesson.steps))
            for day, lesson in zip(course.dates, course.course.weeks, strict=True)
        ]
        rooms = [(room.name, room.groups) for room in course.course.rooms]
        first = [place.learner.name for place in self.movers]
        turns = self.planned.gathering.turns
        return timetable(self.places, lessons, rooms, first, turns, concert=self.concert)

    def lesson_title(self, lesson_id: str) -> str:
        """A lesson's title by its id."""
        assert self.book.course is not None
        lesson = next(each for each in self.book.course.course.weeks if each.id == lesson_id)
        return f"Lesson {lesson.number}: {lesson.title}"

    def player(self, place: Place) -> Player:
        """A learner's instrument as this band reads it."""
        return Player(place.item.instrument, self.planned.matching.reading(place.item.instrument))

    def lacks(self, place: Place) -> tuple[Lack, ...]:
        """What somebody who moves lacks on the new instrument after each lesson; nothing where they do not move."""
        course, learner = self.book.course, place.learner
        if course is None or learner.now in ("", place.item.instrument.id):
            return ()
        old = self.book.instruments[learner.now]
        new = self.player(place)
        both = grade(course.course, [Player(old, self.planned.matching.reading(old)), new])
        return tuple(
            Lack(week.lesson.number, notes)
            for week in both.weeks[new.id]
            if (notes := _names(both, old.id, new.id, week.place))
        )

    @property
    def concert(self) -> date | None:
        """Day of a concert that is no lesson day."""
        return self.book.band.teaching.concert

    @property
    def dates(self) -> tuple[date, ...]:
        """Dates of the course's lessons."""
        return self.book.course.dates if self.book.course else ()


def _names(grades: Grades, old: str, new: str, place: int) -> tuple[str, ...]:
    return tuple(pitch.sign for pitch in missing_for_mover(grades, old, new, place).ordered)
