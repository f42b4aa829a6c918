"""Bars put together from a stream of notes and barlines, with every check that a bar must pass.

Both importers feed a :class:`Voice`; it numbers the bars, joins ties and slurs, and says in plain words what is wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import KW_ONLY, dataclass, field, replace
from fractions import Fraction
from itertools import groupby, pairwise

from beginnerband.music.pitch import Pitch
from beginnerband.music.playing import order
from beginnerband.music.score import MARKS, Key, Line, Measure, Note, Remark, Tempo, Time, split_length


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
    ending_stops: bool | None = None
    """Whether an ending's bracket closes here; ``None`` where the end of a section says so."""

    @property
    def section(self) -> bool:
        """Whether a section ends here, so that an ending's bracket closes and a pickup may follow."""
        return bool(self.repeat_end or self.repeat_start or self.style)


@dataclass(slots=True)
class _Bar:
    """A bar in the making."""

    line: int = 0
    notes: list[Note] = field(default_factory=list)
    _: KW_ONLY
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

    def __init__(self, key: Key, time: Time, tempo: Tempo | None, name: str = "", lenient: bool = False) -> None:
        self.name = name
        self.lenient = lenient
        """Ties and slurs that lead nowhere are dropped with a remark: notation programs leave them behind."""
        self.metre = time
        self.mistakes: list[Mistake] = []
        self._bars: list[_Bar] = []
        self._now = _Bar(key=key, time=time, tempo=tempo, opens=True)
        self._ending: tuple[int, ...] = ()
        self._ending_starts = False
        self._last: tuple[int, int] | None = None  # place of the last note, for what is added to it afterwards
        self.anchors: list[tuple[tuple[int, int], bool]] = []
        """Bar and place of each note fed, rests too, and whether it is one to sing on."""
        self._signs: list[str] = []  # jumps and their goals, waiting for a note or a barline
        self._parts: list[tuple[str, int]] = []
        self._broken: set[int] = set()  # places of bars in which something is wrong already
        self.remarks: list[Remark] = []
        self.under: Voice | None = None
        """A second voice that reads from the same staff, where chords of two notes have been met."""

    # -- feeding

    def note(self, note: Note, line: int, lower: Pitch | None = None) -> None:
        """Add a note; one too long for a single sign is split and tied. ``lower`` is for a second voice below."""
        if lower and not self.under:
            self.under = deepcopy(self)
            self.under.mistakes, self.under.remarks = [], []
        if self.under:
            self.under.note(replace(note, pitch=lower or note.pitch), line)
        if not self._now.notes:
            self._now.line = line
        self._flush()
        try:
            lengths = split_length(note.notated) if note.quarters else ()
        except ValueError:
            lengths = ()
        if not lengths:
            self.wrong(line, f"a note of {note.notated / 4} of a whole note cannot be written")
            return
        at = (len(self._bars), len(self._now.notes))
        for place, length in enumerate(lengths):
            last = place == len(lengths) - 1
            part = replace(note, quarters=length * note.quarters / note.notated)
            if place:
                part = replace(part, slur_starts=0, articulations=(), dynamic="", graces=(), words="")
                part = replace(part, chord=None, lyrics=())
            if not last:
                part = replace(part, tie=not note.rest, slur_stops=0, fermata=False, breath=False)
            self._now.notes.append(part)
        self._last = (len(self._bars), len(self._now.notes) - 1)
        self.anchors.append((at, not note.rest))

    def _flush(self) -> None:
        """Signs before a note: a jump belongs to its bar's end; a coda sign after the bar's first note is To Coda."""
        for mark in self._signs:
            self._put(self._now, "to-coda" if mark == "coda" and self._now.notes else mark)
        self._signs.clear()

    @staticmethod
    def _put(bar: _Bar, mark: str) -> None:
        if mark not in bar.marks:
            bar.marks.append(mark)

    def at(self, anchor: tuple[int, int]) -> Note:
        """The note at an anchor (see :attr:`anchors`)."""
        return self._bar_at(anchor[0]).notes[anchor[1]]

    def amend_at(self, anchor: tuple[int, int], **changes: object) -> None:
        """Change the note at an anchor; the voice below, if there is one, follows."""
        bar = self._bar_at(anchor[0])
        bar.notes[anchor[1]] = replace(bar.notes[anchor[1]], **changes)  # type: ignore[arg-type]
        if self.under:
            self.under.amend_at(anchor, **changes)

    def amend(self, **changes: object) -> bool:
        """Change the last note (a tie, a slur's end, a breath); false when there is none yet."""
        if self._last is None:
            return False
        self.amend_at(self._last, **changes)
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
    def in_first_ending(self) -> bool:
        """Whether the last bar closed belongs to a first ending."""
        return bool(self._bars) and 1 in self._bars[-1].ending

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
        if self.under:
            self.under.change(key, time, tempo)

    def mark(self, mark: str) -> None:
        """A sign of ``music.score.MARKS``. A segno before a barline opens the next bar, a coda sign there is To Coda.

        Jumps and *Fine* belong to the bar of the note that follows, or to the bar that is closed next.
        """
        self._signs.append(mark)
        if self.under:
            self.under.mark(mark)

    def put_last(self, mark: str) -> None:
        """A mark at the end of the last bar closed."""
        for voice in (self, self.under):
            if voice and voice._bars:
                voice._put(voice._bars[-1], mark)

    def rehearsal(self, letter: str) -> None:
        """A rehearsal letter at the bar in the making."""
        self._now.rehearsal = letter
        if self.under:
            self.under.rehearsal(letter)

    def part(self, label: str) -> None:
        """A part named in an order of parts begins at the bar in the making."""
        self._parts.append((label, len(self._bars)))
        if self.under:
            self.under.part(label)

    def arrange(self, parts: str) -> None:
        """Put the parts into their order, as ``AABA``: repeated where one follows itself, written out elsewhere."""
        self.complete()
        if self.under:
            self.under.arrange(parts)
        starts = [(label[:1], place) for label, place in self._parts]
        labels = [label for label, _ in starts]
        if not labels:
            self.remarks.append(Remark(0, f"P: orders parts ({parts}), but the tune names none; it is not used"))
            return
        missing = sorted(set(parts) - set(labels))
        if missing or len(set(labels)) < len(labels):
            what = f"names the part {missing[0]}, which" if missing else "orders parts, of which one"
            is_not = "the tune does not have" if missing else "is there twice"
            self.mistakes.append(
                Mistake(self._bars[0].line, f"P: {what} {is_not}; mark each part by a line P:A, P:B …")
            )
            return
        if parts == "".join(labels) + labels[0] and self._da_capo(starts):
            return
        self._state()
        ends = [place for _, place in starts[1:]] + [len(self._bars)]
        cut = {label: self._bars[place:end] for (label, place), end in zip(starts, ends, strict=True)}
        bars, key, time = self._bars[: starts[0][1]], self._bars[0].key, self._bars[0].time
        for label, run in groupby(parts):
            count = len(list(run))
            plain = not any(bar.repeat_start or bar.repeat_end or bar.ending for bar in cut[label])
            for _ in range(1 if plain else count):
                bars += deepcopy(cut[label])
            if plain and count > 1 and cut[label]:
                bars[-len(cut[label])].repeat_start, bars[-1].repeat_end = True, count
                bars[-len(cut[label])].opens = True
        for bar in bars:
            bar.key, key = (bar.key if bar.key != key or bar is bars[0] else None), bar.key
            bar.time, time = (bar.time if bar.time != time or bar is bars[0] else None), bar.time
        self._bars = bars

    def _da_capo(self, starts: list[tuple[str, int]]) -> bool:
        """Mark an order such as ABA as *D.C. al Fine*, where its first part opens the tune and repeats nothing."""
        if starts[0][1] or len(starts) < 2:
            return False
        first = self._bars[: starts[1][1]]
        if not first or any(bar.repeat_start or bar.repeat_end or bar.ending or bar.marks for bar in self._bars):
            return False
        self._put(first[-1], "fine")
        self._put(self._bars[-1], "da-capo")
        self._put(self._bars[-1], "al-fine")
        return True

    def _state(self) -> None:
        """Give every bar the key and metre in force."""
        key = time = None
        for bar in self._bars:
            bar.key, bar.time = bar.key or key, bar.time or time
            key, time = bar.key, bar.time

    def barline(self, sign: Barline) -> None:
        """Close the bar, or, where it is still empty, add the sign to the one before and after."""
        if self.under:
            self.under.barline(sign)
        empty = not self._now.notes
        if not empty:
            self._close(sign)
        elif self._bars:
            last = self._bars[-1]
            last.repeat_end = max(last.repeat_end, sign.repeat_end)
            last.style = sign.style or last.style
        self._settle(empty)
        if sign.section if sign.ending_stops is None else sign.ending_stops:
            self._ending, self._ending_starts = (), False
        if sign.ending:
            self._ending, self._ending_starts = sign.ending, True
        self._now.repeat_start = self._now.repeat_start or sign.repeat_start
        self._now.opens = self._now.opens or sign.section or bool(sign.ending)

    def _settle(self, empty: bool) -> None:
        """Signs met just before a barline; ``empty`` where no note stood before it."""
        waiting, self._signs = self._signs, []
        for mark in waiting:
            if not self._bars or mark == "segno" or (mark == "coda" and empty):
                self._signs.append(mark)
            else:
                self._put(self._bars[-1], "to-coda" if mark == "coda" else mark)

    def _close(self, sign: Barline) -> None:
        bar = self._now
        bar.repeat_end, bar.style, bar.metre = sign.repeat_end, sign.style, self.metre
        bar.ending, bar.ending_start = self._ending, self._ending_starts
        self._ending_starts = False
        self._bars.append(bar)
        self._now = _Bar()

    def wrong(self, line: int, message: str) -> None:
        """Note a mistake in the bar in the making."""
        self._broken.add(len(self._bars))
        self.mistakes.append(Mistake(line, f"bar {self.bar_number}: {message}"))

    def remark(self, line: int, message: str) -> None:
        """Note something that is not used, in the bar in the making."""
        self.remarks.append(Remark(line, f"bar {self.bar_number}: {message}"))

    # -- finishing

    def complete(self) -> None:
        """Nothing more comes: close the last bar, and say which coda signs are left and which arrived at."""
        if self._now.notes:
            self._close(Barline())
        if self._bars:
            self._settle(empty=False)
        self._codas()

    def _codas(self) -> None:
        """Where no sign says To Coda, the first half of the coda signs are; where none is a goal, the last are."""
        for bar in self._bars:
            if "to-coda" in bar.marks and "coda" in bar.marks:
                bar.marks.remove("coda")
        leaves, goals = ([bar for bar in self._bars if mark in bar.marks] for mark in ("to-coda", "coda"))
        if not leaves and len(goals) > 1:
            changed = [(bar, "coda", "to-coda") for bar in goals[: len(goals) // 2]]
        elif not goals and len(leaves) > 1:
            changed = [(bar, "to-coda", "coda") for bar in leaves[(len(leaves) + 1) // 2 :]]
        else:
            changed = []
        for bar, old, new in changed:
            bar.marks[bar.marks.index(old)] = new

    def bar(self, place: int) -> _Bar:
        """A closed bar by its place."""
        return self._bars[place]

    @property
    def bars(self) -> int:
        """How many bars have been closed."""
        return len(self._bars)

    @property
    def silent(self) -> bool:
        """Whether there is nothing but rests."""
        return not any(not note.rest for bar in self._bars for note in bar.notes)

    def finish(self) -> Line | None:
        """The line; ``None`` when there is nothing to play or something is wrong (see :attr:`mistakes`)."""
        self.complete()
        if self.silent:
            if not self.mistakes:
                last = self._bars[-1].line if self._bars else 0
                self.mistakes.append(Mistake(last, "there are no notes to play"))
            return None
        self._number()
        self._check_lengths()
        self._check_ties()
        self._check_slurs()
        self._check_endings()
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
            if has == needs or (has < needs and self._may_be_short(place)) or place in self._broken:
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
            if self.lenient:
                place = next(at for at, other in enumerate(bar.notes) if other is note)
                bar.notes[place] = replace(note, tie=False)
                self.remarks.append(Remark(bar.line, f"bar {bar.number}: a tie to another note is left out"))
            else:
                self._tie_mistake(bar, note, after)

    def _tie_mistake(self, bar: _Bar, note: Note, after: Note) -> None:
        said = note.pitch.sign if note.pitch else "a rest"
        then = after.pitch.sign if after.pitch else "a rest"
        message = f"bar {bar.number}: a tie from {said} to {then}; a tie joins a note to itself, a slur to another"
        self.mistakes.append(Mistake(bar.line, message))

    def _check_slurs(self) -> None:
        opened: list[tuple[_Bar, int]] = []
        for bar in self._bars:
            for place, note in enumerate(bar.notes):
                stops = min(note.slur_stops, len(opened))
                if stops < note.slur_stops:
                    self._loose_slur(bar, "a slur ends that was never begun")
                    bar.notes[place] = replace(note, slur_stops=stops)
                del opened[len(opened) - stops :]
                opened += [(bar, place)] * note.slur_starts
        for bar, place in opened:
            self._loose_slur(bar, "a slur begins that never ends")
            bar.notes[place] = replace(bar.notes[place], slur_starts=bar.notes[place].slur_starts - 1)

    def _loose_slur(self, bar: _Bar, what: str) -> None:
        message = f"bar {bar.number}: {what}"
        if self.lenient:
            self.remarks.append(Remark(bar.line, f"{message}; it is left out"))
        else:
            self.mistakes.append(Mistake(bar.line, message))

    def _check_endings(self) -> None:
        for place, bar in enumerate(self._bars):
            before = self._bars[place - 1].ending if place else ()
            if bar.ending_start and min(bar.ending) > 1 and not before:
                first = min(bar.ending)
                message = f"bar {bar.number}: ending {first} has no ending 1 before it; begin the first with |1"
                self.mistakes.append(Mistake(bar.line, message))

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
            marks=tuple(mark for mark in MARKS if mark in bar.marks),
        )


def in_step(voices: Sequence[Voice]) -> list[Mistake]:
    """Give every voice the repeats, endings, jumps, letters and tempos that any of them has; what cannot be is said.

    A sign in one voice of four holds for the band: otherwise the voices would play apart.
    """
    for voice in voices:
        voice.complete()
    if len(voices) < 2:
        return []
    first = voices[0]
    lengths = {voice.bars for voice in voices}
    if len(lengths) > 1:
        told = ", ".join(f"{voice.name or number} {voice.bars}" for number, voice in enumerate(voices, 1))
        shortest = min(voices, key=lambda voice: voice.bars)
        line = shortest.bar(-1).line if shortest.bars else 0
        message = f"the voices do not have the same number of bars ({told}); write rests where one is silent"
        return [Mistake(line, message)]
    found: list[Mistake] = []
    for place in range(first.bars):
        column = [voice.bar(place) for voice in voices]
        endings = sorted({bar.ending for bar in column if bar.ending})
        if len(endings) > 1:
            found.append(Mistake(column[0].line, f"bar {place + 1}: the voices have different endings here"))
            continue
        if len({bar.quarters for bar in column}) > 1 and len({bar.metre for bar in column}) == 1:
            full = [bar.quarters == bar.metre.quarters for bar in column]
            short = next((bar for bar, whole in zip(column, full, strict=True) if not whole), None)
            if short and any(full) and short.quarters < short.metre.quarters:
                found.append(Mistake(short.line, f"bar {place + 1}: one voice is shorter than the others; write rests"))
                continue
        _share(column, endings[0] if endings else ())
    return found


def _share(column: Sequence[_Bar], ending: tuple[int, ...]) -> None:
    marks = list(dict.fromkeys(mark for bar in column for mark in bar.marks))
    for bar in column:
        bar.repeat_start = any(other.repeat_start for other in column)
        bar.repeat_end = max(other.repeat_end for other in column)
        bar.ending, bar.ending_start = ending, any(other.ending_start for other in column)
        bar.style = max((other.style for other in column), key=("", "double", "final").index)
        bar.opens = any(other.opens for other in column)
        bar.marks = marks.copy()
        bar.rehearsal = next((other.rehearsal for other in column if other.rehearsal), "")
        bar.tempo = next((other.tempo for other in column if other.tempo), None)


def _count(beats: Fraction) -> str:
    whole, part = divmod(beats, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)
