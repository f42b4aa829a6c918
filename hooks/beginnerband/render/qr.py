"""QR codes (ISO/IEC 18004) as SVG, drawn by segno."""

from __future__ import annotations

import io
from functools import lru_cache

import segno
from markupsafe import Markup, escape


@lru_cache(maxsize=512)
def qr_svg(text: str) -> str:
    """A code that holds ``text``, as an SVG file with its quiet zone; error correction M."""
    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(
        out, kind="svg", xmldecl=False, svgns=True, border=3, unit=None, omitsize=True
    )
    return out.getvalue().decode().strip()


def qr_inline(text: str, css_class: str = "bb-qr") -> Markup:
    """The same for a page, read out as what it leads to."""
    svg = qr_svg(text).replace("<svg ", f'<svg role="img" aria-label="Code that leads to {escape(text)}" ', 1)
    return Markup(svg.replace('class="segno"', f'class="{css_class}"', 1))


def qr_on_white(address: str) -> Markup:
    """A large code for the screen, on white so that it scans in the dark theme too."""
    code = segno.make_qr(address, error="m")
    title = f"Code to scan: {address}"
    return Markup(code.svg_inline(border=4, dark="#000", light="#fff", title=title, omitsize=True))
