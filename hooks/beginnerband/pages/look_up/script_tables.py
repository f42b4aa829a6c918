"""The look-up's tables for the script: everything it shows, computed here, so that it only has to look things up.

One global, ``bbLookUp``, in a plain script file (a page opened from disk may not fetch data). Texts in it are safe to
put into HTML. Its members:

``notes``
    Every letter flat, natural and sharp, each ``[name, step of the staff 0-6, semitones above the C of its octave]``
    (C flat is at -1, B sharp at 12); ``signs`` has how an accidental is shown and said.
``usual``
    Index in ``notes`` of the everyday name of each semitone.
``tune``
    From ``tuneFrom`` cents upwards, how that is in tune, in words.
``places``
    Places on the staff in words, from ``lowest`` upwards; ``bottom`` has the staff step of each clef's bottom line.
``a4``
    The band's A4 in hertz.
``moves``
    For each reading, the index in ``notes`` of the concert note for each written note, and the way back.
``hands``
    For each mechanism, its ``ways`` to play, ``[code, words]``, the ``width`` of their pictures (0: none), and either
    how many ``valves`` there are (``valve`` has the drawing of one, up and down) or the drawing of the ``slide``,
    without and with the trigger, and the ``spots`` of its positions. ``{x}`` and ``{n}`` are filled in.
``charts``
    For each mechanism, from ``chartFrom`` semitones above the fundamental upwards: the ways that reach the note, best
    first, each ``[way, cents]``, or ``[way, cents, 1]`` on a harmonic too far out of tune for learners.
``readers``
    Everyone who can be looked up; see :func:`_reader`.
"""

from __future__ import annotations

import json
from typing import Any

from markupsafe import escape

from beginnerband.data.book import Book
from beginnerband.music import advice, fingering, staff_place
from beginnerband.music.instrument import Instrument, Mallets, Range, Slide, Valves
from beginnerband.music.pitch import STEPS, Pitch, usual
from beginnerband.music.reading import Reading
from beginnerband.music.transposition import simplest
from beginnerband.pages.shared.readers import READING_WORDS, Reader, readers
from beginnerband.render import fingers

NOTES = tuple(Pitch(step, alter, 4) for step in STEPS for alter in (-1, 0, 1))
"""The names a written note may have, in the octave of middle C; F flat and E sharp are among them, since keys with many
flats or sharps have them."""

CHART = range(6, 49)
"""Semitones above the fundamental that the charts cover: from below the second harmonic to the sixteenth."""

CENTS = range(-60, 61)
"""Deviations with words."""


def script(book: Book) -> str:
    """The script file."""
    return f"var bbLookUp={json.dumps(data(book), ensure_ascii=False, separators=(',', ':'))};\n"


def data(book: Book) -> dict[str, Any]:
    """The tables."""
    everyone = readers(book)
    mechanisms: dict[object, Instrument] = {}
    for reader in everyone:
        mechanisms.setdefault(_mechanism(reader.player.instrument), reader.player.instrument)
    order = list(mechanisms)
    texts: dict[str, int] = {}
    places = _places(everyone)
    return {
        "notes": [[pitch.letter, pitch.staff_index % 7, pitch.midi - 60] for pitch in NOTES],
        "signs": {"b": ["♭", " flat"], "#": ["♯", " sharp"]},
        "usual": [_index(usual(midi)) for midi in range(60, 72)],
        "tuneFrom": CENTS.start,
        "tune": [advice.in_words(cents).capitalize() for cents in CENTS],
        "lowest": places.start,
        "places": [staff_place.words(at) for at in places],
        "bottom": {clef: pitch.staff_index for clef, pitch in staff_place.BOTTOM.items()},
        "a4": book.band.pitch_a4,
        "moves": {
            reading.id: _moves(reading)
            for reading in {r.player.reading.id: r.player.reading for r in everyone}.values()
        },
        "reads": {reading: str(escape(words)) for reading, words in READING_WORDS.items()},
        "valve": [fingers.valve_template(down) for down in (False, True)],
        "hands": [_hand(one, book.band.words) for one in mechanisms.values()],
        "chartFrom": CHART.start,
        "charts": [_chart(one) for one in mechanisms.values()],
        "readers": [
            _reader(reader, order.index(_mechanism(reader.player.instrument)), texts, book.band.words)
            for reader in everyone
        ],
        "texts": [str(escape(text)) for text in texts],
    }


def _places(everyone: tuple[Reader, ...]) -> range:
    """Every place on the staff that a written note may have."""
    found = [
        staff_place.place(note, reader.player.reading.clef)
        for reader in everyone
        for limits in (reader.player.instrument.written_range("full", reader.player.reading),)
        for midi in (limits.low.midi, limits.high.midi)
        for note in _named(midi)
    ]
    return range(min(found), max(found) + 1)


