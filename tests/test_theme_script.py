"""What the theme's script would do on a page stands in one of our own, and the search comes when it is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page
from staticserver import drawn, until

pytestmark = pytest.mark.browser

SCHEME = "document.body.dataset.mdColorScheme"
SEARCH = ("bundle.", "search_index", "iframe-worker", "search.")
"""Parts of names of what only searching needs."""


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A wide window without motion; fails on any error in a page."""
    made = browser.new_context(viewport={"width": 1280, "height": 700}, reduced_motion="reduce", color_scheme="dark")
    made.add_init_script("delete Navigator.prototype.serviceWorker")
    errors: list[str] = []
    made.on("weberror", lambda error: errors.append(str(error.error)))
    yield made
    made.close()
    assert not errors


@pytest.mark.parametrize("how", ["tap", "key", "disk"])
def test_the_search_is_fetched_when_somebody_searches(
    context: BrowserContext, server: str, site: Path, how: str
) -> None:
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url.rsplit("/", 1)[1]))
    page.goto((site.as_uri() + "/" if how == "disk" else server) + "guide/embouchure.html")
    assert asked
    assert not [name for name in asked if any(part in name for part in SEARCH)]
    if how == "key":
        page.keyboard.press("/")
    else:
        page.locator("[data-md-component=search-query]").click()
    page.keyboard.type("braces")  # before it has come
    first = page.locator(".md-search-result__link").first
    first.wait_for()
    assert "Lips, teeth and braces" in first.inner_text()
    assert page.locator("[data-md-component=search-query]").evaluate("(box) => box === document.activeElement")
    page.keyboard.press("Escape")
    assert not first.is_visible()
    for _ in range(3):  # the Tab key passes by what was found
        page.keyboard.press("Tab")
        assert not page.evaluate("Boolean(document.activeElement.closest('.md-search__output'))")


def test_that_scripts_run_is_said_before_there_is_a_page(context: BrowserContext, server: str, site: Path) -> None:
    """Said later, all of the page would be styled a second time."""
    page = context.new_page()
    page.goto(server + "share.html")
    assert page.evaluate("document.documentElement.classList.contains('js')")  # the policy lets it run
    head, _, body = (site / "share.html").read_text(encoding="utf-8").partition("<body")
    assert "no-js" in head.partition("<script>")[2]
    assert "no-js" not in body


def page_without(script: str, context: BrowserContext, server: str) -> tuple[Page, Locator]:
    """A page for which a script cannot be fetched, and the box that is searched in."""
    page = context.new_page()
    page.route(script, lambda route: route.abort())
    page.goto(server + "share.html")
    return page, page.locator("[data-md-component=search-query]")


def test_the_themes_own_search_answers_where_ours_cannot_be_had(context: BrowserContext, server: str) -> None:
    page, box = page_without("**/search.js*", context, server)
    box.click()
    page.keyboard.type("braces")
    page.locator(".md-search-result__link").first.wait_for()
    assert "braces" in page.locator(".md-search-result__list").inner_text().lower()


def test_a_search_that_cannot_be_fetched_says_so_and_can_be_tried_again(context: BrowserContext, server: str) -> None:
    page, box = page_without("**/bundle.*", context, server)
    box.focus()
    said = page.locator(".md-search-result__meta")
    until(lambda: "could not be fetched" in str(said.text_content()), "nothing said", 10)
    page.unroute("**/bundle.*")
    box.blur()
    box.focus()
    box.press_sequentially("braces")
    page.locator(".md-search-result__link").first.wait_for()


def test_colours_follow_the_device_until_one_is_chosen(context: BrowserContext, server: str) -> None:
    page = context.new_page()

    def follows(device: Literal["light", "dark"]) -> str:
        page.emulate_media(color_scheme=device)
        drawn(page)
        return str(page.evaluate(SCHEME))

    page.goto(server + "share.html")
    assert page.evaluate(SCHEME) == "slate"
    assert follows("light") == "default"
    assert follows("dark") == "slate"
    page.get_by_title("Switch to light").click()
    assert page.evaluate(SCHEME) == "default"
    page.goto(server + "guide/index.html")
    assert page.evaluate(SCHEME) == "default"
    assert follows("light") == follows("dark") == "default"
    assert page.get_by_title("Switch to dark").is_visible()


def test_folds_open_around_what_an_address_points_to_and_for_print(context: BrowserContext, server: str) -> None:
    page = context.new_page()
    page.goto(server + "tunes/hot-cross-buns.html")
    inside = page.locator("main details:not([open]) [id]").first.get_attribute("id")
    closed = page.locator("main details:not([open])").count()
    page.emulate_media(media="print")
    until(lambda: page.locator("main details:not([open])").count() == 0, "folds stay shut on paper", 5)
    page.emulate_media(media="screen")
    until(lambda: page.locator("main details:not([open])").count() == closed, "folds stay open after print", 5)
    page.goto(f"{server}tunes/hot-cross-buns.html#{inside}")
    until(lambda: page.locator(f"details[open] #{inside}").count(), "the fold stays shut", 5)


def test_lists_beside_the_text_stay_and_follow(context: BrowserContext, server: str) -> None:
    page = context.new_page()
    page.goto(server + "guide/embouchure.html")
    page.get_by_role("heading", name="Stop when").evaluate("(heading) => heading.scrollIntoView()")
    marked = page.locator(".md-sidebar--secondary .md-nav__link--active")
    until(lambda: marked.all_inner_texts() == ["Stop when"], "the list of headings does not follow", 5)
    for name in ("primary", "secondary"):
        place = page.locator(f".md-sidebar--{name} .md-sidebar__scrollwrap").bounding_box()
        assert place
        assert 48 <= place["y"] < 100
        assert place["y"] + place["height"] <= 700
    assert "Setting the lips" in page.locator(".md-header__title--active").inner_text()
    top = page.get_by_role("button", name="Back to top")
    assert not top.is_visible()
    page.mouse.wheel(0, -100)
    top.click()
    until(lambda: page.evaluate("scrollY") == 0, "not back at the top", 5)
