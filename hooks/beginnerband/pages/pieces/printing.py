"""A piece for the print pack: who plays what, what to listen for, the scores, and every part on whole pages."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from beginnerband.data.book import Book
from beginnerband.music.piece import MADE
from beginnerband.music.scoring import Seat
from beginnerband.music.voiceleading import told_once
from beginnerband.music.words import capital, series, suggested, tempo_words
from beginnerband.pages.pieces.files import Engraved, PiecePictures
from beginnerband.pages.pieces.view import Away, PieceView, clock, covered, fold_words, octave_words, played_key
from beginnerband.render.engrave import LARGE, LEAST
from beginnerband.render.print_pack import PrintPack
from beginnerband.teaching.wording import in_words, spelled

SEVERITIES = {"fault": "mend this", "caution": "listen here", "advice": "good to know"}
"""Severities in a leader's words."""

WHO_HEAD = ["Players", "Line", "Written key", "Written notes", "Note"]
"""Columns of the table of players."""

SHORT = "Short score at concert pitch"

CLEAN = (
    "Nothing that the way of sharing out the lines has made: nobody is out of range, nothing crosses or runs parallel, "
    "every closing chord has its third."
)


def who_rows(book: Book, one: PieceView) -> Iterator[tuple[str, ...]]:
    """The id of each sheet, the ids of its players, then the cells of the table of players."""
    english = book.band.english
    for voice in one.piece.lines:
        for seat in one.scoring.playing(voice):
            sheet = next(sheet for sheet in one.sheets if seat in sheet.seats)
            part = sheet.part.written
            low, high = part.lowest, part.highest
            remarks = [f"usually {seat.desk.line}"] if seat.moved else []
            remarks += [octave_words(seat.octave).strip(" ()")] if seat.octave else []
            remarks += [fold_words(one.scoring, seat, one.piece.tune)] if seat.folded else []
            name = seat.desk.name(english)
            span = f"{low.sign} to {high.sign}" if low and high else ""
            count = f" × {seat.desk.player.count}" if seat.desk.player.count > 1 else ""
            cells = (voice, part.key.sign, span, "; ".join(remarks))
            yield (sheet.ident, seat.desk.player.id, capital(name) + count, *cells)
    if one.drummers:
        players = sum(player.count for player in one.drummers)
        ids = " ".join(player.id for player in one.drummers)
        yield (
            "drums",
            ids,
            f"Drums × {players}" if players > 1 else "Drums",
            "drums",
            "",
            "",
            spelled("made from metre and tune", english),
        )


def remarks(book: Book, one: PieceView) -> list[str]:
    """Who covers, who would cover, and the descant, in sentences."""
    english = book.band.english
    found = [*covered(one.scoring, english), *(_away(away, english) for away in one.away)]
    descants = [seat.desk.name(english) for sheet in one.sheets if sheet.voice == "descant" for seat in sheet.seats]
    if descants:
        found.append(f"There is an optional descant; in reach of the {series(descants)}.")
    breaths = spelled(suggested(*one.piece.lines.values()), english)
    return [*found, breaths] if breaths else found


def _away(away: Away, english: str) -> str:
    who = away.seat.desk.name(english)
    if not away.instead:
        return f"If the {who} is away, nobody can take the {away.seat.voice}."
    instead = series([_stands_in(seat, away.seat, english) + octave_words(seat.octave) for seat in away.instead])
    empty = f"; nobody plays the {series(away.empty)} then" if away.empty else ""
    return f"If the {who} is away, {instead} can take the {away.seat.voice}{empty}."


def _stands_in(seat: Seat, away: Seat, english: str) -> str:
    """Who: those who are left of the same instrument sit at other desks than before, so they have no number."""
    same = seat.desk.player.id == away.desk.player.id
    return f"another {seat.desk.player.instrument.names.of(english)}" if same else f"the {seat.desk.name(english)}"


def print_values(book: Book, one: PieceView, pictures: PiecePictures, pack: PrintPack) -> dict[str, Any]:
    """The set for ``piece.typ``, but for what :func:`of_copy` says."""
    piece, english = one.piece, book.band.english
    credits = [
        f"{piece.composer}. {piece.origin}".rstrip(". ") + ".",
        f"{in_words(piece.source, english)}.",
        f"Concert {played_key(one).sign}; {piece.time.name}, {tempo_words(piece.tempo, english)}; "
        f"{piece.bars} bars, {clock(piece.seconds)}.",
    ]
    return {
        "title": piece.title,
        "credits": credits,
        "made": f"Careful: {MADE[piece.made]}." if piece.made else "",
        "head": WHO_HEAD,
        "who": [list(cells) for _, _, *cells in who_rows(book, one)],
        "remarks": remarks(book, one),
        "findings": [
            {"where": finding.where, "severity": SEVERITIES[finding.severity], "words": finding.words}
            for finding in told_once(one.made)
        ],
        "clean": CLEAN,
        "smaller": [
            _sheet(SHORT, Engraved("compact", (picture,)), pack, least=LARGE)
            for picture in (pictures.compact, pictures.dense)
            if picture is not None
        ],
        "sheets": list(_sheets(one, pictures, english, pack)),
    }


def _sheets(one: PieceView, pictures: PiecePictures, english: str, pack: PrintPack) -> Iterator[dict[str, Any]]:
    yield _sheet(SHORT, Engraved("short", (pictures.short.wide,)), pack)
    yield _sheet("Full score at concert pitch", pictures.concert, pack)
    yield _sheet("Full score as written for each player", pictures.written, pack)
    for sheet in one.sheets:
        copies = sum(seat.desk.player.count for seat in sheet.seats)
        about = ("Small notes are a cue: what others play before your entry.",) if sheet.cue else ()
        about = (*about, spelled(suggested(sheet.part.written), english))
        name = f"{sheet.names(english)}: {sheet.voice}"
        yield _sheet(name, pictures.parts[sheet.ident], pack, copies, " ".join(filter(None, about)), part=True)
    if pictures.drums:
        yield _sheet("Drums", pictures.drums, pack, sum(player.count for player in one.drummers), part=True)


def _sheet(
    name: str,
    found: Engraved,
    pack: PrintPack,
    copies: int = 1,
    about: str = "",
    *,
    least: int = LEAST,
    part: bool = False,
) -> dict[str, Any]:
    """Values of a sheet; a ``part`` has lines to write on where there is room for them."""
    pages = [
        {
            "key": pack.add(page.standalone(least).replace("currentColor", "#000")),
            "words": f"{page.title}. {page.words}",
        }
        for page in found.pages
    ]
    return {"name": name, "pages": pages, "copies": copies, "about": about, "part": part}
