"""Which pages of a built site scroll sideways on a phone: every page in Chromium, 390 pixels wide.

``python tests/measure_sideways.py SITE [WIDTH]`` prints each kind of page with how many of its pages have something
wider than the screen, what it is, and by how many pixels; last how many pages are none of :data:`sideways.MUST`.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from pathlib import Path

from playwright.sync_api import sync_playwright

sys.path[:0] = [str(Path(__file__).parent.parent / "hooks"), str(Path(__file__).parent)]

from conftest import CHROMIUM, CHROMIUM_ARGUMENTS  # noqa: E402
from sideways import kind_of, may_be_wide, wide_parts  # noqa: E402


def main(site: Path, width: int = 390) -> None:
    """Look at every page and print what was found."""
    pages = sorted(site.rglob("*.html"))
    found: dict[str, list[tuple[str, list[tuple[str, int]]]]] = defaultdict(list)
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=[*CHROMIUM_ARGUMENTS])
        page = browser.new_page(viewport={"width": width, "height": 664})
        for path in pages:
            page.goto(path.resolve().as_uri(), wait_until="load")
            name = path.relative_to(site).as_posix()
            if parts := wide_parts(page):
                found[kind_of(name)].append((name, parts))
        browser.close()
    for kind, those in sorted(found.items(), key=lambda item: -len(item[1])):
        parts = {part: over for _, wide in those for part, over in wide}
        said = ", ".join(f"{part} by {over}" for part, over in parts.items())
        print(f"{len(those):4}  {kind}{'  (must)' if may_be_wide(those[0][0]) else ''}: {said}; as {those[0][0]}")
    others = sum(not may_be_wide(name) for those in found.values() for name, _ in those)
    print(f"{sum(map(len, found.values()))} of {len(pages)} pages scroll sideways, {others} without a reason given")


if __name__ == "__main__":
    main(Path(sys.argv[1]), *map(int, sys.argv[2:]))
