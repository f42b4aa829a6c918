"""Acoustics of a brass tube: harmonics, added lengths, and how far each lands from equal temperament.

The model: an open tube sounds the harmonic series of its fundamental, exact multiples of one frequency. A valve adds a
fixed length which, alone, lowers every harmonic by a whole number of equal-tempered semitones. Lengths add, but
semitones are ratios, so valves together lower the pitch by less than the sum of their semitones: the note is sharp. A
slide (or a bar that is struck) can be put anywhere, so it adds no error of its own.

Cents are hundredths of an equal-tempered semitone; positive is sharp. Source of the model: any acoustics textbook, for
example A. H. Benade, *Fundamentals of Musical Acoustics* (1976), chapter 20 (chapter number from memory).
"""

from __future__ import annotations

import math
from itertools import combinations

from beginnerband.music.instrument import Slide, Valves

POSITIONS = 7
"""Positions of a slide, a semitone apart; with the trigger down the last does not fit."""

HARMONICS = range(1, 17)
"""Harmonics considered, 1 (the pedal note) to 16."""

SPEED_OF_SOUND = 345.0
"""Metres a second in the warm air of a played instrument; about 343 at 20 °C, 350 at 31 °C (common practice)."""


def harmonic_semitones(harmonic: int) -> int:
    """Whole semitones from the fundamental to the note nearest ``harmonic``: 12 for 2, 19 for 3, 28 for 5."""
    return round(12 * math.log2(harmonic))


def harmonic_cents(harmonic: int) -> float:
    """How far ``harmonic`` lies from that nearest equal-tempered note: +2.0 for 3, -13.7 for 5, -31.2 for 7."""
    return 1200 * math.log2(harmonic) - 100 * harmonic_semitones(harmonic)


def added_length(semitones: int) -> float:
    """Length to add to a tube of length 1 to lower it by ``semitones``: 0.122 for 2."""
    return 2 ** (semitones / 12) - 1


def valve_lowering(valves: Valves, pressed: tuple[int, ...]) -> int:
    """Semitones the pressed valves are meant to lower the pitch: 5 for valves 1 and 3."""
    return sum(valves.semitones[valve - 1] for valve in pressed)


def valve_cents(valves: Valves, pressed: tuple[int, ...]) -> float:
    """Sharpness of the pressed valves together, in cents: +30.3 for 1-3, 0.0 for any one valve.

    With a compensating valve down, the air runs back through extra loops on the other valves, each sized so that the
    pair is in tune; the loops scale the other valves' lengths to the tube as the compensating valve has lengthened it.
    """
    main = valves.compensating if valves.compensating in pressed else None
    others = sum(added_length(valves.semitones[valve - 1]) for valve in pressed if valve != main)
    base = 1 + added_length(valves.semitones[main - 1]) if main else 1.0
    length = base * (1 + others)
    return 100 * valve_lowering(valves, pressed) - round(1200 * math.log2(length), 9)


def valve_combinations(valves: Valves) -> tuple[tuple[int, ...], ...]:
    """Every set of valves that can be pressed, the open tube ``()`` first: 8 for three valves, 16 for four."""
    numbers = range(1, len(valves.semitones) + 1)
    return tuple(pressed for count in range(len(numbers) + 1) for pressed in combinations(numbers, count))


def slide_extension_cm(slide: Slide, steps: int, trigger: bool = False) -> float:
    """How far out the slide is, in centimetres, ``steps`` semitones below its first position.

    The air goes out and back along the slide, so it moves half of the added length. With the trigger down the whole
    tube is longer, and so is every step.
    """
    base = 1 + added_length(slide.trigger) if trigger and slide.trigger else 1.0
    return 100 * slide.tube_m * base * added_length(steps) / 2


def slide_correction_cm(slide: Slide, reach_cm: float, cents: float, trigger: bool = False) -> float:
    """How far to move a slide that is ``reach_cm`` out to mend a note ``cents`` sharp: outwards positive."""
    base = 1 + added_length(slide.trigger) if trigger and slide.trigger else 1.0
    return (100 * slide.tube_m * base + 2 * reach_cm) * (2 ** (cents / 1200) - 1) / 2


def tube_length_m(fundamental_hz: float, speed_of_sound: float = SPEED_OF_SOUND) -> float:
    """Acoustic length in metres of a tube whose harmonic series stands on ``fundamental_hz``: half a wavelength."""
    return speed_of_sound / (2 * fundamental_hz)
