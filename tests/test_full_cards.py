"""Cards with more on them than a front and a back can take: what goes where, what is cut, what is left out."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from paper import blank_below, print_lessons, text_size, words_on
from plans import TEACHING, Case, cases, made

from beginnerband.data.book import Book
from beginnerband.pages.course.card_music import BEGINNING, _height, _shortened
from beginnerband.pages.course.lesson_view import lesson_view
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.print_data import lesson_values
from beginnerband.render.print_pack import PrintPack


def test_home_practice_comes_back_to_a_full_front_before_its_text_grows(book: Book, tmp_path: Path) -> None:
    """The fullest card of a band without E♭ players, on the lower of both papers; its web card has no room for that."""
    case = next(case for case in cases(book) if case.name == "no E♭ players, one room")
    band = replace(book.band, players=case.players, teaching=case.teaching, paper="letter")
    made_course, wrong = made(book, case)
    assert made_course, wrong
    there, pack = replace(book, band=band, course=made_course), PrintPack()
    values = lesson_values(there, lesson_view(there, "lesson-09"), Pictures(book.root / ".cache", "british"), pack) | {
        "sheets": []
    }
    assert values["cards"][0]["behind"] == ["percussion", "practice"]
    pdf = print_lessons(there, [values], pack, tmp_path)
    front, back = words_on(pdf)
    assert "Hot Cross Buns" in back
    assert "If it goes wrong" in front
    assert "Home practice" in front
    assert text_size(pdf, 1) >= 10
    assert max(blank_below(pdf)) < 30  # millimetres: room for a line and its head is written on


Printed = tuple[dict[str, Any], list[str]]
"""A card's values, and the words on each of its pages."""


def _long_cards(book: Book, lessons: int, minutes: int, numbers: tuple[int, ...], folder: Path) -> list[Printed]:
    """Cards of a course of long lessons on Letter."""
    teaching = replace(TEACHING["20 x 60, one room"], lessons=lessons, minutes=minutes)
    made_course, wrong = made(book, Case("long", book.band.players, teaching))
    assert made_course, wrong
    band = replace(book.band, teaching=teaching, paper="letter")
    there, pictures = replace(book, band=band, course=made_course), Pictures(book.root / ".cache", "british")
    found = []
    for number in numbers:
        pack = PrintPack()
        values = lesson_values(there, lesson_view(there, f"lesson-{number:02d}"), pictures, pack) | {"sheets": []}
        pages = words_on(print_lessons(there, [values], pack, folder / str(number)))
        found.append((values["cards"][0], [" ".join(page.split()) for page in pages]))
    return found


def test_the_longest_lessons_keep_their_cards_to_two_sides_and_part_no_step(book: Book, tmp_path: Path) -> None:
    """Five tunes and exercises that no card had before, in 90 minutes whose steps run on over the back, on Letter."""
    (card, (_, back)), other = _long_cards(book, 14, 90, (5, 6), tmp_path)
    assert "steps" in card["behind"]
    assert "Home practice" in back
    assert "Mary Had a Little Lamb · " in back  # all of it: its web card has but the first bars
    assert any(piece["begins"] for piece in card["music"])
    assert "Not shown here: Down the lane (on the players’ sheets)." in back
    card, (front, back) = other[0], [re.sub(r"\W", "", page) for page in other[1]]  # a hyphen may end a line
    told = [[re.sub(r"\W", "", step[name]) for name in ("say", "how", "listen", "remedy")] for step in card["steps"]]
    assert any(all(text in back for text in step) for step in told), "none runs on"
    assert all(any(all(text in page for text in step) for page in (front, back)) for step in told)


def test_the_front_of_a_card_has_home_practice_where_there_is_room(book: Book, tmp_path: Path) -> None:
    """In 75 minutes whose steps run on over the back by a browser's room: paper holds all of it on the front."""
    [(card, (front, back))] = _long_cards(book, 18, 75, (14,), tmp_path)
    assert "steps" in card["behind"]
    assert card["practice"][-1] in front
    assert "notes and music" in back


def test_music_that_does_not_fit_a_card_is_cut_before_it_is_left_out(book: Book) -> None:
    """What is left as room shrinks: first the beginning of what is known, then nothing of it, the new tune longest."""
    assert book.course
    cards = [lesson_view(book, lesson.id).card for lesson in book.course.course.weeks[6:12]]
    taken = {view.item: (view,) for card in cards for view in card.excerpts}
    known = set(list(taken)[:2])
    tunes = {ident for ident, (view,) in taken.items() if view.tune and ident not in known}
    assert len(tunes) > 1
    assert any(len(view.line.measures) > BEGINNING for ident in known for view in taken[ident])
    whole, before = _height(taken), taken
    assert _shortened(taken, known, whole) == taken
    for room in range(int(whole), 0, -5):
        left = _shortened(taken, known, room)
        assert _height(left) <= room
        assert set(left) <= set(before)
        cut = {ident for ident, (view,) in left.items() if view.begins}
        assert all(view.whole == taken[ident][0] for ident, (view,) in left.items() if ident in cut)
        if known & set(left):
            assert set(left) >= set(taken) - known  # nothing new is left out before all that is known
        assert set(left) <= tunes or set(left) >= tunes  # exercises are left out first
        before = left
    assert not before
