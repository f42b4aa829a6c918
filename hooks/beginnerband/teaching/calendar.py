"""When the course is taught: its lesson days, which step over holidays, and how long, where and by how many."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice, takewhile
from typing import Literal

from beginnerband.music.words import counted

WEEK = timedelta(days=7)
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
"""As Python numbers them, Monday is 0."""

ADULTS_WITH_CHILDREN = 2
"""In every room where there are children, at all times (common practice, no source; local rules come first)."""

USUAL_LESSONS = 26
"""Lessons of a course that says neither how many nor until when: one a week for half a year."""


@dataclass(frozen=True, slots=True)
class Holiday:
    """Days without a lesson, first and last included."""

    first: date
    """First day."""
    last: date
    """Last day."""

    def __contains__(self, day: date) -> bool:
        return self.first <= day <= self.last


@dataclass(frozen=True, slots=True, kw_only=True)
class Teaching:
    """When, where and by how many a course is taught."""

    start: date | None = None
    """Date of the first lesson, or ``None``."""
    last: date | None = None
    """Last day on which there can be a lesson."""
    concert: date | None = None
    """Day of a concert that is no lesson day; the course's last lesson is for it."""
    lessons: int | None = None
    """How many lessons, where no date says so."""
    minutes: int = 45
    """Length of a lesson."""
    rooms: Literal[1, 2] = 1
    """Rooms for teaching at the same time."""
    adults: int = 2
    """Adults who are there in every lesson."""
    ages: Literal["children", "adults", "mixed"] = "children"
    """Who the players are."""
    local_rule: int | None = None
    """Adults that local rules ask for in each room; ``None``: the usual number."""
    offsets: tuple[int, ...] = (0,)
    """Days from the first lesson of a week to each of that week, ascending from 0."""
    holidays: tuple[Holiday, ...] = ()
    """Days without a lesson."""

    @property
    def adults_a_room(self) -> int:
        """Adults needed in each room: by local rules, else one among adults and two where children are."""
        return self.local_rule or (1 if self.ages == "adults" else ADULTS_WITH_CHILDREN)

    @property
    def rooms_in_use(self) -> int:
        """Rooms taught in at the same time: those there are, if there are adults enough for each; else one."""
        return self.rooms if self.adults >= self.rooms * self.adults_a_room else 1

    @property
    def too_few(self) -> str:
        """Why one room of two is left empty, as part of a sentence; nothing where it is not."""
        if self.rooms_in_use == self.rooms:
            return ""
        there = "there is only one" if self.adults == 1 else f"there are only {counted(self.adults)}"
        return f"two rooms need {_adults(self.adults_a_room)} in each, and {there}"

    def who_is_there(self, rooms: int) -> str:
        """Who teaches and who has to be there in a lesson of so many rooms, and what local rules have to do with it."""
        each, need = " in each room" if rooms > 1 else "", self.adults_a_room
        if self.ages == "adults" and need == 1:
            return f"One person teaches{each}."
        more = "" if need == 1 else ", a second is present" if need == 2 else f", {counted(need - 1)} more are present"
        short = f" The band file has only {counted(self.adults)}." if self.adults < need * rooms else ""
        rules = "That is what your local rules ask." if self.local_rule else "Local rules may ask for more."
        return f"One adult teaches{more}{each}. {rules}{short}"

    @property
    def count(self) -> int:
        """Lessons, a concert on a day of its own counted in; ``ValueError`` where the dates leave none."""
        end = self.last or self.concert
        if self.start is None or end is None:
            return self.lessons or USUAL_LESSONS
        days = lesson_days(self.start, self.holidays, self.offsets)
        count = sum(1 for _ in takewhile(lambda day: day < end or day == self.last, days))
        if not count:
            raise ValueError("the holidays leave no day for a lesson")
        return count if self.last else count + 1

    def dates(self, count: int) -> tuple[date, ...]:
        """Dates of the first ``count`` lessons, the last of all on the concert's own day; empty without a start."""
        if self.start is None:
            return ()
        if self.concert and count == self.count:
            return (*lesson_dates(self.start, count - 1, self.holidays, self.offsets), self.concert)
        return lesson_dates(self.start, count, self.holidays, self.offsets)


def _adults(count: int) -> str:
    return f"{counted(count)} adult{'s' if count > 1 else ''}"


def spread(lessons_a_week: int) -> tuple[int, ...]:
    """Days after the first lesson of the week, as far apart as they can be: ``(0, 3)`` for two, ``(0, 2, 4)``."""
    return tuple(7 * number // lessons_a_week for number in range(lessons_a_week))


def lesson_days(start: date, holidays: Iterable[Holiday] = (), offsets: tuple[int, ...] = (0,)) -> Iterator[date]:
    """Lesson days from ``start`` for ten years, on the same weekdays, none in a holiday."""
    closed = tuple(holidays)
    for week in range(520):
        for offset in offsets:
            day = start + week * WEEK + timedelta(days=offset)
            if not any(day in holiday for holiday in closed):
                yield day


def lesson_dates(
    start: date, count: int, holidays: Iterable[Holiday] = (), offsets: tuple[int, ...] = (0,)
) -> tuple[date, ...]:
    """Dates of ``count`` lessons from ``start``, each on its weekdays, none in a holiday.

    Raises ``ValueError`` when the holidays leave no lesson day within ten years.
    """
    days = tuple(islice(lesson_days(start, holidays, offsets), count))
    if len(days) < count:
        raise ValueError("the holidays leave no day for a lesson")
    return days
