"""The slide as distances: where each position lies, what a short arm cannot get to, and the way round it.

Distances are from first position (slide right in) to where the hand is, in centimetres. A *reach* is the furthest out a
player can hold the slide with the instrument on the lips and the shoulders still; it is measured on the player, never
guessed from age. Lengths come from the tube alone (:func:`beginnerband.music.acoustics.slide_extension_cm`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from beginnerband.music import acoustics, fingering
from beginnerband.music.fingering import Fingering
from beginnerband.music.instrument import Instrument, Slide
from beginnerband.music.pitch import Pitch

ORDINALS = ("", "1st", "2nd", "3rd", "4th", "5th", "6th", "7th")
"""Slide positions as they are said, by their numbers."""


@dataclass(frozen=True, slots=True)
class SlidePlace:
    """Where one position is."""

    position: int
    """Number, 1 (right in) to 7."""
    trigger: bool
    """Whether the trigger is down."""
    cm: float
    """Distance out from first position, centimetres."""
    step_cm: float
    """Distance from the position before, centimetres; 0 for the first."""

    @property
    def code(self) -> str:
        """As in the data files: ``4``, ``T2``."""
        return f"{'T' if self.trigger else ''}{self.position}"


def places(slide: Slide) -> tuple[SlidePlace, ...]:
    """Every position the slide is long enough for, first outwards; then, with a trigger, those with it down."""
    found = []
    for trigger in slide.triggers:
        before = 0.0
        for steps in range(acoustics.POSITIONS):
            out = acoustics.slide_extension_cm(slide, steps, trigger)
            if out > slide.travel_cm:
                break
            found.append(SlidePlace(steps + 1, trigger, out, out - before))
            before = out
    return tuple(found)


def beyond(slide: Slide, reach_cm: float) -> tuple[SlidePlace, ...]:
    """The positions further out than ``reach_cm``, nearest first."""
    return tuple(sorted((place for place in places(slide) if place.cm > reach_cm), key=lambda place: place.cm))


@dataclass(frozen=True, slots=True)
class Detour:
    """A note whose usual position is out of reach, and what to do instead."""

    sounding: Pitch
    """The note as heard."""
    standard: Fingering
    """Its usual position, which is too far out."""
    instead: tuple[Fingering, ...]
    """Other positions within reach, best first; empty when there are none."""
    octave: Pitch | None
    """Where there is no other position: the same note an octave up or down that is within reach, if any."""


def detours(instrument: Instrument, notes: Iterable[Pitch], reach_cm: float) -> tuple[Detour, ...]:
    """What becomes of each of ``notes`` (sounding) whose usual position is further out than ``reach_cm``.

    Notes within reach, and notes the instrument does not have, are left out.
    """
    found = []
    for note in notes:
        usual = fingering.standard(instrument, note)
        if usual is None or usual.reach_cm <= reach_cm:
            continue
        instead = _within(instrument, note, reach_cm)
        found.append(Detour(note, usual, instead, None if instead else _other_octave(instrument, note, reach_cm)))
    return tuple(found)


def correction_cm(slide: Slide, way: Fingering) -> float:
    """How far to move from the position to put ``way`` in tune: outwards positive, inwards negative.

    In first position nothing is left to move inwards, so a flat note there stays flat.
    """
    return acoustics.slide_correction_cm(slide, way.reach_cm, way.cents, way.trigger)


def _within(instrument: Instrument, note: Pitch, reach_cm: float) -> tuple[Fingering, ...]:
    return tuple(way for way in fingering.learner_fingerings(instrument, note) if way.reach_cm <= reach_cm)


def _other_octave(instrument: Instrument, note: Pitch, reach_cm: float) -> Pitch | None:
    full = instrument.sounding_range("full")
    for octaves in (1, -1):
        moved = note.octaves_up(octaves)
        if moved in full and _within(instrument, moved, reach_cm):
            return moved
    return None
