"""How two lines of a piece get on as they are played: out of order, crossing, or running parallel.

What the source has itself is not counted: only what moving the lines by octaves makes of it. Keys do not matter.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from beginnerband.music.phrases import Place, phrase_of
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Line
from beginnerband.music.voiceleading import Point, moments, parallel_points, point, root_of

Octaves = tuple[int, ...]
"""Octaves of a line for each phrase."""


class Clashes:
    """Counts for every pair of lines of one piece, remembered."""

    def __init__(self, lines: Mapping[str, Line], phrases: Sequence[Place]) -> None:
        """``lines`` are the sounding lines by voice, highest first."""
        self.voices = tuple(lines)
        found = moments(list(lines.values()))
        bars = [measure.quarters for measure in next(iter(lines.values())).measures]
        ends = [
            later.beat if later.place == moment.place else bars[moment.place]
            for moment, later in zip(found, (*found[1:], found[0]), strict=True)
        ]
        ends[-1] = bars[found[-1].place]
        lengths = [end - moment.beat for end, moment in zip(ends, found, strict=True)]
        whole = math.lcm(*(length.denominator for length in lengths))
        self._long = [int(length * whole) for length in lengths]  # whole numbers: they are added up very often
        self._phrase = [phrase_of(phrases, (moment.place, moment.beat)) for moment in found]
        self._pitches = [moment.pitches for moment in found]
        self._points = [tuple(point(pitch) if pitch else None for pitch in moment.pitches) for moment in found]
        self._total = sum(self._long) or 1
        self._known: dict[tuple[str, Octaves, str, Octaves], tuple[tuple[str, int], ...]] = {}

    def between(self, voice: str, octaves: Octaves, other: str, others: Octaves) -> tuple[tuple[str, int], ...]:
        """What is counted of ``voice`` against ``other``, each with its octaves, by reason; only what is not 0.

        ``order`` and ``crossing`` in percent of the piece's time, rounded up: ``order`` where the tune or the bass is
        concerned.
        """
        key = (voice, octaves, other, others)
        if key not in self._known:
            mine, theirs = self.voices.index(voice), self.voices.index(other)
            if mine > theirs:
                self._known[key] = self.between(other, others, voice, octaves)
            else:
                outer = mine == 0 or theirs == len(self.voices) - 1
                counts = (
                    ("order" if outer else "crossing", self._crossed(mine, octaves, theirs, others)),
                    ("parallel", self._parallels(mine, octaves, theirs, others)),
                )
                self._known[key] = tuple((reason, count) for reason, count in counts if count)
        return self._known[key]

    def _crossed(self, upper: int, octaves: Octaves, lower: int, others: Octaves) -> int:
        if octaves == others:
            return 0
        time = 0
        for long, phrase, heard in zip(self._long, self._phrase, self._points, strict=True):
            high, low = heard[upper], heard[lower]
            if high and low and low[0] <= high[0]:
                time += long * (low[0] + 12 * others[phrase] > high[0] + 12 * octaves[phrase])
        return -(-100 * time // self._total)

    def _parallels(self, upper: int, octaves: Octaves, lower: int, others: Octaves) -> int:
        if octaves == others:
            return 0
        count = 0
        for (before, here), (after, there) in pairwise(zip(self._points, self._phrase, strict=True)):
            high, low, next_high, next_low = before[upper], before[lower], after[upper], after[lower]
            if high and low and next_high and next_low and high != next_high and low != next_low:
                kind = parallel_points(
                    _lifted(high, octaves[here]),
                    _lifted(low, others[here]),
                    _lifted(next_high, octaves[there]),
                    _lifted(next_low, others[there]),
                )
                count += bool(kind) and kind != parallel_points(high, low, next_high, next_low)
        return count

    def thirds(self, voice: str) -> Fraction:
        """Of the time that chords with a third sound, the part in which ``voice`` alone has it."""
        place, alone, with_third = self.voices.index(voice), 0, 0
        for long, heard in zip(self._long, self._pitches, strict=True):
            third = _third(tuple(pitch for pitch in heard if pitch))
            if third:
                having = [at for at, pitch in enumerate(heard) if pitch and pitch.letter == third]
                with_third += long
                alone += long * (having == [place])
        return Fraction(alone, with_third or 1)


def _third(pitches: tuple[Pitch, ...]) -> str | None:
    root = root_of(pitches)
    base = next((pitch for pitch in pitches if pitch.letter == root), None)
    if base is None:
        return None
    return next((pitch.letter for pitch in pitches if (pitch.staff_index - base.staff_index) % 7 == 2), None)


def _lifted(one: Point, octaves: int) -> Point:
    return one[0] + 12 * octaves, one[1] + 7 * octaves
