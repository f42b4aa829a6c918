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
from dataclasses import replace
from functools import cached_property
from itertools import combinations

from beginnerband.music.equivalence import compare
from beginnerband.music.instrument import VOICES, Instrument, Slide
from beginnerband.music.pitch import chromatic
from beginnerband.music.player import Player
from beginnerband.music.reading import Reading
from beginnerband.music.scoring import Charge
from beginnerband.music.slide import detours, places
from beginnerband.people.plan import (
    KEPT_LONGEST,
    Balance,
    Demand,
    Kind,
    MatchingRules,
    Place,
    Plan,
    can_hold,
    holders,
    usual,
)
from beginnerband.people.roster import MOUTHPIECES, CupboardItem, Learner
from beginnerband.people.solver import INFINITY, Programme

_STEPS = {"small": 0, "medium": 1, "funnel": 1, "large": 2, "extra-large": 3}


Bills = dict[tuple[str, str, float, str], tuple[Charge, ...]]


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
        return self._other(items, self.forgone)

    def without(self, demands: Iterable[Demand]) -> Matching:
        """The same people and instruments, with these demands given up."""
        return self._other(self.items, self.forgone.union(demands))

    def _other(self, items: Iterable[CupboardItem], forgone: Iterable[Demand]) -> Matching:
        return Matching(self.order, items, self.readings, self.rules, self.instruments, self.bills, forgone)

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
