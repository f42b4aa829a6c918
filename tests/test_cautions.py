"""What can hurt someone is said wherever it can happen: on pages of the guide, on cards, and by whom it is defined."""

from __future__ import annotations

import re

import pytest
from conftest import ROOT

from beginnerband.data.book import Book

PAGES = {path.stem: path for path in sorted((ROOT / "handbook" / "guide").glob("*.md"))}


# What can hurt someone, and every page that must say so. Common practice, unless the page names a source.
CAUTIONS = {
    "dizzy means sit, and breathe as usual": (
        r"(breathes?|breathing) as usual", ("breathing", "breath-and-dizziness", "first-performance"),
    ),
    "medical help for faintness, chest pain or breath that does not settle": (
        r"medical help", ("breath-and-dizziness", "register", "adult-beginners"),
    ),
    "no paper bag": (r"[Nn]o paper bag", ("breath-and-dizziness",)),
    "ask a doctor first": (
        r"\b[Dd]octor\b", ("breath-and-dizziness", "adult-beginners", "every-player", "sitting", "hearing",
                           "habits-to-prevent", "lips-and-braces", "changing-instrument"),
    ),
    "stop when lips hurt": (r"(hurt|sore|pain|numb)", ("embouchure", "lips-and-braces", "range-without-strain")),
    "stop when holding hurts": (
        r"(hurts|pain)", ("sitting", "holding", "hold-cornet", "hold-trumpet", "hold-flugelhorn", "hold-tenor-horn",
                          "hold-f-horn", "hold-baritone", "hold-euphonium", "hold-trombone", "hold-bass"),
    ),
    "clean, disinfect, rinse, dry between people": (
        r"(?s)(?:[Cc]lean|[Ww]ash).{0,200}disinfect.{0,400}(?:rinse|Rinse).{0,60}dry",
        ("mouthpiece-trial", "shared-mouthpieces", "mouthpiece-hygiene"),
    ),
    "the disinfectant's own label": (r"\blabel\b", ("mouthpiece-trial", "shared-mouthpieces")),
    "no sharing with a sore mouth": (r"[Cc]old sore", ("mouthpiece-trial", "shared-mouthpieces", "lips-and-braces")),
    "two adults": (
        r"[Tt]wo adults",
        ("children-and-adults", "groups-and-one-to-one", "one-leader", "telling-parents", "open-evening",
         "first-night"),
    ),
    "no child leads others out of sight": (
        r"(?i)child (?:in charge|is put in charge|leads)",
        ("children-and-adults", "groups-and-one-to-one", "one-leader"),
    ),
    "ask before you touch": (r"(?i)ask (?:before you touch|first)", ("children-and-adults", "every-player")),
    "pass a concern on, and do not look into it": (r"(?i)pass it on", ("children-and-adults", "a-concern")),
    "what to do when the responsible person is the concern": (r"responsible person,\*\* or they do nothing",
                                                              ("a-concern",)),
    "the emergency number": (r"emergency number", ("children-and-adults", "a-concern", "register")),
    "emergency contacts": (r"(emergency|numbers? to call)", ("register", "telling-parents")),
    "count the case when lifting": (r"[Cc]ount the case", ("lifting",)),
    "two people for the big ones": (r"[Tt]wo (?:people|of us)", ("lifting", "hold-bass", "hold-euphonium")),
    "no force on what is stuck": (r"(?i)(force|never\*\* use pliers)", ("stuck", "cupboard", "everyday-care")),
    "ears that ring the next day": (r"next day is for a doctor", ("hearing",)),
    "nobody alone with a child": (
        r"(?i)no adult is alone|no child is left alone|shut door\.\*\* Never",
        ("children-and-adults", "open-evening", "groups-and-one-to-one"),
    ),
    "helpers are checked": (r"checked", ("children-and-adults", "a-concern")),
    "two adults stay to the last": (r"Two adults stay", ("open-evening", "first-night")),
    "pictures only with a yes": (
        r"written yes|yes or (?:a )?no", ("children-and-adults", "telling-parents", "register"),
    ),
    "the player's own medicine": (r"[Ii]nhaler", ("register", "breath-and-dizziness")),
    "who faints lies down": (r"Faint\? Lie down", ("breath-and-dizziness",)),
    "lips rest as long as they played": (
        r"(?i)rest (?:for )?as long", ("embouchure", "long-notes", "range-without-strain", "lips-and-braces"),
    ),
    "braces are the orthodontist's": (r"orthodontist decides", ("lips-and-braces",)),
    "alcohol burns": (r"Alcohol burns", ("shared-mouthpieces",)),
    "mould stays shut": (r"mould", ("cupboard", "lending-instruments", "repairer")),
    "a bass that is leaned falls": (r"It falls\. Lay it on its side", ("hold-bass", "stands-and-cables")),
    "loud rooms and drums lead to hearing": (
        r"\(hearing\.md\)", ("drums-and-mallets", "the-room", "balance", "telling-parents", "after-six-months"),
    ),
    "ear plugs": (r"[Ee]ar plugs", ("hearing",)),
    "stop at a twinge": (r"twinge", ("lifting",)),
    "wiring is for an electrician": (r"licensed electrician", ("stands-and-cables",)),
    "a clear way out": (r"way(?:s)? out", ("stands-and-cables", "first-night", "seating")),
}  # fmt: skip

