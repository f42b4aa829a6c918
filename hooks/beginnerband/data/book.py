"""The book: everything the handbook is made from, loaded and validated."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import ParamSpec, TypeVar
from unicodedata import normalize

from beginnerband import audience
from beginnerband.data.band import Band, load_band
from beginnerband.data.breathing import load_breathing
from beginnerband.data.claims import check_words
from beginnerband.data.course import CourseBook, load_course
from beginnerband.data.edition import Edition, edition_of
from beginnerband.data.guide import Guide, load_guide
from beginnerband.data.instruments import load_instruments
from beginnerband.data.matching import load_matching
from beginnerband.data.page_links import check_links_to_written
from beginnerband.data.pieces import load_pieces
from beginnerband.data.planned import Planned, load_planned, players_of
from beginnerband.data.printfonts import FOLDER, FontFile, check_signs, load_fonts
from beginnerband.data.problems import Problem, Problems, nearest
from beginnerband.data.rehearsal import load_rehearsal
from beginnerband.data.scoring import ScoringRules, load_scoring
from beginnerband.data.search import SearchWords, load_search
from beginnerband.data.supplies import Supplies, load_supplies
from beginnerband.data.textfile import is_leftover, last_net, near_file, near_files
from beginnerband.data.tunes import load_tunes
from beginnerband.data.written import check_written
from beginnerband.music.breathing import Points
from beginnerband.music.instrument import Instrument
from beginnerband.music.piece import Piece
from beginnerband.music.rehearsal import RehearsalRules
from beginnerband.music.tune import Tune
from beginnerband.people.plan import MatchingRules
from beginnerband.reuse import Reuse

P = ParamSpec("P")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Book:
    """All content, validated. A room of the handbook takes what it needs and computes the rest."""

    root: Path
    """The project's root."""
    edition: Edition
    """Version and day."""
    band: Band
    """The band of ``content/band.yml``."""
    instruments: dict[str, Instrument] = field(repr=False)
    """Every instrument by id, in file order."""
    breaths: Points = field(repr=False)
    """What counts where breaths are proposed."""
    tunes: dict[str, Tune] = field(repr=False)
    """Every tune by id, in file order."""
    guide: Guide = field(repr=False)
    """The guide's pages, glossary, sources, troubles and pictures."""
    course: CourseBook | None = field(repr=False, default=None)
    """The course with what is known by which lesson, or ``None`` when there is no content/course."""
    scoring: ScoringRules | None = field(repr=False, default=None)
    """How lines are shared out, or ``None`` when there are no pieces."""
    pieces: dict[str, Piece] = field(repr=False, default_factory=dict)
    """Every piece in parts by id, in file order."""
    supplies: Supplies | None = field(repr=False, default=None)
    """What to buy first, or ``None`` when there is no such file."""
    matching: MatchingRules | None = field(repr=False, default=None)
    """How people are matched to instruments, or ``None`` when there is no content/matching.yml."""
    planned: Planned | None = field(repr=False, default=None)
    """The people with what they play, in the leader's own copy alone; the band then follows it."""
    remarks: tuple[Problem, ...] = field(repr=False, default=())
    """What the build's report says without stopping: a source not given, a sign not used."""
    rehearsal: RehearsalRules | None = field(repr=False, default=None)
    """How rehearsals of pieces are proposed, or ``None`` where content/rehearsal.yml is missing."""
    search: SearchWords = field(repr=False, default_factory=SearchWords)
    """What leaders type into the search."""
    fonts: tuple[FontFile, ...] = field(repr=False, default=())
    """The leader's own fonts for paper."""
    reuse: Reuse = field(repr=False, compare=False, default_factory=lambda: Reuse(None))
    """What earlier builds made of an earlier book."""

    @property
    def mark(self) -> str:
        """What stands on every page of this copy."""
        return audience.MARK if self.band.audience == "leader" else ""

    @property
    def names(self) -> frozenset[str]:
        """What somebody called something, or sang: it is shown as it was written, in every band's English."""
        music: list[Tune | Piece] = [*self.tunes.values(), *self.pieces.values()]
        found = {self.band.name, self.band.note, self.band.place}
        found |= {said for each in music for said in (each.title, each.composer, each.source)}
        found |= {line for tune in self.tunes.values() for line in (tune.origin, *tune.verses)}
        found |= {name for each in self.instruments.values() for name in (each.names.american, each.names.british)}
        if self.course:
            found |= {item.title for lesson in self.course.course.weeks for item in lesson.items}
        if self.planned:
            found |= {learner.name for learner in self.planned.roster.learners}
            found |= {said for item in self.planned.roster.items for said in (item.serial, item.size, item.lender)}
        return frozenset(found)


