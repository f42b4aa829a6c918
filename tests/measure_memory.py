#!/usr/bin/env python3
"""Does a server that runs for long take more and more memory?

``python tests/measure_memory.py [N [small]]``. The handbook (or the small project of the tests) is copied and served;
then a word is changed N (30) times, in a guide page, a lesson, a tune and a piece in turn, and the page that shows it
is asked for until it does. Printed is the memory of the server and of all it began, in megabytes, after each five: what
it holds (``Pss``: shared pages counted once), and what its own process does.
"""

from __future__ import annotations

import contextlib
import os
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from measure_serving import PAPER, WORDS, copy_project, until


def held(pid: int) -> tuple[int, int]:
    """Megabytes of a process and all that it began, and of itself (Linux, ``smaps_rollup``)."""
    every, sizes = [pid], []
    for each in every:
        with contextlib.suppress(OSError):
            lines = Path(f"/proc/{each}/smaps_rollup").read_text().splitlines()
            sizes.append(sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) // 1024)
            for task in Path(f"/proc/{each}/task").iterdir():
                every += map(int, (task / "children").read_text().split())
    return sum(sizes), sizes[0]


def main(count: int = 30, small: bool = False) -> None:
    """Serve, change, and print what is held."""
    with tempfile.TemporaryDirectory() as folder, socket.socket() as probe:
        project = copy_project(Path(folder, "project"), small)
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        probe.close()
        address = f"http://127.0.0.1:{port}/"
        serving = subprocess.Popen(
            [sys.executable, "-m", "mkdocs", "serve", "--quiet", "--dev-addr", f"127.0.0.1:{port}"],
            cwd=project,
            env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
        )
        try:
            until(f"{address}index.html", "</html>")
            until(address + PAPER, "%PDF")
            time.sleep(2)
            print("at first: {} MB, its own process {}".format(*held(serving.pid)), flush=True)
            texts = {name: (project / name).read_text(encoding="utf-8") for _, name, *_ in WORDS}
            for number in range(1, count + 1):
                _, name, before, after, page, words = WORDS[number % 4]
                changed = texts[name].replace(before, after.replace("Gladly", f"Gladly{number}"), 1)
                (project / name).write_text(changed, encoding="utf-8")
                until(address + page, words.replace("Gladly", f"Gladly{number}"))
                until(address + PAPER, "%PDF")
                if number % 5 == 0:
                    time.sleep(1)
                    print(f"after {number}: " + "{} MB, its own process {}".format(*held(serving.pid)), flush=True)
        finally:
            serving.terminate()
            serving.wait()


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]), small="small" in sys.argv)
