#!/usr/bin/env python3
"""How much slower an engraved excerpt is than Verovio alone; run by ``tests/benchmark.py`` or by itself.

Every distinct excerpt of the tunes is engraved by ``render.engrave`` without its cache (MusicXML written, Verovio's
picture taken apart and made light) and by Verovio alone from the same MusicXML with the same options, one after the
other, so that both meet the same machine.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks")]


def from_command_line() -> None:
    """Measure as many excerpts as the first argument says."""
    main(int(sys.argv[1]) if sys.argv[1:] else None)


def main(most: int | None = None) -> None:
    """Measure and print the ratio (goal 1.5) and what a kept picture costs."""
    from beginnerband.data.book import load_book
    from beginnerband.pages.tunes.view import offers
    from beginnerband.render import engrave
    from beginnerband.render.write_musicxml import Staff, musicxml

    book = load_book(ROOT)
    staves = {
        musicxml([staff], bare=True): staff
        for tune in list(book.tunes.values())[: most and 1 : 3]
        for offer in offers(book, tune)
        for sheet in offer.sheets
        for staff in [Staff(sheet.part.written, clef=sheet.part.player.reading.clef, under=sheet.under)]
    }
    engrave.engrave([next(iter(staves.values()))], "warm", "up")
    ratios, ours, alone = [], 0.0, 0.0
    for source, staff in list(staves.items())[:most]:
        start = time.perf_counter()
        engrave.engrave([staff], "title", "words")
        middle = time.perf_counter()
        engrave._render(source, (engrave.NARROW, engrave.ENDLESS), None, {})
        end = time.perf_counter()
        ours, alone = ours + middle - start, alone + end - middle
        ratios.append((middle - start) / (end - middle))
    count = len(ratios)
    print(f"{count} excerpts: {1000 * ours / count:.1f} ms each, Verovio alone {1000 * alone / count:.1f} ms")
    print(f"engraving / Verovio: {ours / alone:.2f} overall, median {statistics.median(ratios):.2f}  (goal 1.5)")


if __name__ == "__main__":
    from_command_line()
