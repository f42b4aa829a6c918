"""What a part asks of its player: notes, note values, metres, keys, signs and marks, leaps, breath.

Every fact is kept with the number of the bar where it first appears, so that a message can name it. What a lesson
teaches is said in the same names, so a new kind of sign needs one name here, and a rung of the ladder that allows it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from beginnerband.music.pitch import Pitch, transpose
from beginnerband.music.playing import order
from beginnerband.music.score import ARTICULATIONS, VALUES, Key, Line, Measure, Note, tuplet_name
from beginnerband.music.shift import MOST, rekeyed, respelled
from beginnerband.music.timing import NOTHING, Stretch, timing

JUMPS = {
    "da-capo": "D.C.",
    "al-fine": "Fine",
    "al-coda": "coda",
    "dal-segno": "D.S.",
    "segno": "D.S.",
    "fine": "Fine",
    "to-coda": "coda",
    "coda": "coda",
}
"""Marks of a bar that send the player elsewhere, and what one learns to understand them."""

TECHNIQUES = (
    "slur", "tie", "dynamics", "hairpin", "repeat", "endings", *dict.fromkeys(JUMPS.values()), "pickup", "hold",
    "grace note", "accidental", "change of key", "change of metre", *ARTICULATIONS,
)  # fmt: skip
"""Techniques, signs and marks that are told apart."""

VALUE_NAMES = tuple(
    f"{tuplet}{dots}{value}{rest}"
    for tuplet in ("", *(tuplet_name(actual) for actual in (2, 3, 4, 5, 6, 7, 9)))
    for value in VALUES
    for dots in ("", "dotted ", "double-dotted ")
    for rest in ("", " rest")
)
"""Names that :func:`value_name` gives."""

WHOLE_REST = "whole rest"
"""A rest of a whole bar is written so in any metre (E. Gould, *Behind Bars*, 2011; from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Facts of one written part. Mappings give the bar of first appearance."""

    notes: Mapping[Pitch, int] = field(default_factory=dict, hash=False)
    """Written notes, spelled; grace notes too."""
    values: Mapping[str, int] = field(default_factory=dict, hash=False)
    """Note values and rests: ``quarter``, ``dotted half``, ``half rest``, ``triplet eighth``."""
    metres: Mapping[str, int] = field(default_factory=dict, hash=False)
    """As ``3/4``."""
    signatures: Mapping[int, int] = field(default_factory=dict, hash=False)
    """Written key signatures, by fifths."""
    techniques: Mapping[str, int] = field(default_factory=dict, hash=False)
    """As ``slur``, ``dynamics``, ``pickup``."""
    leap: int = 0
    """Largest leap in semitones between neighbouring notes; a note after a rest is begun afresh and is no leap."""
    leap_bar: int = 0
    """Bar in which it lands."""
    breath: Stretch = NOTHING
    """Longest stretch on one breath."""
    playing: Stretch = NOTHING
    """Longest playing without a beat of rest."""

    def moved(self, interval: str, most: int = MOST) -> Facts:
        """Facts of the same line moved by ``interval``, as :func:`beginnerband.music.shift.by` moves it."""
        if interval == "P1":
            return self
        name = respelled(interval, tuple(self.signatures) or (0,), most)
        return replace(
            self,
            notes={transpose(pitch, name): bar for pitch, bar in self.notes.items()},
            signatures={rekeyed(Key(fifths), name).fifths: bar for fifths, bar in self.signatures.items()},
        )


@lru_cache(maxsize=512)
def facts_of(line: Line, pitched: bool = True) -> Facts:
    """Facts of a written part; a part for drums (``pitched`` false) has rhythm only."""
    notes: dict[Pitch, int] = {}
    values: dict[str, int] = {}
    metres: dict[str, int] = {}
    signatures: dict[int, int] = {}
    techniques: dict[str, int] = {}
    for place, (measure, key, time) in enumerate(zip(line.measures, line.keys, line.times, strict=True)):
        bar = measure.number
        if measure.time:
            metres.setdefault(measure.time.name, bar)
        if measure.key and pitched:
            signatures.setdefault(measure.key.fifths, bar)
        for technique in _of_measure(line, place, pitched):
            techniques.setdefault(technique, bar)
        for note in measure.notes:
            values.setdefault(WHOLE_REST if note.rest and note.quarters == time.quarters else value_name(note), bar)
            for technique in _of_note(note, key, pitched):
                techniques.setdefault(technique, bar)
            for pitch in _pitches(note) if pitched else ():
                notes.setdefault(pitch, bar)
    leap, leap_bar = _largest_leap(line) if pitched else (0, 0)
    clock = timing(line)
    return Facts(
        notes=notes,
        values=values,
        metres=metres,
        signatures=signatures,
        techniques=techniques,
        leap=leap,
        leap_bar=leap_bar,
        breath=clock.breath,
        playing=clock.endurance,
    )


def value_name(note: Note) -> str:
    """Name of a note's or rest's value: ``quarter``, ``dotted half``, ``whole rest``, ``triplet eighth``."""
    try:
        name = note.value_name
    except ValueError:
        name = "tied"
    return name + (" rest" if note.rest else "")


def _of_measure(line: Line, place: int, pitched: bool) -> Iterator[str]:
    measure = line.measures[place]
    if measure.repeat_start or measure.repeat_end:
        yield "repeat"
    if measure.ending:
        yield "endings"
    yield from (JUMPS[mark] for mark in measure.marks)
    if measure.number == 0 or (place == 0 and measure.quarters < line.time.quarters and len(line.measures) > 1):
        yield "pickup"
    if measure.time and place and measure.time.name != line.times[place - 1].name:
        yield "change of metre"
    if measure.key and place and pitched and measure.key.fifths != line.keys[place - 1].fifths:
        yield "change of key"


def _of_note(note: Note, key: Key, pitched: bool) -> Iterator[str]:
    if note.tie:
        yield "tie"
    if note.dynamic:
        yield "dynamics"
    if note.hairpin:
        yield "hairpin"
    if note.fermata:
        yield "hold"
    if pitched:
        yield from note.articulations
        if note.slur_starts:
            yield "slur"
        if note.graces:
            yield "grace note"
        if any(pitch.alter != key.alters[pitch.step] for pitch in _pitches(note)):
            yield "accidental"


def _pitches(note: Note) -> Iterable[Pitch]:
    return (*note.graces, note.pitch) if note.pitch else note.graces


def _as_played(line: Line) -> Iterator[tuple[Measure, Note]]:
    return ((line.measures[place], note) for place in order(line) for note in line.measures[place].notes)


def _largest_leap(line: Line) -> tuple[int, int]:
    leap, leap_bar, last = 0, 0, None
    for measure, note in _as_played(line):
        if note.rest:
            last = None
        for pitch in _pitches(note):
            if last is not None and abs(pitch.midi - last) > leap:
                leap, leap_bar = abs(pitch.midi - last), measure.number
            last = pitch.midi
    return leap, leap_bar
