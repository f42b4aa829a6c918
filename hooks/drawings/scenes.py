"""The pictures: who or what stands in each, where it is seen from, and the words on it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from drawings import closeups, things
from drawings.figure import Hand, Look, Person, Pose, chair, playing, seated
from drawings.holds import Holding, hold_cornet, hold_f_horn, hold_trombone, hold_upright
from drawings.instruments import mouthpiece
from drawings.lines import View
from drawings.sheet import WIDE, DrawingSheet
from drawings.solids import Points, Solid, Stand, Surface, box, rod, turn


def _held(
    held: Holding,
    toward: tuple[float, float],
    middle: tuple[float, float],
    scale: float,
    height: float,
    words: Sequence[tuple[str, str | Points, float, float, str]],
    foot: str,
    extra: Sequence[Solid] = (),
) -> DrawingSheet:
    """A player from one side; ``middle`` is the middle of the field right of and above the mouth, cm."""
    sheet = DrawingSheet(WIDE, height + 26)
    mouth = held.person.mouth
    view = _view(toward, mouth, middle, scale, height)
    places = dict(held.places) | _body(held)
    sheet.solids([*held.solids, *held.person.solids(), *extra], view, held.person.marks())
    for text, to, x, y, anchor in words:
        sheet.label(x, y, text, view.on(places[to] if isinstance(to, str) else to), anchor)
    sheet.text(WIDE / 2, height + 20, foot, "middle")
    return sheet


def _view(toward: tuple[float, float], mouth: Points, middle: tuple[float, float], scale: float, height: float) -> View:
    """A view whose middle lies so many centimetres right of and above the mouth, as the drawing shows it."""
    right, up, _ = View(toward=toward, centre=(0, 0, 0), width=WIDE, height=height, scale=scale).axes()
    x, y, z = (float(v) for v in mouth + right * middle[0] + up * middle[1])
    return View(toward=toward, centre=(x, y, z), width=WIDE, height=height, scale=scale)


def _body(held: Holding) -> dict[str, Points]:
    pose = held.person.pose
    found = {"mouth": held.person.mouth}
    for name, hand in (("right hand", pose.right), ("left hand", pose.left)):
        if hand is not None:
            along, _, palm = hand.axes()
            found[name] = np.asarray(hand.wrist) + along * 5.5 * hand.size - palm * 1.6 * hand.size
    return found


def _blown_ahead(held: Holding, scale: float) -> dict[str, DrawingSheet]:
    """A cornet or a trumpet."""
    return {
        "front": _held(
            held,
            (-28, 6),
            (-5.5, -9),
            scale * 1.08,
            330,
            [
                ("Right hand:\nthree valves", "right hand", 6, 30, "start"),
                ("Left hand\nholds", "left hand", 24, 290, "start"),
                ("Bell ahead", "bell", 6, 226, "start"),
            ],
            "From the front",
            chair(),
        ),
        "side": _held(
            held,
            (90, 4),
            (60 / scale, -9),
            scale,
            330,
            [
                ("Right hand:\nthree valves", "right hand", 240, 52, "start"),
                ("Bell ahead,\na little down", "bell", 250, 240, "start"),
            ],
            "From the right",
            chair(),
        ),
    }


def holding_f_horn() -> dict[str, DrawingSheet]:
    """A single F horn."""
    held = hold_f_horn(Look(165, "tail"))
    return {
        "front": _held(
            held,
            (6, 6),
            (3, -16),
            4.4,
            330,
            [
                ("Left hand:\nthree levers", "left hand", 262, 70, "start"),
                ("Bell points\nback", "bell", 6, 70, "start"),
            ],
            "From the front",
            chair(),
        ),
        "side": _held(
            held,
            (-72, 8),
            (-8, -16),
            4.2,
            330,
            [
                ("Left hand:\none finger\non each lever", "left hand", 6, 60, "start"),
            ],
            "From the left",
            chair(),
        ),
        "behind": _held(
            held,
            (128, 10),
            (11, -16),
            4.2,
            330,
            [
                ("Right\nhand in\nthe bell", "right hand", 284, 200, "start"),
                ("Left hand", "left hand", 272, 60, "start"),
            ],
            "From behind, on the right",
            chair(),
        ),
    }


def holding_trombone() -> dict[str, DrawingSheet]:
    """A trombone with its slide in third position."""
    held = hold_trombone(16.5, Look(172, "short"))
    return {
        "front": _held(
            held,
            (-40, 6),
            (-22, -14),
            3.4,
            290,
            [
                ("Left hand\nholds it all", "left hand", 40, 246, "start"),
                ("Bell ahead", "bell", 40, 40, "start"),
            ],
            "From the front, on the left",
            chair(),
        ),
        "side": _held(
            held,
            (90, 3),
            (34, -10),
            2.6,
            250,
            [
                ("Right hand moves\nthe slide", "right hand", 150, 190, "start"),
                ("Left hand\nholds it all", "left hand", 70, 30, "start"),
            ],
            "From the right",
            chair(),
        ),
    }


def _under(held: Holding, name: str) -> tuple[list[Solid], Points]:
    """What a big instrument rests on, a cushion on the lap or a stand on the floor, and the middle of its front."""
    low = min(float(solid.mesh.bounds[0][2]) for solid in held.solids)
    x, y, _ = (float(v) for v in held.places["bottom"])
    if name.endswith("bass"):
        steel = Surface("support", thing="support", fill="", seamless="", hard=False)
        legs = [rod((x, y, 10), (x + dx, y + dy, 0.5), 0.8, steel) for dx, dy in ((0, 17), (-15, -9), (15, -9))]
        cup = box((x, y, low - 0.5), (15, 11, 3), Surface("cup", thing="support", fill="", seamless="", hard=True))
        return [*legs, rod((x, y, 6), (x, y, low - 1), 1.1, steel), cup], np.array([x, y, low * 0.6])
    lap, deep = float(held.person.pose.hip[2]) + 0.5 * held.person.s, 26.0
    centre = (x, y - 3, (low + lap) / 2)
    cushion = box(
        centre, (36, deep, low - lap), Surface("support", thing="support", fill="cloth", seamless="", hard=True)
    )
    return [cushion], np.array([x, centre[1] + deep / 2, centre[2]])


def _upright(name: str, look: Look, scale: float, shift: float = 0) -> dict[str, DrawingSheet]:
    stands, rests = name.endswith("bass"), name in ("euphonium", "eb-bass")
    pose = None
    if stands:  # legs apart, so that it stands between them
        pose = replace(
            playing(look.height, None, None, ((1, 0, -1), (-1, 0, -1)), look.hair).pose,
            feet=((25.0, 44.0, 0.0), (-25.0, 44.0, 0.0)),
        )
    held = hold_upright(name, look, pose)
    left = "Left hand\nsteadies" if stands else "Left hand\nholds"
    field, middle = (458, -41) if stands else (390, -17) if rests else (340, -12)  # down to what it rests on
    under, spot = _under(held, name) if rests else ([], np.zeros(3))
    flank = held.places["bell"] - np.array([0, 0, 5.0])
    named: list[tuple[str, str | Points, float, float, str]] = []
    if rests:
        named = [("Stand on\nthe floor" if stands else "Cushion", spot, 6, field - 40, "start")]
    return {
        "front": _held(
            held,
            (8, 6),
            (1 + shift, middle),
            scale,
            field,
            [
                ("Right hand:\nthree valves", "right hand", 4, 40, "start"),
                (left, "left hand", 286, 300 if rests else 316, "start"),
                ("Bell up", "bell", 300, 30, "start"),
                *named,
            ],
            "From the front",
            [*chair(), *under],
        ),
        "side": _held(
            held,
            (90, 4),
            (16, middle),
            scale,
            field,
            [
                ("Bell up", flank, 290, 60, "start"),
            ],
            "From the right",
            [*chair(), *under],
        ),
    }


def _small(
    sheet: DrawingSheet,
    solids: Sequence[Solid],
    marks: Sequence[Points],
    toward: tuple[float, float],
    centre: tuple[float, float, float],
    scale: float,
    at: tuple[float, float],
    size: tuple[float, float],
) -> View:
    """Draw into a part of a sheet; the view's places are then ``at`` further on."""
    view = View(toward=toward, centre=centre, width=size[0], height=size[1], scale=scale)
    sheet.solids(solids, view, marks, at)
    return view


