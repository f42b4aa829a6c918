"""The players' sheets of every lesson, a web page each, and the font that cards and sheets print in."""

from __future__ import annotations

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.pages.course.lesson_view import LessonView, lesson_view
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.print_data import sheet_note, when
from beginnerband.pages.course.room import card_page
from beginnerband.pages.course.sheet_view import ByEar, SheetMusic, SheetView, sheet_uri
from beginnerband.pages.course.walked import walked_anywhere
from beginnerband.pages.shared.links import address_of
from beginnerband.products import Products
from beginnerband.render import fonts
from beginnerband.render.engrave import glyph_sheet
from beginnerband.render.html import render
from beginnerband.render.qr import qr_inline
from beginnerband.render.sound import PlayedLine, player, script

PRINT_FONT = "assets/print-font.css"
"""The font that cards and sheets print in, so that they keep to their page whatever fonts a machine has."""


def contribute(book: Book, course: CourseBook, products: Products) -> None:
    """A sheet for each player and lesson, and the font."""
    printed = Products()
    for lesson in course.course.lessons:
        printed.add(book.reuse.of(card_page, book, lesson.id))
        sheets = book.reuse.of(_sheets, book, lesson.id)
        printed.add(sheets)
        products.add(sheets)
    products.asset(PRINT_FONT, fonts.style_sheet(_characters(printed), book.root / ".cache", book.fonts))


def addresses(course: CourseBook) -> tuple[str, ...]:
    """Every file that :func:`contribute` makes."""
    lessons = course.course.lessons
    return (PRINT_FONT, *(sheet_uri(lesson, player) for lesson in lessons for player in course.players))


def _sheets(book: Book, ident: str) -> Products:
    """The sheets of a lesson."""
    out, view, pictures = (
        Products(),
        lesson_view(book, ident),
        Pictures(book.root / ".cache", book.band.english, book.band.paper),
    )
    for sheet in view.sheets:
        out.asset(sheet.uri, _sheet_page(book, sheet, view, pictures))
    return out


def _characters(products: Products) -> set[str]:
    """Every character that is on a card or a sheet."""
    sheets = (content for uri, content in products.assets.items() if uri.endswith(".html"))
    found: set[str] = set()
    for text in (*(html.encode() for html in products.fragments.values()), *sheets):
        plain = "".join(filter(str.isascii, found)).encode()  # most of it, left out in one go
        found.update(text.translate(None, plain).decode())
    return found


def _sheet_page(book: Book, sheet: SheetView, view: LessonView, pictures: Pictures) -> str:
    drawn, layout = pictures.of_sheet(sheet)
    card = view.card_of(sheet.player)
    address = address_of(book, sheet.uri)
    html = render(
        "course/sheet.html",
        sheet=sheet,
        parts=view.pieces,
        band=book.band.name,
        when=when(sheet.dates, book.band.english),
        card_uri=card.uri,
        notes=[sheet_note(sheet, note, book.band.english) for note in layout.boxes(sheet)],
        layout=layout,
        pieces=[
            (
                piece,
                picture.inline(f"m{number}"),
                _to_hear(book, piece, f"music-{number}"),
            )
            for number, (piece, picture) in enumerate(drawn)
        ],
        walks=layout.walks(sheet),
        titles=layout.named(sheet),
        by_ear=[
            (piece, walked_anywhere(piece.line, piece.codes, piece.title), _to_hear(book, piece, ""))
            for piece in sheet.by_ear
        ],
        sound_script=script(sheet.uri) if drawn or sheet.by_ear else "",
        glyphs=glyph_sheet(one for _, picture in drawn for one in picture.pictures),
        qr=qr_inline(address) if address else "",
        short=address.removeprefix("https://"),
    )
    return str(html)


def _to_hear(book: Book, piece: SheetMusic | ByEar, score: str) -> Markup:
    """What plays a piece of a sheet: the player's own line, and some of the band, who can be muted."""
    names = [each.instrument.names.of(book.band.english) for each, _ in piece.heard]
    lines = [
        PlayedLine(
            line,
            "me" if place == 0 else name,
            first=0 if place == 0 else None,
            instrument=each.instrument,
            own=place == 0,
        )
        for place, ((each, line), name) in enumerate(zip(piece.heard, names, strict=True))
    ]
    return player(lines, piece.title, score, book.band.pitch_a4)
