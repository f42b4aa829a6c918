"""What the ladder counts and whom its exceptions are for, each case worked by hand on paper.

The rules are the handbook's own, stated in ``content/ladder.yml``; that they suit a class is common practice, no
source. Here it is only checked that they are counted as they are stated.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import pytest

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.data.ladder import limit_names
from beginnerband.music import shift
from beginnerband.music.instrument import MOUTHPIECES
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Line
from beginnerband.teaching import ladder, tuneorder
from beginnerband.teaching.calendar import Holiday, lesson_dates
from beginnerband.teaching.course import Course, Item, Lesson, Room
from beginnerband.teaching.facts import TECHNIQUES, VALUE_NAMES, facts_of
from beginnerband.teaching.grading import Known, LessonPart, OnTheWay, Week, part_of
from beginnerband.teaching.hands import moved
from beginnerband.teaching.heard import Heard
from beginnerband.teaching.ladder import Limit


def line(text: str, metre: str = "4/4", key: str = "C") -> Line:
    read = read_abc(f"X:1\nT:t\nS:written for this test\nM:{metre}\nL:1/4\nQ:1/4=60\nK:{key}\n{text}\n")
    assert read.score, [mistake.message for mistake in read.mistakes]
    return read.score.lines[0]


def player(book: Book, instrument: str, reading: str = "") -> Player:
    found = book.instruments[instrument]
    return Player(found, found.reading(reading) if reading else found.readings[0])


# Facts.


def asked(text: str, metre: str = "4/4", key: str = "C") -> Mapping[str, int]:
    return facts_of(line(text, metre, key)).techniques


@pytest.mark.parametrize(
    ("text", "technique", "bar"),
    [
        ("C4 | C4- | C4 |", "tie", 2),
        ("C4 | (C2 D2) |", "slur", 2),
        ("C4 | C2 !p!D2 |", "dynamics", 2),
        ("C4 | !<(!C2 D2!<)! |", "hairpin", 2),
        ("C4 |: C4 :|", "repeat", 2),
        ("|: C4 |1 D4 :|2 C4 |", "endings", 2),
        ("C4 | D4 !D.C.! |", "D.C.", 2),
        ("C4 !fine! | D4 !D.C.! |", "Fine", 1),
        ("!segno! C4 | D4 !D.S.! |", "D.S.", 1),
        ("C | C4 | C3 |", "pickup", 0),
        ("C4 | !fermata!C4 |", "hold", 2),
        ("C4 | {D}C4 |", "grace note", 2),
        ("C4 | ^C4 |", "accidental", 2),
        ("C4 | [K:G] C4 |", "change of key", 2),
        ("C4 | [M:3/4] C3 |", "change of metre", 2),
        ("C4 | .C4 |", "staccato", 2),
        ("C4 | !accent!C4 |", "accent", 2),
        ("C4 | !tenuto!C4 |", "tenuto", 2),
    ],
)
def test_every_sign_is_a_fact_with_its_bar(text: str, technique: str, bar: int) -> None:
    assert technique in TECHNIQUES
    assert asked(text)[technique] == bar


def test_plain_notes_ask_for_no_technique() -> None:
    assert asked("C2 D2 | E2 z2 |") == {}
    assert asked("^F4 | =F4 |", key="G") == {"accidental": 2}  # F sharp stands in the signature, F natural does not


def test_values_say_dots_tuplets_and_rests() -> None:
    values = facts_of(line("C3/2 C/ (3D/E/F/ z | (3C2D2E2 | (3C/z/C/ z3 |")).values
    want = {
        "dotted quarter", "eighth", "triplet eighth", "quarter rest", "triplet half", "triplet eighth rest",
        "dotted half rest",
    }  # fmt: skip
    assert set(values) == want
    assert want <= set(VALUE_NAMES)


def test_grace_notes_are_notes_to_know() -> None:
    assert [pitch.name for pitch in facts_of(line("{^F}G4 |")).notes] == ["F#4", "G4"]


def test_a_note_after_a_rest_is_no_leap_and_a_leap_is_found_over_a_repeat() -> None:
    assert facts_of(line("C D z C' |")).leap == 2
    assert facts_of(line("C D C' z |")).leap == 10
    over = facts_of(line("|: C D E G :|"))  # back from G to C, a fifth
    assert (over.leap, over.leap_bar) == (7, 1)


def test_moved_facts_are_the_facts_of_the_moved_line() -> None:
    tune = line("C | {D}E ^F G2- | [K:D] G3 ^G |", key="G")
    for interval in ("P1", "M2", "M-2", "m3", "P5", "P-8", "A4", "m-7"):
        assert facts_of(tune).moved(interval) == facts_of(shift.by(tune, interval)), interval


def test_a_signature_counts_as_taught_only_where_it_was_read() -> None:
    facts = facts_of(line("_B4 |", key="F"))
    assert Known().plus(facts, read=False).signatures == frozenset()
    assert Known().plus(facts, read=True).signatures == {-1}


# Limits and their exceptions.


def test_the_nearest_exception_wins(book: Book) -> None:
    """The instrument's own, then its reading's, its mouthpiece's and its group's: as the ladder's words say."""
    horn = player(book, "f-horn")
    limit = Limit(1, {"f": 5, "funnel": 4, "treble-f": 3, "f-horn": 2})
    for want, name in ((2, "f-horn"), (3, "treble-f"), (4, "funnel"), (5, "f")):
        assert limit.of(horn) == want
        limit = replace(limit, but={key: value for key, value in limit.but.items() if key != name})
    assert limit.of(horn) == 1


