"""What hands do with music, in words: which of fingers, slides and triggers move, and what a leader looks for then."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import KW_ONLY, dataclass

from beginnerband.music.player import Player
from beginnerband.music.slide import ORDINALS
from beginnerband.music.words import capital, series
from beginnerband.teaching.heard import Heard


@dataclass(frozen=True, slots=True)
class Hands:
    """How the course speaks of hands that move one of :data:`KINDS`; each as in the middle of a sentence."""

    _: KW_ONLY
    do: str
    """What they do with music, sung or played."""
    care: str
    """What they take care of."""
    seen: str
    """What the leader sees where it is right."""
    slip: str
    """What is seen where it is wrong."""
    mend: str
    """What helps then."""


HANDS = {
    "fingers": Hands(
        do="finger it",
        care="valves right down, curved fingers",
        seen="valves go down together and come straight up",
        slip="half-pressed valves",
        mend="press until you feel the bottom",
    ),
    "slides": Hands(
        do="slide it",
        care="slides stop at the place",
        seen="slides move at once and stop as quickly",
        slip="a slide between two places",
        mend="move the slide by the bell and the stops",
    ),
    "the trigger": Hands(
        do="work the trigger",
        care="the trigger goes all the way",
        seen="the trigger moves at once, and all the way",
        slip="a trigger half down",
        mend="press until you feel the bottom",
    ),
}
"""By what they move."""

KINDS = tuple(HANDS)
"""What hands move, as it is called in a sentence; valves and slides first."""

STILL = Hands(
    do="keep the hands still",
    care="hands keep still",
    seen="hands keep still",
    slip="hands that move",
    mend="rest the hands; lips and air do it",
)
"""Where they move nothing."""


def moved(heard: Heard) -> tuple[str, ...]:
    """Which of :data:`KINDS` ever move from note to note."""
    ways = [way for note in heard.notes if (way := heard.way(note))]
    different = (
        len({way.valves for way in ways}) > 1,
        len({(way.position, way.raised) for way in ways}) > 1,
        len({way.trigger for way in ways}) > 1,
    )
    return tuple(kind for kind, moves in zip(KINDS, different, strict=True) if moves)


def kept(heard: Heard) -> str:
    """What hands do that keep still, as ``hold valve 1 down`` or ``keep the slide in 4th position``."""
    way = next((way for note in heard.notes if (way := heard.way(note))), None)
    if way is None:
        return STILL.do
    if way.position:
        trigger = " with the trigger down" if way.trigger else ""
        return f"keep the slide in {ORDINALS[way.position]} position{trigger}"
    pressed = [str(valve) for valve in way.valves]
    if not pressed:
        return "press no valve"
    return f"hold valve{'s' if len(pressed) > 1 else ''} {series(pressed)} down"


def kinds(heard: Iterable[Heard]) -> tuple[str, ...]:
    """Which of :data:`KINDS` any of them moves."""
    found = {kind for each in heard for kind in moved(each)}
    return tuple(kind for kind in KINDS if kind in found)


def together(heard: Sequence[Heard], said: Callable[[Hands], str]) -> str:
    """What is ``said`` of each kind that moves here, in a row without a full stop; empty where nobody blows."""
    brass = [each for each in heard if each.player.instrument.brass]
    told = dict.fromkeys(said(HANDS[kind]) for kind in kinds(brass))
    return capital("; ".join(told or [said(STILL)])) if brass else ""


def takes_weight(players: Sequence[Player], english: str) -> str:
    """What carries a band's instruments, for the leader to say, as ``Left hand takes the weight.``

    What is never held up stands; where a hand is in the bell, both are named.

    ``english`` is the band's, ``american`` or ``british``. Empty where nobody blows.
    """
    by_hand: dict[str, list[str]] = {}
    standing, inside = [], dict[tuple[str, str], list[str]]()
    for player in players:
        held, name = player.instrument.held, player.instrument.names.of(english)
        if held and held.rests == "seat":
            standing.append(name)
        elif held:
            by_hand.setdefault(held.carries, []).append(name)
        if held and held.in_bell:
            inside.setdefault((held.plays, held.in_bell), []).append(name)
    alike = len(by_hand) == 1
    said = [
        f"{hand.capitalize()} hand takes the weight{'' if alike else f' of {series(names)}'}."
        for hand, names in by_hand.items()
    ]
    if standing:
        said.append(f"The {series(standing)} {'stands' if len(standing) == 1 else 'stand'} on the seat or a stand.")
    said += [
        f"{capital(series(names))}: {plays} fingers on the valves, {bell} hand in the bell."
        for (plays, bell), names in inside.items()
    ]
    return " ".join(said)
