"""The files of the course as written; the format is explained in the handbook, page "Write your own lesson"."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from beginnerband.data.yamlfile import Strict
from beginnerband.music.instrument import LEVELS
from beginnerband.music.transposition import ConcertKey
from beginnerband.teaching.course import Span
from beginnerband.teaching.ladder import Limit, Listing, Rung
from beginnerband.teaching.packing import Terms

Text = Annotated[str, Field(min_length=1, max_length=300)]
Short = Annotated[str, Field(min_length=1, max_length=80)]
Id = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=40)]
Minutes = Annotated[int, Field(ge=1, le=60)]
Points = Annotated[float, Field(ge=0, le=100_000)]
Group = Literal["bb", "eb", "f", "concert", "percussion"]
Form = Literal["one", "two", "do", "re", "mi"]
"""Forms of an exercise: for one room or two, or in one room for the degree on which the band begins."""
BandKey = Literal["home", "second", "first", "own"]
"""Keys computed for the band: of its first tunes, the next one, the key of its first sound, each room's own."""


class SpanFile(Strict):
    """Minutes: least, usual and most."""

    least: Minutes
    """Where time is short."""
    usual: Minutes
    """As a rule."""
    most: Minutes
    """Where there is time."""

    @model_validator(mode="before")
    @classmethod
    def _row(cls, given: Any) -> Any:
        if isinstance(given, list) and len(given) == 3:
            return dict(zip(("least", "usual", "most"), given, strict=True))
        if not isinstance(given, dict | SpanFile):
            raise ValueError("minutes are three figures, least, usual and most, as [4, 6, 9]")
        return given

    @model_validator(mode="after")
    def _ascending(self) -> SpanFile:
        if not self.least <= self.usual <= self.most:
            raise ValueError(f"minutes [{self.least}, {self.usual}, {self.most}] do not rise: least, usual, most")
        return self

    def value(self) -> Span:
        """The domain's value."""
        return Span(self.least, self.usual, self.most)


class StepFile(Strict):
    """One step."""

    id: Id
    """Unique in the course."""
    title: Short
    """What it is."""
    minutes: SpanFile
    """How long."""
    say: Text
    """What the leader says."""
    listen: Text
    """What to look and listen for."""
    wrong: Text
    """What usually goes wrong."""
    remedy: Text
    """What helps."""
    one: Text | None = None
    """How it is done by one leader in one room: who plays, who fingers and sings, when they change."""
    two: Text | None = None
    """How it is done in two rooms; left out, everyone is together."""
    quick: Text | None = None
    """For those who are quick."""
    slow: Text | None = None
    """For those who are not there yet."""
    guide: str = ""
    """A page of handbook/guide, without its ending."""
    music: list[str] = Field(default_factory=list)
    """Ids of music, of this file or another."""
    pieces: Annotated[list[str], Field(max_length=6)] = Field(default_factory=list)
    """Pieces in parts, of content/pieces, that the band works on."""
    home: list[Short] = Field(default_factory=list)
    """Home practice it gives, a line each."""
    lips: Annotated[float, Field(ge=0, le=1)] = 0.5
    """Share of its time in which lips play."""
    change: Annotated[float, Field(ge=0, le=2)] = 0
    """Minutes after which players change over in one room: nobody is silent for more than two."""
    needs: list[str] = Field(default_factory=list)
    """Steps that must come before."""
    rooms: Literal[1, 2] | None = None
    """Only where there is one room, or where there are two."""
    adults: Annotated[int, Field(ge=1, le=10)] = 1
    """Adults it needs."""
    with_: Annotated[list[Group], Field(alias="with", default_factory=list)]
    """Only in a band that has players of each of these groups."""
    worth: Annotated[int, Field(ge=0, le=100)] = 0
    """What leaving it out costs where time is short; 0: it is never left out."""
    at: Literal["last", "before-last"] | None = None
    """It belongs in the last lesson, or in the one before."""
    holds: dict[str, list[str]] = Field(default_factory=dict)
    """What its words claim, and of which music; checked for every instrument."""


