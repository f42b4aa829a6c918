"""Where everybody sits: rows for a room of some size, small players in front, drums behind, no bell at an ear.

Distances are in metres. ``x`` runs from the leader's left, 0 in the middle; ``y`` from the leader backwards.
What is charged for is common practice without a source, but for bells and ears: see the handbook's page on hearing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from beginnerband.music.instrument import VOICES, Instrument, Slide
from beginnerband.people.plan import MatchingRules, Place, can_hold

WIDTH = {"child": 0.8, "teen": 0.9, "adult": 1.0}
"""Width of a seat with elbows, metres."""

ROW = 1.5
"""From one row to the next: a chair, a stand, and a way between."""

SLIDE_ROOM = 0.5
"""More in front of a slide, so that it clears the stand and the chair in front."""

FIRST_ROW = 2.0
"""From the leader to the front row."""

EAR = 0.4
"""A bell that points forward is no nearer to the line of a head in front than this, sideways: half a narrow seat."""

FULL = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5)
"""How full of the room's width rows may be, the first to be tried first."""

STEP = 0.05
"""How finely seats are moved."""

WALL = 0.5
"""Left free at each wall, to get out."""


@dataclass(frozen=True, slots=True)
class RoomSize:
    """The part of a room where the band can sit."""

    width_m: float = 8.0
    """From wall to wall, as the leader sees it."""
    depth_m: float = 8.0
    """From the leader's back to the wall behind the band."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A seat."""

    place: Place
    """Who sits there."""
    row: int
    """1 is the front."""
    seat: int
    """1 is at the leader's left."""
    x: float
    """Metres to the right of the middle."""
    y: float
    """Metres from the leader."""


@dataclass(frozen=True, slots=True)
class Seating:
    """Everybody's seat."""

    spots: tuple[Spot, ...]
    """Row by row from the front, each from the leader's left."""
    rows: int
    """How many rows."""
    too_wide: bool
    """Whether a row is wider than the room."""
    too_deep: bool
    """Whether the rows are deeper than the room."""
    at_ears: tuple[tuple[str, str], ...]
    """Names of players whose bell points at somebody, and of whom."""

    def row(self, number: int) -> tuple[Spot, ...]:
        """The seats of one row."""
        return tuple(spot for spot in self.spots if spot.row == number)


def seat(
    places: Sequence[Place],
    room: RoomSize,
    rules: MatchingRules,
    moved: Mapping[str, tuple[int, int]] | None = None,
) -> Seating:
    """Seat everybody; ``moved`` gives row and seat (from 1) to whom the leader has put somewhere.

    Rows as full as the room allows are tried first, then looser ones, in which bells find gaps more easily.
    """
    tries = [_seated(places, room, rules, moved or {}, full) for full in FULL]
    return min(tries, key=lambda each: (each.too_wide, each.too_deep, len(each.at_ears)))


def _seated(
    places: Sequence[Place],
    room: RoomSize,
    rules: MatchingRules,
    moved: Mapping[str, tuple[int, int]],
    full: float,
) -> Seating:
    """Everybody in rows that are ``full`` of the room's width at the most."""
    rows = _rows(places, full * max(room.width_m - 2 * WALL, 1.2), rules)
    for name, (row, number) in moved.items():
        _move(rows, name, row, number)
    rows = [row for row in rows if row]
    usable = room.width_m - 2 * WALL
    lines = _set_out(rows, usable)
    spots = tuple(spot for line in lines for spot in line)
    deepest = max((spot.y for spot in spots), default=0.0)
    return Seating(
        spots,
        len(rows),
        any(sum(map(_width, row)) > usable + 1e-9 for row in rows),
        deepest + 1.0 > room.depth_m,
        tuple((mine.place.learner.name, theirs.place.learner.name) for mine, theirs in _at_ears(lines)),
    )


def _rows(places: Sequence[Place], usable: float, rules: MatchingRules) -> list[list[Place]]:
    """Upper lines in front, lower behind, percussion last; rows as wide as the room lets them be, and even."""
    upper = [place for place in places if _line(place.item.instrument) in VOICES[:2]]
    lower = [place for place in places if _line(place.item.instrument) in VOICES[2:]]
    drums = [place for place in places if not place.item.instrument.brass]
    rows: list[list[Place]] = []
    for part in (upper, lower, drums):
        rows += [_ordered(row, rules) for row in _shared_out(part, usable)]
    return rows


def _line(instrument: Instrument) -> str:
    return instrument.covers[0] if instrument.brass and instrument.covers else ""


def _shared_out(part: list[Place], usable: float) -> list[list[Place]]:
    """As few rows as fit, about as many in each; every instrument has its small players in the front one."""
    if not part:
        return []
    count = 1
    while count < len(part) and max(sum(map(_width, row)) for row in _dealt(part, count)) > usable:
        count += 1
    return _dealt(part, count)


