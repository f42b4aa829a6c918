"""Paper printed while the rest is built: kept by its job, waited for, broken off, and told of where it fails."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import ModuleType, SimpleNamespace

import pytest
from conftest import ROOT
from paper import words_on

from beginnerband.products import PrintJob
from beginnerband.render.print_pack import PrintPack
from beginnerband.render.printing import DAY, UNUSED_DAYS, Printer, PrintError, lay_out

VALUES = {"title": "", "subtitle": "", "band": "", "edition": "", "paper": "a4", "region": "GB", "lessons": [],
          "contents": [], "blank": True}  # fmt: skip
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


def test_a_file_is_bound_when_all_its_parts_are_set_and_not_without_them(printer: Printer) -> None:
    lesson = {"lessons": [{"cards": [], "sheets": []}]}  # with an empty page at the end
    right = PrintPack().job({**VALUES, **lesson, "title": "Right"})
    wrong = a_card("Wrong", "no-such.typ")
    whole, broken = (PrintPack().bound([(right, [2]), (other, [1])]) for other in (right, wrong))
    printer.hold()
    printer.wait([whole.id])  # asked for before it is known what it is bound of, as while a build begins
    printer.begin([broken, whole, a_card("Another")], {})
    printer.release()
    printer.wait([whole.id])
    assert len(words_on(printer.path(whole.id))) == 5  # three cards, of which two get an empty back
    with pytest.raises(PrintError, match="No such file"):
        printer.wait([broken.id])
    assert not printer.path(broken.id).exists()


def test_two_print_at_once_and_what_is_bound_waits_for_the_parts_of_both(tmp_path: Path) -> None:
    lesson = {"lessons": [{"cards": [], "sheets": []}]}
    parts = [PrintPack().job({**VALUES, **lesson, "title": str(number)}) for number in range(6)]
    whole = PrintPack().bound([(part, [1]) for part in parts])
    printer = Printer(tmp_path / ".cache", beside=2, most=2)
    try:
        printer.begin([whole, *map(a_card, "abcd")], {})
        printer.wait([whole.id])
        assert len(words_on(printer.path(whole.id))) == 11  # six cards, of which five get an empty back
        printer.begin([a_card(f"{number}, broken off") for number in range(6)], {})
    finally:
        printer.stop()
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


def test_whatever_goes_wrong_is_said_and_what_comes_next_is_printed(
    printer: Printer, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No process can be begun: what waits must hear of it, not wait for ever."""

    def no_process(*_: object, **__: object) -> None:
        raise OSError(12, "Cannot allocate memory")

    job = a_card("One")
    with monkeypatch.context() as patched:
        patched.setattr("beginnerband.render.printing.subprocess.Popen", no_process)
        printer.begin([job], {})
        with pytest.raises(PrintError, match="Cannot allocate memory"):
            printer.wait([job.id])
    printer.begin([job], {})
    printer.wait([job.id])
    assert printer.path(job.id).is_file()


def test_rooms_that_come_one_after_the_other_are_all_printed(printer: Printer) -> None:
    """Each begins when the last may just be letting go of the process that printed it."""
    for number in range(4):
        job = a_card(f"Room {number}")
        printer.begin([job], {})
        printer.wait([job.id])
        assert printer.path(job.id).is_file()


def test_more_to_print_does_not_touch_what_is_printed_from(tmp_path: Path) -> None:
    lay_out(tmp_path, a_card("One"), {})
    template = tmp_path / "pack.typ"
    template.write_bytes(template.read_bytes() + b"// as it is read")
    lay_out(tmp_path, a_card("Two"), {})
    assert template.read_bytes().endswith(b"// as it is read")


def test_printing_can_be_held_until_pages_are_shown(printer: Printer) -> None:
    job = a_card("Later")
    printer.hold()
    printer.begin([job], {})
    time.sleep(0.3)
    assert not printer.path(job.id).exists()
    printer.release()
    printer.wait([job.id])
    assert printer.path(job.id).is_file()


