"""Music as a phone shows it, on every kind of page that has some: nothing cut, large enough, followed as it plays."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from urllib.request import url2pathname

import pytest
from playwright.sync_api import Browser, Page
from staticserver import drawn, until

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.music.line_breaks import FINGERED, line_breaks
from beginnerband.music.shift import sounding
from beginnerband.render.engrave import NARROW, PHONE, engrave
from beginnerband.render.write_musicxml import Staff

pytestmark = pytest.mark.browser

PAGES = (
    "course/lesson-16.html",
    "course/sheets/lesson-16/cornet.html",
    "course/sheets/lesson-26/drums.html",
    "pieces/ode-to-joy.html",
    "tunes/lightly-row.html",
)

MUSIC = """
() => {
  for (const fold of document.querySelectorAll("details")) fold.open = true;
  const found = [];
  for (const music of document.querySelectorAll("svg.bb-score, img.bb-music-page")) {
    const box = music.getBoundingClientRect();
    if (!box.width) continue;
    let around = music, cut = false;
    while ((around = around.parentElement)) cut ||= around.scrollWidth > around.clientWidth + 1;
    const own = music.viewBox ? music.viewBox.baseVal.width : 10 * music.getAttribute("width");
    const sizes = [...music.querySelectorAll("text, tspan")].flatMap((text) => {
      const own = [...text.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.nodeValue.trim());
      return own && text.getBoundingClientRect().width ? parseFloat(getComputedStyle(text).fontSize) : [];
    });
    found.push({ right: box.right, cut, scale: (10 * box.width) / own, what: music.outerHTML.slice(0, 120),
      file: music.src, text: Math.min(...sizes, 9999),
      wide: music.classList.contains("bb-wide-music"), score: /full score/.test(music.alt || "") });
  }
  return found;
}
"""
"""Each picture of music that is shown: its right edge, whether it is in something to scroll, its scale, its file, and
the size of its smallest text in its own units."""

CROWDED = """
() => {
  const rows = {};
  for (const text of document.querySelectorAll("text")) {
    const box = text.getBoundingClientRect();
    if (box.width) (rows[Math.round(box.top)] ??= []).push([box.left, box.right, text.textContent]);
  }
  return Object.values(rows).flatMap((row) => {
    row.sort(([one], [other]) => one - other);
    return row.slice(1).flatMap(([left, , text], before) => {
      return left < row[before][1] + 1 ? [`${row[before][2]} and ${text}`] : [];
    });
  });
}
"""
"""Texts on one line with less than a pixel between them."""

LEAST_TEXT = 12
"""Pixels: common practice for the smallest text on a screen, no source."""

STAFF = 72
"""Height of a staff in Verovio's units."""


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 390, "height": 664}, reduced_motion="reduce", has_touch=True)
    errors: list[str] = []
    opened = context.new_page()
    opened.on("pageerror", lambda error: errors.append(str(error)))
    yield opened
    context.close()
    assert not errors


def smallest(shown: dict[str, Any]) -> float:
    """Pixels of the smallest text in a picture of music that is shown."""
    if not shown["file"]:
        return float(shown["text"] * shown["scale"] / 10)
    drawing = Path(url2pathname(urlsplit(shown["file"]).path)).read_text(encoding="utf-8")
    return min(map(int, re.findall(r'font-size="(\d+)px"', drawing)), default=9999) * float(shown["scale"]) / 10


@pytest.mark.parametrize("uri", PAGES)
def test_music_is_laid_out_for_the_width_it_is_shown_at(page: Page, site: Path, uri: str) -> None:
    """A staff as high as on a small printed page: 4 mm, at the 6.3 pixels a millimetre that phones have (no source)."""
    for width, height, least in ((320, 568, 18), (390, 664, 22), (844, 390, 22)):
        page.set_viewport_size({"width": width, "height": height})
        page.goto((site / uri).as_uri())
        shown = page.evaluate(MUSIC)
        assert shown
        for one in shown:
            assert one["right"] <= width, one
            assert not one["cut"], one
            assert not one["wide"] or width > 640, one
            assert one["score"] or smallest(one) >= LEAST_TEXT, one
            assert one["scale"] * STAFF >= (least * (PHONE / 1500) if one["score"] else least) - 0.5, one
    page.set_viewport_size({"width": 390, "height": 664})


