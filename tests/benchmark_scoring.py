"""Scoring and engraving one four-part piece of 16 bars for 12 players, against Verovio alone on the same staves.

Run ``python tests/benchmark_scoring.py``, or all benchmarks with ``tests/benchmark.py``. Goal: at most 2.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "hooks"))

from beginnerband.data.book import Book, load_book  # noqa: E402
from beginnerband.music.player import Player  # noqa: E402
from beginnerband.pages.pieces.files import engraved  # noqa: E402
from beginnerband.pages.pieces.view import view  # noqa: E402
from beginnerband.render import engrave  # noqa: E402

PIECE = "abide-with-me"
PLAYERS = {"cornet": 4, "tenor-horn": 2, "baritone": 1, "trombone": 2, "euphonium": 1, "eb-bass": 1, "bb-bass": 1}
GOAL = 2.0


def run(rounds: int = 5) -> dict[str, float]:
    """Processor seconds for us and for Verovio alone, medians of ``rounds``, and their ratio.

    Processor time, since all runs in one thread and other work on the machine then counts little.
    """
    book = _twelve(load_book(ROOT))
    _ours(book)  # libraries loaded, transpositions remembered: what a build has after its first piece
    sources = _sources(book)
    for source in sources:
        engrave._render(*source)
    ours, verovio = [], []
    for _ in range(rounds):
        ours.append(_timed(lambda: _ours(book)))
        verovio.append(_timed(lambda: [engrave._render(*source) for source in sources]))
    fast, alone = statistics.median(ours), statistics.median(verovio)
    return {"ours": fast, "verovio": alone, "ratio": fast / alone, "pictures": len(sources), "goal": GOAL}


def _twelve(book: Book) -> Book:
    players = tuple(
        Player(book.instruments[name], book.instruments[name].readings[0], count) for name, count in PLAYERS.items()
    )
    assert sum(PLAYERS.values()) == 12
    assert book.pieces[PIECE].bars == 16
    return replace(book, band=replace(book.band, players=players), course=None)  # graded for another band


def _ours(book: Book) -> None:
    """Score for all fifteen keys, check, engrave the short score, both full scores and every part: nothing cached."""
    with tempfile.TemporaryDirectory() as work:
        fresh = replace(book, root=Path(work))
        engraved(fresh, view(fresh, fresh.pieces[PIECE]))


Given = tuple[str, engrave.Size, Sequence[int] | None, Mapping[str, Any]]
"""What Verovio is given for one picture, as the engraver gives it."""


def _sources(book: Book) -> list[Given]:
    """What Verovio is given in one round."""
    found: list[Given] = []
    render = engrave._render

    def note(*given: *Given) -> list[str]:
        found.append(given)
        return render(*given)

    engrave._render = note
    try:
        _ours(book)
    finally:
        engrave._render = render
    return found


def _timed(work: Callable[[], object]) -> float:
    begin = time.process_time()
    work()
    return time.process_time() - begin


def from_command_line() -> None:
    """Measure as many rounds as the first argument says."""
    main(int(sys.argv[1]) if sys.argv[1:] else 5)


def main(rounds: int = 5) -> None:
    """Print the comparison in one line."""
    found = run(rounds)
    print(
        f"scoring and engraving {PIECE} for 12 players: {found['ours'] * 1000:.0f} ms; Verovio alone on the same "
        f"{found['pictures']:.0f} pictures: {found['verovio'] * 1000:.0f} ms; ratio {found['ratio']:.2f} "
        f"(goal at most {GOAL:g})"
    )


if __name__ == "__main__":
    from_command_line()
