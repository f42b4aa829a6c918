"""Pitches with a spelling, and the intervals between them.

A pitch is written in scientific pitch notation (C4 is middle C, MIDI 60) with ``b`` and ``#`` for accidentals.
Spelling and interval arithmetic are music21's; this module gives them an immutable, hashable face.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from music21 import interval as m21interval
from music21 import pitch as m21pitch

from beginnerband.music.signs import SIGNS
from beginnerband.music.units import A4

STEPS = "CDEFGAB"
_STEP_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTALS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_PATTERN = re.compile(r"^([A-G])(bb|b|##|#|)(-?\d)$")


@dataclass(frozen=True, slots=True)
class Pitch:
    """A spelled pitch: B♭3 and A♯3 are two values with one MIDI number."""

    step: str
    """Letter, ``C`` to ``B``."""
    alter: int
    """Semitones the letter is raised (+) or lowered (-), -2 to 2."""
    octave: int
    """Scientific octave number; the octave starts at C, and C4 is middle C."""

    @classmethod
    def parse(cls, text: str) -> Pitch:
        """Read ``Bb3``, ``F#4`` or ``C4``; raise ``ValueError`` for anything else."""
        match = _PATTERN.match(text)
        if not match:
            meant = text.strip().capitalize().replace("♭", "b").replace("♯", "#")
            better = f"; write {meant}" if _PATTERN.match(meant) else " such as C4, Bb3 or F#5"
            raise ValueError(f"{text!r} is not a pitch{better}")
        step, accidental, octave = match.groups()
        alter = {sign: alter for alter, sign in _ACCIDENTALS.items()}[accidental]
        return cls(step, alter, int(octave))

    @property
    def midi(self) -> int:
        """MIDI note number (MIDI 1.0: A4 is 69)."""
        return 12 * (self.octave + 1) + _STEP_SEMITONES[self.step] + self.alter

    @property
    def name(self) -> str:
        """Scientific name in plain characters, as ``Bb3``."""
        return f"{self.letter}{self.octave}"

    @property
    def letter(self) -> str:
        """Name without the octave, as ``Bb``."""
        return self.step + _ACCIDENTALS[self.alter]

    @property
    def sign(self) -> str:
        """Name for people, as ``B♭3``."""
        return f"{self.letter_sign}{self.octave}"

    @property
    def letter_sign(self) -> str:
        """Name for people without the octave, as ``B♭``."""
        return with_signs(self.letter)

    @property
    def staff_index(self) -> int:
        """Diatonic steps above C0; a staff position whatever the accidental."""
        return 7 * self.octave + STEPS.index(self.step)

    def octaves_up(self, octaves: int) -> Pitch:
        """The pitch, octaves higher; lower where ``octaves`` is negative."""
        return Pitch(self.step, self.alter, self.octave + octaves)

    def hz(self, a4: float = A4) -> float:
        """Frequency in hertz in equal temperament (ISO 16: A4 = 440 Hz by default)."""
        return a4 * 2 ** ((self.midi - 69) / 12)

    def __str__(self) -> str:
        return self.name


def with_signs(letter: str) -> str:
    """A note's letter in plain characters for people: ``Bb`` is ``B♭``, ``F##`` is ``F𝄪``."""
    return letter[0] + SIGNS[letter[1:]]


@lru_cache(maxsize=4096)
def transpose(pitch: Pitch, interval: str) -> Pitch:
    """Move ``pitch`` by a music21 interval name (``M-2`` is a major second down), keeping the spelling right.

    A result that would need a triple accidental is respelled by music21.
    """
    start = m21pitch.Pitch(step=pitch.step, accidental=pitch.alter, octave=pitch.octave)
    moved = _interval(interval).transposePitch(start)
    if abs(moved.alter) > 2:
        moved = moved.simplifyEnharmonic()
    return Pitch(moved.step, int(moved.alter), int(moved.implicitOctave))


@lru_cache(maxsize=256)
def _interval(name: str) -> m21interval.Interval:
    return m21interval.Interval(name)


@lru_cache(maxsize=256)
def semitones(interval: str) -> int:
    """Size of a named interval in semitones, negative downwards."""
    return int(_interval(interval).semitones)


@lru_cache(maxsize=256)
def reverse(interval: str) -> str:
    """The interval that undoes ``interval``: ``M-2`` for ``M2``."""
    return str(_interval(interval).reverse().directedName)


# The spelling a player meets first: one sharp (F♯, C♯) or the flats of the band's usual keys.
_USUAL = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_SHARP = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLAT = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


@lru_cache(maxsize=256)
def usual(midi: int) -> Pitch:
    """The everyday spelling of a MIDI number where no key decides: C♯ E♭ F♯ A♭ B♭."""
    return Pitch.parse(f"{_USUAL[midi % 12]}{midi // 12 - 1}")


@lru_cache(maxsize=256)
def spellings(midi: int) -> tuple[Pitch, ...]:
    """The pitch with its sharp and its flat name, or its one natural name."""
    names = dict.fromkeys((_SHARP[midi % 12], _FLAT[midi % 12]))
    return tuple(Pitch.parse(f"{name}{midi // 12 - 1}") for name in names)


def chromatic(low: Pitch, high: Pitch) -> tuple[Pitch, ...]:
    """Every semitone from ``low`` to ``high`` inclusive, in everyday spelling."""
    return tuple(usual(midi) for midi in range(low.midi, high.midi + 1))
