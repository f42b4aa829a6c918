"""Transposition: against music21, partitura, MusicXML's own <transpose>, MIDI and ISO 16."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from beginnerband.data.book import Book
from beginnerband.music import transposition
from beginnerband.music.pitch import Pitch, chromatic, reverse, semitones, spellings, transpose, usual
from beginnerband.music.reading import Reading
from beginnerband.music.score import Key, Line, Measure, Note, Time
from beginnerband.music.shift import by_semitones, to_key, written, written_fifths

BB, EB, F = (
    Reading("treble-bb", clef="treble", interval="M-2"),
    Reading("treble-eb", clef="treble", interval="M-6"),
    Reading("treble-f", clef="treble", interval="P-5"),
)
CONCERT = Reading("bass-c", clef="bass", interval="P1")

PITCHES = st.builds(Pitch, st.sampled_from("CDEFGAB"), st.integers(-1, 1), st.integers(1, 6))
INTERVALS = st.sampled_from(["M-2", "m3", "M-6", "P-5", "P1", "P8", "P-8", "M-9", "M-13", "M-16", "P15"])


def all_readings(book: Book) -> list[tuple[str, Reading]]:
    """Every reading of every pitched instrument."""
    return [(each.id, reading) for each in book.instruments.values() if each.pitched for reading in each.readings]


@pytest.mark.parametrize(("name", "midi"), [("A4", 69), ("C4", 60), ("Bb3", 58), ("B#3", 60), ("Cb4", 59), ("C-1", 0)])
def test_midi_numbers(name: str, midi: int) -> None:
    # MIDI 1.0: note number 60 is middle C (C4), 69 the A above it.
    assert Pitch.parse(name).midi == midi


@pytest.mark.parametrize(("name", "hertz"), [("A4", 440.0), ("A3", 220.0), ("C4", 261.626), ("Bb2", 116.541)])
def test_frequencies(name: str, hertz: float) -> None:
    # ISO 16:1975: A4 is 440 Hz; the others stand in any table of equal temperament (261.63, 116.54; from memory).
    assert Pitch.parse(name).hz() == pytest.approx(hertz, abs=0.001)
    assert Pitch.parse("A4").hz(442) == 442


@given(PITCHES)
def test_pitch_names_and_numbers_agree_with_music21(pitch: Pitch) -> None:
    from music21 import pitch as m21pitch

    theirs = m21pitch.Pitch(pitch.name.replace("b", "-"))
    assert theirs.midi == pitch.midi
    assert theirs.frequency == pytest.approx(pitch.hz())
    assert Pitch.parse(pitch.name) == pitch


@given(PITCHES, INTERVALS)
def test_intervals_and_spelling_agree_with_music21(pitch: Pitch, interval: str) -> None:
    # Steps and semitones checked apart: not only the right key of the piano but the right letter.
    from music21 import interval as m21interval

    moved = transpose(pitch, interval)
    theirs = m21interval.Interval(interval)
    assert moved.midi - pitch.midi == theirs.semitones
    # (double accidentals that music21 itself would respell cannot arise from one accidental and these intervals)
    steps = theirs.generic.staffDistance
    assert moved.staff_index - pitch.staff_index == steps


@given(PITCHES, INTERVALS)
def test_there_and_back_is_the_identity(pitch: Pitch, interval: str) -> None:
    assert transpose(transpose(pitch, interval), reverse(interval)) == pitch


@given(PITCHES, st.data())
def test_what_sounds_does_not_depend_on_who_reads(book: Book, pitch: Pitch, data: st.DataObject) -> None:
    readings = st.sampled_from([reading for _, reading in all_readings(book)])
    source, target = data.draw(readings), data.draw(readings)
    assume(source.sounding(pitch).octave <= 6)  # written three octaves higher at most, and no octave is beyond 9
    read = transposition.simplest(target.written(source.sounding(pitch)))
    assert target.sounding(read).midi == source.sounding(pitch).midi
    assert abs(read.alter) <= 1


def test_the_readings_of_the_trade(book: Book) -> None:
    # Common practice (any orchestration or brass-band handbook, from memory): what a written C4 sounds.
    expected = {
        ("soprano-cornet", "treble-eb"): "Eb4",
        ("cornet", "treble-bb"): "Bb3",
        ("trumpet", "treble-bb"): "Bb3",
        ("flugelhorn", "treble-bb"): "Bb3",
        ("tenor-horn", "treble-eb"): "Eb3",
        ("f-horn", "treble-f"): "F3",
        ("baritone", "treble-bb"): "Bb2",
        ("baritone", "bass-c"): "C4",
        ("euphonium", "treble-bb"): "Bb2",
        ("euphonium", "bass-c"): "C4",
        ("euphonium-4", "treble-bb"): "Bb2",
        ("euphonium-4", "bass-c"): "C4",
        ("euphonium-comp", "treble-bb"): "Bb2",
        ("euphonium-comp", "bass-c"): "C4",
        ("trombone", "bass-c"): "C4",
        ("trombone", "treble-bb"): "Bb2",
        ("trombone-f", "bass-c"): "C4",
        ("trombone-f", "treble-bb"): "Bb2",
        ("eb-bass", "treble-eb"): "Eb2",
        ("eb-bass", "bass-c"): "C4",
        ("bb-bass", "treble-bb"): "Bb1",
        ("bb-bass", "bass-c"): "C4",
        ("glockenspiel", "treble-c"): "C6",
        ("xylophone", "treble-c"): "C5",
    }
    c4 = Pitch.parse("C4")
    found = {(id_, reading.id): reading.sounding(c4).name for id_, reading in all_readings(book)}
    assert found == expected


@pytest.mark.parametrize("written", [pitch.name for pitch in chromatic(Pitch.parse("C4"), Pitch.parse("B4"))])
def test_bb_and_eb_players_on_one_written_note_are_a_fifth_or_fourth_apart(written: str) -> None:
    # A fact of the trade: cornet above tenor horn by a fifth; soprano cornet above cornet by a fourth.
    soprano, pitch = Reading("treble-eb", clef="treble", interval="m3"), Pitch.parse(written)
    assert BB.sounding(pitch).midi - EB.sounding(pitch).midi == 7 == transposition.apart(EB, BB)
    assert soprano.sounding(pitch).midi - BB.sounding(pitch).midi == 5 == transposition.apart(BB, soprano)


# Key signatures of a band, concert to written. Common practice (the table in any band-scoring handbook, from memory):
# B flat readers two sharps more, E flat readers three more, F readers one more.
KEYS = [
    ("Bb", BB, "C", 0), ("Bb", EB, "G", 1), ("Bb", F, "F", -1), ("Bb", CONCERT, "Bb", -2),
    ("Eb", BB, "F", -1), ("Eb", EB, "C", 0), ("Eb", F, "Bb", -2), ("F", BB, "G", 1), ("F", EB, "D", 2),
    ("F", F, "C", 0),
    ("Ab", BB, "Bb", -2), ("Ab", EB, "F", -1), ("Ab", F, "Eb", -3), ("C", BB, "D", 2), ("C", EB, "A", 3),
    ("C", F, "G", 1), ("G", BB, "A", 3), ("G", EB, "E", 4), ("Db", BB, "Eb", -3), ("Db", EB, "Bb", -2),
    ("E", EB, "Db", -5), ("B", BB, "Db", -5), ("F#", F, "Db", -5), ("Db", CONCERT, "Db", -5), ("C#", CONCERT, "C#", 7),
    ("B", EB, "Ab", -4), ("E", BB, "F#", 6),
]  # fmt: skip


@pytest.mark.parametrize(("concert", "reading", "tonic", "sharps"), KEYS)
def test_key_signatures_of_a_band(concert: str, reading: Reading, tonic: str, sharps: int) -> None:
    key = transposition.written_key(concert, reading)
    assert (key.tonic, key.sharps) == (tonic, sharps)


@pytest.mark.parametrize("concert", transposition.CONCERT_KEYS)
@pytest.mark.parametrize("reading", [BB, EB, F, CONCERT])
def test_every_key_agrees_with_music21(concert: str, reading: Reading) -> None:
    # music21 transposes the Key object itself; ours is the same, or with less than seven sharps or flats its like
    from music21 import key as m21key

    theirs = m21key.Key(concert.replace("b", "-")).transpose(reverse(reading.interval))
    ours = transposition.written_key(concert, reading)
    assert ours.sharps in (theirs.sharps, theirs.sharps - 12, theirs.sharps + 12)
    assert abs(ours.sharps) <= (6 if reading is not CONCERT else 7)
    assert abs(theirs.sharps) > 6 or ours.sharps == theirs.sharps
    assert reading is not CONCERT or ours.sharps == theirs.sharps
    assert m21key.Key(ours.tonic.replace("b", "-")).sharps == ours.sharps


@pytest.mark.parametrize("concert", transposition.CONCERT_KEYS)
@pytest.mark.parametrize("reading", [BB, EB, F, CONCERT], ids=lambda reading: reading.id)
def test_a_part_has_the_signature_that_the_tables_say(concert: str, reading: Reading) -> None:
    """And its notes go with it: a scale has no accidental, and sounds as it is asked for (music21's own scale)."""
    from music21 import scale as m21scale

    theirs = m21scale.MajorScale(concert.replace("b", "-")).getPitches()
    pitches = [Pitch(each.step, int(each.alter), int(each.implicitOctave)) for each in theirs]
    key = Key(transposition.sharps_of(concert))
    notes = tuple(Note(Fraction(1, 2), pitch) for pitch in pitches)
    part = written(Line((Measure(1, notes, key=key, time=Time(4, 4), barline="final"),), ""), reading)
    table = transposition.written_key(concert, reading)
    assert (part.key.tonic, part.key.fifths) == (table.tonic, table.sharps)
    assert part.key.fifths == written_fifths(key.fifths, reading)
    assert [pitch.alter for pitch in part.pitches] == [part.key.alters[pitch.step] for pitch in part.pitches]
    assert part.pitches[0].letter == table.tonic
    assert [reading.sounding(pitch).midi for pitch in part.pitches] == [int(each.midi) for each in theirs]


def test_a_line_goes_to_seven_sharps_where_the_band_asks_for_them() -> None:
    """Only parts for who reads otherwise than it sounds take the other name (common practice, no source)."""
    line = Line((Measure(1, (Note(Fraction(4), Pitch("C", 0, 4)),), key=Key(0), time=Time(4, 4), barline="final"),), "")
    sharp = to_key(line, 7)
    up = Reading("treble-c", clef="treble", interval="P8")
    assert [written(sharp, reading).key.fifths for reading in (CONCERT, up, BB, EB, F)] == [7, 7, -3, -2, -4]
    assert [pitch.letter for pitch in written(sharp, up).pitches] == ["C#"]


def test_signatures_in_words() -> None:
    said = [transposition.written_key(concert, BB).words for concert in ("Bb", "F", "Eb", "C")]
    assert said == ["no sharps or flats", "1 sharp", "1 flat", "2 sharps"]


@pytest.mark.parametrize("concert", ["H", "A#", "Fb", "", "bb"])
def test_what_is_no_key_is_refused(concert: str) -> None:
    with pytest.raises(ValueError, match="major key"):
        transposition.sharps_of(concert)


@given(st.integers(12, 108))
def test_both_spellings_name_one_sound(midi: int) -> None:
    assert {pitch.midi for pitch in spellings(midi)} == {midi}
    assert len(spellings(midi)) == (2 if midi % 12 in (1, 3, 6, 8, 10) else 1)
    assert usual(midi) in spellings(midi)


def test_moving_by_octaves_into_a_range() -> None:
    low, high = Pitch.parse("C4"), Pitch.parse("G4")
    assert transposition.nearest_octave(Pitch.parse("D6"), low, high) == (Pitch.parse("D4"), -2)
    assert transposition.nearest_octave(Pitch.parse("E4"), low, high) == (Pitch.parse("E4"), 0)
    assert transposition.nearest_octave(Pitch.parse("A4"), low, high) == (Pitch.parse("A4"), 0)  # no octave fits


# ------------------------------------------------------------------ MusicXML 4.0, read back by two libraries

PART = """<score-partwise version="4.0">
  <part-list><score-part id="P1"><part-name>x</part-name></score-part></part-list>
  <part id="P1"><measure number="1">
    <attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>{count}</beats><beat-type>4</beat-type>
    </time><clef><sign>{sign}</sign><line>{line}</line></clef>{transpose}</attributes>
    {notes}
  </measure></part>
</score-partwise>
"""
NOTE = """<note><pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>
    <duration>1</duration><type>quarter</type></note>"""


def musicxml(reading: Reading, written: tuple[Pitch, ...], octave_change: bool) -> str:
    """A minimal document by hand: <transpose> has diatonic and chromatic steps, and octaves apart or counted in."""
    steps = Pitch.parse("C4")
    diatonic = reading.sounding(steps).staff_index - steps.staff_index
    octaves = int(reading.semitones / 12) if octave_change else 0
    element = (
        f"<transpose><diatonic>{diatonic - 7 * octaves}</diatonic>"
        f"<chromatic>{reading.semitones - 12 * octaves}</chromatic>"
        f"{f'<octave-change>{octaves}</octave-change>' if octaves else ''}</transpose>"
    )
    notes = "\n".join(
        NOTE.format(step=each.step, octave=each.octave, alter=f"<alter>{each.alter}</alter>" if each.alter else "")
        for each in written
    )
    sign, line = ("F", 4) if reading.clef == "bass" else ("G", 2)
    return PART.format(count=len(written), sign=sign, line=line, notes=notes, transpose=element)


READINGS = [
    ("soprano-cornet", "treble-eb"), ("cornet", "treble-bb"), ("tenor-horn", "treble-eb"), ("f-horn", "treble-f"),
    ("baritone", "treble-bb"), ("baritone", "bass-c"), ("trombone", "bass-c"), ("trombone", "treble-bb"),
    ("eb-bass", "treble-eb"), ("bb-bass", "treble-bb"), ("glockenspiel", "treble-c"), ("xylophone", "treble-c"),
]  # fmt: skip


def document(book: Book, folder: Path, which: tuple[str, str], octave_change: bool) -> tuple[Path, list[int]]:
    """A MusicXML file in one reading, and the MIDI numbers its notes must sound."""
    instrument, reading = book.instruments[which[0]], book.instruments[which[0]].reading(which[1])
    span = instrument.written_range("first-year", reading)
    written = chromatic(span.low, span.high)
    path = folder / "part.musicxml"
    path.write_text(musicxml(reading, written, octave_change), encoding="utf-8")
    return path, [reading.sounding(each).midi for each in written]


@pytest.mark.parametrize("which", READINGS, ids="/".join)
def test_music21_hears_what_we_say(book: Book, tmp_path: Path, which: tuple[str, str]) -> None:
    # MusicXML 4.0, <transpose>: "chromatic" leaves out whole octaves, which "octave-change" gives.
    from music21 import converter

    path, expected = document(book, tmp_path, which, octave_change=True)
    score = converter.parse(path, format="musicxml", forceSource=True)
    assert [note.pitch.midi for note in score.toSoundingPitch().flatten().notes] == expected


@pytest.mark.parametrize("which", READINGS, ids="/".join)
def test_partitura_hears_what_we_say(book: Book, tmp_path: Path, which: tuple[str, str]) -> None:
    # Partitura reads <diatonic> and <chromatic> but not <octave-change>, so the octaves are counted into both here. It
    # keeps written pitches with the transposition beside them; what sounds is their sum.
    import partitura
    from partitura.score import Transposition

    path, expected = document(book, tmp_path, which, octave_change=False)
    part = partitura.load_musicxml(str(path)).parts[0]
    shift = sum(int(each.chromatic or 0) for each in part.iter_all(Transposition))
    assert [int(note["pitch"]) + shift for note in part.note_array()] == expected


def test_semitones_of_each_interval_name() -> None:
    # Names of intervals as in any theory primer: major second 2, minor third 3, major sixth 9, major ninth 14.
    expected = {"P1": 0, "M-2": -2, "m3": 3, "P-5": -7, "M-6": -9, "M-9": -14, "M-13": -21, "M-16": -26, "P15": 24}
    assert {name: semitones(name) for name in expected} == expected


@pytest.mark.parametrize(
    ("half_steps", "tonic"),
    [(1, "Db"), (2, "D"), (3, "Eb"), (4, "E"), (5, "F"), (7, "G"), (8, "Ab"), (9, "A"), (10, "Bb"), (11, "B"),
     (-1, "B"), (-2, "Bb"), (-4, "Ab")],
)  # fmt: skip
def test_a_move_by_semitones_goes_to_the_key_with_the_fewest_signs(half_steps: int, tonic: str) -> None:
    """From C round the circle of fifths (any primer): D flat has five flats, C sharp would have seven sharps."""
    line = Line((Measure(1, (Note(Fraction(4), Pitch("C", 0, 4)),), key=Key(0), time=Time(4, 4), barline="final"),), "")
    moved = by_semitones(line, half_steps)
    assert moved.key.tonic == tonic
    assert [pitch.letter for pitch in moved.pitches] == [tonic]
