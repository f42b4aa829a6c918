"""Learners and the cupboard: ``learners`` and ``cupboard`` in ``content/roster/``, each as YAML or as CSV.

The leader's own folder ``content/roster`` is left alone by git. While it is empty the invented one that comes with the
handbook, ``content/roster-example``, stands in for it. YAML and CSV hold the same rows and pass the same checks.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import yaml
from pydantic import BeforeValidator, Field

from beginnerband.audience import EXAMPLE_CONTENT, OWN_CONTENT
from beginnerband.data.instrument_names import known_names, meant_instrument, plain_name
from beginnerband.data.problems import Problem, Problems, did_you_mean
from beginnerband.data.spreadsheet import read_csv
from beginnerband.data.textfile import near_file
from beginnerband.data.yamlfile import Located, Strict, load, validate
from beginnerband.music.instrument import Instrument
from beginnerband.people.roster import DAYS, MOUTHPIECES, Age, CupboardItem, Learner, Roster, State, Tried
from beginnerband.people.seating import RoomSize

_BETWEEN = re.compile(r"[;,/\n]")
"""What stands between things in one cell; a line break as well, as spreadsheets allow."""


def _listed(value: object) -> object:
    """A list, or what a cell of a spreadsheet holds: things with :data:`_BETWEEN` between them."""
    if isinstance(value, str):
        return [part.strip() for part in _BETWEEN.split(value) if part.strip()]
    return value


def _trials(value: object) -> object:
    """``{small: clear}``, or in a cell ``small clear; large none``; capitals do not matter."""
    if isinstance(value, dict):
        return {_small(mouthpiece): _small(outcome) for mouthpiece, outcome in value.items()}
    if not isinstance(value, str):
        return value
    found = {}
    for part in _words(value):
        mouthpiece, _, outcome = part.rpartition(" ")
        if not mouthpiece:
            raise ValueError(
                f"{part!r} is no trial; write the mouthpiece and what came out, as small clear; large none"
            )
        found[_small(mouthpiece)] = _small(outcome)
    return found


def _words(value: str) -> list[str]:
    return [part.strip(" :").replace(":", " ") for part in _BETWEEN.split(value) if part.strip()]


def _tick(value: object) -> object:
    """A cross or a tick in a cell means yes."""
    return True if isinstance(value, str) and value.strip().lower() in TICKS else value


def _number(value: object) -> object:
    """A decimal comma is as good as a point."""
    return value.replace(",", ".") if isinstance(value, str) else value


def _days(value: object) -> object:
    days = _listed(value)
    if not isinstance(days, list):
        return days
    found = []
    for day in days:
        short = str(day).strip().lower()[:3]
        if short not in DAYS:
            raise ValueError(f"{str(day)[:30]!r} is no day; use {', '.join(DAYS)}")
        found.append(short)
    return found


def _small(value: object) -> object:
    return value.strip().lower().replace(" ", "-") if isinstance(value, str) else value


SHEETS = (".xls", ".xlsx", ".ods", ".numbers")
"""Endings of files in which spreadsheets keep a table."""

TICKS = ("x", "✓", "✔", "☑")
"""What people put into a cell to say yes."""

MOUTH = ("wide rim", "ask first")
"""What may follow from teeth or braces."""


def _of(what: str) -> Any:
    """A field that holds names of ``what``; its schema says so to the form, which checks as the loader does."""
    return Field(json_schema_extra={"of": what})


Id = Annotated[str, _of("instruments")]
"""An instrument, by id or by name."""
Ids = Annotated[list[str], BeforeValidator(_listed), _of("instruments")]
"""Instruments, by id or by name."""
Kilograms = Annotated[float, BeforeValidator(_number), Field(gt=0, le=60)]


class LearnerRow(Strict):
    """One learner as written; see the fields of :class:`beginnerband.people.roster.Learner`."""

    name: Annotated[str, Field(min_length=1, max_length=40)]
    """Initials or a nickname."""
    age: Annotated[Age, BeforeValidator(_small)]
    """child, teen or adult."""
    wishes: Ids = Field(default_factory=list)
    """Instruments, dearest first."""
    wish_weight: Annotated[int, Field(ge=0, le=20)] = 1
    """How much the wishes count."""
    trial: Annotated[dict[str, Tried], BeforeValidator(_trials), _of("mouthpieces")] = Field(default_factory=dict)
    """Mouthpiece: clear, fair or none."""
    reach_cm: Annotated[float | None, BeforeValidator(_number), Field(gt=10, le=120)] = None
    """How far out the slide can be held, measured."""
    lifts_kg: Kilograms | None = None
    """The most to carry and hold."""
    mouth: Annotated[list[str], BeforeValidator(_listed), _of("mouth")] = Field(default_factory=list)
    """wide rim, ask first."""
    played: Id = ""
    """Instrument played before."""
    years: Annotated[float, BeforeValidator(_number), Field(ge=0, le=80)] = 0
    """For how many years."""
    reads: Annotated[bool, BeforeValidator(_tick)] = False
    """Reads music."""
    holds: Annotated[bool | None, BeforeValidator(_tick)] = None
    """Can hold a line alone."""
    days: Annotated[list[str], BeforeValidator(_days), _of("days")] = Field(default_factory=list)
    """Days they can come."""
    owns: Id = ""
    """Instrument they own."""
    set_to: Id = ""
    """The leader's decision."""
    never: Ids = Field(default_factory=list)
    """Instruments out of the question."""
    now: Id = ""
    """Instrument they play now."""


