#!/usr/bin/env python3
"""Speed of the print pack: the whole course set warm, against an empty Typst page compiled the same number of times.

``.venv/bin/python tests/benchmark_print.py``; also run by ``tests/benchmark.py``. Goal: under 25 ms a page, warm.
Warm means that fonts and pictures have been read once; nothing that was printed before is used.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks")]


def from_command_line() -> None:
    """Measure as many lessons as the first argument says."""
    main(int(sys.argv[1]) if sys.argv[1:] else None)


def main(most: int | None = None) -> None:
    """Print the figures of one run."""
    import typst

    from beginnerband.data.book import load_book
    from beginnerband.pages.course.lesson_view import lesson_view
    from beginnerband.pages.course.pictures import Pictures
    from beginnerband.pages.course.print_data import lesson_values, pack_values
    from beginnerband.render.print_pack import PrintPack
    from beginnerband.render.print_worker import Engine
    from beginnerband.render.printing import font_folders, inputs_of, lay_out

    book = load_book(ROOT)
    course = book.course
    assert course
    pictures = Pictures(ROOT / ".cache", book.band.english)
    with tempfile.TemporaryDirectory() as folder:
        pack, work_in = PrintPack(), Path(folder)
        lessons = [
            lesson_values(book, lesson_view(book, one.id), pictures, pack) for one in course.course.lessons[:most]
        ]
        pages = 2 * len(lessons) + sum(len(lesson["sheets"]) for lesson in lessons)
        seconds, work, engine = [], [], None
        for title in ("cold", "warm"):
            start, worked = time.perf_counter(), time.process_time()
            job = pack.job(pack_values(book, title, lessons))
            lay_out(work_in, job, pack.pictures)
            engine = engine or Engine(work_in, font_folders(job, work_in))
            engine.pdf(job.template, inputs_of(job))
            seconds.append(time.perf_counter() - start)
            work.append(1000 * (time.process_time() - worked) / pages)
        empty = typst.Compiler(ignore_system_fonts=True)
        empty.compile(input=b'#set page(paper: "a4")\n', format="pdf")
        start = time.perf_counter()
        for count in range(pages):
            empty.compile(input=f'#set page(paper: "a4")\n// {count}'.encode(), format="pdf")
        bare = time.perf_counter() - start
    cold, warm = (1000 * each / pages for each in seconds)
    print(f"print pack: {pages} pages, {cold:.1f} ms a page cold, {warm:.1f} ms a page warm (goal: under 25)")
    print(f"            {1000 * bare / pages:.2f} ms an empty Typst page; ratio warm {seconds[1] / bare:.1f}")
    print(f"            processor time: {work[0]:.1f} ms a page cold, {work[1]:.1f} ms warm")


if __name__ == "__main__":
    from_command_line()
