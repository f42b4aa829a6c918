"""Nobody waits for a turn longer than the plan allows, in bands of any size.

How long is too long is common practice, no source; the waits are worked out by hand from who plays and for how long.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from plans import START, TEACHING, Case, files, made, players_of
from pydantic import ValidationError

from beginnerband.data.book import Book
from beginnerband.data.course_files import CourseFiles
from beginnerband.data.course_turns import check_turns
from beginnerband.data.course_unit_file import StepFile, TurnsFile
from beginnerband.data.problems import Problems
from beginnerband.teaching.addressed import Whom, said
from beginnerband.teaching.calendar import Teaching
from beginnerband.teaching.course import Step
from beginnerband.teaching.turns import Turn, lasting, taken

FIVE = [("cornet", "treble-bb", 2), ("tenor-horn", "treble-eb", 1), ("trombone", "bass-c", 2)]
TWELVE = [
    ("cornet", "treble-bb", 5),
    *FIVE[1:],
    ("f-horn", "treble-f", 1),
    ("euphonium", "bass-c", 1),
    ("drums", "rhythm", 2),
]
TWENTY = [*TWELVE, ("trumpet", "treble-bb", 4), ("baritone", "treble-bb", 2), ("glockenspiel", "treble-c", 2)]
MORE = [("flugelhorn", "treble-bb", 9), ("eb-bass", "treble-eb", 2), ("bb-bass", "treble-bb", 2)]
FORTY = [*TWENTY, *MORE, ("euphonium-4", "treble-bb", 7)]
SEVEN = [("cornet", "treble-bb", 4), ("drums", "rhythm", 3)]
BANDS = {1: [("cornet", "treble-bb", 1)], 5: FIVE, 7: SEVEN, 12: TWELVE, 20: TWENTY, 40: FORTY}


def whom(book: Book, rows: list[tuple[str, str, int]]) -> Whom:
    players = players_of(book, rows)
    return Whom(players, players)


@pytest.mark.parametrize(
    ("size", "by", "seconds", "turns"),
    [
        (5, "row", [30], (1, 5, 30)),  # four others, half a minute each: two minutes
        (5, "row", [40, 25], (1, 5, 25)),  # 160 seconds would be too long, 100 are not
        (7, "row", [30, 20], (1, 7, 20)),  # four brass and three drummers, each in turn
        (7, "row", [30], (2, 4, 30)),
        (12, "row", [30], (2, 3, 30)),  # six rows: with two at once three turns
        (20, "player", [5], (1, 20, 5)),
        (40, "player", [5], (2, 20, 5)),
        (40, "pair", [5], (1, 20, 5)),
        (40, "half", [15], (1, 2, 15)),
        (5, "third", [4], (1, 2, 4)),
        (12, "third", [4], (1, 3, 4)),
        (1, "half", [15], (1, 2, 15)),  # the leader is the other half
    ],
)
def test_turns_are_as_long_as_the_band_has_time_for(
    size: int, by: str, seconds: list[float], turns: tuple[int, int, float], book: Book
) -> None:
    found = taken(by, seconds, whom(book, BANDS[size]), 120)
    assert (found.at_once, found.count, found.seconds) == turns
    assert found.wait == (turns[1] - 1) * turns[2] <= 120


def test_a_length_of_time_is_said_as_people_say_it() -> None:
    said_as = {30: "half a minute", 60: "a minute", 90: "a minute and a half", 120: "two minutes",
               150: "two and a half minutes", 6.7: "7 seconds"}  # fmt: skip
    assert {seconds: lasting(seconds) for seconds in said_as} == said_as


@pytest.mark.parametrize("size", BANDS)
def test_a_row_is_one_player_where_the_texts_say_so(size: int, book: Book) -> None:
    """``{row}`` of the plan and the unit of a turn are the same word."""
    unit = taken("row", [10], whom(book, BANDS[size]), 120).unit
    assert unit == said("{row}", whom(book, BANDS[size]), files().plan.words)


@pytest.mark.parametrize("size", BANDS)
def test_nobody_waits_longer_than_two_minutes(size: int, book: Book) -> None:
    course, wrong = made(book, Case(str(size), players_of(book, BANDS[size]), TEACHING["26 x 45, one room"]))
    assert course, "\n".join(map(str, wrong))
    turning = [step for lesson in course.course.weeks for step in lesson.steps if step.turn]
    assert len({step.id for step in turning}) > 40
    for step in turning:
        assert step.turn
        assert step.turn.wait <= 120, step.id
        assert step.turn.count * step.turn.seconds <= step.minutes * 60, f"{step.id} has no time for a round"
        assert not re.search(r"\{|within an? minute", step.how), step.how


def test_the_rows_of_a_room_are_those_that_sit_in_it(book: Book) -> None:
    case = Case("two rooms", players_of(book, FORTY), Teaching(start=START, lessons=26, rooms=2, adults=4))
    course, _ = made(book, case)
    assert course
    step = next(step for lesson in course.course.weeks for step in lesson.steps if step.id == "ladder-of-notes")
    turns = {room: told.turn.count * told.turn.at_once for room, told in step.rooms if told.turn}
    assert turns == {"bb": 10, "eb": 4}  # nine instruments, flugelhorns in two rows; four


@pytest.mark.parametrize(
    ("turns", "one", "words"),
    [
        (None, "Each {row} plays, the others hum.", "'Each {row' has some wait"),
        (None, "{Half} plays, {other-half} claps, at the same time.", ""),
        ({"by": "half", "seconds": [20]}, "Half a minute each.", "said by hand; write {each-turn}"),
        ({"by": "half", "bars": 2}, "{At-once} at a time.", ""),
    ],
)
def test_words_that_part_the_band_say_how(turns: dict[str, Any] | None, one: str, words: str) -> None:
    file, located = files().units["third-sound"]
    place = next(place for place, step in enumerate(file.steps) if step.id == "tune-one")
    changed = {"one": one, "turns": TurnsFile.model_validate(turns) if turns else None}
    step = file.steps[place].model_copy(update=changed)
    steps = [*file.steps[:place], step, *file.steps[place + 1 :]]
    units = {**files().units, "third-sound": (file.model_copy(update={"steps": steps}), located)}
    assert [words in found for found in _found(replace(files(), units=units), ())] == ([True] if words else [])


def test_a_wait_that_is_too_long_stops_the_build(book: Book) -> None:
    course, _ = made(book, Case("five", players_of(book, FIVE), TEACHING["26 x 45, one room"]))
    assert course
    step = next(step for lesson in course.course.weeks for step in lesson.steps if step.id == "own-c")
    assert step.turn
    late = replace(step, turn=replace(step.turn, count=6))
    [found] = _found(files(), [late])
    assert "own-c: six turns of half a minute have a player wait for two and a half minutes" in found
    assert "allows two minutes" in found


def _found(changed: CourseFiles, taught: Sequence[Step]) -> list[str]:
    problems = Problems(files().root)
    check_turns(taught, changed, problems)
    return [problem.message for problem in problems.found]


@pytest.mark.parametrize(("at_once", "said"), [(1, "one row"), (2, "two rows")])
def test_how_many_play_at_once_is_said(at_once: int, said: str) -> None:
    """Three turns of 20 seconds: who has played waits for two of them, 40 seconds, said as a minute."""
    words = Turn(unit="row", at_once=at_once, count=3, seconds=20).words
    assert dict(words) == {"at-once": said, "each-turn": "20 seconds", "wait": "a minute"}


def test_turns_in_bars_are_bars_of_some_music() -> None:
    step: dict[str, object] = dict.fromkeys(("id", "title", "say", "listen", "wrong", "remedy", "one"), "a")
    step["minutes"] = [4, 6, 8]
    turns = {"by": "half", "bars": "all"}
    assert StepFile.model_validate(step | {"turns": turns, "music": ["tune"]}).turns
    with pytest.raises(ValidationError, match=r"turns of so many bars need 'music' or 'pieces'"):
        StepFile.model_validate(step | {"turns": turns})
