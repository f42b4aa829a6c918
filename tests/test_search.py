"""Search: by either name of a thing, by a fingering, by the number of a lesson; on the web and from disk."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import measure_search
import pytest
from material.plugins.search.plugin import Parser
from playwright.sync_api import Browser, Page, expect

from beginnerband.data.book import Book
from beginnerband.data.problems import Problems
from beginnerband.data.search import check_pages, load_search
from beginnerband.pages.guide import search_entries
from beginnerband.products import Products
from beginnerband.render.finish import search
from beginnerband.rendered import lightened

SAME = [["alto horn", "tenor horn"], ["measure", "bar"], ["staff", "stave"]]


def test_an_instrument_is_found_by_the_name_it_has_elsewhere() -> None:
    found = search.section({"location": "x.html", "title": "E♭ tenor horn", "text": "<p>For the middle.</p>"}, SAME)
    assert found["tags"] == ["alto horn"]
    found = search.section({"location": "x.html", "title": "Alto horn", "text": ""}, SAME)
    assert found["tags"] == ["tenor horn"]
    found = search.section({"location": "x.html", "title": "Seats", "text": "<p>A tenor horn sits here.</p>"}, SAME)
    assert "tags" not in found
    assert found["text"].endswith("<p>Also called: alto horn.</p>")


def test_music_is_asked_for_as_what_it_is() -> None:
    doc = {"location": "tunes/little-star.html", "title": "Little Star", "text": ""}
    assert search.section(doc, SAME)["tags"] == ["Little Star tune"]
    assert "tags" not in search.section({**doc, "location": "tunes/little-star.html#parts"}, SAME)
    assert "tags" not in search.section({**doc, "location": "pieces/rehearse/little-star.html"}, SAME)


def test_a_word_inside_another_word_is_not_that_word() -> None:
    assert not search.other_names("The barrel and the staffing", SAME)
    assert search.other_names("two bars", SAME) == ["measure"]


def test_a_fingering_is_one_word_of_the_index_that_looks_the_same() -> None:
    assert search.unbroken("D is 1-3, low C♯ 1-2-3; 10-minute walk") == "D is 1‑3, low C♯ 1‑2‑3; 10-minute walk"


def test_tables_and_drawings_are_left_out_and_long_sections_cut_at_a_paragraph() -> None:
    text = "<p>One.</p><table><tr><td>2</td></tr></table><svg><title>x</title></svg><p>Two.</p>"
    assert search.shortened(text) == "<p>One.</p> <p>Two.</p>"
    long = "<ul>" + "<li>Twelve words.</li>" * 200 + "</ul>"
    cut = search.shortened(long)
    assert len(cut) < search.LONGEST_TEXT + 50
    assert cut.endswith("</li></ul>")


def test_the_index_is_the_same_without_tags_it_does_not_heed() -> None:
    page = (
        '<h1 id="a">A <small>b</small></h1><p>One <b>two</b>,<br>three.</p><table data-search-exclude><tr><td>x</td>'
        '</tr></table><table>\n<tr><th title="1 > 0">C</th>\n <td>D</td></tr></table><h2 id="e">E</h2><i>f</i> g'
    )
    assert "<td" not in lightened(page)
    assert sections(lightened(page)) == sections(page) != []
    left_out = "<p>One.</p><b data-search-exclude>two</b>"
    assert lightened(left_out) == left_out


def sections(html: str) -> list[tuple[str | None, str, str]]:
    """What the theme's own search makes of a page, spaces apart."""
    parser = Parser()
    parser.feed(html)
    return [
        (each.id, "".join(each.title), re.sub(r"\s+", " ", "".join(each.text)))
        for each in parser.data
        if not each.is_excluded()
    ]


def test_both_indexes_say_the_same_and_hold_no_sheet_and_no_data(site: Path) -> None:
    index = (site / search.INDEX).read_text(encoding="utf-8")
    assert (site / search.INDEX_FROM_DISK).read_text(encoding="utf-8") == f"var __index = {index}"
    locations = {doc["location"].split("#")[0] for doc in json.loads(index)["docs"]}
    assert not [name for name in locations if "sheet" in name or name.startswith(("data/", "take-away/"))]
    assert all((site / name).is_file() for name in locations)


def test_questions_as_people_type_them_find_their_pages(site: Path) -> None:
    for name, wanted in {"6-asked": 0.93, "9-last": 0.93}.items():  # 98 % and 99 % when written, 100 % in three
        asked = measure_search.questions(measure_search.QUESTIONS / f"{name}.txt")
        found = measure_search.ask(site, [question.asked for question in asked])
        first, three = measure_search.shares([one.rank(question) for question, one in zip(asked, found, strict=True)])
        assert first >= wanted, name  # a page added may take a place, a broken ranking takes many
        assert three >= 0.97, name


@pytest.fixture(scope="module", params=["web", "disk"])
def reader(request: pytest.FixtureRequest, browser: Browser, site: Path, server: str) -> Iterator[Page]:
    page = browser.new_page()
    page.goto(f"{server}index.html" if request.param == "web" else (site / "index.html").as_uri())
    yield page
    page.close()


