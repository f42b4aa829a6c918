"""The band as planned: the roster matched to instruments, and the players that follow from it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from beginnerband.data.band import Band
from beginnerband.data.problems import Problems
from beginnerband.data.roster import Gathering, load_roster
from beginnerband.music.instrument import Instrument
from beginnerband.music.player import Player
from beginnerband.people.matching import Matching
from beginnerband.people.plan import Demand, MatchingRules, Plan
from beginnerband.people.roster import Roster


@dataclass(frozen=True, slots=True)
class Planned:
    """The people of a band with what they play; only in the leader's own copy."""

    gathering: Gathering
    """Learners, instruments and the room."""
    matching: Matching
    """What plans are made with."""
    plan: Plan
    """The plan: the best, or where none meets every demand the one that comes nearest."""
    clash: tuple[Demand, ...]
    """The smallest set of demands that cannot be met together; empty where all are."""

    @property
    def roster(self) -> Roster:
        """Learners and instruments."""
        return self.gathering.roster


def load_planned(
    root: Path,
    band: Band,
    instruments: dict[str, Instrument],
    rules: MatchingRules,
    problems: Problems,
) -> Planned | None:
    """Load the roster and plan; ``None`` with problems noted when it cannot be used."""
    gathering = load_roster(root, instruments, problems)
    if gathering is None:
        return None
    roster = gathering.roster
    readings = {player.instrument.id: player.reading for player in band.players}
    matching = Matching(roster.learners, roster.items, readings, rules, instruments)
    best = matching.best()
    clash = matching.clash() if best is None else ()
    return Planned(gathering, matching, best or matching.nearest(), clash)


def players_of(planned: Planned, band: Band) -> tuple[Player, ...]:
    """The band's players as the plan has them: in the band file's order, then what is new from high to low."""
    counts = planned.plan.counts
    kept = [
        replace(player, count=counts[player.instrument.id]) for player in band.players if player.instrument.id in counts
    ]
    listed = {player.instrument.id for player in kept}
    fresh = {place.item.instrument for place in planned.plan.places if place.item.instrument.id not in listed}

    def height(instrument: Instrument) -> tuple[bool, int, str]:
        low = instrument.sounding_range("starter").low.midi if instrument.pitched else 0
        return not instrument.brass, -low, instrument.id

    new = [
        Player(instrument, planned.matching.reading(instrument), counts[instrument.id])
        for instrument in sorted(fresh, key=height)
    ]
    return (*kept, *new)
