"""How often a leader's question is answered first: real questions, typed into the search of a built site.

``python tests/measure_search.py SITE`` prints the share whose first result is the page wanted, the share that has it
among the first three, and every question that is not answered first with what was found instead. The questions were
written from what the guide, the tables and the look-up hold, plurals, slips and both sides' words among them; the pages
were chosen by hand before the search was changed.
"""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

QUESTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("which notes use 1-3", ("look-up", "tables/fingerings")),
    ("third valve slide", ("guide/third-valve-slide",)),
    ("player squeaks", ("guide/troubles", "guide/stuck")),
    ("how loud is too loud", ("guide/hearing",)),
    ("drone", ("tunes/metronome-and-tuning",)),
    ("tuner", ("tunes/metronome-and-tuning", "guide/tuning")),
    ("metronome", ("tunes/metronome-and-tuning",)),
    ("transpose", ("tables/transposition", "tables/transposition-explained")),
    ("what key is the horn in", ("instruments/f-horn", "instruments/tenor-horn", "tables/transposition")),
    ("how to hold a euphonium", ("guide/hold-euphonium",)),
    ("how do you hold the trombone", ("guide/hold-trombone",)),
    ("holding tuba", ("guide/hold-bass",)),
    ("braces", ("guide/lips-and-braces",)),
    ("sore lips", ("guide/lips-and-braces",)),
    ("my lips hurt", ("guide/lips-and-braces",)),
    ("dizzy", ("guide/breath-and-dizziness",)),
    ("player feels faint", ("guide/breath-and-dizziness",)),
    ("wash mouthpiece", ("guide/mouthpiece-hygiene", "guide/washing")),
    ("sharing mouthpieces", ("guide/shared-mouthpieces",)),
    ("ear plugs", ("guide/hearing",)),
    ("lifting a bass", ("guide/lifting",)),
    ("heavy cases", ("guide/lifting",)),
    ("what to tell parents", ("guide/telling-parents",)),
    ("which instrument for a small child", ("guide/choosing-an-instrument",)),
    ("too many trumpets", ("guide/too-many-cornets",)),
    ("everyone wants cornet", ("guide/too-many-cornets",)),
    ("embouchure", ("guide/embouchure",)),
    ("buzz", ("guide/buzzing",)),
    ("slide positions", ("tables/slide", "guide/moving-the-slide", "instruments/trombone")),
    ("stuck valve", ("guide/repairer", "guide/stuck", "guide/troubles", "guide/everyday-care")),
    ("mouthpiece is stuck", ("guide/repairer", "guide/stuck", "guide/troubles", "guide/everyday-care")),
    ("oil valves", ("guide/everyday-care",)),
    ("warm ups", ("guide/warm-up",)),
    ("long tones", ("guide/long-notes",)),
    ("high notes", ("guide/range-without-strain",)),
    ("staccato", ("guide/short-notes-and-dots",)),
    ("slurring", ("guide/slurs",)),
    ("bass clef", ("guide/staff-and-clefs",)),
    ("key signatures", ("guide/key-signatures",)),
    ("what can we play today", ("course/today",)),
    ("seating plan", ("guide/seating", "band/seats", "band/plan")),
    ("where does everyone sit", ("guide/seating",)),
    ("concert programme", ("pieces/concert",)),
    ("first concert", ("guide/first-performance",)),
    ("switch from cornet to baritone", ("guide/changing-instrument", "tables/moving")),
    ("what should I buy", ("guide/what-to-buy",)),
    ("safeguarding", ("guide/a-concern", "guide/groups-and-one-to-one")),
    ("one to one lessons", ("guide/groups-and-one-to-one",)),
    ("beating time", ("guide/conducting",)),
    ("rehersal short", ("guide/short-rehearsal",)),
    ("covering absent players", ("guide/covering-for-the-absent",)),
    ("glossary", ("guide/words",)),
    ("quarter note", ("guide/words", "guide/counting", "guide/rhythm-by-rote")),
    ("alto horn", ("instruments/tenor-horn",)),
    ("french horn", ("instruments/f-horn",)),
    ("add my own tune", ("tunes/your-own-tune",)),
    ("write my own lesson", ("course/write-your-own",)),
    ("use offline", ("share",)),
    ("no signal", ("share",)),
    ("print everything", ("share", "course/index")),
    ("open day", ("guide/open-evening",)),
    ("borrow an instrument", ("guide/lending-instruments",)),
    ("posture", ("guide/sitting",)),
    ("dynamics", ("guide/loud-and-soft",)),
    ("read music", ("guide/sound-to-sign", "guide/staff-and-clefs")),
)
"""What is typed, and the pages any of which should come first."""

