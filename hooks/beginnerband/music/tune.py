"""A tune: one melody at concert pitch, and what is known about it."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from fractions import Fraction

from beginnerband.music.playing import groups_enter
from beginnerband.music.score import Key, Line, Tempo, Time
from beginnerband.music.timing import timing

WRITTEN_HERE = "written for this handbook"
"""What composer or source says of music that no other book has."""


def written_here(composer: str, source: str) -> bool:
    """Whether music was written for this handbook, as one of the two says in small or capital letters."""
    return any(WRITTEN_HERE in said.lower() for said in (composer, source))


@dataclass(frozen=True, slots=True)
class Tune:
    """One tune, as loaded from ``content/tunes/<id>.abc`` or ``.musicxml``."""

    id: str
    """File name without its ending, as ``hot-cross-buns``."""
    _: KW_ONLY
    title: str
    """As printed."""
    composer: str
    """Who made it; ``trad.`` where nobody knows."""
    origin: str
    """Country or region, or empty."""
    source: str
    """Where it was printed and when, or that it was written for this handbook."""
    kind: str
    """In a word or two, as ``round for two groups``, ``hymn``; may be empty."""
    notes: tuple[str, ...]
    """Remarks: from memory, what was made easier."""
    line: Line
    """The melody at concert pitch."""
    file: str
    """Path from the project's root."""
    verses: tuple[str, ...] = ()
    """Words that stand below the music, a line each; an empty one between two verses."""

    @property
    def key(self) -> Key:
        """Concert key it is set down in."""
        return self.line.key

    @property
    def time(self) -> Time:
        """Metre at the start."""
        return self.line.time

    @property
    def tempo(self) -> Tempo:
        """Tempo at the start."""
        return self.line.tempo

    @property
    def seconds(self) -> float:
        """Running time at the marked tempo, repeats played; holds are not counted."""
        return timing(self.line).seconds

    @property
    def entries(self) -> tuple[Fraction, ...]:
        """In a round, the onsets (quarter notes) at which each group begins, the first 0; else empty."""
        return groups_enter(self.line)

    @property
    def own(self) -> bool:
        """Whether it was written for this handbook."""
        return written_here(self.composer, self.source)
