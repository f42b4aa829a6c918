"""The concert: pieces to choose from, with running time, who plays what, and the date by which all is known."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.instrument import LEVELS, Instrument
from beginnerband.music.score import Line
from beginnerband.music.scored import played
from beginnerband.music.scoring import Seat
from beginnerband.music.tune import Tune
from beginnerband.music.words import series
from beginnerband.pages.pieces.programme import begins_words, programme
from beginnerband.pages.pieces.view import PieceView, clock, played_key, ready_words
from beginnerband.pages.shared.dates import REGIONS
from beginnerband.pages.shared.table import link, table
from beginnerband.products import Products
from beginnerband.render.html import relative, render
from beginnerband.teaching.programme import GAP
from beginnerband.teaching.wording import spelled

URI = "pieces/concert.md"
"""The page."""

TUNE = "tune-"
"""Before the id of a tune that everybody plays as one, in the programme."""


def concert_page(book: Book, out: Products, views: Sequence[PieceView]) -> str:
    """The page as Markdown: a plain table, and above it the place where the script puts a programme together."""
    kept = programme(book)
    values = [_values(book, one) for one in views]
    others = [{**value, **_for_others(one)} for value, one in zip(values, views, strict=True)]
    out.asset("data/pieces.json", json.dumps(others, ensure_ascii=False, indent=1))
    rows = [
        (
            link(value["title"], value["page"]),
            value["composer"],
            clock(value["seconds"]),
            value["ready"],
            "; ".join(f"{voice}: {who}" for voice, who in value["who"]),
        )
        for value in values
    ]
    head = ["Piece", "By", "Time", "Everyone can play it", "Who plays what"]
    found = table("Pieces to choose from", head, rows, kind="bb-who")
    plain = Markup('<div class="bb-concert-table">{}</div>').format(found)
    built = render(
        "pieces/concert.html",
        values=json.dumps(
            [*(_tune(book, book.tunes[ident]) for ident in kept.tunes), *values],
            ensure_ascii=False,
            separators=(",", ":"),
        ),
        band=book.band.name,
        first=",".join([TUNE + ident for ident in kept.tunes] + [*kept.pieces, *kept.further]),
        gap=GAP,
        programme=spelled("programme", book.band.english),
        dates=f"en-{REGIONS[book.band.english]}",
        script=relative(URI, "assets/concert.js"),
    )
    return (
        "# The concert\n\nChoose pieces, put them in order, and see how long the concert takes. "
        "What you choose is kept in this browser and in the address of the page, so that you can send it.\n\n"
        f"{begins_words(book, kept)}"
        f"{out.html(str(built))}\n\n{out.html(str(plain))}\n"
    )


def _tune(book: Book, tune: Tune) -> dict[str, Any]:
    """A tune that everybody plays as one: like :func:`_values`, without the lesson, which the course itself sees to."""
    twice = any(piece.title == tune.title for piece in book.pieces.values())
    return {
        "id": TUNE + tune.id,
        "title": tune.title + (" (the tune)" if twice else ""),
        "composer": tune.composer,
        "seconds": round(tune.seconds),
        "page": relative(URI, f"tunes/{tune.id}.md"),
        "who": [["tune", "everybody"]],
    }


def _values(book: Book, one: PieceView) -> dict[str, Any]:
    piece, english = one.piece, book.band.english
    dates = book.course.dates if book.course else ()
    day = dates[one.week].isoformat() if one.week is not None and one.week < len(dates) else ""
    return {
        "id": piece.id,
        "title": piece.title,
        "composer": piece.composer,
        "key": played_key(one).sign,
        "seconds": round(piece.seconds),
        "week": None if one.week is None else one.week + 1,
        "date": day,
        "ready": ready_words(book, one),
        "page": relative(URI, f"pieces/{piece.id}.md"),
        "who": [
            [voice, series([seat.desk.name(english) for seat in one.scoring.playing(voice)])]
            for voice in piece.lines
            if one.scoring.playing(voice)
        ],
    }


def _for_others(one: PieceView) -> dict[str, Any]:
    """What ``data/pieces.json`` has beyond what the page needs: desks, lines nobody plays, and findings as codes."""
    return {
        "desks": [_desk(one, seat) for seat in one.scoring.seats],
        "uncovered": list(one.scoring.uncovered),
        "findings": [
            {
                "code": finding.kind,
                "severity": finding.severity,
                "bar": finding.bar,
                "last_bar": finding.last_bar,
                "lines": list(finding.voices),
                "inherited": finding.inherited,
            }
            for finding in one.findings
        ],
    }


def _desk(one: PieceView, seat: Seat) -> dict[str, Any]:
    player, line = seat.desk.player, played(one.piece.lines[seat.voice], one.scoring, seat)
    return {
        "desk": seat.desk.id,
        "instrument": player.instrument.id,
        "reading": player.reading.id,
        "players": seat.desk.player.count,
        "line": seat.voice,
        "octave": seat.octave,
        "phrases": [
            {"bar": line.measures[place].number, "octave": octave}
            for (place, _), octave in zip(one.scoring.phrases, seat.octaves, strict=True)
        ]
        if seat.folded
        else [],
        "level": _level(player.instrument, line),
    }


def _level(instrument: Instrument, line: Line) -> str:
    """The narrowest range that has all of a part; empty where even the full range lacks some of it."""
    return next((level for level in LEVELS if all(p in instrument.sounding_range(level) for p in line.pitches)), "")
