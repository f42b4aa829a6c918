"""Instruments as the domain sees them: a tube, what lengthens it, and how its player reads."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, field
from typing import Literal, get_args

from beginnerband.music.pitch import Pitch
from beginnerband.music.reading import Reading

LEVELS = ("starter", "first-year", "full")
"""Range levels from narrowest to widest."""

GROUPS = ("bb", "eb", "f", "concert", "percussion")
"""Learning groups: players who can be taught together by rote because the same written notes sound the same."""

VOICES = ("soprano", "alto", "tenor", "bass")
"""The four parts, highest first."""

Hand = Literal["left", "right"]

Cup = Literal["shallow", "medium", "deep", "funnel"]
"""Depths of a mouthpiece behind its rim; a funnel has no cup at all."""

Shank = Literal["cornet", "trumpet", "flugelhorn", "tenor-horn", "f-horn", "small", "medium", "large", "bass"]
"""Ends of mouthpieces, each of which fits one kind of receiver; the low brass has small, medium and large."""

MouthpieceClass = Literal["small", "medium", "funnel", "large", "extra-large", "none"]
"""Classes of mouthpieces: ``funnel`` is the F horn's; ``none`` is percussion."""

MOUTHPIECES: tuple[str, ...] = tuple(name for name in get_args(MouthpieceClass) if name != "none")
"""The classes there is a mouthpiece for."""


@dataclass(frozen=True, slots=True)
class Valves:
    """Valves, each adding a length that, alone, lowers the tube by a whole number of semitones."""

    semitones: tuple[int, ...]
    """Semitones lowered by valve 1, 2, 3 (and 4), each alone."""
    compensating: int | None = None
    """Number of the valve that sends the air through the others a second time, or ``None``."""
    moving_slides: tuple[int, ...] = ()
    """Valves whose slide the player can move while playing: a ring, saddle or trigger."""
    rotary: bool = False
    """Whether they turn, as on the F horn, rather than go up and down."""


@dataclass(frozen=True, slots=True)
class Slide:
    """A slide with numbered positions a semitone apart, perhaps with a trigger that lengthens the tube."""

    tube_m: float
    """Length of the tube with the slide in, metres."""
    travel_cm: float
    """How far the slide can go out, centimetres."""
    trigger: int | None = None
    """Semitones the trigger alone lowers the tube, or ``None`` without one."""

    @property
    def triggers(self) -> tuple[bool, ...]:
        """Whether the trigger is down, in each way it can stand: up, and down where there is one."""
        return (False, True) if self.trigger else (False,)


@dataclass(frozen=True, slots=True)
class Mallets:
    """A keyed percussion instrument: every note is a bar to strike."""


@dataclass(frozen=True, slots=True)
class Drums:
    """Unpitched percussion."""


Mechanism = Valves | Slide | Mallets | Drums


@dataclass(frozen=True, slots=True)
class Held:
    """How an instrument is held and played."""

    plays: Hand
    """The hand on the valves or the slide."""
    carries: Hand
    """The hand that takes the weight, or steadies what rests."""
    bell: Literal["forward", "up", "back"]
    """Where the bell points as it is played."""
    rests: Literal["", "lap", "seat"] = ""
    """What it rests on: the ``lap``, the front of the ``seat``; nothing where the hands alone hold it."""
    in_bell: Literal["", "left", "right"] = ""
    """The hand inside the bell, for the F horn."""
    page: str = ""
    """Page of the guide that shows how to hold it, without folder and ending; or empty."""


@dataclass(frozen=True, slots=True)
class Mouthpiece:
    """The mouthpiece that goes with an instrument."""

    inside_mm: float
    """Width inside the rim, millimetres."""
    upper: float
    """Share of the rim that sits on the upper lip, 0 to 1: about a half on a cornet, two thirds on the F horn."""
    cup: Cup
    """Depth behind the rim."""
    shank: Shank
    """End that goes into the instrument."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One thing to carry: what it weighs alone and in its case, and how long it is."""

    weight_kg: float
    """Rough weight, kilograms."""
    case_kg: float
    """Rough weight of its case or bag alone, kilograms."""
    length_cm: float
    """Rough length or height as held, centimetres."""
    names: Names | None = None
    """What it is called, where an instrument comes in more than one."""

    @property
    def packed_kg(self) -> float:
        """Weight in its case, kilograms: what is lifted and carried."""
        return self.weight_kg + self.case_kg


