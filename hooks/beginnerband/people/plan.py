"""What a plan of who plays what is made of: its rules, its demands, its places and what each of them costs."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from beginnerband.music.instrument import VOICES, Instrument
from beginnerband.music.scoring import Charge
from beginnerband.people.roster import CupboardItem, Learner

REASONS = {
    "wish": "not the first wish",
    "trial": "what the mouthpiece trial showed",
    "reach": "slide positions out of reach",
    "unmeasured": "reach not measured yet",
    "heavy": "kilograms more than is easy at this age",
    "rim": "a narrower rim than is kind",
    "own": "their own instrument stays at home",
    "hands": "tenths of the fingerings that are new",
    "mouthpiece": "steps to another mouthpiece",
    "usable": "an instrument with something amiss",
    "moved": "a change for somebody who plays already",
}
"""Why points are charged for a person, and what is counted."""

KEPT_LONGEST = {"soprano": 3, "bass": 2, "alto": 1, "tenor": 1}
"""Which lines are kept where not all can be held: the tune, then the bass (common practice, as in ``scoring.yml``)."""


@dataclass(frozen=True, slots=True)
class Group:
    """Instruments that the balance of a band counts together."""

    name: str
    """As ``horns``."""
    instruments: tuple[str, ...]
    """Ids."""
    share: float
    """Usual share of the players, in hundredths."""
    over: int
    """Points for the first player more than that; twice as many for the second, and so on."""
    under: int
    """Points for the first player fewer; twice as many for the second, and so on."""
    why: str = ""
    """The reason, from the data."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchingRules:
    """Terms and weights, from ``content/matching.yml``."""

    groups: tuple[Group, ...]
    """The usual balance."""
    basses: tuple[str, ...]
    """Ids of the instruments of which one must be there."""
    wish: tuple[int, ...]
    """Points by place in the wishes; the last counts for every later place and for no wish at all."""
    trial: Mapping[str, int] = field(hash=False)
    """Points for ``clear``, ``fair``, ``none`` and ``untried``."""
    rim: Mapping[str, int] = field(hash=False)
    """Points by mouthpiece class for somebody who needs a wide rim."""
    easy_kg: Mapping[str, float] = field(hash=False)
    """What is easily held, by age."""
    years_to_hold: Mapping[str, float] = field(hash=False)
    """Years of playing after which a line can be held, by age."""
    weights: Mapping[str, int] = field(hash=False)
    """Points for one of each other reason, and for each who ``waits``."""
    alternatives: int = 3
    """How many of the next-best plans are shown."""
    differ: int = 2
    """How many people must have another instrument for a plan to count as another."""


@dataclass(frozen=True, slots=True, order=True, kw_only=True)
class Demand:
    """Something a plan must meet."""

    kind: str
    """``line``, ``bass``, ``set``, ``lifts`` or ``never``."""
    who: str = ""
    """The line, or the learner's name."""
    what: str = ""
    """The instrument, where one is meant."""


@dataclass(frozen=True, slots=True)
class Place:
    """A learner with an instrument."""

    learner: Learner
    """Who."""
    item: CupboardItem
    """What."""
    bill: tuple[Charge, ...]
    """What it costs, reason by reason."""
    line: str = ""
    """The line this learner is counted on to hold, or empty."""

    @property
    def points(self) -> int:
        """Points in all."""
        return sum(charge.points for charge in self.bill)

    @property
    def wish(self) -> int:
        """Place of the instrument among the wishes from 0, or -1."""
        wishes = self.learner.wishes
        return wishes.index(self.item.instrument.id) if self.item.instrument.id in wishes else -1


@dataclass(frozen=True, slots=True)
class Balance:
    """A group as the plan has it."""

    group: Group
    """Which."""
    usual: int
    """How many are usual in a band of this size."""
    players: int
    """How many there are."""

    @property
    def points(self) -> int:
        """Points for the difference: the second costs twice the first, and so on."""
        apart = self.players - self.usual
        each = self.group.over if apart > 0 else self.group.under
        return each * abs(apart) * (abs(apart) + 1) // 2


