"""Music as people write it: each case by hand, with the section of the standard that decides it.

ABC: the standard 2.1 (abcnotation.com/wiki/abc:standard:v2.1). MusicXML: the reference of version 4.0
(w3.org/2021/06/musicxml40). ``measure_reading.py`` measures the same on thousands of files.
"""

from __future__ import annotations

import io
import re
import time
import zipfile
from pathlib import Path

import musicxml_schema
import pytest
from music21 import converter, harmony
from smallproject import small_project

from beginnerband.data.abc import read_abc
from beginnerband.data.book import load_book
from beginnerband.data.problems import DataError, Problem
from beginnerband.data.read_musicxml import read_musicxml
from beginnerband.music.chord_symbol import ChordSymbol
from beginnerband.music.harmony import four_parts, symbols
from beginnerband.music.pitch import Pitch
from beginnerband.music.playing import heard, mark_label, order
from beginnerband.music.score import Line, Score
from beginnerband.music.shift import by
from beginnerband.render.write_musicxml import Staff, musicxml

HEAD = "X:1\nT:t\nS:written for this test\nM:4/4\nL:1/4\n"


def abc(music: str, head: str = "K:C\n", split: bool = False) -> Score:
    read = read_abc(f"{HEAD}{head}{music}\n", split)
    assert read.score, read.mistakes
    return read.score


def tune(music: str, head: str = "K:C\n") -> Line:
    return abc(music, head).lines[0]


def wrong(music: str, head: str = "K:C\n") -> list[str]:
    read = read_abc(f"{HEAD}{head}{music}\n")
    assert read.score is None
    return [f"{mistake.line}: {mistake.message}" for mistake in read.mistakes]


def names(line: Line) -> str:
    return " ".join(pitch.name for pitch in line.pitches)


def signs(marks: tuple[str, ...]) -> set[str]:
    """Marks but for how far a jump leads, which is written out where the source leaves it to be understood."""
    return set(marks) - {"al-fine", "al-coda"}


# -- fields


@pytest.mark.parametrize(
    ("field", "key", "notes"),
    [
        ("K:E♭", "Eb major", "C4 D4 Eb4 F4"),  # typographic signs for b and #
        ("K:F♯m", "F# minor", "C#4 D4 E4 F#4"),
        ("K:G treble", "G major", "C4 D4 E4 F#4"),  # 4.6: a clef may stand without clef=
        ("K:D minor clef=bass", "D minor", "C4 D4 E4 F4"),
        ("K:Bb treble-8", "Bb major", "C3 D3 Eb3 F3"),  # 4.6: -8 sounds an octave lower
        ("K:C clef=treble+8", "C major", "C5 D5 E5 F5"),
        ("K:C octave=-1", "C major", "C3 D3 E3 F3"),  # 4.6: octave=
        ("K:C transpose=-2", "Bb major", "Bb3 C4 D4 Eb4"),  # 4.6: transpose= in semitones, as it sounds
        ("K:Gmix ^f", "G mixolydian", "C4 D4 E4 F#4"),  # 3.1.14: accidentals beside a mode
        ("K:D exp ^f ^c", "D major", "C#4 D4 E4 F#4"),  # 3.1.14: exp
        ("K:none", "C major", "C4 D4 E4 F4"),
        ("K:HP", "D major", "C#4 D4 E4 F#4"),
    ],
)
def test_keys_and_clefs_mean_what_they_say(field: str, key: str, notes: str) -> None:
    line = tune("C D E F |]", f"{field}\n")
    assert (line.key.name, names(line)) == (key, notes)


@pytest.mark.parametrize(
    ("field", "said"),
    [
        ("K:G clef=wrong", "no clef 'wrong'"),
        ("K:Gfoo", "no mode 'foo'"),
        ("K:G bar=3", "'bar=3' in K: is not understood"),
        ("K:Ebb", "no key in K:'Ebb'"),
        ("K:C octave=high", "octave='high'"),
    ],
)
def test_what_is_not_understood_in_a_key_is_said_and_nothing_else(field: str, said: str) -> None:
    found = wrong("C D E F | C |]", f"{field}\n")
    assert len(found) == 1
    assert said in found[0]


def test_a_wrong_metre_is_the_only_mistake_reported() -> None:
    read = read_abc("X:1\nT:t\nM:waltz\nL:1/4\nK:C\nC D E | F2 z |]\n")
    assert [mistake.line for mistake in read.mistakes] == [3]


