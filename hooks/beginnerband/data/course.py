"""The course: ``content/course/plan.yml``, its units beside it, and ``content/ladder.yml``, composed for one band.

Everything is checked: the files, the references, what must come before what, what sentences claim of the music, and,
note by note, the ladder.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import chain
from pathlib import Path
from typing import Protocol

from beginnerband.data.band import ENDS, Band
from beginnerband.data.course_checks import check_files, check_music, remark_on_wishes
from beginnerband.data.course_claims import check_claims
from beginnerband.data.course_files import CourseFiles, read_course
from beginnerband.data.course_music import Music, MusicBand, MusicSource
from beginnerband.data.course_setting import Setting
from beginnerband.data.course_start import first_sound, names_differ
from beginnerband.data.course_steps import StepMaker, phrases_of
from beginnerband.data.course_turns import check_turns
from beginnerband.data.course_words import CourseWords
from beginnerband.data.problems import Problems
from beginnerband.data.yamlfile import Located, read
from beginnerband.music.breathing import Points
from beginnerband.music.player import Player
from beginnerband.music.score import Line
from beginnerband.teaching.calendar import Holiday, Teaching
from beginnerband.teaching.compose import compose
from beginnerband.teaching.course import Course, FirstSound, Item, Room, Span, Stage
from beginnerband.teaching.courseplan import CoursePlan, DoesNotFitError, Done, Placed, TooFewLessonsError
from beginnerband.teaching.directions import Laid, laid
from beginnerband.teaching.grading import Grades, OnTheWay, grade, part_of
from beginnerband.teaching.heard import Heard
from beginnerband.teaching.ladder import Ladder
from beginnerband.teaching.packing import Packing
from beginnerband.teaching.wording import in_words


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

    @property
    def why_one_room(self) -> str:
        """Why the course is for one room where the band file has two, as a sentence; else empty."""
        return self.course.rooms[0].about if len(self.course.rooms) < self.teaching.rooms else ""

    def player(self, instrument: str) -> Player:
        """The player of an instrument; ``KeyError`` when the band has none."""
        for player in self.players:
            if player.id == instrument:
                return player
        raise KeyError(instrument)


class InParts(Protocol):
    """A piece in parts, as far as the course needs it."""

    @property
    def title(self) -> str:
        """As people read it."""

    @property
    def lines(self) -> Mapping[str, Line]:
        """Its lines by name, highest first, at concert pitch."""


def load_course(
    root: Path,
    band: Band,
    tunes: Mapping[str, MusicSource],
    pieces: Mapping[str, InParts],
    problems: Problems,
    breaths: Points | None = None,
) -> CourseBook | None:
    """Load, compose and check the course; ``None`` without one, or with mistakes (which become problems).

    ``breaths`` says where breaths are proposed in its tunes; without it none are.
    """
    files = read_course(root, problems)
    return course_of(files, band, tunes, pieces, problems, breaths) if files else None


def course_of(
    files: CourseFiles,
    band: Band,
    tunes: Mapping[str, MusicSource],
    pieces: Mapping[str, InParts],
    problems: Problems,
    breaths: Points | None = None,
) -> CourseBook | None:
    """As :func:`load_course`, from files that have been read."""
    return _Loader(files, band, problems).book(tunes, pieces, breaths)


class _Loader:
    """Makes the course of one band from files that are valid each by itself."""

    def __init__(self, files: CourseFiles, band: Band, problems: Problems) -> None:
        self._files, self._problems = files, problems
        self._setting = Setting.of(band, files.plan.rooms)
        self._before = len(problems.found)

    @property
    def _wrong(self) -> bool:
        return len(self._problems.found) > self._before

    def book(
        self, tunes: Mapping[str, MusicSource], pieces: Mapping[str, InParts], breaths: Points | None
    ) -> CourseBook | None:
        """The course, or ``None`` with problems noted."""
        files, setting, problems = self._files, self._setting, self._problems
        check_files(files, problems)
        if self._wrong:
            return None
        start = first_sound(files.plan, setting, self._files.ladder)
        setting = self._setting = replace(setting, names_differ=names_differ(setting, start))
        band = MusicBand(setting.players, setting.rooms, start, self._fits)
        music = Music(files.units, files.plan, band, tunes, problems, breaths)
        items = music.load(files.listed)
        check_music(files, music.where, problems)
        if self._wrong:
            return None
        parts = self._parts(items)
        check_claims(files, setting, parts, problems)
        titles = {ident: piece.title for ident, piece in pieces.items()}
        titles |= {ident: _short(item.title) for ident, item in items.items()}
        phrases = phrases_of(setting, titles, parts, start)
        words = CourseWords(files, setting, problems)
        words.check_marks(phrases)
        words.check_directions(_laid(pieces, items))
        words.check_names([*titles.values(), *(_short(tune.title) for tune in tunes.values())])
        words.check_by_then(titles)
        if self._wrong:
            return None
        done, teaching = self._done()
        lines = {ident: next(iter(piece.lines.values())) for ident, piece in pieces.items()}
        lines |= {ident: item.line for ident, item in items.items()}
        plan = self._plan(StepMaker(files, setting, phrases, lines), items, start, done)
        check_turns((step for unit in (*plan.units, *plan.spare) for step in unit.steps), files, problems)
        if self._wrong:
            return None
        return self._graded(plan, teaching, music.where)

    def _graded(
        self, plan: CoursePlan, teaching: Teaching, where: Mapping[str, tuple[Located, int]]
    ) -> CourseBook | None:
        band_file = self._files.root / "content" / "band.yml"
        try:
            composed = compose(plan, self._setting.players, self._files.ladder, teaching.count, teaching.minutes)
            dates = teaching.dates(len(composed.course.weeks))
        except TooFewLessonsError as error:
            band = read(band_file, self._problems)
            ends = (("course", key) for key in ENDS)
            line = band.line(*next((end for end in ends if end in band.lines), ("course",))) if band else 0
            more = "end later, meet more often or longer, or skip steps in plan.yml"
            self._problems.add(band_file, line, f"{error}; {more}")
            return None
        except DoesNotFitError as error:
            self._problems.add(self._files.at.path, self._files.at.line("done"), str(error))
            return None
        except ValueError as error:
            self._problems.add(band_file, 0, str(error))
            return None
        grades = grade(composed.course, self._setting.players)
        over = max((done.lesson - done.cancelled for done in plan.done), default=0)
        past = {lesson.id for lesson in composed.course.weeks[:over]}
        taught = [[block.id for block in filling.blocks] for filling in composed.packing.lessons]
        remark_on_wishes(self._files, taught, over, self._problems)
        faults = self._files.ladder.check(composed.course, self._setting.players, grades)
        for fault in (fault for fault in faults if fault.lesson not in past):
            located, line = where[fault.item]
            self._problems.add(located.path, line, f"{fault.lesson} breaks the ladder: {fault.message}")
        if self._wrong:
            return None
        return CourseBook(
            composed.course, self._files.ladder, self._setting.players, grades, dates, composed.packing, teaching
        )

    def _fits(self, item: Item, stage: str) -> bool:
        """Whether a piece of music keeps to the ladder for everyone in a stage."""
        return not any(
            any(
                self._files.ladder.breaches(
                    part_of(item, player, item.keys[self._setting.room_of(player)]), player, stage
                )
            )
            for player in self._setting.players
        )

    def _parts(self, items: Mapping[str, Item]) -> dict[str, list[Heard]]:
        """Everybody's part of every piece of music, in the octave in which they meet it."""
        parts: dict[str, list[Heard]] = {ident: [] for ident in items}
        for player in self._setting.players:
            steps = [[items[ident] for ident in step.music if ident in items]
                     for step in self._setting.steps(self._files)]  # fmt: skip
            reader = OnTheWay(player, self._setting.room_of(player), chain.from_iterable(steps))
            for used in steps:
                for part in reader.parts(used):
                    heard = Heard(player, part.line)
                    if not any(each.player is player for each in parts[part.item.id]):
                        parts[part.item.id].append(heard)
        return parts

    def _plan(self, maker: StepMaker, items: Mapping[str, Item], start: FirstSound, done: Sequence[Done]) -> CoursePlan:
        plan, setting = self._files.plan, self._setting
        terms = plan.packing.value()
        units = tuple(unit for ident in plan.order if (unit := maker.unit(ident)).steps)
        used = {step.id: step for step in setting.steps(self._files)}
        pause = Span(least=terms.rest, usual=terms.rest, most=terms.rest)
        openings = [
            (frame.after, maker.frame(frame, terms.opening, "opening", terms.warm_up if frame.music else 0.0))
            for frame in plan.openings
        ]
        closes = [(frame.after, maker.frame(frame, terms.close, "close", 0.0)) for frame in plan.closes]
        at = {"last": -1, "before-last": -2}
        placed = Placed(
            lessons={step.id: at[step.at] for step in used.values() if step.at in at} | plan.fix,
            first=frozenset(step.id for step in used.values() if step.at == "first") - plan.fix.keys(),
            worth={step.id: step.worth for step in used.values() if step.worth},
            skip=frozenset(plan.skip) & used.keys(),
            repeat=frozenset(plan.repeat) & used.keys(),
        )
        return CoursePlan(
            stages=tuple(
                Stage(stage.id, name=stage.name, about=in_words(stage.about, setting.band.english))
                for stage in plan.stages
            ),
            rooms=setting.rooms,
            units=units,
            spare=tuple(maker.unit(ident) for ident in plan.spare),
            openings=tuple(openings),
            closes=tuple(closes),
            rest=maker.frame(plan.rest, pause, "rest", 0.0),
            filler=maker.frame(plan.filler, pause, "review", 0.5),
            at_home=maker.at_home(),
            without_brass=maker.without_brass(terms),
            items=items,
            percussion=maker.percussion(),
            terms=terms,
            placed=placed,
            done=tuple(done),
            start=start,
        )

    def _done(self) -> tuple[tuple[Done, ...], Teaching]:
        """What really happened, and the lessons there are, since a day without a lesson is a holiday."""
        found, teaching = list[Done](), self._setting.band.teaching
        for row in sorted(self._files.plan.done, key=lambda row: row.lesson):
            found.append(
                Done(
                    lesson=row.lesson,
                    lessons=teaching.count,
                    to=row.to or "",
                    half=row.half,
                    again=row.again,
                    cancelled=row.cancelled,
                )
            )
            if row.cancelled and teaching.concert and row.lesson == teaching.count:
                self._problems.add(
                    self._files.at.path,
                    self._files.at.line("done", self._files.plan.done.index(row)),
                    f"done: lesson {row.lesson}, the concert, is cancelled: give its new day as 'concert' in band.yml, "
                    "and take this line out",
                )
            elif row.cancelled:
                day = teaching.dates(row.lesson)
                closed = (*teaching.holidays, *(Holiday(each, each) for each in day[-1:]))
                teaching = replace(teaching, holidays=closed)
        return tuple(found), teaching


def _laid(pieces: Mapping[str, InParts], items: Mapping[str, Item]) -> dict[str, Laid]:
    """How music and pieces stand on the sheets, by id."""
    found = {ident: laid(piece.title, [*piece.lines.values()]) for ident, piece in pieces.items()}
    return found | {ident: laid(item.title, [item.line], not item.read) for ident, item in items.items()}


def _short(title: str) -> str:
    """A title without what stands in brackets."""
    return title.split(" (")[0]