class ItemRow(Strict):
    """One instrument of the cupboard as written."""

    instrument: Annotated[Id, Field(min_length=1)]
    """Id or name."""
    serial: Annotated[str, BeforeValidator(lambda value: str(value) if isinstance(value, int) else value)] = ""
    """Serial number or the band's own mark."""
    size: Annotated[str, Field(max_length=40)] = ""
    """As three-quarter."""
    weight_kg: Kilograms | None = None
    """Its own weight."""
    state: Annotated[State, BeforeValidator(_small)] = "ready"
    """ready, usable, repair or could-be-lent."""
    lender: Annotated[str, Field(max_length=80)] = ""
    """Who lends it."""
    count: Annotated[int, Field(ge=1, le=60)] = 1
    """How many alike."""


class LearnersFile(Strict):
    """The file of learners."""

    learners: Annotated[list[LearnerRow], Field(min_length=1, max_length=400)]
    """One a learner."""


class CupboardFile(Strict):
    """The file of instruments."""

    instruments: list[ItemRow]
    """One an instrument."""


class SeatRow(Strict):
    """Where the leader has put somebody."""

    row: Annotated[int, Field(ge=1, le=20)]
    """1 is the front."""
    seat: Annotated[int, Field(ge=1, le=60)]
    """1 is at the leader's left."""


class MeetingRoomFile(Strict):
    """The room as written; the file may be left out."""

    width_m: Annotated[float, Field(ge=2, le=60)] = 8.0
    """From wall to wall, as the leader sees it, metres."""
    depth_m: Annotated[float, Field(ge=3, le=60)] = 8.0
    """From the leader's back to the wall behind the band, metres."""
    seats: dict[str, SeatRow] = Field(default_factory=dict)
    """Seats of the leader's choice, by name."""
    turns: Annotated[int, Field(ge=0, le=10)] = 2
    """How many have a turn one to one in each lesson."""


@dataclass(frozen=True, slots=True)
class Gathering:
    """The people, the instruments and the room."""

    roster: Roster
    """Learners and instruments."""
    room: RoomSize
    """The room."""
    seats: Mapping[str, tuple[int, int]]
    """Row and seat, from 1, of those the leader has put somewhere, by name."""
    turns: int
    """How many have a turn one to one in each lesson."""
    warnings: tuple[Problem, ...]
    """What is no mistake, but better changed."""


def load_roster(root: Path, instruments: Mapping[str, Instrument], problems: Problems) -> Gathering | None:
    """The leader's own roster, or else the invented one; ``None`` with problems noted."""
    own, example = root / "content" / OWN_CONTENT, root / "content" / EXAMPLE_CONTENT
    folder = own if _present(own) else example
    if not _present(folder):
        problems.add(
            own, 0, "the leader's own copy needs learners.yml or learners.csv here, and a cupboard; see README.md"
        )
        return None
    before = len(problems.found)
    learners = _file(folder, "learners", LearnersFile, "learners", problems)
    cupboard = _file(folder, "cupboard", CupboardFile, "instruments", problems)
    if learners is None or cupboard is None:
        return None
    names = _Names(instruments, problems)
    warnings = Problems(root)
    found = tuple(_learners(*learners, names, problems, warnings))
    items = (*_items(*cupboard, names, problems), *_own(found, names))
    room = _room(folder / "room.yml", {learner.name for learner in found}, problems)
    if len(problems.found) > before:
        return None
    seats = {name: (seat.row, seat.seat) for name, seat in room.seats.items()}
    roster = Roster(found, items, folder == example)
    return Gathering(roster, RoomSize(room.width_m, room.depth_m), seats, room.turns, tuple(warnings))


