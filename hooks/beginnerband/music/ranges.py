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
class Limit:
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


def first_out(instruments: Sequence[Instrument], level: str) -> tuple[Limit, Limit] | None:
    """Who falls out first above and below when all play at one pitch; ``None`` for no instruments.

    Above is the lowest top, below the highest bottom; of equals the one named first.
    """
    if not instruments:
        return None
    tops = [Limit(each, _span(each, level).high) for each in instruments]
    bottoms = [Limit(each, _span(each, level).low) for each in instruments]
    return min(tops, key=lambda limit: limit.last.midi), max(bottoms, key=lambda limit: limit.last.midi)


@dataclass(frozen=True, slots=True)
class Room:
    """How far one instrument gets from a starting note, in whichever of its octaves gets furthest."""

    instrument: Instrument
    """The instrument."""
    up: int | None
    """Semitones up from the start, or ``None`` where it cannot play the starting note."""
    down: int | None
    """Semitones down from the start."""


def room_from(instruments: Sequence[Instrument], level: str, name: int) -> tuple[Room, ...]:
    """How far each instrument gets up and down from pitch class ``name``, each in its own octave."""
    return tuple(_room(instrument, level, name) for instrument in instruments)


def first_out_from(instruments: Sequence[Instrument], level: str, name: int) -> tuple[Room, Room] | None:
    """Who falls out first above and below a tune that starts on ``name``, each in their own octave.

    ``None`` when nobody can play the start; those who cannot are left out of the answer.
    """
    rooms = room_from(instruments, level, name)
    upward = [room for room in rooms if room.up is not None]
    downward = [room for room in rooms if room.down is not None]
    if not upward:
        return None
    return min(upward, key=lambda room: room.up or 0), min(downward, key=lambda room: room.down or 0)


def _room(instrument: Instrument, level: str, name: int) -> Room:
    span = _span(instrument, level)
    starts = octaves(instrument, level, name)
    if not starts:
        return Room(instrument, None, None)
    return Room(instrument, span.high.midi - starts[0].midi, starts[-1].midi - span.low.midi)


def _span(instrument: Instrument, level: str) -> Range:
    return instrument.sounding_range(level)
