"""Which fingerings two players share, and what changes for someone who moves from one instrument to another."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from beginnerband.music import acoustics
from beginnerband.music.fingering import Fingering, standard
from beginnerband.music.instrument import Instrument, Slide, Valves
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player, players_of


@dataclass(frozen=True, slots=True)
class Difference:
    """A written note that two players play with different fingerings."""

    written: Pitch
    """The note both read."""
    first: Fingering | None
    """What the first player does."""
    second: Fingering | None
    """What the second player does."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two players reading the same written notes."""

    first: Player
    """One player."""
    second: Player
    """The other."""
    notes: tuple[Pitch, ...]
    """Written notes that both have in their full range."""
    differs: tuple[Difference, ...]
    """Those with different fingerings."""

    @property
    def same(self) -> int:
        """On how many of the notes the fingering is the same."""
        return len(self.notes) - len(self.differs)

    @property
    def identical(self) -> bool:
        """Whether a player can change over without learning one new fingering."""
        return bool(self.notes) and not self.differs


@lru_cache(maxsize=4096)
def compare(first: Player, second: Player) -> Comparison:
    """On which of the written notes both have does the usual fingering differ?"""
    theirs = {pitch.midi for pitch in second.written()}
    notes = tuple(pitch for pitch in first.written() if pitch.midi in theirs)
    found = ((pitch, first.standard(pitch), second.standard(pitch)) for pitch in notes)
    return Comparison(
        first, second, notes, tuple(Difference(pitch, a, b) for pitch, a, b in found if _hands(a) != _hands(b))
    )


def octaves_apart(first: Player, second: Player) -> int:
    """Octaves up from what ``second`` reads to what ``first`` reads: 1 for a bass-clef tuba beside a euphonium."""
    low = [player.written("first-year")[0].midi for player in (first, second)]
    return round((low[0] - low[1]) / 12)


def fingered_alike(first: Player, second: Player, notes: Iterable[Pitch]) -> bool:
    """Whether players of one reading do the same for those of ``notes``, as ``first`` reads them, that both have.

    Mallets do the same for each.
    """
    if first.reading.id != second.reading.id:
        return False
    apart = octaves_apart(first, second)
    ways = [(first.standard(note), second.standard(note.octaves_up(-apart))) for note in notes]
    both = [(_hands(one), _hands(other)) for one, other in ways if one and other]
    return all(one == other for one, other in both) and (bool(both) or not any(one or other for one, other in ways))


def _hands(way: Fingering | None) -> object:
    """What the hands do: valve 1 and first position are not the same."""
    return None if way is None else (way.valves, way.position, way.trigger)


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveAsPosition:
    """A valve combination and the slide position that lowers the tube by as much."""

    valves: tuple[int, ...]
    """Valves pressed."""
    lowering: int
    """Semitones both lower the tube."""
    position: int | None
    """Slide position, or ``None`` when the slide alone is too short."""
    trigger_position: int | None
    """Position with the trigger down, or ``None`` where there is none."""
    valve_cents: float
    """How sharp the valves are there; the slide has no such error."""


def valves_as_positions(valves: Valves, slide: Slide) -> tuple[ValveAsPosition, ...]:
    """For a player moving to the trombone: each valve combination, least tube first."""
    rows = []
    for pressed in acoustics.valve_combinations(valves):
        lowering = acoustics.valve_lowering(valves, pressed)
        with_trigger = lowering - slide.trigger if slide.trigger else -1
        rows.append(
            ValveAsPosition(
                valves=pressed,
                lowering=lowering,
                position=_position(slide, lowering, trigger=False),
                trigger_position=_position(slide, with_trigger, trigger=True),
                valve_cents=acoustics.valve_cents(valves, pressed),
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.lowering, row.valves == (3,), row.valves)))


def _position(slide: Slide, steps: int, trigger: bool) -> int | None:
    if steps not in range(acoustics.POSITIONS) or acoustics.slide_extension_cm(slide, steps, trigger) > slide.travel_cm:
        return None
    return steps + 1


@dataclass(frozen=True, slots=True)
class Changeover:
    """What changes, and what does not, for a player moved from one instrument to another."""

    old: Player
    """What they played."""
    new: Player
    """What they will play."""
    comparison: Comparison
    """Fingerings on the written notes both have."""
    sounds: int
    """Semitones the same written note sounds higher (+) or lower (-) than before."""

    @property
    def same_clef(self) -> bool:
        """Whether written notes keep their names."""
        return self.old.reading.clef == self.new.reading.clef

    @property
    def same_page(self) -> bool:
        """Whether the old part can be played from on the new instrument: it sounds the same, octaves apart."""
        return self.same_clef and self.sounds % 12 == 0

    @property
    def same_hands(self) -> bool:
        """Whether every fingering stays."""
        return self.comparison.identical

    @property
    def same_by_sound(self) -> bool:
        """Whether hands do the same for a sound, octaves apart: in another clef, that is what a player keeps."""
        one, other = self.old.instrument, self.new.instrument
        if one.key != other.key or type(one.mechanism) is not type(other.mechanism):
            return False
        assert one.fundamental
        assert other.fundamental
        apart = (other.fundamental.midi - one.fundamental.midi) // 12
        sounds = (self.old.reading.sounding(written) for written in self.old.written())
        ways = [(standard(one, sound), standard(other, sound.octaves_up(apart))) for sound in sounds]
        return all(_hands(first) == _hands(second) for first, second in ways if first and second)

    @property
    def same_mouthpiece(self) -> bool:
        """Whether the mouthpiece is of the same class."""
        return self.old.instrument.mouthpiece == self.new.instrument.mouthpiece

    @property
    def same_shank(self) -> bool:
        """Whether the old mouthpiece goes into the new instrument: its end is the same."""
        old, new = self.old.instrument.rim, self.new.instrument.rim
        return old is not None and new is not None and old.shank == new.shank

    @property
    def octaves(self) -> int:
        """Whole octaves lower (-) or higher (+), nearest to zero."""
        return round(self.sounds / 12)


def change_over(old: Player, new: Player) -> Changeover:
    """Compare two players' ways for someone who changes over."""
    return Changeover(
        old,
        new,
        compare(old, new),
        new.reading.semitones - old.reading.semitones,
    )


def kindest_reading(old: Player, new: Instrument) -> Player:
    """The new instrument's reading that keeps most of what the player knows: fingerings first, then the clef."""

    def kept(player: Player) -> tuple[int, bool]:
        return compare(old, player).same, player.reading.clef == old.reading.clef

    return max(players_of(new), key=kept)
