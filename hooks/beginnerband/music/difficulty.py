"""How hard a line is to play: each measure from the music alone, with its unit.

Leaps and range are counted in semitones between pitches as music21 spells them; harmonics and fingerings come from the
acoustics. What the figures are taken to mean (:func:`level_of`) is common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from beginnerband.music.fingering import Fingering, standard
from beginnerband.music.instrument import Instrument
from beginnerband.music.part import Part
from beginnerband.music.pitch import Pitch
from beginnerband.music.playing import sounds
from beginnerband.music.score import VALUES, Line
from beginnerband.music.timing import timing


@dataclass(frozen=True, slots=True, kw_only=True)
class LineDifficulty:
    """What is hard about a line whoever plays it."""

    range_semitones: int
    """From the lowest to the highest note, semitones."""
    largest_leap: int
    """Largest step from one note to the next, semitones; a rest between does not break it."""
    pitches: int
    """How many different pitches."""
    values: tuple[str, ...]
    """Note and rest values used, longest first, dotted ones as ``dotted quarter``, triplets as ``triplet eighth``."""
    accidentals: int
    """Notes that are outside the key signature in force."""
    longest_playing_beats: Fraction
    """Longest stretch without a beat of rest, in beats of the metre; this and all times as
    :mod:`beginnerband.music.timing` counts them."""
    longest_playing_seconds: float
    """The same in seconds."""
    longest_breath_seconds: float
    """Longest stretch on one breath, seconds."""
    rest_share: float
    """Part of the time that is rests, 0 to 1, repeats played."""
    length_seconds: float
    """Whole length with repeats, seconds."""
    notes_a_minute: float
    """Notes begun a minute."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerDifficulty:
    """What is hard about a part on one instrument."""

    highest_harmonic: int
    """Highest harmonic of the tube it needs; 0 for percussion."""
    lowest: Pitch
    """Lowest written note."""
    highest: Pitch
    """Highest written note."""
    same_valve_leaps: int
    """Steps from one note to another without a change of valve or slide: only the lips find the new note."""
    changes_a_minute: float
    """Changes of fingering or position a minute."""
    out_of_tune: int
    """Notes whose standard fingering is more than 15 cents off."""


def line_difficulty(line: Line) -> LineDifficulty:
    """Measure a line; repeats are played out. ``ValueError`` for a line without notes."""
    heard = sounds(line)
    notes = [sound for sound in heard if sound.pitch is not None]
    if not notes:
        raise ValueError("a line without notes has no difficulty")
    midis = [sound.pitch.midi for sound in notes if sound.pitch]
    clock = timing(line)
    return LineDifficulty(
        range_semitones=max(midis) - min(midis),
        largest_leap=max((abs(after - before) for before, after in pairwise(midis)), default=0),
        pitches=len(set(midis)),
        values=values_used(line),
        accidentals=_accidentals(line),
        longest_playing_beats=clock.endurance.beats,
        longest_playing_seconds=clock.endurance.seconds,
        longest_breath_seconds=clock.breath.seconds,
        rest_share=clock.silent / clock.seconds,
        length_seconds=clock.seconds,
        notes_a_minute=60 * len(notes) / clock.seconds,
    )


def player_difficulty(part: Part, instrument: Instrument) -> PlayerDifficulty:
    """Measure a part on an instrument. ``ValueError`` for a part without notes."""
    played = [sound.pitch for sound in sounds(part.sounding) if sound.pitch]
    low, high = part.written.lowest, part.written.highest
    if not played or low is None or high is None:
        raise ValueError("a part without notes has no difficulty")
    ways = [standard(instrument, pitch) for pitch in played]
    pairs = [(a, b, p, q) for (a, p), (b, q) in pairwise(zip(ways, played, strict=True)) if a and b]
    minutes = timing(part.sounding).seconds / 60
    return PlayerDifficulty(
        highest_harmonic=max((way.harmonic for way in ways if way), default=0),
        lowest=low,
        highest=high,
        same_valve_leaps=sum(a.code == b.code and p.midi != q.midi for a, b, p, q in pairs),
        changes_a_minute=sum(a.code != b.code for a, b, _, _ in pairs) / minutes,
        out_of_tune=sum(_off(way) for way in ways),
    )


def _off(way: Fingering | None) -> bool:
    return way is not None and abs(way.cents) > 15


def values_used(line: Line) -> tuple[str, ...]:
    """Note and rest values of a line, longest first, in American words: ``half``, ``dotted quarter``."""
    found: dict[str, tuple[int, int]] = {}
    names = list(VALUES)
    for _, note in line:
        value, dots = note.value
        found[note.value_name] = (names.index(value), -dots)
    return tuple(sorted(found, key=lambda word: (found[word], word)))


def _accidentals(line: Line) -> int:
    return sum(
        note.pitch is not None and note.pitch.alter != key.alters[note.pitch.step]
        for measure, key in zip(line.measures, line.keys, strict=True)
        for note in measure.notes
    )


WIDTHS = (("one note", 0), ("two notes", 2), ("three notes", 4), ("five notes", 7), ("six notes", 9), ("an octave", 12))
"""Words for how much of the scale a tune uses, with the most semitones each spans."""


def width(line: Line) -> str:
    """How much of the scale a line uses: ``three notes``, ``five notes``, ``an octave``, ``more than an octave``."""
    midis = Counter(pitch.midi for pitch in line.pitches)
    span = max(midis) - min(midis) if midis else 0
    counts = {"one note": 1, "two notes": 2, "three notes": 3, "five notes": 5, "six notes": 6}
    for word, most in WIDTHS:
        if span <= most and len(midis) <= counts.get(word, 13):
            return word
    return "more than an octave"