DEFERS = (
    "hearing", "lifting", "children-and-adults", "a-concern", "register", "shared-mouthpieces", "mouthpiece-trial",
    "stands-and-cables", "open-evening", "every-player", "groups-and-one-to-one", "one-leader", "telling-parents",
)  # fmt: skip
"""Pages that say local rules or licensed practice come first."""


@pytest.mark.parametrize("caution", CAUTIONS)
def test_every_caution_stands_on_the_pages_that_need_it(caution: str) -> None:
    pattern, pages = CAUTIONS[caution]
    missing = [page for page in pages if not re.search(pattern, PAGES[page].read_text(encoding="utf-8"))]
    assert not missing, f"{caution}: not on {missing}"


ON_CARDS = {
    "first breath": r"Dizzy players breathe as usual and rest",
    "end of a lesson": r"Sore lips.*?washed and disinfected",
    "rest in a lesson": r"Nobody buzzes",
    "stuck mouthpiece": r"Leave it\. A repairer has the tool",
    "left about": r"No instrument is left on a chair",
    "heavy things": r"What is heavy is carried by \{two-carry\}",
    "who carries": r"two-carry: \"\{adults-only\? two \| two, never by a child\}\"",
}
"""Cautions that the course's own words must keep, since they stand on cards in a leader's hand."""


@pytest.mark.parametrize("caution", ON_CARDS)
def test_every_caution_stands_in_the_course(caution: str) -> None:
    course = "\n".join(path.read_text(encoding="utf-8") for path in sorted((ROOT / "content" / "course").glob("*.yml")))
    assert re.search(ON_CARDS[caution], course, re.S)


AGAINST_THE_GUIDE = (
    r"(?:safe|left|lie) on the chairs",
    r"Low stands hide",
    r"(?<!\w)[Ll]ie a hand",
    r"shoulder of a neigh",
)
"""What cards once said and a page of the guide forbids: instruments on chairs, touching, stands that are too low."""


def test_cards_do_not_say_what_the_guide_forbids() -> None:
    for path in sorted((ROOT / "content" / "course").glob("*.yml")):
        for pattern in AGAINST_THE_GUIDE:
            assert not re.search(pattern, path.read_text(encoding="utf-8")), (path.name, pattern)


@pytest.mark.parametrize("page", DEFERS)
def test_pages_on_safety_defer_to_local_rules(page: str) -> None:
    text = PAGES[page].read_text(encoding="utf-8")
    whose = r"\b(?:local|your|house|their)\b[^.]{0,60}\brules?\b"
    order = r"\b(?:law|rules)\b[^.]{0,80}\b(?:first|before|differ|ask)"
    assert re.search(f"(?i){whose}|{order}", text), page


def test_who_is_hurt_is_led_to_breath_lips_and_children(book: Book) -> None:
    text = PAGES["troubles"].read_text(encoding="utf-8")
    led = next(line for line in text.split("\n") if "hurt, faint or afraid" in line)
    for page in ("breath-and-dizziness.md", "lips-and-braces.md", "children-and-adults.md", "register.md"):
        assert f"({page})" in led
    assert "hearing.md" not in led


def test_washing_and_disinfecting_agree_on_every_page() -> None:
    """Whoever speaks of a mouthpiece that goes from mouth to mouth says disinfect, not only wash."""
    for name, path in PAGES.items():
        for line in path.read_text(encoding="utf-8").split("\n"):
            if re.search(r"(?i)between people|another mouth|change hands|somebody else has used", line):
                assert re.search(r"disinfect|shared-mouthpieces|all three steps", line), (name, line)
