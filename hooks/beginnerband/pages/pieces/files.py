"""The files of a piece to take away: MusicXML, MIDI and engraved pages of the score and of every part."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from beginnerband.data.book import Book
from beginnerband.music.line_breaks import ENLARGED, FINGERED, LETTER, NOTE, WIDE, line_breaks
from beginnerband.music.score import Line
from beginnerband.music.scored import played
from beginnerband.music.scoring import Seat
from beginnerband.music.words import capital, describe
from beginnerband.pages.pieces.view import PieceSheet, PieceView
from beginnerband.products import Products
from beginnerband.render.engrave import ENDLESS, LARGE_LYRICS, LYRICS, PHONE, Engraving, Fitted, engrave, fitted, pages
from beginnerband.render.midi import Track, midi
from beginnerband.render.write_musicxml import Staff, musicxml

PART = {"a4": (WIDE, 2560), "letter": (WIDE, 2350)}
"""Size of a page of a part, with a staff of 7.2 mm; its shape is what the paper has room for below a heading."""

LARGER = 1520
"""Width of a page of a part with a staff of 9 mm, the largest that is usual (rastral 0 is 9.2 mm; from memory)."""

SHORT_PIECE = 5
"""Most lines of a part that is set so: these fill half a page."""

SCORE = {"a4": (2520, 3500), "letter": (2520, 3200)}
"""The same for a page of the full score: a staff of 5.4 mm, and names of 8 points and a little, for a long name stands
out to the left and makes the page wider."""

SYSTEM, DRUM = 136, 95
"""Height that a staff takes on a full page, and one of a single line, by which it is guessed how many systems a page
holds."""

COMPACT = 2600
"""Width of a line of the short score with a staff of 5.3 mm."""

LONG = 0.6
"""Height of the short score, as a share of its width, above which it may not fit below the table of many players."""

PHONE_SCORE = 1500
"""Width of the full score on a phone: two bars a line, names in full."""

NAMES = 520
"""Room that the names of the staves take of a line of the full score, in the same units."""

LONGEST_NAME = 24
"""Letters of a player's name in front of a staff of the score, in one line."""

KIND = re.compile(r"(?<=,) | (?=with )")
"""Where what an instrument has more than others of its kind begins in its name."""


@dataclass(frozen=True, slots=True)
class Engraved:
    """Engraved pages of one thing."""

    ident: str
    """As in file names: ``cornet``, ``score-concert``."""
    pages: tuple[Engraving, ...]
    """Its pages."""
    phone: Engraving | None = None
    """The same for a phone, in one picture as long as it must be; ``None``: pages are opened there one by one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecePictures:
    """Every picture of a piece."""

    short: Fitted
    """The short score on two staves, in one picture that turns with dark mode."""
    compact: Engraving
    """The same with a staff of 5.3 mm, for paper where it then fits below the table of players."""
    dense: Engraving | None
    """The same with up to eight bars a line, as in the full score, of a piece that may be too long to fit there."""
    concert: Engraved
    """Full score at concert pitch; a phone has the short score at the same pitch."""
    written: Engraved
    """Full score as the players read it."""
    parts: dict[str, Engraved]
    """Each part, by the id of its sheet."""
    drums: Engraved | None
    """The drums' part."""


def folder(view: PieceView) -> str:
    """Where the piece's files are, from the site's root."""
    return f"music/{view.piece.id}"


def add_files(view: PieceView, out: Products, english: str) -> None:
    """MusicXML and MIDI: the score, and each instrument; a second desk of an instrument has ``-2`` in its name."""
    base, piece = folder(view), view.piece
    staves, tracks = _score_staves(view, english), _tracks(view, english)
    out.asset(f"{base}/score.musicxml", musicxml(staves, piece.title, piece.composer, group="bracket"))
    out.asset(f"{base}/score.mid", midi(tracks, piece.title))
    for sheet, seat, line in _desks(view):
        staff = replace(_staff(sheet, english), name=_name(sheet, seat.desk.name(english)))
        ident = seat.desk.id + ("-descant" if seat.voice == "descant" else "")
        staff = replace(
            staff,
            transposition=seat.desk.player.reading.interval,
            midi_program=seat.desk.player.instrument.midi_program,
        )
        out.asset(f"{base}/{ident}.musicxml", musicxml([staff], piece.title, piece.composer))
        out.asset(f"{base}/{ident}.mid", midi([Track(line, staff.name, staff.midi_program)], piece.title))
    if view.drums:
        out.asset(f"{base}/drums.musicxml", musicxml(_drum_staves(view), piece.title, piece.composer))
        out.asset(f"{base}/drums.mid", midi([Track(line, line.name) for line in view.drums], piece.title))


def _desks(view: PieceView) -> Iterator[tuple[PieceSheet, Seat, Line]]:
    """Every desk with its sheet and what it sounds."""
    for sheet in view.sheets:
        for seat in sheet.seats:
            yield sheet, seat, played(view.line(seat.voice), view.scoring, seat)


def _tracks(view: PieceView, english: str) -> list[Track]:
    found = [
        Track(line, seat.desk.name(english), seat.desk.player.instrument.midi_program)
        for _, seat, line in _desks(view)
        if seat.voice != "descant"
    ]
    return found + [Track(line, line.name) for line in view.drums]


