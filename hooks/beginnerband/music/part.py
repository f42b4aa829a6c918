"""A player's part: the tune moved to a concert key, to an octave in reach, and into what the player reads."""

from __future__ import annotations

from dataclasses import dataclass

from beginnerband.music.fingering import Fingering, standard
from beginnerband.music.instrument import LEVELS, Instrument, Range
from beginnerband.music.reading import Reading
from beginnerband.music.score import Line
from beginnerband.music.shift import to_key, written

OCTAVES = (0, -1, 1, -2, 2, -3, 3)
"""Octaves a part may be moved from the tune's own, in the order they are preferred."""


@dataclass(frozen=True, slots=True)
class Part:
    """What one player is given, and what is heard."""

    written: Line
    """As the player reads it."""
    sounding: Line
    """As it is heard: the tune in its concert key, moved by :attr:`octaves`."""
    reading: Reading
    """How the player reads."""
    octaves: int
    """Octaves moved from the tune in the concert key."""
    over: int
    """Semitones by which the notes go beyond the player's range at the level, above and below added; 0 when it fits."""
    beyond: int
    """The same for everything the instrument has (its full range)."""

    @property
    def fits(self) -> bool:
        """Whether every note is within the level's range."""
        return self.over == 0


def part(line: Line, fifths: int, instrument: Instrument, reading: Reading, level: str = "full") -> Part:
    """The part of ``line`` for one player, in the concert key with ``fifths`` sharps (flats negative).

    The octave is chosen by :func:`choose_octave`. ``ValueError`` for drums, which play no notes.
    """
    if not instrument.pitched:
        raise ValueError(f"{instrument.id} plays no notes")
    at_key = to_key(line, fifths)
    return part_at(at_key, choose_octave(at_key, instrument, level), instrument, reading, level)


def choose_octave(line: Line, instrument: Instrument, level: str) -> int:
    """Octaves to move ``line`` (sounding) so that it suits a player at ``level``.

    Least sticking out wins: semitones outside the range of this level and of each higher one, added up, so that a note
    the next level has is preferred to one nobody plays. On a tie, nearest to the middle of the level's range, then the
    smaller move, downwards first.
    """
    low, high = line.lowest, line.highest
    if low is None or high is None:
        return 0
    reaches = [instrument.sounding_range(name) for name in LEVELS[LEVELS.index(level) :]]

    def cost(octaves: int) -> tuple[int, int, int]:
        bottom, top = low.midi + 12 * octaves, high.midi + 12 * octaves
        off_centre = abs(bottom + top - reaches[0].low.midi - reaches[0].high.midi)
        return (sum(outside(bottom, top, reach) for reach in reaches), off_centre, OCTAVES.index(octaves))

    return min(OCTAVES, key=cost)


def part_at(at_key: Line, octaves: int, instrument: Instrument, reading: Reading, level: str) -> Part:
    """The part at a given octave; ``at_key`` is the sounding line in the concert key wanted."""
    sounding = to_key(at_key, at_key.key.fifths, octaves)
    low, high = sounding.lowest, sounding.highest
    over, beyond = (
        outside(low.midi, high.midi, instrument.sounding_range(name)) if low and high else 0 for name in (level, "full")
    )
    return Part(written(at_key, reading, octaves), sounding, reading, octaves, over, beyond)


def outside(low: int, high: int, reach: Range) -> int:
    """Semitones by which ``low``..``high`` (MIDI) sticks out of ``reach``, both ends added."""
    return max(0, reach.low.midi - low) + max(0, high - reach.high.midi)


def fingerings(part: Part, instrument: Instrument) -> tuple[Fingering | None, ...]:
    """The standard fingering or position of every note of the part, in order, rests and tied notes included.

    ``None`` for a rest, and for a note that has none.
    """
    return tuple(standard(instrument, note.pitch) if note.pitch else None for _, note in part.sounding)
