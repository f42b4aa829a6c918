"""Dates of a weekly course that steps over holidays."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Holiday:
    """Days without a lesson, first and last included."""

    first: date
    """First day."""
    last: date
    """Last day."""

    def __contains__(self, day: date) -> bool:
        return self.first <= day <= self.last


def lesson_dates(start: date, count: int, holidays: Iterable[Holiday] = ()) -> tuple[date, ...]:
    """Dates of ``count`` weekly lessons from ``start``, each on its weekday, none in a holiday.

    Raises ``ValueError`` when the holidays leave no lesson day within ten years.
    """
    closed = tuple(holidays)
    days: list[date] = []
    day, end = start, start + 520 * WEEK
    while len(days) < count:
        if day > end:
            raise ValueError("the holidays leave no day for a lesson")
        if not any(day in holiday for holiday in closed):
            days.append(day)
        day += WEEK
    return tuple(days)
