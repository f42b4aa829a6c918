"""How many small faults in ``music/`` and ``teaching/`` the tests notice: a mutation run over a sample drawn by seed.

``faults.py`` draws the faults and makes them. First every test that needs no browser and no built site runs once, while
it is noted which functions of the domain it calls and how long it takes; that is kept in ``.cache/mutants/`` until a
test file changes. Then each fault meets the tests that call the function it is in (for a constant or a field: those
that call anything of the module, else of a module that imports it), quick ones first, until one fails or there are
enough (``MOST``, ``BUDGET``). All tests are loaded once; each fault is put into a process forked from there, and only a
fault outside functions is loaded anew. A fault is noticed when a test fails or all take far longer (``LATE``), in
processor time.

    python tests/measure_mutants.py [--count 300] [--seed 1] [--only music/fingering] [--pick 3,17] [--list]
                                    [--minutes 8] [--log FILE] [--quick] [--again]

What became of each fault is written to the log, and holds while the function it is in stays as it is; called again, the
script goes on where it broke off; ``--again`` has it try once more what survived, with more tests. ``--minutes`` stops
it after a part. ``--quick`` looks only at the tests of the domain for what they call, beside what is kept of others:
most faults are noticed by these, and the rest can meet the others ``--again``. Its library is not needed for anything
else: ``pip install --require-hashes -r .requirements/mutants.txt``.
"""

from __future__ import annotations

import argparse
import ctypes
import gc
import hashlib
import json
import os
import re
import resource
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

from faults import (
    FOLDERS,
    PACKAGE,
    ROOT,
    Fault,
    difference,
    drawn,
    forget,
    function_at,
    imports,
    modules,
    mutated,
    same_as,
    source_of,
    swap,
    swaps,
)

PRELOAD = ("music21", "pytest", "hypothesis", "pydantic", "yaml", "numpy", "playwright.sync_api", "xdist.remote")
"""What tests load that takes long and is no part of the project."""
OF_ALL = "tests/test_immutable.py"
"""Looks at every file."""
NOT_RUN = {"browser", "site", "server", "small", "playwright"}
"""Fixtures of tests that are not run."""
OTHERS = re.compile(
    r"^\s*(from|import) (beginnerband\.(pages|render|assemble|products)|playwright|smallproject|paper)", re.M
)
"""What test files import that are about more than the domain."""
SLOW = 4.0
"""Seconds of processor time, of which noting calls takes half, from which on a test is not run."""
BUDGET = 20.0
"""Seconds of processor time of the tests that one fault meets, their shared fixtures not counted."""
MOST = 120
"""Tests that one fault meets."""
LATE = 100.0
"""Seconds of processor time, beside twice those of the tests, after which a fault counts as noticed by time."""
MEMORY = 6 << 30
"""Bytes a process with a fault may take."""


EQUAL = {
    "points += 40 << bool(": "40 for every pair and 40 more for each parallel: all ways differ by what they did",
    "fifths > 1)))": "of F and G, a sign each, F is common, so that they are not compared",
    "counts.get(word, 14)": "no more than 13 notes lie within an octave",
    "if count > len(lines) else": "with as many desks as lines, both give each desk its line",
    "BITS, PLAYERS = 11": "one bit more than the largest count needs",
    "hash=True": "what has the field is never hashed",
}
"""What a line is changed to where nothing else follows from it, and why."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What a test did by itself."""

    seconds: float
    """Processor time, with what its fixtures took that were made for it."""
    functions: frozenset[str]
    """What it called of the domain, as ``music/fingering.py:Fingering.name``."""


