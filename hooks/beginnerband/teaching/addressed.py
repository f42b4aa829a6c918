"""How a text of the course speaks to one band, and to one reader: it carries its own alternatives.

Cornets have no slide to stop, two players make no row of four chairs, a trombone has no valves to press. So a text says
both, in braces: ``{slides? the slide | the fingers}``. The first alternative of which a case holds is said. The last
may have no case: it is said to everybody else, and where it is empty, nothing is. A *word* of the course is such a text
under a name: ``{finger}``, or ``{Finger}`` with a capital. What else stands in braces is left to ``phrases``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from beginnerband.music.instrument import VOICES, Slide
from beginnerband.music.player import Player
from beginnerband.music.words import capital

Words = Mapping[str, str]
"""Words of the course: each a text with alternatives, by its name."""

HANDS = ("valves", "slides", "both", "no-brass")
ROOMS = ("one-room", "two-rooms")
AXES = (HANDS, ROOMS)
"""Cases of which one, and one alone, holds for every band."""

MARK = re.compile(r"\{((?:[^{}]|\{[^{}]*\})*)\}")
"""What stands in braces, with the braces that it holds."""
_GAP = re.compile(r" +(?= |[,.;:?!](?!\w))")
"""A space too many, where nothing is said."""
_OR = re.compile(r"\|(?![^{}]*\})")
_CASES = re.compile(r"\s*([a-z0-9+-]+(?:, ?[a-z0-9+-]+)*)\?(?:\s+|$)")
_COUNT = re.compile(r"([1-9]\d?)\+(notes|brass|parts|instruments|readings|clefs|drums)?")
_NAME = re.compile(r"[A-Za-z][a-z-]*(?: [a-z0-9-]+)?")


@dataclass(frozen=True, slots=True)
class Whom:
    """Whom a text is for."""

    readers: tuple[Player, ...]
    """Who reads it or is told: all the band on a card, one player on a sheet."""
    band: tuple[Player, ...]
    """Everybody who plays."""
    rooms: int = 1
    """In how many rooms they are taught."""
    adults: int = 2
    """How many adults teach or help."""
    children: bool = True
    """Whether children are among the learners."""

    @property
    def count(self) -> int:
        """How many play."""
        return sum(max(player.count, 1) for player in self.band)

    @property
    def on_notes(self) -> int:
        """How many share a tune among them: drums do only where nobody has notes."""
        found = sum(max(player.count, 1) for player in self.band if player.instrument.pitched)
        return found or self.count

    @property
    def on_lines(self) -> int:
        """How many can hold a line of a piece in parts: those who blow."""
        return sum(max(player.count, 1) for player in self.band if player.instrument.brass)

    @property
    def on_drums(self) -> int:
        """How many play drums, and can share the beat out among them."""
        return sum(max(player.count, 1) for player in self.band if not player.instrument.pitched)

    @property
    def parts(self) -> int:
        """How many parts of a piece they can play: two without notes below an alto's, four if four are covered."""
        brass = [player for player in self.band if player.instrument.brass]
        if all(set(player.instrument.covers) <= set(VOICES[:2]) for player in brass):
            return min(self.on_lines, 2)
        return max(min(self.on_lines, 3), _covered(brass))

    @property
    def instruments(self) -> int:
        """How many different instruments there are: drums count only where nobody has notes."""
        found = len({player.instrument.id for player in self.band if player.instrument.pitched})
        return found or len(self.band)

    @property
    def readings(self) -> int:
        """In how many ways those who have notes read them, as B♭ treble."""
        return len({player.reading.id for player in self.band if player.instrument.pitched})

    @property
    def clefs(self) -> int:
        """How many clefs those read who have notes."""
        return len({player.reading.clef for player in self.band if player.instrument.pitched})

    def holds(self, case: str) -> bool:
        """Whether a case is theirs; ``KeyError`` for one that is none."""
        count = _COUNT.fullmatch(case)
        if not count:
            return CASES[case][0](self)
        counted = {
            "notes": self.on_notes,
            "brass": self.on_lines,
            "parts": self.parts,
            "instruments": self.instruments,
            "readings": self.readings,
            "clefs": self.clefs,
            "drums": self.on_drums,
        }
        return counted.get(count[2], self.count) >= int(count[1])


