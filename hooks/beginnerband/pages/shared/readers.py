"""Readers: every way an instrument is read, which of them this band uses, and what to call them."""

from __future__ import annotations

from dataclasses import dataclass

from beginnerband.data.book import Book
from beginnerband.music.instrument import Instrument
from beginnerband.music.reading import Reading

READING_WORDS = {
    "treble-bb": "treble clef in B♭",
    "treble-eb": "treble clef in E♭",
    "treble-f": "treble clef in F",
    "treble-c": "treble clef",
    "bass-c": "bass clef at concert pitch",
    "rhythm": "one line, no notes",
}
"""Each reading in words."""


@dataclass(frozen=True, slots=True)
class Reader:
    """Someone who plays one instrument and reads in one way."""

    instrument: Instrument
    """What they play."""
    reading: Reading
    """How they read."""
    name: str
    """The instrument's name in the band's words."""
    in_band: bool
    """Whether the band has this instrument and reads it this way."""

    @property
    def key(self) -> str:
        """As in addresses: ``cornet/treble-bb``."""
        return f"{self.instrument.id}/{self.reading.id}"

    @property
    def reads(self) -> str:
        """The reading in words."""
        return READING_WORDS[self.reading.id]

    @property
    def full_name(self) -> str:
        """The name, with the reading where the instrument has more than one: ``B♭ bass, treble clef in B♭``."""
        return f"{self.name}, {self.reads}" if len(self.instrument.readings) > 1 else self.name


def readers(book: Book) -> tuple[Reader, ...]:
    """Every pitched instrument in every reading: the band's own in score order, then the others in file order."""
    own = {player.instrument.id: player.reading.id for player in book.band.pitched}
    listed = dict.fromkeys((*own, *book.instruments))
    every = (
        Reader(one, reading, one.names.of(book.band.words), own.get(one.id) == reading.id)
        for one in (book.instruments[key] for key in listed)
        if one.pitched
        for reading in one.readings
    )
    return tuple(sorted(every, key=lambda reader: not reader.in_band))


def band_readers(book: Book) -> tuple[Reader, ...]:
    """The band's pitched players as readers, in score order."""
    return tuple(reader for reader in readers(book) if reader.in_band)
