#!/usr/bin/env python3
"""Measures of the printed course and pieces: staff heights, empty space and line breaks, a line for each page.

``.venv/bin/python tests/measure_print.py [number of a lesson …]``; without numbers, every lesson and every piece.
``.venv/bin/python tests/measure_print.py --bands [name [every]]`` prints the courses of the bands in ``plans.py`` whose
names hold these words, every so many lessons, on both papers, and shows the distribution and the ten worst pages.
``.venv/bin/python tests/measure_print.py --pieces [name]`` prints the pieces in parts of these bands on both papers, of
players alike once. The name ``lot SEED`` is of a band that ``read_cards.py`` draws by lot.
The PDF itself is read: five level lines at equal distances are a staff.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]

from paper import blank_below, drawn_text, least_text, line_ends, print_lessons, print_now, staves, text_size, words_on  # noqa: E402

from beginnerband.data.book import Book, load_book  # noqa: E402
from beginnerband.data.course import CourseBook  # noqa: E402
from beginnerband.music.line_breaks import WIDE  # noqa: E402
from beginnerband.pages.course.lesson_view import lesson_view  # noqa: E402
from beginnerband.pages.course.pictures import Pictures  # noqa: E402
from beginnerband.pages.course.print_data import lesson_values  # noqa: E402
from beginnerband.pages.course.sheet_view import sheet_view  # noqa: E402
from beginnerband.pages.pieces.files import SCORE, breaks_of, engraved, grouped, score_breaks  # noqa: E402
from beginnerband.pages.pieces.printing import print_values  # noqa: E402
from beginnerband.pages.pieces.view import view  # noqa: E402
from beginnerband.pages.shared.paper import of_copy  # noqa: E402
from beginnerband.render.print_pack import PrintPack  # noqa: E402
from beginnerband.teaching.course import Lesson  # noqa: E402

FRONT, BACK, SHEET = "front of a card", "back of a card", "sheet"
STEPS = "If it goes wrong"
"""What stands over the steps of a card, and nowhere else."""


@dataclass(frozen=True, slots=True)
class Page:
    """A printed page, measured."""

    where: str
    """Band, paper, lesson and page."""
    kind: str
    """What it is."""
    staff: float
    """Height of its smallest staff in millimetres; 0 where it has none."""
    blank: float
    """Millimetres that are blank above its bottom margin."""
    text: float
    """Size of most of its text in points."""


def main(numbers: set[int]) -> None:
    """Print the figures of one run."""

    def report(title: str, pdf: bytes) -> None:
        for number, (heights, blank) in enumerate(zip(staves(pdf), blank_below(pdf), strict=True), start=1):
            shown = f"{len(heights):2} staves of {min(heights):.1f} to {max(heights):.1f} mm" if heights else "no staff"
            print(f"{title} page {number}: {shown}, {blank:.0f} mm blank below, body text {text_size(pdf, number)} pt")

    book = load_book(ROOT)
    course = book.course
    assert course
    pictures = Pictures(ROOT / ".cache", book.band.english, book.band.paper)
    with tempfile.TemporaryDirectory() as folder:
        for lesson in course.course.lessons:
            if numbers and lesson.number not in numbers:
                continue
            report(f"lesson {lesson.number}", printed(book, lesson, pictures, Path(folder)))
            for player in course.players[:1]:
                for piece in sheet_view(book, course, lesson, player).music:
                    print(f"  {piece.title}: {len(piece.line.measures)} bars, lines begin at {(0, *piece.breaks)}")
        for name, piece in book.pieces.items() if not numbers else ():
            one, pack = view(book, piece), PrintPack()
            job = pack.job(print_values(book, one, engraved(book, one), pack) | of_copy(book), "piece.typ")
            report(name, print_now(job, pack.pictures, Path(folder)))


def printed(book: Book, lesson: Lesson, pictures: Pictures, folder: Path) -> bytes:
    """A lesson as it is printed: the card and every player's sheet."""
    pack = PrintPack()
    values = lesson_values(book, lesson_view(book, lesson.id), pictures, pack)
    return print_lessons(book, [values], pack, folder)


def measured(where: str, pdf: bytes) -> Iterator[Page]:
    """Its pages that hold anything; a card that takes more than two pages has backs that follow each other.

    Each room's leader has a card; the steps of each begin on its front, and those of a long lesson go on over its back.
    """
    sheets, kind = False, ""
    pages = zip(words_on(pdf), staves(pdf), blank_below(pdf), strict=True)
    for number, (words, heights, blank) in enumerate(pages, start=1):
        sheets = sheets or "Name" in words.splitlines()  # a line to write it on
        kind = SHEET if sheets else FRONT if STEPS in words and kind != FRONT else BACK
        if len(words.split()) > 8:
            staff = min(heights, default=0.0)
            yield Page(f"{where} page {number}", kind, staff, blank, text_size(pdf, number))


def bands(name: str, once: bool = False) -> Iterator[tuple[str, Book, CourseBook]]:
    """Bands and papers whose names hold ``name``, each with its book and course; of players alike ``once``."""
    from plans import cases, made
    from read_cards import by_lot

    book = load_book(ROOT)
    found = [by_lot(book, int(name.split()[1]))] if name.startswith("lot ") else cases(book)
    found = [case for case in found if name in case.name]
    if once:
        found = list({case.players: case for case in reversed(found)}.values())
    for case in found:
        for paper, english in (("a4", "british"), ("letter", "american")):
            band = replace(book.band, players=case.players, teaching=case.teaching, paper=paper, english=english)
            ours = replace(book, band=band)
            course, wrong = made(ours, case)
            assert course, wrong
            yield f"{case.name}, {paper}", replace(ours, course=course), course


