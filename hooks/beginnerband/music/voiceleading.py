"""What a trained ear would notice in lines that sound together, bar by bar, in plain words.

Every check takes sounding lines. A :class:`Sounding` is one line at one octave: a bass line played at pitch and, below
it, an octave down is two of them, and they are never checked against each other (doubling is not a fault). What the
source already had is marked as inherited by :func:`inherited_from`, so that the scoring is not blamed for it.

The rules are those of the harmony textbooks, as music21's ``voiceLeading`` states them for parallels and crossing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import KW_ONLY, dataclass, replace
from fractions import Fraction
from itertools import combinations, pairwise

from beginnerband.music.pitch import Pitch, with_signs
from beginnerband.music.score import BarError, Line, Note
from beginnerband.music.timing import timing
from beginnerband.music.words import capital, series

SEVERITIES = ("fault", "caution", "advice")
"""Worst first: wrong, worth hearing, good to know."""

OCTAVE = 12
"""Semitones."""


@dataclass(frozen=True, slots=True)
class Sounding:
    """One line of the music at the octave somebody plays it."""

    voice: str
    """Which line, as ``tenor``."""
    line: Line
    """Its notes as they sound."""
    who: str = ""
    """Who plays it, as ``baritone``; empty for the source."""

    @property
    def words(self) -> str:
        """As ``the tenor (baritone)``."""
        return f"the {self.voice}{f' ({self.who})' if self.who else ''}"


@dataclass(frozen=True, slots=True)
class Moment:
    """What sounds from one attack to the next."""

    place: int
    """Bar by place, from 0."""
    bar: int
    """Bar as printed."""
    beat: Fraction
    """Quarter notes into the bar."""
    pitches: tuple[Pitch | None, ...]
    """One for each sounding line, in the order given; ``None`` where it rests."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a trained ear would notice."""

    kind: str
    """As ``parallel-fifths``."""
    _: KW_ONLY
    severity: str
    """Of :data:`SEVERITIES`."""
    bar: int
    """First bar, as printed."""
    last_bar: int
    """Last bar, as printed."""
    beat: Fraction
    """Quarter notes into the first bar."""
    voices: tuple[str, ...]
    """Lines concerned, highest first."""
    words: str
    """What happens, in words for a leader, without the bar."""
    alike: str = ""
    """The same without the notes of this place, for several places; empty where ``words`` name none."""
    inherited: bool = False
    """Whether the source has it too, so that no scoring made it."""

    @property
    def bars(self) -> range:
        """Its bars, as printed."""
        return range(self.bar, self.last_bar + 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """Findings that say the same of several places."""

    where: str
    """As ``bar 5`` or ``bars 3, 5 to 8 and 10``."""
    severity: str
    """Of :data:`SEVERITIES`."""
    words: str
    """What happens there, in words for a leader."""


def told_once(findings: Iterable[Finding]) -> tuple[Telling, ...]:
    """What is to be said of ``findings``: once what is the same in several bars, in the order of their first bars."""
    groups: dict[tuple[str, str, str], list[Finding]] = {}
    for one in findings:
        groups.setdefault((one.kind, one.severity, one.alike or one.words), []).append(one)
    return tuple(
        Telling(
            where=_where(alike, joined=kind != "breath"),
            severity=severity,
            words=said if alike[1:] else alike[0].words,
        )
        for (kind, severity, said), alike in groups.items()
    )


def _where(findings: Iterable[Finding], joined: bool) -> str:
    """Their bars; ``joined`` where what goes on in the next bar is one, as two breaths are not."""
    runs: list[tuple[int, int]] = []
    for first, last in sorted({(one.bar, one.last_bar) for one in findings}):
        if joined and runs and first <= runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], max(runs[-1][1], last))
        else:
            runs.append((first, last))
    shown = [f"{first} to {last}" if last > first else str(first) for first, last in runs]
    return f"bar{'s' if runs[1:] or runs[0][1] > runs[0][0] else ''} {series(shown)}"


def moments(lines: Sequence[Line]) -> tuple[Moment, ...]:
    """Every moment at which something is struck or falls silent, repeats once, in order.

    ``ValueError`` where two lines disagree about the number of bars, :class:`BarError` about the length of one.
    """
    if len({len(line.measures) for line in lines}) > 1:
        counts = ", ".join(f"{line.name or 'a line'} has {len(line.measures)}" for line in lines)
        raise ValueError(f"the lines do not have the same number of bars: {counts}")
    found: list[Moment] = []
    for place, bars in enumerate(zip(*(line.measures for line in lines), strict=True)):
        if len({bar.quarters for bar in bars}) > 1:
            counts = ", ".join(f"{line.name or 'a line'} {bar.quarters}" for line, bar in zip(lines, bars, strict=True))
            raise BarError(bars[0], f"it is not equally long in every line (quarter notes: {counts})")
        starts = [dict(_starts(bar.notes)) for bar in bars]
        current: list[Pitch | None] = [None] * len(lines)
        for beat in sorted({beat for start in starts for beat in start}):
            current = [start.get(beat, held) for start, held in zip(starts, current, strict=True)]
            found.append(Moment(place, bars[0].number, beat, tuple(current)))
    return tuple(found)


