"""What a course is composed of, before it is packed: units of steps in their order, openings, closes, wishes, events.

Units are already in the words of the band they are for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field

from beginnerband.teaching.course import FirstSound, Item, Percussion, Room, Stage, Step
from beginnerband.teaching.packing import Terms


@dataclass(frozen=True, slots=True)
class Unit:
    """Steps that belong together."""

    id: str
    """Name of its file."""
    _: KW_ONLY
    title: str
    """As people read it."""
    stage: str
    """Id of its stage."""
    aim: str
    """What everyone can do at its end, one sentence."""
    reached: str = ""
    """The step with which that is so; empty: the last of those that are never left out."""
    ready: str
    """How the leader sees that the class may move on."""
    at_home: str
    """What the leader tries before the lesson."""
    bring: tuple[str, ...]
    """What to bring."""
    steps: tuple[Step, ...]
    """In order."""
    after: str = ""
    """For a unit to catch up with: the step after which it is of use."""
    ready_for: frozenset[str] = frozenset()
    """Ids of music and pieces that ``ready`` names: before all are met, the class is looked at another way."""
    at_home_for: frozenset[str] = frozenset()
    """Ids of those that ``at_home`` names: before all are met, something else is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Wishes for the steps, by step id."""

    lessons: Mapping[str, int] = field(default_factory=dict, hash=False)
    """The lesson a step is held in; negative from the end."""
    first: frozenset[str] = frozenset()
    """Steps that belong in the first lesson, where all before them finds room there as well."""
    worth: Mapping[str, int] = field(default_factory=dict, hash=False)
    """What leaving a step out costs; steps that are not here are never left out."""
    skip: frozenset[str] = frozenset()
    """Steps left out by the leader."""
    repeat: frozenset[str] = frozenset()
    """Steps done a second time, in the next lesson."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """What really happened in one lesson."""

    lesson: int
    """Its number."""
    lessons: int
    """Lessons of the whole course, as it was planned before that."""
    to: str = ""
    """The last step that was done; empty with ``cancelled`` or ``again``."""
    half: bool = False
    """That step was only half done."""
    again: bool = False
    """Most were not there yet: the same steps come again."""
    cancelled: bool = False
    """There was no lesson."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WithoutBrass:
    """What a lesson is made of in a band of drums and mallets alone, for whom the units are not written."""

    bring: tuple[str, ...]
    """What to bring."""
    ready: str
    """How the leader sees that the class may move on; what they can do follows."""
    at_home: str
    """What the leader tries before: day 1 of the home practice follows."""
    opening: Step
    """How a lesson begins."""
    task: Step
    """How the task of the day is done."""
    home: Step
    """How home practice is tried."""
    close: Step
    """How it ends."""


@dataclass(frozen=True, slots=True)
class CoursePlan:
    """All that a course is composed of."""

    _: KW_ONLY
    stages: tuple[Stage, ...]
    """In order."""
    rooms: tuple[Room, ...]
    """Who is taught with whom when apart; one room where there is one."""
    units: tuple[Unit, ...]
    """In the order they are taught."""
    spare: tuple[Unit, ...]
    """To catch up with, in order."""
    openings: tuple[tuple[str, Step], ...]
    """Each with the step from which it is used; the first from the beginning."""
    closes: tuple[tuple[str, Step], ...]
    """The same at the end of a lesson."""
    rest: Step
    """For lips."""
    filler: Step
    """Where time is left: play what is known."""
    at_home: str
    """What the leader tries before a lesson that has nothing of its own to try."""
    items: Mapping[str, Item] = field(hash=False)
    """All music by id."""
    percussion: tuple[tuple[str, Percussion], ...]
    """The course of the drums: each with the step from which it is taught."""
    terms: Terms
    """How lessons are packed."""
    placed: Placed = Placed()
    """What the leader overrules."""
    done: tuple[Done, ...] = ()
    """What really happened, by lesson."""
    start: FirstSound | None = None
    """The sound on which everyone begins."""
    without_brass: WithoutBrass | None = None
    """What lessons are made of in a band of drums and mallets alone; ``None`` for any other."""

    @property
    def steps(self) -> dict[str, Step]:
        """Every step that is taught, by id."""
        return {step.id: step for unit in self.units for step in unit.steps}


class DoesNotFitError(ValueError):
    """The course cannot be packed; the message says what gives."""


class TooFewLessonsError(DoesNotFitError):
    """The band's dates leave too few lessons of their length."""
