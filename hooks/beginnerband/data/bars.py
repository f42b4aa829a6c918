"""Bars in the making: what both readers of music files put together, and what can be wrong with it."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, field
from fractions import Fraction

from beginnerband.music.score import Key, Note, Tempo, Time

SPEEDS = (15, 400)
"""Quarter notes a minute, the fewest and the most that a file may ask for (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong in a music file."""

    line: int
    """Line of the file, from 1; 0 where the format has none to name."""
    message: str
    """What is wrong, with its bar."""


MOST_BARS, MOST_NOTES = 2000, 500
"""Most bars that a voice may have, and notes in a bar; what has more is no music, and takes minutes to be read."""


@dataclass(frozen=True, slots=True)
class Barline:
    """A barline as met in a file."""

    repeat_end: int = 0
    """Times the section before it is played, 0 for no repeat."""
    repeat_start: bool = False
    """Whether a repeated section begins after it."""
    style: str = ""
    """``double`` or ``final``, or empty."""
    ending: tuple[int, ...] = ()
    """Times through at which what follows is played."""
    ending_stops: bool | None = None
    """Whether an ending's bracket closes here; ``None`` where the end of a section says so."""

    @property
    def section(self) -> bool:
        """Whether a section ends here, so that an ending's bracket closes and a pickup may follow."""
        return bool(self.repeat_end or self.repeat_start or self.style)


@dataclass(slots=True)
class UnfinishedBar:
    """A bar in the making."""

    line: int = 0
    notes: list[Note] = field(default_factory=list)
    _: KW_ONLY
    key: Key | None = None
    time: Time | None = None
    tempo: Tempo | None = None
    repeat_start: bool = False
    repeat_end: int = 0
    ending: tuple[int, ...] = ()
    ending_start: bool = False
    style: str = ""
    marks: list[str] = field(default_factory=list)
    rehearsal: str = ""
    metre: Time = field(default_factory=lambda: Time(4, 4))
    opens: bool = False  # begins a section
    number: int = 0
    doubt: str = ""  # what was perhaps meant, should it be too long

    @property
    def quarters(self) -> Fraction:
        """How long its notes last together, quarter notes."""
        return sum((note.quarters for note in self.notes), Fraction(0))

    @property
    def short(self) -> bool:
        """Whether it holds less than its metre asks."""
        return self.quarters < self.metre.quarters

    def mark(self, mark: str) -> None:
        """Put a sign of ``music.score.MARKS`` there, once."""
        if mark not in self.marks:
            self.marks.append(mark)


def unplayable(tempo: Tempo) -> str:
    """What is wrong with a tempo at which nobody plays; empty for any other."""
    quarters, (slowest, fastest) = tempo.quarters_a_minute, SPEEDS
    if slowest <= quarters <= fastest:
        return ""
    said = f"{round(float(quarters), 1):g} quarter notes a minute"
    return f"{said}, {'slower' if quarters < slowest else 'faster'} than anybody plays ({slowest} to {fastest})"
