"""The look-up on its screens: what stands on one of them, what a finger, the keyboard and a screen reader get."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

import pytest
from looking_up import Open, answer, others, pages, pick, shows_address
from playwright.sync_api import expect
from staticserver import until

from beginnerband.data.book import Book
from beginnerband.music.answer import answer as answer_for
from beginnerband.music.pitch import Pitch
from beginnerband.pages.shared.readers import readers

pytestmark = pytest.mark.browser


@pytest.fixture
def open_page(browser: Any) -> Iterator[Open]:
    yield from pages(browser)


@pytest.mark.parametrize("width", [320, 390])
def test_targets_are_at_least_44_pixels(open_page: Open, server: str, width: int) -> None:
    for start in ("cornet/treble-bb/G4", "cornet/hand/1-2", "trombone/hand/3"):
        page = open_page(f"{server}look-up.html#{start}", viewport={"width": width, "height": 780})
        page.get_by_text("Choose the instruments shown here").tap()
        targets = page.locator("#bb-look-up :is(label:has(input):visible, select, a, button:visible, summary)")
        boxes = targets.evaluate_all(
            "(all) => all.map((one) => [one.getBoundingClientRect(), one.innerText]"
            ").map(([box, text]) => [Math.min(box.width, box.height), text])"
        )
        assert len(boxes) > 12
        assert [text for size, text in boxes if size < 44] == []
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.parametrize(("width", "height"), [(390, 664), (844, 390), (320, 568)])
def test_the_answer_the_band_and_the_notes_are_on_one_screen(
    open_page: Open, server: str, width: int, height: int
) -> None:
    """Two taps from home (the instrument, the note) and no scrolling: the note, the hand, the sound and four rows."""
    page = open_page(server + "index.html", viewport={"width": width, "height": height})
    page.get_by_role("link", name="B♭ cornet", exact=True).first.tap()
    page.get_by_role("radio", name="E 4", exact=True).locator("..").tap()
    page.locator("#bb-lu-answer > :last-child:not([aria-busy]) .bb-lu-row").first.wait_for()
    page.evaluate("scrollTo(0, 0)")
    tray = page.locator(".bb-lu-tray").bounding_box()
    assert tray["y"] + tray["height"] <= height + 1
    foot = tray["y"] if width < 700 else height
    main = page.locator(".bb-lu-main").bounding_box()
    assert main["y"] > 0
    assert page.get_by_role("button", name="Hear it").bounding_box()["y"] < foot
    whole = [
        row.locator(".bb-lu-by").inner_text()
        for row in page.locator(".bb-lu-row").all()
        if (box := row.bounding_box()) and box["y"] + box["height"] <= foot + 1
    ]
    assert len(whole) >= (4 if height > 600 else 2), whole
    if height != 568:
        assert any("tenor horn" in name for name in whole)
    assert page.evaluate(UNDER) == []


def test_four_rows_of_the_band_stand_above_the_notes_whatever_is_asked(open_page: Open, server: str) -> None:
    """Those whose answers are longest: low notes far out of tune, four valves, two clefs, a slide, a long name."""
    page = open_page(server + "look-up.html", viewport={"width": 390, "height": 664})
    longest = {"tenor-horn": "Gb3", "euphonium": "C#4", "eb-bass": "F#3", "euphonium-comp": "C#4", "trombone-f": "E3"}
    for player, note in longest.items():
        assert rows_in_sight(page, player, note) >= 4, (player, note)
    assert page.evaluate(UNDER) == []
    page.set_viewport_size({"width": 320, "height": 568})
    for player, note in {"euphonium-comp/bass-c": "B1", "trombone-f/bass-c": "E2"}.items():
        assert rows_in_sight(page, player, note) >= 2, (player, note)
    page.evaluate("(keys) => localStorage.setItem('bb-look-up-shown', JSON.stringify(keys))", FULL_ROWS)
    page.reload()  # those whose rows have most to say: a kind of euphonium, an octave and another clef
    for size, notes in {(390, 664): ("G3", "G#5"), (844, 390): ("F#3", "G#5")}.items():
        page.set_viewport_size(dict(zip(("width", "height"), size, strict=True)))
        for note in notes:
            assert rows_in_sight(page, "tenor-horn", note) >= 4, (size, note)
    assert page.evaluate(UNDER) == []
    unseen = page.locator(".bb-lu-row > small > span")  # what has no room is heard
    assert unseen.count()
    for row in page.locator(".bb-lu-row", has=unseen).all():
        expect(row).to_have_accessible_name(re.compile(re.escape(row.locator("small > span").inner_text().strip())))


FULL_ROWS = ["cornet/treble-bb", "tenor-horn/treble-eb", "trombone/treble-bb", "euphonium-4/treble-bb",
             "euphonium-comp/bass-c", "eb-bass/treble-eb", "bb-bass/bass-c"]  # fmt: skip


def rows_in_sight(page: Any, player: str, note: str) -> int:
    """How many rows of others are whole above the notes to pick from, or on the screen where these stand beside it."""
    page.evaluate("(to) => { location.hash = to; }", f"{player}/{note.replace('#', '%23')}")
    page.evaluate("scrollTo(0, 0)")
    until(lambda: player in page.locator("#bb-lu-player").input_value(), player, 10)
    others(page)
    tray, height = page.locator(".bb-lu-tray").bounding_box(), page.viewport_size["height"]
    foot = tray["y"] if tray["width"] > page.viewport_size["width"] / 2 else height
    boxes = [row.bounding_box() for row in page.locator(".bb-lu-row").all()]
    return sum(box["y"] + box["height"] <= foot + 1 for box in boxes)


def test_advice_of_many_words_is_a_line_until_it_is_asked_for_and_then_all_there(
    open_page: Open, server: str, book: Book
) -> None:
    """The whole of it after one tap, above the notes, as the domain gives it."""
    page = open_page(server + "look-up.html#tenor-horn/treble-eb/F%233", viewport={"width": 390, "height": 664})
    others(page)
    horn = next(each.player for each in readers(book) if each.player.key == "tenor-horn/treble-eb")
    whole = " ".join(each.text for each in answer_for(horn, Pitch("F", 1, 3)).advice(book.band.english))
    fold = page.locator(".bb-lu-or")
    assert fold.bounding_box()["height"] < 50
    assert not fold.locator("p").is_visible()
    assert whole not in answer(page)
    fold.locator("summary").tap()
    assert fold.locator("p").inner_text() == whole
    words, tray = fold.locator("p").bounding_box(), page.locator(".bb-lu-tray").bounding_box()
    assert words["y"] + words["height"] <= tray["y"]
    assert words["x"] + words["width"] <= 390
    begins = whole.partition(":")[0]
    assert answer(page).count(begins) == 1  # not at its beginning again
    page.emulate_media(media="print")
    assert answer(page).count(begins) == 1


def test_on_paper_another_fingering_is_beside_its_picture_and_below_the_line(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/E4", viewport={"width": 390, "height": 664})
    others(page)
    page.emulate_media(media="print")
    words = page.locator("#bb-lu-answer > :first-child > p").first.bounding_box()
    picture = page.locator(".bb-lu-or svg").bounding_box()
    named = page.locator(".bb-lu-or figcaption").bounding_box()
    assert picture["y"] >= words["y"] + words["height"]
    assert 0 < named["x"] - (picture["x"] + picture["width"]) < 40


def test_on_its_side_a_slide_leaves_room_for_the_notes_name(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#trombone/bass/F%233", viewport={"width": 844, "height": 390})
    name = page.locator(".bb-lu-main figure:first-child .bb-lu-name").bounding_box()
    assert name["x"] + name["width"] <= page.locator(".bb-lu-main .bb-fingers").bounding_box()["x"]


UNDER = """() => [...document.querySelectorAll(".bb-lu-row")].filter((row) => {
  const [name, more] = [".bb-lu-by", ":scope > small"].map((each) => row.querySelector(each));
  return more?.textContent && more.getBoundingClientRect().top < name.getBoundingClientRect().bottom - 1;
}).map((row) => row.textContent)"""
"""Rows in which a name of two lines runs into what stands below it."""


def test_the_closed_list_of_instruments_shows_the_clef(open_page: Open, server: str) -> None:
    """Also of the longest name on the smallest phone: it stands in what is not cut."""
    page = open_page(server + "look-up.html#euphonium-comp/bass-c/C3", viewport={"width": 320, "height": 568})
    shown = page.locator("#bb-lu-player").evaluate(
        """(box) => {
          const pen = document.createElement("canvas").getContext("2d");
          const style = getComputedStyle(box), name = box.selectedOptions[0].text;
          pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
          const room = box.clientWidth - parseFloat(style.paddingLeft) - 20; // the arrow
          return [...name].filter((_, at) => pen.measureText(name.slice(0, at + 1)).width <= room).join("");
        }"""
    )
    assert shown.startswith("B♭ euphonium, bass clef"), shown
    assert not shown.endswith("compensating"), "the name is not long enough for this test"


def test_the_notes_stay_with_the_look_up_and_cover_nothing_after_it(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/G4")
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    tray = page.locator(".bb-lu-tray").bounding_box()
    below = page.locator("#in-plain-tables").bounding_box()
    assert tray["y"] + tray["height"] <= below["y"]


@pytest.mark.parametrize(("width", "height"), [(320, 568), (844, 390)])
def test_a_note_the_instrument_does_not_have_is_said_not_changed_in_silence(
    open_page: Open, server: str, width: int, height: int
) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/C9", viewport={"width": width, "height": height})
    said = page.locator("#bb-lu-lacks")
    assert said.inner_text() == "B♭ cornet has no C9; this is the nearest it has."
    where = said.bounding_box()
    assert where["y"] + where["height"] <= height, "it is out of sight"
    page.get_by_role("radio", name="E 4", exact=True).locator("..").tap()
    assert not page.locator("#bb-lu-lacks").is_visible()


def test_arrows_walk_the_letters_and_their_signs(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/G4", has_touch=False)
    page.get_by_role("radio", name="G 4", exact=True).focus()
    for key, note in (("ArrowRight", "A4"), ("ArrowUp", "A#4"), ("ArrowDown", "A4"), ("ArrowDown", "Ab4"),
                      ("ArrowLeft", "G4")):  # fmt: skip
        page.keyboard.press(key)
        assert page.evaluate("document.activeElement.value") == note, key
        assert page.evaluate("document.activeElement.checked")


def test_by_keyboard_alone(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/G4", has_touch=False)
    page.get_by_label("Instrument", exact=True).focus()
    page.keyboard.press("Tab")  # written, concert or fingering
    page.keyboard.press("Tab")  # the notes
    assert page.evaluate("document.activeElement.value") == "G4"
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    focused = page.evaluate("document.activeElement.value")
    assert focused != "G4"
    shows_address(page, "#cornet/treble-bb/" + quote(focused))
    outline = page.evaluate("getComputedStyle(document.activeElement.nextElementSibling).outlineStyle")
    assert outline == "solid"


def test_what_changed_is_said_to_a_screen_reader(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/G4")
    pick(page, "F 4")
    status = page.get_by_role("status").filter(has_text="written F 4")  # it is said a moment after it is shown
    status.wait_for(state="attached")
    assert status.inner_text() == "B♭ cornet, written F 4: Press 1. Sounds E flat 4."


def contrast(page: Any, selector: str) -> float:
    """WCAG 2.2 contrast ratio of an element's text against the ground behind it."""
    return float(
        page.locator(selector).first.evaluate(
            """(element) => {
              const parse = (text) => text.match(/[\\d.]+/g).map(Number);
              const light = (rgb) => rgb.slice(0, 3).map((value) => value / 255)
                .map((value) => (value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4))
                .reduce((sum, value, k) => sum + value * [0.2126, 0.7152, 0.0722][k], 0);
              let ground = element, colour;
              do { colour = parse(getComputedStyle(ground).backgroundColor); ground = ground.parentElement; }
              while (ground && colour[3] === 0);
              const both = [light(parse(getComputedStyle(element).color)), light(colour)].sort((a, b) => b - a);
              return (both[0] + 0.05) / (both[1] + 0.05);
            }"""
        )
    )


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_is_readable_in_the_light_and_in_the_dark(open_page: Open, server: str, scheme: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/C%234", color_scheme=scheme)
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert (sum(map(int, re.findall(r"\d+", ground)[:3])) < 384) == (scheme == "dark")
    for selector in (
        ".bb-lu-main b",
        ".bb-lu-main small",
        ".bb-lu-row small",
        ".bb-lu-tray :checked + span",
        ".bb-lu-strip b",
    ):
        assert contrast(page, selector) >= 4.5, selector  # WCAG 2.2, 1.4.3
    page.emulate_media(forced_colors="active")  # the device's own colours: what is chosen still has another ground
    chosen, other = (
        page.locator(f"#bb-lu-pick {which} + span").first.evaluate("(label) => getComputedStyle(label).backgroundColor")
        for which in (":checked", "input:not(:checked)")
    )
    assert re.findall(r"\d+", chosen)[:3] != re.findall(r"\d+", other)[:3]
    ring = """(field) => {
      field.focus();
      const { outlineStyle, outlineWidth, outlineColor, backgroundColor } = getComputedStyle(field.nextElementSibling);
      return [outlineStyle, parseFloat(outlineWidth), outlineColor === backgroundColor];
    }"""
    for which in (":checked", "input:not(:checked)"):  # and where the focus is, by a ring that is seen on either
        assert page.locator(f"#bb-lu-pick {which}").first.evaluate(ring) == ["solid", 3, False], which
