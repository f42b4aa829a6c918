"""By keyboard alone, from the top of the page, in real Chromium on the built site: look-up, a tune's player, a lesson.

WCAG 2.2: 2.1.1 Keyboard, 2.1.2 No keyboard trap, 2.4.3 Focus order, 2.4.7 Focus visible, 2.4.11 Focus not obscured,
4.1.2 Name, role, value, 4.1.3 Status messages (https://www.w3.org/TR/WCAG22/).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from staticserver import until

pytestmark = pytest.mark.browser

FOCUS = """
() => {
  const element = document.activeElement;
  if (!element || element === document.body) return null;
  const label = element.labels && element.labels[0];
  const shown = [element, element.nextElementSibling, label].filter(Boolean); // an unseen radio's ring is on its label
  const ring = shown.some((each) => {
    const style = getComputedStyle(each);
    return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2 && style.visibility === "visible";
  });
  const box = (label && element.matches("[type=radio], [type=checkbox]") ? label : element).getBoundingClientRect();
  const top = document.elementFromPoint(box.left + box.width / 2, box.top + Math.min(box.height / 2, 20));
  const own = top && [element, label].some((each) => each && (each.contains(top) || top.contains(each)));
  return { key: element.id || element.value || element.className, tag: element.tagName, ring, seen: Boolean(own),
    html: element.outerHTML.slice(0, 120) };
}
"""
"""What has the focus: whether a ring shows it, and whether it is on the screen and nothing lies over it."""

Open = Callable[..., Page]


@pytest.fixture
def open_page(browser: Browser) -> Iterator[Open]:
    """Opens an address on a phone without a finger; fails on any error in the page."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, reduced_motion="reduce")
    context.add_init_script("delete Navigator.prototype.serviceWorker")
    errors: list[str] = []

    def opened(address: str) -> Page:
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(address)
        return page

    yield opened
    context.close()
    assert not errors


def tab_to(page: Page, role: str, name: str, most: int = 80) -> Any:
    """Press Tab until the control is reached; everything passed on the way must be seen to have the focus."""
    wanted = page.get_by_role(role, name=name, exact=True).first  # type: ignore[arg-type]
    for _ in range(most):
        page.keyboard.press("Tab")
        focus = page.evaluate(FOCUS)
        assert focus, "the focus left the page"
        assert focus["ring"], f"no visible focus: {focus['html']}"
        # The theme opens its search a moment after that has the focus.
        until(lambda: (page.evaluate(FOCUS) or {}).get("seen"), f"the focus is hidden: {focus['html']}", 5)
        if wanted.evaluate("(element) => element === document.activeElement"):
            return wanted
    raise AssertionError(f"{role} {name!r} is not reached in {most} steps")


def answer(page: Page) -> str:
    return " ".join(page.locator("#bb-lu-answer > :first-child").inner_text().split())


