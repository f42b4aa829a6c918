"""Turns that players take in a step: said where words speak of them, never waited for longer than the plan allows."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from beginnerband.data.course_files import CourseFiles
from beginnerband.data.course_unit_file import StepFile
from beginnerband.data.problems import Problems
from beginnerband.music.words import counted
from beginnerband.teaching.course import Step
from beginnerband.teaching.turns import lasting

SPEAKS = re.compile(
    r"\{(?:other-half|other-side)\}|\bin (?:their )?turns?\b|\bturns of\b|\bhalves\b|\b(?:odd|even) chairs\b"
    r"|\bone after (?:the )?(?:an)?other\b|\b(?:one|each|a|next) \{?row\b|\brow by row\b|\bone by one\b"
    r"|\b(?:change|swap)s? (?:over|at each|every|after|with|each|halves|sides)\b",
    re.I,
)
"""Words that part the band, so that some wait while others play."""

BY_HAND = re.compile(r"\b(?:within|every|after|each) (?:half a |a |two |half )?minutes?\b|\bhalf a minute\b", re.I)
"""How long that takes, said by hand where it is computed."""


def check_turns(taught: Iterable[Step], files: CourseFiles, problems: Problems) -> None:
    """A step whose words part the band says how; in those ``taught`` nobody waits longer than ``wait`` of the plan."""
    told = {step.id: step for step in taught}
    for ident in files.listed:
        file, located = files.units[ident]
        for place, step in enumerate(file.steps):
            line = located.line("steps", place, "turns" if step.turns else "one")
            for said in (*_said(step), *(_waits(told[step.id], files.plan.wait) if step.id in told else ())):
                problems.add(located.path, line, said)


def _said(step: StepFile) -> Iterator[str]:
    """What the words of a step say of turns that its data do not."""
    how = step.one or ""
    if step.turns is None and step.lips and "at the same time" not in how and (found := SPEAKS.search(how)):
        yield (
            f"{step.id}: {found[0]!r} has some wait while others play; say by whom it goes round and how long a turn "
            "lasts, as turns: {by: half, seconds: [15]}"
        )
    if step.turns and (found := BY_HAND.search(how)):
        yield f"{step.id}: {found[0]!r} is said by hand; write {{each-turn}} or {{wait}}, so that it follows the band"


def _waits(step: Step, longest: float) -> Iterator[str]:
    """Waits in a step that are longer than they may be, in each room."""
    for each in (one for _, one in step.rooms or (("", step),)):
        turn = each.turn
        if turn and turn.wait > longest:
            yield (
                f"{step.id}: {counted(turn.count)} turns of {lasting(turn.seconds)} have a player wait for "
                f"{lasting(turn.wait)}, and 'wait' in plan.yml allows {lasting(longest)}; make the turns shorter, or "
                "give 'by' a larger share of the band"
            )
