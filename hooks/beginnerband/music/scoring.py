"""Sharing four lines out among the players there are: who plays which line, in which octave, and in which concert key.

The search is exact. In each of the fifteen keys every desk may take any line in any octave near its home; the cheapest
way that covers every line is found by dynamic programming over which lines are covered, and the cheapest key wins. What
a way costs is a sum of whole points, each with its reason and weight from ``content/scoring.yml``:

- a note outside what the player's level allows, or that the instrument cannot play at all;
- a note (each different one) that has not been taught, or that lies beyond the starter range;
- another line than the desk's own; an octave away from where the instrument is at home;
- a moment at which the line, because of its octave, crosses another or moves with it in parallel fifths or octaves;
- a sharp or flat in the key signature the player reads; leaving the key the piece is written in;
- a line that nobody plays.

Ties are broken in this order: fewer sharps or flats in the concert key, flats before sharps; then, desk by desk in
score order, its own line before others, higher lines before lower, the home octave before others, higher before lower.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from beginnerband.music import shift
from beginnerband.music.instrument import Instrument, Range
from beginnerband.music.pitch import semitones
from beginnerband.music.reading import Reading
from beginnerband.music.score import Line
from beginnerband.music.voiceleading import Point, moments, parallel_points, point

Heard = tuple[tuple[Point | None, ...], ...]
"""What each line sounds at each moment."""

REASONS = {
    "uncovered": "a line nobody plays",
    "impossible": "notes the instrument cannot play",
    "range": "notes outside the range of the level",
    "untaught": "notes not taught yet",
    "stretch": "notes beyond the starter range",
    "line": "another line than usual",
    "octave": "octaves away from home",
    "crossing": "moments at which lines cross",
    "parallel": "parallel fifths or octaves made",
    "signature": "sharps and flats to read",
    "key": "leaving the key of the piece",
}
"""Why points are charged, worst first, and what is counted."""


@dataclass(frozen=True, slots=True)
class Rules:
    """How lines are shared out, from ``content/scoring.yml``."""

    lines: Mapping[str, tuple[str, ...]] = field(hash=False)
    """For each instrument id, the line of its first, second, … desk."""
    home: Mapping[str, int] = field(hash=False)
    """Octaves by which an instrument usually plays away from the written line; 0 where it is not named."""
    descant: tuple[str, ...]
    """Instruments that may take a descant."""
    weights: Mapping[str, int] = field(hash=False)
    """Points for one of each of :data:`REASONS`, except ``uncovered``."""
    uncovered: Mapping[str, int] = field(hash=False)
    """Points for a line that nobody plays, by line."""
    level: str = "first-year"
    """Range level the players have reached."""
    longest_breath: float = 9.0
    """Seconds a player should play at most without a rest or breath mark."""
    cue_bars: int = 4
    """Bars of rest after which a part gets a cue."""


@dataclass(frozen=True, slots=True)
class Desk:
    """Players of one instrument who play the same part."""

    instrument: Instrument
    """What they play."""
    reading: Reading
    """How they read."""
    number: int = 0
    """1 for first, 2 for second; 0 where the instrument has only one desk."""
    players: int = 1
    """How many they are."""
    line: str = ""
    """Their usual line, of :data:`~beginnerband.music.instrument.VOICES`."""
    taught: frozenset[int] | None = None
    """Sounding MIDI numbers they have been taught; ``None`` when nobody says."""

    @property
    def id(self) -> str:
        """As ``cornet-2``; the first desk carries the instrument's own id."""
        return f"{self.instrument.id}-{self.number}" if self.number > 1 else self.instrument.id

    def name(self, words: str) -> str:
        """As ``second B♭ cornet``."""
        ordinal = ("", "first ", "second ", "third ", "fourth ")[min(self.number, 4)]
        return ordinal + self.instrument.names.of(words)

    @property
    def holds(self) -> bool:
        """Whether it can hold a line alone: brass can, keyed percussion only doubles."""
        return self.instrument.brass


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
    octave: int
    """Octaves above (below) the line as the piece has it in this key."""
    bill: tuple[Charge, ...]
    """What it costs, item by item."""

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
    """What is charged beside the seats: the key, and lines nobody plays."""
    uncovered: tuple[str, ...]
    """Lines nobody plays."""

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


