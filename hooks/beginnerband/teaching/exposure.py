"""How long ears may be in how loud a sound, by the published rule for adults at work.

NIOSH, *Criteria for a Recommended Standard: Occupational Noise Exposure*, publication 98-126 (1998): 85 dBA for eight
hours, and for each 3 dB more, half of the time. Time in minutes is ``480 / 2 ** ((level - 85) / 3)`` (the document's
own formula; values from memory).
"""

from __future__ import annotations

REFERENCE_DBA = 85.0
"""Level allowed for a full working day, dBA."""

EXCHANGE_DB = 3.0
"""Decibels that halve the time."""

DAY_MINUTES = 480.0
"""A working day, minutes."""


def allowed_minutes(dba: float) -> float:
    """Minutes a day at a steady level: 480 at 85 dBA, 240 at 88, 15 at 100."""
    return float(DAY_MINUTES / 2 ** ((dba - REFERENCE_DBA) / EXCHANGE_DB))


def dose_percent(dba: float, minutes: float) -> float:
    """Share of the day's allowance used by ``minutes`` at a steady level, in percent: 100 for an hour at 94 dBA."""
    return 100 * minutes / allowed_minutes(dba)


def same_energy_minutes(dba: float, limit_dba: float, limit_minutes: float) -> float:
    """Minutes at ``dba`` with the sound energy of ``limit_minutes`` at ``limit_dba``, by the same halving rule."""
    return limit_minutes / float(2 ** ((dba - limit_dba) / EXCHANGE_DB))


def in_words(minutes: float) -> str:
    """A time for people: ``all day``, ``8 hours``, ``1 hour``, ``15 minutes``, ``4 minutes``, ``under a minute``."""
    if minutes >= 24 * 60:
        return "all day"
    if minutes >= 60:
        hours = round(minutes / 60 * 2) / 2
        number = f"{hours:.1f}".removesuffix(".0")
        return f"{number} hour{'' if hours == 1 else 's'}"
    if minutes < 1:
        return "under a minute"
    whole = int(minutes + 1e-9)  # rounded down: a limit is not rounded up
    return f"{whole} minute{'' if whole == 1 else 's'}"
