"""What cards and sheets say of a lesson's music is there to be seen and heard, whatever the band and its rooms."""

from __future__ import annotations

import re

import pytest
from plans import TEACHING, Case, made, players_of
from test_by_ear_sheets import ROWS

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.pages.course.sheet_view import sheet_view

PLANS = ["26 x 45, one room", "26 x 45, two rooms", "35 x 30, one room", "20 x 60, one room"]


@pytest.fixture(scope="module", params=[(plan, own) for plan in PLANS for own in (False, True)])
def course(request: pytest.FixtureRequest, book: Book) -> CourseBook:
    plan, own = request.param
    players = players_of(book, ROWS) if own else book.band.players
    found, wrong = made(book, Case("said", players, TEACHING[plan]))
    assert found, wrong
    return found


def test_three_notes_go_up_and_down_with_four_counts_on_each(course: CourseBook) -> None:
    lines = [
        (step, part.line)
        for place, lesson in enumerate(course.course.weeks)
        for step in lesson.steps
        if step.id == "three-steps-up"
        for player in course.players
        if player.instrument.pitched and (part := course.grades.weeks[player.id][place].part("three-steps-up"))
    ]
    assert lines
    for step, line in lines:
        assert step.say.startswith("Three notes up, three down, four counts on each.")
        heights = [note.midi for note in line.pitches]
        assert heights == sorted(set(heights)) + sorted(set(heights))[-2::-1]
        assert len(set(heights)) == 3
        assert {note.quarters for _, note in line} == {4}


COUNTED = re.compile(r"\b[Oo]ur (two|three|four|five) notes|\b(?:on|same) (two|three|four|five) notes")
NUMBERS = {"two": 2, "three": 3, "four": 4, "five": 5}


def test_cards_count_the_notes_of_their_music(course: CourseBook) -> None:
    """Where a step speaks of our three notes, or of a tune on five, its music has so many."""
    counted = 0
    for place, lesson in enumerate(course.course.weeks):
        for step in lesson.steps:
            said = {NUMBERS[match[1] or match[2]] for match in COUNTED.finditer(f"{step.title} {step.say}")}
            parts = [
                part
                for player in course.players
                if player.instrument.pitched
                for ident in step.music
                if (part := course.grades.weeks[player.id][place].part(ident))
            ]
            for part in parts if said else ():
                assert {len({note.midi for note in part.line.pitches})} == said, (step.id, step.say, part.item.title)
                counted += 1
    assert counted


def test_mallets_strike_the_bar_that_their_sheet_names(book: Book, course: CourseBook) -> None:
    """Where today's notes name a bar, nothing says that any will do."""
    mallets = [player for player in course.players if player.instrument.pitched and not player.instrument.brass]
    assert mallets
    for lesson in course.course.lessons:
        for player in mallets:
            sheet = sheet_view(book, course, lesson, player)
            if sheet.notes:
                assert "any bar" not in sheet.do, sheet.uri
    first = sheet_view(book, course, course.course.lessons[0], mallets[0])
    assert "on the bar of our note as soon as we have it" in first.do  # a short lesson does not name it yet
