"""Steps, units and tasks as the course teaches them: every text with its phrases filled in, in the band's words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from beginnerband.data.course_files import CourseFiles
from beginnerband.data.course_plan_file import FrameFile
from beginnerband.data.course_setting import Setting
from beginnerband.data.course_unit_file import StepFile, TaskFile
from beginnerband.data.problems import Problems
from beginnerband.data.yamlfile import Located
from beginnerband.music.score import Key
from beginnerband.teaching import addressed
from beginnerband.teaching.compose import Unit
from beginnerband.teaching.course import FirstSound, Kind, Percussion, Span, Step
from beginnerband.teaching.phrases import PLACE, Heard, Phrases, UnknownPhraseError
from beginnerband.teaching.wording import in_words


def phrases_of(
    setting: Setting, titles: Mapping[str, str], parts: Mapping[str, Sequence[Heard]], start: FirstSound
) -> Phrases:
    """What phrases of the files stand for in this band; ``titles`` are those of music and pieces, by id."""
    facts = {
        "home": Key(start.home).sign.split()[0],
        "second": Key(start.second).sign.split()[0],
        "start": start.words,
        **addressed.facts(setting.players, setting.band.english),
    }
    return Phrases(parts, titles, setting.band.english, facts)


class StepMaker:
    """Makes the domain's values of what the files say; a phrase that is not known becomes a problem."""

    def __init__(self, files: CourseFiles, setting: Setting, phrases: Phrases, problems: Problems) -> None:
        self._files, self._setting, self._phrases, self._problems = files, setting, phrases, problems

    def unit(self, ident: str) -> Unit:
        """A unit, with the steps that are for this band."""
        file, located = self._files.units[ident]
        return Unit(
            id=ident,
            title=self._say(file.title, located, "title"),
            stage=file.stage,
            aim=self._say(file.aim, located, "aim"),
            ready=self._say(file.ready, located, "ready"),
            at_home=self._say(file.try_, located, "try"),
            bring=tuple(self._say(thing, located, "bring", place) for place, thing in enumerate(file.bring)),
            steps=tuple(
                self._step(step, file.stage, located, place)
                for place, step in enumerate(file.steps)
                if self._setting.uses(step)
            ),
            after=file.after,
            ready_for=frozenset(match[1] for match in PLACE.finditer(file.ready) if self._phrases.knows(match[1])),
        )

    def frame(self, frame: FrameFile, span: Span, kind: Kind, lips: float, *keys: str | int) -> Step:
        """An opening, a close, a rest or a filler; ``keys`` lead to it in the plan."""

        def say(text: str, name: str) -> str:
            return self._say(text, self._files.at, *keys, name)

        return Step(
            id=kind,
            title=frame.title,
            minutes=span.usual,
            span=span,
            together=True,
            say=say(frame.say, "say"),
            listen=say(frame.listen, "listen"),
            wrong=say(frame.wrong, "wrong"),
            remedy=say(frame.remedy, "remedy"),
            guide=frame.guide,
            music=tuple(frame.music),
            lips=lips,
            kind=kind,
        )

    def percussion(self) -> tuple[tuple[str, Percussion], ...]:
        """The drums' tasks, each with the step it comes after; none in a band of brass alone."""
        if all(player.instrument.brass for player in self._setting.players):
            return ()
        file, located = self._files.drums
        return tuple((task.after, self._task(task, located, place)) for place, task in enumerate(file.tasks))

    def _task(self, task: TaskFile, located: Located, place: int) -> Percussion:
        def say(text: str) -> str:
            return self._say(text, located, "tasks", place)

        title, home, bars = say(task.title), tuple(map(say, task.home)), None
        if task.bars:
            own = tuple(map(say, task.bars.home)) or home
            bars = Percussion(say(task.bars.aim or task.aim), own, title=title, do=say(task.bars.do))
        return Percussion(say(task.aim), home, title=title, do=say(task.do), bars=bars)

    def _step(self, step: StepFile, stage: str, located: Located, place: int) -> Step:
        def say(text: str | None, name: str) -> str:
            return self._say(text, located, "steps", place, name) if text else ""

        apart = self._setting.apart and step.two is not None
        how = say(step.two, "two") if apart else say(step.one, "one")
        return Step(
            id=step.id,
            title=say(step.title, "title"),
            minutes=step.minutes.usual,
            span=step.minutes.value(),
            together=not apart,
            say=say(step.say, "say"),
            listen=say(step.listen, "listen"),
            wrong=say(step.wrong, "wrong"),
            remedy=say(step.remedy, "remedy"),
            guide=step.guide,
            music=tuple(step.music),
            how=how,
            quick=say(step.quick, "quick"),
            slow=say(step.slow, "slow"),
            lips=step.lips,
            change=step.change,
            stage=stage,
            pieces=tuple(step.pieces),
            practice=tuple(say(line, "home") for line in step.home),
        )

    def _say(self, text: str, located: Located, *keys: str | int) -> str:
        """A text with its phrases filled in, in the band's words: from here on nobody has to think of either."""
        try:
            filled = addressed.turned(self._phrases.fill(text), self._setting.players)
            return in_words(filled, self._setting.band.english)
        except UnknownPhraseError as error:
            self._problems.add(located.path, located.line(*keys), str(error), follows=self._cause(str(error)))
            return text

    def _cause(self, message: str) -> str:
        """The file whose mistake made a piece unknown: its own, or the rules without which no piece is read."""
        name = message.split("'")[1] if "'" in message else ""
        pieces = self._problems.root / "content" / "pieces"
        if not name or not any(pieces.glob(f"{name}.*")):
            return ""
        return self._problems.refused(pieces / name) or self._problems.refused(pieces.with_name("scoring"))
