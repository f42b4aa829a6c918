"""People drawn from the side or the front: sitting, holding, breathing, lifting. Nobody real."""

from __future__ import annotations

import math

from beginnerband.render.pictures.svg import (
    Drawn,
    Point,
    arrow,
    bent_arrow,
    box,
    circle,
    ellipse,
    limb,
    line,
    moved,
    no,
    path,
    side_by_side,
    text,
    yes,
)

FLOOR, SEAT = 300.0, 214.0


def head(x: float, y: float, tilt: float = 0) -> str:
    """A head seen from its left, looking right; ``tilt`` in degrees, down positive."""
    shape = (
        circle(0, 0, 21)
        + path("M19,-7L26,4L19,7", "bb-w")
        + line((12, -5), (13, -4), cls="bb-l bb-fat")
        + path("M-4,-2q-5,0 -5,5q0,6 6,6", "bb-l")
        + line((13, 11), (19, 11))
    )
    return moved(shape, x, y, tilt)


def mouth_of(x: float, y: float, tilt: float = 0) -> Point:
    """Where the mouth is of a head at ``x``, ``y``."""
    turn = math.radians(tilt)
    return x + 22 * math.cos(turn) - 11 * math.sin(turn), y + 22 * math.sin(turn) + 11 * math.cos(turn)


def cornet() -> str:
    """A small brass instrument from the side, its mouthpiece at the origin, pointing right."""
    return (
        path("M0,-4L7,-2L7,2L0,4Z", "bb-w")
        + path("M14,0V18q0,6 6,6H58q6,0 6,-6V0", "bb-l bb-tube")
        + line((7, 0), (62, 0), cls="bb-l bb-tube")
        + path("M58,-3C74,-3 84,-8 92,-19C95,-6 95,6 92,19C84,8 74,3 58,3Z", "bb-w")
        + "".join(box(32 + 9 * valve, -9, 6, 30, "bb-w", 2) for valve in range(3))
    )


def big_brass(scale: float = 1) -> str:
    """A big brass instrument from the side, bell upwards, its mouthpiece at the origin, its body to the right."""
    shape = (
        path("M0,-5L9,-3L9,3L0,5Z", "bb-w")
        + path("M9,0C26,0 30,16 32,40", "bb-l bb-tube")
        + path(
            "M26,20C26,-20 20,-60 2,-92C24,-97 66,-97 88,-92C70,-60 64,-20 64,20V96Q64,120 45,120Q26,120 26,96Z", "bb-w"
        )
        + path("M36,30V92Q36,108 45,108Q54,108 54,92V30", "bb-l")
        + ellipse(45, -93, 43, 6)
    )
    return moved(shape, 0, 0, 0, scale)


def chair(x: float) -> str:
    """A chair from its left side with its back at ``x``."""
    return (
        line((x, SEAT - 88), (x, FLOOR))
        + box(x, SEAT, 78, 7, "bb-w", 3)
        + line((x + 72, SEAT + 7), (x + 72, FLOOR))
        + line((x - 16, FLOOR), (x + 170, FLOOR), cls="bb-l bb-thin")
    )


def seated(
    hip: Point, shoulder: Point, skull: Point, tilt: float = 0, bend: Point | None = None, hands: Point | None = None
) -> str:
    """Someone sitting, seen from the left; ``bend`` is where a slack back bows to, ``hands`` where they hold."""
    knee, ankle = (hip[0] + 78, hip[1] + 2), (hip[0] + 76, FLOOR - 10)
    body = limb([ankle, (ankle[0] + 22, FLOOR - 8)], 15) + limb([knee, ankle], 20) + limb([hip, knee], 26)
    body += limb([shoulder, (skull[0] - 4, skull[1] + 14)], 14)
    body += limb([hip, shoulder], 42, bend or ((hip[0] + shoulder[0]) / 2, (hip[1] + shoulder[1]) / 2))
    body += head(*skull, tilt)
    return body


def arm(shoulder: Point, elbow: Point, hand: Point) -> str:
    """An arm."""
    return limb([shoulder, elbow], 17) + limb([elbow, hand], 14) + circle(hand[0], hand[1], 8)


def _playing(
    hip: Point, shoulder: Point, skull: Point, tilt: float = 0, bend: Point | None = None, drop: float = 8
) -> str:
    """Someone sitting and playing a small instrument."""
    lips = mouth_of(*skull, tilt)
    turn = math.radians(drop)
    hold = (lips[0] + 40 * math.cos(turn), lips[1] + 40 * math.sin(turn) + 6)
    elbow = ((shoulder[0] + hold[0]) / 2 - 4, max(shoulder[1], hold[1]) + 42)
    return (
        seated(hip, shoulder, skull, tilt, bend)
        + moved(cornet(), *lips, drop)
        + arm((shoulder[0] + 4, shoulder[1] + 10), elbow, hold)
    )


