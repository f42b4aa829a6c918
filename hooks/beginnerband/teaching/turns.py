"""Who plays at a time where a step goes round, and how long anybody then waits for a turn.

A step says by whom it goes round and how long a turn lasts; what that is in a band of so many is computed, so that no
wait is longer than the plan allows: with shorter turns where it offers some, then with more at once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from beginnerband.music.score import Line
from beginnerband.music.words import counted
from beginnerband.teaching.addressed import Whom

FEW = 6
"""Below so many players of notes nobody speaks of rows and pairs: each takes a turn of their own."""

LONG_ROW = 8
"""More than so many of one instrument make another row (common practice, no source)."""

WORDS = ("at-once", "each-turn", "wait")
"""What a text can say of turns, in braces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """How a band takes turns in a step."""

    unit: str
    """Who has a turn, as ``row``."""
    at_once: int
    """How many of these at a time."""
    count: int
    """How many turns there are until everybody had one."""
    seconds: float
    """How long a turn lasts."""

    @property
    def wait(self) -> float:
        """Seconds from the end of one's turn to the next."""
        return (self.count - 1) * self.seconds

    @property
    def words(self) -> Mapping[str, str]:
        """What texts say of it, by :data:`WORDS`: ``two rows``, ``half a minute``, the wait in half minutes."""
        at_once = f"{counted(self.at_once)} {self.unit}{'s' if self.at_once > 1 else ''}"
        wait = max(ceil(self.wait / 30), 1) * 30
        return dict(zip(WORDS, (at_once, lasting(self.seconds), lasting(wait)), strict=True))


def lasting(seconds: float) -> str:
    """A length of time as it is said: ``half a minute``, ``two and a half minutes``, ``10 seconds``."""
    minutes, more = divmod(round(seconds), 60)
    if more not in (0, 30) or not seconds:
        return f"{round(seconds)} seconds"
    if minutes < 2:
        return {(0, 30): "half a minute", (1, 0): "a minute", (1, 30): "a minute and a half"}[minutes, more]
    return f"{counted(minutes)}{' and a half' if more else ''} minutes"


def _rows(whom: Whom) -> int:
    """Rows as people sit, each a row where they are few; in a band of one instrument two, to play to each other."""
    if whom.on_notes < FEW:
        return whom.count
    return max(sum(ceil(max(player.count, 1) / LONG_ROW) for player in whom.band), 2)


UNITS: Mapping[str, tuple[Callable[[Whom], int], str]] = {
    "player": (lambda whom: whom.count, "each player has a turn"),
    "pair": (lambda whom: ceil(whom.count / (2 if whom.on_notes >= FEW else 1)), "two players; one where they are few"),
    "row": (_rows, "those of one instrument, eight at most; one player where they are few"),
    "part": (lambda whom: max(whom.parts, 1), "those of one part of a piece"),
    "third": (
        lambda whom: 3 if whom.on_notes >= FEW else 2,
        "a third of the band, one of two sides where they are few",
    ),
    "half": (lambda _: 2, "half of the band"),
}
"""By whom a step can go round: how many turns that makes, and who that is."""


def taken(by: str, seconds: Sequence[float], whom: Whom, longest: float) -> Turn:
    """Turns of the first of these lengths with which nobody waits longer than ``longest`` seconds.

    Where all are too long, so many have the last of them at once that it is. What cannot be taken by more at once, as
    halves, may still be longer.
    """
    whole = UNITS[by][0](whom)
    unit = "player" if by in ("row", "pair") and whom.on_notes < FEW else by
    length = next((each for each in seconds if (whole - 1) * each <= longest), seconds[-1])
    at_once = ceil(whole / max(int(longest // length) + 1, 2))
    return Turn(unit=unit, at_once=at_once, count=ceil(whole / at_once), seconds=length)


def played(bars: int | None, lines: Sequence[Line]) -> float:
    """Seconds that so many bars of the slowest of these lines last; ``None``: all of the longest."""
    if bars is None:
        return max(line.tempo.seconds(line.quarters) for line in lines)
    return max(line.tempo.seconds(bars * line.time.quarters) for line in lines)