def load_book(root: Path) -> Book:
    """Load everything under ``root/content``; raise ``DataError`` with all problems of all files."""
    problems = Problems(root)
    content = root / "content"
    _check_names(root, problems)
    instruments = load_instruments(root, problems)
    band = _netted(content / "band.yml", problems, load_band, root, instruments, problems)
    rules = (
        _netted(content / "matching.yml", problems, load_matching, root, instruments, problems)
        if (content / "matching.yml").exists()
        else None
    )
    if band and (band.audience == "leader") != audience.is_leaders(root):  # what is not sure must not be published
        problems.add(content / "band.yml", 0, "write 'audience: leader' or 'audience: everyone' on its own line")
    planned = None
    if band and rules and band.audience == "leader":
        planned = _netted(
            content / audience.OWN_CONTENT, problems, load_planned, root, band, instruments, rules, problems
        )
        band = replace(band, players=players_of(planned, band) or band.players) if planned else band
    breaths = _netted(content / "breathing.yml", problems, load_breathing, root, problems)
    tunes = load_tunes(root, instruments, problems, breaths)
    scoring = (
        _netted(content / "scoring.yml", problems, load_scoring, root, instruments, problems)
        if (content / "scoring.yml").exists()
        else None
    )
    pieces = load_pieces(root, scoring, problems, breaths) if scoring else {}
    reuse = Reuse(root / ".cache")
    course = None
    if band:
        course = _netted(content / "course", problems, _course, root, band, tunes, pieces, problems, breaths, reuse)
    stages = [stage.id for stage in course.course.stages] if course else None
    called = (band.name, band.english) if band else ("", "british")
    guide = _netted(content / "guide.yml", problems, load_guide, root, stages, problems, called)
    _check_folders(content, problems)
    _check_copies(content, problems)
    _check_home(root, problems)
    check_words(root, problems)
    check_written(root, problems)
    check_links_to_written(root, problems)
    rehearsal = _netted(content / "rehearsal.yml", problems, load_rehearsal, root, problems)
    supplies = _netted(content / "supplies.yml", problems, load_supplies, root, problems)
    search = _netted(content / "search.yml", problems, load_search, root, problems)
    fonts = load_fonts(root, problems)
    check_signs(root, fonts, problems)
    problems.stop_if_any()
    assert band is not None  # what did not load left a problem
    assert guide is not None
    assert breaths is not None
    assert search is not None
    remarks = tuple(problems.remarks)
    return Book(
        root=root,
        edition=edition_of(root),
        band=band,
        instruments=instruments,
        breaths=breaths,
        tunes=tunes,
        guide=guide,
        course=course,
        scoring=scoring,
        pieces=pieces,
        supplies=supplies,
        matching=rules,
        planned=planned,
        remarks=remarks,
        rehearsal=rehearsal,
        search=search,
        fonts=fonts,
        reuse=reuse,
    )


def _netted(file: Path, problems: Problems, load: Callable[P, T | None], *args: P.args, **kwargs: P.kwargs) -> T | None:
    """What ``load`` makes of a file; ``None`` with a problem noted where it fails in a way that nobody thought of."""
    with last_net(file, problems):
        return load(*args, **kwargs)
    return None


