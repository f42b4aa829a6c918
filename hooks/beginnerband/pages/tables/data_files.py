"""Data for others: ``data/notes.csv``, ``data/keys.csv`` and ``data/equivalence.csv`` (RFC 4180, UTF-8, ``\\n``).

Pitches are scientific pitch names with ``b`` and ``#``. A black key has two rows, one for each spelling a player meets.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music import transposition
from beginnerband.music.answer import Answer, answer
from beginnerband.music.equivalence import compare
from beginnerband.music.instrument import Valves
from beginnerband.music.pitch import spellings
from beginnerband.music.player import Player, players_of
from beginnerband.music.reading import Reading
from beginnerband.pages.blocks import Args, Block, Context
from beginnerband.pages.shared.csv_text import Row, csv_text
from beginnerband.products import Products
from beginnerband.render.html import relative

NOTES = (
    "instrument", "reading", "level", "written", "sounding", "midi", "hz",
    "harmonic", "fingering", "alternates", "cents",
)  # fmt: skip
KEYS = ("concert_key", "reading", "written_key", "sharps")
EQUIVALENCE = ("from", "to", "notes", "same", "differs")


def contribute(book: Book, products: Products) -> None:
    """Add the three files."""
    products.asset("data/notes.csv", csv_text(NOTES, notes(book)))
    products.asset("data/keys.csv", csv_text(KEYS, keys(book)))
    products.asset("data/equivalence.csv", csv_text(EQUIVALENCE, equivalence(book)))


def data_file(context: Context, args: Args) -> str:
    """``[[data-file name=notes.csv]]``: in a sentence, a link to one of the computed files for others."""
    name = args.only("name", words=1).one_of(
        "name", ("notes.csv", "keys.csv", "equivalence.csv", "tunes.csv", "pieces.json")
    )
    href = relative(context.uri, f"data/{name}")
    return str(Markup('<a href="{}" download><code>{}</code></a>').format(href, name))


BLOCKS: dict[str, Block] = {"data-file": data_file}


def notes(book: Book) -> Iterator[Row]:
    """One row for each instrument, reading and written note of its full range, lowest first, sharp before flat."""
    for instrument in book.instruments.values():
        for player in players_of(instrument) if instrument.pitched else ():
            for usual in player.written():
                for written in spellings(usual.midi):
                    yield _note(answer(player, written), book.band.pitch_a4)


def _note(note: Answer, a4: float) -> Row:
    heard = (note.written.name, note.sounding.name, note.sounding.midi, f"{note.hz(a4):.3f}")
    played: Row = ("", "", "", "")
    if note.way:
        codes = dict.fromkeys(way.code for way in note.ways)
        alternates = ";".join(code for code in codes if code != note.way.code)
        played = (note.way.harmonic, note.way.code, alternates, f"{note.way.cents:.1f}")
    return (note.player.id, note.player.reading.id, note.level, *heard, *played)


def families(book: Book) -> dict[str, Reading]:
    """One reading of each family in use, by id; families differ in key, not in octave."""
    found: dict[str, Reading] = {}
    for instrument in book.instruments.values():
        for reading in instrument.readings:
            if instrument.pitched:
                found.setdefault(reading.id, reading)
    return found


def keys(book: Book) -> Iterator[Row]:
    """One row for each major key and reading: what is in the signature when the band plays in that concert key."""
    for concert in transposition.CONCERT_KEYS:
        for reading_id, reading in families(book).items():
            written = transposition.written_key(concert, reading)
            yield concert, reading_id, written.tonic, written.sharps


def equivalence(book: Book) -> Iterator[Row]:
    """One row for each ordered pair of valved players: shared written notes, how many alike, which not."""
    for first, second in permutations(valved(book), 2):
        comparison = compare(first, second)
        differs = ";".join(each.written.name for each in comparison.differs)
        yield first.short_key, second.short_key, len(comparison.notes), comparison.same, differs


def valved(book: Book) -> tuple[Player, ...]:
    """Every valved instrument with each of its readings."""
    return tuple(
        player
        for instrument in book.instruments.values()
        if isinstance(instrument.mechanism, Valves)
        for player in players_of(instrument)
    )