@dataclass(frozen=True, slots=True)
class Addressed:
    """A text, and how it is put to those who are told something else."""

    text: str
    """To the band."""
    own: tuple[tuple[str, str], ...] = ()
    """Id of a player, and what they read instead."""

    def to(self, player: Player) -> str:
        """What ``player`` reads."""
        return dict(self.own).get(player.id, self.text)


@dataclass(frozen=True, slots=True)
class _Choice:
    """One alternative."""

    cases: tuple[str, ...]
    """Of which one must hold; none: for everybody else."""
    text: str
    """What is said."""


def _hands(whom: Whom) -> str:
    sliding = {isinstance(player.instrument.mechanism, Slide) for player in whom.readers if player.instrument.brass}
    return "no-brass" if not sliding else "both" if len(sliding) > 1 else "slides" if sliding.pop() else "valves"


def _group(name: str) -> Callable[[Whom], bool]:
    return lambda whom: any(each.instrument.brass and each.instrument.group == name for each in whom.readers)


def _four_parts(whom: Whom) -> bool:
    covered = {voice for player in whom.band if player.instrument.brass for voice in player.instrument.covers}
    return covered >= set(VOICES) and whom.on_lines >= len(VOICES)


CASES: Mapping[str, tuple[Callable[[Whom], bool], str]] = {
    "valves": (lambda whom: _hands(whom) == "valves", "all who read it and blow have valves"),
    "slides": (lambda whom: _hands(whom) == "slides", "they have slides"),
    "both": (lambda whom: _hands(whom) == "both", "some have valves, some slides"),
    "no-brass": (lambda whom: _hands(whom) == "no-brass", "nobody of them blows: drums or mallets alone"),
    "bb": (_group("bb"), "B♭ brass is among them"),
    "eb": (_group("eb"), "E♭ brass is among them"),
    "f": (_group("f"), "an F horn is among them"),
    "concert": (_group("concert"), "brass that reads concert pitch is among them, as trombones do"),
    "drums": (lambda whom: any(not each.instrument.pitched for each in whom.band), "the band has drums"),
    "mallets": (
        lambda whom: any(each.instrument.pitched and not each.instrument.brass for each in whom.band),
        "the band has mallets",
    ),
    "big": (
        lambda whom: any(
            (held := each.instrument.held) and held.rests and held.bell != "back" for each in whom.readers
        ),
        "an instrument that stands on lap or seat is among them, as euphoniums do and F horns do not",
    ),
    "four-parts": (_four_parts, "the band covers soprano, alto, tenor and bass"),
    "one-room": (lambda whom: whom.rooms == 1, "everybody is taught in one room"),
    "two-rooms": (lambda whom: whom.rooms > 1, "the groups are taught apart"),
    "one-adult": (lambda whom: whom.adults == 1, "one adult is alone with the band"),
    "adults-only": (lambda whom: not whom.children, "no children are among the learners"),
}
"""When each case holds, as a test and in words; beside them ``5+`` holds where five or more play.

``5+notes`` holds where five or more play notes: drums are not counted, but in a band of drums alone. ``5+brass`` holds
where five or more blow, and so can hold a line of a piece, ``3+parts`` where they can play three lines of it at once,
``5+instruments`` where they have five different ones, ``2+readings`` where they read in two ways, ``2+clefs`` where
they read two clefs, ``2+drums`` where two or more play drums.
"""


def said(text: str, whom: Whom, words: Words) -> str:
    """``text`` as it is put to ``whom``; names of music, and phrases about it, are still in braces."""

    def one(match: re.Match[str]) -> str:
        choices = _choices(match[1])
        if choices is None:
            return _word(match[0], match[1], whom, words)
        found = next((each for each in choices if not each.cases or any(map(whom.holds, each.cases))), None)
        return said(found.text, whom, words) if found else ""

    return _GAP.sub("", MARK.sub(one, text))


