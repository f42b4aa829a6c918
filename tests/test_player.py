"""Sound: rendered offline in real Chromium and measured; then the player is used as a player would."""

from __future__ import annotations

import base64
import io
import json
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pypdf import PdfReader
from staticserver import until

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.music.playing import heard
from beginnerband.pages.assets import JOINED, sources
from beginnerband.render.sound import PlayedLine, music

pytestmark = pytest.mark.browser

RATE = 48000
SIZE = 1 << 20
SCRIPTS = [sources()[name] for name in JOINED["player.js"]]
RENDER = """async ([music, options, rate]) => {
  const buffer = await bandSound.render(JSON.parse(music), options, rate);
  const bytes = new Uint8Array(buffer.getChannelData(0).buffer);
  let text = "";
  for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
  return btoa(text);
}"""


@pytest.fixture(scope="module")
def page(browser: Any) -> Iterator[Any]:
    page = browser.new_page()
    page.set_content("<!DOCTYPE html><title>t</title>")
    for script in SCRIPTS:
        page.add_script_tag(path=str(script))
    yield page
    page.close()


def rendered(page: Any, value: str, **options: object) -> np.ndarray:
    return np.frombuffer(base64.b64decode(page.evaluate(RENDER, [value, options, RATE])), dtype=np.float32)


def spectrum(samples: np.ndarray) -> np.ndarray:
    """Magnitudes of a windowed and padded spectrum, ``SIZE / RATE`` bins to the hertz."""
    return np.abs(np.fft.rfft(samples * np.hanning(len(samples)), SIZE))


def frequency(samples: np.ndarray, near: float) -> float:
    """The first partial's frequency, from the strongest of those near the multiples of ``near``.

    Each peak is read by the parabola through it; the strongest partial tells most exactly where the first lies.
    """
    found = spectrum(samples)
    low, high = (int(near * factor * SIZE / RATE) for factor in (0.9, 1.1))
    assert found[low:high].max() > 0.02 * found.max()  # the first partial itself is there
    peak = int(np.argmax(found))
    before, at, after = np.log(found[peak - 1 : peak + 2] + 1e-12)
    strongest = (peak + (before - after) / (2 * (before - 2 * at + after))) * RATE / SIZE
    return strongest / round(strongest / near)


def weighting(hertz: np.ndarray) -> np.ndarray:
    """The ear's weight as a factor of amplitude: A-weighting, IEC 61672-1:2013, 5.5.8."""
    f2 = np.maximum(hertz, 1e-9) ** 2
    down = (f2 + 20.6**2) * np.sqrt((f2 + 107.7**2) * (f2 + 737.9**2)) * (f2 + 12194**2)
    return 10 ** (2 / 20) * 12194**2 * f2**2 / down


def loudness(samples: np.ndarray) -> float:
    """How loud a steady sound is to an ear, decibels."""
    weighted = spectrum(samples) * weighting(np.fft.rfftfreq(SIZE, 1 / RATE))
    return float(10 * np.log10(np.sum(weighted**2) / len(samples)))


