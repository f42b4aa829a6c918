"""The course as values: stages, lessons, steps and the music in them, in the order it is taught."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field, replace
from typing import Literal

from beginnerband.music.instrument import Instrument
from beginnerband.music.player import Player
from beginnerband.music.score import Line
from beginnerband.teaching.addressed import Addressed
from beginnerband.teaching.turns import Turn


@dataclass(frozen=True, slots=True)
class Stage:
    """A stretch of lessons with one purpose and one rung of the ladder."""

    id: str
    """As ``three-notes``."""
    _: KW_ONLY
    name: str
    """As people read it."""
    about: str
    """What it is for, one sentence."""


@dataclass(frozen=True, slots=True)
class Room:
    """Players who are taught together when the groups are apart."""

    id: str
    """As ``bb``."""
    _: KW_ONLY
    name: str
    """As ``B♭ group``."""
    groups: tuple[str, ...]
    """Learning groups that sit in it."""
    about: str
    """Who that is, for the leader."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Minutes a step takes."""

    least: int
    """Where time is short."""
    usual: int
    """As a rule."""
    most: int
    """Where there is time; more would bore."""

    def __add__(self, other: Span) -> Span:
        return Span(least=self.least + other.least, usual=self.usual + other.usual, most=self.most + other.most)


Kind = Literal["teach", "opening", "close", "rest", "review"]
"""What a step is for: to teach, to begin, to end, to rest the lips, or to play again what is known."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a lesson."""

    id: str
    """Unique in the course, as ``second-sound``."""
    _: KW_ONLY
    title: str
    """What it is."""
    minutes: int
    """How long it takes in this lesson."""
    span: Span
    """How long it may take."""
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
    """Ids of the music it uses."""
    how: str = ""
    """How it is done in this band's room or rooms: who plays, who fingers and sings, when they change."""
    quick: str = ""
    """For those who are quick."""
    slow: str = ""
    """For those who are not there yet."""
    lips: float = 0.5
    """Share of its time in which lips play, 0 to 1."""
    kind: Kind = "teach"
    """What it is for."""
    stage: str = ""
    """Id of the stage it belongs to."""
    pieces: tuple[str, ...] = ()
    """Ids of pieces in parts that are worked on."""
    practice: tuple[Addressed, ...] = ()
    """What it gives to do at home, a line each."""
    needs: tuple[str, ...] = ()
    """Ids of the steps that come before."""
    at_home: str = ""
    """What the leader tries at home before it; empty where that of its unit will do."""
    turn: Turn | None = None
    """How players take turns in it; ``None``: everybody plays at once."""
    rooms: tuple[tuple[str, Step], ...] = ()
    """Taught apart by group: id of a room, and the step as it is put to those who sit there."""

    def told_in(self, room: str) -> Step:
        """The step as its leader has it in a room."""
        return replace(dict(self.rooms).get(room, self), minutes=self.minutes)


@dataclass(frozen=True, slots=True)
class Item:
    """One piece of music in a lesson."""

    id: str
    """Unique in its lesson."""
    _: KW_ONLY
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
    plain: bool = False
    """Shown without a key signature, since those are not explained yet."""
    accompany: bool = False
    """Drums play beats to it instead of its rhythm."""
    why: str = ""
    """Why a tune stands here, where the build chose it among others."""

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
    _: KW_ONLY
    title: str = ""
    """What it is called."""
    do: str = ""
    """What they do in the lesson while the others learn notes, from the first minute."""
    later: str = ""
    """What they do in a lesson in which it goes on, beside other music; empty: the same."""
    ready: str = ""
    """What shows that they may move on, where nobody blows; empty: its aim, without the leader."""
    say: str = ""
    """What their leader says of it, where it is no task to learn and to try at home; empty: as of any task."""
    bars: Percussion | None = None
    """What players of mallets do instead; ``None``: the same."""

    @property
    def going_on(self) -> Percussion:
        """The same in a later lesson."""
        return replace(self, do=self.later or self.do, bars=self.bars and self.bars.going_on)

    def of(self, player: Player) -> Percussion:
        """What it is for ``player``."""
        return self.bars if self.bars and player.instrument.pitched else self


