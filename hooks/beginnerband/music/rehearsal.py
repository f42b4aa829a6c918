"""How to rehearse a piece: who has the tune, whom to bring in, what is hard and why, chords to stop on, minutes.

Everything is computed from the lines and from who plays them. What counts as hard, how much of it is shown, and what a
rehearsal of each length is made of stands in ``content/rehearsal.yml``; these are proposals. Bars are as printed, beats
are felt beats counted from 1. Tendencies are in cents against equal temperament; what a chord wants is just intonation:
a major third of 5:4, a minor third of 6:5 and a fifth of 3:2 above the root.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field
from fractions import Fraction
from math import log2
from operator import itemgetter

from beginnerband.music import fingering
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Line, Measure
from beginnerband.music.scored import played
from beginnerband.music.scoring import Scoring, Seat
from beginnerband.music.shift import note_read
from beginnerband.music.voiceleading import Moment, cadences, moments, root_of

JUST = {
    0: 0.0,
    3: 1200 * log2(6 / 5) - 300,
    4: 1200 * log2(5 / 4) - 400,
    7: 1200 * log2(3 / 2) - 700,
}
"""Cents by which the pure interval above the root differs from the tempered one, by semitones."""

DEGREES = {0: "root", 2: "third", 4: "fifth", 6: "seventh"}
"""Names of a chord's notes, by letters above the root."""

OPENING = 4
"""Notes by which a line that takes the tune up is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RehearsalRules:
    """What counts, from ``content/rehearsal.yml``."""

    rest: int
    """Bars of rest after which an entry is cued."""
    leap: int
    """Semitones from which a leap is hard."""
    edge: int
    """Semitones from the ends of the level's range that are hard."""
    fresh: int
    """Lessons for which a note still counts as new."""
    bars: int
    """Most hard bars named for one desk."""
    chords: int
    """Most chords to stop on."""
    cents: int
    """Cents from which a note is to be bent."""
    weights: Mapping[str, int] = field(hash=False)
    """How hard each reason of :data:`REASONS` makes a bar."""
    plans: Mapping[int, tuple[tuple[str, int], ...]] = field(hash=False)
    """For a rehearsal of so many minutes, what is done in order (of :data:`WORK`), with minutes."""


REASONS = ("new", "leap", "edge", "rhythm")
"""Why a bar is hard: a note met lately or never, a leap, the end of the range, a rhythm unlike the others'."""

WORK = ("start", "tune", "outer", "hard", "chords", "entries", "whole")
"""What a rehearsal is made of."""


@dataclass(frozen=True, slots=True)
class Passage:
    """A stretch in which a line has the tune."""

    voice: str
    """Which line."""
    bar: int
    """First bar, as printed."""
    last_bar: int
    """Last bar."""
    again: bool = False
    """Whether it takes up what another line has begun, as in a round."""


@dataclass(frozen=True, slots=True)
class Entry:
    """Where players come in after resting."""

    seats: tuple[Seat, ...]
    """Who."""
    bar: int
    """Bar, as printed."""
    _: KW_ONLY
    place: int
    """Bar by place."""
    beat: Fraction
    """Felt beat, from 1."""
    rest: int
    """Whole bars of rest before; 0 at the start."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a bar is hard for a desk."""

    kind: str
    """Of :data:`REASONS`."""
    note: Pitch | None = None
    """The written note it is about; ``None`` for a rhythm."""
    size: int = 0
    """Semitones of a leap."""
    start: Pitch | None = None
    """The written note from which a leap goes to ``note``."""


@dataclass(frozen=True, slots=True)
class HardBar:
    """A bar that is hard for one desk."""

    seat: Seat
    """Who."""
    bar: int
    """Bar, as printed."""
    _: KW_ONLY
    place: int
    """Bar by place."""
    reasons: tuple[Reason, ...]
    """Why."""
    points: int
    """How hard."""


