"""Courses of bands and rooms other than the shipped one, for tests, and printed to be read as a teacher would.

``python tests/plans.py`` prints them all, ``python tests/plans.py "35 x 30"`` those whose names hold these words.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "hooks"))

from beginnerband.data.book import Book, load_book  # noqa: E402
from beginnerband.data.course import CourseBook, course_of  # noqa: E402
from beginnerband.data.course_files import CourseFiles, read_course  # noqa: E402
from beginnerband.data.problems import Problem, Problems  # noqa: E402
from beginnerband.music.player import Player  # noqa: E402
from beginnerband.teaching.calendar import Teaching, spread  # noqa: E402

START = date(2026, 9, 16)
TEACHING = {
    "26 x 45, one room": Teaching(start=START, lessons=26),
    "26 x 45, two rooms": Teaching(start=START, lessons=26, rooms=2, adults=4),
    "35 x 30, one room": Teaching(start=START, lessons=35, minutes=30),
    "20 x 60, one room": Teaching(start=START, lessons=20, minutes=60),
    "13 weeks of two 40, one room": Teaching(start=START, lessons=26, minutes=40, offsets=spread(2)),
}
"""How long, how often and where."""

BANDS: dict[str, tuple[tuple[str, str, int], ...]] = {
    "no E♭ players": (
        ("cornet", "treble-bb", 5), ("trumpet", "treble-bb", 2), ("flugelhorn", "treble-bb", 1),
        ("trombone", "bass-c", 2), ("euphonium", "treble-bb", 2), ("bb-bass", "treble-bb", 1), ("drums", "rhythm", 2),
    ),
    "no B♭ players": (
        ("tenor-horn", "treble-eb", 5), ("f-horn", "treble-f", 2), ("eb-bass", "treble-eb", 2), ("drums", "rhythm", 1),
    ),
    "bass clef among the low brass": (
        ("cornet", "treble-bb", 5), ("tenor-horn", "treble-eb", 3), ("baritone", "bass-c", 2),
        ("trombone", "bass-c", 2), ("euphonium", "bass-c", 1), ("bb-bass", "bass-c", 1),
    ),
}  # fmt: skip
"""Instrument, reading and how many play it."""


@dataclass(frozen=True, slots=True)
class Case:
    """One course to make."""

    name: str
    """Which it is."""
    players: tuple[Player, ...]
    """Who plays."""
    teaching: Teaching
    """When, where and by how many."""


def players_of(book: Book, rows: Sequence[tuple[str, str, int]]) -> tuple[Player, ...]:
    """Players by instrument and reading."""
    return tuple(
        Player(book.instruments[ident], book.instruments[ident].reading(reading), count)
        for ident, reading, count in rows
    )


def cases(book: Book) -> list[Case]:
    """The five plans for the shipped band; and three other bands and adults alone, in one room and in two."""
    found = [Case(name, book.band.players, teaching) for name, teaching in TEACHING.items()]
    one, two = TEACHING["26 x 45, one room"], TEACHING["26 x 45, two rooms"]
    for name, rows in BANDS.items():
        found.append(Case(f"{name}, one room", players_of(book, rows), one))
        found.append(Case(f"{name}, two rooms", players_of(book, rows), two))
    for name, teaching in (("one room", replace(one, adults=1)), ("two rooms", replace(two, adults=2))):
        found.append(Case(f"adults only, {name}", book.band.players, replace(teaching, ages="adults")))
    return found


def made(book: Book, case: Case) -> tuple[CourseBook | None, list[Problem]]:
    """The course of a case, or what keeps it from being made."""
    problems = Problems(ROOT)
    band = replace(book.band, players=case.players, teaching=case.teaching)
    course = course_of(files(), band, book.tunes, book.pieces, problems, book.breaths)
    return course, sorted(problems.found)


@lru_cache(maxsize=1)
def files() -> CourseFiles:
    """The course's files, read once for all cases."""
    problems = Problems(ROOT)
    found = read_course(ROOT, problems)
    assert found, problems.found
    return found


def printed(course: CourseBook, words: bool = False) -> str:
    """The plan as a teacher reads it; with what is said and done, if ``words``."""
    lines = [course.course.start.words if course.course.start else ""]
    for place, lesson in enumerate(course.course.weeks):
        new = {
            player.id: " ".join(pitch.sign for pitch in course.grades.new_notes(player.id, place))
            for player in course.players
        }
        brings = ", ".join(f"{ident} {notes}" for ident, notes in new.items() if notes)
        steps = " | ".join(f"{step.minutes} {step.title}" for step in lesson.steps)
        lines.append(f"{lesson.number:2}{' spare' if lesson.spare else ''} {lesson.title} ({lesson.stage}): {steps}")
        lines.append(f"     new: {brings or 'nothing'}")
        if words:
            for step in lesson.steps:
                lines.append(f"     {step.minutes:2} {step.title}. SAY {step.say} HEAR {step.listen} HOW {step.how}")
            lines.append(f"     HOME {' / '.join(line.text for line in lesson.practice)}")
            if lesson.percussion:
                lines.append(f"     DRUMS {lesson.percussion.title}: {lesson.percussion.do}")
                if lesson.percussion.bars:
                    lines.append(f"     MALLETS {lesson.percussion.bars.do}")
    lines += [f"left out: {step.title} ({step.why})" for step in course.course.skipped]
    return "\n".join(lines)


if __name__ == "__main__":
    shipped = load_book(ROOT)
    for each in cases(shipped):
        if all(word in each.name for word in sys.argv[1:2]):
            found, wrong = made(shipped, each)
            print(f"\n== {each.name}")
            print(printed(found, "--words" in sys.argv) if found else "\n".join(map(str, wrong)))
