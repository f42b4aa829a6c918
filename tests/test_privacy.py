"""What is about a learner is in the leader's own copy alone: the shared one is searched to the last byte.

Marks stand in every text that a roster and a cupboard may hold. The same search that must find none of them in the
shared handbook must find every one of them in the leader's.
"""

from __future__ import annotations

import functools
import io
import os
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pypdfium2
import pytest
from conftest import ROOT, build
from icalendar import Calendar
from paper import words_on
from smallproject import MINUTES

from beginnerband import audience
from beginnerband.data.book import load_book
from beginnerband.data.problems import DataError

NAMES = ("Zqanna", "Zqbert", "Zqcleo", "Zqdora", "Zqemil", "Zqfips")
THINGS = ("ZQSERIAL", "zqsize", "Zqlender", "Zqbenefactor")
MARKS = (*NAMES, *THINGS)

LEARNERS = """learners:
  - {name: Zqanna, age: adult, wishes: [cornet], days: [mon]}
  - {name: Zqbert, age: adult, wishes: [tenor-horn], now: cornet}
  - {name: Zqcleo, age: adult, wishes: [trombone], reach_cm: 44}
  - {name: Zqdora, age: adult, wishes: [eb-bass]}
  - {name: Zqemil, age: child, wishes: [drums], mouth: ask first}
  - {name: Zqfips, age: child, wishes: [f-horn], trial: {small: clear}}
"""
CUPBOARD = """instruments:
  - {instrument: cornet, serial: ZQSERIAL, size: zqsize, lender: Zqlender}
  - {instrument: cornet}
  - {instrument: tenor-horn}
  - {instrument: trombone}
  - {instrument: eb-bass}
  - {instrument: drums}
  - {instrument: f-horn, state: could-be-lent, lender: Zqbenefactor}
"""


def switch(root: Path, old: str, new: str) -> None:
    band = root / "content" / "band.yml"
    text = band.read_text(encoding="utf-8")
    assert f"audience: {old}" in text
    band.write_text(text.replace(f"audience: {old}", f"audience: {new}"), encoding="utf-8")


@pytest.fixture(scope="module")
def copies(tmp_path_factory: pytest.TempPathFactory, small: Path) -> tuple[Path, Path, Path]:
    """The project, its shared and its leader's own copy."""
    root = shutil.copytree(small, tmp_path_factory.mktemp("privacy") / "project")
    own = root / "content" / audience.OWN_CONTENT
    own.mkdir()
    (own / "learners.yml").write_text(LEARNERS, encoding="utf-8")
    (own / "cupboard.yml").write_text(CUPBOARD, encoding="utf-8")
    (own / "room.yml").write_text("seats: {Zqfips: {row: 1, seat: 1}}\n", encoding="utf-8")
    run = build(root)
    assert run.returncode == 0, run.stderr
    switch(root, "everyone", "leader")
    run = build(root, "--site-dir", str(root / audience.OWN_FOLDER))
    assert run.returncode == 0, run.stderr
    return root, root / "site", root / audience.OWN_FOLDER


@functools.cache
def printed(content: bytes) -> tuple[str, ...]:
    """What is printed on each page of a PDF, whose fonts hide it from a search of the bytes; then what it is about."""
    with pypdfium2.PdfDocument(content) as document:
        return (*words_on(content), str(document.get_metadata_dict()))


def texts(name: str, content: bytes) -> Iterator[tuple[str, str]]:
    """Everything that can be read in a file: its name, its bytes, and what is packed or printed in it."""
    yield name, name
    yield name, content.decode("utf-8", errors="replace")
    if b"\0" in content:
        yield f"{name} as UTF-16", content.decode("utf-16-le", errors="replace")
    if name.endswith((".zip", ".mxl")):
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            for inner in packed.namelist():
                yield from texts(f"{name}/{inner}", packed.read(inner))
    if name.endswith(".pdf"):
        yield f"{name}, text", "\n".join(printed(content))


def marks_in(site: Path) -> dict[str, set[str]]:
    """Where each mark is found."""
    found: dict[str, set[str]] = {mark: set() for mark in MARKS}
    for path in sorted(site.rglob("*")):
        if path.is_file():
            for where, text in texts(path.relative_to(site).as_posix(), path.read_bytes()):
                low = text.lower()
                if "zq" in low:
                    for mark in MARKS:
                        if mark.lower() in low:
                            found[mark].add(where)
    return found


def test_the_shared_handbook_holds_nothing_about_learners(copies: tuple[Path, Path, Path]) -> None:
    _, shared, _ = copies
    assert {mark: where for mark, where in marks_in(shared).items() if where} == {}
    assert not (shared / audience.FLAG).exists()
    assert not (shared / "band" / "plan.html").exists()


