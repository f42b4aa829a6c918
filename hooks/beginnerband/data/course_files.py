"""The files of the course, read together: each is valid by itself, and knows the lines of what it says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from beginnerband.data.course_plan_file import PlanFile
from beginnerband.data.course_unit_file import PercussionFile, UnitFile
from beginnerband.data.ladder import load_ladder
from beginnerband.data.problems import Problems
from beginnerband.data.textfile import yaml_files
from beginnerband.data.yamlfile import Located, load
from beginnerband.teaching.ladder import Ladder

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
    ladder: Ladder
    """``content/ladder.yml``."""

    @property
    def listed(self) -> tuple[str, ...]:
        """Units in the order of the plan, those to catch up with last."""
        return (*self.plan.order, *self.plan.spare)


def read_course(root: Path, problems: Problems) -> CourseFiles | None:
    """Read them all; ``None`` without a course, or with mistakes, which become problems."""
    if not (root / FOLDER).is_dir():
        return None
    before = len(problems.found)
    plan = load(PlanFile, root / FOLDER / "plan.yml", problems)
    ladder = load_ladder(root, [stage.id for stage in plan[0].stages] if plan else None, problems)
    units = _units(root, problems)
    drums = load(PercussionFile, root / FOLDER / "percussion.yml", problems)
    if plan is None or ladder is None or drums is None or len(problems.found) > before:
        return None
    return CourseFiles(root=root, plan=plan[0], at=plan[1], units=units, drums=drums, ladder=ladder)


def _units(root: Path, problems: Problems) -> UnitFiles:
    files: dict[str, tuple[UnitFile, Located]] = {}
    for path in yaml_files(root / FOLDER):
        if path.stem not in ("plan", "percussion"):
            loaded = load(UnitFile, path, problems)
            if loaded:
                files[path.stem] = loaded
    return files