SIGHT = """
() => {
  const staff = [...document.querySelectorAll("svg.bb-score")].find((one) => one.checkVisibility());
  const foot = document.querySelector(".bb-bar").getBoundingClientRect().top;
  return { top: staff.getBoundingClientRect().top, foot, wide: document.documentElement.scrollWidth };
}
"""
"""Where the first music begins, above the bar that plays it, and how wide the page is."""


OPENED = (
    *(("tunes", name) for name in ("frere-jacques", "god-save-the-king", "hot-cross-buns")),
    *(("pieces", name) for name in ("frere-jacques", "two-gates", "when-the-saints")),
)


@pytest.mark.parametrize(("room", "name"), OPENED)
def test_the_first_music_of_a_page_is_in_sight(page: Page, site: Path, room: str, name: str) -> None:
    """A staff with its fingerings is some 60 pixels high on the smallest phone; sideways it can only begin in sight."""
    parts = ("", "eb-bass", "drums") if room == "tunes" else ("",)
    page.goto((site / room / f"{name}.html").as_uri())
    for part in parts:
        if room == "tunes":
            page.locator("[data-bb-part]").select_option(part)
            assert page.locator(".bb-tune > h2").first.is_visible()  # in which key it is, or that it is for drums
        for width, height, least in ((390, 664, 100), (320, 568, 50), (844, 390, 40)):
            page.set_viewport_size({"width": width, "height": height})
            seen = page.evaluate(SIGHT)
            assert seen["top"] + least < seen["foot"], (part, width, seen)
            assert seen["wide"] <= width
    page.set_viewport_size({"width": 390, "height": 664})
    page.evaluate("localStorage.clear()")


def test_fingerings_are_shown_or_not_from_any_part(page: Page, site: Path) -> None:
    page.goto((site / "tunes/lightly-row.html").as_uri())
    boxes = page.get_by_label("under the notes")
    page.get_by_label("I play").select_option("trombone")
    own = page.locator(".bb-tune > .bb-sheet")
    own.get_by_label("Positions under the notes").uncheck()
    assert not own.locator(".bb-under").first.is_visible()
    page.get_by_label("I play").select_option("")
    assert not any(box.is_checked() for box in boxes.all())
    boxes.first.check()
    assert all(box.is_checked() for box in boxes.all())
    assert own.count() > 1
    assert own.first.locator(".bb-under").first.is_visible()


def test_the_sounding_note_stays_in_sight(page: Page, site: Path) -> None:
    page.goto((site / "pieces/ode-to-joy.html").as_uri())
    bar = page.get_by_role("region", name="Player", exact=True)
    bar.get_by_role("button", name="Count in").tap()
    bar.get_by_role("button", name=re.compile("^Play .* at 100 %$")).tap()
    page.locator(".bb-now:visible").first.wait_for()
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    foot = bar.bounding_box()
    assert foot

    def seen() -> bool:
        tops = page.locator(".bb-now:visible").evaluate_all("all => all.map(one => one.getBoundingClientRect().top)")
        return any(0 < top < foot["y"] for top in tops)

    until(seen, "the note that sounds is out of sight", 10)
    bar.get_by_role("button", name=re.compile("^Stop ")).tap()


def listening(page: Page) -> None:
    """Write down what is sounded from now on: whose sound it has, and which note."""
    page.evaluate(
        "() => { window.heard = []; const sounded = bandSound.sounded;"
        " bandSound.sounded = (...all) => { heard.push([all[2].part, all[2].sound]); return sounded(...all); }; }"
    )


