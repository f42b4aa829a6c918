"""A copy of the project in which tests meet faults, one after another, each in a process of its own."""

from __future__ import annotations

import ctypes
import hashlib
import json
import os
import re
import resource
import shutil
import signal
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import FunctionType
from typing import Any

from fault_tests import Seen, Watch
from faults import PACKAGE, ROOT, Fault, forget, mutated, swap, swaps

PRELOAD = ("music21", "pytest", "hypothesis", "pydantic", "yaml", "numpy", "playwright.sync_api", "xdist.remote")
"""What tests load that takes long and is no part of the project."""
OTHERS = re.compile(
    r"^\s*(from|import) (beginnerband\.(pages|render|assemble|products)|playwright|smallproject|paper)", re.M
)
"""What test files import that are about more than the domain."""
MEMORY = 6 << 30
"""Bytes a process with a fault may take."""


class Stand:
    """A plugin of pytest that does something with the loaded tests in place of running them."""

    def __init__(self, do: Callable[[list[Any]], None]) -> None:
        self.do = do

    def pytest_runtestloop(self, session: Any) -> bool:
        """Do it."""
        self.do(session.items)
        return True


class Bench:
    """A copy of the project, in which tests run in processes forked from this one with the libraries already loaded."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.functions: list[FunctionType] = []
        """Every function that is loaded; what is frozen, the collector does not name any more."""
        self.out = os.fdopen(os.dup(1), "w")
        ignored = shutil.ignore_patterns("__pycache__", "node_modules", "kept", ".cache")
        for name in ("content", "handbook", "hooks", "tests"):
            shutil.copytree(ROOT / name, folder / name, ignore=ignored)
        for name in ("mkdocs.yml", "pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, folder / name)
        if (ROOT / ".cache").is_dir():
            unread = shutil.ignore_patterns("products", "print", "drawings", "mutants", "kept", "pages")
            shutil.copytree(ROOT / ".cache", folder / ".cache", ignore=unread)
        sys.path[:] = [path for path in sys.path if Path(path or ".").resolve() not in (ROOT, ROOT / "tests")]
        os.chdir(folder)
        for name in PRELOAD:
            __import__(name)
        from hypothesis import HealthCheck, settings

        settings.register_profile(
            "faults", derandomize=True, database=None, deadline=None, suppress_health_check=list(HealthCheck)
        )
        settings.load_profile("faults")

    def say(self, line: str) -> None:
        """Print a line, also while pytest's own words go elsewhere."""
        self.out.write(f"{line}\n")
        self.out.flush()

    def seen(self, quick: bool) -> dict[str, Seen]:
        """What each test calls: from the files kept for test files that are as they were, else by running them.

        ``quick``: only those of the domain are run for it, or nearly.
        """
        kept = ROOT / ".cache" / "mutants"
        kept.mkdir(parents=True, exist_ok=True)
        files = {
            f"tests/{path.name}": kept / f"{path.stem}-{hashlib.sha256(path.read_bytes()).hexdigest()[:12]}.json"
            for path in sorted((ROOT / "tests").glob("test_*.py"))
        }
        missing = {name: path for name, path in files.items() if not path.is_file()}
        if missing := {
            name: path
            for name, path in missing.items()
            if not quick or not OTHERS.search((ROOT / name).read_text(encoding="utf-8"))
        }:
            self._forked(lambda: self._watch(missing), 4 * 3600, 3600)
        found: dict[str, Seen] = {}
        for path in filter(Path.is_file, files.values()):
            tests = json.loads(path.read_text(encoding="utf-8"))
            found |= {test: Seen(seconds, frozenset(calls)) for test, (seconds, calls) in tests.items()}
        return found

    def _watch(self, files: Mapping[str, Path]) -> None:
        def done(name: str, seen: Mapping[str, Seen]) -> None:
            result = {test: (what.seconds, sorted(what.functions)) for test, what in seen.items()}
            files[name].write_text(json.dumps(result), encoding="utf-8")
            self.say(f"    {name}: {len(result)} tests")

        _pytest(list(files), Watch(self.folder, done))

    def load(self, do: Callable[[list[Any]], None]) -> None:
        """Load every test, then ``do`` something with them."""
        _pytest(["tests"], Stand(do))

    def _forked(self, do: Callable[[], object], seconds: float, processor: float) -> tuple[str, float]:
        """``do`` in a process of its own; ``passed``, ``failed`` or ``late``, and the processor seconds it took."""
        child = os.fork()
        if not child:
            code = 1
            try:
                os.setsid()
                ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # ends with its parent (prctl(2), PDEATHSIG)
                resource.setrlimit(resource.RLIMIT_CPU, (int(processor) + 1, int(processor) + 5))
                resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
                code = 1 if do() else 0
            finally:
                sys.stdout.flush()
                os._exit(code)
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            done, status, used = os.wait4(child, os.WNOHANG)
            if done:
                code = os.waitstatus_to_exitcode(status)
                outcome = {0: "passed", -signal.SIGXCPU: "late", -signal.SIGKILL: "late"}.get(code, "failed")
                return outcome, used.ru_utime + used.ru_stime
            time.sleep(0.02)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return "late", processor

    def noticed(self, fault: Fault, items: Mapping[str, Any], tests: Sequence[str], limit: float) -> tuple[str, str]:
        """What became of a fault, and by which test."""
        path = self.folder / PACKAGE / fault.module
        source, times = path.read_text(encoding="utf-8"), path.stat()
        changed = mutated(source, fault)
        note = self.folder / "noticed-by.txt"
        note.write_text("", encoding="utf-8")
        try:
            path.write_text(changed, encoding="utf-8")
            swapped = swaps(source, changed, str(path))

            def run() -> bool:
                sys.dont_write_bytecode = True
                chosen = Judge(tests, note)
                if swapped is None:
                    return anew(tests, chosen)
                forget()
                swap(self.functions, swapped)
                return chosen.fails([items[test] for test in tests if test in items])

            outcome, _ = self._forked(run, 20 * limit, limit)
        finally:
            path.write_text(source, encoding="utf-8")
            os.utime(path, ns=(times.st_atime_ns, times.st_mtime_ns))
        return outcome, note.read_text(encoding="utf-8")


