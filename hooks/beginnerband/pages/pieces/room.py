"""The pieces room: a page for each piece in four parts, their list, their files, and the concert's programme."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass
from typing import Any

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.instrument import VOICES
from beginnerband.music.piece import MADE
from beginnerband.music.score import Key
from beginnerband.music.scored import played
from beginnerband.music.scoring import REASONS, Charge, Scoring
from beginnerband.music.voiceleading import told_once
from beginnerband.music.words import capital, describe, tempo_words
from beginnerband.pages.pieces.concert import concert_page
from beginnerband.pages.pieces.files import Engraved, PiecePictures, add_files, engraved, folder
from beginnerband.pages.pieces.printing import SEVERITIES, WHO_HEAD, print_values, remarks, who_rows
from beginnerband.pages.pieces.rehearse import conductor, print_rehearsal, rehearsal_view
from beginnerband.pages.pieces.view import (
    PieceSheet,
    PieceView,
    clock,
    keys_asked,
    known_view,
    never_taught,
    played_key,
    ready_words,
    slowly,
)
from beginnerband.pages.shared.links import lesson_uri
from beginnerband.pages.shared.paper import of_copy
from beginnerband.pages.shared.table import BRIEF, STACKED, Row, Rows, link, table, titled
from beginnerband.products import Products
from beginnerband.render.engrave import LEAST, LEAST_ON_A_PHONE, Engraving, glyph_sheet
from beginnerband.render.html import markdown_text, relative, render
from beginnerband.render.print_pack import PrintPack
from beginnerband.render.sound import PlayedLine, player, script
from beginnerband.render.write_musicxml import Staff, numbers
from beginnerband.reuse import question
from beginnerband.teaching.wording import in_words

SECTION = "Pieces in parts"
"""Its place in the navigation."""

KEYS_SHOWN = 5
"""Keys in the comparison."""


def score(book: Book, out: Products) -> None:
    """Share every piece out, for the rooms that say something of pieces: each would do it anew."""
    for ident in book.pieces if book.scoring else ():
        known_view(book, ident)


def contribute(book: Book, out: Products) -> None:
    """The list of all, and a page and files for each piece of the half that is known soonest."""
    views = _views(book)
    if views:
        out.page("pieces/index.md", SECTION, _index(book, out, views), nav=(SECTION,))
        _each(book, out, views[: _half(views)])


def contribute_rest(book: Book, out: Products) -> None:
    """The same for the other pieces, and the concert page; a work of its own, since pieces take longest of all."""
    views = _views(book)
    if views:
        _each(book, out, views[_half(views) :])
        out.page("pieces/concert.md", "The concert", concert_page(book, out, views), nav=(SECTION,))


def _views(book: Book) -> list[PieceView]:
    """Every piece, soonest known first; none where the band has no lines to share out."""
    if book.scoring is None:
        return []
    return sorted((known_view(book, ident) for ident in book.pieces), key=_when)


def _half(views: Sequence[PieceView]) -> int:
    return (len(views) + 1) // 2


def _each(book: Book, out: Products, views: Sequence[PieceView]) -> None:
    pack = PrintPack(book.mark, book.fonts)
    for one in views:
        made = book.reuse.of(_one, book, one.piece.id)
        out.add(made.products)
        pack.pictures.update(made.pictures)
        for address, (template, values) in made.prints.items():
            pack.put(out, address, values | of_copy(book), template)


@dataclass(frozen=True, slots=True)
class Made:
    """What is made of one piece."""

    products: Products
    """Its pages and files, but for those that are printed."""
    prints: dict[str, tuple[str, dict[str, Any]]]
    """Template and values of each of those, but for what :func:`of_copy` says, by address."""
    pictures: dict[str, bytes]
    """Their pictures, by key."""


def _one(book: Book, ident: str) -> Made:
    """A piece's pages and files."""
    out, one, pack = Products(), known_view(book, ident), PrintPack()
    add_files(one, out, book.band.english)
    pictures = engraved(book, one)
    _assets(one, pictures, out)
    prints = {f"print/pieces/{ident}.pdf": ("piece.typ", print_values(book, one, pictures, pack))}
    out.page(uri(one), one.piece.title, _page(book, out, one, pictures), nav=(SECTION,))
    return Made(out, prints | _rehearsal(book, out, one, pack), pack.pictures)


def _when(one: PieceView) -> tuple[bool, int, str]:
    """Pieces that are known soonest come first, then by title."""
    return one.week is None, one.week or 0, one.piece.title


def uri(one: PieceView) -> str:
    """The piece's page."""
    return f"pieces/{one.piece.id}.md"


def rehearsal_uri(one: PieceView) -> str:
    """The page to rehearse it from."""
    return f"pieces/rehearse/{one.piece.id}.md"


