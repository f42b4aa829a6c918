"""Composing a course for one band: its steps are packed into lessons, and every lesson gets what a lesson needs.

What is given is a :class:`~beginnerband.teaching.courseplan.CoursePlan`: units (steps that belong together, in the
order they are taught, already in the words of this band), units to catch up with, openings and closes, and what the
leader overrules. What comes out is a :class:`Course`, whose lessons ``lessons`` makes.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cache

from beginnerband.music.player import Player
from beginnerband.teaching.course import Course, Skipped, Span
from beginnerband.teaching.courseplan import CoursePlan, DoesNotFitError, Done, TooFewLessonsError
from beginnerband.teaching.grading import Known, OnTheWay
from beginnerband.teaching.ladder import Ladder
from beginnerband.teaching.lessons import LessonMaker
from beginnerband.teaching.packing import (
    NEVER,
    Block,
    Filling,
    Overload,
    Packing,
    Terms,
    enough,
    lesson_points,
    pack,
    pack_or_drop,
)


@dataclass(frozen=True, slots=True)
class Composed:
    """A course and how it was packed."""

    course: Course
    """The course."""
    packing: Packing
    """Which steps go into which lesson, and what fell out."""


def compose(plan: CoursePlan, players: Sequence[Player], ladder: Ladder, lessons: int, minutes: int) -> Composed:
    """The course in ``lessons`` lessons of ``minutes`` minutes; :class:`DoesNotFitError` where it cannot be."""
    packing = _packed(plan, players, ladder, lessons, minutes)
    taught = tuple(LessonMaker(plan, minutes, players).lessons(packing.lessons))
    skipped = [
        Skipped(plan.steps[ident].title, "left out in plan.yml") for ident in plan.steps if ident in plan.placed.skip
    ]
    why = "so that there are lessons to catch up" if packing.to_catch_up else "there is not the time"
    why += f": {packing.wanted} lessons would do" if packing.wanted else ""
    for block in packing.dropped:
        skipped.append(Skipped(plan.steps[block.id].title + (", a second time" if block.again else ""), why))
    course = Course(plan.stages, plan.rooms, taught, tuple(skipped), minutes, plan.start)
    return Composed(course, packing)


def blocks_of(plan: CoursePlan) -> tuple[Block, ...]:
    """The steps as packing sees them, each once, with the leader's wishes."""
    settling = {unit.after for unit in plan.spare}
    if "" in settling:  # one of them is of use from the first step on
        settling.add(next(iter(plan.steps)))
    return tuple(
        Block(
            step.id,
            step.span,
            unit.id,
            step.lips,
            plan.placed.lessons.get(step.id),
            worth=plan.placed.worth.get(step.id, 0),
            needs=step.needs,
            can_settle=step.id in settling,
        )
        for unit in plan.units
        for step in unit.steps
        if step.id not in plan.placed.skip
    )


def _packed(plan: CoursePlan, players: Sequence[Player], ladder: Ladder, lessons: int, minutes: int) -> Packing:
    packer = _Packer(minutes, plan.terms, _asked_once(_News(plan, players, ladder).overload))
    row = packer.begun(blocks_of(plan), plan.placed.first)
    remaining, held = packer.repeated(row, plan.placed.repeat, lessons), tuple[Filling, ...]()
    for done in plan.done:
        found = packer.packed(remaining, done.lessons, held)
        if done.lesson > len(found.lessons):
            raise DoesNotFitError(f"done: there is no lesson {done.lesson}")
        held, remaining = _after(done, found, held)
    return packer.packed(remaining, lessons, held)


def _asked_once(overload: Overload) -> Overload:
    known = cache(overload)
    return lambda blocks: known(tuple(blocks))


