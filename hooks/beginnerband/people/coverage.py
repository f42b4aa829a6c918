"""Who carries each line, who could take it over, and what becomes of the lines when people are away."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from beginnerband.music.instrument import VOICES
from beginnerband.people.plan import MatchingRules, Place, can_hold, holders


@dataclass(frozen=True, slots=True)
class StandIn:
    """Somebody who can take a line."""

    place: Place
    """Who, with what."""
    octaves: int
    """Octaves above (below) the line at which their instrument is at home."""
    steady: bool
    """Whether they can hold it alone."""


@dataclass(frozen=True, slots=True)
class LineCover:
    """One line."""

    line: str
    """Which."""
    holder: Place | None
    """Who is counted on, or ``None`` when nobody can hold it."""
    with_them: tuple[Place, ...]
    """Others whose instrument is best on this line."""
    instead: tuple[StandIn, ...]
    """Who else can take it, the likeliest first: steady ones, those it suits best, those no other line waits for."""


@dataclass(frozen=True, slots=True)
class Absence:
    """What happens without somebody."""

    names: tuple[str, ...]
    """Who is away."""
    lost: tuple[str, ...]
    """Lines that nobody is left to hold."""
    steps_in: tuple[tuple[str, str], ...]
    """Name and line of everybody who then holds another line than usual, or one where they held none."""


def coverage(places: Sequence[Place], rules: MatchingRules, home: Mapping[str, int]) -> tuple[LineCover, ...]:
    """Each line from the top; ``home`` is octaves from the line at which an instrument plays, by its id."""
    found = []
    for line in VOICES:
        holder = next((place for place in places if place.line == line), None)
        others = [place for place in places if place is not holder and line in place.item.instrument.covers]
        best = tuple(place for place in others if place.item.instrument.covers[0] == line and not place.line)
        covers = (StandIn(place, home.get(place.item.instrument.id, 0), _steady(place, rules)) for place in others)
        order = sorted(covers, key=lambda cover: _rank(cover, line))
        found.append(LineCover(line, holder, best, tuple(order)))
    return tuple(found)


def _rank(cover: StandIn, line: str) -> tuple[bool, bool, int, float]:
    covers = cover.place.item.instrument.covers
    return not cover.steady, bool(cover.place.line), covers.index(line), -cover.place.learner.years


def _steady(place: Place, rules: MatchingRules) -> bool:
    return place.item.instrument.brass and can_hold(place.learner, rules)


def away(places: Sequence[Place], names: Iterable[str], rules: MatchingRules) -> Absence:
    """What happens when everybody in ``names`` is away: as many lines as can be are still held."""
    gone = set(names)
    usual = {place.learner.name: place.line for place in places if place.line}
    left = [place for place in places if place.learner.name not in gone]
    now = holders([place for place in left if _steady(place, rules)])
    lost = tuple(line for line in VOICES if line not in now.values())
    steps = tuple((name, line) for name, line in sorted(now.items()) if usual.get(name) != line)
    return Absence(tuple(sorted(gone)), lost, steps)


def pairs_that_lose(places: Sequence[Place], rules: MatchingRules) -> tuple[Absence, ...]:
    """Every two people without whom a line is lost that neither alone would cost.

    By counting (Hall's theorem in the form of O. Ore 1955): as many lines go without a holder as the set of lines that
    is worst off has more lines than people who can take one of them.
    """
    able = [place for place in places if _steady(place, rules)]
    sets = [set(lines) for size in range(len(VOICES) + 1) for lines in combinations(VOICES, size)]
    can = {place.learner.name: [bool(set(place.item.instrument.covers) & lines) for lines in sets] for place in able}
    counts = [sum(each[at] for each in can.values()) for at in range(len(sets))]

    def lost(*names: str) -> int:
        return max(
            len(lines) - count + sum(can[name][at] for name in names)
            for at, (count, lines) in enumerate(zip(counts, sets, strict=True))
        )

    usual = lost()
    spared = [name for name in sorted(can) if lost(name) == usual]
    return tuple(away(places, pair, rules) for pair in combinations(spared, 2) if lost(*pair) > usual)
