"""The pocket page: one file, no request, and only its own scripts."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pypdf import PdfReader

from beginnerband.pages.carry.pocket import LARGEST, PAGE
from beginnerband.render.finish.policy import hash_source


def test_it_is_small_and_its_policy_names_exactly_its_own_scripts_and_styles(site: Path) -> None:
    html = (site / PAGE).read_text(encoding="utf-8")
    assert len(html.encode()) <= LARGEST
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', html)
    policy = policy.replace("&#39;", "'")
    inside = re.findall(r"<script>(.*?)</script>", html, re.DOTALL) + re.findall(
        r"<style>(.*?)</style>", html, re.DOTALL
    )
    assert set(re.findall(r"'sha256-[^']+'", policy)) == {hash_source(text) for text in inside}
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    assert not re.search(r"<(script|img|link|iframe|object)\b[^>]*\b(src|href)=", html)
    assert not re.search(r"\sstyle=", html)


@pytest.mark.browser
def test_it_answers_alone_from_a_file_with_no_request_and_no_complaint(
    site: Path, browser: Browser, tmp_path: Path
) -> None:
    alone = tmp_path / "a folder of files" / "pocket.html"
    alone.parent.mkdir()
    alone.write_bytes((site / PAGE).read_bytes())
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(alone.as_uri() + "#cornet/treble-bb/D4")
    # A written D on a B flat cornet is fingered 1-3 and sounds C: every fingering chart for valved brass has it so
    # (common practice, no source).
    assert "1-3" in page.locator("#bb-lu-answer figure").nth(1).inner_text()
    assert re.search(r"Sounds\s*C\s*4", page.inner_text("#bb-lu-answer p"))
    page.get_by_role("button", name="Start").click()
    page.get_by_role("button", name="Stop").click()
    page.locator("#charts summary").first.click()
    assert page.locator("#charts table").first.is_visible()
    # Drawn from the outlines the page has once: in each picture a clef and a note.
    pictures = page.locator("#charts svg.bb-staff").count()
    assert pictures > 100
    for outlines in ("[href='#bb-treble'], [href='#bb-bass']", "[href='#bb-note']"):
        assert page.locator(f"#charts svg.bb-staff use:is({outlines})").count() == pictures
    missing = page.locator("use").evaluate_all(
        "(uses) => uses.filter((use) => !document.querySelector(use.getAttribute('href'))).length"
    )
    context.close()
    assert missing == 0
    assert asked == [alone.as_uri()]
    assert not complaints


@pytest.mark.browser
def test_it_opens_at_the_coming_lesson(site: Path, browser: Browser) -> None:
    html = (site / PAGE).read_text(encoding="utf-8")
    dates = sorted(set(re.findall(r'data-last="(\d{4}-\d\d-\d\d)"', html)))
    assert len(dates) > 20
    page = browser.new_page()
    for asked, expected in ((dates[4], dates[4]), ("1999-01-01", dates[0]), ("2999-01-01", dates[-1])):
        page.clock.set_fixed_time(f"{asked}T12:00:00")
        page.goto((site / PAGE).as_uri())
        found = page.evaluate("(document.querySelector('.bb-pocket-coming') || {dataset: {}}).dataset.last || null")
        assert found == expected
    page.close()


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_the_look_up_the_charts_and_the_keys_on_two_pages(site: Path, browser: Browser, paper: str) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 664})
    page.goto((site / PAGE).as_uri() + "#tenor-horn/treble-eb/F%233")
    page.locator("#bb-lu-answer > :last-child:not([aria-busy]) .bb-lu-row").first.wait_for()
    printed = PdfReader(io.BytesIO(page.pdf(format=paper)))
    page.close()
    assert len(printed.pages) == 2
    words = " ".join(" ".join(one.extract_text().split()) for one in printed.pages)
    for expected in ("E♭ tenor horn", "Press 1, 2 and 3", "let the lips relax", "glockenspiel", "Keys", "7 sharps"):
        assert expected in words
    for left_out in ("Hear it", "More …", "Metronome", "Notes of the lessons"):
        assert left_out not in words
