"""What it means to share four lines out among the players there are: desks, seats, the bill, and the rules.

A :class:`Scoring` is one way of doing it; :mod:`beginnerband.music.sharing` finds the cheapest. What a way costs is a
sum of whole points, each with its reason (:data:`REASONS`) and its weight from ``content/scoring.yml``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field, replace

from beginnerband.music.instrument import VOICES, Instrument
from beginnerband.music.phrases import START, Place
from beginnerband.music.player import Player

REASONS = {
    "uncovered": "a line nobody plays",
    "impossible": "notes the instrument cannot play",
    "order": "percent of the time above the tune or below the bass",
    "half": "players more than half the brass on one line",
    "share": "percent of the brass too many on a line",
    "range": "percent of the notes outside the range of the level",
    "untaught": "notes not taught yet",
    "foreign": "a line that is not the instrument's",
    "line": "another line than usual",
    "beyond": "sharps and flats beyond what the ladder allows",
    "fold": "changes of octave between phrases",
    "octave": "octaves away from home",
    "crossing": "percent of the time that inner lines cross",
    "parallel": "parallel fifths or octaves made",
    "stretch": "notes beyond the starter range",
    "signature": "sharps and flats to read",
    "key": "leaving the key of the piece",
    "uncommon": "sharps or flats away from the concert keys of beginning brass",
}
"""Why points are charged, worst first, and what is counted."""


THREE = 3
"""Desks that a band has at least, if it has the players: for the tune, the bass, and the line with the third."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """How lines are shared out, from ``content/scoring.yml``."""

    lines: Mapping[str, tuple[str, ...]] = field(hash=False)
    """For each instrument id, the line of its first, second … desk."""
    home: Mapping[str, int] = field(hash=False)
    """Octaves by which an instrument usually plays away from the written line; 0 where it is not named."""
    descant: tuple[str, ...]
    """Instruments that may take a descant."""
    shares: Mapping[str, int] = field(hash=False)
    """Usual proportion of brass players on each line."""
    weights: Mapping[str, int] = field(hash=False)
    """Points for one of each of :data:`REASONS`, except ``uncovered``."""
    uncovered: Mapping[str, int] = field(hash=False)
    """Points for a line that nobody plays, by line."""
    third: int = 0
    """Points more for an inner line that alone has the third in every chord; less where it has fewer."""
    desk: int = 4
    """Most players at one desk: a larger section is split, and its desks may go to different lines."""
    level: str = "first-year"
    """Range level the players have reached."""
    longest_breath: float = 9.0
    """Seconds a player should play at most without a rest or breath mark."""
    cue_bars: int = 4
    """Bars of rest after which a part gets a cue."""
    only_taught: bool = False
    """Whether a line that is not its own is given to nobody with notes not taught, or beyond the level."""

    def targets(self, voices: Iterable[str], players: int) -> dict[str, int]:
        """Players on each of the lines in the usual proportion, whole people, largest remainders first."""
        asked = {voice: self.shares[voice] for voice in voices}
        total = sum(asked.values()) or 1
        found = {voice: players * share // total for voice, share in asked.items()}
        left = sorted(asked, key=lambda voice: -(players * asked[voice] % total))
        for voice in left[: players - sum(found.values())]:
            found[voice] += 1
        return found


@dataclass(frozen=True, slots=True)
class Desk:
    """Players of one instrument who play the same part."""

    player: Player
    """What they play, how they read, and how many they are."""
    number: int = 0
    """1 for first, 2 for second; 0 where the instrument has only one desk."""
    _: KW_ONLY
    line: str = ""
    """Their usual line, of :data:`~beginnerband.music.instrument.VOICES`."""
    taught: frozenset[int] | None = None
    """Sounding MIDI numbers they have been taught; ``None`` when nobody says."""
    signs: int | None = None
    """Most sharps or flats they read in a signature; ``None`` when nobody says."""
    leap: int = 12
    """Largest leap they are asked for, semitones: a change of octave between phrases must keep to it."""

    @property
    def id(self) -> str:
        """As ``cornet-2``; the first desk carries the instrument's own id."""
        return f"{self.player.instrument.id}-{self.number}" if self.number > 1 else self.player.instrument.id

    def name(self, english: str) -> str:
        """As ``second B♭ cornet``."""
        ordinal = ("", "first ", "second ", "third ", "fourth ")[min(self.number, 4)]
        return ordinal + self.player.instrument.names.of(english)

    @property
    def holds(self) -> bool:
        """Whether it can hold a line alone: brass can, keyed percussion only doubles."""
        return self.player.instrument.brass


@dataclass(frozen=True, slots=True)
class Charge:
    """One item of a bill."""

    reason: str
    """Of :data:`REASONS`."""
    count: int
    """How many."""
    each: int
    """Points for one."""

    @property
    def points(self) -> int:
        """Points in all."""
        return self.count * self.each


@dataclass(frozen=True, slots=True)
class Seat:
    """A desk with the line it plays."""

    desk: Desk
    """Who."""
    voice: str
    """Which line."""
    octaves: tuple[int, ...] = (0,)
    """Octaves above (below) the line as the piece has it in this key, for each phrase; one for a line never folded."""
    bill: tuple[Charge, ...] = ()
    """What it costs, item by item."""

    @property
    def octave(self) -> int:
        """The octave of most of its phrases; of the first of them where two are alike."""
        return max(self.octaves, key=self.octaves.count)

    @property
    def folded(self) -> bool:
        """Whether it changes octave between phrases."""
        return len(set(self.octaves)) > 1

    @property
    def points(self) -> int:
        """Points in all."""
        return sum(charge.points for charge in self.bill)

    @property
    def moved(self) -> bool:
        """Whether it plays another line than usual."""
        return self.voice != self.desk.line


