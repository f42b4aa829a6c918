"""The rules of matching, ``content/matching.yml``: what people, instruments and the balance of a band count for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Located, Strict, load
from beginnerband.music.instrument import Instrument
from beginnerband.music.words import series
from beginnerband.people.plan import REASONS, Group, MatchingRules

Points = Annotated[int, Field(ge=0, le=10_000)]
Age = Literal["child", "teen", "adult"]

WEIGHTS = (*(reason for reason in REASONS if reason not in ("wish", "trial", "rim")), "waits", "borrow")
"""Reasons with one weight each."""


class GroupFile(Strict):
    """A group as written."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    """As ``horns``."""
    instruments: Annotated[list[str], Field(min_length=1)]
    """Instrument ids."""
    share: Annotated[float, Field(ge=0, le=100)]
    """Hundredths of the players."""
    over: Points
    """For the first player more."""
    under: Points
    """For the first player fewer."""
    why: str
    """The reason."""


class TrialFile(Strict):
    """Points by what came out."""

    clear: Points
    """A clear sound."""
    fair: Points
    """A sound, with effort."""
    none: Points
    """No sound."""
    untried: Points
    """Not tried."""


class MatchingFile(Strict):
    """The file as written."""

    basses: Annotated[list[str], Field(min_length=1)]
    """Of these one must be there."""
    years_to_hold: dict[Age, Annotated[float, Field(ge=0, le=20)]]
    """Years before a line is held, by age."""
    wish: Annotated[list[Points], Field(min_length=2)]
    """Points by place in the wishes."""
    trial: TrialFile
    """Points by trial."""
    rim: dict[Literal["small", "medium", "funnel", "large", "extra-large"], Points]
    """Points by mouthpiece for somebody who needs a wide rim."""
    easy_kg: dict[Age, Annotated[float, Field(gt=0, le=40)]]
    """Kilograms easily held, by age."""
    weights: dict[str, Points]
    """Points by reason."""
    balance: Annotated[list[GroupFile], Field(min_length=1)]
    """The usual balance."""
    alternatives: Annotated[int, Field(ge=0, le=10)] = 3
    """Next-best plans shown."""
    differ: Annotated[int, Field(ge=1, le=10)] = 2
    """People with another instrument in each."""


def load_matching(root: Path, instruments: dict[str, Instrument], problems: Problems) -> MatchingRules | None:
    """Load ``content/matching.yml``; ``None`` with problems noted when it cannot be used."""
    loaded = load(MatchingFile, root / "content" / "matching.yml", problems)
    if loaded is None:
        return None
    file, located = loaded
    before = len(problems.found)
    _check(file, located, instruments, problems)
    if len(problems.found) > before:
        return None
    return MatchingRules(
        groups=tuple(
            Group(
                name=group.name,
                instruments=tuple(group.instruments),
                share=group.share,
                over=group.over,
                under=group.under,
                why=group.why,
            )
            for group in file.balance
        ),
        basses=tuple(file.basses),
        wish=tuple(file.wish),
        trial=file.trial.model_dump(),
        rim={str(name): points for name, points in file.rim.items()},
        easy_kg={str(age): kg for age, kg in file.easy_kg.items()},
        years_to_hold={str(age): years for age, years in file.years_to_hold.items()},
        weights=file.weights,
        alternatives=file.alternatives,
        differ=file.differ,
    )


def _check(file: MatchingFile, located: Located, instruments: dict[str, Instrument], problems: Problems) -> None:
    for name in file.weights:
        if name not in WEIGHTS:
            line = located.line("weights", name)
            problems.add(located.path, line, f"weights: nothing is charged for {name!r}{did_you_mean(name, WEIGHTS)}")
    for section, given, wanted in (
        ("weights", file.weights, WEIGHTS),
        ("easy_kg", file.easy_kg, ("child", "teen", "adult")),
        ("years_to_hold", file.years_to_hold, ("child", "teen", "adult")),
    ):
        misspelt = " ".join(did_you_mean(name, wanted) for name in given if name not in wanted)
        missing = [name for name in wanted if name not in given and repr(name) not in misspelt]
        if missing:
            problems.add(located.path, located.line(section), f"{section}: {', '.join(missing)} missing")
    if any(later < earlier for earlier, later in zip(file.wish, file.wish[1:], strict=False)):
        problems.add(located.path, located.line("wish"), "wish: a later wish must not cost less than an earlier one")
    for name, line in _named(file, located):
        if name not in instruments:
            hint = did_you_mean(name, instruments)
            cause = problems.refused(located.path.parent / "instruments" / name)
            problems.add(located.path, line, f"no instrument {name!r} in content/instruments{hint}", cause)
    seen: dict[str, str] = {}
    for number, group in enumerate(file.balance):
        for place, name in enumerate(group.instruments):
            if name in seen:
                line = located.line("balance", number, "instruments", place)
                problems.add(located.path, line, f"{name!r} is counted with {seen[name]!r} already; keep one")
            seen[name] = group.name
    if sum(group.share for group in file.balance) <= 0:
        problems.add(located.path, located.line("balance"), "balance: the shares add up to nothing")
    for place, name in enumerate(file.basses):
        if name in instruments and "bass" not in instruments[name].covers:
            problems.add(located.path, located.line("basses", place), f"basses: {name!r} does not cover the bass")
    left_out = [name for name in instruments if name not in seen]
    if left_out:
        line = located.line("balance")
        names, them = series(left_out), "it" if len(left_out) == 1 else "each"
        problems.add(located.path, line, f"balance: {names} must be counted in one of the groups; add {them} to one")


def _named(file: MatchingFile, located: Located) -> Iterator[tuple[str, int]]:
    """Every instrument named in the file, with its line."""
    for place, name in enumerate(file.basses):
        yield name, located.line("basses", place)
    for number, group in enumerate(file.balance):
        for place, name in enumerate(group.instruments):
            yield name, located.line("balance", number, "instruments", place)
