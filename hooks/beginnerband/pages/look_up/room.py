"""The look-up: what is written, how to play it, what sounds, and what every other player reads for it.

The page itself is a small script over tables computed in ``script_tables.py``; this module gives the same answers
as plain values, for the tables that stand without script, one page an instrument.
"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.advice import in_words
from beginnerband.music.answer import Answer, answers
from beginnerband.music.instrument import Instrument, Mallets, Slide
from beginnerband.music.pitch import Pitch, usual
from beginnerband.music.player import Player
from beginnerband.music.unison import Match, match
from beginnerband.music.words import capital
from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.look_up import script_tables
from beginnerband.pages.shared.charts import code_words
from beginnerband.pages.shared.readers import band_readers, readers
from beginnerband.products import Products
from beginnerband.render import staff
from beginnerband.render.html import markdown_text, render

PAGE = "look-up.md"
"""The look-up's own page."""

DATA = "assets/look-up-data.js"
"""The script's tables."""

BAND = "look-up/band.md"
"""The plain table of the whole band."""

CONCERT_ORDER = range(58, 70)
"""MIDI numbers of the twelve concert notes from B♭, the band's home note, upwards; only their letters are used."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One note of a plain table."""

    note: Answer
    """What is read, what sounds and how it is played."""
    hz: float
    """Its frequency at the band's pitch."""
    tuning: str
    """How it stands in tune, and what to do about it."""
    others: tuple[Match | None, ...]
    """What every other player of the band reads for the same sound; ``None`` for who has no such note."""


def contribute(book: Book, out: Products) -> None:
    """The script's tables, and a page of plain tables for each instrument."""
    out.asset(DATA, script_tables.script(book))
    everyone = readers(book)
    for one in dict.fromkeys(reader.player.instrument for reader in everyone):
        mine = [reader for reader in everyone if reader.player.instrument == one]
        html = render(
            "look_up/look_up_tables.html",
            sections=[(reader, table_rows(book, reader.player)) for reader in mine],
            others=[reader for reader in band_readers(book) if reader.player.instrument != one],
            uri=plain_uri(one),
            play=play_word(one),
            code_words=code_words,
        )
        title = f"{mine[0].name}: every note"
        _plain_page(out, plain_uri(one), title, html)
    _plain_page(out, BAND, "What each player reads", _band_table(book))


def _plain_page(out: Products, uri: str, title: str, html: Markup) -> None:
    body = f"# {markdown_text(title)}\n\n{out.html(html)}\n"
    out.page(uri, title, body, search=False, hide=["navigation", "toc"])


def table_rows(book: Book, player: Player) -> tuple[TableRow, ...]:
    """A row for every written note of the player's full range, lowest first."""
    others = [reader.player for reader in band_readers(book) if reader.player.instrument != player.instrument]
    return tuple(
        TableRow(
            note,
            note.hz(book.band.pitch_a4),
            tuning(note, book.band.english),
            tuple(match(note.sounding, other) for other in others),
        )
        for note in answers(player)
    )


def tuning(note: Answer, english: str) -> str:
    """How a note stands in tune and what to do about it, a sentence or two; empty for a bar that is struck."""
    if note.way is None:
        return ""
    state = in_words(note.way.cents)
    cents = f" ({round(note.way.cents):+d} cents)".replace("-", "−") if state != "in tune" else ""
    todo = " ".join(item.text for item in note.advice(english))
    return f"{capital(state)}{cents}. {todo}".strip()


def play_word(instrument: Instrument) -> str:
    """Heading for what the hand does: valves, position, or bar."""
    if isinstance(instrument.mechanism, Slide):
        return "Position"
    return "Bar" if isinstance(instrument.mechanism, Mallets) else "Valves"


def plain_uri(instrument: Instrument) -> str:
    """The page of plain tables of one instrument."""
    return f"look-up/{instrument.id}.md"


def app(book: Book, player: str = "") -> Markup:
    """The look-up's empty frame, which the script fills; also for a page that carries script and tables in itself.

    ``player`` is the address of the script that plays notes, fetched when one is first wanted; without it there is no
    button to hear the note.
    """
    return render("look_up/look_up.html", sprite=staff.sprite(), a4=f"{book.band.pitch_a4:g}", player=player)


def look_up(context: Context, args: Args) -> str:
    """``[[look-up]]``: the look-up, and below it the same in plain tables."""
    args.only()
    return app(context.book, player="assets/player.js") + render("look_up/look_up_scripts.html", data=DATA)


def look_up_plain(context: Context, args: Args) -> str:
    """``[[look-up-plain]]``: links to the plain tables, the band's own instruments first."""
    args.only()
    ordered = dict.fromkeys(reader.player.instrument for reader in readers(context.book))
    pages = [(one.names.of(context.book.band.english), plain_uri(one)) for one in ordered]
    return render("look_up/look_up_links.html", pages=[("the whole band", BAND), *pages], uri=context.uri)


def _band_table(book: Book) -> Markup:
    """What each player reads for each concert note, within the first-year range."""
    band = band_readers(book)
    sounds = [usual(midi) for midi in CONCERT_ORDER]
    rows = [(sound.letter_sign, [_in_first_year(sound, reader.player) for reader in band]) for sound in sounds]
    return render("look_up/look_up_band.html", band=band, rows=rows)


def _in_first_year(sound: Pitch, player: Player) -> list[tuple[str, str]]:
    """The player's first-year written notes with the letter of ``sound``, lowest first, each with its fingering."""
    limits = player.instrument.sounding_range("first-year")
    found = []
    for octave in range(limits.low.octave - 1, limits.high.octave + 2):
        heard = Pitch(sound.step, sound.alter, octave)
        if heard in limits:
            read = match(heard, player)
            assert read
            found.append((read.answer.written.sign, code_words(read.answer.way) if read.answer.way else ""))
    return found


BLOCKS = {"look-up": look_up, "look-up-plain": look_up_plain}