@dataclass(frozen=True, slots=True)
class Scoring:
    """One way of sharing the lines out."""

    fifths: int
    """Concert key, in fifths: flats negative."""
    interval: str
    """From the piece as written to this key, as ``M2``."""
    seats: tuple[Seat, ...]
    """Every desk, in score order."""
    bill: tuple[Charge, ...]
    """What is charged beside the seats: the key, proportions, and lines nobody plays."""
    uncovered: tuple[str, ...]
    """Lines nobody plays."""
    phrases: tuple[Place, ...] = (START,)
    """Where phrases start, for :attr:`Seat.octaves`."""
    exact: bool = True
    """Whether no cheaper way exists in this key; false where there were too many to try them all."""

    @property
    def points(self) -> int:
        """Points in all; the fewer, the better."""
        return sum(charge.points for charge in self.bill) + sum(seat.points for seat in self.seats)

    @property
    def by_reason(self) -> dict[str, int]:
        """Points by reason, only those charged, in the order of :data:`REASONS`."""
        sums: Counter[str] = Counter()
        for charge in (*self.bill, *(charge for seat in self.seats for charge in seat.bill)):
            sums[charge.reason] += charge.points
        return {reason: sums[reason] for reason in REASONS if sums[reason]}

    def playing(self, voice: str) -> tuple[Seat, ...]:
        """Seats on a line."""
        return tuple(seat for seat in self.seats if seat.voice == voice)


@dataclass(frozen=True, slots=True)
class Ranked:
    """The best scoring in every key, best first."""

    best: Scoring
    """The one to play."""
    others: tuple[Scoring, ...]
    """The rest, in order."""


def usual_lines(instrument: Instrument, rules: Rules) -> tuple[str, ...]:
    """The lines of an instrument's desks: what the rules say, else what its own file says it covers."""
    return rules.lines.get(instrument.id, instrument.covers)


def desks_of(players: Iterable[Player], rules: Rules) -> tuple[Desk, ...]:
    """Desks of the players, in score order: one for each usual line of an instrument, and no more players at one
    than the rules allow.

    Where that makes fewer than four desks, or one with more than half the brass, sections that cover more lines are
    split further, and where it makes fewer than three, any section.
    Players are spread evenly, more in front. Instruments without a line (drums) are left out.
    """
    asked = [player for player in players if usual_lines(player.instrument, rules)]
    counts = _desk_counts(asked, rules)
    desks = []
    for player, count in zip(asked, counts, strict=True):
        lines = usual_lines(player.instrument, rules)
        lines = (*lines, *(voice for voice in player.instrument.covers if voice not in lines))[: max(count, len(lines))]
        for number in range(count):
            share = player.count // count + (number < player.count % count)
            line = lines[number * len(lines) // count] if count >= len(lines) else lines[number]
            desks.append(Desk(replace(player, count=share), number + 1 if count > 1 else 0, line=line))
    return tuple(desks)


def _desk_counts(players: Sequence[Player], rules: Rules) -> list[int]:
    counts = [
        min(player.count, max(len(usual_lines(player.instrument, rules)), -(-player.count // rules.desk)))
        if player.instrument.brass
        else min(player.count, 1)
        for player in players
    ]
    brass = [place for place, player in enumerate(players) if player.instrument.brass]
    half = sum(players[place].count for place in brass) // 2

    def room(place: int) -> bool:
        lines = {*usual_lines(players[place].instrument, rules), *players[place].instrument.covers}
        return counts[place] < min(players[place].count, len(lines))

    def size(place: int) -> float:
        return players[place].count / counts[place]

    while open_ := [place for place in brass if room(place)]:
        if sum(counts[place] for place in brass) >= len(VOICES) and all(size(place) <= half for place in brass):
            break
        counts[max(open_, key=size)] += 1
    # tune, bass and the line with the third: one instrument alone is split for them, whatever it usually covers
    while sum(counts[place] for place in brass) < THREE:
        open_ = [place for place in brass if counts[place] < players[place].count]
        if not open_:
            break
        counts[max(open_, key=size)] += 1
    return counts


def gathered(seats: Sequence[Seat]) -> tuple[Seat, ...]:
    """Seats with those of one instrument that play the same put together, numbered from the highest line down."""
    groups: dict[tuple[object, ...], list[Seat]] = {}
    for seat in seats:
        key = (seat.desk.player.id, seat.desk.player.reading.id, seat.desk.taught, seat.voice, seat.octaves)
        groups.setdefault(key, []).append(seat)
    together = [_together(group) for group in groups.values()]
    number, found = Counter[str](), []
    parts = Counter(seat.desk.player.id for seat in together)
    for seat in together:
        ident = seat.desk.player.id
        number[ident] += 1
        numbered = replace(seat.desk, number=number[ident] if parts[ident] > 1 else 0)
        found.append(replace(seat, desk=numbered))
    return tuple(found)


def _together(group: Sequence[Seat]) -> Seat:
    lines = [seat.desk.line for seat in group]
    first = group[0]
    line = first.voice if first.voice in lines else lines[0]
    count = sum(seat.desk.player.count for seat in group)
    desk = replace(first.desk, player=replace(first.desk.player, count=count), line=line)
    counts: dict[tuple[str, int], int] = {}
    for seat in group:
        for charge in seat.bill:
            counts[charge.reason, charge.each] = counts.get((charge.reason, charge.each), 0) + charge.count
    bill = tuple(Charge(reason, count, each) for (reason, each), count in counts.items())
    order = {reason: place for place, reason in enumerate(REASONS)}
    return replace(first, desk=desk, bill=tuple(sorted(bill, key=lambda charge: order[charge.reason])))
