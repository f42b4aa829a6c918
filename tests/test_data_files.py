"""The files for others, read back as a stranger would."""

from __future__ import annotations

import csv
import io
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beginnerband.data.book import Book
from beginnerband.pages.tables import data_files as datafiles
from beginnerband.products import Products

Rows = list[dict[str, str]]

CIRCLE = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]


@pytest.fixture(scope="session")
def files(book: Book) -> dict[str, Rows]:
    products = Products()
    datafiles.contribute(book, products)
    return {uri: list(csv.DictReader(io.StringIO(content.decode("utf-8")))) for uri, content in products.assets.items()}


@pytest.fixture(scope="session")
def notes(files: dict[str, Rows]) -> Rows:
    return files["data/notes.csv"]


def test_columns_are_exactly_those_promised(files: dict[str, Rows]) -> None:
    columns = {uri: ",".join(rows[0]) for uri, rows in files.items()}
    assert columns == {
        "data/notes.csv": "instrument,reading,level,written,sounding,midi,hz,harmonic,fingering,alternates,cents",
        "data/keys.csv": "concert_key,reading,written_key,sharps",
        "data/equivalence.csv": "from,to,notes,same,differs",
    }


def test_every_instrument_and_reading_has_its_full_range(notes: Rows, book: Book) -> None:
    count = Counter((row["instrument"], row["reading"]) for row in notes)
    for instrument in book.instruments.values():
        for reading in instrument.readings if instrument.pitched else ():
            span = instrument.written_range("full", reading)
            semitones = range(span.low.midi, span.high.midi + 1)
            black = sum(midi % 12 in (1, 3, 6, 8, 10) for midi in semitones)
            assert count.pop((instrument.id, reading.id)) == len(semitones) + black
    assert not count


def test_a_row_is_told_apart_by_instrument_reading_and_written_note(notes: Rows) -> None:
    keys = [(row["instrument"], row["reading"], row["written"]) for row in notes]
    assert len(keys) == len(set(keys))


def test_pitches_midi_and_hertz_agree_with_music21(notes: Rows) -> None:
    # music21 as an independent reader of the names; MIDI 1.0 numbers, ISO 16 pitch.
    from music21 import pitch

    for sounding, midi, hertz in {(row["sounding"], row["midi"], row["hz"]) for row in notes}:
        theirs = pitch.Pitch(sounding.replace("b", "-"))
        assert theirs.midi == int(midi)
        assert float(hertz) == pytest.approx(theirs.frequency, abs=0.0006)


def test_some_rows_as_any_leader_knows_them(notes: Rows) -> None:
    # Common practice, from memory: written C4 open on the cornet sounds concert B flat; first-line trombone facts.
    found = {(row["instrument"], row["reading"], row["written"]): row for row in notes}
    cornet = found["cornet", "treble-bb", "C4"]
    assert (cornet["sounding"], cornet["fingering"], cornet["harmonic"], cornet["level"]) == (
        "Bb3",
        "0",
        "2",
        "starter",
    )
    assert found["cornet", "treble-bb", "D4"]["fingering"] == "1-3"
    assert found["cornet", "treble-bb", "D4"]["cents"] == "32.3"
    assert found["trombone", "bass-c", "D4"]["fingering"] == "1"
    assert found["trombone", "bass-c", "D4"]["alternates"].split(";")[0] == "4"
    assert found["trombone-f", "bass-c", "F2"]["fingering"] == "T1"
    assert found["eb-bass", "treble-eb", "C4"]["sounding"] == "Eb2"
    assert found["eb-bass", "bass-c", "Eb2"]["fingering"] == "0"
    assert found["euphonium", "bass-c", "Bb2"]["fingering"] == "0"
    assert found["f-horn", "treble-f", "C4"]["sounding"] == "F3"
    glockenspiel = found["glockenspiel", "treble-c", "C4"]
    assert (glockenspiel["sounding"], glockenspiel["midi"], glockenspiel["fingering"]) == ("C6", "84", "")


def test_both_spellings_are_the_same_sound_and_fingering(notes: Rows) -> None:
    found = {(row["instrument"], row["reading"], row["written"]): row for row in notes}
    sharp, flat = found["cornet", "treble-bb", "F#4"], found["cornet", "treble-bb", "Gb4"]
    for column in ("midi", "fingering", "alternates", "cents", "level", "hz"):
        assert sharp[column] == flat[column]
    assert (sharp["sounding"], flat["sounding"]) == ("E4", "E4")


def test_cells_have_the_promised_shape(notes: Rows) -> None:
    import re

    way = r"0|[1-4](-[2-4]){0,3}|T?[1-7]|♯[23]"
    for row in notes:
        assert re.fullmatch(r"[A-G][b#]?\d", row["written"])
        assert re.fullmatch(r"[A-G][b#]?\d", row["sounding"])
        assert row["level"] in ("starter", "first-year", "full")
        percussion = row["instrument"] in ("glockenspiel", "xylophone")
        assert (row["fingering"] == "") == percussion
        assert percussion or re.fullmatch(way, row["fingering"])
        assert all(re.fullmatch(way, code) for code in row["alternates"].split(";") if code)
        assert row["fingering"] not in row["alternates"].split(";") or percussion
        assert percussion or re.fullmatch(r"-?\d+\.\d", row["cents"])
        assert row["harmonic"] not in ("7", "11", "13", "14")


def test_low_brass_has_both_readings_of_the_same_sound(notes: Rows) -> None:
    by_reading: dict[str, dict[str, str]] = {"treble-bb": {}, "bass-c": {}}
    for row in notes:
        if row["instrument"] == "euphonium":
            by_reading[row["reading"]][row["midi"]] = row["fingering"]
    assert by_reading["treble-bb"] == by_reading["bass-c"]


def test_keys_agree_with_the_circle_of_fifths(files: dict[str, Rows]) -> None:
    # Common practice: a B flat reader has two sharps more than concert, E flat three, F one; nobody's part
    # is moved into seven signs where another spelling has five.
    more = {"treble-bb": 2, "treble-eb": 3, "treble-f": 1, "treble-c": 0, "bass-c": 0}
    fifths = dict(zip(CIRCLE, range(-7, 8), strict=True))
    rows = files["data/keys.csv"]
    assert len(rows) == 15 * len(more)
    for row in rows:
        wanted = fifths[row["concert_key"]] + more[row["reading"]]
        assert int(row["sharps"]) == (wanted - 12 if wanted > 6 and more[row["reading"]] else wanted)
        assert fifths[row["written_key"]] == int(row["sharps"])


def test_equivalence_counts_add_up_and_say_what_players_know(files: dict[str, Rows]) -> None:
    rows = {(row["from"], row["to"]): row for row in files["data/equivalence.csv"]}
    for row in rows.values():
        differs = [note for note in row["differs"].split(";") if note]
        assert int(row["notes"]) == int(row["same"]) + len(differs)
    assert rows["cornet", "euphonium"]["differs"] == ""
    assert rows["cornet", "euphonium"]["notes"] == "31"
    assert "D4" in rows["cornet", "f-horn"]["differs"].split(";")
    assert rows["cornet", "euphonium-4"]["differs"] == "F#3;G3;C#4;D4"
    assert ("cornet", "trombone") not in rows


@given(st.data())
def test_sounding_never_depends_on_the_reading(notes: Rows, data: st.DataObject) -> None:
    # one sounding note of one instrument has one fingering, however it is written
    row = data.draw(st.sampled_from(notes))
    same = [each for each in notes if (each["instrument"], each["midi"]) == (row["instrument"], row["midi"])]
    assert {each["fingering"] for each in same} == {row["fingering"]}