def test_a_player_s_own_page_plays_the_part_alone_or_with_the_band(page: Page, site: Path, book: Book) -> None:
    assert book.course
    lesson = book.course.course.lessons[15]
    player = next(player for player in book.course.players if player.id == "tenor-horn")
    place = book.course.course.weeks_of(lesson)[0]
    part = next(part for part in book.course.grades.weeks[player.id][place].parts if part.item.read)
    page.goto((site / f"course/sheets/{lesson.id}/tenor-horn.html").as_uri())
    music = json.loads(str(page.locator(".bb-player").first.get_attribute("data-music")))
    expected = [pitch.midi for pitch in sounding(part.line, player.reading).pitches]
    own = [note[2] for note in music["parts"][0]["notes"]]
    assert own[0] == expected[0]
    assert set(own) == set(expected)
    assert len(music["parts"]) > 1
    listening(page)
    bar = page.get_by_role("region", name="Player", exact=True)
    bar.get_by_role("button", name="Count in").tap()
    band = bar.get_by_role("button", name="With the band")
    slow = bar.get_by_role("button", name=re.compile("^Play .* at 75 %$"))
    for others in (True, False):
        assert band.get_attribute("aria-pressed") == str(others).lower()
        slow.tap()
        page.locator(".bb-now:visible").first.wait_for()
        loud = page.evaluate("() => heard.splice(0).map(([part]) => part)")
        assert len(set(loud)) == len(music["parts"])  # all are made; who is not wanted is silent
        bar.get_by_role("button", name=re.compile("^Stop ")).tap()
        band.tap()
    drawn(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_the_screen_is_kept_lit_or_the_page_says_that_it_is_not(browser: Browser, site: Path) -> None:
    """Screen Wake Lock, https://www.w3.org/TR/screen-wake-lock/: a request may be refused at any time."""
    context = browser.new_context(viewport={"width": 390, "height": 664})
    context.add_init_script(WAKE)
    page = context.new_page()
    for uri, start in (
        ("course/lesson-16.html", "Start the clock"),
        ("tunes/metronome-and-tuning.html", "Start the metronome"),
        ("tunes/metronome-and-tuning.html", re.compile("^Concert B♭")),
        ("course/sheets/lesson-16/cornet.html", re.compile("^Play .* at 100 %$")),
    ):
        for refused in (False, True):
            page.goto((site / uri).as_uri())
            page.evaluate("(refused) => { window.refused = refused; }", refused)
            page.get_by_role("button", name=start).first.click()
            until(lambda: page.evaluate("window.asked"), f"{uri}: the screen is not kept lit", 5)
            says = page.get_by_text("The screen may go dark")
            if refused:
                says.first.wait_for()
            else:
                drawn(page)
                assert says.count() == 0
    context.close()


WAKE = """
localStorage.clear();
Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
  window.asked = (window.asked || 0) + 1;
  if (window.refused) throw new DOMException("no", "NotAllowedError");
  return Object.assign(new EventTarget(), { release: async () => {} });
} } });
"""


CROWDS = {
    "fingerings": "E D C D | E E E2 | D D D2 | E G G2 | E D C D | E E E E | D D E D | C4 |]\n",
    "words and chord symbols": (
        '"C"C "G7"C "Am7"D2 | "C"E "Dm7"E "Fmaj7"F2 | "C"G "F#dim"A "Bb/D"G "Em"E | G4 |\n'
        "w: Tell me the tales that to me were so dear, long\n"
        "F E D2 | E D C2 | D E D G | E4 |]\nw: Long, long a-go, straight-through strength and lengths of all\n"
    ),
}
"""Music with much above or below it: quick notes, and a song of T. H. Bayly of 1844, from memory, with longer words."""


@pytest.mark.parametrize("font", ["serif", "monospace"])
@pytest.mark.parametrize("crowd", CROWDS)
def test_texts_side_by_side_stay_apart_in_whatever_font(page: Page, crowd: str, font: str) -> None:
    """Also where letters of Times, for which the engraving leaves room, are not there: these are wider."""
    read = read_abc(f"X:1\nT:t\nM:4/4\nL:1/4\nK:C\n{CROWDS[crowd]}")
    assert read.score
    [tune] = read.score.lines
    for width in (NARROW, PHONE):
        under = tuple("1-2" for _ in tune)
        breaks = line_breaks([tune], width, onset=FINGERED)
        page.set_content(str(engrave([Staff(tune, under=under)], "t", "w", width=width, breaks=breaks).standalone()))
        page.add_style_tag(content=f"text, tspan {{ font-family: {font} }}")
        assert page.locator("text").count() > 20
        assert page.evaluate(CROWDED) == []
