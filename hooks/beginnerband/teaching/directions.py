"""Words that point into music, as "bars 5 to 8", "second line" or "figure 2", held against the layout they point to.

A leader who says "bars 5 to 8" sends the band to a number above the start of a line; where the tune has six bars, or
breaks elsewhere, half the room is lost. So such words are checked against the music of their step, as it is laid out on
the sheets, and a false one stops the build.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from beginnerband.music.line_breaks import WIDE, line_breaks
from beginnerband.music.score import Line

WALKED_BARS = 4
"""Bars in a row of music that is drawn as it is walked."""

COUNTS = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8, "twelve": 12, "sixteen": 16}
PLACES = {"first": 1, "second": 2, "third": 3, "fourth": 4, "next": 2}

_BARS = re.compile(r"\bbars? (\d+)(?: (to|and) (\d+))?", re.I)
_RANGE = re.compile(r"\b(\d+) to (\d+)\b")
_COUNT = re.compile(rf"\b({'|'.join(COUNTS)}) bars\b", re.I)
_LINE = re.compile(rf"\b({'|'.join(PLACES)}) line\b(?! of (?:chairs|the circle))", re.I)
_LINES = re.compile(rf"\b(both|all (?:{'|'.join(COUNTS)})) lines\b", re.I)
_HALF = re.compile(r"\b(?:first|second) half\b", re.I)
_FIGURE = re.compile(r"\bfigure (\d)\b", re.I)
_TODAY = re.compile(r"\btoday's notes\b", re.I)
_TURNS = re.compile(r"\bturns back\b|\bdots at the end\b", re.I)


@dataclass(frozen=True, slots=True)
class Laid:
    """A piece of music as it stands on paper."""

    title: str
    """As printed."""
    bars: int
    """Full bars, by their numbers."""
    lines: tuple[int, ...]
    """Numbers of the bars that begin a line."""
    marks: frozenset[str]
    """Figures and letters printed in it."""
    repeats: bool
    """Whether it turns back."""


def laid(title: str, lines: Sequence[Line], walked: bool = False) -> Laid:
    """How ``lines``, played together, stand on a sheet; ``walked`` where they are drawn in boxes."""
    measures = lines[0].measures
    starts = range(0, len(measures), WALKED_BARS) if walked else (0, *line_breaks(lines, WIDE))
    return Laid(
        title,
        max(measure.number for measure in measures),
        tuple(max(measures[place].number, 1) for place in starts),
        frozenset(
            mark for measure in measures for mark in (measure.rehearsal, *(note.words for note in measure.notes))
        ),
        any(measure.repeat_end for measure in measures),
    )


def false_directions(text: str, music: Sequence[Laid]) -> Iterator[str]:
    """What ``text`` says of bars, lines and figures that is not so in ``music``, one sentence each."""
    yield from _false_bars(text, music)
    if _TODAY.search(text) and not music:
        yield "it speaks of today's notes, and has no music that brings any"
    for match in _LINE.finditer(text):
        yield from _short_of_lines(match[0], PLACES[match[1].lower()], music)
    for match in _LINES.finditer(text):
        want = COUNTS[match[1].lower().removeprefix("all ")] if match[1].lower() != "both" else 2
        found = sum(len(each.lines) for each in music)
        if found != want:
            yield f"{match[0]!r}, but there are {found} in {_titles(music)}"
    for each in music:
        if _HALF.search(text) and each.bars % 2:
            yield f"{each.title!r} has {each.bars} bars, which are no two halves"
        if _TURNS.search(text) and not each.repeats:
            yield f"{each.title!r} has no repeat"
        for match in _FIGURE.finditer(text):
            if match[1] not in each.marks:
                yield f"there is no figure {match[1]} in {each.title!r}"


def _false_bars(text: str, music: Sequence[Laid]) -> Iterator[str]:
    named, ranges = _BARS.findall(text), _RANGE.findall(text) if "bar" in text.lower() else []
    if (named or ranges) and not music:
        yield "it names bars by their numbers, and has no music"
    for each in music:
        for number in (int(figure) for first, _, last in named for figure in (first, last) if figure):
            if number > each.bars:
                yield f"there is no bar {number} in {each.title!r}, which has {each.bars}"
        for first, last in ((int(first), int(last)) for first, last in ranges):
            if last > each.bars:
                yield f"there is no bar {last} in {each.title!r}, which has {each.bars}"
            elif first not in each.lines:
                lines = ", ".join(map(str, each.lines))
                yield f"bar {first} of {each.title!r} begins no line, so that no number is seen there (lines: {lines})"
        for match in _COUNT.finditer(text):
            if COUNTS[match[1].lower()] > each.bars:
                yield f"{match[0]!r}, but {each.title!r} has {each.bars}"


def _short_of_lines(said: str, want: int, music: Sequence[Laid]) -> Iterator[str]:
    for each in music:
        if len(each.lines) < want:
            yield f"{said!r}, but {each.title!r} stands on {len(each.lines)}"


def _titles(music: Sequence[Laid]) -> str:
    return ", ".join(each.title for each in music) or "no music"
