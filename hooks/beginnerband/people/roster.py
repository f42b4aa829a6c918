"""Learners and the cupboard of instruments as values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field
from typing import Literal

from beginnerband.music.instrument import Instrument

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
"""Days of the week as the roster writes them, Monday first (as ISO 8601 counts them)."""

MOUTHPIECES = ("small", "medium", "funnel", "large", "extra-large")
"""Mouthpiece classes that a trial can be made on."""

Age = Literal["child", "teen", "adult"]
Tried = Literal["clear", "fair", "none"]
State = Literal["ready", "usable", "repair", "could-be-lent"]


@dataclass(frozen=True, slots=True)
class Learner:
    """One person, by initials or nickname, with what a leader needs to know to find them an instrument."""

    name: str
    """Initials or a nickname; unique in the band."""
    age: Age
    """``child``, ``teen`` or ``adult``."""
    _: KW_ONLY
    wishes: tuple[str, ...] = ()
    """Instrument ids, dearest first."""
    wish_weight: int = 1
    """How much the wishes count: 1 as everybody's, 2 twice as much."""
    trial: Mapping[str, Tried] = field(default_factory=dict, hash=False)
    """What came out of each mouthpiece class that was tried."""
    reach_cm: float | None = None
    """How far out the slide can be held, centimetres, measured; ``None``: not measured."""
    lifts_kg: float | None = None
    """The most this person is to carry and hold, kilograms; ``None``: as usual for the age."""
    wide_rim: bool = False
    """A wide rim is kinder to this mouth."""
    ask_first: bool = False
    """Ask at home before anything is put to the lips."""
    played: str = ""
    """Id of the instrument played before, or empty."""
    years: float = 0
    """For how many years."""
    reads: bool = False
    """Whether they read music."""
    holds: bool | None = None
    """Whether they can hold a line alone; ``None``: by the rule for their age and years."""
    days: tuple[str, ...] = ()
    """Days of :data:`DAYS` on which they can come; empty: any."""
    owns: str = ""
    """Id of the instrument they own, or empty."""
    set_to: str = ""
    """Id of the instrument the leader has decided on, whatever the plan would say; or empty."""
    never: tuple[str, ...] = ()
    """Ids of instruments that are out of the question."""
    now: str = ""
    """Id of the instrument they play now, for a plan made anew; empty for a newcomer."""


@dataclass(frozen=True, slots=True)
class CupboardItem:
    """One instrument that is there, or that somebody would lend."""

    instrument: Instrument
    """What it is."""
    serial: str = ""
    """Serial number or the band's own mark."""
    _: KW_ONLY
    size: str = ""
    """As ``three-quarter``; empty: the usual."""
    weight_kg: float | None = None
    """Its own weight where it is not the usual one."""
    state: State = "ready"
    """``ready``, ``usable`` (plays, with something amiss), ``repair`` (not to be given out), ``could-be-lent``."""
    lender: str = ""
    """Who lends it; empty: the band's own."""
    owner: str = ""
    """Name of the learner who owns it, or empty."""

    @property
    def kg(self) -> float:
        """What it weighs."""
        return self.weight_kg or self.instrument.weight_kg

    @property
    def there(self) -> bool:
        """Whether it can be given out now."""
        return self.state in ("ready", "usable")


@dataclass(frozen=True, slots=True)
class Roster:
    """The people and the instruments of one band."""

    learners: tuple[Learner, ...]
    """Everyone, in the order of the file."""
    items: tuple[CupboardItem, ...]
    """Every instrument, learners' own ones last."""
    invented: bool = False
    """Whether it is the example that comes with the handbook."""

    def learner(self, name: str) -> Learner:
        """The learner of this name; ``KeyError`` when there is none."""
        for learner in self.learners:
            if learner.name == name:
                return learner
        raise KeyError(name)

    @property
    def lendable(self) -> tuple[CupboardItem, ...]:
        """Instruments that somebody would lend."""
        return tuple(item for item in self.items if item.state == "could-be-lent")
