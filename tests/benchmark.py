#!/usr/bin/env python3
"""Speed and size, as ratios within one run: ``.venv/bin/python tests/benchmark.py``.

1. The whole build, cold and warm, against a plain MkDocs build of the same finished pages: the same theme, plugins,
   navigation and static files, with all computed HTML already standing in the Markdown and no hook. Each is timed
   ``REPEATS`` times as a process of its own and the median taken. ("Light" is the same plain build with the computed
   HTML left out, the harsher comparison.)
2. Peak memory of the largest process of a cold build (the rooms that engrave and print have one each).
3. Transfer size of the look-up page (gzip, with every style and script it loads) against a bare page of the theme.
4. Whatever the rooms measure themselves: ``benchmark_*.py`` beside this file, each with a ``main()``.
"""

from __future__ import annotations

import gzip
import importlib
import os
import re
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

import yaml

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]
REPEATS = 3
ENV = {**os.environ, "NO_MKDOCS_2_WARNING": "1", "PYTHONDONTWRITEBYTECODE": ""}
"""As ``hooks/start.py`` builds: modules are compiled once."""


def timed_build(project: Path) -> tuple[float, float]:
    """Wall seconds of one ``mkdocs build``, and peak memory of its largest process in megabytes."""
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
    return time.perf_counter() - start, usage.ru_maxrss / 1024


def copy_project(target: Path) -> Path:
    """A copy of the project without its cache."""
    for name in ("content", "handbook", "hooks"):
        shutil.copytree(ROOT / name, target / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("mkdocs.yml", "pyproject.toml"):
        shutil.copy(ROOT / name, target / name)
    return target


def plain_project(project: Path, target: Path, filled: bool) -> Path:
    """The finished pages of ``project`` as a MkDocs project with no hook."""
    from beginnerband import assemble, site

    stored = assemble.obtain(project, project / ".cache")
    docs = target / "handbook"
    shutil.copytree(project / "handbook", docs)
    for page in stored.pages:
        (docs / page.uri).parent.mkdir(parents=True, exist_ok=True)
        (docs / page.uri).write_text(site.fill(page.text, stored.fragments) if filled else page.text)
    shutil.copytree(stored.folder, docs, dirs_exist_ok=True)
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


def main() -> None:
    """Measure and print everything."""
    with tempfile.TemporaryDirectory() as folder:
        project = copy_project(Path(folder, "project"))
        filled = light = None
        times: dict[str, list[float]] = {"cold": [], "warm": [], "plain": [], "light": []}
        memory = []
        for _ in range(REPEATS):
            shutil.rmtree(project / ".cache", ignore_errors=True)
            seconds, peak = timed_build(project)
            times["cold"].append(seconds)
            memory.append(peak)
            times["warm"].append(timed_build(project)[0])
            filled = filled or plain_project(project, Path(folder, "plain"), filled=True)
            light = light or plain_project(project, Path(folder, "light"), filled=False)
            times["plain"].append(timed_build(filled)[0])
            times["light"].append(timed_build(light)[0])
        median = {name: statistics.median(values) for name, values in times.items()}
        pages = sum(1 for _ in (filled / "site").rglob("*.html")) if filled else 0
        print(f"{pages} HTML files; seconds: " + ", ".join(f"{name} {value:.2f}" for name, value in median.items()))
        print(f"whole build cold / plain: {median['cold'] / median['plain']:.2f}  (goal 2.0)")
        print(f"whole build warm / plain: {median['warm'] / median['plain']:.2f}  (goal 1.3)")
        harsh = median["cold"] / median["light"], median["warm"] / median["light"]
        print(f"          cold, warm / light: {harsh[0]:.2f}, {harsh[1]:.2f}")
        print(f"peak memory of a cold build, largest process: {max(memory):.0f} MB  (goal 600)")
        bare = bare_page(Path(folder, "bare"))
        sizes = transfer_size(project / "site" / "look-up.html"), transfer_size(bare)
        print(
            f"look-up page / bare page, bytes gzipped: {sizes[0]} / {sizes[1]} = {sizes[0] / sizes[1]:.2f}  (goal 1.25)"
        )
    for path in sorted(Path(__file__).parent.glob("benchmark_*.py")):
        print(f"\n{path.stem.removeprefix('benchmark_')}:")
        importlib.import_module(path.stem).main()


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
