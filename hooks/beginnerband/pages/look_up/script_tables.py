"""The look-up's tables for its scripts: everything they show, computed here, so that they only have to look things up.

One global, ``bandLookUp.tables``, in a plain script file (a page opened from disk may not fetch data). Texts in it are
safe to put into HTML. Its members, of which ``look-up-types.d.ts`` has the types:

``pitches``
    Every name that any written or concert note may have, lowest first: name as in addresses, letter and octave as
    shown, as said, MIDI number, semitones the letter is raised, its frequency in whole hertz at the band's pitch,
    whether this is the everyday name, and its place on the staff by clef. Elsewhere a pitch is its index here.
``places``
    Places on the staff, from ``lowest`` upwards: in words, the height of the note head in the drawing, and the drawing
    of head and ledger lines from the left edge of the head.
``staff``
    The rest of the drawing of a staff: ``clefs``, ``marks`` for notes drawn one or two octaves too low, ``signs`` by
    semitones raised (``{y}`` is filled in), and the five lines (``{x}`` and ``{width}`` are).
``octaves``
    From ``fewest`` upwards, so many octaves in words.
``levels``
    What is said of a note by range level.
``tune``
    From ``tuneFrom`` cents upwards, how that is in tune and how many cents it is, in words.
``hands``
    For each mechanism its ``ways`` to play, ``[code, words]``, the ``width`` of their pictures (0: none), and either
    how many ``valves`` there are (``valve`` has the drawing of one, up and down) or the drawing of the ``slide``,
    without and with the trigger, and the ``spots`` of its positions. ``{x}`` and ``{n}`` are filled in.
``charts``
    For each mechanism, what its players' answers refer to: the ways that reach a note, best first, each ``[way, cents,
    use]``; ``use`` is one of :data:`TEACH`, :data:`HELPS`, :data:`KNOWN` and :data:`POOR`.
``players``
    Everyone who can be looked up; see :func:`_player`.
``texts``
    What to do about notes out of tune.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from markupsafe import escape

from beginnerband.data.book import Book
from beginnerband.music import fingering, staff_place
from beginnerband.music.advice import in_words
from beginnerband.music.answer import Answer, answer
from beginnerband.music.fingering import Fingering
from beginnerband.music.instrument import LEVELS, Instrument, Slide, Valves
from beginnerband.music.pitch import STEPS, Pitch, usual
from beginnerband.music.player import Player
from beginnerband.music.unison import match, octaves_in_words
from beginnerband.pages.shared.readers import Reader, readers
from beginnerband.render import fingers, sound, staff

NAMES = tuple(Pitch(step, alter, 4) for step in STEPS for alter in (-1, 0, 1))
"""The names a note may have, in the octave of middle C; F flat and E sharp are among them, since keys with many flats
or sharps have them."""

TEACH, HELPS, KNOWN, POOR = range(4)
"""Uses of a way to play: the one to teach, an alternate that helps a learner, one that only exists, and one on a
harmonic too far out of tune for learners."""

LEVEL_SAYS = {"starter": "", "first-year": "Beyond the starter range.", "full": "Beyond the first-year range."}


def script(book: Book) -> str:
    """The script file."""
    text = json.dumps(tables(book), ensure_ascii=False, separators=(",", ":"))
    return f"var bandLookUp={{tables:{text}}};\n"


def tables(book: Book) -> dict[str, Any]:
    """The tables."""
    everyone = readers(book)
    work = _Tables(everyone, book.band.english)
    players = [work.player(reader) for reader in everyone]
    cents = [way[1] for chart in work.charts.values() for ways in chart for way in ways]
    return {
        "pitches": [_pitch(pitch, book.band.pitch_a4) for pitch in work.pitches],
        **_staff(work.places),
        **_octaves(work),
        "levels": [LEVEL_SAYS[level] for level in LEVELS],
        "tuneFrom": min(cents, default=0),
        "tune": [[in_words(size).capitalize(), _cents(size)] for size in range(min(cents), max(cents) + 1)]
        if cents
        else [],
        "valve": [fingers.valve_template(down) for down in (False, True)],
        "hands": [_hand(one, book.band.english) for one in work.mechanisms.values()],
        "charts": list(work.charts.values()),
        "players": players,
        "texts": [str(escape(text)) for text in work.texts],
    }


class _Tables:
    """Gathers what several players share while their own tables are made."""

    def __init__(self, everyone: tuple[Reader, ...], english: str) -> None:
        self.english = english
        self.pitches = _every_pitch(reader.player for reader in everyone)
        self.index = {pitch: number for number, pitch in enumerate(self.pitches)}
        self.texts: dict[str, int] = {}
        self.octaves: set[int] = {0}
        self.places: set[int] = set()
        self.mechanisms: dict[object, Instrument] = {}
        for reader in everyone:
            self.mechanisms.setdefault(_mechanism(reader.player.instrument), reader.player.instrument)
        self.charts: dict[object, list[list[list[int]]]] = {mechanism: [] for mechanism in self.mechanisms}
        self.codes = {
            mechanism: [way.code for way in _ways(instrument)] for mechanism, instrument in self.mechanisms.items()
        }

    def player(self, reader: Reader) -> dict[str, Any]:
        """One player.

        ``id`` and ``reading`` make the address; ``name``, ``reads`` and ``fullName`` (with the reading where the
        instrument has several); ``clef`` and ``concertClef``; ``marks`` (octaves that written and concert notes are
        drawn too low, for very high instruments); ``hand`` (index of the mechanism); ``tone`` (what its sound is made
        of); ``inBand``; ``sounds`` (first and last concert note); ``home`` (the written note to begin with, and its
        concert note); ``first`` (lowest written note) and, from there upwards, ``notes``, each ``[concert note,
        level, ways in the chart or -1 for a bar that is struck, what to do …]``; ``joins`` (for each concert note
        what is read for it or its nearest octave, or -1).
        """
        player, instrument, reading = reader.player, reader.player.instrument, reader.player.reading
        full, sounds = instrument.written_range("full", reading), instrument.sounding_range("full")
        concert_clef = staff_place.concert_clef(sounds.low, sounds.high)
        notes = [answer(player, pitch) for pitch in self.pitches if pitch in full]
        concert = [number for number, pitch in enumerate(self.pitches) if pitch in sounds]
        marks = (
            staff_place.octave_mark((full.low, full.high), reading.clef),
            staff_place.octave_mark((sounds.low, sounds.high), concert_clef),
        )
        self.places.update(note.place - 7 * octaves for note in notes for octaves in {0, marks[0]})
        self.places.update(staff_place.place(self.pitches[each], concert_clef) - 7 * marks[1] for each in concert)
        home = answer(player, usual(instrument.written_range("starter", reading).high.midi))
        return {
            "id": instrument.id,
            "reading": reading.id,
            "name": str(escape(reader.name)),
            "reads": str(escape(reader.reads)),
            "fullName": str(escape(reader.full_name)),
            "clef": reading.clef,
            "concertClef": concert_clef,
            "marks": list(marks),
            "hand": list(self.mechanisms).index(_mechanism(instrument)),
            "tone": sound.tone(instrument),
            "inBand": int(reader.in_band),
            "sounds": [concert[0], concert[-1]],
            "home": [self.index[home.written], self.index[usual(home.sounding.midi)]],
            "first": self.index[notes[0].written],
            "notes": [self.note(note) for note in notes],
            "joins": [self.read_for(pitch, player) for pitch in self.pitches],
        }

    def note(self, note: Answer) -> list[int]:
        """One answer."""
        todo = [self.texts.setdefault(item.text, len(self.texts)) for item in note.advice(self.english)]
        return [self.index[note.sounding], LEVELS.index(note.level), self.chart(note), *todo]

    def chart(self, note: Answer) -> int:
        """Where the ways to play the note stand in its mechanism's chart; -1 for a bar that is struck."""
        if note.way is None:
            return -1
        mechanism = _mechanism(note.player.instrument)
        codes = self.codes[mechanism]
        ways = [
            [codes.index(way.code), round(way.cents), _use(note, way)]
            for way in fingering.all_fingerings(note.player.instrument, note.sounding)
        ]
        chart = self.charts[mechanism]
        if ways not in chart:
            chart.append(ways)
        return chart.index(ways)

    def read_for(self, sound: Pitch, player: Player) -> int:
        """What the player reads for a concert note or its nearest octave; -1 where there is none."""
        found = match(sound, player)
        if found is None:
            return -1
        self.octaves.add(found.octaves)
        return self.index[found.answer.written]


