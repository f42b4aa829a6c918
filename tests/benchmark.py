#!/usr/bin/env python3
"""Speed and size, as ratios within one run: ``.venv/bin/python tests/benchmark.py``.

1. The whole build, cold and warm, against a plain MkDocs build of the same finished pages: the same theme, plugins,
   navigation and static files, with all computed HTML already standing in the Markdown and no hook. Each is timed
   ``REPEATS`` times, in turn, as a process of its own, and the medians compared: by the clock, and by processor time of
   all its processes, which swings less on a busy machine. ("Light" is the same plain build with the computed HTML left
   out, the harsher comparison.)
2. Peak memory of the largest process of a cold build (the rooms that engrave and print have one each).
3. A change of one word in each kind of file, built with what earlier builds kept, against a cold build.
4. Growth: time and memory of a cold build with ten times the tunes and pieces, and with ten times the lessons, against
   one of a small project.
5. Transfer size of the look-up page (gzip, with every style and script it loads) against a bare page of the theme.
6. Whatever the rooms measure themselves: ``benchmark_*.py`` beside this file, each with a ``main()``.
"""

from __future__ import annotations

import gzip
import importlib
import json
import os
import re
import shutil
import statistics
import sys
import tempfile
import time
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]
REPEATS = 5
TIMES_MORE = 10
"""So much more is built to see how time and memory grow."""
REPEATED = ("third-piece", "dots", "three-in-a-bar")
"""Units of which a long course has copies: those that may come again, since nothing comes after a step by its name."""
ENV = {**os.environ, "NO_MKDOCS_2_WARNING": "1", "PYTHONDONTWRITEBYTECODE": ""}
"""As ``hooks/start.py`` builds: modules are compiled once."""

WORDS = {
    "a guide page": ("handbook/guide/index.md", "\n\n", "\n\nOne sentence more.\n\n"),
    "a lesson": ("content/course/first-sounds.yml", "aim: ", "aim: Now "),
    "a tune": ("content/tunes/hot-cross-buns.abc", "T:", "T:Our "),
    "a piece": ("content/pieces/two-gates.abc", "T:", "T:Our "),
    "the band": ("content/band.yml", "name: ", "name: New "),
}
"""Files, what stands in them, and what comes in its place."""


@dataclass(frozen=True)
class Run:
    """What one build took."""

    seconds: float
    """By the clock."""
    processor: float
    """Processor seconds of all its processes."""
    peak: float
    """Memory of its largest process in megabytes."""


