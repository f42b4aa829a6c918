"""Voices of one score brought into step: a sign in one of them holds for all."""

from __future__ import annotations

from collections.abc import Sequence

from beginnerband.data.barring import Voice
from beginnerband.data.bars import Mistake, UnfinishedBar


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


def _share(column: Sequence[UnfinishedBar], ending: tuple[int, ...]) -> None:
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
