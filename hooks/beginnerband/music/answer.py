"""What is this written note on this instrument? The one answer, which every table, chart, card and script shows."""

from __future__ import annotations

from dataclasses import dataclass

from beginnerband.music import fingering, staff_place
from beginnerband.music.advice import Advice, advise
from beginnerband.music.fingering import CROWDED, Fingering
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.transposition import simplest
from beginnerband.music.units import A4

MOST_ALTERNATES = 3
"""Alternates worth showing to a learner."""

WORST_ALTERNATE = 40.0
"""Cents, sharp or flat; an alternate further out is no help to a learner (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One written note of one player: what is heard, how it is played, and how that stands in tune."""

    player: Player
    """Who reads it."""
    written: Pitch
    """As written."""
    sounding: Pitch
    """As heard, in the simplest spelling of its kind: never C♭ or a double accidental."""
    ways: tuple[Fingering, ...]
    """Every way to play it on harmonics that are in tune, best first; empty for a bar that is struck."""

    @property
    def way(self) -> Fingering | None:
        """The way to teach; ``None`` for a bar that is struck."""
        return self.ways[0] if self.ways else None

    @property
    def alternates(self) -> tuple[Fingering, ...]:
        """The few other ways that help a learner, best first."""
        helpful = (way for way in self.ways[1:] if way.harmonic not in CROWDED and abs(way.cents) <= WORST_ALTERNATE)
        return tuple(helpful)[:MOST_ALTERNATES]

    @property
    def level(self) -> str:
        """The narrowest range level that has it; ``ValueError`` beyond the full range."""
        return self.player.instrument.level_of(self.sounding)

    @property
    def place(self) -> int:
        """Where it stands on the player's staff; see :mod:`beginnerband.music.staff_place`."""
        return staff_place.place(self.written, self.player.reading.clef)

    def hz(self, a4: float = A4) -> float:
        """Its frequency in hertz at the band's pitch, in equal temperament."""
        return self.sounding.hz(a4)

    def advice(self, english: str = "british") -> tuple[Advice, ...]:
        """What to do where it is out of tune, best first, in ``american`` (inches) or ``british`` words."""
        return advise(self.player.instrument, self.sounding, self.way, english) if self.way else ()


def answer(player: Player, written: Pitch) -> Answer:
    """The answer for one written note, within the player's range or not; ``KeyError`` for drums."""
    sounding = simplest(player.reading.sounding(written))
    return Answer(player, written, sounding, fingering.learner_fingerings(player.instrument, sounding))


def answers(player: Player, level: str = "full") -> tuple[Answer, ...]:
    """An answer for every written note of the range at ``level``, lowest first, in everyday spelling."""
    return tuple(answer(player, written) for written in player.written(level))
