"""On which concert note a band begins in one room, and in which key its first five notes lie.

Every key and each of its first three notes is weighed for this band. For each player, the five notes of the key are
put into the octave that the course would give them; they cost points for valves and a trigger pressed, for how far
the slide goes, for leaving the starter range and the range of the first year, and for signs at the front. The first
sound counts most, the two notes beside it next, the other two least. A home note below which the only instrument that
could play under the tune cannot go on leaves a band without the lower lines of its pieces. Points are multiplied by
the number of players.
The weights stand in ``content/course/plan.yml`` (common practice, no source: change them to suit your players).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from beginnerband.music import shift
from beginnerband.music.fingering import standard
from beginnerband.music.instrument import VOICES, Range, Slide
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Line
from beginnerband.teaching.course import FirstSound, Item
from beginnerband.teaching.grading import part_of

FOURTH = 5
"""Semitones from the home note down to the lowest of the three below it."""

DEGREES = (0, 1, 2)
"""The key note and the two above it, on any of which a band can begin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What a first sound costs."""

    valve: float
    """For each valve pressed, a trombone's trigger among them."""
    third_valve: float
    """More, where the third is among them: a weak finger, and a long way down."""
    slide: float
    """For each position beyond the fourth: a short arm does not reach it."""
    beyond_starter: float
    """For each note beyond the starter range."""
    beyond_first_year: float
    """For each note beyond the range of the first year, and for a key with more signs than the ladder allows."""
    signature: float
    """For each sign at the front of the line."""
    first: float
    """How much the first sound counts, beside the two notes next to it, which count 1."""
    later: float
    """How much the fourth and fifth note count."""
    middle: float
    """For each semitone of the first sound from the top of the starter range, where lips start most easily."""
    lower: float
    """For each player of the only instrument that can play below the tune, where the first year lacks the three notes
    below the home note."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One way to begin, with its points."""

    points: float
    """Less is better."""
    barred: int
    """Players of brass or mallets whom the key takes beyond their first year, in notes or in signs, or the first sound
    beyond the notes to begin with: best is none."""
    fifths: int
    """Concert key."""
    degree: int
    """Of :data:`DEGREES`."""


Most = Callable[[Player], float]
"""Signs in a key signature that a player may read, at most."""

Begins = Callable[[Player], Range]
"""The notes that a player may begin with, as written."""


def rank(players: Sequence[Player], scale: Line, weights: Weights, most: Most, begins: Begins) -> list[Choice]:
    """Every way to begin, best first. ``scale`` is five notes up from C.

    Brass decides what is easy, but nobody, mallets included, is taken where the ladder would stop them.
    """
    pitched = [player for player in players if player.instrument.pitched]
    weighed = [player for player in pitched if player.instrument.brass] or pitched
    lower = _alone_below(weighed)
    found = []
    for fifths in range(-6, 7):
        beyond = [player for player in pitched if _barred(player, fifths, scale, most)]
        stuck = sum(max(player.count, 1) for player in lower if not _goes_below(player, fifths, scale))
        for degree in DEGREES:
            stopped = {*beyond, *(player for player in weighed if _too_far(player, fifths, degree, scale, begins))}
            barred = sum(max(player.count, 1) for player in stopped)
            points = weights.lower * stuck + sum(
                _points(player, fifths, degree, scale, weights, most) * max(player.count, 1) for player in weighed
            )
            found.append(Choice(points=points, barred=barred, fifths=fifths, degree=degree))
    return sorted(found, key=lambda each: (each.barred, each.points, abs(each.fifths), each.fifths, each.degree))


def _alone_below(players: Sequence[Player]) -> Sequence[Player]:
    """The only instrument that can play below the tune: the one there is, or of sopranos that which is an alto too."""
    if len(players) == 1:
        return players
    below = [player for player in players if set(player.instrument.covers) - {VOICES[0]}]
    return below if len(below) == 1 and all(VOICES[0] in player.instrument.covers for player in players) else ()


def chosen(ranked: Sequence[Choice], readable: Callable[[int], bool]) -> FirstSound:
    """The best way to begin, and the key to go on in; from all, best first.

    That is the key a fifth up, whose first three notes lie below the first key's, where inner lines and basses go on;
    or the one a fifth down. The five notes of the one and of the other make up the scale of the lower key, of
    which pieces in parts are made. Where neither can be reached in the first year, or is not ``readable`` in time, it
    is the best other one.
    """
    best, *others = ranked
    near = (
        choice
        for step in (1, -1)
        for choice in others
        if choice.fifths == best.fifths + step and choice.barred == best.barred and readable(choice.fifths)
    )
    other = (choice for choice in others if choice.fifths != best.fifths)
    second = next(near, None) or next(other)
    return FirstSound(home=best.fifths, degree=best.degree, second=second.fifths)