@dataclass(frozen=True, slots=True)
class TunedNote:
    """What one desk has in a chord, and where it wants to go."""

    seat: Seat
    """Who."""
    written: Pitch
    """As they read it."""
    degree: str
    """Of :data:`DEGREES`, or empty."""
    tendency: float
    """Cents by which the usual fingering is off, sharp positive; 0 for percussion."""
    wanted: float
    """Cents by which the chord wants it off."""

    @property
    def bend(self) -> float:
        """Cents by which the player must bend it: up positive."""
        return self.wanted - self.tendency


@dataclass(frozen=True, slots=True)
class TunedChord:
    """A chord worth stopping on."""

    bar: int
    """Bar, as printed."""
    place: int
    """Bar by place."""
    beat: Fraction
    """Felt beat, from 1."""
    at: Fraction
    """Quarter notes into the bar."""
    root: str
    """Letter of the concert root, as ``Bb``."""
    minor: bool
    """Whether its third is a minor third."""
    notes: tuple[TunedNote, ...]
    """From the lowest sound up, as it is built."""


@dataclass(frozen=True, slots=True)
class Ends:
    """How to start and end."""

    beats: int
    """Felt beats in a bar."""
    pickup: Fraction
    """Felt beats of the pickup; 0 for none."""
    dynamic: str
    """Printed at the start, or empty."""
    last_beats: Fraction
    """Felt beats of the last note of the tune."""
    hold: bool
    """Whether it is held."""


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """Everything a leader needs to rehearse a piece."""

    tune: tuple[Passage, ...]
    """Who has the tune, in order."""
    entries: tuple[Entry, ...]
    """Entries to cue, in order, the start left out."""
    hard: tuple[HardBar, ...]
    """Hard bars, desk by desk in score order, in order of bars."""
    chords: tuple[TunedChord, ...]
    """Chords to stop on, in order."""
    ends: Ends
    """How to start and end."""

    @property
    def hardest(self) -> tuple[HardBar, ...]:
        """Hard bars, hardest first."""
        return tuple(sorted(self.hard, key=lambda one: (-one.points, one.place)))


Fresh = Mapping[str, frozenset[int]]
"""For each instrument id, the sounding MIDI numbers that were taught lately or never."""


def rehearsal(
    lines: Mapping[str, Line], scoring: Scoring, rules: RehearsalRules, level: str, fresh: Fresh
) -> Rehearsal:
    """What there is to rehearse in a piece as it is scored; ``level`` is the range the players have reached."""
    seats = [seat for seat in scoring.seats if seat.desk.holds]
    heard = {id(seat): played(lines[seat.voice], scoring, seat) for seat in seats}
    hard = [one for seat in seats for one in _hard(seat, heard[id(seat)], lines, rules, level, fresh)]
    return Rehearsal(
        tuple(_tune(lines)),
        tuple(_entries(lines, seats, rules)),
        tuple(hard),
        tuple(_chords(seats, [heard[id(seat)] for seat in seats], rules)),
        _ends(next(iter(lines.values()))),
    )


# The tune


def _tune(lines: Mapping[str, Line]) -> Iterator[Passage]:
    """The highest line has the tune; where it rests for whole bars, the next that plays; and who takes it up again."""
    voices = list(lines)
    opening = _opening(lines[voices[0]])
    again = {voice: _first(lines[voice]) for voice in voices[1:] if _opening(lines[voice]) == opening}
    again = {voice: place for voice, place in again.items() if place > _first(lines[voices[0]])}
    held: list[str] = []
    for bars in zip(*(line.measures for line in lines.values()), strict=True):
        held.append(next((voice for voice, bar in zip(voices, bars, strict=True) if _sounds(bar)), ""))
    bars_of = next(iter(lines.values())).measures
    start = 0
    for place in range(1, len(held) + 1):
        if place == len(held) or held[place] != held[start]:
            if held[start] and not (again and held[start] != voices[0]):
                yield Passage(held[start], bars_of[start].number, bars_of[place - 1].number)
            start = place
    for voice, late in sorted(again.items(), key=itemgetter(1)):
        yield Passage(voice, bars_of[late].number, bars_of[-1].number, again=True)