def over_pieces(name: str) -> None:
    """Print what is said of scores and parts over bands and papers, and each place where it is not so."""
    apart = several = sets = 0
    least: dict[str, float] = {}
    most: dict[str, tuple[float, str]] = {}
    with tempfile.TemporaryDirectory() as folder:
        for where, book, _ in bands(name, once=True):
            for ident, piece in book.pieces.items():
                one, pack = view(book, piece), PrintPack()
                pictures = engraved(book, one)
                values = print_values(book, one, pictures, pack) | of_copy(book)
                pdf = print_now(pack.job(values, "piece.typ"), pack.pictures, Path(folder))
                sets += 1
                if "Short score" not in words_on(pdf)[0]:
                    apart += 1
                    print(f"{where}: {ident}: the short score is not below the table")
                several += sum(len(part.pages) > 1 for part in pictures.parts.values())
                for kind, figure in measured_piece(pdf):
                    least[kind] = min(figure, least.get(kind, figure))
                for kind, figure in left_by(pdf):
                    most[kind] = max((figure, f"{where}: {ident}"), most.get(kind, (0.0, "")))
                score = score_breaks(one, grouped(one, book.band.english), SCORE[book.band.paper])
                for inner in (breaks_of(one, WIDE), score):
                    breaks = (0, *inner, len(piece.tune.measures))
                    lines = [end - start for start, end in pairwise(breaks)]
                    if lines[1:] and (lines[-1] == 1 or max(lines) - min(lines) > 1):
                        print(f"{where}: {ident}: lines of {lines} bars")
    print(f"{sets} sets, {apart} with the short score on a page of its own, {several} parts on more than a page")
    for kind, figure in sorted(least.items()):
        print(f"least {kind}: {figure:.1f}")
    for kind, (figure, place) in sorted(most.items()):
        print(f"most {kind}: {figure:.1f} ({place})")


def measured_piece(pdf: bytes) -> Iterator[tuple[str, float]]:
    """Figures of each page of a set of which the least counts: heights of staves, sizes of names and text."""
    for number, (words, heights) in enumerate(zip(words_on(pdf), staves(pdf), strict=True), start=1):
        kind = _kind(words)
        if heights:
            yield f"staff of a {kind}, mm", min(heights)
        if kind == "full score":
            names = [size for letter, size in drawn_text(pdf, number).items() if letter.isalpha()]
            yield "name in a full score, pt", min(names, default=99.0)
        yield "text, pt", least_text(pdf, number)


def left_by(pdf: bytes) -> Iterator[tuple[str, float]]:
    """Figures of each page of which the most counts: what lines of several leave at the margin, what a page leaves."""
    for words, ends, blank in zip(words_on(pdf), line_ends(pdf), blank_below(pdf), strict=True):
        yield f"from the end of a line of a {_kind(words)} to the edge of the paper, mm", max(ends[1:], default=0.0)
        yield f"blank below a {_kind(words)}, mm", blank


def _kind(words: str) -> str:
    """What a page of a set is, by its words."""
    return "full score" if "Full score" in words else "short score" if "Short score" in words else "part"


def over_bands(name: str, every: int) -> None:
    """Print the distribution over bands and papers, and the worst pages."""
    found = list[Page]()
    with tempfile.TemporaryDirectory() as folder:
        for band, ours, course in bands(name):
            pictures = Pictures(ROOT / ".cache", ours.band.english, ours.band.paper)
            for lesson in course.course.lessons[::every]:
                where = f"{band}, lesson {lesson.number}"
                pdf = printed(ours, lesson, pictures, Path(folder))
                pages = [*measured(where, pdf)]
                fronts, backs = (sum(page.kind == kind for page in pages) for kind in (FRONT, BACK))
                if backs != fronts:
                    print(f"{where}: {fronts} cards take {fronts + backs} pages")
                found += pages
    for kind in (FRONT, BACK, SHEET):
        rows = [page for page in found if page.kind == kind]
        heights = sorted(page.staff for page in rows if page.staff)
        print(f"{kind}: {len(rows)} pages")
        if heights:
            print(f"  staff: least {heights[0]:.2f} mm, median {heights[len(heights) // 2]:.2f} mm")
        for what in ("blank", "text"):
            figures = sorted(getattr(page, what) for page in rows)
            parts = [figures[round(part * (len(figures) - 1))] for part in (0, 0.1, 0.5, 0.9, 1)] if figures else []
            print(f"  {what}: least, tenth, half, nine tenths, most: {', '.join(f'{part:.1f}' for part in parts)}")
    wanted = {FRONT: 0.0, BACK: 5.0, SHEET: 7.0}
    small = [page for page in found if 0 < page.staff < wanted[page.kind] or (page.kind == FRONT and page.text < 10)]
    for page in small:
        print(f"too small: {page}")
    for page in sorted(found, key=lambda page: -page.blank)[:10]:
        print(f"emptiest: {page.where}: {page.kind}, {page.blank:.0f} mm blank, {page.text} pt")


def from_command_line() -> None:
    """As the command line asks."""
    if sys.argv[1:2] == ["--pieces"]:
        over_pieces(*(sys.argv[2:3] or [""]))
    elif sys.argv[1:2] == ["--bands"]:
        over_bands(*(sys.argv[2:3] or [""]), every=int(*(sys.argv[3:4] or ["1"])))
    else:
        main({int(number) for number in sys.argv[1:]})


if __name__ == "__main__":
    from_command_line()
