"""The score model: notes, bars, lines and scores that never change once made.

Everything that reads music (ABC, MusicXML) ends here and everything that writes it (MusicXML, MIDI, engraving, the
player) starts here. Lengths are exact fractions of a quarter note, pitches are spelled. A :class:`Line` is one voice:
one note at a time, as a brass player plays. Whether its pitches are written or sounding is said by whoever holds it;
tunes as loaded are at concert pitch.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import KW_ONLY, dataclass, field, replace
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate
from math import lcm
from operator import methodcaller
from types import MappingProxyType
from typing import TypeVar

from beginnerband.music.chord_symbol import ChordSymbol
from beginnerband.music.pitch import STEPS, Pitch, with_signs

ARTICULATIONS = ("staccato", "tenuto", "accent", "strong-accent")
"""Articulations by their MusicXML names."""

DYNAMICS = ("pp", "p", "mp", "mf", "f", "ff", "fp", "sfz")
"""Dynamic marks."""

MARKS = ("segno", "coda", "fine", "to-coda", "da-capo", "dal-segno", "al-fine", "al-coda")
"""Signs that send a player elsewhere; ``al-fine`` and ``al-coda`` say how far the jump of the same bar leads."""

MODES = {"major": 0, "minor": 3, "dorian": 2, "phrygian": 4, "lydian": -1, "mixolydian": 1, "locrian": 5}
"""Modes, with how many fifths the tonic lies above that of the major key of the same signature."""

VALUES: dict[str, Fraction] = {
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
}
"""Note values by their MusicXML names, longest first, in quarter notes."""

Sign = TypeVar("Sign")

_FIFTHS = "FCGDAEB"
_BY_LENGTH = {
    length * (2 - Fraction(1, 2**dots)): (name, dots)
    for dots in (2, 1, 0)
    for name, length in VALUES.items()
    if name not in ("32nd", "64th") or dots == 0
}
_BY_RATIO = {(length.numerator, length.denominator): value for length, value in _BY_LENGTH.items()}
_PLAIN_LENGTHS = tuple(sorted((length for length, (_, dots) in _BY_LENGTH.items() if dots < 2), reverse=True))


def letter_at(fifths: int) -> str:
    """Note letter ``fifths`` perfect fifths above C (negative: below), as ``Bb`` for -2."""
    alter, place = divmod(fifths + 1, 7)
    return _FIFTHS[place] + ("#" * alter if alter > 0 else "b" * -alter)


@dataclass(frozen=True, slots=True)
class Key:
    """A key signature and its mode."""

    fifths: int
    """Sharps (+) or flats (-), -7 to 7."""
    mode: str = "major"
    """One of :data:`MODES`."""

    @property
    def tonic(self) -> str:
        """Letter of the key note, as ``Bb``."""
        return letter_at(self.fifths + MODES[self.mode])

    @property
    def name(self) -> str:
        """Name in plain characters, as ``Bb major``."""
        return f"{self.tonic} {self.mode}"

    @property
    def sign(self) -> str:
        """Name for people, as ``B♭ major``."""
        return f"{with_signs(self.tonic)} {self.mode}"

    @property
    def alters(self) -> Mapping[str, int]:
        """Semitones the signature raises or lowers each letter."""
        return _alters(self.fifths)


@lru_cache(maxsize=100)
def _alters(fifths: int) -> Mapping[str, int]:
    alters = dict.fromkeys(STEPS, 0)
    for letter in _FIFTHS[:fifths] if fifths > 0 else _FIFTHS[7 + fifths :] if fifths else "":
        alters[letter] = 1 if fifths > 0 else -1
    return MappingProxyType(alters)


@dataclass(frozen=True, slots=True)
class Time:
    """A time signature."""

    beats: int
    """Upper figure."""
    unit: int
    """Lower figure, a power of two."""
    symbol: str = ""
    """``common`` or ``cut`` where the sign is printed instead of the figures."""

    @property
    def quarters(self) -> Fraction:
        """Length of a full bar in quarter notes."""
        return Fraction(4 * self.beats, self.unit)

    @property
    def beat(self) -> Fraction:
        """Length of the felt beat in quarter notes: a dotted one in 6/8, 9/8 and 12/8."""
        compound = self.beats % 3 == 0 and self.beats > 3 and self.unit >= 8
        return Fraction(4, self.unit) * (3 if compound else 1)

    @property
    def beats_felt(self) -> int:
        """Felt beats in a bar: 2 in 6/8."""
        return int(self.quarters / self.beat)

    @property
    def name(self) -> str:
        """Figures as ``3/4``."""
        return f"{self.beats}/{self.unit}"


@dataclass(frozen=True, slots=True)
class Tempo:
    """A metronome mark."""

    bpm: Fraction
    """Beats a minute."""
    beat: Fraction = Fraction(1)
    """The counted note in quarter notes; 3/2 is a dotted quarter."""
    words: str = ""
    """Printed direction, as ``Steadily``."""

    @property
    def quarters_a_minute(self) -> Fraction:
        """Speed in quarter notes a minute."""
        return self.bpm * self.beat

    def seconds(self, quarters: Fraction) -> float:
        """Seconds that ``quarters`` last."""
        return float(quarters * 60 / self.quarters_a_minute)


@dataclass(frozen=True, slots=True)
class Tuplet:
    """So many notes in the time of so many: a triplet is 3 in the time of 2."""

    actual: int
    """Notes played."""
    normal: int
    """Notes of the same value they take the time of."""
    edge: str = ""
    """``start`` on the first note of the group, ``stop`` on its last, else empty."""


def tuplet_name(actual: int) -> str:
    """What is put before the value of a note in a tuplet of so many: ``triplet ``, ``5-tuplet ``."""
    return "triplet " if actual == 3 else f"{actual}-tuplet "


@dataclass(frozen=True, slots=True)
class Syllable:
    """What is sung on a note in one verse."""

    text: str
    """As printed, without its hyphen."""
    place: str = "single"
    """``single``, ``begin``, ``middle`` or ``end``: where it stands in its word (MusicXML 4.0, syllabic)."""
    held: bool = False
    """Sung on over the notes that follow, as a line after the syllable shows."""
    verse: int = 1
    """Which verse, from 1."""


@dataclass(frozen=True, slots=True)
class Note:
    """A note, a rest, or a stroke on a drum."""

    quarters: Fraction
    """Length as it sounds, in quarter notes."""
    pitch: Pitch | None = None
    """Pitch; ``None`` for a rest or a drum."""
    _: KW_ONLY
    drum: str = ""
    """What an unpitched note strikes, ``snare``, ``bass-drum`` or ``cymbal``; or empty."""
    tie: bool = False
    """Sounds on into the next note, which is not struck again."""
    slur_starts: int = 0
    """Slurs beginning on this note."""
    slur_stops: int = 0
    """Slurs ending on this note."""
    articulations: tuple[str, ...] = ()
    """Of :data:`ARTICULATIONS`."""
    fermata: bool = False
    """Held."""
    breath: bool = False
    """A breath mark after the note."""
    dynamic: str = ""
    """Dynamic that starts here, of :data:`DYNAMICS`, or empty."""
    hairpin: str = ""
    """``crescendo`` or ``diminuendo`` where a hairpin starts, ``stop`` where it ends, or empty."""
    tuplet: Tuplet | None = None
    """Tuplet the note belongs to."""
    graces: tuple[Pitch, ...] = ()
    """Grace notes before it, that take no time."""
    words: str = ""
    """Words or a figure printed above; in a round ``2`` marks where the second group begins."""
    chord: ChordSymbol | None = None
    """Chord symbol above, at the pitch of the line."""
    lyrics: tuple[Syllable, ...] = ()
    """Syllables below, one a verse."""
    proposed: bool = False
    """The breath mark is proposed by rule (:mod:`beginnerband.music.breathing`), not the source's."""

    def __hash__(self) -> int:
        """Of what tells most notes apart: hashing all of a note takes thrice as long, and whole lines are hashed."""
        return hash((self.quarters.as_integer_ratio(), self.pitch, self.words))

    @property
    def rest(self) -> bool:
        """Whether nothing is played."""
        return self.pitch is None and not self.drum

    @property
    def notated(self) -> Fraction:
        """Length as written, before any tuplet squeezes it."""
        return self.quarters * self.tuplet.actual / self.tuplet.normal if self.tuplet else self.quarters

    def octaves_up(self, octaves: int) -> Note:
        """The same note so many octaves higher, or lower for a negative number."""
        return self.moved(methodcaller("octaves_up", octaves)) if octaves else self

    def moved(self, move: Callable[[Pitch], Pitch]) -> Note:
        """The same note with its pitch moved. Spelled out, since ``replace`` is slow and this is done most."""
        if self.pitch is None and self.chord is None:
            return self
        return Note(
            quarters=self.quarters,
            pitch=move(self.pitch) if self.pitch else None,
            drum=self.drum,
            tie=self.tie,
            slur_starts=self.slur_starts,
            slur_stops=self.slur_stops,
            articulations=self.articulations,
            fermata=self.fermata,
            breath=self.breath,
            dynamic=self.dynamic,
            hairpin=self.hairpin,
            tuplet=self.tuplet,
            graces=tuple(move(grace) for grace in self.graces) if self.graces else (),
            words=self.words,
            chord=self.chord.moved(move) if self.chord else None,
            lyrics=self.lyrics,
            proposed=self.proposed,
        )

    @property
    def value(self) -> tuple[str, int]:
        """MusicXML note value and number of dots; ``ValueError`` where one note cannot be that long."""
        length = self.notated
        try:
            return _BY_RATIO[length.numerator, length.denominator]
        except KeyError:
            raise ValueError(f"no single note lasts {self.notated} quarter notes") from None

    @property
    def value_name(self) -> str:
        """:attr:`value` and tuplet in one: ``dotted quarter``, ``triplet eighth``; ``ValueError`` as there."""
        name, dots = self.value
        dotted = ("", "dotted ", "double-dotted ")[dots] + name
        return tuplet_name(self.tuplet.actual) + dotted if self.tuplet else dotted


