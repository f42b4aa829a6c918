"""What is heard when two players read one note letter: the interval between them, and how it sounds.

Players of different groups who all play "a C" sound different notes. How that sounds depends on the pair: a fourth or
a fifth is open and pleasant (it only goes wrong in a tune); a second, a seventh or a ninth rubs. So a leader cannot
wait for a clash to find the mistake; the handbook says what to listen for in this band.

Octaves are kept in the distance and left out of the character: a ninth rubs as a second does. The three kinds are those
of any harmony textbook: perfect consonances (unison, octave, fourth, fifth), imperfect ones (thirds, sixths), and
dissonances. The fourth, which two-part counterpoint forbids, is open to the ear: its frequencies stand as 4 to 3.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from beginnerband.music import distance
from beginnerband.music.pitch import STEPS, Pitch
from beginnerband.music.reading import Reading

Voice = tuple[Reading, Pitch]
"""A player: the reading, and the lowest written note of the starter range."""

Character = Literal["one", "open", "sweet", "rubs"]

_CHARACTER: dict[int, Character] = {0: "one", 3: "sweet", 4: "sweet", 5: "open", 7: "open", 8: "sweet", 9: "sweet"}
"""By semitones above the nearest octave; what is not named rubs."""


def character(semitones: int) -> Character:
    """How an interval of ``semitones`` sounds: ``one`` note (octaves apart), ``open``, ``sweet``, or it ``rubs``."""
    return _CHARACTER.get(abs(semitones) % 12, "rubs")


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two players who read the same letter."""

    first: Pitch
    """What the first player sounds."""
    second: Pitch
    """What the second player sounds."""

    @property
    def semitones(self) -> int:
        """From the first sound up (+) or down (-) to the second."""
        return self.second.midi - self.first.midi

    @property
    def character(self) -> Character:
        """How the two sound together."""
        return character(self.semitones)

    @property
    def interval(self) -> str:
        """The distance in words, without a direction: ``a fifth``, ``an octave and a tone``."""
        return distance.size_in_words(self.semitones) or "the same"


def meet(letter: str, first: Voice, second: Voice) -> Meeting:
    """Two players told to play ``letter`` (``C``, ``G``), each in the octave next above their own lowest written note.

    So the octave is one they have. ``ValueError`` for what is no letter.
    """
    return Meeting(*(reading.sounding(_at_or_above(letter, low)) for reading, low in (first, second)))


def _at_or_above(letter: str, low: Pitch) -> Pitch:
    if letter not in STEPS:
        raise ValueError(f"{letter!r} is not a note letter; use one of {', '.join(STEPS)}")
    near = Pitch(letter, 0, low.octave)
    return near if near.midi >= low.midi else near.octaves_up(1)
