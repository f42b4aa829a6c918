"""Blocks about fingerings shared, ranges, moving players and the slide."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import combinations

from markdown.extensions.toc import slugify
from markupsafe import Markup, escape

from beginnerband.data.book import Book
from beginnerband.data.problems import did_you_mean
from beginnerband.music import distance, ranges
from beginnerband.music.equivalence import (
    Comparison,
    ValveAsPosition,
    compare,
    valves_as_positions,
)
from beginnerband.music.instrument import LEVELS, Instrument, Slide, Valves
from beginnerband.music.pitch import usual
from beginnerband.music.player import Player
from beginnerband.music.slide import ORDINALS
from beginnerband.pages.blocks import Args, Block, BlockError, Context
from beginnerband.pages.instruments import moving
from beginnerband.pages.instruments.room import MOVING, ordered, reach_table, title, uri
from beginnerband.pages.shared import charts
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import Cell, Rows, link, quiet, stacked, table
from beginnerband.pages.tables import moves
from beginnerband.pages.tables.data_files import valved
from beginnerband.pages.tables.transposing import NO_NOTES
from beginnerband.render.html import relative, render
from beginnerband.render.range_chart import Bar, range_chart
from beginnerband.render.shapes import shared

STARTS = (10, 3, 5, 8, 0)
"""Pitch classes tunes for beginners start on: concert B♭, E♭, F, A♭, C."""

PROGRESS = "course/progress.md"
"""Where the notes that a moved player lacks are looked up."""


def fingering_chart(context: Context, args: Args) -> str:
    """``[[fingering-chart instrument=cornet reading=treble-bb level=first-year]]``: the chart of one instrument."""
    args.only("instrument", "reading", "level", words=1)
    instrument = context.book.instruments[args.one_of("instrument", context.book.instruments)]
    if not instrument.pitched:
        raise BlockError(f"{instrument.id} has no notes")
    player = _player(context.book, instrument, args)
    level = args.named.get("level", "full")
    if level not in LEVELS:
        raise BlockError(f"no level {level!r}{did_you_mean(level, LEVELS)}")
    caption = f"{moving.name(context.book, instrument)}, {READING_WORDS[player.reading.id]}"
    return str(Markup("").join(shared(charts.chart(player, caption, context.book.band.english, level))))


def same_fingerings(context: Context, args: Args) -> str:
    """``[[same-fingerings]]``: which valved players share every fingering, and which only some."""
    args.only()
    families = _families(valved(context.book))
    names = [_player_name(context.book, _known_best(context.book, family)) for family in families]
    kinds: Rows = [
        (name, stacked(*(_player_name(context.book, player) for player in family)))
        for name, family in zip(names, families, strict=True)
    ]
    rows: Rows = []
    for (name, family), (other_name, other) in combinations(zip(names, families, strict=True), 2):
        found = compare(family[0], other[0])
        if found.same:
            rows.append((f"{name} and {other_name}", f"{found.same} of {len(found.notes)}", _which(found)))
    first = table("Players with every fingering the same", ("Fingered like", "Players"), kinds)
    head = ("Fingered like", "Same", "Written notes with another fingering")
    note = "What is not paired here shares no fingering, or no written note."
    return str(first + table("Between those, on the written notes that both have", head, rows, note=note))


def _known_best(book: Book, family: Sequence[Player]) -> Player:
    """Whose name stands for all that are fingered alike: the band's first of them, or the first there is."""
    keys = {player.key: player for player in family}
    return next((keys[player.key] for player in book.band.pitched if player.key in keys), family[0])


def _which(found: Comparison) -> str:
    return ", ".join(each.written.sign for each in found.differs) or "none"


def differences(context: Context, args: Args) -> str:
    """``[[differences from=cornet to=f-horn]]``: note by note where two instruments are fingered differently."""
    args.only("from", "to")
    first, second = (moving.home_player(context.book, _instrument(context, args, key)) for key in ("from", "to"))
    found = compare(first, second)
    names = [_player_name(context.book, player) for player in (first, second)]
    rows = [
        (each.written.sign, *(charts.code_words(way) if way else "–" for way in (each.first, each.second)))
        for each in found.differs
    ]
    caption = f"{names[0]} and {names[1]}: the same on {found.same} of {len(found.notes)} written notes"
    if not rows:
        return str(Markup("<p>{}.</p>").format(caption))
    return table(caption, ("Written", *names), rows)