def test_the_same_search_finds_everything_in_the_leaders(copies: tuple[Path, Path, Path]) -> None:
    _, _, own = copies
    found = marks_in(own)
    assert [mark for mark, where in found.items() if not where] == []
    for name in NAMES[:5]:
        where = found[name]
        assert "band/plan.html" in where
        assert "band/timetable.ics" in where
        assert "print/band-register.pdf, text" in where
        assert any(place.startswith("search/") for place in where), where
    assert "print/band-slips.pdf, text" in found["ZQSERIAL"]
    assert "print/band-seats.pdf, text" in found["Zqdora"]
    assert "take-away/handbook.zip/beginner-band-handbook/band/plan.html" in found["Zqanna"]


def test_every_page_and_sheet_of_the_leaders_copy_says_so(copies: tuple[Path, Path, Path]) -> None:
    _, _, own = copies
    assert audience.MARK.replace("'", "’") in (own / audience.FLAG).read_text().replace("'", "’")
    words = re.compile(audience.MARK.replace("'", "(&#39;|')"))
    for path in own.rglob("*.html"):
        assert len(words.findall(path.read_text(encoding="utf-8"))) == 1, path
    for path in own.rglob("*.pdf"):
        *pages, _ = printed(path.read_bytes())
        for page in pages:
            assert "not for sharing" in " ".join(page.split()), path


def test_the_leaders_copy_is_never_written_where_it_would_be_published(copies: tuple[Path, Path, Path]) -> None:
    root, shared, _ = copies
    before = {path: path.stat().st_mtime_ns for path in shared.rglob("*")}
    run = build(root)
    assert run.returncode != 0
    assert "never goes into the folder that is published" in run.stderr + run.stdout
    assert {path: path.stat().st_mtime_ns for path in shared.rglob("*")} == before


@pytest.mark.parametrize("asked", ["everyone", "leader"])
def test_what_builds_for_publishing_refuses_it(copies: tuple[Path, Path, Path], asked: str) -> None:
    """The workflow's command: refused for the leader's own copy, and for a shared one with a roster beside it."""
    root, _, _ = copies
    if asked == "everyone":
        switch(root, "leader", "everyone")
    try:
        run = subprocess.run(
            [sys.executable, "hooks/start.py", "build", "--publish"],
            cwd=root,
            env=dict(os.environ),
            capture_output=True,
            text=True,
            check=False,
        )
    finally:
        if asked == "everyone":
            switch(root, "everyone", "leader")
    assert run.returncode == 1
    assert audience.REFUSAL in run.stderr
    workflow = (ROOT / ".github" / "workflows" / "handbook.yml").read_text(encoding="utf-8")
    assert "hooks/start.py build --publish" in workflow
    assert f"test ! -e site/{audience.FLAG}" in workflow


def test_a_setting_that_only_one_of_two_readers_sees_is_refused(
    copies: tuple[Path, Path, Path], tmp_path: Path
) -> None:
    """``start.py`` looks for the line, the loader reads the YAML: both must see the same, or nothing is built."""
    root, _, _ = copies
    (tmp_path / "content").mkdir()
    (tmp_path / "content" / "instruments").symlink_to(root / "content" / "instruments")
    text = (root / "content" / "band.yml").read_text(encoding="utf-8")
    odd = re.sub("^audience: leader", "? audience\n: leader", text, flags=re.MULTILINE)
    (tmp_path / "content" / "band.yml").write_text(odd, encoding="utf-8")
    with pytest.raises(DataError, match="audience: leader' or 'audience: everyone' on its own line"):
        load_book(tmp_path)


def test_git_leaves_the_roster_alone() -> None:
    if not (ROOT / ".git").exists():
        pytest.skip("not a checkout")
    for name in ("content/roster/learners.yml", "leader-site/index.html"):
        asked = subprocess.run(["git", "check-ignore", "-q", name], cwd=ROOT, check=False)
        assert asked.returncode == 0, name


def test_the_calendar_is_read_back(copies: tuple[Path, Path, Path]) -> None:
    """By a library, with the zone's rules in the file (RFC 5545, 3.6.5): 18:00 in London, in winter and in summer."""
    _, _, own = copies
    read = Calendar.from_ical((own / "band" / "timetable.ics").read_bytes())
    events = read.walk("VEVENT")
    assert len(events) > 5
    assert len(read.walk("VTIMEZONE")) == 1
    seen = set()
    for event in events:
        start, end = event["DTSTART"].dt, event["DTEND"].dt
        assert (start.hour, start.minute) == (18, 0)
        assert event["DTSTART"].params["TZID"] == "Europe/London"
        assert end - start == timedelta(minutes=MINUTES)
        seen.add(start.replace(tzinfo=ZoneInfo("Europe/London")).utcoffset())
    assert seen == {timedelta(0), timedelta(hours=1)}
    assert len({event["UID"] for event in events}) == len(events)
    assert "Zqanna" in str(events[0]["DESCRIPTION"])
    assert "Otterby" in str(events[0]["LOCATION"])
