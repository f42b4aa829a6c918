"""Melodies from music21's corpus, for tests: folk songs and dance tunes in ABC that nothing here was tuned for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import music21


def abc_tunes(collection: str) -> Iterator[tuple[str, str]]:
    """Every tune of a collection as ``(file and number, ABC text)``; latin-1 as the collections are."""
    folder = Path(music21.__file__).parent / "corpus" / collection
    for path in sorted(folder.glob("*.abc")):
        text = path.read_text(encoding="latin-1")
        _head, *rest = re.split(r"(?m)^(?=X:)", text)
        for tune in rest:
            number = re.match(r"X:\s*(\S*)", tune)
            yield f"{path.name} {number[1] if number else '?'}", tune
