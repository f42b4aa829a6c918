#!/usr/bin/env python3
"""The words of every card of a band as text, to be read as its leader would.

``.venv/bin/python tests/read_cards.py NAME [lesson …]`` for the bands of ``plans.py`` whose names hold ``NAME``;
``.venv/bin/python tests/read_cards.py --lot SEED [lesson …]`` for a band drawn by lot, odd ones before usual ones.
Lessons are numbers, counted from the end where they are below zero; left out: all. ``--sheets`` adds what players read.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]

from plans import START, Case, cases, made  # noqa: E402

from beginnerband.data.book import Book, load_book  # noqa: E402
from beginnerband.data.course import CourseBook  # noqa: E402
from beginnerband.music.player import Player  # noqa: E402
from beginnerband.pages.course.card_view import CardView  # noqa: E402
from beginnerband.pages.course.lesson_view import lesson_view  # noqa: E402
from beginnerband.pages.course.sheet_view import SheetView  # noqa: E402
from beginnerband.teaching.calendar import Teaching, spread  # noqa: E402


def by_lot(book: Book, seed: int) -> Case:
    """A band of 1 to 30 players of few or many instruments, its rooms, its time."""
    rng = random.Random(seed)
    brass = [ident for ident, instrument in book.instruments.items() if instrument.brass]
    rows = rng.sample(brass, rng.choice((1, 1, 2, 3, 4, 5, 7)))
    rows += [ident for ident in book.instruments if ident not in brass and rng.random() < 0.4]
    players = []
    for ident in sorted(rows, key=list(book.instruments).index):
        instrument = book.instruments[ident]
        players.append(Player(instrument, rng.choice(instrument.readings), rng.choice((1, 1, 1, 2, 3, 5))))
    minutes, week = rng.choice((20, 25, 30, 40, 45, 50, 60, 75, 90)), rng.choice((1, 1, 1, 2))
    teaching = Teaching(
        start=START,
        lessons=max(14, round(1170 / minutes) + rng.randint(-2, 5)),
        minutes=minutes,
        rooms=rng.choice((1, 2)),
        adults=rng.choice((1, 2, 4)),
        ages=rng.choice(("children", "mixed", "adults")),
        offsets=spread(week),
    )
    who = ", ".join(f"{player.count} {player.id} {player.reading.id}" for player in players)
    what = f"{teaching.lessons} x {minutes}, {week} a week, rooms {teaching.rooms}, adults {teaching.adults}"
    return Case(f"lot {seed}: {who}; {what}, {teaching.ages}", tuple(players), teaching)


def words_of(card: CardView) -> Iterator[str]:
    """Everything a leader reads on a card."""
    lesson = card.lesson
    room = f", {card.room}" if card.room else ""
    spare = ", spare" if lesson.spare else ""
    yield f"\n== {lesson.number} {lesson.title}{room} ({card.stage}{spare}; {lesson.minutes} min)"
    yield f"AIM {lesson.aim}"
    yield from (f"{label.upper()}: {text}" for label, text in filter(None, (*card.head, card.further_said)))
    for view in card.steps:
        step = view.step
        apart = "" if not card.room else " [together]" if step.together else " [apart]"
        yield f"{step.minutes:3} {step.title}{apart}. SAY {step.say}" + (f" HOW {step.how}" if step.how else "")
        yield f"      HEAR {step.listen}  WRONG {step.wrong} -> {step.remedy}"
        if step.quick:
            yield f"      QUICK {step.quick}  SLOW {step.slow}"
    yield f"READY {lesson.ready}"
    yield "HOME " + " / ".join(line.text for line in lesson.practice)
    for group, notes in card.rows:
        shown = " ".join(
            f"{note.written.letter_sign}{'*' if note.new else ''} {note.fingering}({note.concert})" if note else "-"
            for note in notes
        )
        yield f"NOTES {group.name} [{group.who}]: {shown}"


def words_on_sheet(sheet: SheetView) -> str:
    """What a player reads beside the music."""
    music = ", ".join(piece.title for piece in (*sheet.by_ear, *sheet.music)) or "no music"
    do = f" DO {sheet.do}" if sheet.do else ""
    return f"   {sheet.name}: AIM {sheet.aim}{do} MUSIC {music} HOME {' / '.join(sheet.practice)}"


def show(book: Book, case: Case, numbers: Sequence[int], sheets: bool) -> None:
    """Print the cards of one case."""
    print(f"\n######## {case.name}")
    band = replace(book.band, players=case.players, teaching=case.teaching)
    ours = replace(book, band=band)
    course, wrong = made(ours, case)
    if not course:
        print("\n".join(map(str, wrong)))
        return
    print(course.course.start.words if course.course.start else "no start")
    _shown(replace(ours, course=course), course, numbers, sheets)


def _shown(book: Book, course: CourseBook, numbers: Sequence[int], sheets: bool) -> None:
    lessons = course.course.lessons
    wanted = [lessons[number - (number > 0)] for number in numbers if -len(lessons) <= number <= len(lessons)]
    for lesson in wanted or lessons:
        view = lesson_view(book, lesson.id)
        for card in view.cards:
            print("\n".join(words_of(card)))
        print("PIECES", [piece.title + (f" LACKS {piece.lacks}" if piece.lacks else "") for piece in view.pieces])
        if sheets:
            print("\n".join(map(words_on_sheet, view.sheets)))
    print("left out:", [f"{step.title} ({step.why})" for step in course.course.skipped])


def from_command_line() -> None:
    """As the command line asks."""
    words = [word for word in sys.argv[1:] if word != "--sheets"]
    book, sheets = load_book(ROOT), "--sheets" in sys.argv
    if words[:1] == ["--lot"]:
        show(book, by_lot(book, int(words[1])), [int(word) for word in words[2:]], sheets)
        return
    for case in cases(book):
        if words and words[0] in case.name:
            show(book, case, [int(word) for word in words[1:]], sheets)


if __name__ == "__main__":
    from_command_line()