# -- voices


def test_voices_need_no_header_lines_and_follow_score() -> None:  # 7.1, 11.6
    score = abc("[V:S] c4 | d4 |]\n[V:A] E4 | F4 |]")
    assert [(line.name, names(line)) for line in score.lines] == [("S", "C5 D5"), ("A", "E4 F4")]
    turned = abc("[V:B] C,4 |]\n[V:S] c4 |]", "%%score (S) (B)\nV:S\nV:B clef=bass\nK:C\n")
    assert [line.name for line in turned.lines] == ["S", "B"]


def test_a_sign_in_one_voice_holds_for_all() -> None:
    score = abc("V:1\n|: c4 | d4 !fine! :| e4 !D.C.! |]\nV:2\nE4 | F4 | G4 |]")
    assert [order(line) for line in score.lines] == [(0, 1, 0, 1, 2, 0, 1)] * 2


def test_two_notes_on_one_staff_are_two_voices_of_a_piece() -> None:  # 4.17
    score = abc("[Ec]2 A2 | [Gc]4 |]", split=True)
    assert [names(line) for line in score.lines] == ["C5 A4 C5", "E4 A4 G4"]
    assert "several notes at once" in wrong("[Ec]4 |]")[0]


# -- rhythm and signs


def test_broken_rhythm_within_a_triplet() -> None:  # 4.4 and 4.13
    lengths = [note.quarters for note in tune("(3A>BC D2 |]", "M:4/4\nL:1/4\nK:C\n").measures[0].notes]
    assert [str(length) for length in lengths[:3]] == ["1", "1/3", "2/3"]


def test_letters_and_signs_that_are_not_used_are_named() -> None:  # 4.14 and 4.16
    score = abc("kC !trill!D uE {[ce]}F | kC4 |]")
    said = [remark.message for remark in score.remarks]
    assert said == [
        "bar 1: the letter 'k' is no note and no sign that U: defines; it is left out (and 1 more like it)",
        "bar 1: the sign !trill! is left out",
        "bar 1: the sign !upbow! is left out",
        "bar 1: of a grace chord only the highest note is kept",
    ]
    assert wrong("C4 |2 D4 :| E4 |]")[0].endswith("ending 2 has no ending 1 before it; begin the first with |1")


def test_an_order_of_parts_is_played() -> None:  # 3.1.9
    line = tune("P:A\nC4 | D4 |\nP:B\nE4 | F4 |", "P:A2BA\nK:C\n")
    played = [line.measures[place].notes[0].pitch for place in order(line)]
    assert [pitch.name for pitch in played if pitch] == ["C4", "D4", "C4", "D4", "E4", "F4", "C4", "D4"]


def test_an_order_that_comes_back_to_its_beginning_is_a_da_capo() -> None:  # 3.1.9
    line = tune("P:A\nC4 | D4 ||\nP:B\nE4 | F4 |]", "P:ABA\nK:C\n")
    assert [bar.marks for bar in line.measures] == [(), ("fine",), (), ("da-capo", "al-fine")]
    assert order(line) == (0, 1, 2, 3, 0, 1)


def test_a_slur_over_grace_notes_alone_is_no_slur_of_the_melody() -> None:  # 4.11 and 4.12
    assert [one.slur_starts for _, one in tune("C ({ed})c2 D |]")] == [0, 0, 0]


def test_words_and_symbols_are_set_to_their_notes() -> None:  # 5.1 and 5.2
    music = 'C D E F | G2 A2 |]\nw: doh re mi_ | sol~la ti-\nw: two *  x- y | z\ns: "G" * !f! * | !fermata!\n'
    notes = [note for _, note in tune(music)]
    sung = [[(one.text, one.place, one.held, one.verse) for one in note.lyrics] for note in notes]
    assert sung == [
        [("doh", "single", False, 1), ("two", "single", False, 2)],
        [("re", "single", False, 1)],
        [("mi", "single", True, 1), ("x", "begin", False, 2)],
        [("y", "end", False, 2)],
        [("sol la", "single", False, 1), ("z", "single", False, 2)],
        [("ti", "begin", False, 1)],
    ]
    assert notes[0].chord
    assert (notes[0].chord.name, notes[2].dynamic, notes[4].fermata) == ("G", "f", True)


# -- jumps

