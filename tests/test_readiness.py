"""From which lesson a part can be played: tunes built to trap, each with one thing more than a course teaches.

The course is written here, so that nothing depends on the shipped one: a cornet learns C D E in week 1, F and G in week
2, reads from week 3, and in week 4 meets quavers, dots, slurs and 3/4. What a reader must know to play a sign is common
practice, no source.
"""

from __future__ import annotations

import pytest

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Key, Line
from beginnerband.teaching.facts import facts_of
from beginnerband.teaching.ladder import Limit, Listing, Rung
from beginnerband.teaching.readiness import Need, Taught, by_ear, lacking, needs, ready, soonest
from beginnerband.teaching.wording import need_words

WEEKS = 6


def rung(week: int) -> Rung:
    """A fifth at most, 8 s a breath, 24 s without a rest; signatures of one sign, and notation, from week 3."""
    return Rung(
        stage=f"s{week}",
        new_notes=Limit(2),
        range=Limit(2),
        leap=Limit(4 if week < 2 else 7),
        breath=Limit(8, {"extra-large": 7}),
        playing=Limit(24),
        signature=Limit(0 if week < 3 else 1),
        values=Listing(),
        metres=Listing(),
        techniques=Listing(),
        notation=week >= 3,
    )


def course(book: Book, instrument: str = "cornet") -> Taught:
    found = book.instruments[instrument]
    return Taught(
        player=Player(found, found.readings[0]),
        notes={Pitch.parse(name): week for name, week in (("C4", 1), ("D4", 1), ("E4", 1), ("F4", 2), ("G4", 2))},
        values={
            "half": 1,
            "quarter": 1,
            "whole": 1,
            "quarter rest": 1,
            "eighth": 4,
            "dotted quarter": 4,
            "dotted half": 4,
        },
        metres={"4/4": 1, "3/4": 4},
        signatures={0: 3, -1: 5},
        techniques={"slur": 4, "pickup": 4},
        rungs=tuple(rung(week) for week in range(WEEKS)),
    )


def line(text: str, metre: str = "4/4", key: str = "C", tempo: str = "1/4=100") -> Line:
    read = read_abc(f"X:1\nT:t\nS:written for this test\nM:{metre}\nL:1/4\nQ:{tempo}\nK:{key}\n{text}\n")
    assert read.score, [mistake.message for mistake in read.mistakes]
    return read.score.lines[0]


def asked(book: Book, music: Line, read: bool = True) -> tuple[Need, ...]:
    return needs(facts_of(music), course(book), read)


def test_a_plain_tune_is_ready_with_its_notes_and_read_with_notation(book: Book) -> None:
    music = line("C D E D | C4 |")
    assert ready(asked(book, music, read=False)) == 1
    assert ready(asked(book, music)) == 3
    assert ready(by_ear(asked(book, music))) == 1
    assert [need.kind for need in lacking(asked(book, music), 2)] == ["notation"]


TRAPS = {
    "6/8": (line("C3/2 D3/2 | E3 |", "6/8"), "metre", "6/8", 1),
    "5/4": (line("C D E D C | C4 z |", "5/4"), "metre", "5/4", 1),
    "2/4 after 4/4": (line("C D E D | [M:2/4] C2 |"), "metre", "2/4", 2),
    "triplets": (line("C D (3E/F/G/ E | C4 |"), "value", "triplet eighth", 1),
    "sixteenths": (line("C D E/4F/4E/4F/4 E | C4 |"), "value", "16th", 1),
    "a dotted eighth": (line("C D E3/4F/4 E | C4 |"), "value", "dotted eighth", 1),
    "a half rest": (line("C D z2 | C4 |"), "value", "half rest", 1),
    "a tie": (line("C D E2- | E4 |"), "technique", "tie", 1),
    "D.C.": (line("C D E D !fine! | E2 D2 !D.C.! |"), "technique", "D.C.", 2),
    "Fine": (line("C D E D !fine! | E2 D2 !D.C.! |"), "technique", "Fine", 1),
    "D.S.": (line("C4 | !segno! C D E D | E2 D2 !D.S.! |"), "technique", "D.S.", 2),
    "a repeat": (line("|: C D E D | C4 :|"), "technique", "repeat", 1),
    "endings": (line("|: C D E D |1 C4 :|2 D4 |"), "technique", "endings", 2),
    "grace notes": (line("C D {D}E D | C4 |"), "technique", "grace note", 1),
    "a hold": (line("C D E D | !fermata!C4 |"), "technique", "hold", 2),
    "dynamics": (line("C D !p!E D | C4 |"), "technique", "dynamics", 1),
    "a hairpin": (line("!<(!C D E D!<)! | C4 |"), "technique", "hairpin", 1),
    "staccato": (line("C D .E D | C4 |"), "technique", "staccato", 1),
    "an accent": (line("C D !accent!E D | C4 |"), "technique", "accent", 1),
    "an accidental": (line("C D _E D | C4 |"), "technique", "accidental", 1),
    "a note below": (line("C D E D | B,4 |"), "note", "B3", 2),
    "a note by another name": (line("C D _F D | C4 |"), "note", "Fb4", 1),
    "two flats": (line("C D F D | C4 |", key="Bb"), "signature", "-2", 1),
    "a sharp never read": (line("C D E D | C4 |", key="G"), "signature", "1", 1),
    "an octave's leap": (line("C D C c | C4 |"), "leap", "12", 1),
    "a breath of 10 s": (line("C D E D | C D E D |", tempo="1/4=48"), "breath", "10.00", 1),
    "half a minute of playing": (
        line("C D E !breath!D | C D E !breath!D | C D E !breath!D | C D E !breath!D |", tempo="1/4=32"),
        "playing", "30.00", 1,
    ),
}  # fmt: skip
"""A tune, and the kind, name and bar of what the course never teaches of it."""