def band_ranges(context: Context, args: Args) -> str:
    """``[[band-ranges instruments="cornet bb-bass"]]``: ranges by level; the band's if none named."""
    chosen = _chosen(context, args.only("instruments"))
    rows: Rows = []
    bars = []
    for instrument in chosen:
        player = moving.home_player(context.book, instrument)
        cells: list[Cell] = []
        spans = []
        for level in LEVELS:
            written, heard = instrument.written_range(level, player.reading), instrument.sounding_range(level)
            cells.append(
                stacked(f"{written.low.sign}–{written.high.sign}", f"sounds {heard.low.sign}–{heard.high.sign}")
            )
            spans.append((heard.low.midi, heard.high.midi))
        name = moving.name(context.book, instrument)
        rows.append((link(title(context.book, instrument), relative(context.uri, uri(instrument))), *cells))
        bars.append(Bar(name, tuple(spans)))
    if not bars:
        return NO_NOTES
    head = ("Instrument", *(charts.LEVEL_WORDS[level] for level in LEVELS))
    picture = range_chart(bars, [charts.LEVEL_WORDS[level].lower() for level in LEVELS])
    return str(picture + table("Written and sounding ranges", head, rows))


def common_notes(context: Context, args: Args) -> str:
    """``[[common-notes level=starter instruments="…"]]``: the concert notes everyone can play, and in which octaves."""
    args.only("level", "instruments")
    level = args.one_of("level", LEVELS, "starter")
    chosen = _chosen(context, args)
    if not chosen:
        return NO_NOTES
    shared_by_all = ranges.shared_names(chosen, level)
    rows: Rows = []
    for step in range(12):
        name = (10 + step) % 12
        cells = [", ".join(pitch.sign for pitch in ranges.octaves(each, level, name)) or "–" for each in chosen]
        rows.append((usual(60 + name).letter_sign, "yes" if name in shared_by_all else "no", *cells))
    at_one_pitch = ranges.unison(chosen, level)
    same = (
        f"At one and the same pitch everyone has {at_one_pitch[0].sign} to {at_one_pitch[-1].sign}."
        if at_one_pitch
        else "There is no note that everyone has at one and the same pitch: each plays in their own octave."
    )
    head = ("Concert", "Everyone", *(moving.name(context.book, each) for each in chosen))
    caption = f"Who can play which concert note, {charts.LEVEL_WORDS[level].lower()}"
    return table(caption, head, rows, note=same)


def first_out(context: Context, args: Args) -> str:
    """``[[first-out level=starter instruments="…"]]``: who runs out of notes first, above and below."""
    args.only("level", "instruments")
    level = args.one_of("level", LEVELS, "starter")
    chosen = _chosen(context, args)
    if not chosen:
        return NO_NOTES
    rows: Rows = []
    for start in STARTS:
        found = ranges.first_out_from(chosen, level, start)
        cannot = [room.instrument for room in ranges.room_from(chosen, level, start) if room.up is None]
        rows.append(
            (
                usual(60 + start).letter_sign,
                *(_out(context.book, rooms, up) for rooms, up in zip(found, (True, False), strict=True)),
                _together(context.book, cannot) or "–",
            )
        )
    limits = ranges.first_out(chosen, level)
    above, below = (
        f"{_together(context.book, [each.instrument for each in side])} ({side[0].last.sign})" for side in limits
    )
    note = f"At one and the same pitch, the first to fall out above: {above}; below: {below}."
    head = ("Tune starts on concert", "First out above", "First out below", "Cannot start there")
    caption = f"Each in their own octave, {charts.LEVEL_WORDS[level].lower()}: who falls out first"
    return table(caption, head, rows, note=note)


