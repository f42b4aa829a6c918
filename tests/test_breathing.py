"""Where breaths are proposed, worked by hand: points added up on paper for a few bars, a quarter note a second.

That phrases end after whole bars, at rests and after long notes, and not within a slur or a tie, is common practice, no
source; the points here are plain figures of these tests, so that the sums can be followed.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from beginnerband.data.abc import read_abc
from beginnerband.music.breathing import Points, as_marked, proposed, proposed_together
from beginnerband.music.score import Line

POINTS = Points(
    longest=10, too_long=100, second=10, lengths=((2, 0), (4, 0)), octave=16, shortest=1, too_short=4, short_note=0,
    plain=0, bar=2, beat=11, off=50, rhythm=0,
)  # fmt: skip
BAR = "C D E F"


def line(text: str, metre: str = "4/4") -> Line:
    read = read_abc(f"X:1\nT:t\nS:written for this test\nM:{metre}\nL:1/4\nQ:1/4=60\nK:C\n{text}\n")
    assert read.score, [mistake.message for mistake in read.mistakes]
    return read.score.lines[0]


def after(line: Line) -> list[tuple[int, int]]:
    """Bar and note, both from 1 (a pickup is bar 0), after which there is a breath."""
    return [(bar.number, number) for bar in line.measures for number, note in enumerate(bar.notes, 1) if note.breath]


@pytest.mark.parametrize(
    ("text", "points", "breaths"),
    [
        # eight bars of 4 s would be best as one phrase, but 10 s are the most: two bars (8 s) at a time
        ("|".join([BAR] * 8), {"lengths": ((8, 0),)}, [(2, 4), (4, 4), (6, 4)]),
        # four bars at once cost 0, two and two 0.6 each, less 1 or 1.3 since the rhythm begins again: 0.2, -0.1
        ("|".join([BAR] * 4), {"longest": 100, "lengths": ((4, 0), (2, 0.6)), "rhythm": 1}, []),
        ("|".join([BAR] * 4), {"longest": 100, "lengths": ((4, 0), (2, 0.6)), "rhythm": 1.3}, [(2, 4)]),
        # the same, but the other rhythm begins the second half: nothing is taken off
        (f"{BAR}|{BAR}|C2 E F|{BAR}", {"longest": 100, "lengths": ((4, 0), (2, 0.6)), "rhythm": 1.3}, []),
        # a phrase with an upbeat is followed by one with an upbeat
        ("C|D E F G|A2 G C|D E F G|A2 G|]", {}, [(2, 2)]),
        # ... unless the bar line costs nothing and the longer note stands before it
        ("C|D E F G|A G c2|D E F G|A2 G|]", {"bar": 0, "plain": 2, "beat": 0}, [(2, 3)]),
        # two bars on either side cost nothing on the upbeat, and 5 points after the bar line
        ("C|D E F G|A G c2|D E F G|A2 G|]", {"bar": 5, "beat": 0}, [(2, 2)]),
        # a rest of half a beat is room for a breath, and 8 s are not too long; a shorter one is none
        ("C D E F|G A B c/2 z/2|C D E F|G4", {}, []),
        ("C D E F|G A B c3/4 z/4|C D E F|G4", {"beat": 0, "off": 0}, [(2, 4)]),
        # nobody breathes within a tie, a slur or a triplet
        (f"{BAR}|(G A B c|c D) E F|G4", {}, [(3, 2)]),
        ("C D E F|G A B c-|c D E F|G4", {"second": 1, "lengths": ((2, 0),)}, [(2, 3)]),
        (
            "(3C D E C2|(3C D E C2|(3C D E C2",
            {"longest": 5, "lengths": ((1, 0),), "beat": 0, "off": 0},
            [(1, 4), (2, 4)],
        ),
        # what the source marks is kept; only what is longer than a breath is cut
        ("C D !breath!E F|G A B2|", {}, [(1, 3)]),
        (f"{BAR}|G A B2|c D E !breath!F|G A B2|c4", {"plain": 3}, [(2, 3), (3, 4)]),
        # a hold, a double bar and a repeat end a phrase: two bars are left on each side
        (f"{BAR}|G A B !fermata!c|{BAR}|G4|", {"longest": 8}, []),
        (f"{BAR}|G A B2||c D E F|G4|", {"longest": 8}, []),
        (f"{BAR}|G A B2:|c D E F|G4|", {"longest": 8}, []),
        (f"{BAR}|G A B2|c D E F|G4|", {"longest": 8}, [(2, 3)]),
        # one phrase is twice too long, which costs 4; two are too short, which costs 4 each, but not if 4 s are enough
        ("C4|C4|", {"longest": 100, "lengths": ((1, 0),), "octave": 4, "shortest": 5}, []),
        ("C4|C4|", {"longest": 100, "lengths": ((1, 0),), "octave": 4, "shortest": 4}, [(1, 1)]),
    ],
)
def test_breaths_are_where_the_points_are_fewest(
    text: str, points: dict[str, object], breaths: list[tuple[int, int]]
) -> None:
    assert after(proposed(line(text), replace(POINTS, **points))) == breaths  # type: ignore[arg-type]


def test_lines_breathe_with_the_first_where_a_note_of_theirs_ends() -> None:
    """The first breathes after bar 2: the second with it; the third, tied over, not; the fourth as marked."""
    first = line(f"{BAR}|G A B2|c D E F|G4|")
    lines = {
        "first": first,
        "second": line("C4|C2 D2|C4|C4|"),
        "third": line("C4|C4-|C4|C4|"),
        "fourth": line("C4|!breath!C2 D2|C4|C4|"),
    }
    patient = replace(POINTS, longest=9)
    made = proposed_together(lines, patient)
    assert after(made["first"]) == [(2, 3)]
    assert after(made["second"]) == [(2, 2)]
    assert (2, 1) not in after(made["third"])
    assert (2, 1) in after(made["fourth"])
    assert all(note.proposed for voice in ("first", "second") for _, note in made[voice] if note.breath)
    assert not next(note for _, note in made["fourth"] if note.breath).proposed


def test_a_line_breathes_where_only_the_first_has_a_reason_to() -> None:
    made = proposed_together({"first": line("C D !breath!E F|G A B2|"), "second": line("C3 D|E4|")}, POINTS)
    assert after(made["second"]) == [(1, 1)]


def test_what_was_proposed_can_be_taken_away_again() -> None:
    plain = line(f"{BAR}|G A B2|c D E F|G4|")
    made = proposed(plain, replace(POINTS, longest=8))
    assert after(made)
    assert as_marked(made) == plain
    marked = line("C D !breath!E F|G A B2|")
    assert as_marked(proposed(marked, POINTS)) == marked
