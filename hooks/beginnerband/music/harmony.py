"""Three lower lines to a melody, by rule: from its chord symbols, or from chords chosen by rule.

This is honest carpentry, not art: whoever uses it says that the lines were made by rule. Voices are set by an exact
search (cheapest path) over ways to place each chord: the third is there and not doubled in major chords, small steps,
nothing crosses, and parallel fifths and octaves cost so much that they come only where every way has some.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations
from statistics import median

from beginnerband.music.chord_symbol import ChordSymbol
from beginnerband.music.pitch import Pitch, transpose
from beginnerband.music.score import BarError, Key, Line, Measure, Note, split_length
from beginnerband.music.shift import named
from beginnerband.music.voiceleading import parallel

ALTO, TENOR, BASS = (-10, 2), (-15, -4), (-20, -8)
"""Where each line may lie, in semitones from the middle of the melody."""

KEPT = 24
"""Ways to place a chord that are carried through the search, the best by themselves."""


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of the melody under one chord, within one bar."""

    place: int
    """Bar by place."""
    start: Fraction
    """Quarter notes into the bar."""
    quarters: Fraction
    """Length."""
    chord: ChordSymbol | None
    """The chord; ``None`` where nobody has said one yet, or where the symbol says that there is none."""


def symbols(melody: Line) -> tuple[Segment, ...]:
    """The melody cut at its chord symbols and barlines."""
    found: list[Segment] = []
    chord: ChordSymbol | None = None
    for place, bar in enumerate(melody.measures):
        cuts: list[tuple[Fraction, ChordSymbol | None]] = [(Fraction(0), chord)]
        at = Fraction(0)
        for note in bar.notes:
            if note.chord:
                chord = note.chord if note.chord.root else None
                cuts = [*(cut for cut in cuts if cut[0] != at), (at, chord)]
            at += note.quarters
        ends = [start for start, _ in cuts[1:]] + [at]
        found += [Segment(place, start, end - start, what) for (start, what), end in zip(cuts, ends, strict=True)]
    return tuple(found)


# Chords for a melody that has none


_MAJOR = {"I": (0, "", 0), "V": (4, "", 1), "IV": (3, "", 1), "vi": (5, "m", 2), "ii": (1, "m", 2)}
_MINOR = {"I": (0, "m", 0), "V": (4, "", 1), "IV": (3, "m", 1), "VI": (5, "", 2), "III": (2, "", 2)}
_AGAINST = {("V", "IV"): 4, ("V", "ii"): 4, ("ii", "I"): 2, ("IV", "ii"): 0, ("ii", "IV"): 2}
"""Successions that sound backwards, with their cost (common practice, no source)."""


def by_rule(melody: Line) -> tuple[Segment, ...]:
    """Chords of the key for every half bar (whole bar in three), chosen so that melody notes belong to them.

    The search is exact over: notes outside the chord, by their length; plain chords before others; successions that
    sound backwards; I at the beginning, V or IV and then I at the end.
    """
    pieces = [piece for place, bar in enumerate(melody.measures) for piece in _grid(melody, place, bar)]
    names = _MINOR if melody.key.mode == "minor" else _MAJOR
    paths: dict[str, tuple[int, tuple[str, ...]]] = {"": (0, ())}
    for number, (piece, notes) in enumerate(pieces):
        last = number == len(pieces) - 1
        chords = {name: _degree(melody.key, degree, kind) for name, (degree, kind, _) in names.items()}
        paths = {
            name: min(
                (
                    points + _fit(notes, chord) + names[name][2] + _succession(before, name, last, piece.start),
                    (*way, name),
                )
                for before, (points, way) in paths.items()
            )
            for name, chord in chords.items()
        }
    way = min(paths.values())[1]
    return tuple(
        replace(piece, chord=_degree(melody.key, *names[name][:2]) if any(note.pitch for note in notes) else None)
        for (piece, notes), name in zip(pieces, way, strict=True)
    )


def _succession(before: str, name: str, last: bool, start: Fraction) -> int:
    points = _AGAINST.get((before, name), 0) + (1 if before == name and start == 0 else 0)
    if not before and name != "I":
        points += 6
    if last:
        points += (0 if name == "I" else 40) + (0 if before in ("V", "I") else 3)
    return points


def _grid(melody: Line, place: int, bar: Measure) -> Iterable[tuple[Segment, list[Note]]]:
    time = next((other.time for other in reversed(melody.measures[: place + 1]) if other.time), melody.time)
    size = time.quarters / 2 if time.beats_felt in (2, 4) and time.quarters >= 3 else time.quarters
    offset = time.quarters - bar.quarters if bar.number == 0 else Fraction(0)
    at, cuts = Fraction(0), list[tuple[Fraction, list[Note]]]()
    for note in bar.notes:
        if not cuts or (at + offset) // size > (cuts[-1][0] + offset) // size:
            cuts.append((at, []))
        cuts[-1][1].append(note)
        at += note.quarters
    ends = [start for start, _ in cuts[1:]] + [at]
    for (start, notes), end in zip(cuts, ends, strict=True):
        yield Segment(place, start, end - start, None), notes


def _degree(key: Key, degree: int, kind: str) -> ChordSymbol:
    tonic = Pitch.parse(f"{key.tonic}4")
    half_steps = (0, 2, 3, 5, 7, 8, 10) if key.mode == "minor" else (0, 2, 4, 5, 7, 9, 11)
    root = transpose(tonic, named(degree, half_steps[degree]))
    return ChordSymbol.parse(root.letter + kind)


