"""The tunes: a list, a page for each with every player's part, files to take away, and the metronome page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.difficulty import WIDTHS, line_difficulty, width
from beginnerband.music.pitch import Pitch
from beginnerband.music.tune import Tune
from beginnerband.music.words import (
    capital,
    series,
    value_words,
)
from beginnerband.pages.blocks import Args, Block, BlockError, Context
from beginnerband.pages.shared.csv_text import csv_text
from beginnerband.pages.shared.links import TODAY
from beginnerband.pages.shared.needs import (
    learners,
    lesson_number,
)
from beginnerband.pages.shared.table import BRIEF, Cell, Row, table, titled
from beginnerband.pages.tunes.files import as_midi, as_musicxml, files
from beginnerband.pages.tunes.page import TRADITIONAL, tune_page, uri
from beginnerband.pages.tunes.taught import drum_needs, known_when, taught_again
from beginnerband.pages.tunes.view import (
    Offer,
    offers,
    slowly,
)
from beginnerband.products import Products
from beginnerband.render import sound
from beginnerband.render.html import relative, render
from beginnerband.teaching.facts import facts_of
from beginnerband.teaching.readiness import Taught, When, by_ear, needs, ready

COLUMNS = (
    "tune", "concert_key", "reading", "instrument", "lowest", "highest", "new_notes", "playable_from_lesson",
    "readable_from_lesson", "missing", "asks",
)  # fmt: skip
"""Columns of ``data/tunes.csv``."""

SECTION = "Tunes"
TOOLS = "tunes/metronome-and-tuning.md"
"""The page with the metronome and the tuning tone."""

NEVER = 1_000
"""Stands behind every week of a course."""
WIDTH_WORDS = tuple(word for word, _ in WIDTHS)

TUNING = (("B♭", "Bb4"), ("B♭, an octave lower", "Bb3"), ("E♭", "Eb4"), ("A", "A4"), ("F", "F4"))
"""Concert notes bands tune to (common practice, no source)."""


def contribute(book: Book, out: Products) -> None:
    """The list, a page a tune with its files, the tools, and ``data/tunes.csv``."""
    whens = {ident: known_when(book, ident) for ident in book.tunes}
    out.page("tunes/index.md", SECTION, _index(book, out, whens), nav=(SECTION,))
    out.page(TOOLS, "Metronome and tuning tone", _tools(book, out), nav=(SECTION,))
    rows: list[tuple[object, ...]] = []
    for tune in by_width(book):
        made, listed = book.reuse.of(_one, book, tune.id)
        out.add(made)
        rows += listed
    out.asset("data/tunes.csv", csv_text(COLUMNS, rows))


def _one(book: Book, ident: str) -> tuple[Products, list[tuple[object, ...]]]:
    """A tune's page and files, and its rows of ``data/tunes.csv``."""
    tune, known, out = book.tunes[ident], learners(book), Products()
    when = known_when(book, ident)
    made = offers(book, tune, when, taught_again(book, tune, known))
    page = tune_page(book, out, tune, made, known, when)
    out.page(uri(tune.id), tune.title, page, nav=(SECTION, capital(width(tune.line))))
    for offer in made:
        for file in files(book, tune, offer):
            out.asset(f"{file.stem}.musicxml", as_musicxml(tune, file, book.band.english))
            out.asset(f"{file.stem}.mid", as_midi(tune, file))
    return out, [row for offer in made for row in _csv(book, tune, offer, known)]


def by_width(book: Book) -> list[Tune]:
    """Tunes from the fewest notes to the most, then by title."""
    return sorted(book.tunes.values(), key=lambda tune: (_place(tune), tune.title))


def _place(tune: Tune) -> int:
    """How wide it is, from 0."""
    words = width(tune.line)
    return WIDTH_WORDS.index(words) if words in WIDTH_WORDS else len(WIDTH_WORDS)


# -- the data file


def _csv(book: Book, tune: Tune, offer: Offer, known: Mapping[str, Taught]) -> Iterable[tuple[object, ...]]:
    for sheet in offer.sheets:
        facts = facts_of(sheet.part.written)
        for player in sheet.players:
            taught = known.get(player.id)
            all_of_it = needs(facts, taught) if taught else ()
            never = [need for need in all_of_it if need.place is None]
            low, high = sheet.part.written.lowest, sheet.part.written.highest
            yield (
                tune.id,
                offer.key.name,
                player.reading.id,
                player.instrument.id,
                low.name if low else "",
                high.name if high else "",
                " ".join(need.what for need in never if need.kind == "note"),
                lesson_number(book, ready(by_ear(all_of_it))) if taught else "",
                lesson_number(book, ready(all_of_it)) if taught else "",
                "; ".join(f"{need.kind} {need.what}".strip() for need in never),
                "; ".join(
                    f"{need.kind} {need.what}".strip() + f": {lesson_number(book, need.place) or 'none'}"
                    for need in all_of_it
                ),
            )


# -- the list


