"""The form for those who edit no files: in a real browser, from the form to files, from files to a build, and back."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import ROOT
from playwright.sync_api import Browser, Page, expect

from beginnerband.data.band import load_band
from beginnerband.data.instruments import load_instruments
from beginnerband.data.matching import load_matching
from beginnerband.data.planned import load_planned
from beginnerband.data.problems import Problems

pytestmark = pytest.mark.browser


@pytest.fixture
def page(site: Path, browser: Browser, tmp_path: Path) -> Iterator[Page]:
    """The form, opened from disk on a phone."""
    context = browser.new_context(viewport={"width": 390, "height": 664}, accept_downloads=True)
    opened = context.new_page()
    opened.goto((site / "set-up.html").as_uri())
    opened.wait_for_selector("#bb-set-up:not([hidden])")
    yield opened
    context.close()


def saved(page: Page, what: str, folder: Path) -> Path:
    """A file taken away from the form."""
    with page.expect_download() as coming:
        page.click(f'[data-save="{what}"]')
    target = folder / coming.value.suggested_filename
    coming.value.save_as(target)
    return target


def heads(page: Page, instrument: str, count: str) -> None:
    field = page.locator(f'[data-instrument="{instrument}"] [data-heads]')
    field.fill(count)
    field.blur()


def add_learner(page: Page, name: str, age: str, wish: str) -> None:
    page.click('[data-add="learner"]')
    card = page.locator("#bb-su-learners details").last
    card.locator('[data-field="name"]').fill(name)
    card.locator('[data-field="age"]').select_option(age)
    card.locator('[data-field="wishes.0"]').select_option(wish)
    card.locator('[data-field="trial.small"]').select_option("fair")
    card.locator('[data-in="days"][value="wed"]').check()
    card.locator('[data-in="mouth"][value="ask first"]').check()


def fill_in(page: Page) -> None:
    """A band with a sign that YAML knows, another reading, a holiday, four people and their instruments."""
    page.fill('#bb-su-band [data-field="name"]', 'Tern: Street #2 "Brass"')
    page.select_option('#bb-su-band [data-field="words"]', "american")
    page.fill('#bb-su-course [data-field="course.start"]', "2027-01-13")
    page.fill('#bb-su-course [data-field="course.last"]', "2027-06-16")
    page.fill('#bb-su-course [data-field="course.time"]', "18:30")
    page.select_option('#bb-su-course [data-field="course.rooms"]', "2")
    heads(page, "flugelhorn", "2")
    heads(page, "trumpet", "")
    page.locator('[data-instrument="euphonium"] [data-reading]').select_option("bass-c")
    page.click('[data-add="holiday"]')
    holiday = page.locator("#bb-su-holidays .bb-su-row").last
    holiday.locator('[data-field="from"]').fill("2027-05-31")
    holiday.locator('[data-field="to"]').fill("2027-06-04")
    for name, age, wish in (
        ("Wren", "adult", "cornet"),
        ("no", "adult", "tenor-horn"),
        ("A: b", "teen", "baritone"),
        ("Finch", "adult", "eb-bass"),
    ):
        add_learner(page, name, age, wish)
    for instrument in ("cornet", "tenor-horn", "baritone", "eb-bass"):
        page.click('[data-add="item"]')
        page.locator('#bb-su-cupboard [data-field="instrument"]').last.select_option(instrument)
    page.locator('#bb-su-cupboard [data-field="serial"]').first.fill("007")
    page.locator('#bb-su-cupboard [data-field="serial"]').first.blur()


def test_from_the_form_to_the_build_and_back(page: Page, site: Path, browser: Browser, tmp_path: Path) -> None:
    """The files build without a change; read back into a fresh browser they give the same files again."""
    fill_in(page)
    files = {what: saved(page, what, tmp_path) for what in ("band", "learners", "cupboard")}
    root = tmp_path / "project"
    (root / "content" / "roster").mkdir(parents=True)
    shutil.copytree(ROOT / "content" / "instruments", root / "content" / "instruments")
    shutil.copy(ROOT / "content" / "matching.yml", root / "content")
    shutil.copy(files["band"], root / "content" / "band.yml")
    shutil.copy(files["learners"], root / "content" / "roster")
    shutil.copy(files["cupboard"], root / "content" / "roster")
    problems = Problems(root)
    instruments = load_instruments(root, problems)
    band, rules = load_band(root, instruments, problems), load_matching(root, instruments, problems)
    assert list(problems) == []
    assert band is not None
    assert rules is not None
    planned = load_planned(root, band, instruments, rules, problems)
    assert [str(each) for each in problems] == []
    assert planned is not None
    assert (band.name, band.english, band.teaching.rooms) == ('Tern: Street #2 "Brass"', "american", 2)
    assert f"{band.time:%H:%M}" == "18:30"
    played = {player.key: player.count for player in band.players}
    assert played["flugelhorn/treble-bb"] == 2
    assert "euphonium/bass-c" in played
    assert "trumpet/treble-bb" not in played
    assert str(band.holidays[-1].first) == "2027-05-31"
    people = planned.roster.learners
    assert [(each.name, each.age, each.wishes) for each in people] == [
        ("Wren", "adult", ("cornet",)),
        ("no", "adult", ("tenor-horn",)),
        ("A: b", "teen", ("baritone",)),
        ("Finch", "adult", ("eb-bass",)),
    ]
    assert all(each.days == ("wed",) and each.ask_first and each.trial == {"small": "fair"} for each in people)
    assert planned.roster.items[0].serial == "007"
    assert planned.clash == ()
    assert planned.plan.of["A: b"] == "baritone"

    context = browser.new_context(accept_downloads=True)
    again = context.new_page()
    again.goto((site / "set-up.html").as_uri())
    again.set_input_files("#bb-su-read", list(files.values()))
    expect(again.locator("#bb-su-said")).to_contain_text("cupboard.yml is read")
    for what, first in files.items():
        (tmp_path / "again").mkdir(exist_ok=True)
        assert saved(again, what, tmp_path / "again").read_text() == first.read_text()
    context.close()


def test_the_shipped_files_are_read_as_people_wrote_them(page: Page, tmp_path: Path) -> None:
    """With comments, lines in braces and quotes; nothing is lost, as the loader sees it."""
    import yaml

    folder = ROOT / "content" / "roster-example"
    page.set_input_files(
        "#bb-su-read", [ROOT / "content" / "band.yml", folder / "learners.yml", folder / "cupboard.yml"]
    )
    expect(page.locator("#bb-su-said")).to_contain_text("cupboard.yml is read")
    for what, path in (
        ("band", ROOT / "content" / "band.yml"),
        ("learners", folder / "learners.yml"),
        ("cupboard", folder / "cupboard.yml"),
    ):
        mine, theirs = (yaml.safe_load(each.read_text()) for each in (saved(page, what, tmp_path), path))
        for learner in theirs.get("learners", []) if what == "learners" else []:
            for key in ("mouth", "days"):
                if isinstance(learner.get(key), str):
                    learner[key] = [learner[key]]
        assert mine == theirs


def test_what_cannot_be_read_is_said_with_its_line(page: Page, tmp_path: Path) -> None:
    broken = tmp_path / "band.yml"
    broken.write_text("name: A Band\nplayers:\n  - {instrument: cornet, players 5}\n")
    page.set_input_files("#bb-su-read", broken)
    expect(page.locator("#bb-su-said")).to_contain_text("line 3")


def test_a_spreadsheet_of_people_is_read_or_refused_whole(page: Page, tmp_path: Path) -> None:
    """With its mistakes together, a line each, and nothing taken over; the mended one is taken over and given back."""
    table = tmp_path / "learners.csv"
    table.write_text("name;age;wishes;days\nWren;chid;cornet;mon\nFinch;adult;cornett;mon\n")
    page.set_input_files("#bb-su-read", table)
    said = page.locator("#bb-su-said")
    expect(said).to_have_text("learners.csv:2: age: 'chid' is not known; did you mean 'child'?")
    assert page.locator("#bb-su-learners details").count() == 0
    table.write_text("\ufeffname;age;wishes;days\nWren;child;B♭ cornet;Monday\nFinch;adult;;\n", encoding="utf-8")
    page.set_input_files("#bb-su-read", table)
    expect(said).to_contain_text("learners.csv is read.")
    assert page.locator("#bb-su-learners summary").all_inner_texts() == ["Wren", "Finch"]
    first = page.locator("#bb-su-learners details").first
    assert first.locator('[data-field="wishes.0"]').input_value() == "cornet"
    assert first.locator('[data-in="days"][value="mon"]').is_checked()
    assert (
        "  - {name: Wren, age: child, wishes: [cornet], days: [mon]}" in saved(page, "learners", tmp_path).read_text()
    )


def test_a_full_name_is_warned_of(page: Page) -> None:
    add_learner(page, "Wren Heron", "child", "cornet")
    assert "looks like a full name" in page.locator("#bb-su-said").inner_text()
    add_learner(page, "W. H.", "child", "cornet")
    assert "W. H." not in page.locator("#bb-su-said").inner_text()


def test_what_is_covered_shows_at_once(page: Page) -> None:
    covered = page.locator("#bb-su-covered")
    assert "Soprano: B♭ cornet" in covered.inner_text()
    assert covered.locator(".bb-su-lack").count() == 0
    for instrument in page.locator("[data-instrument]").all():
        if instrument.get_attribute("data-instrument") not in ("cornet", "drums"):
            field = instrument.locator("[data-heads]")
            field.fill("")
            field.blur()
    lacks = covered.locator(".bb-su-lack").all_inner_texts()
    assert [words.split(":")[0] for words in lacks[:2]] == ["Tenor", "Bass"]
    assert "E♭ bass" in lacks[2]


def test_what_the_browser_keeps_is_seen_taken_away_and_deleted(page: Page, site: Path, tmp_path: Path) -> None:
    add_learner(page, "Wren", "child", "cornet")
    page.reload()
    page.wait_for_selector("#bb-set-up:not([hidden])")
    assert page.locator("#bb-su-learners summary").all_inner_texts() == ["Wren"]
    page.click("text=See it, word for word")
    assert '"name": "Wren"' in page.locator("#bb-su-all").inner_text()
    kept = json.loads(saved(page, "kept", tmp_path).read_text())
    assert kept["learners"][0]["name"] == "Wren"
    page.click("[data-forget]")
    assert page.evaluate("Object.keys(localStorage).filter(key => localStorage[key].includes('Wren'))") == []
    assert page.locator("#bb-su-learners details").count() == 0
    page.reload()
    assert "Wren" not in page.content()
    page.set_input_files("#bb-su-read", tmp_path / "band-on-this-device.json")
    page.wait_for_selector("#bb-su-learners details")


def test_other_pages_show_this_devices_band_where_it_was_computed(page: Page, site: Path) -> None:
    """What is for others is left out; where something was not computed, the page says that it must be built again."""
    said = page.locator(".bb-own-band")
    page.goto((site / "tunes" / "amazing-grace.html").as_uri())
    assert said.count() == 0
    page.goto((site / "set-up.html").as_uri())
    heads(page, "euphonium-4", "2")
    for gone in ("drums", "trombone", "cornet"):
        heads(page, gone, "")
    page.goto((site / "tunes" / "amazing-grace.html").as_uri())
    assert "build the handbook again with your band.yml for B♭ euphonium, 4 valves" in said.inner_text()
    drums = page.locator("#sheet-drums")
    expect(drums).to_be_hidden()
    expect(page.locator('.bb-sheet[data-players~="trombone"]').first).to_be_hidden()
    expect(page.locator('.bb-sheet[data-players~="trumpet"]').first).to_be_visible()  # it shares the cornet's notes
    assert page.locator("[data-bb-part] option:not([disabled])").all_inner_texts()[:2] == ["(all parts)", "B♭ trumpet"]
    assert "Drums" not in page.locator(".bb-jumps").inner_text()
    said.locator("input").check()
    expect(drums).to_be_visible()

    page.goto((site / "course" / "lesson-08.html").as_uri())
    sheets = page.locator(".bb-sheet-list").inner_text()
    assert "trumpet" in sheets
    assert "cornet" not in sheets
    assert "trombone" not in page.locator(".bb-notes-table").inner_text()
    page.goto((site / "pieces" / "amazing-grace.html").as_uri())
    who = page.locator(".bb-who").first.inner_text()
    assert "trumpet" in who
    assert "cornet" not in who
    assert "Nobody here plays the drums." in said.inner_text()
    assert "who plays which line" in said.inner_text()
    assert whose(page) == ["Players and lines", "Keys compared", "Concert key", "Everyone can play it"]
    page.goto((site / "tunes" / "index.html").as_uri())
    assert "This page was not made for all of it" in said.inner_text()
    assert whose(page) == ["Tunes, from fewest notes to most"]

    page.goto((site / "look-up.html").as_uri())
    assert "shows its instruments" in said.inner_text()
    first = page.locator("#bb-look-up optgroup").first
    first.wait_for(state="attached")
    shown = first.text_content() or ""
    assert "4 valves" in shown
    assert "cornet" not in shown


def whose(page: Page) -> list[str]:
    """What a page says was worked out for the built band: the words before its name."""
    marked = page.locator("article :is(h2, dt, span, caption):has(> small)").all_text_contents()
    assert all(each.endswith(" (for Otterby Lane Starter Band)") for each in marked)
    return [each.removesuffix(" (for Otterby Lane Starter Band)").split(", fewest")[0] for each in marked]


def test_each_place_that_was_worked_out_for_another_band_says_so(page: Page, site: Path) -> None:
    """Heads alone change keys and lines; minutes alone change lessons; words alone change neither."""
    said = page.locator(".bb-own-band")

    def told(address: str) -> str:
        page.goto((site / address).as_uri())
        return said.inner_text() if said.count() else ""

    heads(page, "cornet", "9")
    assert "Keys, and the lesson from which everyone can play, were worked out for" in told("tunes/amazing-grace.html")
    assert whose(page) == ["Which key"]
    assert "Only what is for" not in said.inner_text()
    assert "Lessons and their order were put together for" in told("course/lesson-08.html")
    page.goto((site / "set-up.html").as_uri())
    page.click("[data-forget]")
    page.fill('#bb-su-course [data-field="course.minutes"]', "60")
    page.locator('#bb-su-course [data-field="course.minutes"]').blur()
    assert "Dates, rooms and minutes of the lessons are set for" in told("course/lesson-08.html")
    assert "the lesson from which everyone can play were worked out" in told("pieces/ode-to-joy.html")
    assert told("look-up.html") == ""
    page.goto((site / "set-up.html").as_uri())
    page.click("[data-forget]")
    page.select_option('#bb-su-band [data-field="words"]', "american")
    assert "Words, paper and tuning note are still those of" in told("tunes/amazing-grace.html")
    assert whose(page) == []


@pytest.mark.parametrize(("width", "height"), [(390, 664), (844, 390), (1280, 800)])
def test_nothing_is_wider_than_the_screen(page: Page, width: int, height: int) -> None:
    page.set_viewport_size({"width": width, "height": height})
    add_learner(page, "Wren", "child", "cornet")
    page.click('[data-add="item"]')
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    small = page.evaluate(
        "[...document.querySelectorAll('#bb-set-up :is(button, select, input:not([type=checkbox]):not([type=file]))')]"
        ".filter(each => each.offsetParent && each.getBoundingClientRect().height < 43).map(each => each.outerHTML)"
    )
    assert small == []


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("http://band.example/x", "begins with http://; phones keep pages only from https://band.example/x"),
        ("www.band.example", "is no address; write it as https://band.example/handbook/, or leave it empty"),
        ("https://band.example/x/index.html", "is the address of one page"),
        ("https://band.example/x/", ""),
    ],
)
def test_an_address_is_told_as_the_build_tells_it(page: Page, address: str, said: str, tmp_path: Path) -> None:
    page.locator('[data-field="name"]').first.fill("A Band")
    heads(page, "cornet", "3")
    page.locator('[data-field="address"]').fill(address)
    if not said:
        assert address in saved(page, "band", tmp_path).read_text(encoding="utf-8")
        return
    page.click('[data-save="band"]')
    expect(page.locator("#bb-su-said")).to_contain_text(said)
    problems, root = Problems(tmp_path), tmp_path  # and the build refuses it in the same words
    (root / "content").mkdir()
    (root / "content" / "band.yml").write_text(
        f"name: A Band\npaper: a4\nwords: british\naddress: {address}\n"
        "players:\n  - {instrument: cornet, players: 3}\n"
    )
    load_band(root, load_instruments(ROOT, Problems(ROOT)), problems)
    assert any(said in str(each) for each in problems), problems.found


def test_a_second_room_without_its_adults_is_told(page: Page, tmp_path: Path) -> None:
    """The course needs two adults in each room where there are children, and falls back to one room without."""
    page.locator('[data-field="name"]').first.fill("A Band")
    heads(page, "cornet", "3")
    page.locator('[data-field="course.rooms"]').select_option("2")
    page.locator('[data-field="course.adults"]').fill("2")
    saved(page, "band", tmp_path)
    said = page.locator("#bb-su-said")
    expect(said).to_contain_text(
        "Two rooms need 2 adults in each, and there are only 2: everybody will be taught in one"
    )
    page.locator('[data-field="course.adults"]').fill("4")
    saved(page, "band", tmp_path)
    expect(said).not_to_contain_text("Two rooms need")
