"""``content/course/plan.yml`` as written: the order of the units, rooms and stages, and what a plan weighs."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from beginnerband.data.course_unit_file import Group, Id, Minutes, Short, SpanFile, Text
from beginnerband.data.explained import WORD
from beginnerband.data.yamlfile import Strict
from beginnerband.music.transposition import ConcertKey
from beginnerband.teaching.packing import Terms

Points = Annotated[float, Field(ge=0, le=100_000)]


class StageFile(Strict):
    """A stage."""

    id: Id
    """As three-notes."""
    name: Short
    """As people read it."""
    about: Text
    """One sentence."""


class RoomFile(Strict):
    """A room: players taught together when the groups are apart."""

    id: Id
    """As bb."""
    name: Short
    """As people read it."""
    key: ConcertKey
    """The concert key that the room reads as C."""
    groups: Annotated[list[Group], Field(min_length=1)]
    """Learning groups in it; the first is the one it is for, without which there is no such room."""
    about: Text
    """For the leader."""


class FrameFile(Strict):
    """An opening, a close, a rest or a filler: what a lesson has beside what it teaches."""

    after: str = ""
    """The step from which it is used; left out, the first lesson."""
    title: Short
    """What it is."""
    say: Text
    """What the leader says."""
    listen: Text
    """What to look and listen for."""
    wrong: Text
    """What usually goes wrong."""
    remedy: Text
    """What helps."""
    guide: str = ""
    """A page of handbook/guide, without its ending."""
    music: list[str] = Field(default_factory=list)
    """Ids of music."""
    two: Text | None = None
    """How it is done in two rooms, where groups are apart for it; left out, everyone is together."""


class WithoutBrassFile(Strict):
    """What a lesson is made of where nobody blows."""

    bring: Annotated[list[Text], Field(min_length=1)]
    """What to bring."""
    ready: Text
    """What shows that the class may move on: the aim of the task follows."""
    try_: Annotated[Text, Field(alias="try")]
    """What the leader tries at home before: day 1 of the home practice follows."""
    opening: FrameFile
    """How it begins."""
    task: FrameFile
    """How the task of percussion.yml is done."""
    home: FrameFile
    """How home practice is tried."""
    close: FrameFile
    """How it ends."""


class PackingFile(Strict):
    """Minutes that every lesson has, and what a way of packing costs."""

    opening: SpanFile
    """Minutes of the opening."""
    close: SpanFile
    """Minutes of the close."""
    rest: Minutes
    """Minutes of a rest for the lips."""
    rest_after: Annotated[float, Field(ge=3, le=60)]
    """Minutes of real playing after which lips rest."""
    rest_by: Annotated[float, Field(ge=3, le=60)]
    """The same, at the very most, with the opening."""
    warm_up: Annotated[float, Field(ge=0, le=1)]
    """Share of an opening with music in which lips play."""
    left_out: Points
    """Leaving a step out, times its worth."""
    stretch: Points
    """A lesson longer than usual."""
    squeeze: Points
    """A lesson shorter than usual."""
    empty: Points
    """A minute that no step fills."""
    at_a_loss: Points = 0
    """More for one where nothing is known yet to fill it with."""
    broken: Points
    """A break between steps that belong together."""
    overload: Points
    """More than the ladder allows in a lesson."""
    spare: Annotated[list[Minutes], Field(min_length=3, max_length=3)]
    """Lessons taught before a spare one: at least, best, at most."""
    early: Points
    """A spare lesson before the best."""
    late: Points
    """A lesson beyond the most without a spare one."""
    steps: Annotated[int, Field(ge=3, le=8)]
    """Steps in a lesson, at most, beside opening and close."""

    def value(self) -> Terms:
        """The domain's value."""
        least, best, most = self.spare
        return Terms(
            opening=self.opening.value(),
            close=self.close.value(),
            rest=self.rest,
            rest_after=self.rest_after,
            stretch=self.stretch,
            squeeze=self.squeeze,
            empty=self.empty,
            at_a_loss=self.at_a_loss,
            broken=self.broken,
            overload=self.overload,
            spare=(least, best, most),
            early=self.early,
            late=self.late,
            steps=self.steps,
            rest_by=self.rest_by,
            warm_up=self.warm_up,
            left_out=self.left_out,
        )


