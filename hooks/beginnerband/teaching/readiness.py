"""From which lesson a part can be played: everything it asks, and the lesson that brings each thing.

One rule for tunes, pieces, lessons and parts. A player is ready for a part from the first lesson after which

- every written note has been taught as it is spelled, every length and rest, metre, sign and technique;
- the key signature, where there is one, has been read, and the ladder of that stage allows that many signs;
- the widest leap, the longest breath and the longest playing without a rest are within the ladder of that stage (breath
  and playing for brass), and stay so;
- notation is read at all, where the part is read and not taught by ear.

Nothing here knows how a course is written down: only what was taught by when (:class:`Taught`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field

from beginnerband.music.keychoice import ORDER
from beginnerband.music.part import OCTAVES
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Key
from beginnerband.music.shift import KEYS, key_interval, most_written, to_written
from beginnerband.teaching.facts import Facts
from beginnerband.teaching.grading import Week
from beginnerband.teaching.ladder import Ladder, Limit, Rung

KINDS = ("note", "value", "metre", "technique", "signature", "leap", "breath", "playing", "notation")
"""What a part may need."""


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that a part asks of its player."""

    kind: str
    """One of :data:`KINDS`."""
    what: str
    """A note as ``Bb4``, a value as ``dotted quarter``, a metre as ``6/8``, a technique as ``slur``, a signature by
    fifths, a leap in semitones, breath and playing in seconds; empty for notation."""
    bar: int
    """Where it is first met; 0 for a pickup or where no one bar is meant."""
    place: int | None
    """Week of the course (from 0) that brings it; ``None``: none does."""

    @property
    def amount(self) -> float:
        """:attr:`what` as a figure, for a leap, breath and playing."""
        return float(self.what)


@dataclass(frozen=True, slots=True)
class Taught:
    """What one player is taught by when: for each thing the week (from 0) in which it is first met."""

    player: Player
    """Who."""
    notes: Mapping[Pitch, int] = field(hash=False)
    """Written notes, spelled."""
    _: KW_ONLY
    values: Mapping[str, int] = field(hash=False)
    """Lengths of notes and rests."""
    metres: Mapping[str, int] = field(hash=False)
    """As ``3/4``."""
    signatures: Mapping[int, int] = field(hash=False)
    """Written key signatures that were read, by fifths."""
    techniques: Mapping[str, int] = field(hash=False)
    """As ``slur``."""
    rungs: tuple[Rung, ...] = field(hash=False, repr=False)
    """The ladder's rung of each week."""


def taught(weeks: Sequence[Week], player: Player, ladder: Ladder) -> Taught:
    """What ``player`` is taught in ``weeks``."""
    found: dict[str, dict[object, int]] = {}
    for week in weeks:
        new = week.new
        for name in ("notes", "values", "metres", "signatures", "techniques"):
            for thing in sorted(getattr(new, name), key=repr):  # sets come in another order in every process
                found.setdefault(name, {}).setdefault(thing, week.place)
    rungs = tuple(ladder.at(week.lesson.stage).rung for week in weeks)
    return Taught(
        player=player,
        rungs=rungs,
        **{name: found.get(name, {}) for name in ("notes", "values", "metres", "signatures", "techniques")},  # type: ignore[arg-type]
    )


def needs(facts: Facts, known: Taught, read: bool = True) -> tuple[Need, ...]:
    """Everything a part with ``facts`` asks of a player, with the week that brings it; read, or taught by ear."""
    return (*_placed(facts, known, read), *_unplaced(facts, known, read))


def _placed(facts: Facts, known: Taught, read: bool) -> Iterator[Need]:
    """What depends on key and octave."""
    for pitch, bar in facts.notes.items():
        yield Need("note", pitch.name, bar, known.notes.get(pitch))
    if read:
        yield from _signs(facts, known)


def _signs(facts: Facts, known: Taught) -> Iterator[Need]:
    for fifths, bar in facts.signatures.items():
        if fifths:  # no sharps or flats: nothing to read
            allowed = _from(known, lambda rung: rung.signature, abs(fifths))
            yield Need("signature", str(fifths), bar, _later(allowed, known.signatures.get(fifths)))


def _unplaced(facts: Facts, known: Taught, read: bool) -> Iterator[Need]:
    """What is the same in every key and octave."""
    for kind, asked, when in (
        ("value", facts.values, known.values),
        ("metre", facts.metres, known.metres),
        ("technique", facts.techniques, known.techniques),
    ):
        for name, bar in asked.items():
            yield Need(kind, name, bar, when.get(name))
    if facts.leap:
        yield Need("leap", str(facts.leap), facts.leap_bar, _from(known, lambda rung: rung.leap, facts.leap))
    if known.player.instrument.brass:
        breath, playing = facts.breath, facts.playing
        in_time = _from(known, lambda rung: rung.breath, breath.seconds)
        yield Need("breath", f"{breath.seconds:.2f}", breath.bar, in_time)
        in_time = _from(known, lambda rung: rung.playing, playing.seconds)
        yield Need("playing", f"{playing.seconds:.2f}", playing.bar, in_time)
    if read:
        yield Need("notation", "", 0, _first(known, lambda rung: rung.notation))