def _rehearsal(book: Book, out: Products, one: PieceView, pack: PrintPack) -> dict[str, tuple[str, dict[str, Any]]]:
    """The page to rehearse it from; returned is the same for paper, with the conductor's score."""
    shown = rehearsal_view(book, one)
    if shown is None:
        return {}
    here, pdf = rehearsal_uri(one), f"print/pieces/{one.piece.id}-conductor.pdf"
    values = print_rehearsal(one, shown, conductor(book, one, shown), pack)
    hard = table("Hard bars", ["Players", "Bar", "Why"], list(shown.hard), kind=f"{STACKED} bb-who")
    head = ["Players", "Written", "In the chord", "Off by itself (cents)", "To do"]
    chords = Markup("").join(table(where, head, list(rows), kind=f"{STACKED} bb-who") for where, rows in shown.chords)
    body = render(
        "pieces/rehearse.html",
        shown=shown,
        hard=hard,
        chords=chords,
        pdf=relative(here, pdf),
        piece=relative(here, uri(one)),
    )
    title = f"Rehearse {one.piece.title}"
    out.page(here, title, f"# {markdown_text(title)}\n\n{out.html(str(body))}\n")
    return {pdf: ("conductor.typ", values)}


# The list


def _index(book: Book, out: Products, views: Sequence[PieceView]) -> str:
    rows: Rows = [
        (
            titled(one.piece.title, relative("pieces/index.md", uri(one))),
            one.piece.origin or one.piece.source,
            ready_words(book, one),
            played_key(one).sign,
            clock(one.piece.seconds),
            slowly(book, one),
        )
        for one in views
    ]
    found = table(
        "Pieces in parts",
        ["Piece", "From", "Everyone can play it", "Concert key", "Time", "Hear it"],
        rows,
        kind=BRIEF,
    )
    ways = (
        ("Put a programme together", "pieces/concert.md"),
        ("Your own piece", "pieces/your-own-piece.md"),
    )
    links = render(
        "shared/jumps.html", label="More", jumps=[(text, relative("pieces/index.md", to)) for text, to in ways]
    )
    return (
        f"# {SECTION}\n\n{_lines_words(views)}\n\n"
        f"{out.html(str(links))}\n\n{out.html(str(found + script('pieces/index.md')))}\n\n"
        "The page of a piece has the score, every player's part with fingerings, the sound of any mix of parts, and a "
        "report of what to listen for.\n"
    )


def _lines_words(views: Sequence[PieceView]) -> str:
    """Which lines there are, and whether this band has players for them all."""
    if all(one.scoring.playing(voice) for one in views for voice in VOICES):
        return "Soprano, alto, tenor and bass, shared out among the players of this band."
    return (
        "Each piece has a soprano, an alto, a tenor and a bass. This band has players for some of them; the page of "
        "each piece plays the others."
    )


# One piece


def _page(book: Book, out: Products, one: PieceView, pictures: PiecePictures) -> str:
    piece = one.piece
    here = uri(one)
    sections: list[tuple[str, str]] = [
        ("", _top(book, one)),
        ("Listen", _listen(book, one, pictures)),
        ("Who plays what", _who(book, one)),
        ("What to listen for", _findings(one)),
        ("Parts", "".join(_part(book, one, sheet, pictures) for sheet in one.sheets) + _drum_part(book, one, pictures)),
        ("Full score", _full(one, pictures)),
        ("Why this key and these players", _why(book, one)),
        ("About the piece", _facts(book, one)),
    ]
    text = [f"# {markdown_text(piece.title)}\n"]
    for heading, html in sections:
        text.append((f"## {heading}\n\n" if heading else "") + out.html(html) + "\n")
    text.append(out.html(str(script(here))))
    return "\n".join(text)


def _top(book: Book, one: PieceView) -> str:
    """What stands above the score: short, so that music is in sight on a phone."""
    piece, here = one.piece, uri(one)
    when = f"For everyone {ready_words(book, one)}. " if book.course else ""
    short = f"{when}Concert {played_key(one).sign}, {piece.bars} bars, {clock(piece.seconds)}."
    links = [("Print the whole set (PDF)", relative(here, f"print/pieces/{piece.id}.pdf"))]
    if book.rehearsal is not None:
        links.append(("Rehearse it", relative(here, rehearsal_uri(one))))
    made = f"Careful: {MADE[piece.made]}. Let a musician look at it before a concert." if piece.made else ""
    return str(render("pieces/piece_top.html", short=short, links=links, made=made))


