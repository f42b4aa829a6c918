"""How large a card or sheet may be set, and on how many pages, on A4 and on US Letter alike.

Music keeps its size, a staff of 7 mm for players; what else is on a sheet gives way, and then it takes a second page.
A card has its teaching on the front, its notes and music on the back.

Paper and browser set the same page with different programs, so the size is reckoned here, once, from the amount of text
and the heights of the pictures, for the smaller room of both papers: 190 mm wide (A4) and 261 mm high (Letter), with
margins of 10 and 9 mm. A sheet that would else shed boxes may take the height of the band's own paper, and then takes a
second page where it is printed on the other. The figures were fitted to Typst and Chromium and are held by tests on
every card.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import accumulate, chain
from math import ceil
from typing import TYPE_CHECKING, Literal

from beginnerband.music.line_breaks import ENLARGED, line_breaks
from beginnerband.music.score import Line
from beginnerband.pages.course.walked import ROW, rows_of
from beginnerband.render.engrave import Engraving

if TYPE_CHECKING:  # what these show depends on the room there is
    from beginnerband.pages.course.card_music import ExcerptView
    from beginnerband.pages.course.card_view import CardView, NoteView
    from beginnerband.pages.course.sheet_view import ByEar, SheetNote, SheetView

WIDTH, HEIGHT = 190.0, 261.0
"""Room for print, millimetres."""

HIGHER = {"a4": 278.0}
"""Room on a higher paper: for sheets that would else shed boxes, or put a few lines on a second page."""

POINT = 0.3528
"""Millimetres."""

LETTER = 0.53
"""Mean width of a letter in em, a little more than Fira Sans and Arial have."""

LEADING = 1.27
"""Distance of lines in em."""

CARD_LETTER, FIT = 0.46, 0.935
"""The same for the narrow columns of a card, and what Chromium needs of the height so reckoned, at most (it needs 0.85
to 0.93 of it on the shipped cards); Typst needs less."""

LARGEST, SMALLEST = 11.0, 10.0
"""Text sizes of a card, points."""

CARD = 1300
"""Width of a card's pictures in Verovio's units: two side by side on paper, with a staff of 5.1 mm."""

BACK_TEXT, BACK_LEADING, BACK_HEAD, BACK_RULE = 11.6, 1.2, 11.0, 4.0
"""Text size of a card's back, points, and distance of its lines in em; height of its title, and of the rule above the
music, millimetres."""

STAVES, CAPTION, CAPTION_LINE, CAPTION_LETTERS = 14.4, 9.2, 4.4, 54
"""Height of a line of music on a card, of its title with the room below, and of a further line of the title,
millimetres; and the letters that a line of a title holds."""

SUNG, CHORDS = 3.5, 3.0
"""What words to sing below a line of music, and chord symbols above it, add to its height, millimetres."""

BEHIND = ("percussion", "practice", "steps")
"""What goes to the back of a card whose front is full, in this order."""

COLUMNS = {"step": 0.145, "say": 0.355, "listen": 0.18, "trouble": 0.21}
"""Widths of the columns of the table of steps, as shares of the page."""

SCALES = (1.4, 1.3, 1.2, 1.1, 1.0, 0.92)
"""Sizes of a sheet's text and boxes: a beginner reads it on a stand. The least is text of 10 points."""

SPARE = 3.5
"""Room left over on a page for what the reckoning of a sheet does not see, millimetres."""

LARGEST_OF_TWO = 1.1
"""Largest of these on two pages, so that the first page is for music."""

LEAST_LAST = 0.4
"""Share of a page that the last of several holds at least: some music stands above what is practised."""

FEW, NOTE_BOX = 3, 25
"""Most boxes of notes that leave room beside them for words, and the width of one, millimetres."""

