"""Bars put together from a stream of notes and barlines, with every check that a bar must pass.

Both importers feed a :class:`Voice`; it numbers the bars, joins ties and slurs, and says in plain words what is wrong.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise

from beginnerband.music.playing import order
from beginnerband.music.score import Key, Line, Measure, Note, Tempo, Time, split_length


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong in a music file."""

    line: int
    """Line of the file, from 1; 0 where the format has none to name."""
    message: str
    """What is wrong, with its bar."""


@dataclass(frozen=True, slots=True)
class Barline:
    """A barline as met in a file."""

    repeat_end: int = 0
    """Times the section before it is played, 0 for no repeat."""
    repeat_start: bool = False
    """Whether a repeated section begins after it."""
    style: str = ""
    """``double`` or ``final``, or empty."""
    ending: tuple[int, ...] = ()
    """Times through at which what follows is played."""

    @property
    def section(self) -> bool:
        """Whether a section ends here, so that an ending's bracket closes and a pickup may follow."""
        return bool(self.repeat_end or self.repeat_start or self.style)


@dataclass(slots=True)
class _Bar:
    """A bar in the making."""

    line: int = 0
    notes: list[Note] = field(default_factory=list)
    key: Key | None = None
    time: Time | None = None
    tempo: Tempo | None = None
    repeat_start: bool = False
    repeat_end: int = 0
    ending: tuple[int, ...] = ()
    ending_start: bool = False
    style: str = ""
    marks: list[str] = field(default_factory=list)
    rehearsal: str = ""
    whole: bool = True  # a full bar is expected; the metre in force
    metre: Time = field(default_factory=lambda: Time(4, 4))
    opens: bool = False  # begins a section
    number: int = 0

    @property
    def quarters(self) -> Fraction:
        return sum((note.quarters for note in self.notes), Fraction(0))

    @property
    def short(self) -> bool:
        return self.quarters < self.metre.quarters


