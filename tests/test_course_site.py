"""The course in the browser: the coming lesson by date, steps that tick, the running clock, the mover's notes."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from paper import words_on
from playwright.sync_api import expect

from beginnerband.data.book import Book
from beginnerband.pages.course import sheets
from beginnerband.pages.course.card_view import card_view
from beginnerband.pages.course.lesson_view import lesson_view
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.print_layout import SheetLayout
from beginnerband.teaching.course import Lesson

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def seventh(book: Book) -> Lesson:
    """The lesson whose page is looked at."""
    assert book.course
    return book.course.course.weeks[6]


@pytest.fixture
def phone(browser: Any) -> Any:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    assert not errors
    context.close()


@pytest.mark.parametrize(
    ("today", "lesson"),
    [
        ("2026-08-01", "Lesson 1:"),
        ("2026-11-25", "Lesson 10:"),  # on the day itself
        ("2026-11-26", "Lesson 11:"),
        ("2026-12-20", "Lesson 14:"),  # before the holidays: the first lesson after them
        ("2027-09-01", "Lesson 26:"),
    ],
)
def test_home_leads_with_the_coming_lesson(site: Path, phone: Any, today: str, lesson: str) -> None:
    phone.clock.set_fixed_time(datetime.fromisoformat(f"{today}T12:00:00"))
    phone.goto((site / "index.html").as_uri())
    shown = phone.locator(".bb-coming-list li:visible")
    assert shown.count() == 1
    assert lesson in shown.inner_text()
    phone.get_by_role("link", name=lesson).first.click()  # one tap
    assert phone.locator("h1").inner_text().startswith(lesson)


def test_home_lists_every_lesson_without_script(site: Path, browser: Any, seventh: Lesson) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((site / "index.html").as_uri())
    assert page.locator(".bb-coming-list li:visible").count() == 26
    page.goto((site / "course/lesson-07.html").as_uri())
    assert page.locator(".bb-step:visible").count() == len(seventh.steps)
    assert page.locator(".bb-clock:visible").count() == 0
    context.close()


def test_steps_tick_off_and_are_remembered(site: Path, phone: Any) -> None:
    phone.goto((site / "course/lesson-07.html").as_uri())
    box = phone.locator(".bb-step .bb-tick").first
    assert phone.locator(".bb-step-name label").first.bounding_box()["height"] >= 44  # WCAG 2.2, 2.5.5
    box.check()
    phone.reload()
    assert box.is_checked()
    assert "bb-done" in phone.locator(".bb-step").first.get_attribute("class")
    phone.get_by_role("button", name="Begin again").click()
    assert not box.is_checked()


def test_the_clock_runs_for_the_step_under_way(site: Path, phone: Any, seventh: Lesson) -> None:
    phone.clock.install(time=datetime.fromisoformat("2026-11-04T19:00:00"))
    one, two = (step.minutes for step in seventh.steps[:2])
    phone.goto((site / "course/lesson-07.html").as_uri())
    phone.clock.pause_at(datetime.fromisoformat("2026-11-04T19:10:00"))
    phone.get_by_role("button", name="Start the clock").click()
    first, second = (phone.locator(".bb-step").nth(place) for place in (0, 1))
    assert first.locator(".bb-step-clock").inner_text() == f"{one}:00"
    phone.clock.run_for(61_000)
    assert first.locator(".bb-step-clock").inner_text() == f"{one - 2}:59"
    first.locator(".bb-tick").check()
    phone.clock.run_for(30_000)
    assert second.locator(".bb-step-clock").inner_text() == f"{two - 1}:30"
    assert phone.locator(".bb-clock-total").inner_text() == "1:31 of 45:00"
    phone.get_by_role("button", name="Pause").click()
    phone.clock.run_for(600_000)
    assert second.locator(".bb-step-clock").inner_text() == f"{two - 1}:30"
    phone.get_by_role("button", name="Go on").click()
    phone.clock.run_for(two * 60_000)
    clock = second.locator(".bb-step-clock")
    assert clock.inner_text().startswith("0:30")
    assert "bb-over" in clock.get_attribute("class")


def test_a_practice_record_is_remembered(site: Path, phone: Any) -> None:
    phone.goto((site / "course/sheets/lesson-07/cornet.html").as_uri())
    phone.get_by_label("Day 2 done").check()
    phone.reload()
    assert phone.get_by_label("Day 2 done").is_checked()
    assert not phone.get_by_label("Day 1 done").is_checked()


def test_a_mover_sees_exactly_the_notes_to_learn(site: Path, phone: Any) -> None:
    phone.goto((site / "course/progress.html").as_uri())
    phone.locator("select[name=from]").select_option("tenor-horn")
    phone.locator("select[name=to]").select_option("cornet")
    phone.locator("select[name=week]").select_option("9")  # after lesson 10
    answer = phone.locator(".bb-mover-answer")
    assert answer.inner_text() == "To learn: A4 (1-2) from lesson 4, B♭4 (1) from lesson 10, C5 (open) from lesson 10."
    phone.locator("select[name=to]").select_option("f-horn")  # written D4 is 1-3 on most, 1 on the F horn
    assert "Same name, other fingers: D4 (1) from lesson 4" in answer.inner_text()


def test_the_list_of_lessons_and_the_menu_mark_the_coming_one_and_the_menu_opens_at_it(site: Path, phone: Any) -> None:
    phone.clock.set_fixed_time(datetime.fromisoformat("2027-01-20T12:00:00"))
    phone.goto((site / "course/index.html").as_uri())
    (marked,) = phone.locator(".bb-lessons a", has=phone.locator(".bb-coming-mark")).all()
    assert (marked.get_attribute("href") or "").startswith("lesson-1")
    phone.get_by_role("button", name="Menu").click()
    in_menu = phone.locator(".md-nav--primary a", has=phone.locator(".bb-coming-mark"))
    assert in_menu.get_attribute("href") == marked.get_attribute("href")
    expect(in_menu).to_be_in_viewport()


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_nothing_runs_off_the_side(site: Path, browser: Any, width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 800})
    for uri in ("course/lesson-16.html", "course/lesson-26.html", "course/index.html", "course/progress.html",
                "course/write-your-own.html", "course/sheets/lesson-16/trombone.html"):  # fmt: skip
        page.goto((site / uri).as_uri())
        for names in page.locator(".bb-elsewhere b").all():  # as many as a large band has of one clef
            names.evaluate("(all) => { all.textContent += ', a long name'.repeat(9); }")
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), uri
    page.close()


def test_music_on_a_card_can_be_heard(site: Path, phone: Any, book: Book, seventh: Lesson) -> None:
    phone.goto((site / "course/lesson-07.html").as_uri())
    players = phone.locator(".bb-excerpt .bb-player")
    assert book.course
    assert players.count() == len(card_view(book, book.course, seventh).excerpts) > 0
    players.first.get_by_role("button").first.wait_for(state="visible")  # one tap from the card


def test_the_course_speaks_as_the_band_does(site: Path) -> None:
    for page in ("course/index.html", "course/write-your-own.html"):
        html = re.sub(r'<span class="bb-tip".*?</span>', "", (site / page).read_text(encoding="utf-8"))
        text = re.sub(r"<[^>]+>", "", html).lower()
        assert "semibreves, minims and crotchets" in text
        assert not re.search(r"\b(whole|half|quarter) (note|rest)s?\b", text), page


TODAY_ITEMS = ".bb-today section li:visible"


@pytest.mark.parametrize(("today", "lesson"), [("2026-10-07", 4), ("2027-01-20", 16), ("2027-09-01", 26)])
def test_what_can_be_played_is_chosen_by_the_coming_lesson(site: Path, phone: Any, today: str, lesson: int) -> None:
    """Compared with the list of tunes, where each tune has its lesson."""
    phone.clock.set_fixed_time(datetime.fromisoformat(f"{today}T12:00:00"))
    phone.goto((site / "index.html").as_uri())
    phone.get_by_role("link", name="What can we play today?").first.click()  # one tap
    phone.locator(".bb-today-chosen").wait_for()
    assert phone.locator(".bb-today-week option:checked").inner_text().startswith(f"{lesson},")
    listed = set(phone.locator(f"{TODAY_ITEMS} a[href^='../tunes/']").evaluate_all(HREFS))
    assert listed == {tune for tune, first in first_lessons(site).items() if first <= lesson}
    phone.locator(".bb-today-week").select_option(index=0)
    assert phone.locator(TODAY_ITEMS).count() == 0


HREFS = "links => links.map(link => link.getAttribute('href').split('/').pop().replace('.html', ''))"


def first_lessons(site: Path) -> dict[str, int]:
    """From which lesson all can play each tune by ear, as their own list says; those beyond the course left out."""
    text = (site / "tunes/index.html").read_text(encoding="utf-8")
    rows = [
        re.search(r'<th scope="row"><a href="([a-z0-9-]+)\.html"[^>]*>.*<td[^>]*>lesson (\d+)', row)
        for row in text.split("<tr>")
    ]
    return {row[1]: int(row[2]) for row in rows if row}


def test_what_can_be_played_stands_under_every_lesson_without_script(site: Path, browser: Any) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((site / "course/today.html").as_uri())
    assert page.locator(".bb-today-choice:visible").count() == 0
    for item in page.locator(TODAY_ITEMS).all_inner_texts():
        assert re.search(r"from lesson \d+", item), item
    context.close()


def test_the_card_alone_is_one_sheet_front_and_back(site: Path) -> None:
    cards = sorted((site / "print").glob("lesson-*-card.pdf"))
    assert len(cards) == 26
    for path in cards:
        front, _ = words_on(path)
        assert f"{int(path.name[7:9])}" in front, path.name


def test_practice_beside_the_notes_on_paper_comes_after_the_music_on_the_screen(
    browser: Any, book: Book, site: Path, tmp_path: Path
) -> None:
    """WCAG 2.4.3: the keys go the way the eye does; the list on paper is no second one for those who listen."""
    assert book.course
    lesson = book.course.course.lessons[9].id
    view, pictures = lesson_view(book, lesson), Pictures(book.root / ".cache", book.band.english)
    sheet = next(each for each in view.sheets if each.music and any(note.new for note in each.notes))
    pictures._sheets[sheet.uri] = (pictures.of_sheet(sheet)[0], SheetLayout(only_new=True, plain=True, beside=True))
    html = sheets._sheet_page(book, sheet, view, pictures).replace("../../../", f"{site.as_uri()}/")
    (tmp_path / "sheet.html").write_text(html, encoding="utf-8")
    page = browser.new_page(viewport={"width": 390, "height": 664})
    page.goto((tmp_path / "sheet.html").as_uri())
    reached = page.locator("main :is(a, button, input)")
    tops = [box["y"] for one in reached.all() if (box := one.bounding_box())]
    assert tops == sorted(tops)
    assert [page.locator(".bb-record").nth(place).is_visible() for place in range(2)] == [False, True]
    page.emulate_media(media="print")
    assert [page.locator(".bb-record").nth(place).is_visible() for place in range(2)] == [True, False]
    page.close()
