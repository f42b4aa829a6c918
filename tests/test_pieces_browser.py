"""The pages of the pieces and the concert in real Chromium, opened from disk."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from beginnerband.pages.shared.dates import day

pytestmark = pytest.mark.browser


@pytest.fixture
def page(browser: Any, site: Path):  # type: ignore[no-untyped-def]
    context = browser.new_context(viewport={"width": 390, "height": 844})
    opened = context.new_page()
    opened.problems = []
    opened.on("pageerror", lambda error: opened.problems.append(str(error)))
    opened.on(
        "request", lambda request: opened.problems.append(request.url) if request.url.startswith("http") else None
    )
    yield opened
    context.close()


def address(site: Path, uri: str) -> str:
    return (site / uri).as_uri()


def test_any_mix_of_parts_can_be_played(page: Any, site: Path) -> None:
    page.goto(address(site, "pieces/ode-to-joy.html"))
    bar = page.get_by_role("region", name="Player")
    bar.get_by_role("button", name="Who").click()
    rows = page.locator(".bb-mixer li")
    data = json.loads(page.locator(".bb-player").get_attribute("data-music"))
    lines = {part["line"] for part in data["parts"]}
    assert {"Soprano", "Alto", "Tenor", "Bass"} <= lines
    assert len(lines) == rows.count()  # a row a line, its desks named in it
    shown = " ".join(rows.all_inner_texts())
    assert all(part["name"] in shown for part in data["parts"])
    first = rows.nth(0)
    first.get_by_role("button", name="Mute").click()
    assert first.get_by_role("button", name="Mute").get_attribute("aria-pressed") == "true"
    rows.nth(2).get_by_role("button", name="Alone").click()
    bar.get_by_role("button", name="Count in").click()
    page.locator(".bb-play").click()
    page.wait_for_selector(
        "#ode-to-joy-short .bb-now", state="attached", timeout=8000
    )  # the note that sounds lights up
    page.locator(".bb-play").click()
    assert page.problems == []


def test_every_number_the_player_marks_is_a_note_of_the_short_score(page: Any, site: Path) -> None:
    page.goto(address(site, "pieces/frere-jacques.html"))
    data = json.loads(page.locator(".bb-player").get_attribute("data-music"))
    numbers = {number for part in data["parts"] for note in part["notes"] for number in (*note[3:], [])[0]}
    drawn = page.evaluate("[...document.querySelectorAll('.bb-short [data-note]')].map(n => Number(n.dataset.note))")
    assert numbers <= set(drawn)
    assert len(numbers) > 100


def test_parts_open_from_the_table_and_show_their_music(page: Any, site: Path) -> None:
    page.goto(address(site, "pieces/amazing-grace.html"))
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    fold = page.locator("details.bb-piece-part").first
    fold.locator("summary").first.click()
    image = fold.locator("img:visible").first  # the other is for wide screens
    image.scroll_into_view_if_needed()
    page.wait_for_function("image => image.complete && image.naturalWidth > 0", arg=image.element_handle())
    assert len(image.get_attribute("alt")) > 10
    assert page.problems == []


def test_a_phone_opens_the_score_at_concert_pitch_page_by_page(page: Any, site: Path) -> None:
    page.goto(address(site, "pieces/amazing-grace.html"))
    fold = page.locator("details.bb-piece-part", has_text="Full score at concert pitch")
    fold.locator("summary").click()
    assert fold.locator("img:visible").count() == 0
    for link in fold.locator("a[href$='.svg']").all():
        assert (site / "pieces" / link.get_attribute("href")).resolve().is_file()
    assert fold.locator("a[href$='.svg']").first.is_visible()
    page.set_viewport_size({"width": 1280, "height": 900})
    assert fold.locator("img:visible").count() == fold.locator("a[href$='.svg']").count() > 0
    assert not fold.locator("a[href$='.svg']").first.is_visible()


def test_a_programme_is_put_together_kept_and_sent(page: Any, site: Path) -> None:
    page.goto(address(site, "pieces/concert.html"))
    values = {value["id"]: value for value in json.loads(page.locator(".bb-concert").get_attribute("data-pieces"))}
    planned = page.locator(".bb-programme strong").all_text_contents()
    ours = ["Ode to Joy (the tune)", "Two Gates", "Over the Bridge", "Lantern Waltz"]  # as the course's last card
    assert planned[:4] == ours
    for title in (ours[0], *planned[4:]):  # and what the band can play as well
        page.get_by_role("button", name=f"Remove: {title}").click()
    page.locator('.bb-choices input[value="jingle-bells"]').check()
    page.get_by_role("button", name="Up: Jingle Bells").click()
    names = page.locator(".bb-programme strong").all_text_contents()
    assert names == ["Two Gates", "Over the Bridge", "Jingle Bells", "Lantern Waltz"]
    played = ("two-gates", "over-the-bridge", "jingle-bells", "lantern-waltz")
    whole = sum(values[piece]["seconds"] for piece in played) + 3 * 30
    assert f"Running time {whole // 60}:{whole % 60:02d}" in page.locator(".bb-total").text_content()
    assert "Soprano: " in page.locator(".bb-programme li").first.text_content()
    sent = page.evaluate("location.hash")
    page.goto("about:blank")
    page.goto(address(site, "pieces/concert.html") + sent)
    assert page.locator(".bb-programme strong").all_text_contents() == names
    page.emulate_media(media="print")
    assert not page.locator(".bb-choices").is_visible()
    assert page.locator(".bb-total").is_visible()
    assert page.problems == []


@pytest.mark.parametrize(("english", "locale"), [("british", "en-GB"), ("american", "en-US")])
def test_a_day_of_the_concert_is_said_as_everywhere(page: Any, site: Path, english: str, locale: str) -> None:
    page.goto(address(site, "pieces/concert.html"))
    page.locator(".bb-concert").evaluate("(root, locale) => { root.dataset.dates = locale; }", locale)
    page.locator(".bb-concert input[type=date]").fill("2027-04-21")
    page.locator(".bb-concert input[type=date]").dispatch_event("change")
    assert day(date(2027, 4, 21), english) in page.locator(".bb-concert").text_content()


def test_a_hostile_address_is_only_text(page: Any, site: Path) -> None:
    page.goto(
        address(site, "pieces/concert.html")
        + "#t=%3Cimg%20src%3Dx%20onerror%3Dalert(1)%3E&g=30&p=~%3Cb%3Ehi%3C%2Fb%3E*60,nonsense"
    )
    assert page.locator(".bb-concert img, .bb-concert b").count() == 0
    assert page.locator(".bb-programme strong").all_text_contents() == ["<b>hi</b>"]


def test_without_script_the_plain_table_says_it_all(browser: Any, site: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(address(site, "pieces/concert.html"))
    text = page.locator(".bb-concert-table").inner_text()
    assert "Old Hundredth" in text
    assert "soprano: " in text
    context.close()
