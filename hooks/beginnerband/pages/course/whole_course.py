"""The course on paper: all of it, in as many files as the print engine can set without taking much memory."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from beginnerband.data.course import CourseBook
from beginnerband.teaching.course import Lesson

MOST = 120
"""Cards and sheets in one file: the engine takes about two megabytes for each, and a book of 500 pages is no use."""


@dataclass(frozen=True, slots=True)
class CourseFile:
    """One file with the cards and sheets of some lessons."""

    uri: str
    """Path of the file from the site's root."""
    name: str
    """As "The whole course" or "Lessons 1 to 12"."""
    lessons: tuple[Lesson, ...]
    """Lessons in it, in order."""


def parts_of(course: CourseBook) -> tuple[CourseFile, ...]:
    """The files, each with about as many lessons as the others."""
    lessons = course.course.lessons
    most = max(1, MOST // (len(course.rooms) + len(course.players)))  # a room's leader may have a card of their own
    count = max(1, -(-len(lessons) // most))
    if count == 1:
        return (CourseFile("print/course.pdf", "The whole course", tuple(lessons)),)
    ends = [len(lessons) * number // count for number in range(count + 1)]
    each = [tuple(lessons[first:last]) for first, last in pairwise(ends)]
    return tuple(CourseFile(f"print/course-{number}.pdf", _name(some), some) for number, some in enumerate(each, 1))


def _name(lessons: tuple[Lesson, ...]) -> str:
    first, last = lessons[0].number, lessons[-1].number
    return f"Lesson {first}" if first == last else f"Lessons {first} to {last}"