def test_every_class_of_mouthpiece_may_be_an_exception(book: Book) -> None:
    assert "funnel" in MOUTHPIECES
    assert {one.mouthpiece for one in book.instruments.values() if one.brass} <= set(MOUTHPIECES)
    assert set(MOUTHPIECES) <= set(limit_names(book.root))


def breaches(
    book: Book, who: Player, text: str, stage: str, key: str = "C", read: bool = True
) -> list[tuple[str, int]]:
    assert book.course
    written = line(text, key=key)
    item = Item("i", title="I", line=written, keys={}, read=read)
    part = LessonPart(item, written, facts_of(written))
    return [(breach.rule, breach.bar) for breach in book.course.ladder.breaches(part, who, stage)]


def test_a_tie_waits_for_its_stage(book: Book) -> None:
    tied = "C4- | C2 !breath!D2 |"
    assert breaches(book, player(book, "cornet"), tied, "style") == [("technique", 1)]
    assert breaches(book, player(book, "cornet"), tied, "parts") == [("technique", 1)]
    assert breaches(book, player(book, "cornet"), tied, "rhythm") == []  # the stage that brings it


def test_a_signature_is_limited_only_where_it_is_read(book: Book) -> None:
    cornet = player(book, "cornet")
    assert breaches(book, cornet, "C4 | D4 |", "style", key="Bb") == [("signature", 1)]
    assert breaches(book, cornet, "C4 | D4 |", "style", key="Bb", read=False) == []
    assert breaches(book, player(book, "f-horn"), "C4 | D4 |", "style", key="Bb") == []  # horns read two


def test_a_part_lies_in_the_octave_nearest_the_middle_and_goes_up_first(book: Book) -> None:
    """Cornet, starter range written C4 to G4: concert B♭5 A♭5 are written C6 B♭5 and come down an octave or two."""
    cornet = player(book, "cornet")
    home = cornet.instrument.written_range("starter", cornet.reading)
    item = Item("i", title="I", line=line("c' d' e' |", "3/4"), keys={"bb": -2})
    written = part_of(item, cornet, -2).line
    assert all(pitch in home for pitch in written.pitches)
    assert [pitch.name for pitch in written.pitches] == ["C4", "D4", "E4"]


# Limits are kept to the second: at most 8 s on one breath and 45 without a rest in "style"; a quarter lasts a second.
@pytest.mark.parametrize(
    ("text", "rules"),
    [
        ("C4 | !breath!D4 |", []),
        ("C4 | D4 | !breath!E z z2 |", ["breath"]),
        ("C4 | !breath!D4 |" * 5 + "!breath!E4 | F z z2 |", []),
        ("C4 | !breath!D4 |" * 5 + "!breath!E4 | F2 z2 |", ["playing"]),
    ],
)
def test_exactly_as_long_as_allowed_is_not_too_long(book: Book, text: str, rules: list[str]) -> None:
    assert [rule for rule, _ in breaches(book, player(book, "cornet"), text, "style")] == rules


