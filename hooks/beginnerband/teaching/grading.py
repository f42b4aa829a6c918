"""Grading: each player's part in each lesson, what is known by then, and what is new.

Nothing here is typed by hand in the lessons: what is new in a week is what its parts hold that no earlier part held.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache

from beginnerband.music import shift
from beginnerband.music.instrument import LEVELS, Range
from beginnerband.music.percussion import snare
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.reading import Reading
from beginnerband.music.score import Line, Tempo
from beginnerband.teaching.course import Course, Item, Lesson
from beginnerband.teaching.facts import Facts, facts_of

FIVE = 5
"""Notes that are the first home of a key."""

OCTAVES = (0, 1, -1, 2, -2, 3, -3)
"""Octave shifts tried for a part, nearest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What a player has been taught so far."""

    notes: frozenset[Pitch] = frozenset()
    """Written notes."""
    values: frozenset[str] = frozenset()
    """Note values and rests."""
    metres: frozenset[str] = frozenset()
    """Time signatures."""
    signatures: frozenset[int] = frozenset()
    """Written key signatures that were read, by fifths."""
    techniques: frozenset[str] = frozenset()
    """Slurs, dynamics and the like."""
    leap: int = 0
    """Largest leap, semitones."""

    def plus(self, facts: Facts, read: bool = True) -> Known:
        """With the facts of one more part; a key signature counts only when it was read."""
        return Known(
            notes=self.notes | set(facts.notes),
            values=self.values | set(facts.values),
            metres=self.metres | set(facts.metres),
            signatures=self.signatures | set(facts.signatures) if read else self.signatures,
            techniques=self.techniques | set(facts.techniques),
            leap=max(self.leap, facts.leap),
        )

    def minus(self, other: Known) -> Known:
        """What is in this and not in ``other``; the leap stays only where it is larger."""
        return Known(
            notes=self.notes - other.notes,
            values=self.values - other.values,
            metres=self.metres - other.metres,
            signatures=self.signatures - other.signatures,
            techniques=self.techniques - other.techniques,
            leap=self.leap if self.leap > other.leap else 0,
        )

    @property
    def lengths(self) -> frozenset[str]:
        """Its note values; a rest counts with the note of its length."""
        return frozenset(value.removesuffix(" rest") for value in self.values)

    @property
    def ordered(self) -> tuple[Pitch, ...]:
        """Its notes from low to high."""
        return tuple(sorted(self.notes, key=lambda pitch: (pitch.midi, pitch.staff_index)))


def kinds(before: Known, new: Known) -> tuple[str, ...]:
    """What of ``new`` is a kind of its own to a player who knows ``before``: ``new notes``, ``quarter``, ``3/4``, …

    All new notes together are one kind, and so is each new length (a note and its rest together), metre, sign or
    technique. The first metre is not counted, since nobody knows that there are others; of key signatures, the first
    that is read, and after it the others together, since what they mean is learnt once.
    """
    found = ["new notes"] * bool(new.notes)
    found += sorted(new.lengths - before.lengths)
    found += sorted(new.metres if before.metres else ())
    found += sorted(new.techniques)
    signs = {fifths for fifths in new.signatures if fifths} if not any(before.signatures) else frozenset()
    return (*found, *["key signature"] * bool(signs))


@dataclass(frozen=True, slots=True)
class LessonPart:
    """What one player plays of one piece of music in one week."""

    item: Item
    """The music."""
    line: Line = field(hash=False, repr=False)
    """As written for the player; for drums the rhythm of the tune."""
    facts: Facts = field(hash=False, repr=False)
    """What it asks."""


@dataclass(frozen=True, slots=True)
class Week:
    """One player's week."""

    place: int
    """Place in the course, from 0."""
    lesson: Lesson
    """The lesson."""
    parts: tuple[LessonPart, ...]
    """What the player plays, in the lesson's order."""
    before: Known
    """Known when the lesson begins."""
    after: Known
    """Known when it ends."""

    @property
    def new(self) -> Known:
        """New in this week."""
        return self.after.minus(self.before)

    def part(self, item_id: str) -> LessonPart | None:
        """The part of one piece of music, or ``None`` when the player rests."""
        return next((part for part in self.parts if part.item.id == item_id), None)


@dataclass(frozen=True, slots=True)
class Grades:
    """The whole course as each player meets it."""

    weeks: Mapping[str, tuple[Week, ...]] = field(hash=False)
    """Weeks by player id."""

    def new_notes(self, player: str, place: int) -> tuple[Pitch, ...]:
        """Written notes new to ``player`` in week ``place``, low to high."""
        return self.weeks[player][place].new.ordered

    def first_met(self, player: str) -> dict[Pitch, int]:
        """For each written note of ``player``, the place of the week it is taught."""
        met: dict[Pitch, int] = {}
        for week in self.weeks[player]:
            for pitch in week.new.ordered:
                met.setdefault(pitch, week.place)
        return dict(sorted(met.items(), key=lambda pair: pair[0].midi))


def grade(course: Course, players: Iterable[Player]) -> Grades:
    """Every player's parts week by week."""
    return Grades({player.id: _weeks_of(course, player) for player in players})


def _weeks_of(course: Course, player: Player) -> tuple[Week, ...]:
    weeks = []
    music = [item for lesson in course.weeks for item in lesson.items]
    reader = OnTheWay(player, course.room_of(player.instrument).id, music)
    for place, lesson in enumerate(course.weeks):
        before = reader.known
        parts = reader.parts(lesson.items)
        weeks.append(Week(place, lesson, parts, before, reader.known))
    return tuple(weeks)


