"""What one player of a band plays of a piece of music, and what that asks of lips and tube."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from beginnerband.music.fingering import Fingering, standard
from beginnerband.music.instrument import Slide
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Line


@dataclass(frozen=True, slots=True)
class Heard:
    """What one player plays of one piece of music."""

    player: Player
    """Who."""
    line: Line
    """As written for them."""

    @property
    def notes(self) -> tuple[Pitch, ...]:
        """Different written notes in the order they come."""
        return tuple(dict.fromkeys(self.line.pitches))

    def way(self, written: Pitch) -> Fingering | None:
        """How a note is played."""
        instrument = self.player.instrument
        return standard(instrument, self.player.reading.sounding(written)) if instrument.brass else None


def slides(heard: Heard) -> bool:
    """Whether it is played on a slide."""
    return isinstance(heard.player.instrument.mechanism, Slide)


def code(heard: Heard, note: Pitch) -> str:
    """How a note is played, in brackets, as `` (1-2)``; empty where nothing is fingered."""
    way = heard.way(note)
    if way is None:
        return ""
    return f" ({way.code})" if way.valves or way.position else " (open)"


def same_tube(heard: Heard) -> str:
    """The nearest two notes on the same tube, as ``G and C (open)``; empty where there are none."""
    ways = [(note, way) for note in heard.notes if (way := heard.way(note))]
    pairs = [
        (abs(second.midi - first.midi), len(way.valves), first, second)
        for place, (first, way) in enumerate(ways)
        for second, other in ways[place + 1 :]
        if way.code == other.code
    ]
    if not pairs:
        return ""
    _, _, first, second = min(pairs, key=lambda pair: pair[:2])
    return f"{first.letter_sign} and {second.letter_sign}{code(heard, first)}"


def crossings(heard: Heard) -> list[str]:
    """Neighbouring notes between which the harmonic changes."""
    found = []
    for first, second in pairwise(heard.line.pitches):
        ways = heard.way(first), heard.way(second)
        if ways[0] and ways[1] and ways[0].harmonic != ways[1].harmonic:
            found.append(f"{first.letter_sign} to {second.letter_sign}")
    return found
