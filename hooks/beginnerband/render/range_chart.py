"""A picture of ranges: a bar for each instrument along the notes, darker for the levels that come first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

UNIT = 7
"""Drawing units a semitone is wide."""

ROW = 46
"""Drawing units a bar and its name are high."""

OPACITIES = (1.0, 0.5, 0.22)
"""How solid each level's part of the bar is; heights differ too, so that it reads without colour."""

HEIGHTS = (18, 12, 6)
"""How high each level's part of the bar is."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One instrument."""

    name: str
    """As printed above its bar."""
    spans: tuple[tuple[int, int], ...]
    """Lowest and highest sounding MIDI number by level, narrowest first."""


def range_chart(bars: Sequence[Bar], levels: Sequence[str]) -> Markup:
    """The drawing; a table beside it must say the same in words."""
    low = min(span[0] for bar in bars for span in bar.spans) - 2
    high = max(span[1] for bar in bars for span in bar.spans) + 2
    width, height = (high - low) * UNIT + 20, ROW * len(bars) + 24
    size = f"min-width:{0.92 * width:.0f}px;max-width:{1.7 * width:.0f}px"  # letters neither tiny nor huge
    octaves = range(-(-low // 12) * 12, high + 1, 12)
    grid = "".join(
        f'<path d="M{_x(at, low)} 16V{height}" class="bb-range-grid"/>'
        f'<text x="{_x(at, low)}" y="11" text-anchor="middle" class="bb-range-octave">C{at // 12 - 1}</text>'
        for at in octaves
    )
    rows = "".join(_bar(bar, low, 24 + ROW * number) for number, bar in enumerate(bars))
    label = escape(f"Sounding ranges of {len(bars)} instruments; the table below has the same notes")
    key = ", ".join(
        f"{how} {level}" for how, level in zip(("thick bar:", "thinner:", "thinnest:"), levels, strict=True)
    )
    return Markup(
        f'<figure class="bb-range-chart"><svg viewBox="0 0 {width} {height}" style="{size}" role="img"'
        f' aria-label="{label}">{grid}{rows}</svg><figcaption>Sounding notes; C4 is middle C.'
        f" {escape(key.capitalize())}.</figcaption>"
        "</figure>"
    )


def _x(midi: int, low: int) -> int:
    return (midi - low) * UNIT + 10


def _bar(bar: Bar, low: int, top: int) -> str:
    left = min(_x(span[0], low) for span in bar.spans)
    parts = [f'<text x="{left}" y="{top + 12}" class="bb-range-name">{escape(bar.name)}</text>']
    for (first, last), opacity, height in reversed(list(zip(bar.spans, OPACITIES, HEIGHTS, strict=True))):
        parts.append(
            f'<rect x="{_x(first, low)}" y="{top + 28 - height / 2:g}" width="{(last - first) * UNIT}"'
            f' height="{height}" rx="2" fill-opacity="{opacity}"/>'
        )
    return f"<g>{''.join(parts)}</g>"