JUMPS = [
    ("C4 | !fine!D4 | E4 !D.C.! |]", (0, 1, 2, 0, 1)),  # 4.14: on a note, and before a barline
    ('C4 | D4 "^Fine" | E4 "^D.C. al Fine" |]', (0, 1, 2, 0, 1)),
    ("C4 | D4 !coda! | E4 !D.C.alcoda! || !coda! F4 |]", (0, 1, 2, 0, 1, 3)),
    ('C4 | !segno! D4 | E4 "^To Coda" | F4 "^D.S. al Coda" || "^Coda" G4 |]', (0, 1, 2, 3, 1, 2, 4)),
    (
        "!segno!C4 !tocoda! | D4 !D.S.alcoda! | !coda!E4 | !segno!F4 !tocoda! | G4 !D.S.alcoda! | !coda!A4 |]",
        (0, 1, 0, 2, 3, 4, 3, 5),
    ),
    ("|: C4 |1 D4 :|2 E4 || F4 !D.C.! |]", (0, 1, 0, 2, 3, 0, 2, 3)),  # the last ending after a jump
    ("C4 | D4 !coda! | E4 !D.C.alcoda! || !coda! |: F4 :|", (0, 1, 2, 0, 1, 3, 3)),  # a repeat first met in the coda
]


@pytest.mark.parametrize(("music", "played"), JUMPS)
def test_jumps_survive_musicxml_out_and_in(music: str, played: tuple[int, ...]) -> None:
    line = tune(music)
    assert order(line) == played
    text = musicxml([Staff(line)], "t")
    assert musicxml_schema.mistakes(text) == []
    back, mistakes = read_musicxml(text.encode())
    assert back, mistakes
    assert [signs(bar.marks) for bar in back.lines[0].measures] == [signs(bar.marks) for bar in line.measures]
    assert order(back.lines[0]) == played


@pytest.mark.parametrize(
    ("music", "labels"),
    [
        # one of a kind needs no number
        ("C4 | !segno! D4 | E4 !tocoda! | F4 !D.S.alcoda! | !coda! G4 |]",
         {(1, "segno"): "segno", (3, "dal-segno"): "segno", (2, "to-coda"): "coda", (4, "coda"): "coda"}),
        # of two, each jump has the number of the sign it leads to: the last segno before it, the coda in turn
        ("!segno!C4 !tocoda! | D4 !D.S.alcoda! | !coda!E4 | !segno!F4 !tocoda! | G4 !D.S.alcoda! | !coda!A4 |]",
         {(0, "segno"): "segno1", (1, "dal-segno"): "segno1", (3, "segno"): "segno2", (4, "dal-segno"): "segno2",
          (0, "to-coda"): "coda1", (2, "coda"): "coda1", (3, "to-coda"): "coda2", (5, "coda"): "coda2"}),
    ],
)  # fmt: skip
def test_a_sign_and_the_jump_to_it_share_a_name(music: str, labels: dict[tuple[int, str], str]) -> None:
    """MusicXML 4.0, ``sound``: ``segno`` and ``coda`` name a place where there are several, the jump the same name."""
    line = tune(music)
    assert {(place, mark): mark_label(line, place, mark) for place, mark in labels} == labels


@pytest.mark.parametrize("music", ["C4 | D4 !fine! | E4 !D.C.! |]", "C4 | !segno!D4 !fine! | E4 | F4 !D.S.! |]"])
def test_music21_plays_our_jumps(music: str) -> None:
    line = tune(music)
    part = converter.parseData(musicxml([Staff(line)], "t"), format="musicxml").parts[0].expandRepeats()
    assert [note.pitch.midi for note in part.flatten().notes] == [midi for _, _, midi in heard(line)]


def test_a_jump_that_leads_nowhere_is_said() -> None:
    assert "says al Fine, but nothing is marked Fine" in wrong('C4 | D4 "^D.C. al Fine" |]')[0]
    assert "segno that is not there" in wrong("C4 | D4 !D.S.! |]")[0]


# -- chord symbols

_SYMBOLS = """
    C Cm C7 Cm7 Cmaj7 Cdim Cdim7 Caug C6 Cm6 C9 Cm9 Csus4 Csus2 C7sus4 Cadd9 Cm7b5 C7b9 C11 C13 Bb F#m7 Ebmaj7 F/A
"""
USUAL = _SYMBOLS.split()


