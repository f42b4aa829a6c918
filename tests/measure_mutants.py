"""How many small faults in ``music/`` and ``teaching/`` the tests notice: a mutation run over a sample drawn by seed.

Cosmic Ray (https://cosmic-ray.readthedocs.io) finds the places and makes the faults. A place is drawn first and then
one of the faults possible there, so that a place with many is not drawn more often. Each fault is made in a copy of the
project and meets the tests of its file: those of the same name, or where there is none the three shortest that import
it (or the modules that do); without browser and built site, and without tests that take over two seconds.
Annotations are left out, since nothing there can change what the program does. A fault is noticed when a test fails or
takes ten times as long.

    python tests/measure_mutants.py [--count 300] [--seed 1] [--only music/fingering] [--pick 3,17] [--list]

Its library is not needed for anything else: ``pip install --require-hashes -r .requirements/mutants.txt``.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import json
import os
import random
import re
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

ROOT = Path(__file__).parent.parent
PACKAGE = "hooks/beginnerband"
FOLDERS = ("music", "teaching")
PRELOAD = ("music21", "pytest", "hypothesis", "pydantic", "yaml", "numpy", "playwright.sync_api", "xdist.remote")
"""What tests load that takes long and is no part of the project."""
LEFT_OUT = re.compile(r"NoOp|Variable|Exception|_Is(Not)?$|Comparison.*_(Is|IsNot)_")
"""Operators that change nothing (``is`` for ``==`` of small values), need settings, or only change an error's name."""
OF_ALL = "tests/test_immutable.py"
"""Looks at every file."""
NOT_RUN = {"browser", "site", "server"}
"""Fixtures of tests that are not run."""
SLOW = 2.0
"""Seconds of processor time from which on a test is not run."""

