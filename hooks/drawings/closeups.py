"""Lips, hands and instruments seen close."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from beginnerband.render.pictures.brass import RIM_X, SIDE_PX_PER_CM, TUBE_Y
from drawings.figure import Look, Person, Pose
from drawings.holds import Holding, hold_cornet
from drawings.instruments import cornet, instrument, rim, trombone
from drawings.lines import View, number
from drawings.sheet import WIDE, DrawingSheet
from drawings.solids import Points, Solid


def share_in_words(upper: float) -> str:
    """How much of a rim is on the upper lip, in words."""
    if upper < 0.55:
        return "about half above"
    return "a little more above" if upper < 0.64 else "two thirds above"


RINGS = (
    ("cornet", "Cornet, trumpet:"),
    ("tenor-horn", "Tenor horn:"),
    ("f-horn", "F horn:"),
    ("euphonium", "Trombone, euphonium:"),
    ("eb-bass", "Bass:"),
)
"""Rims shown on the lips: an instrument, and the name below it."""

TOO_LOW = 0.18
"""Share of a rim on the upper lip that is plainly wrong."""


def mouthpiece_place() -> dict[str, DrawingSheet]:
    """Where the rim sits, from the front, to one scale, from the instrument files; and one that sits too low."""
    scale, size = 10.0, (180.0, 156.0)
    person = Person(Look(168, "none"), Pose(np.array([0, 0, 52.0])))
    line = person.head.at(0, 9.5, -6.93)
    view = View(
        toward=(0, 0),
        centre=(0.0, float(line[1]), float(line[2]) + 2.6),
        width=size[0],
        height=size[1],
        scale=scale,
    )
    face = DrawingSheet(*size)
    lips = [view.on(point) for edge, way in zip(person.lips(), (1, -1), strict=True) for point in edge[::way]]
    face.solids(person.solids()[:3], view, [*person.marks(), *person.nose()])
    face.path("M" + "L".join(f"{number(px)} {number(py)}" for px, py in lips) + "z", "bb-k bb-l bb-in")
    ends = [view.on(person.head.at(side * 2.6, 8.4, -6.93)) for side in (-1, 1)]
    face.line(*ends, cls="bb-l bb-in")
    sheet = DrawingSheet(WIDE, 3 * 200)
    cells = [(name, words, rim(name)[2]) for name, words in RINGS] + [("cornet", "Too low:", TOO_LOW)]
    for index, (name, words, upper) in enumerate(cells):
        x, y = (index % 2) * 180, (index // 2) * 200
        sheet.place(face, x, y)
        inside, across, _ = rim(name)
        middle = view.on(line)[1] - (upper - 0.5) * across * scale
        for width, cls in ((across, "bb-l bb-mid"), (inside, "bb-l")):
            sheet.circle(x + 90, y + middle, width * scale / 2, cls)
        sheet.text(x + 90, y + 174, words, "middle")
        sheet.text(x + 90, y + 190, "move it up" if upper == TOO_LOW else share_in_words(upper), "middle")
        sheet.verdict(x + 160, y + 18, upper != TOO_LOW)
    return {"": sheet}


def lips_section() -> dict[str, DrawingSheet]:
    """Lips, teeth and mouthpiece cut through the middle: a small rim and a large one."""
    return {
        "small": _section("cornet", "A small mouthpiece"),
        "large": _section("euphonium", "A large mouthpiece"),
    }


def _section(name: str, foot: str) -> DrawingSheet:
    """One mouthpiece on the lips, in millimetres from the line between the lips, seen from the player's right.

    The skin is drawn through the two places that the rim touches, so that it rests on it by construction.
    """
    scale, x0, y0 = 3.3, 176.0, 152.0
    sheet = DrawingSheet(WIDE, 322)
    inside, across, upper = (value * 10 if value > 1 else value for value in rim(name))
    top = upper * across  # outer edge of the rim above the line between the lips
    wall = (across - inside) / 2
    skin = 8.0  # the skin where the rim touches it, from the teeth

    def at(x: float, up: float) -> str:
        return f"{number(x0 + scale * x)} {number(y0 - scale * up)}"

    def draw(cls: str, steps: str) -> None:
        """Steps are ``M x,y``, ``C x,y x,y x,y`` and ``L x,y`` in millimetres."""
        found = "".join(
            step if step in ("M", "L", "C", "Z") else at(*(float(v) for v in step.split(","))) + " "
            for step in steps.split()
        )
        sheet.path(found.replace(" Z", "Z").rstrip(), cls)

    up0, up1, down0, down1 = top, top - wall, -(across - top), -(across - top) + wall
    # roof of the mouth, nose and upper lip, with the lip's inside along the teeth
    draw(
        "bb-l",
        f"M 20,40 C 15,34 12,31 9,30 C 8,{up0 + 3} {skin},{up0 + 2} {skin},{up0} L {skin},{up1} "
        f"C {skin},{up1 - 1.5} 11.5,5.5 11,3.5 C 10.6,1.6 9.4,0.9 7,0.7 C 4.6,0.6 2.6,2.4 2.4,6 L 2.4,17",
    )
    draw(
        "bb-l",
        f"M 2.4,-17 L 2.4,-6 C 2.6,-2.4 4.6,-0.7 7,-0.7 C 9.6,-0.9 11,-1.8 11.2,-3.8 "
        f"C 11.6,-5.5 {skin},{down1 + 1.5} {skin},{down1} L {skin},{down0} "
        f"C {skin},{down0 - 3} 7,-22 8.5,-25 C 11,-30 10,-37 4,-40",
    )
    # teeth, a little apart; roof; tongue, low
    draw("bb-w", "M 1.6,19 C 2.2,12 2.2,6 1.2,2.6 C 0,2.2 -1.2,2.4 -2,3 C -3,8 -4,14 -5,19 Z")
    draw("bb-w", "M 1.6,-19 C 2.2,-12 2.2,-6 1.0,-2.8 C 0,-2.4 -1.2,-2.6 -2,-3.2 C -3,-8 -4,-14 -5,-19 Z")
    draw("bb-l", "M -5,19 C -14,24 -34,25 -50,14")
    draw("bb-k bb-l", "M -50,-14 C -42,-3 -28,-3 -14,-9 C -8,-11 -5,-12 -5,-14 C -8,-19 -24,-24 -50,-26")
    # the mouthpiece: its two halves, cut
    middle = top - across / 2
    deep, bore = (9 + 0.42 * inside), 2.0
    for sign in (1, -1):
        inner, outer = sign * inside / 2, sign * across / 2
        near, mid, far = skin + 0.6, skin + deep, skin + deep * 0.7
        points = [
            f"M {skin + 1.4},{middle + inner}",
            f"C {skin + 4},{middle + inner * 0.97} {far},{middle + inner * 0.86} {mid},{middle + sign * bore}",
            f"L {mid + 4},{middle + sign * bore} L 52,{middle + sign * 3.0}",
            f"L 52,{middle + sign * 5.2} L {mid + 9},{middle + sign * 5.6}",
            f"C {mid},{middle + sign * 7} {far + 2},{middle + outer * 0.8} {skin + deep * 0.45},{middle + outer * 0.9}",
            f"L {skin + 2.4},{middle + outer * 0.99}",
            f"C {near},{middle + outer} {skin},{middle + outer * 0.97} {skin},{middle + (outer + inner) / 2}",
            f"C {skin},{middle + inner * 1.02} {near},{middle + inner} {skin + 1.4},{middle + inner} Z",
        ]
        draw("bb-b bb-l", " ".join(points))

    def spot(x: float, up: float) -> tuple[float, float]:
        return x0 + scale * x, y0 - scale * up

    sheet.arrow(spot(-40, 5), spot(-22, 3), spot(-6, 0.3), head=7)
    sheet.arrow(spot(13, middle * 0.2), spot(26, middle * 0.8), head=7)
    sheet.label(262, 30, "Rim rests on\nthe skin", spot(skin + 1.5, (up0 + up1) / 2))
    sheet.label(262, 272, "Lower lip", spot(9.5, -3.4))
    sheet.label(100, 46, "Upper lip", spot(9.0, 3.6), start="right")
    sheet.label(10, 22, "Teeth a little apart", spot(-0.2, 2.4))
    sheet.text(*spot(-40, -17), "Tongue")
    sheet.text(*spot(-48, 7), "Air")
    sheet.label(10, 276, "Small opening", spot(6, 0), start="right")
    sheet.text(WIDE / 2, 312, foot, "middle")
    return sheet


def _player() -> Holding:
    return hold_cornet("cornet", Look(160))


def _arms(held: Holding) -> list[Solid]:
    return held.person.arms()


def valve_hand() -> dict[str, DrawingSheet]:
    """Round fingers on the valves, and flat ones, from the front."""
    sheet = DrawingSheet(WIDE, 252)
    for x, flat, words in ((0, False, "Round:\ntips on the caps"), (180, True, "Flat: pushes\nat a slant")):
        held = hold_cornet("cornet", Look(160), flat=flat)
        middle = held.places["button 2"]
        shown = [s for s in held.solids if s.parts[0].name.startswith(("valve", "tubes", "tuning"))]
        view = View(
            toward=(0, 10),
            centre=(float(middle[0]) + 2.2, float(middle[1]), float(middle[2]) - 4.5),
            width=180,
            height=210,
            scale=8.4,
        )
        sheet.solids([*shown, *_arms(held)[:2]], view, (), (x, 0))
        for row, line in enumerate(words.split("\n")):
            sheet.text(x + 90, 228 + 16 * row, line, "middle")
        sheet.verdict(x + 164, 16, not flat)
        button = view.on(middle)
        tip = (x + button[0] + 26, button[1] + 6)
        end = (tip[0] if not flat else tip[0] + 16, tip[1] + 34)
        sheet.arrow(tip, end, head=7)
    return {"": sheet}


def valves_from_above() -> dict[str, DrawingSheet]:
    """Both hands on a cornet, from above on the left."""
    held = _player()
    sheet = DrawingSheet(WIDE, 350)
    middle = held.places["valve 2"]
    view = View(
        toward=(-62, 40),
        centre=(float(middle[0]), float(middle[1]) - 1, float(middle[2]) + 6),
        width=WIDE,
        height=350,
        scale=8.6,
    )
    sheet.solids([*held.solids, *_arms(held)], view)
    up = np.array([0, 0, 0.8])
    told = (("First finger 1", 246, 22), ("Middle finger 2", 116, 22), ("Ring finger 3", 4, 22))
    for k, (words, x, y) in enumerate(told):
        sheet.label(x, y, words, view.on(held.places[f"button {k + 1}"] + up))
    return {"": sheet}


def cornet_parts() -> dict[str, DrawingSheet]:
    """A cornet alone, from the right and from the left, with its parts named."""
    brass = cornet("cornet")
    middle = (0.0, instrument("cornet").length_cm / 2, -2.5)

    def panel(
        toward: tuple[float, float], words: Sequence[tuple[str, str | Points, float, float]], foot: str
    ) -> DrawingSheet:
        sheet = DrawingSheet(WIDE, 300)
        view = View(toward=toward, centre=middle, width=WIDE, height=270, scale=8.6)
        sheet.solids(brass.solids, view)
        for text, place, x, y in words:
            sheet.label(x, y, text, view.on(brass.places[place] if isinstance(place, str) else place))
        sheet.text(WIDE / 2, 292, foot, "middle")
        return sheet

    p = brass.places
    return {
        "right": panel(
            (80, 12),
            [
                ("Mouthpiece", "mouthpiece", 6, 60),
                ("Leadpipe", "leadpipe", 30, 36),
                ("Valve buttons", "button 2", 118, 16),
                ("Bell", "bell rim", 316, 40),
                ("Tuning slide", "tuning slide", 200, 264),
                ("Water key", "water key", 288, 224),
                ("Second valve slide", "second slide", 6, 210),
                ("Valve caps", "cap 2", 106, 236),
            ],
            "From the right",
        ),
        "left": panel(
            (-80, 12),
            [
                ("Third valve slide", "third slide", 8, 250),
                ("Its ring", "ring", 92, 222),
                ("First valve slide", "first slide", 222, 250),
                ("Valves 3, 2, 1", p["valve 2"] + np.array([0, 0, 5]), 150, 20),
                ("Bell", "bell rim", 20, 40),
            ],
            "From the left",
        ),
    }


def trombone_parts() -> dict[str, DrawingSheet]:
    """A trombone with its parts named."""
    brass = trombone(0)
    sheet = DrawingSheet(WIDE, 230)
    view = View(toward=(90, -22), centre=(0.0, 26.0, 0.0), width=WIDE, height=200, scale=2.85)
    sheet.solids(brass.solids, view)
    for text, place, x, y in (
        ("Tuning slide", "tuning slide", 6, 30),
        ("Bell", "bell rim", 226, 24),
        ("Mouthpiece", np.array([0, 2.0, 1.0]), 96, 54),
        ("Slide", "slide end", 300, 70),
        ("Left hand\nhere", "brace", 66, 180),
        ("Right hand\nhere", "slide brace", 160, 190),
        ("Water key", "water key", 272, 190),
    ):
        sheet.label(x, y, text, view.on(brass.places[place] if isinstance(place, str) else place))
    return {"": sheet}


def slide_positions() -> dict[str, DrawingSheet]:
    """The trombone that the places of the slide are marked on, at build, from the model."""
    sheet = DrawingSheet(WIDE, 200)
    middle = (WIDE / 2 - RIM_X) / SIDE_PX_PER_CM
    view = View(toward=(90, -22), centre=(0.0, middle, 0.0), width=WIDE, height=2 * TUBE_Y, scale=SIDE_PX_PER_CM)
    brass = trombone(0)
    sheet.solids(brass.solids, view)
    for place in ("slide upper", "slide lower"):  # the way of the slide
        x, y = view.on(brass.places[place] + np.array([0.0, 71.5, 0.0]))
        sheet.line((x, y), (WIDE - 4, y), cls="bb-l bb-thin bb-dash")
    return {"": sheet}
