"""What a band has to buy, and how much of it, counted from who plays what."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import KW_ONLY, dataclass

from beginnerband.music.instrument import Drums, Instrument, Slide, Valves
from beginnerband.music.player import Player


@dataclass(frozen=True, slots=True)
class Supply:
    """One thing to buy."""

    name: str
    """What it is, as many as needed: ``Mouthpiece brushes``."""
    _: KW_ONLY
    who: str
    """Players it is counted by, a name of :data:`COUNTED`."""
    one_for: int
    """One for so many of them."""
    spare: int
    """So many more, where there are any of them."""
    why: str
    """What it is for, one sentence."""


def _pistons(instrument: Instrument) -> bool:
    return isinstance(instrument.mechanism, Valves) and not instrument.mechanism.rotary


def _rotary(instrument: Instrument) -> bool:
    return isinstance(instrument.mechanism, Valves) and instrument.mechanism.rotary


def _rests(on: str) -> Callable[[Instrument], bool]:
    return lambda instrument: (
        instrument.held is not None and not instrument.held.in_bell and instrument.held.rests == on
    )


COUNTED: dict[str, Callable[[Instrument], bool]] = {
    "everyone": lambda instrument: True,
    "brass": lambda instrument: instrument.brass,
    "pistons": _pistons,
    "rotary": _rotary,
    "slide": lambda instrument: isinstance(instrument.mechanism, Slide),
    "lap": _rests("lap"),
    "seat": _rests("seat"),
    "drums": lambda instrument: isinstance(instrument.mechanism, Drums),
    "struck": lambda instrument: not instrument.brass,
}
"""Kinds of player that supplies are counted by."""


def amount(supply: Supply, players: Iterable[Player]) -> int:
    """How many to have; 0 where nobody needs it. ``KeyError`` for an unknown ``who``."""
    count = sum(player.count for player in players if COUNTED[supply.who](player.instrument))
    return math.ceil(count / supply.one_for) + supply.spare if count else 0


def with_spares(count: int, one_spare_for: int) -> int:
    """``count`` and a spare for each ``one_spare_for`` of them, begun or whole: 5 with one for 4 are 7."""
    return count + math.ceil(count / one_spare_for)
