"""Paper printed while the rest is built: kept by its job, waited for, broken off, and told of where it fails."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from beginnerband.products import PrintJob
from beginnerband.render.print_pack import PrintPack
from beginnerband.render.printing import DAY, UNUSED_DAYS, Printer, PrintError

VALUES = {"title": "", "subtitle": "", "band": "", "edition": "", "paper": "a4", "region": "GB", "lessons": [],
          "contents": False, "copies": False, "blank": True}  # fmt: skip
"""An empty card."""


@pytest.fixture
def printer(tmp_path: Path) -> Iterator[Printer]:
    made = Printer(tmp_path / ".cache")
    yield made
    made.stop()


def a_card(title: str, template: str = "pack.typ") -> PrintJob:
    return PrintPack().job({**VALUES, "title": title}, template)


def left(printer: Printer) -> list[str]:
    """What is in the cache of paper beside what was printed."""
    return [path.name for path in printer.path("any").parent.parent.iterdir() if path.name != "made"]


def test_a_job_is_printed_once_and_leaves_nothing_behind(printer: Printer) -> None:
    jobs = [a_card("One"), a_card("Two")]
    printer.begin(jobs, {})
    printer.wait(job.id for job in jobs)
    assert all(printer.path(job.id).read_bytes().startswith(b"%PDF") for job in jobs)
    before = printer.path(jobs[0].id).stat().st_ino
    printer.begin(jobs, {})
    printer.wait(job.id for job in jobs)
    assert printer.path(jobs[0].id).stat().st_ino == before
    end = time.monotonic() + 20
    while left(printer) and time.monotonic() < end:
        time.sleep(0.05)
    assert left(printer) == []


def test_what_cannot_be_printed_is_said_and_the_rest_is_printed(printer: Printer) -> None:
    wrong, right = a_card("Wrong", "no-such.typ"), a_card("Right")
    printer.begin([wrong, right], {})
    printer.wait([right.id])
    with pytest.raises(PrintError, match="No such file"):
        printer.wait([wrong.id])
    assert not printer.path(wrong.id).exists()


def test_what_is_not_done_yet_can_be_left_and_begun_again(printer: Printer) -> None:
    jobs = [a_card(str(number)) for number in range(5)]
    printer.begin(jobs, {})
    printer.stop()
    printer.wait(job.id for job in jobs)  # nobody waits for what was broken off
    assert left(printer) == []
    printer.begin(jobs, {})
    printer.wait(job.id for job in jobs)
    assert all(printer.path(job.id).is_file() for job in jobs)


def test_printing_can_be_held_until_pages_are_shown(printer: Printer) -> None:
    job = a_card("Later")
    printer.hold()
    printer.begin([job], {})
    time.sleep(0.3)
    assert not printer.path(job.id).exists()
    printer.release()
    printer.wait([job.id])
    assert printer.path(job.id).is_file()


def test_paper_that_nobody_asked_for_in_a_month_is_dropped(printer: Printer) -> None:
    old, new = printer.path("old"), printer.path("new")
    old.parent.mkdir(parents=True)
    for path, days in ((old, UNUSED_DAYS + 1), (new, 1)):
        path.write_bytes(b"%PDF")
        os.utime(path, (time.time() - days * DAY,) * 2)
    printer.tidy()
    assert not old.exists()
    assert new.exists()
