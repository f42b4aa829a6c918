"""What every other player must read to sound the same.

One sound, given as a concert pitch, looked for on an instrument with a reading: in unison where the instrument has the
note, else in the nearest octave that it has. The written note keeps the spelling of the sound (concert E♭ is C for an
E♭ reader, never B♯), and has at most one accidental.
"""

from __future__ import annotations

from dataclasses import dataclass

from beginnerband.music import fingering
from beginnerband.music.fingering import Fingering
from beginnerband.music.instrument import LEVELS, Instrument
from beginnerband.music.pitch import Pitch
from beginnerband.music.reading import Reading
from beginnerband.music.transposition import nearest_octave, simplest


@dataclass(frozen=True, slots=True)
class Match:
    """How one instrument joins in on a sound."""

    written: Pitch
    """What its player reads."""
    sounding: Pitch
    """What is then heard."""
    octaves: int
    """Octaves from the sound asked for to what is heard: 0 in unison, -1 an octave lower."""
    level: str
    """The narrowest of the instrument's range levels that has the note."""
    fingering: Fingering | None
    """The standard fingering or position; ``None`` for a bar that is struck."""

    @property
    def where(self) -> str:
        """``in unison``, ``an octave lower``, ``2 octaves higher``."""
        return octaves_in_words(self.octaves)


def match(sound: Pitch, instrument: Instrument, reading: Reading, level: str = "full") -> Match | None:
    """What a player of ``instrument`` with ``reading`` reads to sound ``sound``, or the octave nearest to it.

    ``level`` is the range to stay in. ``None`` for drums, and where no octave of the sound is in that range (one
    narrower than an octave has gaps).
    """
    if not instrument.pitched:
        return None
    limits = instrument.sounding_range(level)
    heard, octaves = nearest_octave(sound, limits.low, limits.high)
    if heard not in limits:
        return None
    return Match(
        simplest(reading.written(heard)),
        heard,
        octaves,
        level_of(heard, instrument),
        fingering.standard(instrument, heard),
    )


def level_of(sounding: Pitch, instrument: Instrument) -> str:
    """The narrowest range level of ``instrument`` that has ``sounding``; ``ValueError`` when none has."""
    for level in LEVELS:
        if sounding in instrument.sounding_range(level):
            return level
    raise ValueError(f"{instrument.id} does not play {sounding}")


def octaves_in_words(octaves: int) -> str:
    """``in unison``, ``an octave lower``, ``2 octaves higher``."""
    if not octaves:
        return "in unison"
    count = "an octave" if abs(octaves) == 1 else f"{abs(octaves)} octaves"
    return f"{count} {'higher' if octaves > 0 else 'lower'}"
