"""What to buy first: ``content/supplies.yml``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import Field

from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Strict, load
from beginnerband.teaching.supplies import COUNTED, Supply


class SupplyFile(Strict):
    """One thing to buy, as written."""

    name: Annotated[str, Field(min_length=1, max_length=80)]
    """What it is."""
    who: str
    """Players it is counted by."""
    one_for: Annotated[int, Field(ge=1, le=500)]
    """One for so many of them."""
    spare: Annotated[int, Field(ge=0, le=100)] = 0
    """So many more."""
    why: Annotated[str, Field(min_length=1, max_length=120)]
    """What it is for."""


class MouthpiecesFile(Strict):
    """How many spare mouthpieces."""

    one_spare_for: Annotated[int, Field(ge=1, le=500)]
    """A spare for each so many of one shank."""


class SuppliesFile(Strict):
    """The file as written."""

    mouthpieces: MouthpiecesFile
    """Spares."""
    supplies: Annotated[list[SupplyFile], Field(min_length=1)]
    """In the order shown."""


@dataclass(frozen=True, slots=True)
class Supplies:
    """The file, checked."""

    things: tuple[Supply, ...]
    """In the order shown."""
    one_spare_for: int
    """Mouthpieces of one shank for each of which there is a spare."""


def load_supplies(root: Path, problems: Problems) -> Supplies | None:
    """Load the list; a kind of player that is none becomes a problem. ``None`` when there is no such file."""
    path = root / "content" / "supplies.yml"
    loaded = load(SuppliesFile, path, problems) if path.exists() else None
    if loaded is None:
        return None
    file, located = loaded
    for number, thing in enumerate(file.supplies):
        if thing.who not in COUNTED:
            hint = did_you_mean(thing.who, COUNTED) or f"; use {', '.join(COUNTED)}"
            problems.add(path, located.line("supplies", number, "who"), f"who: nobody is called {thing.who!r}{hint}")
    things = (Supply(one.name, who=one.who, one_for=one.one_for, spare=one.spare, why=one.why) for one in file.supplies)
    return Supplies(tuple(things), file.mouthpieces.one_spare_for)
