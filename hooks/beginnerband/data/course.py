"""The course: ``content/course/plan.yml``, its units beside it, and ``content/ladder.yml``, composed for one band.

Everything is checked here: the files, the references, what must come before what, what sentences claim of the music,
and, note by note, the ladder.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Protocol

from beginnerband.data.band import Band
from beginnerband.data.course_files import (
    FrameFile,
    LadderFile,
    PercussionFile,
    PlanFile,
    RungFile,
    StepFile,
    UnitFile,
)
from beginnerband.data.course_music import Music, MusicBand, MusicSource, exercise
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Located, load
from beginnerband.music.breathing import Points
from beginnerband.music.instrument import GROUPS, MOUTHPIECES, Slide
from beginnerband.music.player import Player
from beginnerband.music.reading import READING_IDS
from beginnerband.music.score import Key, Line
from beginnerband.music.words import series
from beginnerband.teaching.calendar import Holiday, Teaching
from beginnerband.teaching.compose import (
    Composed,
    CoursePlan,
    DoesNotFitError,
    Done,
    Placed,
    Unit,
    compose,
)
from beginnerband.teaching.course import Course, FirstSound, Item, Kind, Percussion, Room, Span, Stage, Step
from beginnerband.teaching.facts import TECHNIQUES, VALUE_NAMES
from beginnerband.teaching.firstsound import (
    Choice,
    Weights,
    choose,
    farthest_slide,
    names_of,
    rank,
    sound_of,
    sounds_apart,
)
from beginnerband.teaching.grading import Grades, OnTheWay, grade, part_of
from beginnerband.teaching.ladder import Ladder, cycle_in
from beginnerband.teaching.packing import Packing
from beginnerband.teaching.phrases import CLAIMS, Heard, Phrases, UnknownPhraseError, false_for
from beginnerband.teaching.wording import in_words

FOLDER = Path("content") / "course"
LADDER = Path("content") / "ladder.yml"
LOSERS = 3
"""First sounds that were not chosen, and are told with what they cost."""

ORDINALS = ("", "1st", "2nd", "3rd", "4th", "5th", "6th", "7th")
"""Slide positions as they are said."""

TRAPS = {"same name": "same-name", "open note": "open", "only fingers move": "only-fingers", "one sound,": "one-sound"}
"""Words that are seldom true for every instrument in a room, each with the claim that has them checked."""

TOGETHER = ("all", "The band")
"""Id and name of the one room of a band that is not taught apart."""


@dataclass(frozen=True, slots=True)
class CourseBook:
    """The course with everything computed from it."""

    course: Course
    """Lessons in order."""
    ladder: Ladder = field(repr=False)
    """Limits by stage."""
    players: tuple[Player, ...] = field(repr=False)
    """The band's instruments, in score order."""
    grades: Grades = field(repr=False)
    """Each player's weeks."""
    dates: tuple[date, ...]
    """Date of each lesson; empty when the band gives no start."""
    packing: Packing = field(repr=False)
    """How the steps were packed into lessons."""
    teaching: Teaching
    """When, where and by how many it is taught."""

    @property
    def rooms(self) -> tuple[Room, ...]:
        """The rooms in which this band has players."""
        filled = {self.course.room_of(player.instrument).id for player in self.players}
        return tuple(room for room in self.course.rooms if room.id in filled)

    def player(self, instrument: str) -> Player:
        """The player of an instrument; ``KeyError`` when the band has none."""
        for player in self.players:
            if player.id == instrument:
                return player
        raise KeyError(instrument)


UnitFiles = dict[str, tuple[UnitFile, Located]]


class Titled(Protocol):
    """A piece in parts, as far as the course needs it."""

    @property
    def title(self) -> str:
        """As people read it."""


def load_course(
    root: Path,
    band: Band,
    tunes: Mapping[str, MusicSource],
    pieces: Mapping[str, Titled],
    problems: Problems,
    breaths: Points | None = None,
) -> CourseBook | None:
    """Load, compose and check the course; ``None`` without one, or with mistakes (which become problems).

    ``breaths`` says where breaths are proposed in its tunes; without it none are.
    """
    if not (root / FOLDER).is_dir():
        return None
    before = len(problems.found)
    loaded = load(PlanFile, root / FOLDER / "plan.yml", problems)
    ladder = load_ladder(root, loaded[0] if loaded else None, problems)
    files = _unit_files(root, problems)
    drums = load(PercussionFile, root / FOLDER / "percussion.yml", problems)
    if loaded is None or ladder is None or drums is None:
        return None
    course = _Loader(root, band, tunes, pieces, problems, loaded, ladder, files, drums, breaths)
    return course.book() if len(problems.found) == before else None


