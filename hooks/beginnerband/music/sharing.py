"""Finding the cheapest way to share four lines out: who plays which line, in which octaves, in which concert key.

In each of the fifteen keys every desk may take any line, whole in any octave near its home, or with phrases changed
between the octave that suits it best and a neighbouring one where more of it then lies within reach. Only a line that
is not the instrument's is not taken up. Octaves in which
the instrument lacks notes are tried only where it has no other. A line is judged against the others as they are played:
each line has a *lead*, one of the ways it is played, and every desk is charged for what it does to the leads of the
other lines; the leads are those with which the whole costs least. Beside the desks it is charged for lines nobody
plays, for lines with more players than their share, and for leaving the key of the piece.

The search is exact: for every choice of leads the cheapest sharing is found desk by desk, where ways that have come to
the same numbers of players on each line are compared and dearer ones given up, as are ways that cannot become cheaper
than the best found. Only where more than :data:`WIDTH` ways are open at once (far beyond bands of forty) the dearest
of them are given up too; the scoring then says so (:attr:`Scoring.exact`).

Ties are broken in this order: fewer sharps or flats in the concert key, flats before sharps; then, desk by desk in
score order, its own line before others, higher lines before lower, the home octave before others, higher before lower.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush
from itertools import pairwise, product
from operator import attrgetter, itemgetter

from beginnerband.music import shift
from beginnerband.music.clashes import Clashes, Octaves
from beginnerband.music.keychoice import COMMON
from beginnerband.music.option import Asked, Form, Option, charged_signs
from beginnerband.music.phrases import starts
from beginnerband.music.pitch import semitones
from beginnerband.music.reach import DeskReach, PlayedNotes
from beginnerband.music.score import Line
from beginnerband.music.scoring import REASONS, Charge, Desk, Ranked, Rules, Scoring, Seat, gathered

WIDTH = 20_000
"""Most ways kept open at once."""

BITS, PLAYERS = 10, 1023
"""Room for the number of players on a line where several numbers are kept as one."""

GUESS = 30
"""Most ways kept open for a first guess."""

PER_NOTE = ("impossible", "range", "untaught", "stretch")
"""What is counted of a line's notes; ``impossible`` and ``range`` of every note, the others of different ones."""

Lead = Octaves | None
"""How the lead of a line plays it; ``None`` where nobody does."""

Leads = tuple[Lead, ...]
"""One for each line, highest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """A desk on a line in the face of the leads."""

    points: int
    place: int
    voice: int
    leads: bool


@dataclass(frozen=True, slots=True)
class Shared:
    """What a search among the desks came to."""

    points: float
    """What it costs; infinite where there is no way."""
    chosen: tuple[int, ...]
    """The place of each desk's option."""
    exact: bool = True
    """Whether no way was given up that might have become the cheapest."""