def loudest(samples: np.ndarray) -> float:
    """How loud something that fades is to an ear at its loudest, decibels: A-weighted, time weighting F (125 ms) of
    IEC 61672-1:2013, which gives a sound that lasts its own level.
    """
    weighted = np.fft.irfft(np.fft.rfft(samples) * weighting(np.fft.rfftfreq(len(samples), 1 / RATE)), len(samples))
    step = RATE // 500
    powers = np.mean((weighted[: len(weighted) // step * step] ** 2).reshape(-1, step), axis=1)
    keeps = float(np.exp(-0.002 / 0.125))
    now = highest = 0.0
    for power in powers:
        now = keeps * now + (1 - keeps) * float(power)
        highest = max(highest, now)
    return 10 * float(np.log10(highest))


def above(samples: np.ndarray, hertz: float) -> float:
    """Share of the energy that lies above ``hertz``."""
    power = spectrum(samples) ** 2
    return float(power[int(hertz * SIZE / RATE) :].sum() / power.sum())


def note_of(book: Book, ident: str, sounding: int, seconds: int = 1) -> str:
    """One note of an instrument as the player takes it."""
    value = json.loads(music([PlayedLine(line("C4"), instrument=book.instruments[ident])]))
    value["parts"][0]["notes"] = [[0, seconds, sounding, []]]
    return json.dumps(value)


def drum_of(name: str) -> str:
    """One stroke of a drum as the player takes it."""
    part = {"name": "", "notes": [[0, 1, name]]}
    return json.dumps({"a4": 440, "speed": 60, "beat": 1, "beats": 4, "pickup": 0, "parts": [part]})


def onset(samples: np.ndarray, expected: float) -> float:
    """When sound begins near ``expected`` seconds: the first sample above the silence before it."""
    start = int((expected - 0.012) * RATE)
    loud = np.abs(samples[max(start, 0) : start + int(0.1 * RATE)]) > 0.002
    return (max(start, 0) + int(np.argmax(loud))) / RATE


def line(text: str, tempo: int = 60) -> Any:
    read = read_abc(f"X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4={tempo}\nK:C\n{text}\n")
    assert read.score
    return read.score.lines[0]


@pytest.mark.parametrize("a4", [440.0, 442.0])
def test_every_note_is_in_tune_within_one_cent(page: Any, a4: float) -> None:
    """Equal temperament, ISO 16: A4 = 440 Hz, and the band's own pitch."""
    scale = line("C,, G,, C, F, | B, C F A | c f b c' |]")
    samples = rendered(page, music([PlayedLine(scale)], a4))
    for at, _, midi in heard(scale):
        cut = samples[int((float(at) + 0.1) * RATE) : int((float(at) + 0.9) * RATE)]
        wanted = a4 * 2 ** ((midi - 69) / 12)
        assert abs(1200 * np.log2(frequency(cut, wanted) / wanted)) < 1, midi


@pytest.mark.parametrize("speed", [1.0, 0.6])
def test_every_note_begins_on_time_within_five_milliseconds(page: Any, book: Book, speed: float) -> None:
    tune = book.tunes["deck-the-hall"].line
    samples = rendered(page, music([PlayedLine(tune)]), speed=speed)
    quarter = 60 / (float(tune.tempo.quarters_a_minute) * speed)
    for at, _, _ in heard(tune):
        expected = float(at) * quarter
        assert abs(onset(samples, expected) - expected) < 0.005, expected


def test_the_count_in_is_one_bar_and_what_the_pickup_leaves_of_another(page: Any) -> None:
    full = json.loads(music([PlayedLine(line("C D E F | C4 |]"))]))
    clicks = page.evaluate("m => bandSound.plan(m, {countIn: true}).clicks", full)
    assert [click["at"] for click in clicks] == [0, 1, 2, 3]
    pickup = json.loads(music([PlayedLine(line("F | C D E F | C3 |]"))]))
    planned = page.evaluate("m => bandSound.plan(m, {countIn: true})", pickup)
    assert [click["accent"] for click in planned["clicks"]] == [True, False, False, False, True, False, False]
    assert planned["events"][0]["at"] == 7
    samples = rendered(page, json.dumps(pickup), countIn=True)
    for click in planned["clicks"]:
        assert abs(onset(samples, click["at"]) - click["at"]) < 0.005


def test_repeats_ties_and_drums_are_heard_as_written(page: Any, book: Book) -> None:
    value = json.loads(music([PlayedLine(line("|: C2 D2- | D4 :|"))]))
    assert [note[:3] for note in value["parts"][0]["notes"]] == [[0, 2, 60], [2, 6, 62], [8, 2, 60], [10, 6, 62]]
    assert value["parts"][0]["notes"][1][3] == [1, 2]
    drums = {"a4": 440, "speed": 60, "beat": 1, "beats": 4, "pickup": 0, "parts": [{"name": "", "notes": []}]}
    drums["parts"][0]["notes"] = [[0, 1, "snare"], [1, 1, "bass-drum"], [2, 1, "cymbal"]]  # type: ignore[index]
    samples = rendered(page, json.dumps(drums))
    for at in (0, 1, 2):
        assert abs(onset(samples, at) - at) < 0.005


def test_nothing_is_so_loud_that_it_distorts(page: Any, book: Book) -> None:
    samples = rendered(page, music([PlayedLine(book.tunes["largo"].line)]), countIn=True)
    assert 0.05 < float(np.max(np.abs(samples))) < 1


BRASS = {"cornet": 70, "trumpet": 70, "tenor-horn": 63, "f-horn": 60, "baritone": 58, "trombone": 58,
         "euphonium": 53, "eb-bass": 43, "bb-bass": 41}  # fmt: skip
"""Brass instruments with a sounding note in the middle of their first year."""


def held(page: Any, value: str) -> np.ndarray:
    """The steady middle of one note."""
    return rendered(page, value)[int(0.2 * RATE) : int(0.9 * RATE)]


def test_every_instrument_is_as_loud_to_an_ear_as_the_others(page: Any, book: Book) -> None:
    levels = {ident: loudness(held(page, note_of(book, ident, midi))) for ident, midi in BRASS.items()}
    assert max(levels.values()) - min(levels.values()) < 1.5, levels  # decibels, A-weighted


def test_bars_and_drums_are_as_loud_to_an_ear_as_brass(page: Any, book: Book) -> None:
    """A bass drum too: what a phone plays of it is the beater's knock."""
    brass = loudest(rendered(page, note_of(book, "cornet", 70)))
    struck = {
        f"{ident} {midi}": rendered(page, note_of(book, ident, midi, 2))
        for ident, midis in {"glockenspiel": (79, 96, 108), "xylophone": (65, 77, 96)}.items()
        for midi in midis
    } | {name: rendered(page, drum_of(name)) for name in ("snare", "bass-drum", "cymbal")}
    levels = {name: loudest(samples) - brass for name, samples in struck.items()}
    assert all(abs(level) < 1.5 for level in levels.values()), levels  # decibels
    assert all(float(np.max(np.abs(samples))) < 0.9 for samples in struck.values())
    assert above(struck["bass-drum"], 300) > 0.1
    assert above(struck["bass-drum"], 600) < 0.01  # and still no other drum


def test_low_notes_carry_on_a_phone(page: Any, book: Book) -> None:
    """A phone's loudspeaker gives little below 300 Hz; the ear supplies a fundamental whose partials it hears."""
    for ident, midi in {"eb-bass": 39, "bb-bass": 34, "euphonium": 41, "trombone": 40}.items():
        share = above(held(page, note_of(book, ident, midi)), 300)
        assert share > 0.2, (ident, share)


def test_each_family_sounds_like_itself(page: Any, book: Book) -> None:
    """On one and the same note: bright cylindrical brass, rounder conical brass, darkest the basses."""
    hertz = np.fft.rfftfreq(SIZE, 1 / RATE)
    centres = {}
    for ident in BRASS:
        found = spectrum(held(page, note_of(book, ident, 58)))
        centres[ident] = float(np.sum(hertz * found**2) / np.sum(found**2))
    order = ("trumpet", "cornet", "trombone", "f-horn", "euphonium", "bb-bass")
    assert all(centres[high] > 1.03 * centres[low] for high, low in pairwise(order)), centres
    struck = rendered(page, note_of(book, "glockenspiel", 82, 2))
    early, late = (
        float(np.sqrt(np.mean(struck[int(a * RATE) : int(b * RATE)] ** 2))) for a, b in ((0.02, 0.1), (1.2, 1.3))
    )
    assert 0 < late < early / 8  # it rings, and dies away while the note is still written


def test_a_note_begins_and_ends_without_a_click(page: Any, book: Book) -> None:
    """A step in the sound spreads over all frequencies: near the ends nothing stands out above what the note has."""
    for ident, midi in (("trombone", 46), ("cornet", 70), ("eb-bass", 41)):
        samples = rendered(page, note_of(book, ident, midi))
        size = int(0.02 * RATE)
        cuts = [samples[at : at + size] * np.hanning(size) for at in range(0, len(samples) - size, size // 2)]
        high = [float(np.sum(np.abs(np.fft.rfft(cut))[int(12000 * size / RATE) :] ** 2)) for cut in cuts]
        whole = max(float(np.sum(np.abs(np.fft.rfft(cut)) ** 2)) for cut in cuts)
        assert max(high) < 1e-5 * whole, (ident, 10 * np.log10(max(high) / whole))


def test_the_fullest_chord_does_not_overload(page: Any, book: Book) -> None:
    parts = [(ident, midi) for ident, midi in BRASS.items() for _ in range(2)]
    value = json.loads(note_of(book, "cornet", 70))
    value["parts"] = [json.loads(note_of(book, ident, midi))["parts"][0] for ident, midi in parts]
    peak = float(np.max(np.abs(rendered(page, json.dumps(value)))))
    assert 0.1 < peak < 0.8  # what lies beyond 0.8 the player bends


def test_a_tune_page_plays_follows_and_stops(browser: Any, site: Path) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 800})
    failed: list[str] = []
    page.on("pageerror", lambda error: failed.append(str(error)))
    page.goto((site / "tunes" / "three-friends.html").as_uri())
    sheet = page.locator(".bb-sheet:not(#sheet-round)").first
    play = sheet.locator(".bb-play")
    assert play.inner_text() == "Play"
    bar = page.get_by_role("region", name="Player")
    bar.get_by_role("button", name="Count in").click()
    play.click()
    page.wait_for_selector(".bb-sheet .bb-note.bb-now", timeout=5000)
    assert play.inner_text() == "Stop"
    play.click()
    assert page.locator(".bb-now").count() == 0
    assert play.inner_text() == "Play"
    page.locator("#sheet-round .bb-play").click()
    page.locator("#sheet-round .bb-play").click()
    bar.get_by_role("button", name="Who").click()
    groups = page.locator(".bb-mixer").first.locator("li")
    assert groups.count() == 3
    groups.nth(1).get_by_role("button", name="Mute Group 2").click()
    assert groups.nth(1).locator("[aria-pressed=true]").count() == 1
    small = page.evaluate(
        """() => [...document.querySelectorAll('.bb-tune button, .bb-bar button, .bb-tune select, .bb-tune label')]
             .filter(e => e.offsetParent && e.getBoundingClientRect().height < 44).map(e => e.textContent)"""
    )
    assert small == []
    page.evaluate(
        "() => { window.heard = []; const sounded = bandSound.sounded;"
        " bandSound.sounded = (...all) => { heard.push(all[2].sound); return sounded(...all); }; }"
    )
    first = sheet.locator(".bb-note").first
    first.scroll_into_view_if_needed()
    box = first.bounding_box()
    page.mouse.click(box["x"] + box["width"] + 2, box["y"] + box["height"] / 2)  # beside the note
    music = json.loads(sheet.locator(".bb-player").get_attribute("data-music"))
    assert page.evaluate("heard") == [music["parts"][0]["notes"][0][2]]
    page.locator("[data-bb-under-switch]").first.uncheck()
    assert page.locator(".bb-under").first.evaluate("e => getComputedStyle(e).visibility") == "hidden"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert not failed
    page.close()


def test_a_rounds_groups_are_followed_each_at_its_own_place(browser: Any, site: Path) -> None:
    page = browser.new_page()
    page.goto((site / "tunes" / "three-friends.html").as_uri())
    round_sheet = page.locator("#sheet-round")
    music = json.loads(round_sheet.locator(".bb-player").get_attribute("data-music"))
    numbers = {number for part in music["parts"] for note in part["notes"] for number in note[3]}
    drawn = {
        int(note)
        for note in page.locator("#sheet-round [data-note]").evaluate_all("(all) => all.map((one) => one.dataset.note)")
    }
    assert numbers <= drawn  # rests have a number too, and are not heard
    page.get_by_role("region", name="Player").get_by_role("button", name="Count in").click()
    round_sheet.get_by_role("button", name="Play Three Friends as a round").click()
    marked = page.locator("#sheet-round .bb-note.bb-now")
    until(lambda: marked.count() == 2, "the second group is not followed", 30)
    round_sheet.get_by_role("button", name="Stop Three Friends as a round").click()
    assert marked.count() == 0
    page.close()


def test_the_bar_plays_at_three_speeds_and_again_between_two_tapped_bars(browser: Any, site: Path) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 664})
    page.add_init_script(LIT)
    page.goto((site / "tunes" / "three-friends.html").as_uri())
    bar = page.get_by_role("region", name="Player")
    assert bar.bounding_box()["height"] < 100
    bar.get_by_role("button", name="Count in").click()
    slow = bar.get_by_role("button", name=re.compile("^Play .* at 50 %$"))
    slow.click()
    assert bar.get_by_role("button", name=re.compile("^Stop ")).inner_text() == "Stop"
    bar.get_by_role("button", name=re.compile("^Play .* at 75 %$")).click()  # goes on, quicker
    assert bar.get_by_role("button", name=re.compile("^Stop ")).inner_text() == "Stop"
    assert page.evaluate("window.lit") == 1
    bar.get_by_role("button", name=re.compile("^Stop ")).click()
    assert page.locator(".bb-now").count() == 0
    until(lambda: page.evaluate("window.lit") == 0, "the screen is kept lit for nothing", 5)
    bar.get_by_role("button", name="Repeat some bars").click()
    assert "Tap a note in the first bar" in bar.get_by_role("status").inner_text()
    sheet = page.locator(".bb-sheet:not(#sheet-round)").first
    music = json.loads(sheet.locator(".bb-player").get_attribute("data-music"))
    notes = music["parts"][0]["notes"]
    second = [note for note in notes if 4 <= note[0] < 8]  # a tune in four: its second bar
    page.evaluate(
        "() => { window.onsets = []; const sounded = bandSound.sounded;"
        " bandSound.sounded = (...all) => { onsets.push(all[3]); return sounded(...all); }; }"
    )
    for _ in range(2):
        target = sheet.locator(f'.bb-note[data-note="{second[0][3][0]}"]').first
        target.scroll_into_view_if_needed()
        box = target.bounding_box()
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.wait_for_selector(".bb-now", timeout=8000)
    marked = sheet.locator(".bb-again").evaluate_all("all => all.map(one => Number(one.dataset.note))")
    assert sorted(marked) == sorted(number for note in second for number in note[3])
    page.wait_for_timeout(round(4000 * 60 / music["speed"] / 0.75) + 1500)  # longer than the bar lasts
    assert page.locator(".bb-now").count()  # it goes on, and on the beat
    onsets = page.evaluate("window.onsets")
    assert onsets[len(second)] - onsets[0] == pytest.approx(4 * 60 / music["speed"] / 0.75, abs=0.001)
    assert page.evaluate("window.lit") == 1  # and the screen stays lit
    assert "press Repeat to end it" in bar.get_by_role("status").inner_text()
    page.close()


LIT = """
window.lit = 0;
Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
  window.lit += 1;
  const lock = new EventTarget();
  return Object.assign(lock, { release: async () => { window.lit -= 1; lock.dispatchEvent(new Event("release")); } });
} } });
"""
"""Counts the locks that keep the screen lit (Screen Wake Lock, https://www.w3.org/TR/screen-wake-lock/)."""


def test_the_readers_own_part_is_on_top_and_is_remembered(browser: Any, site: Path) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 664})
    page = context.new_page()
    page.goto((site / "tunes" / "lightly-row.html").as_uri())
    page.get_by_label("I play").select_option(label="E♭ tenor horn")
    own = page.locator(".bb-tune > .bb-sheet")
    assert own.count() == 1
    assert "tenor horn" in own.locator("h3").inner_text()
    assert own.locator(".bb-play").bounding_box()["y"] < 664  # the music and its button without scrolling
    assert not page.locator("#sheet-drums").is_visible()
    page.goto((site / "tunes" / "hot-cross-buns.html").as_uri())
    assert "tenor horn" in page.locator(".bb-tune > .bb-sheet h3").inner_text()
    assert "tenor horn" in page.get_by_role("region", name="Player").inner_text()
    page.get_by_label("I play").select_option("")
    assert page.locator("details.bb-rest").count() == 0
    assert page.locator("#sheet-drums").is_visible()
    context.close()


