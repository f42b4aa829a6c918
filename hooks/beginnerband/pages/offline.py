"""What the handbook needs to be carried away: icons for the home screen, the share page's parts."""

from __future__ import annotations

import json

import typst

from beginnerband.data.book import Book
from beginnerband.products import Products
from beginnerband.render.html import HERE

ICON_SIZES = (180, 192, 512)
"""Pixels: a home-screen icon on Apple's devices, and the two sizes an installed web app is asked for."""


def contribute(book: Book, products: Products) -> None:
    """Add the icons as PNG, drawn from the one SVG."""
    drawing = (HERE / "assets" / "icon.svg").read_text(encoding="utf-8")
    for size in ICON_SIZES:
        products.asset(f"assets/icon-{size}.png", icon(drawing, size))


def icon(drawing: str, size: int) -> bytes:
    """The SVG ``drawing`` (512 units square) as a PNG of ``size`` by ``size`` pixels."""
    page = (
        "#set page(width: 512pt, height: 512pt, margin: 0pt)\n"
        f'#image(bytes({json.dumps(drawing)}), format: "svg", width: 100%, height: 100%)'
    )
    return bytes(typst.compile(page.encode(), format="png", ppi=72 * size / 512))
