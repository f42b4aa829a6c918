"""Music as it is walked: a box for each note, as long as the note, with what the hand does; no notation.

For the first weeks, when tunes are learnt by ear and a family wants to know how they go. A dot is a step; an empty
box is a beat of silence.
"""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup, escape

from beginnerband.music.score import Line
from beginnerband.teaching.directions import WALKED_BARS

WIDTH = 1900
"""Units of the drawing across: tenths of a millimetre on paper."""

ROW = 150
"""Height of a row of four bars: boxes, and the steps below them."""

BARS, NARROW = WALKED_BARS, 2
"""Bars in a row, and on a phone, where four would be too small to read."""

BOX, GAP, BETWEEN = 96, 8, 26
"""Height of a box, and the room between boxes and between bars."""

ONE, OF_TWO = 54, 40
"""Size of what stands in a box: of one line, and of each of two (11 points on paper)."""


def rows_of(line: Line, bars: int = BARS) -> int:
    """Rows the picture of ``line`` has, with ``bars`` in each."""
    return -(-len(line.measures) // bars)


def walked_anywhere(line: Line, codes: Sequence[str], title: str) -> Markup:
    """The picture of ``line`` twice, for wide and for narrow screens; the sheet's style shows the one that fits."""
    return walked(line, codes, title) + walked(line, codes, title, NARROW)


def walked(line: Line, codes: Sequence[str], title: str, bars: int = BARS) -> Markup:
    """The picture of ``line``, ``bars`` in a row.

    ``codes`` say what the hand does for each note and rest, empty where nothing; in two lines with a line break.
    """
    parts, said, at = list[str](), list[str](), iter(codes)
    beat = line.time.beat
    bar_width = (WIDTH - BETWEEN * (BARS - 1)) / BARS
    across = round(bars * bar_width + (bars - 1) * BETWEEN)
    for place, measure in enumerate(line.measures):
        row, column = divmod(place, bars)
        left, top = column * (bar_width + BETWEEN), row * ROW + 4
        unit = float(bar_width / float(line.time.quarters))
        x, bar = left, list[str]()
        for note in measure.notes:
            code, width = next(at), float(note.quarters) * unit
            parts.append(_box(x, top, width - GAP, "" if note.rest else code or "●", note.rest))
            bar.append("rest" if note.rest else code.replace("\n", " ") or "play")
            x += width
        steps = round(float(measure.quarters / beat))
        parts += [
            f'<circle cx="{left + (step + 0.5) * unit * float(beat) - GAP / 2:.0f}" cy="{top + BOX + 20}" r="6"/>'
            for step in range(steps)
        ]
        said.append(" ".join(bar))
    label = escape(f"{title}, walked, bar by bar: {'; '.join(said)}")
    return Markup(
        f'<svg class="bb-walked{" bb-narrow" if bars < BARS else ""}" role="img" aria-label="{label}" xmlns="http://www.w3.org/2000/svg"'
        f' viewBox="0 0 {across} {rows_of(line, bars) * ROW}" fill="currentColor" font-family="Fira Sans, sans-serif"'
        f' font-size="{ONE}" font-weight="bold" text-anchor="middle">{"".join(parts)}</svg>'
    )


def _box(x: float, top: float, width: float, text: str, silent: bool) -> str:
    dashed = ' stroke-dasharray="10 12"' if silent else ""
    shape = (
        f'<rect x="{x + 2:.0f}" y="{top}" width="{width - 4:.0f}" height="{BOX}" rx="18" fill="none"'
        f' stroke="currentColor" stroke-width="{3 if silent else 5}"{dashed}/>'
    )
    above, broken, below = text.partition("\n")
    middle = f"{x + width / 2:.0f}"
    if broken:
        size = f'font-size="{OF_TWO}"'
        return (
            f'{shape}<text x="{middle}" y="{top + BOX / 2 - 6}" {size}>{escape(above)}</text>'
            f'<text x="{middle}" y="{top + BOX / 2 + 34}" {size}>{escape(below)}</text>'
        )
    return shape + (f'<text x="{middle}" y="{top + BOX / 2 + 19}">{escape(text)}</text>' if text else "")
