"""Parallels and crossings in every four-part chorale of music21's corpus: where its voice-leading module differs.

Run ``python tests/measure_parallels.py [chunks]`` (all 6 by default; a minute and a half). Goal: nowhere.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]

from chorales import CHUNKS, lines_of_chorales  # noqa: E402
from parallels import differences  # noqa: E402


def main() -> None:
    """Print how many were compared, and every difference."""
    chunks = int(sys.argv[1]) if len(sys.argv) > 1 else CHUNKS
    compared = {name: differences(lines) for chunk in range(chunks) for name, lines in lines_of_chorales(chunk)}
    differing = {name: found for name, found in compared.items() if found}
    print(f"{len(compared)} chorales, {len(differing)} with differences")
    for name, found in differing.items():
        print(name, *sorted(map(str, found)), sep="\n   ")


if __name__ == "__main__":
    main()