TITLE = 5.6
"""Height of a title and the space around a picture, millimetres."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLayout:
    """How a sheet is placed."""

    scale: float = 1.0
    """Size of all but the music: 1 is 11-point text, more where the page has room."""
    pages: int = 1
    """Pages it takes, on paper with the least room."""
    walked: Literal["", "new", "all"] = ""
    """Which music by ear is drawn as it is walked, with words to sing; with any, steps have a star to earn."""
    most: int = 9
    """Most of it that is drawn; the others are named."""
    only_new: bool = False
    """Notes that were met before have no box, so that the sheet keeps to one page."""
    plain: bool = False
    """What to practise is a plain list to tick off, without boxes for minutes and names: for the same reason."""
    beside: bool = False
    """That list stands beside the boxes of new notes: for the same reason."""
    run_on: bool = False
    """What to practise is a paragraph, one day after the other: for the same reason."""
    paper: str = ""
    """The only paper that it fits on, one of :data:`HIGHER`; else empty."""
    turns: tuple[int, ...] = ()
    """Places from 0 of the pieces of music that begin a page: the same on every paper."""

    @property
    def across(self) -> int:
        """Boxes of notes side by side."""
        return _across(self.scale)

    def walks(self, sheet: SheetView) -> tuple[ByEar, ...]:
        """The music by ear that is drawn."""
        shown = [piece for piece in sheet.by_ear if self.walked == "all" or (self.walked and piece.new)]
        return tuple(shown[: self.most])

    def named(self, sheet: SheetView) -> tuple[str, ...]:
        """Titles of the music by ear that is not drawn."""
        drawn = {piece.title for piece in self.walks(sheet)}
        return tuple(dict.fromkeys(piece.title for piece in sheet.by_ear if piece.title not in drawn))

    def boxes(self, sheet: SheetView) -> tuple[SheetNote, ...]:
        """The notes that have a box."""
        return tuple(note for note in sheet.notes if note.new or not self.only_new)


@dataclass(frozen=True, slots=True)
class CardLayout:
    """How a card is placed."""

    size: float
    """Text size of its front, points."""
    behind: tuple[str, ...] = ()
    """What stands on the back, since the front has no room for it: ``percussion``, ``practice``, the
    last of the ``steps`` of a very long lesson."""


def card_layout(card: CardView) -> CardLayout:
    """How to place a card: its front in the largest text that fits, never in less than :data:`SMALLEST`.

    Where even that is too large, what others have on their sheets goes to the back: the drums' task, then what is
    practised at home; the steps of a long lesson run on over it.
    """
    behind: tuple[str, ...] = ()
    for thing in (thing for thing in BEHIND if thing != "percussion" or card.percussion):
        if _card_height(card, SMALLEST, behind) * FIT <= HEIGHT:
            break
        behind += (thing,)
    size = LARGEST
    while size > SMALLEST and _card_height(card, size, behind) * FIT > HEIGHT:
        size -= 0.1
    return CardLayout(round(max(size, SMALLEST), 1), behind)


def _lines(text: str, width: float, size: float, letter: float = LETTER) -> int:
    return max(1, ceil(len(text) * letter * size * POINT / width * 1.05))


def _card_lines(text: str, width: float, size: float) -> int:
    return _lines(text, width, size, CARD_LETTER)


def _pieces(card: CardView) -> list[tuple[str, str]]:
    own = [("Pieces in parts", " · ".join(card.lesson.pieces))] if card.lesson.pieces else []
    return [*own, card.further_said] if card.further_said else own


def _card_height(card: CardView, size: float, behind: Sequence[str] = ()) -> float:
    line = LEADING * size * POINT
    head_width = WIDTH - 24
    head = line * (
        1.2
        + 1.9
        + 1.15 * _card_lines(card.lesson.aim, head_width, size * 1.12)
        + sum(
            1.2 * _card_lines(f"{label} {text}", head_width, size)
            for label, text in (*card.head, *_pieces(card))
            if label != "Percussion" or "percussion" not in behind
        )
    )
    total = max(head, 24) + line * 1.2
    for step in card.lesson.steps:
        rows = max(
            _card_lines(step.title, WIDTH * COLUMNS["step"], size)
            + (_card_lines("Apart: B♭ group, E♭ group", WIDTH * COLUMNS["step"], size * 0.84) if card.apart else 0),
            _card_lines(f"{step.say} {step.how}", WIDTH * COLUMNS["say"], size),
            _card_lines(step.listen, WIDTH * COLUMNS["listen"], size),
            _card_lines(f"{step.wrong} → {step.remedy}", WIDTH * COLUMNS["trouble"], size),
        )
        total += rows * line + 0.85 * size * POINT
    practice = (
        0
        if "practice" in behind
        else sum(
            max(_card_lines("1 " + line.text, 48, size) for line in card.lesson.practice[at : at + 2])
            for at in range(0, len(card.lesson.practice), 2)
        )
    )
    foot = max(_card_lines(card.lesson.ready, 76, size) + 1.1, 1.1 + practice * 1.15)
    return total + foot * line + 10


def back_room(card: CardView) -> float:
    """Millimetres that the back of a card has for music, below its notes and what the front has no room for."""
    behind, line = card_layout(card).behind, BACK_LEADING * BACK_TEXT * POINT
    taken = BACK_HEAD + BACK_RULE
    if "percussion" in behind:
        taken += line * (_card_lines(f"Percussion {card.percussion}", WIDTH, BACK_TEXT) + 0.5)
    if "practice" in behind:
        lines = [_card_lines(f"1 {each.text}", WIDTH / 2 - 2, BACK_TEXT) for each in card.lesson.practice]
        taken += line * (1.0 + sum(max(lines[at : at + 2]) + 0.2 for at in range(0, len(lines), 2)))
    if "steps" in behind:
        taken += max(0.0, _card_height(card, SMALLEST, behind) * FIT - HEIGHT)
    return HEIGHT - taken - _notes_height(card)


def _notes_height(card: CardView) -> float:
    many = any(len(notes) > 6 for _, notes in card.rows)
    size, share = (10.2, 0.27) if many else (BACK_TEXT, 0.34)
    named = [
        max(_card_lines(f"{group.name} {group.who}", WIDTH * share, size * 0.9), 2 if _named_apart(notes) else 1)
        for group, notes in card.rows
    ]
    return BACK_LEADING * size * POINT * (1.2 + sum(lines + 0.3 for lines in named))


def _named_apart(notes: Iterable[NoteView | None]) -> bool:
    """Whether a row of notes has some with a word before them, which may take a second line."""
    return any(note is not None and note.which for note in notes)


def excerpt_height(excerpt: ExcerptView) -> float:
    """Millimetres that a picture of music takes on a card, with its title and the room below."""
    title = (
        f"{excerpt.title} (beginning) · {excerpt.caption}" if excerpt.begins else f"{excerpt.title} · {excerpt.caption}"
    )
    more = CAPTION_LINE * (ceil(len(title) / CAPTION_LETTERS) - 1)
    notes = [note for _, note in excerpt.line]
    sung, chords = any(note.lyrics for note in notes), any(note.chord for note in notes)
    return CAPTION + more + (STAVES + SUNG * sung + CHORDS * chords) * _lines_on_card(excerpt.line)


@lru_cache(maxsize=512)
def _lines_on_card(line: Line) -> int:
    """How many lines of a card's width music takes; the same music stands on several cards."""
    return len(line_breaks([line], CARD, letter=ENLARGED)) + 1


