"""What is said to one player a part, and to whoever strikes wood: nobody is asked for what they have not got."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from plans import TEACHING, Case, files, made, players_of

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.pages.course.card_view import card_view
from beginnerband.pages.pieces.rehearse import rehearsal_view
from beginnerband.pages.pieces.view import view

PARTS = [("cornet", "treble-bb"), ("tenor-horn", "treble-eb"), ("baritone", "treble-bb"), ("trombone", "bass-c")]

SENT = re.compile(r"(One|Two) of you listens? from the open door")


def one_a_part(book: Book, count: int, plan: str, more: int = 0) -> CourseBook:
    """``count`` players a part, and one ``more`` in so many of them."""
    rows = [(*part, count + (place < more)) for place, part in enumerate(PARTS)]
    course, wrong = made(book, Case("few", players_of(book, rows), TEACHING[plan]))
    assert course, wrong
    return course


@pytest.mark.parametrize("plan", ["20 x 60, one room"])
@pytest.mark.parametrize(("count", "more", "sent"), [(1, 0, ""), (1, 2, "One"), (2, 0, "Two")])
def test_a_band_plays_on_without_those_who_listen(count: int, more: int, sent: str, plan: str, book: Book) -> None:
    """No more than a quarter of it listens from the door, in sight of who leads, and one chair makes no block."""
    course = one_a_part(book, count, plan, more)
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


@pytest.mark.parametrize(("strikes", "named"), [(["drums"], False), (["drums", "xylophone"], True)])
def test_mallets_are_named_on_a_card_only_where_somebody_has_some(book: Book, strikes: list[str], named: bool) -> None:
    readings = {"drums": book.instruments["drums"].readings[0].id, "xylophone": "treble-c"}
    rows = [*((*part, 2) for part in PARTS), *((name, readings[name], 1) for name in strikes)]
    course, wrong = made(book, Case("struck", players_of(book, rows), TEACHING["26 x 45, one room"]))
    assert course, wrong
    ours = replace(book, course=course, band=replace(book.band, players=course.players, teaching=course.teaching))
    said = [card_view(ours, course, lesson).percussion for lesson in course.course.lessons]
    assert all(said)
    assert any("Mallets:" in each for each in said) == named
    assert not [each for each in said if each.endswith(":")]


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


@pytest.mark.parametrize("count", [6, 18])
def test_whoever_is_alone_on_a_part_is_not_relieved(book: Book, count: int) -> None:
    """Where one of each part stands out, the same text says what those do whom nobody can relieve."""
    course, wrong = made(
        book, Case("cornets", players_of(book, [("cornet", "treble-bb", count)]), TEACHING["26 x 45, one room"])
    )
    assert course, wrong
    texts = [text for lesson in course.course.weeks for step in lesson.steps for text in (step.say, step.how)]
    standing = [text for text in texts if re.search(r"[Oo]ne player (of each|to a) part", text)]
    assert standing
    assert all("nobody to change with" in text for text in standing)
    assert not [text for text in texts if "new four" in text or "Two to your part" in text]
