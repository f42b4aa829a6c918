"""Fingering and position charts: every note of one reader, how it is played, and what to do when it is out of tune."""

from __future__ import annotations

from markupsafe import Markup

from beginnerband.music.advice import in_words
from beginnerband.music.answer import WORST_ALTERNATE, Answer, answers
from beginnerband.music.fingering import Fingering
from beginnerband.music.pitch import Pitch, spellings, usual
from beginnerband.music.player import Player
from beginnerband.music.slide import ORDINALS
from beginnerband.pages.shared.table import Cell, Row, joined, quiet, stacked, table
from beginnerband.render import fingers, staff

LEVEL_WORDS = {"starter": "First notes", "first-year": "First year", "full": "Full range"}
"""Range levels in words."""


def chart(player: Player, caption: str, english: str, level: str = "full") -> Markup:
    """The chart as a table; ``english`` is ``american`` or ``british``."""
    head: tuple[Cell, ...] = ("Written", "Sounds")
    if player.instrument.brass:
        head = ("Written", "Play", "Sounds", "In tune?")
    rows, before = [], ""
    for note in answers(player, level):
        rows.append(Row(_cells(note, english), LEVEL_WORDS[note.level] if note.level != before else ""))
        before = note.level
    return table(caption, head, rows, kind="bb-chart-notes")


def names(pitches: tuple[Pitch, ...]) -> str:
    """``F♯4 or G♭4``."""
    return " or ".join(pitch.sign for pitch in pitches)


def tuning(cents: float) -> str:
    """``+32 cents, sharp`` or ``in tune``."""
    said = in_words(cents)
    return said if said == "in tune" else f"{cents:+.0f} cents, {said}".replace("-", "−")


def _cells(note: Answer, english: str) -> tuple[Cell, ...]:
    picture = staff.staff([note.written], note.player.reading.clef, height=2.8)
    written, sounds = stacked(picture, names(spellings(note.written.midi))), usual(note.sounding.midi).sign
    if note.way is None:
        return written, sounds
    drawing = fingers.picture(note.player.instrument, note.way, english)
    played = stacked(drawing, Markup("<b>{}</b>").format(code_words(note.way)))
    return written, played, sounds, _tuning(note, note.way, english)


def _tuning(note: Answer, way: Fingering, english: str) -> Markup:
    far = abs(way.cents) > WORST_ALTERNATE  # then it matters how much better the others are
    other = joined([f"{each.code} ({tuning(each.cents)})" if far else each.code for each in note.alternates], " or ")
    return stacked(
        tuning(way.cents),
        Markup("Also: <b>{}</b>").format(other) if note.alternates else "",
        *(quiet(each.text) for each in note.advice(english)),
    )


def code_words(way: Fingering) -> str:
    """``open``, ``1-3``, ``4th``, ``trigger 1st``: short enough for a chart."""
    if way.position is None:
        return "open" if not way.valves else way.code
    return f"{'trigger ' if way.trigger else ''}{'raised ' if way.raised else ''}{ORDINALS[way.position]}"