def _facts(book: Book, one: PieceView) -> str:
    piece, here = one.piece, uri(one)
    key = played_key(one)
    written = "" if one.scoring.fifths == piece.key.fifths else f" (set down in {piece.key.sign})"
    lessons = _lessons(book, one)
    facts: list[tuple[str, str | Markup]] = [
        ("By", piece.composer),
        *([("First printed", piece.origin)] if piece.origin else []),
        ("This version", in_words(piece.source, book.band.english)),
        ("Concert key", key.sign + written),
        ("Metre and speed", f"{piece.time.name}, {tempo_words(piece.tempo, book.band.english)}"),
        ("Length", f"{piece.bars} bars, {clock(piece.seconds)}"),
        ("Everyone can play it", ready_words(book, one)),
        *([("In the course", lessons)] if lessons else []),
        *([("Words", Markup("<br>").join(piece.verses))] if piece.verses else []),
    ]
    base = folder(one)
    files = (("Score as MusicXML", "score.musicxml"), ("Score as MIDI", "score.mid"))
    links = [(text, relative(here, f"{base}/{name}")) for text, name in files]
    built = ("Concert key", "Everyone can play it", "In the course")
    return str(render("pieces/piece_facts.html", facts=facts, links=links, built=built))


def _lessons(book: Book, one: PieceView) -> Markup:
    """Links to the lessons that work on the piece."""
    lessons = _lessons_with(book, one.piece.id)
    return Markup(", ").join(link(f"lesson {number}", relative(uri(one), page)) for number, page in lessons)


@question
def _lessons_with(book: Book, ident: str) -> tuple[tuple[int, str], ...]:
    """Number and page of each lesson that works on a piece."""
    lessons = book.course.course.lessons if book.course else ()
    return tuple((lesson.number, lesson_uri(lesson)) for lesson in lessons if ident in lesson.pieces)


def _listen(book: Book, one: PieceView, pictures: PiecePictures) -> str:
    """The player over all desks, and the short score, whose notes light up."""
    piece, english = one.piece, book.band.english
    first = dict(zip(piece.lines, _first_numbers(one), strict=True))
    voices = [
        PlayedLine(
            played(piece.lines[seat.voice], one.scoring, seat),
            capital(seat.desk.name(english)),
            instrument=seat.desk.player.instrument,
            group=capital(seat.voice),
            first=first[seat.voice],
        )
        for seat in one.scoring.seats
    ]
    voices += [PlayedLine(line, line.name, first=None, group="Drums") for line in one.drums]
    name = f"{piece.id}-short"
    picture = pictures.short
    shown = Markup('<div class="bb-short" id="{}" data-search-exclude>{}</div>').format(
        name, picture.inline(f"{name}-picture")
    )
    return str(player(voices, piece.title, name, book.band.pitch_a4) + glyph_sheet(picture.pictures) + shown)


def _first_numbers(one: PieceView) -> list[int]:
    """The number of each line's first note in the short score's picture."""
    counts = [numbers(Staff(line)) for line in one.piece.lines.values()]
    return [sum(counts[:place]) for place in range(len(counts))]


def _who(book: Book, one: PieceView) -> str:
    rows = [
        Row((link(name, f"#part-{ident}"), *cells), players=players)
        for ident, players, name, *cells in who_rows(book, one)
    ]
    caption = Markup("<span data-bb-built>Players and lines</span>")
    found = table(caption, WHO_HEAD, rows, kind=f"{STACKED} bb-who")
    return str(found + Markup("").join(Markup("<p>{}</p>").format(text) for text in remarks(book, one)))


def _findings(one: PieceView) -> str:
    return str(
        render(
            "pieces/piece_findings.html",
            made=told_once(one.made),
            inherited=told_once(one.inherited),
            severities=SEVERITIES,
            canon="canon" in one.piece.kind,
        )
    )


@dataclass(frozen=True, slots=True)
class LinePicture:
    """A picture in a page."""

    src: str
    """Its address."""
    width: int
    """Width in its own units."""
    _: KW_ONLY
    height: int
    """Height in its own units."""
    alt: str
    """What it shows, shortly."""
    shown: str
    """Where it is shown: ``bb-wide-music`` or ``bb-phone-music``."""


def _pictures(one: PieceView, found: Engraved) -> list[LinePicture]:
    here, many = uri(one), len(found.pages) > 1
    files = picture_files(one, found)
    return [
        LinePicture(
            relative(here, address),
            page.width // 10,
            height=page.height // 10,
            alt=page.title + (f", page {number}" if many and page is not found.phone else ""),
            shown="bb-phone-music" if page is found.phone else "bb-wide-music",
        )
        for number, (address, page) in enumerate(files.items(), 1)
    ]


def picture_files(one: PieceView, found: Engraved) -> dict[str, Engraving]:
    """Where each page of music is kept, and the picture for a phone."""
    base = f"{folder(one)}/pages/{found.ident}"
    files = {f"{base}-{number}.svg": page for number, page in enumerate(found.pages, 1)}
    return files | ({f"{base}-phone.svg": found.phone} if found.phone else {})


