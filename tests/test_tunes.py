"""The shipped tunes, their parts, keys and difficulty, against music21, hand-worked pieces and common practice."""

from __future__ import annotations

import csv
import itertools
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from folksongs import abc_tunes
from music21 import converter, corpus, key, stream

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.data.problems import Problems
from beginnerband.data.tunes import load_tune
from beginnerband.music.difficulty import line_difficulty, player_difficulty, values_used, width
from beginnerband.music.part import codes, part
from beginnerband.music.percussion import bass_drum, snare, strong_beats
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.playing import groups_enter, heard, order
from beginnerband.music.score import MODES, Key, Line, Time
from beginnerband.music.shift import KEYS, fifths_moved, key_interval, sounding, to_key
from beginnerband.pages import blocks
from beginnerband.pages.shared.needs import learners
from beginnerband.pages.tunes import page as tune_page
from beginnerband.pages.tunes import room as tunes
from beginnerband.pages.tunes import taught as tune_taught
from beginnerband.pages.tunes import view as tune_view
from beginnerband.products import Products

ROOT = Path(__file__).parent.parent


def line(music: str, key: str = "C", metre: str = "4/4", tempo: str = "1/4=60") -> Line:
    """A line from ABC with quarter notes as the unit."""
    read = read_abc(f"X:1\nT:t\nM:{metre}\nL:1/4\nQ:{tempo}\nK:{key}\n{music}\n")
    assert read.score, read.mistakes
    return read.score.lines[0]


def mistakes(music: str, head: str = "X:1\nT:t\nM:4/4\nL:1/4\nK:C\n") -> list[str]:
    read = read_abc(head + music)
    assert read.score is None
    return [f"{mistake.line}: {mistake.message}" for mistake in read.mistakes]


# -- the shipped tunes


def test_there_are_tunes_of_every_kind(book: Book) -> None:
    widths = Counter(width(tune.line) for tune in book.tunes.values())
    assert len(book.tunes) >= 30
    for kind in ("one note", "three notes", "five notes", "six notes", "an octave"):
        assert widths[kind] >= 3, (kind, widths)
    groups = Counter(len(tune.entries) for tune in book.tunes.values())
    assert groups[2] >= 1
    assert groups[3] >= 1


def test_every_tune_says_where_it_comes_from(book: Book) -> None:
    for tune in book.tunes.values():
        dated = any(char.isdigit() for char in tune.source)
        assert tune.own or dated or "traditional" in tune.source, tune.id


def test_tunes_read_the_same_by_music21(book: Book) -> None:
    """Outside check: music21's own ABC reader hears the same notes, with repeats expanded, in every shipped tune."""
    for tune in book.tunes.values():
        score = converter.parse((book.root / tune.file).read_text(), format="abc")
        expanded = score.parts[0].expandRepeats().stripTies()
        theirs = [(Fraction(n.offset), Fraction(n.quarterLength), n.pitch.midi) for n in expanded.flatten().notes]
        assert [tuple(event) for event in heard(tune.line)] == theirs, tune.id


ESSEN = {
    "lightly-row": "Haenschen klein ging allein",
    "ducklings": "ALLE MEINE ENTCHEN",
    "augustin": "DU LIEBER AUGUSTIN",
}


@pytest.mark.parametrize("tune_id", ESSEN)
def test_tunes_from_memory_agree_with_a_collection(book: Book, tune_id: str) -> None:
    """Outside check: the Essen folk-song collection, as music21 carries it, has the same melody (any key)."""
    text = next(text for _, text in abc_tunes("essenFolksong") if ESSEN[tune_id] in text)
    theirs = read_abc(text).score
    assert theirs
    mine, other = (
        [b - a for a, b in itertools.pairwise(midi for _, _, midi in heard(each, unfold=False))]
        for each in (book.tunes[tune_id].line, theirs.lines[0])
    )
    shared = min(len(mine), len(other), 24)
    assert mine[:shared] == other[:shared]


def test_old_hundredth_is_the_chorale_bach_set(book: Book) -> None:
    """Outside check: Bach's BWV 326 in music21's corpus; one note of the second line is sung otherwise in English."""
    theirs = [note.pitch.midi for note in corpus.parse("bach/bwv326").parts[0].flatten().notes]
    mine = [pitch.midi for pitch in book.tunes["old-hundredth"].line.pitches]
    apart = {place for place, (a, b) in enumerate(zip(mine, theirs, strict=True)) if b - a != theirs[0] - mine[0]}
    assert apart == {12}


# -- reading ABC


