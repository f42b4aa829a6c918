"""How each instrument is held, where its rim sits and what fits into it, told from the instrument files."""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.player import Player
from beginnerband.music.words import capital
from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.shared.holding_words import CUP_WORDS, holding_lines, shank_words, upper_words
from beginnerband.pages.shared.table import STACKED, Cell, Rows, link, table, table_if_any
from beginnerband.pages.shared.units import length
from beginnerband.render.html import relative


def held(context: Context, args: Args) -> str:
    """``[[held]]``: three lines on holding for the instruments whose files name the page it stands on."""
    args.only()
    page = context.uri.removeprefix("guide/").removesuffix(".md")
    found = [each for each in context.book.instruments.values() if each.held and each.held.page == page]
    if not found:
        return "<p>This handbook has no instrument of this kind at present.</p>"
    parts = [Markup("<ol>{}</ol>").format(_items(holding_lines(found[0])))]
    for other in found[1:]:
        if holding_lines(other) != holding_lines(found[0]):
            name = capital(other.names.of(context.book.band.english))
            parts.append(Markup("<p>{}:</p><ol>{}</ol>").format(name, _items(holding_lines(other))))
    return str(Markup("").join(parts))


def _items(lines: Iterable[str]) -> Markup:
    return Markup("").join(Markup("<li>{}</li>").format(line) for line in lines)


def hands(context: Context, args: Args) -> str:
    """``[[hands]]``: what carries and what plays, for the brass of this band, with the page that shows it."""
    args.only()
    rows: Rows = []
    for chair in brass(context.book):
        way = chair.instrument.held
        if way:
            name = capital(_name(context.book, chair))
            known = context.book.guide.page(way.page)
            shown: Cell = link(name, relative(context.uri, known.uri)) if known else name
            rests = {"lap": "the lap", "seat": "the seat or a stand"}.get(way.rests, "")
            carries = f"{way.carries} hand" if way.in_bell or not rests else f"{rests}; {way.carries} hand steadies"
            plays = f"{way.plays} hand" + (f"; {way.in_bell} hand in the bell" if way.in_bell else "")
            rows.append((shown, capital(carries), capital(plays)))
    head = ("How to hold it", "What carries", "What plays")
    return str(table_if_any("Hands, from the instrument files (common practice)", head, rows))


def cupboard(context: Context, args: Args) -> str:
    """``[[cupboard]]``: how to tell the upright instruments apart by height, bell, mouthpiece end and open note."""
    args.only()
    english, rows = context.book.band.english, Rows()
    upright = [each for each in context.book.instruments.values() if each.held and each.held.bell == "up"]
    for each in sorted(upright, key=lambda one: one.length_cm):
        if each.family or each.rim is None or each.fundamental is None:
            continue
        note = each.sounding_range("starter").low
        size = (length(each.length_cm, english), length(each.bell_cm, english))
        rows.append((capital(each.names.of(english)), *size, shank_words(each.rim.shank, english), note.sign))
    caption = "Upright instruments, small to large. Rough sizes, common practice; makers differ."
    head = ("Instrument", "Height", "Bell", "Mouthpiece end", "Low open note you hear")
    return str(table(caption, head, rows, kind=STACKED))


def rims(context: Context, args: Args) -> str:
    """``[[rims]]``: where the rim sits, for the brass of this band."""
    args.only()
    sat: dict[str, list[str]] = {}
    for chair in brass(context.book):
        if chair.instrument.rim:
            sat.setdefault(upper_words(chair.instrument.rim), []).append(_name(context.book, chair))
    rows = [(", ".join(names), capital(where)) for where, names in sat.items()]
    return str(table_if_any("Where the rim sits, from the instrument files", ("Instrument", "Rim"), rows))


def mouthpieces(context: Context, args: Args) -> str:
    """``[[mouthpieces]]``: width, depth and shank of this band's mouthpieces."""
    args.only()
    rows: Rows = []
    for chair in brass(context.book):
        rim = chair.instrument.rim
        if rim:
            row = (
                f"{rim.inside_mm:g} mm",
                capital(CUP_WORDS[rim.cup]),
                shank_words(rim.shank, context.book.band.english),
            )
            rows.append((_name(context.book, chair), *row))
    caption = "Mouthpieces of this band. Rough figures, common practice; makers differ."
    return str(table_if_any(caption, ("Instrument", "Inside the rim", "Behind it", "Shank"), rows))


def brass(book: Book) -> tuple[Player, ...]:
    """The band's chairs that are blown."""
    return tuple(chair for chair in book.band.players if chair.instrument.brass)


def _name(book: Book, chair: Player) -> str:
    return chair.instrument.names.of(book.band.english)


BLOCKS = {"held": held, "hands": hands, "cupboard": cupboard, "rims": rims, "mouthpieces": mouthpieces}
