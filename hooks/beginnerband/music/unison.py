"""What every other player must read to sound the same.

One sound, given as a concert pitch, looked for on an instrument with a reading: in unison where the instrument has the
note, else in the nearest octave that it has. The written note keeps the spelling of the sound (concert E♭ is C for an
E♭ reader, never B♯), and has at most one accidental.
"""

from __future__ import annotations

from dataclasses import dataclass

from beginnerband.music.answer import Answer, answer
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.transposition import nearest_octave, simplest


@dataclass(frozen=True, slots=True)
class Match:
    """How one player joins in on a sound."""

    answer: Answer
    """What they read, and how they play it."""
    octaves: int
    """Octaves from the sound asked for to what is heard: 0 in unison, -1 an octave lower."""

    @property
    def where(self) -> str:
        """``in unison``, ``an octave lower``, ``2 octaves higher``."""
        return octaves_in_words(self.octaves)


def match(sound: Pitch, player: Player, level: str = "full") -> Match | None:
    """What ``player`` reads to sound ``sound``, or the octave nearest to it.

    ``level`` is the range to stay in. ``None`` for drums, and where no octave of the sound is in that range (one
    narrower than an octave has gaps).
    """
    if not player.instrument.pitched:
        return None
    limits = player.instrument.sounding_range(level)
    heard, octaves = nearest_octave(sound, limits.low, limits.high)
    if heard not in limits:
        return None
    return Match(answer(player, simplest(player.reading.written(heard))), octaves)


def octaves_in_words(octaves: int) -> str:
    """``in unison``, ``an octave lower``, ``2 octaves higher``."""
    if not octaves:
        return "in unison"
    count = "an octave" if abs(octaves) == 1 else f"{abs(octaves)} octaves"
    return f"{count} {'higher' if octaves > 0 else 'lower'}"
