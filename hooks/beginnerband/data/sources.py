"""Sources of figures, claims and cautions: ``content/sources.yml``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, model_validator

from beginnerband.data.explained import ID
from beginnerband.data.problems import Problems
from beginnerband.data.yamlfile import Strict, load

SOURCES = "content/sources.yml"
"""Where they are."""

COMMON_PRACTICE = "common-practice"
"""Id of the source that is none: what the trade does."""


class Source(Strict):
    """One source."""

    title: Annotated[str, Field(min_length=1, max_length=200)]
    """What it is called."""
    by: str = ""
    """Who published it."""
    year: Annotated[int | None, Field(ge=1500, le=2100)] = None
    """When."""
    where: str = ""
    """Number, article or journal, to find it by."""
    kind: Literal["published", "computed", "practice"]
    """Whether anyone can look it up, this handbook computes it, or no document stands behind it."""
    says: Annotated[str, Field(min_length=1)]
    """What it is used for here, in plain words, and for whom it was written."""
    checked: str = ""
    """How the values were checked; ``from memory`` where they were."""

    @model_validator(mode="after")
    def _checked(self) -> Source:
        if self.kind != "practice" and not self.checked:
            raise ValueError("'checked' is missing: say how the value was checked, or that it is from memory")
        return self


class SourcesFile(Strict):
    """The file as written."""

    sources: Annotated[dict[Annotated[str, Field(pattern=ID)], Source], Field(min_length=1)]
    """Sources by id."""


def load_sources(root: Path, problems: Problems) -> dict[str, Source]:
    """Load the sources, by id in file order."""
    loaded = load(SourcesFile, root / SOURCES, problems)
    if loaded is None:
        return {}
    file, located = loaded
    if COMMON_PRACTICE not in file.sources:
        problems.add(
            located.path, located.line("sources"), f"{COMMON_PRACTICE!r} is missing; pages mark claims with it"
        )
    return dict(file.sources)
