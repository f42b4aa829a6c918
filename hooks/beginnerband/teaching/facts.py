"""What a part asks of its player: notes, note values, metres, keys, leaps, techniques, breath.

Every fact is kept with the number of the bar where it first appears, so that a message can name it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from beginnerband.music.difficulty import BREATH_ROOM
from beginnerband.music.pitch import Pitch
from beginnerband.music.playing import order
from beginnerband.music.score import ARTICULATIONS, VALUES, Line, Measure, Note, Tempo

TECHNIQUES = (
    "slur", "tie", "dynamics", "repeat", "endings", "jump marks", "pickup", "tuplet", "hold", "grace note",
    *ARTICULATIONS,
)  # fmt: skip
"""Techniques and signs that are told apart."""

VALUE_NAMES = tuple(
    f"{dots}{value}{rest}" for value in VALUES for dots in ("", "dotted ", "double-dotted ") for rest in ("", " rest")
)
"""Names that :func:`value_name` gives."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A length of playing and the bar in which it begins."""

    seconds: float = 0.0
    """How long."""
    bar: int = 0
    """Number of its first bar."""


@dataclass(frozen=True, slots=True)
class Facts:
    """Facts of one written part. Mappings give the bar of first appearance."""

    notes: Mapping[Pitch, int] = field(default_factory=dict, hash=False)
    """Written notes."""
    values: Mapping[str, int] = field(default_factory=dict, hash=False)
    """Note values and rests: ``quarter``, ``dotted half``, ``half rest``."""
    metres: Mapping[str, int] = field(default_factory=dict, hash=False)
    """As ``3/4``."""
    signatures: Mapping[int, int] = field(default_factory=dict, hash=False)
    """Written key signatures, by fifths."""
    techniques: Mapping[str, int] = field(default_factory=dict, hash=False)
    """As ``slur``, ``dynamics``, ``pickup``."""
    leap: int = 0
    """Largest leap in semitones between neighbouring notes."""
    leap_bar: int = 0
    """Bar in which it lands."""
    breath: Stretch = Stretch()
    """Longest playing without a breath mark or a rest long enough to breathe in."""
    playing: Stretch = Stretch()
    """Longest playing without a rest of at least a beat; breaths do not count."""


def facts_of(line: Line, pitched: bool = True) -> Facts:
    """Facts of a written part; a part for drums (``pitched`` false) has rhythm only."""
    notes: dict[Pitch, int] = {}
    values: dict[str, int] = {}
    metres: dict[str, int] = {}
    signatures: dict[int, int] = {}
    techniques: dict[str, int] = {}
    for measure in line.measures:
        bar = measure.number
        if measure.time:
            metres.setdefault(measure.time.name, bar)
        if measure.key and pitched:
            signatures.setdefault(measure.key.fifths, bar)
        for technique in _of_measure(measure):
            techniques.setdefault(technique, bar)
        for note in measure.notes:
            values.setdefault(value_name(note), bar)
            if pitched and note.pitch:
                notes.setdefault(note.pitch, bar)
            for technique in _of_note(note, pitched):
                techniques.setdefault(technique, bar)
    leap, leap_bar = _largest_leap(line) if pitched else (0, 0)
    return Facts(
        notes,
        values,
        metres,
        signatures,
        techniques,
        leap,
        leap_bar,
        *_stretches(_Played.of(line)),
    )


def value_name(note: Note) -> str:
    """Name of a note's value: ``quarter``, ``dotted half``, ``whole rest``."""
    try:
        name, dots = note.value
    except ValueError:
        name, dots = "tied", 0
    return ("double-dotted " if dots == 2 else "dotted " if dots else "") + name + (" rest" if note.rest else "")


def _of_measure(measure: Measure) -> list[str]:
    found = []
    if measure.repeat_start or measure.repeat_end:
        found.append("repeat")
    if measure.ending:
        found.append("endings")
    if measure.marks:
        found.append("jump marks")
    if measure.number == 0:
        found.append("pickup")
    return found


def _of_note(note: Note, pitched: bool) -> list[str]:
    found = [*note.articulations] if pitched else []
    if note.slur_starts and pitched:
        found.append("slur")
    if note.tie:
        found.append("tie")
    if note.dynamic or note.hairpin:
        found.append("dynamics")
    if note.tuplet:
        found.append("tuplet")
    if note.fermata:
        found.append("hold")
    if note.graces:
        found.append("grace note")
    return found


def _as_played(line: Line) -> Iterator[tuple[Measure, Note]]:
    return ((line.measures[place], note) for place in order(line) for note in line.measures[place].notes)


def _largest_leap(line: Line) -> tuple[int, int]:
    leap, leap_bar, last = 0, 0, None
    for measure, note in _as_played(line):
        if note.pitch is None:
            last = None
            continue
        if last is not None and abs(note.pitch.midi - last) > leap:
            leap, leap_bar = abs(note.pitch.midi - last), measure.number
        last = note.pitch.midi
    return leap, leap_bar


@dataclass(frozen=True, slots=True)
class _Played:
    """A line as the clock sees it, without pitches, so that every key and reading of it shares one answer."""

    notes: tuple[tuple[int, Fraction, bool, bool], ...]
    """Bar number, length in quarter notes, rest, breath after."""
    tempos: tuple[Tempo, ...]
    """Tempo in force at each note."""
    beat: Fraction
    """Length of a beat in quarter notes."""

    @classmethod
    def of(cls, line: Line) -> _Played:
        """Take the pitches off ``line`` and write out its repeats."""
        tempo, notes, tempos = line.tempo, [], []
        for measure, note in _as_played(line):
            tempo = measure.tempo or tempo
            notes.append((measure.number, note.quarters, note.rest, note.breath))
            tempos.append(tempo)
        return cls(tuple(notes), tuple(tempos), line.time.beat)


@lru_cache(maxsize=1024)
def _stretches(played: _Played) -> tuple[Stretch, Stretch]:
    """Longest stretch on one breath, and longest without a beat of rest."""
    breath, playing = _Clock(), _Clock()
    for (bar, quarters, rest, breathe), tempo in zip(played.notes, played.tempos, strict=True):
        seconds = tempo.seconds(quarters)
        if rest:
            if quarters >= BREATH_ROOM:
                breath.stop()
            if quarters >= played.beat:
                playing.stop()
            else:
                playing.run(bar, seconds)
            continue
        breath.run(bar, seconds)
        playing.run(bar, seconds)
        if breathe:
            breath.stop()
    return breath.best, playing.best


class _Clock:
    """Adds up playing time and remembers the longest stretch."""

    def __init__(self) -> None:
        self.best, self.seconds, self.bar = Stretch(), 0.0, 0

    def run(self, bar: int, seconds: float) -> None:
        """Play on for ``seconds``."""
        self.bar = self.bar if self.seconds else bar
        self.seconds += seconds
        if self.seconds > self.best.seconds + 1e-9:
            self.best = Stretch(self.seconds, self.bar)

    def stop(self) -> None:
        """Begin again."""
        self.seconds = 0.0
