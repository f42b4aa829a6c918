"""How the texts of the course speak to one band: by what it has, and by how many it is.

Cornets have no slide to stop, two players make no row of four chairs, a band of trombones has no fingers to watch. What
a text says of such things stands in braces, or is turned here, so that it follows the band.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from beginnerband.music.instrument import VOICES, Slide, Valves
from beginnerband.music.player import Player
from beginnerband.teaching.phrases import takes_weight

Turned = tuple[tuple[re.Pattern[str], str], ...]

SLIDING: Turned = tuple(
    (re.compile(pattern), said)
    for pattern, said in (
        (r"\b[Vv]alves right down, curved fingers; slides stop\b", "Slides stop"),
        (r"\bValves go down together and come straight up\.", "Slides move at once and stop as quickly."),
        (r"\bHalf-pressed valves\b", "A slide between two places"),
        (
            r"\bPress until you feel the bottom\. Oil one that sticks\.",
            "Move it by the bell and the stops. Oil one that sticks.",
        ),
        (r"\bvalves go right down\b", "the slide stops at its place"),
        (r"\ba half-pressed valve gives a choked note\b", "a slide on its way gives a smear"),
        (r"\bthumbs and little fingers\b", "wrists and elbows"),
        (r"\bwhile pressing\b", "while moving"),
        (r"\bpressing each other's valves\b", "moving each other's slides"),
        (r"\bvalve oil\b", "slide oil"),
        (r"\bValve oil\b", "Slide oil"),
        (r"\bFinger them behind a neighbour's back\b", "Show them in the air"),
        (r"\btold the fingers\b", "told the positions"),
        (r"\bvalves oiled\b", "slides oiled"),
        (r"\bfinger numbers\b", "position numbers"),
        (r"\bfirst fingering\b", "first position"),
        (r"\bold fingers\b", "old positions"),
        (r"\bOld fingers\b", "Old positions"),
        (r"\bplaces for fingers\b", "places on the slide"),
        (r"\bshare the fingers\b", "share the positions"),
        (r"\bFingers and tongue\b", "Slide and tongue"),
        (r"\bFingers at the same instant\b", "Slides at the same instant"),
        (r"\bAll fingers at the same instant\b", "All slides at the same instant"),
        (r"\bFingers change with\b", "The slide moves with"),
        (r"\bfingers change with\b", "the slide moves with"),
        (r"\bFingers are late\b", "The slide is late"),
        (r"\b[Ff]ingers curved\b", "hands loose"),
        (r"\bat every finger change\b", "at every move of the slide"),
        (r"\bQuick fingers\b", "A quick slide"),
        (r"\bthen fingers without searching\b", "then the slide without searching"),
        (r"\bat your own fingers\b", "at your own slide"),
        (r"\bwith (?:the )?fingers\b(?! on| of)", "with the slide"),
        (r"\b([Cc]heck|at|watching the other's|watch) the fingers\b", r"\1 the slide"),
        (r"\bwatching the other's fingers\b", "watching the other's slide"),
        (r"\bfingering\b", "sliding"),
        (r"\bfingered\b", "slid"),
        (r"\b(everybody|other sings and|whoever is not playing|side sings and) fingers\b", r"\1 slides"),
        (r"\b(Whoever is not playing|or) fingers along\b", r"\1 slides along"),
        (r"(?<!\ba )(?<!your )(?<!ring )(?<!first )(?<!no )(?<!the )\bfinger\b", "slide"),
        (r"\bFinger\b", "Slide"),
    )
)
"""How texts written for valves read where slides alone are played; bodily fingers stay what they are."""


def turned(text: str, players: Sequence[Player]) -> str:
    """``text`` for these players: with slides for fingers where nobody has valves."""
    brass = [player for player in players if player.instrument.brass]
    if not brass or not all(isinstance(player.instrument.mechanism, Slide) for player in brass):
        return text
    for pattern, said in SLIDING:
        text = pattern.sub(said, text)
    return text


def facts(players: Sequence[Player], english: str) -> Mapping[str, str]:
    """Words for braces that speak of who plays, by name; ``english`` names the instruments."""
    slide = any(isinstance(player.instrument.mechanism, Slide) for player in players)
    horn = any(player.instrument.group == "f" for player in players)
    valves = any(isinstance(player.instrument.mechanism, Valves) for player in players)
    return {
        "hands": "Fingers and slides" if slide and valves else "Slides" if slide else "Fingers",
        "slides-stop": "; slides stop at the place" if slide else "",
        "takes-weight": takes_weight(players, english),
        "horn-asks": "F horn players ask me about hands." if horn else "",
        "slur-wrong": "Slides smear from note to note" if slide else "A gap where the fingers change",
        "slur-remedy": (
            'Move the slide late and fast, with the softest "doo".'
            if slide
            else "Blow through the change, as if it were one long note."
        ),
        "above": "E♭ instruments find one more above." if any(p.instrument.group == "eb" for p in players) else "",
        **_drummers(players),
        **_parts(players),
        "chairs": _chairs(sum(max(player.count, 1) for player in players)),
    }


def _drummers(players: Sequence[Player]) -> Mapping[str, str]:
    """Who taps and keeps the beat."""
    if any(not player.instrument.pitched for player in players):
        return {"drums": "drums", "drums-first": "Drums"}
    who = "two tappers" if sum(max(player.count, 1) for player in players) > 4 else "those who rest"
    return {"drums": who, "drums-first": who.capitalize()}


def _chairs(players: int) -> str:
    """How many play at a time where turns are taken."""
    return "four chairs" if players > 7 else "two chairs" if players > 3 else "one chair"


def _parts(players: Sequence[Player]) -> Mapping[str, str]:
    """What is said of parts, where all four are covered and where they are not."""
    brass = [player for player in players if player.instrument.brass]
    covered = {voice for player in brass for voice in player.instrument.covers}
    if covered >= set(VOICES) and sum(max(player.count, 1) for player in brass) >= len(VOICES):
        return {
            "parts": "four parts, from soprano to bass",
            "parts-title": "Four parts",
            "pairs": "Soprano and bass. Now alto and tenor. Now the bass with each.",
            "outer-inner": "Sopranos with basses for four bars, altos with tenors for four",
        }
    return {
        "parts": "as many parts as it has",
        "parts-title": "In parts",
        "pairs": "One part alone, then the next. Now two together, then all that we have.",
        "outer-inner": "One part for four bars, the next for four",
    }
