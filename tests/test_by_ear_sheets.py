"""What a family sees of music that is learnt by ear: every box tells its note from the others of the sheet."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from plans import TEACHING, Case, made, players_of

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.pages.course.sheet_view import SheetView, sheet_view
from beginnerband.pages.course.walked import walked

ROWS = [
    ("trumpet", "treble-bb", 4), ("f-horn", "treble-f", 2), ("tenor-horn", "treble-eb", 1),
    ("trombone-f", "bass-c", 3), ("bb-bass", "bass-c", 1), ("drums", "rhythm", 2), ("xylophone", "treble-c", 1),
]  # fmt: skip
"""A band of readers in five ways, among them two that play neighbouring notes without moving a hand."""


@pytest.fixture(scope="module", params=["26 x 45, one room", "26 x 45, two rooms", "35 x 30, one room"])
def course(request: pytest.FixtureRequest, book: Book) -> CourseBook:
    found, wrong = made(book, Case("by ear", players_of(book, ROWS), TEACHING[request.param]))
    assert found, wrong
    return found


def sheets(book: Book, course: CourseBook) -> Iterator[SheetView]:
    for lesson in course.course.lessons:
        for player in course.players:
            yield sheet_view(book, course, lesson, player)


def test_a_box_stands_for_one_note_of_a_sheet(book: Book, course: CourseBook) -> None:
    """Two notes that the lips alone tell apart have their letters, and no two have the same text, nor one of the notes
    above: two of one letter are told apart beside the title."""
    told = high = 0
    for sheet in sheets(book, course):
        found: dict[str, set[int]] = {}
        for piece in sheet.by_ear if sheet.player.instrument.pitched else ():
            for code, (_, note) in zip(piece.codes, piece.line, strict=True):
                if note.pitch:
                    found.setdefault(code, set()).add(note.pitch.midi)
                    told += "\n" in code
            which = {f"{each.which} {each.answer.written.letter_sign}" for each in sheet.notes if each.which}
            assert {*filter(None, piece.apart.split(" and "))} <= which
            letters = {note.pitch.letter_sign for _, note in piece.line if note.pitch}
            assert all(name in piece.apart for name in letters if any(each.endswith(f" {name}") for each in which))
            high += "high" in piece.apart
        for code, notes in found.items():
            assert len(notes) == 1, (sheet.uri, code)
        ways = [each.answer.way.code for each in sheet.notes if each.answer.way]
        if len(set(ways)) < len(ways):
            assert all("\n" in code for code in found), sheet.uri
    assert told > 50
    assert high or len(course.course.rooms) == 1


def test_a_horn_sees_the_letters_of_what_one_valve_plays(book: Book) -> None:
    """D, E♭ (2-3) and F on an F horn: D and F have valve 1 (ordinary charts of the horn, from memory)."""
    players = players_of(book, ROWS)
    course, wrong = made(book, Case("two rooms", players, TEACHING["26 x 45, two rooms"]))
    assert course, wrong
    horn = course.player("f-horn")
    boxes = {
        code
        for lesson in course.course.lessons
        for piece in sheet_view(book, course, lesson, horn).by_ear
        for code in piece.codes
    }
    assert {"D\n1", "F\n1"} <= boxes
    piece = next(
        piece
        for lesson in course.course.lessons
        for piece in sheet_view(book, course, lesson, horn).by_ear
        if "D\n1" in piece.codes
    )
    drawn = walked(piece.line, piece.codes, piece.title)
    assert ">D</text>" in drawn
    assert "D 1" in drawn.split('aria-label="')[1].split('"')[0]


def test_two_notes_of_one_letter_are_told_apart_as_on_the_card(book: Book, course: CourseBook) -> None:
    """B♭ low and high in first position on a trombone: the sheet says which, as the leader's card does."""
    for sheet in sheets(book, course):
        names = [(note.which, note.answer.written.letter_sign) for note in sheet.notes]
        assert len(set(names)) == len(names), sheet.uri
    both = [sheet for sheet in sheets(book, course) if any(note.which == "low" for note in sheet.notes)]
    assert both
    for sheet in both:
        assert {"low", "high"} <= {note.which for note in sheet.notes}
