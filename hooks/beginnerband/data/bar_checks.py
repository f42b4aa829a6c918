"""Every check that a line's bars must pass: their lengths, ties, slurs and endings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from beginnerband.data.bars import Mistake, UnfinishedBar
from beginnerband.music.score import Note, Remark


class BarChecks:
    """Checks the bars of one line and numbers them; what can be mended where ``lenient`` is."""

    def __init__(self, bars: list[UnfinishedBar], broken: Collection[int], lenient: bool) -> None:
        self._bars, self._broken, self._lenient = bars, broken, lenient
        self.mistakes: list[Mistake] = []
        """What is wrong; ``broken`` are the places of bars of which that has been said."""
        self.remarks: list[Remark] = []
        """What was left out."""

    def run(self) -> None:
        """Number the bars and check them."""
        self._number()
        self._check_lengths()
        self._check_ties()
        self._check_slurs()
        self._check_endings()
        self._check_repeats()

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

    def _check_repeats(self) -> None:
        """A repeat that begins and does not end before the next begins."""
        begun: UnfinishedBar | None = None
        for bar in (*self._bars, UnfinishedBar(repeat_start=True)):
            if bar.repeat_start and begun:
                said = f"bar {begun.number}: a repeat begins here that never ends; it is played once"
                self.remarks.append(Remark(begun.line, said))
            begun = bar if bar.repeat_start else begun
            begun = None if bar.repeat_end else begun

    def _check_lengths(self) -> None:
        """Where nearly all bars have one other length, the metre or the unit of lengths is wrong, said once."""
        lengths = Counter(bar.quarters for bar in self._bars if bar.metre.quarters != bar.quarters)
        length, often = lengths.most_common(1)[0] if lengths else (Fraction(0), 0)
        if often >= max(4, len(self._bars) - 2) and len({bar.metre for bar in self._bars}) == 1:
            bar = next(bar for bar in self._bars if bar.quarters == length)
            count = f"{_count(length * bar.metre.unit / 4)} beats where {bar.metre.name} has {bar.metre.beats}"
            message = (
                f"{often} of {len(self._bars)} bars hold {count}; mend the metre, or in ABC the unit of lengths (L:)"
            )
            self.mistakes.append(Mistake(bar.line, message))
            return
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
            fix = (
                "; fill it with rests, or make up the pickup"
                if has < needs
                else f"; {bar.doubt or 'is a barline missing?'}"
            )
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

    def _beside(self, place: int) -> list[UnfinishedBar]:
        return self._bars[max(0, place - 1) : place] + self._bars[place + 1 : place + 2]

    def _check_ties(self) -> None:
        flat = [(bar, note) for bar in self._bars for note in bar.notes]
        for (bar, note), (following, after) in pairwise(flat):
            if not note.tie or (after.pitch and note.pitch and after.pitch.midi == note.pitch.midi):
                continue
            if bar.repeat_end or (following is not bar and following.ending_start):
                continue  # what follows on the page is not what is played next
            if self._lenient:
                place = next(at for at, other in enumerate(bar.notes) if other is note)
                bar.notes[place] = replace(note, tie=False)
                self.remarks.append(Remark(bar.line, f"bar {bar.number}: a tie to another note is left out"))
            else:
                self._tie_mistake(bar, note, after)

    def _tie_mistake(self, bar: UnfinishedBar, note: Note, after: Note) -> None:
        said = note.pitch.sign if note.pitch else "a rest"
        then = after.pitch.sign if after.pitch else "a rest"
        message = f"bar {bar.number}: a tie from {said} to {then}; a tie joins a note to itself, a slur to another"
        self.mistakes.append(Mistake(bar.line, message))

    def _check_slurs(self) -> None:
        opened: list[tuple[UnfinishedBar, int]] = []
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

    def _loose_slur(self, bar: UnfinishedBar, what: str) -> None:
        message = f"bar {bar.number}: {what}"
        if self._lenient:
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


def _count(beats: Fraction) -> str:
    whole, part = divmod(beats, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)
