"""On which days lessons are. Checked against the calendar of 2026 by hand: 16 September 2026 is a Wednesday."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from beginnerband.data.book import Book
from beginnerband.teaching.calendar import Holiday, Teaching, lesson_dates, spread


def test_dates_step_over_holidays() -> None:
    days = lesson_dates(date(2026, 9, 16), 4, [Holiday(date(2026, 9, 21), date(2026, 10, 2))])
    assert days == (date(2026, 9, 16), date(2026, 10, 7), date(2026, 10, 14), date(2026, 10, 21))
    assert {day.weekday() for day in days} == {2}


def test_two_lessons_a_week_are_spread_or_on_the_days_named() -> None:
    assert spread(2) == (0, 3)  # Wednesday and Saturday: three and four days apart
    assert spread(3) == (0, 2, 4)
    twice = Teaching(start=date(2026, 9, 15), offsets=(0, 2), lessons=4)  # a Tuesday
    assert twice.dates(twice.count) == (date(2026, 9, 15), date(2026, 9, 17), date(2026, 9, 22), date(2026, 9, 24))


def test_the_last_day_or_the_concert_says_how_many_lessons_there_are() -> None:
    wednesdays = Teaching(start=date(2026, 9, 16), last=date(2026, 10, 7))
    assert wednesdays.count == 4  # 16, 23 and 30 September, 7 October
    assert replace(wednesdays, last=date(2026, 10, 13)).count == 4
    assert replace(wednesdays, last=None, concert=date(2026, 10, 7)).count == 4
    assert replace(wednesdays, holidays=(Holiday(date(2026, 9, 21), date(2026, 9, 25)),)).count == 3
    assert Teaching().count == 26


def test_the_last_card_is_for_the_concert_on_its_own_day() -> None:
    """10 October 2026 is a Saturday; the lesson before it is on Wednesday, 7 October."""
    saturday = Teaching(start=date(2026, 9, 23), concert=date(2026, 10, 10))
    assert saturday.count == 4  # 23 and 30 September, 7 October, and the concert
    assert saturday.dates(4) == (date(2026, 9, 23), date(2026, 9, 30), date(2026, 10, 7), date(2026, 10, 10))
    assert saturday.dates(2) == (date(2026, 9, 23), date(2026, 9, 30))
    away = replace(saturday, holidays=(Holiday(date(2026, 10, 5), date(2026, 10, 12)),))
    assert away.dates(away.count)[-2:] == (date(2026, 9, 30), date(2026, 10, 10))


def test_endless_holidays_are_refused() -> None:
    with pytest.raises(ValueError, match="no day for a lesson"):
        lesson_dates(date(2026, 9, 16), 1, [Holiday(date(2026, 1, 1), date(2046, 1, 1))])


def test_the_start_and_holidays_of_the_band_are_used(book: Book) -> None:
    assert book.course
    assert book.band.teaching.start == book.course.dates[0]
    assert not any(day in holiday for day in book.course.dates for holiday in book.band.teaching.holidays)