@dataclass(frozen=True, slots=True)
class Plan:
    """Who plays what."""

    places: tuple[Place, ...]
    """Learners with an instrument, in the roster's order."""
    waiting: tuple[Learner, ...]
    """Learners for whom there is none."""
    balance: tuple[Balance, ...]
    """Every group."""
    waits_each: int
    """Points for each who waits."""
    dropped: tuple[Demand, ...] = ()
    """Demands it does not meet: none, unless asked for the plan that comes nearest."""

    @property
    def points(self) -> int:
        """Points in all; the fewer, the better."""
        return (
            sum(place.points for place in self.places)
            + sum(group.points for group in self.balance)
            + self.waits_each * len(self.waiting)
        )

    @property
    def by_reason(self) -> dict[str, int]:
        """Points by reason, with ``balance`` and ``waits``; only those charged."""
        sums: Counter[str] = Counter()
        for place in self.places:
            for charge in place.bill:
                sums[charge.reason] += charge.points
        sums["balance"] = sum(group.points for group in self.balance)
        sums["waits"] = self.waits_each * len(self.waiting)
        return {reason: sums[reason] for reason in (*REASONS, "balance", "waits") if sums[reason]}

    @property
    def counts(self) -> dict[str, int]:
        """Players by instrument id, in no order."""
        return dict(Counter(place.item.instrument.id for place in self.places))

    @property
    def of(self) -> dict[str, str]:
        """Instrument id by learner's name."""
        return {place.learner.name: place.item.instrument.id for place in self.places}


@dataclass(frozen=True, slots=True)
class Kind:
    """Instruments that are alike for the plan."""

    instrument: Instrument
    """What they are."""
    kg: float
    """What they weigh."""
    state: str
    """``ready`` or ``usable``."""
    owner: str
    """Whose own it is, or empty."""
    items: tuple[CupboardItem, ...] = field(compare=False, hash=False)
    """Every one."""


def can_hold(learner: Learner, rules: MatchingRules) -> bool:
    """Whether this learner can hold a line alone: as the roster says, else by age and years."""
    if learner.holds is not None:
        return learner.holds
    return learner.years >= rules.years_to_hold[learner.age]


def usual(groups: Sequence[Group], players: int) -> tuple[int, ...]:
    """How many of each group are usual among ``players``: by shares, what is left over to the largest remainders."""
    whole = sum(group.share for group in groups)
    exact = [group.share * players / whole for group in groups]
    found = [math.floor(share) for share in exact]
    order = sorted(range(len(groups)), key=lambda at: (found[at] - exact[at], at))
    for at in order[: players - sum(found)]:
        found[at] += 1
    return tuple(found)


def holders(able: Sequence[Place]) -> dict[str, str]:
    """Line by name of its holder: as many lines as can be, of those :data:`KEPT_LONGEST`, then each in the order its
    instrument covers them best."""

    def rank(place: Place, line: str) -> tuple[int, float, str]:
        return place.item.instrument.covers.index(line), -place.learner.years, place.learner.name

    likely = {
        line: sorted((place for place in able if line in place.item.instrument.covers), key=lambda p: rank(p, line))[:4]
        for line in VOICES
    }
    best: tuple[tuple[int, int, int, float], dict[str, str]] = ((0, 0, 0, 0.0), {})

    def go(at: int, taken: dict[str, str], score: tuple[int, int, int, float]) -> None:
        nonlocal best
        if at == len(VOICES):
            if score < best[0]:
                best = (score, dict(taken))
            return
        for place in likely[VOICES[at]]:
            if place.learner.name not in taken:
                second, years, _ = rank(place, VOICES[at])
                taken[place.learner.name] = VOICES[at]
                kept = score[1] - KEPT_LONGEST[VOICES[at]]
                go(at + 1, taken, (score[0] - 1, kept, score[2] + second, score[3] + years))
                del taken[place.learner.name]
        go(at + 1, taken, score)

    go(0, {}, (0, 0, 0, 0.0))
    return best[1]
