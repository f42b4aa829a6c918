"""A person to pose: sizes in proportion, joints found from where hands and feet must go. Nobody real."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field

import numpy as np

from drawings.solids import Bone, Egg, Points, Solid, Stand, Surface, Vector, curve, flesh, tube, turn, unit

FINGERS = ("first", "second", "third", "fourth")
"""Fingers by the number a valve player gives them."""


@dataclass(frozen=True, slots=True)
class Hand:
    """A hand: where it is, how it is turned, where its finger tips go."""

    side: str
    """``right`` or ``left``."""
    wrist: Points
    _: KW_ONLY
    point: Points
    """The way from the wrist to the knuckles."""
    palm: Points
    """The way the palm faces."""
    tips: Mapping[str, Vector] = field(default_factory=dict)
    """Where tips of fingers and ``thumb`` go, in space; others curl by ``curl``."""
    curl: float = 0.35
    """How far the other fingers are bent: 0 straight, 1 a fist."""
    size: float = 1.0
    bulge: Mapping[str, Vector] = field(default_factory=dict)
    """The way a finger's (or the thumb's) bend points out, where it is not away from the palm."""
    spread: float = 1.0
    """How far the knuckles stand apart."""

    def axes(self) -> tuple[Points, Points, Points]:
        """Along the hand, across it to the thumb, and out of the palm."""
        along = unit(self.point)
        palm = unit(np.asarray(self.palm) - along * float(np.dot(self.palm, along)))
        across = np.cross(along, palm) * (1 if self.side == "right" else -1)
        return along, across, palm

    def knuckle(self, finger: int) -> Points:
        """A knuckle: 0 the first finger's, 3 the fourth's."""
        along, thumbward, palm = self.axes()
        s = self.size
        out = (8.6, 8.9, 8.5, 7.8)[finger]
        return np.asarray(
            self.wrist + along * out * s + thumbward * (2.9 - 1.95 * finger) * s * self.spread - palm * 0.2 * s
        )


LENGTHS = (7.6, 8.4, 7.8, 6.2)
"""Of the fingers, centimetres, on a hand of size 1."""


def arc(start: Points, end: Points, long: float, out: Points, steps: int = 9) -> Points:
    """Points along a bow of length ``long`` from ``start`` to ``end`` that bulges ``out``."""
    gap = end - start
    chord = float(np.linalg.norm(gap))
    if chord >= 0.995 * long:
        return np.array([start + gap / chord * long * t for t in np.linspace(0, 1, steps)])
    low, high = 1e-3, math.pi * 0.93
    for _ in range(40):
        half = (low + high) / 2
        if math.sin(half) / half > chord / long:
            low = half
        else:
            high = half
    along = gap / chord
    up = unit(out - along * float(np.dot(out, along)))
    radius = chord / 2 / math.sin(half)
    middle = start + gap / 2 - up * radius * math.cos(half)
    angles = np.linspace(-half, half, steps)
    return np.array([middle + radius * (math.sin(a) * along + math.cos(a) * up) for a in angles])


def hand(pose: Hand, thing: str, grain: float = 0.16) -> Solid:
    """The flesh of a hand."""
    along, thumbward, palm = pose.axes()
    s = pose.size
    base = Surface(f"{thing} palm", thing=thing, fill="", seamless=thing, hard=False, jump=0.5)
    shapes: list[Bone | Egg] = []
    root = np.asarray(pose.wrist)
    for finger in range(4):
        start = root + thumbward * (1.2 - 0.8 * finger) * s * 0.9
        shapes.append(Bone(start, pose.knuckle(finger), 1.75 * s, 1.15 * s, base))
    for finger, name in enumerate(FINGERS):
        part = Surface(f"{thing} {name}", thing=thing, fill="", seamless=thing, hard=False, jump=0.35)
        long = LENGTHS[finger] * s
        start = pose.knuckle(finger)
        out = np.asarray(pose.bulge.get(name, -palm), float)
        if name in pose.tips:
            bones = arc(start, np.asarray(pose.tips[name], float), long, out)
        else:
            bend = pose.curl * 1.45
            end = start + (along * math.cos(bend) + palm * math.sin(bend)) * long * (
                math.sin(bend + 1e-3) / (bend + 1e-3)
            )
            bones = arc(start, end, long, -palm)
        radii = np.linspace(1.02, 0.72, len(bones)) * s * (0.9 if finger == 3 else 1)
        for k in range(len(bones) - 1):
            shapes.append(Bone(bones[k], bones[k + 1], radii[k], radii[k + 1], part))
    part = Surface(f"{thing} thumb", thing=thing, fill="", seamless=thing, hard=False, jump=0.35)
    start = root + along * 2.4 * s + thumbward * 2.4 * s + palm * 0.5 * s
    joint = root + along * 4.6 * s + thumbward * 3.6 * s + palm * 1.4 * s
    tip = np.asarray(pose.tips.get("thumb", joint + (along * 0.85 + thumbward * 0.35 + palm * 0.2) * 5.4 * s), float)
    bones = arc(joint, tip, 5.8 * s, np.asarray(pose.bulge.get("thumb", thumbward), float), 7)
    radii = np.linspace(1.2, 0.9, len(bones)) * s
    shapes.append(Bone(start, joint, 1.7 * s, 1.2 * s, base))
    for k in range(len(bones) - 1):
        shapes.append(Bone(bones[k], bones[k + 1], radii[k], radii[k + 1], part))
    return flesh(shapes, 0.5 * s, grain)


@dataclass(frozen=True, slots=True)
class Look:
    """What tells one person from another."""

    height: float = 168
    """Standing, centimetres."""
    hair: str = "short"
    """``short``, ``bob``, ``bun``, ``tail`` or ``none``."""
    broad: float = 1.0
    """Of the body, beside the usual."""


@dataclass(frozen=True, slots=True)
class Pose:
    """How a person sits or stands."""

    hip: Points
    """Middle between the hip joints."""
    lean: float = 0
    """Of the body, degrees forward."""
    _: KW_ONLY
    slump: float = 0
    """How far the upper back is bent forward beyond that, degrees."""
    nod: float = 0
    """Of the head, degrees down."""
    raise_: float = 0
    """Of the shoulders, centimetres."""
    feet: tuple[Vector, Vector] = ((12.0, 44.0, 0.0), (-12.0, 44.0, 0.0))
    """Ankles, right and left, on the floor."""
    right: Hand | None = None
    left: Hand | None = None
    elbows: tuple[Vector, Vector] = ((1.0, -0.3, -1.0), (-1.0, -0.3, -1.0))
    """Ways the elbows point, right and left."""
    belly: float = 0
    """How far belly and ribs are filled, centimetres."""
    puff: float = 0
    """How far the cheeks are blown out, centimetres."""


def seated(height: float = 168, seat: float = 44, forward: float = 0) -> Points:
    """Where the hips of somebody sitting are."""
    return np.array([0.0, forward, seat + 8.5 * height / 168])


def two_bones(start: Points, end: Points, first: float, second: float, way: Vector) -> Points:
    """The joint between two bones from ``start`` to ``end`` that points ``way``."""
    gap = end - start
    span = min(float(np.linalg.norm(gap)), (first + second) * 0.999)
    along = unit(gap)
    share = (first**2 - second**2 + span**2) / (2 * span)
    out = np.asarray(way, float)
    out = unit(out - along * float(np.dot(out, along)))
    return np.asarray(start + along * share + out * math.sqrt(max(first**2 - share**2, 0)))


@dataclass(frozen=True, slots=True)
class Person:
    """A posed person."""

    look: Look
    pose: Pose

    @property
    def s(self) -> float:
        """Size beside a person of 168 cm."""
        return self.look.height / 168

    def _spine(self, up: float) -> Stand:
        """Axes of the body at a height above the hips; a slump bends it evenly from the waist up."""
        s = self.s
        parts = 12
        at = np.asarray(self.pose.hip, float)
        angle = self.pose.lean
        for _ in range(parts):
            angle += self.pose.slump * up / 51 / parts
            at = at + turn(pitch=-angle)[:, 2] * up * s / parts
        return Stand(at, turn(pitch=-angle * min(1, up / 40 + 0.3)))

    @property
    def chest(self) -> Stand:
        """The middle of the chest."""
        return self._spine(32)

    @property
    def neck(self) -> Stand:
        """The base of the neck."""
        return self._spine(51)

    @property
    def head(self) -> Stand:
        """The middle of the head, between the ears; its axes turn with a nod."""
        s, neck = self.s, self.neck
        bent = turn(pitch=-self.pose.nod)
        return Stand(
            neck.origin + neck.axes @ np.array([0, 1.6 * s, 5.4 * s]) + bent @ np.array([0, 1.6, 9.6]) * s, bent
        )

    @property
    def mouth(self) -> Points:
        """The middle of the lips."""
        return self.head.at(0, 9.6 * self.s, -6.9 * self.s)

    def shoulder(self, side: int) -> Points:
        """A shoulder joint; ``side`` 1 right, -1 left."""
        s, neck = self.s, self.neck
        return neck.at(side * 16.5 * s * self.look.broad, -0.5 * s, -5.0 * s + self.pose.raise_)

    def solids(self) -> list[Solid]:
        """Everything to draw."""
        return [self._body(), *self._head(), *self.arms()]

    def _body(self) -> Solid:
        s, pose, b = self.s, self.pose, self.look.broad
        shirt = Surface("shirt", thing="person", fill="cloth", seamless="shirt", hard=False, jump=0.5)
        trousers = Surface("trousers", thing="person", fill="", seamless="trousers", hard=False, jump=1.6)
        shoe = Surface("shoe", thing="person", fill="cloth", seamless="", hard=False, jump=1.2)
        hip, waist, chest, neck = (self._spine(up) for up in (0, 17, 34, 49))
        full = pose.belly

        def egg(place: Stand, middle: Vector, radii: Vector, part: Surface) -> Egg:
            return Egg(place.at(*(s * np.asarray(middle, float))), s * np.asarray(radii, float), part, place.axes)

        shapes: list[Bone | Egg] = [
            egg(hip, (0, -0.5, 1), (16.2 * b, 11, 10.5), trousers),
            egg(waist, (0, 0.3 + 0.25 * full, 0), (14.6 * b + 0.5 * full, 10.3 + 0.7 * full, 17), shirt),
            egg(chest, (0, 0.2, -1), (15.8 * b + 0.4 * full, 10.8, 17), shirt),
            Bone(self.shoulder(1), neck.at(5 * s, -0.5 * s, (-2.5) * s + 0.4 * pose.raise_), 5.0 * s, 4.6 * s, shirt),
            Bone(self.shoulder(-1), neck.at(-5 * s, -0.5 * s, (-2.5) * s + 0.4 * pose.raise_), 5.0 * s, 4.6 * s, shirt),
        ]
        for index, side in ((0, 1), (1, -1)):
            joint = np.asarray(pose.hip) + np.array([side * 8.8 * s * b, 0, 0])
            ankle = np.asarray(pose.feet[index], float) + np.array([0, 0, 8.0 * s])
            knee = two_bones(joint, ankle, 42 * s, 39 * s, (side * 0.12, 1, 0.7))
            own = Surface(f"trousers {side}", thing="person", fill="", seamless="trousers", hard=False, jump=0.5)
            shapes += [Bone(joint, knee, 8.6 * s, 6.0 * s, own), Bone(knee, ankle, 6.0 * s, 4.0 * s, own)]
            toes = unit(np.array([side * 0.18, 1, 0]))
            shoes = Surface(f"shoe {side}", thing="person", fill="cloth", seamless="", hard=False, jump=1.2)
            heel = np.asarray(pose.feet[index], float) + np.array([0, 0, 3.6 * s]) - toes * 2.5 * s
            shapes += [Bone(heel, heel + toes * 15 * s - np.array([0, 0, 0.7 * s]), 3.6 * s, 2.9 * s, shoes)]
        del shoe
        return flesh(shapes, 4.0 * s, 0.5)

    def _head(self) -> list[Solid]:
        s, at, neck = self.s, self.head, self.neck
        skin = Surface("face", thing="person", fill="", seamless="face", hard=False, jump=0.25)
        ear = Surface("ear", thing="person", fill="", seamless="", hard=False, jump=0.5)
        hair = Surface("hair", thing="hair", fill="hair", seamless="hair", hard=False, jump=1.0)

        def egg(middle: Vector, radii: Vector, part: Surface, cut: tuple[Vector, Vector] | None = None) -> Egg:
            plane = (at.at(*(s * np.asarray(cut[0], float))), at.along(*unit(cut[1]))) if cut else None
            return Egg(at.at(*(s * np.asarray(middle, float))), s * np.asarray(radii, float), part, at.axes, plane)

        def bone(a: Vector, b: Vector, thick: float, thin: float, part: Surface) -> Bone:
            return Bone(
                at.at(*(s * np.asarray(a, float))), at.at(*(s * np.asarray(b, float))), thick * s, thin * s, part
            )

        face: list[Bone | Egg] = [
            egg((0, -0.8, 2.6), (7.3, 9.2, 8.6), skin),
            egg((0, 2.2, -3.4), (6.2, 6.6, 8.0), skin),
            bone((0, 6.3, -10.2), (0, 1.5, -8.0), 2.2, 4.0, skin),
            bone((4.4, -0.5, -6.0), (1.6, 6.0, -10.0), 1.6, 1.6, skin),
            bone((-4.4, -0.5, -6.0), (-1.6, 6.0, -10.0), 1.6, 1.6, skin),
            bone((0, 8.4, 0.8), (0, 9.9, -3.1), 0.6, 0.95, skin),
            egg((0, 8.35, -6.3), (2.3, 1.1, 0.7), skin),
            egg((0, 8.2, -7.55), (2.1, 1.1, 0.75), skin),
        ]
        if self.pose.puff:
            face += [egg((x, 3.4, -6.0), (3.6, 4.0, 4.2), skin) for x in (3.4 + self.pose.puff, -3.4 - self.pose.puff)]
        ears = [egg((x, -1.0, -1.2), (0.9, 1.9, 3.1), ear) for x in (7.2, -7.2)]
        throat = Bone(neck.at(0, -0.6 * s, -3 * s), at.at(0, -1.8 * s, -6 * s), 5.4 * s, 5.0 * s, skin)
        style = self.look.hair
        found = [flesh([*face, throat], 1.1 * s, 0.22)]
        if style != "bob":
            found.append(flesh(ears, 0.3 * s, 0.2))
        if style == "none":
            return found
        locks: list[Bone | Egg] = [egg((0, -1.2, 3.0), (8.1, 9.9, 9.1), hair, ((0, 4.6, 4.6), (0, 0.72, -0.70)))]
        if style != "short":
            cut = 1.2 if style == "bob" else -3.2
            locks.append(egg((0, -2.8, 1.0), (8.2, 8.6, 9.2), hair, ((0, cut, 0), (0, 1, -0.18))))
        if style == "bob":
            locks += [bone((x, -1.6, 1), (x * 0.98, -2.0, -8), 2.6, 2.0, hair) for x in (6.0, -6.0)]
            locks += [bone((x, -6.2, 1), (x * 0.98, -6.0, -9), 3.2, 2.6, hair) for x in (3.4, -3.4)]
        if style == "tail":
            locks += [
                bone((0, -10, 3), (0, -13, -2), 2.4, 2.2, hair),
                bone((0, -13, -2), (0, -12, -10), 2.2, 1.0, hair),
            ]
        if style == "bun":
            locks.append(egg((0, -9.0, 7.6), (3.6, 3.6, 3.6), hair))
        found.append(flesh(locks, 1.0 * s, 0.3))
        return found

    def arms(self) -> list[Solid]:
        """Right arm and hand, left arm and hand."""
        s, pose, found = self.s, self.pose, []
        for index, side, held in ((0, 1, pose.right), (1, -1, pose.left)):
            name = "right" if side == 1 else "left"
            pose_ = held or Hand(
                name,
                np.asarray(pose.hip) + np.array([side * 15 * s, 22 * s, 10 * s]),
                point=np.array([-side * 0.3, 1, -0.25]),
                palm=np.array([0, -0.2, -1.0]),
            )
            shoulder = self.shoulder(side)
            elbow = two_bones(shoulder, np.asarray(pose_.wrist), 28.5 * s, 25.5 * s, pose.elbows[index])
            sleeve = Surface(f"{name} sleeve", thing="person", fill="cloth", seamless="", hard=False, jump=1.0)
            arm = Surface(f"{name} arm", thing="person", fill="", seamless=f"{name} hand", hard=False, jump=1.0)
            half = shoulder + (elbow - shoulder) * 0.62
            found.append(
                flesh(
                    [
                        Bone(shoulder, half, 5.2 * s, 4.7 * s, sleeve),
                        Bone(half, elbow, 4.1 * s, 3.5 * s, arm),
                        Bone(elbow, np.asarray(pose_.wrist), 3.7 * s, 2.4 * s, arm),
                    ],
                    1.2 * s,
                    0.35,
                )
            )
            found.append(hand(pose_, f"{name} hand"))
        return found

    def marks(self) -> list[Points]:
        """Eyes, brows and the line between the lips."""
        s, at, found = self.s, self.head, []
        for side in (1, -1):
            for line, high in ((_EYE, 0.0), (_BROW, 2.3)):
                points = [(side * x, 8.35 - 0.09 * (x - 1.5) ** 2, high + z) for x, z in line]
                found.append(np.array([at.at(*(s * np.array(p))) for p in points]))
        between = [(x, 9.5 - 0.16 * x * x, -6.93) for x in np.linspace(-2.6, 2.6, 9)]
        return [*found, np.array([at.at(*(s * np.array(p))) for p in between])]

    def nose(self) -> list[Points]:
        """The nostrils' edge, for a face seen close from the front."""
        s, at = self.s, self.head
        line = [(x, 9.4, -4.1 + 0.5 * (abs(x) / 1.5) ** 2 - 0.35 * math.cos(x * 4)) for x in np.linspace(-1.5, 1.5, 15)]
        return [np.array([at.at(*(s * np.array(p))) for p in line])]

    def lips(self) -> list[Points]:
        """The edges of the lips, for a face seen close."""
        s, at, found = self.s, self.head, []
        for high, dip in ((0.95, 0.28), (-1.05, 0.0)):
            edge = []
            for x in np.linspace(-2.6, 2.6, 15):
                z = -6.93 + high * (1 - (x / 2.6) ** 2) ** 0.8 - dip * math.exp(-((x / 0.5) ** 2))
                edge.append((x, 9.5 - 0.16 * x * x, z))
            found.append(np.array([at.at(*(s * np.array(p))) for p in edge]))
        return found


