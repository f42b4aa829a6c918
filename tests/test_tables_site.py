"""The tables in a real browser: on a phone nothing is wider than the screen but what scrolls on its own."""

from __future__ import annotations

from pathlib import Path

import pytest

pytestmark = pytest.mark.browser

PAGES = [
    "instruments/index.html", "instruments/euphonium-comp.html", "instruments/trombone-f.html",
    "instruments/drums.html", "tables/transposition-explained.html", "tables/transposition.html", "tables/keys.html",
    "tables/fingerings.html", "tables/ranges.html", "tables/moving.html", "tables/slide.html", "tables/data.html",
    "tables/blocks.html",
]  # fmt: skip


@pytest.mark.parametrize("address", PAGES)
def test_a_phone_shows_every_table_without_scrolling_the_page_sideways(site: Path, browser, address: str) -> None:  # type: ignore[no-untyped-def]
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto((site / address).as_uri())
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    # what is wider than the screen stands in a region that scrolls, has a name, and can be reached by keyboard
    wide = page.evaluate(
        """() => [...document.querySelectorAll('.bb-chart')].filter(table => table.offsetWidth > innerWidth)
        .map(table => table.closest('[role=region][tabindex="0"][aria-labelledby]') !== null)"""
    )
    assert all(wide)
    small = page.evaluate(
        "() => [...document.querySelectorAll('.bb-jumps a')]"
        ".filter(link => link.checkVisibility() && link.offsetHeight < 44).length"
    )
    assert small == 0
    page.close()


def test_repeated_outlines_are_drawn(site: Path, browser) -> None:  # type: ignore[no-untyped-def]
    # a <use> that points nowhere would leave an empty staff: every one must have a size of its own
    page = browser.new_page()
    page.goto((site / "instruments/cornet.html").as_uri())
    uses = page.locator(".bb-chart-notes .bb-staff use")
    assert uses.count() > 60
    assert uses.evaluate_all("found => found.filter(use => !use.getBBox().width).length") == 0
    page.close()


def test_the_chart_stands_without_script(site: Path, browser) -> None:  # type: ignore[no-untyped-def]
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((site / "instruments/tenor-horn.html").as_uri())
    row = page.locator(".bb-chart-notes tr", has_text="D4").first
    assert "1-3" in row.inner_text()
    context.close()


def test_the_files_for_others_are_linked_and_there(site: Path) -> None:
    page = (site / "tables" / "data.html").read_text(encoding="utf-8")
    for name in ("notes.csv", "keys.csv", "equivalence.csv"):
        assert f'href="../data/{name}"' in page
        assert (site / "data" / name).stat().st_size > 500
