"""Which short notes share a beam: those that begin within one beat, so that a learner sees the beats."""

from __future__ import annotations

from fractions import Fraction

from beginnerband.music.score import Measure, Note, Time

_FLAGS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4}

Beams = tuple[str, ...]
"""One MusicXML beam word for each level of a note, outermost first; empty for a note without a beam."""


def flags(note: Note) -> int:
    """How many flags or beams the note's value has: 1 for an eighth."""
    return _FLAGS.get(note.value[0], 0)


def beams(measure: Measure, time: Time) -> tuple[Beams, ...]:
    """The beams of every note in a bar; in 3/8 the whole bar is one beat."""
    short = sum(note.quarters.numerator < note.quarters.denominator for note in measure.notes)
    if short < 2:  # most bars of beginners, told without counting beats
        return ((),) * len(measure.notes)
    beat = time.quarters if time.unit >= 8 and time.beats == 3 else max(time.beat, Fraction(1))
    position = time.quarters - measure.quarters if measure.number == 0 else Fraction(0)
    groups: list[list[int]] = []
    last_beat: Fraction | None = None
    for place, note in enumerate(measure.notes):
        count = flags(note) if not note.rest else 0
        this_beat = position // beat
        if count and last_beat == this_beat and groups:
            groups[-1].append(place)
        elif count:
            groups.append([place])
        last_beat = Fraction(this_beat) if count else None
        position += note.quarters
    found: list[Beams] = [()] * len(measure.notes)
    for group in groups:
        if len(group) > 1:
            counts = [flags(measure.notes[place]) for place in group]
            for index, place in enumerate(group):
                found[place] = tuple(_word(counts, index, level) for level in range(1, counts[index] + 1))
    return tuple(found)


def _word(counts: list[int], index: int, level: int) -> str:
    before = index > 0 and counts[index - 1] >= level
    after = index + 1 < len(counts) and counts[index + 1] >= level
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "backward hook" if index else "forward hook"
