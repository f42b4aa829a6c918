"""What a leader does in rehearsal, on three phones in real Chromium: how many taps, and nothing scrolled for it.

Every tap is one of a finger on what is in sight, where it is seen; Playwright's own taps would scroll there first.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest
from playwright.sync_api import Browser, Locator, Page
from staticserver import drawn

pytestmark = pytest.mark.browser

SCREENS = ((390, 664), (320, 568), (844, 390))
"""A phone of today, a small one, and the first on its side; without the browser's own bars."""

SEEN = """
(element) => {
  const { left, right, top, bottom } = element.getBoundingClientRect();
  const x = (left + right) / 2, y = (top + bottom) / 2;
  if (left < 0 || top < 0 || right > innerWidth + 0.5 || bottom > innerHeight + 0.5) return null;
  const there = document.elementFromPoint(x, y);
  return there && (element.contains(there) || there.contains(element)) ? [x, y] : null;
}
"""
"""The middle of an element that is wholly on the screen with nothing over it."""


class Hand:
    """A page as a hand uses it: counts taps, and never scrolls."""

    def __init__(self, page: Page, home: str) -> None:
        self.page, self.home, self.taps = page, home, 0

    def start(self) -> None:
        """At home, at the top, with nothing tapped yet."""
        self.page.goto(self.home)
        self.taps = 0

    def seen(self, target: Locator) -> list[float] | None:
        """Where ``target`` is seen, or ``None``."""
        drawn(self.page)
        where: list[float] | None = target.evaluate(SEEN)
        return where

    def tap(self, target: Locator) -> None:
        """Tap ``target``, which must be in sight."""
        target.wait_for(state="attached")
        where = self.seen(target)
        assert where, f"tap {self.taps + 1} is not in sight: {target.evaluate('(element) => element.outerHTML')[:160]}"
        self.page.touchscreen.tap(*where)
        self.taps += 1


@pytest.fixture(scope="module", params=SCREENS, ids=lambda size: f"{size[0]}x{size[1]}")
def hand(request: pytest.FixtureRequest, browser: Browser, site: Path) -> Iterator[Hand]:
    """One window for all tasks, on the morning of a lesson; fails on any error in a page."""
    width, height = request.param
    context = browser.new_context(
        viewport={"width": width, "height": height}, has_touch=True, reduced_motion="reduce", accept_downloads=True
    )
    page = context.new_page()
    page.clock.set_fixed_time(datetime(2027, 1, 20, 12))
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield Hand(page, (site / "index.html").as_uri())
    context.close()
    assert not errors


def link(page: Any, name: str) -> Locator:
    found: Locator = page.locator("main").get_by_role("link", name=name, exact=True).locator("visible=true").first
    return found


def test_the_cornet_plays_a_written_e_what_does_the_tenor_horn_play(hand: Hand) -> None:
    hand.start()
    hand.tap(link(hand.page, "B♭ cornet"))
    hand.tap(hand.page.get_by_role("radio", name="E 4", exact=True).locator(".."))
    hand.page.locator("#bb-lu-answer > :last-child:not([aria-busy]) .bb-lu-row").first.wait_for()
    row = hand.page.locator(".bb-lu-row", has_text="tenor horn").first
    assert hand.seen(row), "the tenor horn's row is out of sight"
    # Written E sounds concert D; an E flat player reads B for it, first line of the staff below (common practice).
    assert re.search(r"B\s*4", row.inner_text())
    assert hand.taps == 2


def test_today_s_card_alone_and_with_the_sheets(hand: Hand) -> None:
    for name, ending in (("Print the card", "-card.pdf"), ("Print all", ".pdf")):
        hand.start()
        target = link(hand.page, name)
        assert str(target.get_attribute("href")).endswith(ending)
        assert hand.seen(target), f"{name} is out of sight"  # the tap itself leaves the page for a viewer of PDFs


