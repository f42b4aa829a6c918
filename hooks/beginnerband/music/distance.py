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


def size_in_words(semitones: int) -> str:
    """``an octave and a tone``, ``a fifth``, up as well as down; nothing for none."""
    octaves, rest = divmod(abs(semitones), 12)
    whole = ("", "an octave", "two octaves", "three octaves", "four octaves")[octaves]
    return " and ".join(part for part in (whole, _NAMES[rest]) if part)


def in_words(semitones: int) -> str:
    """``an octave and a tone lower``, ``a fifth higher``; ``the same`` for none."""
    if not semitones:
        return "the same"
    return f"{size_in_words(semitones)} {'higher' if semitones > 0 else 'lower'}"
