"""The files to take away, read back by others: music21, partitura, Verovio and mido hear what the tune says."""

from __future__ import annotations

import base64
import io
from fractions import Fraction
from pathlib import Path

import mido
import pytest
import verovio
from music21 import converter

from beginnerband.data.book import Book
from beginnerband.data.problems import Problems
from beginnerband.data.tunes import load_tunes, read_bytes
from beginnerband.music.playing import heard
from beginnerband.music.score import Line
from beginnerband.music.shift import to_key
from beginnerband.pages.tunes.files import TuneFile, as_midi, as_musicxml, files
from beginnerband.pages.tunes.view import offers

ROOT = Path(__file__).parent.parent
TUNES = sorted(path.stem for path in (ROOT / "content" / "tunes").iterdir())
Events = list[tuple[Fraction, Fraction, int]]

verovio.enableLog(verovio.LOG_OFF)


def events(line: Line, unfold: bool = True) -> Events:
    return [tuple(event) for event in heard(line, unfold)]  # type: ignore[misc]


def midi_events(content: bytes) -> tuple[int, Events]:
    """Ticks a quarter note, and onset, length and number of every note in a MIDI file."""
    file = mido.MidiFile(file=io.BytesIO(content))
    found: Events = []
    for track in file.tracks:
        now, sounding = 0, {}
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                sounding[message.note] = now
            elif message.type in ("note_off", "note_on") and message.note in sounding:
                start = sounding.pop(message.note)
                ticks = file.ticks_per_beat
                found.append((Fraction(start, ticks), Fraction(now - start, ticks), message.note))
    return file.ticks_per_beat, sorted(found)


@pytest.mark.parametrize("tune_id", TUNES)
def test_every_file_sounds_the_tune(book: Book, tune_id: str, tmp_path: Path) -> None:
    """Each file is read by one of three readers of MusicXML in turn: so each of them reads every tune, and files of
    every player.
    """
    tune = book.tunes[tune_id]
    for turn, offer in enumerate(offers(book, tune), TUNES.index(tune_id)):
        for number, file in enumerate(files(book, tune, offer), turn):
            text, sound = as_musicxml(tune, file, book.band.english), as_midi(tune, file)
            if file.part is None:
                assert len(list(converter.parseData(text, format="musicxml").parts)) == 2
                continue
            octaves_moved = to_key(tune.line, offer.key.fifths, file.part.octaves)
            played, once = events(octaves_moved), events(octaves_moved, unfold=False)
            assert midi_events(sound)[1] == played
            match number % 3:
                case 0:
                    check_music21(text, played, once)
                case 1:
                    check_partitura(text, file, once, tmp_path)
                case _:
                    check_verovio(text, played)


def check_music21(text: str, played: Events, once: Events) -> None:
    """Outside check: music21 reads the file, transposes it to sounding pitch and expands its repeats."""
    score = converter.parseData(text, format="musicxml").toSoundingPitch()
    part = score.parts[0]
    read = [part.stripTies()] if played == once else [part.stripTies(), part.expandRepeats().stripTies()]
    for stream, expected in zip(read, (once, played), strict=False):
        notes = [(Fraction(n.offset), Fraction(n.quarterLength), n.pitch.midi) for n in stream.flatten().notes]
        assert notes == expected


def check_partitura(text: str, file: TuneFile, once: Events, folder: Path) -> None:
    """Outside check: partitura reads the written notes; it leaves the transposition to the player."""
    import partitura  # slow to load, and one file of tests among many needs it

    path = folder / "part.musicxml"
    path.write_text(text)
    array = partitura.load_musicxml(str(path))[0].note_array()
    start = min(float(note["onset_quarter"]) for note in array)
    assert file.part
    semitones = file.part.player.reading.semitones
    notes = sorted(
        (_exact(note["onset_quarter"] - start), _exact(note["duration_quarter"]), int(note["pitch"]) + semitones)
        for note in array
    )
    first = once[0][0]
    assert notes == sorted((onset - first, length, midi) for onset, length, midi in once)


def _exact(value: float) -> Fraction:
    return Fraction(float(value)).limit_denominator(48)


def check_verovio(text: str, played: Events) -> None:
    """Outside check: Verovio's own MIDI of the part; it lets go of each note one tick early."""
    toolkit = verovio.toolkit()
    assert toolkit.loadData(text)
    ticks, notes = midi_events(base64.b64decode(toolkit.renderToMIDI()))
    tick = Fraction(1, ticks)
    assert [(onset, midi) for onset, _, midi in notes] == [(onset, midi) for onset, _, midi in played]
    assert all(0 <= full - length <= tick for (_, length, _), (_, full, _) in zip(notes, played, strict=True))


def test_fingerings_and_marks_are_in_the_file(book: Book) -> None:
    tune = book.tunes["loud-and-soft"]
    file = next(iter(files(book, tune, offers(book, tune)[0])))
    score = converter.parseData(as_musicxml(tune, file, "british"), format="musicxml")
    kinds = {type(sign).__name__ for note in score.flatten().notes for sign in note.articulations}
    assert {"Fingering", "BreathMark"} <= kinds
    assert {mark.value for mark in score.flatten().getElementsByClass("Dynamic")} == {"f", "mf", "p"}


