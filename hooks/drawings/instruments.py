"""The instruments as simple solids, each in its own axes: the middle of the mouthpiece's rim at the origin, blowing
forward (y); x to the player's right, z up. Lengths in centimetres.

How long an instrument is and how wide its rim comes from its file in ``content/instruments``. Bells, tubes and where
things stand on them are common practice, measured on no one maker's instrument.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np

from beginnerband.data.instruments import load_instruments
from beginnerband.data.problems import Problems
from beginnerband.music.instrument import Instrument
from beginnerband.render.pictures.brass import BELL_CM, BRACE_CM
from drawings.solids import Points, Solid, Surface, Vector, bell, curve, length, rod, tube, unit

ROOT = Path(__file__).resolve().parents[2]


@cache
def instruments() -> dict[str, Instrument]:
    """The instruments of the handbook, from their files."""
    problems = Problems(ROOT)
    found = load_instruments(ROOT, problems)
    if problems.found:
        raise ValueError("; ".join(str(problem) for problem in problems.found))
    return found


def instrument(name: str) -> Instrument:
    """An instrument of the handbook, from its file."""
    return instruments()[name]


def rim(name: str) -> tuple[float, float, float]:
    """Width inside the rim and across it, centimetres, and its share on the upper lip.

    The inside and the share are the file's; the rim itself is 4 to 7 mm broad, an F horn's narrower (common practice).
    """
    measured = instrument(name).rim
    if measured is None:
        raise ValueError(f"{name} has no mouthpiece")
    broad = 3.7 if measured.cup == "funnel" else min(6.5, 2 + 0.16 * measured.inside_mm)
    return measured.inside_mm / 10, (measured.inside_mm + 2 * broad) / 10, measured.upper


@dataclass(frozen=True, slots=True)
class Brass:
    """An instrument: its solids, and places on it by name."""

    solids: tuple[Solid, ...]
    places: Mapping[str, Points] = field(default_factory=dict)


def part(name: str, fill: str = "brass", hard: bool = False, jump: float = 0.5, seamless: str = "") -> Surface:
    """A part of an instrument."""
    return Surface(name, thing="instrument", fill=fill, seamless=seamless, hard=hard, jump=jump)


def mouthpiece(name: str, long: float = 8.0) -> list[Solid]:
    """An instrument's mouthpiece with its rim at the origin, ``long`` centimetres out of the instrument."""
    r = rim(name)[1] / 2
    measured = instrument(name).rim
    if measured is not None and measured.cup == "funnel":
        shape = [(0, r), (0.4, r), (0.7, r * 0.86), (4.5, 0.55), (long, 0.45)]
    else:
        deep = 1.4 + 0.5 * r
        shape = [(0, r * 0.97), (0.25, r), (0.7, r * 0.95), (1.0, r * 0.82), (deep, r * 0.72), (deep + 0.9, 0.62)]
        shape += [(deep + 1.6, 0.5), (long, 0.55)]
    at, radii = zip(*shape, strict=True)
    dense = np.linspace(0, long, 50)
    path = np.stack([np.zeros(50), dense, np.zeros(50)], 1)
    return [tube(path, np.interp(dense, at, radii), part("mouthpiece", jump=0.3), 40)]


def piston(foot: Vector, top: Vector, number: int, wide: float = 0.95, press: float = 0) -> list[Solid]:
    """A valve from ``foot`` to ``top`` with caps, stem and button."""
    a, b = np.asarray(foot, float), np.asarray(top, float)
    up = unit(b - a)
    name = f"valve {number}"
    found = [
        rod(a + up * 0.8, b - up * 0.8, wide, part(name, hard=True)),
        rod(a, a + up * 1.0, wide * 1.12, part(f"{name} cap", hard=True)),
        rod(b - up * 0.9, b + up * 0.2, wide * 1.12, part(f"{name} cap", hard=True)),
        rod(b, b + up * (1.9 - press), 0.3, part(f"{name} stem")),
        rod(b + up * (1.9 - press), b + up * (2.3 - press), wide * 0.85, part(f"{name} button", "pearl", True)),
    ]
    return found


