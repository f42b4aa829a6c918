"""Rehearsing a piece: who has the tune, entries, hard bars, chords to tune, minutes; and what data say of it."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from conftest import ROOT
from music21 import chord as m21chord
from music21 import interval, note
from paper import words_on

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.data.problems import Problems
from beginnerband.data.rehearsal import load_rehearsal
from beginnerband.music.pitch import Pitch
from beginnerband.music.rehearsal import JUST, Rehearsal, RehearsalRules, rehearsal
from beginnerband.music.score import Line
from beginnerband.music.scored import played, sounding, written
from beginnerband.music.shift import KEYS, key_interval
from beginnerband.pages.pieces.rehearse import conductor, rehearsal_view
from beginnerband.pages.pieces.view import PieceView, view


@pytest.fixture(scope="module")
def rules(book: Book) -> RehearsalRules:
    assert book.rehearsal is not None
    return book.rehearsal


@pytest.fixture(scope="module")
def canon(book: Book) -> PieceView:
    return view(book, book.pieces["frere-jacques"])


@pytest.fixture(scope="module")
def hymn(book: Book) -> PieceView:
    return view(book, book.pieces["good-king-wenceslas"])


def found(one: PieceView, rules: RehearsalRules) -> Rehearsal:
    return rehearsal(one.piece.lines, one.scoring, rules, "first-year", {})


def test_a_round_passes_its_tune_on_two_bars_later_each_time(canon: PieceView, rules: RehearsalRules) -> None:
    """Frère Jacques in four voices, each two bars after the one before: counted on the page."""
    made = found(canon, rules)
    assert [(one.voice, one.bar) for one in made.tune] == [("soprano", 1), ("alto", 3), ("tenor", 5), ("bass", 7)]
    entries = [(one.bar, one.beat, one.rest, {seat.voice for seat in one.seats}) for one in made.entries]
    assert entries == [(3, 1, 2, {"alto"}), (5, 1, 4, {"tenor"}), (7, 1, 6, {"bass"})]


def lines(**voices: str) -> dict[str, Line]:
    """Lines in C, four quarter notes a bar; a voice that is not given rests, which no file may do throughout."""
    bars = next(iter(voices.values())).count("|")
    made = {}
    for voice in ("soprano", "alto", "tenor", "bass"):
        text = voices.get(voice, "C4|" * bars)
        read = read_abc(f"X:1\nT:t\nS:written for this test\nM:4/4\nL:1/4\nK:C\n{text}\n")
        assert read.score, read.mistakes
        made[voice] = read.score.lines[0] if voice in voices else silent(read.score.lines[0])
    return made


def silent(one: Line) -> Line:
    return Line(tuple(replace(bar, notes=tuple(replace(n, pitch=None) for n in bar.notes)) for bar in one.measures), "")


@pytest.mark.parametrize(
    ("voices", "tune"),
    [
        # the tune passes on where the highest line falls silent, also after one bar
        ({"soprano": "C2 D2|z4|z4|", "alto": "z4|E4|F4|"}, [("soprano", 1, 1), ("alto", 2, 3)]),
        # who begins as the soprano began takes it up again: at the same pitch, or a fifth higher
        ({"soprano": "C D E C|G4|G4|", "alto": "z4|C D E C|G4|"}, [("soprano", 1, 3), ("alto", 2, 3)]),
        ({"soprano": "C D E C|G4|G4|", "alto": "z4|G A B G|d4|"}, [("soprano", 1, 3), ("alto", 2, 3)]),
        ({"soprano": "C D E C|G4|G4|", "alto": "z4|G A G G|d4|"}, [("soprano", 1, 3)]),
        ({"soprano": "C D E C|G4|G4|", "alto": "z4|C D E C|G4|", "bass": "z4|z4|C4|"},
         [("soprano", 1, 3), ("alto", 2, 3)]),
    ],
)  # fmt: skip
def test_who_has_the_tune(
    hymn: PieceView, rules: RehearsalRules, voices: dict[str, str], tune: list[tuple[str, int, int]]
) -> None:
    """Read off the bars: silence passes it on, a first bar heard again takes it up."""
    made = rehearsal(lines(**voices), hymn.scoring, rules, "first-year", {})
    assert [(one.voice, one.bar, one.last_bar) for one in made.tune] == tune


def test_of_silence_nothing_is_said(hymn: PieceView, rules: RehearsalRules) -> None:
    music = {voice: silent(one) for voice, one in lines(soprano="C4|C4|").items()}
    made = rehearsal(music, hymn.scoring, rules, "first-year", {})
    assert (made.tune, made.hard, made.chords, made.ends.hold) == ((), (), (), False)


@pytest.mark.parametrize(
    ("moves", "alone"), [(("soprano",), {("soprano", 2)}), (("bass",), {("bass", 2)}), (("soprano", "tenor"), set())]
)
def test_a_line_that_strikes_alone_has_a_rhythm_to_work_on(
    hymn: PieceView, rules: RehearsalRules, moves: tuple[str, ...], alone: set[tuple[str, int]]
) -> None:
    notes = {"soprano": "C", "alto": "G,", "tenor": "E,", "bass": "C,"}
    texts = {
        voice: f"{note}4|{f'{note}2 {note}2' if voice in moves else f'{note}4'}|{note}4|"
        for voice, note in notes.items()
    }
    hard = rehearsal(lines(**texts), hymn.scoring, rules, "first-year", {}).hard
    found = {(one.seat.voice, one.bar) for one in hard for reason in one.reasons if reason.kind == "rhythm"}
    assert found == alone


def test_a_note_amid_the_range_is_not_at_its_edge(canon: PieceView, rules: RehearsalRules) -> None:
    """All that a seat plays that lies further from both ends than the rules say is left alone."""
    edges = 0
    for one in rehearsal(canon.piece.lines, canon.scoring, rules, "starter", {}).hard:
        player = one.seat.desk.player
        span = player.instrument.sounding_range("starter")
        for reason in one.reasons:
            if reason.kind == "edge":
                assert reason.note
                edges += 1
                midi = player.reading.sounding(reason.note).midi
                assert midi not in range(span.low.midi + rules.edge, span.high.midi - rules.edge + 1)
    assert edges


def test_the_last_chord_of_a_minor_tune_is_minor(hymn: PieceView, rules: RehearsalRules) -> None:
    """A, C and E (any primer), wherever the scoring's key moves them."""
    music = lines(soprano="c4|", alto="A4|", tenor="E4|", bass="A,4|")
    (one,) = rehearsal(music, hymn.scoring, rules, "first-year", {}).chords
    assert one.minor
    music = lines(soprano="c4|", alto="G4|", tenor="E4|", bass="C4|")
    (one,) = rehearsal(music, hymn.scoring, rules, "first-year", {}).chords
    assert not one.minor