def test_the_look_up(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/G4")
    said = page.locator("#bb-lu-said")
    reader = tab_to(page, "combobox", "Instrument")
    page.keyboard.press("ArrowDown")
    until(lambda: reader.input_value() != "cornet/treble-bb", "the arrow did not choose", 10)
    chosen = reader.evaluate("(select) => select.selectedOptions[0].text")
    assert said.inner_text().startswith(f"{chosen}, written ")
    page.keyboard.press("ArrowUp")
    tab_to(page, "radio", "written note")
    page.keyboard.press("ArrowRight")
    assert page.get_by_role("radio", name="concert note", exact=True).is_checked()
    page.keyboard.press("ArrowRight")
    tab_to(page, "checkbox", "Valve 1")
    page.keyboard.press("Space")
    assert page.get_by_role("checkbox", name="Valve 1", exact=True).is_checked()
    assert page.evaluate("document.activeElement.value") == "1"  # the same valve keeps the focus
    # Common practice, no source: written F, B flat and D are played with the first valve alone.
    for words in ("Press 1", " F 4", "B flat 4", "D 5"):
        assert words in said.inner_text()
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Tab")
    before, words = answer(page), said.inner_text()
    page.keyboard.press("ArrowRight")
    assert answer(page) != before
    assert said.inner_text() != words
    assert page.evaluate(FOCUS)["ring"]
    hear = tab_to(page, "button", "Hear it")
    page.keyboard.press("Enter")
    until(lambda: page.evaluate("Boolean(window.bandSound)"), "the note is not heard", 20)
    assert hear.evaluate("(element) => element === document.activeElement")
    page.keyboard.press("Tab")
    row = page.evaluate("document.activeElement.className")
    assert "bb-lu-row" in row.split()
    page.keyboard.press("Enter")
    until(lambda: reader.input_value() != "cornet/treble-bb", "a row does not lead to its player", 10)
    chosen = reader.evaluate("(select) => select.selectedOptions[0].text")
    until(
        lambda: said.inner_text().startswith(chosen), "what is said is not of that player", 10
    )  # it follows the frame
    page.keyboard.press("Tab")
    focus = page.evaluate(FOCUS)
    assert focus, "the focus is lost with the row that was pressed"
    assert page.evaluate("document.getElementById('bb-look-up').contains(document.activeElement)")


def test_the_instruments_shown(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/G4")
    rows = page.locator("#bb-lu-answer > :last-child:not([aria-busy]) .bb-lu-by")
    until(rows.count, "the band is not shown", 10)  # what comes later would move what has the focus
    tab_to(page, "combobox", "Instrument")
    page.locator("#bb-look-up .bb-lu-mine summary").focus()
    page.keyboard.press("Enter")
    box = tab_to(page, "checkbox", "B♭ flugelhorn")
    page.keyboard.press("Space")
    assert box.is_checked()
    assert page.evaluate("document.activeElement.value").startswith("flugelhorn")
    until(lambda: "B♭ flugelhorn" in rows.all_inner_texts(), "it is not shown", 10)


def test_a_tunes_player(open_page: Open, server: str) -> None:
    page = open_page(server + "tunes/three-friends.html")
    sheet = page.locator("#sheet-round")
    tab_to(page, "button", "Play Three Friends as a round")
    page.keyboard.press("Space")
    stop = page.get_by_role("button", name="Stop Three Friends as a round", exact=True)
    assert stop.evaluate("(element) => element === document.activeElement")
    until(lambda: sheet.locator(".bb-note.bb-now").count(), "no note is marked", 30)
    bar = page.get_by_role("region", name="Player")
    slower = tab_to(page, "button", "Play Three Friends as a round at 75 %", 200).element_handle()
    page.keyboard.press("Enter")
    assert slower.inner_text() == "Stop"
    assert slower.get_attribute("aria-label") == "Stop Three Friends as a round at 75 %"
    assert stop.count() == 1  # it goes on playing, and both buttons say so
    count = tab_to(page, "button", "Count in")
    page.keyboard.press("Space")
    assert count.get_attribute("aria-pressed") == "false"
    tab_to(page, "button", "Who")
    page.keyboard.press("Enter")
    mute = bar.get_by_role("button", name="Mute Group 1")
    mute.focus()
    page.keyboard.press("Enter")
    assert mute.get_attribute("aria-pressed") == "true"
    stop.focus()
    assert stop.evaluate("(element) => element === document.activeElement")
    page.keyboard.press("Enter")
    assert sheet.locator(".bb-now").count() == 0
    assert page.get_by_role("button", name="Play Three Friends as a round", exact=True).count() == 1
    fold = page.locator(".bb-jumps details")
    part = fold.locator("a").first
    tab_to(page, "link", "About the tune")
    page.keyboard.press("Tab")
    assert not part.is_visible()
    page.keyboard.press("Enter")  # on the fold, whose links come next
    page.keyboard.press("Tab")
    assert part.evaluate("(element) => element === document.activeElement")


def test_a_lessons_steps(open_page: Open, server: str) -> None:
    page = open_page(server + "course/lesson-08.html")
    status = page.get_by_role("status")
    start = tab_to(page, "button", "Start the clock")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.textContent") == "Pause"
    names = [box.get_attribute("aria-label") for box in page.locator(".bb-tick").all()]
    first, second = (str(name).removeprefix("Done: ") for name in names[:2])
    assert status.filter(has_text=f"Now: {first},").count() == 1
    box = tab_to(page, "checkbox", f"Done: {first}")
    page.keyboard.press("Space")
    assert box.is_checked()
    assert box.evaluate("(element) => element === document.activeElement")
    assert status.filter(has_text=f"Now: {second},").count() == 1
    page.keyboard.press("Space")
    assert not box.is_checked()
    running = page.locator(".bb-step-clock:visible")
    assert running.get_attribute("aria-live") == "off"  # its seconds are not read out
    for _ in range(80):
        page.keyboard.press("Shift+Tab")
        if page.evaluate("document.activeElement.textContent") == "Pause":
            break
    page.keyboard.press("Space")
    assert status.filter(has_text=f"Paused at: {first}.").count() == 1
    tab_to(page, "button", "Begin again")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.textContent") == "Start the clock"
    assert start.is_visible()