def sounds_apart(ranked: Sequence[Choice], scale: Line) -> list[Choice]:
    """The best way to begin on each sound, in the order given; none that takes somebody too far."""
    found: dict[int, Choice] = {}
    for choice in (choice for choice in ranked if choice.barred == ranked[0].barred):
        found.setdefault(sound_of(scale, choice.fifths, choice.degree).midi % 12, choice)
    return list(found.values())


def farthest_slide(players: Iterable[Player], scale: Line, choice: Choice) -> int:
    """The farthest slide position among the first three notes of the key; 0 without a slide."""
    ways = (
        standard(player.instrument, player.reading.sounding(note))
        for player in players
        if isinstance(player.instrument.mechanism, Slide)
        for note in written_scale(player, choice.fifths, scale)[:3]
    )
    return max((int(way.position or 0) for way in ways if way), default=0)


def sound_of(scale: Line, fifths: int, degree: int) -> Pitch:
    """The concert pitch, in some octave, of a degree of a key."""
    return shift.to_key(scale, fifths).pitches[degree]


def written_scale(player: Player, fifths: int, scale: Line) -> tuple[Pitch, ...]:
    """The five notes of a concert key as a player reads them."""
    return tuple(part_of(Item("scale", title="", line=scale, keys={}), player, fifths).line.pitches[:5])


def _points(player: Player, fifths: int, degree: int, scale: Line, weights: Weights, most: Most) -> float:
    notes = written_scale(player, fifths, scale)
    home = player.instrument.written_range("starter", player.reading)
    first_year = player.instrument.written_range("first-year", player.reading)
    total = 0.0
    for place, note in enumerate(notes):
        share = weights.first if place == degree else 1.0 if place < 3 else weights.later
        total += share * _effort(player, note, weights)
        total += share * weights.beyond_starter * (note not in home)
        total += weights.beyond_first_year * (note not in first_year)
    signs = signs_of(player, fifths, scale)
    total += weights.signature * signs
    if signs > most(player):
        total += weights.beyond_first_year
    return total + weights.middle * abs(home.high.midi - notes[degree].midi)


def _first_year(player: Player) -> Range:
    """What a player has in the first year, as written: mallets have their bars from the first day."""
    return player.instrument.written_range("first-year" if player.instrument.brass else "full", player.reading)


def _goes_below(player: Player, fifths: int, scale: Line) -> bool:
    """Whether a player has the fourth below the home note of a key in the first year."""
    return written_scale(player, fifths, scale)[0].midi - FOURTH >= _first_year(player).low.midi


def _barred(player: Player, fifths: int, scale: Line, most: Most) -> bool:
    """Whether a key takes a player beyond the first year."""
    span = _first_year(player)
    notes = written_scale(player, fifths, scale)
    return signs_of(player, fifths, scale) > most(player) or any(note not in span for note in notes)


def _too_far(player: Player, fifths: int, degree: int, scale: Line, begins: Begins) -> bool:
    """Whether the first sound lies in no octave among the notes that a player may begin with."""
    notes = begins(player)
    above = (written_scale(player, fifths, scale)[degree].midi - notes.low.midi) % 12
    return above > notes.high.midi - notes.low.midi


def signs_of(player: Player, fifths: int, scale: Line) -> int:
    """Signs at the front of ``player``'s line in a concert key."""
    return abs(shift.written_fifths(shift.to_key(scale, fifths).key.fifths, player.reading))


def _effort(player: Player, written: Pitch, weights: Weights) -> float:
    way = standard(player.instrument, player.reading.sounding(written)) if player.instrument.brass else None
    if way is None:
        return 0.0
    if isinstance(player.instrument.mechanism, Slide):
        return weights.slide * max(0, int(way.position or 1) - 4) + weights.valve * way.trigger
    return weights.valve * len(way.valves) + weights.third_valve * (3 in way.valves)


def names_of(
    players: Iterable[Player], fifths: int, degree: int, scale: Line
) -> list[tuple[str, str, str, list[Player]]]:
    """How the sound is read and played: written letter, fingering or position, clef reading, and by whom."""
    found: dict[tuple[str, str, str], list[Player]] = {}
    for player in players:
        if not player.instrument.pitched:
            continue
        written = written_scale(player, fifths, scale)[degree]
        way = standard(player.instrument, player.reading.sounding(written)) if player.instrument.brass else None
        found.setdefault((written.letter_sign, way.code if way else "", player.reading.id), []).append(player)
    return [(*key, who) for key, who in found.items()]