def test_a_line_in_the_scoring_s_key_stays_in_its_octave(hymn: PieceView) -> None:
    """A key is reached by five semitones up or six down at most."""
    tune = hymn.piece.tune
    before, after = (next(n.pitch for _, n in one if n.pitch) for one in (tune, sounding(tune, hymn.scoring)))
    assert -6 <= after.midi - before.midi <= 5


def test_a_hymn_keeps_its_tune_and_nobody_waits(hymn: PieceView, rules: RehearsalRules) -> None:
    made = found(hymn, rules)
    assert [one.voice for one in made.tune] == ["soprano"]
    assert not made.entries
    assert (made.ends.beats, made.ends.pickup) == (4, 0)


def test_hard_leaps_are_leaps_as_music21_measures_them(
    canon: PieceView, hymn: PieceView, rules: RehearsalRules
) -> None:
    named = 0
    for one in (canon, hymn):
        for hard in found(one, rules).hard:
            line = played(one.piece.lines[hard.seat.voice], one.scoring, hard.seat)
            notes = [(bar.number, n.pitch) for bar, n in line if n.pitch]
            leaps = {
                abs(interval.Interval(note.Note(midi=was.midi), note.Note(midi=now.midi)).semitones)
                for (_, was), (bar, now) in pairwise(notes)
                if bar == hard.bar
            }
            for reason in hard.reasons:
                if reason.kind == "leap":
                    named += 1
                    assert reason.size in leaps
                    assert reason.size >= rules.leap
                    assert reason.start
                    assert reason.note
                    assert abs(reason.note.midi - reason.start.midi) == reason.size
    assert named > 3


@pytest.mark.parametrize("fifths", KEYS)
def test_notes_are_named_as_the_parts_spell_them(hymn: PieceView, rules: RehearsalRules, fifths: int) -> None:
    """In concert E, E flat readers have five flats where they would have seven sharps; so do notes named to them."""
    scoring = replace(hymn.scoring, fifths=fifths, interval=key_interval(hymn.piece.tune.key, fifths))
    made = rehearsal(hymn.piece.lines, scoring, rules, "starter", {})
    named = [(one.seat, reason.note) for one in made.hard for reason in one.reasons if reason.note]
    named += [(each.seat, each.written) for one in made.chords for each in one.notes]
    assert len(named) > 10
    for seat, pitch in named:
        assert pitch in written(hymn.piece.lines[seat.voice], scoring, seat).pitches, (seat.desk.id, pitch)


def test_no_desk_has_more_hard_bars_than_the_rules_name(canon: PieceView, rules: RehearsalRules) -> None:
    hard = found(canon, rules).hard
    for seat in {one.seat.desk.id for one in hard}:
        bars = [one.bar for one in hard if one.seat.desk.id == seat]
        assert len(bars) <= rules.bars
        assert bars == sorted(bars)


