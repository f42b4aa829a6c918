"""How an instrument is held, where its rim sits and what fits into it, in words told from its file."""

from __future__ import annotations

from beginnerband.music.instrument import Held, Instrument, Mouthpiece, Slide

UPPER_WORDS = (
    (0.55, "about half on each lip"),
    (0.64, "a little more than half on the upper lip"),
    (1.0, "about two thirds on the upper lip"),
)
"""Share of the rim on the upper lip, in words: up to each share."""

CUP_WORDS = {"shallow": "a shallow cup", "medium": "a cup", "deep": "a deep cup", "funnel": "a funnel with no cup"}

BELL_WORDS = {"forward": "forwards and a little down", "up": "up", "back": "back, beside the body"}

_SHANK_WORDS = {
    "tenor-horn": "{horn} horn",
    "f-horn": "F horn",
    "small": "small (low brass)",
    "medium": "medium (low brass)",
    "large": "large (low brass)",
    "bass": "{bass}",
}


def holding_lines(instrument: Instrument) -> tuple[str, str, str]:
    """Who carries, who plays, and where bell and rim go; ``ValueError`` for what is struck."""
    if instrument.held is None or instrument.rim is None:
        raise ValueError(f"{instrument.id} is not held to the lips")
    return carries(instrument.held), plays(instrument, instrument.held), _points(instrument.held, instrument.rim)


def carries(held: Held) -> str:
    """What takes the weight, one or two sentences."""
    hand = held.carries
    if held.rests == "seat":
        return f"It stands on the front of the chair or on a stand. The {hand} hand steadies it and lifts nothing."
    if held.in_bell:
        return (
            f"The {hand} hand carries it, and the {held.in_bell} hand in the bell helps. The rim of the bell may rest "
            f"on the {held.in_bell} leg."
        )
    if held.rests == "lap":
        return f"It rests on the lap or on a cushion. The {hand} arm goes round it and keeps it upright."
    return f"The {hand} hand carries all of the weight."


def plays(instrument: Instrument, held: Held) -> str:
    """What works the valves or the slide, one or two sentences."""
    if isinstance(instrument.mechanism, Slide):
        return f"The {held.plays} hand moves the slide, with the thumb and two fingers, and carries nothing."
    fingers = f"The {held.plays} hand works the valves with round fingers"
    if held.in_bell:
        return f"{fingers}. The {held.in_bell} hand lies in the bell, fingers shut, its back against the far side."
    return f"{fingers} and carries nothing."


def _points(held: Held, rim: Mouthpiece) -> str:
    return f"The bell points {BELL_WORDS[held.bell]}. The rim sits in the middle, {upper_words(rim)}."


def upper_words(rim: Mouthpiece) -> str:
    """How much of the rim is on the upper lip: ``about half on each lip``."""
    return next(words for share, words in UPPER_WORDS if rim.upper <= share)


def shank_words(shank: str, english: str) -> str:
    """The end of a mouthpiece, for ``american`` or ``british`` words."""
    american = english == "american"
    said = _SHANK_WORDS.get(shank, shank)
    return said.format(horn="alto" if american else "tenor", bass="tuba" if american else "bass")
