#!/usr/bin/env python3
"""Courses of bands, rooms and evenings drawn by lot: what becomes of them, and what in them a teacher would not accept.

``.venv/bin/python tests/measure_courses.py [cases [seed]]``. Each case is a band, a room and a calendar, steps that are
skipped, repeated and held, and up to six lessons that went otherwise than planned, told one after another. A case that
cannot be made must say why. ``print(played(…))`` of one case is read as a teacher would.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]

from plans import files  # noqa: E402

from beginnerband.data.book import Book, load_book  # noqa: E402
from beginnerband.data.course import CourseBook, course_of  # noqa: E402
from beginnerband.data.course_plan_file import DoneFile  # noqa: E402
from beginnerband.data.problems import Problem, Problems  # noqa: E402
from beginnerband.music.player import Player  # noqa: E402
from beginnerband.teaching.calendar import Holiday, Teaching, spread  # noqa: E402
from beginnerband.teaching.course import Lesson  # noqa: E402
from beginnerband.teaching.grading import kinds  # noqa: E402

LIPS = 11
"""Minutes of real playing without a rest, at most (common practice, no source)."""

WAIT = 120
"""Seconds that anybody waits for a turn, at most (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Evening:
    """A band, how it is taught, and what its leader overruled and told."""

    seed: int
    """From which it was drawn."""
    players: tuple[Player, ...]
    """Who plays."""
    teaching: Teaching
    """When, where and by how many."""
    plan: dict[str, Any]
    """Keys of plan.yml that are overruled."""
    done: tuple[DoneFile, ...] = ()
    """What really happened, in order."""


def drawn(book: Book, seed: int) -> Evening:
    """A case by lot."""
    rng = random.Random(seed)
    names = [ident for ident in book.instruments if ident not in ("drums", "glockenspiel", "xylophone")]
    rows = rng.sample(names, rng.randint(1, 7))
    rows += [ident for ident in ("drums", "glockenspiel") if rng.random() < 0.6]
    players = []
    for ident in sorted(rows, key=list(book.instruments).index):
        instrument = book.instruments[ident]
        players.append(Player(instrument, rng.choice(instrument.readings), rng.randint(1, 5)))
    week = rng.choice((1, 1, 1, 2))
    start = date(2026, 9, 1) + timedelta(days=rng.randrange(60))
    holidays = tuple(
        Holiday(day, day + timedelta(days=rng.choice((0, 4, 11))))
        for day in (start + timedelta(days=rng.randrange(20, 200)) for _ in range(rng.randrange(4)))
    )
    minutes = rng.choice((30, 35, 40, 45, 45, 45, 50, 60, 75, 90))
    teaching = Teaching(
        start=start,
        lessons=max(12, round(1170 / minutes) + rng.randint(-3, 8)),
        minutes=minutes,
        rooms=rng.choice((1, 1, 2)),
        adults=rng.choice((1, 2, 3, 4)),
        ages=rng.choice(("children", "mixed", "adults")),
        offsets=spread(week),
        holidays=holidays,
    )
    other = random.Random(seed + 2)
    if other.random() < 0.2:
        teaching = replace(teaching, minutes=other.choice((20, 25)), lessons=other.randint(45, 70))
    elif other.random() < 0.25:  # far more time than the steps need
        teaching = replace(teaching, lessons=round(teaching.lessons * other.uniform(1.3, 2.2)))
    steps = [step for ident in files().plan.order for step in files().units[ident][0].steps]
    needed = {need for file, _ in files().units.values() for step in file.steps for need in step.needs}
    needed |= {frame.after for frame in (*files().plan.openings, *files().plan.closes)}
    needed |= {task.after for task in files().drums[0].tasks} | {file.after for file, _ in files().units.values()}
    free = [step.id for step in steps if step.id not in needed and not step.at and not step.music and not step.pieces]
    plan: dict[str, Any] = {}
    if rng.random() < 0.3:
        plan["skip"] = rng.sample(free, 1)
    if rng.random() < 0.3:
        plan["repeat"] = rng.sample([step.id for step in steps if step.at in (None, "first")], 1)
    return Evening(seed, tuple(players), teaching, plan)


def made(book: Book, case: Evening) -> tuple[CourseBook | None, list[Problem]]:
    """The course of a case, or what keeps it from being made."""
    problems = Problems(ROOT)
    plan = files().plan.model_copy(update={**case.plan, "done": list(case.done)})
    band = replace(book.band, players=case.players, teaching=case.teaching)
    course = course_of(replace(files(), plan=plan), band, book.tunes, book.pieces, problems, book.breaths)
    return course, sorted(problems.found)


def played(book: Book, case: Evening) -> Iterator[tuple[Evening, CourseBook | None, list[Problem]]]:
    """A case as planned, and again after each lesson that went otherwise."""
    rng = random.Random(case.seed + 1)
    course, wrong = made(book, case)
    yield case, course, wrong
    lesson = 0
    for _ in range(rng.randint(0, 6)):
        lesson += rng.randint(1, 5)
        if course is None or lesson > len(course.course.weeks) - 2:
            return
        case = replace(case, done=(*case.done, _told(rng, course, course.course.weeks[lesson - 1])))
        course, wrong = made(book, case)
        yield case, course, wrong


def _told(rng: random.Random, course: CourseBook, lesson: Lesson) -> DoneFile:
    """What a leader says of a lesson."""
    taught = [step.id for step in lesson.steps if step.kind == "teach"]
    own = {step.id for ident in files().plan.order for step in files().units[ident][0].steps}
    taught = [ident for ident in taught if ident in own and not lesson.spare]
    kind = rng.choice(("to", "to", "half", "again", "cancelled", "far"))
    if kind == "cancelled" or (kind != "again" and not taught):
        return DoneFile(lesson=lesson.number, cancelled=True)
    if kind == "again":
        return DoneFile(lesson=lesson.number, again=True)
    if kind == "far":
        row = [step.id for each in course.course.weeks for step in each.steps if step.id in own and not each.spare]
        return DoneFile(lesson=lesson.number, to=row[min(row.index(taught[-1]) + rng.randint(1, 3), len(row) - 9)])
    return DoneFile(lesson=lesson.number, to=rng.choice(taught), half=kind == "half")


def faults(book: Book, case: Evening, course: CourseBook) -> Iterator[str]:
    """What a teacher would not accept in a course."""
    weeks, over = course.course.weeks, case.done[-1].lesson if case.done else 0
    yield from _whole(case, course)
    yield from _order(case, weeks)
    yield from _waits(weeks[over:])
    for lesson in weeks[over:]:
        rest = 0.0
        for step in lesson.steps:
            rest = rest + step.minutes * step.lips if step.lips >= 0.25 else 0.0
            if rest > LIPS:
                yield f"{lesson.id}: lips play {rest:.1f} minutes up to {step.id}"
                break
    for player in course.players:
        for week in course.grades.weeks[player.id][over:]:
            if len(kinds(week.before, week.new)) > 2:
                yield f"{week.lesson.id}: {kinds(week.before, week.new)} are new to the {player.id}"
    yield from _unmet(book, course)
    yield from _nothing_known(weeks[over:], weeks)
    yield from _first_and_spare(case, weeks)


def _nothing_known(weeks: Sequence[Lesson], every: Sequence[Lesson]) -> Iterator[str]:
    """Time that is left to what is known, before there is a note."""
    for lesson in weeks:
        known = any(item for each in every[: lesson.number] for item in each.items)
        for step in lesson.steps:
            if step.kind == "review" and not known:
                yield f"{lesson.id}: {step.minutes} minutes to play what is known, when nothing is"


def _first_and_spare(case: Evening, weeks: Sequence[Lesson]) -> Iterator[str]:
    """A first lesson in which nobody makes a sound; a lesson to catch up with nothing behind it."""
    taught = [{step.id for step in lesson.steps} for lesson in weeks]
    if not case.done and "any-sound" not in taught[0] and any(player.instrument.brass for player in case.players):
        yield "nobody makes a sound in the first lesson"
    for at, lesson in enumerate(weeks):
        if (
            lesson.spare
            and "shared-sound" not in case.plan.get("skip", ())
            and not any("shared-sound" in each for each in taught[:at])
        ):
            yield f"{lesson.id}: catches up before there is a note"


def _whole(case: Evening, course: CourseBook) -> Iterator[str]:
    weeks, dates = course.course.weeks, course.dates
    if len(weeks) != course.teaching.count:
        yield f"{len(weeks)} lessons for {course.teaching.count}"
    if len(dates) != len(weeks) or list(dates) != sorted(set(dates)):
        yield f"{len(dates)} days for {len(weeks)} lessons, or not in order"
    for day in dates:
        if any(day in holiday for holiday in course.teaching.holidays):
            yield f"a lesson on {day}, a holiday"
    for lesson in weeks:
        if sum(step.minutes for step in lesson.steps) != case.teaching.minutes:
            yield f"{lesson.id}: minutes do not add up"
        if any(step.minutes < 1 for step in lesson.steps):
            yield f"{lesson.id}: a step of no minutes"
        if lesson.steps[0].kind != "opening" or lesson.steps[-1].kind != "close":
            yield f"{lesson.id}: no opening or no close"
        if not lesson.practice or not lesson.at_home:
            yield f"{lesson.id}: nothing to do at home"
    for title, count in Counter(lesson.title for lesson in weeks).items():
        if count > 1:
            yield f"{count} lessons are called {title!r}"


def _waits(weeks: Sequence[Lesson]) -> Iterator[str]:
    for lesson in weeks:
        for step in lesson.steps:
            for each in (one for _, one in step.rooms or (("", step),)):
                if each.turn and each.turn.wait > WAIT:
                    yield f"{lesson.id}: a player waits {each.turn.wait:.0f} seconds in {step.id}"
                if each.turn and each.turn.count * each.turn.seconds > step.minutes * 60:
                    yield f"{lesson.id}: {step.id} has no time for a round"


def _order(case: Evening, weeks: Sequence[Lesson]) -> Iterator[str]:
    """Steps before what they need, the concert elsewhere, what was skipped."""
    needs = {step.id: step.needs for ident in files().plan.order for step in files().units[ident][0].steps}
    before: set[str] = set()
    for lesson in weeks:
        for step in lesson.steps:
            missing = [need for need in needs.get(step.id, ()) if need not in before]
            if missing:
                yield f"{lesson.id}: {step.id} before {missing[0]}"
            if step.id in case.plan.get("skip", ()):
                yield f"{lesson.id}: {step.id} was to be skipped"
            before.add(step.id)
    if "dress-rehearsal" not in {step.id for step in weeks[-2].steps}:
        yield "no dress rehearsal in the lesson before the last"
    if "the-concert" not in {step.id for step in weeks[-1].steps}:
        yield "no concert in the last lesson"


def _unmet(book: Book, course: CourseBook) -> Iterator[str]:
    """Music that a card names before anybody has it on a sheet."""
    titles = {item.title.split(" (")[0] for lesson in course.course.weeks for item in lesson.items}
    titles = {title for title in titles | {piece.title for piece in book.pieces.values()} if " " in title}
    for lesson in course.course.weeks:
        titles -= {item.title.split(" (")[0] for item in lesson.items}
        titles -= {book.pieces[each].title for each in lesson.pieces}
        drums = [lesson.percussion, lesson.percussion.bars] if lesson.percussion else []
        said = [lesson.aim, lesson.ready, lesson.at_home, *(line.text for line in lesson.practice)]
        said += [text for step in lesson.steps for text in (step.say, step.how, step.listen, step.quick, step.slow)]
        said += [text for task in drums if task for text in (task.aim, task.do, *task.practice)]
        for title in titles:
            if any(_names(title, text) for text in said):
                yield f"{lesson.id}: names {title!r}, which nobody has yet"


def _names(title: str, text: str) -> bool:
    """Whether a text names music; a title like any words, as ``Five steps``, may begin a sentence."""
    proper = sum(word[0].isupper() for word in title.split()) > 1
    places = re.finditer(rf"\b{re.escape(title)}\b", text)
    return any(proper or not re.search(r'(?:^|[.!?:"] ?)$', text[: place.start()]) for place in places)


def changed(past: CourseBook, now: CourseBook, lesson: int) -> Iterator[str]:
    """Cards of lessons before ``lesson`` that are not what they were."""
    for before, after in zip(past.course.weeks[: lesson - 1], now.course.weeks, strict=False):
        if before != after:
            names = [name for name in before.__slots__ if getattr(before, name) != getattr(after, name)]
            yield f"{before.id}: the card has changed in {', '.join(names)}, though the lesson is over"


def main(cases: int, seed: int) -> None:
    """Print the distribution of ``cases`` cases, and every fault."""
    book = load_book(ROOT)
    count, refused, found = 0, Counter[str](), Counter[str]()
    for number in range(seed, seed + cases):
        past: CourseBook | None = None
        for case, course, wrong in played(book, drawn(book, number)):
            count += 1
            if course is None:
                said = "; ".join(problem.message for problem in wrong)
                refused[re.sub(r"\d+", "N", said)[:150]] += 1
                if not wrong:
                    found["refused without a word"] += 1
                print(f"{number} after {len(case.done)}: refused: {said[:200]}")
                continue
            all_found = [*faults(book, case, course)]
            if past and case.done:
                all_found += changed(past, course, case.done[-1].lesson)
            for fault in all_found:
                print(f"{number} after {len(case.done)}: {fault}")
                found[re.sub(r"lesson-\d+|\d+(\.\d+)?|'[^']*'", "…", fault)[:90]] += 1
            past = course
    print(f"\n{cases} cases, {count} courses, {sum(refused.values())} refused")
    for said, times in refused.most_common():
        print(f"  refused {times}: {said}")
    for fault, times in found.most_common():
        print(f"  fault {times}: {fault}")


def from_command_line() -> None:
    """So many cases from a seed on, 30 from 1 where nothing is said."""
    given = [int(word) for word in sys.argv[1:]]
    main(*(given + [30, 1][len(given) :]))


if __name__ == "__main__":
    from_command_line()
