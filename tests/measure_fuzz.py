"""What becomes of thousands of damaged files: accepted, refused with or without a line, tracebacks, time and memory.

    python tests/measure_fuzz.py [--count 20000] [--seed 1] [--kind ABC] [--deep 25]

Every kind of damage (``fuzzing.py``) gets its share of the count. Damage is tried in processes of their own, so that
one that never ends or takes all memory is counted too. ``--deep`` has one in so many accepted files shown as well.
Seeds are printed: the same seed draws the same damage.
"""

from __future__ import annotations

import argparse
import faulthandler
import multiprocessing
import resource
import signal
import sys
import tempfile
from collections import Counter
from multiprocessing.connection import Connection
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

sys.path[:0] = [str(Path(__file__).parent.parent / "hooks"), str(Path(__file__).parent)]

from fuzzing import KINDS, WHOLE_FILE, Damage, Field, Outcome  # noqa: E402

SLOW, MEMORY, NEVER = 5.0, 500, 60
"""Seconds and megabytes from which an input counts as too costly, and processor seconds at which it is given up."""
SHARE = 200
"""Inputs to one process."""


def tried(field: Field, kind: str, count: int, number: int, deep: int, out: Connection) -> None:
    """Try ``count`` inputs; send each with its outcome and the megabytes it took at most beyond those before."""
    signal.signal(signal.SIGPROF, _give_up)
    done = 0

    @seed(number)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(st.data())
    def one(data: st.DataObject) -> None:
        nonlocal done
        damage = data.draw(field.damages[kind])
        done += 1
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        signal.setitimer(signal.ITIMER_PROF, NEVER)  # processor time, so that a busy machine is no fault
        outcome = field.outcome(damage, deep=bool(deep) and done % deep == 0)
        signal.setitimer(signal.ITIMER_PROF, 0)
        out.send((damage, outcome, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024))

    one()
    out.send(None)


def _give_up(*_: object) -> None:
    raise TimeoutError(f"not done in {NEVER} s")


class Table:
    """Counts by kind, and every case that is not as it should be."""

    def __init__(self) -> None:
        self.counts: Counter[tuple[str, str]] = Counter()
        self.without_line: Counter[str] = Counter()
        self.seconds: Counter[str] = Counter()
        self.examples: dict[str, Damage] = {}

    def note(self, kind: str, damage: Damage, outcome: Outcome, megabytes: int) -> None:
        """Count one."""
        self.counts[kind, "inputs"] += 1
        self.seconds[kind] += outcome.seconds
        bare = [] if damage.trick else [said for said in outcome.without_line if not WHOLE_FILE.search(said)]
        answer = "refused without a line" if bare else outcome.answer
        self.counts[kind, answer] += 1
        if outcome.seconds > SLOW:
            self.counts[kind, "slow"] += 1
            self._show(f"{outcome.seconds:.1f} s", damage, outcome)
        if megabytes > MEMORY:
            self.counts[kind, "large"] += 1
            self._show(f"{megabytes} MB", damage, outcome)
        if outcome.answer == "traceback":
            place = "\n".join(outcome.said[0].strip().split("\n")[-6:])
            if place not in self.examples:
                self.examples[place] = damage
                self._show("traceback", damage, outcome)
        for said in bare:
            self.without_line[f"{kind}: {said.partition(': ')[2][:90]}"] += 1

    def _show(self, what: str, damage: Damage, outcome: Outcome) -> None:
        kept = Path(tempfile.gettempdir()) / "fuzz-cases"
        kept.mkdir(exist_ok=True)
        path = kept / f"{len(list(kept.iterdir()))}-{Path(damage.file).name}"
        path.write_bytes(damage.content)
        print(f"!! {what}: {damage.kind} {damage.file} {damage.trick} (kept as {path})", flush=True)
        print("\n".join(outcome.said)[-1500:], flush=True)

    def print(self) -> None:
        """The table."""
        rows = ("inputs", "accepted", "refused", "refused without a line", "traceback", "slow", "large", "died")
        print(f"{'':24}" + "".join(f"{kind:>13}" for kind in (*KINDS, "all")))
        for row in rows:
            counts = [self.counts[kind, row] for kind in KINDS]
            print(f"{row:24}" + "".join(f"{count:>13,}" for count in (*counts, sum(counts))))
        print(f"{'seconds':24}" + "".join(f"{self.seconds[kind]:>13,.0f}" for kind in KINDS))
        for said, count in self.without_line.most_common(40):
            print(f"{count:6} without a line: {said}")


def main() -> None:
    """Try them all."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--count", type=int, default=20_000)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--kind", choices=KINDS)
    options.add_argument("--deep", type=int, default=25)
    given_options = options.parse_args()
    faulthandler.enable(sys.stderr)
    kinds = (given_options.kind,) if given_options.kind else KINDS
    table = Table()
    context = multiprocessing.get_context("fork")
    with tempfile.TemporaryDirectory() as folder:
        field = Field(Path(folder) / "project")
        for kind in kinds:
            left, number = given_options.count // len(kinds), given_options.seed
            while left > 0:
                count = min(SHARE, left)
                receiving, sending = context.Pipe(duplex=False)
                arguments = (field, kind, count, number, given_options.deep, sending)
                worker = context.Process(target=tried, args=arguments)
                worker.start()
                sending.close()
                before = table.counts[kind, "inputs"]
                try:
                    while receiving.poll(20 * NEVER) and (result := receiving.recv()):
                        table.note(kind, *result)
                except EOFError:
                    table.counts[kind, "died"] += 1
                    print(f"!! a process ended: {kind}, seed {number}", flush=True)
                worker.kill()
                worker.join()
                done = table.counts[kind, "inputs"] - before
                left -= max(done, 1) if done < count else count
                number += 1
            print(
                f"{kind}: {table.counts[kind, 'inputs']:,} inputs, seeds {given_options.seed} to {number - 1}",
                flush=True,
            )
    table.print()


if __name__ == "__main__":
    main()