def _opening(line: Line) -> tuple[tuple[Fraction, int], ...]:
    """Lengths, and semitones from the first note, of a line's first notes."""
    notes = [note for _, note in line if note.pitch][:OPENING]
    first = notes[0].pitch.midi if notes and notes[0].pitch else 0
    return tuple((note.quarters, note.pitch.midi - first) for note in notes if note.pitch)


def _first(line: Line) -> int:
    return next((place for place, bar in enumerate(line.measures) if _sounds(bar)), len(line.measures))


def _sounds(bar: Measure) -> bool:
    return any(note.pitch for note in bar.notes)


# Entries


def _entries(lines: Mapping[str, Line], seats: Sequence[Seat], rules: RehearsalRules) -> Iterator[Entry]:
    found = [
        Entry(own, line.measures[place].number, place=place, beat=beat, rest=rest)
        for voice, line in lines.items()
        for own in (tuple(seat for seat in seats if seat.voice == voice),)
        for place, beat, rest in _rests(line, rules.rest)
        if own
    ]
    yield from sorted(found, key=lambda entry: (entry.place, entry.beat))


def _rests(line: Line, least: int) -> Iterator[tuple[int, Fraction, int]]:
    """Place and felt beat of each note after at least ``least`` silent full bars, with how many they are."""
    silent, time = 0, line.time
    for place, bar in enumerate(line.measures):
        time = bar.time or time
        if not _sounds(bar):
            silent += not bar.partial
            continue
        if silent >= least:
            yield place, _felt(bar, _onset(bar), time.beat, time.quarters), silent
        silent = 0


def _onset(bar: Measure) -> Fraction:
    at = Fraction(0)
    for note in bar.notes:
        if note.pitch:
            return at
        at += note.quarters
    return at


def _felt(bar: Measure, at: Fraction, beat: Fraction, full: Fraction) -> Fraction:
    """The felt beat, from 1, of a place in a bar; a pickup counts as the end of a bar."""
    missing = full - bar.quarters if bar.number == 0 else Fraction(0)
    return 1 + (at + missing) / beat


# Hard bars


def _hard(
    seat: Seat, heard: Line, lines: Mapping[str, Line], rules: RehearsalRules, level: str, fresh: Fresh
) -> list[HardBar]:
    """The hardest bars of a seat, in order."""
    found = []
    span = seat.desk.player.instrument.sounding_range(level)
    new, met, last = fresh.get(seat.desk.player.instrument.id, frozenset()), set[int](), None
    seen = set[tuple[object, ...]]()
    for place, bar in enumerate(heard.measures):
        reasons: list[Reason] = []
        tied = False
        for note in bar.notes:
            if note.pitch is None:
                continue
            midi, written = note.pitch.midi, note_read(note.pitch, heard, seat.desk.player.reading)
            if midi in new and midi not in met:
                reasons.append(Reason("new", written))
            if last is not None and abs(written.midi - last.midi) >= rules.leap and not tied:
                reasons.append(Reason("leap", written, abs(written.midi - last.midi), start=last))
            if min(abs(midi - span.low.midi), abs(span.high.midi - midi)) < rules.edge or not (
                span.low.midi <= midi <= span.high.midi
            ):
                reasons.append(Reason("edge", written))
            met.add(midi)
            last, tied = written, note.tie
        if _alone(seat.voice, place, lines):
            reasons.append(Reason("rhythm"))
        different = tuple(dict.fromkeys(reasons))
        shape = (different, tuple((note.quarters, note.pitch) for note in bar.notes))
        if different and shape not in seen:
            seen.add(shape)
            points = sum(rules.weights[reason.kind] for reason in different)
            found.append(HardBar(seat, bar.number, place=place, reasons=different, points=points))
    kept = sorted(found, key=lambda one: (-one.points, one.place))[: rules.bars]
    return sorted(kept, key=lambda one: one.place)


