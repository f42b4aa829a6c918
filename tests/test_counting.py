"""Small countings of the domain, each worked by hand: beats, places, what is new, octaves."""

from __future__ import annotations

from fractions import Fraction

import pytest

from beginnerband.music import clashes, rehearsal
from beginnerband.music.percussion import strong_beats
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Measure, Note, Time
from beginnerband.teaching.grading import Known


# Strong beats: the first of each bar, and the third of four (common practice, as in any primer of theory).
@pytest.mark.parametrize(
    ("time", "strong"),
    [
        (Time(2, 4), (0,)),
        (Time(3, 4), (0,)),
        (Time(4, 4), (0, 2)),
        (Time(6, 8), (0,)),
        (Time(12, 8), (0, 2)),
        (Time(5, 4), (0,)),
    ],
)
def test_strong_beats_of_a_bar(time: Time, strong: tuple[int, ...]) -> None:
    assert strong_beats(time) == strong


def test_a_pickup_counts_as_the_end_of_a_bar() -> None:
    notes = (Note(Fraction(1), Pitch.parse("C4")),)
    pickup, first = (Measure(number=number, notes=notes, time=Time(4, 4)) for number in (0, 1))
    assert rehearsal._felt(pickup, Fraction(0), Fraction(1), Fraction(4)) == 4
    assert rehearsal._felt(first, Fraction(0), Fraction(1), Fraction(4)) == 1
    assert rehearsal._felt(first, Fraction(3, 2), Fraction(1), Fraction(4)) == Fraction(5, 2)


@pytest.mark.parametrize(("before", "now", "new"), [(5, 7, 7), (7, 7, 0), (7, 5, 0), (0, 3, 3)])
def test_a_leap_is_new_only_where_it_is_wider(before: int, now: int, new: int) -> None:
    had, has = Known(values=frozenset({"half"}), leap=before), Known(values=frozenset({"half", "quarter"}), leap=now)
    assert has.minus(had) == Known(values=frozenset({"quarter"}), leap=new)


@pytest.mark.parametrize(("octaves", "place"), [(0, (60, 28)), (1, (72, 35)), (-1, (48, 21)), (2, (84, 42))])
def test_an_octave_is_twelve_semitones_and_seven_steps(octaves: int, place: tuple[int, int]) -> None:
    assert clashes._lifted((60, 28), octaves) == place
