"""What ``assets/player.js`` needs in a page: the music as a value, and the places where its controls appear."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from markupsafe import Markup

from beginnerband.music.instrument import Instrument
from beginnerband.music.playing import order, sounds
from beginnerband.music.score import Line, added
from beginnerband.music.units import A4
from beginnerband.render.html import relative

SCRIPT = "assets/player.js"
"""The script, from the site's root."""


@dataclass(frozen=True, slots=True)
class PlayedLine:
    """One part to hear."""

    line: Line
    """At sounding pitch, or drums."""
    name: str = ""
    """As shown beside its mute button."""
    delay: Fraction = Fraction(0)
    """Quarter notes it begins late, in a round."""
    times: int = 1
    """How often it is played."""
    first: int | None = 0
    """Number of its first note in the picture, where other lines come before it; ``None``: no picture shows it."""
    instrument: Instrument | None = None
    """Whose sound it has; ``None`` for a sound like any brass instrument's."""
    group: str = ""
    """The line of the music it belongs to, as ``Soprano``; parts of one line are muted together."""
    own: bool = False
    """The reader's own, where others play with it."""


def music(voices: Sequence[PlayedLine], a4: float = A4) -> str:
    """The music as JSON text; see ``Music`` in ``player-types.d.ts`` for its members."""
    first = voices[0].line
    opening = first.measures[0]
    pickup = opening.quarters if opening.number == 0 else Fraction(0)
    value = {
        "a4": a4,
        "speed": _number(first.tempo.quarters_a_minute),
        **_tempos(first),
        "beat": _number(first.time.beat),
        "beats": first.time.beats_felt,
        "pickup": _number(pickup),
        "parts": [{"name": voice.name, **_group(voice), **_tone(voice), "notes": _notes(voice)} for voice in voices],
    }
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False)


def _tempos(line: Line) -> dict[str, object]:
    """The speeds after the first as ``[quarter note, quarter notes a minute]``, repeats and jumps followed."""
    if not any(bar.tempo for bar in line.measures[1:]):
        return {}
    now, at, found = line.tempo.quarters_a_minute, Fraction(0), []
    speeds = [tempo.quarters_a_minute for tempo in line.tempos]
    for place in order(line):
        speed = speeds[place]
        if speed != now:
            found.append([_number(at), _number(speed)])
        now, at = speed, at + line.measures[place].quarters
    return {"tempos": found} if found else {}


def _group(voice: PlayedLine) -> dict[str, object]:
    return ({"line": voice.group} if voice.group else {}) | ({"own": True} if voice.own else {})


def _tone(voice: PlayedLine) -> dict[str, object]:
    """What the sound is made of, for ``timbre.js``: the formant in hertz, or that it is a bar that is struck."""
    if voice.instrument is None:
        return {}
    return {"tone": tone(voice.instrument)} if voice.instrument.pitched else {}


def tone(instrument: Instrument) -> float | str:
    """What a pitched instrument's sound is made of: its formant in hertz, or ``bar``."""
    return instrument.formant_hz or "bar"


def _notes(voice: PlayedLine) -> Sequence[Sequence[object]]:
    return _notes_of(voice.line, voice.first, voice.delay, voice.times)


@lru_cache(maxsize=256)  # many players of a lesson hear the same
def _notes_of(line: Line, first: int | None, delay: Fraction, times: int) -> Sequence[Sequence[object]]:
    numbers = _numbers(line, first)
    heard = sounds(line)
    length = added(sound.quarters for sound in heard)
    begins = [delay + length * time for time in range(times)]
    return [
        [
            _number(begin + sound.onset if begin else sound.onset),
            _number(sound.quarters),
            sound.pitch.midi if sound.pitch else sound.drum,
            *([[numbers[place] for place in sound.places if place in numbers]] if numbers else []),
        ]
        for begin in begins
        for sound in heard
        if not sound.rest
    ]


def _numbers(line: Line, first: int | None) -> dict[tuple[int, int], int]:
    """The running number of each note, as pictures have it in ``data-note``."""
    if first is None:
        return {}
    places = ((bar, note) for bar, measure in enumerate(line.measures) for note in range(len(measure.notes)))
    return {place: number for number, place in enumerate(places, first)}


def _number(value: Fraction) -> float | int:
    over, under = value.as_integer_ratio()
    return over if under == 1 else round(over / under, 5)


def player(voices: Sequence[PlayedLine], name: str, score: str = "", a4: float = A4) -> Markup:
    """Where the controls appear; ``score`` is the id of the element with the picture, ``name`` is read out."""
    return Markup('<div class="bb-player" hidden data-name="{}" data-score="{}" data-music="{}"></div>').format(
        name, score, music(voices, a4)
    )


def slowly(voices: Sequence[PlayedLine], name: str, a4: float = A4) -> Markup:
    """Where a button appears, in a list, that plays ``name`` at half its speed; the page shows no picture of it."""
    return Markup('<span class="bb-player bb-slowly" hidden data-slowly data-name="{}" data-music="{}"></span>').format(
        name, music(voices, a4)
    )


def script(page_uri: str) -> Markup:
    """The script's tag; put it once on each page that has something to hear."""
    return Markup('<script src="{}" defer></script>').format(relative(page_uri, SCRIPT))


def note_button(midi: int, text: str, a4: float = A4) -> Markup:
    """A button that sounds one note."""
    return Markup('<button type="button" class="bb-note-button" data-bb-note="{}" data-a4="{:g}">{}</button>').format(
        midi, a4, text
    )


def drone_button(midi: int, text: str, a4: float = A4) -> Markup:
    """A button that sounds a tone until it is pressed again."""
    return Markup(
        '<button type="button" class="bb-drone" aria-pressed="false" data-bb-drone="{}" data-a4="{:g}">{}</button>'
    ).format(midi, a4, text)


def metronome(bpm: int, beats: int) -> Markup:
    """Where a metronome appears."""
    return Markup('<div class="bb-metronome" hidden data-bpm="{}" data-beats="{}"></div>').format(bpm, beats)
