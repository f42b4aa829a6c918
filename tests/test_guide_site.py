"""The guide as built: links, anchors, text alternatives, and the ways a thumb, a keyboard and no script get through."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from sitecheck import PageFacts, dead_links, read_all

from beginnerband.data.book import Book


@pytest.fixture(scope="module")
def pages(site: Path) -> dict[str, PageFacts]:
    return read_all(site)


def test_no_link_or_anchor_of_the_site_is_dead(site: Path, pages: dict[str, PageFacts]) -> None:
    assert len(pages) > 50
    assert dead_links(site, pages) == []


def test_the_checker_finds_a_dead_link_and_a_nameless_picture(tmp_path: Path) -> None:
    (tmp_path / "a.html").write_text(
        '<a href="b.html#x">1</a><a href="c.html">2</a><a href="#y">3</a><a href="#z" id="z">4</a>'
        '<img src="b.html"><svg role="img"><path/></svg><svg role="img"><title>T</title></svg>'
    )
    (tmp_path / "b.html").write_text("<p id=x1>Change it in content/band.yml<script>'c.py'</script>")
    found = read_all(tmp_path)
    assert dead_links(tmp_path, found) == ["a.html -> b.html#x", "a.html -> c.html", "a.html -> #y"]
    assert len(found["a.html"].unnamed) == 2
    assert (found["a.html"].files, found["b.html"].files) == ([], ["content/", "band.yml"])


def test_every_picture_of_the_site_has_a_text_alternative(pages: dict[str, PageFacts]) -> None:
    assert {uri: page.unnamed for uri, page in pages.items() if page.unnamed} == {}


MAKING_IT_YOURS = {
    *("set-up.html", "course/write-your-own.html", "tunes/your-own-tune.html", "pieces/your-own-piece.html"),
    "tables/blocks.html",
}
"""Pages for whoever changes the handbook; nobody else should read the name of a file."""


def test_files_are_named_only_on_pages_about_making_it_yours(pages: dict[str, PageFacts]) -> None:
    assert {uri for uri, page in pages.items() if page.files} == MAKING_IT_YOURS


def test_every_guide_page_leads_back_to_a_lesson(site: Path, book: Book) -> None:
    for page in book.guide.pages():
        html = (site / "guide" / f"{page.name}.html").read_text(encoding="utf-8")
        ways = re.search(r'<nav class="bb-back".*?</nav>', html, re.S)
        assert ways, page.name
        assert re.search(r'href="\.\./course/lesson-\d\d\.html"', ways[0]), page.name


def test_every_step_of_a_lesson_is_named_on_the_page_it_rests_on(site: Path, book: Book) -> None:
    assert book.course
    for lesson in book.course.course.lessons:
        for step in lesson.steps:
            if step.guide:
                html = (site / "guide" / f"{step.guide}.html").read_text(encoding="utf-8")
                assert f"course/{lesson.id}.html" in html


def test_every_source_is_used_and_every_mark_has_its_line(site: Path, book: Book) -> None:
    used = {source for page in book.guide.pages() for source in page.sources}
    unused = set(book.guide.sources) - used
    assert not unused - {"instrument-files", "common-practice"}, unused  # every page says the second once
    for page in book.guide.pages():
        html = (site / "guide" / f"{page.name}.html").read_text(encoding="utf-8")
        assert len(set(re.findall(r'<li id="source-([a-z0-9-]+)"', html))) == len(page.sources)


def test_the_glossary_stands_on_its_page_in_both_kinds_of_words(site: Path, book: Book) -> None:
    html = (site / "guide" / "words.html").read_text(encoding="utf-8")
    for term_id, term in book.guide.glossary.items():
        assert f'id="{term_id}"' in html
        for word in (term.american, term.british):
            assert word in html
    data = json.loads((site / "data" / "glossary.json").read_text(encoding="utf-8"))
    assert set(data) == set(book.guide.glossary)
    assert not any("[[" in entry["means"] for entry in data.values())


# In a real browser


@pytest.fixture
def phone(browser: Any) -> Any:
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True, reduced_motion="reduce"
    )
    yield context.new_page()
    context.close()


@pytest.fixture
def quiet_phone(browser: Any) -> Any:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, java_script_enabled=False)
    yield context.new_page()
    context.close()


def _walk(page: Any, *answers: str) -> None:
    for answer in answers:
        page.locator(".bb-path summary:visible", has_text=re.compile(f"^{answer}$")).first.tap()


@pytest.mark.browser
@pytest.mark.parametrize("script", [True, False])
def test_two_taps_lead_from_what_is_heard_to_what_to_do(phone: Any, quiet_phone: Any, site: Path, script: bool) -> None:
    page = phone if script else quiet_phone
    page.goto(f"file://{site}/guide/troubles.html")
    _walk(page, "The sound is wrong or missing", "A gurgle")
    assert page.get_by_text("Open the water key and blow with no buzz.").first.is_visible()
    _walk(page, "Not that. Next")
    assert page.get_by_text("Press that valve, pull its slide, tip the water out.").first.is_visible()
    for box in page.locator(".bb-path summary:visible, .bb-path a:visible").all():
        assert box.bounding_box()["height"] >= 44


@pytest.mark.browser
def test_choosing_another_answer_shuts_the_first_and_start_again_shuts_all(phone: Any, site: Path) -> None:
    phone.goto(f"file://{site}/guide/troubles.html")
    _walk(phone, "The sound is wrong or missing", "A gurgle", "Somebody hurts or feels unwell")
    assert not phone.get_by_text("Open the water key and blow with no buzz.").first.is_visible()
    phone.get_by_role("button", name="Start again").tap()
    assert phone.locator(".bb-path details[open]").count() == 0


@pytest.mark.browser
def test_a_danger_says_what_to_do_first(phone: Any, site: Path) -> None:
    phone.goto(f"file://{site}/guide/troubles.html")
    _walk(phone, "Somebody hurts or feels unwell", "Dizzy or light-headed")
    assert phone.get_by_text("Instrument down and sit, now.").first.is_visible()


@pytest.mark.browser
def test_the_trouble_table_and_the_glossary_narrow_as_you_type(phone: Any, site: Path) -> None:
    phone.goto(f"file://{site}/guide/troubles.html")
    phone.get_by_label("Find a trouble").fill("mouthpiece stuck")
    assert phone.locator("#stuck-mouthpiece").is_visible()
    assert not phone.locator("#behind").is_visible()
    phone.goto(f"file://{site}/guide/words.html")
    phone.get_by_label("Find a word").fill("half note")
    assert phone.locator("#half-note").is_visible()
    assert not phone.locator("#embouchure").is_visible()
    phone.get_by_label("Find a word").fill("zzz")
    assert phone.get_by_text("0 matches").is_visible()
    phone.goto(f"file://{site}/guide/index.html")
    phone.get_by_label("Find a page").fill("earplugs")  # a word it is found by, which the list does not show
    assert phone.locator("#bb-guide-rows a:visible").all_inner_texts() == ["Hearing"]


@pytest.mark.browser
def test_a_term_opens_by_one_tap_and_the_second_tap_follows_it(phone: Any, site: Path) -> None:
    phone.goto(f"file://{site}/guide/embouchure.html")
    word = phone.locator(".bb-term-word", has_text="embouchure").first
    tip = phone.locator(".bb-tip").first
    assert not tip.is_visible()
    word.tap()
    assert tip.is_visible()
    box = tip.bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 390
    word.tap()
    phone.wait_for_url("**/guide/words.html#embouchure")


@pytest.mark.browser
def test_a_term_opens_by_keyboard_and_by_pointer_and_escape_shuts_it(browser: Any, site: Path) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto(f"file://{site}/guide/embouchure.html")
    word, tip = page.locator(".bb-term-word").first, page.locator(".bb-tip").first
    word.focus()
    assert tip.is_visible()
    page.keyboard.press("Escape")
    assert not tip.is_visible()
    word.blur()
    word.hover()
    assert tip.is_visible()
    tip.hover()  # the pointer can go to the explanation and it stays (WCAG 2.2, 1.4.13)
    assert tip.is_visible()
    page.keyboard.press("Escape")
    assert not tip.is_visible()
    context.close()


@pytest.mark.browser
def test_drawings_are_legible_in_dark_light_and_print(browser: Any, site: Path) -> None:
    """Lines against paper at 3 to 1 or more (WCAG 2.2, 1.4.11), in every scheme."""
    for scheme, media in (("light", "screen"), ("dark", "screen"), ("dark", "print")):
        context = browser.new_context(color_scheme=scheme)
        page = context.new_page()
        page.goto(f"file://{site}/guide/sitting.html")
        page.emulate_media(media=media)
        ink, paper = page.evaluate(
            """() => { const svg = document.querySelector(".bb-picture svg");
              return [getComputedStyle(svg.querySelector(".bb-l")).stroke,
                      getComputedStyle(svg.querySelector(".bb-w")).fill]; }"""
        )
        assert _contrast(ink, paper) >= 3, (scheme, media, ink, paper)
        context.close()


def _contrast(first: str, second: str) -> float:
    """Contrast ratio of two ``rgb()`` colours, as WCAG 2.2 defines it."""

    def light(colour: str) -> float:
        parts = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
        red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    bright, dark = sorted((light(first), light(second)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)
