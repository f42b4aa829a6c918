"""What counts for and against a breath, ``content/breathing.yml``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field

from beginnerband.data.problems import Problems
from beginnerband.data.yamlfile import Strict, load
from beginnerband.music.breathing import Points

FILE = Path("content") / "breathing.yml"
"""The file, from the project's root."""

Count = Annotated[float, Field(ge=0, le=1000)]
Seconds = Annotated[float, Field(ge=0.5, le=60)]


class BreathingFile(Strict):
    """The file as written; the fields are those of :class:`~beginnerband.music.breathing.Points`."""

    longest: Seconds
    """Longest phrase."""
    too_long: Count
    """A phrase that lasts longer."""
    second: Count
    """Each second beyond."""
    lengths: Annotated[dict[Annotated[int, Field(ge=1, le=64)], Count], Field(min_length=1)]
    """Good lengths in bars."""
    octave: Count
    """Each doubling or halving of a good length."""
    shortest: Seconds
    """Shortest phrase."""
    too_short: Count
    """A phrase that is shorter."""
    short_note: Count
    """After a short note."""
    plain: Count
    """After a note no longer than its neighbours."""
    bar: Count
    """At a bar line."""
    beat: Count
    """At another beat."""
    off: Count
    """Off the beat."""
    rhythm: Count
    """Less where a rhythm begins again."""


def load_breathing(root: Path, problems: Problems) -> Points | None:
    """Load the file; ``None`` with problems noted when it cannot be used."""
    loaded = load(BreathingFile, root / FILE, problems)
    if loaded is None:
        return None
    values = loaded[0].model_dump()
    return Points(**{**values, "lengths": tuple(values["lengths"].items())})
