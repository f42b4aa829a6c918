"""Which key suits the band: all fifteen concert keys for a tune, ranked by what they ask of every player.

The number is a sum of points (:data:`beginnerband.music.part.CANNOT` and the others), each player counted: 0 means that
everybody plays it at once with nothing to remember, in a key that beginning brass is used to. Signatures are charged as
printed for each reading, used or not, and signs beyond what the players read so far once more. Octaves are chosen for
each instrument apart, with the fewest points, so the sum is the least the key can have. On a tie the key that is
commoner for beginning brass comes first (:data:`COMMON`), then the one with fewer sharps or flats in concert, then
flats before sharps; no two keys tie on all.

Put forward is the best key that suits everyone's range and that everyone can read; where there is none, the best that
suits everyone and asks nobody for more than one sign beyond; where there is none either, the best that all can read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from beginnerband.music.instrument import LEVELS
from beginnerband.music.part import SIGN, Reach
from beginnerband.music.pitch import Pitch, transpose
from beginnerband.music.player import Player
from beginnerband.music.score import Key, Line
from beginnerband.music.shift import KEYS, fifths_moved, key_interval, most_written, respelled, to_written
from beginnerband.music.tune import Tune

COMMON = (-2, -3, -1, -4)
"""Concert keys for beginning brass, commonest first, by fifths: B♭, E♭, F, A♭ and the minors beside them (common
practice, no source)."""

BEYOND, UNCOMMON, DOUBLE = 30, 6, 100
"""What counts against a key beside the notes, in points for each player: a sign in the signature beyond what the player
reads; a concert key beginning brass seldom meets; a double sharp or flat to read. The weights are ours."""

ORDER = (*COMMON, *sorted(set(KEYS) - set(COMMON), key=lambda fifths: (abs(fifths), fifths > 0)))


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerCost:
    """What a key asks of the players of one instrument."""

    player: Player
    """Who they are."""
    octaves: int
    """Octaves its part is moved from the tune in that key."""
    lowest: Pitch
    """Lowest written note."""
    highest: Pitch
    """Highest written note."""
    above: int
    """Semitones above its range at the level."""
    below: int
    """Semitones below it."""
    new: tuple[Pitch, ...]
    """Written notes not yet taught, lowest first; empty where no plan says."""
    key: Key
    """Written key."""
    signs: int
    """Sharps and flats to read: those of the signature as printed, and different accidentals."""
    beyond: int
    """Signs of the signature beyond what the player reads so far."""
    doubles: int
    """Different double sharps and double flats."""
    cannot: int
    """Points for notes it does not have, one player."""
    stretch: int
    """Points for notes beyond its range and beyond those of lower levels, one player."""
    new_points: int
    """Points for new notes, one player."""

    @property
    def points(self) -> int:
        """All points of all its players."""
        return self.player.count * (self.cannot + self.stretch + self.new_points + self.reading_points)

    @property
    def reading_points(self) -> int:
        """Points for what is to be read, one player."""
        return SIGN * self.signs + BEYOND * self.beyond + DOUBLE * self.doubles

    @property
    def fits(self) -> bool:
        """Whether it is all within the level's range and taught."""
        return not (self.cannot or self.above or self.below or self.new or self.doubles)


@dataclass(frozen=True, slots=True)
class KeyChoice:
    """One concert key, weighed."""

    key: Key
    """Concert key, in the tune's mode."""
    costs: tuple[PlayerCost, ...]
    """Every pitched instrument of the band, in score order."""
    tie: int
    """What breaks a tie: how uncommon the key is for beginning brass, 0 for the commonest."""

    @property
    def points(self) -> int:
        """The number: lower is better, 0 is best."""
        return sum(cost.points for cost in self.costs) + self._uncommon

    @property
    def _uncommon(self) -> int:
        away = UNCOMMON * (self.key.fifths not in COMMON)
        return away * sum(cost.player.count for cost in self.costs)

    @property
    def parts(self) -> dict[str, int]:
        """The number taken apart: ``cannot``, ``stretch``, ``new``, ``signs``, ``key``, in points of all players."""
        return {
            "cannot": sum(cost.player.count * cost.cannot for cost in self.costs),
            "stretch": sum(cost.player.count * cost.stretch for cost in self.costs),
            "new": sum(cost.player.count * cost.new_points for cost in self.costs),
            "signs": sum(cost.player.count * cost.reading_points for cost in self.costs),
            "key": self._uncommon,
        }

    @property
    def suits_all(self) -> bool:
        """Whether everyone stays within range and within what was taught."""
        return all(cost.fits for cost in self.costs)

    @property
    def readable(self) -> bool:
        """Whether nobody reads more sharps or flats in the signature than they do so far."""
        return not any(cost.beyond for cost in self.costs)

    @property
    def most_beyond(self) -> int:
        """Most signs beyond, of all players."""
        return max((cost.beyond for cost in self.costs), default=0)


Known = Mapping[str, Iterable[int]]
"""For each instrument id, the sounding MIDI numbers its players were taught."""


Signs = Mapping[str, int]
"""For each instrument id, the most sharps or flats its players read in a signature; who is not named reads them all."""


