"""Which key suits the band: all fifteen concert keys for a tune, ranked by what they ask of every player.

The number is a sum of points (:data:`beginnerband.music.part.CANNOT` and the others), each player counted: 0 means that
everybody plays it at once with nothing to remember. Octaves are chosen for each instrument apart, with the fewest
points, so the sum is the least the key can have. On a tie the key with fewer sharps or flats in concert comes first,
then the one nearer to the tune's own key, then flats before sharps; no two keys tie on all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from beginnerband.music.instrument import LEVELS
from beginnerband.music.part import OCTAVES, SIGN, Reach
from beginnerband.music.pitch import Pitch, semitones, transpose
from beginnerband.music.player import Player
from beginnerband.music.score import Key, Line
from beginnerband.music.shift import KEYS, fifths_moved, key_interval, respelled, to_written
from beginnerband.music.tune import Tune


@dataclass(frozen=True, slots=True)
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
    """Different sharps and flats to remember or read, signature and accidentals together."""
    cannot: int
    """Points for notes it does not have, one player."""
    stretch: int
    """Points for notes beyond its range and beyond those of lower levels, one player."""
    new_points: int
    """Points for new notes, one player."""

    @property
    def points(self) -> int:
        """All points of all its players."""
        return self.player.count * (self.cannot + self.stretch + self.new_points + SIGN * self.signs)

    @property
    def fits(self) -> bool:
        """Whether it is all within the level's range and taught."""
        return not (self.cannot or self.above or self.below or self.new)


@dataclass(frozen=True, slots=True)
class KeyChoice:
    """One concert key, weighed."""

    key: Key
    """Concert key, in the tune's mode."""
    costs: tuple[PlayerCost, ...]
    """Every pitched instrument of the band, in score order."""
    tie: tuple[int, int, int]
    """What breaks a tie: sharps or flats, distance from the tune's own key in fifths, sharps after flats."""

    @property
    def points(self) -> int:
        """The number: lower is better, 0 is best."""
        return sum(cost.points for cost in self.costs)

    @property
    def parts(self) -> dict[str, int]:
        """The number taken apart: ``cannot``, ``stretch``, ``new``, ``signs``, in points of all players."""
        return {
            "cannot": sum(cost.player.count * cost.cannot for cost in self.costs),
            "stretch": sum(cost.player.count * cost.stretch for cost in self.costs),
            "new": sum(cost.player.count * cost.new_points for cost in self.costs),
            "signs": sum(cost.player.count * SIGN * cost.signs for cost in self.costs),
        }

    @property
    def suits_all(self) -> bool:
        """Whether everyone stays within range and within what was taught."""
        return all(cost.fits for cost in self.costs)


Known = Mapping[str, Iterable[int]]
"""For each instrument id, the sounding MIDI numbers its players were taught."""


def rank(line: Line, players: Sequence[Player], level: str, known: Known | None = None) -> tuple[KeyChoice, ...]:
    """All fifteen concert keys, best first, for players at ``level`` (and who know ``known``, if given).

    Drums, which have no pitch, and instruments that nobody plays are left out. ``ValueError`` for a line without notes.
    """
    pitches = tuple(sorted(set(_sounded(line)), key=lambda pitch: pitch.midi))
    if not pitches:
        raise ValueError("a line without notes fits every key")
    asked = [(each, _reach(each, level, known)) for each in players if each.instrument.pitched and each.count]
    choices = (_choice(line.key, pitches, fifths, asked) for fifths in KEYS)
    return tuple(sorted(choices, key=lambda choice: (choice.points, choice.tie)))


def first_level(line: Line, players: Sequence[Player]) -> tuple[str, tuple[KeyChoice, ...]]:
    """The lowest level at which some key suits everyone, with its ranking.

    Where none does below the full range, the ranking for first-year players, with what it stretches.
    """
    for level in LEVELS[:2]:
        ranking = rank(line, players, level)
        if any(choice.suits_all for choice in ranking):
            break
    return level, ranking


def best_for_all(ranking: Sequence[KeyChoice]) -> KeyChoice:
    """The best key that suits everyone, or simply the best where none does."""
    return next((choice for choice in ranking if choice.suits_all), ranking[0])


