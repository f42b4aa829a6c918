"""A page for each instrument, and the list of all of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markdown.extensions.toc import slugify
from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music import distance, slide, staff_place
from beginnerband.music.instrument import LEVELS, Drums, Held, Instrument, Load, Mallets, Slide
from beginnerband.music.pitch import Pitch, chromatic, transpose
from beginnerband.music.player import Player, players_of
from beginnerband.music.slide import ORDINALS
from beginnerband.music.words import capital
from beginnerband.pages.instruments.moving import home_player, moves_table, name, support
from beginnerband.pages.shared import charts
from beginnerband.pages.shared.holding_words import CUP_WORDS, shank_words, upper_words
from beginnerband.pages.shared.readers import READING_WORDS, either
from beginnerband.pages.shared.table import BRIEF, STACKED, Cell, Row, Rows, link, stacked, table, titled
from beginnerband.pages.shared.units import fine_length, length, weight
from beginnerband.products import Products
from beginnerband.render import fingers, staff
from beginnerband.render.html import markdown_text, render
from beginnerband.render.shapes import shared

GROUP_WORDS = {
    "bb": "B♭ instruments",
    "eb": "E♭ instruments",
    "f": "F instruments",
    "concert": "concert-pitch readers",
    "percussion": "percussion",
}
"""Learning groups in words."""

NEAREST_CM = 30.0
"""Positions further out than this get a row in the table of short reaches."""

FIRST_NOTES = ("P1", "M2", "M3", "P4", "P5")
"""The five first notes, from the lowest of the starter range."""

GLANCE = "At a glance"
"""Heading above the table of facts."""

MOVING = "Moving to and from it"
"""Heading above the table of moves."""

Section = tuple[str, str, Sequence[Markup]]
"""Heading, Markdown with ``{0}`` ``{1}`` for computed pieces, and the pieces."""


def contribute(book: Book, out: Products) -> None:
    """The list, then a page an instrument, in order of sound from high to low."""
    out.page("instruments/index.md", "Instruments", _index(book, out), nav=("Instruments",))
    for instrument in ordered(book):
        out.page(uri(instrument), title(book, instrument), _page(book, out, instrument), nav=("Instruments",))


def title(book: Book, instrument: Instrument) -> str:
    """Its name as a heading."""
    return capital(name(book, instrument))


def uri(instrument: Instrument) -> str:
    """The instrument's page."""
    return f"instruments/{instrument.id}.md"


def ordered(book: Book) -> list[Instrument]:
    """Brass from high to low, then percussion with notes, then drums."""

    def rank(instrument: Instrument) -> tuple[bool, bool, int]:
        high = instrument.sounding_range("starter").low.midi if instrument.pitched else 0
        return not instrument.brass, not instrument.pitched, -high

    return sorted(book.instruments.values(), key=rank)


def _page(book: Book, out: Products, instrument: Instrument) -> str:
    sections = [section for section in _sections(book, instrument) if section[1]]
    pieces = [piece for _, _, found in sections for piece in found]
    outlines, *pieces = shared(*pieces)
    placed = iter(out.html(str(piece)) for piece in pieces)
    jumps: list[tuple[str, str]] = []
    if instrument.pitched:
        reading = home_player(book, instrument).reading.id
        below = sections[1][0]
        jumps = [
            ("Look up a note", f"../look-up.html#{instrument.id}/{reading}"),
            (f"{below} and more", f"#{slugify(below, '-')}"),
        ]
    text = [
        f"# {markdown_text(title(book, instrument))}\n",
        out.html(str(outlines)) if outlines else "",
        out.html(str(render("shared/jumps.html", jumps=jumps))) if jumps else "",
        "",
    ]
    for heading, body, found in sections:
        filled = body
        for number in range(len(found)):
            filled = filled.replace(f"{{{number}}}", "\n\n" + next(placed) + "\n\n")
        section = f"## {heading}\n\n{filled}\n"
        text.append(section if heading == sections[0][0] else _folded(heading, filled))
    return "\n".join(text)