def _alone(voice: str, place: int, lines: Mapping[str, Line]) -> bool:
    """Whether a line strikes where no other does, while another plays."""
    struck = {other: set(_struck(line.measures[place])) for other, line in lines.items()}
    others = [own for other, own in struck.items() if other != voice and own]
    return bool(others) and bool(struck[voice] - set().union(*others))


def _struck(bar: Measure) -> Iterator[Fraction]:
    at = Fraction(0)
    for note in bar.notes:
        if note.pitch:
            yield at
        at += note.quarters


# Chords


def _chords(seats: Sequence[Seat], heard: Sequence[Line], rules: RehearsalRules) -> Iterator[TunedChord]:
    """The last chord, and the longest of those that end other phrases.

    What is tuned from the lowest player up stands on its root: others are taken only where there is none.
    """
    at = moments(heard)
    ends = [moment for moment in cadences(heard, at) if _root(moment)]
    ends = [moment for moment in ends if _on_its_root(moment)] or ends
    different = {frozenset(pitch.letter for pitch in moment.pitches if pitch): moment for moment in ends}
    kept = sorted(different.values(), key=lambda moment: (moment.place, moment.beat))[-rules.chords :]
    for moment in kept:
        bar, time = heard[0].measures[moment.place], heard[0].time
        for measure in heard[0].measures[: moment.place + 1]:
            time = measure.time or time
        root = _root(moment) or ""
        notes = [
            _tuned(seat, pitch, root, line)
            for seat, pitch, line in zip(seats, moment.pitches, heard, strict=True)
            if pitch is not None
        ]
        yield TunedChord(
            bar=moment.bar,
            place=moment.place,
            beat=_felt(bar, moment.beat, time.beat, time.quarters),
            at=moment.beat,
            root=root,
            minor=any(pitch and (pitch.midi - Pitch.parse(f"{root}4").midi) % 12 == 3 for pitch in moment.pitches),
            notes=tuple(sorted(notes, key=lambda note: note.seat.desk.player.reading.sounding(note.written).midi)),
        )


def _root(moment: Moment) -> str | None:
    """Root of a triad; ``None`` for anything else, which is not worth tuning with beginners."""
    pitches = [pitch for pitch in moment.pitches if pitch]
    root = root_of(pitches)
    if root is None:
        return None
    base = Pitch.parse(f"{root}4")
    return (
        root
        if {(pitch.staff_index - base.staff_index) % 7 for pitch in pitches} >= {0, 2}
        and all((pitch.staff_index - base.staff_index) % 7 in (0, 2, 4) for pitch in pitches)
        else None
    )


def _on_its_root(moment: Moment) -> bool:
    lowest = min((pitch for pitch in moment.pitches if pitch), key=lambda pitch: pitch.midi)
    return lowest.letter == _root(moment)


def _tuned(seat: Seat, pitch: Pitch, root: str, line: Line) -> TunedNote:
    base = Pitch.parse(f"{root}4")
    way = fingering.standard(seat.desk.player.instrument, pitch)
    degree = DEGREES.get((pitch.staff_index - base.staff_index) % 7, "")
    wanted = JUST.get((pitch.midi - base.midi) % 12, 0.0)
    written = note_read(pitch, line, seat.desk.player.reading)
    return TunedNote(seat, written, degree, way.cents if way else 0.0, wanted)


# Start and end


def _ends(tune: Line) -> Ends:
    time = tune.time
    first = tune.measures[0]
    pickup = first.quarters / time.beat if first.number == 0 else Fraction(0)
    dynamic = next((note.dynamic for _, note in tune if note.pitch), "")
    long, hold = Fraction(0), False
    for _, note in tune:
        if note.pitch:
            long, hold = note.quarters, note.fermata
    return Ends(time.beats_felt, pickup, dynamic, long / time.beat, hold)
