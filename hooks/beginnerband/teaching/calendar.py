"""When the course is taught: its lesson days, which step over holidays, and how long, where and by how many."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice, takewhile
from typing import Literal

WEEK = timedelta(days=7)
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
"""As Python numbers them, Monday is 0."""

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
    """Day of a concert that is no lesson."""
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
    offsets: tuple[int, ...] = (0,)
    """Days from the first lesson of a week to each of that week, ascending from 0."""
    holidays: tuple[Holiday, ...] = ()
    """Days without a lesson."""

    @property
    def count(self) -> int:
        """Lessons of the course; ``ValueError`` where the dates leave none."""
        end = self.last or self.concert
        if self.start is None or end is None:
            return self.lessons or USUAL_LESSONS
        days = lesson_days(self.start, self.holidays, self.offsets)
        count = sum(1 for _ in takewhile(lambda day: day < end or day == self.last, days))
        if not count:
            raise ValueError("the holidays leave no day for a lesson")
        return count

    def dates(self, count: int) -> tuple[date, ...]:
        """Dates of ``count`` lessons; empty without a start."""
        return lesson_dates(self.start, count, self.holidays, self.offsets) if self.start else ()


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
