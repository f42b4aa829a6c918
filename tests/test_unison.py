"""What every other player reads to sound the same."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import instrument as m21instrument
from music21 import note as m21note
from music21 import stream as m21stream

from beginnerband.data.book import Book
from beginnerband.music import fingering, unison
from beginnerband.music.instrument import LEVELS, Instrument
from beginnerband.music.pitch import Pitch, spellings
from beginnerband.music.player import Player, players_of

SOUNDS = st.integers(28, 108).flatmap(lambda midi: st.sampled_from(spellings(midi)))


def reads(book: Book, sound: str, instrument: str, reading: str) -> tuple[str, int, str]:
    one = book.instruments[instrument]
    found = unison.match(Pitch.parse(sound), Player(one, one.reading(reading)))
    assert found
    return found.answer.written.name, found.octaves, found.answer.way.code if found.answer.way else ""


# Common practice, no source: what any band leader writes on the board for "concert F" and "concert B flat".
@pytest.mark.parametrize(
    ("sound", "instrument", "reading", "expected"),
    [
        ("F4", "cornet", "treble-bb", ("G4", 0, "0")),
        ("F4", "trumpet", "treble-bb", ("G4", 0, "0")),
        ("F4", "tenor-horn", "treble-eb", ("D5", 0, "1")),
        ("F4", "f-horn", "treble-f", ("C5", 0, "0")),
        ("F4", "trombone", "bass-c", ("F4", 0, "1")),
        ("F4", "euphonium", "treble-bb", ("G5", 0, "0")),
        ("F4", "eb-bass", "treble-eb", ("D5", -1, "1")),
        ("F4", "eb-bass", "bass-c", ("F3", -1, "1")),
        ("F4", "glockenspiel", "treble-c", ("F4", 2, "")),  # it sounds two octaves above what is written
        ("Bb3", "cornet", "treble-bb", ("C4", 0, "0")),
        ("Bb3", "tenor-horn", "treble-eb", ("G4", 0, "0")),
        ("Bb3", "baritone", "treble-bb", ("C5", 0, "0")),
        ("Bb3", "baritone", "bass-c", ("Bb3", 0, "0")),
        ("Bb3", "trombone", "bass-c", ("Bb3", 0, "1")),
        ("Bb3", "soprano-cornet", "treble-eb", ("G3", 0, "1-3")),
    ],
)
def test_concert_f_and_b_flat_as_each_player_reads_them(
    book: Book, sound: str, instrument: str, reading: str, expected: tuple[str, int, str]
) -> None:
    assert reads(book, sound, instrument, reading) == expected


# music21's own instruments carry the transposition of each (its instrument module; checked, not copied).
@pytest.mark.parametrize(("ours", "theirs"), [("trumpet", m21instrument.Trumpet()), ("f-horn", m21instrument.Horn())])
@given(sound=SOUNDS)
def test_the_written_note_is_the_one_music21_writes(
    book: Book, ours: str, theirs: m21instrument.Instrument, sound: Pitch
) -> None:
    one = book.instruments[ours]
    found = unison.match(sound, Player(one, one.readings[0]))
    assert found
    part = m21stream.Part([theirs, m21note.Note(found.answer.sounding.name.replace("b", "-"))])
    part.atSoundingPitch = True
    written = part.toWrittenPitch().recurse().notes[0].pitch
    assert written.midi == found.answer.written.midi


def instruments(book: Book) -> list[Instrument]:
    return [one for one in book.instruments.values() if one.pitched]


@given(sound=SOUNDS, level=st.sampled_from(LEVELS))
def test_every_match_sounds_the_note_in_the_nearest_octave_of_the_range(book: Book, sound: Pitch, level: str) -> None:
    for one in instruments(book):
        limits = one.sounding_range(level)
        octaves = [count for count in range(-9, 10) if limits.low.midi <= sound.midi + 12 * count <= limits.high.midi]
        for player in players_of(one):
            found = unison.match(sound, player, level)
            if not octaves:
                assert found is None
                continue
            assert found
            read = found.answer
            assert player.reading.sounding(read.written).midi == read.sounding.midi == sound.midi + 12 * found.octaves
            assert abs(found.octaves) == min(map(abs, octaves))
            assert LEVELS.index(read.level) <= LEVELS.index(level)
            assert abs(read.written.alter) <= 1
            assert read.way == fingering.standard(one, read.sounding)
            assert (read.way is None) == (not one.brass)


def test_no_written_note_that_a_beginner_would_not_recognise(book: Book) -> None:
    for one in instruments(book):
        for player in players_of(one):
            for midi in range(one.sounding_range("full").low.midi, one.sounding_range("full").high.midi + 1):
                for sound in spellings(midi):
                    found = unison.match(sound, player)
                    assert found
                    assert found.answer.written.letter not in ("Cb", "Fb", "E#", "B#")


def test_drums_read_no_note(book: Book) -> None:
    drums = book.instruments["drums"]
    assert unison.match(Pitch.parse("F4"), Player(drums, drums.readings[0])) is None


def test_a_note_beyond_every_level_is_an_error(book: Book) -> None:
    with pytest.raises(ValueError, match="does not play"):
        book.instruments["cornet"].level_of(Pitch.parse("C8"))


def test_octaves_in_words() -> None:
    said = [unison.octaves_in_words(count) for count in (0, 1, -1, 2, -3)]
    assert said == ["in unison", "an octave higher", "an octave lower", "2 octaves higher", "3 octaves lower"]
