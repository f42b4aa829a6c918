"""Harmonics, valve lengths and cents, against the closed form worked by hand."""

from __future__ import annotations

import math

import pytest

from beginnerband.music import acoustics
from beginnerband.music.instrument import Valves

THREE = Valves((2, 1, 3))
FOUR = Valves((2, 1, 3, 5))
COMPENSATING = Valves((2, 1, 3, 5), compensating=4)

# Deviation of the harmonics of a tube from equal temperament, cents. Closed form 1200 * log2(n) - 100 * k, worked by
# hand; the same figures stand, rounded, in any acoustics textbook (Benade, "Fundamentals of Musical Acoustics", 1976;
# Campbell, Gilbert and Myers, "The Science of Brass Instruments", 2021: both from memory, no page).
HARMONICS = {
    1: (0, 0.0),
    2: (12, 0.0),
    3: (19, 1.955),
    4: (24, 0.0),
    5: (28, -13.686),
    6: (31, 1.955),
    7: (34, -31.174),
    8: (36, 0.0),
    9: (38, 3.910),
    10: (40, -13.686),
    11: (42, -48.682),
    12: (43, 1.955),
    13: (44, 40.528),
    14: (46, -31.174),
    15: (47, -11.731),
    16: (48, 0.0),
}


@pytest.mark.parametrize(("harmonic", "expected"), HARMONICS.items())
def test_harmonics_deviate_as_textbooks_say(harmonic: int, expected: tuple[int, float]) -> None:
    assert acoustics.harmonic_semitones(harmonic) == expected[0]
    assert acoustics.harmonic_cents(harmonic) == pytest.approx(expected[1], abs=0.001)


def test_a_harmonic_is_a_whole_multiple_of_the_fundamental() -> None:
    for harmonic in acoustics.HARMONICS:
        cents = 100 * acoustics.harmonic_semitones(harmonic) + acoustics.harmonic_cents(harmonic)
        assert 2 ** (cents / 1200) == pytest.approx(harmonic)


# Valve combinations, cents sharp. Worked by hand with lengths in units of the open tube: valve 2 adds 0.05946, valve 1
# 0.12246, valve 3 0.18921, valve 4 0.33484 (twelfth roots of two). 1-2: 1.18192 is 289.4 cents where 300 are wanted;
# 2-3: 1.24867, 384.4 for 400; 1-3: 1.31167, 469.7 for 500; 1-2-3: 1.37113, 546.4 for 600; 2-4: 1.39430, 575.5 for 600;
# 1-4: 1.45730, 652.0 for 700. The "about +11, +16, +30, +54" are the textbook roundings of the first four.
COMBINATIONS = {
    (): 0.0,
    (1,): 0.0,
    (2,): 0.0,
    (3,): 0.0,
    (4,): 0.0,
    (1, 2): 10.6,
    (2, 3): 15.5,
    (1, 3): 30.3,
    (1, 2, 3): 53.6,
    (2, 4): 24.5,
    (1, 4): 48.0,
}


@pytest.mark.parametrize(("pressed", "expected"), COMBINATIONS.items())
def test_valves_together_are_sharp_by_the_closed_form(pressed: tuple[int, ...], expected: float) -> None:
    assert acoustics.valve_cents(FOUR, pressed) == pytest.approx(expected, abs=0.06)


def test_the_usual_roundings() -> None:
    # The figures every fingering text gives (from memory): about +11, +16, +30 and +54 cents.
    rounded = [round(acoustics.valve_cents(THREE, pressed)) for pressed in ((1, 2), (2, 3), (1, 3), (1, 2, 3))]
    assert rounded == pytest.approx([11, 16, 30, 54], abs=1)


@pytest.mark.parametrize("other", [(1,), (2,), (3,)])
def test_a_compensating_valve_with_one_other_is_in_tune(other: tuple[int, ...]) -> None:
    # What compensation is for (common practice): the pair is exact; without it the same pair is clearly sharp.
    assert acoustics.valve_cents(COMPENSATING, (*other, 4)) == pytest.approx(0, abs=1e-6)
    assert acoustics.valve_cents(FOUR, (*other, 4)) > 20


def test_compensation_leaves_the_other_valves_as_they_are() -> None:
    assert acoustics.valve_cents(COMPENSATING, (1, 2)) == acoustics.valve_cents(THREE, (1, 2))
    # 1-3 with the fourth down has the same error as 1-3 alone: the lengths are all scaled by the fourth valve's tube
    assert acoustics.valve_cents(COMPENSATING, (1, 3, 4)) == pytest.approx(acoustics.valve_cents(THREE, (1, 3)))


def test_a_compensating_third_valve_mends_one_three() -> None:
    mended = Valves((2, 1, 3), compensating=3)
    assert acoustics.valve_cents(mended, (1, 3)) == pytest.approx(0, abs=1e-6)
    assert acoustics.valve_cents(mended, (1, 2, 3)) < acoustics.valve_cents(THREE, (1, 2, 3)) / 3


@pytest.mark.parametrize(("valves", "expected"), [(THREE, 8), (FOUR, 16)])
def test_every_combination_of_valves_is_there_once(valves: Valves, expected: int) -> None:
    combinations = acoustics.valve_combinations(valves)
    assert len(combinations) == len(set(combinations)) == expected
    assert combinations[0] == ()


def test_tube_lengths_are_those_of_real_instruments() -> None:
    # Common practice, no source: a B flat cornet is about 1.4 m of tube, a trombone or euphonium about 2.7 to 2.9 m, an
    # E flat bass about 4 m, a B flat bass about 5.5 m. Acoustic length is a little more than the metal's.
    for fundamental, metres in ((116.54, 1.4), (58.27, 2.8), (38.89, 4.0), (29.14, 5.5)):
        assert acoustics.tube_length_m(fundamental) == pytest.approx(metres, rel=0.15)


def test_length_and_semitones_are_the_same_thing() -> None:
    for semitones in range(13):
        assert 12 * math.log2(1 + acoustics.added_length(semitones)) == pytest.approx(semitones)