def load_ladder(root: Path, plan: PlanFile | None, problems: Problems) -> Ladder | None:
    """Load the ladder; its stages must be the plan's, in the same order."""
    loaded = load(LadderFile, root / LADDER, problems)
    if loaded is None or plan is None:
        return None
    file, located = loaded
    stages = [stage.id for stage in plan.stages]
    for name in file.stages:
        if name not in stages:
            problems.add(
                located.path, located.line("stages", name), f"no stage {name!r} in plan.yml{did_you_mean(name, stages)}"
            )
    missing = [stage for stage in stages if stage not in file.stages]
    for name in missing:
        problems.add(located.path, located.line("stages"), f"the stage {name!r} of plan.yml has no limits here")
    for stage in stages:
        if stage in file.stages:
            _check_rung(root, stage, file.stages[stage], located, problems)
    if missing:
        return None
    return Ladder((file.stages[stage].rung(stage) for stage in stages), file.kinds.most)


def known_names(root: Path) -> list[str]:
    """Names a limit or a piece of music may single out: groups, mouthpieces, readings and instruments."""
    instruments = [path.stem for path in sorted((root / "content" / "instruments").glob("*.y*ml"))]
    return [*GROUPS, *MOUTHPIECES, *READING_IDS, *instruments]


def _check_rung(root: Path, stage: str, rung: RungFile, located: Located, problems: Problems) -> None:
    """Names in a rung that stand for nothing."""
    names = known_names(root)
    for limit in ("new_notes", "range", "leap", "breath", "playing", "signature"):
        for name in getattr(rung, limit).but:
            if name not in names:
                line = located.line("stages", stage, limit, "but", name)
                problems.add(located.path, line, f"{limit}: nobody is called {name!r}{did_you_mean(name, names)}")
    for listing, known in (("values", VALUE_NAMES), ("techniques", TECHNIQUES)):
        for place, name in enumerate(getattr(rung, listing).add):
            if name not in known:
                line = located.line("stages", stage, listing, "add", place)
                problems.add(located.path, line, f"{listing}: {name!r} is not known{did_you_mean(name, known)}")


def _unit_files(root: Path, problems: Problems) -> UnitFiles:
    files: UnitFiles = {}
    for path in sorted((root / FOLDER).glob("*.y*ml")):
        if path.stem not in ("plan", "percussion"):
            loaded = load(UnitFile, path, problems)
            if loaded:
                files[path.stem] = loaded
    return files


