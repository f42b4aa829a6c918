"""Rooms seen from above: chairs and ways, the band's seats, and a small hard room beside a large soft one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from beginnerband.render.pictures.svg import Drawn, arrow, box, circle, line, moved, path, text

LETTER = 9.5
"""Room for a letter of a seat's name, drawing units, on the wide side."""

SEAT_APART = 42.0
"""Least distance of two seats in a row, drawing units."""

WIDEST = 172.0
"""Widest arc of a row, degrees."""


def _arc(count: int, radius: float, spread: float, centre: tuple[float, float]) -> list[tuple[float, float, float]]:
    """``count`` places on an arc open to the front (downwards): x, y and the turn of the chair in degrees."""
    found = []
    for index in range(count):
        share = 0.5 if count == 1 else index / (count - 1)
        angle = math.radians(-90 - spread / 2 + spread * share)
        x, y = centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)
        found.append((x, y, math.degrees(angle) + 90))
    return found


def room_plan() -> Drawn:
    """A room with an arc of chairs, a clear way to the door, light from the side and soft things on the walls."""
    centre = (222.0, 236.0)
    body = box(10, 10, 360, 268, "bb-w") + line((40, 278), (100, 278), cls="bb-l bb-gap")
    body += path("M40,278A60,60 0 0 1 100,218", "bb-l bb-thin") + text(70, 298, "Door")
    body += path("M370,60V190", "bb-l bb-fat") + text(384, 130, "Window", "start")
    wave = "".join("q9,-10 18,0t18,0" for _ in range(8))
    body += path(f"M46,22{wave}", "bb-l") + text(200, 44, "Curtain, coats or books")
    for radius, count in ((92, 6), (138, 8)):
        for x, y, turn in _arc(count, radius, 140 if radius < 100 else 128, centre):
            body += moved(box(-10, -9, 20, 18, "bb-s", 3) + line((-12, 17), (12, 17)), x, y, turn)
    body += circle(centre[0], centre[1], 12) + text(centre[0], centre[1] + 30, "Leader")
    body += path("M58,262V90Q58,64 84,64H330", "bb-l bb-dash bb-a") + text(92, 82, "Clear way", "start", 16)
    return Drawn(450, 306, body)


def seating(rows: Sequence[Sequence[str]]) -> Drawn:
    """The band's seats: ``rows`` from the front, each from the leader's left, every seat a name; names are numbered."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    radii, radius = list[float](), 64.0
    for row in rows:
        radius = max(radius + 46, SEAT_APART * (len(row) - 1) / math.radians(WIDEST))
        radii.append(radius)
    centre = (max(radii) + 24, max(radii) + 24)
    body = ""
    for row, radius in zip(rows, radii, strict=True):
        spread = min(WIDEST, math.degrees(SEAT_APART * 1.25 * (len(row) - 1) / radius))
        for (x, y, _), name in zip(_arc(len(row), radius, spread, centre), row, strict=True):
            body += circle(x, y, 17) + text(x, y + 6, str(names.index(name) + 1), size=17)
    body += circle(*centre, 17, "bb-s") + text(centre[0], centre[1] + 40, "Leader", size=17)
    top = centre[1] + 70
    longest = max((len(f"{len(names)}  {name}") for name in names), default=0) * LETTER
    across = 2 if longest < centre[0] - 24 else 1
    for index, name in enumerate(names):
        x, y = 24 + (index % across) * centre[0], top + 24 * (index // across)
        body += text(x, y, f"{index + 1}  {name}", "start", 17)
    words = " ".join(
        f"Row {index} from the front, from the leader's left: {', '.join(map(_small, row))}."
        for index, row in enumerate(rows, 1)
    )
    return Drawn(2 * centre[0], top + 24 * -(-len(names) // across), body, words)


def _small(name: str) -> str:
    """A seat's name inside a sentence: a letter of the alphabet, as in ``F horn``, stays large."""
    return name if name[1:2] in (" ", "♭", "♯") else name[:1].lower() + name[1:]


def loud_room() -> Drawn:
    """Sound that comes back from hard walls, and sound that soft walls keep."""

    def player(x: float, y: float) -> str:
        return circle(x, y, 12) + path(f"M{x + 12},{y}l22,-9v18Z", "bb-w")

    hard = box(14, 14, 150, 150, "bb-l bb-fat") + player(40, 96) + player(40, 136)
    corners = ((80, 92), (158, 62), (104, 20), (20, 60))
    for start, end in ((corners[0], corners[1]), (corners[1], corners[2]), (corners[2], corners[3])):
        hard += arrow(start, end)
    hard += arrow((80, 134), (158, 150)) + arrow((158, 150), (110, 160))
    wave = "M210,22" + "q9,-10 18,0t18,0" * 6 + "M424,30" + "q10,9 0,18t0,18" * 5
    soft = box(200, 14, 226, 206, "bb-l") + path(wave, "bb-l") + player(250, 130) + player(250, 168)
    soft += arrow((290, 124), (414, 90)) + path("M296,166L370,196", "bb-l bb-thin bb-dash")
    words = text(89, 246, "Small and hard:") + text(89, 263, "it all comes back")
    words += text(313, 246, "Large and soft:") + text(313, 263, "most of it stays away")
    return Drawn(440, 272, hard + soft + words)
