"""Transposition between readings: notes, keys and octaves, correctly spelled.

Keys are major keys named by their tonic letter (``Bb``); a written key is the concert key moved by the reading's
interval, spelled as :func:`beginnerband.music.shift.written` spells a part (concert C♯ for an E♭ reader is B♭, not A♯).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, get_args

from music21 import key as m21key

from beginnerband.music.pitch import Pitch, semitones, spellings
from beginnerband.music.reading import Reading
from beginnerband.music.score import Key
from beginnerband.music.shift import written_fifths

ConcertKey = Literal["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]
CONCERT_KEYS: tuple[ConcertKey, ...] = get_args(ConcertKey)
"""All fifteen major keys, seven flats to seven sharps."""


@dataclass(frozen=True, slots=True)
class WrittenKey:
    """A major key as one group of players sees it."""

    tonic: str
    """Tonic letter, as ``Bb``."""
    sharps: int
    """Sharps in the signature; flats are negative."""

    @property
    def words(self) -> str:
        """The signature in words: ``2 flats``, ``1 sharp``, ``no sharps or flats``."""
        if not self.sharps:
            return "no sharps or flats"
        count, kind = abs(self.sharps), "sharp" if self.sharps > 0 else "flat"
        return f"{count} {kind}{'s' if count > 1 else ''}"


@lru_cache(maxsize=64)
def sharps_of(tonic: str) -> int:
    """Sharps (flats negative) in the major key of ``tonic``; ``ValueError`` for what is not one of the fifteen."""
    if tonic not in CONCERT_KEYS:
        raise ValueError(f"{tonic!r} is not a major key of up to seven sharps or flats")
    return int(m21key.Key(tonic.replace("b", "-")).sharps)


@lru_cache(maxsize=512)
def written_key(concert_key: str, reading: Reading) -> WrittenKey:
    """The key signature a reader of ``reading`` sees when the band plays in ``concert_key``."""
    key = Key(written_fifths(sharps_of(concert_key), reading))
    return WrittenKey(key.tonic, key.fifths)


def simplest(pitch: Pitch) -> Pitch:
    """The same sound without double accidentals or F♭, C♭, E♯, B♯; other spellings are kept."""
    awkward = abs(pitch.alter) > 1 or pitch.letter in ("Fb", "Cb", "E#", "B#")
    return spellings(pitch.midi)[-1 if pitch.alter < 0 else 0] if awkward else pitch


def nearest_octave(written: Pitch, low: Pitch, high: Pitch) -> tuple[Pitch, int]:
    """Move ``written`` by whole octaves into ``low``..``high``, as little as possible.

    Returns the pitch and the octaves moved (up positive). Out of reach in every octave, it is returned unmoved.
    """
    for octaves in sorted(range(-7, 8), key=lambda count: (abs(count), count)):
        moved = written.octaves_up(octaves)
        if low.midi <= moved.midi <= high.midi:
            return moved, octaves
    return written, 0


def apart(first: Reading, second: Reading) -> int:
    """Semitones from what ``first`` sounds up to what ``second`` sounds on the same written note."""
    return semitones(second.interval) - semitones(first.interval)