def _folded(heading: str, body: str) -> str:
    """A section under its heading, to be opened; its heading is in the page's list of them all the same."""
    opening = '<details class="bb-section" markdown="1">\n<summary markdown="block">'
    return f"{opening}\n\n## {heading}\n\n</summary>\n\n{body}\n\n</details>\n"


def _sections(book: Book, instrument: Instrument) -> list[Section]:
    """What is asked for most comes first, and stands open: the chart."""
    player = home_player(book, instrument)
    facts: Section = (GLANCE, "{0}", [_facts(book, instrument)])
    if isinstance(instrument.mechanism, Drums):
        return [facts, _drums(), _size(book, instrument)]
    found = [_chart(book, instrument, player), _first_notes(book, player), _reading(instrument), _ranges(instrument)]
    found.append(facts)
    if isinstance(instrument.mechanism, Slide):
        found += [_positions(book, instrument, instrument.mechanism), _reach(book, instrument, instrument.mechanism)]
    if instrument.brass:
        found.append(_moving(book, instrument))
    return [*found, _size(book, instrument)]


def _facts(book: Book, instrument: Instrument) -> Markup:
    english = book.band.english
    other = instrument.names.british if english == "american" else instrument.names.american
    rows: Rows = []
    if other != name(book, instrument):
        rows.append((f"In {'British' if english == 'american' else 'American'} use", other))
    if instrument.brass:
        rows.append(("Key", f"{Pitch.parse(instrument.key + '4').letter_sign}"))
    rows.append(("Reads", stacked(*(READING_WORDS[reading.id] for reading in instrument.readings))))
    if instrument.covers:
        rows.append(("Parts it covers, best first", ", ".join(instrument.covers)))
    rows.append(("Learns with", GROUP_WORDS[instrument.group]))
    if instrument.held and instrument.rim:
        rim = instrument.rim
        shank = f"{shank_words(rim.shank, english)} shank"
        rows.append(("Mouthpiece", f"about {rim.inside_mm:g} mm wide inside, {CUP_WORDS[rim.cup]}, {shank}"))
        rows.append(("Rim", upper_words(rim)))
        rows.append(("Hands", _hands(book, instrument.held)))
    rows.append(("Weight, length", stacked(*(_load(load, english) for load in instrument.loads))))
    rows.append(("In this band", _in_band(book, instrument)))
    return table("Facts", (), rows)


def _hands(book: Book, held: Held) -> Cell:
    """Which hand plays and which carries, with the page of the guide that shows it."""
    inside = f", {held.in_bell} in the bell" if held.in_bell else ""
    steadies = "steadies" if held.rests and not held.in_bell else "carries"
    said = f"{held.plays} plays, {held.carries} {steadies}{inside}"
    page = book.guide.page(held.page)
    return stacked(said, link("How to hold it", f"../guide/{page.name}.html")) if page else said


def _load(load: Load, english: str) -> str:
    name = f"{load.names.of(english)}: " if load.names else ""
    packed = f"{weight(load.packed_kg, english)} in its case"
    return f"{name}about {weight(load.weight_kg, english)}, {packed}; {length(load.length_cm, english)}"


def mouthpiece_words(book: Book, mouthpiece: str) -> str:
    """A mouthpiece class in words."""
    horn = "alto" if book.band.english == "american" else "tenor"
    bass = "tuba" if book.band.english == "american" else "bass"
    return {
        "small": "small cup, as on cornet and trumpet",
        "medium": f"medium cup, as on the {horn} horn",
        "funnel": "deep, narrow funnel, as on the F horn",
        "large": "large cup, as on baritone, trombone and euphonium",
        "extra-large": f"very large cup, as on the {bass}",
        "none": "none: it is struck",
    }[mouthpiece]


def _in_band(book: Book, instrument: Instrument) -> str:
    for player in book.band.players:
        if player.instrument == instrument:
            count = f"{player.count} player{'s' if player.count != 1 else ''}"
            return f"{count}, reading {READING_WORDS[player.reading.id]}" if instrument.pitched else count
    return "nobody plays it at present"