class FirstSoundFile(Strict):
    """What a first sound costs; see teaching/firstsound.py."""

    valve: Points
    """A valve pressed."""
    third_valve: Points
    """The third valve among them."""
    slide: Points
    """A position beyond the fourth."""
    beyond_starter: Points
    """A note beyond the starter range."""
    beyond_first_year: Points
    """A note beyond the first year's range, or more signs than the ladder allows."""
    signature: Points
    """A sign at the front of the line."""
    first: Points
    """How much the first sound counts."""
    later: Points
    """How much the fourth and the fifth note count."""
    middle: Points
    """A semitone from the top of the starter range."""
    lower: Points
    """A player of a band of one instrument that lacks the notes below the home note."""


class TuneOrderFile(Strict):
    """What makes a tune come later; see teaching/tuneorder.py."""

    note: Points
    """A different note."""
    leap: Points
    """A semitone of the widest leap."""
    breath: Points
    """A second of the longest breath."""
    quick: Points
    """Ten notes a minute."""
    lips: Points
    """A change of note on the same valves or position."""


class DoneFile(Strict):
    """What really happened in a lesson."""

    lesson: Annotated[int, Field(ge=1, le=200)]
    """Its number."""
    to: str | None = None
    """The last step that was done."""
    half: bool = False
    """Which was only half done."""
    again: bool = False
    """Or: most were not there yet, and all of it comes again."""
    cancelled: bool = False
    """Or: there was no lesson."""

    @model_validator(mode="after")
    def _one(self) -> DoneFile:
        if sum((self.to is not None, self.again, self.cancelled)) != 1:
            raise ValueError("done needs exactly one of 'to: a-step', 'again: true' and 'cancelled: true'")
        if self.half and self.to is None:
            raise ValueError("'half: true' goes with 'to: a-step'")
        return self


class PlanFile(Strict):
    """The order of the units, the rooms, the stages, what every lesson has, and what the leader overrules."""

    fix: dict[str, Annotated[int, Field(ge=1, le=200)]] = Field(default_factory=dict)
    """Steps held in a lesson."""
    skip: list[str] = Field(default_factory=list)
    """Steps left out."""
    repeat: list[str] = Field(default_factory=list)
    """Steps done again in the next lesson."""
    done: list[DoneFile] = Field(default_factory=list)
    """What really happened, lesson by lesson."""
    order: Annotated[list[str], Field(min_length=1, max_length=200)]
    """Units in the order they are taught."""
    spare: Annotated[list[str], Field(min_length=1, max_length=60)]
    """Units to catch up with."""
    words: dict[Annotated[str, Field(pattern=WORD, max_length=40)], Text] = Field(default_factory=dict)
    """Words of the texts that follow the band, each with its alternatives."""
    wait: Annotated[float, Field(ge=10, le=600)]
    """Seconds that anybody waits for a turn, at most."""
    packing: PackingFile
    """How steps are packed into lessons."""
    first_sound: FirstSoundFile
    """How the first sound is chosen."""
    tune_order: TuneOrderFile
    """How tunes are put in order."""
    openings: Annotated[list[FrameFile], Field(min_length=1)]
    """How a lesson begins, from when."""
    closes: Annotated[list[FrameFile], Field(min_length=1)]
    """How it ends, from when."""
    rest: FrameFile
    """A rest for lips."""
    filler: FrameFile
    """Where time is left."""
    without_brass: WithoutBrassFile
    """What a lesson is made of in a band of drums and mallets alone."""
    try_: Annotated[Text, Field(alias="try")]
    """What the leader tries before a lesson that has nothing of its own to try."""
    rooms: Annotated[list[RoomFile], Field(min_length=1)]
    """Who sits with whom."""
    stages: Annotated[list[StageFile], Field(min_length=1)]
    """In order."""
