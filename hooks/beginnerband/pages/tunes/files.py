"""The files of a tune to take away: MusicXML and MIDI for every reading, in every key the page offers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from beginnerband.data.book import Book
from beginnerband.music.instrument import Instrument
from beginnerband.music.part import Part, Reach, codes, different, part_at
from beginnerband.music.percussion import bass_drum, snare
from beginnerband.music.reading import READING_IDS
from beginnerband.music.shift import to_key
from beginnerband.music.tune import Tune
from beginnerband.pages.tunes.view import Offer
from beginnerband.render.midi import Track, midi
from beginnerband.render.write_musicxml import Staff, musicxml


@dataclass(frozen=True, slots=True)
class TuneFile:
    """A part for one reading, ready to be written."""

    reading: str
    """Reading id; ``rhythm`` for the drums."""
    instrument: Instrument | None
    """Whose octave it sounds in; ``None`` for drums."""
    part: Part | None
    """The part; ``None`` for drums."""
    stem: str
    """Address without its ending, from the site's root: ``music/largo/treble-bb``."""


def files(book: Book, tune: Tune, offer: Offer) -> Iterator[TuneFile]:
    """One file for each reading in this key.

    Instruments that read alike can sound an octave apart; the file sounds as the band's first instrument that reads so,
    or the first of all instruments where the band has none.
    """
    folder = f"music/{tune.id}" if not offer.who else f"music/{tune.id}/in-{offer.slug}"
    at_key = to_key(tune.line, offer.key.fifths)
    ready = {
        player.reading.id: (player.instrument, sheet.part)
        for sheet in reversed(offer.sheets)
        for player in sheet.players[:1]
    }
    for reading_id in READING_IDS:
        if reading_id in ready:
            instrument, made = ready[reading_id]
        elif reading_id == "rhythm" or offer.who:
            continue
        else:
            instrument = _first(book, reading_id)
            octaves = Reach.of(instrument, offer.level).octave(different(at_key))
            made = part_at(at_key, octaves, instrument, instrument.reading(reading_id), offer.level)
        yield TuneFile(reading_id, instrument, made, f"{folder}/{reading_id}")
    if not offer.who:
        yield TuneFile("rhythm", None, None, f"{folder}/rhythm")


def _first(book: Book, reading_id: str) -> Instrument:
    """The first instrument that is read so, brass before mallets. Every reading but ``rhythm`` has one."""
    every = [one for one in book.instruments.values() if any(reading.id == reading_id for reading in one.readings)]
    return min(every, key=lambda one: not one.brass)


def as_musicxml(tune: Tune, file: TuneFile, english: str) -> str:
    """The part as MusicXML, with fingerings."""
    if file.part is None or file.instrument is None:
        return musicxml(drum_staves(tune), tune.title, tune.composer)
    staff = Staff(
        line=file.part.written,
        name=file.instrument.names.of(english),
        clef=file.part.reading.clef,
        transposition=file.part.reading.interval,
        under=codes(file.part, file.instrument),
        midi_program=file.instrument.midi_program,
    )
    return musicxml([staff], tune.title, tune.composer)


def as_midi(tune: Tune, file: TuneFile) -> bytes:
    """The part as it sounds, repeats played."""
    if file.part is None or file.instrument is None:
        return midi([Track(line, line.name) for line in (snare(tune.line), bass_drum(tune.line))], tune.title)
    program = file.instrument.midi_program
    return midi([Track(file.part.sounding, file.instrument.names.american, program)], tune.title)


def drum_staves(tune: Tune) -> tuple[Staff, Staff]:
    """Snare drum and bass drum, a line each."""
    first, second = snare(tune.line), bass_drum(tune.line)
    return Staff(first, first.name, clef="percussion"), Staff(second, second.name, clef="percussion")
