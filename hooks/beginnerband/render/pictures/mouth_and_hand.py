"""Lips, mouthpieces and hands, close up."""

from __future__ import annotations

from beginnerband.render.pictures.svg import (
    Drawn,
    arrow,
    box,
    circle,
    label,
    limb,
    line,
    moved,
    no,
    path,
    side_by_side,
    text,
    yes,
)

MOUTHPIECES_MM = (
    ("Cornet, trumpet", 16.5),
    ("Horn", 17.5),
    ("Trombone, euphonium", 25.5),
    ("Bass", 32.0),
)
"""Rough inner width of the rim by instrument, millimetres: common practice, no source; makers differ."""


def lips_section() -> Drawn:
    """Lips, teeth, tongue and mouthpiece cut through the middle, seen from the side, the mouthpiece to the right."""
    face = path(
        "M150,18C170,40 196,52 196,66C196,78 176,78 170,86C168,96 180,98 186,108C192,118 188,126 176,128", "bb-l"
    ) + path("M176,132C190,134 194,144 184,154C174,160 170,166 176,176C184,192 172,210 140,214", "bb-l")
    inside = (
        path("M150,94H158Q162,110 158,124L150,120Z", "bb-w")
        + path("M150,168H158Q162,152 158,138L150,142Z", "bb-w")
        + path("M46,150C70,120 110,122 134,134Q142,138 138,144C120,168 70,176 46,176", "bb-s")
        + path("M40,92C76,70 120,74 150,94", "bb-l")
        + path("M150,168C130,186 90,190 46,186", "bb-l")
    )
    cup = path(
        "M190,92Q182,92 184,100Q192,106 214,108Q244,112 252,124L330,122V138L252,136Q244,148 214,152Q192,154 184,162"
        "Q182,170 190,170Q226,170 248,154L330,150",
        "bb-l",
    ) + path("M190,92Q226,90 248,106L330,110", "bb-l")
    air = arrow((60, 104), (140, 128)) + arrow((196, 130), (246, 130)) + arrow((264, 130), (322, 130))
    words = (
        label((86, 24), (172, 82), "Upper lip", "end")
        + label((86, 238), (172, 166), "Lower lip", "end")
        + label((252, 66), (222, 94), "Mouthpiece")
        + label((60, 62), (154, 104), "Teeth", "end")
        + text(86, 158, "Tongue", size=14)
        + text(100, 98, "Air", size=14)
        + label((218, 214), (181, 131), "Small opening")
    )
    return Drawn(350, 250, face + inside + cup + air + words)


def _mouth(share_above: float, radius: float, words: str) -> Drawn:
    """Closed lips from the front with a ring placed so that ``share_above`` of it is on the upper lip."""
    line_y = 92.0
    centre = line_y - radius + 2 * radius * (1 - share_above)
    head = path("M14,20Q12,84 30,118Q52,158 80,158Q108,158 130,118Q148,84 146,20", "bb-l")
    nose = path("M64,40Q54,44 60,54Q70,52 80,58Q90,52 100,54Q106,44 96,40", "bb-l")
    lips = path("M42,92Q60,78 74,77Q80,81 86,77Q100,78 118,92Q102,110 80,110Q58,110 42,92Z", "bb-s")
    lips += line((42, line_y), (118, line_y)) + path("M68,138Q80,143 92,138", "bb-l bb-thin")
    ring = circle(80, centre, radius, "bb-l bb-mid") + circle(80, centre, radius - 5, "bb-l")
    return Drawn(160, 184, head + nose + lips + ring + text(80, 180, words, size=18))


def mouthpiece_place() -> Drawn:
    """Where the ring goes on the lips: small, horn and low brass."""
    return side_by_side(
        [_mouth(0.5, 24, "Cornet"), _mouth(0.66, 25, "Horn"), _mouth(0.58, 35, "Low brass")],
        columns=3,
    )


def mouthpiece_sizes() -> Drawn:
    """Four rims to one scale."""
    scale, x, body = 3.4, 24.0, ""
    for words, mm in MOUTHPIECES_MM:
        inner, outer = mm * scale / 2, (mm + 7) * scale / 2
        body += circle(x + outer, 80, outer, "bb-s") + circle(x + outer, 80, inner)
        body += line((x + outer - inner, 80), (x + outer + inner, 80), cls="bb-l bb-thin")
        body += text(x + outer, 76, f"{mm:g}", size=13)
        first, _, second = words.partition(", ")
        body += text(x + outer, 170, first + ("," if second else "")) + text(x + outer, 187, second)
        x += 2 * outer + 26
    body += line((24, 214), (24 + 20 * scale, 214)) + line((24, 208), (24, 220))
    body += line((24 + 20 * scale, 208), (24 + 20 * scale, 220)) + text(30 + 20 * scale, 219, "20 mm", "start")
    return Drawn(x, 228, body)


def _valve(down: float = 0) -> str:
    """A valve from the side with its top at y 120, pressed ``down``."""
    return (
        box(78, 150, 44, 92, "bb-w", 4)
        + box(74, 144, 52, 12, "bb-s", 3)
        + line((100, 144), (100, 126 + down), cls="bb-l bb-fat")
        + box(84, 118 + down, 32, 8, "bb-s", 3)
    )


def valve_hand() -> Drawn:
    """A round finger on a valve, and a flat one."""
    good = _valve() + limb([(236, 150), (196, 92)], 40) + limb([(196, 92), (150, 62), (112, 74), (101, 108)], 22)
    good += text(120, 270, "Round: tip on the cap") + yes(228, 22) + arrow((60, 112), (60, 150))
    bad = _valve() + limb([(240, 150), (212, 116)], 40) + limb([(212, 112), (150, 104), (98, 106), (58, 112)], 20)
    bad += text(120, 270, "Flat: pushes at a slant") + no(228, 22) + arrow((52, 132), (70, 160))
    return side_by_side([Drawn(268, 280, good), Drawn(268, 280, bad)])


def stick_grip() -> Drawn:
    """A hand on a stick, seen from the side: thumb and first finger pinch, the others wrap loosely."""
    stick = path("M40,150L330,92", "bb-o", ' stroke-width="13"') + path("M40,150L330,92", "bb-i", ' stroke-width="9"')
    tip = moved(path("M0,0Q10,-9 22,0Q10,9 0,0Z", "bb-w"), 328, 93, -11)
    back = limb([(40, 78), (98, 92)], 46)
    fingers = "".join(limb([(x, 92), (x + 14, 118), (x + 4, 148)], 19, (x + 26, 118)) for x in (64, 84, 104))
    first = limb([(112, 92), (140, 102), (136, 140)], 19, (156, 112))
    thumb = limb([(92, 106), (142, 122)], 18)
    marks = line((40, 178), (330, 178), cls="bb-l bb-thin") + "".join(
        line((x, 172), (x, 184), cls="bb-l bb-thin") for x in (40, 137, 330)
    )
    words = (
        text(88, 202, "a third")
        + text(234, 202, "two thirds")
        + label((176, 46), (142, 112), "Thumb and finger pinch")
        + label((20, 30), (80, 132), "Others wrap loosely")
    )
    return Drawn(384, 212, stick + tip + back + fingers + first + thumb + marks + words)
