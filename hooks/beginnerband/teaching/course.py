"""The course as values: stages, lessons, steps and the music in them, in the order it is taught."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from beginnerband.music.instrument import Instrument
from beginnerband.music.player import Player
from beginnerband.music.score import Line


@dataclass(frozen=True, slots=True)
class Stage:
    """A stretch of lessons with one purpose and one rung of the ladder."""

    id: str
    """As ``three-notes``."""
    name: str
    """As people read it."""
    about: str
    """What it is for, one sentence."""


@dataclass(frozen=True, slots=True)
class Room:
    """Players who are taught together when the groups are apart."""

    id: str
    """As ``bb``."""
    name: str
    """As ``B♭ group``."""
    groups: tuple[str, ...]
    """Learning groups that sit in it."""
    about: str
    """Who that is, for the leader."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a lesson."""

    title: str
    """What it is."""
    minutes: int
    """How long it takes."""
    together: bool
    """Everyone in one room, or each group in its own."""
    say: str
    """What the leader says."""
    listen: str
    """What the leader looks and listens for."""
    wrong: str
    """What usually goes wrong."""
    remedy: str
    """What helps."""
    guide: str
    """Page of the guide it rests on, without folder and ending; or empty."""
    music: tuple[str, ...] = ()
    """Ids of the lesson's music it uses."""


@dataclass(frozen=True, slots=True)
class Item:
    """One piece of music in a lesson."""

    id: str
    """Unique in its lesson."""
    title: str
    """As people read it."""
    line: Line = field(hash=False, repr=False)
    """The melody at concert pitch, in the key it was set down in."""
    keys: Mapping[str, int] = field(hash=False)
    """Concert key (fifths) by room id: the same for all rooms when the band plays together."""
    read: bool = False
    """Whether players see it; else it is taught by rote and only the leader does."""
    tune: str = ""
    """Id of the tune it is, or empty for an exercise of the lesson."""
    players: tuple[str, ...] = ()
    """Groups and instrument ids it is for; empty: everyone."""

    def is_for(self, player: Player) -> bool:
        """Whether ``player`` plays it."""
        return not self.players or player.instrument.group in self.players or player.id in self.players

    @property
    def shared_key(self) -> int | None:
        """The one concert key of every room, or ``None`` when each room has its own."""
        keys = set(self.keys.values())
        return keys.pop() if len(keys) == 1 else None


@dataclass(frozen=True, slots=True)
class Percussion:
    """What a lesson gives players without a mouthpiece in place of breath, lips and fingers."""

    aim: str
    """What they learn meanwhile, one sentence."""
    practice: tuple[str, ...]
    """Home practice, one line a day."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """One lesson."""

    id: str
    """File name without its ending, as ``lesson-07``."""
    number: int
    """The number in its id, printed on its card."""
    title: str
    """As people read it."""
    stage: str
    """Id of its stage."""
    spare: bool
    """A lesson of consolidation, in which nothing is new."""
    aim: str
    """What everyone can do at the end, one sentence."""
    bring: tuple[str, ...]
    """What to bring."""
    needs: tuple[str, ...]
    """Ids of lessons that must have been taught."""
    steps: tuple[Step, ...]
    """In order."""
    items: tuple[Item, ...]
    """Its music."""
    ready: str
    """How the leader sees that the class may move on."""
    practice: tuple[str, ...]
    """Home practice, one line a day."""
    pieces: tuple[str, ...] = ()
    """Ids of pieces in parts that are worked on."""
    percussion: Percussion | None = None
    """What percussion does instead; ``None``: the same as everyone."""

    def task_of(self, player: Player) -> Lesson | Percussion:
        """Whose ``aim`` and ``practice`` are ``player``'s."""
        return self.percussion if self.percussion and not player.instrument.brass else self

    @property
    def minutes(self) -> int:
        """How long all steps take."""
        return sum(step.minutes for step in self.steps)

    def item(self, item_id: str) -> Item:
        """Its music with this id; ``KeyError`` when there is none."""
        for item in self.items:
            if item.id == item_id:
                return item
        raise KeyError(item_id)


@dataclass(frozen=True, slots=True)
class Course:
    """Lessons in the order they are taught. A lesson may stand twice (repeated) or be left out (skipped)."""

    stages: tuple[Stage, ...]
    """In order."""
    rooms: tuple[Room, ...]
    """Who sits with whom when apart."""
    weeks: tuple[Lesson, ...]
    """The lesson of each week."""
    skipped: tuple[Lesson, ...] = ()
    """Lessons that are written but not in the plan."""
    minutes: int = 45
    """Length of a lesson."""

    def stage(self, stage_id: str) -> Stage:
        """The stage with this id."""
        return next(stage for stage in self.stages if stage.id == stage_id)

    def room_of(self, instrument: Instrument) -> Room:
        """The room an instrument's group sits in; the first room for a group that none names."""
        return next((room for room in self.rooms if instrument.group in room.groups), self.rooms[0])

    @property
    def lessons(self) -> tuple[Lesson, ...]:
        """Every lesson of the plan once, in the order first taught."""
        return tuple(dict.fromkeys(self.weeks))

    def weeks_of(self, lesson: Lesson) -> tuple[int, ...]:
        """Places in :attr:`weeks` (from 0) at which a lesson is taught."""
        return tuple(place for place, other in enumerate(self.weeks) if other.id == lesson.id)
