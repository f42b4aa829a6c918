"""How many small faults in ``music/`` and ``teaching/`` the tests notice: a mutation run over a sample drawn by seed.

``faults.py`` draws the faults and makes them, ``fault_tests.py`` says which tests each meets, ``fault_bench.py`` runs
these. First every test that needs no browser and no built site runs once, while it is noted which functions of the
domain it calls and how long it takes; that is kept in ``.cache/mutants/`` until a test file changes. Then each fault
meets the tests that call the function it is in (for a constant or a field: those that call anything of the module, else
of a module that imports it), quick ones first, until one fails or there are enough (``MOST``, ``BUDGET``). All tests
are loaded once; each fault is put into a process forked from there, and only a fault outside functions is loaded anew.
A fault is noticed when a test fails or all take far longer (``LATE``), in processor time.

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
import gc
import json
import os
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import FunctionType
from typing import Any

from fault_bench import Bench
from fault_tests import Seen, tests_of
from faults import ROOT, Fault, difference, drawn, function_at, same_as

LATE = 100.0
"""Seconds of processor time, beside twice those of the tests, after which a fault counts as noticed by time."""

EQUAL = {
    ("music/harmony.py:_move", "points += 40 << bool("): (
        "40 for every pair and 40 more for each parallel: all ways differ by what they did"
    ),
    ("music/keychoice.py:", "fifths > 1)))"): "of F and G, a sign each, F is common, so that they are not compared",
    ("music/difficulty.py:width", "counts.get(word, 14)"): "no more than 13 notes lie within an octave",
    ("music/scoring.py:desks_of", "if count > len(lines) else"): (
        "with as many desks as lines, both give each desk its line"
    ),
    ("music/fingering.py:", "PRINTED = 111.0"): "no valves are sharp by 110 to 111 cents: the nearest are 104 and 137",
    ("music/fingering.py:_slid", "slide.trigger or -1"): "a slide without a trigger has no way with it down",
    ("music/chord_symbol.py:_suspended", 'to <= "2"'): "it is 2, 4 or 24, and of these only 2 is not after 2",
    ("music/line_breaks.py:_ways", "each in ( 0, 2)"): "a bar to a line is also what is taken where no way fits",
    ("music/harmony.py:_move", "points += 41 * bool("): "what parallels weigh is our choice; one point more is as good",
    ("music/sharing.py:", "BITS, PLAYERS = 11"): "one bit more than the largest count needs",
    ("music/fingering.py:_order", "round(abs(way.cents), 7)"): (
        "of the ways to a note none differ by less than 0.1 cents, but by rounding"
    ),
    ("teaching/packing.py:mended", "(*row, ( -1.0, 0.0))"): "lips rest in what ends the row, however long it is",
    ("music/breathing.py:_cuts", "{0: ( -1.0, -1)}"): "every way of breathing begins with it",
    ("music/chord_symbol.py:", "_NATURAL = { 0: 0, 2: 2"): "no chord adds its own root",
    ("music/voiceleading.py:_runs", "(heard[-1][ 1], None, None)"): "of what ends a stretch only its pitches are seen",
    ("music/line_breaks.py:", "HEAD = 44, 24, 189"): "how wide clef and signature are taken to be is our choice",
    ("teaching/packing.py:enough", "for lesson in []:"): "saves trying numbers of lessons of which none would do",
    ("music/scoring.py:", "cue_bars: int = 5"): "the file of rules always says it",
    ("teaching/lessons.py:LessonMaker._had", "in row else 1"): (
        "compared are only those had equally often, and those never had are all alike"
    ),
    ("teaching/grading.py:", "hash=True"): "equal parts have equal facts, so that their hash is as good",
    ("teaching/courseplan.py:", "hash=True"): "what has the field is never hashed",
    ("teaching/facts.py:", "hash=True"): "what has the field is never hashed",
    ("teaching/readiness.py:", "hash=True"): "what has the field is never hashed",
    ("teaching/ladder.py:Ladder._fits", "player)[ -1]"): "where there is a word, there is the part with one too many",
    ("music/harmony.py:", "ALTO, TENOR, BASS = (-10, 3)"): "how high the alto may lie is our choice",
    ("music/harmony.py:_within", "range(0, 7)"): "no line below a melody comes near C7",
    ("music/timing.py:_longest", "round(stretch.seconds, 8)"): "stretches differ by more, or by rounding",
    ("music/breathing.py:_cuts", "at = [ -1.0]"): "only what lies between two of these times is used",
    ("music/line_breaks.py:", "BAR, HEAD = 44, 25"): "how wide a bar line is taken to be is our choice",
    ("music/line_breaks.py:", "FINGERED = 61"): "how close fingerings may stand is our choice",
    ("music/rehearsal.py:", "log2(6 / 5) % 300"): "a minor third has more than 300 cents and less than 600",
    ("music/harmony.py:", "= [( 1, ())]"): "all ways begin with as many points",
    ("music/beaming.py:beams", "short < 1"): "one short note has no beam, however that is found",
    ("music/beaming.py:beams", "numerator <="): "a bar of crotchets has no beams, however that is found",
}
"""Faults that no test need notice: the function one is in, what its line is changed to, and why nothing follows."""


def reason(fault: Fault) -> str:
    """Why nothing follows from a fault, as :data:`EQUAL` has it; empty where it says nothing."""
    now = " ".join(line[1:] for line in difference(fault).split("\n") if line.startswith("+"))
    here, text = function_at(fault.module, fault.line), " ".join(now.split())
    return next((why for (place, words), why in EQUAL.items() if place == here and words in text), "")


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
                why = reason(fault)
                equal += bool(why)
                print(f"{number:3} {why or 'SURVIVED'} {fault.module}:{fault.line}\n{difference(fault)}")
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