def tests_of(fault: Fault, seen: Mapping[str, Seen], more: bool) -> list[str]:
    """The tests that a fault meets, as many as there is time for.

    Quick ones come first, and among these a few of each test function before more of the same with other values; those
    of its own name lead. ``more`` takes four times as long.
    """
    place = function_at(fault.module, fault.line)
    calls = {test for test, what in seen.items() if place in what.functions}
    near, known = [fault.module], {fault.module}
    while near and not calls:
        calls = {test for test, what in seen.items() if any(each.partition(":")[0] in near for each in what.functions)}
        near = [each for each in modules() if each not in known and any(imports(source_of(each), one) for one in near)]
        known.update(near)
    own = Path(fault.module).stem
    alike = Counter[str]()
    order: dict[str, tuple[bool, int, bool, float]] = {}
    for test in sorted(calls, key=lambda test: (seen[test].seconds, test)):
        alike[name := test.partition("[")[0]] += 1
        order[test] = (seen[test].seconds > 0.5, alike[name] // 3, own not in test, seen[test].seconds)
    chosen, spent = [], 0.0
    for test in sorted(order, key=lambda test: (order[test], test)):
        spent += seen[test].seconds
        if spent > (4 if more else 1) * BUDGET or len(chosen) == (10 if more else 1) * MOST:
            break
        chosen.append(test)
    return [*chosen, *(test for test in seen if test.startswith(OF_ALL))]


class Watch:
    """A plugin of pytest: notes what each test calls of the domain, and leaves out those that are slow or fail."""

    def __init__(self, folder: Path, done: Callable[[str, Mapping[str, Seen]], None]) -> None:
        self.done = done
        self.folders = {str(folder / PACKAGE / each): each for each in FOLDERS}
        self.calls: set[str] = set()
        self.of_fixtures: dict[str, set[str]] = {}
        self.names: dict[CodeType, str] = {}
        self.seen: dict[str, Seen] = {}
        self.left_out: set[str] = set()
        self.began = 0.0

    def _called(self, frame: FrameType, event: str, value: object) -> None:
        code = frame.f_code
        name = self.names.get(code)
        if name is None:
            folder, _, file = code.co_filename.rpartition("/")
            inside = self.folders.get(folder)
            name = f"{inside}/{file}:{code.co_qualname.split('.<locals>')[0]}" if inside else ""
            self.names[code] = name
        if name:
            self.calls.add(name)

    def pytest_runtestloop(self, session: Any) -> bool:
        """Run each test by itself."""
        signal.signal(signal.SIGPROF, _too_slow)
        signal.signal(signal.SIGALRM, _too_slow)
        for at, item in enumerate(session.items):
            if not NOT_RUN & set(item.fixturenames) and not item.get_closest_marker("browser"):
                signal.setitimer(signal.ITIMER_REAL, 30 * SLOW)
                following = session.items[at + 1] if at + 1 < len(session.items) else None
                self.began = time.process_time()
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
                signal.setitimer(signal.ITIMER_REAL, 0)
            if at + 1 == len(session.items) or session.items[at + 1].path != item.path:
                inside = [each for each in session.items if each.path == item.path]
                self.done(f"tests/{item.path.name}", self.result(inside))
        return True

    def pytest_runtest_call(self, item: Any) -> None:
        """Begin to note calls."""
        forget()
        self.calls = set()
        signal.setitimer(signal.ITIMER_PROF, SLOW)
        sys.settrace(self._called)

    def pytest_fixture_setup(self, fixturedef: Any, request: Any) -> None:
        """What a fixture calls, is called by each of its tests."""
        if not self.of_fixtures.get(name := f"{fixturedef.baseid}::{fixturedef.argname}"):
            self.calls = self.of_fixtures.setdefault(name, set())
            sys.settrace(self._called)

    def pytest_fixture_post_finalizer(self) -> None:
        """Nothing is noted between."""
        sys.settrace(None)

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Note what it called and how long it took."""
        sys.settrace(None)
        signal.setitimer(signal.ITIMER_PROF, 0)
        if report.outcome != "passed":
            self.left_out.add(report.nodeid)
        elif report.when == "call":
            self.seen[report.nodeid] = Seen(time.process_time() - self.began, frozenset(self.calls))

    def result(self, items: Sequence[Any]) -> dict[str, Seen]:
        """Every test that can be run, with the calls of its fixtures."""
        found = {}
        for item in items:
            if (seen := self.seen.get(item.nodeid)) and item.nodeid not in self.left_out:
                info = item._fixtureinfo.name2fixturedefs
                definitions = [each for several in info.values() for each in several]
                names = [f"{each.baseid}::{each.argname}" for each in definitions]
                more = frozenset(call for name in names for call in self.of_fixtures.get(name, ()))
                found[item.nodeid] = Seen(seen.seconds, seen.functions | more)
        return found


def _too_slow(*_: object) -> None:
    import pytest

    sys.settrace(None)
    pytest.skip("too slow")


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


def main() -> None:
    """Draw, try, and print every fault that nothing noticed."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--count", type=int, default=300)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--only", default="", help="modules whose path has this in it")
    options.add_argument("--pick", default="", help="numbers of the sample to try again, as 3,17 or 60-299")
    options.add_argument("--list", action="store_true", help="only say what would be tried")
    options.add_argument("--minutes", type=float, default=10**6, help="stop after so many; call again to go on")
    options.add_argument("--log", type=Path, help="where to write what became of each fault")
    options.add_argument("--quick", action="store_true", help="only tests of the domain are run to see what they call")
    options.add_argument("--again", action="store_true", help="try once more what survived, with the tests of now")
    given = options.parse_args()
    sample = list(enumerate(drawn(given.count, given.seed, given.only)))
    if given.pick:
        wanted = set()
        for part in given.pick.split(","):
            first, _, last = part.partition("-")
            wanted |= set(range(int(first), int(last or first) + 1))
        sample = [(number, fault) for number, fault in sample if number in wanted]
    if given.list:
        for number, fault in sample:
            print(
                number,
                f"{fault.module}:{fault.line}",
                fault.operator.split("/")[1],
                function_at(fault.module, fault.line),
            )
        return
    end = time.monotonic() + 60 * given.minutes
    log = Log(given.log or ROOT / ".cache" / "mutants" / f"{given.seed}.jsonl")
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder).resolve())
        seen = bench.seen(given.quick)
        bench.load(lambda items: trial(bench, seen, items, sample, log, end, given.again))
        log.print(sample)
        os.chdir(ROOT)