def timed_build(project: Path) -> Run:
    """One ``mkdocs build``, begun when the disk is at rest: it is not to wait for what was written before it."""
    os.sync()
    start = time.perf_counter()
    pid = os.spawnve(
        os.P_NOWAIT,
        sys.executable,
        [sys.executable, "-m", "mkdocs", "build", "--quiet", "--config-file", str(project / "mkdocs.yml")],
        ENV,
    )
    _, status, usage = os.wait4(pid, 0)
    if status:
        raise SystemExit(f"the build of {project} failed")
    return Run(time.perf_counter() - start, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def median(runs: list[Run], name: str) -> float:
    """Of one figure of several builds."""
    return statistics.median(getattr(run, name) for run in runs)


def copy_project(target: Path) -> Path:
    """A copy of the project without its cache."""
    for name in ("content", "handbook", "hooks"):
        shutil.copytree(ROOT / name, target / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("mkdocs.yml", "pyproject.toml"):
        shutil.copy(ROOT / name, target / name)
    return target


def forget(project: Path, folder: Path) -> None:
    """Put what earlier builds kept aside in ``folder``: to delete it would keep the disk busy while the next is timed.

    (ext4 looks over what was deleted within the last minutes for each file that is made.)
    """
    kept = project / ".cache"
    if kept.exists():
        kept.rename(folder / f"kept-{time.monotonic_ns()}")


def plain_project(project: Path, target: Path, filled: bool) -> Path:
    """The finished pages of ``project`` as a MkDocs project with no hook."""
    from beginnerband import assemble, site

    stored = assemble.obtain(project, project / ".cache")
    docs = target / "handbook"
    shutil.copytree(project / "handbook", docs)
    for page in stored.pages:
        (docs / page.uri).parent.mkdir(parents=True, exist_ok=True)
        (docs / page.uri).write_text(site.fill(page.text, stored.fragments) if filled else page.text)
    for uri in stored.assets:
        (docs / uri).parent.mkdir(parents=True, exist_ok=True)
        (docs / uri).write_bytes(stored.content(uri))
    for uri, ident in stored.prints.items():
        (docs / uri).parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(project / ".cache" / "print" / "made" / f"{ident}.pdf", docs / uri)
    shutil.copytree(project / "hooks" / "beginnerband" / "render" / "theme", target / "theme")
    config = yaml.safe_load((project / "mkdocs.yml").read_text())
    config["nav"] = site.with_pages(config["nav"], [(page.nav, page.title, page.uri) for page in stored.pages])
    config["theme"]["custom_dir"] = "theme"
    config["strict"] = False
    for key in ("hooks", "watch"):
        config.pop(key, None)
    (target / "mkdocs.yml").write_text(yaml.safe_dump(config, allow_unicode=True))
    return target


def transfer_size(page: Path) -> int:
    """Bytes over the wire: the page and each style and script it names, gzipped one by one."""
    html = page.read_text()
    names = re.findall(r'<link rel="stylesheet" href="([^"]+)"|<script[^>]* src="([^"]+)"', html)
    files = {page, *((page.parent / (style or script)).resolve() for style, script in names)}
    return sum(len(gzip.compress(file.read_bytes(), 9)) for file in files)


def whole(project: Path, folder: Path, repeats: int, cold: bool = True) -> None:
    """Compare cold and warm builds of ``project`` with plain ones; ``cold`` and light ones may be left out."""
    runs: dict[str, list[Run]] = {name: [] for name in ("cold", "warm", "plain", "light")}
    filled = light = None
    for _ in range(repeats):
        if cold:
            forget(project, folder)
            runs["cold"].append(timed_build(project))
        runs["warm"].append(timed_build(project))
        filled = filled or plain_project(project, folder / "plain", filled=True)
        runs["plain"].append(timed_build(filled))
        if cold:
            light = light or plain_project(project, folder / "light", filled=False)
            runs["light"].append(timed_build(light))
    assert filled
    print(f"{sum(1 for _ in (filled / 'site').rglob('*.html'))} HTML files; medians of {repeats}:")
    for what, name in (("seconds", "seconds"), ("processor seconds", "processor")):
        took = {kind: median(some, name) for kind, some in runs.items() if some}
        print(f"{what}: " + ", ".join(f"{kind} {value:.2f}" for kind, value in took.items()))
        for kind, goal in (("cold", 2.0), ("warm", 0.44)):
            if runs[kind]:
                each = [getattr(a, name) / getattr(b, name) for a, b in zip(runs[kind], runs["plain"], strict=True)]
                light_too = f"; {kind} / light: {took[kind] / took['light']:.2f}" if cold else ""
                print(f"  {kind} / plain: {took[kind] / took['plain']:.2f}  (goal {goal}; from {min(each):.2f} to "
                      f"{max(each):.2f}){light_too}")  # fmt: skip
    if cold:
        peak = max(run.peak for run in runs["cold"])
        print(f"peak memory of a cold build, largest process: {peak:.0f} MB  (goal 600)")


def words(project: Path, folder: Path) -> None:
    """Build after one word has changed in each kind of file; the project is put back."""
    forget(project, folder)
    cold = timed_build(project)
    print(f"cold: {cold.processor:.2f} processor seconds")
    for what, (name, before, after) in WORDS.items():
        path = project / name
        text = path.read_text()
        path.write_text(text.replace(before, after, 1))
        run = timed_build(project)
        path.write_text(text)
        timed_build(project)
        print(f"a word in {what}: {run.seconds:.2f} s, {run.processor:.2f} processor seconds, "
              f"{run.processor / cold.processor:.2f} of cold")  # fmt: skip


def growth(folder: Path, times: int = TIMES_MORE) -> None:
    """Compare a small project with one of ``times`` as many tunes and pieces and one of as many more lessons."""
    few = small(folder / "few")
    one, lessons = timed_build(few), lessons_of(few)
    music = small(folder / "music")
    more_music(music, times)
    grown(f"{times} times the tunes and pieces", times, one, timed_build(music))
    course = small(folder / "course")
    more_lessons(course, 4 * times, weeks=len(lessons) * times)
    many = timed_build(course)
    more = len(lessons_of(course)) / len(lessons)
    grown(f"{more:.1f} times the lessons, {len(lessons_of(course))} for {len(lessons)}", more, one, many)


def more_music(project: Path, times: int) -> None:
    """Put ``times`` as many tunes and pieces into a project: copies with titles of their own."""
    for kind in ("tunes", "pieces"):
        for path in sorted((project / "content" / kind).glob("*.abc")):
            for copy in range(2, times + 1):
                text = re.sub(r"(?m)^T:", f"T:{copy} ", path.read_text(encoding="utf-8"), count=1)
                path.with_name(f"{path.stem}-{copy}.abc").write_text(text, encoding="utf-8")


def more_lessons(project: Path, times: int, weeks: int) -> None:
    """Give a course ``times`` the steps of some units, copied, and as many weeks as these fill."""
    folder, band = project / "content" / "course", project / "content" / "band.yml"
    plan = _read_yaml(folder / "plan.yml")
    place = plan["order"].index("towards-the-concert")
    for copy in range(2, times + 1):
        for name in REPEATED:
            unit = _read_yaml(folder / f"{name}.yml")
            unit.pop("music", None)  # is there already
            for step in unit["steps"]:
                step["id"] += f"-{copy}"
            _write_yaml(folder / f"{name}-{copy}.yml", unit)
            plan["order"].insert(place, f"{name}-{copy}")
            place += 1
    plan["packing"]["spare"] = [6, 20, 40]  # lessons with steps, not lessons to catch up, are to be many
    plan["skip"] = []
    _write_yaml(folder / "plan.yml", plan)
    course = _read_yaml(band)
    course["course"]["last"] = course["course"]["start"] + timedelta(weeks=weeks)
    _write_yaml(band, course)


def _read_yaml(path: Path) -> Any:
    return yaml.safe_load(path.read_text(encoding="utf-8"))


def _write_yaml(path: Path, data: Any) -> None:
    path.write_text(yaml.safe_dump(data, allow_unicode=True, width=10**6, sort_keys=False), encoding="utf-8")


def lessons_of(project: Path) -> list[Any]:
    """Every lesson of a project that has been built."""
    found: list[Any] = json.loads((project / "site" / "data" / "lessons.json").read_text(encoding="utf-8"))
    return found


def small(project: Path) -> Path:
    """The small project of the tests in a folder of its own, with nothing kept."""
    from smallproject import small_project

    project.mkdir(parents=True)
    small_project(project)
    shutil.rmtree(project / ".cache", ignore_errors=True)
    return project


def grown(what: str, times: float, one: Run, many: Run) -> None:
    """Print what became of time and memory when the content grew ``times``."""
    print(f"{what}: {many.seconds / one.seconds:.1f} times the time, "
          f"{many.processor / one.processor:.1f} times the processor time  (goal {times:.1f}); "
          f"{many.peak / one.peak:.2f} times the memory of the largest process, {one.peak:.0f} and {many.peak:.0f} MB "
          f"(goal 2)")  # fmt: skip


def main() -> None:
    """Measure and print everything."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        project = copy_project(folder / "project")
        whole(project, folder, REPEATS)
        words(project, folder)
        growth(folder / "growth")
        sizes(project / "site" / "look-up.html", folder)
    for path in sorted(Path(__file__).parent.glob("benchmark_*.py")):
        print(f"\n{path.stem.removeprefix('benchmark_')}:")
        importlib.import_module(path.stem).main()


def sizes(page: Path, folder: Path) -> None:
    """Compare what a page makes a phone load with a bare page of the theme."""
    ours, bare = transfer_size(page), transfer_size(bare_page(folder / "bare"))
    print(f"{page.stem} page / bare page, bytes gzipped: {ours} / {bare} = {ours / bare:.2f}  (goal 1.25)")


def bare_page(target: Path) -> Path:
    """One empty page of the theme as it comes, built in ``target``; returns its path."""
    (target / "docs").mkdir(parents=True)
    (target / "docs" / "index.md").write_text("# Bare\n")
    (target / "mkdocs.yml").write_text(
        "site_name: Bare\nuse_directory_urls: false\ntheme: {name: material, font: false}\n"
    )
    timed_build(target)
    return target / "site" / "index.html"


if __name__ == "__main__":
    main()