def _reading(instrument: Instrument) -> Section:
    rows = []
    for reading in instrument.readings:
        written = instrument.written_range("starter", reading).low
        heard = reading.sounding(written)
        clef = staff_place.concert_clef(heard, heard)
        rows.append(
            (
                READING_WORDS[reading.id],
                stacked(staff.staff([written], reading.clef), written.sign),
                stacked(staff.staff([heard], clef), heard.sign),
                distance.in_words(reading.semitones) if reading.semitones else "as written",
            )
        )
    head = ("Reading", "Written", "Sounds (concert pitch)", "That is")
    return "How it reads and sounds", "{0}", [table("From the page to the sound", head, rows)]


def _first_notes(book: Book, player: Player) -> Section:
    low = player.instrument.written_range("starter", player.reading).low
    span = player.instrument.written_range("starter", player.reading)
    notes = [note for note in (transpose(low, step) for step in FIRST_NOTES) if note in span]
    cards = []
    for note in notes:
        way = player.standard(note)
        cards.append(
            {
                "staff": staff.staff([note], player.reading.clef),
                "written": note.letter_sign,
                "fingers": fingers.picture(player.instrument, way, book.band.english) if way else "",
                "play": fingers.words(player.instrument, way, book.band.english) if way else "",
                "sounds": player.reading.sounding(note).letter_sign,
            }
        )
    intro = f"The first five notes, reading {READING_WORDS[player.reading.id]}.\n\n{{0}}"
    return "First notes", intro, [render("instruments/first_notes.html", cards=cards)]


def _ranges(instrument: Instrument) -> Section:
    rows = []
    for level in LEVELS:
        heard = instrument.sounding_range(level)
        cells: list[Cell] = [charts.LEVEL_WORDS[level]]
        for reading in instrument.readings:
            written = instrument.written_range(level, reading)
            cells.append(_span(written.low, written.high, reading.clef))
        cells.append(_span(heard.low, heard.high, staff_place.concert_clef(heard.low, heard.high)))
        rows.append(tuple(cells))
    head = ("Level", *(f"Written, {READING_WORDS[reading.id]}" for reading in instrument.readings), "Sounds")
    return "Ranges", "{0}", [table("Lowest and highest note by level", head, rows)]


def _span(low: Pitch, high: Pitch, clef: str) -> Markup:
    return stacked(staff.staff([low, high], clef), f"{low.sign} to {high.sign}")


def _chart(book: Book, instrument: Instrument, player: Player) -> Section:
    struck = isinstance(instrument.mechanism, Mallets)
    kind = "Notes" if struck else "Position chart" if isinstance(instrument.mechanism, Slide) else "Fingering chart"
    others = [other for other in players_of(instrument) if other.reading != player.reading]
    pieces = [charts.chart(player, f"{kind}, {READING_WORDS[player.reading.id]}", book.band.english)]
    for other in others:
        inner = charts.chart(other, f"{kind}, {READING_WORDS[other.reading.id]}", book.band.english)
        pieces.append(render("shared/fold.html", summary=f"The same for {READING_WORDS[other.reading.id]}", body=inner))
    body = "".join(f"{{{number}}}" for number in range(len(pieces)))
    if not struck:
        body += (
            "\n\nThe rule behind it and every other way to play each note are computed from the length of the tube. "
            "*Cents* are hundredths of a semitone, before the player corrects anything; "
            "[everyone else's notes](../look-up.md) are in the look-up."
        )
    return kind, body, pieces


def _positions(book: Book, instrument: Instrument, mechanism: Slide) -> Section:
    english = book.band.english
    rows = [
        (
            _position_name(place),
            fine_length(place.cm, english),
            fine_length(place.step_cm, english) if place.step_cm else "",
        )
        for place in slide.places(mechanism)
    ]
    text = "Measured from the slide right in, at the hand; computed from the length of the tube.\n\n{0}"
    head = ("Position", "Out from first", "From the one before")
    return "Where the positions are", text, [table("Positions as distances", head, rows)]


def _position_name(place: slide.SlidePlace) -> str:
    return f"{'trigger ' if place.trigger else ''}{ORDINALS[place.position]}"


