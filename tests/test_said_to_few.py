"""What is said to one player a part, and to whoever strikes wood: nobody is asked for what they have not got."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from plans import TEACHING, Case, files, made, players_of

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.pages.pieces.rehearse import rehearsal_view
from beginnerband.pages.pieces.view import view

PARTS = [("cornet", "treble-bb"), ("tenor-horn", "treble-eb"), ("baritone", "treble-bb"), ("trombone", "bass-c")]

SENT = re.compile(r"Send (one|two) out")


def one_a_part(book: Book, count: int, plan: str) -> CourseBook:
    rows = [(*part, count) for part in PARTS]
    course, wrong = made(book, Case("few", players_of(book, rows), TEACHING[plan]))
    assert course, wrong
    return course


@pytest.mark.parametrize("plan", ["20 x 60, one room"])
@pytest.mark.parametrize(("count", "sent"), [(1, ""), (2, "two")])
def test_a_band_plays_on_without_those_who_listen(count: int, sent: str, plan: str, book: Book) -> None:
    """No more than a quarter of it is sent out to hear, and one chair makes no block."""
    course = one_a_part(book, count, plan)
    texts = [
        text
        for lesson in course.course.weeks
        for step in lesson.steps
        for text in (step.say, step.how, step.quick, step.slow, *lesson.bring)
    ]
    assert not [text for text in texts if "in a block" in text]
    found = {match[1] for text in texts if (match := SENT.search(text))}
    assert found <= ({sent} if sent else set())
    asked = [text for text in texts if "tell soft from strong" in text]
    assert all(bool(SENT.search(text)) == bool(sent) for text in asked)
    assert asked


def test_chords_are_put_together_player_by_player(book: Book) -> None:
    course = one_a_part(book, 1, "26 x 45, one room")
    ours = replace(book, course=course, band=replace(book.band, players=course.players, teaching=course.teaching))
    rehearsed = rehearsal_view(ours, view(ours, ours.pieces["over-the-bridge"]))
    assert rehearsed
    works = [work.what for _, plan in rehearsed.plans for work in plan]
    assert any("one player at a time" in work for work in works)
    assert not [work for work in works if "desk" in work]


def test_what_mallets_are_told_is_true_of_wood(book: Book) -> None:
    """A struck bar of a xylophone, of wood, does not ring on as a glockenspiel's does (common practice, no source)."""
    told = [task.bars for task in files().drums[0].tasks if task.bars]
    assert len(told) > 10
    texts = [text or "" for bars in told for text in (bars.title, bars.aim, bars.do, bars.later, *bars.home)]
    assert not [text for text in texts if re.search(r"\b[Rr]ing", text)]
    assert {"xylophone", "glockenspiel"} <= book.instruments.keys()
