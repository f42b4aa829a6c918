"""What music21 reads in a part, as plain values, to hold our reader against it (``measure_reading.py``)."""

from __future__ import annotations

import re
from fractions import Fraction

from music21 import bar as m21bar
from music21 import converter, harmony, key, stream

Events = set[tuple[Fraction, Fraction, int]]
"""Onset, length (quarter notes) and MIDI number."""
Written = set[tuple[int, Fraction, Fraction, int]]
"""Bar by place, onset in it and length (quarter notes), MIDI number; ties not joined."""


def exact(value: object) -> Fraction:
    return Fraction(value).limit_denominator(4096)  # type: ignore[arg-type]


def m21_events(part: stream.Stream) -> Events:
    """Notes with ties joined; by hand, since music21 copies the whole part to join them."""
    found: Events = set()
    held: dict[int, tuple[Fraction, Fraction]] = {}
    for measure in part.getElementsByClass(stream.Measure):
        begin = exact(measure.offset)
        for element in measure.recurse().notes:
            if isinstance(element, harmony.ChordSymbol) or element.duration.isGrace or not hasattr(element, "pitches"):
                continue
            onset, length = begin + exact(element.getOffsetInHierarchy(measure)), exact(element.quarterLength)
            for one in getattr(element, "notes", (element,)):
                midi = one.pitch.midi
                start, before = held.pop(midi, (onset, Fraction(0)))
                if start + before != onset:
                    found.add((start, before, midi))
                    start, before = onset, Fraction(0)
                if one.tie is not None and one.tie.type in ("start", "continue"):
                    held[midi] = (start, before + length)
                else:
                    found.add((start, before + length, midi))
    return found | {(start, length, midi) for midi, (start, length) in held.items()}


def m21_bars(part: stream.Stream) -> list[Fraction]:
    found = []
    for measure in part.getElementsByClass(stream.Measure):
        total = sum(exact(one.quarterLength) for one in measure.notesAndRests if not isinstance(one, harmony.Harmony))
        if total:
            found.append(Fraction(total))
    return found


def m21_keys(part: stream.Stream) -> list[int]:
    found = [one.sharps for one in part.recurse().getElementsByClass(key.KeySignature)]
    return [fifths for place, fifths in enumerate(found) if not place or found[place - 1] != fifths]


def m21_repeats(part: stream.Stream) -> list[tuple[int, str]]:
    starts, ends = [], []
    for place, measure in enumerate(part.getElementsByClass(stream.Measure)):
        if isinstance(measure.leftBarline, m21bar.Repeat):
            starts.append((place, "start"))
        if isinstance(measure.rightBarline, m21bar.Repeat):
            ends.append((place, "end"))
    return [*starts, *ends]


def m21_abc(text: str) -> stream.Stream:
    """music21's reading; it stumbles over decorations, grace notes and slurs, which change neither pitch nor length."""
    music = "\n".join(
        line
        if re.match("[A-Za-z]:", line.strip())
        else re.sub(
            r"[.~H-Wh-w](?=[\^_=A-Ga-g(\[{\"])|[()](?!\d)", "", re.sub(r'"[^"]*"|\{[^}]*\}|![^!\n]+!', "", line)
        )
        for line in text.splitlines()
    )
    return converter.parse(f"%abc-2.1\n{music}\n", format="abc").parts[0]


def m21_written(part: stream.Stream) -> Written:
    found: Written = set()
    for place, measure in enumerate(part.getElementsByClass(stream.Measure)):
        for element in measure.recurse().notes:
            if isinstance(element, harmony.ChordSymbol) or element.duration.isGrace or not hasattr(element, "pitches"):
                continue
            at = exact(element.getOffsetInHierarchy(measure))
            found |= {(place, at, exact(element.quarterLength), pitch.midi) for pitch in element.pitches}
    return found