HELD: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("how do I clean a trumpet", ("guide/everyday-care", "guide/washing")),
    ("valve won't go down", ("guide/troubles", "guide/everyday-care", "guide/repairer", "guide/stuck")),
    ("left handed player", ("guide/every-player",)),
    ("what is a crotchet", ("guide/words",)),
    ("no sound", ("guide/first-note", "guide/troubles")),
    ("cheeks puff out", ("guide/embouchure", "guide/habits-to-prevent", "guide/troubles")),
    ("how many players do I need", ("guide/what-a-band-needs",)),
    ("euphonium fingering", ("instruments/euphonium-4", "instruments/euphonium-comp", "instruments/euphonium-3")),
    ("Bb scale", ("tables/keys", "tables/transposition")),
    ("B flat on the trombone", ("instruments/trombone", "look-up", "tables/slide")),
    ("clapping games", ("guide/rhythm-by-rote",)),
    ("player is flat", ("guide/tuning", "guide/troubles")),
    ("carrying a tuba", ("guide/lifting",)),
    ("bad habits", ("guide/habits-to-prevent",)),
    ("drummer plays too loud", ("guide/hearing", "guide/balance", "guide/drums-and-mallets")),
    ("lesson 7", ("course/lesson-07",)),
    ("missing bass player", ("guide/covering-for-the-absent",)),
    ("how long should they practise", ("guide/long-notes", "guide/every-player", "guide/range-without-strain")),
)
"""The same, written after the words of ``content/search.yml`` before they were mended after its first run."""


def found(page: Page, question: str) -> list[str]:
    """Pages found for ``question``, best first, as ``guide/hearing``."""
    box = page.locator("[data-md-component=search-query]")
    box.fill("qqqq")
    page.get_by_text("No matching documents").wait_for(state="attached")
    box.fill(question)
    page.wait_for_function(
        "() => !document.querySelector('.md-search-result__meta').textContent.startsWith('No matching')", timeout=3000
    )
    links = page.locator(".md-search-result__item > .md-search-result__link").evaluate_all(
        "all => all.map(a => a.href)"
    )
    return [link.split("?")[0].split("#")[0].removesuffix(".html") for link in links]


def name_of(page: str) -> str:
    """The folder and name of a page."""
    return "/".join(page.split("/")[-2:])


def place(pages: list[str], wanted: tuple[str, ...]) -> int | None:
    """Where the first of the pages wanted stands, from 0."""
    return next((at for at, page in enumerate(pages) if any(page.endswith(f"/{one}") for one in wanted)), None)


def main(site: Path) -> None:
    """Ask every question of both sets; print what came of it."""
    for questions in (QUESTIONS, HELD):
        ask(site, questions)


def ask(site: Path, questions: tuple[tuple[str, tuple[str, ...]], ...]) -> None:
    """Ask ``questions`` of a site opened from disk; print those not answered first, and the shares."""
    places: list[int | None] = []
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page()
        page.goto((site / "index.html").resolve().as_uri())
        page.locator("[data-md-component=search-query]").focus()
        for question, wanted in questions:
            try:
                pages = found(page, question)
            except Exception:  # nothing found in time
                pages = []
            at = place(pages, wanted)
            places.append(at)
            if at != 0:
                print(f"{at}  {question}: wanted {wanted[0]}, found {[name_of(one) for one in pages[:4]]}")
        browser.close()
    first = sum(at == 0 for at in places)
    three = sum(at is not None and at < 3 for at in places)
    print(f"{len(places)} questions: {first / len(places):.0%} answered first, {three / len(places):.0%} in three")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
