"""The course: ``content/course/plan.yml``, ``content/course/lesson-NN.yml`` and ``content/ladder.yml``.

Everything is checked here: the files, the references, the prerequisites and, note by note, the ladder.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from beginnerband.data.band import Band
from beginnerband.data.course_files import LadderFile, LessonFile, PlanFile, RungFile
from beginnerband.data.course_music import MusicSource, items_of
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Located, load
from beginnerband.music.instrument import GROUPS, MOUTHPIECES
from beginnerband.music.player import Player
from beginnerband.music.reading import READING_IDS
from beginnerband.teaching.course import Course, Item, Lesson, Percussion, Room, Stage, Step
from beginnerband.teaching.facts import TECHNIQUES, VALUE_NAMES
from beginnerband.teaching.grading import Grades, grade
from beginnerband.teaching.ladder import Ladder, cycle_in

FOLDER = Path("content") / "course"
LADDER = Path("content") / "ladder.yml"


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
    """Date of each week; empty when the band gives no start."""

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


def load_course(root: Path, band: Band, tunes: Mapping[str, MusicSource], problems: Problems) -> CourseBook | None:
    """Load and check the course; ``None`` when there is none or when it has mistakes (which become problems)."""
    if not (root / FOLDER).is_dir():
        return None
    before = len(problems.found)
    plan = load(PlanFile, root / FOLDER / "plan.yml", problems)
    ladder = load_ladder(root, plan[0] if plan else None, problems)
    files = _lesson_files(root, problems)
    if plan is None or ladder is None:
        return None
    lessons = _lessons(root, plan[0], files, tunes, problems)
    order = _order(plan, lessons, files, problems)
    if len(problems.found) > before:
        return None
    course = _course(plan[0], lessons, order)
    grades = grade(course, band.players)
    for fault in ladder.check(course, band.players, grades):
        located = files[fault.lesson][1]
        line = _line_of_item(files[fault.lesson], fault.item)
        problems.add(located.path, line, f"{fault.lesson} breaks the ladder: {fault.message}")
    if len(problems.found) > before:
        return None
    try:
        dates = band.teaching.dates(len(course.weeks))
    except ValueError as error:
        problems.add(root / "content" / "band.yml", 0, str(error))
        return None
    return CourseBook(course, ladder, band.players, grades, dates)


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
    return Ladder(file.stages[stage].rung(stage) for stage in stages)


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


LessonFiles = dict[str, tuple[LessonFile, Located]]


def _lesson_files(root: Path, problems: Problems) -> LessonFiles:
    files: LessonFiles = {}
    for path in sorted((root / FOLDER).glob("lesson-*.y*ml")):
        if not path.stem.removeprefix("lesson-").isdigit():
            problems.add(path, 0, "a lesson file is named lesson-07.yml, with its number")
            continue
        loaded = load(LessonFile, path, problems)
        if loaded:
            files[path.stem] = loaded
    return files


def _lessons(
    root: Path, plan: PlanFile, files: LessonFiles, tunes: Mapping[str, MusicSource], problems: Problems
) -> dict[str, Lesson]:
    items = items_of(files, plan, tunes, problems)
    lessons: dict[str, Lesson] = {}
    stages = [stage.id for stage in plan.stages]
    for lesson_id, (file, located) in files.items():
        if file.stage not in stages:
            hint = did_you_mean(file.stage, stages)
            problems.add(located.path, located.line("stage"), f"no stage {file.stage!r} in plan.yml{hint}")
        if file.minutes != plan.lesson_minutes:
            problems.add(
                located.path,
                located.line("steps"),
                f"the steps take {file.minutes} minutes; a lesson takes {plan.lesson_minutes} (plan.yml)",
            )
        _check_steps(root, file, located, items[lesson_id], problems)
        _check_pieces(root, file, located, problems)
        lessons[lesson_id] = _lesson(lesson_id, file, items[lesson_id])
    _check_needs(files, problems)
    return lessons


def _check_steps(root: Path, file: LessonFile, located: Located, items: tuple[Item, ...], problems: Problems) -> None:
    guide = root / "handbook" / "guide"
    pages = [path.stem for path in guide.glob("*.md")]
    known = [item.id for item in items]
    used = {music for step in file.steps for music in step.music}
    for number, step in enumerate(file.steps):
        if step.guide and step.guide not in pages:
            line = located.line("steps", number, "guide")
            problems.add(located.path, line, f"no page handbook/guide/{step.guide}.md{did_you_mean(step.guide, pages)}")
        for place, music in enumerate(step.music):
            if music not in [entry.id for entry in file.music]:
                line = located.line("steps", number, "music", place)
                problems.add(located.path, line, f"no music {music!r} in this lesson{did_you_mean(music, known)}")
    names = known_names(root)
    for place, entry in enumerate(file.music):
        for at, name in enumerate(entry.for_):
            if name not in names:
                line = located.line("music", place, "for", at)
                problems.add(located.path, line, f"nobody is called {name!r}{did_you_mean(name, names)}")
        if entry.id not in used:
            problems.add(located.path, located.line("music", place), f"no step uses the music {entry.id!r}")


def _check_pieces(root: Path, file: LessonFile, located: Located, problems: Problems) -> None:
    known = [path.stem for path in (root / "content" / "pieces").glob("*.*")]
    for place, piece in enumerate(file.pieces):
        if piece not in known:
            line = located.line("pieces", place)
            problems.add(located.path, line, f"no piece {piece!r} in content/pieces{did_you_mean(piece, known)}")


def _check_needs(files: LessonFiles, problems: Problems) -> None:
    for file, located in files.values():
        for place, need in enumerate(file.needs):
            if need not in files:
                line = located.line("needs", place)
                problems.add(located.path, line, f"needs {need!r}, which is no lesson{did_you_mean(need, files)}")
    cycle = cycle_in({lesson_id: file.needs for lesson_id, (file, _) in files.items()})
    if cycle:
        file, located = files[cycle[0]]
        line = located.line("needs", file.needs.index(cycle[1]))
        problems.add(located.path, line, f"lessons need each other in a circle: {' needs '.join(cycle)}; drop one need")


def _order(
    plan: tuple[PlanFile, Located], lessons: Mapping[str, Lesson], files: LessonFiles, problems: Problems
) -> list[str]:
    file, located = plan
    order: list[str] = []
    for place, lesson_id in enumerate(file.order):
        line = located.line("order", place)
        if lesson_id not in lessons:
            if not (located.path.parent / f"{lesson_id}.yml").is_file():
                problems.add(
                    located.path, line, f"no lesson {lesson_id!r} in content/course{did_you_mean(lesson_id, lessons)}"
                )
            continue
        for need in files[lesson_id][0].needs:
            if need in files and need not in order and not cycle_in({k: f.needs for k, (f, _) in files.items()}):
                problems.add(
                    located.path, line, f"{lesson_id} needs {need}, which is not taught before it; move or add its line"
                )
        order.append(lesson_id)
    return order


def _course(plan: PlanFile, lessons: Mapping[str, Lesson], order: list[str]) -> Course:
    return Course(
        stages=tuple(Stage(stage.id, stage.name, stage.about) for stage in plan.stages),
        rooms=tuple(Room(room.id, room.name, tuple(room.groups), room.about) for room in plan.rooms),
        weeks=tuple(lessons[lesson_id] for lesson_id in order),
        skipped=tuple(lesson for lesson_id, lesson in lessons.items() if lesson_id not in order),
        minutes=plan.lesson_minutes,
    )


def _lesson(lesson_id: str, file: LessonFile, items: tuple[Item, ...]) -> Lesson:
    return Lesson(
        id=lesson_id,
        number=int(lesson_id.removeprefix("lesson-")),
        title=file.title,
        stage=file.stage,
        spare=file.spare,
        aim=file.aim,
        bring=tuple(file.bring),
        needs=tuple(file.needs),
        steps=tuple(
            Step(
                title=step.title,
                minutes=step.minutes,
                together=step.who == "together",
                say=step.say,
                listen=step.listen,
                wrong=step.wrong,
                remedy=step.remedy,
                guide=step.guide,
                music=tuple(step.music),
            )
            for step in file.steps
        ),
        items=items,
        ready=file.ready,
        practice=tuple(file.practice),
        pieces=tuple(file.pieces),
        percussion=Percussion(file.percussion.aim, tuple(file.percussion.practice)) if file.percussion else None,
    )


def _line_of_item(loaded: tuple[LessonFile, Located], item_id: str) -> int:
    file, located = loaded
    for place, entry in enumerate(file.music):
        if entry.id == item_id:
            return located.line("music", place)
    return located.line("music")
