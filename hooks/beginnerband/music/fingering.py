"""Which valves or slide position give a note: every way that exists, and the one to teach.

The rule for the standard fingering, from the acoustics alone:

1. Harmonics 7, 11, 13 and 14 are never used: they are out of tune. On a slide alone the seventh is set right by
   drawing it in from second or third position (♯2, ♯3), as ordinary charts show; those are alternates.
2. Prefer harmonics 2, 3 and 5 and their octaves (4, 6, 8, 10, 12, 16) to the pedal (1) and to 9 and 15, which sit so
   close to their neighbours that a learner cannot find them.
3. Of those, add the least tube: fewest semitones lowered.
4. On a tie, use the valves that are meant for the note, whose semitones add up to it, as tutors print; then do not use
   the third valve without the first or second (1-2 rather than 3); then do not add more tube than the note needs (too
   sharp can be lengthened, too flat cannot be shortened); then the better in tune (the fourth valve rather than 1-3);
   then, on a slide, the shorter reach (the trigger rather than 6).

Alternates follow in the same order. No table of exceptions exists.

A fingering *reaches* a note when its pitch lands near enough to be lipped or pulled into tune (:data:`NEAR`). So on a
tube without compensation 2-3-4, meant for nine semitones, really reaches the note eight below, and is listed there. It
is also listed, and taught, nine below, since that is what players are given: below the second harmonic, valves with the
fourth among them are taught at the note they are meant for while they are no more than about a semitone sharp
(:data:`PRINTED`); the better in tune is then an alternate.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import KW_ONLY, dataclass, replace
from functools import lru_cache

from beginnerband.music import acoustics
from beginnerband.music.instrument import Instrument, Mechanism, Slide, Valves
from beginnerband.music.pitch import Pitch

OUT_OF_TUNE = frozenset({7, 11, 13, 14})
"""Harmonics no learner uses: 31 cents flat, 49 flat, 41 sharp and 31 flat of the nearest note."""

CROWDED = frozenset({1, 9, 15})
"""Harmonics used only where nothing else reaches the note."""

NEAR = (-40.0, 60.0)
"""Cents flat and sharp that still count as reaching a note: the worst in ordinary use is 1-2-3, 54 to 56 sharp, which
the third-valve slide brings down; a flat note cannot be shortened, only lipped (common practice, no source)."""

RAISED = (2, 3)
"""Slide positions from which the flat seventh harmonic is drawn in until it is in tune, G4 and F♯4 on a B♭ tenor; in
first nothing is left to draw in (ordinary charts of the tenor trombone; common practice, from memory)."""

MOST_SHORT = 3
"""So many notes are looked at for each set of valves: the one it is meant for and those above. All four valves
together, without compensation, fall short of their eleven semitones by almost two."""

PRINTED = 110.0
"""Cents by which a fingering with the fourth valve may be sharp of the note it is printed for: 1-2-4 is 79 and 2-3-4 is
104 (charts of four-valved euphoniums without compensation, common practice, from memory)."""


@dataclass(frozen=True, slots=True)
class Fingering:
    """One way to play one note."""

    valves: tuple[int, ...]
    """Valves pressed, ascending; empty on an open tube or a slide."""
    _: KW_ONLY
    position: int | None
    """Slide position, 1 to 7; ``None`` on a valved instrument."""
    trigger: bool
    """Whether a trombone's trigger is down."""
    harmonic: int
    """Number of the harmonic, 1 to 16."""
    lowering: int
    """Semitones below its harmonic that the note lies."""
    cents: float
    """Deviation from equal temperament before the player corrects it; positive is sharp; 0 in a raised position, whose
    place is where the note is in tune."""
    reach_cm: float = 0.0
    """How far out the slide is, centimetres."""
    raised: bool = False
    """Whether the slide is drawn in from its position, to mend a flat harmonic."""
    meant: bool = True
    """Whether the semitones of its valves add up to :attr:`lowering`; a slide's always do."""

    @property
    def code(self) -> str:
        """As in the data files: ``0``, ``1-2``, ``4``, ``T1``, raised ``♯2``."""
        if self.position is not None:
            return f"{'T' if self.trigger else ''}{'♯' if self.raised else ''}{self.position}"
        return "-".join(map(str, self.valves)) or "0"

    @property
    def for_learners(self) -> bool:
        """Whether its harmonic is in tune enough to teach."""
        return self.raised or self.harmonic not in OUT_OF_TUNE


def all_fingerings(instrument: Instrument, sounding: Pitch) -> tuple[Fingering, ...]:
    """Every way the tube reaches ``sounding``, in the order of the rule, out-of-tune harmonics last.

    Empty when it cannot be reached, and for percussion, which has neither valves nor slide.
    """
    return _all(instrument.mechanism, instrument.fundamental, sounding.midi)


def standard(instrument: Instrument, sounding: Pitch) -> Fingering | None:
    """The fingering to teach, or ``None`` where there is none."""
    ways = learner_fingerings(instrument, sounding)
    return ways[0] if ways else None