def _room(path: Path, names: set[str], problems: Problems) -> MeetingRoomFile:
    """The room; the usual one where there is no file, or with problems noted."""
    loaded = load(MeetingRoomFile, path, problems) if path.is_file() else None
    if loaded is None:
        return MeetingRoomFile()
    file, located = loaded
    for name in file.seats:
        if name not in names:
            problems.add(
                path, located.line("seats", name), f"seats: nobody is called {name!r}{did_you_mean(name, names)}"
            )
    return file


def as_yaml(learners: Iterable[Learner], now: Mapping[str, str]) -> str:
    """The file of learners, with what each plays ``now`` by name: to be kept for the next plan.

    What the roster does not say is left out, as people write it.
    """
    usual = LearnerRow(name="x", age="child").model_dump()
    rows = []
    for learner in learners:
        row: dict[str, object] = {
            key: getattr(learner, key) for key in LearnerRow.model_fields if key not in ("mouth", "now")
        }
        row["trial"], row["now"] = dict(learner.trial), now.get(learner.name, learner.now)
        said = (("wide rim", learner.wide_rim), ("ask first", learner.ask_first))
        row["mouth"] = [word for word, holds in said if holds]
        plain = {key: list(value) if isinstance(value, tuple) else value for key, value in row.items()}
        rows.append({key: value for key, value in plain.items() if value != usual[key] or key in ("name", "age")})
    lines = (
        yaml.safe_dump(row, default_flow_style=True, allow_unicode=True, width=10**6, sort_keys=False) for row in rows
    )
    return "learners:\n" + "".join(f"  - {line.strip()}\n" for line in lines)


def _present(folder: Path) -> bool:
    return any((folder / f"{name}.{end}").is_file() for name in ("learners", "cupboard") for end in ("yml", "csv"))


def _file(folder: Path, name: str, model: type[Any], rows: str, problems: Problems) -> tuple[Any, Located] | None:
    paths = [path for path in (folder / f"{name}.yml", folder / f"{name}.csv") if path.is_file()]
    if not paths:
        sheet = next((path for path in sorted(folder.glob(f"{name}.*")) if path.suffix.lower() in SHEETS), None)
        if sheet:
            problems.add(sheet, 0, f"a spreadsheet's own file is not read; save it there as 'CSV UTF-8', {name}.csv")
        else:
            near = near_file(folder / f"{name}.csv")
            ending = "yml" if re.search(r"\.ya?ml\b", near, re.I) else "csv"
            readable = re.search(r"\.(?:csv|txt|ya?ml)$", near, re.I)
            found = f"; {near!r} is here: give it the name '{name}.{ending}'" if readable else ""
            problems.add(folder, 0, f"{name}.yml or {name}.csv is missing here{found}")
        return None
    if len(paths) > 1:
        problems.add(paths[1], 0, f"{name}.yml is here too; keep one of the two")
        return None
    if paths[0].suffix == ".yml":
        return load(model, paths[0], problems)
    row_model = model.model_fields[rows].annotation.__args__[0]
    located = read_csv(paths[0], rows, list(row_model.model_fields), problems)
    value = validate(model, located, problems) if located else None
    return None if value is None or located is None else (value, located)


class _Names:
    """Looks instruments up by id or by name, as ``tenor horn`` or ``E♭ tenor horn``."""

    def __init__(self, instruments: Mapping[str, Instrument], problems: Problems) -> None:
        self.instruments, self.problems, self.known = instruments, problems, known_names(instruments)

    def id_of(self, name: str, path: Path, line: int) -> str:
        """The id of an instrument, or, with a problem noted, an empty text."""
        if not name:
            return ""
        found = self.known.get(plain_name(name))
        if found is None:
            hint = meant_instrument(name, self.instruments)
            self.problems.add(path, line, f"no instrument {name[:60]!r} in content/instruments{hint}")
        return found or ""


