"""Nothing is wider than a phone, but the few things that must be; ``measure_sideways.py`` looks at every page."""

from __future__ import annotations

from pathlib import Path

import pytest
from access import show
from playwright.sync_api import Browser
from sideways import MUST, may_be_wide, wide_parts

PAGES = (
    *("index.html", "set-up.html", "share.html", "tunes/index.html", "pieces/index.html", "instruments/index.html"),
    *("course/index.html", "course/today.html", "course/lesson-16.html", "course/sheets/lesson-16/cornet.html"),
    *("instruments/cornet.html", "instruments/trombone.html", "guide/index.html", "guide/troubles.html"),
    *("guide/words.html", "guide/habits-to-prevent.html", "guide/hearing.html", "tables/data.html"),
    *("guide/same-note-different-sound.html", "guide/what-a-band-needs.html", "tables/transposition-explained.html"),
    *("tables/keys.html", "tables/moving.html", "tables/fingerings.html", "tables/slide.html"),
    *("tables/transposition.html", "instruments/trombone-f.html", "guide/cupboard.html", "guide/key-signatures.html"),
    *("pieces/abide-with-me.html", "pieces/rehearse/abide-with-me.html", "tunes/hot-cross-buns.html"),
)
"""One of each kind of page with something that was wider once, or could become so."""


@pytest.mark.browser
def test_nothing_is_wider_than_a_phone_but_what_must_be(site: Path, browser: Browser) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 664})
    wide: list[str] = []
    for name in PAGES:
        page.goto((site / name).as_uri())
        for width in (390, 320):
            show(page, width)
            wide += [f"{name}, {width}: {part} by {over}" for part, over in wide_parts(page) if not may_be_wide(name)]
    page.close()
    assert not wide, "\n".join(wide)


def test_each_kind_that_may_be_wider_has_its_reason() -> None:
    assert all(len(reason.split()) > 5 for reason in MUST.values())
    assert not [name for name in PAGES if may_be_wide(name)]  # else the test above could not fail on it


CARDS = "main .bb-brief tbody tr:not(:has(.bb-group))"


@pytest.mark.browser
@pytest.mark.parametrize(
    ("uri", "cards"),
    [
        ("tunes/index.html", CARDS),
        ("pieces/index.html", CARDS),
        ("instruments/index.html", CARDS),
        ("share.html", "#what-to-send-to-whom ~ ul:has(~ #which-handbook-is-this) li"),
    ],
)
def test_cards_have_two_lines_or_few_have_three(site: Path, browser: Browser, uri: str, cards: str) -> None:
    """On a phone, on the smallest too but for what is sent to whom; and nothing of them is cut.

    A remark beside a long name may need a line more, in one card of seven.
    """
    page = browser.new_page(viewport={"width": 390, "height": 664})
    page.goto((site / uri).as_uri())
    for width in (390, 320) if cards == CARDS else (390,):
        show(page, width)
        heights = page.locator(cards).evaluate_all("(all) => all.map((one) => one.getBoundingClientRect().height)")
        assert len(heights) > 5
        assert sum(height >= 72 for height in heights) <= len(heights) / 7, (width, heights)
        assert max(heights) < 96, (width, heights)
        cut = "(all) => all.filter((one) => one.scrollWidth > one.clientWidth).map((one) => one.textContent)"
        assert not page.locator(f"{cards} :is(th, th + td)").evaluate_all(cut)
    page.close()


@pytest.mark.browser
def test_a_dot_stands_only_between_two_things(site: Path, browser: Browser) -> None:
    """Where the last column has nothing to say of a row, its card ends with a word."""
    page = browser.new_page(viewport={"width": 390, "height": 664})
    page.goto((site / "pieces/abide-with-me.html").as_uri())
    dotted = page.evaluate(
        """[...document.querySelectorAll("main .bb-stack tbody tr")].map((row) => {
          const said = [...row.querySelectorAll("td")].filter((cell) => cell.textContent.trim());
          return said.map((cell) => getComputedStyle(cell, "::after").content.includes("·"));
        })"""
    )
    page.close()
    assert [] not in dotted
    assert not [row for row in dotted if row[-1] or not all(row[:-1])]
