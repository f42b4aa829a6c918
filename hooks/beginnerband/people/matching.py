"""Who plays what: people matched to instruments so that every line is covered, at the least cost.

The answer is exact. A plan gives each learner one instrument that is there, or lets them wait. It must meet the
*demands*: each of the four lines held by somebody of its own who can hold one, one of the bass instruments at least,
every decision of the leader, nobody with more weight than they may lift, nobody with what is out of the question.
Among the plans that do, it is the cheapest: a sum of whole points, each with its reason and weight in
``content/matching.yml``.

That each line has a holder of its own is written without saying who holds which: for every set of lines, as many
holders must be able to take one of them as there are lines in the set (Hall's theorem, P. Hall 1935).

The same roster in another order gives the same plan: learners are taken by name and instruments by id.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import combinations

from beginnerband.music.equivalence import compare
from beginnerband.music.instrument import VOICES, Instrument, Slide
from beginnerband.music.pitch import chromatic
from beginnerband.music.player import Player
from beginnerband.music.reading import Reading
from beginnerband.music.scoring import Charge
from beginnerband.music.slide import detours, places
from beginnerband.people.roster import MOUTHPIECES, CupboardItem, Learner
from beginnerband.people.solver import INFINITY, Programme

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

_STEPS = {"small": 0, "medium": 1, "funnel": 1, "large": 2, "extra-large": 3}


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


Bills = dict[tuple[str, str, float, str], tuple[Charge, ...]]


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


class Matching:
    """The plans of one roster."""

    def __init__(
        self,
        learners: Iterable[Learner],
        items: Iterable[CupboardItem],
        readings: Mapping[str, Reading],
        rules: MatchingRules,
        instruments: Mapping[str, Instrument],
        bills: Bills | None = None,
        forgone: Iterable[Demand] = (),
    ) -> None:
        """``readings`` says how the band reads an instrument; its first reading where it is silent.

        ``forgone`` are demands that are given up.
        """
        self.forgone = frozenset(forgone)
        self.order = tuple(learners)
        self.learners = tuple(sorted(self.order, key=lambda learner: learner.name))
        self.items = tuple(items)
        self.readings = readings
        self.rules = rules
        self.instruments = instruments
        self.bills: Bills = {} if bills is None else bills
        self.kinds = _kinds(self.items)
        self.usual = usual(rules.groups, len(self.learners))
        self._options = [tuple(self._allowed(learner)) for learner in self.learners]

    def with_items(self, items: Iterable[CupboardItem]) -> Matching:
        """The same people with other instruments."""
        return Matching(self.order, items, self.readings, self.rules, self.instruments, self.bills, self.forgone)

    def without(self, demands: Iterable[Demand]) -> Matching:
        """The same people and instruments, with these demands given up."""
        forgone = self.forgone.union(demands)
        return Matching(self.order, self.items, self.readings, self.rules, self.instruments, self.bills, forgone)

    @property
    def demands(self) -> tuple[Demand, ...]:
        """Everything a plan must meet, in a fixed order."""
        found = [Demand(kind="line", who=line) for line in VOICES]
        found.append(Demand(kind="bass"))
        for learner in self.learners:
            if learner.set_to:
                found.append(Demand(kind="set", who=learner.name, what=learner.set_to))
                continue  # the leader's decision stands above limits
            if learner.lifts_kg is not None:
                found.append(Demand(kind="lifts", who=learner.name))
            found.extend(Demand(kind="never", who=learner.name, what=name) for name in learner.never)
        return tuple(demand for demand in found if demand not in self.forgone)

    def best(self, unlike: Sequence[Plan] = (), forced: Mapping[str, str] | None = None) -> Plan | None:
        """The cheapest plan, or ``None`` when no plan meets every demand.

        It differs from each of ``unlike`` for as many people as the rules say, and gives everybody in ``forced`` (name
        to instrument id) that instrument.
        """
        base, columns = self._whole
        programme = base.copy()
        for plan in unlike:
            same = {
                column: 1.0
                for (who, kind), column in columns.items()
                if plan.of.get(self.learners[who].name) == self.kinds[kind].instrument.id
            }
            programme.row(same, most=len(plan.places) - self.rules.differ)
        for name, instrument in (forced or {}).items():
            chosen = {
                column: 1.0
                for (who, kind), column in columns.items()
                if self.learners[who].name == name and self.kinds[kind].instrument.id == instrument
            }
            programme.row(chosen, least=1)
        values = programme.solve()
        return None if values is None else self._plan(columns, values, ())

    @cached_property
    def _whole(self) -> tuple[Programme, dict[tuple[int, int], int]]:
        """The programme with every demand, which the variants of a plan add to."""
        programme, columns, _ = self._programme(frozenset(self.demands), relaxed=False)
        return programme, columns

    def nearest(self) -> Plan:
        """The plan that drops as few demands as can be, and of those the cheapest."""
        kept = self._most_kept(frozenset())
        programme, columns, _ = self._programme(kept, relaxed=False)
        values = programme.solve()
        assert values is not None  # what was kept can be met
        return self._plan(columns, values, tuple(demand for demand in self.demands if demand not in kept))

    def others(self, plan: Plan) -> tuple[Plan, ...]:
        """The next-best plans, each different from all before it."""
        found = [plan]
        while len(found) <= self.rules.alternatives:
            another = self.best(unlike=found)
            if another is None:
                break
            found.append(another)
        return tuple(found[1:])

    def clash(self) -> tuple[Demand, ...]:
        """The smallest set of demands that cannot be met together; empty when all can.

        Every such set has something in common with every *correction*: demands whose dropping lets a plan be made. So
        the smallest set that touches all corrections found so far is tried; if it can be met, growing it gives another
        correction, and in the end it cannot (implicit hitting sets: Ignatiev and others, "Smallest MUS extraction with
        minimal hitting set dualization", CP 2015).
        """
        demands, corrections = self.demands, list[frozenset[Demand]]()
        while True:
            tried = _smallest_touching(demands, corrections)
            if tried is None:
                return ()
            kept = self._most_kept(tried)
            if not tried <= kept:
                return tuple(demand for demand in demands if demand in tried)
            correction = frozenset(demands) - kept
            if not correction:
                return ()
            corrections.append(correction)

    def _most_kept(self, firm: frozenset[Demand]) -> frozenset[Demand]:
        """As many demands as can be met with ``firm`` among them; without ``firm`` where that alone cannot be met."""
        programme, _, drops = self._programme(frozenset(self.demands), relaxed=True, priced=False)
        for demand in firm:
            programme.uppers[drops[demand]] = 0
        values = programme.solve()
        if values is None:
            return frozenset()
        return frozenset(demand for demand in self.demands if values[drops[demand]] == 0)

    def bill(self, learner: Learner, kind: Kind) -> tuple[Charge, ...]:
        """What it costs to give a learner an instrument of a kind."""
        key = (learner.name, kind.instrument.id, kind.kg, kind.state)
        if key not in self.bills:
            counted = self._counted(learner, kind)
            self.bills[key] = tuple(Charge(reason, count, each) for reason, count, each in counted if count * each)
        return self.bills[key]

    def _counted(self, learner: Learner, kind: Kind) -> Iterator[tuple[str, int, int]]:
        instrument, rules, weights = kind.instrument, self.rules, self.rules.weights
        place = learner.wishes.index(instrument.id) if instrument.id in learner.wishes else len(rules.wish)
        if learner.wishes:
            yield "wish", learner.wish_weight, rules.wish[min(place, len(rules.wish) - 1)]
        if instrument.brass:
            yield "trial", 1, rules.trial[learner.trial.get(instrument.mouthpiece, "untried")]
        if isinstance(instrument.mechanism, Slide):
            if learner.reach_cm is None:
                yield "unmeasured", int(learner.age != "adult"), weights["unmeasured"]
            else:
                yield "reach", positions_beyond(instrument, learner.reach_cm), weights["reach"]
        if instrument.brass:  # drums stand on the floor
            yield "heavy", max(0, math.ceil(kind.kg - rules.easy_kg[learner.age])), weights["heavy"]
        if learner.wide_rim:
            yield "rim", 1, rules.rim.get(instrument.mouthpiece, 0)
        yield "own", int(bool(learner.owns) and learner.owns != instrument.id), weights["own"]
        before = self.instruments.get(learner.now or learner.played)
        if before and before.id != instrument.id:
            yield "hands", self._new_tenths(before, instrument), weights["hands"]
            yield "mouthpiece", mouthpiece_steps(before, instrument), weights["mouthpiece"]
        yield "usable", int(kind.state == "usable"), weights["usable"]
        yield "moved", int(bool(learner.now) and learner.now != instrument.id), weights["moved"]

    def reading(self, instrument: Instrument) -> Reading:
        """How this band reads an instrument."""
        return self.readings.get(instrument.id, instrument.readings[0])

    def _new_tenths(self, before: Instrument, after: Instrument) -> int:
        """How many tenths of the fingerings are new."""
        if not (before.brass and after.brass):
            return 10
        found = compare(Player(before, self.reading(before)), Player(after, self.reading(after)))
        return math.ceil(10 * len(found.differs) / len(found.notes)) if found.notes else 10

    def _allowed(self, learner: Learner) -> Iterator[int]:
        """The kinds a learner may be given at all: another's own instrument is out of reach."""
        for number, kind in enumerate(self.kinds):
            if kind.owner in ("", learner.name):
                yield number

    def _breaks(self, learner: Learner, kind: Kind) -> Demand | None:
        """The demand that giving ``kind`` to ``learner`` would break, if any."""
        if learner.set_to:
            return None
        if kind.instrument.id in learner.never:
            return Demand(kind="never", who=learner.name, what=kind.instrument.id)
        if learner.lifts_kg is not None and kind.instrument.brass and kind.kg > learner.lifts_kg:
            return Demand(kind="lifts", who=learner.name)
        return None

    def _programme(
        self, demands: frozenset[Demand], relaxed: bool, priced: bool = True
    ) -> tuple[Programme, dict[tuple[int, int], int], dict[Demand, int]]:
        """The programme that meets ``demands``; ``relaxed``: any may be dropped, as few as can be.

        Columns are given by learner and kind. ``priced``: with what people, balance and waiting cost.
        """
        programme = Programme()
        drops = {}
        if relaxed:
            drops = {demand: programme.column(_loss(demand)) for demand in self.demands if demand in demands}
        columns: dict[tuple[int, int], int] = {}
        for who, learner in enumerate(self.learners):
            for number in self._options[who]:
                kind = self.kinds[number]
                points = sum(charge.points for charge in self.bill(learner, kind)) if priced else 0
                broken = self._breaks(learner, kind)
                if broken in demands and not relaxed:
                    continue
                columns[who, number] = programme.column(points)
                if broken in drops:
                    programme.row({columns[who, number]: 1, drops[broken]: -1}, most=0)
        by_learner, by_kind = defaultdict[int, dict[int, float]](dict), defaultdict[int, dict[int, float]](dict)
        for (who, number), column in columns.items():
            by_learner[who][column] = by_kind[number][column] = 1.0
        for who in range(len(self.learners)):
            waits = programme.column(self.rules.weights["waits"] if priced else 0)
            programme.row({**by_learner[who], waits: 1.0}, least=1, most=1)
        for number, kind in enumerate(self.kinds):
            programme.row(by_kind[number], most=len(kind.items))
        self._ask(programme, columns, demands, drops)
        if priced:
            self._weigh(programme, columns)
        return programme, columns, drops

    def _ask(
        self,
        programme: Programme,
        columns: Mapping[tuple[int, int], int],
        demands: frozenset[Demand],
        drops: Mapping[Demand, int],
    ) -> None:
        """The rows of lines, bass and decisions."""
        lines = [line for line in VOICES if Demand(kind="line", who=line) in demands]
        holders = [
            (column, self.kinds[number].instrument)
            for (who, number), column in columns.items()
            if self.kinds[number].instrument.brass and can_hold(self.learners[who], self.rules)
        ]
        for size in range(1, len(lines) + 1):
            for chosen in combinations(lines, size):
                able = {column: 1.0 for column, instrument in holders if set(instrument.covers) & set(chosen)}
                dropped = {drops[Demand(kind="line", who=line)]: 1.0 for line in chosen} if drops else {}
                programme.row({**able, **dropped}, least=size)
        for demand in sorted(demands):
            if demand.kind not in ("bass", "set"):
                continue
            able = {
                column: 1.0
                for (who, number), column in columns.items()
                if (demand.kind == "bass" and self.kinds[number].instrument.id in self.rules.basses)
                or (
                    demand.kind == "set"
                    and self.learners[who].name == demand.who
                    and self.kinds[number].instrument.id == demand.what
                )
            }
            programme.row({**able, **({drops[demand]: 1.0} if drops else {})}, least=1)

    def _weigh(self, programme: Programme, columns: Mapping[tuple[int, int], int]) -> None:
        """The columns and rows of the balance: each player more, or fewer, than usual costs more than the last."""
        for group, wanted in zip(self.rules.groups, self.usual, strict=True):
            members = {
                column: 1.0
                for (_, number), column in columns.items()
                if self.kinds[number].instrument.id in group.instruments
            }
            spare = len(self.learners) - wanted
            over = {programme.column(group.over * step, whole=False): -1.0 for step in range(1, spare + 1)}
            under = {programme.column(group.under * step, whole=False): 1.0 for step in range(1, wanted + 1)}
            programme.row({**members, **over}, most=wanted)
            programme.row({**members, **under}, least=wanted)

    def _plan(
        self, columns: Mapping[tuple[int, int], int], values: Sequence[float], dropped: tuple[Demand, ...]
    ) -> Plan:
        left = {number: list(kind.items) for number, kind in enumerate(self.kinds)}
        found: dict[str, Place] = {}
        for (who, number), column in columns.items():
            if values[column] > 0.5:
                learner, kind = self.learners[who], self.kinds[number]
                found[learner.name] = Place(learner, left[number].pop(0), self.bill(learner, kind))
        places = self._with_lines([found[learner.name] for learner in self.order if learner.name in found])
        counts = Counter(place.item.instrument.id for place in places)
        balance = tuple(
            Balance(group, wanted, sum(counts[name] for name in group.instruments))
            for group, wanted in zip(self.rules.groups, self.usual, strict=True)
        )
        waiting = tuple(learner for learner in self.order if learner.name not in found)
        return Plan(tuple(places), waiting, balance, self.rules.weights["waits"], dropped)

    def _with_lines(self, chosen: list[Place]) -> list[Place]:
        """The places with a holder named for each line, as far as there are any: best on their line, most years."""
        able = [place for place in chosen if place.item.instrument.brass and can_hold(place.learner, self.rules)]
        names = holders(able)
        return [replace(place, line=names.get(place.learner.name, "")) for place in chosen]


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


def _loss(demand: Demand) -> int:
    """What it counts to drop a demand: fewer are always better, and a line that is kept longest is dropped last."""
    return 10 + (KEPT_LONGEST.get(demand.who, 0) if demand.kind == "line" else 0)


def positions_beyond(instrument: Instrument, reach_cm: float) -> int:
    """How many slide positions that first-year notes use lie further out than ``reach_cm``."""
    assert isinstance(instrument.mechanism, Slide)
    span = instrument.sounding_range("first-year")
    out = {place.position for place in places(instrument.mechanism) if not place.trigger and place.cm > reach_cm}
    used = {detour.standard.position for detour in detours(instrument, chromatic(span.low, span.high), reach_cm)}
    return len(out & used)


def mouthpiece_steps(before: Instrument, after: Instrument) -> int:
    """How far apart two mouthpieces are, in steps from small to extra large; percussion has none."""
    if before.mouthpiece not in MOUTHPIECES or after.mouthpiece not in MOUTHPIECES:
        return 0
    return abs(_STEPS[before.mouthpiece] - _STEPS[after.mouthpiece])


def _kinds(items: Iterable[CupboardItem]) -> tuple[Kind, ...]:
    alike: dict[tuple[str, float, str, str], list[CupboardItem]] = defaultdict(list)
    for item in items:
        if item.there:
            alike[item.instrument.id, item.kg, item.state, item.owner].append(item)
    return tuple(
        Kind(same[0].instrument, kg, state, owner, tuple(sorted(same, key=lambda item: (item.serial, item.lender))))
        for (_, kg, state, owner), same in sorted(alike.items())
    )


def _smallest_touching(demands: Sequence[Demand], sets: Sequence[frozenset[Demand]]) -> frozenset[Demand] | None:
    """The fewest demands that have one in common with each set; the earlier in order where there is a choice."""
    programme = Programme()
    scale = len(demands) ** 2 + 1
    columns = {demand: programme.column(scale + at) for at, demand in enumerate(demands)}
    for each in sets:
        programme.row({columns[demand]: 1.0 for demand in each}, least=1, most=INFINITY)
    values = programme.solve()
    return None if values is None else frozenset(demand for demand in demands if values[columns[demand]] > 0.5)