@pytest.mark.parametrize("symbol", USUAL)
def test_chord_symbols_have_the_tones_that_music21_gives_them(symbol: str) -> None:
    theirs = harmony.ChordSymbol(re.sub(r"(?<=[A-G])b", "-", symbol))
    chord = ChordSymbol.parse(symbol)
    assert {Pitch(*tone, 4).letter for tone in chord.tones} == {
        pitch.name.replace("--", "bb").replace("-", "b") for pitch in theirs.pitches
    }


@pytest.mark.parametrize(
    ("symbol", "same"),
    [
        ("Cm7♭5", "Cø"), ("C-7", "Cm7"), ("C△", "Cmaj7"), ("C°7", "Cdim7"), ("C+", "Caug"), ("C(add9)", "Cadd9"),
        ("C7sus", "C7sus4"), ("Cm(maj7)", "CmMaj7"), ("C6/9", "C69"), ("Cmin7", "Cm7"), ("C2", "Cadd2"),
        ("Cmi7", "Cm7"), ("CM9", "Cmaj9"), ("CmM7", "CmMaj7"),
    ],
)  # fmt: skip
def test_spellings_of_one_chord_are_one_chord(symbol: str, same: str) -> None:
    one, other = ChordSymbol.parse(symbol), ChordSymbol.parse(same)
    assert (one.kind, one.tones) == (other.kind, other.tones)


def test_no_chord_and_nonsense() -> None:
    assert ChordSymbol.parse("N.C.").tones == ()
    assert "no chord 'Cxq7'" in wrong('"Cxq7"C4 |]')[0]
    first = tune('"Allegro"C4 | "Bb/D"D4 |]')
    assert [(note.words, note.chord.sign if note.chord else "") for _, note in first] == [("Allegro", ""), ("", "B♭/D")]


def test_chord_symbols_move_with_the_notes() -> None:
    """A cornet reads a tone higher: over concert B flat stands C. In MusicXML a harmony is written as its part is."""
    line = by(tune('"Bb"D2 "Gm7/F"F2 | "N.C."z4 |]', "K:Bb\n"), "M2")
    assert [note.chord.sign for _, note in line if note.chord] == ["C", "Am7/G", "N.C."]
    text = musicxml([Staff(line, transposition="M-2")], "t")
    assert musicxml_schema.mistakes(text) == []
    assert "<root-step>C</root-step>" in text
    back, _ = read_musicxml(text.encode())
    assert back
    assert [note.chord.sign for _, note in back.lines[0] if note.chord] == ["B♭", "Gm7/F", "N.C."]


@pytest.mark.parametrize("symbol", [*USUAL, "C7alt", "C69", "C7no3", "Cmaj7#11", "N.C."])
def test_every_chord_survives_musicxml(symbol: str) -> None:
    line = tune(f'"{symbol}"C4 |]')
    text = musicxml([Staff(line)], "t")
    assert musicxml_schema.mistakes(text) == []
    back, _ = read_musicxml(text.encode())
    assert back
    one, other = line.measures[0].notes[0].chord, back.lines[0].measures[0].notes[0].chord
    assert one
    assert other
    assert (one.tones, one.bass, one.sign) == (other.tones, other.bass, other.sign)


@pytest.mark.parametrize("symbol", [*USUAL, "N.C."])
def test_four_lines_play_what_they_can_of_any_chord(symbol: str) -> None:
    line = tune(f'"C"G4 | "{symbol}"G4 | "C"G4 |]')
    chord = ChordSymbol.parse(symbol)
    for voice, part in four_parts(line, symbols(line)).items():
        played = part.measures[1].notes[0].pitch
        assert voice == "soprano" or played is None or (played.step, played.alter) in (*chord.tones, chord.lowest)
        assert (played is None) == (symbol == "N.C." and voice != "soprano")


# -- MusicXML by hand

ATTRIBUTES = (
    "<divisions>2</divisions><key><fifths>{fifths}</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>"
)


def note(step: str, length: int, inside: str = "", octave: int = 4, before: str = "") -> str:
    pitch = f"<pitch><step>{step}</step><octave>{octave}</octave></pitch>" if step != "R" else "<rest/>"
    return f"<note>{before}{pitch}<duration>{length}</duration>{inside}</note>"


