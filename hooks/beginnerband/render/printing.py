"""Prints jobs while the build goes on, in processes that hold the print engine and nothing else.

What was printed is kept in ``.cache/print`` under the id of its job, so the same values are set once. While serving,
pages are shown first, and a printed file that is asked for before it is done is waited for: a stale one is
never shown.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
import zlib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from beginnerband.digest import CODE
from beginnerband.products import BoundJob, PrintJob

UNUSED_DAYS = 30
"""A printed file that no build has asked for in so many days is dropped."""

DAY = 86_400
"""In seconds."""

MUCH = 350_000
"""Characters of values after which a printing process is ended and another begun: the engine forgets little.

For each character it takes 600 to 1,100 bytes beside the 50 MB it begins with. A new one takes 0.3 s.
"""

CORES = os.cpu_count() or 1
MOST = min(2, CORES)
"""Most processes that print at once; each keeps a core busy, and its own memory."""
BESIDE = MOST if CORES > 3 else 1
"""How many print while the build is at work itself: more than one where there are cores for both."""

Job = PrintJob | BoundJob
"""What is to be set or bound."""


class PrintError(Exception):
    """A file that could not be printed, and why."""


class Printer:
    """Prints for one build after the other."""

    def __init__(self, cache: Path, beside: int = BESIDE, most: int = MOST) -> None:
        """``beside`` processes print while others are at work, and ``most`` while somebody waits for several files."""
        self._made, self._cache, self._beside, self._most = cache / "print" / "made", cache, beside, most
        self._work: Path | None = None
        self._change = threading.Condition()
        self._todo: dict[str, Job] = {}
        self._begun: set[str] = set()  # what of it is at work
        self._pictures: dict[str, bytes] = {}  # of what is to be done
        self._asked: set[str] = set()
        self._trouble: dict[str, str] = {}
        self._threads: dict[threading.Thread, _Process] = {}
        self._stopped = self._held = False

    def path(self, ident: str) -> Path:
        """Where the file of a job is when it has been printed."""
        return self._made / f"{ident}.pdf"

    def begin(self, jobs: Iterable[Job], pictures: Mapping[str, bytes]) -> None:
        """Begin to print what is not printed yet; other jobs may be at work."""
        wanted = {job.id: job for job in self._missing(jobs)}
        with self._change:
            for ident in wanted.keys() & self._todo.keys():
                del wanted[ident]
            if not wanted:
                return
            self._stopped = False
            if self._work is None:
                self._made.mkdir(parents=True, exist_ok=True)
                self._work = Path(tempfile.mkdtemp(prefix="work-", dir=self._made.parent))
            to_set = (job for job in map(set_of, wanted.values()) if job)
            self._pictures.update((key, pictures[key]) for job in to_set for key in job.pictures)
            self._todo.update(wanted)
            self._trouble = {ident: said for ident, said in self._trouble.items() if ident not in wanted}
            self._start(self._beside)
            self._change.notify_all()

    def _missing(self, jobs: Iterable[Job]) -> Iterator[Job]:
        """What is not printed yet, and the parts that it is bound of and that are not there either."""
        for job in jobs:
            there = self.path(job.id).is_file()
            for path in (path for path in map(self.path, (job.id, *parts_of(job))) if path.is_file()):
                os.utime(path)
            if not there:
                yield job
                yield from self._missing(part for part, _ in job.parts) if isinstance(job, BoundJob) else ()

    def hold(self) -> None:
        """Only take in what is to be printed, until :meth:`release`: something else is waited for."""
        with self._change:
            self._held = True

    def release(self) -> None:
        """Print what was taken in, and go on doing so."""
        with self._change:
            self._held = False
            self._start(self._beside)

    def _start(self, threads: int) -> None:
        """Have so many threads print, if there is something to be printed."""
        while len(self._threads) < threads and self._todo and not self._held:
            process = _Process()
            thread = threading.Thread(target=self._run, args=(process,), daemon=True)
            self._threads[thread] = process
            thread.start()

    def hurry(self, idents: Iterable[str]) -> None:
        """Have these jobs done before others, by as many processes as there may be: the build needs little itself."""
        wanted = set(idents)
        with self._change:
            missing = wanted & self._todo.keys()
            self._asked |= wanted.union(*(parts_of(self._todo[ident]) for ident in missing))
            self._start(self._most if len(missing) > 1 else self._beside)

    def wait(self, idents: Iterable[str]) -> None:
        """Hurry with these jobs, and wait for them; raises :class:`PrintError` where one failed."""
        wanted = set(idents)
        self.hurry(wanted)
        with self._change:
            self._change.wait_for(lambda: self._stopped or not wanted & self._todo.keys())
            failed = [self._trouble[ident] for ident in sorted(wanted & self._trouble.keys())]
        if failed:
            raise PrintError(failed[0])

    def stop(self) -> None:
        """Leave undone what is not done yet."""
        with self._change:
            self._stopped = True
            self._todo, self._pictures, self._trouble, self._asked = {}, {}, {}, set()
            threads = dict(self._threads)
            self._change.notify_all()
        for process in threads.values():
            process.end()
        for thread in threads:
            thread.join()
        with self._change:
            self._clear()  # what was held has no thread

    def tidy(self) -> None:
        """Drop printed files that nobody has asked for in a long time, and what a build left that was stopped."""
        now = time.time()
        for path in self._made.glob("*.pdf"):
            if path.stat().st_mtime < now - UNUSED_DAYS * DAY:
                path.unlink(missing_ok=True)
        for folder in self._made.parent.glob("work*"):
            if folder != self._work and folder.stat().st_mtime < now - DAY:
                shutil.rmtree(folder, ignore_errors=True)

    def _run(self, process: _Process) -> None:
        """Do one job after the other until none is left: what is waited for first, then what has least to set."""
        while (job := self._next()) is not None:
            try:
                trouble = self._print(job, process)
            except Exception as error:  # whatever it is, somebody waits for this job
                process.end()
                trouble = f"{type(error).__name__}: {error}"
            with self._change:
                if trouble and not self._stopped:
                    self._trouble[job.id] = trouble
                self._todo.pop(job.id, None)
                self._begun.discard(job.id)
                self._change.notify_all()

    def _next(self) -> Job | None:
        """What is to be done next, when its parts are there; ``None`` where nothing is left."""
        with self._change:
            while self._todo and not self._stopped:
                free = (job for ident, job in self._todo.items() if ident not in self._begun)
                ready = [job for job in free if self._todo.keys().isdisjoint(parts_of(job))]
                if ready:
                    job = min(ready, key=self._turn)
                    self._begun.add(job.id)
                    return job
                self._change.wait()
            self._leave()
            return None

    def _turn(self, job: Job) -> tuple[bool, int]:
        """What is waited for comes first, then what takes least; what is bound has waited for its parts."""
        return job.id not in self._asked, len(job.data) if isinstance(job, PrintJob) else 0

    def _leave(self) -> None:
        """Let go of a thread's process and, after the last, of the folder, in one step: who comes next has new ones."""
        self._threads.pop(threading.current_thread()).end()
        if not self._threads:
            self._clear()

    def _clear(self) -> None:
        self._pictures = {}
        if self._work is not None:
            shutil.rmtree(self._work, ignore_errors=True)
        self._work = None

    def _print(self, job: Job, process: _Process) -> str:
        """Have one job done; returns what went wrong, or nothing."""
        order: dict[str, Any]
        if isinstance(job, BoundJob):
            for part in parts_of(job):
                if part in self._trouble:
                    return self._trouble[part]
            order = {"parts": [(str(self.path(part.id)), copies) for part, copies in job.parts], "name": job.id}
            order["contents"] = self._order(job.contents, process) if job.contents else None
        else:
            order = self._order(job, process)
        return process.done(order | {"target": str(self.path(job.id))})

    def _order(self, job: PrintJob, process: _Process) -> dict[str, Any]:
        """What is to be set by a process, laid out."""
        with self._change:  # or another might find half of a template
            assert self._work
            lay_out(self._work, job, self._pictures)
            work = self._work
        process.make_room((work / data_file(job)).stat().st_size)
        return {
            "work": str(work),
            "fonts": font_folders(job, self._cache),
            "template": job.template,
            "inputs": inputs_of(job),
        }