def _out(book: Book, rooms: Sequence[ranges.Headroom], upward: bool) -> Cell:
    if not rooms:
        return "–"
    steps = (rooms[0].up if upward else rooms[0].down) or 0
    when = distance.size_in_words(steps)
    who = _together(book, [room.instrument for room in rooms])
    return stacked(who, quiet(f"after {when}" if steps else "at once"))


def _together(book: Book, instruments: Sequence[Instrument]) -> str:
    return ", ".join(moving.name(book, each) for each in instruments)


def moving_from(context: Context, args: Args) -> str:
    """``[[moving-from instrument=cornet]]``: what changes for a moved player: one move chosen, or all from one.

    Without an instrument, all from the one that most in this band play.
    """
    args.only("instrument", words=1)
    book = context.book
    instrument = book.instruments[args.one_of("instrument", book.instruments, _most_played(book))]
    if not instrument.brass:
        raise BlockError(f"{instrument.id} has no fingerings to take along")
    players = moves.who_moves(book, instrument)
    return render(
        "tables/moving.html",
        cards=moves.cards(book, instrument, [each for each in players if each != instrument]),
        players=[(each.id, moving.name(book, each), relative(context.uri, uri(each))) for each in players],
        start=instrument.id,
        start_name=moving.name(book, instrument),
        data=moves.data(book, players),
        progress=relative(context.uri, PROGRESS) if PROGRESS in context.products.pages else "",
        root=relative(context.uri, "index.md").removesuffix("index.html"),
        link=lambda other: relative(context.uri, uri(other)),
        moving_to=slugify(MOVING, "-"),
    )


def _most_played(book: Book) -> str:
    """The brass instrument that most in the band play, the higher of two; the highest of all where nobody plays one."""
    count = {each.id: 0 for each in ordered(book) if each.brass}
    for player in book.band.players:
        if player.instrument.brass:
            count[player.instrument.id] += player.count
    return max(count, key=lambda ident: count[ident])


def valves_to_positions(context: Context, args: Args) -> str:
    """``[[valves-to-positions]]``: for a valve player who takes up the trombone, which position each valve is."""
    args.only()
    valves, slides = _mechanisms(context.book)
    rows: Rows = []
    for row in valves_as_positions(valves, slides):
        cents = f"{row.valve_cents:+.0f}".replace("-", "−") if abs(row.valve_cents) >= 1 else "0"
        rows.append((_pressed(row), *_positions(row, slides.trigger is not None), row.lowering, cents))
    trigger = ("With the trigger",) if slides.trigger is not None else ()
    head = ("Valves", "Slide position", *trigger, "Semitones lower", "Valves sharp by (cents)")
    return table("Valve combination to slide position", head, rows)


def _pressed(row: ValveAsPosition) -> str:
    return "-".join(map(str, row.valves)) or "open"


def _positions(row: ValveAsPosition, trigger: bool) -> tuple[Cell, ...]:
    plain = ORDINALS[row.position] if row.position else "–"
    if not trigger:
        return (plain,)
    return (plain, f"trigger {ORDINALS[row.trigger_position]}" if row.trigger_position else "–")


def slide_reach(context: Context, args: Args) -> str:
    """``[[slide-reach instrument=trombone cm=42]]``: what a reach cannot get to; if none is given, the usual reaches,
    and all that have a slide."""
    args.only("instrument", "cm")
    given = args.named.get("cm")
    if given is not None and not re.fullmatch(r"\d{1,3}(\.\d+)?", given):
        raise BlockError(f"cm: {given!r} is not a number of centimetres")
    reach = float(given) if given else None
    if "instrument" not in args.named:
        return _reaches(context.book, reach)
    instrument = context.book.instruments[args.one_of("instrument", context.book.instruments)]
    if not isinstance(instrument.mechanism, Slide):
        raise BlockError(f"{instrument.id} has no slide")
    return reach_table(context.book, instrument, instrument.mechanism, reach)