def learner_fingerings(instrument: Instrument, sounding: Pitch) -> tuple[Fingering, ...]:
    """The standard fingering and its alternates, best first, without out-of-tune harmonics."""
    return _taught(instrument.mechanism, instrument.fundamental, sounding.midi)


def every_way(instrument: Instrument) -> tuple[Fingering, ...]:
    """Every fingering or position with every harmonic it can sound; empty for percussion."""
    return _ways(instrument.mechanism)


def notes_of(instrument: Instrument, code: str) -> tuple[tuple[int, Fingering], ...]:
    """Reverse look-up: the sounding MIDI numbers one fingering or position can give, lowest first.

    Each comes with the fingering that gives it; raises ``ValueError`` for a code the instrument does not have.
    """
    if instrument.fundamental is None:
        return ()
    ways = [way for way in _ways(instrument.mechanism) if way.code == code]
    if not ways:
        raise ValueError(f"{instrument.id} has no fingering {code!r}")
    base = instrument.fundamental.midi
    return tuple(sorted(((base + _steps(way), way) for way in ways), key=lambda pair: pair[0]))


def _steps(way: Fingering) -> int:
    """Semitones from the fundamental up to the note ``way`` reaches."""
    return acoustics.harmonic_semitones(way.harmonic) - way.lowering


@lru_cache(maxsize=4096)
def _all(mechanism: Mechanism, fundamental: Pitch | None, midi: int) -> tuple[Fingering, ...]:
    if fundamental is None:
        return ()
    wanted = midi - fundamental.midi
    return tuple(sorted((way for way in _ways(mechanism) if _steps(way) == wanted), key=_order))


@lru_cache(maxsize=4096)
def _taught(mechanism: Mechanism, fundamental: Pitch | None, midi: int) -> tuple[Fingering, ...]:
    return tuple(way for way in _all(mechanism, fundamental, midi) if way.for_learners)


def _order(way: Fingering) -> tuple[bool, bool, bool, int, bool, bool, bool, float, float]:
    third_alone = 3 in way.valves and not {1, 2} & set(way.valves)
    too_long = way.cents < acoustics.harmonic_cents(way.harmonic) - 1
    return (
        not way.for_learners,
        way.raised,
        way.harmonic in CROWDED,
        way.lowering,
        not way.meant,
        third_alone,
        too_long,
        round(abs(way.cents), 6),
        way.reach_cm,
    )


@lru_cache(maxsize=64)
def _ways(mechanism: Mechanism) -> tuple[Fingering, ...]:
    """Every fingering with every harmonic it can sound and every note that reaches."""
    if isinstance(mechanism, Valves):
        return tuple(
            way
            for pressed in acoustics.valve_combinations(mechanism)
            for harmonic in acoustics.HARMONICS
            for way in _valved(mechanism, pressed, harmonic)
        )
    if isinstance(mechanism, Slide):
        return tuple(
            _slid(mechanism, trigger, steps, harmonic)
            for trigger in mechanism.triggers
            for steps in range(acoustics.POSITIONS)
            if acoustics.slide_extension_cm(mechanism, steps, trigger) <= mechanism.travel_cm
            for harmonic in acoustics.HARMONICS
        )
    return ()


def _valved(valves: Valves, pressed: tuple[int, ...], harmonic: int) -> Iterator[Fingering]:
    meant = acoustics.valve_lowering(valves, pressed)
    sharp = acoustics.harmonic_cents(harmonic) + acoustics.valve_cents(valves, pressed)
    for lowering in range(meant, meant - MOST_SHORT, -1):
        cents = sharp - 100 * (meant - lowering)
        printed = harmonic == 2 and 4 in pressed and lowering == meant and NEAR[1] < cents <= PRINTED
        # An out-of-tune harmonic stays listed at the note it is nearest to, so that it can be named and avoided.
        if NEAR[0] <= cents <= NEAR[1] or printed or (harmonic in OUT_OF_TUNE and lowering == meant):
            # adding 0 makes -0.0, which would be printed, a plain 0
            yield Fingering(
                valves=pressed,
                position=None,
                trigger=False,
                harmonic=harmonic,
                lowering=lowering,
                cents=cents + 0.0,
                meant=lowering == meant,
            )


def _slid(slide: Slide, trigger: bool, steps: int, harmonic: int) -> Fingering:
    lowering = steps + (slide.trigger or 0 if trigger else 0)
    reach, cents = acoustics.slide_extension_cm(slide, steps, trigger), acoustics.harmonic_cents(harmonic)
    way = Fingering(
        valves=(),
        position=steps + 1,
        trigger=trigger,
        harmonic=harmonic,
        lowering=lowering,
        cents=cents,
        reach_cm=reach,
    )
    if harmonic == 7 and way.position in RAISED and not trigger:
        in_tune = reach + acoustics.slide_correction_cm(slide, reach, cents)
        return replace(way, raised=True, cents=0.0, reach_cm=in_tune)
    return way
