"""Distances between two sounds in words."""

from __future__ import annotations

_NAMES = (
    "",
    "a semitone",
    "a tone",
    "a minor third",
    "a major third",
    "a fourth",
    "an augmented fourth",
    "a fifth",
    "a minor sixth",
    "a major sixth",
    "a minor seventh",
    "a major seventh",
)


def in_words(semitones: int) -> str:
    """``an octave and a tone lower``, ``a fifth higher``; ``the same`` for none."""
    if not semitones:
        return "the same"
    octaves, rest = divmod(abs(semitones), 12)
    whole = ("", "an octave", "two octaves", "three octaves", "four octaves")[octaves]
    parts = [part for part in (whole, _NAMES[rest]) if part]
    return f"{' and '.join(parts)} {'higher' if semitones > 0 else 'lower'}"
