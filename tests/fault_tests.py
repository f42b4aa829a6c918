"""Which tests a fault in the domain meets: those that call the function it is in, quick ones first.

Every test that needs no browser and no built site runs once by itself, while it is noted what it calls (``Watch``).
"""

from __future__ import annotations

import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

from faults import FOLDERS, PACKAGE, ROOT, Fault, forget, function_at, imports, modules, source_of

OF_ALL = "tests/test_immutable.py"
"""Looks at every file."""
NOT_RUN = {"browser", "site", "server", "small", "playwright"}
"""Fixtures of tests that are not run."""
SLOW = 4.0
"""Seconds of processor time, of which noting calls takes half, from which on a test is not run."""
BUDGET = 20.0
"""Seconds of processor time of the tests that one fault meets, their shared fixtures not counted."""
MOST = 400
"""Tests that one fault meets."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What a test did by itself."""

    seconds: float
    """Processor time, with what its fixtures took that were made for it."""
    functions: frozenset[str]
    """What it called of the domain, as ``music/fingering.py:Fingering.name``."""


def tests_of(fault: Fault, seen: Mapping[str, Seen], more: bool) -> list[str]:
    """The tests that a fault meets, as many as there is time for.

    Quick ones come first, and among these those of files that import the module or have its name; then a few of each
    test function before more of the same with other values. ``more`` takes four times as long.
    """
    place = function_at(fault.module, fault.line)
    calls = {test for test, what in seen.items() if place in what.functions}
    near, known = [fault.module], {fault.module}
    while near and not calls:
        calls = {test for test, what in seen.items() if any(each.partition(":")[0] in near for each in what.functions)}
        near = [each for each in modules() if each not in known and any(imports(source_of(each), one) for one in near)]
        known.update(near)
    if place.endswith(":"):  # a test that only reads a constant calls nothing
        calls |= {test for test in seen if _is_about(test.partition("::")[0], fault.module)}
    alike = Counter[str]()
    order: dict[str, tuple[bool, bool, int, float]] = {}
    for test in sorted(calls, key=lambda test: (seen[test].seconds, test)):
        alike[name := test.partition("[")[0]] += 1
        far = not _is_about(test.partition("::")[0], fault.module)
        order[test] = (seen[test].seconds > 0.5, far, alike[name] // 3, seen[test].seconds)
    chosen, spent = [], 0.0
    for test in sorted(order, key=lambda test: (order[test], test)):
        spent += seen[test].seconds
        if spent > (4 if more else 1) * BUDGET or len(chosen) == (10 if more else 1) * MOST:
            break
        chosen.append(test)
    return [*chosen, *(test for test in seen if test.startswith(OF_ALL))]


@cache
def _is_about(file: str, module: str) -> bool:
    """Whether a file of tests imports a module of the domain, or is named after it."""
    own = Path(module).stem.replace("_", "")
    return own in file.replace("_", "") or imports((ROOT / file).read_text(encoding="utf-8"), module)


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