@dataclass(frozen=True, slots=True)
class Names:
    """A name in American and in British use."""

    american: str
    """As ``alto horn``."""
    british: str
    """As ``tenor horn``."""

    def of(self, english: str) -> str:
        """The name in ``english``, ``american`` or ``british``."""
        return self.american if english == "american" else self.british


@dataclass(frozen=True, slots=True)
class Range:
    """A lowest and a highest note, inclusive."""

    low: Pitch
    """Lowest note."""
    high: Pitch
    """Highest note."""

    def __contains__(self, pitch: Pitch) -> bool:
        return self.low.midi <= pitch.midi <= self.high.midi


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument, as loaded from ``content/instruments/<id>.yml``."""

    id: str
    """File name without its ending, as ``tenor-horn``."""
    names: Names
    """What people call it."""
    _: KW_ONLY
    key: str
    """Key of the open tube, as ``Bb``; ``C`` for concert-pitch percussion, empty for drums."""
    fundamental: Pitch | None
    """Sounding pitch of the open tube's first harmonic; ``None`` for percussion."""
    mechanism: Mechanism
    """What changes the pitch."""
    readings: tuple[Reading, ...]
    """How its players read; the first is the one its ranges are written in."""
    ranges: dict[str, Range] = field(hash=False)
    """Written range by level, in the first reading."""
    loads: tuple[Load, ...]
    """What there is to carry, heaviest first: one, or several where a player has more than one thing to strike."""
    mouthpiece: str
    """Mouthpiece class, one of :data:`MouthpieceClass`."""
    group: str
    """Learning group, one of :data:`GROUPS`."""
    covers: tuple[str, ...]
    """Which of :data:`VOICES` it can cover, best first; empty for drums."""
    midi_program: int
    """General MIDI program, 1 to 128 as the standard numbers them; 0 for drums on channel 10."""
    family: str = ""
    """Id of the instrument this is a variant of, or empty."""
    held: Held | None = None
    """How it is held; ``None`` for percussion."""
    bell_cm: float
    """Width of the bell, centimetres; 0 for percussion."""
    formant_hz: float
    """Frequency near which its sound is strongest, whatever the note, hertz; 0 for percussion."""
    rim: Mouthpiece | None = None
    """Its mouthpiece measured; ``None`` for percussion."""

    @property
    def weight_kg(self) -> float:
        """Rough weight of the heaviest thing to hold, kilograms, without its case."""
        return self.loads[0].weight_kg

    @property
    def length_cm(self) -> float:
        """Rough length or height of that, centimetres, as held."""
        return self.loads[0].length_cm

    @property
    def pitched(self) -> bool:
        """Whether it plays notes (drums do not)."""
        return not isinstance(self.mechanism, Drums)

    @property
    def brass(self) -> bool:
        """Whether it has valves or a slide."""
        return isinstance(self.mechanism, Valves | Slide)

    def reading(self, reading_id: str) -> Reading:
        """The reading with this id; ``KeyError`` when its players do not use it."""
        for reading in self.readings:
            if reading.id == reading_id:
                return reading
        raise KeyError(reading_id)

    def level_of(self, sounding: Pitch) -> str:
        """The narrowest range level that has ``sounding``; ``ValueError`` when none has."""
        for level in LEVELS:
            if sounding in self.sounding_range(level):
                return level
        raise ValueError(f"{self.id} does not play {sounding}")

    def sounding_range(self, level: str) -> Range:
        """Sounding range at ``level``."""
        written, reading = self.ranges[level], self.readings[0]
        return Range(reading.sounding(written.low), reading.sounding(written.high))

    def written_range(self, level: str, reading: Reading) -> Range:
        """Written range at ``level`` in any of its readings."""
        sounding = self.sounding_range(level)
        return Range(reading.written(sounding.low), reading.written(sounding.high))