@pytest.mark.parametrize(
    ("music", "said"),
    [
        ("C D E F | C D E |", "bar 2: it holds 3 of 4 beats"),
        ("C D E F G | C4 |", "bar 1: it holds 5 beats where 4/4 has room for 4"),
        ("C D [EG] F |", "bar 1: '[EG]' sounds several notes at once"),
        ("C D E F & G A B c |", "a second voice in one line"),
        ("C D E- F | C4 |", "bar 1: a tie from E4 to F4"),
        ("(C D E F | C4 |", "bar 1: a slur begins that never ends"),
        ("C D E F) | C4 |", "bar 1: a slur ends that was never begun"),
        ("!bretah!C4 |", "no decoration !bretah!; did you mean 'breath'?"),
        ("C D E F | ° |", "bar 2: '°' has no meaning in music"),
        ("z4 | z4 |", "there are no notes to play"),
        ("C7/5 C2 |", "cannot be written"),
    ],
)
def test_refusals_name_line_bar_and_reason(music: str, said: str) -> None:
    found = mistakes(music)
    assert any(said in message for message in found), found
    assert all(message.startswith(("6: ", "0: ")) for message in found), found


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ("T:t\nM:4/4\nK:C\nC4|", "no X: field"),
        ("X:1\nT:t\nK:C\nC4|", "no M: field"),
        ("X:1\nM:4/5\nK:C\nC4|", "2: no metre '4/5'"),
        ("X:1\nM:4/4\nL:1/3\nK:C\nC4|", "3: no length in L:'1/3'"),
        ("X:1\nM:4/4\nK:H\nC4|", "3: no key in K:'H'"),
        ("X:1\nM:4/4\nK:Csad\nC4|", "3: no mode 'sad'"),
        ("X:1\nM:4/4\nK:G#\nC4|", "3: G# major is no key"),
        ("X:1\nM:4/4\nQ:fast\nK:C\nC4|", "3: no tempo"),
        ("X:1\nM:4/4\nK:C\nC4|\nX:2\n", "5: a second tune"),
        ("", "no tune here"),
    ],
)
def test_headers_are_refused_with_what_would_be_right(head: str, said: str) -> None:
    assert any(said in message for message in mistakes("", head)), mistakes("", head)


def test_repeats_endings_and_jumps_are_played_in_order() -> None:
    assert order(line("|: C4 | D4 |1 E4 :|2 F4 | G4 |]")) == (0, 1, 2, 0, 1, 3, 4)
    assert order(line("C4 :| D4 :| E4 |]")) == (0, 0, 1, 1, 2)
    assert order(line("C4 | D4 !fine! | E4 | F4 !D.C.! |]")) == (0, 1, 2, 3, 0, 1)
    # after a jump back repeats are not taken again, and of two endings the last (common practice, no source)
    assert order(line("|: C4 :| D4 !D.C.! |")) == (0, 0, 1, 0, 1)
    assert order(line("|: C4 | D4 :| E4 !fine! | F4 !D.C.! |")) == (0, 1, 0, 1, 2, 3, 0, 1, 2)
    assert order(line("|: C4 |1 D4 :|2 E4 | F4 !D.C.! |")) == (0, 1, 0, 2, 3, 0, 2, 3)
    assert order(line("C4 | !segno!D4 | E4 !fine! | F4 !D.S.! |]")) == (0, 1, 2, 3, 1, 2)
    assert order(line("|: C4 ::: D4 :|")) == (0, 0, 1, 1)


def test_accidentals_last_a_bar_and_ties_carry_them_over() -> None:
    music = line("^F F f F- | F F2 F |")
    assert [pitch.name for pitch in music.pitches] == ["F#4", "F#4", "F#5", "F#4", "F#4", "F4", "F4"]


def test_a_pickup_and_its_complement_are_two_parts_of_one_bar() -> None:
    music = line("G | C D E F | G3 |]")
    assert [bar.number for bar in music.measures] == [0, 1, 2]
    split = line("C D E F | G2 :: G2 | C4 |]")
    assert [bar.number for bar in split.measures] == [1, 2, 2, 3]


# -- keys and transposition


def test_key_names_are_music21s() -> None:
    for mode, fifths in itertools.product(MODES, KEYS):
        theirs = key.KeySignature(fifths).asKey(mode).tonic.name.replace("-", "b")
        assert Key(fifths, mode).tonic == theirs


def test_every_key_is_reached_by_the_nearest_way() -> None:
    for mode, own, goal in itertools.product(("major", "minor", "dorian"), KEYS, KEYS):
        interval = key_interval(Key(own, mode), goal)
        assert fifths_moved(interval) == goal - own