class Log:
    """What became of each fault, a line each."""

    def __init__(self, path: Path) -> None:
        self.path = path
        path.parent.mkdir(parents=True, exist_ok=True)
        self.known: dict[str, tuple[str, str]] = {}
        if path.is_file():
            for line in path.read_text(encoding="utf-8").splitlines():
                key, outcome, by = json.loads(line)
                self.known[key] = outcome, by

    def write(self, fault: Fault, outcome: str, by: str) -> None:
        """Note one."""
        self.known[same_as(fault)] = outcome, by
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps([same_as(fault), outcome, by]) + "\n")

    def print(self, sample: Sequence[tuple[int, Fault]]) -> None:
        """What is known of a sample, with every fault that survived."""
        outcomes = [(number, fault, self.known.get(same_as(fault), ("not tried", ""))[0]) for number, fault in sample]
        equal = 0
        for number, fault, outcome in outcomes:
            if outcome == "passed":
                change = difference(fault)
                now = " ".join(line[1:] for line in change.split("\n") if line.startswith("+"))
                why = next((why for words, why in EQUAL.items() if words in " ".join(now.split())), "")
                equal += bool(why)
                print(f"{number:3} {why or 'SURVIVED'} {fault.module}:{fault.line}\n{change}")
        tried = [outcome for *_, outcome in outcomes if outcome != "not tried"]
        noticed = sum(outcome != "passed" for outcome in tried)
        late = tried.count("late")
        share = f"{noticed / max(1, len(tried)):.0%}"
        print(
            f"{noticed} of {len(tried)} noticed ({share}), {late} of them by time; "
            f"{equal} change nothing; {len(sample) - len(tried)} to try"
        )


def trial(
    bench: Bench,
    seen: Mapping[str, Seen],
    loaded: Sequence[Any],
    sample: Sequence[tuple[int, Fault]],
    log: Log,
    end: float,
    again: bool,
) -> None:
    """Try each fault of which nothing is known yet; ``again``: also those that survived."""
    items = {item.nodeid: item for item in loaded}
    bench.functions = [each for each in gc.get_objects() if isinstance(each, FunctionType)]
    gc.freeze()
    for number, fault in sample:
        known = log.known.get(same_as(fault), ("",))[0]
        if known and not (again and known == "passed"):
            continue
        if time.monotonic() > end:
            return
        tests = tests_of(fault, seen, again)
        limit = LATE + 2 * sum(seen[test].seconds for test in tests)
        began = time.monotonic()
        outcome, by = bench.noticed(fault, items, tests, limit)
        log.write(fault, outcome, by)
        what = "SURVIVED" if outcome == "passed" else outcome
        took = f"{time.monotonic() - began:.0f} s"
        bench.say(f"{number:3} {what} {fault.module}:{fault.line} ({len(tests)} tests, {took}) {by}")


if __name__ == "__main__":
    main()
