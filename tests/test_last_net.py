"""What nobody thought of, in any file or page, is one line with its name: every reader has a last net."""

from __future__ import annotations

import re
import shutil
from functools import partial
from pathlib import Path
from types import ModuleType
from typing import NoReturn

import pytest
from conftest import ROOT
from test_slips import GOOD

from beginnerband.data import (
    book,
    claims,
    guide,
    instruments,
    page_links,
    pieces,
    printfonts,
    spreadsheet,
    tunes,
    written,
    yamlfile,
)
from beginnerband.data.band import BandFile
from beginnerband.data.problems import DataError, Problems
from beginnerband.data.yamlfile import load


def fail(name: object = "", *_: object, **__: object) -> NoReturn:
    raise LookupError(f"no such\nthing {name}")


UNFORESEEN = re.compile(
    r"this file could not be read \(LookupError: no such thing (.*) at \w+\.py:\d+\); "
    r"please report this line, not the file"
)
"""What is said of a file when :func:`fail` is met."""


def test_what_nobody_thought_of_is_one_line_that_asks_to_be_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    problems = Problems(tmp_path)
    monkeypatch.setattr(BandFile, "model_validate", fail)
    monkeypatch.setattr(tunes, "read_bytes", fail)
    monkeypatch.setattr(yamlfile, "slip", fail)  # which says what is wrong
    (tmp_path / "band.yml").write_text(GOOD, encoding="utf-8")
    (tmp_path / "broken.yml").write_text("name: [", encoding="utf-8")
    (tmp_path / "tune.abc").write_text("X:1", encoding="utf-8")
    (tmp_path / "learners.csv").write_text("name,age\nAli,teen\n", encoding="utf-8")
    assert load(BandFile, tmp_path / "band.yml", problems) is None
    assert load(BandFile, tmp_path / "broken.yml", problems) is None
    assert tunes.load_tune(tmp_path / "tune.abc", tmp_path, (), problems) is None
    monkeypatch.setattr(spreadsheet, "_check_heading", fail)
    assert spreadsheet.read_csv(tmp_path / "learners.csv", "learners", ["name", "age"], problems) is None
    assert [(each.file, each.line) for each in problems] == [
        ("band.yml", 0), ("broken.yml", 0), ("tune.abc", 0), ("learners.csv", 0)
    ]  # fmt: skip
    assert all(UNFORESEEN.fullmatch(each.message) for each in problems)


READERS: tuple[dict[str, tuple[tuple[ModuleType, str], ...]], ...] = (
    {
        "content/instruments/cornet.yml": ((instruments, "_instrument"),),
        "content/band.yml": ((book, "load_band"), (printfonts, "check_file")),
        "content/matching.yml": ((book, "load_matching"),),
        "content/breathing.yml": ((book, "load_breathing"),),
        "content/tunes/little-star.abc": ((tunes, "_one_voice"),),
        "content/scoring.yml": ((book, "load_scoring"),),
        "content/guide.yml": ((guide, "load_glossary"),),
        "content/troubles.yml": ((claims, "_vague_horns"),),
        "content/rehearsal.yml": ((book, "load_rehearsal"),),
        "content/supplies.yml": ((book, "load_supplies"),),
        "content/search.yml": ((book, "load_search"),),
        "handbook/look-up.md": ((claims, "_misnamed"), (written, "_acting"), (page_links, "_targets")),
    },
    {
        "content/pieces/two-gates.abc": ((pieces, "moments"),),
        "content/course": ((book, "load_course"),),
        "handbook/guide/register.md": ((guide, "_check_parts"),),
    },
    {"handbook/guide/register.md": ((guide, "in_title"),)},
)
"""Readers of files and pages: a file of each, and what is made to fail in who reads it; what needs another, later."""


@pytest.fixture(scope="module")
def few(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with one tune, one piece and two pages, without a course to compose."""
    root = tmp_path_factory.mktemp("few")
    content = root / "content"
    shutil.copytree(ROOT / "content" / "instruments", content / "instruments")
    for name in ("tunes/little-star.abc", "pieces/two-gates.abc"):
        (content / name).parent.mkdir(parents=True)
        shutil.copy(ROOT / "content" / name, content / name)
    for path in (ROOT / "content").glob("*.yml"):
        shutil.copy(path, content)
    (root / "handbook" / "guide").mkdir(parents=True)
    for name in ("look-up.md", "guide/register.md"):
        shutil.copy(ROOT / "handbook" / name, root / "handbook" / name)
    return root


@pytest.mark.parametrize("readers", READERS)
def test_every_reader_has_a_last_net(
    few: Path, monkeypatch: pytest.MonkeyPatch, readers: dict[str, tuple[tuple[ModuleType, str], ...]]
) -> None:
    """What nobody thought of is a line with the file, for each reader of it, beside those of all other files."""
    for module, name in (each for several in readers.values() for each in several):
        monkeypatch.setattr(module, name, partial(fail, name))
    with pytest.raises(DataError) as raised:
        book.load_book(few)
    said = {(each.file, met[1]) for each in raised.value.problems if (met := UNFORESEEN.fullmatch(each.message))}
    assert said >= {(file, name) for file, several in readers.items() for _, name in several}