def _index(book: Book, out: Products, whens: Mapping[str, When | None]) -> str:
    rows, heading = [], ""
    soon = {
        tune.id: _soon(whens[tune.id]) if book.band.pitched else _soon_on_drums(book, tune) for tune in by_width(book)
    }
    for tune in sorted(by_width(book), key=lambda tune: (_place(tune), *soon[tune.id])):
        kind = capital(width(tune.line))
        name, _, other = tune.title.removesuffix(")").partition(" (")
        rows.append(
            Row(
                (
                    titled(name, relative("tunes/index.md", uri(tune.id))),
                    ", ".join(part for part in (f"“{other}”" if other else "", _about(tune)) if part),
                    _together_cell(book, whens[tune.id]) if book.band.pitched else drums_cell(book, tune),
                    series(value_words(line_difficulty(tune.line).values, book.band.english)),
                    slowly(book, tune, whens[tune.id]),
                ),
                group=kind if kind != heading else "",
            )
        )
        heading = kind
    head = ("Tune", "What it is", "Everyone can play it from", "Note and rest values", "Hear it")
    listed = table("Tunes, from fewest notes to most", head, rows, kind=f"{BRIEF} bb-tunes")
    shown = out.html(str(listed + sound.script("tunes/index.md")))
    ways = [("Metronome", TOOLS), ("Your own tune", "tunes/your-own-tune.md")]
    if book.course:
        ways.insert(0, ("Playable today", TODAY))
    links = render(
        "shared/jumps.html", label="More", jumps=[(text, relative("tunes/index.md", to)) for text, to in ways]
    )
    return INTRODUCTION.format(count=len(book.tunes), links=out.html(str(links)), listed=shown)


def _soon(when: When | None) -> tuple[bool, int, int]:
    """What can be played soonest comes first."""
    if when is None or when.ear is None:
        return True, 0, 0
    return False, when.ear, NEVER if when.paper is None else when.paper


def _soon_on_drums(book: Book, tune: Tune) -> tuple[bool, int, int]:
    """The same for a band with nobody who plays notes."""
    known = learners(book)
    place = ready(drum_needs(book, tune, known)) if known else None
    return place is None, place or 0, 0


INTRODUCTION = """# Tunes

{count} tunes, each with a part for every instrument of the band.

{links}

{listed}

The page of a tune shows, plays and prints every part, has it as files for a notation program, and says which concert
key suits the band.
"""


def _about(tune: Tune) -> str:
    kind = "" if tune.kind in WIDTH_WORDS else tune.kind
    by = "" if tune.composer in TRADITIONAL or tune.own else tune.composer
    otherwise = "from this handbook" if tune.own else "traditional" if tune.composer else ""
    return ", ".join(part for part in (kind, by, tune.origin) if part) or otherwise


def _together_cell(book: Book, when: When | None) -> Cell:
    if when is None:
        return "after the course" if book.course else ""
    ear, paper = lesson_number(book, when.ear), lesson_number(book, when.paper)
    if not ear:
        return "after the course"
    key = Markup('<span class="bb-roomy">, in {}</span>').format(when.key.sign)
    if ear == paper:
        return Markup("lesson {}{}").format(ear, key)
    return Markup("lesson {} by ear{}{}").format(ear, f", {paper} from paper" if paper else "", key)


def drums_cell(book: Book, tune: Tune) -> Cell:
    """Of a band with nobody who plays notes: the lesson that brings the last thing the drum part asks."""
    known = learners(book)
    if not known:
        return ""
    lesson = lesson_number(book, ready(drum_needs(book, tune, known)))
    return f"lesson {lesson}, on drums" if lesson else "after the course"


# -- the tools


def _tools(book: Book, out: Products) -> str:
    a4 = book.band.pitch_a4
    tones = [
        {"hz": f"{pitch.hz(a4):.1f}", "button": sound.drone_button(pitch.midi, f"Concert {name}", a4)}
        for name, pitch in ((name, Pitch.parse(text)) for name, text in TUNING)
    ]
    html = render(
        "tunes/sound_tools.html",
        script=sound.script(TOOLS),
        metronome=sound.metronome(80, 4),
        tones=tones,
        a4=f"{a4:g}",
    )
    return "# Metronome and tuning tone\n\n" + out.html(str(html)) + "\n"


# -- blocks


def _play_note(context: Context, args: Args) -> str:
    """``[[play-note pitch=Bb3]]``: a button that sounds a concert note; needs no more than this block."""
    text = args.only("pitch", words=1).named.get("pitch") or (args.words[0] if args.words else "")
    try:
        pitch = Pitch.parse(text)
    except ValueError as error:
        raise BlockError(str(error)) from None
    button = sound.note_button(pitch.midi, f"Play {pitch.sign}", context.book.band.pitch_a4)
    return str(button + sound.script(context.uri))


def _metronome(context: Context, args: Args) -> str:
    """``[[metronome bpm=80 beats=4]]``: a metronome."""
    args.only("bpm", "beats")
    try:
        bpm, beats = int(args.named.get("bpm", "80")), int(args.named.get("beats", "4"))
    except ValueError:
        raise BlockError("bpm and beats are whole numbers") from None
    return str(sound.metronome(bpm, beats) + sound.script(context.uri))


BLOCKS: dict[str, Block] = {"play-note": _play_note, "metronome": _metronome}