@dataclass(frozen=True, slots=True)
class Measure:
    """A bar."""

    number: int
    """As printed and as named in messages; 0 for a pickup."""
    notes: tuple[Note, ...]
    """What is played, in order."""
    _: KW_ONLY
    key: Key | None = None
    """New key signature at its start; always set in the first bar."""
    time: Time | None = None
    """New time signature at its start; always set in the first bar."""
    tempo: Tempo | None = None
    """New tempo at its start."""
    repeat_start: bool = False
    """A repeat begins here."""
    repeat_end: int = 0
    """How many times the repeat that ends here is played in all, 2 as a rule; 0 for no repeat."""
    ending: tuple[int, ...] = ()
    """The times through at which this bar is played, where it belongs to a first or second ending."""
    ending_start: bool = False
    """An ending's bracket begins at this bar."""
    barline: str = ""
    """``double`` or ``final`` at its end; empty for a plain line."""
    partial: bool = False
    """Meant to be shorter than the metre: a pickup, its complement, or a bar cut by a repeat."""
    rehearsal: str = ""
    """Rehearsal letter at its start."""
    marks: tuple[str, ...] = ()
    """Of :data:`MARKS`: ``segno`` and ``coda`` at its start, the others at its end."""
    file_line: int = field(default=0, compare=False, repr=False)
    """Line of the file it was read from, from 1; 0 where there is none to name."""

    def __hash__(self) -> int:
        """As of a :class:`Note`, of what tells most bars apart."""
        return hash((self.number, self.notes))

    @property
    def quarters(self) -> Fraction:
        """Length of what is in it, in quarter notes."""
        return added(note.quarters for note in self.notes)