def _starts(notes: Iterable[Note]) -> Iterator[tuple[Fraction, Pitch | None]]:
    beat = Fraction(0)
    for note in notes:
        yield beat, note.pitch
        beat += note.quarters


def check(voices: Sequence[Sounding], seconds_a_breath: float | None = None) -> tuple[Finding, ...]:
    """Everything found in the lines together, in order of bars.

    ``voices`` go from the highest line to the lowest; soundings of one line stand next to each other.
    ``seconds_a_breath`` is the longest a player should go without a rest or a breath mark; ``None`` leaves it out.
    """
    at = moments([voice.line for voice in voices])
    found: list[Finding] = []
    for upper, lower in combinations(range(len(voices)), 2):
        if voices[upper].voice != voices[lower].voice:
            pair = voices[upper], voices[lower]
            heard = [(moment, moment.pitches[upper], moment.pitches[lower]) for moment in at]
            found += _parallels(pair, heard)
            found += _crossings(pair, heard)
    found += _spacing(voices, at)
    found += _thirds(voices, at)
    if seconds_a_breath is not None:
        found += (finding for voice in voices for finding in _breaths(voice, seconds_a_breath))
    return tuple(sorted(found, key=lambda finding: (finding.bar, finding.beat, SEVERITIES.index(finding.severity))))


def inherited_from(source: Iterable[Finding], found: Iterable[Finding]) -> tuple[Finding, ...]:
    """``found`` with everything that the source already had, at the same place and lines, marked as inherited.

    A crossing or a wide gap that began in the source but goes on for longer is still the scoring's.
    """
    before = {(finding.kind, finding.voices, bar) for finding in source for bar in finding.bars}

    def known(finding: Finding) -> bool:
        return all((finding.kind, finding.voices, bar) in before for bar in finding.bars)

    return tuple(replace(finding, inherited=known(finding)) for finding in found)


# Parallels

Heard = list[tuple[Moment, Pitch | None, Pitch | None]]
"""A pair of lines, moment by moment."""

Size = Callable[[Pitch, Pitch], int]
"""How much is wrong between a higher and a lower line; 0 when nothing is."""


def parallel(before: tuple[Pitch, Pitch], after: tuple[Pitch, Pitch]) -> str:
    """``parallel-fifths``, ``parallel-octaves`` or ``parallel-unisons`` between two voices, or empty.

    Both voices must move. A fifth may become a twelfth and two octaves count as one, by similar or contrary motion; a
    unison that opens to an octave, or an octave that closes to a unison, counts as octaves when the voices move apart
    or together. As in music21, only perfect fifths count.
    """
    return parallel_points(point(before[0]), point(before[1]), point(after[0]), point(after[1]))


Point = tuple[int, int]
"""A pitch as MIDI number and staff index, for quick arithmetic."""


def point(pitch: Pitch) -> Point:
    """The pitch as numbers."""
    return pitch.midi, pitch.staff_index


def parallel_points(upper: Point, lower: Point, upper_then: Point, lower_then: Point) -> str:
    """:func:`parallel` for pitches as numbers."""
    if upper[0] == upper_then[0] or lower[0] == lower_then[0]:
        return ""
    first = _perfect(abs(upper[0] - lower[0]), abs(upper[1] - lower[1]))
    if not first:
        return ""
    second = _perfect(abs(upper_then[0] - lower_then[0]), abs(upper_then[1] - lower_then[1]))
    if first == second:
        return f"parallel-{first}s"
    contrary = (upper_then[0] > upper[0]) != (lower_then[0] > lower[0])
    return "parallel-octaves" if contrary and {first, second} == {"unison", "octave"} else ""


def _perfect(half_steps: int, steps: int) -> str:
    if half_steps % 12 == 7 and steps % 7 == 4:
        return "fifth"
    if half_steps % 12 == 0 and steps % 7 == 0:
        return "octave" if half_steps else "unison"
    return ""


