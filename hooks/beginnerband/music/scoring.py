"""Sharing four lines out among the players there are: who plays which line, in which octave, and in which concert key.

The search is exact. In each of the fifteen keys every desk may take any line in any octave near its home; the cheapest
way that covers every line is found by dynamic programming over which lines are covered, and the cheapest key wins. What
a way costs is a sum of whole points, each with its reason and weight from ``content/scoring.yml``:

- a note outside what the player's level allows, or that the instrument cannot play at all;
- a note (each different one) that has not been taught, or that lies beyond the starter range;
- another line than the desk's own; an octave away from where the instrument is at home;
- a moment at which the line crosses another because of its octave;
- a sharp or flat in the key signature the player reads; leaving the key the piece is written in;
- a line that nobody plays.

Ties are broken in this order: fewer sharps or flats in the concert key, flats before sharps; then, desk by desk in
score order, its own line before others, higher lines before lower, the home octave before others, higher before lower.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from beginnerband.music import shift
from beginnerband.music.fingering import standard
from beginnerband.music.instrument import VOICES, Instrument, Range
from beginnerband.music.pitch import Pitch, usual
from beginnerband.music.reading import Reading
from beginnerband.music.score import Line
from beginnerband.music.voiceleading import Finding, Sounding, check, inherited_from, moments, out_of_range

REASONS = {
    "uncovered": "a line nobody plays",
    "impossible": "notes the instrument cannot play",
    "range": "notes outside the range of the level",
    "untaught": "notes not taught yet",
    "stretch": "notes beyond the starter range",
    "line": "another line than usual",
    "octave": "octaves away from home",
    "crossing": "moments at which lines cross",
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
        self._crossings: dict[tuple[str, int], int] = {}
        self._reached: dict[tuple[str, frozenset[int] | None, str, int], list[tuple[str, int]]] = {}

    def ranked(self) -> Ranked:
        """The best scoring in each of the fifteen keys, best first."""
        found = sorted((self.best_in(fifths) for fifths in shift.KEYS), key=_rank)
        return Ranked(found[0], tuple(found[1:]))

    def best_in(self, fifths: int) -> Scoring:
        """The cheapest scoring in one key."""
        interval = shift.key_interval(self.key, fifths)
        moved = shift.semitones(interval)
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
            ("crossing", self._crossed(voice, octave) if desk.holds else 0),
            ("signature", abs(_written_fifths(fifths, desk.reading))),
        ]

    def _reach(self, desk: Desk, voice: str, semitones: int) -> list[tuple[str, int]]:
        """What is counted of the line's notes, moved by ``semitones``; shared by desks that can play the same."""
        key = (desk.instrument.id, desk.taught, voice, semitones)
        if key not in self._reached:
            reach, counts = _Reach(desk, self.rules.level), Counter[str]()
            for midi, times in self.notes[voice].items():
                reason = reach.reason(midi + semitones)
                if reason:
                    counts[reason] += times if reason in ("impossible", "range") else 1
            self._reached[key] = list(counts.items())
        return self._reached[key]

    def _crossed(self, voice: str, octave: int) -> int:
        """Moments at which the line, moved by octaves, crosses a line it did not cross before."""
        if (voice, octave) not in self._crossings:
            place = self.voices.index(voice)
            count = 0
            for moment in self._moments:
                here = moment[place]
                if here is None or not octave:
                    continue
                count += any(
                    other is not None and _side(here + 12 * octave, other, at < place)
                    and not _side(here, other, at < place)
                    for at, other in enumerate(moment)
                    if at != place
                )
            self._crossings[voice, octave] = count
        return self._crossings[voice, octave]

    @cached_property
    def _moments(self) -> tuple[tuple[int | None, ...], ...]:
        return tuple(
            tuple(pitch.midi if pitch else None for pitch in moment.pitches)
            for moment in moments(list(self.lines.values()))
        )

    def _bit(self, desk: Desk, voice: str) -> int:
        return 1 << self.voices.index(voice) if desk.holds else 0

    def _missing(self, mask: int) -> tuple[str, ...]:
        return tuple(voice for place, voice in enumerate(self.voices) if not mask >> place & 1)


