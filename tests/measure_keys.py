"""Which key is put forward for hundreds of tunes nobody here has seen: how many are beyond the ladder, and which.

Run ``python tests/measure_keys.py [tunes]`` (600 by default): tunes of the ABC collections in music21's corpus, spread
evenly over them, for the shipped band at the end of its course.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]

from folksongs import abc_tunes  # noqa: E402

from beginnerband.data.abc import read_abc  # noqa: E402
from beginnerband.data.book import load_book  # noqa: E402
from beginnerband.music.keychoice import COMMON, best_for_all, first_level  # noqa: E402

COLLECTIONS = ("essenFolksong", "oneills1850", "ryansMammoth", "airdsAirs", "nottingham-dataset")


def main() -> None:
    """Print the distribution and every tune put forward beyond the ladder."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 600
    book = load_book(ROOT)
    signs = book.course.ladder.signs(book.band.players) if book.course else None
    keys, kinds, beyond, seen = Counter[str](), Counter[str](), list[str](), 0
    for collection in COLLECTIONS:
        tunes = list(abc_tunes(collection))
        for name, text in tunes[:: max(1, len(tunes) * len(COLLECTIONS) // count)]:
            score = read_abc(text).score
            if score is None or not score.lines[0].pitches:
                continue
            seen += 1
            level, ranking = first_level(score.lines[0], book.band.players, signs)
            best = best_for_all(ranking)
            keys[best.key.name] += 1
            some = any(choice.suits_all for choice in ranking)
            fits = "suits all" if best.suits_all else "too wide in every key" if not some else "suits all elsewhere"
            kinds[f"{level}, {fits}, {'within' if best.readable else 'beyond'} the ladder"] += 1
            if not best.readable:
                most = {cost.player.id: cost.key.fifths for cost in best.costs if cost.beyond}
                beyond.append(f"{name}: concert {best.key.name}, {most}")
    print(f"{seen} tunes; {len(beyond)} beyond the ladder ({100 * len(beyond) / seen:.0f} %)")
    print("keys put forward:", dict(keys.most_common()))
    for kind, number in kinds.most_common():
        print(f"- {number}: {kind}")
    majors = sum(keys[f"{tonic} major"] for tonic in "CGD")
    print("concert C, G or D major:", majors)
    print("signature outside the common four:", sum(n for name, n in keys.items() if not _common(name)), f"of {COMMON}")
    print("beyond the ladder:", *beyond[:20], sep="\n  ")


def _common(name: str) -> bool:
    from beginnerband.music.shift import signature_of

    tonic, mode = name.split()
    return signature_of(tonic, mode).fifths in COMMON


if __name__ == "__main__":
    main()