def playable(
    tunes: Iterable[Tune], players: Sequence[Player], level: str, known: Known | None = None
) -> tuple[tuple[Tune, KeyChoice], ...]:
    """The tunes this band can play together today, each in its best key that suits all; easiest first, then by id."""
    found = []
    for tune in tunes:
        choice = best_for_all(rank(tune.line, players, level, known))
        if choice.suits_all:
            found.append((tune, choice))
    return tuple(sorted(found, key=lambda pair: (pair[1].points, pair[0].id)))


def _sounded(line: Line) -> Iterable[Pitch]:
    for _, note in line:
        yield from note.graces
        if note.pitch:
            yield note.pitch


def _reach(player: Player, level: str, known: Known | None) -> Reach:
    return Reach.of(player.instrument, level, None if known is None else known.get(player.id, ()))


def _choice(own: Key, pitches: tuple[Pitch, ...], fifths: int, asked: Sequence[tuple[Player, Reach]]) -> KeyChoice:
    interval = key_interval(own, fifths)
    concert = tuple(transpose(pitch, interval) for pitch in pitches)
    key = Key(fifths, own.mode)
    return KeyChoice(
        key,
        tuple(_cost(key, concert, player, reach) for player, reach in asked),
        (abs(fifths), abs(fifths - own.fifths), int(fifths > 0)),
    )


def _cost(key: Key, concert: tuple[Pitch, ...], player: Player, reach: Reach) -> PlayerCost:
    midis = frozenset(pitch.midi for pitch in concert)
    octaves = reach.octave(midis)
    sounding = [pitch.midi + 12 * octaves for pitch in concert]
    cannot, stretch, new_points = reach.points(midis, octaves)
    interval = respelled(to_written(player.reading.interval, octaves), (key.fifths,))
    written = tuple(transpose(pitch, interval) for pitch in concert)
    written_key = Key(key.fifths + fifths_moved(interval), key.mode)
    known = reach.known
    bottom, top = reach.levels[0]
    return PlayerCost(
        player=player,
        octaves=octaves,
        lowest=written[0],
        highest=written[-1],
        above=max(0, max(sounding) - top),
        below=max(0, bottom - min(sounding)),
        new=() if known is None else tuple(w for w, midi in zip(written, sounding, strict=True) if midi not in known),
        key=written_key,
        signs=_signs(written_key, written),
        cannot=cannot,
        stretch=stretch,
        new_points=new_points,
    )


def _signs(key: Key, written: Iterable[Pitch]) -> int:
    """Different altered letters the player must remember: of the signature where they occur, and accidentals."""
    alters = key.alters
    found = {(pitch.step, pitch.alter) for pitch in written}
    return sum(bool(alter) or alters[step] != 0 for step, alter in found)


Met = Mapping[str, Mapping[int, int]]
"""For each instrument id, the place (week, from 0) at which each sounding MIDI number is taught."""


def first_together(line: Line, players: Sequence[Player], met: Met) -> tuple[int, Key] | None:
    """The first place at which every player knows every note in some one key, with that key; ``None`` if never.

    Only notes count, not note values. Of keys reached at the same place, fewer sharps or flats, then flats first.
    """
    notes = frozenset(pitch.midi for pitch in _sounded(line))
    asked = [player for player in players if player.instrument.pitched and player.count]
    found = []
    for fifths in KEYS:
        shift = semitones(key_interval(line.key, fifths))
        places = [_place_of(notes, shift, met.get(player.id, {})) for player in asked]
        if places and all(place is not None for place in places):
            last = max(place for place in places if place is not None)
            found.append((last, abs(fifths), int(fifths > 0), Key(fifths, line.key.mode)))
    if not found:
        return None
    place, _, _, key = min(found, key=lambda entry: entry[:3])
    return place, key


def first_alone(line: Line, fifths: int, player: Player, met: Met) -> int | None:
    """The first place at which one player knows every note in a key, in some octave; ``None`` if never."""
    notes = frozenset(pitch.midi for pitch in _sounded(line))
    return _place_of(notes, semitones(key_interval(line.key, fifths)), met.get(player.id, {}))


def _place_of(notes: frozenset[int], shift: int, taught: Mapping[int, int]) -> int | None:
    places = [
        max(taught[midi + shift + 12 * octaves] for midi in notes)
        for octaves in OCTAVES
        if all(midi + shift + 12 * octaves in taught for midi in notes)
    ]
    return min(places, default=None)
