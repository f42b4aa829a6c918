"""What tests of accessibility share: the pages that stand for all others, and axe-core run on one of them."""

from __future__ import annotations

import re
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

from lxml import html
from playwright.sync_api import Page
from staticserver import drawn

NARROW, WIDE = 390, 1280
"""Widths of a phone and of a desk, pixels."""

AXE = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
"""axe-core, https://github.com/dequelabs/axe-core, as the PyPI package axe-playwright-python carries it."""

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
"""WCAG 2.2, levels A and AA, and what the makers of axe-core advise beyond it."""


@lru_cache(maxsize=1)
def pages_of_every_kind(site: Path) -> tuple[str, ...]:
    """Pages that among them show every kind of element there is on the site, and every kind of page; few and small.

    The kind of an element is its tag, role, type and each of its classes; what is inside a drawing does not count. The
    page with most kinds not yet seen comes first. The kind of a page is its folder, with numbers taken out of names;
    single pages at the top, section indexes and the tables are kinds of their own.
    """
    elements = {path: elements_of(path) for path in sorted(site.rglob("*.html")) if path.name != "404.html"}
    unseen = set[tuple[str, ...]]().union(*elements.values())
    chosen: dict[str, Path] = {}
    while unseen:
        path = max(elements, key=lambda path: (len(unseen & set(elements[path])), -len(elements[path])))
        unseen -= set(elements[path])
        chosen[path.relative_to(site).as_posix()] = path
    kinds = {kind_of_page(uri) for uri in chosen}
    for path in elements:
        uri = path.relative_to(site).as_posix()
        if kind_of_page(uri) not in kinds:
            kinds.add(kind_of_page(uri))
            chosen[uri] = path
    return tuple(chosen)


def elements_of(path: Path) -> list[tuple[str, ...]]:
    """The kind of each element of a page, outside drawings."""
    page = html.parse(path, html.HTMLParser(encoding="utf-8"))
    return [
        (element.tag, element.get("role", ""), element.get("type", ""), name)
        for element in page.xpath("//*[not(ancestor::svg)]")
        for name in element.get("class", "").split() or [""]
    ]


def kinds_of_page(site: Path) -> set[str]:
    return {kind_of_page(path.relative_to(site).as_posix()) for path in site.rglob("*.html")}


def kind_of_page(uri: str) -> str:
    folder, _, name = re.sub(r"\d+", "N", uri).rpartition("/")
    return f"{folder}/{name}" if folder in ("", "tables", "take-away") or name == "index.html" else folder


CONTRAST = ["color-contrast", "link-in-text-block"]
"""The rules of axe-core about colours, which take longer than all others together: they look at each text and at each
link in a text where it stands."""

_SOME_TEXTS = """
(most) => {
  const seen = new Map(), some = new Set();
  const look = (element) => {
    if (some.has(element) || !element.checkVisibility()) return;
    let kind = "";
    for (let above = element; above && above !== document.body; above = above.parentElement) {
      kind += `${above.tagName} ${above.getAttribute("class") ?? ""}>`;
    }
    seen.set(kind, (seen.get(kind) ?? 0) + 1);
    if (seen.get(kind) <= most) some.add(element);
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) if (node.data.trim()) look(node.parentElement);
  document.querySelectorAll("input, select, textarea").forEach(look);
  return [...some];
}
"""
"""The first few elements of each kind that text stands in, and fields to fill in, whose words are no text of the page.
Of one kind are those whose tags and classes are alike all the way up, since style sheets colour by these."""


def violations(page: Page, rules: list[str] = RULES, alike: int = 10**6) -> list[str]:
    """What axe-core finds wrong with the page as it stands, one line each.

    Of texts alike, no more than ``alike`` have their contrast looked at.
    """
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE)
    others = {"runOnly": rules, "rules": {rule: {"enabled": False} for rule in CONTRAST}}
    found = [] if rules == CONTRAST else _found(page, "document", others)
    return found + _found(page, f"{{include: ({_SOME_TEXTS})({alike})}}", {"runOnly": CONTRAST})


def _found(page: Page, place: str, options: dict[str, Any]) -> list[str]:
    options["resultTypes"] = ["violations"]
    found: dict[str, Any] = page.evaluate(f"(options) => axe.run({place}, options)", options)
    return [
        f"{rule['id']} ({rule['impact']}): {node['target']} {node['html'][:160]} {node['failureSummary']}"
        for rule in found["violations"]
        for node in rule["nodes"][:3]
    ]


def show(page: Page, width: int, height: int = 844) -> None:
    """Show the open page in another size, and wait until it is drawn so."""
    page.set_viewport_size({"width": width, "height": height})
    drawn(page)


