"""What becomes of a scoring: parts as written and heard, who covers whom, what a trained ear would notice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from beginnerband.music import shift
from beginnerband.music.instrument import VOICES, Range
from beginnerband.music.phrases import moved
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Line, Note
from beginnerband.music.scoring import Rules, Scoring, Seat
from beginnerband.music.voiceleading import Finding, Sounding, check, inherited_from, out_of_range


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
    return shift.by(line, shift.with_octaves(scoring.interval, octave))


def folded(at_key: Line, scoring: Scoring, seat: Seat) -> Line:
    """A line in the scoring's key with those phrases moved that the seat plays in another octave than most."""
    if not seat.folded:
        return at_key
    return moved(at_key, scoring.phrases, [octave - seat.octave for octave in seat.octaves])


def played(line: Line, scoring: Scoring, seat: Seat) -> Line:
    """A line of the piece as a seat sounds it: in the scoring's key, each phrase in the seat's octave."""
    return folded(sounding(line, scoring, seat.octave), scoring, seat)


def written(line: Line, scoring: Scoring, seat: Seat) -> Line:
    """What the players at a seat read."""
    return shift.written(folded(sounding(line, scoring), scoring, seat), seat.desk.player.reading, seat.octave)


def heard(lines: Mapping[str, Line], scoring: Scoring, english: str) -> tuple[Sounding, ...]:
    """The lines as the brass play them, highest first; a line in two octaves appears twice, with who plays each."""
    found = []
    for voice, line in lines.items():
        alike: dict[tuple[int, ...], list[Seat]] = {}
        for seat in scoring.playing(voice):
            if seat.desk.holds:
                alike.setdefault(seat.octaves, []).append(seat)
        found += [
            Sounding(voice, played(line, scoring, seats[0]), together([seat.desk.name(english) for seat in seats]))
            for _, seats in sorted(alike.items(), reverse=True)
        ]
    return tuple(found)


def together(names: list[str]) -> str:
    """Who plays one line, as ``cornets and 2 more``."""
    return " and ".join(names) if len(names) < 3 else f"{names[0]} and {len(names) - 1} more"


def report(lines: Mapping[str, Line], scoring: Scoring, rules: Rules, english: str) -> tuple[Finding, ...]:
    """Everything a trained ear would notice in the scoring, what the source had already marked as inherited."""
    source = tuple(Sounding(voice, line) for voice, line in lines.items())
    voices = heard(lines, scoring, english)
    found = inherited_from(check(source, rules.longest_breath), check(voices, rules.longest_breath))
    ranges = [finding for seat in scoring.seats for finding in range_findings(lines, scoring, seat, rules, english)]
    return tuple(sorted((*found, *ranges), key=lambda finding: (finding.bar, finding.beat)))


def range_findings(
    lines: Mapping[str, Line], scoring: Scoring, seat: Seat, rules: Rules, english: str
) -> tuple[Finding, ...]:
    """Where a seat's part has notes the instrument cannot play, or leaves the range of the players' level."""
    who = seat.desk.name(english)
    heard_ = Sounding(seat.voice, played(lines[seat.voice], scoring, seat), who)
    has, level = (seat.desk.player.instrument.sounding_range(name) for name in ("full", rules.level))
    cannot = out_of_range(heard_, has.low, has.high, f"what the {who} can play at all")
    cannot = tuple(replace(finding, kind="impossible") for finding in cannot)
    within = _without(heard_, has)
    return (*cannot, *out_of_range(within, level.low, level.high, f"the {rules.level} range of the {who}"))


def _without(voice: Sounding, span: Range) -> Sounding:
    """The sounding with rests for notes outside ``span``."""
    bars = tuple(
        replace(
            bar,
            notes=tuple(note if not note.pitch or note.pitch in span else Note(note.quarters) for note in bar.notes),
        )
        for bar in voice.line.measures
    )
    return replace(voice, line=replace(voice.line, measures=bars))


def new_notes(lines: Mapping[str, Line], scoring: Scoring, seat: Seat) -> tuple[Pitch, ...]:
    """Written notes of a seat's part that its players have not been taught, lowest first; empty when nobody says."""
    if seat.desk.taught is None:
        return ()
    part = written(lines[seat.voice], scoring, seat)
    pitches = {pitch.midi: pitch for pitch in part.pitches}
    shifted = seat.desk.player.reading.semitones
    return tuple(pitches[midi] for midi in sorted(pitches) if midi + shifted not in seat.desk.taught)
