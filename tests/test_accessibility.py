"""For everyone: axe-core on every kind of page, small screens, large print, no motion, fingers, keyboard, paper.

Standard: W3C, Web Content Accessibility Guidelines (WCAG) 2.2, levels A and AA; criteria are named at each check.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path
from typing import Any

import pytest
from access import (
    CONTRAST,
    NARROW,
    RULES,
    WIDE,
    cut_off,
    pages_of_every_kind,
    show,
    small_text,
    text_size,
    too_wide,
    violations,
    wrong_in,
    wrong_in_print,
)
from playwright.sync_api import Browser, Page
from staticserver import until

pytestmark = pytest.mark.browser

PARTS = 4
in_parts = pytest.mark.parametrize("part", range(PARTS))
"""Cuts the pages to look at, so that several processes can share them."""

ALIKE = 2
"""Of how many texts that tags and classes make alike the contrast is looked at: a row of a table, then the others."""


def opened(
    browser: Browser, site: Path, part: int | None = None, pages: tuple[str, ...] = (), **settings: Any
) -> Iterator[tuple[str, Page]]:
    """The pages that stand for all others, or one part of them, in turn, in one browser window with ``settings``.

    Each is seen as on a first visit: no choice of colours is remembered from the page before.
    """
    context = browser.new_context(bypass_csp=True, **settings)
    context.add_init_script("localStorage.clear()")
    page = context.new_page()
    pages = pages or pages_of_every_kind(site)
    for uri in pages if part is None else pages[part::PARTS]:
        page.goto((site / uri).as_uri())
        yield uri, page
    context.close()


@in_parts
def test_axe_finds_nothing_on_any_kind_of_page(part: int, site: Path, browser: Browser) -> None:
    """Every page on a phone and on a desk, in light and in the dark: light on the one, dark on the other, in turn, for
    colours do not depend on the width. Rules of other things, which seldom do, are looked at on both for every second
    page. (``measure_access.py`` looks at all of it, and at every text.)

    Also WCAG 2.3.3 (AAA, kept all the same): reduced motion stops transitions and animations.
    """
    found = []
    looks = (NARROW, RULES), (WIDE, RULES), (WIDE, RULES), (NARROW, CONTRAST)
    pages = opened(browser, site, part, reduced_motion="reduce")
    for (uri, page), two in zip(pages, cycle((looks[:2], looks[2:])), strict=False):
        for colours, (width, rules) in zip(("light", "dark"), two, strict=True):
            wrong = wrong_in(page, colours, width, ALIKE, rules)
            found += [f"{uri}, {width} pixels, {colours}: {line}" for line in wrong]
        seconds = page.evaluate(LONGEST_MOTION)
        found += [f"{uri}: moves for {seconds} s"] if seconds > 0.01 else []
    assert not found, "\n".join(found)


@in_parts
def test_what_is_printed_has_contrast(part: int, site: Path, browser: Browser) -> None:
    """WCAG 1.4.3: one page of each folder; the dark theme prints on white."""
    rooms = {uri.rpartition("/")[0]: uri for uri in pages_of_every_kind(site)}
    found = []
    for uri, page in opened(browser, site, part, tuple(rooms.values()), color_scheme="dark"):
        found += [f"{uri}: {line}" for line in wrong_in_print(page, ALIKE)]
    assert not found, "\n".join(found)


LONGEST_MOTION = """
Math.max(0, ...[...document.querySelectorAll("*")].flatMap((element) => {
  const style = getComputedStyle(element);
  return `${style.transitionDuration},${style.animationDuration}`.split(",").map(parseFloat);
}).filter(Number.isFinite))
"""


def test_axe_notices_what_is_wrong(browser: Browser) -> None:
    page = browser.new_page()
    pale = "style='color:#bbb;background:#fff'"
    field = f"<input aria-label='pale' value='pale' {pale}>"
    link = "<p>words <a href='/' style='color:#00e;text-decoration:none'>link</a></p>"
    page.set_content(f"<html><body><img src='x.png'><p {pale}>pale</p><div>{field}</div>{link}</body></html>")
    rules = " ".join(violations(page, alike=1))
    page.close()
    assert re.search("color-contrast [^:]*: .'input'", rules)
    assert "link-in-text-block" in rules
    assert "image-alt" in rules
    assert "color-contrast" in rules
    assert "html-has-lang" in rules


def test_nothing_is_lost_on_a_small_screen_and_what_is_pressed_is_large_enough(site: Path, browser: Browser) -> None:
    """WCAG 1.4.10 Reflow and 1.4.4 Resize text (200 %, which is half as many pixels across): no scrolling in two
    directions, but for tables and pictures in a frame that scrolls. 44 by 44 pixels for a thumb: WCAG 2.5.5 (AAA),
    more than the 24 that AA asks for; links in running text are exempt there. Letters of twice the size in the
    browser's own settings, and none under 12 pixels at the size it comes with.
    """
    lost = []
    for uri, page in opened(browser, site, device_scale_factor=2, has_touch=True):
        for width, height in ((320, 640), (640, 480)):
            show(page, width, height)
            needed = page.evaluate("document.documentElement.scrollWidth")
            if needed > width:
                lost.append(f"{uri}: {needed} pixels wide on {width}, {widest(page)}")
        show(page, NARROW)
        lost += [f"{uri}: {element}" for element in page.evaluate(SMALL)]
        lost += [f"{uri}: {text}" for text in small_text(page)]
        text_size(page, 200)
        if (over := too_wide(page)) > 0:
            lost.append(f"{uri}: {over} pixels too wide in letters of twice the size, {widest(page)}")
        lost += [f"{uri}: cut off in letters of twice the size: {element}" for element in cut_off(page)]
        text_size(page, 100)
    assert not lost, "\n".join(lost)


def widest(page: Page) -> str:
    """The element that makes the page too wide, for the report."""
    return str(
        page.evaluate(
            """() => {
              const edge = document.documentElement.clientWidth;
              const out = [...document.querySelectorAll("body *")].filter((element) =>
                element.getBoundingClientRect().right > edge + 1 &&
                ![...ancestors(element)].some((above) => getComputedStyle(above).overflowX !== "visible"));
              function* ancestors(element) {
                while ((element = element.parentElement) && element !== document.body) yield element;
              }
              return out.slice(0, 3).map((element) => element.outerHTML.slice(0, 120)).join(" | ");
            }"""
        )
    )


SMALL = """
() => {
  const targets = ":is(button, select, summary, input:not([type=hidden]), [role=button], [role=tab], .bb-button)";
  const found = [];
  for (const element of document.querySelectorAll(`main ${targets}, header ${targets}, body > ${targets}`)) {
    if (!element.checkVisibility({ opacityProperty: true, visibilityProperty: true })) continue;
    if (element.closest(".md-search, [hidden]")) continue;
    let box = element.getBoundingClientRect();
    const label = element.labels && element.labels[0];
    if (label && (element.type === "radio" || element.type === "checkbox")) box = label.getBoundingClientRect();
    if (box.width < 2 || box.height < 2) continue;
    if (box.width < 43.5 || box.height < 43.5)
      found.push(`${box.width.toFixed(0)} x ${box.height.toFixed(0)}: ${element.outerHTML.slice(0, 110)}`);
  }
  return found.slice(0, 5);
}
"""


FIRST_IN_MENU = """
() => {
  const links = [...document.querySelectorAll(".md-sidebar--primary .md-nav__list a[href]")];
  const shown = links.filter((link) => {
    const { left, top, width, height } = link.getBoundingClientRect();
    return width && link.contains(document.elementFromPoint(left + width / 2, top + height / 2));
  });
  return shown.length > 1 && shown[0] === document.activeElement;
}
"""


def test_menu_and_search_open_by_keyboard_with_a_visible_focus(site: Path, browser: Browser) -> None:
    """WCAG 2.1.1 Keyboard, 2.4.7 Focus visible, 4.1.2 Name, role, value."""
    page = browser.new_page(viewport={"width": NARROW, "height": 844})
    page.goto((site / "index.html").as_uri())
    for name in ("Menu", "Search"):
        button = page.get_by_role("button", name=name, exact=True)
        for _ in range(20):
            page.keyboard.press("Tab")
            if button.evaluate("(element) => element === document.activeElement"):
                break
        assert button.evaluate("(element) => element === document.activeElement"), f"{name} is not reached"
        assert button.evaluate("(element) => getComputedStyle(element).outlineStyle") == "solid"
        assert button.get_attribute("aria-expanded") == "false"
        page.keyboard.press("Enter")
        assert button.get_attribute("aria-expanded") == "true"
        if name == "Menu":
            until(lambda: page.evaluate(FIRST_IN_MENU), "the first link of the open menu has not the focus", 10)
            page.keyboard.press("Escape")
            assert button.get_attribute("aria-expanded") == "false"
            assert button.evaluate("(element) => element === document.activeElement")
    assert page.evaluate("document.activeElement.name") == "query"
    page.close()


def test_every_page_says_its_language_and_its_title_and_has_one_main_heading(site: Path) -> None:
    """WCAG 3.1.1 Language of page, 2.4.2 Page titled."""
    wrong = []
    for path in sorted(site.rglob("*.html")):
        html = path.read_text(encoding="utf-8")
        main_headings = len(re.findall(r"<h1[\s>]", html))
        if not re.search(r"<html[^>]* lang=\"?\w", html) or not re.search(r"<title>[^<]{3,}</title>", html):
            wrong.append(f"{path.name}: no language or title")
        if main_headings != 1:
            wrong.append(f"{path.relative_to(site)}: {main_headings} main headings")
    assert not wrong, "\n".join(wrong[:20])
