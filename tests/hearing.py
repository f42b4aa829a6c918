"""What a line sounds like, as plain values that can be held against what other programs read."""

from __future__ import annotations

from fractions import Fraction

from beginnerband.music.playing import sounds
from beginnerband.music.score import Line


def heard(line: Line, unfold: bool = True) -> list[tuple[Fraction, Fraction, int]]:
    """Onset and length (quarter notes) and MIDI number of each sound; ``unfold``: with repeats played."""
    return [(one.onset, one.quarters, one.pitch.midi) for one in sounds(line, unfold) if one.pitch]