class OnTheWay:
    """One player on the way through the course: what they know, and in which octave they met each piece of music.

    ``music`` is what comes, in order: in each key, a tune that keeps to the first five notes stays in their octave.
    """

    def __init__(self, player: Player, room: str, music: Iterable[Item]) -> None:
        self.known = Known()
        """What they have been taught so far."""
        self._player, self._room = player, room
        self._homes: dict[int, frozenset[Pitch]] = {}
        for item in music if player.instrument.pitched else ():
            fifths = item.keys[room]
            if fifths not in self._homes and item.is_for(player) and len(set(item.line.pitches)) == FIVE:
                self._homes[fifths] = frozenset(part_of(item, player, fifths).facts.notes)
        self._met: dict[tuple[int, int], LessonPart] = {}  # by the line itself: hashing its notes takes long

    def parts(self, items: Iterable[Item]) -> tuple[LessonPart, ...]:
        """Their parts of ``items``, which they know from now on; music that was met before keeps its octave."""
        found = []
        for item in items:
            if not item.is_for(self._player):
                continue
            fifths = item.keys[self._room]
            part = self._met.get((id(item.line), fifths))
            if part is None or part.item.plain != item.plain or part.item.accompany != item.accompany:
                easiest = self._player.instrument.brass and len(set(item.line.pitches)) == 1  # for the lips
                home = frozenset[Pitch]() if easiest else self._homes.get(fifths, frozenset())
                part = part_of(item, self._player, fifths, self.known.notes, home)
                self._met[id(item.line), fifths] = part
            part = part if part.item is item else replace(part, item=item)
            self.known = self.known.plus(part.facts, item.read)
            found.append(part)
        return tuple(found)


def part_of(
    item: Item, player: Player, fifths: int, known: Iterable[Pitch] = (), home: frozenset[Pitch] = frozenset()
) -> LessonPart:
    """The part of ``item`` for ``player`` in the concert key ``fifths``, in the octave that suits best.

    Best is: in the octave of the five notes at ``home`` in this key, where it keeps to them; else fewest notes that the
    instrument does not have, then fewest outside the first year's range, then fewest outside the starter range, then
    fewest notes not known, then nearest the middle of the starter range, then the smaller shift, upwards first.
    """
    if not player.instrument.pitched:
        line = snare(item.line) if item.accompany else item.line
        return LessonPart(item, line, _drum_facts(line))
    pitches = _near(item.line, fifths, player.reading)
    spans = tuple(allowed_range(player, level) for level in LEVELS[::-1])
    octaves = _octaves(pitches, frozenset(known), home, spans)
    return LessonPart(item, *_written(item.line, fifths, player.reading, octaves, item.plain))


@lru_cache(maxsize=4096)
def _near(line: Line, fifths: int, reading: Reading) -> frozenset[Pitch]:
    """The written notes of a concert line in a key, before its octave is chosen."""
    return frozenset(shift.written(shift.to_key(line, fifths), reading, 0).pitches)


@lru_cache(maxsize=8192)
def _octaves(pitches: frozenset[Pitch], had: frozenset[Pitch], home: frozenset[Pitch], spans: tuple[Range, ...]) -> int:
    """By how many octaves ``pitches`` are best moved for a player who knows the notes ``had``; see :func:`part_of`.

    ``spans`` are the written ranges, the widest first.
    """
    middle = (spans[-1].low.midi + spans[-1].high.midi) / 2

    def cost(octaves: int) -> tuple[bool, tuple[int, ...], int, float]:
        moved = {pitch.octaves_up(octaves) for pitch in pitches}
        outside = tuple(sum(pitch not in span for pitch in moved) for span in spans)
        return not moved <= home, outside, len(moved - had), abs(_middle(moved) - middle)

    return min(OCTAVES, key=cost)


@lru_cache(maxsize=4096)
def _written(line: Line, fifths: int, reading: Reading, octaves: int, plain: bool = False) -> tuple[Line, Facts]:
    """A concert line in a key as one reading sees it, with its facts; the same for all who share the reading."""
    part = shift.written(shift.to_key(line, fifths), reading, octaves)
    if plain:
        part = part.map_pitches(lambda pitch: pitch, lambda key: replace(key, fifths=0))
    return part, facts_of(part)


@lru_cache(maxsize=1024)
def _drum_facts(line: Line) -> Facts:
    return facts_of(line, pitched=False)


def _middle(pitches: Iterable[Pitch]) -> float:
    midis = [pitch.midi for pitch in pitches] or [60]
    return (min(midis) + max(midis)) / 2


def with_breaths(line: Line, every: int) -> Line:
    """The line with a breath mark at the end of every ``every`` full bars, besides those it has."""
    marked, count = [], 0
    for measure in line.measures:
        count += not measure.partial
        if measure.notes and count and count % every == 0 and not measure.notes[-1].rest:
            notes = (*measure.notes[:-1], replace(measure.notes[-1], breath=True))
            measure = replace(measure, notes=notes)
        marked.append(measure)
    return replace(line, measures=tuple(marked))


def at_tempo(line: Line, quarters_a_minute: Fraction) -> Line:
    """The line with another tempo at its start."""
    first = replace(line.measures[0], tempo=Tempo(quarters_a_minute))
    return replace(line, measures=(first, *line.measures[1:]))


def allowed_range(player: Player, level: str) -> Range:
    """Written range of ``player`` at ``level``."""
    return player.instrument.written_range(level, player.reading)
