"""Plans in words: why somebody has this instrument, what a wish would have cost, what cannot be met."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from beginnerband.data.book import Book
from beginnerband.data.planned import Planned
from beginnerband.music.instrument import Instrument
from beginnerband.music.words import capital, series
from beginnerband.pages.instruments.moving import name
from beginnerband.pages.shared.units import fine_length, weight
from beginnerband.people.changes import Refusal, moved_between
from beginnerband.people.matching import positions_beyond
from beginnerband.people.plan import Demand, Place, Plan, can_hold
from beginnerband.people.roster import Learner

REASONS = {
    "wish": "wishes that are not the first",
    "trial": "what the mouthpiece trials showed",
    "reach": "slide positions out of reach",
    "unmeasured": "a slide for somebody whose reach nobody has measured",
    "heavy": "weight beyond what is easy at that age",
    "rim": "a narrower rim than is kind",
    "own": "own instruments left at home",
    "hands": "fingerings to learn anew",
    "mouthpiece": "steps to another mouthpiece",
    "usable": "instruments with something amiss",
    "moved": "changes for those who play already",
    "balance": "the balance of the band",
    "waits": "people without an instrument",
}
"""What points are charged for, as the bill says it."""

PLACES = ("first", "second", "third", "fourth", "fifth")


class Words:
    """Says things about one planned band."""

    def __init__(self, book: Book, planned: Planned) -> None:
        self.book, self.planned = book, planned
        self.english = book.band.english

    def instrument(self, instrument: Instrument | str) -> str:
        """Its name in the band's words."""
        known = self.book.instruments[instrument] if isinstance(instrument, str) else instrument
        return name(self.book, known)

    def a(self, instrument: Instrument | str) -> str:
        """Its name with an article: ``an E♭ bass``, ``the drums``."""
        words = self.instrument(instrument)
        if words.endswith(("s", "cymbals")) and "bass" not in words[-4:]:
            return f"the {words}"
        return f"{'an' if words[:1].lower() in 'aefio' else 'a'} {words}"

    def why(self, place: Place, refused: Refusal | None) -> list[str]:
        """Sentences: why this learner has this instrument, and what to see to."""
        found = [self._chosen(place), *self._suits(place)]
        if refused:
            found.append(self.refusal(refused))
        return [sentence for sentence in (*found, *self._cautions(place)) if sentence]

    def _chosen(self, place: Place) -> str:
        learner, instrument = place.learner, place.item.instrument
        if learner.set_to == instrument.id:
            return "Your decision."
        if learner.set_to:
            return f"You decided on {self.a(learner.set_to)}, which cannot be had for them."
        own = " Plays their own." if place.item.owner else ""
        if place.wish >= 0:
            return f"{PLACES[min(place.wish, 4)].capitalize()} wish.{own}"
        if not learner.wishes:
            return f"No wish of their own.{own}"
        return f"Not among the wishes, but needed{self._line_of(place)}.{own}"

    def _line_of(self, place: Place) -> str:
        instrument = place.item.instrument
        if not (instrument.brass and instrument.covers):
            return ""
        return f" on the {place.line or instrument.covers[0]} line"

    def _suits(self, place: Place) -> Iterable[str]:
        learner, instrument = place.learner, place.item.instrument
        tried = learner.trial.get(instrument.mouthpiece) if instrument.brass else None
        if tried == "clear":
            yield "Its mouthpiece spoke clearly."
        if tried == "none":
            yield "Its mouthpiece gave no sound at the trial: try again before you decide."
        before = learner.now or learner.played
        charged = {charge.reason: charge for charge in place.bill}
        if before and before != instrument.id and instrument.brass and "hands" not in charged:
            yield f"Every fingering of the {self.instrument(before)} carries over."
        if place.line:
            yield f"Holds the {place.line} line."

    def _cautions(self, place: Place) -> Iterable[str]:
        learner, charged = place.learner, {charge.reason: charge for charge in place.bill}
        if "reach" in charged:
            yield f"{charged['reach'].count} slide positions are out of reach: see their page."
        if "unmeasured" in charged:
            yield "Measure the reach before the first lesson."
        if "heavy" in charged:
            yield f"{weight(place.item.kg, self.english)}: on the lap or a stand, with rests."
        if "rim" in charged:
            yield "The rim is narrower than is kind: watch the lips, rest often."
        if "usable" in charged:
            yield "The instrument has something amiss."
        if "moved" in charged:
            yield f"Changes over from the {self.instrument(learner.now)}."
        if learner.ask_first:
            yield "Ask at home first."

    def refusal(self, refused: Refusal) -> str:
        """Why the first wish was not granted."""
        learner, wish = refused.place.learner, self.instrument(refused.wish)
        if refused.limit and refused.limit.kind == "never":
            return f"The {wish} is out of the question."
        if refused.limit:
            return f"The {wish} weighs more than the {weight(learner.lifts_kg or 0, self.english)} they may lift."
        if not refused.there:
            return f"There is no {wish} for them."
        if refused.instead is None:
            left = "every demand" if not self.planned.clash else "as many demands"
            return f"With {self.a(refused.wish)} for them, no plan would meet {left}."
        if refused.points == 0:
            return f"With {self.a(refused.wish)} the plan would be as good: yours to choose."
        dearer = [self._dearer(reason, refused) for reason, points in refused.dearer if points > 0]
        said = [words for words in dearer if words not in REASONS.values()] or dearer
        points = f"{refused.points} point{'s' if refused.points != 1 else ''}"
        return f"{capital(self.a(refused.wish))} would cost {points} more: {' and '.join(said[:2])}."

    def _dearer(self, reason: str, refused: Refusal) -> str:
        """One thing that gets worse in the plan that grants the wish."""
        assert refused.instead is not None
        learner, plan, instead = refused.place.learner, self.planned.plan, refused.instead
        wish = self.book.instruments[refused.wish]
        if reason == "reach" and learner.reach_cm is not None:
            out = positions_beyond(wish, learner.reach_cm)
            return f"{out} slide positions lie beyond a reach of {fine_length(learner.reach_cm, self.english)}"
        if reason == "balance":
            return self._imbalance(plan, instead)
        if reason == "wish":
            losers = [
                place.learner.name
                for place in instead.places
                if place.learner.name != learner.name
                and place.wish != 0
                and place.item.instrument.id != plan.of.get(place.learner.name)
                and place.learner.wishes
            ]
            return f"{series(losers[:3])} would have to give up a wish" if losers else REASONS[reason]
        if reason == "trial":
            tried = learner.trial.get(wish.mouthpiece, "untried")
            words = {"none": "gave no sound", "fair": "gave a sound with effort", "untried": "was not tried"}.get(tried)
            return f"its mouthpiece {words} at the trial" if words else REASONS[reason]
        if reason == "heavy":
            return f"it weighs {weight(wish.weight_kg, self.english)}"
        return REASONS[reason]

    def _imbalance(self, plan: Plan, instead: Plan) -> str:
        worse = [
            f"{after.players} {after.group.name} where {after.usual} {'is' if after.usual == 1 else 'are'} usual"
            for before, after in zip(plan.balance, instead.balance, strict=True)
            if after.points > before.points
        ]
        return f"there would be {series(worse)}" if worse else REASONS["balance"]

    def demand(self, demand: Demand) -> str:
        """A demand as the thing that is asked for: ``somebody to hold the tenor line``."""
        if demand.kind == "line":
            return f"somebody to hold the {demand.who} line"
        if demand.kind == "bass":
            basses = [self.instrument(each) for each in self.planned.matching.rules.basses if self._known(each)]
            return f"a bass ({' or '.join(basses)})"
        if demand.kind == "set":
            return f"{self.a(demand.what)} for {demand.who} (your decision)"
        if demand.kind == "lifts":
            limit = self.planned.roster.learner(demand.who).lifts_kg or 0
            return f"nothing over {weight(limit, self.english)} for {demand.who}"
        return f"no {self.instrument(demand.what)} for {demand.who}"

    def _known(self, instrument: str) -> bool:
        return instrument in self.book.instruments

    def clash(self, clash: Sequence[Demand]) -> str:
        """Why there is no plan."""
        roster = self.planned.roster
        if len(clash) == 1:
            return f"This cannot be met: {self.demand(clash[0])}. {self._missing(clash[0])}"
        lines = sum(demand.kind == "line" for demand in clash)
        also = self._trusted() if lines > 1 else ""
        for wanted in dict.fromkeys(demand.what for demand in clash if demand.kind == "set"):
            there = sum(item.there and item.instrument.id == wanted for item in roster.items)
            also += f" In the cupboard: {self.instrument(wanted)}, {there or 'none'}."
        return f"These cannot all be met together: {_and([self.demand(demand) for demand in clash], '; and ')}.{also}"

    def _trusted(self) -> str:
        """How many may be counted on for a line, and how somebody is added."""
        rules, learners = self.planned.matching.rules, self.planned.roster.learners
        steady = sum(can_hold(learner, rules) for learner in learners)
        return (
            f" Of {len(learners)} learners {steady or 'none'} can hold a line alone, as the roster has it; whoever "
            "else you trust with one, write holds: yes on their line."
        )

    def _missing(self, demand: Demand) -> str:
        instruments = {item.instrument for item in self.planned.roster.items if item.there}
        if demand.kind == "line":
            can = [instrument for instrument in instruments if instrument.brass and demand.who in instrument.covers]
            if not can:
                return "No instrument in the cupboard covers it."
            rules, learners = self.planned.matching.rules, self.planned.roster.learners
            some = "Nobody who can hold a line may have one." if any(can_hold(each, rules) for each in learners) else ""
            return (some + self._trusted()).strip()
        if demand.kind in ("bass", "set") and not any(
            instrument.id == demand.what
            or (demand.kind == "bass" and instrument.id in self.planned.matching.rules.basses)
            for instrument in instruments
        ):
            return "There is none in the cupboard."
        return ""

    def changed(self, before: Plan, after: Plan) -> str:
        """Who would have what instead, and who nothing: ``Furze on B♭ cornet, Tansy without``."""
        moved = [
            f"{each.learner.name} on {self.instrument(each.item.instrument)}" for each in moved_between(before, after)
        ]
        waits = [f"{each.name} without" for each in after.waiting if each.name in before.of]
        return ", ".join([*moved, *waits]) or "nobody"


def _and(words: Sequence[str], last: str) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + last + words[-1] if words else ""


def people(learners: Iterable[Learner]) -> str:
    """Names in a row."""
    return series([learner.name for learner in learners])
