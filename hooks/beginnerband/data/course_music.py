"""Music of the lessons: tunes by reference, exercises in ABC, and music taken from another lesson."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Protocol

from beginnerband.data.abc import read_abc
from beginnerband.data.course_files import KEYS, LessonFile, MusicFile, PlanFile
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Located
from beginnerband.music.breathing import as_marked, proposed
from beginnerband.music.score import Line
from beginnerband.teaching.course import Item
from beginnerband.teaching.grading import at_tempo, with_breaths

Files = Mapping[str, tuple[LessonFile, Located]]


class MusicSource(Protocol):
    """A tune, as far as the course needs it."""

    @property
    def title(self) -> str:
        """As people read it."""

    @property
    def line(self) -> Line:
        """At concert pitch."""


def items_of(
    files: Files, plan: PlanFile, tunes: Mapping[str, MusicSource], problems: Problems
) -> dict[str, tuple[Item, ...]]:
    """The music of every lesson; what cannot be used becomes problems and is left out."""
    own: dict[tuple[str, str], Item] = {}
    for lesson_id, (file, located) in files.items():
        for place, entry in enumerate(file.music):
            if not entry.from_:
                item = _own(entry, place, located, plan, tunes, problems)
                if item:
                    own[lesson_id, entry.id] = item
    found: dict[str, tuple[Item, ...]] = {}
    for lesson_id, (file, located) in files.items():
        items = []
        for place, entry in enumerate(file.music):
            item = own.get((entry.from_ or lesson_id, entry.id))
            if item is None and entry.from_:
                _explain_from(entry, place, located, files, problems)
            if item is not None:
                items.append(item)
        found[lesson_id] = tuple(items)
    return found


def _explain_from(entry: MusicFile, place: int, located: Located, files: Files, problems: Problems) -> None:
    line, source = located.line("music", place), files.get(entry.from_ or "")
    if source is None:
        problems.add(located.path, line, f"no lesson {entry.from_!r}{did_you_mean(entry.from_ or '', files)}")
        return
    ids = [other.id for other in source[0].music if not other.from_]
    if entry.id not in ids:
        hint = did_you_mean(entry.id, ids)
        problems.add(located.path, line, f"{entry.from_} has no music {entry.id!r} of its own{hint}")


def _own(
    entry: MusicFile,
    place: int,
    located: Located,
    plan: PlanFile,
    tunes: Mapping[str, MusicSource],
    problems: Problems,
) -> Item | None:
    keys = _keys(entry, place, located, plan, problems)
    line = _tune(entry, place, located, tunes, problems) if entry.tune else _exercise(entry, place, located, problems)
    if keys is None or line is None:
        return None
    if entry.breathe:
        line = with_breaths(as_marked(line), entry.breathe)
    elif entry.tune:
        line = proposed(as_marked(line))  # at the lesson's tempo; who writes an exercise marks its breaths
    title = entry.title or tunes[entry.tune or ""].title
    return Item(entry.id, title, line, keys, entry.how == "read", entry.tune or "", tuple(entry.for_))


def _keys(entry: MusicFile, place: int, located: Located, plan: PlanFile, problems: Problems) -> dict[str, int] | None:
    rooms = [room.id for room in plan.rooms]
    if isinstance(entry.key, str):
        return dict.fromkeys(rooms, KEYS.index(entry.key) - 7)
    given = entry.key or {}
    wrong = [room for room in given if room not in rooms] + [room for room in rooms if room not in given]
    for room in wrong:
        line = located.line("music", place, "key")
        what = f"no room {room!r} in plan.yml{did_you_mean(room, rooms)}" if room in given else f"no key for {room!r}"
        problems.add(located.path, line, what)
    return None if wrong else {room: KEYS.index(key) - 7 for room, key in given.items()}


def _tune(
    entry: MusicFile, place: int, located: Located, tunes: Mapping[str, MusicSource], problems: Problems
) -> Line | None:
    tune = tunes.get(entry.tune or "")
    if tune is None:
        line = located.line("music", place, "tune")
        refused = problems.refused(Path("content/tunes") / (entry.tune or ""))
        hint = "" if refused else did_you_mean(entry.tune or "", tunes)
        problems.add(located.path, line, f"no tune {entry.tune!r} in content/tunes{hint}", follows=refused)
        return None
    return at_tempo(tune.line, Fraction(entry.tempo).limit_denominator(100)) if entry.tempo else tune.line


def _exercise(entry: MusicFile, place: int, located: Located, problems: Problems) -> Line | None:
    head = f"X:1\nT:{entry.id}\nM:{entry.metre}\nL:1/4\nQ:1/4={entry.tempo or 90:g}\nK:C\n"
    file = read_abc(head + (entry.abc or ""))
    line = located.line("music", place, "abc")
    for mistake in file.mistakes:
        problems.add(located.path, line, f"the exercise {entry.id!r}: {mistake.message}")
    if file.mistakes or file.score is None:
        return None
    if len(file.score.lines) != 1:
        problems.add(located.path, line, f"the exercise {entry.id!r} has {len(file.score.lines)} voices; write one")
        return None
    return replace(file.score.lines[0], name="")