def _use(note: Answer, way: Fingering) -> int:
    if way == note.way:
        return TEACH
    return HELPS if way in note.alternates else KNOWN if way.for_learners else POOR


def _every_pitch(players: Iterable[Player]) -> tuple[Pitch, ...]:
    """Every pitch that somebody reads or sounds, under each of :data:`NAMES`, lowest first."""
    ends = [
        midi
        for player in players
        for limits in (
            player.instrument.written_range("full", player.reading),
            player.instrument.sounding_range("full"),
        )
        for midi in (limits.low.midi, limits.high.midi)
    ]
    named = (name.octaves_up(octaves) for name in NAMES for octaves in range(-5, 6))
    within = (pitch for pitch in named if min(ends) <= pitch.midi <= max(ends))
    return tuple(sorted(within, key=lambda pitch: (pitch.midi, pitch.staff_index)))


def _pitch(pitch: Pitch, a4: float) -> list[Any]:
    everyday = int(pitch == usual(pitch.midi))
    places = {clef: staff_place.place(pitch, clef) for clef in staff_place.BOTTOM}
    said = f"{staff.spoken(pitch)} {pitch.octave}"
    shown = [pitch.name, pitch.letter_sign, pitch.octave, said]
    return [*shown, pitch.midi, pitch.alter, round(pitch.hz(a4)), everyday, places]