def test_a_note_outside_the_starter_range_lies_where_it_is_nearer_the_middle(book: Book) -> None:
    """Middles: cornet, C4 to G4, between E flat and E; glockenspiel, B flat 3 to F4, between B flat 3 and F4."""
    for instrument, reading, sounds, written in (
        ("cornet", "treble-bb", "A", "B3"),  # four and a half semitones below; B4 is seven and a half above
        ("glockenspiel", "treble-c", "G", "G4"),  # five and a half above; G3 is six and a half below
    ):
        who = player(book, instrument, reading)
        part = part_of(Item("i", title="I", line=line(f"{sounds}4 |"), keys={}), who, 0)
        assert [pitch.name for pitch in part.line.pitches] == [written]


def test_music_is_for_everyone_or_for_a_group_or_for_an_instrument(book: Book) -> None:
    cornet, horn = player(book, "cornet"), player(book, "tenor-horn")
    music = Item("i", title="I", line=line("C4 |"), keys={})
    for groups, who in (
        ((), [cornet, horn]),
        (("bb",), [cornet]),
        (("cornet",), [cornet]),
        (("eb", "bb"), [cornet, horn]),
    ):
        assert [each for each in (cornet, horn) if replace(music, players=groups).is_for(each)] == who


# Two pieces of music in one lesson, for a cornet that knows written F, G and A.


def lesson_of(book: Book, texts: Mapping[str, str], stage: str) -> tuple[Course, Player, Week]:
    cornet = player(book, "cornet")
    items = tuple(Item(name, title=name, line=line(text), keys={"all": -2}) for name, text in texts.items())
    plain = {"spare": False, "aim": "", "bring": (), "steps": (), "ready": "", "practice": ()}
    lesson = Lesson("l", 1, title="L", stage=stage, items=items, **plain)
    rooms = (Room("all", name="All", groups=("bb", "eb"), about=""),)
    known = Known(
        notes=frozenset(map(Pitch.parse, ("F4", "G4", "A4"))), values=frozenset({"quarter", "half"}),
        metres=frozenset({"4/4"}),
    )  # fmt: skip
    parts = tuple(part_of(item, cornet, -2, known.notes) for item in items)
    after = known
    for part in parts:
        after = after.plus(part.facts, read=False)
    return Course((), rooms, (lesson,)), cornet, Week(0, lesson, parts, known, after)


def test_the_music_that_brings_a_note_too_many_is_named(book: Book) -> None:
    """In concert B flat, written C: the first brings C, the second D and E; two new notes are allowed."""
    assert book.course
    rungs = book.course.ladder
    _, cornet, week = lesson_of(book, {"one": "C C C2 |", "two": "C D E2 |"}, "five-notes")
    words, culprit = rungs.too_many_new(week, cornet)
    assert words == "brings 3 new notes (C4, D4, E4); at most 2 in a lesson of this stage"
    assert culprit is week.parts[1]
    _, _, week = lesson_of(book, {"one": "C C D2 |", "two": "C D D2 |"}, "five-notes")
    assert rungs.too_many_new(week, cornet) == ("", None)


def test_the_keys_in_which_music_keeps_to_what_is_known(book: Book) -> None:
    """C D E is written F G A in concert E flat, the three known notes; nothing new is allowed where reading begins.

    Two new notes let in D flat (E flat F G), F (G A B), G (A B C sharp) and B (read as D flat E flat F) as well; D E F
    sharp and others have three.
    """
    assert book.course
    course, cornet, week = lesson_of(book, {"one": "C D E2 |"}, "reading")
    assert book.course.ladder.fitting_keys(course, cornet, week, week.parts[0].item) == [-3]
    course, cornet, week = lesson_of(book, {"one": "C D E2 |"}, "five-notes")
    assert book.course.ladder.fitting_keys(course, cornet, week, week.parts[0].item) == [-5, -3, -1, 1, 5]


# The calendar. 2026: 16 September is a Wednesday (any calendar).