Span = tuple[tuple[int, int], tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Fault:
    """One small change of one file."""

    module: str
    """As ``music/fingering.py``."""
    operator: str
    """Cosmic Ray's name of the kind of change."""
    occurrence: int
    """Which of the places for it in the file."""
    line: int
    """Line, from 1."""


def faults(module: str) -> dict[Span, list[Fault]]:
    """Every fault that could be made in a module, by its place."""
    source = (ROOT / PACKAGE / module).read_text(encoding="utf-8")
    inert = list(_inert(ast.parse(source)))
    nodes = list(ast_nodes(get_ast(source)))
    found: dict[Span, list[Fault]] = {}
    for name in operator_names():
        operator = get_operator(name)
        if LEFT_OUT.search(name.split("/")[1]) or operator.arguments():
            continue
        positions = (position for node in nodes for position in operator().mutation_positions(node))
        for occurrence, (start, end) in enumerate(positions):
            if not any(first <= start and end <= last for first, last in inert):
                found.setdefault((start, end), []).append(Fault(module, name, occurrence, start[0]))
    return found


def _inert(tree: ast.Module) -> Iterator[Span]:
    """Where annotations and docstrings stand: ``from __future__ import annotations`` leaves them as they are."""
    for node in ast.walk(tree):
        parts: list[ast.AST | None] = []
        if isinstance(node, ast.FunctionDef):
            parts.append(node.returns)
        elif isinstance(node, ast.arg | ast.AnnAssign):
            parts.append(node.annotation)
        elif isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            parts.append(node)
        for part in parts:
            if isinstance(part, ast.expr | ast.stmt):
                yield (part.lineno, part.col_offset), (part.end_lineno or 0, part.end_col_offset or 0)


def drawn(count: int, seed: int, only: str) -> list[Fault]:
    """A sample of places, each with one fault, in an order that depends on the seed alone."""
    every = []
    for folder in FOLDERS:
        for path in sorted((ROOT / PACKAGE / folder).glob("*.py")):
            module = path.relative_to(ROOT / PACKAGE).as_posix()
            if only in module:
                every += [(module, place, made) for place, made in sorted(faults(module).items())]
    print(f"{sum(len(made) for _, _, made in every)} faults at {len(every)} places; seed {seed}")
    chance = random.Random(seed)
    return [chance.choice(made) for _, _, made in chance.sample(every, min(count, len(every)))]


def tests_of(module: str) -> list[str]:
    """Test files for a module: those of its own name, else the three shortest that import it."""
    texts = {path.name: path.read_text(encoding="utf-8") for path in (ROOT / "tests").glob("test_*.py")}
    near, seen = [module], {module}
    while near:
        found = {
            (not _own(name, near), len(text), f"tests/{name}")
            for name, text in texts.items()
            if _own(name, near) or any(_imports(text, each) for each in near)
        }
        if found:
            chosen = sorted(found)
            own = [path for other, _, path in chosen if not other]
            return [*(own or [path for _, _, path in chosen[:3]]), OF_ALL]
        near = [each for each in _modules() if each not in seen and any(_imports(_source(each), one) for one in near)]
        seen.update(near)
    return []


def _own(test: str, modules: Sequence[str]) -> bool:
    return len(modules) == 1 and Path(modules[0]).stem in test


def _imports(text: str, module: str) -> bool:
    parent, _, last = module.removesuffix(".py").replace("/", ".").rpartition(".")
    whole = f"{parent}.{last}" if parent else last
    return bool(
        re.search(rf"^ *from beginnerband\.{re.escape(whole)} import", text, re.M)
        or re.search(rf"^ *from beginnerband\.{re.escape(parent)} import .*\b{last}\b", text, re.M)
    )


@lru_cache
def _source(module: str) -> str:
    return (ROOT / PACKAGE / module).read_text(encoding="utf-8")


@lru_cache
def _modules() -> tuple[str, ...]:
    return tuple(sorted(path.relative_to(ROOT / PACKAGE).as_posix() for path in (ROOT / PACKAGE).rglob("*.py")))


class Chosen:
    """A plugin of pytest: leaves out tests that are not run, and notes what became of the others."""

    def __init__(self, without: Sequence[str]) -> None:
        self.without = set(without)
        self.began = 0.0
        self.left_out: list[str] = []
        """Tests that are slow, or fail by themselves."""

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        """Leave out what needs a browser or a site."""
        items[:] = [
            item
            for item in items
            if item.nodeid not in self.without and not NOT_RUN & set(getattr(item, "fixturenames", ()))
        ]

    def pytest_runtest_call(self) -> None:
        """Note when a test begins, in processor time."""
        self.began = time.process_time()

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Note what is slow or fails."""
        if report.failed or (report.when == "call" and time.process_time() - self.began > SLOW):
            self.left_out.append(report.nodeid)


class Bench:
    """A copy of the project, in which tests run in processes forked from this one with the libraries already loaded."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        ignored = shutil.ignore_patterns("__pycache__", "node_modules", "kept", ".cache")
        for name in ("content", "handbook", "hooks", "tests"):
            shutil.copytree(ROOT / name, folder / name, ignore=ignored)
        for name in ("mkdocs.yml", "pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, folder / name)
        if (ROOT / ".cache").is_dir():
            unread = shutil.ignore_patterns("products", "print", "drawings")
            shutil.copytree(ROOT / ".cache", folder / ".cache", ignore=unread)
        for name in PRELOAD:
            __import__(name)

    def by_themselves(self, tests: Sequence[str]) -> tuple[list[str], float]:
        """Tests that are to be left out, and the seconds that the others take; keeps byte code."""
        self.passes(tests, (), 3000, first=True)
        without = json.loads((self.folder / "left-out.json").read_text(encoding="utf-8"))
        outcome, seconds = self.passes(tests, without, 3000)
        if outcome != "passed":
            print((self.folder / "last.txt").read_text(encoding="utf-8")[-2000:])
            raise SystemExit(f"{', '.join(tests)} do not pass by themselves")
        return without, seconds

    def passes(
        self, tests: Sequence[str], without: Sequence[str], limit: float, first: bool = False
    ) -> tuple[str, float]:
        """``passed``, ``failed`` or ``late``, and the seconds it took."""
        began = time.monotonic()
        child = os.fork()
        if not child:
            self._child(tests, without, first)
        while time.monotonic() - began < limit:
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                code = os.waitstatus_to_exitcode(status)
                return ("passed" if code == 0 else "failed"), time.monotonic() - began
            time.sleep(0.05)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return "late", time.monotonic() - began

    def _child(self, tests: Sequence[str], without: Sequence[str], first: bool) -> None:
        import pytest

        os.setsid()
        os.chdir(self.folder)
        sys.dont_write_bytecode = not first
        sys.path[:] = [path for path in sys.path if Path(path or ".").resolve() not in (ROOT, ROOT / "tests")]
        with Path(os.devnull).open("w") as nowhere, (self.folder / "last.txt").open("w") as said:
            os.dup2(said.fileno(), 1)
            os.dup2(nowhere.fileno(), 2)
            options = ["-q", "-p", "no:cacheprovider", "-p", "no:randomly", "--no-header", *([] if first else ["-x"])]
            chosen = Chosen(without)
            code = int(pytest.main([*options, *tests], plugins=[chosen]))
            if first:
                (self.folder / "left-out.json").write_text(json.dumps(chosen.left_out), encoding="utf-8")
            sys.stdout.flush()
        os._exit(code)

    def noticed(self, fault: Fault, tests: Sequence[str], without: Sequence[str], limit: float) -> tuple[str, str]:
        """What became of a fault, and its difference."""
        path = self.folder / PACKAGE / fault.module
        source, times = path.read_text(encoding="utf-8"), path.stat()
        changed = mutate_code(source, get_operator(fault.operator)(), fault.occurrence)
        assert changed is not None
        difference = "\n".join(
            line for line in difflib.unified_diff(source.split("\n"), changed.split("\n"), n=0, lineterm="")
        ).split("\n", 3)[3]
        try:
            path.write_text(changed, encoding="utf-8")
            outcome, _ = self.passes(tests, without, limit)
        finally:
            path.write_text(source, encoding="utf-8")
            os.utime(path, ns=(times.st_atime_ns, times.st_mtime_ns))
        return outcome, difference


def main() -> None:
    """Draw, try, and print every fault that nothing noticed."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--count", type=int, default=300)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--only", default="", help="modules whose path has this in it")
    options.add_argument("--pick", default="", help="numbers of the sample to try again, as 3,17 or 60-299")
    options.add_argument("--list", action="store_true", help="only say what would be tried")
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
            print(number, f"{fault.module}:{fault.line}", fault.operator.split("/")[1], *tests_of(fault.module))
        return
    with tempfile.TemporaryDirectory() as folder:
        report(Bench(Path(folder)), sample)


def report(bench: Bench, sample: Sequence[tuple[int, Fault]]) -> None:
    """Try each fault and print what becomes of it."""
    known: dict[tuple[str, ...], tuple[list[str], float]] = {}
    counts = {"failed": 0, "late": 0, "passed": 0}
    for number, fault in sample:
        tests = tuple(tests_of(fault.module))
        if tests not in known:
            known[tests] = bench.by_themselves(tests)
            without, seconds = known[tests]
            print(f"    {', '.join(tests)}: {seconds:.0f} s; without {', '.join(without) or 'none'}", flush=True)
        without, seconds = known[tests]
        outcome, difference = bench.noticed(fault, tests, without, 20 + 10 * seconds)
        counts[outcome] += 1
        print(f"{number:3} {'SURVIVED' if outcome == 'passed' else outcome} {fault.module}:{fault.line}", flush=True)
        if outcome == "passed":
            print(difference, flush=True)
    noticed = counts["failed"] + counts["late"]
    print(f"{noticed} of {len(sample)} noticed ({noticed / max(1, len(sample)):.0%}), {counts['late']} of them by time")


if __name__ == "__main__":
    main()