def _check_names(root: Path, problems: Problems) -> None:
    """No two names that are one where large letters are as good as small ones; all else would follow from it."""
    seen: dict[str, Path] = {}
    for path in sorted(path for name in ("content", "handbook") for path in (root / name).rglob("*")):
        first = seen.setdefault(normalize("NFC", path.as_posix()).lower(), path)
        if first != path and first.parent == path.parent and not is_leftover(path):
            said = f"Windows and macOS take it and {first.name!r} for one; keep one, or give it another name"
            problems.add(path, 0, said)
    problems.stop_if_any()


FLAT = ("course", "instruments", "pieces", "tunes")
"""Folders of ``content/`` whose files are read, but not what is in folders inside."""


def _check_folders(content: Path, problems: Problems) -> None:
    """A folder that somebody made among the tunes, to keep order, or that has nearly the name of one, would be passed
    over without a word.
    """
    names = (*FLAT, FOLDER, audience.OWN_CONTENT, audience.EXAMPLE_CONTENT)
    for path in _files(content):
        near = nearest(path.name, names) if path.is_dir() and path.name not in names else ""
        if near:  # a remark, since it may be put aside on purpose
            problems.remark(path, 0, f"nothing reads this folder; did you mean {near!r}?")
    for name in FLAT:
        for path in _files(content / name):
            if path.is_dir() and not is_leftover(path) and any(path.iterdir()):
                problems.add(path, 0, f"folders inside content/{name} are not read; put the files into {name} itself")


def _check_copies(content: Path, problems: Problems) -> None:
    """A file beside the one that is read, which systems show under the same name: changes of it would do nothing."""
    for folder in (content, content / "course", content / "instruments"):
        told: set[Path] = set()
        read_first = sorted(
            folder.glob("*.yml"), key=lambda path: (len(path.name), path.name != path.name.lower(), path)
        )
        for path in read_first:  # before its copies
            for copy in (folder / name for name in near_files(path) if path not in told):
                is_read = folder != content and copy.suffix in (".yml", ".yaml")  # or told for its name
                could_be = copy.suffix in (".yml", ".yaml", ".txt")  # and no picture or paper of the same name
                if could_be and not is_read and not is_leftover(copy):
                    told.add(copy)
                    said = f"nothing reads this file, since {path.name!r} is there; keep one of the two"
                    problems.remark(copy, 0, said)


def _check_home(root: Path, problems: Problems) -> None:
    """Whether the page is there with which the handbook begins."""
    path = root / "handbook" / "index.md"
    if path.parent.is_dir() and not path.is_file():
        near = near_file(path)
        todo = (
            f"{near!r} is here: give it the name 'index.md'" if near else "put it back, or begin a new one with a '# '"
        )
        problems.add(path, 0, f"the handbook's first page is missing; {todo}{'' if near else ' and its title'}")


def _course(
    root: Path,
    band: Band,
    tunes: dict[str, Tune],
    pieces: dict[str, Piece],
    problems: Problems,
    breaths: Points | None,
    reuse: Reuse,
) -> CourseBook | None:
    """The course, or what an earlier build kept of it: composing one takes longest of all that is loaded."""
    content = root / "content"
    band = replace(band, name="", note="", address="")  # nothing of the course follows from these
    try:
        files = {path.name: path.read_bytes() for path in _files(content / "course")}
        files["../ladder.yml"] = (content / "ladder.yml").read_bytes()
    except OSError:  # said while loading
        return load_course(root, band, tunes, pieces, problems, breaths)
    names = tuple(
        path.relative_to(root).as_posix()
        for folder in (content / "instruments", content / "pieces", root / "handbook" / "guide")
        for path in _files(folder)
    )
    titles = {ident: (piece.title, piece.lines) for ident, piece in pieces.items()}
    said = len(problems.remarks)
    return reuse.of_values(
        "course",
        (band, tunes, titles, breaths, files, names),
        lambda: load_course(root, band, tunes, pieces, problems, breaths),
        lambda: not problems.found and len(problems.remarks) == said,
    )


def _files(folder: Path) -> list[Path]:
    return sorted(folder.iterdir()) if folder.is_dir() else []