def cornet(name: str, plain: bool = False) -> Brass:
    """A cornet, or, longer and slimmer, a trumpet: first valve nearest the player, bell on the left.

    ``plain`` leaves out the small parts, for a figure drawn small.
    """
    long, bell_wide = instrument(name).length_cm, instrument(name).bell_cm
    trumpet, flugel = name == "trumpet", name == "flugelhorn"
    v1 = 17.0 if not trumpet else 22.5  # the first valve from the rim
    apart = 2.55
    x_lead, x_bell, x_valve = 0.0, -2.7, -1.35
    drop = 6.4 if not trumpet else 5.6
    front = v1 + 2 * apart + (7.0 if not trumpet else 9.5)
    back = 10.5 if not trumpet else 12.5
    low = -drop
    brass = part("tubes")
    found = [*mouthpiece(name)]
    # leadpipe and tuning slide
    found.append(tube(curve([(0, 7, 0), (x_lead, front, 0)]), 0.62, brass))
    found.append(
        tube(
            curve(
                [(x_lead, front - 6, 0), (x_lead, front, 0), (x_lead, front, low), (x_lead, v1 + 2 * apart, low)],
                drop / 2 - 0.01,
            ),
            0.68,
            part("tuning slide"),
        )
    )
    # bell
    bow = [(x_bell, v1, low), (x_bell, back, low), (x_bell, back, 0.0), (x_bell, v1 + apart, 0.0)]
    brass_bell, inside = part("bell", jump=0.6), part("inside of bell", "", jump=9)
    if flugel:  # a cone all the way from the valves
        cone = curve([(x_valve, v1, low), *bow[:3], (x_bell, long, 0.0)], drop / 2 - 0.01)
        found.append(bell(cone, 0.66, bell_wide / 2, brass_bell, inside, 0.9, (0.6, 1.7)))
    else:
        found.append(tube(curve([(x_valve, v1, low), *bow], drop / 2 - 0.01), 0.62, part("bell bow")))
        straight = curve([(x_bell, v1 - 2, 0.0), (x_bell, long, 0.0)])
        found.append(bell(straight, 0.66, bell_wide / 2, brass_bell, inside))
    top, foot = 3.0, low - 3.2
    for n in range(3):
        y = v1 + n * apart
        found += piston((x_valve, y, foot), (x_valve, y, top), n + 1)
    # slides: first toward the player, second to the right, third forward on the left with its ring
    z1, z3 = low + 1.2, low - 0.6
    found.append(
        tube(
            curve(
                [
                    (x_valve, v1, z1 + 0.9),
                    (x_valve - 0.2, v1 - 5.2, z1 + 0.9),
                    (x_valve - 0.2, v1 - 5.2, z1 - 1.3),
                    (x_valve, v1, z1 - 1.3),
                ],
                1.05,
            ),
            0.52,
            part("first valve slide"),
        )
    )
    found.append(
        tube(
            curve(
                [
                    (x_valve, v1 + apart, low + 1.6),
                    (x_valve + 3.6, v1 + apart, low + 1.6),
                    (x_valve + 3.6, v1 + apart, low - 0.4),
                    (x_valve, v1 + apart, low - 0.4),
                ],
                0.95,
            ),
            0.5,
            part("second valve slide"),
        )
    )
    x3 = x_bell - 0.3
    y3 = v1 + 2 * apart
    end3 = y3 + 8.2
    found.append(
        tube(
            curve(
                [
                    (x_valve, y3, z3 + 1.2),
                    (x3, y3 + 0.6, z3 + 1.2),
                    (x3, end3, z3 + 1.2),
                    (x3, end3, z3 - 1.2),
                    (x3, y3 + 0.6, z3 - 1.2),
                    (x_valve, y3, z3 - 1.2),
                ],
                1.15,
            ),
            0.52,
            part("third valve slide"),
        )
    )
    ring_y = y3 + 4.6
    ring = [(x3, ring_y + 1.15 * math.cos(a), z3 + 2.9 + 1.15 * math.sin(a)) for a in np.linspace(0, 2 * math.pi, 25)]
    found.append(tube(np.array(ring), 0.22, part("ring")))
    # finger hook on the leadpipe, braces, water key
    hook = [(x_lead, y3 + 2.4, 0.6), (x_lead, y3 + 2.4, 2.3), (x_lead, y3 + 4.2, 2.3), (x_lead, y3 + 4.2, 1.2)]
    found.append(tube(curve(hook, 0.7), 0.24, part("finger hook")))
    found.append(rod((x_bell, front - 3, 0), (x_lead, front - 3, 0), 0.28, part("brace")))
    found.append(rod((x_bell, back + 1.5, 0), (x_lead, back + 1.5, 0), 0.28, part("brace")))
    found.append(
        tube(curve([(x_lead, front - 0.6, low - 0.5), (x_lead + 0.2, front + 0.9, low - 1.3)]), 0.35, part("water key"))
    )
    buttons = {f"button {n + 1}": np.array([x_valve, v1 + n * apart, top + 2.3]) for n in range(3)}
    places = buttons | {
        "valve 1": np.array([x_valve, v1, low]),
        "valve 2": np.array([x_valve, v1 + apart, low]),
        "valve 3": np.array([x_valve, y3, low]),
        "ring": np.array([x3, ring_y, z3 + 2.9]),
        "first slide": np.array([x_valve - 0.2, v1 - 4.5, z1 - 0.2]),
        "second slide": np.array([x_valve + 3.4, v1 + apart, low + 0.6]),
        "third slide": np.array([x3, end3 + 0.3, z3]),
        "tuning slide": np.array([x_lead, front + 0.3, low / 2]),
        "water key": np.array([x_lead + 0.2, front + 0.9, low - 1.4]),
        "leadpipe": np.array([x_lead, (8 + v1) / 2, 0.3]),
        "bell": np.array([x_bell, long, 0.0]),
        "bell rim": np.array([x_bell, long, bell_wide / 2]),
        "hook": np.array([x_lead, y3 + 3.3, 2.3]),
        "mouthpiece": np.array([0.0, 3.0, 0.6]),
        "cap 2": np.array([x_valve, v1 + apart, foot]),
        "bell bow": np.array([x_bell, back, low / 2]),
        "water": np.array([0.0, 0.0, 0.0]),
    }
    if plain:
        small = ("ring", "finger hook", "brace", "water key", "first valve slide", "second valve slide")
        found = [solid for solid in found if not solid.parts[0].name.startswith(small)]
    return Brass(tuple(found), places)


