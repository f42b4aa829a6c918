"""The kept drawings: every file is used and small, words on them can be read on a phone, and data agrees with them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

import pytest

from beginnerband.data.book import Book
from beginnerband.music.instrument import Slide
from beginnerband.music.slide import places
from beginnerband.render.pictures import DRAWINGS
from beginnerband.render.pictures.brass import BELL_CM, BRACE_CM
from beginnerband.render.pictures.kept import KEPT, PANELS, drawn_from, file_of

COLUMN_PX = 358
"""Width of the text on a phone 390 pixels wide: 16 pixels of margin on either side."""

EM = 0.56
"""Width of a letter beside its size, mean of a plain sans serif face (measured on Fira Sans and Roboto, rounded up)."""

DRAWN = {"cornet", "trumpet", "flugelhorn", "tenor-horn", "f-horn", "baritone", "euphonium", "trombone", "eb-bass"}
"""Instruments there are drawings of; their variants share them."""

FILES = [(picture, panel) for picture, panels in PANELS.items() for panel in panels]


@dataclass(frozen=True)
class Words:
    """Words on a drawing: their box in its units."""

    text: str
    left: float
    right: float
    top: float
    foot: float
    size: float


def words_on(svg: str) -> list[Words]:
    found = []
    pattern = r'<text class="[^"]*" x="([\d.-]+)" y="([\d.-]+)"(?: text-anchor="(\w+)")? font-size="([\d.]+)">([^<]*)<'
    for x, y, anchor, size, text in re.findall(pattern, svg):
        wide = EM * float(size) * len(text)
        left = float(x) - {"": 0, "start": 0, "middle": wide / 2, "end": wide}[anchor]
        found.append(
            Words(text, left, left + wide, float(y) - 0.74 * float(size), float(y) + 0.2 * float(size), float(size))
        )
    assert len(found) == svg.count("<text")
    return found


def touch(first: Words, second: Words) -> bool:
    """Whether two boxes of words lie over each other by more than two units of height."""
    beside = first.right <= second.left or second.right <= first.left
    return not beside and first.foot > second.top + 2 and second.foot > first.top + 2


def pointers(svg: str) -> list[tuple[float, float, float, float]]:
    """Straight thin lines on a drawing, most of them from words to what they name: two ends each."""
    number = r"(-?[\d.]+)"
    found = re.findall(rf'<path class="bb-l bb-thin" d="M{number} {number}L{number} {number}"', svg)
    return [(float(ax), float(ay), float(bx), float(by)) for ax, ay, bx, by in found]


def crosses(line: tuple[float, float, float, float], words: Words) -> bool:
    """Whether a line runs through a box of words."""
    ax, ay, bx, by = line
    spots = [(ax + (bx - ax) * k / 200, ay + (by - ay) * k / 200) for k in range(201)]
    return any(words.left < x < words.right and words.top + 1 < y < words.foot - 1 for x, y in spots)


def field(svg: str) -> tuple[float, float]:
    width, height = re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)[0]
    return float(width), float(height)


def test_the_files_are_those_the_pictures_name() -> None:
    assert {path.name for path in KEPT.glob("*.svg")} == {file_of(*each).name for each in FILES}
    assert set(PANELS) <= set(DRAWINGS)


def test_the_drawings_show_the_instruments_as_their_files_now_say(book: Book) -> None:
    """Fails when a length, bell, rim or hand changed and ``hooks/drawings/remake.py`` was not run since."""
    told = (KEPT / "drawn-from.txt").read_text(encoding="utf-8").splitlines()
    assert [line for line in drawn_from(book.instruments) if line.partition(":")[0] in DRAWN] == [
        line for line in told if line.partition(":")[0] in DRAWN
    ]


@pytest.mark.parametrize(("picture", "panel"), FILES)
def test_a_kept_drawing_is_small_and_its_words_can_be_read_on_a_phone(picture: str, panel: str) -> None:
    svg = file_of(picture, panel).read_text(encoding="utf-8")
    assert len(svg) <= 20_000
    assert not re.search(r"#[0-9a-fA-F]{3}|rgb|fill=|stroke=|style=|<script|href", svg)
    width, height = field(svg)
    found = words_on(svg)
    for each in found:
        assert each.size * min(1, COLUMN_PX / width) >= 12, each
        assert each.left >= 0, each
        assert each.right <= width, each
        assert each.foot <= height, each
    for first, second in combinations(found, 2):
        assert not touch(first, second), (first, second)
    assert not [(line, each.text) for line in pointers(svg) for each in found if crosses(line, each)]


@pytest.mark.parametrize("name", sorted(set(DRAWINGS) - set(PANELS) | {"slide-positions"}))
@pytest.mark.parametrize("words", ["british", "american"])
def test_words_on_plans_and_signs_can_be_read_on_a_phone(
    book: Book, name: str, words: Literal["british", "american"]
) -> None:
    drawn = DRAWINGS[name](replace(book, band=replace(book.band, english=words)))
    found = words_on(drawn.body)
    for each in found:
        assert each.size * min(1, COLUMN_PX / drawn.width) >= 12, each
    if "<g " not in drawn.body:
        for each in found:
            assert each.left >= 0, each
            assert each.right <= drawn.width, each
        for first, second in combinations(found, 2):
            assert not touch(first, second), (first, second)


def test_the_check_of_words_sees_words_that_touch() -> None:
    one, other = words_on(
        '<text class="bb-t" x="10" y="20" font-size="14">Left hand</text>'
        '<text class="bb-t" x="60" y="22" font-size="14">holds</text>'
    )
    assert touch(one, other)
    through = '<path class="bb-l bb-thin" d="M0 16L40 16"/>'
    assert [crosses(line, one) for line in pointers(through)] == [True]
    assert not crosses((0, 40, 40, 40), one)


def test_the_hand_that_plays_on_each_picture_is_the_one_in_the_instrument_file(book: Book) -> None:
    seen = set()
    for instrument in book.instruments.values():
        if instrument.held is None:
            continue
        picture = instrument.held.page
        told = " ".join(
            " ".join(each.text for each in words_on(file_of(picture, panel).read_text(encoding="utf-8")))
            for panel in PANELS[picture]
        )
        plays = instrument.held.plays.capitalize()
        assert re.search(rf"{plays} hand(:| moves)", told), (instrument.id, told)
        other = "Left" if plays == "Right" else "Right"
        assert not re.search(rf"{other} hand(:| moves)", told), (instrument.id, told)
        if instrument.held.in_bell:
            assert f"{instrument.held.in_bell.capitalize()} hand in the bell" in told
        words = book.guide.pictures[picture]
        assert re.search(rf"(?i){instrument.held.plays} hand (on the|plays|only moves)", words.caption), instrument.id
        carried = rf"(?i){instrument.held.carries} hand (holds|steadies|on the levers)"
        assert re.search(carried, words.caption), instrument.id
        points = {"forward": "points ahead", "up": "bell (points )?up", "back": "points back"}[instrument.held.bell]
        assert re.search(points, words.text), instrument.id
        bell = {"forward": r"Bell (ahead|over)", "up": "Bell up", "back": "Bell points back"}[instrument.held.bell]
        assert re.search(bell, told), (instrument.id, told)
        seen.add(picture)
    assert seen == {picture for picture in PANELS if picture.startswith("hold-")}


def test_the_third_position_is_inside_the_bell_and_the_fourth_outside_as_the_caption_says(book: Book) -> None:
    """Common practice, no source: where trombonists are taught to look for third and fourth."""
    slide = book.instruments["trombone"].mechanism
    assert isinstance(slide, Slide)
    third, fourth = (place.cm + BRACE_CM for place in places(slide) if place.position in (3, 4) and not place.trigger)
    assert third < BELL_CM < fourth
    assert "Third is just inside the bell, fourth just outside" in book.guide.pictures["slide-positions"].caption


def test_each_ring_on_the_lips_stands_and_measures_as_the_instrument_file_says(book: Book) -> None:
    """The line between the lips is at one height in every face; the ring's share above it is the file's."""
    svg = file_of("mouthpiece-place", "").read_text(encoding="utf-8")
    circles = [
        (float(y), float(r))
        for y, r in re.findall(r'<circle class="bb-l[^"]*" cx="[\d.]+" cy="([\d.]+)" r="([\d.]+)"', svg)
    ]
    outer, inner = circles[0::2], circles[1::2]
    row, order = 200.0, ("cornet", "tenor-horn", "f-horn", "euphonium", "eb-bass")
    rims = {name: book.instruments[name].rim for name in order}
    scale = [2 * r / (rim.inside_mm / 10) for (_, r), rim in zip(inner, rims.values(), strict=False) if rim]
    assert scale == pytest.approx([scale[0]] * 5, abs=0.15)
    lines = []
    for index, (name, (y, r)) in enumerate(zip(order, outer, strict=False)):
        rim = rims[name]
        assert rim is not None
        lines.append(y - row * (index // 2) - r + rim.upper * 2 * r)  # where the line must be for the share to be true
    assert lines == pytest.approx([lines[0]] * 5, abs=0.3)