@pytest.fixture
def hook() -> ModuleType:
    """``hooks/build.py``, a copy for this test."""
    spec = importlib.util.spec_from_file_location("build_hook", ROOT / "hooks" / "build.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module._build.settled = threading.Event()
    module._build.settled.set()
    return module


def asked_for(hook: ModuleType, uri: str, folder: Path) -> str:
    """What is answered within five seconds to somebody who asks a server for a file; empty for the file."""

    def answer() -> str:
        try:
            hook._bring(uri, folder)
        except PrintError as error:
            return str(error)
        return ""

    with ThreadPoolExecutor(1) as pool:
        asked = pool.submit(answer)
        try:
            return asked.result(5)
        finally:
            hook._build.stored = None  # lets go of whoever waits still


def test_a_server_puts_what_was_printed_into_its_place(hook: ModuleType, printer: Printer, tmp_path: Path) -> None:
    job, folder = a_card("One"), tmp_path / "site"
    printer.begin([job], {})
    hook._build.printer, hook._build.stored = printer, SimpleNamespace(assets={}, prints={"print/one.pdf": job.id})
    assert asked_for(hook, "print/one.pdf", folder) == ""
    assert (folder / "print" / "one.pdf").read_bytes() == printer.path(job.id).read_bytes()
    assert [path.name for path in (folder / "print").iterdir()] == ["one.pdf"]


def test_a_server_refuses_paper_of_a_build_that_was_broken_off(
    hook: ModuleType, printer: Printer, tmp_path: Path
) -> None:
    job = a_card("One")
    printer.hold()
    printer.begin([job], {})
    hook._build.printer, hook._build.stored = printer, SimpleNamespace(assets={}, prints={"one.pdf": job.id})
    printer.stop()  # as when a build ends in an error
    assert "broken off" in asked_for(hook, "one.pdf", tmp_path)


def test_a_server_does_not_wait_for_paper_while_it_shows_a_report(
    hook: ModuleType, printer: Printer, tmp_path: Path
) -> None:
    """What was warned of stands in the place of the site; what is to be printed is held."""
    job = a_card("One")
    printer.hold()
    printer.begin([job], {})
    build = hook._build
    build.printer, build.stored = printer, SimpleNamespace(assets={}, prints={"one.pdf": job.id})
    build.warnings = SimpleNamespace(said=["a page links to nothing"])
    hook.on_post_build(SimpleNamespace(site_dir=str(tmp_path)))
    assert "a page links to nothing" in (tmp_path / "index.html").read_text(encoding="utf-8")
    assert asked_for(hook, "one.pdf", tmp_path) == ""


def test_a_server_builds_when_what_a_change_needs_is_loaded(
    hook: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A build forks, and a process that is forked while another thread imports would wait for it for ever."""
    done = list[str]()
    began = threading.Event()

    def load(root: Path) -> None:
        began.set()
        time.sleep(0.2)
        done.append(f"loaded {root.name}")

    monkeypatch.setattr(hook.assemble, "get_ready", load)
    server = SimpleNamespace(
        builder=lambda: done.append("built"), root=str(tmp_path), mount_path="/", get_app=lambda: None, set_app=id
    )
    hook.on_serve(server, SimpleNamespace(config_file_path=str(tmp_path / "mkdocs.yml")), None)
    assert began.wait(5)
    server.builder()
    assert done == [f"loaded {tmp_path.name}", "built"]


def test_paper_that_nobody_asked_for_in_a_month_is_dropped(printer: Printer) -> None:
    old, new = printer.path("old"), printer.path("new")
    old.parent.mkdir(parents=True)
    for path, days in ((old, UNUSED_DAYS + 1), (new, 1)):
        path.write_bytes(b"%PDF")
        os.utime(path, (time.time() - days * DAY,) * 2)
    printer.tidy()
    assert not old.exists()
    assert new.exists()


def test_a_process_that_prints_says_nothing_when_its_build_is_gone() -> None:
    """As when a server is ended while it prints: nobody is there to take the answer."""
    pipes: dict[str, int] = dict.fromkeys(("stdin", "stdout", "stderr"), subprocess.PIPE)
    process = subprocess.Popen([sys.executable, "-m", "beginnerband.render.print_worker"], cwd=ROOT / "hooks", **pipes)
    assert process.stdout
    process.stdout.close()
    _, said = process.communicate(b"{}\n")
    assert (said, process.returncode) == (b"", 1)
