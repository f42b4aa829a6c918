"""What is worked out of a line of music by itself, counted by hand: time, rests, width, what is struck, keys, clefs.

Widths and clefs are common practice, no source; the rest is arithmetic.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.music import keychoice, phrases, shift, staff_place
from beginnerband.music.acoustics import slide_correction_cm
from beginnerband.music.clashes import Clashes
from beginnerband.music.difficulty import width
from beginnerband.music.instrument import Slide
from beginnerband.music.part import Reach
from beginnerband.music.piece import lettered, rests
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.playing import order, sounds, struck
from beginnerband.music.reach import DeskReach, PlayedNotes
from beginnerband.music.score import Key, Line, Note, Tempo, Time, Tuplet
from beginnerband.music.scored import together
from beginnerband.music.scoring import desks_of
from beginnerband.music.tuning import pull_words
from beginnerband.music.words import beats_words, describe, note_words, time_words
from beginnerband.teaching.directions import Laid, false_directions
from beginnerband.teaching.exposure import dose_percent
from beginnerband.teaching.facts import facts_of
from beginnerband.teaching.grading import with_breaths
from beginnerband.teaching.ladder import refingered


def line(text: str, metre: str = "4/4") -> Line:
    read = read_abc(f"X:1\nT:t\nS:written for this test\nM:{metre}\nL:1/4\nQ:1/4=60\nK:C\n{text}\n")
    assert read.score, [mistake.message for mistake in read.mistakes]
    return read.score.lines[0]


def test_seconds_are_beats_times_sixty_by_the_tempo() -> None:
    assert Tempo(Fraction(120)).seconds(Fraction(4)) == 2
    assert Tempo(Fraction(40), Fraction(3, 2)).seconds(Fraction(6)) == 6  # 40 dotted quarters a minute
    assert line("C4|]").tempo.bpm == 60


def test_a_value_may_have_two_dots_and_only_three_in_the_time_of_two_are_a_triplet() -> None:
    """A half note with two dots lasts 2 + 1 + 1/2 quarters."""
    assert Note(Fraction(7, 2)).value == ("half", 2)
    two, three = (
        Note(Fraction(m, 2 * n), Pitch.parse("C4"), tuplet=Tuplet(n, m, "start")) for n, m in ((2, 3), (3, 2))
    )
    assert "triplet" not in note_words(two, "british")
    assert "triplet" in note_words(three, "british")


def test_which_time_through_an_ending_is_played_is_said() -> None:
    said = describe(line("|: C4 |1 D4 :|2 E4 |]"), "british")
    assert [part for part in said.split(". ") if "through" in part] == [
        "Bar 2 (time 1 through): D4 semibreve", "Bar 3 (time 2 through): E4 semibreve."
    ]  # fmt: skip


def test_a_note_of_which_nothing_else_is_said_is_what_abc_has_for_it() -> None:
    assert line("C4|").measures[0].notes == (Note(Fraction(4), Pitch.parse("C4")),)


@pytest.mark.parametrize(
    ("text", "least", "found"),
    [
        ("z4|z4|C4|z4|C4|z4|", 1, [(0, 2), (3, 4)]),  # nothing follows the last
        ("z4|z4|C4|z4|C4|", 2, [(0, 2)]),
        ("C4|z4|z4|z4|C4|", 3, [(1, 4)]),
        ("C4|z4|z4|C2 z2|C4|", 3, []),
    ],
)
def test_whole_bars_of_rest_before_an_entry(text: str, least: int, found: list[tuple[int, int]]) -> None:
    assert rests(line(text), least) == found


def test_sections_get_letters() -> None:
    assert lettered(line("C4|D4|:E4|F4:|G4|A4||B4|c4|]")) == [0, 2, 4, 6]
    assert lettered(line("|".join(["C4"] * 18))) == [0, 8, 16]


def test_breaths_are_marked_after_so_many_bars_but_not_after_a_rest() -> None:
    made = with_breaths(line("C4|D4|E4|F2 z2|G4|A4|"), 2)
    assert [bar.number for bar, note in made if note.breath] == [2, 6]


def test_a_pull_is_never_said_to_be_nothing() -> None:
    assert [pull_words(mm, "british") for mm in (0.3, 1.4, 4.2)] == ["1 mm", "1 mm", "4 mm"]
    assert [pull_words(mm, "american") for mm in (0.3, 12.7)] == ["1/16 in", "1/2 in"]  # an inch is 25.4 mm


def test_how_far_a_slide_moves_to_mend_a_note() -> None:
    """Half of what the sounding tube must grow: a tenor of 2.74 m, 50 cents sharp in first, without and with the F."""
    slide = Slide(tube_m=2.74, trigger=5, travel_cm=60)
    grown = 2 ** (50 / 1200) - 1
    assert slide_correction_cm(slide, 0, 50) == pytest.approx(274 * grown / 2)
    assert slide_correction_cm(slide, 0, 50, trigger=True) == pytest.approx(274 * 2 ** (5 / 12) * grown / 2)
    assert slide_correction_cm(slide, 10, 50) == pytest.approx(294 * grown / 2)


def test_nobody_learns_new_fingers_on_bars(book: Book) -> None:
    cornet, flugel, bars = (
        Player(book.instruments[name], book.instruments[name].readings[0])
        for name in ("cornet", "flugelhorn", "glockenspiel")
    )
    assert cornet.count == 1  # one person where no number is given
    notes = [Pitch.parse(name) for name in ("C4", "D4", "E4")]
    assert refingered(cornet, bars, notes) == refingered(bars, cornet, notes) == ()
    assert refingered(cornet, flugel, notes) == ()
    trombone = book.instruments["trombone"]
    slide = Player(trombone, trombone.readings[0])
    assert refingered(cornet, slide, notes) == tuple(notes)


def test_what_is_struck_is_what_is_not_tied_over() -> None:
    music = line("z C C C-|C C z C|]")
    assert [note.quarters for note in struck(music)] == [1] * 5
    heard = sounds(music)
    assert [sound.rest for sound in heard] == [True, False, False, False, False, True, False]
    assert [sound.quarters for sound in heard] == [1, 1, 1, 2, 1, 1, 1]
    assert len(struck(line("C4|D4|"))) == 2


# Places of bars in the order they are played, by hand (common practice, no source).
@pytest.mark.parametrize(
    ("text", "played"),
    [
        ("|: C4 |1 D4 :|2 E4 | F4 |]", (0, 1, 0, 2, 3)),  # a first ending of one bar before a second of two
        ("|: C4 |1,2 D4 :|3 E4 |]", (0, 1, 0, 1, 0, 2)),
        ("|: C4 |1 D4 :|2 E4 :|3 F4 |]", (0, 1, 0, 2, 0, 3)),
        ("|: C4 |1,3 D4 :|2 E4 :| F4 |]", (0, 1, 0, 2, 0, 1, 3)),  # the first one comes again
        ("|: C4 |1 D4 :|2 E4 | F4 |: G4 :|]", (0, 1, 0, 2, 3, 4, 4)),
        ("|: C4 |1 D4 :|2 E4 | F4 !D.C.! |]", (0, 1, 0, 2, 3, 0, 2, 3)),  # after a jump the last time's ending
        ("|: C4 |1,3 D4 :|2 E4 :| F4 !D.C.! |]", (0, 1, 0, 2, 0, 1, 3, 0, 1, 3)),
    ],
)
def test_bars_are_played_in_the_order_of_their_endings(text: str, played: tuple[int, ...]) -> None:
    assert order(line(text)) == played


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("C4|", "one note"), ("C D C2|", "two notes"), ("C D E2|", "three notes"), ("C D E F|G4|", "five notes"),
        ("C D E F|G A G2|", "six notes"), ("C ^C D E|F G G2|", "six notes"), ("C C c2|", "an octave"),
        ("C C d2|", "more than an octave"), ("C F C2|", "five notes"),
        ("C ^C D ^D|E F ^F G|^G A ^A B|c4|", "an octave"),  # all thirteen
    ],
)  # fmt: skip
def test_how_much_of_the_scale_a_line_uses(text: str, words: str) -> None:
    assert width(line(text)) == words


@pytest.mark.parametrize(
    ("beats", "words"),
    [
        (Fraction(3, 2), "1½"), (Fraction(4), "4"), (Fraction(1, 2), "½"), (Fraction(0), "0"), (Fraction(8, 3), "2⅔"),
        (Fraction(7, 4), "1¾"), (Fraction(5, 7), "0.71"),
    ],
)  # fmt: skip
def test_beats_in_words(beats: Fraction, words: str) -> None:
    assert beats_words(beats) == words


@pytest.mark.parametrize(
    ("fifths", "interval", "moved"), [(7, "P5", -4), (-7, "P4", 4), (-2, "M2", 0), (5, "M2", 7), (0, "P5", 1)]
)
def test_a_key_beyond_seven_signs_goes_by_its_other_name(fifths: int, interval: str, moved: int) -> None:
    """C sharp up a fifth is G sharp, which is A flat; C flat up a fourth is F flat, which is E (circle of fifths)."""
    assert shift.rekeyed(Key(fifths), interval).fifths == moved


@pytest.mark.parametrize(
    ("fifths", "interval"), [(5, "m-2"), (-1, "P4"), (1, "P-4"), (-6, "A-4"), (6, "d-5"), (-5, "m2"), (0, "P1")]
)
def test_a_line_moves_to_a_key_the_nearest_way(fifths: int, interval: str) -> None:
    """From C: five semitones up at most, six down."""
    assert shift.key_interval(Key(0), fifths) == interval


def test_what_is_read_for_what_sounds() -> None:
    """A B♭ instrument sounds a major second lower than written: what it reads stands that much higher."""
    assert (shift.to_written("M-2"), shift.to_written("M-2", 1), shift.to_written("P1")) == ("M2", "M9", "P1")


def test_keys_in_the_order_beginning_brass_meets_them() -> None:
    assert [Key(fifths).tonic for fifths in keychoice.COMMON] == ["Bb", "Eb", "F", "Ab"]
    assert [Key(fifths).tonic for fifths in keychoice.ORDER[4:]] == [
        *("C", "G", "D", "A", "E", "Db", "B", "Gb", "F#", "Cb", "C#")
    ]


@pytest.mark.parametrize(
    ("low", "high", "clef"),
    [("C4", "C4", "treble"), ("B3", "C4", "bass"), ("A3", "E4", "treble"), ("E2", "F4", "bass")],
)
def test_the_clef_whose_side_of_middle_c_most_lies_on(low: str, high: str, clef: str) -> None:
    assert staff_place.concert_clef(Pitch.parse(low), Pitch.parse(high)) == clef


def test_ledger_lines_are_counted() -> None:
    assert [staff_place.words(at) for at in (-2, -4, -6, 10, 12, -5)] == [
        "on one ledger line below",
        "on two ledger lines below",
        "on three ledger lines below",
        "on one ledger line above",
        "on two ledger lines above",
        "below two ledger lines below the staff",
    ]


def test_music_far_off_the_staff_is_drawn_octaves_nearer() -> None:
    """Five ledger lines are shown and no more: treble D3 has four below, C2 eight, which an octave makes four."""
    low, lower, lowest = (Pitch.parse(name) for name in ("D3", "C2", "C1"))
    assert [staff_place.octave_mark([pitch], "treble") for pitch in (low, lower, lowest)] == [0, -1, -2]
    assert staff_place.octave_mark([low, lowest], "treble") == -2


def test_without_breaths_a_phrase_begins_at_every_fourth_bar_with_its_pickup() -> None:
    """A pickup of one beat leads from the last beat of each fourth bar, whatever the last bar is."""
    tune = line("C|D E F G|A G F E|D E F G|A G F E|D E F G|A G F E|D E F G|c4|]")
    assert phrases.starts({"soprano": tune})[1:] == ((4, Fraction(3)),)


def test_who_plays_one_line_is_named_or_counted() -> None:
    assert together(["cornets"]) == "cornets"
    assert together(["cornets", "flugelhorns"]) == "cornets and flugelhorns"
    assert together(["cornets", "flugelhorns", "trumpets"]) == "cornets and 2 more"


def test_of_the_time_chords_have_a_third_who_has_it_alone() -> None:
    """C major, then F major: the third is in the alto alone (E), then in alto and tenor (A): half of the time."""
    lines = {"soprano": "G4|c4|", "alto": "E4|A4|", "tenor": "C4|A,4|", "bass": "C,4|F,4|"}
    clashes = Clashes({voice: line(text) for voice, text in lines.items()}, [(0, Fraction(0))])
    assert clashes.thirds("alto") == Fraction(1, 2)
    assert clashes.thirds("soprano") == clashes.thirds("tenor") == 0


def test_parallels_that_octaves_make() -> None:
    """Sixths in contrary order become none; a fourth above becomes a fifth below: two of them in a row are counted."""
    lines = {"soprano": "G4|A4|G4|", "alto": "D4|E4|D4|", "bass": "G,4|C,4|G,4|"}
    clashes = Clashes({voice: line(text) for voice, text in lines.items()}, [(0, Fraction(0))])
    assert clashes.between("soprano", (0,), "alto", (0,)) == ()
    assert dict(clashes.between("soprano", (0,), "alto", (1,)))["order"] == 100
    assert "parallel" not in dict(clashes.between("soprano", (0,), "bass", (-1,)))
    fifths = {"soprano": "c4|d4|e4|", "alto": "G4|A4|B4|", "bass": "C,4|C,4|C,4|"}
    moved = Clashes({voice: line(text) for voice, text in fifths.items()}, [(0, Fraction(0))])
    assert dict(moved.between("soprano", (0,), "alto", (1,)))["parallel"] == 2


def test_why_a_note_costs_a_desk_something(book: Book) -> None:
    """The cornet's ranges as they sound, each note at its edge."""
    desk = next(one for one in desks_of(book.band.players, book.scoring.rules) if one.player.id == "cornet")
    ranges = {level: desk.player.instrument.sounding_range(level) for level in ("starter", "first-year", "full")}
    reach, middle_c = DeskReach(desk, "first-year"), PlayedNotes(line("C4|]"), (phrases.START,))

    def why(midi: int) -> list[str]:
        return list(middle_c.counts(reach, moved=midi - 60, octaves=(0,)))

    assert why(ranges["starter"].low.midi) == why(ranges["starter"].high.midi) == []
    assert why(ranges["starter"].low.midi - 1) == ["stretch"]
    assert why(ranges["starter"].high.midi + 1) == ["stretch"]
    assert why(ranges["first-year"].high.midi + 1) == ["range"]
    assert why(ranges["first-year"].low.midi) == ["stretch"]
    assert why(ranges["full"].high.midi + 1) == ["impossible"]
    assert why(ranges["full"].low.midi - 1) == ["impossible"]