def desks_of(chairs: Iterable[tuple[Instrument, Reading, int]], rules: Rules) -> tuple[Desk, ...]:
    """Desks of the players, in score order: as many for an instrument as the rules give it lines and it has players.

    Players are spread evenly, more in front. Instruments without a line in the rules (drums) are left out.
    """
    desks = []
    for instrument, reading, players in chairs:
        lines = rules.lines.get(instrument.id, ())[:players]
        for number, line in enumerate(lines):
            share = players // len(lines) + (number < players % len(lines))
            desks.append(Desk(instrument, reading, number + 1 if len(lines) > 1 else 0, share, line))
    return tuple(desks)


class Search:
    """The scorings of one piece for one set of desks."""

    def __init__(self, lines: Mapping[str, Line], desks: Sequence[Desk], rules: Rules) -> None:
        """``lines`` are the sounding lines by voice, highest first, in the key of the piece."""
        self.lines = dict(lines)
        self.desks = tuple(desks)
        self.rules = rules
        self.voices = tuple(self.lines)
        self.key = next(iter(self.lines.values())).key
        self.notes = {voice: Counter(_struck(line)) for voice, line in self.lines.items()}
        self._reaches = {(desk.instrument.id, desk.taught): _Reach(desk, rules.level) for desk in self.desks}
        self._clashing: dict[tuple[str, int], dict[str, int]] = {}
        self._reached: dict[tuple[str, frozenset[int] | None, str, int], list[tuple[str, int]]] = {}

    def ranked(self) -> Ranked:
        """The best scoring in each of the fifteen keys, best first."""
        found = sorted((self.best_in(fifths) for fifths in shift.KEYS), key=_rank)
        return Ranked(found[0], tuple(found[1:]))

    def best_in(self, fifths: int) -> Scoring:
        """The cheapest scoring in one key."""
        interval = shift.key_interval(self.key, fifths)
        moved = semitones(interval)
        choices = [self._choices(desk, fifths, moved) for desk in self.desks]
        best: dict[int, tuple[int, tuple[int, ...]]] = {
            mask: (sum(self.rules.uncovered[voice] for voice in self._missing(mask)), ())
            for mask in range(1 << len(self.voices))
        }
        for desk, options in zip(reversed(self.desks), reversed(choices), strict=True):
            bits = [self._bit(desk, voice) for _, voice, _ in options]
            best = {
                mask: min(
                    (points + best[mask | bit][0], (place, *best[mask | bit][1]))
                    for place, ((points, _, _), bit) in enumerate(zip(options, bits, strict=True))
                )
                for mask in best
            }
        seats = tuple(
            self.seat(desk, *options[place][1:], fifths, moved)
            for desk, options, place in zip(self.desks, choices, best[0][1], strict=True)
        )
        return self.scoring(seats, fifths, interval)

    def scoring(self, seats: tuple[Seat, ...], fifths: int, interval: str) -> Scoring:
        """Seats and key together with what is charged beside the seats."""
        covered = 0
        for seat in seats:
            covered |= self._bit(seat.desk, seat.voice)
        missing = self._missing(covered)
        bill = [Charge("uncovered", 1, self.rules.uncovered[voice]) for voice in missing]
        if fifths != self.key.fifths:
            bill.append(Charge("key", 1, self.rules.weights["key"]))
        return Scoring(fifths, interval, seats, tuple(bill), missing)

    def options(self, desk: Desk) -> Iterator[tuple[str, int]]:
        """Every line and octave a desk may take, in the order that breaks ties."""
        lines = sorted(self.voices, key=lambda voice: (voice != desk.line, self.voices.index(voice)))
        home = self.rules.home.get(desk.instrument.id, 0)
        for voice in lines if desk.holds else lines[:1]:
            for away in (0, 1, -1, 2, -2):
                yield voice, home + away

    def _choices(self, desk: Desk, fifths: int, moved: int) -> list[tuple[int, str, int]]:
        """Points, line and octave of every option."""
        weights = self.rules.weights
        return [
            (sum(weights[reason] * count for reason, count in counts), voice, octave)
            for voice, octave in self.options(desk)
            for counts in (self._counts(desk, voice, octave, fifths, moved),)
        ]

    def seat(self, desk: Desk, voice: str, octave: int, fifths: int, moved: int) -> Seat:
        """A desk on a line, with its bill; ``moved`` is how many semitones this key lies from the piece's own."""
        counts = dict(self._counts(desk, voice, octave, fifths, moved))
        weights = self.rules.weights
        bill = tuple(Charge(reason, counts[reason], weights[reason]) for reason in REASONS if counts.get(reason))
        return Seat(desk, voice, octave, bill)

    def _counts(self, desk: Desk, voice: str, octave: int, fifths: int, moved: int) -> list[tuple[str, int]]:
        reach = self._reach(desk, voice, moved + 12 * octave)
        away = abs(octave - self.rules.home.get(desk.instrument.id, 0))
        return [
            *reach,
            ("line", int(voice != desk.line)),
            ("octave", away),
            *(self._clashes(voice, octave).items() if desk.holds else ()),
            ("signature", abs(_written_fifths(fifths, desk.reading))),
        ]

    def _reach(self, desk: Desk, voice: str, moved: int) -> list[tuple[str, int]]:
        """What is counted of the line's notes, ``moved`` semitones; shared by desks that can play the same."""
        key = (desk.instrument.id, desk.taught, voice, moved)
        if key not in self._reached:
            reach, counts = self._reaches[desk.instrument.id, desk.taught], Counter[str]()
            for midi, times in self.notes[voice].items():
                reason = reach.reason(midi + moved)
                if reason:
                    counts[reason] += times if reason in ("impossible", "range") else 1
            self._reached[key] = list(counts.items())
        return self._reached[key]

    def _clashes(self, voice: str, octave: int) -> dict[str, int]:
        """How often the line, moved by octaves, crosses or runs parallel to another as it did not before."""
        if (voice, octave) not in self._clashing:
            place = self.voices.index(voice)
            others = [at for at in range(len(self.voices)) if at != place] if octave else []
            self._clashing[voice, octave] = {
                "crossing": sum(_crossings(self._moments, place, other, octave) for other in others),
                "parallel": sum(_parallels(self._moments, place, other, octave) for other in others),
            }
        return self._clashing[voice, octave]

    @cached_property
    def _moments(self) -> Heard:
        return tuple(
            tuple(point(pitch) if pitch else None for pitch in moment.pitches)
            for moment in moments(list(self.lines.values()))
        )

    def _bit(self, desk: Desk, voice: str) -> int:
        return 1 << self.voices.index(voice) if desk.holds else 0

    def _missing(self, mask: int) -> tuple[str, ...]:
        return tuple(voice for place, voice in enumerate(self.voices) if not mask >> place & 1)


