"""What a player does about a note that is out of tune, in the leader's words.

Up to :data:`THRESHOLD` cents a learner does nothing but listen. Beyond it, in this order: move a slide that moves while
playing, take another fingering that is better in tune, set a slide before playing, and lip the rest. How far a slide
moves is computed from the tube; the order is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from beginnerband.music import acoustics, fingering
from beginnerband.music.fingering import Fingering
from beginnerband.music.instrument import Instrument, Slide, Valves
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.slide import correction_cm
from beginnerband.music.units import CENTIMETRES_AN_INCH

THRESHOLD = 15.0
"""Cents, sharp or flat, from which something is done."""

Means = Literal["move", "instead", "set", "lip"]

_ORDINALS = {1: "first", 2: "second", 3: "third", 4: "fourth"}


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to do about one note."""

    means: Means
    """``move`` a slide while playing, play another fingering ``instead``, ``set`` a slide beforehand, or ``lip``."""
    text: str
    """What to tell the player, one sentence."""
    cm: float | None = None
    """How far the slide goes out (negative: in), centimetres, for ``move`` and ``set``."""
    way: Fingering | None = None
    """The other fingering, for ``instead``."""


def advise(
    instrument: Instrument, sounding: Pitch, way: Fingering | None = None, english: str = "british"
) -> tuple[Advice, ...]:
    """What to do about ``sounding`` when played with ``way`` (the standard fingering if left out), best first.

    Lengths are told in inches where ``english`` is ``american``, else in centimetres. Empty when the note is near
    enough in tune, cannot be played, or is struck.
    """
    way = way or fingering.standard(instrument, sounding)
    if way is None or instrument.fundamental is None or abs(way.cents) <= THRESHOLD:
        return ()
    if isinstance(instrument.mechanism, Slide):
        return (_draw(instrument.mechanism, way, english),)
    assert isinstance(instrument.mechanism, Valves)
    if way.cents > fingering.NEAR[1]:  # taught since tutors print it; no lip brings that down
        return _better(instrument, sounding, way)
    moved = _move(instrument, instrument.mechanism, way, english)
    instead = _instead(instrument, sounding, way)
    if moved:
        return (moved, *instead)
    preset = _preset(instrument, instrument.mechanism, way, english)
    enough = bool(preset) and way.valves == (2, 3)
    return (*instead, *preset, *(() if enough else (_lip(way, bool(preset)),)))


def third_slide_notes(
    player: Player, level: str, english: str = "british"
) -> Iterator[tuple[Pitch, Fingering, Advice]]:
    """Written notes of a range level on which ``player`` pushes out the third valve slide while they last."""
    for written in player.written(level):
        way = player.standard(written)
        if way is not None and 3 in way.valves:
            advice = advise(player.instrument, player.reading.sounding(written), way, english)
            if advice and advice[0].means == "move":
                yield written, way, advice[0]


def valve_slide_cm(tube_m: float, valves: Valves, way: Fingering) -> float:
    """How far out one valve slide must go to bring the sharp ``way`` down in tune, centimetres (half the length)."""
    tube_cm = 100 * tube_m * 2 ** ((100 * acoustics.valve_lowering(valves, way.valves) - _own(valves, way)) / 1200)
    return tube_cm * (2 ** (way.cents / 1200) - 1) / 2


def _own(valves: Valves, way: Fingering) -> float:
    return acoustics.valve_cents(valves, way.valves)


def _tube_m(instrument: Instrument) -> float:
    assert instrument.fundamental is not None
    return acoustics.tube_length_m(instrument.fundamental.hz())


def _move(instrument: Instrument, valves: Valves, way: Fingering, english: str) -> Advice | None:
    usable = [valve for valve in (3, 1, 4, 2) if valve in way.valves and valve in valves.moving_slides]
    if way.cents < 0 or not usable:
        return None
    out = valve_slide_cm(_tube_m(instrument), valves, way)
    name = _ORDINALS[usable[0]]
    return Advice("move", f"Push the {name}-valve slide out about {_length(out, english)} while the note lasts.", out)


def _instead(instrument: Instrument, sounding: Pitch, way: Fingering) -> tuple[Advice, ...]:
    better = (
        other for other in fingering.learner_fingerings(instrument, sounding) if abs(other.cents) < abs(way.cents) - 10
    )
    return tuple(
        Advice("instead", f"Or play {other.code}, which is {in_words(other.cents)}.", way=other)
        for other in better
        if abs(other.cents) <= THRESHOLD and other.harmonic not in fingering.CROWDED
    )[:1]


def _better(instrument: Instrument, sounding: Pitch, way: Fingering) -> tuple[Advice, ...]:
    """The alternate nearest in tune, with its cents, for a fingering that is out of tune beyond mending."""
    others = [other for other in fingering.learner_fingerings(instrument, sounding) if other.code != way.code]
    best = min(others, key=lambda other: abs(other.cents), default=None)
    if best is None:
        return ()
    said = in_words(best.cents)
    cents = "" if said == "in tune" else f" ({best.cents:+.0f} cents)".replace("-", "−")
    text = f"Better play {best.code}, {said}{cents}: charts print {way.code}, which is {way.cents:.0f} cents sharp."
    return (Advice("instead", text, way=best),)


def _preset(instrument: Instrument, valves: Valves, way: Fingering, english: str) -> tuple[Advice, ...]:
    """Set the third slide so that 2-3 is right: 3 alone is not in the chart, so nothing else is harmed."""
    if way.cents < 0 or 3 not in way.valves or valves.compensating in (3, *way.valves):
        return ()
    pair = Fingering(
        valves=(2, 3), position=None, trigger=False, harmonic=2, lowering=4, cents=acoustics.valve_cents(valves, (2, 3))
    )
    out = valve_slide_cm(_tube_m(instrument), valves, pair)
    others = "" if way.valves == (2, 3) else ", and this note less sharp"
    text = f"Before playing, pull the third-valve slide out about {_length(out, english)}: 2-3 is then right{others}."
    return (Advice("set", text, out),)


def _lip(way: Fingering, after_setting: bool) -> Advice:
    if way.cents < 0:
        return Advice("lip", "Lip it up: a little more air and firmer corners of the mouth.")
    rest = "Lip the rest down" if after_setting else "Lip it down"
    return Advice("lip", f"{rest}: let the lips relax a little and keep the air going.")


def _draw(slide: Slide, way: Fingering, english: str) -> Advice:
    move = correction_cm(slide, way)
    if move < 0 and way.position == 1:
        return Advice("lip", "Lip it up: in first position the slide cannot come further in.", 0.0)
    where = "out beyond" if move > 0 else "in from"
    return Advice("move", f"Move the slide about {_length(abs(move), english)} {where} position {way.code}.", move)


def in_words(cents: float) -> str:
    """Cents for people: ``in tune``, ``a little sharp``, ``sharp``, ``very flat``."""
    size = abs(cents)
    if size < 5:
        return "in tune"
    kind = "sharp" if cents > 0 else "flat"
    return f"a little {kind}" if size <= THRESHOLD else f"very {kind}" if size > 35 else kind


def _length(cm: float, english: str) -> str:
    """To the half centimetre or the quarter inch, as people measure; never nothing."""
    unit, unit_cm, signs = (
        ("in", CENTIMETRES_AN_INCH, ("", "¼", "½", "¾")) if english == "american" else ("cm", 1, ("", "½"))
    )
    whole, rest = divmod(max(1, round(len(signs) * cm / unit_cm)), len(signs))
    return f"{whole or ''}{signs[rest]} {unit}"