class Judge:
    """A plugin of pytest: runs the chosen tests until one fails, whose name it writes down."""

    def __init__(self, tests: Sequence[str], note: Path) -> None:
        self.tests = tests
        self.note = note
        self.failed = False

    def pytest_runtestloop(self, session: Any) -> bool:
        """Run those that were loaded anew."""
        items = {item.nodeid: item for item in session.items}
        self.fails([items[test] for test in self.tests if test in items])
        return True

    def fails(self, items: Sequence[Any]) -> bool:
        """Whether one fails."""
        if not items:
            return False
        reports = items[0].config.pluginmanager
        if not reports.is_registered(self):
            reports.register(self)
        for at, item in enumerate(items):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=items[at + 1] if at + 1 < len(items) else None)
            if self.failed:
                return True
        return False

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Write down what failed."""
        if report.failed:
            self.failed = True
            self.note.write_text(report.nodeid, encoding="utf-8")


def _pytest(tests: Sequence[str], plugin: object) -> int:
    """Run pytest with this plugin; what it prints goes to ``last.txt``."""
    import pytest

    kept, before = (os.dup(1), os.dup(2)), (sys.stdout, sys.stderr)
    with Path("last.txt").open("w") as said:
        os.dup2(said.fileno(), 1)
        os.dup2(said.fileno(), 2)
        sys.stdout = sys.stderr = said
        try:
            return int(pytest.main(["-q", "-p", "no:cacheprovider", "--capture=no", *tests], plugins=[plugin]))
        finally:
            sys.stdout, sys.stderr = before
            os.dup2(kept[0], 1)
            os.dup2(kept[1], 2)


def anew(tests: Sequence[str], judge: Judge) -> bool:
    """Load the project and the files of these tests anew, and run them; whether one fails, or cannot be loaded."""
    names = sorted({test.partition("::")[0] for test in tests})
    stale = [
        name
        for name, module in sys.modules.items()
        if name.startswith(("beginnerband", "test_", "conftest"))
        or (getattr(module, "__file__", None) or "").startswith(str(Path.cwd()))
    ]
    for name in stale:
        del sys.modules[name]
    code = _pytest(names, judge)
    return judge.failed or code not in (0, 5)
