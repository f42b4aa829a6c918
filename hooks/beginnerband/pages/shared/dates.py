"""Days for people."""

from __future__ import annotations

from datetime import date

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def day(value: date, weekday: bool = False) -> str:
    """A date for people: ``16 September 2026``."""
    text = f"{value.day} {MONTHS[value.month - 1]} {value.year}"
    return f"{DAYS[value.weekday()]} {text}" if weekday else text
