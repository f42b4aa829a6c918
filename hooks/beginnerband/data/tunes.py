"""The tunes, ``content/tunes/``: one file a tune; refused with bar and reason if anything is wrong."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Protocol

from beginnerband.data.abc import read_abc
from beginnerband.data.bars import Mistake
from beginnerband.data.explained import ID
from beginnerband.data.problems import Problems
from beginnerband.data.textfile import (
    NoTextError,
    content_of,
    is_leftover,
    kept_by_windows,
    last_net,
    text_of,
    unforeseen,
)
from beginnerband.music.breathing import Points, proposed
from beginnerband.music.instrument import Instrument
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Line, Measure, Score
from beginnerband.music.sung import words_below
from beginnerband.music.tune import WRITTEN_HERE, Tune

FOLDER = "content/tunes"
"""Where tunes are."""

NO_SOURCE = "source not given"
"""What a page says of music whose file does not say where it comes from."""

LARGEST = 10_000_000
"""Most bytes a file of music may have."""


NO_TITLE = "it has no title; add T: in ABC, or a title in the notation program"
"""What is said of music without one."""

MUSICXML = (".musicxml", ".mxl", ".xml")
"""Endings of MusicXML files."""


class Titled(Protocol):
    """A tune or a piece, as far as its name goes."""

    @property
    def title(self) -> str:
        """As people read it."""

    @property
    def file(self) -> str:
        """Where it stands, below the project's folder."""


def load_tunes(
    root: Path, instruments: dict[str, Instrument], problems: Problems, breaths: Points | None = None
) -> dict[str, Tune]:
    """Load every tune by id, in the order of file names; mistakes become problems.

    ``breaths`` says where breaths are proposed; without it none are.
    """
    tunes: dict[str, Tune] = {}
    folder = root / FOLDER
    for path in sorted(folder.iterdir()) if folder.is_dir() else ():
        if is_leftover(path) or (path.is_dir() and path.suffix not in (".abc", *MUSICXML)):
            continue
        if path.suffix and (better := better_name(path)) and Path(better).suffix in (".abc", *MUSICXML):
            problems.add(path, 0, f"name the file in small letters, figures and hyphens, as {better}")
            continue
        if kept := kept_by_windows(path):
            problems.add(path, 0, kept)
            continue
        if path.stem in tunes:
            problems.add(path, 0, f"a second tune named {path.stem!r}; give one of the files another name")
            continue
        with last_net(path, problems):
            if tune := load_tune(path, root, instruments.values(), problems, breaths):
                tunes[tune.id] = tune
    note_same_titles(root, tunes.values(), problems)
    return tunes


def note_same_titles(root: Path, music: Iterable[Titled], problems: Problems) -> None:
    """Note what is called as another is, as a file that was copied and not finished: lists show it twice alike."""
    first: dict[str, Titled] = {}
    for one in music:
        other = first.setdefault(one.title.casefold(), one)
        if other is not one:
            said = f"its title {one.title!r} is also that of {Path(other.file).name}"
            problems.remark(root / one.file, _title_line(root / one.file), f"{said}; give it one of its own")


def _title_line(path: Path) -> int:
    """The line of an ABC file that has its title; 0 for none."""
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines() if path.suffix == ".abc" else []
    return next((number for number, line in enumerate(lines, 1) if re.match(r"\s*T\s*:", line)), 0)


def no_title(path: Path) -> tuple[int, str]:
    """Where and how it is said of a file of music that it has no title."""
    line = _title_line(path)
    return (line, "T: is empty; write the title behind it") if line else (1, NO_TITLE)


def better_name(path: Path) -> str:
    """The name that a file of music should have; empty where its own is one.

    Systems that hide endings add ``.txt`` to what is typed.
    """
    real = path.with_suffix("") if path.suffix == ".txt" and Path(path.stem).suffix in (".abc", *MUSICXML) else path
    return "" if real == path and re.fullmatch(ID, path.stem) else _slug(real.stem) + real.suffix


def load_tune(
    path: Path, root: Path, instruments: Iterable[Instrument], problems: Problems, breaths: Points | None = None
) -> Tune | None:
    """Load one tune; ``None`` when it was refused (see ``problems``)."""
    found = noted_score(path, problems)
    if found is None:
        return None
    score, fields = found
    wrong = [*_one_voice(score)]
    wrong += [] if wrong else _reachable(score.lines[0], tuple(instruments))
    for bar, message in wrong:
        problems.add(path, bar.file_line, f"bar {bar.number}: {message}")
    if not score.title:
        problems.add(path, *no_title(path))
    if wrong or not score.title:
        return None
    return Tune(
        id=path.stem,
        title=score.title,
        composer=score.composer or "trad.",
        origin=first(fields, "O"),
        source=score.source or NO_SOURCE,
        kind=first(fields, "R"),
        notes=fields.get("N", ()),
        line=proposed(score.lines[0], breaths),
        file=path.relative_to(root).as_posix(),
        verses=words_below(fields.get("W", ()), score.lines[0]),
    )


