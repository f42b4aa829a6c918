"""What is printed, read back by PDFium."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from ctypes import byref, c_float
from itertools import pairwise
from math import hypot
from pathlib import Path
from typing import Any

import pypdfium2
from PIL import Image

from beginnerband.data.book import Book
from beginnerband.pages.course.print_data import pack_values
from beginnerband.products import BoundJob, PrintJob
from beginnerband.render.print_pack import PrintPack
from beginnerband.render.printing import Printer

POINT = 25.4 / 72
"""Millimetres."""

LONG, THIN = 15 / POINT, 0.6 / POINT
"""Least length of a line of a staff in one bar and its greatest thickness, points."""

SPACE, MARGIN = 32, 8 / POINT
"""The last character without ink; and the height of the margins in which the edition and a notice stand, points."""


def print_now(job: PrintJob | BoundJob, pictures: Mapping[str, bytes], cache: Path) -> bytes:
    """The file of one job, printed or as it is kept in ``cache``."""
    printer = Printer(cache)
    printer.begin([job], pictures)
    printer.wait([job.id])
    return printer.path(job.id).read_bytes()


def print_lessons(book: Book, lessons: Sequence[Mapping[str, Any]], pack: PrintPack, cache: Path) -> bytes:
    """Cards and sheets of lessons (``lesson_values``), one of each, in one file."""
    job = pack.job(pack_values(book, "Lessons", [dict(values) for values in lessons]))
    copies = [1 for values in lessons for _ in (*values["cards"], *values["sheets"])]
    return print_now(pack.bound([(job, copies)]), pack.pictures, cache)


def words_on(pdf: Path | bytes) -> list[str]:
    """The text of each page."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [page.get_textpage().get_text_bounded().replace("\r\n", "\n") for page in document]


def picture(pdf: Path, place: int, dpi: int = 150) -> Image.Image:
    """A page, counted from 0, as PDFium draws it."""
    with pypdfium2.PdfDocument(pdf) as document:
        drawn = document[place].render(scale=dpi / 72).to_pil()
        assert isinstance(drawn, Image.Image)
        return drawn


def staves(pdf: Path | bytes) -> list[list[float]]:
    """Heights in millimetres of the engraved staves of each page: five long level lines, equally far apart."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [_staves(_level_lines(page)) + _whole_staves(page) for page in document]


def _level_lines(page: pypdfium2.PdfPage) -> dict[tuple[int, int], list[float]]:
    """Heights of thin level strokes of some length by their rounded ends."""
    found: dict[tuple[int, int], list[float]] = {}
    for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH], max_depth=8):
        left, bottom, right, top = thing.get_bounds()
        if right - left > LONG and top - bottom < THIN:
            found.setdefault((round(left), round(right)), []).append((top + bottom) / 2)
    return found


def _whole_staves(page: pypdfium2.PdfPage) -> list[float]:
    """Heights in millimetres of staves whose five lines are one path."""
    found = []
    for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH], max_depth=8):
        left, _, right, _ = thing.get_bounds()
        if right - left > LONG and pypdfium2.raw.FPDFPath_CountSegments(thing.raw) == 10:
            places = [_point(thing, number) for number in range(10)]
            across, heights = {x for x, _ in places}, sorted({round(y, 2) for _, y in places})
            gaps = [high - low for low, high in pairwise(heights)]
            if len(heights) == 5 and max(gaps) - min(gaps) < 0.05 * max(gaps):
                scale = (right - left) / (max(across) - min(across))
                found.append((heights[-1] - heights[0]) * scale * POINT)
    return found


def _point(thing: pypdfium2.PdfObject, number: int) -> tuple[float, float]:
    """A point of a path, in its own units."""
    x, y = c_float(), c_float()
    segment = pypdfium2.raw.FPDFPath_GetPathSegment(thing.raw, number)
    pypdfium2.raw.FPDFPathSegment_GetPoint(segment, x, y)
    return x.value, y.value


def _staves(lines: dict[tuple[int, int], list[float]]) -> list[float]:
    found: dict[int, float] = {}  # by where they stand: each bar of a staff has lines of its own
    for heights in lines.values():
        ordered = sorted(set(heights))
        place = 0
        while place + 5 <= len(ordered):
            five = ordered[place : place + 5]
            gaps = [high - low for low, high in pairwise(five)]
            if max(gaps) - min(gaps) < 0.05 * max(gaps) and max(gaps) < 8:
                found[round(five[0])] = (five[-1] - five[0]) * POINT
                place += 4
            place += 1
    return list(found.values())


def line_ends(pdf: Path | bytes) -> list[list[float]]:
    """Millimetres from the end of each line of music to the right edge of its page, from the top down, page by page."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [_line_ends(page) for page in document]