def rank(
    line: Line, players: Sequence[Player], level: str, known: Known | None = None, signs: Signs | None = None
) -> tuple[KeyChoice, ...]:
    """All fifteen concert keys, best first, for players at ``level`` (and who know ``known``, if given).

    ``signs`` is how many sharps or flats they read in a signature so far, by the ladder of the stage asked for.
    Drums, which have no pitch, and instruments that nobody plays are left out. ``ValueError`` for a line without notes.
    """
    pitches = tuple(sorted(set(_sounded(line)), key=lambda pitch: pitch.midi))
    if not pitches:
        raise ValueError("a line without notes fits every key")
    asked = [(each, _reach(each, level, known)) for each in players if each.instrument.pitched and each.count]
    choices = (_choice(line.key, pitches, fifths, asked, signs or {}) for fifths in KEYS)
    return tuple(sorted(choices, key=lambda choice: (choice.points, choice.tie)))


def first_level(line: Line, players: Sequence[Player], signs: Signs | None = None) -> tuple[str, tuple[KeyChoice, ...]]:
    """The lowest level at which some key that everyone can read suits everyone, with its ranking.

    Where none does below the full range, the ranking for first-year players, with what it stretches.
    """
    for level in LEVELS[:2]:
        ranking = rank(line, players, level, signs=signs)
        if any(choice.suits_all and choice.readable for choice in ranking):
            break
    return level, ranking


def best_for_all(ranking: Sequence[KeyChoice]) -> KeyChoice:
    """The key to put forward: see the top of this module."""
    wanted = (
        [choice for choice in ranking if choice.suits_all and choice.readable],
        [choice for choice in ranking if choice.suits_all and choice.most_beyond == 1],
        [choice for choice in ranking if choice.readable],
        ranking,
    )
    return next(found[0] for found in wanted if found)


def playable(
    tunes: Iterable[Tune],
    players: Sequence[Player],
    level: str,
    known: Known | None = None,
    signs: Signs | None = None,
) -> tuple[tuple[Tune, KeyChoice], ...]:
    """The tunes this band can play together today, each in its best key that suits all; easiest first, then by id."""
    found = []
    for tune in tunes:
        choice = best_for_all(rank(tune.line, players, level, known, signs))
        if choice.suits_all and choice.readable:
            found.append((tune, choice))
    return tuple(sorted(found, key=lambda pair: (pair[1].points, pair[0].id)))


def _sounded(line: Line) -> Iterable[Pitch]:
    for _, note in line:
        yield from note.graces
        if note.pitch:
            yield note.pitch


def _reach(player: Player, level: str, known: Known | None) -> Reach:
    return Reach.of(player.instrument, level, None if known is None else known.get(player.id, ()))


def _choice(
    own: Key, pitches: tuple[Pitch, ...], fifths: int, asked: Sequence[tuple[Player, Reach]], signs: Signs
) -> KeyChoice:
    interval = key_interval(own, fifths)
    concert = tuple(transpose(pitch, interval) for pitch in pitches)
    midis, key = frozenset(pitch.midi for pitch in concert), Key(fifths, own.mode)
    return KeyChoice(
        key,
        tuple(_cost(key, concert, midis, player, reach, signs.get(player.id, max(KEYS))) for player, reach in asked),
        ORDER.index(fifths),
    )


def _cost(
    key: Key, concert: tuple[Pitch, ...], midis: frozenset[int], player: Player, reach: Reach, signs: int
) -> PlayerCost:
    octaves = reach.octave(midis)
    cannot, stretch, new_points = reach.points(midis, octaves)
    own = player.reading.interval
    read = _read(key, concert, respelled(to_written(own, octaves), (key.fifths,), most_written(own)))
    known = reach.known
    bottom, top = reach.levels[0]
    return PlayerCost(
        player=player,
        octaves=octaves,
        lowest=read.notes[0],
        highest=read.notes[-1],
        above=max(0, max(midis) + 12 * octaves - top),
        below=max(0, bottom - min(midis) - 12 * octaves),
        new=() if known is None else tuple(_unknown(read.notes, concert, octaves, known)),
        key=read.key,
        signs=read.signs,
        beyond=max(0, abs(read.key.fifths) - signs),
        doubles=read.doubles,
        cannot=cannot,
        stretch=stretch,
        new_points=new_points,
    )


def _unknown(
    written: Iterable[Pitch], concert: Iterable[Pitch], octaves: int, known: frozenset[int]
) -> Iterable[Pitch]:
    return (read for read, heard in zip(written, concert, strict=True) if heard.midi + 12 * octaves not in known)


@dataclass(frozen=True, slots=True)
class _Read:
    """Notes as they are read, by all whose parts are moved alike."""

    notes: tuple[Pitch, ...]
    key: Key
    signs: int
    doubles: int


@lru_cache(maxsize=1024)
def _read(concert_key: Key, concert: tuple[Pitch, ...], interval: str) -> _Read:
    notes = tuple(transpose(pitch, interval) for pitch in concert)
    key = Key(concert_key.fifths + fifths_moved(interval), concert_key.mode)
    doubles = len({pitch.letter for pitch in notes if abs(pitch.alter) > 1})
    return _Read(notes, key, _signs(key, notes), doubles)


def _signs(key: Key, written: Iterable[Pitch]) -> int:
    """Sharps and flats the player must read: of the signature as printed, and different accidentals."""
    alters = key.alters
    return abs(key.fifths) + len({pitch.letter for pitch in written if pitch.alter != alters[pitch.step]})
