"""Tables in the guide of how long ears bear how much sound, by published rules."""

from __future__ import annotations

from markupsafe import Markup

from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.pages.shared.table import Rows, table
from beginnerband.teaching import exposure

LEVELS_DBA = (80, 85, 88, 91, 94, 97, 100, 103, 106)
"""Levels shown, dBA."""


def exposure_table(context: Context, args: Args) -> str:
    """``[[exposure]]``: how long at how loud, by the NIOSH rule for adults at work."""
    args.only()
    rows: Rows = []
    for level in LEVELS_DBA:
        used = exposure.dose_percent(level, 60)
        share = f"{round(used, 1):g} %" if used < 1000 else f"{used / 100:.0f} days' worth"
        rows.append((f"{level} dBA", exposure.in_words(exposure.allowed_minutes(level)), share))
    caption = "Adults at work, one day: NIOSH 98-126, computed by its rule"
    return str(table(caption, ("Level at the ear", "Longest time a day", "One hour uses"), rows))


def exposure_day(context: Context, args: Args) -> str:
    """``[[exposure-day level=95]]``: longest time a day at a level, for adults at work, by the NIOSH rule."""
    return exposure.in_words(exposure.allowed_minutes(_level(args)))


def exposure_week(context: Context, args: Args) -> str:
    """``[[exposure-week level=91]]``: time a week at a level with the energy of 75 dBA for 40 hours."""
    return str(Markup("{}").format(exposure.in_words(exposure.same_energy_minutes(_level(args), 75, 40 * 60))))


def _level(args: Args) -> float:
    args.only("level")
    try:
        return float(args.named.get("level", ""))
    except ValueError:
        raise BlockError("level is missing or no number; write level=91") from None


BLOCKS = {
    "exposure-day": exposure_day,
    "exposure": exposure_table,
    "exposure-week": exposure_week,
}