class MusicFile(Strict):
    """One piece of music: a tune, an exercise in ABC, or music that is already there, used another way."""

    id: Id
    """Unique in the course."""
    tune: str | list[str] | None = None
    """Id of a tune in content/tunes, or several, of which the easiest for the band that is not used yet is taken."""
    abc: str | dict[Form, str] | None = None
    """Or an exercise: ABC music in C major, quarter notes unless lengthened; or one for each way to begin."""
    from_: Annotated[str | None, Field(alias="from")] = None
    """Or the id of other music, that is used again as given here."""
    title: Short | None = None
    """Needed for an exercise."""
    how: Literal["rote", "read"] | None = None
    """By ear (players see no notes) or read from the sheet."""
    key: BandKey | ConcertKey | dict[str, ConcertKey] | None = None
    """``home``, ``second``, ``first`` or ``own`` (computed for the band), a concert key, or one for each room."""
    for_: Annotated[list[str], Field(alias="for", default_factory=list)]
    """Groups and instruments it is for; left out: everyone."""
    tempo: Annotated[float, Field(ge=40, le=200)] | None = None
    """Quarter notes a minute; needed for an exercise."""
    metre: Annotated[str, Field(pattern=r"^\d{1,2}/\d{1,2}$")] = "4/4"
    """Of an exercise."""
    breathe: Annotated[int, Field(ge=1, le=8)] | None = None
    """A breath after every so many bars."""
    plain: bool = False
    """Shown without a key signature."""
    accompany: bool = False
    """Drums play beats to it, not its rhythm."""
    of: str = ""
    """For an exercise that quotes a tune: the tune's id, so that it is named and linked."""

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
            raise ValueError(f"music {self.id!r} lacks 'key: home', or another key")
        if self.abc and (not self.title or not self.tempo):
            raise ValueError(f"the exercise {self.id!r} needs a 'title' and a 'tempo'")
        return self


class TaskFile(Strict):
    """A task of the drums' own course."""

    after: str = ""
    """The step with which it can begin; left out, the first lesson."""
    title: Short
    """What it is."""
    aim: Text
    """One sentence."""
    do: Text
    """What they do while the others learn notes."""
    home: Annotated[list[Short], Field(min_length=3, max_length=7)]
    """Home practice, a line a day."""


class PercussionFile(Strict):
    """The drums' own course."""

    tasks: Annotated[list[TaskFile], Field(min_length=1)]
    """In order."""


class UnitFile(Strict):
    """Steps that belong together."""

    title: Short
    """As people read it."""
    stage: str
    """Id of a stage in plan.yml."""
    aim: Text
    """One sentence."""
    ready: Text
    """Most of the class can …"""
    try_: Annotated[Text, Field(alias="try")]
    """What the leader tries at home before the lesson, and what is right and wrong."""
    bring: list[Short] = Field(default_factory=list)
    """What to bring."""
    after: str = ""
    """For a unit to catch up with: the step after which it is of use."""
    steps: Annotated[list[StepFile], Field(min_length=1, max_length=12)]
    """In order."""
    music: list[MusicFile] = Field(default_factory=list)
    """Music that is first used here."""


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
    """Learning groups in it."""
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
            self.opening.value(), self.close.value(), self.rest, self.rest_after, self.stretch, self.squeeze,
            self.empty, self.broken, self.overload, (least, best, most), self.early, self.late, self.steps,
            self.rest_by, self.warm_up, self.left_out,
        )  # fmt: skip


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
            stage=stage,
            new_notes=self.new_notes.value(),
            range=self.range.value(),
            leap=self.leap.value(),
            breath=self.breath.value(),
            playing=self.playing.value(),
            signature=self.signature.value(),
            values=self.values.value(),
            metres=self.metres.value(),
            techniques=self.techniques.value(),
            notation=self.notation.shown,
        )


class KindsFile(Strict):
    """Kinds of new thing in a lesson, and the reason."""

    most: Annotated[int, Field(ge=1, le=20)]
    """At most."""
    why: Text
    """The reason."""


class LadderFile(Strict):
    """The ladder."""

    kinds: KindsFile
    """Kinds of new thing in one lesson, at every stage."""
    stages: dict[str, RungFile]
    """Limits by stage id."""