def sheet_layout(sheet: SheetView, pictures: Sequence[Engraving], paper: str = "") -> SheetLayout:
    """How to place a sheet whose music stands at full width: on one page if it can be, and as large as can be.

    Where it would else shed boxes or take two pages, the room of the ``paper`` of the band counts, if that has more.
    """
    music = [WIDTH * picture.height / picture.width + TITLE for picture in pictures]
    scales = [scale for scale in SCALES if scale >= 1 or not sheet.music]
    whole = [SheetLayout(scale=scale, walked="all") for scale in scales]
    whole += [SheetLayout(scale=scale, walked="new") for scale in scales]
    fewer = range(sum(piece.new for piece in sheet.by_ear) - 1, 0, -1)
    whole += [SheetLayout(scale=scale, walked="new", most=most) for most in fewer for scale in scales]
    whole += [SheetLayout(scale=scale) for scale in SCALES]
    shed = [SheetLayout(scale=scale, only_new=True) for scale in SCALES]
    shed += [SheetLayout(scale=scale, only_new=True, plain=True) for scale in SCALES if scale <= 1]
    beside = [SheetLayout(scale=scale, only_new=True, plain=True, beside=True) for scale in SCALES if scale <= 1]
    shed += [layout for layout in beside if 0 < len(layout.boxes(sheet)) <= FEW]
    shed += [SheetLayout(scale=scale, only_new=True, plain=True, run_on=True) for scale in SCALES if scale <= 1]
    of_two = [SheetLayout(scale=scale, pages=2) for scale in SCALES if scale <= LARGEST_OF_TWO]
    of_two.sort(key=lambda layout: _rows(sheet, layout))  # no row for a last box alone
    of_two += [replace(layout, pages=2) for layout in shed if not layout.beside]
    layouts = chain(whole, _on(paper, whole), shed, _on(paper, shed), of_two)
    fitting = (layout for layout in layouts if _pages(sheet, layout, music) <= layout.pages)
    found = next(fitting, None) or SheetLayout(pages=_pages(sheet, SheetLayout(), music))
    return replace(found, turns=_turns(sheet, found, music)) if found.pages > 1 else found


