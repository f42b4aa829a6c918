"""The course room: lesson cards, the list of lessons, who knows what, and the data."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from markupsafe import escape

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.music.words import capital
from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.course import progress
from beginnerband.pages.course.card_view import CardView, dates_of
from beginnerband.pages.course.lesson_view import LessonView, lesson_days, lesson_view
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.pieces import LessonPieces
from beginnerband.pages.course.print_data import when
from beginnerband.pages.course.print_layout import card_layout
from beginnerband.pages.course.sheet_view import sheet_uri
from beginnerband.pages.course.today import contribute_today
from beginnerband.pages.course.whole_course import parts_of
from beginnerband.pages.shared.dates import day
from beginnerband.pages.shared.links import address_of, card_pdf, lesson_pdf, lesson_title, lesson_uri
from beginnerband.products import Products
from beginnerband.render.engrave import glyph_sheet
from beginnerband.render.html import markdown_text, render
from beginnerband.render.qr import qr_inline
from beginnerband.render.sound import PlayedLine, player, script
from beginnerband.reuse import question
from beginnerband.teaching.addressed import Whom, said
from beginnerband.teaching.course import Lesson

SECTION = ("Course",)
"""Section of the navigation."""

SILENT = "{slides? slides | both? fingers or slides | valves? fingers | no-brass? moves their hands}"
"""What those do who sing while others play."""


def contribute(book: Book, products: Products) -> None:
    """Every page and file of the course; nothing when the content has no course."""
    course = book.course
    if course is None:
        return
    pieces = LessonPieces(book, course)
    products.notes.extend(unused_room(course))
    products.page("course/index.md", "All lessons", _index(course, book.band.english, products), nav=SECTION)
    products.page("course/progress.md", "Who knows what", _progress(book, course, products), nav=SECTION)
    contribute_today(book, course, pieces, products, SECTION)
    for lesson in course.course.lessons:
        products.add(book.reuse.of(card_page, book, lesson.id))
    products.asset("data/lessons.json", lessons_json(course))
    products.asset("course/blank-lesson.yml", BLANK.read_text(encoding="utf-8"))


def unused_room(course: CourseBook) -> Iterator[str]:
    """Why the course is for one room where the band file has two."""
    if course.why_one_room:
        yield f"band.yml has two rooms. The course is for one. {course.why_one_room}"


def card_page(book: Book, ident: str) -> Products:
    """The page of a lesson, with its card."""
    out, view, pictures = (
        Products(),
        lesson_view(book, ident),
        Pictures(book.root / ".cache", book.band.english, book.band.paper),
    )
    for card in view.cards:
        _card_page(book, view, card, pictures, out)
    return out


BLANK = Path(__file__).with_name("blank-lesson.yml")
"""A lesson to fill in."""


def days_of(course: CourseBook, lesson: Lesson, english: str) -> str:
    """When a lesson is taught, for people; empty without a start date."""
    return " and ".join(day(date, english) for date in dates_of(course, lesson))


def _index(course: CourseBook, english: str, products: Products) -> str:
    stages = [
        (
            stage,
            stage.about,
            [
                (lesson, lesson_uri(lesson), days_of(course, lesson, english))
                for lesson in course.course.lessons
                if lesson.stage == stage.id
            ],
        )
        for stage in course.course.stages
    ]
    html = render(
        "course/index.html",
        page="course/index.md",
        parts=parts_of(course),
        stages=stages,
        days=lesson_days(course),
        first=lesson_uri(course.course.lessons[0]),
        rooms=[(room, room.about, room in course.rooms) for room in course.course.rooms],
        skipped=course.course.skipped,
        start=course.course.one_sound,
        hands=said(SILENT, Whom(course.players, course.players), {}),
    )
    return f"# All lessons\n\n{products.html(html)}\n"


def _card_page(book: Book, view: LessonView, card: CardView, pictures: Pictures, products: Products) -> None:
    drawn = pictures.of_card(card)
    address = address_of(book, card.uri)
    html = render(
        "course/card.html",
        page=card.uri,
        card=card,
        days=view.days,
        pieces=view.pieces,
        band=book.band.name,
        when=when(card.dates, book.band.english, card.lesson.minutes),
        apart=len(view.rooms) > 1,
        rooms=[(other.room, other.uri) for other in view.cards if other is not card],
        layout=card_layout(card),
        pictures=[
            (
                piece,
                picture.inline(f"m{number}"),
                player(
                    [PlayedLine(piece.heard)], f"{piece.title}, {piece.reader}", f"music-{number}", book.band.pitch_a4
                ),
            )
            for number, (piece, picture) in enumerate(drawn)
        ],
        glyphs=glyph_sheet(one for _, picture in drawn for one in picture.pictures),
        sound_script=script(card.uri) if drawn else "",
        qr=qr_inline(address) if address else "",
        short=address.removeprefix("https://"),
        pdf=lesson_pdf(card.lesson),
        card_alone=card_pdf(card.lesson),
        sheets=[
            (
                sheet.player.id,
                capital(sheet.player.instrument.names.of(book.band.english)),
                sheet_uri(card.lesson, sheet.player),
            )
            for sheet in view.sheets
        ],
        guides={step.guide: guide_title(book, step.guide) for step in card.steps if step.guide},
        before=view.before,
        after=view.after,
    )
    title, first = lesson_title(card.lesson), card is view.card
    name = title if first else f"{title}, {card.room}"
    products.page(
        card.uri,
        name,
        f"# {markdown_text(title)}\n\n{products.html(html)}\n",
        nav=SECTION if first else (),
        search=first,
        description=str(escape(card.lesson.aim)),
    )


@question
def guide_title(book: Book, uri: str) -> str:
    """Title of a page of the guide."""
    page = book.guide.page(Path(uri).stem)
    return page.title if page else Path(uri).stem.replace("-", " ").capitalize()


def _progress(book: Book, course: CourseBook, products: Products) -> str:
    html = render("course/progress.html", page="course/progress.md", **progress.view(book, course))
    return f"# Who knows what by when\n\n{products.html(html)}\n"


def lessons_json(course: CourseBook) -> str:
    """``data/lessons.json``: each week's lesson, tunes with concert key, pieces in parts, notes new and known.

    Pitches are written notes as scientific pitch names. A repeated lesson stands twice, with nothing new in the second.
    """
    weeks: list[dict[str, Any]] = []
    for place, lesson in enumerate(course.course.weeks):
        weeks.append(
            {
                "week": place + 1,
                "number": lesson.number,
                "title": lesson.title,
                "stage": lesson.stage,
                "spare": lesson.spare,
                "date": course.dates[place].isoformat() if course.dates else None,
                "tunes": [
                    {"tune": item.tune, "concert_key": key}
                    for item in lesson.items
                    if item.tune
                    for key in progress.concert_keys(item)
                ],
                "pieces": list(lesson.pieces),
                "room": lesson.rooms,
                "steps": [
                    {"step": step.id, "title": step.title, "minutes": step.minutes, "together": step.together}
                    for step in lesson.steps
                ],
                "instruments": {
                    each.id: {
                        "reading": each.reading.id,
                        "new": [pitch.name for pitch in course.grades.new_notes(each.id, place)],
                        "known": [pitch.name for pitch in course.grades.weeks[each.id][place].after.ordered],
                    }
                    for each in course.players
                },
            }
        )
    return json.dumps(weeks, ensure_ascii=False, indent=1) + "\n"


def coming_lesson(context: Context, args: Args) -> str:
    """``[[coming-lesson]]``: the coming lesson, chosen by date in the browser; a plain list without script."""
    args.only()
    course = context.book.course
    if course is None:
        return ""
    music = context.book.reuse.of(lessons_with_music, context.book, whole=True)
    weeks = [
        (
            lesson,
            lesson_uri(lesson),
            lesson.id in music,
            course.dates[place].isoformat() if course.dates else "",
            day(course.dates[place], context.book.band.english, weekday=True) if course.dates else "",
            card_pdf(lesson),
            lesson_pdf(lesson),
        )
        for place, lesson in enumerate(course.course.weeks)
    ]
    return str(render("course/coming.html", page=context.uri, weeks=weeks))


def lessons_with_music(book: Book) -> frozenset[str]:
    """Ids of the lessons whose page has a part about music."""
    cards = [lesson_view(book, lesson.id).card for lesson in book.course.course.lessons] if book.course else []
    return frozenset(card.lesson.id for card in cards if card.has_music)


def ladder_table(context: Context, args: Args) -> str:
    """``[[ladder]]``: the limits of every stage, with their reasons."""
    args.only()
    course = context.book.course
    return str(render("course/ladder.html", stages=progress.limits(context.book, course))) if course else ""


BLOCKS = {"coming-lesson": coming_lesson, "ladder": ladder_table}
"""Blocks of the course."""