def _reach(book: Book, instrument: Instrument, mechanism: Slide) -> Section:
    text = (
        "Measure how far out a young player can hold the slide with the instrument on the lips and the shoulders "
        "still, and find the row. Never stretch or twist to get further: leave the note out, play the other position, "
        "or take the octave; some slides have a handle to reach further "
        "([moving the slide](../guide/moving-the-slide.md)).\n\n{0}"
    )
    return "For a short reach", text, [reach_table(book, instrument, mechanism)]


def reach_table(book: Book, instrument: Instrument, mechanism: Slide, reach: float | None = None) -> Markup:
    """What a short reach cannot get to, and what to do instead; without ``reach``, a row for each far position."""
    english = book.band.english
    if reach is not None:
        reaches = [(fine_length(reach, english), reach)]
    else:
        far = sorted({round(place.cm, 1) for place in slide.places(mechanism) if place.cm > NEAREST_CM}, reverse=True)
        reaches = [(f"under {fine_length(cm, english)}", cm - 0.1) for cm in far]
    rows = [_reach_row(instrument, mechanism, said, cm) for said, cm in reaches]
    head = ("Reach", "Out of reach", "Other position", "Only an octave away", "Leave out")
    caption = f"What a short reach loses on the {name(book, instrument)} (notes as they sound)"
    return table(caption, head, rows, kind=STACKED)


def _reach_row(instrument: Instrument, mechanism: Slide, said: str, reach: float) -> tuple[Cell, ...]:
    span = instrument.sounding_range("full")
    found = slide.detours(instrument, chromatic(span.low, span.high), reach)
    return (
        said,
        ", ".join(_position_name(place) for place in slide.beyond(mechanism, reach)) or "none",
        _list(f"{detour.sounding.sign} in {_way(detour)}" for detour in found if detour.instead),
        _list(f"{detour.sounding.sign} as {detour.octave.sign}" for detour in found if detour.octave),
        _list(detour.sounding.sign for detour in found if not detour.instead and not detour.octave),
    )


def _way(detour: slide.Detour) -> str:
    return charts.code_words(detour.instead[0])


def _list(items: Iterable[str]) -> str:
    return ", ".join(items) or "–"


def _moving(book: Book, instrument: Instrument) -> Section:
    others = [other for other in ordered(book) if other.brass and other != instrument]
    text = (
        "Each row is a move to the other instrument, in the reading that keeps most of what the player knows; coming "
        "from it, the same holds the other way round. "
        "[Moving a player](../tables/moving.md) shows one move at a time.\n\n{0}"
    )
    return MOVING, text, [moves_table(book, instrument, others)]


def _size(book: Book, instrument: Instrument) -> Section:
    english = book.band.english
    sizes = ". ".join(capital(_load(load, english)) for load in instrument.loads)
    text = (
        f"{sizes}. {support(instrument)}\n\n"
        "Weights are rough; weigh your own, in its case. Rules for lifting where you play, and those of whoever lends "
        "the instrument, come first: see [lifting](../guide/lifting.md)."
    )
    return "Size and lifting", text, []


def _drums() -> Section:
    text = (
        "Drums and cymbals read rhythm on one line and have no notes to transpose. They are the loudest seats in the "
        "room: see [hearing](../guide/hearing.md) and [drums and mallets](../guide/drums-and-mallets.md)."
    )
    return "What its player reads", text, []


def _index(book: Book, out: Products) -> str:
    players = {player.instrument.id for player in book.band.players}
    rows, heading = [], ""
    for instrument in sorted(ordered(book), key=lambda one: one.id not in players):
        group = "In the band" if instrument.id in players else "Not in the band"
        cells = (
            titled(title(book, instrument), f"{instrument.id}.html"),
            either([reading.id for reading in instrument.readings]),
            ", ".join(instrument.covers),
        )
        rows.append(Row(cells, group=group if group != heading else ""))
        heading = group
    caption = "Every instrument the handbook knows, how it is read, and which lines it covers"
    listed = table(caption, ("Instrument", "Reads", "Covers"), rows, kind=f"{BRIEF} bb-tools")
    return f"# Instruments\n\n{out.html(listed)}\n"
