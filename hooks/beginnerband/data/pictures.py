"""Words for the handbook's drawings: ``content/pictures.yml``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

from pydantic import Field

from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.sources import COMMON_PRACTICE, SOURCES
from beginnerband.data.yamlfile import Strict, load


class Picture(Strict):
    """What a drawing shows, in words."""

    title: Annotated[str, Field(min_length=1, max_length=80)]
    """Its name."""
    text: Annotated[str, Field(min_length=40)]
    """Everything it shows, for those who cannot see it."""
    caption: Annotated[str, Field(min_length=1, max_length=120)]
    """The line below it."""
    sources: list[str] = Field(default_factory=lambda: [COMMON_PRACTICE])
    """Ids of sources."""


class PicturesFile(Strict):
    """The file as written."""

    pictures: Annotated[dict[str, Picture], Field(min_length=1)]
    """Pictures by id."""


def load_pictures(root: Path, sources: Mapping[str, object], problems: Problems) -> dict[str, Picture]:
    """Load the words of the drawings, by id in file order."""
    loaded = load(PicturesFile, root / "content" / "pictures.yml", problems)
    if loaded is None:
        return {}
    file, located = loaded
    for picture_id, picture in file.pictures.items():
        for number, source in enumerate(picture.sources):
            if source not in sources:
                line = located.line("pictures", picture_id, "sources", number)
                said = f"no source {source!r}{did_you_mean(source, sources)}"
                problems.add(located.path, line, said, follows=root / SOURCES)
    return dict(file.pictures)