@dataclass(frozen=True, slots=True)
class Lesson:
    """One lesson."""

    id: str
    """As ``lesson-07``."""
    number: int
    """From 1."""
    _: KW_ONLY
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
    steps: tuple[Step, ...]
    """In order, with an opening and a close."""
    items: tuple[Item, ...]
    """Its music, in the order of the steps."""
    ready: str
    """How the leader sees that the class may move on."""
    practice: tuple[Addressed, ...]
    """Home practice, one line a day."""
    percussion: Percussion | None = None
    """What percussion does instead; ``None``: the same as everyone."""
    at_home: str = ""
    """What the leader tries at home before the lesson, and what is right and wrong."""

    @property
    def pieces(self) -> tuple[str, ...]:
        """Ids of pieces in parts that are worked on."""
        return tuple(dict.fromkeys(piece for step in self.steps for piece in step.pieces))

    @property
    def stages(self) -> tuple[str, ...]:
        """Ids of the stages its steps belong to, its own among them."""
        return tuple(dict.fromkeys((self.stage, *(step.stage for step in self.steps if step.stage))))

    @property
    def rooms(self) -> int:
        """How many rooms it is taught in."""
        return 1 if all(step.together for step in self.steps) else 2

    def stage_of(self, item_id: str) -> str:
        """The stage of the first step that uses a piece of music."""
        return next((step.stage for step in self.steps if step.stage and item_id in step.music), self.stage)

    def task_of(self, player: Player) -> Lesson | Percussion:
        """Whose ``aim`` is ``player``'s."""
        return self.percussion.of(player) if self.percussion and not player.instrument.brass else self

    def practice_of(self, player: Player) -> tuple[str, ...]:
        """Home practice as ``player`` reads it."""
        task = self.task_of(player)
        return task.practice if isinstance(task, Percussion) else tuple(line.to(player) for line in task.practice)

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
class Skipped:
    """A step that is not taught."""

    title: str
    """What it is."""
    why: str
    """As ``skipped in plan.yml``, ``there is not the time``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstSound:
    """The concert key of the first notes, and the sound in it on which the band begins."""

    home: int
    """Concert key of the band's first tunes, in fifths."""
    degree: int
    """0 for its key note, 1 for the next, 2 for the third."""
    second: int
    """The key the band takes next, in fifths."""
    words: str = ""
    """What was chosen and what it costs, for people."""
    others: tuple[str, ...] = ()
    """The next best sounds in the same words, with what more they cost this band."""


@dataclass(frozen=True, slots=True)
class Course:
    """Lessons in the order they are taught, as they were composed for one band."""

    stages: tuple[Stage, ...]
    """In order."""
    rooms: tuple[Room, ...]
    """Who sits with whom when apart."""
    weeks: tuple[Lesson, ...]
    """The lesson of each week."""
    skipped: tuple[Skipped, ...] = ()
    """Steps that are written but not taught, and why."""
    minutes: int = 45
    """Length of a lesson."""
    start: FirstSound | None = None
    """The keys of the first tunes, and the sound on which those begin who are in one room."""

    @property
    def one_sound(self) -> FirstSound | None:
        """The sound on which everyone begins; none where rooms begin apart, each on its own."""
        return self.start if len(self.rooms) == 1 else None

    def stage(self, stage_id: str) -> Stage:
        """The stage with this id."""
        return next(stage for stage in self.stages if stage.id == stage_id)

    def room_of(self, instrument: Instrument) -> Room:
        """The room an instrument's group sits in; the first room for a group that none names."""
        return next((room for room in self.rooms if instrument.group in room.groups), self.rooms[0])

    @property
    def lessons(self) -> tuple[Lesson, ...]:
        """Every lesson of the plan once, in the order first taught."""
        return tuple({lesson.id: lesson for lesson in self.weeks}.values())

    def weeks_of(self, lesson: Lesson) -> tuple[int, ...]:
        """Places in :attr:`weeks` (from 0) at which a lesson is taught."""
        return tuple(place for place, other in enumerate(self.weeks) if other.id == lesson.id)
