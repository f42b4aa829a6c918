"""Made-up learners and cupboards of any size, and the plain way to find the best plan: try them all."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import permutations, product

from conftest import ROOT

from beginnerband.data.instruments import load_instruments
from beginnerband.data.matching import load_matching
from beginnerband.data.problems import Problems
from beginnerband.music.instrument import Instrument
from beginnerband.people.matching import Matching
from beginnerband.people.plan import Demand, Kind, MatchingRules, can_hold
from beginnerband.people.roster import DAYS, MOUTHPIECES, CupboardItem, Learner


@cache
def shipped() -> tuple[dict[str, Instrument], MatchingRules]:
    """The shipped instruments and rules."""
    problems = Problems(ROOT)
    instruments = load_instruments(ROOT, problems)
    rules = load_matching(ROOT, instruments, problems)
    problems.stop_if_any()
    assert rules is not None
    return instruments, rules


USUAL = ("cornet",) * 6 + ("tenor-horn",) * 4 + ("trombone", "baritone") * 2 + ("euphonium", "eb-bass", "trumpet")
USUAL = (*USUAL, "f-horn", "drums", "drums", "glockenspiel", "flugelhorn")


def learner(chance: random.Random, name: str, wanted: Sequence[str] = USUAL) -> Learner:
    """Somebody."""
    owns = chance.choice(wanted) if chance.random() < 0.1 else ""
    return Learner(
        name=name,
        age=chance.choice(("child", "child", "teen", "adult")),
        wishes=tuple(dict.fromkeys(chance.choices(wanted, k=chance.randint(0, 3)))),
        trial={mouth: chance.choice(("clear", "fair", "none")) for mouth in MOUTHPIECES if chance.random() < 0.5},
        reach_cm=chance.choice((None, 30.0, 45.0, 60.0, 70.0)),
        lifts_kg=chance.choice((None, None, None, 2.5, 5.0)),
        wide_rim=chance.random() < 0.1,
        played=chance.choice(("", "", "", *wanted[:3])),
        years=chance.choice((0, 0, 1, 3)),
        holds=chance.choice((None, None, True, False)),
        days=tuple(day for day in DAYS if chance.random() < 0.6),
        owns=owns,
        never=tuple(chance.sample(wanted, 1)) if chance.random() < 0.1 else (),
        now=chance.choice(("", "", *wanted[:2])),
    )


def band(seed: int, people: int, things: int) -> Matching:
    """A band of some size with a cupboard of some size."""
    instruments, rules = shipped()
    chance = random.Random(seed)
    learners = [learner(chance, f"L{number:03}") for number in range(people)]
    items = [
        CupboardItem(
            instruments[chance.choice(USUAL)], serial=f"{number:03}", state=chance.choice(("ready", "ready", "usable"))
        )
        for number in range(things)
    ]
    own = [CupboardItem(instruments[each.owns], owner=each.name) for each in learners if each.owns]
    return Matching(learners, [*items, *own], {}, rules, instruments)


def every_plan(matching: Matching, demands: Sequence[Demand]) -> Iterator[tuple[int, dict[str, str]]]:
    """Points and instrument by name of every plan that meets ``demands``, found by trying all."""
    options = [(*range(len(matching.kinds)), None) for _ in matching.learners]
    for chosen in product(*options):
        counts = Counter(number for number in chosen if number is not None)
        if any(count > len(matching.kinds[number].items) for number, count in counts.items()):
            continue
        given = [
            (each, matching.kinds[number])
            for each, number in zip(matching.learners, chosen, strict=True)
            if number is not None
        ]
        if all(kind.owner in ("", each.name) for each, kind in given) and meets(matching, given, demands):
            yield points(matching, given), {each.name: kind.instrument.id for each, kind in given}


def meets(matching: Matching, given: list[tuple[Learner, Kind]], demands: Sequence[Demand]) -> bool:
    """Whether a plan meets the demands, by the words of the rules alone."""
    of = {each.name: kind for each, kind in given}
    people = {each.name: each for each in matching.learners}
    for demand in demands:
        kind = of.get(demand.who)
        if demand.kind == "bass" and not {kind.instrument.id for kind in of.values()} & set(matching.rules.basses):
            return False
        if demand.kind == "set" and (kind is None or kind.instrument.id != demand.what):
            return False
        if demand.kind == "never" and kind is not None and kind.instrument.id == demand.what:
            return False
        limit = people[demand.who].lifts_kg if demand.kind == "lifts" else None
        if limit is not None and kind is not None and kind.instrument.brass and kind.kg > limit:
            return False
    lines = [demand.who for demand in demands if demand.kind == "line"]
    holders = [kind.instrument for each, kind in given if kind.instrument.brass and can_hold(each, matching.rules)]
    return any(
        all(line in holder.covers for line, holder in zip(lines, chosen, strict=True))
        for chosen in permutations(holders, len(lines))
    )


def points(matching: Matching, given: list[tuple[Learner, Kind]]) -> int:
    """What a plan costs."""
    rules = matching.rules
    total = sum(charge.points for each, kind in given for charge in matching.bill(each, kind))
    total += rules.weights["waits"] * (len(matching.learners) - len(given))
    for group, wanted in zip(rules.groups, matching.usual, strict=True):
        apart = sum(kind.instrument.id in group.instruments for _, kind in given) - wanted
        total += sum(range(abs(apart) + 1)) * (group.over if apart > 0 else group.under)
    return total