@dataclass(frozen=True, slots=True, kw_only=True)
class Upright:
    """Sizes of an instrument with its bell up, centimetres."""

    above: float
    """How far the rim of the bell stands above the mouthpiece."""
    wide: float
    """Between the middles of the two big branches."""
    throat: float
    """Radius of the tube where the bell begins."""
    valve: float
    """Radius of a valve."""
    tops: float
    """How far the tops of the valves stand below the mouthpiece."""
    left: float
    """How far left of the mouthpiece the middle of the bell stands."""
    ahead: float
    """How far in front of it."""
    bow: float = 2
    """Radius of the tube where the last straight branch begins."""
    turned: float = 30
    """Degrees that its right side is turned forward."""


def upright(name: str) -> Brass:
    """An instrument with its bell up on the left and its valves on top, the first nearest the bell and the player."""
    size, tall, mouth = UPRIGHTS[name], instrument(name).length_cm, instrument(name).bell_cm
    a = math.radians(size.turned)
    u, n = np.array([math.cos(a), math.sin(a), 0]), np.array([-math.sin(a), math.cos(a), 0])
    z = np.array([0.0, 0.0, 1.0])
    base = np.array([-size.left, size.ahead, 0.0])

    def at(across: float, front: float, up: float) -> Points:
        return np.asarray(base + u * across + n * front + z * up)

    top, low = size.above, size.above - tall
    r = size.wide / 2
    apart = 2 * size.valve + 0.55
    middle = size.wide * 0.60
    first = middle - apart
    v_top, v_foot = -size.tops, -size.tops - 6.2 * size.valve - 6
    v_mid = (v_top + v_foot) / 2
    big = tall / 46
    found: list[Solid] = list(mouthpiece(name, 7.5))
    body = curve(
        [
            at(first + 2 * apart, 0, v_mid - 1),
            at(size.wide, 0, v_mid - 1),
            at(size.wide, 0, low),
            at(0, 0, low),
            at(0, 0, top),
        ],
        r * 0.999,
    )
    found.append(
        bell(
            body,
            size.throat,
            mouth / 2,
            part("bell", jump=1.5),
            part("inside of bell", "", jump=30),
            0.8,
            (1 - tall / length(body), size.bow),
        )
    )
    found += [
        s
        for k in range(3)
        for s in piston(at(first + k * apart, -0.6, v_foot), at(first + k * apart, -0.6, v_top), k + 1, size.valve)
    ]
    tube_r = 0.55 * size.valve + 0.12
    # leadpipe: forward from the lips, down in front of the valves, round the tuning slide, up to the first valve
    bottom = v_foot - 5.5 * big
    gap = 1.5 * big + 0.6
    lead = curve(
        [
            (0, 7, 0),
            (-0.3, 10.5 + size.ahead * 0.25, 0),
            at(first - apart, 2.6 * size.valve, -4 * big - 1),
            at(first - apart, 2.6 * size.valve, bottom),
        ],
        5,
    )
    found.append(tube(lead, tube_r, part("leadpipe")))
    found.append(
        tube(
            curve(
                [
                    at(first - apart, 2.6 * size.valve, bottom + 6),
                    at(first - apart, 2.6 * size.valve, bottom),
                    at(first - apart + 2 * gap, 2.6 * size.valve, bottom),
                    at(first - apart + 2 * gap, 2.6 * size.valve, v_mid + 1),
                    at(first, 0, v_mid + 1),
                ],
                gap,
            ),
            tube_r * 1.12,
            part("tuning slide"),
        )
    )
    for k, drop in ((0, 5.5), (2, 9.5)):
        x = first + k * apart + (1.2 if k else 0.4)
        found.append(
            tube(
                curve(
                    [
                        at(first + k * apart, 0, v_mid - 2),
                        at(x, 2.3 * size.valve, v_mid - 2),
                        at(x, 2.3 * size.valve, v_mid - 2 - drop * big),
                        at(x + 1.9 * big, 2.3 * size.valve, v_mid - 2 - drop * big),
                        at(x + 1.9 * big, 2.3 * size.valve, v_mid + 0.6),
                        at(first + k * apart, 0, v_mid + 0.6),
                    ],
                    0.94 * big,
                ),
                tube_r,
                part("first valve slide" if k == 0 else "third valve slide"),
            )
        )
    places = {f"button {k + 1}": at(first + k * apart, -0.6, v_top + 2.3) for k in range(3)}
    places |= {f"valve {k + 1}": at(first + k * apart, -0.6, v_mid) for k in range(3)}
    places |= {
        "bell": at(0, 0, top),
        "bell left": at(-mouth / 2, 0, top),
        "bottom": at(r, 0, low),
        "lead tube": at(first - apart, 2.6 * size.valve, v_mid),
        "branch": at(size.wide, 0, (low + v_mid) / 2),
        "bell branch": at(0, 0, (low + v_top) / 2),
        "across": u,
        "front": n,
        "valve foot 1": at(first, -0.6, v_foot),
        "valve foot 3": at(first + 2 * apart, -0.6, v_foot),
    }
    return Brass(tuple(found), places)


