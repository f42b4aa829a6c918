"""``take-away/pocket.html``: one page with nothing beside it, to send in a message and open from a phone's files.

It carries its scripts, styles and tables in itself, and its policy allows exactly those, by their hashes: no request
leaves it, and no other script can run in it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import KW_ONLY, dataclass

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.music.instrument import Slide
from beginnerband.music.pitch import Pitch
from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.course.card_view import GroupView, dates_of, groups_of, ways_words
from beginnerband.pages.course.room import days_of
from beginnerband.pages.look_up import room as look_up
from beginnerband.pages.shared import charts
from beginnerband.pages.shared.links import lesson_title
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.tables import transposing
from beginnerband.products import Products
from beginnerband.render import fingers, sound, staff
from beginnerband.render.finish.policy import hash_source
from beginnerband.render.html import render
from beginnerband.teaching.course import Lesson
from beginnerband.teaching.wording import spelled

PAGE = "take-away/pocket.html"
"""The page, from the site's root."""

LARGEST = 600_000
"""Bytes it may have, so that it can be sent in a message."""

STYLES = ("handbook.css", "look-up.css", "tables.css", "tunes.css", "pocket.css")
SCRIPTS = (look_up.DATA, "assets/look-up.js", "assets/player.js", "assets/pocket.js")
TUNING = ("Bb4", "Bb3", "Eb4", "A4", "F4")


@dataclass(frozen=True, slots=True)
class LessonNotes:
    """What the pocket page shows of one lesson."""

    heading: str
    """Number and title."""
    _: KW_ONLY
    dates: str
    """When, for people; empty without a calendar."""
    last: str
    """Its last date, as 2026-10-14; empty without a calendar."""
    aim: str
    """What it is for."""
    groups: tuple[GroupView, ...]
    """Notes of the day by group."""


def contribute(book: Book, products: Products) -> None:
    """Add the page; the look-up's tables and all scripts and styles must have been added before."""
    html = page(book, products)
    assert len(html.encode()) <= LARGEST, f"the pocket page has {len(html.encode())} bytes"
    products.asset(PAGE, html)


def page(book: Book, products: Products) -> str:
    """The whole page as HTML."""
    styles = "".join(products.assets[f"assets/{name}"].decode() for name in STYLES)
    scripts = [products.assets[name].decode().strip() for name in SCRIPTS]
    assert "</" + "style" not in styles
    assert not any("</" + "script" in script.lower() for script in scripts)
    return str(
        render(
            "carry/pocket.html",
            policy=policy(styles, scripts),
            band=book.band,
            styles=Markup(styles),
            scripts=[Markup(script) for script in scripts],
            look_up=look_up.app(book),
            valves=fingers.sprite(),
            charts=list(fingering_charts(book)),
            keys=Markup(transposing.key_table(Context(book, products, PAGE), Args())),
            lessons=book.reuse.of(lessons, book, whole=True),
            ways=ways_words(book.band.players),
            bracketed=spelled("in brackets", book.band.english),
            metronome=sound.metronome(80, 4),
            tones=tones(book.band.pitch_a4),
        )
    )


def policy(styles: str, scripts: Iterable[str]) -> str:
    """Nothing but these very styles and scripts, and pictures inside the page."""
    allowed = " ".join(hash_source(script) for script in scripts)
    return (
        f"default-src 'none'; script-src {allowed}; style-src {hash_source(styles)}; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def fingering_charts(book: Book) -> Iterable[tuple[str, Markup]]:
    """Name and first-year chart of each reader of the band."""
    for player in book.band.pitched:
        name = player.instrument.names.of(book.band.english)
        slide = isinstance(player.instrument.mechanism, Slide)
        kind = "Notes" if not player.instrument.brass else "Positions" if slide else "Fingerings"
        caption = f"{kind}, {READING_WORDS[player.reading.id]}"
        chart = charts.chart(player, caption, book.band.english, "first-year")
        yield name, fingers.with_sprite(staff.with_sprite(chart))


def lessons(book: Book) -> tuple[LessonNotes, ...]:
    """Every lesson with the notes of the day; the page opens at the coming one by its date."""
    return tuple(_notes_of(book, book.course, lesson) for lesson in book.course.course.lessons) if book.course else ()


def _notes_of(book: Book, course: CourseBook, lesson: Lesson) -> LessonNotes:
    dates = dates_of(course, lesson)
    return LessonNotes(
        lesson_title(lesson),
        dates=days_of(course, lesson, book.band.english),
        last=max(dates).isoformat() if dates else "",
        aim=lesson.aim,
        groups=groups_of(book, course, lesson, course.players),
    )


def tones(a4: float) -> list[Markup]:
    """A button for each concert note bands tune to."""
    pitches = [Pitch.parse(text) for text in TUNING]
    return [sound.drone_button(pitch.midi, f"Concert {pitch.sign}", a4) for pitch in pitches]
