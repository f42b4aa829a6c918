"""Grading: each player's part in each lesson, what is known by then, and what is new.

Nothing here is typed by hand in the lessons: what is new in a week is what its parts hold that no earlier part held.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache

from beginnerband.music import shift
from beginnerband.music.instrument import Range
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.reading import Reading
from beginnerband.music.score import Line, Tempo
from beginnerband.teaching.course import Course, Item, Lesson
from beginnerband.teaching.facts import Facts, facts_of

OCTAVES = (0, 1, -1, 2, -2, 3, -3)
"""Octave shifts tried for a part, nearest first."""


@dataclass(frozen=True, slots=True)
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
            self.notes | set(facts.notes),
            self.values | set(facts.values),
            self.metres | set(facts.metres),
            self.signatures | set(facts.signatures) if read else self.signatures,
            self.techniques | set(facts.techniques),
            max(self.leap, facts.leap),
        )

    def minus(self, other: Known) -> Known:
        """What is in this and not in ``other``; the leap stays only where it is larger."""
        return Known(
            self.notes - other.notes,
            self.values - other.values,
            self.metres - other.metres,
            self.signatures - other.signatures,
            self.techniques - other.techniques,
            self.leap if self.leap > other.leap else 0,
        )

    @property
    def ordered(self) -> tuple[Pitch, ...]:
        """Its notes from low to high."""
        return tuple(sorted(self.notes, key=lambda pitch: (pitch.midi, pitch.staff_index)))


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
    weeks, known = [], Known()
    room = course.room_of(player.instrument).id
    for place, lesson in enumerate(course.weeks):
        before, parts = known, []
        for item in lesson.items:
            if not item.is_for(player):
                continue
            part = part_of(item, player, item.keys[room], known.notes)
            known = known.plus(part.facts, item.read)
            parts.append(part)
        weeks.append(Week(place, lesson, tuple(parts), before, known))
    return tuple(weeks)


def part_of(item: Item, player: Player, fifths: int, known: Iterable[Pitch] = ()) -> LessonPart:
    """The part of ``item`` for ``player`` in the concert key ``fifths``, in the octave that suits best.

    Best is: fewest notes outside the starter range, then fewest notes not known, then nearest the middle of the
    starter range, then the smaller shift, upwards first.
    """
    if not player.instrument.pitched:
        return LessonPart(item, item.line, _drum_facts(item.line))
    near, _ = _written(item.line, fifths, player.reading, 0)
    home = player.instrument.written_range("starter", player.reading)
    had, pitches = frozenset(known), set(near.pitches)

    def cost(octaves: int) -> tuple[int, int, float]:
        moved = {pitch.octaves_up(octaves) for pitch in pitches}
        outside = sum(pitch not in home for pitch in moved)
        return outside, len(moved - had), abs(_middle(moved) - (home.low.midi + home.high.midi) / 2)

    return LessonPart(item, *_written(item.line, fifths, player.reading, min(OCTAVES, key=cost)))


@lru_cache(maxsize=4096)
def _written(line: Line, fifths: int, reading: Reading, octaves: int) -> tuple[Line, Facts]:
    """A concert line in a key as one reading sees it, with its facts; the same for all who share the reading."""
    part = shift.written(shift.to_key(line, fifths), reading, octaves)
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