def front_half() -> Drawn:
    """Sitting on the front half of the chair."""
    body = chair(24) + _playing((74, SEAT - 16), (76, 116), (86, 66))
    body += line((57, 48), (57, SEAT - 6), cls="bb-l bb-dash") + text(105, FLOOR + 24, "Front half")
    return Drawn(220, FLOOR + 34, body + yes(196, 20))


def right_back() -> Drawn:
    """Sitting with the hips against the back of the chair."""
    body = chair(24) + _playing((48, SEAT - 16), (50, 116), (60, 66))
    body += text(105, FLOOR + 24, "Right back") + yes(196, 20)
    return Drawn(220, FLOOR + 34, body)


def slump() -> Drawn:
    """A slack back."""
    body = chair(24) + _playing((58, SEAT - 14), (82, 140), (114, 100), 18, (28, 168), 24)
    return Drawn(220, FLOOR + 34, body + text(105, FLOOR + 24, "The slump") + no(196, 20))


def lean() -> Drawn:
    """Leaning to a stand that is too far away."""
    body = chair(24) + _playing((66, SEAT - 16), (100, 128), (124, 84), 14, None, 16)
    body += line((212, 120), (200, 200)) + line((206, 160), (206, FLOOR)) + line((192, FLOOR), (206, 270), (220, FLOOR))
    return Drawn(230, FLOOR + 34, body + text(105, FLOOR + 24, "The lean to the stand") + no(200, 20))


def sitting_two_ways() -> Drawn:
    """Two good ways to sit."""
    return side_by_side([front_half(), right_back()])


def sitting_wrong() -> Drawn:
    """Two ways that do not work."""
    return side_by_side([slump(), lean()])


def holding_head() -> Drawn:
    """The instrument comes up; the head does not go down."""
    good = chair(24) + _playing((60, SEAT - 16), (62, 116), (72, 66))
    good += bent_arrow((178, 178), (196, 130), (172, 96)) + text(105, FLOOR + 24, "Instrument comes up") + yes(200, 20)
    bad = chair(24) + _playing((60, SEAT - 16), (72, 126), (96, 84), 34, (50, 168), 44)
    bad += bent_arrow((116, 38), (142, 44), (150, 70)) + text(105, FLOOR + 24, "Head goes down") + no(200, 20)
    return side_by_side([Drawn(220, FLOOR + 34, good), Drawn(220, FLOOR + 34, bad)])


def curled() -> Drawn:
    """Bent round a big instrument."""
    skull, tilt = (100, 110), 30.0
    lips = mouth_of(*skull, tilt)
    body = chair(24) + seated((54, SEAT - 14), (74, 146), skull, tilt, (22, 160))
    body += moved(big_brass(0.72), lips[0], lips[1], 6) + arm((78, 158), (110, 206), (150, 176))
    return Drawn(220, FLOOR + 34, body + text(105, FLOOR + 24, "Curled round it") + no(206, 20))


def raised() -> Drawn:
    """The big instrument raised on a cushion so that the back stays tall."""
    skull = (64, 66)
    lips = mouth_of(*skull)
    body = chair(24) + seated((52, SEAT - 16), (54, 116), skull)
    body += moved(big_brass(0.8), lips[0], lips[1] + 1) + box(92, 174, 66, 26, "bb-s", 8)
    body += arm((58, 128), (84, 176), (124, 140))
    return Drawn(220, FLOOR + 34, body + text(105, FLOOR + 24, "Raised on a cushion") + yes(206, 20))


def bust(lift: float = 0, out: float = 0) -> str:
    """Head and body from the front; shoulders lifted by ``lift``, sides moved out by ``out``."""
    top = 96 - lift
    return (
        path(
            f"M40,220C{36 - out},180 {44 - out},150 44,{top + 26}C44,{top + 6} 60,{top} 78,{top}"
            f"H122C140,{top} 156,{top + 6} 156,{top + 26}C{156 + out},150 {164 + out},180 160,220Z",
            "bb-w",
        )
        + path(f"M88,84V{top}M112,84V{top}", "bb-l")
        + ellipse(100, 54, 27, 33)
        + line((91, 48), (92, 48), cls="bb-l bb-fat")
        + line((108, 48), (109, 48), cls="bb-l bb-fat")
        + ellipse(100, 72, 5, 4, "bb-f")
    )


def low_breath() -> Drawn:
    """A breath that goes low."""
    body = bust(0, 10) + arrow((54, 176), (30, 176)) + arrow((146, 176), (170, 176)) + arrow((100, 112), (100, 172))
    return Drawn(200, 254, body + text(100, 246, "Low: belly and ribs") + yes(180, 20))


