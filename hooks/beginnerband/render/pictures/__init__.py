"""Every drawing of the handbook by its id, ready to stand in a page with its words."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from markupsafe import escape

from beginnerband.data.book import Book
from beginnerband.music.instrument import VOICES, Slide
from beginnerband.music.player import Player
from beginnerband.music.words import capital
from beginnerband.render.glyphs import glyph
from beginnerband.render.pictures import brass, mouth_and_hand, plans, signs
from beginnerband.render.pictures.kept import PANELS, kept
from beginnerband.render.pictures.svg import Drawn


def _slide(book: Book) -> Slide:
    """The plain trombone's slide."""
    mechanism = book.instruments["trombone"].mechanism
    if not isinstance(mechanism, Slide):
        raise ValueError("the instrument 'trombone' has no slide")
    return mechanism


def seats(players: tuple[Player, ...], english: str) -> list[list[str]]:
    """The band in rows from the front: tune and alto, then tenor and bass, then percussion; one place a player."""
    rows: list[list[str]] = [[], [], []]
    voiced = [player for player in players if player.instrument.brass]
    for player in sorted(voiced, key=lambda player: VOICES.index(player.instrument.covers[0])):
        row = 0 if player.instrument.covers[0] in ("soprano", "alto") else 1
        name = player.instrument.names.of(english)
        short = capital(re.sub(r"^[A-G][♭♯]? (tenor (?=trombone))?|single |, .*| with .*", "", name))
        rows[row] += [short] * player.count
    rows[2] = ["Drums"] * any(not player.instrument.pitched for player in players)
    mallets = [player for player in players if player.instrument.pitched and not player.instrument.brass]
    rows[2] += [capital(player.instrument.names.of(english)) for player in mallets]
    return [row for row in rows if row]


def _word(book: Book, term: str, plural: bool = False) -> str:
    return book.guide.glossary[term].word(book.band.english, plural).capitalize()


def _rims(book: Book) -> list[tuple[str, float]]:
    """Kinds of mouthpieces and the width inside their rims, millimetres, from the instrument files; narrow to wide."""
    names = {
        "cornet": "Cornet, trumpet",
        "tenor-horn": _word(book, "tenor-horn"),
        "f-horn": "F horn",
        "euphonium": "Trombone, euphonium",
        "eb-bass": "Bass",
    }
    measured = {name: book.instruments[name].rim for name in names if name in book.instruments}
    found = [(names[name], rim.inside_mm) for name, rim in measured.items() if rim is not None]
    return sorted(found, key=lambda pair: pair[1])


def _kept(picture: str) -> Callable[[Book], Drawn]:
    """A kept drawing; the one name on them that the two kinds of words differ in is said as the band says it."""

    def drawn(book: Book) -> Drawn:
        found = kept(picture)
        return replace(found, body=found.body.replace(">Tenor horn", f">{escape(_word(book, 'tenor-horn'))}"))

    return drawn


DRAWINGS: dict[str, Callable[[Book], Drawn]] = {
    **{picture: _kept(picture) for picture in PANELS},
    "room-plan": lambda book: plans.room_plan(),
    "mouthpiece-sizes": lambda book: mouth_and_hand.mouthpiece_sizes(_rims(book)),
    "slide-positions": lambda book: brass.slide_positions(_slide(book), book.band.english),
    "slide-reach": lambda book: brass.slide_reach(_slide(book), book.band.english),
    "stick-grip": lambda book: mouth_and_hand.stick_grip(),
    "beat-boxes": lambda book: signs.beat_boxes(
        *(_word(book, f"{size}-note") for size in ("quarter", "half", "whole"))
    ),
    "eighth-boxes": lambda book: signs.eighth_boxes(
        _word(book, "eighth-note", True), _word(book, "quarter-note"), _word(book, "half-note")
    ),
    "staff-lines": lambda book: signs.staff_lines(glyph("treble").path, glyph("bass").path),
    "seating": lambda book: plans.seating(seats(book.band.players, book.band.english)),
    "beat-four": lambda book: signs.beat_four(),
    "beat-three-two": lambda book: signs.beat_three_two(),
    "loud-room": lambda book: plans.loud_room(),
}
"""Drawings by the id that ``content/pictures.yml`` gives their words."""