def _staff(places: set[int]) -> dict[str, Any]:
    every = range(min(places), max(places) + 1)
    return {
        "lowest": every.start,
        "places": [[staff_place.words(at), round(staff.note_y(at)), staff.head_template(at)] for at in every],
        "staff": {
            "clefs": {clef: staff.clef_use(clef) for clef in staff_place.BOTTOM},
            "marks": ["", staff.mark(1), staff.mark(2)],
            "signs": {alter: staff.sign_template(alter) for alter in (-1, 1)},
            "lines": staff.LINES_TEMPLATE,
        },
    }


def _octaves(work: _Tables) -> dict[str, Any]:
    fewest, most = min(work.octaves), max(work.octaves)
    return {"fewest": fewest, "octaves": [octaves_in_words(count) for count in range(fewest, most + 1)]}


def _cents(size: int) -> str:
    return f"{size:+d} cents".replace("-", "−") if size else "0 cents"


def _mechanism(instrument: Instrument) -> object:
    """What decides the chart: valves (whatever slides they have) or the slide."""
    mechanism = instrument.mechanism
    return (mechanism.semitones, mechanism.compensating) if isinstance(mechanism, Valves) else mechanism


def _hand(instrument: Instrument, english: str) -> dict[str, Any]:
    ways: list[list[object]] = [[way.code, fingers.words(instrument, way, english)] for way in _ways(instrument)]
    hand: dict[str, Any] = {"ways": ways, "width": fingers.width(instrument)}
    if isinstance(instrument.mechanism, Valves):
        hand["valves"] = len(instrument.mechanism.semitones)
    if isinstance(instrument.mechanism, Slide):
        triggers = instrument.mechanism.triggers
        hand["slide"] = [fingers.slide_template(instrument.mechanism, trigger) for trigger in triggers]
        spots = [x for trigger in triggers for x in fingers.slide_spots(instrument.mechanism, trigger)]
        raised = (way for way in _ways(instrument) if way.raised)
        hand["spots"] = [*spots, *(fingers.raised_spot(instrument.mechanism, way) for way in raised)]
    return hand


def _ways(instrument: Instrument) -> list[Fingering]:
    """One fingering for each code of the instrument, in the order of the acoustics; raised positions last."""
    ways = {way.code: way for way in fingering.every_way(instrument)}
    return sorted(ways.values(), key=lambda way: way.raised)
