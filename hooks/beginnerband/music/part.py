"""A player's part: the tune moved to a concert key, to an octave in reach, and into what the player reads."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from beginnerband.music.fingering import Fingering, standard
from beginnerband.music.instrument import LEVELS, Instrument, Range
from beginnerband.music.player import Player
from beginnerband.music.score import Line
from beginnerband.music.shift import to_key, written

OCTAVES = (0, -1, 1, -2, 2, -3, 3)
"""Octaves a part may be moved from the tune's own, in the order they are preferred."""

CANNOT, STRETCH, NEW, EARLY, SIGN = 1000, 10, 4, 1, 3
"""What counts against a part, in points for each player: a note the instrument does not have at all; a semitone outside
the range of the level (counted once more for each higher level it is outside of too); a note not yet taught; a semitone
outside the range of a lower level, since later notes are harder; a sharp or flat to remember. The weights are ours;
what matters is their order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What one player is given, and what is heard."""

    written: Line
    """As the player reads it."""
    sounding: Line
    """As it is heard: the tune in its concert key, moved by :attr:`octaves`."""
    player: Player
    """Who plays it, and how they read."""
    octaves: int
    """Octaves moved from the tune in the concert key."""
    over: int
    """Semitones by which the notes go beyond the player's range at the level, above and below added; 0 when it fits."""
    beyond: int
    """The same for everything the instrument has (its full range)."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a player reaches, ready for many questions. All notes are sounding MIDI numbers."""

    lower: tuple[tuple[int, int], ...]
    """Ranges of the levels below the player's."""
    levels: tuple[tuple[int, int], ...]
    """Ranges from the player's level up to the full range."""
    known: frozenset[int] | None
    """Notes already taught, or ``None`` where no plan says."""

    @classmethod
    def of(cls, instrument: Instrument, level: str, known: Iterable[int] | None = None) -> Reach:
        """The reach of a player of ``instrument`` at ``level``, one of :data:`LEVELS`."""
        ranges = [instrument.sounding_range(name) for name in LEVELS]
        edges = tuple((reach.low.midi, reach.high.midi) for reach in ranges)
        place = LEVELS.index(level)
        return cls(edges[:place], edges[place:], None if known is None else frozenset(known))

    def points(self, midis: frozenset[int], octaves: int = 0) -> tuple[int, int, int]:
        """Cannot, stretch (with early) and new for one player who plays ``midis`` moved by ``octaves``."""
        low, high = min(midis) + 12 * octaves, max(midis) + 12 * octaves
        cannot = CANNOT if _out(low, high, self.levels[-1]) else 0
        stretch = STRETCH * sum(_out(low, high, edges) for edges in self.levels)
        stretch += EARLY * sum(_out(low, high, edges) for edges in self.lower)
        new = 0 if self.known is None else NEW * sum(midi + 12 * octaves not in self.known for midi in midis)
        return cannot, stretch, new

    def octave(self, midis: frozenset[int]) -> int:
        """Octaves to move the notes with the fewest points.

        On a tie nearest to the middle of the level's range, then the smaller move, downwards first.
        """
        if not midis:
            return 0
        return _octave(self, midis if self.known is not None else frozenset((min(midis), max(midis))))


@lru_cache(maxsize=8192)
def _octave(reach: Reach, midis: frozenset[int]) -> int:
    spread, middle = min(midis) + max(midis), sum(reach.levels[0])

    def cost(octaves: int) -> tuple[int, int, int]:
        return sum(reach.points(midis, octaves)), abs(spread + 24 * octaves - middle), OCTAVES.index(octaves)

    return min(OCTAVES, key=cost)


def _out(low: int, high: int, edges: tuple[int, int]) -> int:
    return max(0, edges[0] - low) + max(0, high - edges[1])


def part(
    line: Line,
    fifths: int,
    player: Player,
    level: str = "full",
    known: Iterable[int] | None = None,
) -> Part:
    """The part of ``line`` for one player, in the concert key with ``fifths`` sharps (flats negative).

    The octave is the one :meth:`Reach.octave` chooses; ``known`` are the sounding MIDI numbers already taught, if
    taught notes matter. ``ValueError`` for drums, which play no notes.
    """
    if not player.instrument.pitched:
        raise ValueError(f"{player.id} plays no notes")
    at_key = to_key(line, fifths)
    octaves = Reach.of(player.instrument, level, known).octave(different(at_key))
    return part_at(at_key, octaves, player, level)


def part_at(at_key: Line, octaves: int, player: Player, level: str = "full") -> Part:
    """The part at a given octave; ``at_key`` is the sounding line in the concert key wanted."""
    sounding = to_key(at_key, at_key.key.fifths, octaves)
    low, high = sounding.lowest, sounding.highest
    reaches = (player.instrument.sounding_range(name) for name in (level, "full"))
    over, beyond = (outside(low.midi, high.midi, reach) if low and high else 0 for reach in reaches)
    return Part(
        written=written(at_key, player.reading, octaves),
        sounding=sounding,
        player=player,
        octaves=octaves,
        over=over,
        beyond=beyond,
    )


def outside(low: int, high: int, reach: Range) -> int:
    """Semitones by which ``low``..``high`` (MIDI) sticks out of ``reach``, both ends added."""
    return _out(low, high, (reach.low.midi, reach.high.midi))


def different(line: Line) -> frozenset[int]:
    """The different MIDI numbers of a line, grace notes included."""
    return frozenset(pitch.midi for _, note in line for pitch in (*note.graces, *((note.pitch,) if note.pitch else ())))


def fingerings(part: Part) -> tuple[Fingering | None, ...]:
    """The standard fingering or position of every note of the part, in order, rests and tied notes included.

    ``None`` for a rest, and for a note that has none.
    """
    return tuple(standard(part.player.instrument, note.pitch) if note.pitch else None for _, note in part.sounding)


def codes(part: Part) -> tuple[str, ...]:
    """:func:`fingerings` as printed: ``1-2``, ``0``, ``4``; empty for rests, tied notes and percussion."""
    found, held = [], False
    for way, (_, note) in zip(fingerings(part), part.sounding, strict=True):
        found.append(way.code if way and not held else "")
        held = note.tie
    return tuple(found)
