"""Bars put together from a stream of notes and barlines.

Both importers feed a :class:`Voice`; it says in plain words what is wrong, with every check of ``bar_checks.py``.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace

from beginnerband.data.bar_checks import BarChecks
from beginnerband.data.bars import Barline, Mistake, UnfinishedBar
from beginnerband.data.part_order import PartOrderError, in_order
from beginnerband.music.pitch import Pitch
from beginnerband.music.playing import order
from beginnerband.music.score import MARKS, Key, Line, Measure, Note, Remark, Tempo, Time, split_length


class Voice:
    """Collects one voice; :meth:`finish` gives the line or the mistakes."""

    def __init__(self, key: Key, time: Time, tempo: Tempo | None, name: str = "", lenient: bool = False) -> None:
        self.name = name
        self.lenient = lenient
        """Ties and slurs that lead nowhere are dropped with a remark: notation programs leave them behind."""
        self.metre = time
        self.mistakes: list[Mistake] = []
        self._bars: list[UnfinishedBar] = []
        self._now = UnfinishedBar(key=key, time=time, tempo=tempo, opens=True)
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
            self._now.mark("to-coda" if mark == "coda" and self._now.notes else mark)
        self._signs.clear()

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
    def notes_in_bar(self) -> int:
        """How many notes the bar in the making has."""
        return len(self._now.notes)

    @property
    def last(self) -> Note | None:
        """The last note, or ``None``."""
        return self._bar_at(self._last[0]).notes[self._last[1]] if self._last else None

    def _bar_at(self, place: int) -> UnfinishedBar:
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

    def doubt(self, what: str) -> None:
        """Note what was perhaps meant, to be said should the bar in the making become too long."""
        self._now.doubt = self._now.doubt or what

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
                voice._bars[-1].mark(mark)

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
        if not starts:
            self.remarks.append(Remark(0, f"P: orders parts ({parts}), but the tune names none; it is not used"))
            return
        try:
            self._bars = in_order(self._bars, starts, parts)
        except PartOrderError as error:
            self.mistakes.append(Mistake(self._bars[0].line, str(error)))

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
                self._bars[-1].mark("to-coda" if mark == "coda" else mark)

    def _close(self, sign: Barline) -> None:
        bar = self._now
        bar.repeat_end, bar.style, bar.metre = sign.repeat_end, sign.style, self.metre
        bar.ending, bar.ending_start = self._ending, self._ending_starts
        self._ending_starts = False
        self._bars.append(bar)
        self._now = UnfinishedBar()

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

    def bar(self, place: int) -> UnfinishedBar:
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
        checks = BarChecks(self._bars, self._broken, self.lenient)
        checks.run()
        self.mistakes += checks.mistakes
        self.remarks += checks.remarks
        if self.mistakes:
            return None
        line = Line(tuple(self._measure(place) for place in range(len(self._bars))), self.name)
        try:
            order(line)
        except ValueError as error:
            self.mistakes.append(Mistake(self._bars[-1].line, str(error)))
            return None
        return line

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
            file_line=bar.line,
        )
