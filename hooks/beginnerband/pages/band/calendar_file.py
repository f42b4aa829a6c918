"""The timetable for calendars: iCalendar (RFC 5545), with the rules of the time zone in the file."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from beginnerband.data.band import Band

if TYPE_CHECKING:
    from icalendar import Event


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One lesson in a calendar."""

    day: date
    """When."""
    title: str
    """What it is called."""
    about: str
    """What is to be known, in several lines."""
    own_day: bool = False
    """Whether it is on a day of its own, and has neither the lessons' time nor their place."""


def calendar(band: Band, entries: Iterable[CalendarEntry]) -> bytes:
    """A calendar of the lessons: from the band's time for its minutes; whole days where it gives no time.

    The same lessons give the same bytes: the stamp of each is the start of its day, not the moment it was written.
    """
    from icalendar import Calendar  # slow to load, and only the leader's own copy needs it

    found = Calendar()
    found.add("prodid", "-//Beginner-band handbook//Timetable//EN")
    found.add("version", "2.0")
    found.add("x-wr-calname", band.name)
    days = []
    for entry in entries:
        found.add_component(_event(band, entry))
        days.append(entry.day)
    if band.time and band.time_zone and days:
        year = timedelta(days=366)  # so that the changes of the clock on both sides are there
        found.add_missing_timezones(first_date=min(days) - year, last_date=max(days) + year)
    return bytes(found.to_ical())


def _event(band: Band, entry: CalendarEntry) -> Event:
    from icalendar import Event

    event = Event()
    name = hashlib.sha256(f"{band.name}\0{entry.day}\0{entry.title}".encode()).hexdigest()[:24]
    event.add("uid", f"{name}@beginner-band-handbook.invalid")
    event.add("dtstamp", datetime(entry.day.year, entry.day.month, entry.day.day, tzinfo=UTC))
    if band.time and band.time_zone and not entry.own_day:
        start = datetime.combine(entry.day, band.time, band.time_zone)
        event.add("dtstart", start)
        event.add("dtend", start + timedelta(minutes=band.teaching.minutes))
    else:
        event.add("dtstart", entry.day)
        event.add("dtend", entry.day + timedelta(days=1))
    event.add("summary", entry.title)
    event.add("description", entry.about)
    if band.place and not entry.own_day:
        event.add("location", band.place)
    return event