class _Loader:
    """Makes the course of one band from files that are valid each by itself."""

    def __init__(
        self,
        root: Path,
        band: Band,
        tunes: Mapping[str, MusicSource],
        pieces: Mapping[str, Titled],
        problems: Problems,
        plan: tuple[PlanFile, Located],
        ladder: Ladder,
        files: UnitFiles,
        drums: tuple[PercussionFile, Located],
        breaths: Points | None,
    ) -> None:
        self._root, self._band, self._tunes, self._problems = root, band, tunes, problems
        self._pieces, self._breaths = pieces, breaths
        (self._plan, self._at), self._ladder, self._files, self._drums = plan, ladder, files, drums
        self._players = band.players
        self._rooms = self._rooms_used()
        self._phrases: Phrases | None = None

    def book(self) -> CourseBook | None:
        """The course, or ``None`` with problems noted."""
        before = len(self._problems.found)
        self._check_order()
        self._check_units()
        if len(self._problems.found) > before:
            return None
        start = self._start()
        order = [*self._plan.order, *self._plan.spare]
        maker = MusicBand(self._players, self._rooms, start, self._fits)
        music = Music(self._files, self._plan, maker, self._tunes, self._problems, self._breaths)
        items = music.load(order)
        self._check_music(items, music.where)
        if len(self._problems.found) > before:
            return None
        parts = self._parts(items)
        self._phrases = self._phrases_of(items, parts, start)
        self._check_claims(parts)
        plan, teaching = self._composed_of(items, start)
        if len(self._problems.found) > before:
            return None
        return self._graded(plan, teaching, music.where)

    def _graded(
        self, plan: CoursePlan, teaching: Teaching, where: Mapping[str, tuple[Located, int]]
    ) -> CourseBook | None:
        before = len(self._problems.found)
        band_file = self._root / "content" / "band.yml"
        try:
            composed: Composed = compose(plan, self._players, self._ladder, teaching.count, teaching.minutes)
            dates = teaching.dates(len(composed.course.weeks))
        except DoesNotFitError as error:
            self._problems.add(self._at.path, self._at.line("done"), str(error))
            return None
        except ValueError as error:
            self._problems.add(band_file, 0, str(error))
            return None
        grades = grade(composed.course, self._players)
        for fault in self._ladder.check(composed.course, self._players, grades):
            located, line = where[fault.item]
            self._problems.add(located.path, line, f"{fault.lesson} breaks the ladder: {fault.message}")
        if len(self._problems.found) > before:
            return None
        return CourseBook(composed.course, self._ladder, self._players, grades, dates, composed.packing, teaching)

    # What the band is like.

    def _rooms_used(self) -> tuple[Room, ...]:
        """The rooms of the plan where two are used and both have players; else one for everyone."""
        rooms = tuple(
            Room(room.id, room.name, tuple(room.groups), in_words(room.about, self._band.words))
            for room in self._plan.rooms
        )
        brass = {player.instrument.group for player in self._players if player.instrument.brass}
        if self._band.teaching.rooms > 1 and all(brass & set(room.groups) for room in rooms):
            return rooms
        return (Room(*TOGETHER, GROUPS, "Everyone, in one room, with one leader."),)

    def _start(self) -> FirstSound:
        given = self._plan.first_sound
        weights = Weights(**given.model_dump())
        rung = self._ladder.at(self._plan.stages[-1].id).rung
        scale, _ = exercise("C D E F | G4 |]")
        assert scale
        start = choose(self._players, scale, weights, rung.signature.of)
        best, *others = sounds_apart(rank(self._players, scale, weights, rung.signature.of), scale)
        return replace(
            start,
            words=self._sound_words(scale, start.home, start.degree),
            others=tuple(
                f"{self._sound_words(scale, other.fifths, other.degree)} It costs this band"
                f" {_points(other.points - best.points)} more than the best, which costs {_points(best.points)}"
                f"{self._farthest(scale, other)}."
                for other in others[:LOSERS]
            ),
        )

    def _sound_words(self, scale: Line, fifths: int, degree: int) -> str:
        """A first sound and how everybody plays it."""
        said = "; ".join(
            f"{series([player.instrument.names.of(self._band.words) for player in who])} {letter}"
            + (f" ({'open' if code == '0' else code})" if code else "")
            for letter, code, _, who in names_of(self._players, fifths, degree, scale)
        )
        return f"Concert {sound_of(scale, fifths, degree).letter_sign}: {said}."

    def _farthest(self, scale: Line, choice: Choice) -> str:
        """How far the slide must go for the three first notes, where that is beyond its fourth position."""
        far = farthest_slide(self._players, scale, choice)
        return f", and its first three notes need the trombone's {ORDINALS[far]} position" if far > 4 else ""

    def _is_used(self, step: StepFile) -> bool:
        groups = {player.instrument.group for player in self._players}
        return (
            step.rooms in (None, len(self._rooms))
            and step.adults <= self._band.teaching.adults
            and set(step.with_) <= groups
        )

    def _fits(self, item: Item, stage: str) -> bool:
        """Whether a piece of music keeps to the ladder for everyone in a stage."""
        return not any(
            any(self._ladder.breaches(part_of(item, player, item.keys[self._room(player)]), player, stage))
            for player in self._players
        )

    def _room(self, player: Player) -> str:
        found = (room.id for room in self._rooms if player.instrument.group in room.groups)
        return next(found, self._rooms[0].id)

    def _parts(self, items: Mapping[str, Item]) -> dict[str, list[Heard]]:
        """Everybody's part of every piece of music, in the octave in which they meet it."""
        parts: dict[str, list[Heard]] = {ident: [] for ident in items}
        for player in self._players:
            reader = OnTheWay(player, self._room(player))
            for step in self._steps():
                used = [items[ident] for ident in step.music if ident in items]
                for part in reader.parts(used):
                    heard = Heard(player, part.line)
                    if not any(each.player is player for each in parts[part.item.id]):
                        parts[part.item.id].append(heard)
        return parts

    def _steps(self) -> Iterator[StepFile]:
        for ident in (*self._plan.order, *self._plan.spare):
            yield from (step for step in self._files[ident][0].steps if self._is_used(step))

    # Words.

    def _phrases_of(
        self, items: Mapping[str, Item], parts: Mapping[str, Sequence[Heard]], start: FirstSound
    ) -> Phrases:
        titles = {ident: piece.title for ident, piece in self._pieces.items()}
        titles |= {ident: _short(item.title) for ident, item in items.items()}
        facts = {
            "home": Key(start.home).sign.split()[0],
            "second": Key(start.second).sign.split()[0],
            "start": start.words,
            **self._who(),
        }
        return Phrases(parts, titles, self._rooms, self._band.words, facts)

    def _who(self) -> dict[str, str]:
        """Words that speak of instruments which not every band has."""
        drums = any(not player.instrument.pitched for player in self._players)
        slide = any(isinstance(player.instrument.mechanism, Slide) for player in self._players)
        horn = any(player.instrument.group == "f" for player in self._players)
        return {
            "drums": "drums" if drums else "two tappers",
            "drums-first": "Drums" if drums else "Two tappers",
            "slides-stop": "; slides stop at the place" if slide else "",
            "horn-asks": " (F horn players ask me)" if horn else "",
        }

    def _say(self, text: str, located: Located, *keys: str | int) -> str:
        """A text with its phrases filled in, in the band's words: from here on nobody has to think of either."""
        assert self._phrases is not None
        try:
            return in_words(self._phrases.fill(text), self._band.words)
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

    def _step(self, step: StepFile, stage: str, located: Located, place: int) -> Step:
        def say(text: str | None, name: str) -> str:
            return self._say(text, located, "steps", place, name) if text else ""

        apart = len(self._rooms) > 1 and step.two is not None
        how = say(step.two, "two") if apart else say(step.one, "one")
        return Step(
            id=step.id,
            title=step.title,
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

    def _unit(self, ident: str) -> Unit:
        file, located = self._files[ident]
        return Unit(
            id=ident,
            title=file.title,
            stage=file.stage,
            aim=self._say(file.aim, located, "aim"),
            ready=self._say(file.ready, located, "ready"),
            at_home=self._say(file.try_, located, "try"),
            bring=tuple(file.bring),
            steps=tuple(
                self._step(step, file.stage, located, place)
                for place, step in enumerate(file.steps)
                if self._is_used(step)
            ),
            after=file.after,
        )

    def _frame(self, frame: FrameFile, span: Span, kind: Kind, lips: float, *keys: str | int) -> Step:
        def say(text: str, name: str) -> str:
            return self._say(text, self._at, *keys, name)

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

    # The plan.

    def _composed_of(self, items: Mapping[str, Item], start: FirstSound) -> tuple[CoursePlan, Teaching]:
        plan, terms = self._plan, self._plan.packing.value()
        units = tuple(unit for ident in plan.order if (unit := self._unit(ident)).steps)
        done, teaching = self._done()
        used = {step.id: step for step in self._steps()}
        pause = Span(terms.rest, terms.rest, terms.rest)
        openings = [
            (
                frame.after,
                self._frame(frame, terms.opening, "opening", terms.warm_up if frame.music else 0.0, "openings", place),
            )
            for place, frame in enumerate(plan.openings)
        ]
        closes = [
            (frame.after, self._frame(frame, terms.close, "close", 0.0, "closes", place))
            for place, frame in enumerate(plan.closes)
        ]
        at = {"last": -1, "before-last": -2}
        placed = Placed(
            lessons={step.id: at[step.at] for step in used.values() if step.at} | plan.fix,
            worth={step.id: step.worth for step in used.values() if step.worth},
            skip=frozenset(plan.skip) & used.keys(),
            repeat=frozenset(plan.repeat) & used.keys(),
        )
        return CoursePlan(
            stages=tuple(Stage(stage.id, stage.name, in_words(stage.about, self._band.words)) for stage in plan.stages),
            rooms=self._rooms,
            units=units,
            spare=tuple(self._unit(ident) for ident in plan.spare),
            openings=tuple(openings),
            closes=tuple(closes),
            rest=self._frame(plan.rest, pause, "rest", 0.0, "rest"),
            filler=self._frame(plan.filler, pause, "review", 0.5, "filler"),
            items=items,
            percussion=self._percussion(),
            terms=terms,
            placed=placed,
            done=done,
            start=start,
        ), teaching

    def _percussion(self) -> tuple[tuple[str, Percussion], ...]:
        if all(player.instrument.brass for player in self._players):
            return ()
        file, located = self._drums
        return tuple(
            (
                task.after,
                Percussion(
                    self._say(task.aim, located, "tasks", place, "aim"),
                    tuple(self._say(line, located, "tasks", place, "home") for line in task.home),
                    task.title,
                    self._say(task.do, located, "tasks", place, "do"),
                ),
            )
            for place, task in enumerate(file.tasks)
        )

    def _done(self) -> tuple[tuple[Done, ...], Teaching]:
        """What really happened, and the lessons there are, since a day without a lesson is a holiday."""
        found, teaching = list[Done](), self._band.teaching
        for row in sorted(self._plan.done, key=lambda row: row.lesson):
            found.append(Done(row.lesson, teaching.count, row.to or "", row.half, row.again, row.cancelled))
            if row.cancelled:
                day = teaching.dates(row.lesson)
                closed = (*teaching.holidays, *(Holiday(each, each) for each in day[-1:]))
                teaching = replace(teaching, holidays=closed)
        return tuple(found), teaching

    # Checks.

    def _check_order(self) -> None:
        problems, at = self._problems, self._at
        for section in ("order", "spare"):
            for place, ident in enumerate(getattr(self._plan, section)):
                if ident not in self._files:
                    hint = did_you_mean(ident, self._files)
                    problems.add(at.path, at.line(section, place), f"no unit {ident!r} in content/course{hint}")
        listed = (*self._plan.order, *self._plan.spare)
        for ident, (_, located) in self._files.items():
            if ident not in listed:
                problems.add(located.path, 1, f"this unit is not in plan.yml; add its line to 'order': - {ident}")
            elif listed.count(ident) > 1:
                problems.add(at.path, at.line("order"), f"the unit {ident!r} is listed twice; see 'repeat' for a step")
        ids = [step.id for file, _ in self._files.values() for step in file.steps]
        for section in ("fix", "skip", "repeat"):
            for place, ident in enumerate(getattr(self._plan, section)):
                if ident not in ids:
                    line = at.line(section, ident if section == "fix" else place)
                    problems.add(at.path, line, f"{section}: no step {ident!r}{did_you_mean(ident, ids)}")
        for place, row in enumerate(self._plan.done):
            if row.to is not None and row.to not in ids:
                problems.add(at.path, at.line("done", place), f"done: no step {row.to!r}{did_you_mean(row.to, ids)}")
        frames = [(name, place, frame) for name in ("openings", "closes")
                  for place, frame in enumerate(getattr(self._plan, name))]  # fmt: skip
        for name, place, frame in frames:
            self._check_after(frame.after, ids, at, name, place)
            self._check_guide(frame.guide, at, name, place)
        for place, task in enumerate(self._drums[0].tasks):
            self._check_after(task.after, ids, self._drums[1], "tasks", place)

    def _check_after(self, after: str, ids: Sequence[str], located: Located, *keys: str | int) -> None:
        if after and after not in ids:
            hint = did_you_mean(after, ids)
            self._problems.add(located.path, located.line(*keys), f"after: no step {after!r}{hint}")

    def _check_guide(self, page: str, located: Located, *keys: str | int) -> None:
        pages = [path.stem for path in (self._root / "handbook" / "guide").glob("*.md")]
        if page and page not in pages:
            hint = did_you_mean(page, pages)
            self._problems.add(located.path, located.line(*keys, "guide"), f"no page handbook/guide/{page}.md{hint}")

    def _check_units(self) -> None:
        stages = [stage.id for stage in self._plan.stages]
        pieces = [path.stem for path in (self._root / "content" / "pieces").glob("*.*")]
        seen: dict[str, str] = {}
        needs = {step.id: step.needs for file, _ in self._files.values() for step in file.steps}
        cycle = cycle_in(needs)
        order = [ident for ident in (*self._plan.order, *self._plan.spare) if ident in self._files]
        for ident in order:
            file, located = self._files[ident]
            problems = self._problems
            if file.stage not in stages:
                hint = did_you_mean(file.stage, stages)
                problems.add(located.path, located.line("stage"), f"no stage {file.stage!r} in plan.yml{hint}")
            self._check_after(file.after, list(needs), located, "after")
            for place, step in enumerate(file.steps):
                if step.id in seen:
                    line = located.line("steps", place, "id")
                    problems.add(located.path, line, f"the step {step.id!r} is also in {seen[step.id]}; name one anew")
                self._check_guide(step.guide, located, "steps", place)
                for at, need in enumerate(step.needs):
                    line = located.line("steps", place, "needs", at)
                    if need not in needs:
                        hint = did_you_mean(need, needs)
                        problems.add(located.path, line, f"needs {need!r}, which is no step{hint}")
                    elif (need not in seen or need in self._plan.skip) and not cycle:
                        said = f"{step.id} needs {need}, which is not taught before it; move or add its line"
                        problems.add(located.path, line, said)
                for at, piece in enumerate(step.pieces):
                    if piece not in pieces:
                        line, hint = located.line("steps", place, "pieces", at), did_you_mean(piece, pieces)
                        problems.add(located.path, line, f"no piece {piece!r} in content/pieces{hint}")
                seen[step.id] = f"{ident}.yml"
        if cycle:
            located = next(at for file, at in self._files.values() if cycle[0] in [step.id for step in file.steps])
            words = " needs ".join(cycle)
            self._problems.add(located.path, located.line("steps"), f"steps need each other in a circle: {words}")

    def _check_music(self, items: Mapping[str, Item], where: Mapping[str, tuple[Located, int]]) -> None:
        names, used = known_names(self._root), set[str]()
        known = list(where)
        for file, located in self._files.values():
            for place, entry in enumerate(file.music):
                for at, name in enumerate(entry.for_):
                    if name not in names:
                        line = located.line("music", place, "for", at)
                        hint = did_you_mean(name, names)
                        self._problems.add(located.path, line, f"nobody is called {name!r}{hint}")
            for place, step in enumerate(file.steps):
                used |= set(step.music)
                self._check_used(step.music, known, located, "steps", place)
        for name in ("openings", "closes"):
            for place, frame in enumerate(getattr(self._plan, name)):
                used |= set(frame.music)
                self._check_used(frame.music, known, self._at, name, place)
        froms = {entry.from_ for file, _ in self._files.values() for entry in file.music}
        for ident, (located, line) in where.items():
            if ident not in used and ident not in froms:
                self._problems.add(located.path, line, f"no step uses the music {ident!r}")

    def _check_used(self, music: Sequence[str], known: Sequence[str], located: Located, *keys: str | int) -> None:
        for at, ident in enumerate(music):
            if ident not in known:
                hint = did_you_mean(ident, known)
                self._problems.add(located.path, located.line(*keys, "music", at), f"no music {ident!r}{hint}")

    def _check_claims(self, parts: Mapping[str, Sequence[Heard]]) -> None:
        """What a step's words claim must be true for every instrument in the room."""
        for ident in (*self._plan.order, *self._plan.spare):
            file, located = self._files[ident]
            for place, step in enumerate(file.steps):
                self._check_traps(step, located, place)
                for claim, music in step.holds.items() if self._is_used(step) else ():
                    line = located.line("steps", place, "holds", claim)
                    if claim not in CLAIMS:
                        hint = did_you_mean(claim, CLAIMS)
                        self._problems.add(located.path, line, f"holds: {claim!r} is not known{hint}")
                        continue
                    for name in music:
                        self._check_claim(claim, name, parts.get(name, ()), located, line, step)

    def _check_traps(self, step: StepFile, located: Located, place: int) -> None:
        """Words that are true for a cornet and false for an F horn stand only where they are checked, or computed."""
        for name in ("say", "listen", "wrong", "remedy", "one", "two", "quick", "slow"):
            text = str(getattr(step, name) or "").lower()
            for words, claim in TRAPS.items():
                if words in text and claim not in step.holds:
                    said = f'{step.id}: "{words.strip(",")}" is not true for every instrument; say of which music, as'
                    line = located.line("steps", place, name)
                    self._problems.add(located.path, line, f"{said} holds: {{{claim}: [music]}}, or use a phrase")

    def _check_claim(
        self, claim: str, music: str, heard: Sequence[Heard], located: Located, line: int, step: StepFile
    ) -> None:
        rooms = self._rooms if step.two is not None else (Room(*TOGETHER, GROUPS, ""),)
        for room in rooms:
            inside = [each for each in heard if each.player.instrument.group in room.groups]
            wrong = false_for(claim, inside)
            if wrong:
                who = series([player.instrument.names.of(self._band.words) for player in dict.fromkeys(wrong)])
                said = f"{step.id}: {claim!r} does not hold of {music!r} for {who}; say it another way"
                self._problems.add(located.path, line, said)


def _points(points: float) -> str:
    return f"{points:.0f} point" + ("" if f"{points:.0f}" == "1" else "s")


def _short(title: str) -> str:
    """A title without what stands in brackets."""
    return title.split(" (")[0]