def _reaches(book: Book, reach: float | None) -> str:
    """A table for each instrument with a slide, those with a trigger last."""
    sliding = [(one, one.mechanism) for one in ordered(book) if isinstance(one.mechanism, Slide)]
    plain, helped = (
        [pair for pair in sliding if (pair[1].trigger is not None) == trigger] for trigger in (False, True)
    )
    said = Markup("<p>With a trigger for the thumb the far positions are needed less:</p>") if plain and helped else ""
    tables = [Markup("").join(reach_table(book, *pair, reach) for pair in pairs) for pairs in (plain, helped)]
    return str(Markup(said).join(tables))


def block_list(context: Context, args: Args) -> str:
    """``[[block-list]]``: every block of the handbook, as its own description has it."""
    args.only()
    rows: Rows = []
    for name, function in sorted(context.known.items()):
        first = " ".join((function.__doc__ or "").strip().split("\n\n")[0].split())
        shape, _, rest = first.rpartition("``:") if "``:" in first else ("", "", first)
        forms = re.findall(r"\[\[.*?\]\]", shape) or [f"[[{name}]]"]
        rows.append((stacked(*(_code(form) for form in forms)), rest.strip()))
    return table("Blocks", ("Write", "and get"), rows)


BLOCKS: dict[str, Block] = {
    "fingering-chart": fingering_chart,
    "same-fingerings": same_fingerings,
    "differences": differences,
    "band-ranges": band_ranges,
    "common-notes": common_notes,
    "first-out": first_out,
    "moving-from": moving_from,
    "valves-to-positions": valves_to_positions,
    "slide-reach": slide_reach,
    "block-list": block_list,
}


def _code(text: str) -> Markup:
    return Markup("<code>{}</code>").format(escape(text))


def _player_name(book: Book, player: Player) -> str:
    read = f", {READING_WORDS[player.reading.id]}" if len(player.instrument.readings) > 1 else ""
    return moving.name(book, player.instrument) + read


def _families(players: Sequence[Player]) -> list[list[Player]]:
    """Players grouped so that in a group every fingering is the same, most players first."""
    found: list[list[Player]] = []
    for player in players:
        home = next((family for family in found if all(compare(each, player).identical for each in family)), None)
        if home is None:
            found.append([player])
        else:
            home.append(player)
    return sorted(found, key=lambda family: -len(family))


def _player(book: Book, instrument: Instrument, args: Args) -> Player:
    wanted = args.named.get("reading")
    if wanted is None:
        return moving.home_player(book, instrument)
    known = [reading.id for reading in instrument.readings]
    if wanted not in known:
        raise BlockError(f"{instrument.id} is not read in {wanted!r}{did_you_mean(wanted, known)}")
    return Player(instrument, instrument.reading(wanted))


def _instrument(context: Context, args: Args, key: str) -> Instrument:
    value = args.named.get(key, "")
    if value not in context.book.instruments:
        raise BlockError(
            f"no instrument {value!r}{did_you_mean(value, context.book.instruments)}"
            if value
            else f"{key!r} is missing"
        )
    return context.book.instruments[value]


def _chosen(context: Context, args: Args) -> list[Instrument]:
    """The instruments named, or all of the band's that play notes."""
    names = args.named.get("instruments", "").split()
    if not names:
        return [player.instrument for player in context.book.band.pitched]
    for each in names:
        if each not in context.book.instruments:
            raise BlockError(f"no instrument {each!r}{did_you_mean(each, context.book.instruments)}")
        if not context.book.instruments[each].pitched:
            raise BlockError(f"{each} has no notes")
    return [context.book.instruments[each] for each in names]


def _mechanisms(book: Book) -> tuple[Valves, Slide]:
    """The valves with most combinations and the slide with most positions that the handbook knows."""
    found = [each.mechanism for each in book.instruments.values()]
    valves = [each for each in found if isinstance(each, Valves)]
    slides = [each for each in found if isinstance(each, Slide)]
    if not valves or not slides:
        raise BlockError("there is no instrument with valves, or none with a slide, in content/instruments")
    return max(valves, key=lambda each: len(each.semitones)), max(slides, key=lambda each: each.trigger or 0)
