"""A drawing put together: lines of solids, words beside them, and the file that is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

import numpy as np

from drawings.lines import SHORT, View, areas, look, mark, number, paths
from drawings.solids import Points, Solid

FILLS = {"cloth": "bb-k", "hair": "bb-h", "brass": "bb-b"}
"""Classes in ``guide.css`` by a part's fill."""


LETTER = 8.0
"""Width of a letter of 14 units, units: mean of a wide sans serif face, since phones have different ones."""

WIDE = 360.0
"""Width of a panel, units: a phone's column, so that a unit is about a pixel there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coarse:
    """How far what is drawn may lie from what is seen, in units: the smaller things are, the less is told of them."""

    area: float
    """The edge of what is filled."""
    line: float
    """A line."""
    short: float
    """Shortest line drawn, for each that would be on a large drawing."""


COARSE = (
    (1.7, Coarse(area=1.3, line=0.9, short=5)),
    (2.2, Coarse(area=0.9, line=0.6, short=2.5)),
    (float("inf"), Coarse(area=0.7, line=0.4, short=1)),
)
"""By scale, units a centimetre, below which it holds."""


@dataclass(slots=True)
class DrawingSheet:
    """A field that drawings are put on, from the top left."""

    width: float
    height: float
    body: list[str] = field(default_factory=list)

    def solids(
        self,
        solids: Sequence[Solid],
        view: View,
        marks: Sequence[Points] = (),
        at: tuple[float, float] = (0, 0),
        plain: bool = False,
    ) -> None:
        """Draw solids as seen in ``view``, its top left at ``at``; as coarse as can be where they are ``plain``."""
        seen = look(solids, view)
        coarse = COARSE[0][1] if plain else next(each for size, each in COARSE if view.scale < size)
        found = "".join(
            f'<path class="{cls}" d="{steps}"/>'
            for fill, cls in FILLS.items()
            if (steps := areas(seen, fill, coarse.area))
        )
        lines = paths(seen, coarse.line, coarse.short * SHORT)
        for weight, steps in sorted(lines.items()):
            found += f'<path class="{"bb-l" if weight == 2 else "bb-l bb-in"}" d="{steps}"/>'
        for cls, some in (
            ("bb-l bb-in", [m for m in marks if len(m) > 1]),
            ("bb-l bb-dot", [m for m in marks if len(m) == 1]),
        ):
            if features := "".join(mark(seen, view, line) for line in some):
                found += f'<path class="{cls}" d="{features}"/>'
        if at != (0, 0):
            found = f'<g transform="translate({number(at[0])} {number(at[1])})">{found}</g>'
        self.body.append(found)

    def text(self, x: float, y: float, words: str, anchor: str = "start", size: float = 14, cls: str = "bb-t") -> None:
        """Words."""
        placed = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self.body.append(
            f'<text class="{cls}" x="{number(x)}" y="{number(y)}"{placed} font-size="{number(size)}">'
            f"{escape(words)}</text>"
        )

    def path(self, steps: str, cls: str) -> None:
        """A path."""
        self.body.append(f'<path class="{cls}" d="{steps}"/>')

    def circle(self, x: float, y: float, radius: float, cls: str) -> None:
        """A circle."""
        self.body.append(f'<circle class="{cls}" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>')

    def place(self, other: DrawingSheet, x: float, y: float) -> None:
        """Another sheet's drawing, its top left at ``x``, ``y``."""
        self.body.append(f'<g transform="translate({number(x)} {number(y)})">{"".join(other.body)}</g>')

    def line(self, *points: Sequence[float], cls: str = "bb-l bb-thin") -> None:
        """A line."""
        steps = "M" + "L".join(f"{number(p[0])} {number(p[1])}" for p in points)
        self.body.append(f'<path class="{cls}" d="{steps}"/>')

    def label(
        self, x: float, y: float, words: str, to: tuple[float, float], anchor: str = "start", start: str = ""
    ) -> None:
        """Words at ``x``, ``y`` (a line each) with a thin line from them to what they name."""
        lines = words.split("\n")
        for index, each in enumerate(lines):
            self.text(x, y + 16 * index, each, anchor)
        long = LETTER * max(len(each) for each in lines)
        left = x if anchor == "start" else x - long if anchor == "end" else x - long / 2
        right, top, foot = left + long, y - 13, y + 16 * (len(lines) - 1) + 5
        ends = {
            "left": (left - 3, (top + foot) / 2),
            "right": (right + 3, (top + foot) / 2),
            "top": ((left + right) / 2, top - 2),
            "foot": ((left + right) / 2, foot + 2),
        }
        from_ = ends[start] if start else min(ends.values(), key=lambda p: np.hypot(p[0] - to[0], p[1] - to[1]))
        self.line(from_, to)
        self.body.append(f'<circle class="bb-f" cx="{number(to[0])}" cy="{number(to[1])}" r="2"/>')

    def arrow(self, *points: tuple[float, float], cls: str = "bb-l bb-a", head: float = 8) -> None:
        """An arrow along points."""
        (ax, ay), (bx, by) = points[-2], points[-1]
        way = np.arctan2(by - ay, bx - ax)
        wings = [(bx - head * np.cos(way + t), by - head * np.sin(way + t)) for t in (0.45, -0.45)]
        self.line(*points, cls=cls)
        self.line(wings[0], points[-1], wings[1], cls=cls)

    def verdict(self, x: float, y: float, good: bool) -> None:
        """A tick or a cross in a ring."""
        kind = "yes" if good else "no"
        steps = (
            f"M{number(x - 6)} {number(y)}l4.5 5l7.5-10"
            if good
            else f"M{number(x - 5)} {number(y - 5)}l10 10m-10 0l10-10"
        )
        self.body.append(
            f'<circle class="bb-w bb-{kind}" cx="{number(x)}" cy="{number(y)}" r="12"/>'
            f'<path class="bb-l bb-{kind}" d="{steps}"/>'
        )

    def svg(self) -> str:
        """The file."""
        lines = "\n".join(self.body)
        field = f"0 0 {number(self.width)} {number(self.height)}"
        return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{field}">\n{lines}\n</svg>\n'