class _Process:
    """A process that prints, begun when there is something to do, and anew when it has set much."""

    def __init__(self) -> None:
        self._change = threading.Lock()
        self._process: subprocess.Popen[str] | None = None
        self._set = 0  # characters of values

    def make_room(self, size: int) -> None:
        """Let it set values of so many characters."""
        if self._set + size > MUCH:
            self.end()
        self._set += size

    def done(self, order: Mapping[str, Any]) -> str:
        """Have it do what it is ordered to; returns what went wrong, or nothing."""
        process = self._begin()
        assert process.stdin
        assert process.stdout
        try:
            process.stdin.write(json.dumps(order) + "\n")
            process.stdin.flush()
            answer = process.stdout.readline()
        except (OSError, ValueError):  # it was ended meanwhile
            answer = ""
        if not answer:
            self.end()
            return "the process that prints ended early; is there enough memory?"
        return str(json.loads(answer))

    def _begin(self) -> subprocess.Popen[str]:
        with self._change:
            if self._process is None:
                path = os.pathsep.join(filter(None, (str(CODE.parent), os.environ.get("PYTHONPATH", ""))))
                self._process = subprocess.Popen(
                    [sys.executable, "-m", "beginnerband.render.print_worker"],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    text=True,
                    encoding="utf-8",
                    env={**os.environ, "PYTHONPATH": path, "RAYON_NUM_THREADS": "1"},  # more take more time in all
                )
            return self._process

    def end(self) -> None:
        """End it at once: what it wrote is whole, and a room that was forked meanwhile may hold its input open."""
        with self._change:
            process, self._process, self._set = self._process, None, 0
        if process is not None:
            assert process.stdin
            assert process.stdout
            process.kill()
            with contextlib.suppress(OSError):  # what was not sent yet cannot be any more
                process.stdin.close()
            process.stdout.close()
            process.wait()