def wrong_in(
    page: Page, colours: Literal["light", "dark"], width: int, alike: int = 10**6, rules: list[str] = RULES
) -> list[str]:
    """What is wrong with the open page in these colours and at this width. (A page chooses its colours as it opens.)"""
    page.emulate_media(media="screen", color_scheme=colours)
    if is_light(page) != (colours == "light"):
        page.reload()
    show(page, width)
    return violations(page, rules, alike) + ([] if is_light(page) == (colours == "light") else [f"not {colours}"])


def wrong_in_print(page: Page, alike: int = 10**6) -> list[str]:
    """What is pale on the open page as printed, whatever its colours on the screen."""
    page.emulate_media(media="print")
    show(page, 800, 1100)
    background = page.evaluate("getComputedStyle(document.body).backgroundColor")
    white = background in ("rgb(255, 255, 255)", "rgba(0, 0, 0, 0)")
    return violations(page, CONTRAST, alike) + ([] if white else [f"prints on {background}"])


def is_light(page: Page) -> bool:
    """Whether the page's background is, by its red from 0 to 255."""
    background = page.evaluate("getComputedStyle(document.body).backgroundColor")
    return int(re.findall(r"\d+", background)[0]) > 128


SMALLEST = 12
"""No text is smaller, pixels; drawn text included."""

_SMALL_TEXT = """
(smallest) => {
  const found = new Map();
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const element = node.parentElement;
    if (!node.data.trim() || element.closest("script, style, noscript, title, desc, option")) continue;
    if (!element.checkVisibility({ opacityProperty: true, visibilityProperty: true })) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const box = range.getBoundingClientRect();
    if (box.width < 2 || box.height < 2) continue;
    let size = parseFloat(getComputedStyle(element).fontSize);
    const drawn = element.closest("svg") && element.getScreenCTM?.();
    if (drawn) size *= Math.hypot(drawn.a, drawn.b);
    const name = element.className.baseVal ?? element.className;
    const kind = `${element.tagName} ${name || element.parentElement.getAttribute("class") || ""}`.trim();
    const said = `${size.toFixed(1)} px: ${kind}: ${node.data.trim().slice(0, 40)}`;
    if (size < smallest - 0.05 && !found.has(kind)) found.set(kind, said);
  }
  for (const field of document.querySelectorAll("select, textarea, input:not([type=radio], [type=checkbox])")) {
    const size = parseFloat(getComputedStyle(field).fontSize);
    const name = field.outerHTML.slice(0, 60);
    if (size < smallest - 0.05 && field.checkVisibility()) found.set(name, `${size} px: ${name}`);
  }
  return [...found.values()];
}
"""


def small_text(page: Page) -> list[str]:
    """What is read on the open page in letters smaller than :data:`SMALLEST`, one line a kind of element."""
    found: list[str] = page.evaluate(_SMALL_TEXT, SMALLEST)
    return found


def text_size(page: Page, percent: int) -> None:
    """Set the size of letters in the browser's own settings, where pages begin; 100 is what it comes with."""
    sizes = {"standard": 16 * percent // 100, "fixed": 13 * percent // 100}
    page.context.new_cdp_session(page).send("Page.setFontSizes", {"fontSizes": sizes})


def too_wide(page: Page) -> int:
    """By how many pixels the open page as a whole scrolls sideways."""
    over: int = page.evaluate("document.scrollingElement.scrollWidth - document.scrollingElement.clientWidth")
    return over


_CUT = """
() => {
  const found = new Set();
  const scrolls = (element) => {
    for (let above = element.parentElement; above && above !== document.body; above = above.parentElement)
      if (/auto|scroll/.test(getComputedStyle(above).overflowX)) return true;
    return false;
  };
  for (const element of document.querySelectorAll("main *, .bb-bar *, body > nav *")) {
    if (!element.matches("a, button, label, summary, select, h1, h2, h3, dd")) continue;
    if (!element.checkVisibility({ opacityProperty: true, visibilityProperty: true }) || scrolls(element)) continue;
    const box = element.getBoundingClientRect();
    const range = document.createRange();
    range.selectNodeContents(element);
    const words = range.getBoundingClientRect();
    const spills = element.matches("button, label, summary") && words.width > box.width + 2;
    if (box.width > 2 && (box.right > innerWidth + 1 || spills)) found.add(element.outerHTML.slice(0, 110));
  }
  return [...found].slice(0, 5);
}
"""


def cut_off(page: Page) -> list[str]:
    """What stands out of the open page's right edge, or is too wide for the button it stands on."""
    found: list[str] = page.evaluate(_CUT)
    return found