def results(page: Page, query: str) -> list[str]:
    """Titles of what is found for ``query``, best first."""
    box = page.get_by_role("textbox", name="Search")
    box.fill("qqqq")
    page.get_by_text("No matching documents").wait_for(state="attached")
    box.fill(query)
    page.get_by_text("matching document").filter(has_not_text="No matching").wait_for(state="attached")
    titles = page.locator(".md-search-result__article h1, .md-search-result__article h2")
    found = list[str]()
    while not found or found != titles.all_inner_texts():  # they come one after the other
        found = titles.all_inner_texts()
        page.wait_for_timeout(250)
    return found


@pytest.mark.browser
def test_one_flat_note_is_found_by_each_of_its_spellings(reader: Page) -> None:
    found = [results(reader, spelling) for spelling in ("B♭", "Bb", "B flat", "b flat", "bb")]
    assert found[0]
    assert all(titles == found[0] for titles in found[1:]), found


@pytest.mark.browser
def test_pasted_words_are_searched_too(reader: Page) -> None:
    assert results(reader, "breathing")  # fill() is a paste: no key is pressed


def test_a_fingering_leads_to_the_look_up_and_no_table_is_in_the_index(site: Path) -> None:
    docs = json.loads((site / search.INDEX).read_text(encoding="utf-8"))["docs"]
    texts = {doc["location"]: doc["text"] for doc in docs}
    assert "1\u20113" in texts["look-up.html"]
    assert not texts["instruments/trombone.html"]  # its jumps and facts: a table with lines inside its cells
    assert "cents, sharp" not in "".join(texts.values())


def test_a_page_that_is_not_there_is_named_with_its_line(tmp_path: Path) -> None:
    (tmp_path / "content").mkdir()
    (tmp_path / "content/search.yml").write_text("pages:\n  guide/hearin.md: [loud]\n", encoding="utf-8")
    problems = Problems(tmp_path)
    check_pages(tmp_path, load_search(tmp_path, problems), {"guide/hearing.md"}, problems)
    (problem,) = problems
    assert "content/search.yml" in str(problem)
    assert problem.line == 2
    assert "guide/hearing.md" in str(problem)


@pytest.mark.browser
def test_a_note_on_an_instrument_is_answered_above_the_pages(reader: Page) -> None:
    # Standard three-valve chart (common practice, from memory): written F sharp is the second valve.
    results(reader, "cornet F sharp fingering")
    answer = reader.locator(".bb-search-answer")
    expect(answer).to_contain_text("B♭ cornet, F♯: 2")
    assert (answer.get_attribute("href") or "").endswith("look-up.html#cornet/treble-bb/F%234")
    results(reader, "sore lips")
    expect(answer).to_have_count(0)


@pytest.mark.browser
def test_slips_and_other_words_find_the_page_and_a_trouble_is_found_by_itself(reader: Page) -> None:
    assert results(reader, "mouthpeice stuck in my horn")[0] == "Stuck valve, slide or mouthpiece"
    results(reader, "player squeaks")
    first = reader.locator(".md-search-result__item > .md-search-result__link").first
    assert "guide/troubles.html#squeak" in (first.get_attribute("href") or "")


def test_entries_stand_in_the_index_and_their_list_does_not(site: Path) -> None:
    docs = json.loads((site / search.INDEX).read_text(encoding="utf-8"))["docs"]
    places = [doc["location"] for doc in docs]
    assert "guide/words.html#bar" in places
    assert "faster and faster" in docs[places.index("guide/troubles.html#ahead")]["tags"]  # from content/search.yml
    assert not [place for place in places if place.startswith("guide/words.html#letter-")]
    assert not (site / search.ENTRIES).exists()


def test_entries_are_spelled_as_the_band_spells(book: Book) -> None:
    titles = {}
    for english, word in (("british", "practises"), ("american", "practices")):
        out = Products()
        search_entries.contribute(replace(book, band=replace(book.band, english=english)), out)
        titles[english] = [entry["title"] for entry in json.loads(out.assets[search.ENTRIES])]
        assert f"Nobody {word} at home" in titles[english]
    assert not [title for title in titles["american"] if "neighbour" in title]


@pytest.mark.browser
def test_words_every_page_has_count_for_nothing_and_are_not_shown(reader: Page) -> None:
    assert results(reader, "How do you hold the trombone?")[0] == results(reader, "hold trombone")[0]
    assert reader.locator(".md-search-result .md-tags:visible").count() == 0


@pytest.mark.browser
def test_three_results_fit_above_the_keyboard_of_a_phone_and_open_where_the_answer_stands(
    browser: Browser, site: Path
) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 664})
    page.goto((site / "index.html").as_uri())
    page.locator("label[for=__search]").first.click()
    results(page, "two gentle tries then stop")
    links = page.locator(".md-search-result__item > .md-search-result__link")
    third = links.nth(2).bounding_box()
    assert third
    assert third["y"] + third["height"] <= 664 - 300  # what a keyboard covers, roughly (from memory)
    addresses = [link.get_attribute("href") or "" for link in links.all()[:3]]
    assert any(address.endswith("#stop-when") for address in addresses), addresses
    assert links.first.locator("mark").count()
    page.close()