def _staff(sheet: PieceSheet, english: str) -> Staff:
    seat = sheet.seats[0]
    return Staff(
        line=sheet.part.written,
        name=_name(sheet, sheet.names(english)),
        clef=seat.desk.player.reading.clef,
        transposition=seat.desk.player.reading.interval,
        under=sheet.under,
        midi_program=seat.desk.player.instrument.midi_program,
    )


def _name(sheet: PieceSheet, name: str) -> str:
    return f"{name} (descant)" if sheet.voice == "descant" else name


def _drum_staves(view: PieceView) -> list[Staff]:
    return [Staff(line, line.name, clef="percussion") for line in view.drums]


def _score_staves(view: PieceView, english: str) -> list[Staff]:
    """One staff a desk at written pitch, then the drums."""
    found = [
        Staff(
            sheet.part.written,
            capital(seat.desk.name(english)),
            clef=seat.desk.player.reading.clef,
            transposition=seat.desk.player.reading.interval,
            midi_program=seat.desk.player.instrument.midi_program,
        )
        for sheet, seat, _ in _desks(view)
        if seat.voice != "descant"
    ]
    return found + _drum_staves(view)


# Pictures


def engraved(book: Book, view: PieceView) -> PiecePictures:
    """Every picture of the piece; each distinct one is engraved once, across builds too."""
    cache, english = book.root / ".cache", book.band.english
    compact = compact_score(view, cache, english)
    return PiecePictures(
        short=fitted(_short(view, cache, english, WIDE), WIDE, lambda: _short(view, cache, english, PHONE)),
        compact=compact,
        dense=_short(view, cache, english, COMPACT, 8) if compact.height > LONG * compact.width else None,
        concert=Engraved("score-concert", _full(book, view, _concert_staves(view, english), "concert")),
        written=_written(book, view),
        parts={sheet.ident: _part(book, view, sheet) for sheet in view.sheets},
        drums=_drums(book, view),
    )


def compact_score(view: PieceView, cache: Path, english: str) -> Engraving:
    """The short score with a staff of 5.3 mm on paper, for a leader's card and for the first page of a print set."""
    return _short(view, cache, english, COMPACT)


def _short(view: PieceView, cache: Path, english: str, width: int, most: int = 4) -> Engraving:
    lines = {voice: view.at_key(voice) for voice in view.piece.lines}
    upper = Staff(lines["soprano"], second=_quiet(lines["alto"]))
    lower = Staff(_quiet(lines["tenor"]), clef="bass", second=_quiet(lines["bass"]))
    title = f"{view.piece.title}: short score at concert pitch"
    words = "Soprano and alto on the upper staff, tenor and bass on the lower. " + " ".join(
        f"{voice.capitalize()}: {describe(line, english)}" for voice, line in lines.items()
    )
    letter, lyrics = (ENLARGED, LARGE_LYRICS) if width == COMPACT else (LETTER, LYRICS)
    size, breaks = (width, ENDLESS), breaks_of(view, width, most, letter=letter)
    return pages([upper, lower], title, words, cache, size, group="brace", breaks=breaks, lyrics=lyrics)[0]


def breaks_of(view: PieceView, width: float, most: int = 4, onset: int = NOTE, letter: int = LETTER) -> tuple[int, ...]:
    """Where lines of ``width`` break, in every part alike."""
    return line_breaks(list(view.piece.lines.values()), width, most, onset, letter)


def part_size(view: PieceView, paper: str) -> tuple[int, int]:
    """Size of a page of every part of a piece: of a short one with a larger staff, where its lines break as they do."""
    width, high = PART[paper]
    breaks = breaks_of(view, width)
    if len(breaks) >= SHORT_PIECE or breaks_of(view, LARGER, onset=FINGERED) != breaks:
        return width, high
    return LARGER, high * LARGER // width


def _quiet(line: Line) -> Line:
    """Without breath marks, letters, jumps and holds, which the first voice of the score shows for all."""
    quiet = [
        replace(
            bar,
            notes=tuple(
                replace(note, breath=False, fermata=False) if note.breath or note.fermata else note
                for note in bar.notes
            ),
        )
        for bar in _unmarked(line).measures
    ]
    return Line(tuple(quiet), line.name)


def grouped(view: PieceView, english: str) -> list[Staff]:
    """One staff for all who read the same, with their names, at written pitch."""
    found = [
        Staff(sheet.part.written, _short_name(sheet, english), clef=sheet.seats[0].desk.player.reading.clef)
        for sheet in view.sheets
        if sheet.voice != "descant"
    ]
    return first_marked(found + _drum_staves(view))


def _concert_staves(view: PieceView, english: str) -> list[Staff]:
    """The same staves at concert pitch; what lies low stands in the bass clef.

    What is read at concert pitch, be it octaves away as for a glockenspiel, stands as read (common practice).
    """
    found = [
        Staff(_at_concert_pitch(sheet), _short_name(sheet, english), clef=_clef(sheet))
        for sheet in view.sheets
        if sheet.voice != "descant"
    ]
    return first_marked(found + _drum_staves(view))