def _word(mark: str, name: str, whom: Whom, words: Words) -> str:
    """A word of the course; any other mark as it stands."""
    meant = _small(name)
    if meant not in words:
        return mark
    told = said(words[meant], whom, {})
    return told if name == meant else capital(told)


def longest(text: str) -> str:
    """``text`` with the longest of each of its alternatives: as much room as it can take."""

    def one(match: re.Match[str]) -> str:
        choices = _choices(match[1])
        return match[0] if choices is None else max((each.text for each in choices), key=len)

    return MARK.sub(one, text)


def faults(text: str, words: Words) -> Iterator[str]:
    """What is wrong with the marks of ``text``, a sentence each: unknown cases, cases that are not covered."""
    for match in MARK.finditer(text):
        choices = _choices(match[1])
        if choices is not None:
            yield from (f"{match[0]}: {fault}" for fault in _faults(choices))
            if _runs_on(text, match, choices):
                yield f"{match[0]}: the space belongs outside the braces, or two words run together"
            for each in choices:
                yield from faults(each.text, words)
        elif not _NAME.fullmatch(match[1]):
            yield f"{match[0]}: braces hold a name, {{finger}}, or alternatives, {{slides? the slide | the fingers}}"
        elif match[1][0].isupper() and _small(match[1]) not in words:
            known = ", ".join(map(capital, words)) or "none"
            yield f"{match[0]}: a capital is for the words of plan.yml, {known}; music is named in small letters"
    if re.search(r"[{}]", MARK.sub("", text)):
        yield "a brace { or } is left over: each { needs its }"


def _runs_on(text: str, mark: re.Match[str], choices: Sequence[_Choice]) -> bool:
    """Whether a word of an alternative would touch one outside."""
    begin, end = mark.span()
    before, after = text[:begin][-1:].isalnum(), text[end:][:1].isalnum()
    told = [each.text for each in choices if each.text]
    return any((before and (one[0].isalnum() or one[0] == "{")) or (after and one[-1].isalnum()) for one in told)


def _choices(inside: str) -> tuple[_Choice, ...] | None:
    """The alternatives in a pair of braces; ``None`` where it holds none."""
    if not _OR.search(inside) and not _CASES.match(inside):
        return None
    found = []
    for part in _OR.split(inside):
        cases = _CASES.match(part)
        named = tuple(case.strip() for case in cases[1].split(",")) if cases else ()
        found.append(_Choice(named, (part[cases.end() :] if cases else part).strip()))
    return tuple(found)


def _faults(choices: Sequence[_Choice]) -> Iterator[str]:
    named = [case for each in choices for case in each.cases]
    for case in named:
        if case not in CASES and not _COUNT.fullmatch(case):
            sizes = (
                "numbers of players as 5+, 5+notes, 5+brass or 2+drums, 3+parts, 2+instruments, 2+readings and 2+clefs"
            )
            yield f"no case {case!r}; there are {', '.join(CASES)}, {sizes}"
    if any(not each.cases for each in choices[:-1]):
        yield "only the last alternative may stand without a case: whoever it is for, those after it are never said"
    if again := next((case for case in named if named.count(case) > 1), ""):
        yield f"the case {again!r} stands twice"
    counts = [int(count[1]) for case in named if (count := _COUNT.fullmatch(case))]
    if counts != sorted(counts, reverse=True):
        yield "larger numbers of players come first: what stands after a smaller one is never said"
    if all(each.cases for each in choices) and not any(set(axis) <= set(named) for axis in AXES):
        axis = next((axis for axis in AXES if set(axis) & set(named)), ())
        missing = [case for case in axis if case not in named]
        who = f"for {', '.join(missing)}" if missing else "where none of these cases holds"
        yield f"it says nothing {who}; end it with '| …' for everybody else, or with '|' if they are told nothing"


def _small(name: str) -> str:
    return name[:1].lower() + name[1:]


def _covered(players: Sequence[Player]) -> int:
    """How many of the four parts have a player of their own, where each takes one that the instrument covers."""
    reached = {frozenset[str]()}
    for player in players:
        for _ in range(min(max(player.count, 1), len(VOICES))):
            reached |= {taken | {voice} for taken in reached for voice in player.instrument.covers}
    return max(map(len, reached))
