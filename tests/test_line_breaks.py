"""Line breaks: fours where the tune is in fours, bars shared evenly else, never a line of one bar (the band's rule)."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.music.line_breaks import ENLARGED, WIDE, line_breaks
from beginnerband.music.score import Line
from beginnerband.render.engrave import engrave
from beginnerband.render.write_musicxml import Staff


def line(music: str) -> Line:
    read = read_abc(f"X:1\nT:t\nM:4/4\nL:1/4\nK:Bb\n{music}\n")
    assert read.score
    return read.score.lines[0]


@pytest.mark.parametrize(
    ("bars", "breaks"),
    [(1, ()), (4, ()), (5, ()), (6, (3,)), (7, (4,)), (8, (4,)), (9, (4,)), (10, (4, 7)), (12, (4, 8)), (13, (4, 8))],
)
def test_bars_are_shared(bars: int, breaks: tuple[int, ...]) -> None:
    assert line_breaks([line("C D E F|" * bars)], WIDE) == breaks


def test_an_upbeat_goes_with_its_bar() -> None:
    assert line_breaks([line("F|" + "C D E F|" * 7 + "C D E|]")], WIDE) == (5,)


def test_the_second_part_of_a_bar_goes_with_the_bar_it_leads_to() -> None:
    """Twelve bars, the fourth cut in two by a repeat: places 0 to 3, then 4 with 5, 6, 7, 8, then 9 to 12."""
    cut = line("|:" + "C D E F|" * 3 + "C D E:|F|" + "C D E F|" * 8)
    assert [bar.number for bar in cut.measures[3:5]] == [4, 4]
    assert line_breaks([cut], WIDE) == (4, 9)


def test_crowded_bars_stand_two_to_a_line() -> None:
    crowded = line("C/4D/4E/4F/4 C/4D/4E/4F/4 C/4D/4E/4F/4 C/4D/4E/4F/4|" * 4)
    assert line_breaks([crowded], WIDE) == (2,)
    assert line_breaks([crowded], WIDE / 2) == (1, 2, 3)


@pytest.mark.parametrize(
    ("bar", "breaks"),
    [
        ("C D E F|", (4,)),  # 24 + 4 * 44 = 200 a bar, and 1,710 to a line
        ("C D E F|\nw: la la la la\n", (4,)),  # 24 + 4 * 66 = 288
        ("C D E F|\nw: strength strength strength strength\n", (2, 4, 6)),  # 24 + 4 * 198 = 816, two are 1,632
        ("C D E F|\nw: strength la strength la\n", (2, 4, 6)),  # 24 + 2 * 22 * (9 + 3) = 552: three fit, but not evenly
        ('"Bbmaj7"C D "F"E F|', (4,)),  # 24 + 154 + 88: one symbol has the room of two notes
        ('"Bbmaj7"C "Ebmaj7"D "Bbmaj7"E "F#dim"F|', (2, 4, 6)),  # 24 + 3 * 154 + 132 = 618, four are 2,472
    ],
)
def test_words_and_chord_symbols_take_room(bar: str, breaks: tuple[int, ...]) -> None:
    assert line_breaks([line(bar * 8)], WIDE) == breaks


def test_words_that_are_set_larger_take_more_room() -> None:
    """As on a card: 24 + 2 * 30 * (9 + 3) = 744 a bar where it is 24 + 2 * 22 * (9 + 3) = 552; 1,110 to a line."""
    music = [line("C D E F|\nw: strength la strength la\n" * 8)]
    assert line_breaks(music, 1300) == (2, 4, 6)
    assert line_breaks(music, 1300, letter=ENLARGED) == tuple(range(1, 8))


def test_no_tune_ends_in_a_line_of_one_bar(book: Book) -> None:
    for ident, tune in book.tunes.items():
        breaks = (0, *line_breaks([tune.line], WIDE), len(tune.line.measures))
        assert all(after - before > 1 for before, after in pairwise(breaks)), ident


def test_lines_break_where_they_are_told_to_with_a_number_at_each() -> None:
    body = engrave([Staff(line("C D E F|" * 12))], "t", "w", width=WIDE, breaks=(4, 8)).body
    assert body.count("bb-bar-number") == 2
    assert ">5<" in body
    assert ">9<" in body
    lettered = line("C D E F|" * 4 + "[P:B]" + "C D E F|" * 4)
    assert lettered.measures[4].rehearsal == "B"
    body = engrave([Staff(lettered)], "t", "w", width=WIDE, breaks=(4,)).body
    assert re.findall(r">(B|5)<", body) == ["B", "5"]  # a letter does not take the number's place
