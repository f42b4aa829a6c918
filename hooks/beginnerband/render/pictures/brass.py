"""The instruments themselves: parts by name, and the slide to scale."""

from __future__ import annotations

from beginnerband.music.advice import CENTIMETRES_AN_INCH
from beginnerband.music.instrument import Slide
from beginnerband.music.slide import SlidePlace, beyond, places
from beginnerband.render.pictures.svg import Drawn, box, circle, label, line, path, text

PX_PER_CM = 4.6
"""Drawing units a centimetre in the slide pictures."""

REACHES_CM = (40, 50, 60)
"""Reaches shown, centimetres: a small child, a bigger child, nearly grown (rough; measure your own players)."""


def slide_positions(slide: Slide, use: str = "british") -> Drawn:
    """A slide with its positions marked to scale, and a ruler in centimetres, or in inches in American words."""
    name, unit_cm, step, long = (
        ("inches", CENTIMETRES_AN_INCH, 1, 5) if use == "american" else ("centimetres", 1, 5, 10)
    )
    left, top = 96.0, 58.0
    found = [place for place in places(slide) if not place.trigger]
    last = left + found[-1].cm * PX_PER_CM
    tubes = "".join(
        path(f"M24,{y}H{last + 60}", "bb-l bb-thin bb-dash") + path(f"M24,{y}H{left + 60}", "bb-l bb-tube")
        for y in (top, top + 30)
    )
    bow = path(f"M{left + 60},{top}a15,15 0 0 1 0,30", "bb-l bb-tube") + line(
        (left, top - 8), (left, top + 38), cls="bb-l bb-fat"
    )
    mouth = path(f"M24,{top - 8}L10,{top - 12}V{top + 12}L24,{top + 8}Z", "bb-w")
    told = [_figure(place.cm / unit_cm, use) for place in found]
    marks = ""
    for place, figure in zip(found, told, strict=True):
        x = left + place.cm * PX_PER_CM
        marks += line((x, top - 16), (x, top + 46), cls="bb-l bb-thin")
        marks += circle(x, top - 30, 13) + text(x, top - 25, str(place.position), size=15)
        marks += text(x, top + 64, figure, size=13)
    ruler = line((left, top + 84), (last, top + 84)) + "".join(
        line(
            (left + at * unit_cm * PX_PER_CM, top + (78 if at % long == 0 else 81)),
            (left + at * unit_cm * PX_PER_CM, top + 90),
            cls="bb-l bb-thin",
        )
        for at in range(0, int(found[-1].cm / unit_cm) + 1, step)
    )
    words = text(left + 4, top + 108, f"{name} out from first position", "start")
    said = ", ".join(f"position {place.position} at {figure}" for place, figure in zip(found, told, strict=True))
    return Drawn(last + 90, top + 120, tubes + bow + mouth + marks + ruler + words, f"In {name}: {said}.")


def slide_reach(slide: Slide, use: str = "british") -> Drawn:
    """Which positions three reaches get to, in centimetres, or in inches in American words."""
    short, name, unit_cm = ("in", "inches", CENTIMETRES_AN_INCH) if use == "american" else ("cm", "centimetres", 1)
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


def _figure(value: float, use: str) -> str:
    """Whole centimetres; inches to the half, since a position is not found by less."""
    return f"{round(2 * value) / 2:g}" if use == "american" else f"{value:.0f}"


def cornet_parts() -> Drawn:
    """A small brass instrument from the side with its parts named."""
    body = (
        path("M28,96L40,90V110L28,104Z", "bb-w")
        + path("M40,100H120", "bb-l bb-tube")
        + path("M104,100H176V150Q176,168 158,168H92Q74,168 74,150V140Q74,128 92,128H176", "bb-l bb-tube")
        + path("M236,128H300Q322,128 322,146Q322,166 300,166H236", "bb-l bb-tube")
        + path("M212,100H300C350,100 380,86 404,54C412,86 412,122 404,152C380,124 350,110 300,110H212Z", "bb-w")
        + box(298, 120, 16, 52, "bb-s", 6)
    )
    for valve in range(3):
        x = 170.0 + 26 * valve
        body += box(x, 84, 22, 100, "bb-w", 3) + box(x - 1, 78, 24, 9, "bb-s", 2) + box(x - 1, 181, 24, 9, "bb-s", 2)
        body += line((x + 11, 78), (x + 11, 62), cls="bb-l bb-fat") + box(x + 2, 56, 18, 7, "bb-s", 3)
        body += text(x + 11, 138, str(valve + 1), size=15)
    body += path("M316,170q10,10 22,6", "bb-l") + circle(318, 172, 4, "bb-f")
    words = (
        label((6, 62), (32, 92), "Mouthpiece")
        + label((96, 36), (112, 96), "Leadpipe")
        + label((140, 24), (182, 56), "Valve caps and buttons")
        + label((330, 32), (380, 84), "Bell")
        + label((340, 200), (322, 176), "Water key")
        + label((214, 222), (306, 172), "Tuning slide")
        + label((6, 206), (86, 166), "First valve slide")
        + label((116, 244), (206, 188), "Valves")
    )
    return Drawn(430, 256, body + words)