def _parallels(pair: tuple[Sounding, Sounding], heard: Heard) -> Iterator[Finding]:
    upper, lower = pair
    for (_, high, low), (moment, next_high, next_low) in pairwise(heard):
        if not (high and low and next_high and next_low):
            continue
        kind = parallel((high, low), (next_high, next_low))
        if not kind:
            continue
        contrary = (next_high.midi > high.midi) != (next_low.midi > low.midi)
        name = kind.removeprefix("parallel-")
        moving = f"{upper.words} and {lower.words} move in {'contrary' if contrary else 'parallel'} {name}"
        heard_so = "two lines are heard as one"
        words = f"{moving}, {high.sign} over {low.sign} to {next_high.sign} over {next_low.sign}: {heard_so}"
        if high.midi < low.midi or next_high.midi < next_low.midi:
            words += " (the lines are crossed here)"
        severity = "advice" if contrary else "caution"
        yield _over((moment,), kind, severity, (upper.voice, lower.voice), words, f"{moving}: {heard_so}")


# Crossing and spacing: one finding for as long as it lasts


def _crossings(pair: tuple[Sounding, Sounding], heard: Heard) -> Iterator[Finding]:
    upper, lower = pair
    outer = lower.voice == "bass" or upper.voice == "soprano"
    for run, high, low in _runs(heard, lambda high, low: low.midi - high.midi):
        alike = f"{lower.words} sounds above {upper.words}"
        words, severity = f"{alike}, at most {low.sign} over {high.sign}", "caution" if outer else "advice"
        yield _over(run, "crossing", severity, (upper.voice, lower.voice), words, alike)


def _spacing(voices: Sequence[Sounding], at: Sequence[Moment]) -> Iterator[Finding]:
    """More than an octave between neighbours among the upper lines; the bass may lie as low as it likes."""
    for (place, upper), (below, lower) in pairwise(enumerate(voices)):
        if upper.voice == lower.voice or lower.voice == "bass" or upper.voice not in ("soprano", "alto"):
            continue
        heard = [(moment, moment.pitches[place], moment.pitches[below]) for moment in at]
        for run, high, low in _runs(heard, lambda high, low: high.midi - low.midi - OCTAVE):
            alike = f"{upper.words} and {lower.words} are more than an octave apart"
            words = f"{alike}, {high.sign} over {low.sign}"
            yield _over(run, "spacing", "advice", (upper.voice, lower.voice), words, alike)


def _runs(heard: Heard, size: Size) -> Iterator[tuple[list[Moment], Pitch, Pitch]]:
    """Stretches without a break in which ``size`` is above 0, each with the two pitches where it is largest."""
    run: list[tuple[Moment, Pitch, Pitch]] = []
    for moment, high, low in [*heard, (heard[-1][0], None, None)] if heard else ():
        if high and low and size(high, low) > 0:
            run.append((moment, high, low))
        elif run:
            _, worst_high, worst_low = max(run, key=lambda one: size(one[1], one[2]))
            yield [moment for moment, _, _ in run], worst_high, worst_low
            run = []


def _over(
    run: Sequence[Moment], kind: str, severity: str, voices: tuple[str, ...], words: str, alike: str = ""
) -> Finding:
    """A finding from the first moment of ``run`` to its last; they may be one."""
    first, last = run[0], run[-1]
    return Finding(
        kind=kind,
        severity=severity,
        bar=first.bar,
        last_bar=last.bar,
        beat=first.beat,
        voices=voices,
        words=capital(words),
        alike=capital(alike),
    )


# Thirds at the ends of phrases


def root_of(pitches: Iterable[Pitch]) -> str | None:
    """Letter of the root of a chord that is a triad or seventh chord, whole or without its third or fifth.

    ``None`` for anything else, and for a bare note. Where two readings are possible the one with the third wins.
    """
    letters = {pitch.letter: pitch for pitch in pitches}
    if len(letters) < 2:
        return None
    candidates = []
    for letter, pitch in letters.items():
        steps = {(other.staff_index - pitch.staff_index) % 7 for other in letters.values()}
        if steps <= {0, 2, 4, 6} and (2 in steps or 4 in steps):
            candidates.append((2 not in steps, 4 not in steps, 6 in steps, letter))
    return min(candidates)[3] if candidates else None


