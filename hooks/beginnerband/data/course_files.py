"""The files of the course, read together: each is valid by itself, and knows the lines of what it says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from beginnerband.data.course_plan_file import PlanFile
from beginnerband.data.course_unit_file import PercussionFile, UnitFile
from beginnerband.data.problems import Problems
from beginnerband.data.yamlfile import Located, load

FOLDER = Path("content") / "course"

UnitFiles = Mapping[str, tuple[UnitFile, Located]]
"""Units by the names of their files."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseFiles:
    """What ``content/course/`` holds."""

    root: Path
    """The project."""
    plan: PlanFile
    """``plan.yml``."""
    at: Located
    """Its lines."""
    units: UnitFiles
    """Every other file."""
    drums: tuple[PercussionFile, Located]
    """``percussion.yml``."""

    @property
    def listed(self) -> tuple[str, ...]:
        """Units in the order of the plan, those to catch up with last."""
        return (*self.plan.order, *self.plan.spare)


def plan_file(root: Path, problems: Problems) -> tuple[PlanFile, Located] | None:
    """The plan; ``None`` with mistakes, which become problems."""
    return load(PlanFile, root / FOLDER / "plan.yml", problems)


def unit_files(root: Path, problems: Problems) -> UnitFiles:
    """Every unit without a mistake; the mistakes of the others become problems."""
    files: dict[str, tuple[UnitFile, Located]] = {}
    for path in sorted((root / FOLDER).glob("*.y*ml")):
        if path.stem not in ("plan", "percussion"):
            loaded = load(UnitFile, path, problems)
            if loaded:
                files[path.stem] = loaded
    return files


def drums_file(root: Path, problems: Problems) -> tuple[PercussionFile, Located] | None:
    """The drums' own course; ``None`` with mistakes, which become problems."""
    return load(PercussionFile, root / FOLDER / "percussion.yml", problems)