@pytest.mark.parametrize("trap", TRAPS)
def test_a_trap_is_never_ready_and_says_why(book: Book, trap: str) -> None:
    music, kind, what, bar = TRAPS[trap]
    found = asked(book, music)
    assert ready(found) is None
    never = [(need.kind, need.what, need.bar) for need in found if need.place is None]
    assert (kind, what, bar) in never
    if kind not in ("signature",):
        assert ready(by_ear(found)) is None
    assert all(need_words(need, "british") for need in found)


@pytest.mark.parametrize(
    ("music", "week"),
    [
        (line("C D E F | G4 |"), 2),
        (line("C2 G2 | C4 |"), 2),  # a fifth is allowed from week 2, when G comes
        (line("C2 E2 | C4 |"), 1),
        (line("C/D/ E D2 | C4 |"), 4),
        (line("(C D) E2 | C4 |"), 4),
        (line("C D E | C3 |", "3/4"), 4),
        (line("C | D E D C | C3 |"), 4),
        (line("C D E D | [Q:1/4=40] C D E D |", tempo="1/4=120"), 1),  # 2 s and 6 s: 8 s on one breath, just allowed
    ],
)
def test_a_tune_waits_for_the_lesson_that_brings_the_last_thing(book: Book, music: Line, week: int) -> None:
    assert ready(asked(book, music, read=False)) == week
    assert ready(asked(book, music)) == max(week, 3)


def test_a_signature_waits_for_the_lesson_that_reads_it_and_is_not_needed_by_ear(book: Book) -> None:
    music = line("C D F D | C4 |", key="F")
    assert ready(asked(book, music)) == 5
    assert ready(by_ear(asked(book, music))) == 2


def test_a_slow_ending_counts_in_seconds_for_a_bass(book: Book) -> None:
    music = line("C D E D | [Q:1/4=40] C D E D |", tempo="1/4=120")
    bass = needs(facts_of(music), course(book, "eb-bass"))
    assert [(need.kind, need.what) for need in bass if need.place is None] == [("breath", "8.00")]


def test_percussion_needs_neither_breath_nor_lips(book: Book) -> None:
    music = TRAPS["half a minute of playing"][0]
    assert "playing" not in {need.kind for need in needs(facts_of(music), course(book, "glockenspiel"))}


def test_the_key_with_the_soonest_lesson_is_found_and_one_that_lacks_least_else(book: Book) -> None:
    # A cornet's written C D E F G are concert B♭ C D E♭ F: three notes upwards are do re mi in concert B♭.
    three, known = line("C D E D | C4 |", key="C"), course(book)
    when = soonest(facts_of(three), Key(0), [known])
    assert when
    assert (when.key.fifths, when.ear) == (-2, 1)
    assert when.paper == 3
    six = line("C D E F | G A G2 |", key="C")
    lacks = soonest(facts_of(six), Key(0), [known])
    assert lacks
    assert (lacks.ear, lacks.paper) == (None, None)
    assert lacks.octaves == {}
