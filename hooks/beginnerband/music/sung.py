"""What is sung, as text: of verses that are set to notes only the first is engraved."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from beginnerband.music.score import Line

_NUMBER = re.compile(r"^\s*\d+[.)]")
"""The number of a verse, where it is written among its words."""


def words_below(given: Sequence[str], line: Line) -> tuple[str, ...]:
    """The words below the music: ``given``, then each verse of ``line`` after the first, as ``2. Hear the bells``.

    A line of text each, with an empty one between two verses.
    """
    rows = [*given]
    for verse in _further(line):
        rows += [""] * bool(rows) + [verse]
    return tuple(rows)


def _further(line: Line) -> Iterator[str]:
    found: dict[int, str] = {}
    for sung in (sung for measure in line.measures for note in measure.notes for sung in note.lyrics if sung.verse > 1):
        joined = "" if sung.place in ("middle", "end") else " "
        found[sung.verse] = found.get(sung.verse, "") + joined + sung.text
    yield from (f"{verse}. {_NUMBER.sub('', found[verse]).strip()}" for verse in sorted(found))
