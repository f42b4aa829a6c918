"""What the handbook needs to be carried away: icons for the home screen, and the parts of the share page."""

from __future__ import annotations

import json
from pathlib import Path

import typst
from markupsafe import escape

from beginnerband.data.book import Book
from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.shared.links import edition_words
from beginnerband.products import Products
from beginnerband.render.html import relative, render
from beginnerband.render.qr import qr_on_white

ICON = Path(__file__).parent.parent / "shared" / "site" / "icon.svg"
"""The handbook's own sign."""

ICON_SIZES = (180, 192, 512)
"""Pixels: a home-screen icon on Apple's devices, and the two sizes an installed web app is asked for."""

ZIP = "take-away/handbook.zip"
"""The whole handbook as one file; packed after the build by ``render/finish/takeaway.py``."""


def contribute(book: Book, products: Products) -> None:
    """Add the icons as PNG, drawn from the one SVG."""
    drawing = ICON.read_text(encoding="utf-8")
    for size in ICON_SIZES:
        products.asset(f"assets/icon-{size}.png", icon(drawing, size))


def icon(drawing: str, size: int) -> bytes:
    """The SVG ``drawing`` (512 units square) as a PNG of ``size`` by ``size`` pixels."""
    page = (
        "#set page(width: 512pt, height: 512pt, margin: 0pt)\n"
        f'#image(bytes({json.dumps(drawing)}), format: "svg", width: 100%, height: 100%)'
    )
    return bytes(typst.compile(page.encode(), format="png", ppi=72 * size / 512))


def share_code(context: Context, args: Args) -> str:
    """``[[share-code]]``: a code to scan for the address in the band file, or how to get one."""
    args.only()
    address, set_up = context.book.band.address, relative(context.uri, "set-up.md")
    return render(
        "carry/share_code.html", address=address, set_up=set_up, code=qr_on_white(address) if address else None
    )


def saved_here(context: Context, args: Args) -> str:
    """``[[saved-here]]``: in a sentence, what is saved on this device, and buttons to save the rest."""
    args.only()
    return render("carry/saved_here.html")


def saved_line(context: Context, args: Args) -> str:
    """``[[saved-line]]``: what is saved on this device in a few words, a line on the smallest phone.

    The script says it; without script nothing can be said of the device.
    """
    args.only()
    return '<p class="bb-saved" role="status" data-bb-saved="line"></p>'


def take_away(context: Context, args: Args) -> str:
    """``[[take-away]]``: links to the files to carry away."""
    args.only()
    files = [
        {
            "link": relative(context.uri, ZIP),
            "name": "handbook.zip",
            "what": "the whole handbook in one file, for a USB stick or a computer. Unpack it, then open index.html.",
            "web_only": True,
        },
        {
            "link": relative(context.uri, "take-away/pocket.html"),
            "name": "pocket.html",
            "what": "one page for a phone: look-up, charts, keys, the lessons' notes, metronome and tuning tone. "
            "Send it in a message; it opens without a signal.",
            "web_only": False,
        },
    ]
    return render("carry/take_away.html", files=files)


def edition(context: Context, args: Args) -> str:
    """``[[edition]]``: in a sentence, the version of the handbook and the day it was made."""
    args.only()
    return str(escape(edition_words(context.book)))


BLOCKS = {
    "edition": edition,
    "share-code": share_code,
    "saved-here": saved_here,
    "saved-line": saved_line,
    "take-away": take_away,
}