def test_transposing_is_music21s(book: Book) -> None:
    """Outside check: music21 transposes the same melody by the same interval to the same spelled notes."""
    tune = book.tunes["deck-the-hall"].line
    for fifths in range(-5, 6):
        theirs = stream.Stream()
        for pitch in tune.pitches:
            theirs.append(converter.parse(f"tinynotation: 4/4 {_tiny(pitch)}").flatten().notes[0])
        moved = theirs.transpose(key_interval(tune.key, fifths))
        assert [pitch.name for pitch in to_key(tune, fifths).pitches] == [
            note.pitch.nameWithOctave.replace("-", "b") for note in moved.notes
        ]


def _tiny(pitch: Pitch) -> str:
    letter = pitch.step * (4 - pitch.octave) if pitch.octave < 4 else pitch.step.lower() + "'" * (pitch.octave - 4)
    return letter + {-1: "-", 0: "", 1: "#"}[pitch.alter] + "4"


def test_concert_pitch_is_the_same_in_every_reading(book: Book) -> None:
    readings = {
        (reading.id, reading.interval): (instrument, reading)
        for instrument in book.instruments.values()
        if instrument.pitched
        for reading in instrument.readings
    }
    for tune in list(book.tunes.values())[::7]:
        for fifths in KEYS:
            for instrument, reading in readings.values():
                made = part(tune.line, fifths, Player(instrument, reading), "first-year")
                back = sounding(made.written, reading)
                at_key = to_key(tune.line, fifths, made.octaves)
                assert [n[2] for n in heard(back)] == [n[2] for n in heard(at_key)]
                assert abs(made.written.key.fifths) <= 7


def test_parts_of_the_first_tunes_are_what_a_band_book_prints(book: Book) -> None:
    """Common practice: concert B flat is written C for cornets, G for E flat and F for F horns, B flat in bass clef."""
    tune = book.tunes["hot-cross-buns"].line
    found = {}
    for player in book.band.pitched:
        made = part(tune, -2, player, "starter")
        found[player.instrument.id] = (made.written.pitches[0].name, codes(made)[:3])
    assert found["cornet"] == ("E4", ("1-2", "1-3", "0"))
    assert found["tenor-horn"] == ("B4", ("2", "1-2", "0"))
    assert found["trombone"] == ("D3", ("4", "6", "1"))
    assert found["baritone"][0] == "E4"


# -- difficulty, worked by hand


def test_line_measures_on_a_piece_worked_by_hand() -> None:
    # Two bars of 4/4 at 60: C quarter, E quarter, rest quarter, c quarter | G half with a breath, G half.
    measured = line_difficulty(line("C E z c | !breath!G2 G2 |"))
    assert measured.range_semitones == 12
    assert measured.largest_leap == 8  # E4 to C5, over the rest
    assert measured.pitches == 4
    assert measured.values == ("half", "quarter")
    assert measured.longest_playing_beats == 5  # from the rest to the end
    assert measured.longest_playing_seconds == 5
    assert measured.longest_breath_seconds == 3  # c and the first G
    assert measured.rest_share == Fraction(1, 8)
    assert measured.length_seconds == 8
    assert measured.notes_a_minute == pytest.approx(5 * 60 / 8)
    assert measured.accidentals == 0


def test_repeats_ties_and_compound_beats_are_measured_as_heard() -> None:
    measured = line_difficulty(line("|: C3/2 D3/2- | D3 :|", metre="6/8", tempo="3/8=60"))
    assert measured.length_seconds == 8
    assert measured.longest_playing_beats == 8
    assert measured.notes_a_minute == 30
    assert values_used(line("(3C/D/E/ F3 | ^G3 z |")) == ("dotted half", "quarter", "triplet eighth")
    assert line_difficulty(line("^G3 z |")).accidentals == 1


def test_player_measures_on_a_piece_worked_by_hand(book: Book) -> None:
    # Written C4 G4 C5 on a cornet: harmonics 2, 3, 4, all open, so both leaps are made by the lips alone.
    cornet = book.instruments["cornet"]
    made = part(line("_B, F _B2 |", key="C"), 0, Player(cornet, cornet.readings[0]), "first-year")
    measured = player_difficulty(made, cornet)
    assert (measured.lowest.name, measured.highest.name) == ("C4", "C5")
    assert measured.highest_harmonic == 4
    assert measured.same_valve_leaps == 2
    assert measured.changes_a_minute == 0
    # D4 to E4: 1-3 to 1-2, once in four seconds.
    stepped = player_difficulty(part(line("C2 D2 |"), 0, Player(cornet, cornet.readings[0]), "starter"), cornet)
    assert stepped.changes_a_minute == 15
    assert stepped.out_of_tune == 1  # written D4 on 1-3 is about 30 cents sharp
    back = player_difficulty(part(line("D2 C2 |"), 0, Player(cornet, cornet.readings[0]), "starter"), cornet)
    assert (stepped.same_valve_leaps, back.same_valve_leaps) == (0, 0)


