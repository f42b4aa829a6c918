"""Line drawings: small pieces of SVG that turn with the page's colours and print in black on white.

Lengths are in the drawing's own units, y downwards. Colours only from classes in ``pictures.css``: ``bb-l`` a line,
``bb-w`` a shape filled with paper, ``bb-f`` filled with ink, ``bb-s`` softly shaded, ``bb-t`` text.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing; its title and most of its words are in ``content/pictures.yml``."""

    width: float
    """Width of its field."""
    height: float
    """Height of its field."""
    body: str
    """SVG elements."""
    words: str = ""
    """What it shows that depends on the band or the model, to add to its text alternative."""
    more: tuple[Drawn, ...] = ()
    """Further panels, which stand beside the first where there is room, else below it."""


def number(value: float) -> str:
    """A coordinate, short: ``12.5``, ``3``."""
    return f"{value:.1f}".removesuffix(".0")


def line(*points: Point, cls: str = "bb-l", extra: str = "") -> str:
    """A line through points."""
    steps = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return f'<polyline class="{cls}" points="{steps}"{extra}/>'


def path(steps: str, cls: str = "bb-l", extra: str = "") -> str:
    """A path as SVG writes it."""
    return f'<path class="{cls}" d="{steps}"{extra}/>'


def circle(x: float, y: float, radius: float, cls: str = "bb-w") -> str:
    """A circle."""
    return f'<circle class="{cls}" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>'


def box(x: float, y: float, width: float, height: float, cls: str = "bb-w", round_: float = 0) -> str:
    """A rectangle, perhaps with round corners."""
    corner = f' rx="{number(round_)}"' if round_ else ""
    size = f'width="{number(width)}" height="{number(height)}"'
    return f'<rect class="{cls}" x="{number(x)}" y="{number(y)}" {size}{corner}/>'


def text(x: float, y: float, words: str, anchor: str = "middle", size: float = 16, cls: str = "bb-t") -> str:
    """Words; ``anchor`` is ``start``, ``middle`` or ``end``."""
    return (
        f'<text class="{cls}" x="{number(x)}" y="{number(y)}" text-anchor="{anchor}" font-size="{number(size)}">'
        f"{escape(words, quote=False)}</text>"
    )


def limb(points: Sequence[Point], width: float, curve: Point | None = None) -> str:
    """A part of a body: a thick rounded outline along ``points``, or bent from first to last by way of ``curve``."""
    if curve:
        (ax, ay), (bx, by) = points[0], points[-1]
        steps = f"M{number(ax)},{number(ay)}Q{number(curve[0])},{number(curve[1])} {number(bx)},{number(by)}"
    else:
        steps = "M" + "L".join(f"{number(x)},{number(y)}" for x, y in points)
    return (
        f'<path class="bb-o" d="{steps}" stroke-width="{number(width)}"/>'
        f'<path class="bb-i" d="{steps}" stroke-width="{number(width - 4)}"/>'
    )


def arrow(start: Point, end: Point, cls: str = "bb-l bb-a", head: float = 8) -> str:
    """A straight arrow."""
    return line(start, end, cls=cls) + _head(start, end, head)


def _head(start: Point, end: Point, size: float) -> str:
    angle = math.atan2(end[1] - start[1], end[0] - start[0])
    wings = [(end[0] - size * math.cos(angle + turn), end[1] - size * math.sin(angle + turn)) for turn in (0.45, -0.45)]
    return line(wings[0], end, wings[1], cls="bb-l bb-a")


def label(at: Point, to: Point, words: str, anchor: str = "start") -> str:
    """Words beginning (or, with ``anchor="end"``, ending) at ``at``, with a thin line to what they name."""
    (x, y), beside = at, (to[0] < at[0]) == (anchor == "start")
    if beside:
        start = (x - 4 if anchor == "start" else x + 4, y - 5)
    else:  # the line would run through the words: begin below or above them
        start = (x + (14 if anchor == "start" else -14), y + 5 if to[1] > y else y - 15)
    return line(start, to, cls="bb-l bb-thin") + text(x, y, words, anchor)


def moved(body: str, x: float, y: float, turn: float = 0, scale: float = 1) -> str:
    """``body`` moved, then turned by degrees (clockwise) and scaled about its own origin."""
    more = (f" rotate({number(turn)})" if turn else "") + (f" scale({scale:g})" if scale != 1 else "")
    return f'<g transform="translate({number(x)} {number(y)}){more}">{body}</g>'