def test_metronome_and_tuning_tone_start_and_stop(browser: Any, site: Path) -> None:
    page = browser.new_page()
    page.goto((site / "tunes" / "metronome-and-tuning.html").as_uri())
    page.locator(".bb-metronome .bb-play").click()
    page.wait_for_selector(".bb-beats .bb-now")
    page.get_by_role("button", name="Faster").click()
    assert page.get_by_label("Beats a minute").input_value() == "84"
    page.locator(".bb-metronome .bb-play").click()
    tone = page.locator(".bb-drone").first
    tone.click()
    assert tone.get_attribute("aria-pressed") == "true"
    page.locator(".bb-drone").nth(1).click()
    assert page.locator(".bb-drone[aria-pressed=true]").count() == 1
    page.locator(".bb-drone").nth(1).click()
    assert page.locator(".bb-drone[aria-pressed=true]").count() == 0
    page.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_one_part_prints_alone_on_one_page(browser: Any, site: Path, paper: str) -> None:
    page = browser.new_page()
    page.add_init_script("window.print = () => {}")
    page.goto((site / "tunes" / "lightly-row.html").as_uri())
    page.locator("#sheet-together-tenor-horn .bb-print").click()
    printed = PdfReader(io.BytesIO(page.pdf(format=paper)))
    assert len(printed.pages) == 1
    page.emulate_media(media="print")
    below = page.evaluate("getComputedStyle(document.body).paddingBottom")
    assert below == "0px"  # the room of the bar would be a blank page where the last one is full
    text = printed.pages[0].extract_text()
    assert "Lightly Row" in text
    assert "tenor horn" in text
    assert "cornet" not in text
    page.close()