def score(*bars: str, attributes: str = "", fifths: int = 0) -> bytes:
    first = f"<attributes>{ATTRIBUTES.format(fifths=fifths)}{attributes}</attributes>"
    measures = "".join(
        f'<measure number="{place}">{first if place == 1 else ""}{bar}</measure>' for place, bar in enumerate(bars, 1)
    )
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>'
        f'<part id="P1">{measures}</part></score-partwise>'
    ).encode()


def read(content: bytes, split: bool = False) -> Score:
    found, mistakes = read_musicxml(content, split)
    assert found, mistakes
    return found


def test_a_forward_gap_is_a_rest_and_no_pickup() -> None:
    """forward: 'moves the musical counter forward', so what it skips is silence."""
    line = read(score("<forward><duration>4</duration></forward>" + note("C", 4), note("D", 8))).lines[0]
    assert [(bar.number, bar.partial) for bar in line.measures] == [(1, False), (2, False)]
    assert [one.rest for one in line.measures[0].notes] == [True, False]


def test_transposing_instruments_are_read_as_they_sound() -> None:
    """transpose: 'what must be added to a written pitch to get a correct sounding pitch'; a cornet's is -1, -2."""
    moved = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    found = read(score(note("C", 8), attributes=moved, fifths=2)).lines[0]
    assert (found.key.fifths, names(found)) == (0, "Bb3")
    tuba = "<transpose><chromatic>-2</chromatic><octave-change>-1</octave-change></transpose>"
    assert names(read(score(note("C", 8), attributes=tuba)).lines[0]) == "Bb2"


def test_an_octave_in_words_is_told_as_one() -> None:
    """octave: 'represented by the numbers 0 to 9'."""
    found, mistakes = read_musicxml(score(note("C", 8).replace(">4<", ">one<")), False)
    assert found is None
    assert "'one' is no octave; write a figure, as 4 for the octave of middle C" in str(mistakes[0])


def test_compressed_files_are_read_by_their_container() -> None:
    """Compressed .mxl: META-INF/container.xml names the score; another XML file may stand before it."""
    box = io.BytesIO()
    with zipfile.ZipFile(box, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("a-first.xml", "<other/>")
        file.writestr(
            "META-INF/container.xml", '<container><rootfiles><rootfile full-path="in/s.xml"/></rootfiles></container>'
        )
        file.writestr("in/s.xml", score(note("C", 8)))
    assert names(read(box.getvalue()).lines[0]) == "C4"


@pytest.mark.parametrize("absent", ["", "<backup><duration>8</duration></backup>" + note("R", 8, "<voice>2</voice>")])
def test_a_closed_score_whose_second_voice_rests_or_is_absent(absent: str) -> None:
    both = (
        note("C", 8, "<voice>1</voice>", 5)
        + "<backup><duration>8</duration></backup>"
        + note("E", 8, "<voice>2</voice>")
    )
    found = read(score(both, note("D", 8, "<voice>1</voice>", 5) + absent, both), split=True)
    assert [names(line) for line in found.lines] == ["C5 D5 C5", "E4 E4"]
    assert [bar.quarters for bar in found.lines[1].measures] == [4, 4, 4]


def test_soprano_and_alto_as_chords_on_one_staff() -> None:
    chord = note("E", 8, "<voice>1</voice>") + note("C", 8, "<voice>1</voice>", 5, "<chord/>")
    found = read(score(chord, note("A", 8, "<voice>1</voice>")), split=True)
    assert [names(line) for line in found.lines] == ["C5 A4", "E4 A4"]


def test_slurs_and_ties_that_lead_nowhere_are_left_out_with_a_remark() -> None:
    slur = '<notations><slur type="start" number="1"/></notations>'
    found = read(score(note("C", 8, slur), note("D", 8)))
    assert [one.message for one in found.remarks] == ["bar 1: a slur begins that never ends; it is left out"]


def test_words_of_musicxml_are_read() -> None:
    """lyric: syllabic says where in a word a syllable stands, extend that it is held."""
    lyric = '<lyric number="1"><syllabic>begin</syllabic><text>faith</text></lyric>'
    end = '<lyric number="1"><syllabic>end</syllabic><text>ful</text><extend/></lyric>'
    notes = [one for _, one in read(score(note("C", 4, lyric) + note("D", 4, end))).lines[0]]
    assert [(one.lyrics[0].text, one.lyrics[0].place, one.lyrics[0].held) for one in notes] == [
        ("faith", "begin", False), ("ful", "end", True),
    ]  # fmt: skip


def test_fine_and_coda_by_their_words_alone() -> None:
    """Many programs write the words and no <sound>; a bar's words belong to that bar."""
    words = "<direction><direction-type><words>{}</words></direction-type></direction>"
    bars = (note("C", 8), words.format("Fine") + note("D", 8), note("E", 8) + words.format("D.C. al Fine"))
    assert order(read(score(*bars)).lines[0]) == (0, 1, 2, 0, 1)
    coda = "<direction><direction-type><coda/></direction-type></direction>"
    bars = (note("C", 8) + coda, note("D", 8) + words.format("D.C. al Coda"), coda + note("E", 8))
    assert order(read(score(*bars)).lines[0]) == (0, 1, 0, 2)


def test_a_chord_within_a_held_note_is_named() -> None:
    chords = "<harmony><root><root-step>{}</root-step></root><kind>{}</kind><offset>{}</offset></harmony>"
    found = read(score(chords.format("C", "major", 0) + chords.format("G", "dominant", 4) + note("C", 8)))
    assert [one.message for one in found.remarks] == ["bar 1: the chord G7 stands within a note and is left out"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (score(note("C", 8)).replace(b"<beats>4<", b"<beats>99999999999<"), "no metre has 99999999999 beats"),
        (score(note("C", 10**15)), "<duration> holds no number that music has"),
        (score(*[note("C", 8)] * 10_000), "more than 2000 bars"),
        (score("<note>" * 60), "nested"),
        (score(note("C", 8)).replace(b"<divisions>2<", b"<divisions>-1<"), "<divisions> is a whole number"),
        (b"<score-partwise>" + b"<a/>" * 700_000, "too many elements"),
    ],
)
def test_absurd_files_are_refused_at_once(content: bytes, said: str) -> None:
    start = time.process_time()
    found, mistakes = read_musicxml(content)
    assert found is None
    assert said in mistakes[0].message
    assert time.process_time() - start < 5  # the promise, not a measurement: it takes a fraction of a second