def _assets(one: PieceView, pictures: PiecePictures, out: Products) -> None:
    sets = [pictures.concert, pictures.written, *pictures.parts.values(), *([pictures.drums] if pictures.drums else [])]
    for found in sets:
        for address, page in picture_files(one, found).items():
            out.asset(address, page.standalone(LEAST_ON_A_PHONE if page is found.phone else LEAST))


def _part(book: Book, one: PieceView, sheet: PieceSheet, pictures: PiecePictures) -> str:
    english, here, base = book.band.english, uri(one), folder(one)
    missing = never_taught(book, one, sheet)
    about = []
    if missing:
        about.append(f"Not taught in the course: {missing}.")
    if sheet.cue:
        about.append("Small notes are a cue: what others play before the entry.")
    ident = sheet.ident
    links = [
        (text, relative(here, f"{base}/{ident}.{ending}"))
        for text, ending in (("MusicXML", "musicxml"), ("MIDI", "mid"))
    ]
    return str(
        render(
            "pieces/piece_part.html",
            ident=ident,
            players=" ".join(dict.fromkeys(seat.desk.player.id for seat in sheet.seats)),
            title=f"{sheet.names(english)}: {sheet.voice}",
            about=" ".join(about),
            links=links,
            places=[place for place, seat in enumerate(one.scoring.seats) if seat in sheet.seats],
            pictures=_pictures(one, pictures.parts[ident]),
            opened=False,
            words=describe(sheet.part.written, english, sheet.under),
        )
    )


def _drum_part(book: Book, one: PieceView, pictures: PiecePictures) -> str:
    if not pictures.drums:
        return ""
    here, base = uri(one), folder(one)
    links = [("MusicXML", relative(here, f"{base}/drums.musicxml")), ("MIDI", relative(here, f"{base}/drums.mid"))]
    drawn = _pictures(one, pictures.drums)
    title = in_words("Drums: snare drum and bass drum", book.band.english)
    return str(
        render(
            "pieces/piece_part.html",
            ident="drums",
            players=" ".join(player.id for player in one.drummers),
            title=title,
            about="",
            links=links,
            places=range(len(one.scoring.seats), len(one.scoring.seats) + len(one.drums)),
            pictures=drawn,
            opened=False,
            words="",
        )
    )


def _full(one: PieceView, pictures: PiecePictures) -> str:
    found = []
    for engraving, title in (
        (pictures.concert, "Full score at concert pitch"),
        (pictures.written, "Full score as written for each player"),
    ):
        found.append(
            render(
                "pieces/piece_part.html",
                ident=engraving.ident,
                players="",
                title=title,
                about="",
                links=[],
                places=[],
                pictures=_pictures(one, engraving),
                opened=not engraving.phone,
                words="",
            )
        )
    return str(Markup("").join(found))


# Why


def _why(book: Book, one: PieceView) -> str:
    english = book.band.english
    rows: Rows = []
    others = (other for other in (one.ranked.best, *one.ranked.others) if other.fifths != one.scoring.fifths)
    for scoring in sorted([one.scoring, *others][:KEYS_SHOWN], key=lambda scoring: scoring.points):
        key = Key(scoring.fifths, one.piece.key.mode)
        rows.append((key.sign, scoring.points, _reasons(scoring)))
    keys = table(
        Markup("<span data-bb-built>Keys compared, fewest points first</span>"),
        ["Concert key", "Points", "What for"],
        rows,
        note="All fifteen keys are weighed, with every line and octave for every player; these are the cheapest. A tie "
        "goes to the key with fewer sharps or flats. "
        "Whoever builds the handbook can change what a point is charged for."
        + ("" if one.scoring.exact else " There were too many ways to try them all: a cheaper one may exist."),
        kind=f"{STACKED} bb-who",
    )
    bills: Rows = []
    for seat in one.scoring.seats:
        name = seat.desk.name(english)
        bills.append((capital(name), seat.voice, seat.points, _items(seat.bill)))
    if one.scoring.bill:
        bills.append(("Everybody", "", sum(charge.points for charge in one.scoring.bill), _items(one.scoring.bill)))
    bill = table(
        "The bill in this key, player by player",
        ["Players", "Line", "Points", "What for"],
        bills,
        kind=f"{STACKED} bb-who",
    )
    asked = Markup("<p>{}</p>").format("The key was asked for.") if keys_asked(book, one.piece.id) else Markup("")
    return str(asked + keys + bill)


def _reasons(scoring: Scoring) -> str:
    return "; ".join(f"{REASONS[reason]} {points}" for reason, points in scoring.by_reason.items()) or "nothing"


def _items(bill: Sequence[Charge]) -> str:
    return "; ".join(
        f"{REASONS[charge.reason]}: {charge.count} × {charge.each}" if charge.each else REASONS[charge.reason]
        for charge in bill
    )
