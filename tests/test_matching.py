"""Who plays what: against trying every plan, and what must hold for any band."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from matchmaking import USUAL, band, every_plan, learner, shipped

from beginnerband.music.instrument import VOICES
from beginnerband.people.changes import borrowings, moved_between, movers, refusals, steps
from beginnerband.people.matching import Matching, positions_beyond
from beginnerband.people.plan import Demand, can_hold, usual
from beginnerband.people.roster import CupboardItem, Learner

SEEDS = st.integers(0, 10**6)
FEW = settings(max_examples=15, deadline=None)


def likely(seed: int, people: int = 12, things: int = 16) -> Matching:
    """A band that can be made: the four lines, a bass, and people who can hold them."""
    instruments, rules = shipped()
    chance = random.Random(seed)
    people_ = [learner(chance, f"L{number:03}") for number in range(people)]
    able = [replace(each, holds=True, lifts_kg=None, never=()) for each in people_[:4]]
    need = [CupboardItem(instruments[name]) for name in ("cornet", "tenor-horn", "baritone", "eb-bass")]
    more = [CupboardItem(instruments[chance.choice(USUAL)], serial=str(number)) for number in range(things - 4)]
    own = [CupboardItem(instruments[each.owns], owner=each.name) for each in (*able, *people_[4:]) if each.owns]
    return Matching([*able, *people_[4:]], [*need, *more, *own], {}, rules, instruments)


@pytest.mark.parametrize("seed", range(14))
def test_the_plan_is_the_best_there_is(seed: int) -> None:
    """Bands small enough to try every plan there could be."""
    matching = band(seed, people=4 + seed % 2, things=5)
    tried = list(every_plan(matching, matching.demands))
    plan = matching.best()
    if plan is None:
        assert not tried
    else:
        assert plan.points == min(points for points, _ in tried)
        assert plan.of in [of for points, of in tried if points == plan.points]


@pytest.mark.parametrize("seed", range(10))
def test_the_next_best_are_the_next_best(seed: int) -> None:
    matching = likely(seed, people=4, things=5)
    plan = matching.best()
    assert plan is not None
    tried, seen = list(every_plan(matching, matching.demands)), [plan]
    for other in matching.others(plan):
        apart = [
            points
            for points, of in tried
            if all(sum(before.of[name] == of.get(name) for name in before.of) <= len(before.of) - 2 for before in seen)
        ]
        assert other.points == min(apart)
        seen.append(other)


@pytest.mark.parametrize("seed", range(14))
def test_the_clash_is_the_smallest_there_is(seed: int) -> None:
    """No set of fewer demands is impossible, and the one that is named is."""
    matching = band(seed, people=4, things=3)
    clash = matching.clash()
    assert bool(clash) == (matching.best() is None)
    if clash:
        assert not list(every_plan(matching, clash))
        for size in range(len(clash)):
            for fewer in combinations(matching.demands, size):
                assert any(True for _ in every_plan(matching, fewer)), fewer


def test_a_clash_in_words_a_leader_knows() -> None:
    """Three people cannot hold four lines; nobody can be given what is not there; no bass, no bass line."""
    instruments, rules = shipped()
    adults = [Learner(name, "adult") for name in "ABCD"]
    items = [CupboardItem(instruments[name]) for name in ("cornet", "tenor-horn", "baritone", "eb-bass")]
    lines = {Demand(kind="line", who=line) for line in VOICES}
    assert set(Matching(adults[:3], items, {}, rules, instruments).clash()) == lines
    decided = [*adults, Learner("E", "child", set_to="f-horn")]
    assert Matching(decided, items, {}, rules, instruments).clash() == (Demand(kind="set", who="E", what="f-horn"),)
    assert Matching(adults, items[:3], {}, rules, instruments).clash() == (Demand(kind="bass"),)
    near = Matching(adults, items[:3], {}, rules, instruments).nearest()
    assert near.dropped == (Demand(kind="bass"),) or set(near.dropped) >= {Demand(kind="bass")}
    assert len(near.places) == 3


def test_without_a_bass_everything_else_is_still_said() -> None:
    """What cannot be met is given up, the tune and the bass line last; wishes, next-best plans and loans follow."""
    instruments, rules = shipped()
    people = [Learner(name, "adult", wishes=("cornet",)) for name in "ABC"]
    items = [CupboardItem(instruments[name]) for name in ("cornet", "cornet", "trombone")]
    matching = Matching(people, items, {}, rules, instruments)
    near = matching.nearest()
    assert {place.line for place in near.places} >= {"soprano", "bass"}
    assert {demand.who for demand in near.dropped if demand.kind == "line"} in ({"alto"}, {"tenor"})
    workable = matching.without(near.dropped)
    assert workable.best() == replace(near, dropped=())
    assert [each.wish for each in refusals(workable, near)] == ["cornet"]
    assert all(other.points >= near.points for other in workable.others(near))
    found = steps(matching, near, [CupboardItem(instruments[name]) for name in ("eb-bass", "trumpet")])
    assert [each.item.instrument.id for each in found] == ["eb-bass"]
    assert len(found[0].plan.dropped) < len(near.dropped)


@FEW
@given(SEEDS)
def test_nothing_is_given_twice_and_everyone_once(seed: int) -> None:
    matching = likely(seed)
    plan = matching.best()
    assert plan is not None
    names = [place.learner.name for place in plan.places]
    assert len(set(names)) == len(names)
    assert sorted([*names, *(each.name for each in plan.waiting)]) == [each.name for each in matching.learners]
    for item in {id(item): item for item in matching.items}.values():
        assert sum(place.item is item for place in plan.places) <= 1
    for place in plan.places:
        assert place.item.there
        assert place.item.owner in ("", place.learner.name)
        assert place.item.instrument.id not in place.learner.never
        if place.learner.lifts_kg and place.item.instrument.brass:
            assert place.item.kg <= place.learner.lifts_kg


@FEW
@given(SEEDS)
def test_every_line_has_a_holder_of_its_own(seed: int) -> None:
    matching = likely(seed)
    plan = matching.best()
    assert plan is not None
    held = {place.line: place for place in plan.places if place.line}
    assert set(held) == set(VOICES)
    for line, place in held.items():
        assert line in place.item.instrument.covers
        assert can_hold(place.learner, matching.rules)
    assert set(plan.counts) & set(matching.rules.basses)


@FEW
@given(SEEDS, st.sampled_from(USUAL))
def test_a_decision_of_the_leader_is_kept(seed: int, instrument: str) -> None:
    """Whatever it costs, and above what is out of the question or too heavy."""
    matching = likely(seed)
    decided = [
        replace(each, set_to=instrument, never=(instrument,), lifts_kg=0.5) if each.name == "L007" else each
        for each in matching.order
    ]
    items = (*matching.items, CupboardItem(matching.instruments[instrument], serial="more"))
    plan = Matching(decided, items, {}, matching.rules, matching.instruments).best()
    assert plan is not None
    assert plan.of["L007"] == instrument


@FEW
@given(SEEDS, st.sampled_from(USUAL))
def test_an_instrument_more_never_makes_it_worse(seed: int, instrument: str) -> None:
    matching = likely(seed, people=9, things=9)
    more = matching.with_items((*matching.items, CupboardItem(matching.instruments[instrument], serial="more")))
    before, after = matching.best(), more.best()
    assert before is not None
    assert after is not None
    assert after.points <= before.points


@FEW
@given(SEEDS, st.integers(2, 9))
def test_more_weight_on_a_wish_never_loses_it(seed: int, weight: int) -> None:
    """Somebody who has their first wish keeps it when their wishes count for more."""
    matching = likely(seed)
    plan = matching.best()
    assert plan is not None
    for granted in [place.learner.name for place in plan.places if place.wish == 0][:3]:
        louder = [replace(each, wish_weight=weight) if each.name == granted else each for each in matching.order]
        again = Matching(louder, matching.items, {}, matching.rules, matching.instruments).best()
        assert again is not None
        assert again.of[granted] == plan.of[granted]
        assert again.points == plan.points


@FEW
@given(SEEDS, st.randoms())
def test_the_order_of_the_files_does_not_matter(seed: int, chance: random.Random) -> None:
    matching = likely(seed)
    learners, items = list(matching.order), list(matching.items)
    chance.shuffle(learners)
    chance.shuffle(items)
    plan, again = matching.best(), Matching(learners, items, {}, matching.rules, matching.instruments).best()
    assert plan is not None
    assert again is not None
    assert again.of == plan.of


@FEW
@given(SEEDS)
def test_a_latecomer_moves_nobody_without_a_gain(seed: int) -> None:
    """The price of a change keeps people where they are: never more move than would if changing were free."""
    matching = likely(seed)
    plan = matching.best()
    assert plan is not None
    assume(not plan.waiting)
    begun = [replace(each, now=plan.of[each.name], played="") for each in matching.order]
    again = Matching(begun, matching.items, {}, matching.rules, matching.instruments).best()
    assert again is not None
    costs_less = replace_moved(matching, 0)
    free = Matching(begun, matching.items, {}, costs_less, matching.instruments).best()
    assert free is not None
    assert len(movers(again)) <= len(movers(free))


def replace_moved(matching: Matching, points: int):  # type: ignore[no-untyped-def]
    """The rules with another price for moving somebody."""
    return replace(matching.rules, weights={**matching.rules.weights, "moved": points})


@FEW
@given(SEEDS)
def test_what_borrowing_saves_is_what_planning_again_saves(seed: int) -> None:
    matching = likely(seed, people=9, things=9)
    plan = matching.best()
    assert plan is not None
    some = random.Random(seed).sample(sorted(matching.instruments), 6)
    lendable = [CupboardItem(matching.instruments[name], state="could-be-lent") for name in some]
    found = borrowings(matching, plan, lendable)
    assert [each.saved for each in found] == sorted((each.saved for each in found), reverse=True)
    for each in found:
        assert each.plan.points + each.saved + matching.rules.weights["borrow"] == plan.points
        assert each.moved == moved_between(plan, each.plan)


@FEW
@given(SEEDS)
def test_a_refused_wish_would_have_cost_more(seed: int) -> None:
    matching = likely(seed)
    plan = matching.best()
    assert plan is not None
    for refused in refusals(matching, plan):
        assert refused.instead is None or refused.instead.points >= plan.points
        if refused.instead:
            assert refused.points == refused.instead.points - plan.points
            assert refused.instead.of[refused.place.learner.name] == refused.wish


def test_shares_of_the_balance_add_up() -> None:
    _, rules = shipped()
    for players in range(1, 130):
        assert sum(usual(rules.groups, players)) == players


@pytest.mark.parametrize(("reach", "beyond"), [(70, 0), (61, 0), (50, 1), (10, 5)])
def test_positions_beyond_a_reach(reach: float, beyond: int) -> None:
    """A tenor trombone's positions lie further apart the further out they are; a first year uses the first six.

    Distances out from the tube alone (2.7 m, equal temperament): 8, 16.5, 25.5, 35, 45, 56 cm for second to seventh.
    """
    instruments, _ = shipped()
    assert positions_beyond(instruments["trombone"], reach) == beyond
