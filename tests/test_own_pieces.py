"""Pieces that leaders bring: read or refused, and the lines and chords that are made by rule."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import ROOT
from hearing import heard
from music21 import harmony
from musicxml_schema import mistakes

from beginnerband.data.book import Book
from beginnerband.data.pieces import load_piece, load_pieces
from beginnerband.data.problems import Problems
from beginnerband.data.scoring import load_scoring
from beginnerband.music.chord_symbol import ChordSymbol
from beginnerband.music.harmony import by_rule, four_parts, symbols
from beginnerband.music.instrument import VOICES
from beginnerband.music.piece import Piece
from beginnerband.music.pitch import Pitch
from beginnerband.music.voiceleading import Sounding, check
from beginnerband.render.write_musicxml import Staff, musicxml

HEAD = "X:1\nT:Try\nS:written for this test\nM:4/4\nL:1/4\nQ:1/4=100\n"
FOUR = (
    HEAD + "V:S\nV:A\nV:T\nV:B\nK:Bb\n[V:S] D4 | C4 |]\n[V:A] B,4 | A,4 |]\n[V:T] F,4 | F,4 |]\n[V:B] B,,4 | F,,4 |]\n"
)


def load(tmp_path: Path, text: str, name: str = "try.abc", by_rule: bool = False) -> tuple[Piece | None, list[str]]:
    """Load one piece from ``text``; with the messages of what was refused."""
    path = tmp_path / "content" / "pieces" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    problems = Problems(tmp_path)
    piece = load_piece(path, tmp_path, problems, by_rule)
    return piece, [str(problem) for problem in problems]


def test_four_voices_of_any_name_are_taken_from_high_to_low(tmp_path: Path) -> None:
    text = FOUR.replace("V:S\n", 'V:S name="Flute"\n').replace("V:B\n", 'V:B name="Bassoon"\n')
    piece, wrong = load(tmp_path, text)
    assert wrong == []
    assert piece
    assert [piece.lines[voice].pitches[0].name for voice in VOICES] == ["D4", "Bb3", "F3", "Bb2"]
    assert piece.tune.measures[0].rehearsal == "A"  # letters are given where a piece has none


def test_musicxml_with_two_voices_a_staff_is_taken_apart(tmp_path: Path, book: Book) -> None:
    lines = book.pieces["ode-to-joy"].lines
    text = musicxml(
        [
            Staff(lines["soprano"], "Upper", second=lines["alto"]),
            Staff(lines["tenor"], "Lower", clef="bass", second=lines["bass"]),
        ],
        "Ode",
        "L. v. B.",
    )
    assert mistakes(text) == []
    piece, wrong = load(tmp_path, text, "try.musicxml")
    assert wrong == []
    assert piece
    for voice in VOICES:
        assert heard(piece.lines[voice]) == heard(lines[voice]), voice


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (FOUR.replace("[V:T] F,4 | F,4 |]\n", ""), ":14: 3 voices where four are meant"),
        (FOUR.replace("[V:A] B,4 | A,4", "[V:A] B,4"), "the same number of bars"),
        (FOUR.replace("[V:A] B,4 |", "[V:A] B,2 |"), "bar 1"),
        (FOUR.replace("S:written for this test\n", ""), "whose arrangement"),
        (FOUR.replace("T:Try\n", ""), "no title"),
        (HEAD + "K:Bb\nD4 | C4 | B,4 |]\n", ":8: one voice where four are meant"),
        (HEAD + "K:Bb\nD4 | C4 | B,4 |]\n", "harmony: by-rule"),
        (HEAD + 'K:Bb\n"Bb"D4 | "Bq"C4 | B,4 |]\n', "Bq"),
        ("nonsense", "K:"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(tmp_path: Path, text: str, said: str) -> None:
    piece, wrong = load(tmp_path, text)
    assert piece is None
    assert len(wrong) >= 1
    assert any(said in message and message.startswith("content/pieces/try.abc") for message in wrong), wrong
    assert not any("\n" in message for message in wrong)


def test_mistakes_in_the_rules_are_reported_together(tmp_path: Path, book: Book) -> None:
    text = (ROOT / "content" / "scoring.yml").read_text(encoding="utf-8")
    text = text.replace("  baritone: [tenor]", "  bariton: [tenor]").replace("  range: 10 ", "  rnge: 20 ")
    text = text.replace("{key: Bb}", "{key: Hb}")
    (tmp_path / "content").mkdir()
    (tmp_path / "content" / "scoring.yml").write_text(text, encoding="utf-8")
    problems = Problems(tmp_path)
    assert load_scoring(tmp_path, book.instruments, problems) is None
    said = [str(problem) for problem in problems]
    assert any("'bariton'" in one and "did you mean 'baritone'" in one for one in said)
    assert any("'rnge'" in one and "did you mean 'range'" in one for one in said)
    assert any("'Hb'" in one for one in said)
    assert all(re.match(r"content/scoring\.yml:\d+: ", one) for one in said)


def test_an_instrument_that_would_play_in_no_piece_is_reported(tmp_path: Path, book: Book) -> None:
    (tmp_path / "content").mkdir()
    shutil.copy(ROOT / "content" / "scoring.yml", tmp_path / "content")
    problems = Problems(tmp_path)
    idle = replace(book.instruments["flugelhorn"], id="alto-trumpet", covers=())
    instruments = {**book.instruments, "alto-trumpet": idle}
    assert load_scoring(tmp_path, instruments, problems) is None
    (said,) = (str(problem) for problem in problems)
    assert re.match(r"content/scoring\.yml:\d+: lines: alto-trumpet has no line here", said)
    instruments["alto-trumpet"] = replace(idle, covers=("alto",))
    assert load_scoring(tmp_path, instruments, Problems(tmp_path)) is not None


def test_a_wish_for_a_piece_that_is_not_there_is_reported(tmp_path: Path, book: Book) -> None:
    shutil.copytree(ROOT / "content" / "pieces", tmp_path / "content" / "pieces")
    text = (ROOT / "content" / "scoring.yml").read_text(encoding="utf-8").replace("when-the-saints:", "when-the-snts:")
    (tmp_path / "content" / "scoring.yml").write_text(text, encoding="utf-8")
    problems = Problems(tmp_path)
    rules = load_scoring(tmp_path, book.instruments, problems)
    assert rules
    load_pieces(tmp_path, rules, problems)
    assert "did you mean 'when-the-saints'" in str(next(iter(problems)))


def test_keys_and_prices_that_nobody_knows_are_reported(tmp_path: Path, book: Book) -> None:
    text = (ROOT / "content" / "scoring.yml").read_text(encoding="utf-8")
    for good, slip in (("[home, second]", "[home, secnd]"), ("\n  order: 180", "\n  ordr: 180")):
        assert good in text
        text = text.replace(good, slip, 1)
    (tmp_path / "content").mkdir()
    (tmp_path / "content" / "scoring.yml").write_text(text, encoding="utf-8")
    problems = Problems(tmp_path)
    assert load_scoring(tmp_path, book.instruments, problems) is None
    assert [problem.message for problem in problems] == [
        "taught: nothing is charged for 'ordr'; did you mean 'order'?",
        "no concert key 'secnd'; did you mean 'second'?",
    ]


# Made by rule


@pytest.mark.parametrize("symbol", ["Bb", "Gm", "F7", "Cm7", "Ebmaj7", "Adim", "Caug", "F6", "Bbsus4", "F7/A"])
def test_chord_symbols_mean_what_music21_says(symbol: str) -> None:
    read = harmony.ChordSymbol(re.sub(r"(?<=[A-G])b", "-", symbol))
    wanted = {pitch.name.replace("-", "b") for pitch in read.pitches}
    chord = ChordSymbol.parse(symbol)
    assert {Pitch(*tone, 4).letter for tone in chord.tones} == wanted
    assert chord.lowest
    assert Pitch(*chord.lowest, 4).letter == read.bass().name.replace("-", "b")


def test_a_melody_with_chord_symbols_gets_three_lines_that_say_they_are_made(tmp_path: Path) -> None:
    text = HEAD + 'K:Bb\n"Bb"D2 F2 | "Eb"G2 E2 | "F7"C2 A,2 | "Bb"B,4 |]\n'
    piece, wrong = load(tmp_path, text)
    assert wrong == []
    assert piece
    assert piece.made == "chords"
    chords = ["Bb D F", "Eb G Bb", "F A C Eb", "Bb D F"]
    for place, letters in enumerate(chords):
        for voice in VOICES[1:]:
            assert {note.pitch.letter for note in piece.lines[voice].measures[place].notes if note.pitch} <= set(
                letters.split()
            )
        assert piece.lines["bass"].measures[place].notes[0].pitch.letter == letters.split()[0]  # type: ignore[union-attr]
    kinds = [one.kind for one in check([Sounding(voice, line) for voice, line in piece.lines.items()])]
    assert not {"parallel-fifths", "parallel-octaves", "crossing", "missing-third"} & set(kinds)


def test_a_melody_alone_gets_a_harmony_only_when_asked(tmp_path: Path) -> None:
    text = HEAD + "K:Bb\nB, B, F F | G G F2 | E E D D | C C B,2 |]\n"
    assert load(tmp_path, text)[0] is None
    piece, wrong = load(tmp_path, text, by_rule=True)
    assert wrong == []
    assert piece
    assert piece.made == "rule"
    assert piece.lines["bass"].measures[-1].notes[-1].pitch.letter == "Bb"  # type: ignore[union-attr]
    assert heard(piece.tune) == heard(four_parts(piece.tune, by_rule(piece.tune))["soprano"])


def test_lines_made_by_rule_for_the_handbook_s_tunes_do_not_cross(book: Book) -> None:
    done = 0
    for tune in list(book.tunes.values())[::6]:
        if tune.key.mode not in ("major", "minor") or len(set(tune.line.pitches)) < 3:
            continue
        lines = four_parts(tune.line, by_rule(tune.line))
        done += 1
        kinds = {one.kind for one in check([Sounding(voice, line) for voice, line in lines.items()])}
        assert "crossing" not in kinds, tune.id
        assert symbols(lines["soprano"])[0].chord is None
    assert done >= 4


def test_lines_made_by_rule_lie_close(book: Book) -> None:
    """No more than an octave between soprano and alto, or alto and tenor (common practice, no source)."""
    tune = book.tunes["good-king-wenceslas"].line
    made = four_parts(tune, by_rule(tune))
    assert "spacing" not in {one.kind for one in check([Sounding(voice, line) for voice, line in made.items()])}
