"""The look-up in a real browser: what it answers, by links, without script and from disk, and what is heard."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from looking_up import Open, answer, others, pages, pick, shows_address
from playwright.sync_api import expect
from staticserver import drawn, until

from beginnerband.data.book import Book
from beginnerband.music import staff_place
from beginnerband.music.advice import in_words
from beginnerband.music.answer import Answer
from beginnerband.music.answer import answer as answer_for
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.unison import match
from beginnerband.pages.shared.readers import readers
from beginnerband.render import fingers

pytestmark = pytest.mark.browser


@pytest.fixture
def open_page(browser: Any) -> Iterator[Open]:
    yield from pages(browser)


def test_two_taps_from_home_to_the_answer(open_page: Open, server: str) -> None:
    page = open_page(server)
    page.get_by_role("link", name="B♭ cornet", exact=True).tap()
    pick(page, "A 4")
    # Common practice, no source: A in the staff is 1-2 on every treble-clef valved instrument.
    assert "Press 1 and 2" in answer(page)
    assert "Written A4" in answer(page)


def test_the_answer_for_written_g_on_a_cornet_is_what_every_band_leader_knows(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet")
    pick(page, "G 4")
    said = answer(page)
    # Common practice, no source: the open G of a B flat cornet sounds concert F, first position on the trombone; the
    # E flat horn reads D (first valve), the F horn C (open). 349 Hz is F4 in equal temperament at A = 440 (ISO 16).
    assert "Written G4 on the second line" in said
    assert "Press no valve: open" in said
    assert "Sounds F4 concert pitch, 349 Hz" in said
    assert "In tune" in said
    rows = others(page)
    assert rows["E♭ tenor horn"] == "D5 1"
    assert rows["single F horn"] == "C5 open"
    assert rows["B♭ tenor trombone"] == "F4 1"
    assert rows["B♭ trumpet"] == "G4 open"
    assert rows["E♭ bass"] == "D5 1"  # an octave lower
    assert rows["glockenspiel"] == "F4"
    assert "an octave lower" in page.locator(".bb-lu-row", has_text="E♭ bass").inner_text()
    for player, notes in DRAWN_AT.items():
        page.evaluate("(to) => { location.hash = to; }", player)
        until(lambda player=player: page.locator("#bb-lu-player").input_value() == player, player, 10)
        for name, line in notes.items():
            pick(page, name)
            stands_where_it_should(page, name, line)


# A treble clef's G is the second line from below, a bass clef's F the second from above (common practice, no source).
DRAWN_AT = {
    "cornet/treble-bb": {"G 4": 3, "G flat 4": 3, "G sharp 4": 3},
    "trombone/bass-c": {"F 3": 1, "F sharp 3": 1, "E flat 3": 1.5, "C 4": -1},
    "eb-bass/treble-eb": {"G sharp 3": 6.5, "B flat 4": 2},
    "glockenspiel/treble-c": {"C 4": 5, "G flat 5": -0.5},
}
"""Notes, and how many staff spaces below the top line each stands."""

DRAWN = """(svg) => {
  const all = (which) => [...svg.querySelectorAll(which)].map((path) => path.getBoundingClientRect());
  const boxes = (which) => all(which).filter((box) => box.width);
  const [lines, ledgers] = boxes("path[stroke-width]"), rest = boxes("path:not([stroke-width])");
  const space = lines.height / 4, column = svg.closest("div").getBoundingClientRect();
  return {
    ledgers: ledgers ? Math.round(ledgers.height / space) + 1 : 0,
    column: (column.left + column.width / 2 - lines.left) / space,
    outlines: rest.map((one) => ({
      left: (one.left - lines.left) / space, right: (one.right - lines.left) / space,
      middle: (one.top + one.height / 2 - lines.top) / space, height: one.height / space,
    })),
  };
}"""
"""Where what is drawn on a staff is seen, in staff spaces from its lines' left end and downwards from its top line."""


