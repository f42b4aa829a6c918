"""Which of several tunes comes first: the one that asks least of this band, in the key it is played in.

Points are summed over what makes a tune hard, with weights from ``content/course/plan.yml``, and averaged over the
players: different notes, the widest leap, the longest breath, notes a minute, and changes that only the lips make.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from beginnerband.music.difficulty import line_difficulty
from beginnerband.music.fingering import standard
from beginnerband.music.player import Player
from beginnerband.teaching.course import Item
from beginnerband.teaching.grading import part_of


@dataclass(frozen=True, slots=True, kw_only=True)
class TuneWeights:
    """What makes a tune come later."""

    note: float
    """A different note."""
    leap: float
    """A semitone of the widest leap."""
    breath: float
    """A second of the longest breath."""
    quick: float
    """Ten notes a minute."""
    lips: float
    """A change of note on the same valves or position, on average over the players."""


@dataclass(frozen=True, slots=True)
class TuneAsks:
    """What a tune asks of the band."""

    points: float
    """More is harder."""
    words: str
    """Its reasons, for people."""


def asked(item: Item, players: Sequence[Player], fifths: int, weights: TuneWeights) -> TuneAsks:
    """What ``item`` asks in the concert key ``fifths``."""
    found = line_difficulty(item.line)
    brass = [player for player in players if player.instrument.brass]
    changes = [_by_lips(item, player, fifths) for player in brass]
    lips = sum(changes) / len(changes) if changes else 0.0
    points = (
        weights.note * found.pitches
        + weights.leap * found.largest_leap
        + weights.breath * found.longest_breath_seconds
        + weights.quick * found.notes_a_minute / 10
        + weights.lips * lips
    )
    words = (
        f"{found.pitches} notes, widest leap {found.largest_leap} semitones, "
        f"{found.longest_breath_seconds:.0f} s on one breath, {found.notes_a_minute:.0f} notes a minute"
    )
    if lips >= 0.5:
        words += f", {lips:.0f} changes by the lips alone for the average player"
    return TuneAsks(points, words)


def _by_lips(item: Item, player: Player, fifths: int) -> int:
    pitches = part_of(item, player, fifths).line.pitches
    ways = [standard(player.instrument, player.reading.sounding(pitch)) for pitch in pitches]
    return sum(
        1
        for (first, before), (second, after) in pairwise(zip(pitches, ways, strict=True))
        if before and after and first != second and before.code == after.code
    )