def _learners(
    file: LearnersFile, located: Located, names: _Names, problems: Problems, warnings: Problems
) -> Iterable[Learner]:
    seen: dict[str, int] = {}
    for number, row in enumerate(file.learners):
        path = located.path

        def at(field: str, number: int = number) -> int:
            return located.line("learners", number, field)

        def one(field: str, row: LearnerRow = row, number: int = number) -> str:
            return names.id_of(getattr(row, field), located.path, located.line("learners", number, field))

        def several(field: str, row: LearnerRow = row, number: int = number) -> tuple[str, ...]:
            line = located.line("learners", number, field)
            found = (names.id_of(name, located.path, line) for name in getattr(row, field))
            return tuple(dict.fromkeys(name for name in found if name))

        if row.name.casefold() in seen:
            first = seen[row.name.casefold()]
            problems.add(path, at("name"), f"{row.name!r} stands twice, first on line {first}; add an initial to one")
        seen.setdefault(row.name.casefold(), at("name"))
        if looks_like_a_full_name(row.name):
            warnings.add(path, at("name"), f"{row.name!r} looks like a full name; initials or a nickname are enough")
        for mouthpiece in row.trial:
            if mouthpiece not in MOUTHPIECES:
                hint = did_you_mean(mouthpiece, MOUTHPIECES)
                problems.add(path, at("trial"), f"trial: no mouthpiece {mouthpiece!r}{hint}")
        mouth = [word.strip().lower().replace(" ", "-") for word in row.mouth]
        for word in mouth:
            if word.replace("-", " ") not in MOUTH:
                hint = did_you_mean(word.replace("-", " "), MOUTH)
                problems.add(path, at("mouth"), f"mouth: {word!r} is not known{hint}")
        learner = Learner(
            name=row.name,
            age=row.age,
            wishes=several("wishes"),
            wish_weight=row.wish_weight,
            trial=row.trial,
            reach_cm=row.reach_cm,
            lifts_kg=row.lifts_kg,
            wide_rim="wide-rim" in mouth,
            ask_first="ask-first" in mouth,
            played=one("played"),
            years=row.years,
            reads=row.reads,
            holds=row.holds,
            days=tuple(row.days),
            owns=one("owns"),
            set_to=one("set_to"),
            never=several("never"),
            now=one("now"),
        )
        if learner.set_to and learner.set_to in learner.never:
            problems.add(path, at("set_to"), f"{learner.set_to!r} is both decided on and out of the question; keep one")
        yield learner


def _items(file: CupboardFile, located: Located, names: _Names, problems: Problems) -> Iterable[CupboardItem]:
    serials: dict[tuple[str, str], int] = {}
    for number, row in enumerate(file.instruments):
        line = located.line("instruments", number, "instrument")
        instrument = names.instruments.get(names.id_of(row.instrument, located.path, line))
        if instrument is None:
            continue
        if row.serial and row.count > 1:
            problems.add(located.path, line, "several instruments cannot share one serial number; give each a row")
        if row.serial and (instrument.id, row.serial) in serials:
            first = serials[instrument.id, row.serial]
            message = f"the serial number {row.serial!r} stands twice, first on line {first}; mend one"
            problems.add(located.path, line, message)
        serials.setdefault((instrument.id, row.serial), line)
        for _ in range(row.count):
            yield CupboardItem(
                instrument=instrument,
                serial=row.serial,
                size=row.size,
                weight_kg=row.weight_kg,
                state=row.state,
                lender=row.lender,
            )


def _own(learners: Iterable[Learner], names: _Names) -> Iterable[CupboardItem]:
    """What learners own, each for its owner alone."""
    for learner in learners:
        if learner.owns:
            yield CupboardItem(names.instruments[learner.owns], owner=learner.name)


def looks_like_a_full_name(name: str) -> bool:
    """Two words or more that begin alike (all large, or all small), the last spelt out; or an address, or a number to
    telephone."""
    words = [word for word in re.split(r"[\s,._]+", name) if word]
    capital = [word for word in words if word[:1].isupper()]
    small = [word for word in words if word.islower() and len(word) >= 3]
    spelt = len(capital) >= 2 and len(capital[-1]) >= 3
    typed = len(words) == len(small) == 2 and not set(words) & PLAIN_WORDS
    return spelt or typed or "@" in name or sum(letter.isdigit() for letter in name) >= 6


PLAIN_WORDS = frozenset({"the", "big", "tall", "little", "small", "old", "young", "red", "from"})
"""Words of nicknames that are no part of a name."""