def _fit(notes: Sequence[Note], chord: ChordSymbol) -> int:
    """Eighth notes of melody outside the chord; the first note counts double."""
    points = 0
    for place, note in enumerate(notes):
        if note.pitch and (note.pitch.step, note.pitch.alter) not in chord.tones:
            points += int(max(Fraction(1), note.quarters * 2)) * (2 if place == 0 else 1)
    return points


# Voices


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to place a chord."""

    pitches: tuple[Pitch, Pitch, Pitch]
    """Alto, tenor and bass."""
    points: int
    """What is wrong with it by itself."""


def four_parts(melody: Line, segments: Sequence[Segment]) -> dict[str, Line]:
    """Soprano (the melody without its chord symbols), alto, tenor and bass.

    :class:`BarError` where a chord cannot be placed under the melody.
    """
    middle = int(median(pitch.midi for pitch in melody.pitches))
    placed = _search(melody, segments, middle)
    lines = {"soprano": _without_symbols(melody)}
    for number, voice in enumerate(("alto", "tenor", "bass")):
        bars = []
        for place, bar in enumerate(melody.measures):
            notes: list[Note] = []
            for segment, way in zip(segments, placed, strict=True):
                if segment.place == place:
                    pitch = way.pitches[number] if way else None
                    notes += _notes(segment, pitch, _breathes(bar, segment))
            bars.append(replace(bar, notes=tuple(notes)))
        lines[voice] = Line(tuple(bars), voice.capitalize())
    return lines


def _without_symbols(melody: Line) -> Line:
    bars = (replace(bar, notes=tuple(replace(note, chord=None) for note in bar.notes)) for bar in melody.measures)
    return Line(tuple(bars), "Soprano")


def _notes(segment: Segment, pitch: Pitch | None, breath: bool) -> list[Note]:
    lengths = split_length(segment.quarters)
    last = len(lengths) - 1
    return [
        Note(length, pitch, tie=pitch is not None and place < last, breath=breath and place == last)
        for place, length in enumerate(lengths)
    ]


def _breathes(bar: Measure, segment: Segment) -> bool:
    at = Fraction(0)
    for note in bar.notes:
        at += note.quarters
        if note.breath and segment.start < at <= segment.start + segment.quarters:
            return True
    return False


def _search(melody: Line, segments: Sequence[Segment], middle: int) -> list[_Way | None]:
    """The cheapest succession of ways, exact among the ways kept for each chord."""
    paths: list[tuple[int, tuple[_Way | None, ...]]] = [(0, ())]
    before: tuple[Pitch, ...] = ()
    for segment in segments:
        above = _melody_in(melody, segment)
        if segment.chord is None or not above:
            paths = [(points, (*way, None)) for points, way in paths]
            continue
        ways = _ways(segment.chord, above, middle) or _ways(segment.chord, above, min(middle, above[0].midi + 2))
        ways = ways or _ways(segment.chord, above[:1], above[0].midi + 2)  # the melody dips below the chord
        if not ways:
            bar = melody.measures[segment.place]
            raise BarError(bar, "its chord cannot be placed below the melody; change the chord there")
        paths = [
            min(
                (
                    (points + way.points + _move(path[-1] if path else None, way, before, above), (*path, way))
                    for points, path in paths
                ),
                key=lambda one: one[0],
            )
            for way in ways
        ]
        before = above
    return list(min(paths, key=lambda one: one[0])[1])


def _melody_in(melody: Line, segment: Segment) -> tuple[Pitch, ...]:
    at, found = Fraction(0), []
    for note in melody.measures[segment.place].notes:
        if note.pitch and segment.start <= at < segment.start + segment.quarters:
            found.append(note.pitch)
        at += note.quarters
    return tuple(found)


def _ways(chord: ChordSymbol, above: tuple[Pitch, ...], middle: int) -> list[_Way]:
    top, ceiling = above[0], min(pitch.midi for pitch in above)
    found = []
    assert chord.lowest
    tones = [tone for tone, _ in chord.in_four]
    for bass in _within((chord.lowest,), middle, BASS):
        for tenor in _within(tones, middle, TENOR):
            for alto in _within(tones, middle, ALTO):
                if bass.midi <= tenor.midi <= alto.midi <= ceiling:
                    found.append(_Way((alto, tenor, bass), _alone(chord, (top, alto, tenor, bass))))
    return sorted(found, key=lambda way: (way.points, [pitch.midi for pitch in way.pitches]))[:KEPT]


def _within(tones: Iterable[tuple[str, int]], middle: int, span: tuple[int, int]) -> list[Pitch]:
    pitches = (Pitch(step, alter, octave) for step, alter in tones for octave in range(0, 8))
    return [pitch for pitch in pitches if span[0] <= pitch.midi - middle <= span[1]]


def _alone(chord: ChordSymbol, pitches: tuple[Pitch, ...]) -> int:
    letters = [(pitch.step, pitch.alter) for pitch in pitches]
    points = sum(weight for tone, weight in chord.in_four if tone not in letters)
    if chord.leading and letters.count(chord.leading) > 1:
        points += 6
    top, alto, tenor, _ = pitches
    return points + 4 * (top.midi - alto.midi > 12) + 4 * (alto.midi - tenor.midi > 12)


def _move(before: _Way | None, way: _Way, melody_before: tuple[Pitch, ...], melody: tuple[Pitch, ...]) -> int:
    if before is None or not melody_before:
        return 0
    old, new = (melody_before[-1], *before.pitches), (melody[0], *way.pitches)
    steps = [abs(then.midi - first.midi) for first, then in zip(old, new, strict=True)]
    points = steps[1] + steps[2] + steps[3] // 2 + 6 * sum(step > 7 for step in steps[1:])
    for upper, lower in combinations(range(4), 2):
        points += 40 * bool(parallel((old[upper], old[lower]), (new[upper], new[lower])))
    return points
