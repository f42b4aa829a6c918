"""Where the phrases of a piece end in all its lines at once, and moving some of them by octaves.

A whole line cannot always go up or down an octave; a phrase of it may, where every line breathes. Pitches are MIDI
numbers or spelled pitches, places are a bar (from 0) and quarter notes into it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from beginnerband.music.pitch import Pitch
from beginnerband.music.playing import order
from beginnerband.music.score import Line, Measure, Note

Place = tuple[int, Fraction]
"""Bar by place, and quarter notes into it."""

START: Place = (0, Fraction(0))
"""Where the first phrase starts."""

FOURS = 4
"""Bars to a phrase where the tune marks no end of one (common practice, no source)."""


def starts(lines: Mapping[str, Line]) -> tuple[Place, ...]:
    """Where phrases start, the first at the beginning: the tune has just ended one, and no line sounds across.

    A phrase of the tune, which is the first line, ends at a breath mark, under a hold, at a double bar or repeat, and
    at a rest; where it marks none of these before its end, every four full bars.
    """
    tune, *others = lines.values()
    ends = dict.fromkeys(_marked(tune)) or dict.fromkeys(_in_fours(tune))
    struck = [set(_struck(line)) for line in (tune, *others)]
    return (START, *(place for place in ends if place != START and all(place in line for line in struck)))


def phrase_of(phrases: Sequence[Place], place: Place) -> int:
    """Which phrase, from 0, a place is in."""
    return sum(start <= place for start in phrases) - 1


def moved(line: Line, phrases: Sequence[Place], octaves: Sequence[int]) -> Line:
    """The line with each of its phrases moved by its number of octaves."""
    if not any(octaves):
        return line

    def bar(place: int, measure: Measure) -> Measure:
        found, beat = [], Fraction(0)
        for note in measure.notes:
            found.append(note.octaves_up(octaves[phrase_of(phrases, (place, beat))]))
            beat += note.quarters
        return replace(measure, notes=tuple(found))

    return replace(line, measures=tuple(bar(place, measure) for place, measure in enumerate(line.measures)))


def played(line: Line, phrases: Sequence[Place]) -> Iterator[tuple[int, Pitch | None]]:
    """The phrase and pitch of every note and rest, in the order played, tied notes once."""
    placed: list[list[tuple[int, Note]]] = []
    for place, measure in enumerate(line.measures):
        beat, bar = Fraction(0), []
        for note in measure.notes:
            bar.append((phrase_of(phrases, (place, beat)), note))
            beat += note.quarters
        placed.append(bar)
    tied = False
    for place in order(line):
        for phrase, note in placed[place]:
            if not tied:
                yield phrase, note.pitch
            tied = note.tie


def _struck(line: Line) -> Iterator[Place]:
    """Places at which nothing sounds on from before."""
    tied = False
    for at, measure in enumerate(line.measures):
        beat = Fraction(0)
        for note in measure.notes:
            if not tied:
                yield at, beat
            beat += note.quarters
            tied = note.tie


def _marked(tune: Line) -> Iterator[Place]:
    ended = False
    for at, measure in enumerate(tune.measures):
        beat = Fraction(0)
        for note in measure.notes:
            if ended and not note.rest:
                yield at, beat
                ended = False
            beat += note.quarters
            ended = ended or note.breath or note.fermata or note.rest
        ended = ended or bool(measure.barline or measure.repeat_end)


def _in_fours(tune: Line) -> Iterator[Place]:
    """Starts of every fourth full bar, with the pickup that leads into it where the tune began with one."""
    pickup = tune.measures[0].quarters if tune.measures[0].partial else Fraction(0)
    full = [at for at, measure in enumerate(tune.measures) if not measure.partial]
    for at in full[FOURS::FOURS]:
        before = tune.measures[at - 1].quarters
        yield (at - 1, before - pickup) if pickup else (at, Fraction(0))
