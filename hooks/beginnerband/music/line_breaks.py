"""Where lines of printed music break: whole groups of four bars where they fit, and bars shared evenly else.

The answer depends on the music alone, not on who reads it, so that all who play together turn the line together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate

from beginnerband.music.score import Line, Measure

WIDE = 1900
"""Room of a printed line where a staff is 72 high: 190 mm of paper with a staff of 7.2."""

NOTE, BAR, HEAD = 44, 24, 190
"""Least room of an onset, of a bar line, and of clef, signature and metre, where a staff is 72 high.

Fitted by eye to engraved lines: tighter than this, fingerings under the notes touch.
"""


FINGERED = 62
"""The same of an onset with a fingering under it, on short lines: ``1-2`` beside ``1-2`` needs more than two heads."""

LETTER = 22
"""Room of a letter of a syllable or a chord symbol, where a staff is 72 high, also in fonts wider than Times."""

ENLARGED = 30
"""The same on a leader's card and in a short score, whose text is set larger beside the staff."""


def line_breaks(
    lines: Sequence[Line], width: float, most: int = 4, onset: int = NOTE, letter: int = LETTER
) -> tuple[int, ...]:
    """Places, from 0, of the bars that begin a new line, after the first, for ``lines`` played together.

    ``width`` is the room of a line where a staff is 72 high; ``most`` is how many bars a line may have, ``onset`` is
    :data:`NOTE` or :data:`FINGERED`, ``letter`` :data:`LETTER` or :data:`ENLARGED`. An upbeat goes with the bar it
    leads to, also where it is the second part of a bar that a phrase cuts in two.
    """
    starts = _starts(lines[0].measures)
    ends = [*starts[1:], len(lines[0].measures)]
    widths = _widths(tuple(lines), onset, letter)
    bars = [sum(widths[start:end]) for start, end in zip(starts, ends, strict=True)]
    shares = next(filter(lambda shared: _fit(shared, bars, width - HEAD), _ways(len(bars), most)), [1] * len(bars))
    return tuple(starts[sum(shares[:place])] for place in range(1, len(shares)))


def _starts(measures: Sequence[Measure]) -> list[int]:
    """Places at which a bar begins with its upbeat."""
    found = [0]
    for place in range(1, len(measures)):
        before, here = measures[place - 1], measures[place]
        upbeat_before = before.number == 0 or (place > 1 and before.number == measures[place - 2].number)
        if here.number == before.number or not upbeat_before:
            found.append(place)
    return found


def _ways(bars: int, most: int) -> Iterator[list[int]]:
    """Ways to share ``bars`` among lines, fewest lines first: fours, the last perhaps five, then halves, or evenly."""
    for count in range(1, bars + 1):
        each, over = divmod(bars, count)
        if most == 4 and bars % 4 == 1 and count == bars // 4:
            yield [4] * (count - 1) + [5]
        elif each + bool(over) <= most and (bars % 4 or (not over and (each in (1, 2) or each % 4 == 0))):
            yield [each + 1] * over + [each] * (count - over)


@lru_cache(maxsize=32)
def _widths(lines: tuple[Line, ...], onset: int, letter: int) -> tuple[int, ...]:
    """Least width of each bar: every moment at which somebody begins a note takes its room, and texts take theirs.

    Remembered for the parts of a piece, which all break alike, and for lines of several lengths.
    """
    found = []
    for place in range(len(lines[0].measures)):
        measures = [line.measures[place] for line in lines]
        moments = len({at for measure in measures for at in _onsets(measure)})
        found.append(BAR + onset * moments + max(_crowding(measure, onset, letter) for measure in measures))
    return tuple(found)


def _onsets(measure: Measure) -> Iterator[tuple[int, int]]:
    """Where each note begins, quarter notes from the bar line, as a ratio: told apart faster than fractions."""
    begins = accumulate((note.quarters for note in measure.notes), initial=Fraction(0))
    return (at.as_integer_ratio() for at, _ in zip(begins, measure.notes, strict=False))


def _crowding(measure: Measure, onset: int, letter: int) -> int:
    """Room that words to sing, or chord symbols, need beyond that of the notes up to the next of their kind."""
    sung = [next((len(each.text) + 1 for each in note.lyrics if each.verse == 1), 0) for note in measure.notes]
    chords = [len(note.chord.text) + 1 if note.chord else 0 for note in measure.notes]
    return max(_lack(letters, onset, letter) for letters in (sung, chords))


def _lack(letters: Sequence[int], onset: int, letter: int) -> int:
    """Room that texts of so many ``letters`` at each note, 0 for none, need beyond the room of the notes."""
    places = [place for place, count in enumerate(letters) if count]
    ends = [*places[1:], len(letters)]
    return sum(
        max(0, letter * letters[place] - onset * (end - place)) for place, end in zip(places, ends, strict=False)
    )


def _fit(shares: Sequence[int], bars: Sequence[int], room: float) -> bool:
    ends = [sum(shares[: place + 1]) for place in range(len(shares))]
    return all(sum(bars[end - count : end]) <= room for count, end in zip(shares, ends, strict=True))
