"""How long music takes and how long it is blown: one measure for tunes, lessons, parts and pieces.

Everything is counted as played, repeats and jumps followed, in seconds at the tempo in force in each bar. What counts
as room is common practice, no source.

- A *breath* is taken at a breath mark, after a hold, and in a silence of at least half a beat (:data:`BREATH_ROOM`).
- *Playing* goes on until a silence of at least a beat (:data:`REST_ROOM`): lips rest only then, not while breathing.
- Rests that follow each other are one silence, also over a bar line. A silence too short for either is part of the
  stretch: the air is held, the lips stay set.
- A hold counts as long as it is written, since how long it lasts is the leader's choice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from beginnerband.music.playing import order
from beginnerband.music.score import Line, Note, added

BREATH_ROOM = Fraction(1, 2)
"""A silence of at least so many beats is room for a breath."""

REST_ROOM = Fraction(1)
"""A silence of at least so many beats rests the lips."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A length of playing, as heard."""

    seconds: float = 0.0
    """How long."""
    beats: Fraction = Fraction(0)
    """The same in beats of the metre."""
    bar: int = 0
    """Number of the bar in which it begins."""
    last_bar: int = 0
    """Number of the bar in which it ends; smaller than :attr:`bar` where a repeat goes back meanwhile."""


NOTHING = Stretch()
"""No playing at all."""


@dataclass(frozen=True, slots=True)
class Timing:
    """A line as the clock sees it."""

    seconds: float
    """Whole length."""
    silent: float
    """Seconds of it that are rests."""
    breaths: tuple[Stretch, ...]
    """Everything that is played on one breath, in order."""
    playing: tuple[Stretch, ...]
    """Everything that is played without resting the lips, in order."""

    @property
    def breath(self) -> Stretch:
        """The longest stretch on one breath, the first of several; all 0 for a line of rests."""
        return _longest(self.breaths)

    @property
    def endurance(self) -> Stretch:
        """The longest playing without resting the lips, the first of several; all 0 for a line of rests."""
        return _longest(self.playing)


@lru_cache(maxsize=512)
def timing(line: Line) -> Timing:
    """Measure a line. ``ValueError`` for a jump that leads nowhere."""
    bars = [
        _Bar(measure.number, tempo.quarters_a_minute, time.beat, tuple(map(_rhythm, measure.notes)))
        for measure, tempo, time in zip(line.measures, line.tempos, line.times, strict=True)
    ]
    return _timing(tuple(bars[place] for place in order(line)))


def _longest(stretches: tuple[Stretch, ...]) -> Stretch:
    return max(stretches, key=lambda stretch: round(stretch.seconds, 9), default=NOTHING)


_Rhythm = tuple[int, int, bool, bool]
"""Quarter notes as a ratio, whether it is a rest, and whether a breath is taken after it."""


@dataclass(frozen=True, slots=True)
class _Bar:
    """A bar without its pitches, so that every key and reading of a line shares one answer."""

    number: int
    quarters_a_minute: Fraction
    beat: Fraction
    notes: tuple[_Rhythm, ...]


def _rhythm(note: Note) -> _Rhythm:
    return (*note.quarters.as_integer_ratio(), note.rest, (note.breath or note.fermata) and not note.tie)


@dataclass(frozen=True, slots=True)
class _Moment:
    """A note or rest as the clock sees it."""

    bar: int
    seconds: Fraction
    beats: Fraction
    rest: bool
    breath: bool


def _moments(bars: tuple[_Bar, ...]) -> Iterator[_Moment]:
    for bar in bars:
        for over, under, rest, breath in bar.notes:
            quarters = Fraction(over, under)
            yield _Moment(bar.number, quarters * 60 / bar.quarters_a_minute, quarters / bar.beat, rest, breath)


@lru_cache(maxsize=1024)
def _timing(bars: tuple[_Bar, ...]) -> Timing:
    moments = tuple(_moments(bars))
    breaths, playing = _Clock(BREATH_ROOM), _Clock(REST_ROOM)
    for moment in moments:
        for clock in (breaths, playing):
            if moment.rest:
                clock.rest(moment)
            else:
                clock.play(moment)
        if moment.breath:
            breaths.stop()
    breaths.stop()
    playing.stop()
    silent = added(moment.seconds for moment in moments if moment.rest)
    total = added(moment.seconds for moment in moments)
    return Timing(float(total), float(silent), tuple(breaths.found), tuple(playing.found))


class _Clock:
    """Adds up stretches that a silence of ``room`` beats ends."""

    def __init__(self, room: Fraction) -> None:
        self.found: list[Stretch] = []
        self._room = room
        self._run: list[_Moment] = []
        self._silence: list[_Moment] = []

    def rest(self, moment: _Moment) -> None:
        """Be silent, perhaps long enough to end the stretch."""
        self._silence.append(moment)
        if added(each.beats for each in self._silence) >= self._room:
            self.stop()

    def play(self, moment: _Moment) -> None:
        """Play on; a silence before that was too short belongs to the stretch."""
        if self._run:
            self._run += self._silence
        self._run.append(moment)
        self._silence = []

    def stop(self) -> None:
        """End the stretch, if one is running."""
        if self._run:
            seconds = added(each.seconds for each in self._run)
            beats = added(each.beats for each in self._run)
            self.found.append(Stretch(float(seconds), beats, self._run[0].bar, self._run[-1].bar))
        self._run = []