@pytest.mark.parametrize(
    ("first", "last", "second"),
    [
        (date(2026, 9, 23), date(2026, 9, 23), date(2026, 9, 30)),  # a holiday of one day
        (date(2026, 9, 17), date(2026, 9, 23), date(2026, 9, 30)),  # the last day of a holiday is one
        (date(2026, 9, 17), date(2026, 9, 22), date(2026, 9, 23)),  # and the day after is not
        (date(2026, 9, 23), date(2026, 9, 29), date(2026, 9, 30)),  # the first day is one
        (date(2026, 9, 24), date(2026, 9, 29), date(2026, 9, 23)),  # and the day before is not
    ],
)
def test_first_and_last_day_of_a_holiday_are_free(first: date, last: date, second: date) -> None:
    assert lesson_dates(date(2026, 9, 16), 2, [Holiday(first, last)]) == (date(2026, 9, 16), second)


# Signs at the front of the line, counted by fifths: G major has one sharp, F major one flat, B flat major two flats.
@pytest.mark.parametrize(("fifths", "said"), [(1, "1 sharp"), (-1, "1 flat"), (-2, "2 flats"), (3, "3 sharps")])
def test_signs_of_a_key_are_counted_in_words(fifths: int, said: str) -> None:
    assert ladder._signature(fifths) == f"{said} in the key signature"


def test_music_met_again_is_told_as_it_is_met_and_five_notes_are_at_home_where_they_first_were(book: Book) -> None:
    """A tune of three notes makes no home; the second tune of five notes in a key does not move it.

    C and D stand on A and B for an E flat reader: alone amid the staff, but with C to G they begin below it.
    """
    horn = player(book, "tenor-horn")

    def item(title: str, music: str) -> Item:
        return Item(title, title=title, line=line(music), keys={"all": 0})

    three, first, second, two = (
        item("three", "C D E2 |]"),
        item("first", "C D E F | G4 |]"),
        item("second", "A, B, C D | E4 |]"),
        item("two", "C D C2 |]"),
    )
    for music, named in (([three], "A4 B4"), ([second, first], "A4 B4"), ([three, first, second], "A3 B3")):
        (part,) = OnTheWay(horn, "all", music).parts([two])
        assert {pitch.name for pitch in part.line.pitches} == set(named.split()), [one.title for one in music]
    again = replace(first, title="again")
    found = OnTheWay(horn, "all", [first]).parts([first, again])
    assert [part.item.title for part in found] == ["first", "again"]


def test_what_was_met_once_stays_known(book: Book) -> None:
    known = Known()
    for music in (line("C2 D2 |]"), line("E F G |]", metre="3/4"), line("C D E F |]")):
        known = known.plus(
            part_of(Item("m", title="M", line=music, keys={"all": 0}), player(book, "trombone"), 0).facts
        )
    assert known.metres == {"4/4", "3/4"}
    assert {pitch.letter for pitch in known.notes} == set("CDEFG")


@pytest.mark.parametrize(
    ("instrument", "music", "moves"),
    [
        ("cornet", "C D |]", ("fingers",)),  # open, and 1-3
        ("cornet", "C G |]", ()),  # both open
        ("trombone", "_B,, C, |]", ("slides",)),  # first position and sixth
        ("trombone", "_B,, F, |]", ()),  # both in first
        ("trombone-f", "_B,, C, |]", ("the trigger",)),  # first position, and first with the trigger down
    ],
)
def test_what_hands_move_from_note_to_note(book: Book, instrument: str, music: str, moves: tuple[str, ...]) -> None:
    """As any chart has it, of valves and of slides (common practice, no source)."""
    reading = "bass-c" if instrument.startswith("trombone") else ""
    assert moved(Heard(player(book, instrument, reading), line(music))) == moves


@pytest.mark.parametrize(
    ("weighed", "points"),
    [
        ("note", 15),  # five different notes
        ("leap", 21),  # G down to C, seven semitones
        ("breath", 24),  # eight seconds without a breath
        ("quick", 18),  # sixty notes a minute, in tens
        ("lips", 0),  # nobody blows
    ],
)
def test_what_makes_a_tune_hard_is_weighed_by_itself(weighed: str, points: float) -> None:
    """Eight quarter notes at sixty a minute; each weight in turn is three."""
    tune = Item("m", title="M", line=line("C D E F | G C C C |]"), keys={"all": 0})
    weights = tuneorder.TuneWeights(
        **{name: 3.0 * (name == weighed) for name in ("note", "leap", "breath", "quick", "lips")}
    )
    assert tuneorder.asked(tune, (), 0, weights).points == pytest.approx(points)
