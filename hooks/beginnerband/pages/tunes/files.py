"""The files of a tune to take away: MusicXML and MIDI for every reading, in every key the page offers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from beginnerband.data.book import Book
from beginnerband.music.part import Part, codes, part
from beginnerband.music.percussion import bass_drum, snare
from beginnerband.music.player import Player
from beginnerband.music.reading import READING_IDS
from beginnerband.music.tune import Tune
from beginnerband.pages.tunes.view import Offer
from beginnerband.render.midi import Track, midi
from beginnerband.render.write_musicxml import Staff, musicxml
from beginnerband.teaching.wording import in_words


@dataclass(frozen=True, slots=True)
class TuneFile:
    """A part for one reading, ready to be written."""

    reading: str
    """Reading id; ``rhythm`` for the drums."""
    part: Part | None
    """The part of a player in whose octave it sounds; ``None`` for drums."""
    stem: str
    """Address without its ending, from the site's root: ``music/largo/treble-bb``."""


def files(book: Book, tune: Tune, offer: Offer) -> Iterator[TuneFile]:
    """One file for each reading in this key.

    Instruments that read alike can sound an octave apart; the file sounds as the band's first instrument that reads so,
    or the first of all instruments where the band has none.
    """
    folder = f"music/{tune.id}" if not offer.who else f"music/{tune.id}/in-{offer.slug}"
    ready = {sheet.part.player.reading.id: sheet.part for sheet in reversed(offer.sheets)}
    for reading_id in READING_IDS:
        if reading_id in ready:
            made = ready[reading_id]
        elif reading_id == "rhythm" or offer.who:
            continue
        else:
            made = part(tune.line, offer.key.fifths, _first(book, reading_id), offer.level)
        yield TuneFile(reading_id, made, f"{folder}/{reading_id}")
    if not offer.who:
        yield TuneFile("rhythm", None, f"{folder}/rhythm")


def _first(book: Book, reading_id: str) -> Player:
    """The first instrument that is read so, brass before mallets. Every reading but ``rhythm`` has one."""
    every = [one for one in book.instruments.values() if any(reading.id == reading_id for reading in one.readings)]
    first = min(every, key=lambda one: not one.brass)
    return Player(first, first.reading(reading_id))


def as_musicxml(tune: Tune, file: TuneFile, english: str) -> str:
    """The part as MusicXML, with fingerings."""
    if file.part is None:
        return musicxml(drum_staves(tune, english), tune.title, tune.composer)
    player = file.part.player
    staff = Staff(
        line=file.part.written,
        name=player.instrument.names.of(english),
        clef=player.reading.clef,
        transposition=player.reading.interval,
        under=codes(file.part),
        midi_program=player.instrument.midi_program,
    )
    return musicxml([staff], tune.title, tune.composer)


def as_midi(tune: Tune, file: TuneFile) -> bytes:
    """The part as it sounds, repeats played."""
    if file.part is None:
        return midi([Track(line, line.name) for line in (snare(tune.line), bass_drum(tune.line))], tune.title)
    instrument = file.part.player.instrument
    return midi([Track(file.part.sounding, instrument.names.american, instrument.midi_program)], tune.title)


def drum_staves(tune: Tune, english: str) -> tuple[Staff, Staff]:
    """Snare drum and bass drum, a line each, as the band calls them."""
    first, second = snare(tune.line), bass_drum(tune.line)
    named, other = in_words(first.name, english), in_words(second.name, english)
    return Staff(first, named, clef="percussion"), Staff(second, other, clef="percussion")