def test_what_is_written_is_read_again(book: Book) -> None:
    """A tune survives being taken away as MusicXML and dropped in again, at concert pitch."""
    for tune_id in ("deck-the-hall", "slow-walk", "evening-bell", "oh-susanna", "row-your-boat", "au-clair-de-la-lune"):
        tune = book.tunes[tune_id]
        file = next(iter(files(book, tune, offers(book, tune)[0])))
        score, _, mistakes = read_bytes(as_musicxml(tune, file, "british").encode(), ".musicxml")
        assert score, mistakes
        assert file.part
        mine, read = file.part.sounding, score.lines[0]
        assert events(read) == events(mine)
        assert [note.breath for _, note in read] == [note.breath for _, note in mine]
        assert [note.slur_starts for _, note in read] == [note.slur_starts for _, note in mine]
        assert [note.words for _, note in read] == [note.words for _, note in mine]
        assert [bar.repeat_end for bar in read.measures] == [bar.repeat_end for bar in mine.measures]
        assert read.key.fifths == mine.key.fifths
        assert score.title == tune.title


MEASURE = '<measure number="1"><attributes><divisions>1</divisions>{time}</attributes>{notes}</measure>'
NOTE = (
    "<note>{chord}<pitch><step>{step}</step><octave>4</octave></pitch>"
    "<duration>{length}</duration><voice>{voice}</voice></note>"
)
TIME = "<time><beats>4</beats><beat-type>4</beat-type></time>"


def musicxml(notes: str, time: str = TIME) -> bytes:
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>'
        f'<part id="P1">{MEASURE.format(time=time, notes=notes)}</part></score-partwise>'
    ).encode()


def note(step: str, length: int, voice: int = 1, chord: str = "") -> str:
    return NOTE.format(step=step, length=length, voice=voice, chord=chord)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (musicxml(note("C", 2) + note("E", 2, chord="<chord/>") + note("D", 2)), "bar 1: several notes at once"),
        (musicxml(note("C", 4) + "<backup><duration>4</duration></backup>" + note("E", 4, 2)), "bar 1: two voices"),
        (musicxml(note("C", 4) + note("D", 1)), "bar 1: it holds 5 beats where 4/4 has room for 4"),
        (musicxml(note("C", 4) * 60_000), "more than 500 notes in a bar"),
        (musicxml(note("C", 4), time=""), "no time signature"),
        (b"<html></html>", "this is a web page"),
        (b"<score-partwise>", "not well-formed XML"),
        (b"PK\x03\x04 nonsense", "not a readable .mxl file"),
        (b'<!DOCTYPE x [<!ENTITY a "b">]><score-partwise>&a;</score-partwise>', "declares XML entities"),
    ],
)
def test_musicxml_that_cannot_be_used_is_refused(content: bytes, said: str) -> None:
    score, _, mistakes = read_bytes(content, ".musicxml")
    assert score is None
    assert any(said in mistake.message for mistake in mistakes), mistakes


def test_many_parts_of_one_bar_are_not_too_many_notes_of_a_bar() -> None:
    """In a score written bar by bar, a measure holds every part (MusicXML 4.0, ``score-timewise``)."""
    inside = MEASURE.partition(">")[2].removesuffix("</measure>")
    inside = inside.format(time=TIME, notes=note("C", 1) * 16).replace("<divisions>1", "<divisions>4")
    idents = [f"P{number}" for number in range(1, 41)]
    listed = "".join(f'<score-part id="{ident}"><part-name/></score-part>' for ident in idents)
    parts = "".join(f'<part id="{ident}">{inside}</part>' for ident in idents)
    content = (
        f'<score-timewise version="4.0"><part-list>{listed}</part-list>'
        f'<measure number="1">{parts}</measure></score-timewise>'
    )
    _, _, mistakes = read_bytes(content.encode(), ".musicxml")
    assert not [mistake for mistake in mistakes if "notes in a bar" in mistake.message], mistakes


def test_the_folder_is_read_and_its_mistakes_are_reported_together(book: Book, tmp_path: Path) -> None:
    folder = tmp_path / "content" / "tunes"
    folder.mkdir(parents=True)
    head = "X:1\nT:A\nS:written for this handbook\nM:4/4\nL:1/4\nK:C\n"
    (folder / "good.abc").write_text(head + "C D E F |]\n")
    (folder / "Bad Name.abc").write_text(head + "C D E F |]\n")
    (folder / "short.abc").write_text(head + "C D E F | C |\n")
    (folder / "wide.abc").write_text(head + "C,,, D E f''' |]\n")
    (folder / "voices.abc").write_text(head + "V:1\nC4 |]\nV:2\nE4 |]\n")
    (folder / "nameless.abc").write_text(head.replace("T:A\nS:written for this handbook\n", "") + "C4 |]\n")
    (folder / "nosource.abc").write_text(head.replace("S:written for this handbook\n", "") + "C4 |]\n")
    (folder / "notes.txt").write_text("hello")
    problems = Problems(tmp_path)
    tunes = load_tunes(tmp_path, book.instruments, problems)
    assert list(tunes) == ["good", "nosource"]
    report = "\n".join(map(str, problems))
    for said in (
        "content/tunes/Bad Name.abc: name the file in small letters, figures and hyphens, as bad-name.abc",
        "content/tunes/short.abc:7: bar 2: it holds 1 of 4 beats",
        "content/tunes/wide.abc:7: bar 1: from C1 (bar 1) up to F8 is 89 semitones, wider than any instrument",
        "content/tunes/voices.abc:10: bar 1: 2 voices (1, 2) where one is meant",
        "content/tunes/nameless.abc:1: it has no title",
        "content/tunes/notes.txt: no tune is read from .txt",
    ):
        assert said in report, report
    said = "content/tunes/nosource.abc: source not given"
    assert any(str(remark).startswith(said) for remark in problems.remarks)
    assert tunes["nosource"].source == "source not given"
