"""Signs and movements: beats as boxes, the staff, and the hand that beats time."""

from __future__ import annotations

from collections.abc import Sequence

from beginnerband.render.glyphs import UNITS_PER_SPACE
from beginnerband.render.pictures.svg import Drawn, arrow, box, circle, line, moved, path, text


def _boxes(y: float, notes: Sequence[tuple[float, float, str]], words: str, counts: Sequence[str]) -> str:
    """Four beat boxes at ``y``; ``notes`` are (start beat, beats, class) bars inside; counts below."""
    size, left = 74.0, 12.0
    body = text(left, y - 8, words, "start", 14)
    body += "".join(box(left + size * beat, y, size, 40, "bb-l") for beat in range(4))
    for start, beats, cls in notes:
        body += box(left + size * start + 4, y + 9, size * beats - 8, 22, cls, 11)
    step = 4 / len(counts)
    for index, count in enumerate(counts):
        body += text(left + size * (index * step + step / 2), y + 60, count, size=15)
    return body


def beat_boxes(quarter: str, half: str, whole: str) -> Drawn:
    """One, two and four beats and a rest in boxes; the names of the notes as this band says them."""
    body = _boxes(28, [(beat, 1, "bb-s") for beat in range(4)], f"{quarter}, one box", "1234")
    body += _boxes(122, [(0, 2, "bb-s"), (2, 2, "bb-s")], f"{half}, two boxes", ("1", "(2)", "3", "(4)"))
    body += _boxes(216, [(0, 4, "bb-s")], f"{whole}, four boxes", ("1", "(2)", "(3)", "(4)"))
    body += _boxes(310, [(0, 1, "bb-s"), (1, 1, "bb-s"), (3, 1, "bb-s")], "Empty box: a rest", "1234")
    return Drawn(320, 380, body)


def eighth_boxes(eighths: str, quarter: str, half: str) -> Drawn:
    """Two notes to a beat, and dotted notes, in boxes."""
    ands = ("1", "and", "2", "and", "3", "and", "4", "and")
    body = _boxes(28, [(beat / 2, 0.5, "bb-s") for beat in range(8)], f"{eighths}, two a box", ands)
    body += _boxes(122, [(0, 3, "bb-s"), (3, 1, "bb-s")], f"{half} with a dot, three boxes", "1234")
    body += _boxes(
        216,
        [(0, 1.5, "bb-s"), (1.5, 0.5, "bb-s"), (2, 1.5, "bb-s"), (3.5, 0.5, "bb-s")],
        f"{quarter} with a dot, a box and a half",
        ands,
    )
    return Drawn(340, 286, body)


def staff_lines(treble: str, bass: str) -> Drawn:
    """Two staves with the lines that the clefs point to; ``treble`` and ``bass`` are outlines of the clef signs.

    The outlines are in font units, :data:`UNITS_PER_SPACE` to a staff space, y upwards, origin on the clef's own line.
    """
    space, body = 14.0, ""
    for top, sign, name, target in (
        (60.0, treble, "Treble clef: this line is G", 3),
        (196.0, bass, "Bass clef: this line is F", 1),
    ):
        body += "".join(
            line(
                (16, top + space * row),
                (250, top + space * row),
                cls="bb-l bb-mid" if row == target else "bb-l bb-thin",
            )
            for row in range(5)
        )
        scale = space / UNITS_PER_SPACE
        y = top + space * target
        body += f'<g transform="translate(26 {y:g}) scale({scale:g} {-scale:g})">{path(sign, "bb-f")}</g>'
        body += arrow((300, y), (256, y)) + text(16, top - 34 if target == 3 else top - 16, name, "start", 14)
    body += text(304, 60 + space * 3 + 5, "G", "start", 16) + text(304, 196 + space + 5, "F", "start", 16)
    return Drawn(330, 272, body)


def beat_four() -> Drawn:
    """The hand's way in four beats, as the leader sees the own right hand."""
    body = path("M150,30V186", "bb-l bb-a") + path("M150,190C128,150 100,148 76,176", "bb-l bb-a")
    body += path("M72,180C110,140 196,136 238,176", "bb-l bb-a") + path("M242,180C222,120 176,90 158,36", "bb-l bb-a")
    body += (
        arrow((150, 150), (150, 188))
        + arrow((88, 164), (74, 180))
        + arrow((226, 164), (240, 180))
        + arrow((166, 58), (156, 30))
    )
    for x, y, beat in ((150, 210, "1"), (56, 198, "2"), (262, 198, "3"), (178, 24, "4")):
        body += circle(x, y, 15) + text(x, y + 6, beat, size=17)
    return Drawn(310, 236, body)


def beat_three_two() -> Drawn:
    """The hand's way in three beats and in two."""
    three = path("M90,30V170", "bb-l bb-a") + path("M90,174C104,136 134,132 160,156", "bb-l bb-a")
    three += path("M164,160C146,100 116,76 100,36", "bb-l bb-a")
    three += arrow((90, 140), (90, 172)) + arrow((148, 146), (162, 160)) + arrow((108, 56), (98, 30))
    for x, y, beat in ((90, 194, "1"), (182, 174, "2"), (124, 26, "3")):
        three += circle(x, y, 15) + text(x, y + 6, beat, size=17)
    two = (
        path("M70,30V150Q72,176 96,168Q130,150 84,38", "bb-l bb-a")
        + arrow((70, 120), (70, 158))
        + arrow((92, 56), (82, 32))
    )
    for x, y, beat in ((70, 194, "1"), (112, 30, "2")):
        two += circle(x, y, 15) + text(x, y + 6, beat, size=17)
    return Drawn(370, 216, three + moved(two, 220, 0))
