"""What a text of the course says of its music, and for whom of a room that is false."""

from __future__ import annotations

from collections.abc import Sequence

from beginnerband.music.player import Player
from beginnerband.teaching.heard import Heard, crossings

CLAIMS = ("one-sound", "two-sounds", "same-name", "only-fingers", "open")
"""What a hand-written sentence may claim of music, and the build checks for every instrument in a room."""


def false_for(claim: str, heard: Sequence[Heard]) -> list[Player]:
    """Players in one room for whom a claim of :data:`CLAIMS` does not hold."""
    pitched = [each for each in heard if each.player.instrument.pitched and each.line.pitches]
    if not pitched:
        return []
    if claim == "only-fingers":
        return [each.player for each in pitched if each.player.instrument.brass and crossings(each)]
    if claim == "open":
        ways = [(each, way) for each in pitched for note in each.notes if (way := each.way(note))]
        return [each.player for each, way in ways if way.lowering]

    def seen(each: Heard) -> tuple[object, ...]:
        if claim == "same-name":
            return tuple(note.letter_sign for note in each.line.pitches)
        return tuple(each.player.reading.sounding(note).midi % 12 for note in each.line.pitches)

    others = [each.player for each in pitched if seen(each) != seen(pitched[0])]
    if claim == "two-sounds":
        return [] if others else [each.player for each in pitched]
    return others