def _on(paper: str, layouts: Iterable[SheetLayout]) -> Iterator[SheetLayout]:
    """The same for a paper that is higher; none for any other."""
    return (replace(layout, paper=paper) for layout in layouts if paper in HIGHER)


def _pages(sheet: SheetView, layout: SheetLayout, music: Iterable[float]) -> int:
    """Pages that are filled one after another; no piece of music is cut in two."""
    return len(_filled(sheet, layout, music))


def _filled(sheet: SheetView, layout: SheetLayout, music: Iterable[float]) -> list[list[float]]:
    """Heights of what stands on each page: the head, music, and at last what is practised."""
    pages, room = [[SPARE + _head_height(sheet, layout)]], HIGHER.get(layout.paper, HEIGHT)
    for height in (*music, _record_height(sheet, layout)):
        if sum(pages[-1]) + height > room:
            pages.append([])
        pages[-1].append(height)
    return pages


def _turns(sheet: SheetView, layout: SheetLayout, music: Iterable[float]) -> tuple[int, ...]:
    """Which pieces begin a page, so that the last page is not nearly empty, as where all music fits on those before."""
    *earlier, before, last = _filled(sheet, layout, music)
    while len(before) > 2 and sum(last) < LEAST_LAST * HEIGHT and sum(last) + before[-1] <= HEIGHT:
        last.insert(0, before.pop())
    places = accumulate(map(len, (*earlier, before)))
    count = sum(map(len, (*earlier, before, last))) - 2
    return tuple(place - 1 for place in places if place - 1 < count)


def _head_height(sheet: SheetView, layout: SheetLayout) -> float:
    """Height of what stands before the music, millimetres."""
    title = f"{sheet.name}: {sheet.lesson.title}"
    said = _lines(sheet.aim, 165, 11 * layout.scale) + _lines(title, 165, 15 * layout.scale)
    lines = 17.5 + 5.5 * said + _rows(sheet, layout) * _box_height(sheet)
    named = " · ".join(layout.named(sheet))
    lines += 1.5 + 5 * _lines(f"By ear today, as well {named}", WIDTH / layout.scale, 11) if named else 0
    lines += 8 if sheet.lesson.pieces else 0
    lines += 2 + 5 * _lines(sheet.do, 190 / layout.scale, 11) if sheet.do else 0
    return layout.scale * lines + (_walked_height(sheet, layout) if layout.walked else 0)


def _rows(sheet: SheetView, layout: SheetLayout) -> int:
    """Rows of boxes of notes."""
    return ceil(len(layout.boxes(sheet)) / layout.across)


def _walked_height(sheet: SheetView, layout: SheetLayout) -> float:
    """Height of the music by ear as it is walked, and of the stars, millimetres."""
    scale, shown = layout.scale, layout.walks(sheet)
    music = sum(rows_of(piece.line) * ROW / 10 + scale * (6.5 + 5 * len(piece.words)) for piece in shown)
    return music + scale * (7 + 7.4 * ceil(len(sheet.stars) / 2))


def _record_height(sheet: SheetView, layout: SheetLayout) -> float:
    """Height of the practice record and the lines to sign on, or of a plain list."""
    scale = layout.scale
    if layout.run_on:
        said = "At home, day by day " + " ".join(f"1 {each}" for each in sheet.practice)
        return scale * (3 + 5 * _lines(said, WIDTH / scale, 11))
    line, more = (5.4, 3) if layout.plain else (7.8, 15 if sheet.signed else 8)
    width = 145 - scale * NOTE_BOX * len(layout.boxes(sheet)) if layout.beside else 145
    lines = sum(line + 4.6 * (_lines(each, width, 11 * scale) - 1) for each in sheet.practice) + more
    return scale * (max(0.0, lines - _box_height(sheet)) if layout.beside else lines)


def _box_height(sheet: SheetView) -> int:
    """Height of the box of a note, millimetres at a scale of 1: with its place on the staff, or without."""
    return 42 if sheet.reads else 31


def _across(scale: float) -> int:
    return int(8 / scale)