def added(lengths: Iterable[Fraction]) -> Fraction:
    """The sum of lengths. They are added up as whole numbers: a sum of fractions takes some times as long."""
    ratios = [length.as_integer_ratio() for length in lengths]
    under = lcm(*(own for _, own in ratios))
    return Fraction(sum(over * (under // own) for over, own in ratios), under)


class BarError(ValueError):
    """Something wrong in one bar; the message begins with its number."""

    def __init__(self, measure: Measure, message: str) -> None:
        super().__init__(f"bar {measure.number}: {message}")
        self.file_line = measure.file_line
        """As in :class:`Measure`."""


OPENING = 4
"""Bars at the beginning of a line by which most are told apart."""


def _in_force(start: Sign, marks: Iterable[Sign | None]) -> tuple[Sign, ...]:
    """Which of a bar's signs holds in each bar, given those that are new there."""
    return tuple(accumulate(marks, lambda before, mark: mark or before, initial=start))[1:]


@dataclass(frozen=True, slots=True)
class Line:
    """One voice from beginning to end."""

    measures: tuple[Measure, ...]
    """Its bars."""
    name: str = ""
    """As ``Soprano``; empty for a tune that stands alone."""

    def __hash__(self) -> int:
        """As of a :class:`Note`, of what tells most lines apart: how long they are, and how they begin."""
        return hash((self.name, len(self.measures), self.measures[:OPENING]))

    @property
    def key(self) -> Key:
        """Key at the start."""
        return self.measures[0].key or Key(0)

    @property
    def time(self) -> Time:
        """Metre at the start."""
        return self.measures[0].time or Time(4, 4)

    @property
    def tempo(self) -> Tempo:
        """Tempo at the start; 90 quarter notes a minute where none is marked."""
        return self.measures[0].tempo or Tempo(Fraction(90))

    @property
    def tempos(self) -> tuple[Tempo, ...]:
        """Tempo in force in each bar, by place: a mark holds on the page until the next, and a jump goes back to it."""
        return _in_force(self.tempo, (bar.tempo for bar in self.measures))

    @property
    def times(self) -> tuple[Time, ...]:
        """Metre in force in each bar, by place."""
        return _in_force(self.time, (bar.time for bar in self.measures))

    @property
    def keys(self) -> tuple[Key, ...]:
        """Key in force in each bar, by place."""
        return _in_force(self.key, (bar.key for bar in self.measures))

    @property
    def quarters(self) -> Fraction:
        """Length without repeats, in quarter notes."""
        return added(note.quarters for _, note in self)

    def __iter__(self) -> Iterator[tuple[Measure, Note]]:
        """Every note with its bar, as written (repeats once)."""
        return ((measure, note) for measure in self.measures for note in measure.notes)

    @property
    def pitches(self) -> tuple[Pitch, ...]:
        """Every pitch in order, tied notes each time, grace notes left out."""
        return tuple(note.pitch for _, note in self if note.pitch)

    @property
    def lowest(self) -> Pitch | None:
        """Lowest pitch, or ``None`` for drums and silence."""
        return min(self._sounded, key=lambda pitch: pitch.midi, default=None)

    @property
    def highest(self) -> Pitch | None:
        """Highest pitch, or ``None`` for drums and silence."""
        return max(self._sounded, key=lambda pitch: pitch.midi, default=None)

    @property
    def _sounded(self) -> Iterator[Pitch]:
        return (pitch for _, note in self for pitch in (*note.graces, *((note.pitch,) if note.pitch else ())))

    def octaves_up(self, octaves: int) -> Line:
        """The same line so many octaves higher, or lower for a negative number, in its key."""
        return self.map_pitches(methodcaller("octaves_up", octaves), lambda key: key) if octaves else self

    def map_pitches(self, move: Callable[[Pitch], Pitch], key: Callable[[Key], Key]) -> Line:
        """The same line with every pitch and key signature moved."""

        return replace(
            self,
            measures=tuple(
                replace(
                    measure,
                    notes=tuple(note.moved(move) for note in measure.notes),
                    key=key(measure.key) if measure.key else None,
                )
                for measure in self.measures
            ),
        )

    def excerpt(self, start: int, stop: int) -> Line:
        """Bars ``start`` to ``stop - 1`` by place, with the key, metre and tempo in force at ``start``."""
        bars = self.measures[start:stop]
        if not bars:
            return replace(self, measures=())
        before = self.measures[: start + 1]
        key = next((bar.key for bar in reversed(before) if bar.key), self.key)
        time = next((bar.time for bar in reversed(before) if bar.time), self.time)
        tempo = next((bar.tempo for bar in reversed(before) if bar.tempo), None)
        return replace(self, measures=(replace(bars[0], key=key, time=time, tempo=tempo), *bars[1:]))


@dataclass(frozen=True, slots=True)
class Remark:
    """Something in a music file that was not used, or not as it stands; it stops nothing."""

    line: int
    """Line of the file, from 1; 0 where there is none to name."""
    message: str
    """What was met and what was done."""


@dataclass(frozen=True, slots=True)
class Score:
    """Lines that sound together."""

    lines: tuple[Line, ...]
    """Voices, highest first."""
    title: str = ""
    """As printed."""
    _: KW_ONLY
    composer: str = ""
    """As printed; ``Traditional`` where nobody knows."""
    origin: str = field(default="")
    """Where it comes from: country, hymn book."""
    source: str = ""
    """Where it was taken from, as the file says; empty where it does not."""
    remarks: tuple[Remark, ...] = ()
    """What the file holds and the score does not."""


@lru_cache(maxsize=1024)
def split_length(quarters: Fraction) -> tuple[Fraction, ...]:
    """Lengths of single notes, longest first, that tied together last ``quarters``; ``ValueError`` if none do."""
    parts: list[Fraction] = []
    rest = quarters
    while rest > 0:
        longest = next((length for length in _PLAIN_LENGTHS if length <= rest), None)
        if longest is None:
            raise ValueError(f"{quarters} quarter notes cannot be written as notes")
        parts.append(longest)
        rest -= longest
    return tuple(parts)
