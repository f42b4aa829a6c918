"""A part for players with no melody: snare drum and bass drum from the metre and the tune's own rhythm.

The rule (common practice, no source): the bass drum plays the strong beats, the snare drum the others; where the tune
moves in notes shorter than a beat, the snare drum plays that rhythm with it, and the beat itself, since a stroke after
a silent beat is hard to place; both rest through a pickup, and both end together on the first beat of the last bar.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from beginnerband.music.score import VALUES, Line, Measure, Note, Time, split_length


def snare(line: Line) -> Line:
    """The snare drum's line."""
    return _drum(line, "snare", "Snare drum")


def bass_drum(line: Line) -> Line:
    """The bass drum's line."""
    return _drum(line, "bass-drum", "Bass drum")


def sticking(line: Line) -> tuple[str, ...]:
    """The hand of each note, ``R`` or ``L``, empty under a rest: hands in turn, and right again after a beat of rest.

    (Common practice, no source: single strokes, the right hand first.)
    """
    hands, right = [], True
    for _, note in line:
        if note.rest and not note.drum:
            right = right or note.quarters >= line.time.beat
            hands.append("")
            continue
        hands.append("R" if right else "L")
        right = not right
    return tuple(hands)


def strong_beats(time: Time) -> tuple[int, ...]:
    """Places of the strong beats among the felt beats of a bar: 0 and 2 of four, 0 of two or three."""
    return tuple(range(0, time.beats_felt, 2)) if time.beats_felt % 2 == 0 else (0,)


@lru_cache(maxsize=128)  # a tune's page, its table and each of its files ask for the same
def _drum(line: Line, drum: str, name: str) -> Line:
    time, bars = line.time, []
    last = max(place for place, bar in enumerate(line.measures) if any(not note.rest for note in bar.notes))
    for place, bar in enumerate(line.measures):
        time = bar.time or time
        if bar.number == 0 or (bar.partial and place != last):
            strokes: set[Fraction] = set()
        elif place == last:
            strokes = {Fraction(0)}
        else:
            strokes = _snare_strokes(bar, time) if drum == "snare" else _bass_strokes(bar, time)
        notes = tuple(_fill(strokes, bar.quarters, time, drum))
        bars.append(replace(bar, notes=notes, key=None, rehearsal=bar.rehearsal))
    return Line(tuple(bars), name)


def _bass_strokes(bar: Measure, time: Time) -> set[Fraction]:
    return {time.beat * beat for beat in strong_beats(time) if time.beat * beat < bar.quarters}


def _snare_strokes(bar: Measure, time: Time) -> set[Fraction]:
    """Weak beats, and within a beat that the tune divides, the tune's own notes."""
    strong = strong_beats(time)
    strokes = {time.beat * beat for beat in range(time.beats_felt) if beat not in strong}
    onsets, position, held = [], Fraction(0), False
    for note in bar.notes:
        if not note.rest and not held and not note.tuplet:
            onsets.append(position)
        held = note.tie
        position += note.quarters
    divided = {onset // time.beat for onset in onsets if onset % time.beat}
    on_the_beat = {time.beat * beat for beat in divided}
    strokes = {stroke for stroke in strokes if stroke < bar.quarters and stroke // time.beat not in divided}
    return strokes | on_the_beat | {onset for onset in onsets if onset // time.beat in divided}


def _plain(quarters: Fraction) -> Iterator[Fraction]:
    """Lengths without dots that make up a silence, longest first; a beginner meets dotted rests late."""
    for length in split_length(quarters):
        undotted = max(value for value in VALUES.values() if value <= length)
        yield undotted
        if length > undotted:
            yield from _plain(length - undotted)


def _fill(strokes: set[Fraction], quarters: Fraction, time: Time, drum: str) -> list[Note]:
    """Notes at the strokes and rests between, none crossing a beat unless it fills whole beats."""
    if not strokes:
        return [Note(length) for length in _plain(quarters)]
    notes: list[Note] = []
    edges = sorted({*strokes, quarters, *(time.beat * beat for beat in range(time.beats_felt) if strokes)})
    edges = [edge for edge in edges if edge <= quarters]
    position = Fraction(0)
    for edge in [edge for edge in edges if edge > 0]:
        struck = position in strokes
        for number, length in enumerate(split_length(edge - position)):
            notes.append(Note(length, drum=drum if struck and number == 0 else ""))
        position = edge
    return notes
