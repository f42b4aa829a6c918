"""The ladder, ``content/ladder.yml``: what each stage may ask of players, with the reason for every limit."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from beginnerband.data.abc_fields import WrongFieldError, parse_metre
from beginnerband.data.course_unit_file import Text
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.textfile import yaml_files
from beginnerband.data.yamlfile import Located, Strict, load
from beginnerband.music.instrument import GROUPS, LEVELS, MOUTHPIECES
from beginnerband.music.reading import READING_IDS
from beginnerband.teaching.facts import TECHNIQUES, VALUE_NAMES
from beginnerband.teaching.ladder import Ladder, Limit, Listing, Rung
from beginnerband.teaching.wording import american_value

LADDER = Path("content") / "ladder.yml"


class LimitFile(Strict):
    """A figure and its reason."""

    most: Annotated[float, Field(ge=0, le=600)]
    """For everyone."""
    but: dict[str, Annotated[float, Field(ge=0, le=600)]] = Field(default_factory=dict)
    """For some."""
    why: Text
    """The reason."""

    def value(self) -> Limit:
        """The domain's limit."""
        return Limit(self.most, self.but, self.why)


class RangeFile(Strict):
    """A range level and its reason."""

    most: Literal["starter", "first-year", "full"]
    """For everyone."""
    but: dict[str, Literal["starter", "first-year", "full"]] = Field(default_factory=dict)
    """For some."""
    why: Text
    """The reason."""

    def value(self) -> Limit:
        """The domain's limit, a place in ``LEVELS``."""
        return Limit(LEVELS.index(self.most), {name: LEVELS.index(level) for name, level in self.but.items()}, self.why)


class ListFile(Strict):
    """Things allowed from a stage on, and the reason."""

    add: list[str]
    """New in this stage."""
    why: Text
    """The reason."""

    def value(self) -> Listing:
        """The domain's listing."""
        return Listing(tuple(self.add), self.why)


class NotationFile(Strict):
    """Whether players see notation, and the reason."""

    shown: bool
    """Yes or no."""
    why: Text
    """The reason."""


class RungFile(Strict):
    """Limits of one stage; see content/ladder.yml."""

    new_notes: LimitFile
    """New written notes a lesson."""
    range: RangeFile
    """Range level."""
    leap: LimitFile
    """Semitones."""
    breath: LimitFile
    """Seconds."""
    playing: LimitFile
    """Seconds."""
    signature: LimitFile
    """Sharps or flats."""
    values: ListFile
    """Note values."""
    metres: ListFile
    """Time signatures."""
    techniques: ListFile
    """Techniques."""
    notation: NotationFile
    """Shown or not."""

    def rung(self, stage: str) -> Rung:
        """The domain's rung."""
        return Rung(
            stage=stage,
            new_notes=self.new_notes.value(),
            range=self.range.value(),
            leap=self.leap.value(),
            breath=self.breath.value(),
            playing=self.playing.value(),
            signature=self.signature.value(),
            values=self.values.value(),
            metres=self.metres.value(),
            techniques=self.techniques.value(),
            notation=self.notation.shown,
        )


class KindsFile(Strict):
    """Kinds of new thing in a lesson, and the reason."""

    most: Annotated[int, Field(ge=1, le=20)]
    """At most."""
    why: Text
    """The reason."""


class LadderFile(Strict):
    """The ladder."""

    kinds: KindsFile
    """Kinds of new thing in one lesson, at every stage."""
    stages: dict[str, RungFile]
    """Limits by stage id."""


def load_ladder(root: Path, stages: Sequence[str] | None, problems: Problems) -> Ladder | None:
    """Load the ladder; its stages must be the plan's, in the same order (``None``: there is no plan to read)."""
    loaded = load(LadderFile, root / LADDER, problems)
    if loaded is None or stages is None:
        return None
    file, located = loaded
    for name in file.stages:
        if name not in stages:
            problems.add(
                located.path, located.line("stages", name), f"no stage {name!r} in plan.yml{did_you_mean(name, stages)}"
            )
    missing = [stage for stage in stages if stage not in file.stages]
    misspelt = " ".join(did_you_mean(name, stages) for name in file.stages if name not in stages)
    for name in missing:
        if repr(name) in misspelt:
            continue
        problems.add(located.path, located.line("stages"), f"the stage {name!r} of plan.yml has no limits here")
    for stage in stages:
        if stage in file.stages:
            _check_rung(root, stage, file.stages[stage], located, problems)
    if missing:
        return None
    return Ladder((file.stages[stage].rung(stage) for stage in stages), file.kinds.most)


def limit_names(root: Path) -> list[str]:
    """Names a limit or a piece of music may single out: groups, mouthpieces, readings and instruments."""
    instruments = [path.stem for path in yaml_files(root / "content" / "instruments")]
    return [*GROUPS, *MOUTHPIECES, *READING_IDS, *instruments]


def _check_rung(root: Path, stage: str, rung: RungFile, located: Located, problems: Problems) -> None:
    """Names in a rung that stand for nothing."""
    names = limit_names(root)
    for limit in ("new_notes", "range", "leap", "breath", "playing", "signature"):
        for name in getattr(rung, limit).but:
            if name not in names:
                line = located.line("stages", stage, limit, "but", name)
                problems.add(located.path, line, f"{limit}: nobody is called {name!r}{did_you_mean(name, names)}")
    for listing, known in (("values", VALUE_NAMES), ("techniques", TECHNIQUES)):
        for place, name in enumerate(getattr(rung, listing).add):
            if name not in known:
                line = located.line("stages", stage, listing, "add", place)
                american = american_value(name)
                hint = f"; write {american!r}" if american in known else did_you_mean(name, known)
                problems.add(located.path, line, f"{listing}: {name!r} is not known{hint}")
    for place, name in enumerate(rung.metres.add):
        try:
            parse_metre(name)
        except WrongFieldError:
            line = located.line("stages", stage, "metres", "add", place)
            problems.add(located.path, line, f"metres: {name!r} is no metre; write it as 4/4 or 6/8")
