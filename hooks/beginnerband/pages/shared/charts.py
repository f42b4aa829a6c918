"""Fingering and position charts: every note of one reader, how it is played, and what to do when it is out of tune."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from beginnerband.music import fingering
from beginnerband.music.advice import Advice, advise, in_words
from beginnerband.music.fingering import CROWDED, Fingering
from beginnerband.music.instrument import Instrument
from beginnerband.music.pitch import Pitch, spellings, usual
from beginnerband.music.player import Player
from beginnerband.music.unison import level_of
from beginnerband.pages.shared.table import Cell, Row, joined, quiet, stacked, table
from beginnerband.render import fingers, staff

LEVEL_WORDS = {"starter": "First notes", "first-year": "First year", "full": "Full range"}
"""Range levels in words."""

MOST_ALTERNATES = 3
"""Alternates shown in a chart; the files for others have all."""

WORST_ALTERNATE = 40.0
"""Cents; an alternate further out is no help to a learner."""


@dataclass(frozen=True, slots=True)
class Note:
    """One line of a chart."""

    written: tuple[Pitch, ...]
    """The note as written: one name, or its sharp and its flat name."""
    sounding: Pitch
    """As heard, in everyday spelling."""
    level: str
    """The narrowest range level that has it."""
    way: Fingering | None
    """How to play it; ``None`` for a bar that is struck."""
    alternates: tuple[Fingering, ...]
    """Other ways worth knowing, best first."""
    advice: tuple[Advice, ...]
    """What to do where it is out of tune."""


def notes(player: Player, level: str = "full", words: str = "british") -> tuple[Note, ...]:
    """Every note of the part's range at ``level``, lowest first; ``words`` decides between inches and centimetres."""
    span = player.instrument.written_range(level, player.reading)
    return tuple(_note(player, midi, words) for midi in range(span.low.midi, span.high.midi + 1))


def _note(player: Player, midi: int, words: str) -> Note:
    sounding = usual(midi + player.reading.semitones)
    ways = fingering.learner_fingerings(player.instrument, sounding)
    return Note(
        spellings(midi),
        sounding,
        level_of(sounding, player.instrument),
        ways[0] if ways else None,
        tuple(way for way in ways[1:] if way.harmonic not in CROWDED and abs(way.cents) <= WORST_ALTERNATE)[
            :MOST_ALTERNATES
        ],
        advise(player.instrument, sounding, use=words),
    )


def chart(player: Player, caption: str, words: str, level: str = "full") -> Markup:
    """The chart as a table; ``words`` is ``american`` or ``british``."""
    head: tuple[Cell, ...] = ("Written", "Sounds")
    if player.instrument.brass:
        head = ("Written", "Play", "Sounds", "In tune?")
    rows, before = [], ""
    for note in notes(player, level, words):
        rows.append(Row(_cells(player, note, words), LEVEL_WORDS[note.level] if note.level != before else ""))
        before = note.level
    return table(caption, head, rows, kind="bb-chart-notes")


def names(pitches: tuple[Pitch, ...]) -> str:
    """``F♯4 or G♭4``."""
    return " or ".join(pitch.sign for pitch in pitches)


def tuning(cents: float) -> str:
    """``+32 cents, sharp`` or ``in tune``."""
    said = in_words(cents)
    return said if said == "in tune" else f"{cents:+.0f} cents, {said}".replace("-", "−")


def _cells(player: Player, note: Note, words: str) -> tuple[Cell, ...]:
    shown = usual(note.written[0].midi)
    picture = staff.staff([shown], player.reading.clef, height=2.8)
    written, sounds = stacked(picture, names(note.written)), note.sounding.sign
    if note.way is None:
        return written, sounds
    drawing = fingers.picture(player.instrument, note.way)
    played = stacked(drawing, Markup("<b>{}</b>").format(code_words(note.way)))
    return written, played, sounds, _tuning(player.instrument, note)


def _tuning(instrument: Instrument, note: Note) -> Markup:
    assert note.way
    other = joined([way.code for way in note.alternates], " or ")
    return stacked(
        tuning(note.way.cents),
        Markup("Also: <b>{}</b>").format(other) if note.alternates else "",
        *(quiet(each.text) for each in note.advice),
    )


def code_words(way: Fingering) -> str:
    """``open``, ``1-3``, ``4th``, ``trigger 1st``: short enough for a chart."""
    if way.position is None:
        return "open" if not way.valves else way.code
    return f"{'trigger ' if way.trigger else ''}{fingers.ORDINALS[way.position]}"
