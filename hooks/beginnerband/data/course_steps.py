"""Steps, units and tasks as the course teaches them: every text with its phrases filled in, in the band's words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property, partial

from beginnerband.data.course_files import CourseFiles
from beginnerband.data.course_plan_file import FrameFile
from beginnerband.data.course_setting import Setting
from beginnerband.data.course_unit_file import StepFile, TaskFile
from beginnerband.music.player import Player
from beginnerband.music.score import Key, Line
from beginnerband.teaching.addressed import Addressed, Whom, Words, said
from beginnerband.teaching.course import FirstSound, Kind, Percussion, Span, Step
from beginnerband.teaching.courseplan import Unit, WithoutBrass
from beginnerband.teaching.hands import takes_weight
from beginnerband.teaching.heard import Heard
from beginnerband.teaching.packing import Terms
from beginnerband.teaching.phrases import PLACE, Phrases
from beginnerband.teaching.turns import Turn, played, taken
from beginnerband.teaching.wording import curly, in_words


def phrases_of(
    setting: Setting, titles: Mapping[str, str], parts: Mapping[str, Sequence[Heard]], start: FirstSound
) -> Phrases:
    """What phrases of the files stand for in this band; ``titles`` are those of music and pieces, by id."""
    facts = {
        "home": Key(start.home).sign.split()[0],
        "second": Key(start.second).sign.split()[0],
        "start": start.words,
        "takes-weight": takes_weight(setting.players, setting.band.english),
    }
    return Phrases(parts, titles, setting.band.english, facts)


class StepMaker:
    """Makes the domain's values of what the files say, once ``course_words`` has found no mark that is not known."""

    def __init__(
        self,
        files: CourseFiles,
        setting: Setting,
        phrases: Phrases,
        lines: Mapping[str, Line],
        there: tuple[Player, ...] | None = None,
    ) -> None:
        """``lines`` are those of music and pieces, by id; ``there`` who is spoken to, left out: the whole band."""
        self._files, self._setting, self._phrases, self._lines = files, setting, phrases, lines
        teaching, spoken_to = setting.band.teaching, setting.players if there is None else there
        self._everybody = Whom(
            spoken_to,
            spoken_to,
            rooms=len(setting.rooms),
            adults=teaching.adults if there is None else max(teaching.adults // len(setting.rooms), 1),
            children=teaching.ages != "adults",
        )

    def unit(self, ident: str) -> Unit:
        """A unit, with the steps that are for this band."""
        file = self._files.units[ident][0]
        return Unit(
            id=ident,
            title=self._say(file.title),
            stage=file.stage,
            aim=self._say(file.aim),
            reached=file.reached,
            ready=self._say(file.ready),
            at_home=self._say(file.try_),
            bring=tuple(filter(None, map(self._say, file.bring))),
            steps=tuple(self._step(step, file.stage) for step in file.steps if self._setting.uses(step)),
            after=file.after,
            ready_for=self._named(file.ready),
            at_home_for=self._named(file.try_),
        )

    def _named(self, text: str) -> frozenset[str]:
        """Ids of the music and pieces in braces."""
        return frozenset(match[1] for match in PLACE.finditer(text) if self._phrases.knows(match[1]))

    def without_brass(self, terms: Terms) -> WithoutBrass | None:
        """What a lesson is made of where nobody blows; else nothing."""
        if any(player.instrument.brass for player in self._setting.players):
            return None
        file = self._files.plan.without_brass
        return WithoutBrass(
            bring=tuple(map(self._say, file.bring)),
            ready=self._say(file.ready),
            at_home=self._say(file.try_),
            opening=self.frame(file.opening, terms.opening, "opening", 0.0),
            task=self.frame(file.task, Span(least=5, usual=12, most=60), "teach", 0.0),
            home=self.frame(file.home, Span(least=4, usual=8, most=30), "teach", 0.0),
            close=self.frame(file.close, terms.close, "close", 0.0),
        )

    def at_home(self) -> str:
        """What the leader tries before a lesson that has nothing of its own."""
        return self._say(self._files.plan.try_)

    def frame(self, frame: FrameFile, span: Span, kind: Kind, lips: float) -> Step:
        """An opening, a close, a rest or a filler."""
        apart = self._setting.apart and frame.two is not None
        told = self._told_frame(frame, span, kind, lips, apart)
        if not apart:
            return told
        return self._told_in_rooms(told, lambda maker: maker._told_frame(frame, span, kind, lips, apart=True))

    def _told_frame(self, frame: FrameFile, span: Span, kind: Kind, lips: float, apart: bool) -> Step:
        return Step(
            id=kind,
            title=self._say(frame.title),
            minutes=span.usual,
            span=span,
            together=not apart,
            how=self._say(frame.two or "") if apart else "",
            say=self._say(frame.say),
            listen=self._say(frame.listen),
            wrong=self._say(frame.wrong),
            remedy=self._say(frame.remedy),
            guide=frame.guide,
            music=tuple(frame.music),
            lips=lips,
            kind=kind,
        )

    def percussion(self) -> tuple[tuple[str, Percussion], ...]:
        """The drums' tasks, each with the step it comes after; none in a band of brass alone."""
        if all(player.instrument.brass for player in self._setting.players):
            return ()
        return tuple((task.after, self._task(task)) for task in self._files.drums[0].tasks)

    def _task(self, task: TaskFile) -> Percussion:
        title, home, bars = self._say(task.title), tuple(map(self._say, task.home)), None
        ready, own_words = self._say(task.ready or ""), self._say(task.say or "")
        if task.bars:
            own = tuple(map(self._say, task.bars.home)) or home
            aim, later = self._say(task.bars.aim or task.aim), self._say(task.bars.later or "")
            name, do = self._say(task.bars.title or task.title), self._say(task.bars.do)
            bars = Percussion(aim, own, title=name, do=do, later=later, ready=ready, say=own_words)
        later = self._say(task.later or "")
        do = self._say(task.do)
        return Percussion(
            self._say(task.aim), home, title=title, do=do, later=later, ready=ready, say=own_words, bars=bars
        )

    def _step(self, step: StepFile, stage: str) -> Step:
        apart = self._setting.apart and step.two is not None
        told = self._told(step, stage, apart)
        if step.by_part or not apart:
            return told
        return self._told_in_rooms(told, lambda maker: maker._told(step, stage, apart=True))

    def _told_in_rooms(self, told: Step, tell: Callable[[StepMaker], Step]) -> Step:
        """The same step, with what each room hears of it."""
        return replace(told, rooms=tuple((room, tell(maker)) for room, maker in self._rooms.items()))

    @cached_property
    def _rooms(self) -> dict[str, StepMaker]:
        """What tells each room its steps, where they hear of nobody in the other."""
        seated = {
            room.id: tuple(player for player in self._setting.players if self._setting.room_of(player) == room.id)
            for room in self._setting.rooms
        }
        return {
            room: StepMaker(self._files, self._setting, self._phrases.among(there), self._lines, there)
            for room, there in seated.items()
        }

    @cached_property
    def _read_by(self) -> dict[str, Phrases]:
        """The phrases as each player reads them, by the player's id."""
        return {player.id: self._phrases.among((player,)) for player in self._setting.players}

    def _told(self, step: StepFile, stage: str, apart: bool) -> Step:
        turn = self._turn(step)
        say = partial(self._say, more=turn.words if turn else {})
        return Step(
            id=step.id,
            title=say(step.title),
            minutes=step.minutes.usual,
            span=step.minutes.value(),
            together=not apart,
            say=say(step.say),
            listen=say(step.listen),
            wrong=say(step.wrong),
            remedy=say(step.remedy),
            guide=step.guide,
            music=tuple(step.music),
            how=" ".join(map(say, step.how(apart))),
            quick=say(step.quick or ""),
            slow=say(step.slow or ""),
            lips=step.lips,
            stage=stage,
            pieces=tuple(step.pieces),
            practice=tuple(map(self._to_each, step.home)),
            needs=tuple(step.needs),
            turn=turn,
            at_home=say(step.try_ or ""),
        )

    def _turn(self, step: StepFile) -> Turn | None:
        """How those who are there take turns."""
        turns = step.turns
        if turns is None:
            return None
        lines = [self._lines[ident] for ident in (*step.music, *step.pieces)]
        bars = None if turns.bars == "all" else turns.bars
        longest = min(turns.within or self._files.plan.wait, self._files.plan.wait)
        return taken(turns.by, turns.seconds or [played(bars, lines)], self._everybody, longest)

    def _to_each(self, text: str) -> Addressed:
        """A text as the band is told it, and as each player reads it who is told something else."""
        whole = self._say(text)
        own = ((player.id, self._say(text, player)) for player in self._setting.players)
        return Addressed(whole, tuple((ident, told) for ident, told in own if told != whole))

    def _say(self, text: str, reader: Player | None = None, more: Words | None = None) -> str:
        """A text with its phrases filled in, in the band's words: from here on nobody has to think of either.

        The words, and ``more`` of them, come first: a name that is filled in stays as it was written.
        """
        whom = replace(self._everybody, readers=(reader,)) if reader else self._everybody
        known = {**self._files.plan.words, **(more or {})}
        words = said(text, whom, known).split()  # where nothing is said, no space is left
        told = in_words(" ".join(words), self._setting.band.english)
        return curly((self._read_by[reader.id] if reader else self._phrases).fill(told))
