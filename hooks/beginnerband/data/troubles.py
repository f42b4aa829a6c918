"""The trouble table and its decision path: ``content/troubles.yml``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

from pydantic import Field

from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.sources import COMMON_PRACTICE, SOURCES
from beginnerband.data.yamlfile import Located, Strict, load

START = "start"
"""The question the path begins with."""


class Cause(Strict):
    """One cause of a trouble."""

    cause: Annotated[str, Field(min_length=1)]
    """What may be behind it."""
    check: Annotated[str, Field(min_length=1)]
    """How to tell."""
    do: Annotated[str, Field(min_length=1)]
    """The remedy."""
    page: str
    """The guide page that says more."""


class Trouble(Strict):
    """A symptom, with its causes in the order to try them."""

    symptom: Annotated[str, Field(min_length=1, max_length=60)]
    """What a leader sees or hears."""
    stop: str = ""
    """What to do before anything else, where it can hurt somebody or something."""
    also: list[str] = Field(default_factory=list)
    """Other words to find it by."""
    sources: list[str] = Field(default_factory=lambda: [COMMON_PRACTICE])
    """Ids of sources."""
    causes: Annotated[list[Cause], Field(min_length=1)]
    """Likeliest and safest first."""


class Reply(Strict):
    """An answer to a question of the path."""

    say: Annotated[str, Field(min_length=1)]
    """The answer."""
    to: str
    """Id of the question or trouble it leads to."""


class Question(Strict):
    """A question of the path."""

    ask: Annotated[str, Field(min_length=1)]
    """The question."""
    answers: Annotated[list[Reply], Field(min_length=2, max_length=9)]
    """What can be chosen."""


class Troubles(Strict):
    """The whole file."""

    path: dict[str, Question]
    """Questions by id; the first is ``start``."""
    troubles: Annotated[dict[str, Trouble], Field(min_length=1)]
    """Troubles by id."""


def load_troubles(root: Path, sources: Mapping[str, object], problems: Problems) -> Troubles | None:
    """Load the table; a path that leads nowhere, round in a circle or past a trouble is a problem."""
    loaded = load(Troubles, root / "content" / "troubles.yml", problems)
    if loaded is None:
        return None
    file, located = loaded
    for trouble_id, trouble in file.troubles.items():
        if trouble_id in file.path:
            problems.add(located.path, located.line("troubles", trouble_id), f"{trouble_id!r} is also a question")
        for number, source in enumerate(trouble.sources):
            if source not in sources:
                line = located.line("troubles", trouble_id, "sources", number)
                said = f"no source {source!r}{did_you_mean(source, sources)}"
                problems.add(located.path, line, said, follows=root / SOURCES)
    reached = _walk(file, START, (), located, problems)
    for kind, ids in (("question", file.path), ("trouble", file.troubles)):
        for missed in ids if not problems.found else ():
            if missed not in reached:
                line = located.line("path" if kind == "question" else "troubles", missed)
                problems.add(located.path, line, f"no answer of the path leads to the {kind} {missed!r}")
    return file


def _walk(file: Troubles, here: str, above: tuple[str, ...], located: Located, problems: Problems) -> set[str]:
    """Ids reached from ``here``; what is wrong on the way becomes a problem."""
    if here in file.troubles:
        return {here}
    question = file.path.get(here)
    if question is None:
        problems.add(located.path, located.line("path"), f"the path has no question {here!r}")
        return set()
    reached = {here}
    for number, answer in enumerate(question.answers):
        line = located.line("path", here, "answers", number, "to")
        if answer.to in (*above, here):
            problems.add(located.path, line, f"the answer leads back to {answer.to!r}; a path only goes on")
        elif answer.to not in file.path and answer.to not in file.troubles:
            hint = did_you_mean(answer.to, [*file.path, *file.troubles])
            problems.add(located.path, line, f"no question or trouble {answer.to!r}{hint}")
        else:
            reached |= _walk(file, answer.to, (*above, here), located, problems)
    return reached
