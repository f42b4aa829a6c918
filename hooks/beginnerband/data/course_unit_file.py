"""The files of the course's units as written; the format is explained in the handbook, "Write your own lesson"."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator
from pydantic_core import PydanticKnownError

from beginnerband.data.explained import ID, METRE
from beginnerband.data.yamlfile import Strict
from beginnerband.music.transposition import ConcertKey
from beginnerband.teaching.addressed import longest
from beginnerband.teaching.course import Span


def _no_longer_than(limit: int) -> AfterValidator:
    """A text as it is said may have ``limit`` signs, whichever of its alternatives that is."""

    def checked(text: str) -> str:
        if len(longest(text)) > limit:
            raise PydanticKnownError("string_too_long", {"max_length": limit})
        return text

    return AfterValidator(checked)


Text = Annotated[str, Field(min_length=1), _no_longer_than(300)]
Short = Annotated[str, Field(min_length=1), _no_longer_than(80)]
Id = Annotated[str, Field(pattern=ID, max_length=40)]
Minutes = Annotated[int, Field(ge=1, le=60)]
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
        return Span(least=self.least, usual=self.usual, most=self.most)


Seconds = Annotated[float, Field(ge=2, le=120)]


class TurnsFile(Strict):
    """Who plays at a time where a step goes round, and for how long; see teaching/turns.py."""

    by: Literal["player", "pair", "row", "part", "third", "half"]
    """Whose turn it is."""
    seconds: Annotated[list[Seconds], Field(min_length=1, max_length=6)] = Field(default_factory=list)
    """How long a turn lasts: the first with which nobody waits too long in this band."""
    bars: Annotated[int, Field(ge=1, le=64)] | Literal["all"] | None = None
    """Or so many bars of the music or pieces of the step, or all of them, at their tempo."""
    within: Annotated[float, Field(ge=10, le=600)] | None = None
    """Seconds after which it shall be anybody's turn again, where that is less than the plan allows."""

    @model_validator(mode="after")
    def _one_length(self) -> TurnsFile:
        if bool(self.seconds) == (self.bars is not None):
            raise ValueError("turns need either 'seconds: [30, 15]' or 'bars: 2'")
        if self.seconds != sorted(self.seconds, reverse=True):
            raise ValueError(f"seconds {self.seconds} do not fall: the longest turn comes first")
        return self


STEP_WORDS = ("say", "listen", "wrong", "remedy", "one", "two", "quick", "slow", "try_")
"""What a step says, beside its title and what it gives to do at home."""


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
    """How it is done by one leader in a room: who plays, who fingers and sings, when they change.

    Where players take turns, ``turns`` says by whom and for how long.
    """
    two: Text | None = None
    """What is otherwise in two rooms, said before ``one``; left out, everyone is together.

    Where the step works on pieces, players sit in other rooms, by part, and ``two`` stands for ``one``.
    """
    turns: TurnsFile | None = None
    """How players take turns in it; left out, everybody plays at once."""
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
    try_: Annotated[Text | None, Field(alias="try")] = None
    """What the leader tries before it, in a lesson that has no more use for what its unit gives."""
    lips: Annotated[float, Field(ge=0, le=1)] = 0.5
    """Share of its time in which lips play."""
    needs: list[str] = Field(default_factory=list)
    """Steps that must come before."""
    rooms: Literal[1, 2] | None = None
    """Only where there is one room, or where there are two."""
    adults: Annotated[int, Field(ge=1, le=10)] = 1
    """Adults it needs."""
    with_: Annotated[list[Group], Field(alias="with", default_factory=list)]
    """Only in a band that has players of each of these groups."""
    only: Literal["names-differ"] | None = None
    """Only in a band whose players have different names for their first sound."""
    worth: Annotated[int, Field(ge=0, le=100)] = 0
    """What leaving it out costs where time is short; 0: it is never left out."""
    at: Literal["first", "last", "before-last"] | None = None
    """It belongs in the first lesson, in the last, or in the one before that."""
    holds: dict[str, list[str]] = Field(default_factory=dict)
    """What its words claim, and of which music; checked for every instrument."""

    @model_validator(mode="after")
    def _bars_of_something(self) -> StepFile:
        if self.turns and self.turns.bars is not None and not (self.music or self.pieces):
            raise ValueError("turns of so many bars need 'music' or 'pieces'; name some, or write 'seconds: [30, 15]'")
        return self

    @property
    def by_part(self) -> bool:
        """Whether two rooms are shared out by part, as for pieces, not by key."""
        return bool(self.pieces)

    def how(self, apart: bool) -> tuple[str, ...]:
        """How it is done, in the order it is said, by a band that is taught apart or is not."""
        if apart and self.two is not None:
            return (self.two, self.one) if self.one and not self.by_part else (self.two,)
        return (self.one,) if self.one else ()


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
    metre: Annotated[str, Field(pattern=METRE)] = "4/4"
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


class BarsFile(Strict):
    """What mallets do instead of the drums; what is left out is as for the drums."""

    title: Short | None = None
    """What it is."""
    aim: Text | None = None
    """One sentence."""
    do: Text
    """What they do in the lesson."""
    later: Text | None = None
    """What they do where the task goes on in another lesson; left out, the same."""
    home: Annotated[list[Short], Field(max_length=7)] = Field(default_factory=list)
    """Home practice, a line a day."""


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
    later: Text | None = None
    """What they do where the task goes on in another lesson, beside other music; left out, the same."""
    ready: Text | None = None
    """In a band of drums and mallets alone: what shows that they may move on; left out, its aim without the leader."""
    say: Text | None = None
    """There: what the leader says of it, where it is no task to learn and to try at home; left out, as in plan.yml."""
    bars: BarsFile | None = None
    """What mallets do instead."""
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
    reached: str = ""
    """The step with which the aim is reached; left out, the last of those that are never left out."""
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