def high_breath() -> Drawn:
    """A breath that lifts the shoulders."""
    body = bust(16, 0) + arrow((52, 108), (52, 62)) + arrow((148, 108), (148, 62))
    return Drawn(200, 254, body + text(100, 246, "High: shoulders rise") + no(180, 20))


def breathing() -> Drawn:
    """Low breath and high breath."""
    return side_by_side([low_breath(), high_breath()])


def face(puffed: bool) -> Drawn:
    """A face from the front with a mouthpiece, cheeks calm or puffed."""
    wide = 84 if puffed else 62
    right = f"C150,20 162,60 158,92C{100 + wide},112 {96 + wide},150 136,160Q100,196 64,160"
    outline = f"M100,20{right}C{104 - wide},150 {100 - wide},112 42,92C38,60 50,20 100,20Z"
    body = path(outline, "bb-w") + path("M96,84Q94,104 90,108Q100,114 110,108", "bb-l")
    body += "".join(ellipse(x, 76, 7, 4.5) + circle(x, 76, 2.2, "bb-f") for x in (76, 124))
    body += path("M70,138Q100,126 130,138Q100,150 70,138Z", "bb-s") + circle(100, 138, 19) + circle(100, 138, 12)
    if puffed:
        body += path("M36,112Q26,128 36,146M164,112Q174,128 164,146", "bb-l bb-thin")
    else:
        body += arrow((46, 138), (62, 138)) + arrow((154, 138), (138, 138))
    words = "Puffed cheeks" if puffed else "Firm corners"
    return Drawn(200, 222, body + text(100, 214, words) + (no(182, 20) if puffed else yes(182, 20)))


def cheeks() -> Drawn:
    """Calm and puffed cheeks."""
    return side_by_side([face(False), face(True)])


def toot() -> Drawn:
    """The shape in time of a note that the air ends, and of one that the tongue stops."""
    round_end = "M24,88C34,50 60,50 100,50C140,50 160,60 176,88C160,116 140,126 100,126C60,126 34,126 24,88Z"
    cut_end = "M24,190C34,152 60,152 100,152H158V228H100C60,228 34,228 24,190Z"
    body = path(round_end, "bb-s") + text(98, 93, "too") + yes(188, 52)
    body += (
        path(cut_end, "bb-s") + text(92, 195, "toot") + line((158, 144), (158, 236), cls="bb-l bb-fat") + no(188, 154)
    )
    return Drawn(220, FLOOR + 34, body + text(105, FLOOR + 24, "Tongue stops the note"))


def habits() -> Drawn:
    """Five habits to prevent, and the big instrument raised as it should be."""
    head_down = chair(24) + _playing((60, SEAT - 16), (72, 126), (96, 84), 34, (50, 168), 44)
    panels = [
        Drawn(220, FLOOR + 34, moved(face(True).body, 8, 60)),
        Drawn(220, FLOOR + 34, moved(high_breath().body, 8, 40)),
        Drawn(220, FLOOR + 34, head_down + text(105, FLOOR + 24, "Head goes down") + no(200, 20)),
        toot(),
        curled(),
        raised(),
    ]
    return side_by_side(panels)


def lifting() -> Drawn:
    """Lifting a case with the legs, and with the back."""

    def case(x: float, y: float) -> str:
        return box(x, y, 74, 58, "bb-s", 10) + path(f"M{x + 26},{y}v-8h22v8", "bb-l")

    ground = line((10, FLOOR), (230, FLOOR), cls="bb-l bb-thin")
    good = ground + limb([(84, FLOOR - 8), (108, FLOOR - 8)], 15) + limb([(86, FLOOR - 12), (118, 236)], 20)
    good += limb([(118, 236), (70, 222)], 26) + limb([(70, 222), (92, 140)], 42, (78, 180)) + head(108, 92, 4)
    good += case(126, FLOOR - 62) + arm((96, 152), (118, 196), (160, FLOOR - 74))
    good += text(120, FLOOR + 24, "Knees bend, back straight") + yes(210, 20)
    bad = ground + limb([(70, FLOOR - 8), (96, FLOOR - 8)], 15) + limb([(72, FLOOR - 12), (76, 232), (70, 170)], 22)
    bad += limb([(70, 168), (140, 142)], 42, (92, 108)) + head(178, 158, 50)
    bad += case(152, FLOOR - 60) + arm((140, 152), (160, 200), (188, FLOOR - 70))
    bad += text(120, FLOOR + 24, "Back bends, far away") + no(210, 20)
    return side_by_side([Drawn(240, FLOOR + 34, good), Drawn(240, FLOOR + 34, bad)])
