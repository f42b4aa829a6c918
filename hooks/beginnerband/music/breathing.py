"""Where to breathe in a line whose source does not say: proposals at the ends of phrases, printed as such.

A line is cut where a phrase surely ends: at a breath mark, a hold, a rest with room for a breath, a double bar, a
repeat sign or a jump. Each stretch between is then cut further so that the sum of what counts against the cuts is
least; the search is exact (dynamic programming over all places between notes). What counts, in :class:`Points`:

- a *phrase* that is not four bars long, or two; one that lasts longer than a breath; one too short to be one;
- a breath after a *short note*: the longer the note, the better it can be cut short, best one that is longer than the
  notes on both sides of it;
- a breath at another *place in the bar* than where the stretch began, so that a phrase with an upbeat is followed by
  one with an upbeat; worse off the beat;
- less is counted where the next phrase begins with the *rhythm* with which this one began.

Nobody breathes within a tied note, a slur or a tuplet. A source that marks some breaths is left as it is, but for
stretches longer than a breath. That these make a phrase is what the literature on hearing phrases says (for example
F. Lerdahl and R. Jackendoff, *A Generative Theory of Tonal Music*, 1983, and D. Temperley, *The Cognition of Basic
Musical Structures*, 2001: gaps, length, parallelism; from memory); the points are ours, in
``content/breathing.yml``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from beginnerband.music.score import Line, Note, Time
from beginnerband.music.timing import BREATH_ROOM


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """What counts against a cut, from ``content/breathing.yml``."""

    longest: float
    """Seconds of a phrase from which a bass is out of breath (the ladder's figure for its mouthpiece)."""
    too_long: float
    """For a phrase that lasts longer: whatever else it costs, it is cut if it can be."""
    second: float
    """For each second beyond."""
    lengths: tuple[tuple[int, float], ...]
    """Good lengths of a phrase in bars, each with what still counts against it."""
    octave: float
    """For each doubling or halving of the nearest good length."""
    shortest: float
    """Seconds below which a phrase is too short to be one."""
    too_short: float
    """For a phrase that is."""
    short_note: float
    """After a note of no length; in proportion none after the longest note of the stretch."""
    plain: float
    """After a note that is not longer than the notes before and after it."""
    bar: float
    """At a bar line, where the stretch began elsewhere."""
    beat: float
    """At another beat."""
    off: float
    """Off the beat."""
    rhythm: float
    """Less where the rhythm of the phrase's first bar begins again."""


@lru_cache(maxsize=512)
def proposed(line: Line, points: Points | None) -> Line:
    """The line with breaths proposed, or unchanged where the source marks enough, has no notes, or without points.

    Remembered, since while serving most lines are as they were, and pieces ask for one line several times.
    """
    if points is None:
        return line
    spots = _spots(line)
    marked = any(note.breath for _, note in line)
    after: set[tuple[int, int]] = set()
    for stretch in _stretches(spots):
        if not marked or sum(spot.seconds for spot in stretch) > points.longest:
            after |= {stretch[cut].where for cut in _cuts(stretch, points)}
    return _marked(line, after)


def _marked(line: Line, after: Set[tuple[int, int]]) -> Line:
    """The line with breaths proposed after some of its notes."""
    if not after:
        return line
    return _changed(line, lambda at, note: replace(note, breath=True, proposed=True) if at in after else note)


def _changed(line: Line, change: Callable[[tuple[int, int], Note], Note]) -> Line:
    """The line with each note as ``change`` has it, from the place of its bar, its number there, and itself."""
    return replace(
        line,
        measures=tuple(
            replace(measure, notes=tuple(change((place, number), note) for number, note in enumerate(measure.notes)))
            for place, measure in enumerate(line.measures)
        ),
    )


def proposed_together(lines: Mapping[str, Line], points: Points | None) -> dict[str, Line]:
    """Lines that sound together: the first as :func:`proposed`, the others with it where a note of theirs ends there.

    A line whose source marks breaths keeps to them; what lasts longer than a breath is cut in any line.
    """
    tune = proposed(next(iter(lines.values())), points)
    ends = {end for end, note in _ends(tune) if note.breath}
    return {
        voice: tune if place == 0 else proposed(_with(line, ends), points)
        for place, (voice, line) in enumerate(lines.items())
    }


def _with(line: Line, ends: Set[tuple[int, Fraction]]) -> Line:
    """The line with breaths proposed at places where another line breathes; unchanged where it marks its own."""
    if any(note.breath for _, note in line):
        return line
    spots = {spot.where: spot for spot in _spots(line)}
    after = set()
    for place, measure in enumerate(line.measures):
        beat = Fraction(0)
        for number, note in enumerate(measure.notes):
            beat += note.quarters
            if (place, beat) in ends and not note.rest and not spots[place, number].bound:
                after.add((place, number))
    return _marked(line, after)


def _ends(line: Line) -> Iterator[tuple[tuple[int, Fraction], Note]]:
    """Every note with its bar by place and the quarter notes into it at which it ends."""
    for place, measure in enumerate(line.measures):
        beat = Fraction(0)
        for note in measure.notes:
            beat += note.quarters
            yield (place, beat), note


def as_marked(line: Line) -> Line:
    """The line without what was proposed."""
    if not any(note.proposed for _, note in line):
        return line
    return _changed(line, lambda _, note: replace(note, breath=False, proposed=False) if note.proposed else note)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spot:
    """A note, or a rest, with what decides whether one may breathe after it."""

    where: tuple[int, int]
    """Bar and note by place."""
    quarters: Fraction
    seconds: float
    rest: bool
    bars: Fraction
    """Its length in bars of the metre in force."""
    phase: Fraction
    """Quarter notes into a full bar at which it begins; a pickup counts back from the bar line."""
    time: Time
    bound: bool
    """Whether what follows belongs to it: a tie, a slur, a tuplet."""
    ends: bool
    """Whether a phrase surely ends after it."""


def _spots(line: Line) -> list[_Spot]:
    found: list[_Spot] = []
    slurs = 0
    for place, (measure, time, tempo) in enumerate(zip(line.measures, line.times, line.tempos, strict=True)):
        phase = time.quarters - measure.quarters if place == 0 or measure.number == 0 else Fraction(0)
        following = line.measures[place + 1] if place + 1 < len(line.measures) else None
        ends = bool(measure.barline or measure.repeat_end or measure.marks)
        ends = ends or following is None or following.repeat_start or following.ending_start
        for number, note in enumerate(measure.notes):
            slurs += note.slur_starts - note.slur_stops
            last = number == len(measure.notes) - 1
            found.append(
                _Spot(
                    where=(place, number),
                    quarters=note.quarters,
                    seconds=tempo.seconds(note.quarters),
                    rest=note.rest,
                    bars=note.quarters / time.quarters,
                    phase=max(phase, Fraction(0)),
                    time=time,
                    bound=note.tie or slurs > 0 or _in_tuplet(note),
                    ends=not note.tie and (note.breath or note.fermata or (last and ends)),
                )
            )
            phase += note.quarters
    return found


def _in_tuplet(note: Note) -> bool:
    return note.tuplet is not None and note.tuplet.edge != "stop"


def _stretches(spots: Sequence[_Spot]) -> Iterator[list[_Spot]]:
    """What is played between places where one breathes anyhow; rests at either end left out."""
    run: list[_Spot] = []
    silence: list[_Spot] = []
    for spot in spots:
        if spot.rest:
            silence.append(spot)
            room = sum((each.quarters / each.time.beat for each in silence), Fraction(0)) >= BREATH_ROOM
            if run and (room or spot.ends):
                yield run
                run = []
            continue
        run += [*silence, spot] if run else [spot]
        silence = []
        if spot.ends:
            yield run
            run = []
    if run:
        yield run


def _cuts(stretch: Sequence[_Spot], points: Points) -> list[int]:
    """Places in the stretch after which to breathe, so that the points are fewest."""
    count = len(stretch)
    longest = max(spot.bars for spot in stretch)
    home = stretch[0].phase
    allowed = [place for place, spot in enumerate(stretch) if not spot.bound and not spot.rest and place < count - 1]
    at = [0.0]
    for spot in stretch:
        at.append(at[-1] + spot.seconds)
    bars = [Fraction(0)]
    for spot in stretch:
        bars.append(bars[-1] + spot.bars)
    best: dict[int, tuple[float, int]] = {0: (0.0, -1)}  # phrase start: points so far, the phrase start before
    for end in [*allowed, count - 1]:
        stop = end + 1
        here = _breath(stretch, end, longest, home, points) if stop < count else 0.0
        found = (
            (
                before
                + here
                + _phrase(float(bars[stop] - bars[start]), at[stop] - at[start], points)
                - (points.rhythm if stop < count and _same_rhythm(stretch, start, stop) else 0.0),
                start,
            )
            for start, (before, _) in best.items()
        )
        best[stop] = min(found)
    cuts, place = [], count
    while (place := best[place][1]) > 0:
        cuts.append(place - 1)
    return cuts


def _breath(stretch: Sequence[_Spot], end: int, longest: Fraction, home: Fraction, points: Points) -> float:
    """Points for breathing after one note."""
    spot, following = stretch[end], stretch[end + 1]
    cost = points.short_note * (1 - float(spot.bars / longest))
    beside = [stretch[place].quarters for place in (end - 1, end + 1) if place >= 0]
    cost += points.plain if spot.quarters <= max(beside) else 0.0
    if following.phase == home:
        return cost
    if following.phase == 0:
        return cost + points.bar
    return cost + (points.beat if following.phase % following.time.beat == 0 else points.off)


def _phrase(bars: float, seconds: float, points: Points) -> float:
    """Points for a phrase of that length."""
    cost = min(rest + points.octave * abs(math.log2(bars / good)) for good, rest in points.lengths)
    if seconds > points.longest:
        cost += points.too_long + points.second * (seconds - points.longest)
    return cost + (points.too_short if seconds < points.shortest else 0.0)


def _same_rhythm(stretch: Sequence[_Spot], first: int, second: int) -> bool:
    """Whether a bar's worth of lengths from two places is the same."""
    room = stretch[first].time.quarters
    for one, other in zip(stretch[first:], stretch[second:], strict=False):
        if one.quarters != other.quarters or one.rest != other.rest:
            return False
        room -= one.quarters
        if room <= 0:
            return True
    return False
