"""Moving a whole line: to another concert key, by octaves, and from concert pitch to what a player reads."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from music21 import interval as m21interval

from beginnerband.music.pitch import STEPS, Pitch, reverse, semitones, transpose
from beginnerband.music.reading import Reading
from beginnerband.music.score import MODES, Key, Line

KEYS = tuple(range(-7, 8))
"""The fifteen key signatures, by fifths: seven flats to seven sharps."""

MOST = max(KEYS)
"""Sharps or flats that a key has at most."""

MOST_MOVED = 6
"""Sharps or flats that a part has at most that is not read as it sounds: for seven, the key's other name has five
(common practice, no source)."""


@lru_cache(maxsize=1024)
def named(steps: int, half_steps: int) -> str:
    """The music21 name of the interval that moves a note ``steps`` letters and ``half_steps`` semitones."""
    generic = steps + (1 if steps >= 0 else -1)
    if steps == 0 and half_steps < 0:
        generic = 1
    return str(m21interval.intervalFromGenericAndChromatic(generic, half_steps).directedName)


def between(low: Pitch, high: Pitch) -> str:
    """The interval from one pitch to another, as ``M2`` or ``P-4``."""
    return named(high.staff_index - low.staff_index, high.midi - low.midi)


@lru_cache(maxsize=1024)
def steps(interval: str) -> int:
    """Letters an interval moves a note by, negative downwards: 1 for ``M2``."""
    middle = Pitch("D", 0, 4)
    return transpose(middle, interval).staff_index - middle.staff_index


def fifths_moved(interval: str) -> int:
    """How many fifths a key moves when its music is moved by ``interval``: 2 for ``M2``, -2 for ``M-2``."""
    return 7 * semitones(interval) - 12 * steps(interval)


def named_with(fifths: int, most: int = MOST) -> int:
    """The key of so many fifths, or with more than ``most`` sharps or flats the same key by its other name."""
    return fifths if abs(fifths) <= most else fifths - 12 if fifths > 0 else fifths + 12


def most_written(interval: str) -> int:
    """Sharps or flats at most in a part moved by ``interval`` for who reads it; by octaves, no key is moved."""
    return MOST_MOVED if fifths_moved(interval) else MOST


@lru_cache(maxsize=512)
def written_fifths(fifths: int, reading: Reading) -> int:
    """Sharps (+) or flats (-) in the key that a reader sees for the concert key of ``fifths``."""
    return named_with(fifths - fifths_moved(reading.interval), most_written(reading.interval))


@lru_cache(maxsize=512)
def by(line: Line, interval: str, most: int = MOST) -> Line:
    """The line moved by ``interval``, respelled where a key would need more than ``most`` sharps or flats."""
    if interval == "P1":
        return line
    name = respelled(interval, _keys(line), most)
    return line.map_pitches(lambda pitch: transpose(pitch, name), lambda key: rekeyed(key, name))


def _keys(line: Line) -> tuple[int, ...]:
    return tuple(measure.key.fifths for measure in line.measures if measure.key) or (0,)


def rekeyed(key: Key, interval: str) -> Key:
    """The key moved by ``interval``; beyond seven sharps or flats the same key by its other name."""
    return replace(key, fifths=named_with(key.fifths + fifths_moved(interval)))


def by_semitones(line: Line, half_steps: int) -> Line:
    """The line moved by ``half_steps`` where no source says by how many letters: to the key with the fewest signs."""
    if not half_steps:
        return line
    middle = Pitch("D", 0, 4)
    names = [between(middle, pitch) for pitch in _spelled(middle.midi + half_steps)]
    return by(line, min(names, key=lambda name: abs(line.key.fifths + fifths_moved(name))))


def _spelled(midi: int) -> tuple[Pitch, ...]:
    """Pitches of this number that are an ordinary interval away from D: no letter altered more than once."""
    naturals = (Pitch(step, alter, octave) for step in STEPS for alter in (-1, 0, 1) for octave in range(10))
    return tuple(pitch for pitch in naturals if pitch.midi == midi)


@lru_cache(maxsize=1024)
def respelled(interval: str, keys: tuple[int, ...], most: int = MOST) -> str:
    """``interval``, or the enharmonic one that leaves fewer of ``keys`` (by fifths) with over ``most`` signs."""
    letters, half_steps = steps(interval), semitones(interval)

    def outside(extra: int) -> int:
        moved = 7 * half_steps - 12 * (letters + extra)
        return sum(abs(fifths + moved) > most for fifths in keys)

    extra = min((0, 1, -1), key=outside)
    return named(letters + extra, half_steps) if extra else interval


def to_key(line: Line, fifths: int, octaves: int = 0) -> Line:
    """The line in the key of the same mode with this signature, moved the nearest way and then by ``octaves``.

    Nearest is at most six semitones down or five up, so that every key and octave is reached in exactly one way.
    """
    return by(line, key_interval(line.key, fifths, octaves))


@lru_cache(maxsize=4096)
def key_interval(key: Key, fifths: int, octaves: int = 0) -> str:
    """The interval by which :func:`to_key` moves a line that starts in ``key``."""
    start = Pitch.parse(f"{key.tonic}4")
    goal = Key(fifths, key.mode).tonic
    near = min(
        (Pitch.parse(f"{goal}{octave}") for octave in (3, 4, 5)),  # of two that are as near, the lower comes first
        key=lambda pitch: abs(pitch.midi - start.midi),
    )
    return between(start, near.octaves_up(octaves))


def written(line: Line, reading: Reading, octaves: int = 0) -> Line:
    """What a player with ``reading`` must be given so that ``line``, moved by ``octaves``, is heard."""
    return by(line, to_written(reading.interval, octaves), most_written(reading.interval))


def note_read(pitch: Pitch, line: Line, reading: Reading) -> Pitch:
    """A note of the sounding ``line`` as it is spelled in the part that :func:`written` makes of it."""
    interval = to_written(reading.interval)
    return transpose(pitch, respelled(interval, _keys(line), most_written(reading.interval)))


@lru_cache(maxsize=256)
def to_written(interval: str, octaves: int = 0) -> str:
    """From concert pitch to what is written, for a reading's ``interval`` and a part moved by ``octaves``."""
    return with_octaves(reverse(interval), octaves)


def with_octaves(interval: str, octaves: int) -> str:
    """``interval`` widened by octaves upwards, or downwards for a negative number."""
    return named(steps(interval) + 7 * octaves, semitones(interval) + 12 * octaves)


def sounding(line: Line, reading: Reading) -> Line:
    """What is heard when a player with ``reading`` plays the written ``line``."""
    return by(line, reading.interval)


def signature_of(tonic: str, mode: str = "major") -> Key:
    """The key with this key note; ``ValueError`` for one that needs more than seven sharps or flats."""
    for fifths in KEYS:
        if Key(fifths, mode).tonic == tonic:
            return Key(fifths, mode)
    choices = ", ".join(Key(fifths, mode).tonic for fifths in KEYS)
    raise ValueError(f"{tonic} {mode} is no key; use one of {choices}") if mode in MODES else ValueError(mode)