def test_rounds_know_where_each_group_enters(book: Book) -> None:
    assert groups_enter(book.tunes["gather-round"].line) == (0, 8)
    assert len(groups_enter(book.tunes["three-friends"].line)) == 3


# -- drums


def test_drums_fill_exactly_the_bars_of_the_tune(book: Book) -> None:
    for tune in book.tunes.values():
        for drum in (snare(tune.line), bass_drum(tune.line)):
            assert [bar.quarters for bar in drum.measures] == [bar.quarters for bar in tune.line.measures], tune.id
            assert order(drum) == order(tune.line)


def test_bass_drum_has_the_strong_beats_and_snare_the_weak(book: Book) -> None:
    tune = line("C D E F | C4 | C4 |")
    assert [bool(note.drum) for note in bass_drum(tune).measures[0].notes] == [True, False, True, False]
    assert [bool(note.drum) for note in snare(tune).measures[0].notes] == [False, True, False, True]
    for drum in (snare(tune), bass_drum(tune)):  # both end together, on the first beat
        assert [bool(note.drum) for note in drum.measures[-1].notes] == [True, False, False, False]


def test_in_three_the_bass_drum_has_the_first_beat_and_the_snare_the_others() -> None:
    """As any march and waltz book counts: one strong beat of two or three, two of four (common practice, no source)."""
    waltz = line("C D E | C3 | C3 |", metre="3/4")
    assert [bool(note.drum) for note in bass_drum(waltz).measures[0].notes] == [True, False, False]
    assert [bool(note.drum) for note in snare(waltz).measures[0].notes] == [False, True, True]
    assert strong_beats(Time(3, 4)) == strong_beats(Time(2, 4)) == strong_beats(Time(6, 8)) == (0,)
    assert strong_beats(Time(4, 4)) == strong_beats(Time(12, 8)) == (0, 2)


@pytest.mark.parametrize(
    ("music", "bars"),
    [
        ("G | C D E F | C3 |]", [False, True, True]),
        ("C D E F | C2 || G2 | C4 |]", [True, False, False, True]),  # a phrase begins within a bar
    ],
)
def test_drums_wait_in_a_part_of_a_bar_and_end_on_the_first_beat_of_a_short_last_one(
    music: str, bars: list[bool]
) -> None:
    """Common practice, no source."""
    for drum in (bass_drum(line(music)), snare(line(music))):
        struck = [[bool(note.drum) for note in bar.notes] for bar in drum.measures]
        assert [any(bar) for bar in struck] == bars
        assert struck[-1] == [True, *(False for _ in struck[-1][1:])]


# -- data for others


def test_the_tunes_file_has_what_is_written_and_when_it_is_taught(site: Path, book: Book) -> None:
    rows = list(csv.DictReader((site / "data" / "tunes.csv").read_text().splitlines()))
    assert list(rows[0]) == [
        "tune", "concert_key", "reading", "instrument", "lowest", "highest", "new_notes", "playable_from_lesson",
        "readable_from_lesson", "missing", "asks",
    ]  # fmt: skip
    assert {row["tune"] for row in rows} == set(book.tunes)
    row = next(r for r in rows if (r["tune"], r["instrument"]) == ("hot-cross-buns", "cornet"))
    assert (row["concert_key"], row["lowest"], row["highest"]) == ("Eb major", "F4", "A4")
    assert "note F4: 1" in row["asks"].split("; ")
    for row in rows:
        reading = book.instruments[row["instrument"]].reading(row["reading"])
        assert bool(row["readable_from_lesson"]) == (not row["missing"]), row
        assert bool(row["playable_from_lesson"]) >= bool(row["readable_from_lesson"]), row
        assert row["asks"].count(": none") == len(row["missing"].split("; ")) * bool(row["missing"])
        for name in row["new_notes"].split():
            assert reading.sounding(Pitch.parse(name))


