"""What can we play today: every tune and piece under the lesson from which the whole band can play it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.music.words import capital
from beginnerband.pages.course.pieces import LessonPieces, Playable
from beginnerband.pages.shared.dates import day
from beginnerband.pages.shared.links import TODAY, lesson_title, lesson_uri
from beginnerband.pages.tunes.taught import known_when
from beginnerband.pages.tunes.view import slowly
from beginnerband.products import Products
from beginnerband.render.html import render
from beginnerband.render.sound import script

TITLE = "What can we play today?"


def contribute_today(book: Book, course: CourseBook, pieces: LessonPieces, out: Products, nav: tuple[str, ...]) -> None:
    """The page with the list."""
    every = playables(book, pieces)
    lessons = course.course.weeks
    shown = [_shown(one, [lesson.number for lesson in lessons]) for one in every]
    weeks = [
        {
            "place": place,
            "lesson": lesson,
            "title": lesson_title(lesson),
            "uri": lesson_uri(lesson),
            "date": course.dates[place].isoformat() if course.dates else "",
            "day": day(course.dates[place], book.band.english, weekday=True) if course.dates else "",
            "found": [one for one in shown if one["week"] == place],
        }
        for place, lesson in enumerate(lessons)
    ]
    after = [one for one in shown if one["week"] is None]
    html = render("course/today.html", page=TODAY, weeks=weeks, after=after, sound_script=script(TODAY))
    out.page(TODAY, TITLE, f"# {TITLE}\n\n{out.html(html)}\n", nav=nav)


def playables(book: Book, pieces: LessonPieces) -> list[Playable]:
    """Every tune and piece in parts, by title."""
    found = [*pieces.playable()]
    for tune in book.tunes.values():
        when = known_when(book, tune.id)
        key = (when.key if when else tune.key).sign
        ear, paper = (when.ear, when.paper) if when else (None, None)
        hear = slowly(book, tune, when)
        found.append(Playable(tune.title, uri=f"tunes/{tune.id}.md", key=key, ear=ear, paper=paper, hear=hear))
    return sorted(found, key=lambda one: (one.title, one.parts))


def _shown(one: Playable, numbers: Sequence[int]) -> dict[str, object]:
    return {**asdict(one), "week": one.week, "ways": _ways(one, numbers)}


def _ways(one: Playable, numbers: Sequence[int]) -> str:
    """From which lesson, in which way: ``By ear from lesson 3, from paper from lesson 9``."""
    if one.ear is not None and one.ear == one.paper:
        return f"By ear or from paper from lesson {numbers[one.ear]}"
    ways = (("by ear", one.ear), ("from paper", one.paper))
    return capital(", ".join(f"{way} from lesson {numbers[place]}" for way, place in ways if place is not None))
