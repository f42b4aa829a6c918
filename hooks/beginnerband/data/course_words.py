"""What the words of a course say of its music, checked: its names, and where they point.

A name that is not printed on any sheet, a bar that the tune does not have, alternatives of which none is for some band:
each becomes a problem with its file and line.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from beginnerband.data.course_files import CourseFiles
from beginnerband.data.course_setting import Setting
from beginnerband.data.course_unit_file import STEP_WORDS, StepFile, TaskFile
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Located
from beginnerband.teaching.addressed import faults
from beginnerband.teaching.directions import Laid, false_directions
from beginnerband.teaching.phrases import PHRASES, PLACE, Phrases
from beginnerband.teaching.turns import WORDS as TURN_WORDS

VAGUE = re.compile(
    r"\b(?:the|our|your|both) (?:waltz|round|march|"
    r"(?:band|shared|first|second|third|(?:three|five)-note) (?:tune|piece)s?)\b",
    re.I,
)
"""Names for music that are on no sheet."""

OF_TODAY = re.compile(
    r"\b(?:the (?:tune|piece|round|bar|(?:two|three) notes)|your (?:part|(?:two|three) notes))\b", re.I
)
"""What can be meant only while a lesson's music is before one: home practice goes on for weeks."""


@dataclass(frozen=True, slots=True)
class CardText:
    """A text as it stands in a file."""

    located: Located
    """The file."""
    keys: tuple[str | int, ...]
    """Where in it."""
    text: str
    """As written, with its braces."""
    music: tuple[str, ...] = ()
    """Ids of the music it is about, unless it names others."""
    who: str = ""
    """Id of the step it belongs to, or empty."""

    @property
    def line(self) -> int:
        """Its line in the file."""
        return self.located.line(*self.keys)

    @property
    def at_home(self) -> bool:
        """Whether it is a line of home practice that a step gives."""
        return bool(self.keys) and self.keys[0] == "steps" and self.keys[-1] == "home"

    @property
    def named(self) -> tuple[str, ...]:
        """Ids in braces."""
        return tuple(match[1] for match in PLACE.finditer(self.text) if match[2] is None)


