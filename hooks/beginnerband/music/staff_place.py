"""Where a note stands on a staff, counted in steps and said in words.

A *place* is counted in lines and spaces from the bottom line of the staff, which is 0; the top line is 8. Places below
0 and above 8 are off the staff and may need ledger lines.
"""

from __future__ import annotations

from collections.abc import Iterable

from beginnerband.music.pitch import Pitch

BOTTOM = {"treble": Pitch("E", 0, 4), "bass": Pitch("G", 0, 2)}
"""The note on the bottom line of each clef."""

TOP_PLACE = 8
"""Place of the top line."""

MOST_LEDGERS = 5
"""Ledger lines a picture shows before it is drawn an octave nearer the staff, with a figure at the clef."""


def place(pitch: Pitch, clef: str) -> int:
    """Lines and spaces from the bottom line up to ``pitch``: 2 for G4 in the treble clef; ``KeyError`` for no clef."""
    return pitch.staff_index - BOTTOM[clef].staff_index


def ledgers(at: int) -> tuple[int, ...]:
    """Places of the ledger lines that a note at place ``at`` needs: ``(-2,)`` for C4 in the treble clef."""
    if at < 0:
        return tuple(range(-2, at - 1, -2))
    return tuple(range(TOP_PLACE + 2, at + 1, 2))


def octave_mark(pitches: Iterable[Pitch], clef: str) -> int:
    """Octaves the pitches stand too high (+) or low (-) to be drawn where they are, the same for all; mostly 0."""
    places = [place(pitch, clef) for pitch in pitches]
    for octaves in (0, 1, -1, 2, -2):
        if all(len(ledgers(at - 7 * octaves)) <= MOST_LEDGERS for at in places):
            return octaves
    return 0


def concert_clef(low: Pitch, high: Pitch) -> str:
    """The clef to show the sounds from ``low`` to ``high`` in: bass when their middle is below middle C."""
    return "treble" if low.midi + high.midi >= 2 * Pitch("C", 0, 4).midi else "bass"


def words(at: int) -> str:
    """A place for someone who does not read music: ``on the second line``, ``in the top space``.

    Lines and spaces are counted upwards, as every primer does (common practice, no source).
    """
    if 0 <= at <= TOP_PLACE:
        return _ON_STAFF[at]
    side, beyond = ("below", -at) if at < 0 else ("above", at - TOP_PLACE)
    if beyond == 1:
        return f"just {side} the staff"
    lines = beyond // 2
    count = "one ledger line" if lines == 1 else f"{_NUMBERS.get(lines, lines)} ledger lines"
    return f"on {count} {side}" if beyond % 2 == 0 else f"{side} {count} {side} the staff"


_ON_STAFF = (
    "on the bottom line",
    "in the bottom space",
    "on the second line",
    "in the second space",
    "on the middle line",
    "in the third space",
    "on the fourth line",
    "in the top space",
    "on the top line",
)

_NUMBERS = {2: "two", 3: "three", 4: "four", 5: "five"}