def noted_score(path: Path, problems: Problems, split: bool = False) -> tuple[Score, dict[str, tuple[str, ...]]] | None:
    """Read a tune or a piece: the score, and ABC's text fields by letter; what is wrong or not used is noted.

    ``None`` when it was refused. ``split`` as in :func:`read_score`.
    """
    score, fields, mistakes = read_score(path, split)
    for mistake in mistakes:
        problems.add(path, mistake.line, mistake.message)
    if score is None:
        return None
    _note_remarks(path, score, problems)
    return score, fields


def first(fields: dict[str, tuple[str, ...]], letter: str) -> str:
    """What the first of ABC's fields of this letter says; empty where there is none."""
    return next(iter(fields.get(letter, ())), "")


def read_score(path: Path, split: bool = False) -> tuple[Score | None, dict[str, tuple[str, ...]], tuple[Mistake, ...]]:
    """Read a file of any number of voices: the score, ABC's text fields by letter, and the mistakes.

    ``split`` makes a line of each voice of a MusicXML staff that has two.
    Used for tunes and for pieces in parts. Never raises for any content.
    """
    try:
        content = content_of(path, LARGEST)
    except NoTextError as error:
        return None, {}, (Mistake(0, str(error)),)
    try:
        return read_bytes(content, path.suffix.lower(), split)
    except Exception as error:  # the last net
        return None, {}, (Mistake(0, unforeseen(error)),)


def read_bytes(
    content: bytes, suffix: str, split: bool = False
) -> tuple[Score | None, dict[str, tuple[str, ...]], tuple[Mistake, ...]]:
    """:func:`read_score` for content already in memory; ``suffix`` is ``.abc`` or one of :data:`MUSICXML`."""
    if suffix in MUSICXML:
        from beginnerband.data.read_musicxml import read_musicxml

        score, mistakes = read_musicxml(content, split)
        return score, {}, mistakes
    if suffix != ".abc":
        kind = suffix or "a file without ending"
        return None, {}, (Mistake(0, f"no tune is read from {kind}; use .abc or .musicxml"),)
    try:
        text = text_of(content)
    except NoTextError as error:
        return None, {}, (Mistake(error.line, str(error)),)
    read = read_abc(text, split)
    return read.score, read.fields, read.mistakes


def _note_remarks(path: Path, score: Score, problems: Problems) -> None:
    """Say what of a file was not used, and that its source is missing; none of it stops the build."""
    for remark in score.remarks:
        problems.remark(path, remark.line, remark.message)
    if not score.source:
        where = "add S: with source and date" if path.suffix == ".abc" else "add a source in the notation program"
        problems.remark(path, 0, f"source not given; {where}, or {WRITTEN_HERE!r}")


def _slug(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "my-tune"


def _one_voice(score: Score) -> Iterable[tuple[Measure, str]]:
    if len(score.lines) > 1:
        names = ", ".join(line.name or "?" for line in score.lines)
        said = f"{len(score.lines)} voices ({names}) where one is meant"
        yield score.lines[1].measures[0], f"{said}; music in several voices goes into content/pieces"


def _reachable(line: Line, instruments: tuple[Instrument, ...]) -> Iterable[tuple[Measure, str]]:
    """A tune that is wider than every instrument's whole range can be moved nowhere."""
    low, high = line.lowest, line.highest
    pitched = [instrument for instrument in instruments if instrument.pitched]
    if low is None or high is None or not pitched:
        return
    widest = max(pitched, key=_span)
    if high.midi - low.midi > _span(widest):
        yield (
            _bar_of(line, high),
            f"from {low.sign} (bar {_bar_of(line, low).number}) up to {high.sign} is "
            f"{high.midi - low.midi} semitones, wider than any instrument reaches ({widest.id}: {_span(widest)})",
        )


def _span(instrument: Instrument) -> int:
    reach = instrument.sounding_range("full")
    return reach.high.midi - reach.low.midi


def _bar_of(line: Line, pitch: Pitch) -> Measure:
    return next(measure for measure, note in line if pitch in (note.pitch, *note.graces))
