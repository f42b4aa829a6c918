"""The parts of a tune put into an order such as ``AABA``: repeated where one follows itself, written out elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from itertools import groupby

from beginnerband.data.bars import UnfinishedBar


class PartOrderError(ValueError):
    """Parts that are ordered and cannot be found; the message says what is wrong and what would be right."""


def in_order(bars: list[UnfinishedBar], starts: Sequence[tuple[str, int]], order: str) -> list[UnfinishedBar]:
    """The bars in the order of the parts; ``starts`` has the letter of each part and the place of its first bar.

    Raises :class:`PartOrderError`.
    """
    labels = [label for label, _ in starts]
    missing = sorted(set(order) - set(labels))
    if missing or len(set(labels)) < len(labels):
        what = f"names the part {missing[0]}, which" if missing else "orders parts, of which one"
        is_not = "the tune does not have" if missing else "is there twice"
        raise PartOrderError(f"P: {what} {is_not}; mark each part by a line P:A, P:B …")
    if order == "".join(labels) + labels[0] and _da_capo(bars, starts):
        return bars
    _state(bars)
    ends = [place for _, place in starts[1:]] + [len(bars)]
    cut = {label: bars[place:end] for (label, place), end in zip(starts, ends, strict=True)}
    made, key, time = bars[: starts[0][1]], bars[0].key, bars[0].time
    for label, run in groupby(order):
        count = len(list(run))
        plain = not any(bar.repeat_start or bar.repeat_end or bar.ending for bar in cut[label])
        for _ in range(1 if plain else count):
            made += deepcopy(cut[label])
        if plain and count > 1 and cut[label]:
            made[-len(cut[label])].repeat_start, made[-1].repeat_end = True, count
            made[-len(cut[label])].opens = True
    for bar in made:
        bar.key, key = (bar.key if bar.key != key or bar is made[0] else None), bar.key
        bar.time, time = (bar.time if bar.time != time or bar is made[0] else None), bar.time
    return made


def _da_capo(bars: list[UnfinishedBar], starts: Sequence[tuple[str, int]]) -> bool:
    """Mark an order such as ABA as *D.C. al Fine*, where its first part opens the tune and repeats nothing."""
    if starts[0][1] or len(starts) < 2:
        return False
    first = bars[: starts[1][1]]
    if not first or any(bar.repeat_start or bar.repeat_end or bar.ending or bar.marks for bar in bars):
        return False
    first[-1].mark("fine")
    bars[-1].mark("da-capo")
    bars[-1].mark("al-fine")
    return True


def _state(bars: list[UnfinishedBar]) -> None:
    """Give every bar the key and metre in force."""
    key = time = None
    for bar in bars:
        bar.key, bar.time = bar.key or key, bar.time or time
        key, time = bar.key, bar.time
