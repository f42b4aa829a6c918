"""Bach's chorales in music21's corpus that have four voices throughout, as our lines and as music21 read them."""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from importlib import metadata
from pathlib import Path

import pytest
from filelock import FileLock
from music21 import converter, corpus, stream

from beginnerband.data.read_musicxml import read_musicxml
from beginnerband.music.instrument import VOICES
from beginnerband.music.score import Line

ROOT = Path(__file__).parent.parent

CHUNKS = 6
"""The corpus is cut so that several processes can share it."""

each_chunk = pytest.mark.parametrize("chunk", range(0, CHUNKS, 3))
"""Runs a test once for each of two chunks, a third of the corpus: all of it takes a script's time."""

Source = tuple[tuple[Fraction, Fraction, int], ...]
"""Onset, length (quarter notes) and MIDI number of each note as music21 read it, ties joined."""


@lru_cache(maxsize=1)
def _paths() -> tuple[Path, ...]:
    return tuple(path for path in corpus.getComposer("bach") if str(path).endswith((".mxl", ".xml", ".musicxml")))


Chorale = tuple[str, dict[str, Line], dict[str, Source]]
"""Name, our lines by voice, and music21's notes by voice."""


def lines_of_chorales(chunk: int) -> Iterator[tuple[str, dict[str, Line]]]:
    """Name and our lines of each four-part chorale of this chunk: all that is needed where music21's reading is not."""
    for path in _paths()[chunk::CHUNKS]:
        score, mistakes = read_musicxml(path.read_bytes())
        assert score or mistakes, path.stem
        if score and len(score.lines) == len(VOICES):
            yield path.stem, dict(zip(VOICES, score.lines, strict=True))


@lru_cache(maxsize=2)
def four_part_chorales(chunk: int) -> tuple[Chorale, ...]:
    """The chorales of this chunk; parsed once for all tests and kept until music21 or our reader changes."""
    kept = ROOT / ".cache" / "chorales" / _version() / f"{chunk}-of-{CHUNKS}.pickle"
    kept.parent.mkdir(parents=True, exist_ok=True)
    with FileLock(f"{kept}.lock"):
        if not kept.is_file():
            kept.write_bytes(pickle.dumps(tuple(_read(chunk))))
        return tuple(pickle.loads(kept.read_bytes()))


@lru_cache(maxsize=1)
def _version() -> str:
    code = (
        ROOT / "hooks" / "beginnerband" / name
        for name in (
            "data/read_musicxml.py",
            "data/musicxml_elements.py",
            "data/musicxml_part.py",
            "data/musicxml_bars.py",
            "data/musicxml_signs.py",
            "data/barring.py",
            "data/bars.py",
            "data/bar_checks.py",
            "data/in_step.py",
            "music/score.py",
        )
    )
    parts = [metadata.version("music21").encode(), Path(__file__).read_bytes(), *(path.read_bytes() for path in code)]
    return hashlib.sha256(b"".join(parts)).hexdigest()[:16]


def _read(chunk: int) -> Iterator[Chorale]:
    for path in _paths()[chunk::CHUNKS]:
        parsed = converter.parse(path, forceSource=True, storePickle=False)
        parts = list(parsed.parts)
        if len(parts) != 4 or any(_voices(part) for part in parts):
            continue
        parsed.toSoundingPitch(inPlace=True)  # in place here and below: copying a score takes longer than reading it
        score, mistakes = read_musicxml(path.read_bytes())
        if score is None:
            assert mistakes
            continue
        try:
            yield (
                path.stem,
                dict(zip(VOICES, score.lines, strict=True)),
                dict(zip(VOICES, map(_notes, parts), strict=True)),
            )
        except ValueError:
            continue


def _voices(part: stream.Part) -> bool:
    return any(len(measure.voices) > 1 for measure in part.getElementsByClass(stream.Measure))


def _notes(part: stream.Part) -> Source:
    part.stripTies(inPlace=True)
    return tuple(
        (
            Fraction(note.offset).limit_denominator(4096),
            Fraction(note.quarterLength).limit_denominator(4096),
            note.pitch.midi,
        )
        for note in part.flatten().notes
        if note.quarterLength  # grace notes take no time
    )
