"""Who plays what in which reading: the one answer to that question, for the band, the course, charts and scores."""

from __future__ import annotations

from dataclasses import dataclass

from beginnerband.music import fingering
from beginnerband.music.fingering import Fingering
from beginnerband.music.instrument import Instrument
from beginnerband.music.pitch import Pitch, chromatic
from beginnerband.music.reading import Reading


@dataclass(frozen=True, slots=True)
class Player:
    """Someone who plays one instrument and reads it in one way: what their hands and eyes do."""

    instrument: Instrument
    """What they play."""
    reading: Reading
    """How they read it."""
    count: int = 1
    """How many of them there are."""

    @property
    def id(self) -> str:
        """The instrument's id, which is unique in a band."""
        return self.instrument.id

    @property
    def key(self) -> str:
        """Instrument and reading, as in addresses: ``cornet/treble-bb``."""
        return f"{self.instrument.id}/{self.reading.id}"

    @property
    def short_key(self) -> str:
        """:attr:`key` without the reading where that is the instrument's first: ``cornet``, ``euphonium/bass-c``."""
        return self.instrument.id if self.reading == self.instrument.readings[0] else self.key

    def written(self, level: str = "full") -> tuple[Pitch, ...]:
        """Every written note of their range at ``level``, lowest first, in everyday spelling."""
        span = self.instrument.written_range(level, self.reading)
        return chromatic(span.low, span.high)

    def standard(self, written: Pitch) -> Fingering | None:
        """The usual fingering or position of a written note; ``None`` where there is none."""
        return fingering.standard(self.instrument, self.reading.sounding(written))


def players_of(instrument: Instrument) -> tuple[Player, ...]:
    """One player for each of the instrument's readings."""
    return tuple(Player(instrument, reading) for reading in instrument.readings)
