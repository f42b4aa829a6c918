"""What several players are called in one breath: by name where they are few, else by what they have in common."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from beginnerband.music.instrument import Slide
from beginnerband.music.player import Player
from beginnerband.music.words import series

SEVERAL = 3
"""So many instruments in one pitch are too many to be named each (common practice, no source)."""

_PITCH = re.compile(r"([A-G][♭♯]?) ")
"""What stands before an instrument's name, as in ``B♭ cornet``."""


def called(players: Sequence[Player], among: Collection[Player], english: str) -> str:
    """``players`` by instrument, as ``B♭ cornet and E♭ tenor horn``, in ``american`` or ``british`` words.

    Where they are all of a kind of those ``among`` whom they are spoken of, they are called ``E♭ instruments`` or
    ``trombones``; several in one pitch have it said once: ``B♭ cornet, trumpet and flugelhorn``.
    """
    names = {player.id: player.instrument.names.of(english) for player in (*among, *players)}
    kinds: dict[tuple[bool, str], list[Player]] = {}
    for player in players:
        kinds.setdefault(_kind(player, names[player.id]), []).append(player)
    said = list[str]()
    for kind, those in kinds.items():
        every = {player.id for player in among if _kind(player, names[player.id]) == kind}
        whole = every <= {player.id for player in those}
        said += _of_a_kind(kind, [names[player.id] for player in those], whole, _both(among, kind, names))
    return series(said)


def _of_a_kind(kind: tuple[bool, str], names: Sequence[str], whole: bool, both: bool) -> list[str]:
    """What those of one kind are called; ``whole``: there are no others, ``both``: some slide and some have valves."""
    slides, pitch = kind
    if slides and whole and len(names) > 1 and all("trombone" in name for name in names):
        return ["trombones"]
    if not pitch or len(names) < SEVERAL:
        return [*names]
    if whole:
        hands = "" if not both else " with a slide" if slides else " with valves"
        return [f"{pitch} instruments{hands}"]
    return [names[0], *(name.removeprefix(f"{pitch} ") for name in names[1:])]


def _both(among: Collection[Player], kind: tuple[bool, str], names: dict[str, str]) -> bool:
    return any(_kind(player, names[player.id]) == (not kind[0], kind[1]) for player in among)


def _kind(player: Player, name: str) -> tuple[bool, str]:
    """Whether it has a slide, and the pitch it is named by; none for bars and bows, and where it stands elsewhere."""
    pitch = _PITCH.match(name)
    return isinstance(player.instrument.mechanism, Slide), pitch[1] if pitch else ""
