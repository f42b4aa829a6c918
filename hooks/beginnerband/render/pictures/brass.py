"""The trombone's slide to scale."""

from __future__ import annotations

from beginnerband.music.instrument import Slide
from beginnerband.music.slide import SlidePlace, beyond, places
from beginnerband.music.units import CENTIMETRES_AN_INCH
from beginnerband.render.pictures.kept import kept
from beginnerband.render.pictures.svg import Drawn, arrow, box, circle, line, text

PX_PER_CM = 4.6
"""Drawing units a centimetre in the picture of reaches."""

SIDE_PX_PER_CM, RIM_X, TUBE_Y = 2.6, 94.0, 104.0
"""The kept trombone: units a centimetre, where the rim of its mouthpiece stands, and how high."""

BRACE_CM, BELL_CM = 13.0, 36.0
"""How far from that rim the bar of the slide is in first position, and the rim of the bell: common practice; by it the
third position is just inside the bell and the fourth just outside."""

REACHES_CM = (40, 50, 60)
"""Reaches shown, centimetres: a small child, a bigger child, nearly grown (rough; measure your own players)."""


def slide_positions(slide: Slide, english: str = "british") -> Drawn:
    """A trombone with the places of its slide's bar to scale, in centimetres, or in inches in American words."""
    name, unit_cm = ("inches", CENTIMETRES_AN_INCH) if english == "american" else ("centimetres", 1)
    base = kept("slide-positions")
    found = [place for place in places(slide) if not place.trigger]
    told = [_figure(place.cm / unit_cm, english) for place in found]
    marks = ""
    for index, (place, figure) in enumerate(zip(found, told, strict=True)):
        x = RIM_X + (BRACE_CM + place.cm) * SIDE_PX_PER_CM
        low = TUBE_Y + 46 + 16 * (index % 2)
        marks += line((x, 44), (x, low - 12), cls="bb-l bb-thin bb-dash" if index else "bb-l bb-thin")
        marks += circle(x, 34, 9.6) + text(x, 39, str(place.position), size=14) + text(x, low, figure, size=13)
    out = base.width - 12
    marks += arrow((out - 42, TUBE_Y - 26), (out, TUBE_Y - 26)) + text(out, TUBE_Y - 34, "out", "end", 14)
    words = text(RIM_X - 40, TUBE_Y + 86, f"{name} out from first position", "start", 14)
    said = ", ".join(f"position {place.position} at {figure}" for place, figure in zip(found, told, strict=True))
    return Drawn(base.width, base.height, base.body + marks + words, f"In {name}: {said}.")


def slide_reach(slide: Slide, english: str = "british") -> Drawn:
    """Which positions three reaches get to, in centimetres, or in inches in American words."""
    short, name, unit_cm = ("in", "inches", CENTIMETRES_AN_INCH) if english == "american" else ("cm", "centimetres", 1)
    left, body = 84.0, ""
    found = [place for place in places(slide) if not place.trigger]
    said = []
    for row, reach in enumerate(REACHES_CM):
        y = 34.0 + 56 * row
        missed: tuple[SlidePlace, ...] = beyond(slide, reach)
        body += text(left - 20, y + 5, f"{reach / unit_cm:.0f} {short}", "end", 14)
        body += line((left, y), (left + found[-1].cm * PX_PER_CM, y), cls="bb-l bb-thin bb-dash")
        body += box(left, y - 5, reach * PX_PER_CM, 10, "bb-s", 5)
        for place in found:
            x = left + place.cm * PX_PER_CM
            if place in missed:
                body += circle(x, y, 13, "bb-w bb-dash") + text(
                    x, y + 5, str(place.position), size=14, cls="bb-t bb-quiet"
                )
                body += line((x - 9, y + 9), (x + 9, y - 9), cls="bb-l bb-no")
            else:
                body += circle(x, y, 13) + text(x, y + 5, str(place.position), size=14)
        last = max(place.position for place in found if place not in missed)
        said.append(f"{reach / unit_cm:.0f} {name} reach position {last}")
    words = f"{'; '.join(said)}."
    return Drawn(left + found[-1].cm * PX_PER_CM + 30, 34.0 + 56 * len(REACHES_CM) - 20, body, words)


def _figure(value: float, english: str) -> str:
    """Whole centimetres; inches to the half, since a position is not found by less."""
    return f"{round(2 * value) / 2:g}" if english == "american" else f"{value:.0f}"