UPRIGHTS = {
    "tenor-horn": Upright(above=15, wide=13.5, throat=0.62, valve=0.95, tops=9.5, left=10.5, ahead=11, bow=1.9),
    "baritone": Upright(above=20, wide=15, throat=0.66, valve=0.95, tops=10, left=12.5, ahead=12, bow=2.2),
    "euphonium": Upright(above=22, wide=19, throat=0.78, valve=1.05, tops=10, left=17, ahead=14, bow=3.6),
    "eb-bass": Upright(above=30, wide=26, throat=0.9, valve=1.15, tops=9, left=19, ahead=20, bow=5.0, turned=24),
    "bb-bass": Upright(above=38, wide=30, throat=0.95, valve=1.15, tops=9, left=22, ahead=22, bow=5.8, turned=24),
}
"""Sizes of the instruments with their bell up: common practice, no source."""


def trombone(out: float = 0) -> Brass:
    """A tenor trombone with its slide ``out`` so many centimetres."""
    behind, wide = 32.0, instrument("trombone").bell_cm / 2
    ahead = instrument("trombone").length_cm - behind
    lower = np.array([-8.0, 0.0, -3.4])
    bell_at = np.array([-15.5, 0.0, 3.0])
    found: list[Solid] = list(mouthpiece("trombone", 7.5))
    brass = part("inner slide", "steel")
    y_hold, y_brace, bow = 9.0, BRACE_CM + out, ahead + out
    y = np.array([0.0, 1.0, 0.0])
    found += [rod(y * 7, y * (bow - 6), 0.6, brass), rod(lower + y * 5, lower + y * (bow - 6), 0.6, brass)]
    slide = [y * (y_brace - 1.5), y * bow, lower + y * bow, lower + y * (y_brace - 1.5)]
    found.append(tube(curve(slide, 4.3), 0.8, part("slide")))
    found += [
        rod(lower * t0 + y * y_brace, lower * t1 + y * y_brace, 0.45, part("slide brace")) for t0, t1 in ((0, 1),)
    ]
    found.append(rod(y * y_hold, lower + y * y_hold, 0.45, part("brace")))
    found += [
        rod(p + y * (y_hold - 1.6), p + y * (y_hold + 1.2), 0.95, part("cork barrel", hard=True))
        for p in (0 * lower, lower)
    ]
    path = curve(
        [lower + y * 6, lower - y * behind, bell_at - y * behind, bell_at + y * 4],
        0.5 * float(np.linalg.norm(bell_at - lower)) - 0.05,
    )
    found.append(tube(path, 0.85, part("bell bow")))
    found.append(
        bell(
            curve([bell_at - y * 12, bell_at + y * BELL_CM]),
            0.86,
            10.4,
            part("bell"),
            part("inside of bell", "", jump=30),
            0.7,
        )
    )
    found.append(rod(lower - y * 0.5, bell_at - y * 0.5, 0.4, part("bell brace")))
    places = {
        "brace": lower / 2 + y * y_hold,
        "bell brace": (lower + bell_at) / 2 - y * 0.5,
        "lower": lower + y * y_hold,
        "upper": y * y_hold,
        "slide brace": lower / 2 + y * y_brace,
        "slide upper": y * y_brace,
        "slide lower": lower + y * y_brace,
        "slide end": y * (bow - 14),
        "bow": lower / 2 + y * (bow + 0.8),
        "bell": bell_at + y * BELL_CM,
        "bell rim": bell_at + y * BELL_CM + np.array([0, 0, wide]),
        "tuning slide": (lower + bell_at) / 2 - y * behind,
        "water key": y * (bow - 1) + lower,
    }
    return Brass(tuple(found), places)