def test_everyone_together_plays_a_tune_in_the_key_in_which_the_course_teaches_it(book: Book) -> None:
    assert book.course
    known, checked = learners(book), set()
    for lesson in book.course.course.weeks:
        for item in lesson.items:
            if not item.tune or item.shared_key is None or item.players:
                continue
            tune = book.tunes[item.tune]
            when = tune_taught.from_when(book, tune, known)
            made = tune_view.offers(book, tune, when, tune_taught.taught_again(book, tune, known))
            if item.tune not in {tune for tune, _ in checked}:
                assert made[0].key.fifths == item.shared_key, (lesson.id, item.tune)
            for_all = [offer for offer in made if not offer.who or offer.lesson]
            offer = next(offer for offer in for_all if offer.key.fifths == item.shared_key)
            assert {sheet.ident for sheet in offer.sheets if "cornet" in sheet.ident}
            assert len({offer.slug for offer in made}) == len(made)  # the folders of its files
            checked.add((item.tune, item.shared_key))
    assert len(checked) > 6
    assert len({tune for tune, _ in checked}) < len(checked)  # one is taught again in another key


def test_a_tune_waits_for_the_lesson_that_teaches_its_lengths(book: Book) -> None:
    assert book.course
    known = learners(book)
    for ident, value in (("drip-drop", "eighth"), ("one-note-waltz", "dotted half")):
        when = tune_taught.from_when(book, book.tunes[ident], known)
        assert when
        assert when.ear == known["cornet"].values[value] > 10


def test_the_example_of_the_page_on_own_tunes_is_read() -> None:
    page = (ROOT / "handbook" / "tunes" / "your-own-tune.md").read_text()
    read = read_abc(page.split("```")[1].strip())
    assert read.score, read.mistakes
    assert read.score.title == "Up and Down the Stairs"


def test_words_below_the_music_stand_on_the_page(book: Book, tmp_path: Path) -> None:
    path = tmp_path / "a.abc"
    path.write_text(
        "X:1\nT:A\nS:own\nM:4/4\nL:1/4\nK:Bb\nB,CDE|F4|]\nW:Now the <sun>\nW:\nW:is low\n", encoding="utf-8"
    )
    tune = load_tune(path, tmp_path, book.instruments.values(), Problems(tmp_path))
    assert tune
    assert tune.verses == ("Now the <sun>", "", "is low")
    assert "Now the &lt;sun&gt;<br><br>is low" in str(tune_page._facts(book, tune))


@pytest.mark.parametrize("number", ["", "2.~"])
def test_verses_after_the_first_stand_below_the_music(book: Book, tmp_path: Path, number: str) -> None:
    """Only the first is engraved; ABC 2.1 section 5.1: a hyphen parts a word, and a second w: is a second verse.

    There a tilde joins words under one note, as it does a verse's number and its first word.
    """
    path = tmp_path / "a.abc"
    head = "X:1\nT:A\nS:own\nM:4/4\nL:1/4\nK:Bb\n"
    first, second = f"BcBc|\nw: one a-bove the\nw: {number}hear the bell-ow\n", "B4|]\nw: two\nw: ring\n"
    path.write_text(f"{head}{first}{second}W:Oh\n", encoding="utf-8")
    tune = load_tune(path, tmp_path, book.instruments.values(), Problems(tmp_path))
    assert tune
    assert tune.verses == ("Oh", "", "2. hear the bellow ring")


@pytest.mark.parametrize(
    ("composer", "source", "listed", "by"),
    [
        ("", "an old hymn book", "", False),
        ("trad.", "an old hymn book", "traditional", True),
        ("A. Smith", "an old hymn book", "A. Smith", True),
        ("written for this handbook", "written for this handbook", "from this handbook", True),
    ],
)
def test_only_what_is_known_is_said_of_who_made_a_tune(
    book: Book, composer: str, source: str, listed: str, by: bool
) -> None:
    tune = replace(book.tunes["hot-cross-buns"], composer=composer, source=source, kind="", origin="")
    assert tunes._about(tune) == listed
    assert ("By" in str(tune_page._facts(book, tune))) == by


def test_blocks_put_a_metronome_and_a_note_to_hear_on_any_page(book: Book) -> None:
    problems, products = Problems(book.root), Products()
    text = "[[metronome bpm=72 beats=3]]\n[[play-note Bb3]]\n[[play-note H]]\n[[metronome bpm=fast]]"
    context = blocks.Context(book, products, "guide/x.md")
    blocks.expand(text, context, tunes.BLOCKS, problems, "handbook/guide/x.md")
    html = " ".join(products.fragments.values())
    assert 'data-bpm="72" data-beats="3"' in html
    assert 'data-bb-note="58"' in html
    assert '<script src="../assets/player.js" defer>' in html
    assert [problem.line for problem in problems] == [3, 4]
