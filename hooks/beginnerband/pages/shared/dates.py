"""Days for people."""

from __future__ import annotations

from datetime import date

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip
REGIONS = {"american": "US", "british": "GB"}
"""Where each English is written (ISO 3166): typesetters and browsers go by it."""

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def day(value: date, english: str, weekday: bool = False) -> str:
    """A date for people: ``16 September 2026``, or in American use ``September 16, 2026``."""
    month, american = MONTHS[value.month - 1], english == "american"
    text = f"{month} {value.day}, {value.year}" if american else f"{value.day} {month} {value.year}"
    return f"{DAYS[value.weekday()]}{',' if american else ''} {text}" if weekday else text


def short_day(value: date, english: str) -> str:
    """A date for the head of a narrow column: ``16 Sep``, or in American use ``Sep 16``."""
    month = MONTHS[value.month - 1][:3]
    return f"{month} {value.day}" if english == "american" else f"{value.day} {month}"