def test_what_can_we_play_today(hand: Hand) -> None:
    hand.start()
    hand.tap(link(hand.page, "What can we play today?"))
    first = hand.page.locator(".bb-today section li").locator("visible=true").first
    first.wait_for()
    assert hand.seen(first.locator("a").first)
    assert hand.taps == 1


def test_hear_the_music_of_the_lesson_slowly(hand: Hand) -> None:
    hand.start()
    hand.tap(link(hand.page, "Music"))
    slow = hand.page.get_by_role("region", name="Player").get_by_role("button", name=re.compile("^Play .* at 50 %$"))
    slow.wait_for()
    hand.tap(slow)
    stop = hand.page.get_by_role("region", name="Player").get_by_role("button", name=re.compile("^Stop "))
    assert hand.seen(stop)
    assert hand.taps == 2
    hand.tap(stop)


def test_hear_a_tune_slowly_that_can_be_played_today(hand: Hand) -> None:
    hand.start()
    hand.tap(link(hand.page, "What can we play today?"))
    hand.tap(hand.page.locator(".bb-today section li").get_by_role("button", name="Slowly").nth(1))
    bar = hand.page.get_by_role("region", name="Player")
    stop = bar.get_by_role("button", name=re.compile("^Stop .* at 50 %$"))
    assert hand.seen(stop)
    assert not bar.get_by_role("button", name="Repeat").count(), "no bar can be tapped where no music is shown"
    assert hand.taps == 2
    hand.tap(stop)


def test_hear_a_tune_of_the_list_slowly(hand: Hand) -> None:
    """From the list of all tunes, or of pieces: the list's own tap, and one on the line."""
    for name in ("tunes", "pieces"):
        hand.page.goto(hand.home.replace("index.html", f"{name}/index.html"))
        hand.taps = 1
        hand.tap(hand.page.get_by_role("main").get_by_role("button", name="Slowly").first)
        assert hand.taps == 2
        hand.tap(hand.page.get_by_role("region", name="Player").get_by_role("button", name="Stop"))


def test_a_tone_on_concert_b_flat(hand: Hand) -> None:
    hand.start()
    hand.tap(hand.page.locator("main").get_by_role("link", name=re.compile("[Tt]uning tone")).first)
    tone = hand.page.get_by_role("button", name="Concert B♭").first
    tone.wait_for()
    hand.tap(tone)
    assert tone.get_attribute("aria-pressed") == "true"
    assert hand.taps == 2


def test_moved_from_the_cornet_to_the_e_flat_bass_what_changes(hand: Hand) -> None:
    hand.start()
    hand.tap(link(hand.page, "Moving a player"))
    hand.tap(hand.page.get_by_role("radio", name="E♭ bass", exact=True).locator(".."))
    found = hand.page.locator(".bb-move-found")
    for change in found.locator("dl > div").all():
        assert hand.seen(change), f"{change.inner_text()} is out of sight"
    # Larger mouthpiece, a fifth and an octave lower, the same fingers (common practice).
    assert "an octave and a fifth lower" in found.inner_text()
    assert "Stays: fingers" in found.inner_text()
    assert hand.taps == 2


def test_tomorrow_without_a_signal(hand: Hand) -> None:
    """A line on the home page, no tap; its longest words take no second one. (What it says: test_offline.py.)"""
    page = Path(unquote(urlsplit(hand.home).path)).read_text(encoding="utf-8")
    assert 'data-bb-saved="line"></p>' in page, "without script nothing is known of what is saved"
    hand.start()
    line = hand.page.locator("[data-bb-saved=line]")
    assert hand.seen(line), "what is saved is out of sight"
    assert line.inner_text() == "Opened from a folder: all of it is here."
    height = line.bounding_box()
    line.evaluate("(line) => { line.textContent = 'Saved on this device: 888 of 888 pages.'; }")
    assert line.bounding_box() == height
    assert hand.taps == 0