def _at_concert_pitch(sheet: PieceSheet) -> Line:
    return sheet.part.written if sheet.part.player.reading.semitones % 12 == 0 else sheet.part.sounding


def _clef(sheet: PieceSheet) -> str:
    midis = [pitch.midi for pitch in _at_concert_pitch(sheet).pitches]
    return "bass" if sum(midis) / len(midis) < 58 else "treble"


def _short_name(sheet: PieceSheet, english: str) -> str:
    name = sheet.names(english)
    others = len(sheet.seats) - 1
    if len(name) <= LONGEST_NAME or not others:
        return name
    return f"{capital(sheet.seats[0].desk.name(english))} + {others}"


def in_two_lines(staves: Sequence[Staff]) -> list[Staff]:
    """The same with long names broken before what tells an instrument from others of its kind.

    A name that stands out to the left makes the page wider, and so smaller on paper: *First B♭ tenor trombone with F
    attachment*.
    """
    return [
        replace(staff, name=KIND.sub("\n", staff.name, count=1)) if len(staff.name) > LONGEST_NAME else staff
        for staff in staves
    ]


def first_marked(staves: list[Staff]) -> list[Staff]:
    """Rehearsal letters and jumps over the first staff only."""
    return staves[:1] + [replace(staff, line=_unmarked(staff.line)) for staff in staves[1:]]


def _unmarked(line: Line) -> Line:
    bars = (replace(bar, rehearsal="", marks=()) if bar.rehearsal or bar.marks else bar for bar in line.measures)
    return Line(tuple(bars), line.name)


def score_pages(book: Book, view: PieceView, staves: Sequence[Staff], title: str, words: str) -> tuple[Engraving, ...]:
    """Pages of a score with names before its staves: few, and evenly full."""
    staves, size = in_two_lines(staves), SCORE[book.band.paper]
    breaks = score_breaks(view, staves, size)
    cache = book.root / ".cache"
    return pages(staves, title, words, cache, size, named=True, group="bracket", breaks=breaks, filled=True)


def score_breaks(view: PieceView, staves: Sequence[Staff], size: tuple[int, int]) -> tuple[int, ...]:
    """Where lines of a score break on pages of ``size``: fewest pages, then the fullest last one, then fewest lines."""
    width, high = size
    held = max(1, high // sum(DRUM if staff.clef == "percussion" else SYSTEM for staff in staves))
    ways = {breaks_of(view, width - NAMES, most) for most in range(4, 9)}

    def charge(breaks: tuple[int, ...]) -> tuple[int, int, int]:
        lines = len(breaks) + 1
        return -(-lines // held), -lines % held, lines

    return min(ways, key=charge)


def _full(book: Book, view: PieceView, staves: Sequence[Staff], pitch: str) -> tuple[Engraving, ...]:
    return score_pages(book, view, staves, *_called(view, staves, pitch))


def _written(book: Book, view: PieceView) -> Engraved:
    staves, cache = grouped(view, book.band.english), book.root / ".cache"
    title, words = _called(view, staves, "written")
    made = score_pages(book, view, staves, title, words)
    size, breaks = (PHONE_SCORE, ENDLESS), breaks_of(view, PHONE_SCORE - NAMES, 2)
    phone = pages(in_two_lines(staves), title, words, cache, size, named=True, group="bracket", breaks=breaks)[0]
    return Engraved("score-written", made, phone)


def _called(view: PieceView, staves: Sequence[Staff], pitch: str) -> tuple[str, str]:
    """Name of a full score, and what is in it."""
    names = ", ".join(staff.name for staff in staves)
    return f"{view.piece.title}: full score at {pitch} pitch", f"{len(staves)} staves: {names}"


def _part(book: Book, view: PieceView, sheet: PieceSheet) -> Engraved:
    english, cache = book.band.english, book.root / ".cache"
    staff = replace(_staff(sheet, english), name="", cue=sheet.cue)
    title = f"{view.piece.title}: {sheet.voice} for {sheet.names(english)}"
    spoken = describe(sheet.part.written, english, sheet.under)
    made = pages([staff], title, spoken, cache, part_size(view, book.band.paper), breaks=breaks_of(view, WIDE))
    return Engraved(
        sheet.ident, made, engrave([staff], title, spoken, cache, PHONE, breaks_of(view, PHONE, onset=FINGERED))
    )


def _drums(book: Book, view: PieceView) -> Engraved | None:
    if not view.drums:
        return None
    english, cache = book.band.english, book.root / ".cache"
    title = f"{view.piece.title}: drums"
    spoken = " ".join(f"{line.name}: {describe(line, english)}" for line in view.drums)
    staves, breaks = first_marked(_drum_staves(view)), breaks_of(view, WIDE)
    made = pages(staves, title, spoken, cache, PART[book.band.paper], named=True, group="bracket", breaks=breaks)
    size, breaks = (PHONE, ENDLESS), breaks_of(view, PHONE)
    phone = pages(staves, title, spoken, cache, size, group="bracket", breaks=breaks)[0]
    return Engraved("drums", made, phone)
