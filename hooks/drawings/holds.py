"""Hands on instruments: each instrument in the hands of somebody sitting, as common practice has it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from drawings.figure import FINGERS, Hand, Look, Person, Pose, playing
from drawings.instruments import Brass, cornet, f_horn, trombone, upright
from drawings.solids import Points, Solid, Stand, Vector, turn, unit


@dataclass(frozen=True, slots=True)
class Holding:
    """A player and the instrument in their hands."""

    person: Person
    solids: tuple[Solid, ...]
    """Of the instrument, where it is held."""
    places: Mapping[str, Points]
    """Places on the instrument, in the room."""


def valve_fingers(
    buttons: Mapping[str, Points], side: str, way: Vector, up: Vector, size: float, reach: float = 5.0, **tips: Points
) -> Hand:
    """A hand with the tips of three round fingers on the buttons; ``way`` is from knuckles to tips."""
    ahead, up = unit(way), unit(up)
    on = [np.asarray(buttons[f"button {k}"]) + up * 0.75 * size for k in (1, 2, 3)]
    middle = on[1] - ahead * reach * size + up * 2.4 * size
    along = unit(ahead * 0.85 + up * 0.5)
    found = Hand(side, middle, point=along, palm=-up, tips={}, curl=0.35, size=size, bulge={}, spread=1.2)
    wrist = middle - (found.knuckle(1) - middle)
    placed = dict(zip(("first", "second", "third"), on, strict=True)) | tips
    bulge = dict.fromkeys(("first", "second", "third"), up - 0.25 * ahead) | {"fourth": up}
    return Hand(side, wrist, point=along, palm=-up, tips=placed, curl=0.5, size=size, bulge=bulge, spread=1.2)


def hold_cornet(
    name: str, look: Look, pose: Pose | None = None, pitch: float = -7, flat: bool = False, plain: bool = False
) -> Holding:
    """Left hand round the valves, right fingers on them, bell forward and a little down; ``flat`` fingers are wrong."""
    brass = cornet(name, plain)

    def hands(place: Stand, at: Mapping[str, Points]) -> tuple[Hand, Hand]:
        s = look.height / 168
        up = place.along(0, 0, 1)
        right = valve_fingers(
            at,
            "right",
            place.along(-1, 0.35, 0),
            up,
            s,
            thumb=at["valve 1"] + place.along(1.6, 1.2, 4.4),
            fourth=at["hook"] + place.along(0.8, 0, 0.6),
        )
        if flat:
            right = flat_fingers(at, right, up)
        v1, v3 = at["valve 1"], at["valve 3"]
        left = Hand(
            "left",
            v1 + place.along(-6.0, -6.0, -1.5),
            point=place.along(0.28, 0.95, 0.12),
            palm=place.along(1, -0.25, 0.15),
            tips={
                "first": v3 + place.along(1.7, 0.9, 3.4),
                "second": v3 + place.along(1.8, 0.8, 1.4),
                "third": at["ring"] + place.along(1.3, 0.2, 0.2),
                "fourth": v3 + place.along(0.6, 1.4, -3.4),
                "thumb": v1 + place.along(0.6, -1.5, 2.6),
            },
            curl=0.4,
            size=s,
            bulge={name: place.along(-0.5, 1, 0) for name in FINGERS} | {"thumb": place.along(-0.3, -1, 0.6)},
        )
        return right, left

    return _sit(brass, look, turn(0, pitch, 0), hands, ((0.9, -0.3, -0.8), (-0.9, -0.3, -0.9)), pose)


def flat_fingers(at: Mapping[str, Points], right: Hand, up: Points) -> Hand:
    """The same hand with its fingers flat across the buttons."""
    along, _, _ = right.axes()
    way = unit(along - up * float(along @ up))
    tips = {
        name: np.asarray(at[f"button {k}"]) + up * 0.5 + way * 2.6
        for k, name in enumerate(("first", "second", "third"), 1)
    }
    down = right.wrist - up * 2.2 - way * 1.2
    return replace(right, wrist=down, point=unit(way + up * 0.12), tips=dict(right.tips) | tips)


def hold_upright(name: str, look: Look, pose: Pose | None = None, tilt: float = 0) -> Holding:
    """Bell up on the left, right fingers on the valves, left arm round the front."""
    brass = upright(name)

    def hands(place: Stand, at: Mapping[str, Points]) -> tuple[Hand, Hand]:
        s = look.height / 168
        u, n, up = at["across"], at["front"], place.along(0, 0, 1)
        right = valve_fingers(
            at, "right", n * 0.8 - u * 0.6, up, s, 5.0, thumb=at["button 1"] + u * 0.6 - n * 3.2 - up * 4.0 * s
        )
        if name == "tenor-horn":
            grip = at["valve foot 1"] + up * 2.0
            left = Hand(
                "left",
                grip - u * 8.5 + n * 3.4 - up * 3.5,
                point=u * 0.9 + up * 0.35,
                palm=-n * 0.9 + u * 0.2,
                tips={f: grip + u * (5.4 + 0.4 * k) - n * 0.2 + up * (2.4 - 2.0 * k) for k, f in enumerate(FINGERS)}
                | {"thumb": grip - u * 1.6 - n * 2.2 + up * 3.0},
                curl=0.4,
                size=s,
                bulge=dict.fromkeys(FINGERS, n + u * 0.6) | {"thumb": -u},
            )
        elif name.endswith("bass"):
            spot = at["lead tube"] - up * 2
            left = Hand(
                "left",
                spot - u * 7.5 + n * 3.6 - up * 0.5,
                point=u * 0.95 - n * 0.1 + up * 0.15,
                palm=-n + u * 0.15,
                tips={f: spot + u * 1.6 - n * 1.2 + up * (3.2 - 2.0 * k) for k, f in enumerate(FINGERS)}
                | {"thumb": spot - u * 1.4 + n * 1.4 + up * 5.6},
                curl=0.4,
                size=s,
                bulge=dict.fromkeys(FINGERS, n + u) | {"thumb": n},
            )
        else:
            spot = at["branch"] + up * (6 if name == "baritone" else 5)
            tube = {"baritone": 1.3, "euphonium": 1.5}.get(name, 1.9)
            left = Hand(
                "left",
                spot - u * 9.3 + n * (tube + 2.6) - up * 1.0,
                point=u * 0.95 + up * 0.1,
                palm=-n,
                tips={
                    f: spot + u * (tube * 1.2) - n * (tube * 0.9) + up * (2.8 - 2.0 * k) for k, f in enumerate(FINGERS)
                }
                | {"thumb": spot - u * 2.6 + n * (tube + 0.6) + up * 4.8},
                curl=0.4,
                size=s,
                bulge=dict.fromkeys(FINGERS, n + u) | {"thumb": n},
            )
        return right, left

    big = name.endswith("bass")
    roll = {"tenor-horn": -6, "baritone": -6, "euphonium": -7}.get(name, -5)
    return _sit(
        brass,
        look,
        turn(0, tilt, roll),
        hands,
        ((0.9, -0.5, -0.8), (-1.0, 0.0, -0.15) if big else (-1.0, 0.35, -0.7)),
        pose,
    )


def hold_trombone(out: float, look: Look) -> Holding:
    """The left hand carries it all; the right hand moves the slide with thumb and two fingers."""
    brass = trombone(out)

    def hands(place: Stand, at: Mapping[str, Points]) -> tuple[Hand, Hand]:
        s = look.height / 168
        b = at["slide brace"]
        right = Hand(
            "right",
            b + place.along(6.0, -7.5, -5.0),
            point=place.along(-0.45, 0.75, 0.5),
            palm=place.along(-0.9, -0.4, 0.1),
            tips={
                "first": b + place.along(-0.4, 0.9, 1.0),
                "second": b + place.along(-0.2, 0.9, -0.8),
                "third": at["slide lower"] + place.along(1.2, 0.8, -2.0),
                "fourth": at["slide lower"] + place.along(2.0, -0.6, -3.6),
                "thumb": b + place.along(0.2, -1.0, 0.4),
            },
            curl=0.5,
            size=s,
            bulge={f: place.along(0.9, 0.7, 0) for f in FINGERS} | {"thumb": place.along(0.8, -0.8, 0.5)},
        )
        h = at["brace"]
        left = Hand(
            "left",
            h + place.along(-3.5, -4.5, -9.5),
            point=place.along(0.05, 0.35, 0.95),
            palm=place.along(0.9, -0.2, 0.05),
            tips={
                "first": at["upper"] + place.along(-0.4, -3.2, 1.0),
                "second": h + place.along(1.6, 0.8, 0.9),
                "third": h + place.along(1.8, 0.2, -1.0),
                "fourth": h + place.along(1.8, -0.4, -2.6),
                "thumb": at["bell brace"] + place.along(0.6, 0.2, 0.8),
            },
            curl=0.5,
            size=s,
            bulge={f: place.along(-0.5, 0.9, 0.3) for f in FINGERS} | {"thumb": place.along(-0.8, 0, 0.4)},
        )
        return right, left

    return _sit(brass, look, turn(0, -8, 0), hands, ((0.8, -0.4, -1), (-0.7, 0.0, -1)))


def hold_f_horn(look: Look) -> Holding:
    """Left fingers on the levers, right hand in the bell, which points back on the right."""
    brass = f_horn()

    def hands(place: Stand, at: Mapping[str, Points]) -> tuple[Hand, Hand]:
        s = look.height / 168
        u, n, up = at["across"], at["front"], place.along(0, 0, 1)
        m = at["lever 2"]
        left = Hand(
            "left",
            m - u * 13.5 + n * 0.5 + up * 1.6,
            point=unit(u * 0.85 + n * 0.42 + up * 0.1),
            palm=unit(-n * 0.9 + u * 0.5),
            tips={
                "first": at["lever 1"] + n * 0.9,
                "second": at["lever 2"] + n * 0.9,
                "third": at["lever 3"] + n * 0.9,
                "fourth": at["lever 3"] - up * 3.2 + n * 0.6,
                "thumb": m + u * 0.5 - n * 3.5 + up * 5.0,
            },
            curl=0.5,
            size=s,
            bulge=dict.fromkeys(FINGERS, n) | {"thumb": -n + up},
        )
        bell, out = at["bell"], at["bell out"]
        right = Hand(
            "right",
            bell + out * 5.0 + place.along(0.3, 0, -0.6),
            point=-out,
            palm=place.along(-0.75, -0.2, 0.55),
            tips={},
            curl=0.12,
            size=s,
            bulge={},
            spread=0.85,
        )
        return right, left

    return _sit(brass, look, turn(0, -4, 0), hands, ((0.8, -1.0, -0.5), (-1.0, 0.2, -0.8)))


def _sit(
    brass: Brass,
    look: Look,
    axes: np.ndarray,
    hands: Callable[[Stand, Mapping[str, Points]], tuple[Hand, Hand]],
    elbows: tuple[Vector, Vector],
    pose: Pose | None = None,
) -> Holding:
    pose = pose or playing(look.height, None, None, elbows, look.hair).pose
    mouth = Person(look, pose).mouth
    place = Stand(mouth + np.array([0, 0.15, 0]), axes)
    free = {"across", "front", "bell out"}
    at = {name: place.along(*point) if name in free else place.at(*point) for name, point in brass.places.items()}
    right, left = hands(place, at)
    posed = replace(pose, right=right, left=left, elbows=elbows)
    return Holding(Person(look, posed), tuple(solid.moved(place) for solid in brass.solids), at)
