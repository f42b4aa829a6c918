#!/usr/bin/env python3
"""Measures of the printed course and pieces: staff heights, empty space and line breaks, a line for each sheet.

``.venv/bin/python tests/measure_print.py [number of a lesson …]``; without numbers, every lesson and every piece.
The PDF itself is read: five level lines at equal distances are a staff.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]


def main(numbers: set[int]) -> None:
    """Print the figures of one run."""
    from paper import blank_below, print_now, staves, text_size

    from beginnerband.data.book import load_book
    from beginnerband.pages.course.lesson_view import lesson_view
    from beginnerband.pages.course.pictures import Pictures
    from beginnerband.pages.course.print_data import lesson_values, pack_values
    from beginnerband.pages.course.sheet_view import sheet_view
    from beginnerband.pages.pieces.files import engraved
    from beginnerband.pages.pieces.printing import print_values
    from beginnerband.pages.pieces.view import view
    from beginnerband.render.print_pack import PrintPack

    def report(title: str, pdf: bytes) -> None:
        for number, (heights, blank) in enumerate(zip(staves(pdf), blank_below(pdf), strict=True), start=1):
            shown = f"{len(heights):2} staves of {min(heights):.1f} to {max(heights):.1f} mm" if heights else "no staff"
            print(f"{title} page {number}: {shown}, {blank:.0f} mm blank below, body text {text_size(pdf, number)} pt")

    book = load_book(ROOT)
    course = book.course
    assert course
    pictures = Pictures(ROOT / ".cache", book.band.english)
    with tempfile.TemporaryDirectory() as folder:
        pack, kept = PrintPack(), Path(folder)
        for lesson in course.course.lessons:
            if numbers and lesson.number not in numbers:
                continue
            values = lesson_values(book, lesson_view(book, lesson.id), pictures, pack)
            job = pack.job(pack_values(book, lesson.title, "", [values]))
            report(f"lesson {lesson.number}", print_now(job, pack.pictures, kept))
            for player in course.players[:1]:
                for piece in sheet_view(book, course, lesson, player).music:
                    print(f"  {piece.title}: {len(piece.line.measures)} bars, lines begin at {(0, *piece.breaks)}")
        for name, piece in book.pieces.items() if not numbers else ():
            one = view(book, piece)
            job = pack.job(print_values(book, one, engraved(book, one), pack), "piece.typ")
            report(name, print_now(job, pack.pictures, kept))


def from_command_line() -> None:
    """As the command line asks."""
    main({int(number) for number in sys.argv[1:]})


if __name__ == "__main__":
    from_command_line()