def _after(done: Done, found: Packing, held: Sequence[Filling]) -> tuple[tuple[Filling, ...], tuple[Block, ...]]:
    """The lessons that are over, and the steps still to come, once a lesson was held as ``done`` says."""
    before, planned = found.lessons[: done.lesson - 1], found.lessons[done.lesson - 1]
    left = [block for lesson in found.lessons[done.lesson - 1 :] for block in lesson.blocks]
    if done.cancelled:
        return before, tuple(left)
    if done.again:
        same = tuple(
            replace(block, begins=place == 0, lesson=None, again=True) for place, block in enumerate(planned.blocks)
        )
        return (*before, planned), (*same, *left[len(planned.blocks) :])
    ids = [block.id for block in left]
    if done.to not in ids:
        raise DoesNotFitError(f"done: lesson {done.lesson} cannot have come to {done.to!r}, which was done before it")
    past = left[: ids.index(done.to) + 1]
    rest = left[len(past) :]
    if done.half:
        span = past[-1].span
        half = Span(least=-(-span.least // 2), usual=-(-span.usual // 2), most=max(span.most // 2, -(-span.usual // 2)))
        rest = [replace(past[-1], span=half, begins=True, lesson=None), *rest]
    return (*before, Filling(tuple(past))), tuple(rest)


@dataclass(frozen=True, slots=True)
class _Packer:
    """Packs steps so that no lesson brings more than the ladder allows, or says what gives."""

    minutes: int
    """Length of a lesson."""
    terms: Terms
    """What a way of packing costs."""
    overload: Overload
    """Whether steps are too much for one lesson."""

    def packed(self, blocks: Sequence[Block], lessons: int, held: Sequence[Filling]) -> Packing:
        """The cheapest way; :class:`DoesNotFitError` where there is none.

        Where a step is too much by itself, it is packed all the same, and the ladder says what is wrong with it.
        """
        found = self._strict(blocks, lessons, held)
        if found:
            return found
        heavy = any(self.overload([block]) for block in blocks)
        found = pack_or_drop(blocks, lessons, self.minutes, self.terms, self.overload, held) if heavy else None
        if found is None:
            raise self._what_gives(blocks, lessons, held)
        return found

    def begun(self, blocks: Sequence[Block], first: Collection[str]) -> tuple[Block, ...]:
        """The same, with those ``first`` held in the first lesson, where they and all before them have room in it."""
        row = list(blocks)
        for place, block in enumerate(blocks):
            start = blocks[: place + 1]
            if block.id in first and all(each.lesson in (None, 1) for each in start) and self._has_room(start):
                row[place] = replace(block, lesson=1)
        return tuple(row)

    def _has_room(self, blocks: Sequence[Block]) -> bool:
        return lesson_points(blocks, self.minutes, self.terms, None, lambda _: False) < NEVER

    def repeated(self, blocks: Sequence[Block], again: Collection[str], lessons: int) -> tuple[Block, ...]:
        """The same with steps done again, each at the beginning of the next lesson, after what fills its own best.

        Nothing is done again before all that belongs in the first lesson. What does best is seen in as many lessons as
        keep every step, so that none falls out for it.
        """
        row = list(blocks)
        for block in blocks:
            if block.id in again:
                twice = replace(block, begins=True, lesson=None, again=True)
                after = 1 + max(place for place, each in enumerate(row) if each is block or each.lesson == 1)
                places = range(after, min(after + self.terms.most_steps(self.minutes), len(row)) + 1)
                anywhere = [*row[:after], replace(twice, begins=False), *row[after:]]
                count = enough(anywhere, self.minutes, self.terms, above=lessons - 1)
                row = min(([*row[:at], twice, *row[at:]] for at in places), key=lambda each: self._points(each, count))
        return tuple(row)

    def _points(self, blocks: Sequence[Block], lessons: int) -> float:
        found = pack(blocks, lessons, self.minutes, self.terms, self.overload)
        return found.points if found else NEVER

    def _strict(self, blocks: Sequence[Block], lessons: int, held: Sequence[Filling]) -> Packing | None:
        terms = replace(self.terms, overload=NEVER)
        return pack_or_drop(blocks, lessons, self.minutes, terms, self.overload, held)

    def _what_gives(self, blocks: Sequence[Block], lessons: int, held: Sequence[Filling]) -> DoesNotFitError:
        minutes, around = self.minutes, self.terms.opening.least + self.terms.close.least
        kept = [block for block in blocks if not block.worth]
        most = max((around + block.span.least, block.id) for block in kept)
        if most[0] > minutes:
            needs = f"which needs {most[0]} with opening and close"
            return DoesNotFitError(f"a lesson of {minutes} minutes has no room for the step {most[1]!r}, {needs}")
        fixed = [block.id for block in kept if block.lesson is not None and block.lesson > 0]
        for count in range(lessons + 1, lessons + 80):
            if self._strict(kept, count, held):
                return TooFewLessonsError(
                    f"the steps that cannot be left out need {count} lessons of {minutes} minutes; there are {lessons}"
                )
        also = f", or fix {', '.join(fixed)} to other lessons" if fixed else ""
        return DoesNotFitError(f"the steps do not fit into {lessons} lessons of {minutes} minutes; skip some{also}")


class _News:
    """What each step brings that is new, for every player, in the order the steps are taught."""

    def __init__(self, plan: CoursePlan, players: Sequence[Player], ladder: Ladder) -> None:
        self._ladder, self._steps = ladder, plan.steps
        self._new: list[tuple[Player, dict[str, tuple[Known, Known]]]] = []
        for player in players:
            room = next((room.id for room in plan.rooms if player.instrument.group in room.groups), plan.rooms[0].id)
            music = [plan.items[ident] for unit in plan.units for step in unit.steps for ident in step.music]
            reader, found = OnTheWay(player, room, music), {}
            for unit in plan.units:
                for step in unit.steps:
                    before = reader.known
                    reader.parts(plan.items[ident] for ident in step.music)
                    found[step.id] = (before, reader.known)
            self._new.append((player, found))

    def overload(self, blocks: Sequence[Block]) -> bool:
        """Whether these steps, in one lesson, bring anyone more than the ladder allows."""
        blocks = [block for block in blocks if not block.again]
        if not blocks:
            return False
        stages = {self._steps[block.id].stage for block in blocks}
        first, last = blocks[0].id, blocks[-1].id
        return any(
            self._ladder.overloads(player, news[first][0], news[last][1].minus(news[first][0]), stages)
            for player, news in self._new
        )