def _line_ends(page: pypdfium2.PdfPage) -> list[float]:
    rows: dict[int, float] = {}  # by where they stand: each bar of a staff has lines of its own
    for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH], max_depth=8):
        left, bottom, right, top = thing.get_bounds()
        lines = pypdfium2.raw.FPDFPath_CountSegments(thing.raw)
        if right - left > LONG and (top - bottom < THIN or lines == 10):
            row = round(bottom)
            rows[row] = max(right, rows.get(row, 0.0))
    return [(page.get_width() - rows[row]) * POINT for row in sorted(rows, reverse=True)]


def blank_below(pdf: Path | bytes) -> list[float]:
    """Millimetres between the last thing on each page and its bottom margin, where the edition stands."""
    found = []
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            drawn = page.render(scale=1).to_pil().convert("L")
            inside = drawn.crop((0, 0, drawn.width, drawn.height - round(10 / POINT)))
            box = inside.point(lambda shade: 255 if shade < 200 else 0).getbbox()
            found.append((inside.height - (box[3] if box else 0)) * POINT)
    return found


def text_size(pdf: Path | bytes, number: int) -> float:
    """Size in points of most of the text of a page, counted from 1."""
    sizes: dict[float, int] = {}
    for size in set_text(pdf, number):
        sizes[size] = sizes.get(size, 0) + 1
    return max(sizes, key=lambda size: sizes[size], default=0.0)


def least_text(pdf: Path | bytes, number: int) -> float:
    """Size in points of the smallest text of a page, counted from 1, but for what stands in its margin."""
    return min(set_text(pdf, number), default=0.0)


def set_text(pdf: Path | bytes, number: int) -> list[float]:
    """Size in points of each letter that is set, not drawn, between the margins of a page."""
    return [size for size, drawn, _ in _letters(pdf, number) if not drawn]


def drawn_text(pdf: Path | bytes, number: int) -> dict[str, float]:
    """Least size in points, as printed, of each letter and figure inside the pictures of a page."""
    found: dict[str, float] = {}
    for size, drawn, letter in _letters(pdf, number):
        if drawn:
            found[letter] = min(size, found.get(letter, size))
    return found


def _letters(pdf: Path | bytes, number: int) -> Iterator[tuple[float, bool, str]]:
    """Each letter between the margins: its size as printed, whether it is part of a picture, itself.

    Text that is set has its own size; in a picture it has the picture's units and is scaled with it.
    """
    with pypdfium2.PdfDocument(pdf) as document:
        page = document[number - 1]
        text, high = page.get_textpage(), page.get_height()
        for place in range(text.count_chars()):
            letter = pypdfium2.raw.FPDFText_GetUnicode(text.raw, place)
            if letter <= SPACE:
                continue
            shape = pypdfium2.raw.FS_MATRIX()
            pypdfium2.raw.FPDFText_GetMatrix(text.raw, place, byref(shape))
            if MARGIN < shape.f < high - MARGIN:
                scale = hypot(shape.c, shape.d)
                size = pypdfium2.raw.FPDFText_GetFontSize(text.raw, place) * scale
                yield round(size, 1), abs(scale - 1) > 0.001, chr(letter)
