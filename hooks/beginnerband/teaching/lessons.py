"""Lessons of steps that are packed: with opening and close, rests for lips, practice, and what each says of itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import count

from beginnerband.music.player import Player
from beginnerband.music.words import in_sentence
from beginnerband.teaching.addressed import Addressed
from beginnerband.teaching.course import Lesson, Percussion, Span, Step
from beginnerband.teaching.courseplan import CoursePlan, Unit
from beginnerband.teaching.packing import QUIET, Block, Filling, mended, rests, shares

PRACTICE = 6
"""Days of home practice on a sheet."""

LATEST = 2
"""Units to catch up with in the last stage: so many that were of use last."""

FILLER = 3
"""Minutes from which time that is left is a step of its own; fewer go to the close."""


def _seen(unit: Unit, steps: Sequence[Step]) -> str:
    """What shows that a class may move on, where the unit is not at its aim yet: what its longest step is like."""
    own = {step.id for step in unit.steps}
    main = max((step for step in steps if step.id in own), key=lambda step: step.span.usual)
    return f"{main.title}: {in_sentence(main.listen.split('. ')[0].rstrip('.'))}."


def _in_place(row: Sequence[Step]) -> list[Step]:
    """The same steps, each rest where the step before it was: nobody changes rooms to rest."""
    told = list[Step]()
    for step in row:
        here = step.kind == "rest" and bool(told) and told[-1].together
        told.append(replace(step, together=True, how="", rooms=()) if here else step)
    return told


class LessonMaker:
    """Makes lessons of fillings, one after another."""

    def __init__(self, plan: CoursePlan, minutes: int, players: Sequence[Player]) -> None:
        self._plan, self._minutes, self._players = plan, minutes, players
        self._unit = {step.id: unit for unit in plan.units for step in unit.steps}
        self._steps = plan.steps
        self._taught: list[str] = []
        self._practice: list[Addressed] = []
        self._to_catch_up = set[Addressed]()
        self._titles: set[str] = set()
        self._spare = list(plan.spare)
        self._caught_up = list[str]()
        self._tasks = list(plan.percussion)
        self._task: Percussion | None = None
        self._stage = 0
        self._revised: list[str] = []
        self._met: set[str] = set()
        self._played: set[str] = set()
        self._tried: list[str] = []
        self._comes = {ident for step in self._steps.values() for ident in (*step.music, *step.pieces)}

    def lessons(self, fillings: Iterable[Filling]) -> list[Lesson]:
        """Every lesson."""
        made = [self._lesson(number, filling) for number, filling in enumerate(fillings, 1)]
        if not self._plan.without_brass:
            return made
        self._titles = set()
        return [self._of_hands(lesson) for lesson in made]

    def _name(self, title: str) -> str:
        """A title that no lesson has yet, as ``Bass drum (3)``."""
        again = (f"{title} ({count})" for count in range(2, PRACTICE * len(self._titles) + 9))
        found = next(name for name in (title, *again) if name not in self._titles)
        self._titles.add(found)
        return found

    def _of_hands(self, lesson: Lesson) -> Lesson:
        """A lesson for drums and mallets alone: their task, and what of its steps needs no breath and no notes."""
        assert lesson.percussion  # a band without brass has percussion
        tasks = list(dict.fromkeys(lesson.percussion.of(player) for player in self._players))
        own = self._plan.without_brass
        assert own
        first = self._plan.stages[0].id
        kept = [step for step in lesson.steps if step.kind == "teach" and not (step.lips or step.music or step.pieces)]
        kept = [step for step in kept if step.stage != first]
        done = " ".join(task.do if task.bars or len(tasks) == 1 else f"Mallets: {task.do}" for task in tasks)
        task, music = tasks[0], tuple(item.id for item in lesson.items)
        order = [stage.id for stage in self._plan.stages]
        stage = max(lesson.stages, key=order.index)
        learn = replace(own.task, id="task", title=task.title, how=done, music=music, pieces=lesson.pieces, stage=stage)
        if task.say:
            learn = replace(learn, say=task.say)
        tried = [] if task.say else [replace(own.home, id="try-home")]
        row = [own.opening, learn, *tried, *kept, own.close]
        shared = shares([step.span for step in row], self._minutes)
        return replace(
            lesson,
            title=self._name(task.title),
            aim=task.aim,
            ready=task.ready or f"{own.ready} {in_sentence(task.aim)}",
            bring=own.bring,
            at_home=self._plan.at_home if task.say else f"{own.at_home} {task.practice[0]}",
            practice=tuple(map(Addressed, task.practice)),
            steps=tuple(replace(step, minutes=share) for step, share in zip(row, shared, strict=True)),
        )

    def _lesson(self, number: int, filling: Filling) -> Lesson:
        unit, teach = self._spare_unit() if filling.spare else self._taught_unit(filling)
        opening = self._latest(self._plan.openings, number)
        self._taught += [block.id for block in filling.blocks]
        close = self._latest(self._plan.closes, number)
        if filling.spare:  # what does not fit is not spoken of, at home either
            teach = self._that_fit(teach, opening, close)
        steps = self._timed(teach, opening, close)
        self._met |= {ident for step in teach for ident in (*step.music, *step.pieces)}
        self._played |= {ident for step in teach if step.lips for ident in (*step.music, *step.pieces)}
        items = dict.fromkeys(ident for step in steps for ident in step.music)
        stage = self._stage_after(unit.stage)
        for step in teach:
            self._stage_after(step.stage or unit.stage)  # what comes next may begin with what these steps brought
        bring = dict.fromkeys(
            thing for step in teach for thing in (unit if filling.spare else self._unit[step.id]).bring
        )
        return Lesson(
            id=f"lesson-{number:02d}",
            number=number,
            title=self._title(unit, teach),
            stage=stage,
            spare=filling.spare,
            aim=self._aim(unit),
            bring=tuple(bring),
            steps=steps,
            items=tuple(self._plan.items[ident] for ident in items),
            ready=unit.ready if self._reached(unit) and self._shown(unit, teach) else _seen(unit, teach),
            practice=self._home(teach, filling.spare),
            percussion=self._drums([block.id for block in filling.blocks]),
            at_home=self._at_home(unit, teach),
        )

    def _aim(self, unit: Unit) -> str:
        """What a unit aims at; before the step with which it is reached, as what is on its way."""
        return unit.aim if self._reached(unit) else f"On the way: {in_sentence(unit.aim)}"

    def _reached(self, unit: Unit) -> bool:
        """Whether the step with which a unit's aim is reached was taught."""
        placed, own = self._plan.placed, {step.id for step in unit.steps} & self._steps.keys()
        wanted = {unit.reached} & own or own - placed.worth.keys()
        return not wanted - {*self._taught, *placed.skip}

    def _shown(self, unit: Unit, steps: Sequence[Step]) -> bool:
        """Whether a class can show with these steps that a unit is reached: its music was played, some of it today."""
        today = {ident for step in steps for ident in (*step.music, *step.pieces)}
        return unit.ready_for <= self._played and (not unit.ready_for or bool(unit.ready_for & today))

    def _at_home(self, unit: Unit, steps: Sequence[Step]) -> str:
        """What the leader tries before: something new each time, that speaks of no music still to come."""
        own = [unit.at_home] if unit.at_home_for <= self._met else []
        own += [step.at_home for step in sorted(steps, key=lambda step: -step.span.usual) if step.at_home]
        fresh = [text for text in own if text not in self._tried]
        text = next(iter(fresh), own[-1] if own and self._plan.at_home in self._tried[-1:] else self._plan.at_home)
        self._tried.append(text)
        return text

    def _stage_after(self, stage: str) -> str:
        """A unit's stage, or the one the course has come to: a lesson to catch up does not go back."""
        order = [each.id for each in self._plan.stages]
        self._stage = max(self._stage, order.index(stage))
        return order[self._stage]

    def _taught_unit(self, filling: Filling) -> tuple[Unit, list[Step]]:
        """The unit that has most of a lesson, one whose title is not used yet before others, and the steps."""
        steps = [replace(self._steps[block.id], span=block.span) for block in filling.blocks]
        minutes: dict[str, int] = {}
        for step in steps:
            unit = self._unit[step.id]
            minutes[unit.id] = minutes.get(unit.id, 0) + step.span.usual
        units = {self._unit[step.id].id: self._unit[step.id] for step in steps}
        best = max(units, key=lambda ident: minutes[ident] * (1 if units[ident].title in self._titles else 2))
        return units[best], steps

    def _spare_unit(self) -> tuple[Unit, list[Step]]:
        """The next unit to catch up with that fits what is taught, and its steps that do.

        Where none is left, the one that was had least, of those the one had longest ago, and of those the latest. In
        the last stage it is one of the latest alone: nobody goes back to a first tune in the weeks before a concert.
        """
        usable = [unit for unit in self._plan.spare if self._usable(unit)]
        if len(self._plan.stages) > 1 and self._stage == len(self._plan.stages) - 1:
            usable = usable[-LATEST:]
        fresh = [unit for unit in usable if unit in self._spare]
        self._spare = [unit for unit in self._spare if unit not in fresh]
        unit = fresh[-1] if fresh else min(reversed(usable or self._plan.spare), key=self._had)
        self._caught_up.append(unit.id)
        return unit, [step for step in unit.steps if self._known(step)] or list(unit.steps)

    def _had(self, unit: Unit) -> tuple[int, int]:
        """How often a unit to catch up with was had, and how long ago, the longest first."""
        row = self._caught_up[::-1]
        return row.count(unit.id), -row.index(unit.id) if unit.id in row else 0

    def _usable(self, unit: Unit) -> bool:
        """Whether a unit to catch up with is of use by now."""
        return (not unit.after or unit.after in self._taught) and any(map(self._known, unit.steps))

    def _known(self, step: Step) -> bool:
        """Whether all music of a step to catch up with was taught, as far as any step teaches it."""
        return not {*step.music, *step.pieces} & self._comes - self._met

    def _title(self, unit: Unit, steps: Sequence[Step]) -> str:
        """The unit's title; from its second lesson on, that of the longest step not used as a title yet."""
        names = [unit.title, *(step.title for step in sorted(steps, key=lambda step: -step.span.usual))]
        title = next((name for name in names if name not in self._titles), f"{unit.title}, once more")
        self._titles.add(title)
        return title

    def _timed(self, teach: Sequence[Step], opening: Step, close: Step) -> tuple[Step, ...]:
        """Opening, steps with rests between, close: each with its minutes, which add up to the lesson."""
        plan, kept = self._plan, list(teach)
        before = self._until_the_end(kept)
        kept[before:before] = self._revision(kept, self._minutes - opening.span.most - close.span.most)
        blocks = [Block(step.id, step.span, "", step.lips) for step in kept]
        pauses = set(rests(blocks, plan.terms))
        row = [opening]
        for place, step in enumerate(kept):
            row += [plan.rest] * (place in pauses) + [step]
        row = self._filled([*row, close])
        minutes = self._minutes_of(row)
        while sum(step.span.least for step in (*row, plan.rest)) <= self._minutes:
            pause = mended([(share, step.lips) for step, share in zip(row, minutes, strict=True)], plan.terms)
            if pause is None:
                break
            row.insert(pause, plan.rest)
            minutes = self._minutes_of(row)
        return tuple(replace(step, minutes=share) for step, share in zip(_in_place(row), minutes, strict=True))

    def _filled(self, row: list[Step]) -> list[Step]:
        """The same, with something known to play where there is time left: in as few parts, with rests between, as lips
        may play without one.
        """
        left = self._minutes - sum(step.span.most for step in row)
        if left < FILLER:
            return row
        filler, pause = self._plan.filler, self._plan.rest.span.usual
        most = self._plan.terms.rest_by
        parts = next(parts for parts in count(1) if (left - (parts - 1) * pause) / parts * filler.lips <= most)
        playing = left - (parts - 1) * pause
        shared = [playing // parts + (place < playing % parts) for place in range(parts)]
        known = [replace(filler, span=Span(least=1, usual=share, most=share)) for share in shared]
        before = self._until_the_end(row[:-1])
        row[before:before] = [step for each in known for step in (self._plan.rest, each)][1:]
        return row

    def _minutes_of(self, row: Sequence[Step]) -> tuple[int, ...]:
        """Minutes of each step, which add up to the lesson: what is left over goes to the last."""
        spans = [step.span for step in row]
        if sum(span.least for span in spans) > self._minutes:  # more was done than a lesson has room for
            spans = [Span(least=1, usual=span.usual, most=span.most) for span in spans]
        minutes = list(shares(spans, self._minutes))
        minutes[-1] += self._minutes - sum(minutes)
        return tuple(minutes)

    def _revision(self, steps: Sequence[Step], minutes: int) -> list[Step]:
        """Steps to catch up with, for the time that these leave even in their longest form: the latest first.

        Before the concert nobody is sent to another room.
        """
        ending = self._ends([step.id for step in steps])
        left = minutes - sum(step.span.most for step in steps)
        room = self._plan.terms.most_steps(self._minutes) - len(steps)
        usable = [unit for unit in self._plan.spare if not unit.after or unit.after in self._taught[:-1]]
        found = list[Step]()
        for step in sorted(
            (
                step
                for unit in reversed(usable)
                for step in unit.steps
                if step not in steps and self._known(step) and (step.together or not ending)
            ),
            key=lambda step: self._revised.count(step.id),
        ):
            if len(found) < room and step.span.usual <= left:
                found.append(step)
                left -= step.span.most
        self._revised += [step.id for step in (*steps, *found)]
        return found

    def _that_fit(self, steps: Sequence[Step], opening: Step, close: Step) -> list[Step]:
        """As many steps of a spare lesson as there is time for."""
        kept, left = list[Step](), self._minutes - opening.span.least - close.span.least
        for step in steps:
            if kept and (step.span.least > left or len(kept) == self._plan.terms.most_steps(self._minutes) - 1):
                break
            kept.append(step)
            left -= step.span.least + (self._plan.rest.span.least if step.lips >= QUIET else 0)
        return kept

    def _latest(self, choices: Sequence[tuple[str, Step]], number: int) -> Step:
        """The last that is of use by now, or one of those that came with it, in turn."""
        usable = [step for after, step in choices if not after or after in self._taught]
        newest = [after for after, _ in choices if not after or after in self._taught][-1]
        turn = [step for (after, step) in choices if after == newest]
        return turn[number % len(turn)] if turn else usable[-1]

    def _until_the_end(self, steps: Sequence[Step]) -> int:
        """How many steps come before those that the course ends with: after the concert nothing is practised."""
        return next((place for place, step in enumerate(steps) if self._ends([step.id])), len(steps))

    def _ends(self, today: Sequence[str]) -> bool:
        """Whether the course ends with these steps, with nothing left to practise for."""
        return any(self._plan.placed.lessons.get(ident) == -1 for ident in today)

    def _home(self, steps: Sequence[Step], spare: bool) -> tuple[Addressed, ...]:
        """Home practice: what these steps give, filled up with what was given last, unless the course is over.

        In the days before the concert that comes first, since the last of them rest, and it is no catching up.
        """
        own = list(dict.fromkeys(line for step in steps for line in step.practice))[-PRACTICE:]
        if self._ends([step.id for step in steps]):
            return tuple(own)
        last = any(self._plan.placed.lessons.get(step.id) == -2 for step in steps)
        older = [line for line in reversed(self._practice) if line not in own]
        older = [line for line in older if not (last and line in self._to_catch_up)][: PRACTICE - len(own)]
        self._practice = [*(line for line in self._practice if line not in own), *own]
        self._to_catch_up |= set(own) if spare else set()
        return (*older, *own) if last else (*own, *older)

    def _drums(self, today: Sequence[str]) -> Percussion | None:
        """The next task of the drums' course, as soon as its step is taught; else the last goes on.

        Where steps come faster than lessons, a task gives way to the next one that was due before ``today``.
        """
        before = {*self._taught[: len(self._taught) - len(today)], ""}
        if self._ends(today):  # the concert does not wait for what was due before it
            self._tasks = [task for task in self._tasks if task[0] in today][-1:] or self._tasks
        while len(self._tasks) > 1 and self._tasks[1][0] in before:
            self._tasks.pop(0)
        if self._tasks and self._tasks[0][0] in {*self._taught, ""}:
            after, self._task = self._tasks.pop(0)
            return self._task if after in {*today, ""} or not self._task else self._task.going_on
        return self._task and self._task.going_on
