"""Slide positions as the course asks for them: which, how far out, and from which lesson on."""

from __future__ import annotations

from dataclasses import dataclass

from beginnerband.music.player import Player
from beginnerband.teaching.course import Course
from beginnerband.teaching.grading import Grades


@dataclass(frozen=True, slots=True)
class Asked:
    """A position the course asks of a player."""

    position: int
    """Number, 1 (right in) to 7."""
    cm: float
    """How far out the slide is, centimetres."""
    lesson: int
    """Number of the first lesson that has a note there."""


def asked(course: Course, grades: Grades, player: Player) -> tuple[Asked, ...]:
    """Each position without the trigger that the course asks of ``player``, in the order met, near before far.

    Empty for a player without a slide.
    """
    found: dict[int, Asked] = {}
    for written, place in sorted(grades.first_met(player.id).items(), key=lambda pair: pair[1]):
        way = player.standard(written)
        if way and way.position and not way.trigger:
            found.setdefault(way.position, Asked(way.position, way.reach_cm, course.weeks[place].number))
    return tuple(sorted(found.values(), key=lambda each: (each.lesson, each.position)))
