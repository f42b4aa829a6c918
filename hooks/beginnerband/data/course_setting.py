"""The band as the course meets it: who plays, in which rooms, and which steps are for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from beginnerband.data.band import Band
from beginnerband.data.course_files import CourseFiles
from beginnerband.data.course_plan_file import RoomFile
from beginnerband.data.course_unit_file import StepFile
from beginnerband.music.instrument import GROUPS
from beginnerband.music.player import Player
from beginnerband.teaching.course import Room
from beginnerband.teaching.wording import in_words

TOGETHER = Room("all", name="The band", groups=GROUPS, about="")
"""The one room of a band that is not taught apart."""


@dataclass(frozen=True, slots=True)
class Setting:
    """A band and its rooms."""

    band: Band
    """Who plays what, how it is taught, and how it speaks."""
    rooms: tuple[Room, ...]
    """One, or as many as are taught apart."""
    names_differ: bool = True
    """Whether its first sound has several names among its players."""

    @classmethod
    def of(cls, band: Band, rooms: list[RoomFile]) -> Setting:
        """The rooms of the plan where two are used, each with its adults and its players; else one for everyone."""
        apart = tuple(
            Room(room.id, name=room.name, groups=tuple(room.groups), about=in_words(room.about, band.english))
            for room in rooms
        )
        brass = {player.instrument.group for player in band.players if player.instrument.brass}
        empty = [room.name for room in apart if room.groups[0] not in brass]
        if band.teaching.rooms == 1:
            why = ", in one room, with one leader"
        elif band.teaching.too_few:
            why = f", in one room: {band.teaching.too_few}"
        elif empty:
            why = f", in one room: there is no {' and no '.join(empty)} in this band to teach apart"
        else:
            return cls(band, apart)
        return cls(band, (replace(TOGETHER, about=f"Everyone{why}."),))

    @property
    def players(self) -> tuple[Player, ...]:
        """The band's instruments, in score order."""
        return self.band.players

    @property
    def apart(self) -> bool:
        """Whether groups are taught in rooms of their own."""
        return len(self.rooms) > 1

    def room_of(self, player: Player) -> str:
        """Id of the room in which a player is taught; drums are in the first."""
        found = (room.id for room in self.rooms if player.instrument.group in room.groups)
        return next(found, self.rooms[0].id)

    def uses(self, step: StepFile) -> bool:
        """Whether a step is for this band: its rooms, its adults, its instruments."""
        groups = {player.instrument.group for player in self.players}
        return (
            step.rooms in (None, len(self.rooms))
            and step.adults <= self.band.teaching.adults
            and set(step.with_) <= groups
            and (step.only is None or self.names_differ)
        )

    def steps(self, files: CourseFiles) -> Iterator[StepFile]:
        """The steps for this band, in the order of the plan."""
        for ident in files.listed:
            yield from (step for step in files.units[ident][0].steps if self.uses(step))
