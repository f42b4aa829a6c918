"""How long planning takes: the plan, its alternatives, every refused wish and every instrument that could be lent.

Run: ``PYTHONPATH=hooks:tests .venv/bin/python tests/measure_matching.py``; numbers of people may follow. Budgets: 40
learners under 2 s, 120 under 15 s. Counted is processor time, so that what else the machine does does not matter.
"""

from __future__ import annotations

import sys
import time

from test_matching import likely

from beginnerband.people.changes import borrowings, refusals
from beginnerband.people.matching import Matching
from beginnerband.people.roster import CupboardItem


def work(matching: Matching) -> dict[str, float]:
    """Seconds for each part of the page of the plan."""
    lendable = [CupboardItem(instrument, state="could-be-lent") for instrument in matching.instruments.values()]
    times, start = {}, time.process_time()

    def lap(name: str) -> None:
        nonlocal start
        now = time.process_time()
        times[name], start = now - start, now

    plan = matching.best()
    lap("plan")
    assert plan is not None
    matching.others(plan)
    lap("others")
    refusals(matching, plan)
    lap("refused")
    borrowings(matching, plan, lendable)
    lap("borrow")
    return times


def main() -> None:
    """Print a line a band."""
    likely(0, 5, 6).best()
    print("people  seed   plan  others  refused  borrow   all  on the wall")
    bands = tuple(map(int, sys.argv[1:])) or (18, 40, 120)
    for people in bands:
        for seed in range(4 if len(bands) > 1 else 1):
            began = time.perf_counter()
            times = work(likely(seed, people, round(people * 1.2)))
            shown = "  ".join(f"{seconds:6.2f}" for seconds in (*times.values(), sum(times.values())))
            wall = time.perf_counter() - began
            print(f"{people:6}  {seed:4}  {shown}  {wall:6.2f}", flush=True)


if __name__ == "__main__":
    main()