def _thirds(voices: Sequence[Sounding], at: Sequence[Moment]) -> Iterator[Finding]:
    """A chord without its third, or a major chord with two, where a phrase ends."""
    for moment in cadences([voice.line for voice in voices], at):
        by_voice = {
            voice.voice: pitch for voice, pitch in zip(voices, moment.pitches, strict=True) if pitch is not None
        }
        root = root_of(by_voice.values())
        if root is None:
            continue
        base = Pitch.parse(f"{root}4")
        thirds = {name: pitch for name, pitch in by_voice.items() if (pitch.staff_index - base.staff_index) % 7 == 2}
        chord = with_signs(root)
        if not thirds:
            words = f"the phrase ends on a chord of {chord} without its third: it sounds hollow"
            yield _over((moment,), "missing-third", "caution", (), words)
        elif len(thirds) > 1 and _major(base, next(iter(thirds.values()))):
            names = " and ".join(thirds)
            words = f"the phrase ends on {chord} major with its third in {names}: let it be softer than the rest"
            yield _over((moment,), "doubled-third", "advice", tuple(thirds), words)


def _major(root: Pitch, third: Pitch) -> bool:
    return (third.midi - root.midi) % 12 == 4


def cadences(lines: Sequence[Line], at: Sequence[Moment]) -> tuple[Moment, ...]:
    """The last chord of every phrase: before a breath mark, a double or final bar, a repeat, or under a fermata.

    A breath mark counts where every line that is playing has one, or rests, at the same moment; one that is only
    proposed does not.
    """
    ends: set[tuple[int, Fraction]] = set()
    for place, bars in enumerate(zip(*(line.measures for line in lines), strict=True)):
        if any(bar.barline or bar.repeat_end for bar in bars):
            ends.add((place, bars[0].quarters))
        marked = [{end for end, note in _ends(bar.notes) if _phrase_ends(note)} for bar in bars]
        ends |= {
            (place, end)
            for end in set.union(*marked)
            if all(end in mark or _silent(bar.notes, end) for mark, bar in zip(marked, bars, strict=True))
        }
    last: dict[tuple[int, Fraction], Moment] = {}
    for place, end in sorted(ends):
        before = [moment for moment in at if moment.place == place and moment.beat < end and any(moment.pitches)]
        if before:
            last[place, before[-1].beat] = before[-1]
    return tuple(last.values())


def _phrase_ends(note: Note) -> bool:
    return note.fermata or (note.breath and not note.proposed)


def _ends(notes: Iterable[Note]) -> Iterator[tuple[Fraction, Note]]:
    beat = Fraction(0)
    for note in notes:
        beat += note.quarters
        yield beat, note


def _silent(notes: Iterable[Note], end: Fraction) -> bool:
    """Whether the line rests as ``end`` is reached."""
    return any(note.rest and beat - note.quarters < end <= beat for beat, note in _ends(notes))


# Breath


def _breaths(voice: Sounding, longest: float) -> Iterator[Finding]:
    """Stretches on one breath, as :mod:`beginnerband.music.timing` counts them, that are longer than ``longest``."""
    reported: set[tuple[int, int]] = set()
    for stretch in timing(voice.line).breaths:
        # where a repeat goes back within the stretch, the bars are named in the order of the page
        first, last = min(stretch.bar, stretch.last_bar), max(stretch.bar, stretch.last_bar)
        if stretch.seconds > longest and (first, last) not in reported:
            reported.add((first, last))
            words = (
                f"{voice.words} plays {stretch.seconds:.0f} seconds with no rest or breath mark; "
                f"{longest:.0f} is the limit in content/scoring.yml: mark a breath"
            )
            yield Finding(
                "breath",
                severity="caution",
                bar=first,
                last_bar=last,
                beat=Fraction(0),
                voices=(voice.voice,),
                words=capital(words),
            )


# Range


def out_of_range(voice: Sounding, low: Pitch, high: Pitch, words: str) -> tuple[Finding, ...]:
    """Notes of the line that lie below ``low`` or above ``high``, one finding for bars that follow each other.

    ``words`` name the limit, as ``the first-year range of the baritone``.
    """
    found, group = [], list[tuple[Moment, Pitch]]()
    at = moments([voice.line])
    for moment in (*at, None):
        pitch = moment.pitches[0] if moment else None
        if group and (moment is None or moment.place > group[-1][0].place + 1):
            found.append(_beyond(voice, group, low, high, words))
            group = []
        if moment and pitch and not low.midi <= pitch.midi <= high.midi:
            group.append((moment, pitch))
    return tuple(found)


def _beyond(voice: Sounding, group: list[tuple[Moment, Pitch]], low: Pitch, high: Pitch, words: str) -> Finding:
    worst = max((pitch for _, pitch in group), key=lambda pitch: max(low.midi - pitch.midi, pitch.midi - high.midi))
    side = "below" if worst.midi < low.midi else "above"
    message = f"{voice.words} goes to {worst.sign} (as it sounds), {side} {words}"
    alike = f"{voice.words} goes {side} {words}"
    return _over([moment for moment, _ in group], "range", "fault", (voice.voice,), message, alike)