def stands_where_it_should(page: Any, name: str, line: float) -> None:
    """A note at its height in the answer, after its clef and with its sign before it, and in its column by itself."""
    drawn(page)
    letter, *alter, octave = name.split()
    picture = page.locator(".bb-lu-main .bb-staff").evaluate(DRAWN)
    clef, head, *signs = picture["outlines"]
    strip = page.locator(f"label:has([value={letter}{octave}]) .bb-staff").evaluate(DRAWN)
    (natural,) = strip["outlines"]
    for each in (head, natural):  # a head is a space high (common practice, no source)
        assert (each["middle"], each["height"]) == (pytest.approx(line, abs=0.1), pytest.approx(1, abs=0.15)), each
    assert picture["ledgers"] == strip["ledgers"] == max(0, int(line) - 4, int(-line))
    assert clef["right"] + 1 < head["left"] < clef["right"] + 4, (clef, head)
    assert (natural["left"] + natural["right"]) / 2 == pytest.approx(strip["column"], abs=0.3)
    assert len(signs) == len(alter)
    for each in signs:
        assert head["left"] - 0.5 < each["right"] < head["left"], (each, head)
        # A sharp stands evenly about its line; of a flat most is above it (SMuFL's accidentals are drawn so).
        assert each["middle"] == pytest.approx(line - (0 if alter == ["sharp"] else 0.6), abs=0.25), each
    sign = {"flat": "♭", "sharp": "♯"}[alter[0]] if alter else ""
    assert page.locator("label:has(:checked[name=note]) > span").inner_text().startswith(f"{letter}{sign}")