def _crossings(heard: Heard, place: int, other: int, octave: int) -> int:
    """Moments at which line ``place``, moved by octaves, is on the wrong side of ``other`` as it was not before."""
    side = 1 if other < place else -1

    count = 0
    for moment in heard:
        mine, theirs = moment[place], moment[other]
        if mine and theirs:
            apart = mine[0] - theirs[0]
            count += side * (apart + 12 * octave) > 0 and not side * apart > 0
    return count


def _parallels(heard: Heard, place: int, other: int, octave: int) -> int:
    """Parallel fifths, octaves and unisons that moving line ``place`` by octaves makes with ``other``."""
    count = 0
    for before, after in pairwise(heard):
        mine, then, theirs, theirs_then = before[place], after[place], before[other], after[other]
        if mine and then and theirs and theirs_then and mine != then and theirs != theirs_then:
            kind = parallel_points(_lifted(mine, octave), theirs, _lifted(then, octave), theirs_then)
            count += bool(kind) and kind != parallel_points(mine, theirs, then, theirs_then)
    return count


def _lifted(one: Point, octaves: int) -> Point:
    return one[0] + 12 * octaves, one[1] + 7 * octaves


def _rank(scoring: Scoring) -> tuple[int, int, bool]:
    return scoring.points, abs(scoring.fifths), scoring.fifths > 0


def _struck(line: Line) -> Iterator[int]:
    tied = False
    for _, note in line:
        if note.pitch and not tied:
            yield note.pitch.midi
        tied = note.tie


def _written_fifths(fifths: int, reading: Reading) -> int:
    written = fifths - shift.fifths_moved(reading.interval)
    return written - 12 if written > 7 else written + 12 if written < -7 else written


class _Reach:
    """What a desk can play, as MIDI numbers that sound."""

    def __init__(self, desk: Desk, level: str) -> None:
        self.full, self.level, self.easy = (
            _span(desk.instrument.sounding_range(name)) for name in ("full", level, "starter")
        )
        self.taught = desk.taught

    def reason(self, midi: int) -> str:
        """Why this note costs something, of :data:`REASONS`, or empty."""
        if not self.full[0] <= midi <= self.full[1]:
            return "impossible"
        if not self.level[0] <= midi <= self.level[1]:
            return "range"
        if self.taught is not None and midi not in self.taught:
            return "untaught"
        return "" if self.easy[0] <= midi <= self.easy[1] else "stretch"


def _span(span: Range) -> tuple[int, int]:
    return span.low.midi, span.high.midi
