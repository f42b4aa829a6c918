"""What a desk can play of a line: which of its notes are out of reach in which octave, and where phrases may fold.

Notes are kept as bits of whole numbers, one bit a semitone, so that all of a phrase are asked about at once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import reduce
from itertools import pairwise
from operator import or_

from beginnerband.music.clashes import Octaves
from beginnerband.music.phrases import Place, played
from beginnerband.music.score import Line
from beginnerband.music.scoring import Desk

LOWEST = -144
"""MIDI number of the lowest bit: lines are asked about far out of reach."""


class Notes:
    """Notes of a line or a phrase, as MIDI numbers."""

    def __init__(self, midis: Iterable[int]) -> None:
        self.times = tuple(Counter(midis).items())
        self.bits = _bits(midi for midi, _ in self.times)

    def moved(self, semitones: int) -> int:
        """The different notes, moved."""
        return self.bits << semitones if semitones >= 0 else self.bits >> -semitones

    def among(self, asked: int, moved: int) -> int:
        """How many of the notes, ``moved`` semitones, are among those asked for."""
        if not self.moved(moved) & asked:
            return 0
        lowest = moved - LOWEST
        return sum(count for midi, count in self.times if asked >> midi + lowest & 1)


class PlayedNotes:
    """A line's notes by phrase, ready for many questions."""

    def __init__(self, line: Line, phrases: Sequence[Place]) -> None:
        notes = [(phrase, pitch.midi) for phrase, pitch in played(line, phrases) if pitch]
        self.line = Notes(midi for _, midi in notes)
        self.phrases = [Notes(midi for at, midi in notes if at == place) for place in range(len(phrases))]
        self.total = len(notes) or 1
        self._known: dict[tuple[DeskReach, int], list[int]] = {}
        self.joins = tuple((a, b, p, q) for (a, p), (b, q) in pairwise(notes) if a != b)
        """Phrase and MIDI number before and after each change of phrase, as played."""

    def counts(self, reach: DeskReach, moved: int, octaves: Octaves) -> dict[str, int]:
        """What is counted of the notes, ``moved`` semitones and by ``octaves``."""
        pairs = [(notes, moved + 12 * octave) for notes, octave in zip(self.phrases, octaves, strict=True)]
        if len(set(octaves)) == 1:
            pairs = [(self.line, moved + 12 * octaves[0])]
        different = reduce(or_, (notes.moved(by) for notes, by in pairs))
        outside = sum(notes.among(reach.range, by) for notes, by in pairs)
        counts = {
            "impossible": sum(notes.among(reach.impossible, by) for notes, by in pairs),
            "range": -(-100 * outside // self.total),
            "untaught": (different & reach.new).bit_count(),
            "stretch": (different & reach.stretch).bit_count(),
        }
        return {reason: count for reason, count in counts.items() if count}

    def folded(self, reach: DeskReach, moved: int, octave: int, leap: int, weights: Mapping[str, int]) -> Octaves:
        """The best way through the phrases in ``octave`` or the one below; no change makes too wide a leap."""
        whole = (octave,) * len(self.phrases)
        above, below = (self._costs(reach, moved + 12 * at, weights) for at in (octave, octave - 1))
        costs = list(zip(above, below, strict=True))
        if all(high <= low for high, low in costs):
            return whole
        fold = 2 * self.total * weights["fold"]
        allowed = self._allowed(leap)
        ways: list[tuple[int, tuple[int, ...]]] = [(costs[0][0], (0,)), (costs[0][1], (1,))]
        for place, cost in enumerate(costs[1:], 1):
            ways = [
                min(
                    (points + cost[down] + fold * (way[-1] != down), (*way, down))
                    for points, way in ways
                    if way[-1] == down or allowed[place][down]
                )
                for down in (0, 1)
            ]
        found = tuple(octave - down for down in min(ways)[1])
        return found if self._playable(found, leap) else whole

    def _costs(self, reach: DeskReach, moved: int, weights: Mapping[str, int]) -> list[int]:
        """What each phrase's notes cost out of reach, ``moved`` semitones; in points times twice the notes of the line.

        So percents of its notes are whole numbers; a note not taught counts half of one outside the range.
        """
        if (reach, moved) not in self._known:
            costly = reach.impossible | reach.range | reach.untaught
            self._known[reach, moved] = [
                self._cost(notes, reach, moved, weights) if notes.moved(moved) & costly else 0 for notes in self.phrases
            ]
        return self._known[reach, moved]

    def _cost(self, notes: Notes, reach: DeskReach, moved: int, weights: Mapping[str, int]) -> int:
        impossible, percent = 2 * self.total * weights["impossible"], 100 * weights["range"]
        outside = 2 * notes.among(reach.range, moved) + notes.among(reach.untaught, moved)
        return impossible * notes.among(reach.impossible, moved) + percent * outside

    def _allowed(self, leap: int) -> list[tuple[bool, bool]]:
        """For each phrase, whether it may begin an octave higher than the one before ends, and an octave lower."""
        found = [(True, True)] * len(self.phrases)
        for before, after, last, first in self.joins:
            if after == before + 1:
                up, down = found[after]
                found[after] = (up and abs(first + 12 - last) <= leap, down and abs(first - 12 - last) <= leap)
        return found

    def _playable(self, octaves: Octaves, leap: int) -> bool:
        """Whether repeats and jumps, too, lead through no leap that is both too wide and made by the octaves."""
        return all(
            octaves[before] == octaves[after] or abs(first + 12 * octaves[after] - last - 12 * octaves[before]) <= leap
            for before, after, last, first in self.joins
        )


class DeskReach:
    """What a desk can play, of notes that sound."""

    def __init__(self, desk: Desk, level: str) -> None:
        spans = [desk.player.instrument.sounding_range(name) for name in ("full", level, "starter")]
        full, within, easy = [_bits(range(span.low.midi, span.high.midi + 1)) for span in spans]
        self.impossible = ~full
        """Notes the instrument does not have."""
        self.range = full & ~within
        """Notes outside the range of the level."""
        self.new = 0 if desk.taught is None else ~_bits(desk.taught)
        """Notes that were not taught, of all there are."""
        self.untaught = full & within & self.new
        """Those of them that are within the range of the level."""
        self.stretch = full & within & ~self.new & ~easy
        """Notes that were taught, or may have been, beyond the starter range."""


def _bits(midis: Iterable[int]) -> int:
    return sum(1 << midi - LOWEST for midi in set(midis))