def test_mistakes_of_musicxml_name_their_line() -> None:
    text = score(note("C", 8), note("D", 10)).replace(b"<measure", b"\n<measure")
    _, mistakes = read_musicxml(text)
    assert [(mistake.line, "5 beats where" in mistake.message) for mistake in mistakes] == [(3, True)]


# -- the report


def test_consequences_are_counted_on_the_line_of_their_cause() -> None:
    cause = Problem("content/tunes/a.abc", 6, message="bar 2: it holds 3 of 4 beats")
    after = [
        Problem(f"content/course/lesson-0{n}.yml", 4, message="no tune 'a'", follows="content/tunes/a.abc")
        for n in (1, 2)
    ]
    assert str(DataError([*after, cause])).splitlines() == [
        "1 problem in the content; nothing was built.",
        "content/tunes/a.abc:6: bar 2: it holds 3 of 4 beats (2 more follow from this)",
    ]


def test_a_slip_that_leaves_the_course_without_pieces_is_told_alone(tmp_path: Path) -> None:
    """What texts say of bars, and of pieces by name, follows from it."""
    root = small_project(tmp_path)
    path = root / "content" / "scoring.yml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("longest_breath: 9", "longest_breath: 0"), encoding="utf-8"
    )
    with pytest.raises(DataError) as report:
        load_book(root)
    head, said = str(report.value).splitlines()
    assert head.startswith("1 problem")
    assert "longest_breath: '0' is too small; at least 2 (" in said


def test_music_of_a_voice_that_the_header_does_not_name_is_told() -> None:
    head = "X:1\nT:Two\nM:4/4\nL:1/4\nV:S\nV:A\nK:C\n"
    read = read_abc(f"{head}[V:S] c4 |]\n[V:B] C4 |]\n")
    assert [(each.line, each.message) for each in read.mistakes] == [
        (9, "voice 'B' is not in the header, where 'A' has no music; name both alike")
    ]
    assert not read_abc(f"{head}[V:S] c4 |]\n[V:A] C4 |]\n[V:B] C4 |]\n").mistakes  # one voice more, and none silent
    assert not read_abc(f"{head}[V:S] c4 |]\n").mistakes  # named for later


def test_every_shipped_tune_has_a_source() -> None:
    for folder in ("tunes", "pieces"):
        for path in (Path(__file__).parent.parent / "content" / folder).glob("*.abc"):
            assert re.search(r"(?m)^[SB]:", path.read_text()), path
