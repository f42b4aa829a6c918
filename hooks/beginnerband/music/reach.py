"""What a desk can play of a line: which of its notes are out of reach in which octave, and where phrases may fold."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise

from beginnerband.music.clashes import Octaves
from beginnerband.music.phrases import Place, played
from beginnerband.music.score import Line
from beginnerband.music.scoring import Desk


class PlayedNotes:
    """A line's notes by phrase, ready for many questions."""

    def __init__(self, line: Line, phrases: Sequence[Place]) -> None:
        notes = [(phrase, pitch.midi) for phrase, pitch in played(line, phrases) if pitch]
        self.phrases = [Counter(midi for at, midi in notes if at == place) for place in range(len(phrases))]
        self.total = len(notes) or 1
        self._known: dict[tuple[DeskReach, int], list[float]] = {}
        self.joins = tuple((a, b, p, q) for (a, p), (b, q) in pairwise(notes) if a != b)
        """Phrase and MIDI number before and after each change of phrase, as played."""

    def counts(self, reach: DeskReach, moved: int, octaves: Octaves) -> dict[str, int]:
        """What is counted of the notes, ``moved`` semitones and by ``octaves``."""
        times, different = Counter[str](), dict[int, str]()
        for own, octave in zip(self.phrases, octaves, strict=True):
            for midi, count in own.items():
                at = midi + moved + 12 * octave
                reason = reach.reason(at)
                if reason in ("impossible", "range"):
                    times[reason] += count
                    if reach.taught is not None and at not in reach.taught:
                        different[at] = "untaught"
                elif reason:
                    different[at] = reason
        times["range"] = -(-100 * times["range"] // self.total)
        return {reason: count for reason, count in (times + Counter(different.values())).items() if count}

    def folded(self, reach: DeskReach, moved: int, octave: int, leap: int, weights: Mapping[str, int]) -> Octaves:
        """The best way through the phrases in ``octave`` or the one below; no change makes too wide a leap."""
        above, below = (self._costs(reach, moved + 12 * at, weights) for at in (octave, octave - 1))
        costs = list(zip(above, below, strict=True))
        allowed = self._allowed(leap)
        ways: list[tuple[float, tuple[int, ...]]] = [(costs[0][0], (0,)), (costs[0][1], (1,))]
        for place, cost in enumerate(costs[1:], 1):
            ways = [
                min(
                    (points + cost[down] + weights["fold"] * (way[-1] != down), (*way, down))
                    for points, way in ways
                    if way[-1] == down or allowed[place][down]
                )
                for down in (0, 1)
            ]
        found = tuple(octave - down for down in min(ways)[1])
        return found if self._playable(found, leap) else (octave,) * len(self.phrases)

    def _costs(self, reach: DeskReach, moved: int, weights: Mapping[str, int]) -> list[float]:
        """What each phrase's notes cost out of reach, ``moved`` semitones."""
        if (reach, moved) not in self._known:
            points = {"impossible": float(weights["impossible"]), "range": 100 * weights["range"] / self.total}
            points["untaught"] = points["range"] / 2
            self._known[reach, moved] = [
                sum(points.get(reach.reason(midi + moved), 0) * count for midi, count in own.items())
                for own in self.phrases
            ]
        return self._known[reach, moved]

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
    """What a desk can play, as MIDI numbers that sound."""

    def __init__(self, desk: Desk, level: str) -> None:
        spans = [desk.player.instrument.sounding_range(name) for name in ("full", level, "starter")]
        self.full, self.level, self.easy = [(span.low.midi, span.high.midi) for span in spans]
        self.taught = desk.taught
        self._known: dict[int, str] = {}

    def reason(self, midi: int) -> str:
        """Why this note costs something, of :data:`REASONS`, or empty."""
        if midi not in self._known:
            self._known[midi] = self._reason(midi)
        return self._known[midi]

    def _reason(self, midi: int) -> str:
        if not self.full[0] <= midi <= self.full[1]:
            return "impossible"
        if not self.level[0] <= midi <= self.level[1]:
            return "range"
        if self.taught is not None and midi not in self.taught:
            return "untaught"
        return "" if self.easy[0] <= midi <= self.easy[1] else "stretch"
