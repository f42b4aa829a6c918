"""What the course has taught by when, and what of a tune it never teaches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from beginnerband.data.book import Book
from beginnerband.music.keychoice import Met, first_together
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Key
from beginnerband.music.tune import Tune
from beginnerband.pages.tunes.view import Sheet, signs_read
from beginnerband.teaching.facts import facts_of

When = tuple[int, Key]
"""Place in the course (week, from 0) from which everyone can play a tune, and the concert key in which they can."""


@dataclass(frozen=True, slots=True)
class Taught:
    """What the course teaches by when; empty without a course."""

    notes: Met
    """For each instrument, the place in the course (week, from 0) at which each sounding note is taught."""
    values: Mapping[str, Mapping[str, int]]
    """The same for the lengths of notes and rests, as :func:`facts_of` names them."""

    def lengths(self, tune: Tune, instruments: Iterable[str]) -> int | None:
        """The place from which all of ``instruments`` know every length of ``tune``; ``None`` if never."""
        wanted = facts_of(tune.line, pitched=False).values
        places = [self.values.get(ident, {}).get(value) for ident in instruments for value in wanted]
        return None if None in places else max((place for place in places if place is not None), default=0)


def taught(book: Book) -> Taught:
    """What each pitched player of the band is taught by when."""
    if book.course is None:
        return Taught({}, {})
    grades = book.course.grades
    notes = {
        player.instrument.id: {
            player.reading.sounding(pitch).midi: place for pitch, place in grades.first_met(player.id).items()
        }
        for player in book.band.pitched
    }
    values: dict[str, dict[str, int]] = {ident: {} for ident in notes}
    for ident, met in values.items():
        for week in grades.weeks[ident]:
            for value in week.new.values:
                met.setdefault(value, week.place)
    return Taught(notes, values)


def from_when(book: Book, tune: Tune, met: Taught) -> When | None:
    """From when everyone knows the notes in some one key, and the lengths; ``None`` if never."""
    notes = first_together(tune.line, book.band.players, met.notes, signs_read(book)) if met.notes else None
    lengths = met.lengths(tune, met.notes)
    return None if notes is None or lengths is None else (max(notes[0], lengths), notes[1])


def untaught(sheet: Sheet, player: Player, known: Mapping[int, int]) -> list[Pitch]:
    """Written notes of a part that the course never teaches its player, low to high."""
    written = {pitch.midi: pitch for pitch in sheet.part.written.pitches}
    return [pitch for midi, pitch in sorted(written.items()) if midi + player.reading.semitones not in known]
