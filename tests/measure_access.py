"""axe-core on one page of every kind: light and dark, 390 and 1280 pixels, and printed. Some minutes.

``python tests/measure_access.py [site]``
"""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

sys.path[:0] = [str(Path(__file__).parent.parent / "hooks"), str(Path(__file__).parent)]

from access import NARROW, WIDE, pages_of_every_kind, wrong_in, wrong_in_print  # noqa: E402
from conftest import CHROMIUM, ROOT  # noqa: E402


def main(site: Path) -> int:
    """Print what is wrong; returns on how many of the looks something was."""
    looks = wrong = 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_context(bypass_csp=True, reduced_motion="reduce").new_page()
        page.add_init_script("localStorage.clear()")  # each page as on a first visit
        for uri in pages_of_every_kind(site):
            page.goto((site / uri).as_uri())
            found = {
                f"{width} pixels, {colours}": wrong_in(page, colours, width)
                for colours in ("light", "dark")
                for width in (NARROW, WIDE)
            }
            found["printed"] = wrong_in_print(page)
            looks += len(found)
            wrong += sum(map(bool, found.values()))
            for look, lines in found.items():
                for line in lines:
                    print(f"{uri}, {look}: {line}")
    print(f"{looks} looks at {len(pages_of_every_kind(site))} kinds of page: something wrong in {wrong}")
    return wrong


if __name__ == "__main__":
    sys.exit(min(1, main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "site")))