@pytest.mark.parametrize(
    ("midi", "octaves"), [(94, -3), (82, -2), (70, -1), (58, 0), (46, 1), (34, 2), (22, 3), (52, 0), (64, 0)]
)
def test_of_octaves_that_all_fit_the_one_nearest_the_middle_is_played(midi: int, octaves: int) -> None:
    """Someone who plays 40 to 76 has 58 in the middle; six away either way is as near, so it stays or goes least."""
    assert Reach((), ((40, 76),), None).octave(frozenset({midi})) == octaves


def test_a_text_counts_the_lines_there_are() -> None:
    three = Laid("March", 12, (1, 5, 9), frozenset(), False)
    assert list(false_directions("Play all three lines.", [three])) == []
    assert list(false_directions("Play both lines.", [three])) == ["'both lines', but there are 3 in March"]
    assert list(false_directions("Clap twelve bars.", [three])) == []
    assert list(false_directions("Clap sixteen bars.", [three])) == ["'sixteen bars', but 'March' has 12"]
    eleven = Laid("March", 11, (1, 5, 9), frozenset(), False)
    assert list(false_directions("Clap twelve bars.", [eleven])) == ["'twelve bars', but 'March' has 11"]


def test_the_whole_allowance_of_sound() -> None:
    """85 dBA for eight hours, 88 for four (NIOSH 98-126, 1998)."""
    assert dose_percent(85, 480) == dose_percent(88, 240) == 100
    assert dose_percent(85, 48) == 10


