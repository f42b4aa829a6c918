"""Which notes a set of instruments has in common, and who runs out of notes first.

Two questions, kept apart. *At one pitch*: notes everyone can sound in the same octave. *Each in their own octave*: note
names everyone can sound somewhere, which is what a band of beginners playing one tune together needs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from beginnerband.music.instrument import Instrument, Range
from beginnerband.music.pitch import Pitch, usual


@dataclass(frozen=True, slots=True)
class RangeEnd:
    """The instrument that ends first on one side, and where."""

    instrument: Instrument
    """Which one falls out."""
    last: Pitch
    """Its last note, sounding."""


def unison(instruments: Sequence[Instrument], level: str) -> tuple[Pitch, ...]:
    """Sounding notes every one of ``instruments`` can play at the same pitch at ``level``, lowest first."""
    spans = [_span(instrument, level) for instrument in instruments]
    if not spans:
        return ()
    low, high = max(span.low.midi for span in spans), min(span.high.midi for span in spans)
    return tuple(usual(midi) for midi in range(low, high + 1))


def shared_names(instruments: Sequence[Instrument], level: str) -> tuple[int, ...]:
    """Pitch classes (C is 0) that every instrument can play in some octave at ``level``, ascending."""
    if not instruments:
        return ()
    return tuple(name for name in range(12) if all(octaves(each, level, name) for each in instruments))


def octaves(instrument: Instrument, level: str, name: int) -> tuple[Pitch, ...]:
    """Where the instrument can sound pitch class ``name`` at ``level``, lowest first."""
    span = _span(instrument, level)
    return tuple(usual(midi) for midi in range(span.low.midi, span.high.midi + 1) if midi % 12 == name)


def first_out(instruments: Sequence[Instrument], level: str) -> tuple[tuple[RangeEnd, ...], tuple[RangeEnd, ...]]:
    """Who falls out first above, and who below, when all play at one pitch: the lowest top, the highest bottom.

    Several when they end on the same note; empty for no instruments.
    """
    tops = [RangeEnd(each, _span(each, level).high) for each in instruments]
    bottoms = [RangeEnd(each, _span(each, level).low) for each in instruments]
    top = min((limit.last.midi for limit in tops), default=0)
    bottom = max((limit.last.midi for limit in bottoms), default=0)
    return (
        tuple(limit for limit in tops if limit.last.midi == top),
        tuple(limit for limit in bottoms if limit.last.midi == bottom),
    )


@dataclass(frozen=True, slots=True)
class Headroom:
    """How far one instrument gets from a starting note, in whichever of its octaves gets furthest."""

    instrument: Instrument
    """The instrument."""
    up: int | None
    """Semitones up from the start, or ``None`` where it cannot play the starting note."""
    down: int | None
    """Semitones down from the start."""


def room_from(instruments: Sequence[Instrument], level: str, name: int) -> tuple[Headroom, ...]:
    """How far each instrument gets up and down from pitch class ``name``, each in its own octave."""
    return tuple(_room(instrument, level, name) for instrument in instruments)


def first_out_from(
    instruments: Sequence[Instrument], level: str, name: int
) -> tuple[tuple[Headroom, ...], tuple[Headroom, ...]]:
    """Who falls out first above, and who below, a tune that starts on ``name``, each in their own octave.

    Several when they get equally far; those who cannot play the start are left out of the answer.
    """
    rooms = [room for room in room_from(instruments, level, name) if room.up is not None]
    up = min((room.up for room in rooms if room.up is not None), default=0)
    down = min((room.down for room in rooms if room.down is not None), default=0)
    return tuple(room for room in rooms if room.up == up), tuple(room for room in rooms if room.down == down)


def _room(instrument: Instrument, level: str, name: int) -> Headroom:
    span = _span(instrument, level)
    starts = octaves(instrument, level, name)
    if not starts:
        return Headroom(instrument, None, None)
    return Headroom(instrument, span.high.midi - starts[0].midi, starts[-1].midi - span.low.midi)


def _span(instrument: Instrument, level: str) -> Range:
    return instrument.sounding_range(level)