SIDE = (90.0, 3.0)


def _sitter(pose: Pose, height: float = 160, pitch: float = -7, hair: str = "short") -> list[Solid]:
    held = hold_cornet("cornet", Look(height, hair), pose, pitch, plain=True)
    return [*held.solids, *held.person.solids()]


def _posture(hip: float, height: float = 160, **more: object) -> Pose:
    """Somebody on a chair of 44 cm, their hips ``hip`` centimetres forward, feet flat."""
    s = height / 168
    feet = ((12 * s, hip + 43 * s, 0.0), (-12 * s, hip + 43 * s, 0.0))
    return replace(Pose(seated(height, 44, hip), feet=feet), **more)  # type: ignore[arg-type]


def _eyes(pose: Pose, height: float = 160) -> list[Points]:
    return Person(Look(height), pose).marks()


def _postures(
    cells: Sequence[tuple[Pose, str, bool, float, str, Sequence[Solid]]], toward: tuple[float, float]
) -> DrawingSheet:
    """People on chairs beside each other, two in a row."""
    rows = (len(cells) + 1) // 2
    sheet = DrawingSheet(WIDE, rows * 292)
    for index, (pose, words, good, pitch, hair, extra) in enumerate(cells):
        x, y = (index % 2) * 180, (index // 2) * 292
        if len(cells) % 2 and index == len(cells) - 1:
            x = 90
        solids = [*_sitter(pose, pitch=pitch, hair=hair), *chair(at=-16), *extra]
        _small(sheet, solids, _eyes(pose), toward, (0, 37, 71), 1.55, (x, y), (180, 256))
        sheet.line((x + 8, y + 238), (x + 172, y + 238))
        lines = words.split("\n")
        for row, line in enumerate(lines):
            sheet.text(x + 90, y + 262 + 16 * row, line, "middle")
        sheet.verdict(x + 160, y + 16, good)
    return sheet


def sitting_two_ways() -> dict[str, DrawingSheet]:
    """On the front half of the chair, and right back."""
    return {
        "": _postures(
            [
                (_posture(11), "Front half,\nback free", True, -7, "short", ()),
                (_posture(-3), "Right back,\nas tall", True, -7, "bob", ()),
            ],
            SIDE,
        )
    }


def _stand(y: float) -> list[Solid]:
    """A music stand."""
    steel = Surface("stand", thing="stand", fill="", seamless="", hard=False)
    desk = Surface("desk", thing="stand", fill="cloth", seamless="", hard=True)
    legs = [rod((0, y, 22), (x, y + dy, 0.5), 0.8, steel) for x, dy in ((0, -16), (16, 5), (-16, 5))]
    return [*legs, rod((0, y, 8), (0, y, 88), 0.9, steel), box((0, y, 100), (46, 1.5, 32), desk, turn(pitch=-18))]


def sitting_wrong() -> dict[str, DrawingSheet]:
    """A slack back, crossed legs, and leaning to a far stand."""
    crossed = _posture(8)
    crossed = replace(crossed, feet=((-13.0, 58.0, 20.0), (-9.0, 44.0, 0.0)))
    return {
        "": _postures(
            [
                (_posture(12, lean=-34, slump=92, nod=22), "The slump", False, -22, "short", ()),
                (_posture(8, lean=24, slump=10, nod=2), "The lean\nto the stand", False, -12, "bob", _stand(88)),
                (crossed, "Crossed legs", False, -7, "bun", ()),
            ],
            SIDE,
        )
    }


def holding_head() -> dict[str, DrawingSheet]:
    """The instrument comes up; the head does not go down."""
    sheet = _postures(
        [
            (_posture(9), "Instrument\ncomes up", True, -7, "tail", ()),
            (_posture(9, lean=-6, slump=40, nod=34), "Head goes\ndown", False, -52, "tail", ()),
        ],
        SIDE,
    )
    sheet.arrow((132, 140), (132, 100), head=9)
    sheet.arrow((282, 36), (306, 60), head=9)
    return {"": sheet}


def _bust(full: float, lift: float) -> tuple[list[Solid], list[Points]]:
    s = 1.0
    hip = np.array([0, 0, 52.0])
    down = [
        Hand(
            name,
            hip + np.array([side * 23 * s, 1, -6 + lift * 0.8]),
            point=np.array([side * 0.05, 0.15, -1]),
            palm=np.array([-side, 0.2, 0]),
            tips={},
            curl=0.3,
        )
        for name, side in (("right", 1), ("left", -1))
    ]
    pose = Pose(hip, raise_=lift, right=down[0], left=down[1], belly=full, elbows=((1, -0.8, 0), (-1, -0.8, 0)))
    person = Person(Look(168, "bob" if lift else "short"), pose)
    return person.solids(), person.marks()


def breathing() -> dict[str, DrawingSheet]:
    """A breath that goes low, and one that lifts the shoulders."""
    sheet = DrawingSheet(WIDE, 300)
    for x, full, lift, words in ((0, 2.6, 0, "Low: ribs and\nbelly fill"), (180, 0, 6.5, "High: shoulders\nrise")):
        solids, marks = _bust(full, lift)
        _small(sheet, solids, marks, (0, 3), (0, 0, 98), 2.5, (x, 0), (180, 256))
        for row, line in enumerate(words.split("\n")):
            sheet.text(x + 90, 274 + 16 * row, line, "middle")
        sheet.verdict(x + 164, 16, not lift)
    for y in (176, 206):
        sheet.arrow((64, y), (34, y))
        sheet.arrow((116, y), (146, y))
    sheet.arrow((90, 120), (90, 196))
    for x in (226, 314):
        sheet.arrow((x, 96), (x, 50))
    return {"": sheet}


def cheeks() -> dict[str, DrawingSheet]:
    """Calm cheeks and puffed ones, with a mouthpiece on the lips."""
    sheet = DrawingSheet(WIDE, 240)
    for x, puff, words in ((0, 0.0, "Firm corners"), (180, 1.6, "Puffed cheeks")):
        pose = Pose(np.array([0, 0, 52.0]), puff=puff)
        person = Person(Look(168, "short" if puff else "tail"), pose)
        pieces = [s.moved(Stand(person.mouth + np.array([0, 0.1, 0]))) for s in mouthpiece("cornet")]
        c = person.head.origin
        _small(
            sheet,
            [*person.solids()[:4], *pieces],
            person.marks(),
            (0, 0),
            (float(c[0]), float(c[1]), float(c[2]) - 1),
            7.4,
            (x, 0),
            (180, 210),
        )
        sheet.text(x + 90, 230, words, "middle")
        sheet.verdict(x + 164, 16, not puff)
    for side in (-1, 1):
        sheet.arrow((90 + side * 46, 163), (90 + side * 26, 163), head=7)
        sheet.arrow((270 + side * 60, 150), (270 + side * 80, 146), head=7)
    return {"": sheet}


def habits() -> dict[str, DrawingSheet]:
    """Five habits to prevent, and how the last is put right."""
    puffed, air, big = DrawingSheet(WIDE, 262), DrawingSheet(WIDE, 262), DrawingSheet(WIDE, 262)
    pose = Pose(np.array([0, 0, 52.0]), puff=1.6)
    person = Person(Look(168, "short"), pose)
    pieces = [s.moved(Stand(person.mouth + np.array([0, 0.1, 0]))) for s in mouthpiece("cornet")]
    c = person.head.origin
    _small(
        puffed,
        [*person.solids()[:4], *pieces],
        person.marks(),
        (0, 0),
        (0, float(c[1]), float(c[2]) - 2),
        6.4,
        (0, 0),
        (180, 210),
    )
    solids, marks = _bust(0, 6.5)
    _small(puffed, solids, marks, (0, 3), (0, 0, 104), 2.3, (180, 0), (180, 210))
    for x in (230, 310):
        puffed.arrow((x, 100), (x, 58))
    bent = _posture(9, lean=-6, slump=40, nod=34)
    solids = [*_sitter(bent, pitch=-52, hair="tail"), *chair(at=-16)]
    _small(air, solids, _eyes(bent), SIDE, (0, 30, 66), 1.5, (0, 0), (180, 210))
    air.path("M204 62c14-34 40-38 70-38s56 4 70 38c-14 34-40 38-70 38s-56-4-70-38z", "bb-k bb-l")
    air.text(274, 67, "too", "middle", 16)
    air.verdict(342, 24, True)
    air.path("M204 164c14-34 40-38 70-38h48v76h-48c-30 0-56-4-70-38z", "bb-k bb-l")
    air.text(262, 169, "toot", "middle", 16)
    air.line((322, 118), (322, 210), cls="bb-l bb-fat")
    air.verdict(346, 128, False)
    for index, (solids, marks, words, good) in enumerate(things.big_instrument()):
        _small(big, solids, marks, SIDE, (0, 26, 66), 1.5, (index * 180, 0), (180, 210))
        _below(big, index * 180, words, good)
    _below(puffed, 0, "Puffed\ncheeks", False)
    _below(puffed, 180, "Raised\nshoulders", False)
    _below(air, 0, "Head goes\ndown", False)
    air.text(270, 230, "Tongue stops", "middle")
    air.text(270, 246, "the note", "middle")
    return {"body": puffed, "air": air, "big": big}


def _below(sheet: DrawingSheet, x: float, words: str, good: bool) -> None:
    """Words below one half of a sheet, and a tick or a cross."""
    for row, line in enumerate(words.split("\n")):
        sheet.text(x + 90, 230 + 16 * row, line, "middle")
    sheet.verdict(x + 162, 18, good)


SCENES: Mapping[str, Callable[[], Mapping[str, DrawingSheet]]] = {
    "hold-cornet": lambda: _blown_ahead(hold_cornet("cornet", Look(152, "bob")), 5.0),
    "hold-trumpet": lambda: _blown_ahead(hold_cornet("trumpet", Look(170, "short")), 4.4),
    "hold-flugelhorn": lambda: _blown_ahead(hold_cornet("flugelhorn", Look(163, "bun")), 4.6),
    "hold-f-horn": holding_f_horn,
    "hold-trombone": holding_trombone,
    "hold-tenor-horn": lambda: _upright("tenor-horn", Look(158, "bun"), 4.6),
    "hold-baritone": lambda: _upright("baritone", Look(166, "short"), 4.2),
    "hold-euphonium": lambda: _upright("euphonium", Look(174, "none"), 4.2),
    "sitting-two-ways": sitting_two_ways,
    "sitting-wrong": sitting_wrong,
    "holding-head": holding_head,
    "breathing": breathing,
    "cheeks": cheeks,
    "mouthpiece-place": closeups.mouthpiece_place,
    "lips-section": closeups.lips_section,
    "valve-hand": closeups.valve_hand,
    "cornet-parts": closeups.cornet_parts,
    "valves-from-above": closeups.valves_from_above,
    "trombone-parts": closeups.trombone_parts,
    "putting-down": things.putting_down,
    "lifting": things.lifting,
    "trial-table": things.trial_table,
    "slide-positions": closeups.slide_positions,
    "habits": habits,
    "hold-bass": lambda: _upright("eb-bass", Look(176, "bob"), 2.9),
}
"""Panels by picture and name."""