def _named(midi: int) -> list[Pitch]:
    """Every one of :data:`NOTES` that sounds as ``midi``, in its octave."""
    octaves = [(note, divmod(midi - note.midi, 12)) for note in NOTES]
    return [note.octaves_up(octave) for note, (octave, rest) in octaves if not rest]


def _mechanism(instrument: Instrument) -> object:
    """What decides the chart: valves (whatever slides they have) or the slide."""
    mechanism = instrument.mechanism
    return (mechanism.semitones, mechanism.compensating) if isinstance(mechanism, Valves) else mechanism


def _moves(reading: Reading) -> list[list[int]]:
    """For each of :data:`NOTES`, the index of what sounds when it is written, and of what is written for it."""
    return [[_index(simplest(move(pitch))) for pitch in NOTES] for move in (reading.sounding, reading.written)]


def _index(pitch: Pitch) -> int:
    return [note.letter for note in NOTES].index(pitch.letter)


def _hand(instrument: Instrument, use: str) -> dict[str, Any]:
    ways: list[list[object]] = [[way.code, fingers.words(instrument, way, use)] for way in _ways(instrument)]
    hand: dict[str, Any] = {"ways": ways, "width": fingers.width(instrument)}
    if isinstance(instrument.mechanism, Valves):
        hand["valves"] = len(instrument.mechanism.semitones)
    if isinstance(instrument.mechanism, Slide):
        triggers = (False, True)[: 2 if instrument.mechanism.trigger else 1]
        hand["slide"] = [fingers.slide_template(instrument.mechanism, trigger) for trigger in triggers]
        hand["spots"] = [x for trigger in triggers for x in fingers.slide_spots(instrument.mechanism, trigger)]
    return hand


def _ways(instrument: Instrument) -> list[fingering.Fingering]:
    """One fingering for each code of the instrument, in the order of the acoustics."""
    return list({way.code: way for way in fingering.every_way(instrument)}.values())


def _chart(instrument: Instrument) -> list[list[list[int]]]:
    codes = [way.code for way in _ways(instrument)]
    if instrument.fundamental is None:
        return []
    notes = (usual(instrument.fundamental.midi + offset) for offset in CHART)
    return [
        [
            [codes.index(way.code), round(way.cents), *([] if way.for_learners else [1])]
            for way in fingering.all_fingerings(instrument, note)
        ]
        for note in notes
    ]


def _reader(reader: Reader, hand: int, texts: dict[str, int], use: str) -> dict[str, Any]:
    """One reader.

    ``id`` and ``move`` (the reading) make its address; ``name``; ``both`` (1 if the instrument has two readings);
    ``clef``; ``shift`` (semitones from written to sounding); ``full``, ``year`` and ``start`` (written MIDI numbers of
    the range by level); ``hand`` (index of its mechanism); ``base`` (MIDI number of the fundamental); ``band`` (1 if in
    the band); ``concert`` (clef for concert notes); ``marks`` (octaves that written and concert notes are drawn too
    low, for very high instruments); ``do`` (indexes in ``texts`` of what to do about the standard fingering, by
    sounding MIDI number).
    """
    one, reading = reader.player.instrument, reader.player.reading
    full, sounds = one.written_range("full", reading), one.sounding_range("full")
    concert = staff_place.concert_clef(sounds.low, sounds.high)
    return {
        "id": one.id,
        "name": str(escape(reader.name)),
        "both": int(len(one.readings) > 1),
        "move": reading.id,
        "clef": reading.clef,
        "shift": reading.semitones,
        "full": _midi(full),
        "year": _midi(one.written_range("first-year", reading)),
        "start": _midi(one.written_range("starter", reading)),
        "hand": hand,
        "base": one.fundamental.midi if one.fundamental else 0,
        "band": int(reader.in_band),
        "concert": concert,
        "marks": [
            staff_place.octave_mark((full.low, full.high), reading.clef),
            staff_place.octave_mark((sounds.low, sounds.high), concert),
        ],
        "do": {} if isinstance(one.mechanism, Mallets) else _advice(one, sounds, texts, use),
    }


def _advice(instrument: Instrument, sounds: Range, texts: dict[str, int], use: str) -> dict[int, list[int]]:
    """What to do, by sounding MIDI number, for the notes where something is to be done."""
    found = {}
    for midi in range(sounds.low.midi, sounds.high.midi + 1):
        todo = [item.text for item in advice.advise(instrument, usual(midi), use=use)]
        if todo:
            found[midi] = [texts.setdefault(text, len(texts)) for text in todo]
    return found


def _midi(limits: Range) -> list[int]:
    return [limits.low.midi, limits.high.midi]