def test_a_sharp_note_says_what_to_do_about_it(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/C%234")
    said = answer(page)
    # Common practice: low C sharp, 1-2-3, is the sharpest note, and the third-valve slide goes out.
    assert "Press 1, 2 and 3" in said
    assert "Very sharp" in said
    assert "third-valve slide" in said


def test_both_readings_of_low_brass_are_answered(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#euphonium/treble-bb/C5")
    rows = others(page)
    assert "bass clef" in page.locator(".bb-lu-row").first.inner_text()
    assert rows["B♭ euphonium"] == "B♭3 open"
    horn = open_page(server + "look-up.html#cornet/treble-bb/C4")
    assert "in bass clef" in horn.locator(".bb-lu-row", has_text="B♭ baritone").inner_text()


def test_starting_from_the_concert_note_keeps_the_sound(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#tenor-horn/treble-eb/G4")
    page.get_by_label("concert note").tap()
    assert page.get_by_role("radio", name="B flat 3", exact=True).is_checked()
    pick(page, "F 3")
    assert "Written D4" in answer(page)  # concert F is D for an E flat player (common practice)
    shows_address(page, "#tenor-horn/treble-eb/concert/F3")


def test_a_link_opens_its_answer_and_the_address_follows_the_choice(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#trombone/bass-c/Eb3")
    assert "3rd position" in answer(page)  # common practice: E flat is in third position
    pick(page, "D 3")
    assert "4th position" in answer(page)
    shows_address(page, "#trombone/bass-c/D3")
    pick(page, "F sharp 3")
    copied = shows_address(page, "#trombone/bass-c/F%233")  # not F#, which some programs cut off
    again = open_page(copied)
    assert answer(again) == answer(page)
    page.locator(".bb-lu-row", has_text="B♭ cornet").tap()
    assert re.search(r"#cornet/treble-bb/", page.url)


@pytest.mark.parametrize(
    "nonsense", ["kazoo", "cornet/treble-bb/H9", "cornet/%", "cornet/hand/9-9", "<b>x</b>", "search"]
)
def test_a_wrong_link_still_gives_an_answer(open_page: Open, server: str, nonsense: str) -> None:
    page = open_page(f"{server}look-up.html#{nonsense}")
    assert page.locator("#bb-lu-answer svg").count() > 0
    assert page.locator("#bb-lu-answer b b").count() == 0


def test_a_link_for_an_instrument_that_is_not_there_says_so_until_one_is_chosen(open_page: Open, server: str) -> None:
    page = open_page(f"{server}look-up.html#kazoo/treble-bb/G4")
    lack = page.locator("#bb-lu-lacks")
    said = "This handbook does not have the instrument that the link asks for; this is B♭ cornet"
    expect(lack).to_contain_text(said)
    assert lack.evaluate("element => element.getBoundingClientRect().bottom <= innerHeight")
    assert page.evaluate("location.hash") == "#kazoo/treble-bb/G4"  # so that a reload says it again
    pick(page, "A 4")
    expect(lack).to_be_hidden()
    page.evaluate("location.hash = 'kazoo'")
    expect(lack).to_contain_text(said)
    page.evaluate("location.hash = 'trombone/bass-c/F3'")
    expect(lack).to_be_hidden()
    page.evaluate("location.hash = 'bb-lu-answer'")  # an anchor of the page
    expect(lack).to_be_hidden()


def test_the_last_choice_is_remembered(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#eb-bass/bass-c/Ab2")
    page.goto(server)
    page.goto(server + "look-up.html")
    assert page.get_by_label("Instrument", exact=True).input_value() == "eb-bass/bass-c"
    assert "Written A♭2" in answer(page)


def test_a_phone_can_be_narrowed_to_its_own_instruments(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/G4")
    assert "B♭ trumpet" in others(page)
    page.get_by_text("Choose the instruments shown here").tap()
    page.get_by_role("checkbox", name="B♭ trumpet", exact=True).tap()
    page.get_by_role("checkbox", name="B♭ flugelhorn", exact=True).tap()
    assert "B♭ trumpet" not in others(page)
    assert others(page)["B♭ flugelhorn"] == "G4 open"
    page.reload()
    assert "B♭ trumpet" not in others(page)
    page.get_by_text("Choose the instruments shown here").tap()
    chosen = page.locator("#bb-lu-mine input:checked:not([value='cornet/treble-bb'])")
    for _ in range(chosen.count()):
        chosen.first.tap()
    expect(page.get_by_role("heading", name="The same sound on the others")).to_have_count(0)  # there are none
    page.get_by_role("button", name="Back to the band’s own list").tap()
    assert "B♭ trumpet" in others(page)


def test_which_notes_a_fingering_can_sound(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/G4")
    page.locator("label", has_text="fingering").tap()
    drawn(page)
    cards = page.locator(".bb-lu-card")
    # Common practice: the open notes of a B flat cornet are C G C E G (B flat, out of tune) C.
    assert [card.inner_text().split("\n")[0] for card in cards.all()] == ["C4", "G4", "C5", "E5", "G5", "B♭5", "C6"]
    assert "out of tune" in cards.nth(5).inner_text()
    assert "out of tune" not in cards.nth(6).inner_text()
    first, second = (cards.nth(k).bounding_box() for k in (0, 1))
    assert first["y"] == second["y"]  # side by side, so that they are seen at once
    page.get_by_role("checkbox", name="Valve 2").tap()
    shows_address(page, "#cornet/treble-bb/hand/2")
    assert [card.inner_text().split("\n")[0] for card in cards.all()][:3] == ["B3", "F♯4", "B4"]
    cards.nth(1).tap()
    assert "Press 2" in answer(page)


def test_which_notes_a_slide_position_can_sound(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#trombone/bass-c/F3")
    page.locator("label", has_text="position").tap()
    page.get_by_role("radio", name="4th position").tap()
    shows_address(page, "/hand/4")  # the answer comes with the next frame, the address after it
    notes = [card.inner_text().split("\n")[0] for card in page.locator(".bb-lu-card").all()]
    assert notes[:3] == ["G2", "D3", "G3"]  # common practice: fourth position gives G D G B D


def test_without_script_the_same_answers_stand_in_tables(open_page: Open, server: str) -> None:
    page = open_page(server, java_script_enabled=False)
    page.get_by_role("link", name="the look-up").tap()
    page.get_by_role("link", name="B♭ cornet", exact=True).tap()
    page.wait_for_url("**/look-up/cornet.html")
    table = page.locator("table").first
    head = [cell.inner_text() for cell in table.locator("thead th").all()]
    row = table.locator("tbody tr", has=page.get_by_role("rowheader", name="G4", exact=True))
    cells = dict(zip(head[1:], [cell.inner_text() for cell in row.locator("td").all()], strict=True))
    assert cells["Valves"] == "open"
    assert cells["Sounds"] == "F4, 349 Hz"
    assert cells["E♭ tenor horn"] == "D5 1"
    assert cells["B♭ tenor trombone"] == "F4 1st"
    assert cells["E♭ bass"].split("\n") == ["D5 1", "an octave lower"]


def test_from_disk_the_look_up_and_the_search_work(open_page: Open, site: Path) -> None:
    page = open_page((site / "look-up.html").as_uri() + "#cornet/treble-bb/G4")
    assert "Sounds F4" in answer(page)
    pick(page, "C 5")
    assert "Sounds B♭4" in answer(page)
    page.locator("label[for=__search]").first.tap()
    page.locator("[data-md-component=search-query]").press_sequentially("embouchure")
    page.locator(".md-search-result__link").first.wait_for(timeout=10_000)


def test_the_note_can_be_heard_and_the_player_is_fetched_only_then(open_page: Open, server: str) -> None:
    page = open_page(server + "look-up.html#cornet/treble-bb/G4")
    assert page.evaluate("typeof window.bandSound") == "undefined"
    hear = page.get_by_role("button", name="Hear it")
    assert hear.get_attribute("data-bb-note") == "65"  # F4 (MIDI 1.0: A4 is 69)
    hear.tap()
    until(lambda: page.evaluate("Boolean(window.bandSound)"), "the player was not fetched")


def test_a_note_is_heard_as_its_instrument_sounds(open_page: Open, server: str, book: Book) -> None:
    """A glockenspiel is struck; each kind of brass is as bright as in the music (test_player.py measures that)."""
    page = open_page(server + "look-up.html#cornet/treble-bb/G4")
    page.get_by_role("button", name="Hear it").tap()
    until(lambda: page.evaluate("Boolean(window.bandSound)"), "the player was not fetched")
    page.evaluate(
        "() => { bandSound.sounded = (ctx, out, note) => { window.heard = [note.sound, note.tone ?? null]; }; }"
    )
    brass = [book.instruments[ident] for ident in ("cornet", "eb-bass")]
    sounds = {"cornet/treble-bb/G4": [65, brass[0].formant_hz], "eb-bass/treble-eb/G4": [46, brass[1].formant_hz]}
    for address, heard in (sounds | {"glockenspiel/treble-c/G4": [91, "bar"]}).items():
        page.evaluate("(to) => { location.hash = to; }", address)
        until(lambda address=address: address in page.evaluate("location.href"), address, 10)
        others(page)
        page.get_by_role("button", name="Hear it").tap()
        assert page.evaluate("window.heard") == heard, address


EVERY_NOTE = """async () => {
  document.body.style.display = "none";  // nothing is laid out, which takes a fifth of the time
  const text = (element) => element.textContent.replace(/\\s+/g, " ").trim();
  const all = (selector, within) => [...within.querySelectorAll(selector)].map(text);
  const [first, rest] = document.querySelector("#bb-lu-answer").children;
  const shown = async () => {
    await new Promise((done) => setTimeout(done));
    return {
      main: all(".bb-lu-main figcaption", first), said: all("p", first), or: all(".bb-lu-or figcaption", first),
      others: [...rest.querySelectorAll(".bb-lu-row")].map((row) => all(".bb-lu-name, small:not(.bb-lu-name small), b:not(.bb-lu-name b)", row)),
    };
  };
  const players = document.querySelector("#bb-look-up select"), found = {};
  for (const { value } of [...players.options]) {
    players.value = value;
    players.dispatchEvent(new Event("change", { bubbles: true }));
    for (const note of document.querySelectorAll("#bb-lu-pick input")) {
      note.click();
      found[value + "/" + note.value] = await shown();
    }
  }
  return found;
}"""  # noqa: E501
"""Taps every note of every player and takes down what the page then says."""


def spoken(code: str) -> str:
    """A fingering as people say it."""
    return "open" if code == "0" else code


def expected(book: Book, note: Answer) -> dict[str, list[Any]]:
    """What the domain has to say about one note, as the look-up words it."""
    english, instrument, way = book.band.english, note.player.instrument, note.way
    cents = [f"{round(each.cents):+d} cents".replace("-", "−").replace("+0", "0") for each in note.ways]
    sounds = f"Sounds {note.sounding.sign} concert pitch, {note.hz(book.band.pitch_a4):.0f} Hz."
    if way:
        played = f"Play{spoken(way.code)}{fingers.words(instrument, way, english)}"
        sounds += f" {in_words(round(way.cents)).capitalize()} ({cents[0]})."
    else:
        played = f"Strike the bar{note.written.letter_sign}"
    beyond = {"starter": [], "first-year": ["Beyond the starter range."], "full": ["Beyond the first-year range."]}
    return {
        "main": [f"Written{note.written.sign}{staff_place.words(note.place)}", played],
        "sounds": sounds,
        "advice": " ".join(each.text for each in note.advice(english)),
        "after": " ".join([*beyond[note.level], "Hear it"]),
        "or": [f"{cents[note.ways.index(each)]}{spoken(each.code)}" for each in note.alternates],
        "others": [
            [
                found.answer.written.sign,
                found.where if found.octaves else "",
                *([spoken(found.answer.way.code)] if found.answer.way else []),
            ]
            for other in same_sound_players(book, note.player)
            if (found := match(note.sounding, other))
        ],
    }


def advised(said: list[str], wanted: dict[str, list[Any]]) -> str:
    """The whole of what to do, from the words of an answer and of its fold; what is shown of it is how it begins."""
    *folded, shown = said
    assert shown.startswith(wanted["sounds"]), shown
    assert shown.endswith(wanted["after"]), shown
    shown = shown.removeprefix(wanted["sounds"]).removesuffix(wanted["after"]).strip()
    if not folded:
        return shown
    (whole,) = folded
    assert shown.endswith("."), shown
    assert whole.startswith(shown.removesuffix(".")), (shown, whole)
    assert 10 < len(shown) < len(whole), (shown, whole)
    return whole


def same_sound_players(book: Book, player: Player) -> list[Player]:
    """Whom the look-up shows beside ``player``: the same instrument's other readings, then the rest of the band."""
    everyone = [reader for reader in readers(book) if reader.player != player]
    own = [each for each in everyone if each.player.instrument == player.instrument and not each.in_band]
    return [each.player for each in (*own, *(each for each in everyone if each.in_band))]


def test_every_note_of_every_player_is_what_the_domain_answers(open_page: Open, server: str, book: Book) -> None:
    page = open_page("about:blank")
    page.add_init_script("window.requestAnimationFrame = (draw) => draw()")  # no waiting for frames between notes
    page.goto(server + "look-up.html")
    found = page.evaluate(EVERY_NOTE)
    wanted: dict[str, Any] = {}
    for reader in readers(book):
        span = reader.player.instrument.written_range("full", reader.player.reading)
        for letter, alter in itertools.product("CDEFGAB", (-1, 0, 1)):
            for octave in range(-1, 10):
                if (written := Pitch(letter, alter, octave)) in span:
                    wanted[f"{reader.player.key}/{written.name}"] = expected(book, answer_for(reader.player, written))
    assert sorted(found) == sorted(wanted)
    for address, said in found.items():
        for row in said["others"]:
            # beside the octave stands the clef, or what the same player reads in another one
            row[1] = "".join(each for each in row[1].split(", ") if "octave" in each)
        assert advised(said.pop("said"), wanted[address]) == wanted[address]["advice"], address
        assert said == {part: wanted[address][part] for part in said}, address
