"""Lessons of a small plan, worked by hand: what they are called, what is left out, and what is done to catch up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from test_packing import TERMS

from beginnerband.music.score import Line
from beginnerband.teaching.addressed import Addressed
from beginnerband.teaching.compose import _Packer, blocks_of
from beginnerband.teaching.course import Item, Lesson, Percussion, Room, Span, Stage, Step
from beginnerband.teaching.courseplan import CoursePlan, DoesNotFitError, Placed, Unit
from beginnerband.teaching.lessons import LessonMaker
from beginnerband.teaching.packing import Block, Filling


def step(ident: str, least: int, usual: int, most: int, lips: float = 0.0) -> Step:
    text = dict.fromkeys(("say", "listen", "wrong", "remedy", "guide"), f"{ident}.")
    span = Span(least=least, usual=usual, most=most)
    return Step(ident, title=ident.upper(), minutes=usual, span=span, together=True, lips=lips, stage="first", **text)


def unit(ident: str, steps: Sequence[Step], after: str = "") -> Unit:
    return Unit(
        ident, title=f"Unit {ident}", stage="first", aim="Aim.", ready="Ready.", at_home="", bring=(),
        steps=tuple(steps), after=after,
    )  # fmt: skip


def plan(units: Sequence[Unit], spare: Sequence[Unit] = (), placed: Placed | None = None) -> CoursePlan:
    return CoursePlan(
        stages=(Stage("first", name="First", about=""),),
        rooms=(Room("all", name="All", groups=("bb",), about=""),),
        units=tuple(units), spare=tuple(spare), openings=(("", step("opening", 4, 6, 8)),),
        closes=(("", step("close", 3, 4, 5)),), rest=step("rest", 2, 2, 2), filler=step("filler", 1, 1, 1),
        at_home="Try it.", items={}, percussion=(), terms=TERMS, placed=placed or Placed(),
    )  # fmt: skip


def made(plan: CoursePlan, *rows: str) -> list[Lesson]:
    """Lessons with these steps each, by id; none in a spare one."""
    blocks = {block.id: block for block in blocks_of(plan)}
    return LessonMaker(plan, 45, ()).lessons(Filling(tuple(blocks[each] for each in row.split())) for row in rows)


@pytest.mark.parametrize(("minutes", "title"), [(25, "A2"), (15, "Unit b")])
def test_a_lesson_is_called_after_the_unit_that_has_most_of_it_or_half_as_much_but_is_new(
    minutes: int, title: str
) -> None:
    """Ten minutes of a unit that has no lesson yet go before fifteen of one that has, but not before twenty-five."""
    first = unit("a", [step("a1", 20, 30, 35), step("a2", minutes - 2, minutes, minutes + 5)])
    lessons = made(plan([first, unit("b", [step("b1", 8, 10, 12)])], [first]), "a1", "a2 b1")
    assert [lesson.title for lesson in lessons] == ["Unit a", title]


def test_a_lesson_to_catch_up_takes_the_unit_whose_step_was_taught_last() -> None:
    spare = [unit("early", [step("e", 20, 25, 30)]), unit("late", [step("l", 20, 25, 30)], after="a2")]
    main = unit("a", [step("a1", 20, 30, 35), step("a2", 20, 30, 35)])
    lessons = made(plan([main], spare), "a1", "", "a2", "")
    assert [lesson.title for lesson in lessons] == ["Unit a", "Unit early", "A2", "Unit late"]


def test_a_lesson_to_catch_up_does_not_go_back_before_what_the_last_lesson_brought() -> None:
    """It may begin with that: a lesson mostly of one stage had a step of the next, whose music the opening plays."""
    main = [unit("a", [step("a1", 20, 30, 35)]), unit("b", [replace(step("b1", 8, 10, 12), stage="second")])]
    course = plan([main[0], replace(main[1], stage="second")], [unit("early", [step("e", 20, 25, 30)])])
    course = replace(course, stages=(*course.stages, Stage("second", name="Second", about="")))
    assert [lesson.stage for lesson in made(course, "a1 b1", "")] == ["first", "second"]


def test_in_the_last_stage_only_what_came_last_is_caught_up_with() -> None:
    """Of four units the last is had first; before a concert one of the last two comes again."""
    spare = [unit(name, [step(name[0], 20, 25, 30)]) for name in ("early", "second", "third", "late")]
    main = [unit("a", [step("a1", 20, 30, 35)]), replace(unit("b", [step("b1", 20, 30, 35)]), stage="concert")]
    course = replace(
        plan(main, spare), stages=(Stage("first", name="First", about=""), Stage("concert", name="Concert", about=""))
    )
    titles = [lesson.title for lesson in made(course, "a1", "", "", "", "", "b1", "", "")]
    assert titles[1:5] == ["Unit late", "Unit third", "Unit second", "Unit early"]
    assert titles[6:] == ["L", "T"]


def test_nothing_is_played_to_catch_up_before_it_is_taught() -> None:
    music = {"m": Item("m", title="M", line=Line(()), keys={})}
    main = [step("a1", 20, 30, 35), replace(step("a2", 20, 30, 35), music=("m",))]
    spare = [unit("early", [step("e", 20, 25, 30)]), unit("late", [replace(step("l", 20, 25, 30), music=("m",))])]
    lessons = made(replace(plan([unit("a", main)], spare), items=music), "a1", "", "a2", "")
    assert [lesson.title for lesson in lessons] == ["Unit a", "Unit early", "A2", "Unit late"]


def test_a_task_of_the_unit_is_given_again_in_turn_with_the_one_of_the_plan() -> None:
    steps = [step(f"a{at}", 20, 30, 35) for at in range(1, 6)]
    lessons = made(plan([replace(unit("a", steps), at_home="Own.")]), "a1", "a2", "a3", "a4", "a5")
    assert [lesson.at_home for lesson in lessons] == ["Own.", "Try it.", "Own.", "Try it.", "Own."]


def test_music_that_was_taught_is_played_to_catch_up() -> None:
    """The other unit waits for a step that is in no lesson."""
    music = {"m": Item("m", title="M", line=Line(()), keys={})}
    main = replace(step("a1", 20, 30, 35), music=("m",))
    spare = [unit("late", [replace(step("l", 20, 25, 30), music=("m",))]), unit("x", [step("x", 9, 9, 9)], after="b1")]
    lessons = made(replace(plan([unit("a", [main])], spare), items=music), "a1", "")
    assert [lesson.title for lesson in lessons] == ["Unit a", "Unit late"]


def test_what_is_played_again_leaves_a_lesson_five_steps() -> None:
    """One step of 10 minutes of 45; there is time for many of two minutes, but no room for more than four."""
    spare = unit("short", [step(f"s{at}", 1, 2, 2) for at in range(7)])
    (lesson,) = made(plan([unit("a", [step("a1", 8, 10, 10)])], [spare]), "a1")
    assert [each.id for each in lesson.steps] == ["opening", "a1", "s0", "s1", "s2", "s3", "filler", "close"]
    assert lesson.minutes == 45


def test_nobody_changes_rooms_to_rest() -> None:
    """Rests of groups that are apart are taken apart, each told as its room is; after a step together, together."""
    apart = [replace(step(f"a{at}", 15, 15, 15, lips=0.8), together=False) for at in (1, 2)]
    told = step("rest", 2, 2, 2)
    rest = replace(told, together=False, how="Each room by itself.", kind="rest", rooms=(("all", told),))
    (lesson,) = made(replace(plan([unit("a", apart)]), rest=rest), "a1 a2")
    assert [(each.id, each.together) for each in lesson.steps if each.id in ("a1", "rest")] == [
        ("a1", False), ("rest", False)
    ]  # fmt: skip
    row = [replace(each, together=True) for each in apart]
    (lesson,) = made(replace(plan([unit("a", row)]), rest=rest), "a1 a2")
    [paused] = [each for each in lesson.steps if each.id == "rest"]
    assert (paused.together, paused.how, paused.rooms) == (True, "", ())


def test_before_the_concert_what_the_last_days_ask_comes_last_and_nothing_is_caught_up() -> None:
    def gives(ident: str, *lines: str) -> Step:
        return replace(step(ident, 20, 30, 35), practice=tuple(map(Addressed, lines)))

    placed = Placed(lessons={"dress": -2, "concert": -1})
    course = plan([unit("a", [gives("a1", "old"), gives("dress", "all", "rest")])], [unit("s", [gives("s1", "back")])])
    *_, spare, last = made(replace(course, placed=placed), "a1", "", "dress")
    assert [line.text for line in spare.practice] == ["back", "old"]
    assert [line.text for line in last.practice] == ["old", "all", "rest"]


def test_what_shows_that_a_class_may_move_on_is_music_of_that_lesson() -> None:
    """The second lesson has nothing of it; then what its longest step is like shows it."""
    music = {"m": Item("m", title="M", line=Line(()), keys={})}
    steps = [replace(step("a1", 20, 30, 35, lips=0.1), music=("m",)), replace(step("a2", 20, 30, 35), listen="A hum.")]
    reached = replace(unit("a", steps), reached="a1", ready="Plays M.", ready_for=frozenset("m"))
    lessons = made(replace(plan([reached]), items=music), "a1", "a2")
    assert [lesson.ready for lesson in lessons] == ["Plays M.", "A2: a hum."]


def test_a_lesson_to_catch_up_speaks_of_no_step_that_does_not_fit() -> None:
    """45 minutes less 4 and 3 for opening and close hold one step of 20 at least; the other, which is longer as a rule,
    gives neither title nor sign nor practice."""
    first = replace(step("s1", 20, 22, 24), practice=(Addressed("first"),))
    other = replace(step("s2", 20, 30, 34), practice=(Addressed("other"),))
    spare = unit("s", [first, other])
    lessons = made(plan([unit("a", [step("a1", 20, 30, 35)])], [spare]), "a1", "", "")
    assert [lesson.title for lesson in lessons] == ["Unit a", "Unit s", "S1"]
    assert [line.text for line in lessons[1].practice] == ["first"]


def drumming(*tasks: tuple[str, str]) -> CoursePlan:
    """A plan with three steps and tasks for drums, each due after a step."""
    made = tuple(
        (after, Percussion("Aim.", (), title=name, do=f"{name}.", later=f"{name} on.")) for after, name in tasks
    )
    return replace(plan([unit("a", [step(f"a{at}", 10, 15, 20) for at in (1, 2, 3)])]), percussion=made)


def test_drums_have_each_task_when_it_is_due_and_go_on_with_it_until_the_next() -> None:
    lessons = made(drumming(("", "First"), ("a2", "Second")), "a1", "a2", "a3")
    assert [lesson.percussion and lesson.percussion.do for lesson in lessons] == ["First.", "Second.", "Second on."]
    lessons = made(drumming(("", "First"), ("a3", "Second")), "a1", "a2", "a3")
    assert [lesson.percussion and lesson.percussion.do for lesson in lessons] == ["First.", "First on.", "Second."]


def test_where_steps_come_faster_than_lessons_a_task_of_drums_gives_way_to_the_next() -> None:
    """The first lesson has the steps of two tasks and a first one before them; the next has the later of the two."""
    lessons = made(drumming(("", "First"), ("a1", "Second"), ("a2", "Third")), "a1 a2", "a3")
    assert [lesson.percussion and lesson.percussion.title for lesson in lessons] == ["First", "Third"]


def test_before_the_concert_nobody_is_sent_to_another_room() -> None:
    spare = [replace(step(f"s{at}", 2, 3, 4), together=at > 1) for at in (1, 2)]
    course = plan([unit("a", [step("a1", 8, 10, 10)])], [unit("short", spare)])
    row = [each.id for each in made(replace(course, placed=Placed(lessons={"a1": -1})), "a1")[0].steps]
    assert "s2" in row
    assert "s1" not in row


def test_a_step_that_is_left_out_takes_no_other_with_it() -> None:
    units = [unit("a", [step("a1", 1, 2, 3), step("a2", 1, 2, 3)]), unit("b", [step("b1", 1, 2, 3)])]
    assert [block.id for block in blocks_of(plan(units, placed=Placed(skip=frozenset({"a1"}))))] == ["a2", "b1"]


def test_a_step_that_no_lesson_has_room_for_is_named_with_what_it_needs() -> None:
    """Opening and close take 4 and 3 minutes at least: with 20, a lesson needs 27; what may fall out is not named."""
    blocks = [Block(name, Span(least=least, usual=24, most=26), "u", 0.0) for name, least in (("a", 18), ("b", 20))]
    blocks.append(replace(blocks[0], id="c", span=Span(least=24, usual=24, most=26), worth=1))
    with pytest.raises(DoesNotFitError, match=r"lesson of 26 minutes .* step 'b', which needs 27 with opening"):
        _Packer(26, TERMS, lambda _: False).packed(blocks, 3, ())
    assert len(_Packer(27, TERMS, lambda _: False).packed(blocks, 2, ()).lessons) == 2


def test_what_fills_a_lesson_has_rests_in_it() -> None:
    """45 minutes less 8 and 5 for opening and close and 3 for its step: half of 29 is over 12 minutes of playing."""
    course = plan([unit("a", [step("a1", 1, 2, 3)])])
    (lesson,) = made(replace(course, filler=step("filler", 1, 1, 1, lips=0.5)), "a1")
    assert [(each.id, each.minutes) for each in lesson.steps] == [
        *(("opening", 8), ("a1", 3), ("filler", 14), ("rest", 2), ("filler", 13), ("close", 5))
    ]


def test_a_step_done_again_begins_the_next_lesson_and_lets_its_own_be_filled() -> None:
    """Opening and close take 6 and 4 minutes as a rule: three steps of 12 fill a lesson of 45."""
    blocks = blocks_of(plan([unit("a", [step(f"a{at}", 9, 12, 14) for at in range(5)])]))
    packer = _Packer(45, TERMS, lambda _: False)
    again = packer.repeated(blocks, {"a0"}, 2)
    assert [block.id for block in again] == ["a0", "a1", "a2", "a0", "a3", "a4"]
    assert [(block.again, block.begins) for block in again].index((True, True)) == 3
    assert packer.repeated(blocks, (), 2) == blocks
