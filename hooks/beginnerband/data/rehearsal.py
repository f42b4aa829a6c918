"""How rehearsals are proposed, ``content/rehearsal.yml``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from beginnerband.data.problems import Problems
from beginnerband.data.yamlfile import Strict, load
from beginnerband.music.rehearsal import RehearsalRules

FILE = Path("content") / "rehearsal.yml"
"""The file, from the project's root."""

Small = Annotated[int, Field(ge=1, le=60)]
Reason = Literal["new", "leap", "edge", "rhythm"]
Work = Literal["start", "tune", "outer", "hard", "chords", "entries", "whole"]


class HardFile(Strict):
    """When a bar is hard."""

    leap: Small
    """Semitones from which a leap counts."""
    edge: Small
    """Semitones from an end of the range."""
    fresh: Small
    """Lessons for which a note is new."""
    bars: Small
    """Most bars named."""


class ChordsFile(Strict):
    """Which chords to stop on."""

    most: Small
    """Most chords."""
    cents: Small
    """Cents from which a note is to be bent."""


class WorkFile(Strict):
    """One part of a rehearsal."""

    do: Work
    """What is done."""
    minutes: Small
    """How long."""


class RehearsalFile(Strict):
    """The file as written."""

    rest: Small
    """Bars of rest after which an entry is cued."""
    hard: HardFile
    """When a bar is hard."""
    weights: dict[Reason, Annotated[int, Field(ge=0, le=100)]]
    """How hard each reason makes it."""
    chords: ChordsFile
    """Which chords to stop on."""
    plans: Annotated[dict[Annotated[int, Field(ge=5, le=180)], list[WorkFile]], Field(min_length=1)]
    """What is done in so many minutes."""


def load_rehearsal(root: Path, problems: Problems) -> RehearsalRules | None:
    """Load the file; ``None`` with problems noted when it cannot be used, and without any when it is not there."""
    if not (root / FILE).exists():
        return None
    loaded = load(RehearsalFile, root / FILE, problems)
    if loaded is None:
        return None
    file, located = loaded
    before = len(problems.found)
    for length, plan in file.plans.items():
        total = sum(work.minutes for work in plan)
        if total != length:
            words = f"plans: the plan of {length} minutes adds up to {total}; its minutes must add up to {length}"
            problems.add(located.path, located.line("plans", length), words)
    missing = sorted({"new", "leap", "edge", "rhythm"} - set(file.weights))
    if missing:
        problems.add(located.path, located.line("weights"), f"weights: points for {', '.join(missing)} are missing")
    if len(problems.found) > before:
        return None
    return RehearsalRules(
        rest=file.rest,
        leap=file.hard.leap,
        edge=file.hard.edge,
        fresh=file.hard.fresh,
        bars=file.hard.bars,
        chords=file.chords.most,
        cents=file.chords.cents,
        weights={str(reason): points for reason, points in file.weights.items()},
        plans={length: tuple((str(work.do), work.minutes) for work in plan) for length, plan in file.plans.items()},
    )
