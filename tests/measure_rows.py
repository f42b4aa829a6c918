"""How many rows of the band the look-up shows above its picker, for every note of every instrument, on a phone.

``python tests/measure_rows.py SITE [WIDTH HEIGHT]`` opens the look-up of a built site in Chromium, 390×664 if no size
is given, picks each note of each player of the band in turn, and counts the rows that are whole above the picker
(beside it on a low screen: above the lower edge). Prints how many notes show how many rows, and the worst.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

sys.path[:0] = [str(Path(__file__).parent.parent / "hooks"), str(Path(__file__).parent)]

from conftest import CHROMIUM, CHROMIUM_ARGUMENTS  # noqa: E402

WANTED = 4
SHOWN = 15

COUNT = """
async (players) => {
  const drawn = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  const rest = document.querySelector("#bb-lu-answer > :last-child");
  const found = [];
  for (const player of players) {
    location.hash = `#${player}`;
    await drawn(); await drawn();
    for (const note of [...document.querySelectorAll("#bb-lu-pick [name=note]")].map((one) => one.value)) {
      document.querySelector(`#bb-lu-pick [value="${note}"]`).click();
      await drawn();
      while (rest.hasAttribute("aria-busy")) await drawn();
      scrollTo(0, 0);
      const tray = document.querySelector(".bb-lu-tray");
      const above = getComputedStyle(tray).position === "sticky";
      const floor = above ? tray.getBoundingClientRect().top : innerHeight;
      const rows = [...document.querySelectorAll(".bb-lu-row")].map((row) => row.getBoundingClientRect());
      const height = Math.max(...rows.map((row) => row.height), 0);
      found.push([player, note, rows.filter((row) => row.bottom <= floor + 1).length, rows.length,
        rows[0] ? Math.round(rows[0].top) : 0, Math.round(height)]);
    }
  }
  return found;
}
"""


def rows_shown(page: Page) -> list[tuple[str, str, int, int, int, int]]:
    """Of an open look-up: player, note, whole rows in sight, rows, where the first begins, height of the highest."""
    shown = "[...document.querySelectorAll('#bb-lu-player optgroup:first-child option')].map((one) => one.value)"
    return [tuple(row) for row in page.evaluate(COUNT, page.evaluate(shown))]


def main(site: Path, width: int = 390, height: int = 664) -> None:
    """Count, and print."""
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=[*CHROMIUM_ARGUMENTS])
        page = browser.new_page(viewport={"width": width, "height": height}, has_touch=True)
        page.goto((site / "look-up.html").resolve().as_uri())
        found = rows_shown(page)
        browser.close()
    counts = Counter(shown for _, _, shown, *_ in found)
    enough = sum(shown >= min(WANTED, rows) for _, _, shown, rows, *_ in found)
    print(f"{width}×{height}: {enough} of {len(found)} notes show {WANTED} rows or all there are")
    print(", ".join(f"{count} rows: {counts[count]}" for count in sorted(counts)))
    for row in sorted(found, key=lambda row: (row[2], -row[4]))[:SHOWN]:
        print("{} {}: {} of {} rows, the first from {}, the highest {} high".format(*row))


if __name__ == "__main__":
    main(Path(sys.argv[1]), *map(int, sys.argv[2:]))
