"""The ladder: how much a lesson may ask at each stage, and what to say when one asks more.

A rung holds the limits of one stage. Limits that list things (note values, metres, techniques) add to those of the
stages before; limits that are figures stand alone. Every figure carries its reason in the data.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import KW_ONLY, dataclass, field

from beginnerband.music.instrument import LEVELS, Range
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Key
from beginnerband.music.words import series
from beginnerband.teaching.course import Course, Item
from beginnerband.teaching.facts import Facts
from beginnerband.teaching.grading import Grades, Known, LessonPart, Week, allowed_range, kinds, part_of


@dataclass(frozen=True, slots=True)
class Limit:
    """A figure for everyone, with other figures for some."""

    most: float
    """For everyone not named in ``but``; a range level is its place in ``LEVELS``."""
    but: Mapping[str, float] = field(default_factory=dict, hash=False)
    """By instrument id, reading id, mouthpiece class or learning group; the first that is named wins, in that order."""
    why: str = ""
    """The reason, from the data."""

    def of(self, player: Player) -> float:
        """The figure for ``player``."""
        instrument = player.instrument
        for name in (instrument.id, player.reading.id, instrument.mouthpiece, instrument.group):
            if name in self.but:
                return self.but[name]
        return self.most


@dataclass(frozen=True, slots=True)
class Listing:
    """Things allowed from this stage on."""

    add: tuple[str, ...] = ()
    """New in this stage."""
    why: str = ""
    """The reason, from the data."""


@dataclass(frozen=True, slots=True)
class Rung:
    """Limits of one stage."""

    stage: str
    """Id of the stage."""
    new_notes: Limit
    """New written notes in one lesson."""
    _: KW_ONLY
    range: Limit
    """Range level, as a place in ``LEVELS``."""
    leap: Limit
    """Largest leap between neighbouring notes, semitones."""
    breath: Limit
    """Longest playing on one breath, seconds."""
    playing: Limit
    """Longest playing without a beat of rest, seconds."""
    signature: Limit
    """Most sharps or flats in a key signature that is read."""
    values: Listing
    """Note values and rests."""
    metres: Listing
    """Time signatures."""
    techniques: Listing
    """Techniques and signs."""
    notation: bool
    """Whether players see notation."""

    def level(self, player: Player) -> str:
        """The name of the range that a player may use: what is struck needs no lips, so mallets have all."""
        return LEVELS[int(self.range.of(player))] if player.instrument.brass else LEVELS[-1]

    def span(self, player: Player) -> Range:
        """That range, as written."""
        return allowed_range(player, self.level(player))


@dataclass(frozen=True, slots=True)
class Fault:
    """A lesson that asks more than its rung allows."""

    lesson: str
    """Lesson id."""
    _: KW_ONLY
    item: str
    """Id of the music."""
    players: tuple[str, ...]
    """Instrument ids of those for whom it is so."""
    bar: int
    """Bar number; 0 when no one bar is meant."""
    message: str
    """What is wrong, and where it would fit."""
    rule: str
    """Name of the limit, as ``breath``."""


@dataclass(frozen=True, slots=True)
class Allowed:
    """A rung with the listings of all stages before it."""

    rung: Rung
    """The rung itself."""
    values: frozenset[str]
    """Note values up to this stage."""
    _: KW_ONLY
    metres: frozenset[str]
    """Metres up to this stage."""
    techniques: frozenset[str]
    """Techniques up to this stage."""


@dataclass(frozen=True, slots=True)
class Breach:
    """One limit broken by one part."""

    rule: str
    """Name of the limit."""
    bar: int
    """Where."""
    words: str
    """What is wrong, in words."""


class Ladder:
    """The rungs of every stage, and the checks."""

    def __init__(self, rungs: Iterable[Rung], kinds_most: int = 2) -> None:
        self.rungs = tuple(rungs)
        """In the order of the stages."""
        self.kinds_most = kinds_most
        """Kinds of new thing in one lesson, at most, at any stage."""
        self._allowed: dict[str, Allowed] = {}
        values, metres, techniques = frozenset[str](), frozenset[str](), frozenset[str]()
        for rung in self.rungs:
            values |= set(rung.values.add)
            metres |= set(rung.metres.add)
            techniques |= set(rung.techniques.add)
            self._allowed[rung.stage] = Allowed(rung, values, metres=metres, techniques=techniques)

    def signs(self, players: Iterable[Player], stage: str = "") -> dict[str, int]:
        """Most sharps or flats in a signature that players read in a stage, the last one if none is named."""
        rung = self.at(stage).rung if stage else self.rungs[-1]
        return {player.id: int(rung.signature.of(player)) for player in players if player.instrument.pitched}

    def at(self, stage: str) -> Allowed:
        """What is allowed in a stage."""
        return self._allowed[stage]

    def breaches(self, part: LessonPart, player: Player, stage: str) -> Iterator[Breach]:
        """What one part asks beyond its stage, new notes apart."""
        allowed, facts = self.at(stage), part.facts
        yield from _listed(facts, allowed)
        yield from _range(facts, player, allowed.rung)
        yield from _figures(facts, player, allowed.rung)
        if part.item.read:
            if not allowed.rung.notation:
                yield Breach("notation", 0, "is shown as notation (how: read) before the stage that teaches reading")
            most = allowed.rung.signature.of(player)
            for fifths, bar in facts.signatures.items():
                if abs(fifths) > most and player.instrument.pitched:
                    yield Breach("signature", bar, f"asks for {_signature(fifths)}; at most {most:g} at this stage")

    def too_many_new(self, week: Week, player: Player) -> tuple[str, LessonPart | None]:
        """Words when a week brings more new notes than its rung allows (none in a spare lesson), and the part."""
        stages = week.lesson.stages
        most = 0 if week.lesson.spare else max(int(self.at(each).rung.new_notes.of(player)) for each in stages)
        new = week.new.ordered
        if len(new) <= most:
            return "", None
        names = ", ".join(pitch.sign for pitch in new)
        limit = (
            "a spare lesson brings nothing new" if week.lesson.spare else f"at most {most} in a lesson of this stage"
        )
        known, culprit = week.before, None
        for part in week.parts:
            known = known.plus(part.facts)
            if len(known.notes - week.before.notes) > most:
                culprit = part
                break
        return f"brings {len(new)} new note{'s' if len(new) > 1 else ''} ({names}); {limit}", culprit

    def too_many_kinds(self, week: Week) -> str:
        """Words when a week brings more kinds of new thing than a lesson may, counted together; else empty."""
        found = kinds(week.before, week.new)
        if len(found) <= self.kinds_most:
            return ""
        return f"brings {len(found)} kinds of new thing ({', '.join(found)}); at most {self.kinds_most} in a lesson"

    def overloads(self, player: Player, before: Known, new: Known, stages: Iterable[str]) -> bool:
        """Whether that much new is more than one lesson of these stages may bring."""
        most = max(int(self.at(stage).rung.new_notes.of(player)) for stage in stages)
        return len(new.notes) > most or len(kinds(before, new)) > self.kinds_most

    def check(self, course: Course, players: Iterable[Player], grades: Grades) -> list[Fault]:
        """Every fault of the course; one that is the same for several instruments is reported once for all."""
        found: dict[tuple[str, str, int, str, str], list[str]] = {}
        for player in players:
            for week in grades.weeks[player.id]:
                for fault in self._week(course, player, week, grades):
                    key = (fault.lesson, fault.item, fault.bar, fault.rule, fault.message)
                    names = found.setdefault(key, [])
                    if player.id not in names:
                        names.append(player.id)
        return [
            Fault(
                lesson=lesson,
                item=item,
                players=tuple(names),
                bar=bar,
                message=f"{series(names)}: {message}",
                rule=rule,
            )
            for (lesson, item, bar, rule, message), names in found.items()
        ]

    def _week(self, course: Course, player: Player, week: Week, grades: Grades) -> Iterator[Fault]:
        for part in week.parts:
            for breach in self.breaches(part, player, week.lesson.stage_of(part.item.id)):
                yield self._fault(course, player, week, part, breach, grades)
        words, culprit = self.too_many_new(week, player)
        if words and culprit:
            fresh = [bar for pitch, bar in culprit.facts.notes.items() if pitch not in week.before.notes]
            yield self._fault(course, player, week, culprit, Breach("new notes", min(fresh, default=0), words), grades)
        words = self.too_many_kinds(week)
        if words:
            yield self._fault(course, player, week, week.parts[-1], Breach("kinds", 0, words), grades)

    def _fault(
        self, course: Course, player: Player, week: Week, part: LessonPart, breach: Breach, grades: Grades
    ) -> Fault:
        hint = self.nearest(course, player, week, part, grades)
        where = f"bar {breach.bar} of {part.item.title!r}" if breach.bar else repr(part.item.title)
        message = f"{where} {breach.words}; {hint}"
        return Fault(
            lesson=week.lesson.id,
            item=part.item.id,
            players=(player.id,),
            bar=breach.bar,
            message=message,
            rule=breach.rule,
        )

    def nearest(self, course: Course, player: Player, week: Week, part: LessonPart, grades: Grades) -> str:
        """The nearest other concert key, and the nearest lesson, in which a part would fit this player."""
        keys = self.fitting_keys(course, player, week, part.item)
        home = course.room_of(player.instrument).id
        here = part.item.keys[home]
        key = min(keys, key=lambda fifths: (abs(fifths - here), fifths), default=None)
        later = next((other for other in grades.weeks[player.id] if self._fits_at(player, other, week, part)), None)
        found = []
        if later is not None:
            found.append(f"from {later.lesson.id}")
        if key is not None and player.instrument.pitched:
            found.append(f"here in concert {Key(key).sign.split()[0]}")
        return f"it would fit {' or '.join(found)}" if found else "it fits no lesson of this course; make it easier"

    def fitting_keys(self, course: Course, player: Player, week: Week, item: Item) -> list[int]:
        """Concert keys (fifths) in which ``item`` would keep to the ladder in this week for ``player``."""
        home = course.room_of(player.instrument).id
        others = [part for part in week.parts if part.item.id != item.id]
        found = []
        for fifths in range(-6, 7):
            if fifths == item.keys[home]:
                continue
            moved = part_of(item, player, fifths, week.before.notes)
            if self._fits(player, week, [*others, moved], moved):
                found.append(fifths)
        return found

    def _fits(self, player: Player, week: Week, parts: Iterable[LessonPart], part: LessonPart) -> bool:
        if any(self.breaches(part, player, week.lesson.stage)):
            return False
        known = week.before
        for each in parts:
            known = known.plus(each.facts, each.item.read)
        trial = Week(week.place, week.lesson, tuple(parts), week.before, known)
        return not self.too_many_new(trial, player)[0]

    def _fits_at(self, player: Player, other: Week, week: Week, part: LessonPart) -> bool:
        if other.place <= week.place:
            return False
        return self._fits(player, other, (*other.parts, part), part)


def _listed(facts: Facts, allowed: Allowed) -> Iterator[Breach]:
    for kind, asked, known in (
        ("note value", facts.values, allowed.values),
        ("metre", facts.metres, allowed.metres),
        ("technique", facts.techniques, allowed.techniques),
    ):
        for name, bar in asked.items():
            if name not in known:
                yield Breach(kind, bar, f"uses {name} ({kind}), which is not taught at this stage")


def _range(facts: Facts, player: Player, rung: Rung) -> Iterator[Breach]:
    if not facts.notes:
        return
    level, span = rung.level(player), rung.span(player)
    for pitch, bar in sorted(facts.notes.items(), key=lambda pair: pair[1]):
        if pitch not in span:
            words = f"asks for {pitch.sign}, outside {span.low.sign} to {span.high.sign} ({level} range)"
            yield Breach("range", bar, words)
            return


def _figures(facts: Facts, player: Player, rung: Rung) -> Iterator[Breach]:
    most = rung.leap.of(player)
    if facts.leap > most:
        yield Breach("leap", facts.leap_bar, f"leaps {facts.leap} semitones; at most {most:g} at this stage")
    if player.instrument.brass:
        most = rung.breath.of(player)
        if round(facts.breath.seconds, 6) > most:
            words = f"needs {facts.breath.seconds:.1f} s on one breath; at most {most:g} s at this stage"
            yield Breach("breath", facts.breath.bar, words)
        most = rung.playing.of(player)
        if round(facts.playing.seconds, 6) > most:
            words = f"plays {facts.playing.seconds:.0f} s without a beat of rest; at most {most:g} s at this stage"
            yield Breach("playing", facts.playing.bar, words)


def _signature(fifths: int) -> str:
    return f"{abs(fifths)} {'sharp' if fifths > 0 else 'flat'}{'' if abs(fifths) == 1 else 's'} in the key signature"


def cycle_in(needs: Mapping[str, Iterable[str]]) -> tuple[str, ...]:
    """A cycle among prerequisites, as ``("a", "b", "a")``, or an empty tuple."""
    done: set[str] = set()

    def walk(node: str, path: tuple[str, ...]) -> tuple[str, ...]:
        if node in path:
            return (*path[path.index(node) :], node)
        if node in done:
            return ()
        for other in needs.get(node, ()):
            found = walk(other, (*path, node))
            if found:
                return found
        done.add(node)
        return ()

    return next((found for node in needs if (found := walk(node, ()))), ())


def missing_for_mover(grades: Grades, old: str, new: str, place: int) -> Known:
    """What a player who moves from ``old`` to ``new`` after week ``place`` has not been taught on the new one.

    An empty ``old`` is someone who has played nothing yet.
    """
    left = grades.weeks[old][place].after if old else Known()
    joined = grades.weeks[new][place].after
    return Known(
        notes=joined.notes - left.notes,
        values=joined.values - left.values,
        metres=joined.metres - left.metres,
        signatures=joined.signatures - left.signatures,
        techniques=joined.techniques - left.techniques,
    )


def refingered(old: Player, new: Player, notes: Iterable[Pitch]) -> tuple[Pitch, ...]:
    """Those of the written ``notes`` that have other valves or another position on the new one; both are brass."""

    def code(player: Player, written: Pitch) -> str:
        way = player.standard(written)
        return way.code if way else ""

    if not (old.instrument.brass and new.instrument.brass):
        return ()
    return tuple(written for written in notes if code(old, written) != code(new, written))