def ready(asked: Iterable[Need]) -> int | None:
    """The week (from 0) after which nothing is lacking; ``None`` when something is never taught; 0 for no needs."""
    return _latest(need.place for need in asked)


def lacking(asked: Iterable[Need], place: int) -> tuple[Need, ...]:
    """What is still missing after week ``place``; -1 is before the first."""
    return tuple(need for need in asked if need.place is None or need.place > place)


def _from(known: Taught, limit: Callable[[Rung], Limit], asked: float) -> int | None:
    return _first(known, lambda rung: asked <= limit(rung).of(known.player) + 1e-6)


def _first(known: Taught, holds: Callable[[Rung], bool]) -> int | None:
    """The first week from which a rung's limit holds and goes on holding."""
    found = None
    for place in reversed(range(len(known.rungs))):
        if not holds(known.rungs[place]):
            break
        found = place
    return found


def _later(first: int | None, second: int | None) -> int | None:
    return None if first is None or second is None else max(first, second)


# The key in which everyone is ready soonest


@dataclass(frozen=True, slots=True)
class When:
    """From when everyone can play a tune in one key."""

    key: Key
    """The concert key."""
    ear: int | None
    """Week (from 0) from which they can, taught by ear; ``None``: something is never taught."""
    paper: int | None
    """Week from which they can read it, never before :attr:`ear`; ``None``: never."""
    octaves: Mapping[str, int] = field(hash=False)
    """Octaves an instrument's part is moved, by instrument id, for those who are taught all its notes in one."""


def soonest(
    facts: Facts, key: Key, players: Sequence[Taught], drums: Iterable[Need] = (), keys: Iterable[int] = KEYS
) -> When | None:
    """The key in which everyone can play a tune soonest, or in which least is never taught; ``None`` without players.

    ``facts`` and ``key`` are the tune's at concert pitch; ``drums`` is what it asks of players without pitch. Of keys
    that ask for as little, one that can be read comes first, then one that can be played sooner, then read sooner, then
    the one that is commoner for beginning brass. ``keys`` are those to choose from, in fifths.
    """
    if not players:
        return None
    others = [need for known in players for need in _unplaced(facts, known, read=True)] + list(drums)
    ear, paper = ready(by_ear(others)), ready(others)
    found = []
    for fifths in keys:
        seats = _seats(facts.moved(key_interval(key, fifths)), players)
        never = sum(seat.never for seat in seats.values())
        when = When(
            key=Key(fifths, key.mode),
            ear=_latest([ear, *(seat.ear for seat in seats.values())]),
            paper=_latest([paper, *(seat.paper for seat in seats.values())]),
            octaves={ident: seat.octaves for ident, seat in seats.items() if seat.ear is not None},
        )
        found.append(((never, when.paper is None, when.ear or 0, when.paper or 0, ORDER.index(fifths)), when))
    return min(found, key=lambda entry: entry[0])[1]


def by_ear(asked: Iterable[Need]) -> tuple[Need, ...]:
    """What remains of the needs where the part is taught by ear."""
    return tuple(need for need in asked if need.kind not in ("signature", "notation"))


def _latest(places: Iterable[int | None]) -> int | None:
    latest = 0
    for place in places:
        if place is None:
            return None
        latest = max(latest, place)
    return latest


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seat:
    """Where one player knows the notes of a tune soonest."""

    octaves: int
    never: int
    """How many of its notes and signatures are never taught."""
    ear: int | None
    paper: int | None


def _seats(concert: Facts, players: Sequence[Taught]) -> dict[str, _Seat]:
    """The best octave of every player for facts at concert pitch."""
    written: dict[str, _Written] = {}
    seats = {}
    for known in players:
        interval = known.player.reading.interval
        if interval not in written:
            written[interval] = _Written.of(concert.moved(to_written(interval), most_written(interval)))
        seats[known.player.id] = _seat(written[interval], known)
    return seats


@dataclass(frozen=True, slots=True)
class _Written:
    """What all who read alike are given."""

    facts: Facts
    octaves: tuple[tuple[Pitch, ...], ...]
    """The notes, moved by each of :data:`OCTAVES`."""

    @classmethod
    def of(cls, facts: Facts) -> _Written:
        """What is asked in each octave."""
        return cls(facts, tuple(tuple(pitch.octaves_up(octaves) for pitch in facts.notes) for octaves in OCTAVES))


def _seat(written: _Written, known: Taught) -> _Seat:
    signs = [need.place for need in _signs(written.facts, known)]
    read = _latest(signs)
    found = []
    for order, (octaves, notes) in enumerate(zip(OCTAVES, written.octaves, strict=True)):
        places = [known.notes.get(pitch) for pitch in notes]
        ear = _latest(places)
        paper = None if ear is None or read is None else max(ear, read)
        never = places.count(None) + signs.count(None)
        found.append(
            ((never, paper is None, ear or 0, order), _Seat(octaves=octaves, never=never, ear=ear, paper=paper))
        )
    return min(found, key=lambda entry: entry[0])[1]
