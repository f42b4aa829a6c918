"""Things round the band: putting an instrument down, lifting a case, the table for trying mouthpieces, habits."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from drawings.figure import Hand, Look, Person, Pose, chair
from drawings.holds import hold_upright
from drawings.instruments import cornet, mouthpiece
from drawings.lines import View
from drawings.sheet import WIDE, DrawingSheet
from drawings.solids import Points, Solid, Stand, Surface, bell, box, curve, rod, tube, turn

WOOD = Surface("board", thing="table", fill="", seamless="", hard=True)
CASE = Surface("case", thing="case", fill="cloth", seamless="", hard=True)


def _lying(at: tuple[float, float, float], axes: np.ndarray) -> list[Solid]:
    return [solid.moved(Stand(np.array(at, float), axes)) for solid in cornet("cornet").solids]


def _cells(cells: Sequence[tuple[Sequence[Solid], Sequence[Points], View, str, bool]], high: float) -> DrawingSheet:
    """Drawings two in a row, each with its words below and a tick or a cross."""
    rows = (len(cells) + 1) // 2
    sheet = DrawingSheet(WIDE, rows * (high + 44))
    for index, (solids, marks, view, words, good) in enumerate(cells):
        x, y = (index % 2) * 180, (index // 2) * (high + 44)
        sheet.solids(solids, view, marks, (x, y), plain=True)
        for row, line in enumerate(words.split("\n")):
            sheet.text(x + 90, y + high + 16 + 16 * row, line, "middle")
        sheet.verdict(x + 162, y + 16, good)
    return sheet


def putting_down() -> dict[str, DrawingSheet]:
    """Two safe places for an instrument, and two that end at the repairer's."""
    side_up = turn(roll=-90)  # the second valve's slide on top
    handle = [(-6, -13, 10), (-6, -16, 12), (6, -16, 12), (6, -13, 10)]
    shut = [box((0, 0, 9), (44, 26, 18), CASE), tube(curve(handle, 2), 0.9, Surface("handle", thing="case", fill=""))]
    table = [
        box((0, 0, -1.5), (70, 40, 3), WOOD),
        *(rod((x, y, -26), (x, y, -3), 1.5, WOOD) for x in (-31, 31) for y in (-16, 16)),
    ]
    flat = _lying((0, 0, 6.2), turn(yaw=90) @ side_up)
    flat = [solid.moved(Stand(np.array([18.0, 0.0, 0.0]))) for solid in flat]
    stood = _lying((0.0, 0, 36.0), turn(pitch=-90))
    edge = _lying((16.0, 18.0, 50.2), turn(yaw=78) @ side_up)

    def small(toward: tuple[float, float], centre: tuple[float, float, float], scale: float) -> View:
        return View(toward=toward, centre=centre, width=180.0, height=150.0, scale=scale)

    return {
        "": _cells(
            [
                (shut, (), small((200, 30), (0, 0, 12), 2.5), "In its case,\nshut", True),
                (
                    [*table, *flat],
                    (),
                    small((180, 35), (0, 0, -2), 2.4),
                    "Flat on a table,\nfar from the edge",
                    True,
                ),
                (stood, (), small((60, 14), (0, 0, 18), 3.4), "On its bell:\nit falls", False),
                (
                    [*chair(), *edge],
                    (),
                    small((30, 22), (0, 4, 46), 2.2),
                    "On a chair:\nsomebody sits on it",
                    False,
                ),
            ],
            150,
        )
    }


def _carrier(bent_legs: bool) -> tuple[list[Solid], list[Points]]:
    """Somebody who lifts a case: with the legs, close; or with the back, far away."""
    if bent_legs:
        hip, lean, slump, nod, far = np.array([0, -14.0, 47.0]), 32.0, 0.0, -14.0, 30.0
    else:
        hip, lean, slump, nod, far = np.array([0, -14.0, 84.0]), 62.0, 42.0, 0.0, 52.0
    case = [
        box((0, far, 17), (30, 26, 34), CASE),
        tube(
            curve([(0, far - 7, 34), (0, far - 5, 38), (0, far + 5, 38), (0, far + 7, 34)], 2),
            0.9,
            Surface("handle", thing="case", fill=""),
        ),
    ]
    hands = [
        Hand(
            name,
            np.array([side * 17.5, far - 9.0, 30.0]),
            point=np.array([0, 0.7, -0.6]),
            palm=np.array([-side, 0, 0]),
            tips={},
            curl=0.5,
        )
        for name, side in (("right", 1), ("left", -1))
    ]
    pose = Pose(
        hip,
        lean,
        slump=slump,
        nod=nod,
        raise_=0,
        feet=((13, 0, 0), (-13, 0, 0)),
        right=hands[0],
        left=hands[1],
        elbows=((0.4, -1, -0.5), (-0.4, -1, -0.5)),
    )
    person = Person(Look(168, "tail" if bent_legs else "short"), pose)
    return [*person.solids(), *case], person.marks()


