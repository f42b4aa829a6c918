"""How far a tuning slide is pulled: millimetres and cents of one instrument, computed from its tube.

A tuning slide is a bow with two legs, so the air goes the way of a pull twice: pulling it out by a length makes the
tube longer by two. Lengths are those of the open tube's harmonic series in air at 20 °C. A real tube is a little
shorter, since the bell and the mouthpiece do part of its work; that changes a pull by less than anyone sets by hand.
"""

from __future__ import annotations

import math

from beginnerband.music import acoustics
from beginnerband.music.instrument import Instrument, Valves
from beginnerband.music.units import A4, CENTIMETRES_AN_INCH

ROOM_SPEED = 343.0
"""Speed of sound in air at 20 °C, metres a second (any physics textbook)."""

LEGS = 2
"""Times that the air passes through a pull."""


def tube_mm(instrument: Instrument, a4: float = A4) -> float:
    """Acoustic length of the open tube in millimetres; ``ValueError`` for what is struck."""
    if instrument.fundamental is None:
        raise ValueError(f"{instrument.id} has no tube")
    return 1000 * acoustics.tube_length_m(instrument.fundamental.hz(a4), ROOM_SPEED)


def pull_mm(instrument: Instrument, cents: float, a4: float = A4) -> float:
    """How far the tuning slide goes out, in millimetres, to lower the open notes by ``cents``; negative is in."""
    return tube_mm(instrument, a4) * (2 ** (cents / 1200) - 1) / LEGS


def cents_of_pull(instrument: Instrument, pull: float, pressed: tuple[int, ...] = (), a4: float = A4) -> float:
    """Cents that a pull of ``pull`` millimetres lowers the notes played with the valves ``pressed``.

    The same pull is a smaller share of a longer tube: with valves down it does less than on the open notes.
    """
    tube = tube_mm(instrument, a4) * _times_longer(instrument, pressed)
    return 1200 * math.log2(1 + LEGS * pull / tube)


def _times_longer(instrument: Instrument, pressed: tuple[int, ...]) -> float:
    """Length of the tube with these valves down, in open tubes."""
    valves = instrument.mechanism
    if not isinstance(valves, Valves) or not pressed:
        return 1.0
    lowered = 100 * acoustics.valve_lowering(valves, pressed) - acoustics.valve_cents(valves, pressed)
    return 2 ** (lowered / 1200)


def pull_words(mm: float, english: str) -> str:
    """A pull as people can set it: ``4 mm``, or ``3/16 in`` in American words (to the sixteenth, never nothing)."""
    if english != "american":
        return f"{max(1, round(mm))} mm"
    sixteenths = max(1, round(mm / 10 / CENTIMETRES_AN_INCH * 16))
    whole, rest = divmod(sixteenths, 16)
    divisor = math.gcd(rest, 16)
    part = f"{rest // divisor}/{16 // divisor}" if rest else ""
    return f"{' '.join(filter(None, [str(whole) if whole else '', part]))} in"