def f_horn() -> Brass:
    """A single F horn: levers under the left hand, bell back on the right."""
    phi = math.radians(41)
    u, n = np.array([math.cos(phi), -math.sin(phi), 0]), np.array([math.sin(phi), math.cos(phi), 0])
    z = np.array([0.0, 0.0, 1.0])
    c = np.array([9.0, 15.0, -17.5])
    found: list[Solid] = list(mouthpiece("f-horn", 6.5))

    def ring(r: float, degrees: float, side: float = 0) -> Points:
        a = math.radians(degrees)
        return np.asarray(c + r * (-u * math.cos(a) - z * math.sin(a)) + n * side)

    lead = [
        np.array([0, 6.0, 0]),
        np.array([-0.3, 12.0, -1.2]),
        ring(12.6, -28),
        *(ring(12.6, d) for d in range(0, 120, 10)),
    ]
    found.append(tube(curve(lead, 4), np.linspace(0.42, 0.55, len(curve(lead, 4))), part("leadpipe")))
    coil = []
    for d in range(110, 601, 7):  # round and round, then out into the tube that ends in the bell
        out = min(1.0, max(0.0, (d - 480) / 112))
        r = (12.6 - 1.5 * min(d, 480) / 500) * (1 - out) + 14.2 * out
        coil.append(ring(r, d, (0.2 + 1.5 * min(1.0, (d - 110) / 200)) * (1 - out) - 0.3 * out))
    found.append(tube(np.array(coil), 0.6, part("coil", seamless="coil")))
    inner = [ring(9.2, d, 0.8) for d in range(0, 361, 8)]
    found.append(tube(np.array(inner), 0.55, part("inner coil")))
    tail = [ring(14.2, d, -0.3) for d in range(-128, 90, 6)]
    end = ring(14.2, 90, -0.3) + u * 21 + n * 3.0
    tail += [ring(14.2, 90, -0.3) + (end - ring(14.2, 90, -0.3)) * t for t in np.linspace(0.05, 1, 20)]
    found.append(
        bell(
            np.array(tail),
            0.62,
            15.3,
            part("bell", jump=1.5, seamless="coil"),
            part("inside of bell", "", jump=30),
            0.85,
            (0.62, 1.9),
            (part("throat", "hair", jump=30), 6.6),
        )
    )
    places: dict[str, Points] = {"bell": end, "bell out": u * 0.99 + n * 0.14, "centre": c, "across": u, "front": n}
    for k in range(3):
        spot = c + u * (-1.5 + 3.9 * k) + z * (3.4 - 0.2 * k) + n * 0.6
        found.append(rod(spot - n * 1.6, spot + n * 1.6, 1.55, part(f"rotor {k + 1}", hard=True)))
        found.append(rod(spot + n * 1.6, spot + n * 2.0, 1.75, part(f"rotor cap {k + 1}", hard=True)))
        down = spot - z * 1.2
        loop = [
            down,
            down - z * (3.2 + 2.2 * (k == 2) - 1.2 * (k == 1)),
            down - z * (3.2 + 2.2 * (k == 2) - 1.2 * (k == 1)) + u * 1.7,
            down + u * 1.7,
        ]
        found.append(tube(curve(loop, 0.84), 0.5, part(f"valve slide {k + 1}")))
        paddle = c - u * (8.6 - 0.4 * k) + z * (6.3 - 2.2 * k) + n * 2.9
        found.append(rod(paddle, spot + n * 2.2, 0.28, part(f"lever {k + 1}")))
        found.append(rod(paddle - n * 0.2 - u * 1.1, paddle - n * 0.2 + u * 1.1, 0.8, part(f"paddle {k + 1}", "pearl")))
        places[f"lever {k + 1}"] = paddle
    return Brass(tuple(found), places)
