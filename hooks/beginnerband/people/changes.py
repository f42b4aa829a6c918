"""What a plan could be instead: a wish granted, an instrument borrowed, and who moves from what they play now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from beginnerband.people.matching import Matching
from beginnerband.people.plan import Demand, Kind, Place, Plan
from beginnerband.people.roster import CupboardItem, Learner


@dataclass(frozen=True, slots=True)
class Refusal:
    """A first wish that the plan does not grant, and what granting it would cost."""

    place: Place
    """What the learner has instead."""
    wish: str
    """Instrument id of the first wish."""
    instead: Plan | None
    """The cheapest plan that grants it, or ``None`` when none does."""
    dearer: tuple[tuple[str, int], ...]
    """By how many points each reason would rise (or, negative, fall) in that plan, the greatest rise first."""
    limit: Demand | None
    """The learner's own limit that stands against it, if one does."""
    there: int
    """How many of the instrument there are for this learner: the band's, and their own."""

    @property
    def points(self) -> int:
        """What granting it would cost in all; 0 where it cannot be granted."""
        return sum(points for _, points in self.dearer)


@dataclass(frozen=True, slots=True)
class Borrowing:
    """One instrument more, and what it would change."""

    item: CupboardItem
    """What would be borrowed."""
    plan: Plan
    """The plan with it."""
    saved: int
    """Points it saves, after what borrowing itself counts; where there was no plan without it, all that it frees."""
    moved: tuple[Place, ...]
    """Everybody with another instrument than in the plan without it."""


def refusals(matching: Matching, plan: Plan) -> tuple[Refusal, ...]:
    """Every first wish that the plan does not grant, worked out by planning again with it granted."""
    found = []
    for place in plan.places:
        learner = place.learner
        if not learner.wishes or place.wish == 0 or learner.set_to:
            continue
        wish = learner.wishes[0]
        kinds = [kind for kind in matching.kinds if kind.instrument.id == wish and kind.owner in ("", learner.name)]
        instead = matching.best(forced={learner.name: wish}) if kinds else None
        found.append(
            Refusal(
                place=place,
                wish=wish,
                instead=instead,
                dearer=_dearer(plan, instead),
                limit=_limit(learner, kinds),
                there=_number(kinds),
            )
        )
    return tuple(found)


def borrowings(matching: Matching, plan: Plan | None, lendable: Iterable[CupboardItem]) -> tuple[Borrowing, ...]:
    """What each instrument that could be lent would save, the most helpful first; those that do not help left out.

    Alike instruments are tried once. Without a ``plan`` (none meets all demands): those that make one possible.
    """
    found = []
    for there in _each_once(lendable):
        better = matching.with_items((*matching.items, there)).best()
        if better is None:
            continue
        saved = (plan.points - better.points if plan else 0) - matching.rules.weights["borrow"]
        if plan is None or saved > 0:
            found.append(Borrowing(there, better, saved, moved_between(plan, better)))
    order = sorted(found, key=lambda each: (each.plan.points if plan is None else -each.saved, each.item.instrument.id))
    return tuple(order)


def steps(matching: Matching, plan: Plan, lendable: Iterable[CupboardItem]) -> tuple[Borrowing, ...]:
    """Where no single instrument makes every demand possible: those with which fewer are left out than in ``plan``."""
    tried = [(there, matching.with_items((*matching.items, there)).nearest()) for there in _each_once(lendable)]
    found = [
        Borrowing(there, nearer, 0, moved_between(plan, nearer))
        for there, nearer in tried
        if len(nearer.dropped) < len(plan.dropped)
    ]
    return tuple(sorted(found, key=lambda each: (len(each.plan.dropped), each.plan.points, each.item.instrument.id)))


def _each_once(lendable: Iterable[CupboardItem]) -> Iterator[CupboardItem]:
    """What could be lent as if it were there, alike instruments once."""
    tried = set[tuple[str, float]]()
    for item in lendable:
        if (item.instrument.id, item.kg) not in tried:
            tried.add((item.instrument.id, item.kg))
            yield replace(item, state="ready", owner="")


def moved_between(before: Plan | None, after: Plan) -> tuple[Place, ...]:
    """Places of ``after`` whose learners had another instrument, or none, in ``before``."""
    had = before.of if before else {}
    return tuple(place for place in after.places if had.get(place.learner.name) != place.item.instrument.id)


def movers(plan: Plan) -> tuple[Place, ...]:
    """Places of learners who play another instrument now."""
    return tuple(place for place in plan.places if place.learner.now not in ("", place.item.instrument.id))


def _dearer(plan: Plan, instead: Plan | None) -> tuple[tuple[str, int], ...]:
    if instead is None:
        return ()
    now, then = plan.by_reason, instead.by_reason
    reasons = dict.fromkeys((*now, *then))
    apart = [(reason, then.get(reason, 0) - now.get(reason, 0)) for reason in reasons]
    return tuple(sorted((each for each in apart if each[1]), key=lambda each: -each[1]))


def _limit(learner: Learner, kinds: Sequence[Kind]) -> Demand | None:
    if not kinds:
        return None
    instrument = kinds[0].instrument
    if instrument.id in learner.never:
        return Demand(kind="never", who=learner.name, what=instrument.id)
    if learner.lifts_kg is not None and instrument.brass and min(kind.kg for kind in kinds) > learner.lifts_kg:
        return Demand(kind="lifts", who=learner.name)
    return None


def _number(kinds: Sequence[Kind]) -> int:
    return sum(len(kind.items) for kind in kinds)