def parts_of(job: Job) -> tuple[str, ...]:
    """Ids of the jobs that a file is bound of."""
    return tuple(part.id for part, _ in job.parts) if isinstance(job, BoundJob) else ()


def set_of(job: Job) -> PrintJob | None:
    """What is set for a file itself."""
    return job.contents if isinstance(job, BoundJob) else job


def lay_out(work: Path, job: PrintJob, pictures: Mapping[str, bytes]) -> None:
    """Write into the folder ``work`` what a job needs, beside what is there for others."""
    from beginnerband.render.print_pack import templates  # here, since most builds print nothing and can do without

    for path in templates():
        if not (work / path.name).is_file():
            shutil.copyfile(path, work / path.name)
    (work / data_file(job)).write_bytes(zlib.decompress(job.data))
    drawn = {key: zlib.decompress(pictures[key]).decode() for key in job.pictures}
    (work / pictures_file(job)).write_text(json.dumps(drawn), encoding="utf-8")


def data_file(job: PrintJob) -> str:
    """Name of the file with a job's values."""
    return f"{job.id}.json"


def pictures_file(job: PrintJob) -> str:
    """Name of the file with a job's pictures, by key."""
    return f"{job.id}-pictures.json"


def inputs_of(job: PrintJob) -> dict[str, str]:
    """What a template asks for as ``sys.inputs``; where pages are counted, their lengths come to it."""
    return {"data": data_file(job), "pictures": pictures_file(job), "mark": job.mark}


def font_folders(job: PrintJob, cache: Path) -> list[str]:
    """Folders with all fonts that a job is printed in, beside the engine's own."""
    from beginnerband.render import fonts

    return [str(path) for path in (*fonts.for_print(cache), *job.fonts)]