def test_new_notes_make_a_bar_hard_once(hymn: PieceView, rules: RehearsalRules) -> None:
    fresh = {"cornet": frozenset({63})}  # E flat, as it sounds
    made = rehearsal(hymn.piece.lines, hymn.scoring, rules, "first-year", fresh)
    news = [
        (one.seat.desk.player.id, reason.note) for one in made.hard for reason in one.reasons if reason.kind == "new"
    ]
    assert news == [("cornet", Pitch.parse("F4"))] * len(news)
    assert len(news) == len([seat for seat in hymn.scoring.seats if seat.desk.player.id == "cornet"])


def test_pure_intervals_are_those_of_just_intonation() -> None:
    """Ratios 6:5, 5:4 and 3:2 against equal temperament: +15.6, -13.7 and +2.0 cents (Helmholtz, from memory)."""
    assert pytest.approx({0: 0, 3: 15.6, 4: -13.7, 7: 2.0}, abs=0.05) == JUST


def test_chords_to_stop_on_are_triads_with_every_note_named_as_music21_does(
    hymn: PieceView, rules: RehearsalRules
) -> None:
    chords = found(hymn, rules).chords
    assert 1 < len(chords) <= rules.chords
    assert chords[-1].bar == hymn.piece.tune.measures[-1].number
    for one in chords:
        sounding = [each.seat.desk.player.reading.sounding(each.written) for each in one.notes]
        assert sounding[0].letter == one.root  # what is tuned from the lowest up stands on its root
        made = m21chord.Chord(sorted({pitch.name.replace("b", "-") for pitch in sounding}))
        assert made.root().name.replace("-", "b") == one.root
        assert made.third is not None
        assert one.minor == (interval.Interval(made.root(), made.third).simpleName == "m3")
        assert [pitch.midi for pitch in sounding] == sorted(pitch.midi for pitch in sounding)
        for each, pitch in zip(one.notes, sounding, strict=True):
            role = {made.root().name: "root", made.third.name: "third"}.get(pitch.letter.replace("b", "-"), "fifth")
            assert each.degree == role
            assert each.bend == pytest.approx(each.wanted - each.tendency)
            pure = {"root": 0.0, "third": JUST[3] if one.minor else JUST[4], "fifth": JUST[7]}
            assert each.wanted == pytest.approx(pure[role])


def test_every_plan_fills_its_minutes_and_says_what_to_do(book: Book, canon: PieceView) -> None:
    shown = rehearsal_view(book, canon)
    assert shown
    assert [length for length, _ in shown.plans] == [15, 30, 45]
    for length, plan in shown.plans:
        assert sum(work.minutes for work in plan) == length
        assert all(work.what.endswith(".") for work in plan)


@pytest.mark.parametrize("piece", ["abide-with-me", "auld-lang-syne", "frere-jacques", "when-the-saints"])
def test_the_conductor_s_score_has_the_marks_on_few_pages(book: Book, piece: str) -> None:
    one = view(book, book.pieces[piece])
    shown = rehearsal_view(book, one)
    assert shown
    score = conductor(book, one, shown)
    assert len(score.pages) <= 2
    text = " ".join(page.body for page in score.pages)
    assert text.count("Stop") == len(shown.found.chords)
    assert text.count("in: ") == len(shown.found.entries)


def test_mistakes_in_the_plan_are_reported_with_their_line(tmp_path: Path) -> None:
    text = (ROOT / "content" / "rehearsal.yml").read_text(encoding="utf-8")
    (tmp_path / "content").mkdir()
    text = text.replace("{do: start, minutes: 2}", "{do: start, minutes: 3}").replace(", rhythm: 2}", "}")
    (tmp_path / "content" / "rehearsal.yml").write_text(text, encoding="utf-8")
    problems = Problems(tmp_path)
    assert load_rehearsal(tmp_path, problems) is None
    said = [str(problem) for problem in problems]
    assert any("15 minutes adds up to 16" in one for one in said)
    assert any("points for rhythm are missing" in one for one in said)
    assert all(one.startswith("content/rehearsal.yml:") for one in said)


def test_pages_and_paper_are_made(site: Path, book: Book) -> None:
    for piece in book.pieces.values():
        page = (site / "pieces" / "rehearse" / f"{piece.id}.html").read_text(encoding="utf-8")
        assert "An order of work" in page
        pages = words_on(site / "print" / "pieces" / f"{piece.id}-conductor.pdf")
        assert "to rehearse" in pages[0]
        assert "conductor" in pages[-1]


def test_data_for_others_say_who_plays_what_and_what_was_found(site: Path, book: Book) -> None:
    values = json.loads((site / "data" / "pieces.json").read_text(encoding="utf-8"))
    assert {value["id"] for value in values} == set(book.pieces)
    players = sum(player.count for player in book.band.pitched)
    for value in values:
        assert sum(desk["players"] for desk in value["desks"]) == players
        for desk in value["desks"]:
            assert desk["level"] in ("starter", "first-year", "full", "")
            assert desk["reading"] in {reading.id for reading in book.instruments[desk["instrument"]].readings}
        bars = book.pieces[value["id"]].bars
        for finding in value["findings"]:
            assert 0 <= finding["bar"] <= finding["last_bar"] <= bars