class CourseWords:
    """The words of one course."""

    def __init__(self, files: CourseFiles, setting: Setting, problems: Problems) -> None:
        self._files, self._setting, self._problems = files, setting, problems

    def check_marks(self, phrases: Phrases) -> None:
        """Every mark is known, and alternatives say something to every band, this one or another."""
        words, at = self._files.plan.words, self._files.at
        for name, text in words.items():
            line = at.line("words", name)
            if name in PHRASES or not phrases.fault(f"{{{name}}}"):
                self._problems.add(
                    at.path, line, f"{name!r} is the name of music or of a phrase; call the word otherwise"
                )
            for said in faults(text, {}):
                self._problems.add(at.path, line, f"the word {name!r}: {said}")
        turning = {step.id for file, _ in self._files.units.values() for step in file.steps if step.turns}
        for passage in self._passages(every=True):
            path, line = passage.located.path, passage.line
            known = {**words, **dict.fromkeys(TURN_WORDS, "")} if passage.who in turning else words
            for said in faults(passage.text, known):
                self._problems.add(path, line, said)
            for mark in dict.fromkeys(match[0] for match in PLACE.finditer(passage.text)):
                name = mark[1:-1]
                said = "" if name in known else phrases.fault(mark)
                if said:
                    hint = "" if " " in name else did_you_mean(name, {*known, *phrases.known})
                    self._problems.add(path, line, said + hint, follows=self._cause(said))

    def _cause(self, message: str) -> str:
        """The file whose mistake made a piece unknown: its own, or the rules without which no piece is read."""
        return self._refused(message.split("'")[1] if "'" in message else "")

    def _refused(self, name: str) -> str:
        """The file that made a piece that is there unknown; empty where there is no such piece, or nothing is wrong."""
        pieces = self._problems.root / "content" / "pieces"
        if not name or not any(pieces.glob(f"{name}.*")):
            return ""
        return self._problems.refused(pieces / name) or self._problems.refused(pieces.with_name("scoring"))

    def check_directions(self, laid: Mapping[str, Laid]) -> None:
        """Bars, lines and figures that are spoken of must be where the sheets have them."""
        for passage in self._passages():
            named = [laid[ident] for ident in passage.named if ident in laid]
            music = named or [laid[ident] for ident in passage.music if ident in laid]
            if not passage.who and not named:
                continue  # what a family makes up, or a whole unit
            missing = [ident for ident in (*passage.named, *passage.music) if ident not in laid]
            cause = next(filter(None, map(self._refused, missing)), "")
            for said in false_directions(passage.text, music):
                self._problems.add(passage.located.path, passage.line, f"{passage.text!r}: {said}", follows=cause)

    def check_names(self, titles: Iterable[str]) -> None:
        """Music is named by its id in braces, so that its name is the one on the sheets."""
        known = sorted(set(titles), key=len, reverse=True)
        for passage in self._passages():
            text = PLACE.sub("", passage.text)
            if vague := VAGUE.search(text):
                said = f"{vague[0]!r} is the name of no music on a sheet; name it by its id in braces"
                self._problems.add(passage.located.path, passage.line, said)
            if passage.at_home and not passage.named and (vague := OF_TODAY.search(text)):
                said = f"{vague[0]!r} is practised for weeks, beside other music; name the music by its id in braces"
                self._problems.add(passage.located.path, passage.line, said)
            for title in known:
                if title in text and _by_hand(title, text):
                    said = f"{title!r} is named by hand; write the id of the music in braces, so that the name follows"
                    self._problems.add(passage.located.path, passage.line, said)

    def check_by_then(self, titles: Mapping[str, str]) -> None:
        """Music that a step speaks of comes with it, or with an earlier step that is never left out.

        So its name is on a sheet by then, however the steps are packed into lessons. A unit to catch up with, and a
        task of the drums, can count on what there is at the step after which it is of use.
        """
        by_step: dict[str, list[CardText]] = {}
        for passage in self._passages():
            by_step.setdefault(passage.who, []).append(passage)
        plan = self._files.plan
        after = {"": frozenset[str]()}
        for step in self._steps(plan.order):
            own = frozenset(titles[each] for each in (*step.music, *step.pieces) if each in titles)
            before = next(reversed(after.values()))
            self._check_named(by_step.get(step.id, ()), before | own, titles)
            after[step.id] = before | (own if not step.worth else frozenset())
        for ident in plan.spare:
            there = after.get(self._files.units[ident][0].after, frozenset())
            for step in self._steps([ident]):
                there |= frozenset(titles[each] for each in (*step.music, *step.pieces) if each in titles)
                self._check_named(by_step.get(step.id, ()), there, titles)
        for task in self._files.drums[0].tasks:
            if task.after in after:
                self._check_named(by_step.get(_drums(task), ()), after[task.after], titles)

    def _check_named(self, passages: Iterable[CardText], there: Collection[str], titles: Mapping[str, str]) -> None:
        for passage in passages:
            for ident in passage.named:
                if ident in titles and titles[ident] not in there:
                    said = f"{passage.text!r}: {titles[ident]!r} is not sure to be on a sheet by then"
                    self._problems.add(passage.located.path, passage.line, said)

    def _steps(self, units: Iterable[str]) -> Iterator[StepFile]:
        """Steps of these units that are taught to this band."""
        for ident in units:
            for step in self._files.units[ident][0].steps:
                if self._setting.uses(step) and step.id not in self._files.plan.skip:
                    yield step

    def _passages(self, every: bool = False) -> Iterator[CardText]:
        """Every text that a card or a sheet of this band can show; or ``every`` one, also for other bands."""
        for file, located in map(self._files.units.__getitem__, self._files.listed):
            heads = (("title", file.title), ("aim", file.aim), ("ready", file.ready), ("try", file.try_))
            for name, text in (*heads, *(("bring", thing) for thing in file.bring)):
                yield CardText(located, (name,), text)
            for place, step in enumerate(file.steps):
                if not (every or self._setting.uses(step)):
                    continue
                music = (*step.music, *step.pieces)
                unsaid = {step.one, step.two} - {*step.how(self._setting.apart)}
                for name in ("title", *STEP_WORDS) if every else STEP_WORDS:
                    text = getattr(step, name)
                    if text and (every or text not in unsaid):
                        yield CardText(located, ("steps", place, name.rstrip("_")), text, music, step.id)
                for text in step.home:
                    yield CardText(located, ("steps", place, "home"), text, music, step.id)
        plan, at = self._files.plan, self._files.at
        frames = [("openings", place, frame) for place, frame in enumerate(plan.openings)]
        frames += [("closes", place, frame) for place, frame in enumerate(plan.closes)]
        alone = plan.without_brass
        yield CardText(at, ("try",), plan.try_)
        yield CardText(at, ("without_brass", "ready"), alone.ready)
        yield CardText(at, ("without_brass", "try"), alone.try_)
        for place, thing in enumerate(alone.bring):
            yield CardText(at, ("without_brass", "bring", place), thing)
        for keys, frame in [
            *((each[:2], each[2]) for each in frames),
            *((("without_brass", name), getattr(alone, name)) for name in ("opening", "task", "home", "close")),
            (("rest",), plan.rest),
            (("filler",), plan.filler),
        ]:
            for name in ("title", "say", "listen", "wrong", "remedy", "two"):
                if text := getattr(frame, name):
                    yield CardText(at, (*keys, name), text, tuple(frame.music))
        drums, located = self._files.drums
        for place, task in enumerate(drums.tasks):
            who = _drums(task)
            if every:
                yield CardText(located, ("tasks", place, "title"), task.title, (), who)
            texts = [(name, getattr(task, name) or "") for name in ("aim", "ready", "say", "do", "later")]
            for name, text in (*texts, *(("home", line) for line in task.home)):
                yield CardText(located, ("tasks", place, name), text, (), who)
            for text in (
                (task.bars.do, task.bars.later or "", task.bars.aim or "", task.bars.title or "", *task.bars.home)
                if task.bars
                else ()
            ):
                yield CardText(located, ("tasks", place, "bars"), text, (), who)


def _drums(task: TaskFile) -> str:
    return f"drums: {task.title}"


def _by_hand(title: str, text: str) -> bool:
    """Whether a text holds a title; a title like any words, as ``Five steps``, may begin a sentence."""
    proper = sum(word[0].isupper() for word in title.split() if word[0].isalpha()) > 1
    for match in re.finditer(rf"(?<![\w-]){re.escape(title)}(?![\w-])", text):
        if proper or not re.search(r"(?:^|[.!?:\"] ?)$", text[: match.start()]):
            return True
    return False