def test_a_short_bar_is_a_pickup_only_at_the_beginning() -> None:
    assert "pickup" in facts_of(line("C|D E F G|A3|]")).techniques
    assert "pickup" not in facts_of(line("C D E F|G A B c|]")).techniques
    counted = line("C|D E F G|A3|]")  # also where a file counts it as the first bar
    counted = Line(tuple(replace(bar, number=bar.number + 1) for bar in counted.measures))
    assert "pickup" in facts_of(counted).techniques
    assert "pickup" not in facts_of(line("C D E F|G A B ::c|D E F G|A3:|")).techniques


def test_a_key_suits_all_where_nobody_leaves_the_range(book: Book) -> None:
    cornet = book.instruments["cornet"]
    player = Player(cornet, cornet.readings[0])
    narrow, wide = (keychoice.rank(line(text), [player], "starter") for text in ("C D E C|", "C E G c|c' c G E|"))
    assert narrow[0].suits_all
    assert not any(choice.suits_all for choice in wide)  # two octaves


def test_a_metre_in_words() -> None:
    """Compound metres are felt in groups of three (any book of rudiments)."""
    metres = [(4, 4), (2, 2), (6, 8), (1, 4)]
    assert [time_words(Time(beats, unit)) for beats, unit in metres] == [
        "4 beats in a bar", "2 beats in a bar", "2 beats in a bar, each in three", "1 beat in a bar",
    ]  # fmt: skip
