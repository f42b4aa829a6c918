"""A piece in four parts: soprano, alto, tenor and bass at concert pitch, perhaps with a descant."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field, replace

from beginnerband.music.score import Key, Line, Tempo, Time
from beginnerband.music.timing import timing
from beginnerband.music.tune import written_here

MADE = {
    "": "",
    "chords": "alto, tenor and bass made by rule from the chord symbols",
    "rule": "harmony, alto, tenor and bass made by rule from the melody alone",
}
"""How the lower lines came to be, with the words that say so."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece, as loaded from ``content/pieces/<id>.abc`` or ``.musicxml``."""

    id: str
    """File name without its ending, as ``old-hundredth``."""
    _: KW_ONLY
    title: str
    """As printed."""
    composer: str
    """Who made it; ``trad.`` where nobody knows."""
    origin: str
    """Where and when it was printed first, or empty."""
    source: str
    """Whose arrangement it is."""
    kind: str
    """In a word or two, as ``canon``; may be empty."""
    lines: Mapping[str, Line] = field(hash=False)
    """Soprano, alto, tenor and bass by those names, highest first, at concert pitch."""
    file: str
    """Path from the project's root."""
    descant: Line | None = None
    """An optional line above the tune."""
    made: str = ""
    """How the lower lines came to be, of :data:`MADE`."""
    verses: tuple[str, ...] = ()
    """Words that stand below the music, a line each; an empty one between two verses."""

    @property
    def tune(self) -> Line:
        """The soprano line."""
        return self.lines["soprano"]

    @property
    def key(self) -> Key:
        """Concert key it is written in."""
        return self.tune.key

    @property
    def time(self) -> Time:
        """Metre at the start."""
        return self.tune.time

    @property
    def tempo(self) -> Tempo:
        """Tempo at the start."""
        return self.tune.tempo

    @property
    def seconds(self) -> float:
        """Running time at the marked tempo, repeats played; holds are not counted."""
        return timing(self.tune).seconds

    @property
    def own(self) -> bool:
        """Whether it was written for this handbook, not only arranged for it."""
        return written_here(self.composer, self.source)

    @property
    def bars(self) -> int:
        """Number of bars as printed, a pickup left out."""
        return self.tune.measures[-1].number


def with_letters(lines: Mapping[str, Line]) -> dict[str, Line]:
    """The lines with rehearsal letters and tempos, wherever one of them has any, at the same bars in all of them."""
    bars = [tuple(line.measures) for line in lines.values()]
    letters = [next((bar.rehearsal for bar in column if bar.rehearsal), "") for column in zip(*bars, strict=True)]
    tempos = [next((bar.tempo for bar in column if bar.tempo), None) for column in zip(*bars, strict=True)]
    return {
        voice: replace(
            line,
            measures=tuple(
                replace(bar, rehearsal=letter, tempo=tempo)
                for bar, letter, tempo in zip(line.measures, letters, tempos, strict=True)
            ),
        )
        for voice, line in lines.items()
    }


def lettered(line: Line, every: int = 8) -> list[int]:
    """Places of bars that deserve a rehearsal letter: the start of each section, and no stretch over ``every`` bars."""
    places, last = [0], 0
    for place, bar in enumerate(line.measures[1:], 1):
        before = line.measures[place - 1]
        if before.barline or before.repeat_end or bar.repeat_start or (place - last >= every and not bar.partial):
            places.append(place)
            last = place
    return places


def with_own_letters(lines: Mapping[str, Line]) -> dict[str, Line]:
    """The lines with letters A, B, C … where sections begin, for a piece that came without."""
    if any(bar.rehearsal for line in lines.values() for bar in line.measures):
        return dict(lines)
    tune = next(iter(lines.values()))
    letters = dict(zip(lettered(tune), "ABCDEFGHIJKLMNOPQRSTUVWXYZ", strict=False))
    return {
        voice: replace(
            line,
            measures=tuple(replace(bar, rehearsal=letters.get(at, "")) for at, bar in enumerate(line.measures)),
        )
        for voice, line in lines.items()
    }


def rests(line: Line, least: int) -> list[tuple[int, int]]:
    """Stretches of at least ``least`` whole bars of rest that are followed by notes: first place, place after the last.

    The entry after each is where a player needs a cue.
    """
    found, start = [], None
    for place, bar in enumerate(line.measures):
        silent = all(note.rest for note in bar.notes)
        if silent and start is None:
            start = place
        if not silent and start is not None:
            if place - start >= least:
                found.append((start, place))
            start = None
    return found
