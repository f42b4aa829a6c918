"""The files of the course as written; the format is explained in the handbook, page "Write your own lesson"."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from beginnerband.data.yamlfile import Strict
from beginnerband.music.instrument import LEVELS
from beginnerband.teaching.ladder import Limit, Listing, Rung

Text = Annotated[str, Field(min_length=1, max_length=300)]
Short = Annotated[str, Field(min_length=1, max_length=80)]
Id = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=40)]
KEYS = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
ConcertKey = Literal["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]


class StepFile(Strict):
    """One step of a lesson."""

    title: Short
    """What it is."""
    minutes: Annotated[int, Field(ge=1, le=60)]
    """How long."""
    who: Literal["together", "apart"]
    """Everyone in one room, or each group in its own."""
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
    """Ids from this lesson's music."""


class MusicFile(Strict):
    """One piece of music in a lesson: a tune, an exercise in ABC, or music of another lesson."""

    id: Id
    """Unique in the lesson."""
    tune: str | None = None
    """Id of a tune in content/tunes."""
    abc: str | None = None
    """Or an exercise: ABC music in C major, quarter notes unless lengthened."""
    from_: Annotated[str | None, Field(alias="from")] = None
    """Or the lesson whose music of the same id is used again."""
    title: Short | None = None
    """Needed for an exercise."""
    how: Literal["rote", "read"] | None = None
    """By ear (players see no notes) or read from the sheet."""
    key: ConcertKey | dict[str, ConcertKey] | None = None
    """Concert key for all, or one for each room."""
    for_: Annotated[list[str], Field(alias="for", default_factory=list)]
    """Groups and instruments it is for; left out: everyone."""
    tempo: Annotated[float, Field(ge=40, le=200)] | None = None
    """Quarter notes a minute; needed for an exercise."""
    metre: Annotated[str, Field(pattern=r"^\d{1,2}/\d{1,2}$")] = "4/4"
    """Of an exercise."""
    breathe: Annotated[int, Field(ge=1, le=8)] | None = None
    """A breath after every so many bars."""

    @model_validator(mode="after")
    def _one_source(self) -> MusicFile:
        given = [name for name, value in (("tune", self.tune), ("abc", self.abc), ("from", self.from_)) if value]
        if len(given) != 1:
            raise ValueError(f"music {self.id!r} needs exactly one of 'tune', 'abc' and 'from'")
        if self.from_:
            return self
        if self.how is None:
            raise ValueError(f"music {self.id!r} lacks 'how: rote' or 'how: read'")
        if self.key is None:
            raise ValueError(f"music {self.id!r} lacks 'key: Bb', or a key for each room")
        if self.abc and (not self.title or not self.tempo):
            raise ValueError(f"the exercise {self.id!r} needs a 'title' and a 'tempo'")
        return self


class PercussionFile(Strict):
    """What players without a mouthpiece do in a lesson."""

    aim: Text
    """One sentence."""
    practice: Annotated[list[Short], Field(min_length=1, max_length=7)]
    """One line a day."""


class LessonFile(Strict):
    """A lesson."""

    title: Short
    """As people read it."""
    stage: str
    """Id of a stage in plan.yml."""
    spare: bool = False
    """A lesson of consolidation: nothing in it is new."""
    aim: Text
    """One sentence."""
    needs: list[str] = Field(default_factory=list)
    """Lessons that must come before."""
    bring: list[Short] = Field(default_factory=list)
    """What to bring."""
    steps: Annotated[list[StepFile], Field(min_length=1, max_length=8)]
    """In order."""
    music: list[MusicFile]
    """The music; may be empty."""
    pieces: Annotated[list[str], Field(max_length=4)] = Field(default_factory=list)
    """Pieces in parts, of content/pieces, that the band works on."""
    ready: Text
    """Most of the class can …"""
    practice: Annotated[list[Short], Field(min_length=1, max_length=7)]
    """One line a day."""
    percussion: PercussionFile | None = None
    """For percussion, in place of ``aim`` and ``practice``."""

    @property
    def minutes(self) -> int:
        """All steps."""
        return sum(step.minutes for step in self.steps)

    @field_validator("music")
    @classmethod
    def _ids_once(cls, value: list[MusicFile]) -> list[MusicFile]:
        ids = [entry.id for entry in value]
        for entry in ids:
            if ids.count(entry) > 1:
                raise ValueError(f"the music {entry!r} stands twice; give each its own id")
        return value


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
    groups: Annotated[list[Literal["bb", "eb", "f", "concert", "percussion"]], Field(min_length=1)]
    """Learning groups in it."""
    about: Text
    """For the leader."""


class PlanFile(Strict):
    """The order of lessons, the rooms and the stages."""

    lesson_minutes: Annotated[int, Field(ge=10, le=180)] = 45
    """Length of a lesson."""
    order: Annotated[list[str], Field(min_length=1, max_length=200)]
    """Lesson ids, one a week."""
    rooms: Annotated[list[RoomFile], Field(min_length=1)]
    """Who sits with whom."""
    stages: Annotated[list[StageFile], Field(min_length=1)]
    """In order."""


class LimitFile(Strict):
    """A figure and its reason."""

    most: Annotated[float, Field(ge=0, le=600)]
    """For everyone."""
    but: dict[str, Annotated[float, Field(ge=0, le=600)]] = Field(default_factory=dict)
    """For some."""
    why: Text
    """The reason."""

    def value(self) -> Limit:
        """The domain's limit."""
        return Limit(self.most, self.but, self.why)


class RangeFile(Strict):
    """A range level and its reason."""

    most: Literal["starter", "first-year", "full"]
    """For everyone."""
    but: dict[str, Literal["starter", "first-year", "full"]] = Field(default_factory=dict)
    """For some."""
    why: Text
    """The reason."""

    def value(self) -> Limit:
        """The domain's limit, a place in ``LEVELS``."""
        return Limit(LEVELS.index(self.most), {name: LEVELS.index(level) for name, level in self.but.items()}, self.why)


class ListFile(Strict):
    """Things allowed from a stage on, and the reason."""

    add: list[str]
    """New in this stage."""
    why: Text
    """The reason."""

    def value(self) -> Listing:
        """The domain's listing."""
        return Listing(tuple(self.add), self.why)


class NotationFile(Strict):
    """Whether players see notation, and the reason."""

    shown: bool
    """Yes or no."""
    why: Text
    """The reason."""


class RungFile(Strict):
    """Limits of one stage; see content/ladder.yml."""

    new_notes: LimitFile
    """New written notes a lesson."""
    range: RangeFile
    """Range level."""
    leap: LimitFile
    """Semitones."""
    breath: LimitFile
    """Seconds."""
    playing: LimitFile
    """Seconds."""
    signature: LimitFile
    """Sharps or flats."""
    values: ListFile
    """Note values."""
    metres: ListFile
    """Time signatures."""
    techniques: ListFile
    """Techniques."""
    notation: NotationFile
    """Shown or not."""

    def rung(self, stage: str) -> Rung:
        """The domain's rung."""
        return Rung(
            stage,
            self.new_notes.value(),
            self.range.value(),
            self.leap.value(),
            self.breath.value(),
            self.playing.value(),
            self.signature.value(),
            self.values.value(),
            self.metres.value(),
            self.techniques.value(),
            self.notation.shown,
        )


class LadderFile(Strict):
    """The ladder."""

    stages: dict[str, RungFile]
    """Limits by stage id."""
