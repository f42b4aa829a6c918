"""How large a card or sheet may be set so that it fills one page and no more, on A4 and on US Letter alike.

Paper and browser set the same page with different programs, so the size is reckoned here, once, from the amount of text
and the heights of the pictures, for the smaller room of both papers: 190 mm wide (A4) and 261 mm high (Letter), with
margins of 10 and 9 mm. The figures were fitted to Typst and Chromium and are held by tests on every card.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from beginnerband.pages.course.card_view import CardView
from beginnerband.pages.course.sheet_view import SheetView
from beginnerband.render.engrave import Engraving

WIDTH, HEIGHT = 190.0, 261.0
"""Room for print, millimetres."""

POINT = 0.3528
"""Millimetres."""

LETTER = 0.53
"""Mean width of a letter in em, a little more than Fira Sans and Arial have."""

LEADING = 1.27
"""Distance of lines in em."""

FIT = 0.89
"""What Chromium needs of the height reckoned here, at most; Typst needs less. Fitted to the shipped cards."""

LARGEST, SMALLEST = 11.0, 6.8
"""Text sizes of a card, points."""

COLUMNS = {"step": 0.165, "say": 0.27, "listen": 0.21, "trouble": 0.28}
"""Widths of the columns of the table of steps, as shares of the page."""

HALF = 92.0
"""Width of one of two columns, millimetres."""

SCALES = (1.4, 1.3, 1.2, 1.1, 1.0)
"""Sizes of a sheet's text and notes: a beginner reads it on a stand."""


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """How the music of a sheet is placed."""

    columns: int
    """One, or two of half the width."""
    share: float
    """Width of a picture as a share of its column."""
    scale: float = 1.0
    """Size of all but the music: 1 is 11-point text, more where the page has room."""

    @property
    def across(self) -> int:
        """Boxes of notes side by side."""
        return _across(self.scale)


def card_size(card: CardView, pictures: Sequence[tuple[Engraving, float]]) -> float:
    """Text size of a card, points; each picture comes with its width as a share of its column."""
    size = LARGEST
    while size > SMALLEST and _card_height(card, pictures, size) * FIT > HEIGHT:
        size -= 0.1
    return round(size, 1)


def _lines(text: str, width: float, size: float) -> int:
    return max(1, ceil(len(text) * LETTER * size * POINT / width * 1.05))


def _card_height(card: CardView, pictures: Sequence[tuple[Engraving, float]], size: float) -> float:
    line = LEADING * size * POINT
    head_width = WIDTH - 24
    head = line * (
        1.2
        + 1.9
        + 1.15 * _lines(card.aim, head_width, size * 1.12)
        + sum(
            1.2 * _lines(f"{label} {text}", head_width, size)
            for label, text in (
                ("At home, five minutes before", card.at_home),
                ("Percussion", card.percussion),
                ("Bring", " · ".join(card.lesson.bring)),
                ("Pieces in parts", " · ".join(card.lesson.pieces)),
            )
            if text
        )
    )
    total = max(head, 24) + line * 1.2
    for step in card.steps:
        rows = max(
            _lines(step.title, WIDTH * COLUMNS["step"], size)
            + _lines("Apart: B♭ group, E♭ group", WIDTH * COLUMNS["step"], size * 0.84),
            _lines(f"{step.say} {step.how}", WIDTH * COLUMNS["say"], size),
            _lines(step.listen, WIDTH * COLUMNS["listen"], size),
            _lines(f"{step.wrong} → {step.remedy}", WIDTH * COLUMNS["trouble"], size),
        )
        total += rows * line + 0.85 * size * POINT
    total += line * 1.4
    for group in card.groups:
        who = _lines(f"{group.name} {group.who}", WIDTH * 0.36, size * 0.95)
        total += max(who * line, line * 1.3) + 0.7 * size * POINT
    total += _pairs(pictures, line)
    practice = sum(
        max(_lines("1 " + text, 48, size) for text in card.practice[at : at + 2])
        for at in range(0, len(card.practice), 2)
    )
    foot = max(_lines(card.ready, 76, size) + 1.1, 1.1 + practice * 1.15)
    return total + foot * line + 10


def _pairs(pictures: Sequence[tuple[Engraving, float]], line: float) -> float:
    """Height of pictures in two columns, row by row."""
    heights = [HALF * picture.height / picture.width * share + line * 1.15 for picture, share in pictures]
    return sum(max(heights[at : at + 2]) + 1.6 for at in range(0, len(heights), 2))


def sheet_layout(sheet: SheetView, wide: Sequence[Engraving], narrow: Sequence[Engraving]) -> SheetLayout:
    """How to place a sheet's music in what its notes and its practice record leave.

    ``narrow`` may be empty at first: when two columns are the answer, ask again with the narrow pictures.
    """
    full = sum(WIDTH * picture.height / picture.width for picture in wide) + 7 * len(wide)
    for scale in SCALES:
        room = HEIGHT - _beside_music(sheet, scale)
        if full <= room:
            return SheetLayout(1, 1.0, scale)
    if not wide:
        return SheetLayout(1, 1.0)
    share = (room - 7 * len(wide)) / (full - 7 * len(wide))
    if share >= 0.8:
        return SheetLayout(1, round(share, 2))
    if not narrow:
        return SheetLayout(2, 1.0)
    stacked = _columns(HALF * picture.height / picture.width + 7 for picture in narrow)
    return SheetLayout(2, round(max(0.4, min(1.0, room / stacked)), 2))


def _beside_music(sheet: SheetView, scale: float) -> float:
    """Height of all that is on a sheet beside its music, millimetres."""
    rows = ceil(len(sheet.notes) / _across(scale))
    lines = 30 + rows * (44 if sheet.reads else 32) + (8 if sheet.by_ear else 0) + (8 if sheet.lesson.pieces else 0)
    record = sum(8.6 + 5 * (_lines(line, 130, 11 * scale) - 1) for line in sheet.practice) + 8.6 + 14
    return scale * (lines + record)


def _across(scale: float) -> int:
    return int(8 / scale)


def _columns(heights: Iterable[float]) -> float:
    """Height of two columns filled in pairs, row by row."""
    given = list(heights)
    return sum(max(given[at : at + 2]) for at in range(0, len(given), 2))