_EYE = [(3.0, 0.1)]
_BROW = [(1.7, 0.25), (2.7, 0.5), (3.6, 0.4), (4.5, -0.2)]


def chair(seat: float = 44, back: bool = True, width: float = 40, deep: float = 40, at: float = -14) -> list[Solid]:
    """A plain chair: ``at`` is where its back edge stands."""
    wood = Surface("seat", thing="chair", fill="", seamless="", hard=True)
    legs = Surface("chair legs", thing="chair", fill="", seamless="", hard=False)
    rest = Surface("chair back", thing="chair", fill="", seamless="", hard=True)
    found = [tube(curve([(x, y, 0), (x, y, seat - 3)]), 1.2, legs) for x in (-17, 17) for y in (at + 2, at + deep - 2)]
    from drawings.solids import box

    found.append(box((0, at + deep / 2, seat - 1.5), (width, deep, 3), wood))
    if back:
        found += [tube(curve([(x, at + 1, seat), (x, at - 3, seat + 40)]), 1.2, legs) for x in (-17, 17)]
        found.append(box((0, at - 2.6, seat + 33), (width, 2, 14), rest, turn(pitch=6)))
    return found


def playing(
    height: float, right: Hand | None, left: Hand | None, elbows: tuple[Vector, Vector], hair: str, forward: float = 4
) -> Person:
    """Somebody sitting tall to play."""
    s = height / 168
    feet: Sequence[Vector] = ((13 * s, forward + 42 * s, 0), (-13 * s, forward + 42 * s, 0))
    pose = Pose(
        seated(height, 44 * s, forward),
        0,
        slump=0,
        nod=0,
        raise_=0,
        feet=(feet[0], feet[1]),
        right=right,
        left=left,
        elbows=elbows,
    )
    return Person(Look(height, hair), pose)
