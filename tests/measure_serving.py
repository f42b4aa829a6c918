#!/usr/bin/env python3
"""How long it takes until a changed word is seen while the handbook is served, and its paper can be had.

``python tests/measure_serving.py [small] [memory]``. The handbook (or the small project of the tests) is copied and
served; then one word is changed in each kind of file, and the page that shows it is asked for until it does. Printed
are seconds by the clock and seconds of processor time of the server and all it began. Goal: seen within 4 seconds. With
``memory`` a word is changed thirty times, in four kinds of files in turn, and printed is how much memory is held.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]
GOAL = 4.0
"""Seconds."""
LONGEST = 600
"""Seconds after which it is given up."""

Change = tuple[str, str, str, str, str, str]
WORDS: tuple[Change, ...] = (
    ("a guide page", "handbook/guide/index.md", "\n\n", "\n\nGladly. ", "guide/index.html", "Gladly."),
    ("a lesson", "content/course/first-sounds.yml", "aim: ", "aim: Gladly ", "course/lesson-01.html", "Gladly"),
    ("a tune", "content/tunes/hot-cross-buns.abc", "T:", "T:Gladly ", "tunes/hot-cross-buns.html", "Gladly"),
    ("a piece", "content/pieces/two-gates.abc", "T:", "T:Gladly ", "pieces/two-gates.html", "Gladly"),
    ("the band", "content/band.yml", "name: ", "name: Gladly ", "index.html", "Gladly"),
)
"""What is changed, in which file, which words and into what; the page that shows it, and what is then on it."""
PAPER = "print/lesson-01.pdf"
"""What is printed last seen of each change."""


def copy_project(target: Path, small: bool) -> Path:
    """The project to serve, with nothing kept."""
    if small:
        from smallproject import small_project

        target.mkdir()
        return small_project(target)
    for name in ("content", "handbook", "hooks"):
        shutil.copytree(ROOT / name, target / name, ignore=shutil.ignore_patterns("__pycache__", "node_modules"))
    for name in ("mkdocs.yml", "pyproject.toml"):
        shutil.copy(ROOT / name, target / name)
    return target


def fetched(address: str) -> bytes:
    """What is there; nothing while it is not."""
    try:
        with urllib.request.urlopen(address, timeout=LONGEST) as found:
            return bytes(found.read())
    except OSError:
        return b""


def until(address: str, words: str) -> float:
    """Wait until ``words`` are there; returns the seconds it took."""
    start = time.monotonic()
    while words.encode() not in fetched(address):
        if time.monotonic() - start > LONGEST:
            raise SystemExit(f"{address} never showed {words!r}")
        time.sleep(0.05)
    return time.monotonic() - start


def processor(pid: int) -> float:
    """Processor seconds of a process and of those it began, as far as they have ended or can be seen (Linux)."""
    ticks, every = 0, [pid]
    for each in every:
        with contextlib.suppress(OSError):
            about = Path(f"/proc/{each}/stat").read_text().rsplit(")", 1)[1].split()
            ticks += sum(map(int, about[11:15]))
            for task in Path(f"/proc/{each}/task").iterdir():
                every += map(int, (task / "children").read_text().split())
    return ticks / os.sysconf("SC_CLK_TCK")


def held(pid: int) -> tuple[int, int]:
    """Megabytes of a process and all that it began, shared pages counted once, and of itself (Linux)."""
    every, sizes = [pid], []
    for each in every:
        with contextlib.suppress(OSError):
            lines = Path(f"/proc/{each}/smaps_rollup").read_text().splitlines()
            sizes.append(sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) // 1024)
            for task in Path(f"/proc/{each}/task").iterdir():
                every += map(int, (task / "children").read_text().split())
    return sum(sizes), sizes[0]


def remember(project: Path, address: str, pid: int, count: int = 30) -> None:
    """Change a word ``count`` times and print what the server holds."""
    until(f"{address}index.html", "</html>")
    until(address + PAPER, "%PDF")
    print("at first: {} MB, its own process {}".format(*held(pid)), flush=True)
    texts = {name: (project / name).read_text(encoding="utf-8") for _, name, *_ in WORDS}
    for number in range(1, count + 1):
        _, name, before, after, page, words = WORDS[number % 4]
        changed = texts[name].replace(before, after.replace("Gladly", f"Gladly{number}"), 1)
        (project / name).write_text(changed, encoding="utf-8")
        until(address + page, words.replace("Gladly", f"Gladly{number}"))
        until(address + PAPER, "%PDF")
        if number % 5 == 0:
            time.sleep(1)
            print(f"after {number}: " + "{} MB, its own process {}".format(*held(pid)), flush=True)


def main(small: bool = False, memory: bool = False) -> None:
    """Serve, change, and print what it took."""
    with tempfile.TemporaryDirectory() as folder, socket.socket() as probe:
        project = copy_project(Path(folder, "project"), small)
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        probe.close()
        serving = subprocess.Popen(
            [sys.executable, "-m", "mkdocs", "serve", "--quiet", "--dev-addr", f"127.0.0.1:{port}"],
            cwd=project,
            env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
        )
        try:
            (remember if memory else measure)(project, f"http://127.0.0.1:{port}/", serving.pid)
        finally:
            serving.terminate()
            serving.wait()


def measure(project: Path, address: str, pid: int, every: Sequence[Change] = WORDS) -> None:
    """Change a word in each kind of file of the ``project`` that is served at ``address``."""
    print(f"begins to serve after {until(address + 'index.html', '</html>'):.1f} s", flush=True)
    until(address + PAPER, "%PDF")
    for what, name, before, after, page, words in every:
        path = project / name
        text = path.read_text(encoding="utf-8")
        used = processor(pid)
        path.write_text(text.replace(before, after, 1), encoding="utf-8")
        seen = until(address + page, words)
        shown = processor(pid) - used
        paper = seen + until(address + PAPER, "%PDF")
        time.sleep(1)
        print(
            f"a word in {what}: seen after {seen:.1f} s (goal {GOAL:.0f}), {shown:.1f} processor seconds; "
            f"{PAPER} after {paper:.1f} s",
            flush=True,
        )
        for last in sorted(set(re.findall(rb"print/course[-0-9]*\.pdf", fetched(address + "course/index.html")))):
            until(address + last.decode(), "%PDF")


if __name__ == "__main__":
    main("small" in sys.argv, "memory" in sys.argv)
