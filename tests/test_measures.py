"""Every script that measures is run once on the smallest input, so that none rots; what they print is for people."""

from __future__ import annotations

import importlib
import os
import random
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest
from conftest import ROOT
from smallproject import small_project

from beginnerband.data.book import load_book

SMALLEST: dict[str, tuple[str, ...]] = {
    "benchmark_engraving": ("1",),
    "benchmark_print": ("1",),
    "benchmark_scoring": ("1",),
    "measure_breaths": ("--songs", "3", "--worst", "1"),
    "measure_courses": ("1",),
    "measure_keys": ("3",),
    "measure_matching": ("5",),
    "measure_mutants": ("--count", "2", "--list"),
    "measure_parallels": ("0",),
    "measure_print": ("1",),
    "measure_readiness": ("--songs", "3", "--worst", "1"),
    "measure_reading": ("3", "1"),
    "measure_scoring": ("2",),
}
"""What each is given."""

ELSEWHERE = {
    "benchmark",
    "measure_access",
    "measure_changes",
    "measure_fuzz",
    "measure_rows",
    "measure_search",
    "measure_serving",
    "measure_sideways",
    "measure_weight",
}
"""Tried in a test of their own: the first on a project that is built anyway, in ``test_build.py``."""

SCRIPTS = sorted(path.stem for kind in ("measure_*.py", "benchmark*.py") for path in (ROOT / "tests").glob(kind))


def test_every_script_is_tried() -> None:
    assert set(SCRIPTS) == SMALLEST.keys() | ELSEWHERE


@pytest.mark.parametrize("name", sorted(SMALLEST))
def test_a_script_runs(name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    if name == "measure_mutants":
        pytest.importorskip("cosmic_ray", reason="the tool it needs is installed by hand")
    module = importlib.import_module(name)
    monkeypatch.setattr(sys, "argv", [f"{name}.py", *SMALLEST[name]])
    started(module)()
    assert any(sign.isdigit() for sign in capsys.readouterr().out)


def started(module: ModuleType) -> Callable[[], object]:
    """What runs a script when it is called by name: ``from_command_line``, else ``main`` without arguments."""
    found: Callable[[], object] = getattr(module, "from_command_line", module.main)
    return found


def test_every_kind_of_change_changes_something(tmp_path: Path) -> None:
    """``measure_changes.py`` makes these; what becomes of them takes many builds."""
    from measure_changes import CHANGES, CannotError, sources

    root = small_project(tmp_path)
    draw, done = random.Random(1), 0
    for _, change in CHANGES:
        before = sources(root)
        try:
            change(root, draw)
        except CannotError:
            continue
        assert sources(root) != before
        done += 1
    assert done == len(CHANGES)


def alone(line: str) -> str:
    """What a line of Python prints in a process of its own: Playwright cannot be started twice in one."""
    run = subprocess.run(
        [sys.executable, "-c", line],
        cwd=ROOT / "tests",
        env={**os.environ, "PYTHONPATH": str(ROOT / "hooks")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    return run.stdout


def test_the_script_that_damages_content_runs() -> None:
    args = ["measure_fuzz.py", "--count", "2", "--kind", "ABC"]
    assert "2 inputs" in alone(f"import sys; sys.argv = {args}; import measure_fuzz as m; m.main()")


LOOK = "import sys; from pathlib import Path; sys.argv = ['', %r];"
"""The beginning of a line for a script that is given a site."""


@pytest.mark.browser
def test_the_scripts_that_look_at_a_site_run(site: Path, tmp_path: Path) -> None:
    (tmp_path / "index.html").write_text("<p>One page</p>")
    assert "1" in alone(f"from pathlib import Path; import measure_sideways as m; m.main(Path({str(tmp_path)!r}))")
    looked = f"from pathlib import Path; import measure_access as m; m.main(Path({str(tmp_path)!r}))"
    assert "5 looks at 1 kinds" in alone(looked)
    asked = "m.ask_in_browser(Path(sys.argv[1]), ['how to breathe'])[0].places"
    assert "breath" in alone(f"{LOOK % str(site)} import measure_search as m; print({asked})")
    assert "index.html" in alone(f"{LOOK % str(tmp_path)} import measure_weight as m; m.main()")
    choices = "<select id=bb-lu-player><optgroup><option value=cornet></select>"
    note = "<form id=bb-lu-pick><input name=note value=C4></form><div class=bb-lu-tray></div>"
    row = "<div id=bb-lu-answer><p class=bb-lu-row>A row</p></div>"
    (tmp_path / "look-up.html").write_text(f"<!doctype html>{choices}{row}{note}")
    assert "1 of 1 notes" in alone(
        f"from pathlib import Path; import measure_rows as m; m.main(Path({str(tmp_path)!r}))"
    )


def test_the_content_that_shows_growth_can_be_read(tmp_path: Path) -> None:
    """``benchmark.py`` builds it, with ten times the lessons, tunes and pieces."""
    from benchmark import more_lessons, more_music

    root = small_project(tmp_path)
    before = load_book(root)
    more_music(root, 2)
    more_lessons(root, 4, weeks=28)
    after = load_book(root)
    assert before.course
    assert after.course
    assert len(after.course.course.lessons) > len(before.course.course.lessons)
    assert len(after.tunes) == 2 * len(before.tunes)
    assert len(after.pieces) == 2 * len(before.pieces)