def lifting() -> dict[str, DrawingSheet]:
    """Lifting with the legs, and with the back."""
    size = (180.0, 230.0)
    cells = []
    for good, words in ((True, "Knees bend, case\nclose, back straight"), (False, "Back bends,\ncase far away")):
        solids, marks = _carrier(good)
        cells.append(
            (
                solids,
                marks,
                View(toward=(90, 3), centre=(0, 16, 58), width=size[0], height=size[1], scale=1.75),
                words,
                good,
            )
        )
    sheet = _cells(cells, 230)
    for x in (0, 180):
        sheet.line((x + 8, 217), (x + 172, 217))
    return {"": sheet}


def trial_table() -> dict[str, DrawingSheet]:
    """The table for trying mouthpieces: from clean to used, and the wash place."""
    steel = Surface("bowl", thing="bowl", fill="", seamless="", hard=True)
    inside = Surface("in the bowl", thing="bowl", fill="cloth", seamless="", hard=False, jump=50)
    paper = Surface("paper", thing="paper", fill="", seamless="", hard=True)
    towel = Surface("towel", thing="towel", fill="cloth", seamless="", hard=True)
    bottle = Surface("bottle", thing="bottle", fill="cloth", seamless="", hard=True)
    brush = Surface("brush", thing="brush", fill="", seamless="", hard=True)
    things: list[Solid] = [box((0, 0, -1.5), (130, 62, 3), WOOD)]

    def bowl(x: float, y: float, wide: float) -> Solid:
        return bell(curve([(x, y, 0), (x, y, 8)]), wide * 0.6, wide, steel, inside, 0.5)

    up = turn(pitch=90)
    sizes = ("cornet", "tenor-horn", "f-horn", "euphonium", "eb-bass")
    for row in range(2):
        for column, name in enumerate(sizes):
            spot = np.array([52.0 - 8.5 * column, 8.0 - 16 * row, 0.2])
            things += [solid.moved(Stand(spot, up)) for solid in mouthpiece(name)]
    things += [bowl(-14, 8, 13), bowl(-46, 8, 14)]
    for k, name in enumerate(("cornet", "euphonium")):
        things += [
            s.moved(Stand(np.array([-14.0 + 6 * k, 6.0 + 4 * k, 3.0]), turn(yaw=40 * k, pitch=50)))
            for s in mouthpiece(name)
        ]
    things += [
        box((-2, -20, 0.2), (21, 28, 0.5), paper, turn(yaw=8)),
        rod((4, -26, 1), (12, -14, 1), 0.5, Surface("pencil", thing="pencil", fill="", seamless="", hard=True)),
        box((-34, -18, 2), (26, 18, 4), towel),
        rod((-58, -18, 0), (-58, -18, 15), 4, bottle),
        rod((-58, -18, 15), (-58, -18, 19), 1.6, bottle),
        rod((-44, -20, 5), (-26, -16, 5), 0.9, brush),
    ]
    sheet = DrawingSheet(WIDE, 260)
    view = View(toward=(180, 42), centre=(0, 0, 0), width=WIDE, height=260, scale=2.6)
    sheet.solids(things, view)
    for words, place, x, y, anchor in (
        ("Clean sets", (36, 8, 9), 250, 40, "start"),
        ("Used", (-14, 8, 8), 150, 26, "start"),
        ("Soap and water", (-46, 8, 8), 8, 40, "start"),
        ("Disinfectant", (-58, -18, 2), 6, 222, "start"),
        ("Towels, brush", (-34, -18, 5.5), 60, 248, "start"),
        ("Form and pencil", (4, -26, 1), 180, 248, "start"),
    ):
        sheet.label(x, y, words, view.on(np.array(place, float)), anchor)
    return {"": sheet}


def big_instrument() -> list[tuple[list[Solid], list[Points], str, bool]]:
    """A small player curled round a euphonium, and the same player tall behind it on a cushion."""
    look = Look(138, "bob")
    s = look.height / 168
    feet = ((12 * s, 8 + 43 * s, 0.0), (-12 * s, 8 + 43 * s, 0.0))
    found = []
    for good in (False, True):
        hip = np.array([0.0, 8.0, 44 + 8.5 * s])
        pose = Pose(hip, feet=feet) if good else Pose(hip, -14, slump=74, nod=22, feet=feet)
        held = hold_upright("euphonium", look, pose, 0 if good else -4)
        solids = [*held.solids, *held.person.solids(), *chair(at=-16)]
        low = min(float(solid.mesh.bounds[0][2]) for solid in held.solids)
        if good:
            middle = held.places["bottom"]
            cushion = Surface("cushion", thing="cushion", fill="hair", seamless="", hard=True)
            on_thighs = 44 + 9 * s
            centre = (float(middle[0]), float(middle[1]) - 4, (low + on_thighs) / 2)
            solids.append(box(centre, (30, 24, low - on_thighs), cushion))
        found.append((solids, held.person.marks(), "Raised on\na cushion" if good else "Curled\nround it", good))
    return found