class Search:
    """The scorings of one piece for one set of desks."""

    def __init__(self, lines: Mapping[str, Line], desks: Sequence[Desk], rules: Rules, width: int = WIDTH) -> None:
        """``lines`` are the sounding lines by voice, highest first, in the key of the piece."""
        self.lines = dict(lines)
        self.desks = tuple(desks)
        self.rules = rules
        self.width = width
        self.voices = tuple(self.lines)
        self.key = next(iter(self.lines.values())).key
        self.phrases = starts(self.lines)
        self.clashes = Clashes(self.lines, self.phrases)
        self.brass = sum(desk.player.count for desk in self.desks if desk.holds)
        self._alike = len({desk.player.id for desk in self.desks if desk.holds}) == 1
        self._played = {voice: PlayedNotes(line, self.phrases) for voice, line in self.lines.items()}
        self._reaches = {(desk.player.id, desk.taught): DeskReach(desk, rules.level) for desk in self.desks}
        self._ways: dict[tuple[object, ...], tuple[tuple[Octaves, dict[str, int]], ...]] = {}
        self._offered: dict[tuple[Desk, int], tuple[Option, ...]] = {}
        self._clashing: dict[Form, dict[Form, int]] = {}
        self._least: dict[int, list[tuple[int, Lead, Lead]]] = {}
        self._uncovered = {voice: self._cost_of_nobody(voice) for voice in self.voices}

    def ranked(self, keys: int = 5) -> Ranked:
        """The best scoring in each of the best ``keys`` keys, best first.

        All fifteen are weighed, at first by their signs alone: those in which even the least they can cost is too much
        are not looked into further.
        """
        found: list[Scoring] = []
        waiting = [(self._least_by_signs(fifths), False, fifths) for fifths in shift.KEYS]
        heapify(waiting)
        while waiting and (len(found) < keys or waiting[0][0] <= found[keys - 1].points):
            _, weighed, fifths = heappop(waiting)
            if weighed:
                found = sorted([*found, self.best_in(fifths)], key=_rank)
            else:
                heappush(waiting, (self.least_in(fifths), True, fifths))
        return Ranked(found[0], tuple(found[1:keys]))

    def least_in(self, fifths: int) -> int:
        """A bound that no scoring in a key stays below."""
        key = self._points(tuple(self._key_counts(fifths).items()))
        doubled = [min(one.points for one in self.options(desk, fifths)) for desk in self.desks if not desk.holds]
        return key + sum(doubled) + min((bound for bound, _, _ in self._outer(fifths)), default=0)

    def _least_by_signs(self, fifths: int) -> int:
        """A bound below :meth:`least_in` that looks at no note: the key, and the signs that each desk has to read."""
        read = ((desk, abs(shift.written_fifths(fifths, desk.player.reading))) for desk in self.desks)
        counts = [
            *self._key_counts(fifths).items(),
            *(sign for desk, signs in read for sign in charged_signs(desk, signs)),
        ]
        return self._points(tuple(counts))

    def best_in(self, fifths: int) -> Scoring:
        """The cheapest scoring in one key."""
        best = self._best(fifths)
        places, options = iter(best.chosen), ((desk.holds, self.options(desk, fifths)) for desk in self.desks)
        chosen = [own[next(places)] if holds else min(own, key=attrgetter("points")) for holds, own in options]
        return replace(self.scoring(chosen, fifths), exact=best.exact)

    # What a desk may do

    def options(self, desk: Desk, fifths: int) -> tuple[Option, ...]:
        """Every line and octave a desk may take in a key, in the order that breaks ties."""
        if (desk, fifths) not in self._offered:
            self._offered[desk, fifths] = self._options(desk, fifths)
        return self._offered[desk, fifths]

    def _options(self, desk: Desk, fifths: int) -> tuple[Option, ...]:
        moved = semitones(shift.key_interval(self.key, fifths))
        signs = abs(shift.written_fifths(fifths, desk.player.reading))
        lines = sorted(self.voices, key=lambda voice: (voice != desk.line, self.voices.index(voice)))
        offered = tuple(
            self._option(desk, voice, octaves, counts, signs)
            for voice in (lines if desk.holds else lines[:1])
            for octaves, counts in self._reached(desk, voice, moved)
            if not self._climbs(desk, voice, octaves)
        )
        return self._within_what_was_taught(desk, offered) if self.rules.only_taught and desk.holds else offered

    def _within_what_was_taught(self, desk: Desk, offered: tuple[Option, ...]) -> tuple[Option, ...]:
        """What is left of a desk's options in a piece of the course, where a line is better left out than not known.

        Those of which every note was taught. Where there are none, a line below the tune that is not the instrument's
        own is not taken up; where all have the same instrument, no such line is one's own, and none is put above the
        tune as they know it.
        """
        top = self.voices[0]
        tunes = tuple(one.octaves for one in offered if one.voice == top and one.known)

        def kept(one: Option) -> bool:
            if self._alike and one.voice != top:
                return one.known and (not tunes or any(self._below(one, octaves) for octaves in tunes))
            return one.known

        return tuple(filter(kept, offered)) or tuple(
            one for one in offered if one.voice == top or (one.voice in self._own(desk) and not self._alike)
        )

    def _below(self, option: Option, tune: Octaves) -> bool:
        """Whether an option stays below the tune, as it is played in these octaves."""
        found = self.clashes.between(self.voices[0], tune, option.voice, option.octaves)
        return "order" not in dict(found)

    def _climbs(self, desk: Desk, voice: str, octaves: Octaves) -> bool:
        """Whether a line below the tune is taken up an octave by an instrument that is not meant for it.

        It would sound among the lines above it, and a bass up there is none: better left out, and so said. In a piece
        of the course an inner line may be taken up where it stays below the next one all the same: then those who know
        no notes below it have the bass.
        """
        if voice == self.voices[0] or voice in self._own(desk) or max(octaves) <= 0:
            return False
        above, whole = self.voices[self.voices.index(voice) - 1], (0,) * len(self.phrases)
        inner = voice != self.voices[-1]
        return not (self.rules.only_taught and inner) or bool(self.clashes.between(above, whole, voice, octaves))

    def _own(self, desk: Desk) -> set[str]:
        """Lines that are the instrument's, by the rules or its own file."""
        return {*self.rules.lines.get(desk.player.id, ()), *desk.player.instrument.covers}

    def _option(self, desk: Desk, voice: str, octaves: Octaves, notes: dict[str, int], signs: int) -> Option:
        home = self.rules.home.get(desk.player.id, 0)
        own = self._own(desk)
        counts = {
            **notes,
            "foreign": int(voice not in own),
            "line": int(voice != desk.line and voice in own),
            "octave": min(abs(octave - home) for octave in octaves),
            "fold": sum(before != after for before, after in pairwise(octaves)),
            **dict(charged_signs(desk, signs)),
        }
        some = tuple((reason, count) for reason, count in counts.items() if count)
        return Option(self._points(some), (voice, octaves), some)

    def _points(self, counts: tuple[tuple[str, int], ...]) -> int:
        return sum(self.rules.weights[reason] * count for reason, count in counts)

    def _reached(self, desk: Desk, voice: str, moved: int) -> tuple[tuple[Octaves, dict[str, int]], ...]:
        """Octaves in which a desk may play a line in a key, with what is counted of the notes."""
        home = self.rules.home.get(desk.player.id, 0)
        key = (desk.player.id, desk.taught, desk.leap, voice, moved)
        if key not in self._ways:
            reach, line = self._reaches[desk.player.id, desk.taught], self._played[voice]
            found: dict[Octaves, dict[str, int]] = {}
            for octave in (home, home + 1, home - 1, home + 2, home - 2):
                whole = (octave,) * len(self.phrases)
                found[whole] = line.counts(reach, moved, whole)
            cost = {octaves: self._bad(counts) for octaves, counts in found.items()}
            middle = min(found, key=lambda octaves: cost[octaves])[0]
            for octave in (middle, middle + 1):
                least = min(cost.get((at,) * len(self.phrases), math.inf) for at in (octave, octave - 1))
                if least < self.rules.weights["fold"]:
                    continue
                folded = line.folded(reach, moved, octave, desk.leap, self.rules.weights)
                if len(set(folded)) > 1:
                    counts = line.counts(reach, moved, folded)
                    if self._bad(counts) < least:
                        found[folded] = counts
            fewest = min(counts.get("impossible", 0) for counts in found.values())
            self._ways[key] = tuple((o, c) for o, c in found.items() if c.get("impossible", 0) == fewest)
        return self._ways[key]

    def _bad(self, counts: dict[str, int]) -> int:
        return sum(self.rules.weights[reason] * counts.get(reason, 0) for reason in PER_NOTE)

    # The search

    def _best(self, fifths: int) -> Shared:
        """The cheapest sharing among the desks that hold a line."""
        asked, players = self._asked(fifths), [desk.player.count for desk in self.desks if desk.holds]
        best, exact = Shared(math.inf, ()), True
        for outer, top, bottom in self._outer(fifths):
            if outer > best.points:
                break
            for bound, leads in self._inner(asked, top, bottom):
                if bound > best.points:
                    break
                against = self._against_all(asked, leads)
                ways = [self._faced(own, leads, against) for own in asked]
                if not math.isfinite(best.points):  # a quick guess first: it bounds the search that follows
                    best = self._shared(ways, leads, players, best.points, GUESS)
                found = self._shared(ways, leads, players, best.points, self.width)
                best, exact = min(best, found, key=_cheapest), exact and found.exact
        return replace(best, exact=exact)

    def _asked(self, fifths: int) -> Asked:
        held = (enumerate(self.options(desk, fifths)) for desk in self.desks if desk.holds)
        return [sorted(own, key=lambda entry: entry[1].points) for own in held]

    def _inner(self, asked: Asked, top: Lead, bottom: Lead) -> list[tuple[int, Leads]]:
        """Every choice of leads with these of the outer lines, and the least it can cost, cheapest first."""
        forms, last = self._forms(asked), len(self.voices) - 1
        every = ((top, *middle, bottom) if last else (top,) for middle in product(*forms[1:last]))
        return sorted(((self._bound(asked, leads), leads) for leads in every), key=itemgetter(0))

    def _forms(self, asked: Asked) -> list[tuple[Lead, ...]]:
        """For each line, the ways it may be played, and that nobody does."""
        return [
            (*dict.fromkeys(one.octaves for own in asked for _, one in own if one.voice == voice), None)
            for voice in self.voices
        ]

    def _outer(self, fifths: int) -> list[tuple[int, Lead, Lead]]:
        """The least that all can cost in a key with each choice of leads of the outer lines, cheapest first."""
        if fifths not in self._least:
            asked = self._asked(fifths)
            forms, last = self._forms(asked), len(self.voices) - 1
            found = []
            for top, bottom in product(forms[0], forms[-1] if last else (None,)):
                leads: list[Lead | bool] = [True] * len(self.voices)
                leads[last], leads[0] = bottom, top
                found.append((self._bound(asked, leads), top, bottom))
            self._least[fifths] = sorted(found, key=itemgetter(0))
        return self._least[fifths]

    def _bound(self, asked: Asked, leads: Sequence[Lead | bool]) -> int:
        """The least the desks can cost in the face of these leads; ``True`` stands for a line not yet decided."""
        by_voice, decided = dict(zip(self.voices, leads, strict=True)), self._decided(leads)
        least = sum(self._uncovered[voice] for voice, lead in by_voice.items() if lead is None)
        known: dict[Form, int] = {}
        for own in asked:
            cheapest = 1_000_000
            for _, one in own:
                if one.points >= cheapest:
                    break
                if by_voice[one.voice] is not None:
                    if one.form not in known:
                        known[one.form] = self._against(one.form, decided)
                    cheapest = min(cheapest, one.points + known[one.form])
            least += cheapest
        return least

    def _decided(self, leads: Sequence[Lead | bool]) -> list[Form]:
        return [(voice, lead) for voice, lead in zip(self.voices, leads, strict=True) if isinstance(lead, tuple)]

    def _against(self, form: Form, leads: Iterable[Form]) -> int:
        """What a desk is charged that plays so in the face of these leads of other lines."""
        points, known = 0, self._clashing.setdefault(form, {})
        for lead in leads:
            if lead not in known:
                known[lead] = self._points(self.clashes.between(*form, *lead)) if lead[0] != form[0] else 0
            points += known[lead]
        return points

    def _against_all(self, asked: Asked, leads: Leads) -> dict[Form, int]:
        """:meth:`_against` for everything that desks may play."""
        decided = self._decided(leads)
        return {form: self._against(form, decided) for form in {one.form for own in asked for _, one in own}}

    def _faced(self, own: Sequence[tuple[int, Option]], leads: Leads, against: Mapping[Form, int]) -> tuple[_Way, ...]:
        """The cheapest way on each line, and the cheapest that leads it, of one desk."""
        found: dict[tuple[int, bool], _Way] = {}
        for place, one in own:
            voice = self.voices.index(one.voice)
            if leads[voice] is None:
                continue
            way = _Way(
                points=one.points + against[one.form],
                place=place,
                voice=voice,
                leads=one.octaves == leads[voice],
            )
            known = found.get((voice, way.leads))
            if known is None or (way.points, place) < (known.points, known.place):
                found[voice, way.leads] = way
        return tuple(found.values())

    def _shared(
        self, ways: Sequence[tuple[_Way, ...]], leads: Leads, players: Sequence[int], best: float, width: int
    ) -> Shared:
        """Points and choice of each desk in the cheapest sharing with these leads, if not dearer than ``best``.

        Open ways are kept by what they have come to: players on each line, and which leads are taken, in one number.
        """
        covered = [place for place, lead in enumerate(leads) if lead is not None]
        if not all(ways) or len(ways) < len(covered):
            return Shared(math.inf, ())
        crowd = self._crowds(leads)
        nobody = sum(self._uncovered[voice] for voice, lead in zip(self.voices, leads, strict=True) if lead is None)
        exact, top = True, BITS * len(leads)
        open_: dict[int, tuple[int, tuple[int, ...]]] = {0: (nobody, ())}
        after = sum(min(way.points for way in own) for own in ways)
        for left, own, count in zip(reversed(range(len(ways))), ways, players, strict=True):
            after -= min(way.points for way in own)
            found: dict[int, tuple[int, tuple[int, ...]]] = {}
            limit, many = best - after, len(covered)
            for state, (points, chosen) in open_.items():
                for way in own:
                    shifted = BITS * way.voice
                    before = state >> shifted & PLAYERS
                    line = crowd[way.voice]
                    cost = points + way.points + line[before + count] - line[before]
                    if cost > limit:
                        continue
                    now = state + (count << shifted)
                    if way.leads:
                        now |= 1 << top + way.voice
                    if left < many and many - (now >> top).bit_count() > left:
                        continue
                    known = found.get(now)
                    if known is None or cost < known[0] or (cost == known[0] and (*chosen, way.place) < known[1]):
                        found[now] = cost, (*chosen, way.place)
            if len(found) > width:
                exact = False
                found = dict(sorted(found.items(), key=itemgetter(1))[:width])
            open_ = found
        ended = (Shared(points, chosen, exact) for points, chosen in open_.values())
        return min(ended, default=Shared(math.inf, (), exact), key=_cheapest)

    def _crowds(self, leads: Leads) -> list[list[int]]:
        """For each line, the points for every number of players on it."""
        targets = self._targets(leads)
        return [[self._points(self._crowded(number, target)) for number in range(self.brass + 1)] for target in targets]

    def _targets(self, leads: Leads) -> list[int]:
        """Players on each line in the usual proportion among the lines that are played."""
        asked = [voice for voice, lead in zip(self.voices, leads, strict=True) if lead is not None]
        found = self.rules.targets(asked, self.brass)
        return [found.get(voice, 0) for voice in self.voices]

    def _crowded(self, number: int, target: int) -> tuple[tuple[str, int], ...]:
        """What is charged for so many players on a line."""
        half = max(self.brass // 2, 1)
        return ("share", -(-100 * max(0, number - target) // (self.brass or 1))), ("half", max(0, number - half))

    def _cost_of_nobody(self, voice: str) -> int:
        """Points when nobody plays a line; of the inner lines the one with the thirds is missed more."""
        inner = voice not in (self.voices[0], self.voices[-1])
        return self.rules.uncovered[voice] + (round(self.rules.third * self.clashes.thirds(voice)) if inner else 0)

    # The bill

    def scoring(self, chosen: Sequence[Option], fifths: int) -> Scoring:
        """What each desk takes, together, with its bill; leads are those with which it costs least."""
        leads = self._leads_of(chosen)
        seats = tuple(self._seat(desk, one, leads) for desk, one in zip(self.desks, chosen, strict=True))
        numbers = [
            sum(seat.desk.player.count for seat in seats if seat.voice == voice and seat.desk.holds)
            for voice in self.voices
        ]
        missing = tuple(voice for voice, lead in zip(self.voices, leads, strict=True) if lead is None)
        counts = Counter(self._key_counts(fifths))
        for number, target in zip(numbers, self._targets(leads), strict=True):
            counts.update(dict(self._crowded(number, target)))
        bill = [Charge("uncovered", 1, self._uncovered[voice]) for voice in missing]
        bill += [Charge(reason, counts[reason], self.rules.weights[reason]) for reason in REASONS if counts[reason]]
        interval = shift.key_interval(self.key, fifths)
        return Scoring(
            fifths=fifths,
            interval=interval,
            seats=gathered(seats),
            bill=tuple(bill),
            uncovered=missing,
            phrases=self.phrases,
        )

    def _key_counts(self, fifths: int) -> dict[str, int]:
        away = min(abs(fifths - common) for common in COMMON)
        return {"key": int(fifths != self.key.fifths), "uncommon": away}

    def _leads_of(self, chosen: Sequence[Option]) -> Leads:
        held = [one for desk, one in zip(self.desks, chosen, strict=True) if desk.holds]
        forms = [tuple(dict.fromkeys(one.octaves for one in held if one.voice == voice)) for voice in self.voices]

        def cost(leads: Leads) -> int:
            decided = self._decided(leads)
            return sum(self._against(one.form, decided) for one in held)

        return min(product(*(own or (None,) for own in forms)), key=cost)

    def _seat(self, desk: Desk, one: Option, leads: Leads) -> Seat:
        counts = Counter(dict(one.counts))
        if desk.holds:
            for other, lead in zip(self.voices, leads, strict=True):
                if lead is not None and other != one.voice:
                    counts.update(dict(self.clashes.between(one.voice, one.octaves, other, lead)))
        weights = self.rules.weights
        bill = tuple(Charge(reason, counts[reason], weights[reason]) for reason in REASONS if counts[reason])
        return Seat(desk, one.voice, one.octaves, bill)


def _cheapest(shared: Shared) -> tuple[float, tuple[int, ...]]:
    return shared.points, shared.chosen


def _rank(scoring: Scoring) -> tuple[int, int, bool]:
    return scoring.points, abs(scoring.fifths), scoring.fifths > 0
