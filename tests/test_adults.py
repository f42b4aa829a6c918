"""How many adults each room needs, and so how many rooms are used: worked by hand (common practice, no source)."""

from __future__ import annotations

from typing import Literal

import pytest

from beginnerband.teaching.calendar import Teaching

Ages = Literal["children", "adults", "mixed"]


@pytest.mark.parametrize(
    ("ages", "local_rule", "rooms", "adults", "each", "used"),
    [
        ("children", None, 1, 1, 2, 1),
        ("children", None, 2, 2, 2, 1),
        ("children", None, 2, 3, 2, 1),
        ("children", None, 2, 4, 2, 2),
        ("mixed", None, 2, 3, 2, 1),
        ("adults", None, 2, 1, 1, 1),
        ("adults", None, 2, 2, 1, 2),
        ("children", 1, 2, 2, 1, 2),
        ("children", 3, 2, 5, 3, 1),
        ("children", 3, 2, 6, 3, 2),
        ("adults", 2, 2, 3, 2, 1),
    ],
)
def test_a_second_room_is_used_where_each_has_its_adults(
    ages: Ages, local_rule: int | None, rooms: Literal[1, 2], adults: int, each: int, used: int
) -> None:
    teaching = Teaching(ages=ages, local_rule=local_rule, rooms=rooms, adults=adults)
    assert (teaching.adults_a_room, teaching.rooms_in_use) == (each, used)
    assert bool(teaching.too_few) is (used < rooms)


@pytest.mark.parametrize(
    ("teaching", "rooms", "told"),
    [
        (Teaching(), 1, "One adult teaches, a second is present. Local rules may ask for more."),
        (Teaching(adults=4), 2, "One adult teaches, a second is present in each room. Local rules may ask for more."),
        (
            Teaching(adults=1),
            1,
            "One adult teaches, a second is present. Local rules may ask for more. The band file has only one.",
        ),
        (Teaching(ages="adults"), 2, "One person teaches in each room."),
        (Teaching(local_rule=1), 2, "One adult teaches in each room. That is what your local rules ask."),
        (
            Teaching(local_rule=3, adults=3),
            1,
            "One adult teaches, two more are present. That is what your local rules ask.",
        ),
        (
            Teaching(local_rule=3, adults=2),
            1,
            "One adult teaches, two more are present. That is what your local rules ask. The band file has only two.",
        ),
    ],
)
def test_a_card_says_who_has_to_be_there(teaching: Teaching, rooms: int, told: str) -> None:
    assert teaching.who_is_there(rooms) == told


def test_a_band_that_says_nothing_of_it_is_taught_in_one_room() -> None:
    """Two have to be asked for."""
    assert Teaching().rooms == 1


def test_why_a_room_stays_empty_is_said() -> None:
    assert Teaching(rooms=2, adults=1).too_few == "two rooms need two adults in each, and there is only one"
    assert (
        Teaching(rooms=2, adults=1, ages="adults").too_few == "two rooms need one adult in each, and there is only one"
    )