def _side(here: int, other: int, other_is_higher: bool) -> bool:
    """Whether a note is on the wrong side of another line."""
    return here > other if other_is_higher else here < other


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


# What becomes of a scoring


@dataclass(frozen=True, slots=True)
class Cover:
    """Somebody on a line that is not theirs, or a line with nobody."""

    voice: str
    """The line."""
    seats: tuple[Seat, ...]
    """Who plays it instead; empty when nobody does."""


def covers(scoring: Scoring) -> tuple[Cover, ...]:
    """Lines that none of their usual players hold, with who covers them."""
    found = []
    for voice in VOICES:
        seats = tuple(seat for seat in scoring.playing(voice) if seat.desk.holds)
        if voice in scoring.uncovered or (seats and all(seat.moved for seat in seats)):
            found.append(Cover(voice, seats))
    return tuple(found)


def sounding(line: Line, scoring: Scoring, octave: int = 0) -> Line:
    """A line of the piece as it sounds in the scoring's key, moved by octaves."""
    return shift.by(line, _with_octaves(scoring.interval, octave))


def written(line: Line, scoring: Scoring, seat: Seat) -> Line:
    """What the players at a seat read."""
    return shift.written(sounding(line, scoring), seat.desk.reading, seat.octave)


def _with_octaves(interval: str, octave: int) -> str:
    if not octave:
        return interval
    middle = Pitch("D", 0, 4)
    moved = shift.transpose(middle, interval)
    return shift.between(middle, replace(moved, octave=moved.octave + octave))


def heard(lines: Mapping[str, Line], scoring: Scoring, words: str) -> tuple[Sounding, ...]:
    """The lines as the brass play them, highest first; a line in two octaves appears twice, with who plays each."""
    found = []
    for voice, line in lines.items():
        by_octave: dict[int, list[str]] = {}
        for seat in scoring.playing(voice):
            if seat.desk.holds:
                by_octave.setdefault(seat.octave, []).append(seat.desk.name(words))
        found += [
            Sounding(voice, sounding(line, scoring, octave), ", ".join(by_octave[octave]))
            for octave in sorted(by_octave, reverse=True)
        ]
    return tuple(found)


def report(lines: Mapping[str, Line], scoring: Scoring, rules: Rules, words: str) -> tuple[Finding, ...]:
    """Everything a trained ear would notice in the scoring, what the source had already marked as inherited."""
    source = tuple(Sounding(voice, line) for voice, line in lines.items())
    voices = heard(lines, scoring, words)
    found = inherited_from(check(source, rules.longest_breath), check(voices, rules.longest_breath))
    ranges = [finding for seat in scoring.seats for finding in range_findings(lines, scoring, seat, rules, words)]
    return tuple(sorted((*found, *ranges), key=lambda finding: (finding.bar, finding.beat)))


def range_findings(
    lines: Mapping[str, Line], scoring: Scoring, seat: Seat, rules: Rules, words: str
) -> tuple[Finding, ...]:
    """Where a seat's part leaves the range of the players' level."""
    line = sounding(lines[seat.voice], scoring, seat.octave)
    who = seat.desk.name(words)
    span = seat.desk.instrument.sounding_range(rules.level)
    return out_of_range(
        Sounding(seat.voice, line, who), span.low, span.high, f"the {rules.level} range of the {who}"
    )


def new_notes(lines: Mapping[str, Line], scoring: Scoring, seat: Seat) -> tuple[Pitch, ...]:
    """Written notes of a seat's part that its players have not been taught, lowest first; empty when nobody says."""
    if seat.desk.taught is None:
        return ()
    part = written(lines[seat.voice], scoring, seat)
    pitches = {pitch.midi: pitch for pitch in part.pitches}
    shifted = seat.desk.reading.semitones
    return tuple(pitches[midi] for midi in sorted(pitches) if midi + shifted not in seat.desk.taught)


def playable(instrument: Instrument, midi: int) -> bool:
    """Whether the instrument has a fingering or bar for a sounding MIDI number, within its full range."""
    low, high = _span(instrument.sounding_range("full"))
    if not low <= midi <= high:
        return False
    return not instrument.brass or standard(instrument, usual(midi)) is not None
