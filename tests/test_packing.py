"""Packing steps into lessons: the search finds what trying every way finds, and keeps what must be kept."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations, pairwise

import pytest

from beginnerband.teaching.compose import _Packer
from beginnerband.teaching.course import Span
from beginnerband.teaching.packing import (
    NEVER,
    Block,
    Filling,
    Packing,
    Terms,
    badness,
    enough,
    length,
    lesson_points,
    mended,
    pack,
    pack_or_drop,
    rests,
    shares,
)

TERMS = Terms(
    opening=Span(least=4, usual=6, most=8),
    close=Span(least=3, usual=4, most=5),
    rest=2,
    rest_after=9.0,
    stretch=0.6,
    squeeze=1.0,
    empty=15.0,
    broken=25.0,
    overload=3000.0,
    spare=(2, 4, 99),
    early=12.0,
    late=60.0,
)


def steps(count: int, seed: int = 1) -> list[Block]:
    rng = random.Random(seed)
    found = []
    for number in range(count):
        usual = rng.randint(5, 13)
        span = Span(least=usual - rng.randint(1, 3), usual=usual, most=usual + rng.randint(1, 4))
        found.append(Block(f"s{number}", span, f"u{number // 3}", rng.choice((0.0, 0.4, 0.5))))
    return found


def every_way(blocks: list[Block], lessons: int, minutes: int) -> float:
    """The cheapest way without spare lessons, by trying every set of breaks."""
    best = NEVER
    for breaks in combinations(range(1, len(blocks)), lessons - 1):
        edges = (0, *breaks, len(blocks))
        total = 0.0
        for first, after in pairwise(edges):
            following = blocks[after] if after < len(blocks) else None
            total += lesson_points(blocks[first:after], minutes, TERMS, following, lambda _: False)
        best = min(best, total)
    return best


@pytest.mark.parametrize("seed", range(12))
def test_the_search_finds_the_cheapest_of_every_way(seed: int) -> None:
    blocks = steps(11, seed)
    never_spare = replace(TERMS, spare=(99, 99, 99))
    for lessons in (3, 4, 5, 6):
        found = pack(blocks, lessons, 45, never_spare)
        cheapest = every_way(blocks, lessons, 45)
        assert (found.points if found else NEVER) == pytest.approx(cheapest)
        if found:
            assert [block for lesson in found.lessons for block in lesson.blocks] == blocks


def test_a_lesson_longer_or_shorter_than_usual_is_worse_by_the_cube() -> None:
    span = Span(least=30, usual=40, most=50)
    assert badness(span, 40) == (0.0, 0.0, 0)
    assert badness(span, 45) == (12.5, 0.0, 0)  # half of the way: a hundred times an eighth
    assert badness(span, 35) == (0.0, 12.5, 0)
    assert badness(Span(least=5, usual=10, most=10), 10) == (0.0, 0.0, 0)  # what cannot be stretched
    assert badness(span, 53) == (100.0, 0.0, 3)
    assert badness(span, 29)[1] == NEVER


def test_lips_rest_after_so_much_playing() -> None:
    hard = [
        Block("a", Span(least=8, usual=12, most=14), "u", 0.5),
        Block("b", Span(least=5, usual=8, most=9), "u", 0.5),
    ]
    assert rests(hard, TERMS) == (1,)  # 6 and 4 minutes of playing: more than 9
    quiet = Block("c", Span(least=3, usual=4, most=5), "u", 0.0)
    assert rests([hard[0], quiet, hard[1]], TERMS) == ()  # the quiet step is a rest
    assert rests([hard[0], quiet, *hard], TERMS) == (3,)  # and counting begins anew after it


def test_stretched_steps_get_a_rest_where_it_halves_the_playing() -> None:
    opening, quiet = (8.0, 0.4), (5.0, 0.1)
    assert mended([opening, (12.0, 0.4), quiet], TERMS) is None  # 8 minutes of playing
    long = [opening, (12.0, 0.5), (13.0, 0.5), quiet]  # 3.2, 6, 6.5: together more than 12
    assert mended(long, TERMS) == 2
    assert mended([*long[:2], (2.0, 0.0), *long[2:]], TERMS) is None
    assert mended([(30.0, 0.5), quiet], TERMS) is None  # nothing to put a rest between
    assert mended([(10.0, 0.8), (4.0, 0.5), (6.0, 0.5)], TERMS) == 1  # 8, 2 and 3: 8 and 5 are more even than 10 and 3


def test_a_lesson_is_as_long_as_its_steps_with_opening_close_and_rests() -> None:
    hard, quiet = (
        Block("a", Span(least=5, usual=12, most=20), "u", 0.5),
        Block("b", Span(least=1, usual=2, most=3), "u"),
    )
    assert length([quiet], TERMS) == Span(least=8, usual=12, most=16)
    assert length([hard, hard], TERMS) == Span(least=4 + 3 + 2 + 10, usual=6 + 4 + 2 + 24, most=8 + 5 + 2 + 40)


def test_more_lessons_than_there_are_is_one_more_at_least() -> None:
    blocks = steps(12)
    least = enough(blocks, 45, TERMS)
    assert enough(blocks, 45, TERMS, above=least) == least + 1


def test_steps_fall_out_for_time_to_catch_up_but_not_for_little() -> None:
    terms = replace(TERMS, spare=(2, 3, 4))
    blocks = [replace(block, worth=1 if number % 4 == 3 else 0) for number, block in enumerate(steps(44))]
    least = next(lessons for lessons in range(8, 20) if pack(blocks, lessons, 45, terms))
    found = pack_or_drop(blocks, least, 45, terms)
    assert found
    assert any(lesson.spare for lesson in found.lessons)
    assert found.dropped
    assert found.to_catch_up
    plenty = pack_or_drop(blocks, least + 4, 45, terms)
    assert plenty
    assert not plenty.dropped


def test_steps_stay_where_they_are_held() -> None:
    blocks = steps(12)
    blocks[7] = replace(blocks[7], lesson=5)
    blocks[-1] = replace(blocks[-1], lesson=-1)
    found = pack(blocks, 6, 45, TERMS)
    assert found
    assert blocks[7] in found.lessons[4].blocks
    assert blocks[-1] in found.lessons[5].blocks


def test_nothing_is_overloaded_while_steps_can_fall_out() -> None:
    blocks = [replace(block, worth=number + 1) for number, block in enumerate(steps(9))]
    heavy = {"s3", "s4"}
    found = pack_or_drop(blocks, 3, 45, TERMS, lambda row: heavy <= {block.id for block in row})
    assert found
    assert all(not heavy <= {block.id for block in lesson.blocks} for lesson in found.lessons)


def test_no_lesson_is_overloaded_where_nothing_says_what_is_too_much() -> None:
    blocks = steps(8, 1)
    found, plain = pack_or_drop(blocks, 4, 45, TERMS), pack(blocks, 4, 45, TERMS)
    assert found
    assert plain
    assert (found.points, found.dropped) == (plain.points, ())


def alone(count: int, **others: int) -> list[Block]:
    """Steps of which each fills a lesson of 45 minutes by itself."""
    return [Block(f"s{at}", Span(least=30, usual=35, most=38), f"u{at}", 0.0, **others) for at in range(count)]


def shape(found: Packing | None) -> str:
    """Lessons as letters: with steps, or spare."""
    return "".join("S" if lesson.spare else "t" for lesson in found.lessons) if found else "none"


def test_spare_lessons_come_after_as_many_as_the_terms_say() -> None:
    """Two before each; there is none at the beginning, at the end or before the last."""
    terms = replace(TERMS, spare=(2, 2, 99))
    assert [shape(pack(alone(6), lessons, 45, terms)) for lessons in (5, 6, 8, 9)] == [
        *("none", "tttttt", "ttSttStt", "none")
    ]


def test_no_lesson_to_catch_up_before_there_is_something_to_do_in_it() -> None:
    """From the fourth step on there is; where a lesson that was held had it, from the first of the rest."""
    terms = replace(TERMS, spare=(1, 1, 99))
    blocks = [replace(block, can_settle=place == 3) for place, block in enumerate(alone(6))]
    assert [shape(pack(blocks, lessons, 45, terms)) for lessons in (7, 8)] == ["ttttStt", "none"]
    before, settled = ([Filling((replace(alone(1)[0], can_settle=so),))] for so in (False, True))
    assert shape(pack(blocks, 10, 45, terms, held=before)) == "none"
    assert shape(pack(blocks, 10, 45, terms, held=settled)).count("S") == 3


def test_a_step_belongs_in_the_first_lesson_where_all_before_it_has_room_there() -> None:
    """Two steps of ten minutes have room in 45 beside opening and close, five have not; nor has one held elsewhere."""
    packer = _Packer(45, TERMS, lambda _: False)
    ten = [Block(f"s{at}", Span(least=10, usual=10, most=10), "u", 0.0) for at in range(5)]
    assert [block.lesson for block in packer.begun(ten, {"s1"})] == [None, 1, None, None, None]
    assert packer.begun(ten, {"s4"}) == tuple(ten)
    later = (replace(ten[0], lesson=2), *ten[1:])
    assert packer.begun(later, {"s1"}) == later


def test_a_step_that_was_to_be_in_a_lesson_now_over_comes_when_it_can() -> None:
    first = [replace(block, lesson=1 if place == 0 else None) for place, block in enumerate(alone(3))]
    assert shape(pack(first, 4, 45, TERMS, held=[Filling(())])) == "Sttt"


def test_as_many_lessons_as_it_takes_with_those_to_catch_up() -> None:
    blocks, terms = alone(6), replace(TERMS, spare=(2, 2, 99))
    assert enough(blocks, 45, terms) == 6
    assert enough(blocks, 45, terms, above=6) == 7
    assert enough(blocks, 45, terms, above=8) == 0
    late = [*blocks[:-1], replace(blocks[-1], lesson=8)]  # not before the eighth
    assert enough(late, 45, terms) == 8
    before = [Filling((block,)) for block in alone(3)]
    assert enough(blocks, 45, terms, held=before) == 9
    assert enough(alone(1), 45, terms) == 1


def test_a_step_falls_out_only_where_there_is_twice_too_long_no_time_to_catch_up() -> None:
    """At most two lessons without a spare one are wished, so that four in a row are borne and five are not.

    Points in a row: 60 for the third, 120 for the fourth, 180 for the fifth; the step that may fall out costs 10.
    """
    terms = replace(TERMS, spare=(1, 1, 2))

    def packed(count: int, lessons: int) -> tuple[str, list[str]]:
        blocks = alone(count)
        blocks[0] = replace(blocks[0], worth=1)
        found = pack_or_drop(blocks, lessons, 45, terms)
        return shape(found), [block.id for block in found.dropped] if found else []

    assert packed(4, 4) == ("tttt", [])
    assert packed(5, 5) == ("ttStt", ["s0"])
    assert packed(8, 9) == ("ttttStttt", [])


def test_what_is_worth_least_falls_out_and_how_many_lessons_would_keep_it() -> None:
    blocks = [replace(block, worth=10 if number in (2, 8) else 0) for number, block in enumerate(steps(14))]
    needed = enough(blocks, 45, TERMS)
    found = pack_or_drop(blocks, needed - 1, 45, TERMS)
    if found:
        assert {block.id for block in found.dropped} <= {"s2", "s8"}
        assert found.wanted == needed
    assert pack(blocks, needed, 45, TERMS)


def test_of_what_need_not_fall_out_the_worthiest_comes_back() -> None:
    """One lesson of 45 minutes has 38 beside opening and close: 20 are kept, 30 cannot be, and one of the tens can."""
    sizes = (("kept", 20, 0), ("little", 10, 1), ("more", 10, 2), ("most", 30, 3))
    blocks = [
        Block(name, Span(least=least, usual=least, most=45), "u", 0.0, worth=worth) for name, least, worth in sizes
    ]
    found = pack_or_drop(blocks, 1, 45, TERMS)
    assert found
    assert [block.id for block in found.dropped] == ["little", "most"]


def test_the_lessons_that_were_held_stay() -> None:
    blocks = steps(12)
    first = (Filling(tuple(blocks[:2])),)
    found = pack(blocks[2:], 6, 45, TERMS, held=first)
    assert found
    assert found.lessons[0] == first[0]
    assert len(found.lessons) == 6


def test_minutes_are_shared_fairly_and_add_up() -> None:
    spans = [Span(least=4, usual=6, most=8), Span(least=8, usual=10, most=14), Span(least=3, usual=4, most=5)]
    for minutes in range(15, 28):
        found = shares(spans, minutes)
        assert sum(found) == minutes
        assert all(span.least <= share <= span.most for span, share in zip(spans, found, strict=True))
    assert shares(spans, 20) == (6, 10, 4)
    assert sum(shares(spans, 60)) == 27