def _dealt(part: list[Place], count: int) -> list[list[Place]]:
    """Each instrument's players dealt over ``count`` rows, smallest first to the front."""
    rows: list[list[Place]] = [[] for _ in range(count)]
    ages = list(WIDTH)
    for instrument in dict.fromkeys(place.item.instrument.id for place in part):
        players = [place for place in part if place.item.instrument.id == instrument]
        players.sort(key=lambda place: (ages.index(place.learner.age), place.learner.name))
        chosen, sizes = list[int](), [len(row) for row in rows]
        for number in range(len(players)):
            wanted = number * count // len(players)
            at = wanted if sizes[wanted] <= min(sizes) + 1 else sizes.index(min(sizes))
            sizes[at] += 1
            chosen.append(at)
        for place, at in zip(players, sorted(chosen), strict=True):
            rows[at].append(place)
    return rows


def _ordered(row: list[Place], rules: MatchingRules) -> list[Place]:
    """From the leader's left: higher lines first, by instrument; strong beside new, and a strong one at either end."""

    def key(place: Place) -> tuple[int, bool, str]:
        line = _line(place.item.instrument)
        number = VOICES.index(line) if line else len(VOICES)
        return number, isinstance(place.item.instrument.mechanism, Slide), place.item.instrument.id

    found: list[Place] = []
    instruments = sorted({key(place) for place in row})
    for at, instrument in enumerate(instruments):
        players = [place for place in row if key(place) == instrument]
        strong = [place for place in players if can_hold(place.learner, rules)]
        new = [place for place in players if place not in strong]
        mixed = _mixed(strong, new)
        found += list(reversed(mixed)) if at == len(instruments) - 1 and at > 0 else mixed
    return found


def _mixed(strong: list[Place], new: list[Place]) -> list[Place]:
    """Strong and new by turns, a strong one first."""
    found, left, right = list[Place](), list(strong), list(new)
    while left or right:
        if left:
            found.append(left.pop(0))
        if right:
            found.append(right.pop(0))
    return found


def _move(rows: list[list[Place]], name: str, row: int, number: int) -> None:
    for players in rows:
        for place in players:
            if place.learner.name == name:
                players.remove(place)
                while len(rows) < row:
                    rows.append([])
                rows[row - 1].insert(number - 1, place)
                return


def _width(place: Place) -> float:
    large = {"extra-large": 0.2, "large": 0.1}.get(place.item.instrument.mouthpiece, 0.0)
    return WIDTH[place.learner.age] + large + (0.3 if not place.item.instrument.brass else 0.0)


def _set_out(rows: Sequence[Sequence[Place]], usable: float) -> list[list[Spot]]:
    """Each row as near the middle as can be with its bells clear of the heads in front, where the room allows that."""
    found: list[list[Spot]] = []
    y = FIRST_ROW
    for number, row in enumerate(rows, start=1):
        slides = any(isinstance(place.item.instrument.mechanism, Slide) for place in row)
        y += (ROW if number > 1 else 0) + (SLIDE_ROOM if slides else 0)
        heads = [spot.x for spot in found[-1]] if found else []
        centres = _spread(row, heads, usable)
        found.append(
            [
                Spot(place, number, seat_number, round(x, 3), y)
                for seat_number, (place, x) in enumerate(zip(row, centres, strict=True), start=1)
            ]
        )
    return found


def _spread(row: Sequence[Place], heads: Sequence[float], usable: float) -> list[float]:
    """Middles of the seats of a row, from the left.

    From every place at which the row could begin, each seat goes as far left as it can; one whose bell points forward
    moves on until no head in front is nearer than :data:`EAR`. Of the rows that fit, the most central is taken.
    """
    close = [-sum(map(_width, row)) / 2]
    for place in row:
        close.append(close[-1] + _width(place))
    plain = [(left + right) / 2 for left, right in pairwise(close)]
    best, off = plain, usable
    for step in range(max(0, round((usable - (close[-1] - close[0])) / STEP)) + 1):
        edge, middles = -usable / 2 + step * STEP, list[float]()
        for place in row:
            x = edge + _width(place) / 2
            while forward(place.item.instrument) and any(abs(x - head) < EAR - 1e-9 for head in heads):
                x += STEP
            middles.append(x)
            edge = x + _width(place) / 2
        middle = (middles[0] - _width(row[0]) / 2 + edge) / 2
        if edge <= usable / 2 + 1e-9 and abs(middle) < off - 1e-9:
            best, off = middles, abs(middle)
    return best


def forward(instrument: Instrument) -> bool:
    """Whether the bell points straight ahead, as cornets, trumpets and slides do; others point up or back."""
    return isinstance(instrument.mechanism, Slide) or instrument.mouthpiece == "small"


def _at_ears(rows: Sequence[list[Spot]]) -> list[tuple[Spot, Spot]]:
    return [
        (bell, head)
        for before, row in pairwise(rows)
        for bell in row
        for head in before
        if forward(bell.place.item.instrument) and abs(bell.x - head.x) < EAR - 0.01
    ]
