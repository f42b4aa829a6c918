"""The pictures in the README, taken from a built site: ``python tests/take_screenshots.py SITE``.

Phones are 390 by 664 pixels, as where a browser's bars are shown; the card is its printed page. Written as JPEG into
``.pictures/``, each small enough to load on a phone.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright
from pypdfium2 import PdfDocument

sys.path[:0] = [str(Path(__file__).parent.parent / "hooks"), str(Path(__file__).parent)]

from conftest import CHROMIUM, CHROMIUM_ARGUMENTS  # noqa: E402

ROOT = Path(__file__).parent.parent
FOLDER = ROOT / ".pictures"
"""Where the pictures stand."""

PHONE = {"width": 390, "height": 664}
QUALITY = 60
SCALE = 1.5
"""Pixels of the picture to one of the screen."""
CARD = "print/lesson-15-card.pdf"


@dataclass(frozen=True)
class Shot:
    """One page on a phone."""

    name: str
    """Of the file."""
    page: str
    """From the site's root."""
    dark: bool = False
    """Whether the phone is set to dark."""
    scroll_to: str = ""
    """A selector to scroll to, where the page does not begin with what is to be seen."""


SHOTS = (
    Shot("look-up", "look-up.html#tenor-horn/treble-eb/E4"),
    Shot("piece", "pieces/ode-to-joy.html", scroll_to="#listen"),
    Shot("dark", "course/lesson-15.html", dark=True),
)


def take(browser: Browser, site: Path, shot: Shot) -> None:
    """Open the page and keep what the screen shows."""
    context = browser.new_context(
        viewport=PHONE, device_scale_factor=SCALE, color_scheme="dark" if shot.dark else "light", is_mobile=True
    )
    page = context.new_page()
    page.goto((site / shot.page.partition("#")[0]).resolve().as_uri() + shot.page[len(shot.page.partition("#")[0]) :])
    if shot.scroll_to:
        page.locator(shot.scroll_to).scroll_into_view_if_needed()
        page.evaluate("(place) => document.querySelector(place).scrollIntoView()", shot.scroll_to)
    page.wait_for_timeout(500)
    page.screenshot(path=FOLDER / f"{shot.name}.jpg", type="jpeg", quality=QUALITY)
    context.close()


def take_card(site: Path) -> None:
    """The front of a lesson's card as it is printed."""
    page = PdfDocument(site / CARD)[0]
    page.render(scale=1.2).to_pil().convert("L").save(FOLDER / "card.jpg", quality=QUALITY)


def main(site: Path) -> None:
    """Take them all."""
    FOLDER.mkdir(exist_ok=True)
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=[*CHROMIUM_ARGUMENTS])
        for shot in SHOTS:
            take(browser, site, shot)
        browser.close()
    take_card(site)
    for path in sorted(FOLDER.glob("*.jpg")):
        print(f"{path.name}: {path.stat().st_size / 1024:.0f} kB")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