class Voice:
    """Collects one voice; :meth:`finish` gives the line or the mistakes."""

    def __init__(self, key: Key, time: Time, tempo: Tempo | None, name: str = "") -> None:
        self.name = name
        self.metre = time
        self.mistakes: list[Mistake] = []
        self._bars: list[_Bar] = []
        self._now = _Bar(key=key, time=time, tempo=tempo, opens=True)
        self._ending: tuple[int, ...] = ()
        self._ending_starts = False
        self._last: tuple[int, int] | None = None  # place of the last note, for what is added to it afterwards

    # -- feeding

    def note(self, note: Note, line: int) -> None:
        """Add a note; one too long for a single sign is split and tied."""
        if not self._now.notes:
            self._now.line = line
        try:
            lengths = split_length(note.notated) if note.quarters else ()
        except ValueError:
            lengths = ()
        if not lengths:
            self.wrong(line, f"a note of {note.notated / 4} of a whole note cannot be written")
            return
        for place, length in enumerate(lengths):
            last = place == len(lengths) - 1
            part = replace(note, quarters=length * note.quarters / note.notated)
            if place:
                part = replace(part, slur_starts=0, articulations=(), dynamic="", graces=(), words="")
                part = replace(part, chord="", lyric="")
            if not last:
                part = replace(part, tie=not note.rest, slur_stops=0, fermata=False, breath=False)
            self._now.notes.append(part)
        self._last = (len(self._bars), len(self._now.notes) - 1)

    def amend(self, **changes: object) -> bool:
        """Change the last note (a tie, a slur's end, a breath); false when there is none yet."""
        if self._last is None:
            return False
        bar = self._bar_at(self._last[0])
        bar.notes[self._last[1]] = replace(bar.notes[self._last[1]], **changes)  # type: ignore[arg-type]
        return True

    @property
    def last(self) -> Note | None:
        """The last note, or ``None``."""
        return self._bar_at(self._last[0]).notes[self._last[1]] if self._last else None

    def _bar_at(self, place: int) -> _Bar:
        return self._bars[place] if place < len(self._bars) else self._now

    @property
    def full(self) -> bool:
        """Whether the bar in the making is exactly full."""
        return self._now.quarters == self.metre.quarters

    @property
    def empty(self) -> bool:
        """Whether the bar in the making has no notes yet."""
        return not self._now.notes

    @property
    def bar_number(self) -> int:
        """Number of the bar in the making, counted from 1."""
        return len(self._bars) + 1

    def change(self, key: Key | None = None, time: Time | None = None, tempo: Tempo | None = None) -> None:
        """A new key, metre or tempo from here."""
        now = self._now
        now.key, now.time, now.tempo = key or now.key, time or now.time, tempo or now.tempo
        if time:
            self.metre = time

    def mark(self, mark: str) -> None:
        """A sign such as ``segno``; signs that close a bar (``fine``, jumps) met at its start belong to the last."""
        closing = mark not in ("segno", "coda")
        bar = self._bars[-1] if closing and self.empty and self._bars else self._now
        if mark not in bar.marks:
            bar.marks.append(mark)

    def rehearsal(self, letter: str) -> None:
        """A rehearsal letter at the bar in the making."""
        self._now.rehearsal = letter

    def barline(self, sign: Barline) -> None:
        """Close the bar, or, where it is still empty, add the sign to the one before and after."""
        if self._now.notes:
            self._close(sign)
        elif self._bars:
            last = self._bars[-1]
            last.repeat_end = max(last.repeat_end, sign.repeat_end)
            last.style = sign.style or last.style
        if sign.section:
            self._ending = ()
        if sign.ending:
            self._ending, self._ending_starts = sign.ending, True
        self._now.repeat_start = self._now.repeat_start or sign.repeat_start
        self._now.opens = self._now.opens or sign.section or bool(sign.ending)

    def _close(self, sign: Barline) -> None:
        bar = self._now
        bar.repeat_end, bar.style, bar.metre = sign.repeat_end, sign.style, self.metre
        bar.ending, bar.ending_start = self._ending, self._ending_starts
        self._ending_starts = False
        self._bars.append(bar)
        self._now = _Bar()

    def wrong(self, line: int, message: str) -> None:
        """Note a mistake in the bar in the making."""
        self.mistakes.append(Mistake(line, f"bar {self.bar_number}: {message}"))

    # -- finishing

    def finish(self) -> Line | None:
        """The line; ``None`` when there is nothing to play or something is wrong (see :attr:`mistakes`)."""
        if self._now.notes:
            self._close(Barline())
        if not any(not note.rest for bar in self._bars for note in bar.notes):
            if not self.mistakes:
                self.mistakes.append(Mistake(0, "there are no notes to play"))
            return None
        self._number()
        self._check_lengths()
        self._check_ties()
        self._check_slurs()
        if self.mistakes:
            return None
        line = Line(tuple(self._measure(place) for place in range(len(self._bars))), self.name)
        try:
            order(line)
        except ValueError as error:
            self.mistakes.append(Mistake(self._bars[-1].line, str(error)))
            return None
        return line

    def _number(self) -> None:
        """Printed numbers: a pickup is 0, and two parts of one bar cut by a repeat share one."""
        number = 0
        for place, bar in enumerate(self._bars):
            before = self._bars[place - 1] if place else None
            joined = before is not None and before.short and before.quarters + bar.quarters == bar.metre.quarters
            if place == 0 and bar.short and len(self._bars) > 1:
                bar.number = 0
                continue
            number += 0 if joined and bar.opens and before is not None and before.number else 1
            bar.number = number

    def _check_lengths(self) -> None:
        for place, bar in enumerate(self._bars):
            has, needs = bar.quarters, bar.metre.quarters
            if has == needs or (has < needs and self._may_be_short(place)):
                continue
            unit = Fraction(4, bar.metre.unit)
            count = (
                f"{_count(has / unit)} of {bar.metre.beats} beats"
                if has < needs
                else (f"{_count(has / unit)} beats where {bar.metre.name} has room for {bar.metre.beats}")
            )
            fix = "; fill it with rests, or make up the pickup" if has < needs else "; is a barline missing?"
            self.mistakes.append(Mistake(bar.line, f"bar {bar.number}: it holds {count}{fix}"))

    def _may_be_short(self, place: int) -> bool:
        """A pickup may; so may the end of a section whose missing beats the next bar played brings.

        And so may two neighbours that make one bar together: hymns are often barred so where a verse line ends.
        """
        bars, bar = self._bars, self._bars[place]
        if bar.opens:
            return True
        if any(other.short and other.quarters + bar.quarters == bar.metre.quarters for other in self._beside(place)):
            return True
        following = bars[place + 1] if place + 1 < len(bars) else None
        if following is not None and not (bar.repeat_end or bar.style or following.opens):
            return False
        pickups = [other.quarters for other in bars if other.opens and other.short]
        return bar.quarters + (following.quarters if following and following.opens else 0) == bar.metre.quarters or any(
            bar.quarters + pickup == bar.metre.quarters for pickup in pickups
        )

    def _beside(self, place: int) -> list[_Bar]:
        return self._bars[max(0, place - 1) : place] + self._bars[place + 1 : place + 2]

    def _check_ties(self) -> None:
        flat = [(bar, note) for bar in self._bars for note in bar.notes]
        for (bar, note), (following, after) in pairwise(flat):
            if not note.tie or (after.pitch and note.pitch and after.pitch.midi == note.pitch.midi):
                continue
            if bar.repeat_end or (following is not bar and following.ending_start):
                continue  # what follows on the page is not what is played next
            self._tie_mistake(bar, note, after)

    def _tie_mistake(self, bar: _Bar, note: Note, after: Note) -> None:
        said = note.pitch.sign if note.pitch else "a rest"
        then = after.pitch.sign if after.pitch else "a rest"
        message = f"bar {bar.number}: a tie from {said} to {then}; a tie joins a note to itself, a slur to another"
        self.mistakes.append(Mistake(bar.line, message))

    def _check_slurs(self) -> None:
        opened: list[int] = []
        for bar in self._bars:
            for place, note in enumerate(bar.notes):
                stops = min(note.slur_stops, len(opened))
                if stops < note.slur_stops:
                    self.mistakes.append(Mistake(bar.line, f"bar {bar.number}: a slur ends that was never begun"))
                del opened[len(opened) - stops :]
                opened += [bar.number] * note.slur_starts
                bar.notes[place] = note
        for number in opened:
            line = next(bar.line for bar in self._bars if bar.number == number)
            self.mistakes.append(Mistake(line, f"bar {number}: a slur begins that never ends"))

    def _measure(self, place: int) -> Measure:
        bar = self._bars[place]
        last = place == len(self._bars) - 1
        return Measure(
            number=bar.number,
            notes=tuple(bar.notes),
            key=bar.key,
            time=bar.time,
            tempo=bar.tempo,
            repeat_start=bar.repeat_start,
            repeat_end=bar.repeat_end,
            ending=bar.ending,
            ending_start=bar.ending_start,
            barline=bar.style or ("final" if last and not bar.repeat_end else ""),
            partial=bar.short,
            rehearsal=bar.rehearsal,
            marks=tuple(bar.marks),
        )


def _count(beats: Fraction) -> str:
    whole, part = divmod(beats, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)
