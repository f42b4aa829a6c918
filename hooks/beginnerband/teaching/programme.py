"""What a band plays at its first concert: what its course rehearses, and what else it can play by then.

A course rehearses few pieces, and they are short. A band that knows the notes of others may add some of them where it
has found the time to rehearse them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import KW_ONLY, dataclass
from datetime import date

GAP = 30
"""Seconds between two pieces, for applause and a few words (common practice, no source)."""

LONGEST = 600
"""Seconds that a first concert takes at most, with what is between the pieces (common practice, no source)."""

MOST = 3
"""Further pieces that are proposed at most: who has rehearsed none of them chooses among few (no source)."""

WINTER = (11, 12, 1)
"""Months in which songs of winter are sung (common practice, no source)."""

OF_WINTER = frozenset({"carol", "carols", "christmas", "winter"})
"""Pieces whose kind has one of these words are not proposed in other months, or where the day is not known."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A piece in parts that could be played."""

    id: str
    """Which."""
    _: KW_ONLY
    week: int | None
    """Week of the course (from 0) after which everybody can play it; ``None``: never."""
    seconds: float
    """How long it takes."""
    kind: str = ""
    """In a word or two, as ``carol``; may be empty."""
    known: bool = True
    """Whether people who listen may know its tune: it was not written for the handbook."""
    whole: bool = True
    """Whether every line of it is played, by somebody who can reach its notes."""

    @property
    def of_winter(self) -> bool:
        """Whether it is sung in winter alone."""
        return not OF_WINTER.isdisjoint(re.findall(r"\w+", self.kind.lower()))


def further(
    found: Iterable[Candidate], by: int, used: float, day: date | None = None, played: Iterable[str] = ()
) -> tuple[str, ...]:
    """Ids of those ``found`` that all can play before week ``by``, best first, beyond what is ``played`` anyway.

    Tunes that listeners may know come first, then what is known soonest. They are as many as keep a concert of which
    ``used`` seconds are filled within :data:`LONGEST`, each after a :data:`GAP`, and at most :data:`MOST`. Songs of
    winter are for a concert on a ``day`` in winter.
    """
    left = LONGEST - used
    winter = day is not None and day.month in WINTER
    without = frozenset(played)
    kept: list[str] = []
    for one in sorted(found, key=_rank):
        can = one.week is not None and one.week < by and one.whole and (winter or not one.of_winter)
        if can and one.seconds + GAP <= left and one.id not in without and len(kept) < MOST:
            kept.append(one.id)
            left -= one.seconds + GAP
    return tuple(kept)


def _rank(one: Candidate) -> tuple[bool, int, str]:
    return not one.known, -1 if one.week is None else one.week, one.id
