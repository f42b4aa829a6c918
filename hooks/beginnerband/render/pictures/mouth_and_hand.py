"""Lips, mouthpieces and hands, close up."""

from __future__ import annotations

from collections.abc import Sequence

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


def mouthpiece_sizes(rims: Sequence[tuple[str, float]]) -> Drawn:
    """Rims to one scale, three in a row: names, and width inside the rim in millimetres."""
    scale, wide, high, body = 3.0, 360.0, 190.0, ""
    for index, (words, mm) in enumerate(rims):
        row = rims[3 * (index // 3) : 3 * (index // 3) + 3]
        x = wide * (index % 3 + 0.5) / len(row)
        y = 76 + high * (index // 3)
        body += circle(x, y, (mm + 7) * scale / 2, "bb-s") + circle(x, y, mm * scale / 2)
        body += line((x - mm * scale / 2, y), (x + mm * scale / 2, y), cls="bb-l bb-thin")
        body += text(x, y - 5, f"{mm:g}", size=14)
        first, _, second = words.partition(", ")
        body += text(x, y + 86, first + ("," if second else ""), size=14) + text(x, y + 102, second, size=14)
    foot = high * ((len(rims) + 2) // 3) + 26
    body += line((24, foot), (24 + 20 * scale, foot)) + line((24, foot - 6), (24, foot + 6))
    body += line((24 + 20 * scale, foot - 6), (24 + 20 * scale, foot + 6))
    body += text(30 + 20 * scale, foot + 5, "20 mm", "start", 14)
    said = "; ".join(f"{words} {mm:g} millimetres" for words, mm in rims)
    return Drawn(wide, foot + 14, body, f"Inside the rim: {said}.")


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
