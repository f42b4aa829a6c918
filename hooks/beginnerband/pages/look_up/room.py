"""The look-up: what is written, how to play it, what sounds, and what every other player reads for it.

The page itself is a small script over tables computed here (``look_up_data.py``); this module gives the same answers
as plain values, for the tables that stand without script, one page an instrument.
"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music import advice, fingering, unison
from beginnerband.music.fingering import Fingering
from beginnerband.music.instrument import Instrument, Mallets, Slide
from beginnerband.music.pitch import Pitch, chromatic, usual
from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.look_up import script_tables as look_up_data
from beginnerband.pages.shared.readers import Reader, band_readers, readers
from beginnerband.products import Products
from beginnerband.render import fingers, staff
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
class Heard:
    """What one player of the band reads for a sound."""

    reader: Reader
    """Who."""
    match: unison.Match | None
    """What they read; ``None`` when they have no such note."""


@dataclass(frozen=True, slots=True)
class Answer:
    """Everything about one written note of one reader."""

    written: Pitch
    """As written."""
    sounding: Pitch
    """As heard."""
    hz: float
    """Its frequency at the band's pitch."""
    way: Fingering | None
    """How to play it; ``None`` for a bar that is struck."""
    do: str
    """What to do with the hand, in words."""
    tuning: str
    """How it stands in tune, and what to do about it."""
    others: tuple[Fingering, ...]
    """Alternates, best first."""
    level: str
    """The narrowest range level that has it."""
    band: tuple[Heard, ...]
    """What every other player reads."""


def contribute(book: Book, out: Products) -> None:
    """The script's tables, and a page of plain tables for each instrument."""
    out.asset(DATA, look_up_data.script(book))
    everyone = readers(book)
    for one in dict.fromkeys(reader.instrument for reader in everyone):
        mine = [reader for reader in everyone if reader.instrument == one]
        html = render(
            "look_up/look_up_tables.html",
            sections=[(reader, answers(book, reader)) for reader in mine],
            others=[reader for reader in band_readers(book) if reader.instrument != one],
            uri=plain_uri(one),
            play=play_word(one),
        )
        title = f"{mine[0].name}: every note"
        _plain_page(out, plain_uri(one), title, html)
    _plain_page(out, BAND, "What each player reads", _band_table(book))


def _plain_page(out: Products, uri: str, title: str, html: Markup) -> None:
    body = f"# {markdown_text(title)}\n\n{out.html(html)}\n"
    out.page(uri, title, body, search=False, hide=["navigation", "toc"])


def answers(book: Book, reader: Reader) -> tuple[Answer, ...]:
    """An answer for every written note of the reader's full range, lowest first."""
    limits = reader.instrument.written_range("full", reader.reading)
    return tuple(answer(book, reader, written) for written in chromatic(limits.low, limits.high))


def answer(book: Book, reader: Reader, written: Pitch) -> Answer:
    """The answer for one written note; ``ValueError`` outside the reader's full range."""
    one, sounding = reader.instrument, reader.reading.sounding(written)
    level = unison.level_of(sounding, one)
    ways = fingering.learner_fingerings(one, sounding)
    way = ways[0] if ways else None
    return Answer(
        written,
        sounding,
        sounding.hz(book.band.pitch_a4),
        way,
        fingers.words(one, way, book.band.words) if way else "Strike the bar",
        tuning(one, sounding, way, book.band.words),
        ways[1:],
        level,
        tuple(
            Heard(other, unison.match(sounding, other.instrument, other.reading))
            for other in band_readers(book)
            if other.instrument != one
        ),
    )


def tuning(instrument: Instrument, sounding: Pitch, way: Fingering | None, use: str) -> str:
    """How a note stands in tune and what to do about it, a sentence or two; empty for a bar that is struck."""
    if way is None:
        return ""
    state = advice.in_words(way.cents)
    cents = f" ({round(way.cents):+d} cents)".replace("-", "−") if state != "in tune" else ""
    todo = " ".join(item.text for item in advice.advise(instrument, sounding, way, use))
    return f"{state[0].upper()}{state[1:]}{cents}. {todo}".strip()


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
    ordered = dict.fromkeys(reader.instrument for reader in readers(context.book))
    pages = [(one.names.of(context.book.band.words), plain_uri(one)) for one in ordered]
    return render("look_up/look_up_links.html", pages=[("the whole band", BAND), *pages], uri=context.uri)


def _band_table(book: Book) -> Markup:
    """What each player reads for each concert note, within the first-year range."""
    band = band_readers(book)
    sounds = [usual(midi) for midi in CONCERT_ORDER]
    rows = [(sound.letter_sign, [_in_first_year(sound, reader) for reader in band]) for sound in sounds]
    return render("look_up/look_up_band.html", band=band, rows=rows)


def _in_first_year(sound: Pitch, reader: Reader) -> list[tuple[str, str]]:
    """The reader's first-year written notes with the letter of ``sound``, lowest first, each with its fingering."""
    limits = reader.instrument.sounding_range("first-year")
    found = []
    for octave in range(limits.low.octave - 1, limits.high.octave + 2):
        heard = Pitch(sound.step, sound.alter, octave)
        if heard in limits:
            match = unison.match(heard, reader.instrument, reader.reading)
            assert match
            found.append((match.written.sign, match.fingering.code if match.fingering else ""))
    return found


BLOCKS = {"look-up": look_up, "look-up-plain": look_up_plain}
