"""How often the breaths proposed by rule are those of collected folk songs. A script: it prints, it is no test.

    .venv/bin/python tests/measure_breaths.py [--songs 400] [--tempo 100] [--worst 10]

The Essen folk song collection (H. Schaffrath, 1995), as it comes with music21, has each phrase on a line of its own,
set by the people who notated the songs. Their line ends are taken as breaths, removed, and proposed anew. Phrases that
end in a rest are not counted, since there is nothing to propose. A song has no tempo there: the slower it is taken, the
more phrases last longer than a breath and must be cut within.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import music21

sys.path.insert(0, str(Path(__file__).parent.parent / "hooks"))

from beginnerband.data.abc import read_abc
from beginnerband.data.breathing import load_breathing
from beginnerband.data.problems import Problems
from beginnerband.music.breathing import proposed
from beginnerband.music.score import Line
from beginnerband.music.timing import timing

ROOT = Path(__file__).parent.parent
CORPUS = Path(music21.__file__).parent / "corpus" / "essenFolksong"
LAST_NOTE = re.compile(r"(?:[_^=]*[A-Ga-g][,']*[0-9/]*-?\s*\|?\s*)$")


def songs(count: int, tempo: int = 100) -> Iterator[tuple[str, Line]]:
    """Songs from all over the collection, each phrase's last note with a breath mark."""
    found = []
    for path in sorted(CORPUS.glob("*.abc")):
        found += re.split(r"\n\s*\n", path.read_text(encoding="utf-8", errors="replace"))
    step = max(1, len(found) // count)
    for text in found[::step]:
        head = [row for row in text.splitlines() if re.match(r"[A-Za-z]:", row)]
        body = [row for row in text.splitlines() if row.strip() and row not in head]
        if len(body) < 2 or not any(row.startswith("K:") for row in head):
            continue
        kept = [row for row in head if row[0] in "XTMLK"]
        kept.insert(-1, f"Q:1/4={tempo}")
        read = read_abc("\n".join([*kept, *(marked(row) for row in body)]) + "\n")
        if read.score and len(read.score.lines) == 1:
            yield head[1][2:].strip() + " (" + head[2][2:].strip() + ")", read.score.lines[0]


def marked(row: str) -> str:
    """A line of music with a breath mark at its last note, unless it ends in a rest."""
    match = LAST_NOTE.search(row)
    return row if match is None else row[: match.start()] + "!breath!" + row[match.start() :]


def places(line: Line) -> set[tuple[int, int]]:
    """Where breaths are marked, the end of the song left out."""
    found = [
        (bar, number)
        for bar, measure in enumerate(line.measures)
        for number, note in enumerate(measure.notes)
        if note.breath
    ]
    end = (len(line.measures) - 1, len(line.measures[-1].notes) - 1)
    return set(found) - {end}


def bare(line: Line) -> Line:
    """The line without breath marks."""
    measures = (
        replace(measure, notes=tuple(replace(note, breath=False) for note in measure.notes))
        for measure in line.measures
    )
    return replace(line, measures=tuple(measures))


def main() -> None:
    """Print precision, recall and the worst songs."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--songs", type=int, default=400)
    options.add_argument("--tempo", type=int, default=100)
    options.add_argument("--worst", type=int, default=10)
    asked = options.parse_args()
    points = load_breathing(ROOT, Problems(ROOT))
    hits = wrong = missed = count = 0
    results, longest = [], []
    for title, line in songs(asked.songs, asked.tempo):
        truth, mine = places(line), places(proposed(bare(line), points))
        hit, extra, lost = len(truth & mine), len(mine - truth), len(truth - mine)
        hits, wrong, missed, count = hits + hit, wrong + extra, missed + lost, count + 1
        longest.append(timing(proposed(bare(line), points)).breath.seconds)
        results.append(((extra + lost) / max(1, len(truth) + len(mine)), title, sorted(truth), sorted(mine)))
    precision, recall = hits / (hits + wrong), hits / (hits + missed)
    print(f"{count} songs, {hits + missed} ends of phrases without a rest")
    print(f"proposed where the collection has one: {precision:.0%}; found of the collection's: {recall:.0%}")
    print(f"F {2 * precision * recall / (precision + recall):.3f}")
    for limit in (7, 8, 10):
        print(f"longest breath over {limit} s: {sum(one > limit + 1e-6 for one in longest) / count:.1%} of songs")
    for share, title, truth, mine in sorted(results, reverse=True)[: asked.worst]:
        print(f"{share:.0%} {title}\n   theirs {truth}\n   ours   {mine}")


if __name__ == "__main__":
    main()
