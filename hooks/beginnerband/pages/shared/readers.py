"""Readers: every way an instrument is read, which of them this band uses, and what to call them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from beginnerband.data.book import Book
from beginnerband.music.player import Player, players_of

READING_WORDS = {
    "treble-bb": "treble clef in B♭",
    "treble-eb": "treble clef in E♭",
    "treble-f": "treble clef in F",
    "treble-c": "treble clef",
    "bass-c": "bass clef at concert pitch",
    "rhythm": "one line, no notes",
}
"""Each reading in words."""


def either(readings: Sequence[str]) -> str:
    """What an instrument is read in, in few words: ``treble in B♭ or bass clef``."""
    if len(readings) == 1:
        return READING_WORDS[readings[0]]
    short = [READING_WORDS[one].removesuffix(" at concert pitch").replace(" clef in", " in") for one in readings]
    return " or ".join(short)


@dataclass(frozen=True, slots=True)
class Reader:
    """Someone who plays one instrument and reads in one way."""

    player: Player
    """What they play, and how they read."""
    name: str
    """The instrument's name in the band's words."""
    in_band: bool
    """Whether the band has this instrument and reads it this way."""

    @property
    def reads(self) -> str:
        """The reading in words."""
        return READING_WORDS[self.player.reading.id]

    @property
    def full_name(self) -> str:
        """The name, with the reading where the instrument has more than one: ``B♭ bass, treble clef in B♭``."""
        return f"{self.name}, {self.reads}" if len(self.player.instrument.readings) > 1 else self.name


def readers(book: Book) -> tuple[Reader, ...]:
    """Every pitched instrument in every reading: the band's own in score order, then the others in file order."""
    own = {player.instrument.id: player.reading.id for player in book.band.pitched}
    listed = dict.fromkeys((*own, *book.instruments))
    every = (
        Reader(each, each.instrument.names.of(book.band.english), own.get(each.id) == each.reading.id)
        for one in (book.instruments[key] for key in listed)
        if one.pitched
        for each in players_of(one)
    )
    return tuple(sorted(every, key=lambda reader: not reader.in_band))


def band_readers(book: Book) -> tuple[Reader, ...]:
    """The band's pitched players as readers, in score order."""
    return tuple(reader for reader in readers(book) if reader.in_band)
