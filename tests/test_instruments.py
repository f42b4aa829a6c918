"""The shipped instrument files, against General MIDI, music21 and what the trade knows."""

from __future__ import annotations

import pytest

from beginnerband.data.book import Book
from beginnerband.music.instrument import LEVELS, VOICES, Slide, Valves

# The ids that other parts of the handbook, and the files for others, are promised.
IDS = {
    "soprano-cornet", "cornet", "trumpet", "flugelhorn", "tenor-horn", "f-horn", "baritone", "euphonium", "euphonium-4",
    "euphonium-comp", "trombone", "trombone-f", "eb-bass", "bb-bass", "drums", "glockenspiel", "xylophone",
}  # fmt: skip

# General MIDI 1 (1991), brass: 57 trumpet, 58 trombone, 59 tuba, 60 muted trumpet, 61 French horn; 10 glockenspiel,
# 14 xylophone. It has no cornet, tenor horn, baritone or euphonium: the nearest of its sounds stands for them.
PROGRAMS = {
    57: {"soprano-cornet", "cornet", "trumpet", "flugelhorn"},
    58: {"trombone", "trombone-f", "baritone", "euphonium", "euphonium-4", "euphonium-comp"},
    59: {"eb-bass", "bb-bass"},
    61: {"tenor-horn", "f-horn"},
    10: {"glockenspiel"},
    14: {"xylophone"},
    0: {"drums"},
}


def test_every_promised_instrument_is_there(book: Book) -> None:
    assert set(book.instruments) >= IDS


def test_what_is_struck_is_struck_alike(book: Book) -> None:
    """Bars are bars: glockenspiel and xylophone have nothing to press or to slide, drums no notes either."""
    bars, others, drums = (book.instruments[name].mechanism for name in ("glockenspiel", "xylophone", "drums"))
    assert bars == others != drums


def test_general_midi_programs(book: Book) -> None:
    found = {
        number: {each.id for each in book.instruments.values() if each.midi_program == number} for number in PROGRAMS
    }
    assert found == PROGRAMS


@pytest.mark.parametrize(
    ("instrument_id", "name"),
    [("trumpet", "Trumpet"), ("f-horn", "Horn"), ("trombone", "Trombone"), ("eb-bass", "Tuba"),
     ("glockenspiel", "Glockenspiel"), ("xylophone", "Xylophone")],
)  # fmt: skip
def test_programs_and_transpositions_agree_with_music21(book: Book, instrument_id: str, name: str) -> None:
    # music21 numbers programs from 0; it knows the transposition of the trumpet and the horn, and of no low brass.
    from music21 import instrument as m21instrument

    theirs, ours = getattr(m21instrument, name)(), book.instruments[instrument_id]
    assert theirs.midiProgram == ours.midi_program - 1
    if theirs.transposition is not None:
        assert theirs.transposition.semitones == ours.readings[0].semitones


# First harmonic of the open tube, sounding (common practice, from memory).
FUNDAMENTALS = {
    "soprano-cornet": "Eb3", "cornet": "Bb2", "trumpet": "Bb2", "flugelhorn": "Bb2", "tenor-horn": "Eb2",
    "f-horn": "F1", "baritone": "Bb1", "euphonium": "Bb1", "trombone": "Bb1", "eb-bass": "Eb1", "bb-bass": "Bb0",
}  # fmt: skip


def test_fundamentals_of_the_tubes(book: Book) -> None:
    found = {each: book.instruments[each].fundamental for each in FUNDAMENTALS}
    assert {each: pitch.name for each, pitch in found.items() if pitch} == FUNDAMENTALS


def test_mechanisms(book: Book) -> None:
    # Valves lower by 2, 1, 3 and 5 semitones (any brass tutor, from memory); the F attachment by a fourth.
    for instrument in book.instruments.values():
        if isinstance(instrument.mechanism, Valves):
            assert instrument.mechanism.semitones in ((2, 1, 3), (2, 1, 3, 5))
    trombone, attachment = (book.instruments[each].mechanism for each in ("trombone", "trombone-f"))
    assert isinstance(trombone, Slide)
    assert isinstance(attachment, Slide)
    assert (trombone.trigger, attachment.trigger) == (None, 5)
    comp = book.instruments["euphonium-comp"].mechanism
    assert isinstance(comp, Valves)
    assert comp.compensating == 4


def test_low_brass_has_both_readings_and_the_rest_one(book: Book) -> None:
    both = {each.id for each in book.instruments.values() if len(each.readings) == 2}
    assert both == {
        "baritone",
        "euphonium",
        "euphonium-4",
        "euphonium-comp",
        "trombone",
        "trombone-f",
        "eb-bass",
        "bb-bass",
    }


def test_every_voice_can_be_covered(book: Book) -> None:
    # Common practice, no source: cornets cover soprano, horns alto, baritone and trombone tenor, basses bass.
    best = {voice: {each.id for each in book.instruments.values() if voice in each.covers} for voice in VOICES}
    assert "cornet" in best["soprano"]
    assert {"tenor-horn", "f-horn"} <= best["alto"]
    assert {"baritone", "trombone"} <= best["tenor"]
    assert {"eb-bass", "bb-bass", "euphonium"} <= best["bass"]


def test_weights_grow_with_the_tube(book: Book) -> None:
    # Common practice, no source: a cornet weighs a bit over a kilogram, a B flat bass about ten.
    order = ("soprano-cornet", "cornet", "tenor-horn", "baritone", "euphonium", "eb-bass", "bb-bass")
    weights = [book.instruments[each].weight_kg for each in order]
    assert weights == sorted(weights)
    assert 0.8 < weights[0] < 1.5
    assert 8 < weights[-1] < 12


def test_ranges_by_level_are_written_in_the_first_reading(book: Book) -> None:
    for instrument in book.instruments.values():
        for level in LEVELS if instrument.pitched else ():
            for reading in instrument.readings:
                written = instrument.written_range(level, reading)
                assert reading.sounding(written.low) == instrument.sounding_range(level).low


def test_percussion_sounds_where_the_trade_says(book: Book) -> None:
    # Common practice (any orchestration book, from memory): glockenspiel two octaves up, xylophone one.
    assert book.instruments["glockenspiel"].readings[0].semitones == 24
    assert book.instruments["xylophone"].readings[0].semitones == 12
    assert not book.instruments["drums"].pitched


def test_the_size_of_what_is_carried_in_several_things_is_that_of_the_heaviest(book: Book) -> None:
    drums = book.instruments["drums"]
    assert len(drums.loads) == 3
    assert (drums.weight_kg, drums.length_cm) == (7.0, 66), "the bass drum's, as its file has it"
