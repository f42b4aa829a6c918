"""Lips, mouthpieces and hands, close up."""

from __future__ import annotations

from beginnerband.render.pictures.svg import (
    Drawn,
    circle,
    label,
    limb,
    line,
    moved,
    path,
    text,
)

MOUTHPIECES_MM = (
    ("Cornet, trumpet", 16.5),
    ("Horn", 17.5),
    ("Trombone, euphonium", 25.5),
    ("Bass", 32.0),
)
"""Rough inner width of the rim by instrument, millimetres: common practice, no source; makers differ."""


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
