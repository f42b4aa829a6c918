"""The music that a leader's card shows, as plain values: which of it, how much of each, and as whom it is read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field, replace
from itertools import product
from typing import TYPE_CHECKING

from beginnerband.data.course import CourseBook
from beginnerband.music.instrument import GROUPS
from beginnerband.music.player import Player
from beginnerband.music.score import Key, Line
from beginnerband.music.shift import sounding
from beginnerband.music.words import series
from beginnerband.pages.course.print_layout import back_room, excerpt_height
from beginnerband.teaching.course import Item

if TYPE_CHECKING:  # it shows what is chosen here, by the room that it leaves
    from beginnerband.pages.course.card_view import CardView

READERS = {
    "treble-bb": "B♭ treble",
    "treble-eb": "E♭ treble",
    "treble-f": "F treble",
    "treble-c": "Concert treble",
    "bass-c": "Bass clef",
    "rhythm": "Drums",
}
"""How a reading is called on a card."""


@dataclass(frozen=True, slots=True)
class ExcerptView:
    """One picture of music on a leader's card."""

    item: str
    """Id of the music."""
    _: KW_ONLY
    title: str
    """As people read it."""
    whose: tuple[tuple[str, str], ...]
    """Whose notes it shows: each reading, as ``B♭ treble``, with the ids of its players and spaces between them."""
    key: str
    """Concert key, as ``B♭``."""
    by_ear: bool
    """Players do not see it."""
    line: Line
    """As written; only its beginning where the card has shown it before."""
    heard: Line
    """The same as it sounds."""
    clef: str
    """Its clef."""
    begins: bool
    """Only the beginning is shown."""
    tune: str
    """Id of the tune, or empty."""
    brass: bool = True
    """Brass reads it; else mallets alone."""
    leads: bool = False
    """It begins a row, in which others who read the same stand beside it."""
    whole: ExcerptView | None = field(compare=False, default=None)
    """Itself with all its bars, which paper shows where it has room, if only its beginning is shown."""
    rank: int = 0
    """Its place among what is shown on paper alone, where there is room, from 1; 0 where it is always shown."""
    high: float = field(init=False, compare=False)
    """Millimetres it takes with its title, which are asked for many times while a card is filled."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "high", excerpt_height(self))

    def beginning(self, bars: int) -> ExcerptView:
        """Its first bars, with an upbeat before them; itself where there are no more."""
        bars += self.line.measures[0].number == 0
        if len(self.line.measures) <= bars:
            return self
        first, heard = (line.excerpt(0, bars) for line in (self.line, self.heard))
        return replace(self, line=first, heard=heard, begins=True, whole=self.whole or self)

    @property
    def reader(self) -> str:
        """Whose notes it shows, as ``B♭ treble and E♭ treble``."""
        return series([name for name, _ in self.whose])

    @property
    def caption(self) -> str:
        """Whose notes, which concert key, by ear or from the page."""
        return f"{self.reader} · concert {self.key} · {'by ear' if self.by_ear else 'from the page'}"


BEGINNING, LONG = 4, 16
"""Bars of a picture where not all fits whole: the fewest of any, and of new music as long as these find room."""

WORDS, SCORE = 45, 75
"""Millimetres of the back that are kept for words, and for the score of each piece in parts, before music is shown as
more than two groups read it, or again."""

GROUPS_AT_ONCE = 2
"""Learning groups whose notes stand side by side on a card for everyone, also on its page."""

Taken = dict[str, tuple[ExcerptView, ...]]
"""Pictures of each piece, by its id."""


def excerpts(
    course: CourseBook, card: CardView, every: Mapping[str, tuple[tuple[ExcerptView, ...], int]]
) -> tuple[tuple[ExcerptView, ...], tuple[ExcerptView, ...]]:
    """Pictures of the lesson's music, few enough for the back of the card: whole where they fit.

    Where there is room, music is shown as several groups read it, side by side. Where there is not even room for one,
    music of an earlier card is shown by its beginning, as little of it as need be, then the new; then the old is left
    out; then of the new only the first bars are shown, then exercises and at last tunes are left out. Beside them, what
    else there may be room for on paper: new music before what an earlier card has, brass before mallets, tunes before
    exercises; or what was left out.
    """
    earlier = (week for week in course.course.weeks[: card.place] if week.id != card.lesson.id)
    shown = {_known_by(item) for week in earlier for item in week.items}
    known = {item.id for item in card.lesson.items if _known_by(item) in shown}
    whole = {ident: views[:own] for ident, (views, own) in every.items() if own}
    room, spared = back_room(card), WORDS + SCORE * len(card.lesson.pieces)
    taken = {ident: views[:1] for ident, views in whole.items()}
    if _height(taken) > room:
        kept = _shortened(taken, known, room)
        left = (view for ident in _dearest(taken, known) if ident not in kept for view in taken[ident])
        return _side_by_side(kept), tuple(replace(view, rank=rank) for rank, view in enumerate(left, start=1))
    for count in (2, 3):
        for ident in sorted(whole, key=known.__contains__):
            spare = spared if ident in known or count > 2 else 0
            more = taken | {ident: whole[ident][:count]}
            if _height(more) <= room - spare:
                taken = more
    further, filled = list[ExcerptView](), taken
    order = sorted(product(_dearest(whole, known), (True, False)), key=lambda one: (one[0] in known, not one[1]))
    for ident, brass in order:
        rest = tuple(view for view in every[ident][0] if view not in filled[ident] and view.brass is brass)
        more = filled | {ident: (*filled[ident], *rest)}
        if rest and _height(more) <= room - SCORE * len(card.lesson.pieces):
            rank, filled = len({view.rank for view in further}) + 1, more
            further += [replace(view, rank=rank) for view in rest]
    return _side_by_side(taken), tuple(further)


def _shortened(taken: Taken, known: Collection[str], room: float) -> Taken:
    """The same with beginnings, longest first, and without what an earlier card has, until it fits.

    Where the steps of a long lesson fill half of the back, the new has the least beginnings, or is left out too.
    """
    longest = sorted(taken, key=lambda ident: -len(taken[ident][0].line.measures))
    old, new = ([ident for ident in longest if (ident in known) is met] for met in (True, False))
    cheap = [ident for ident in reversed(_dearest(taken, known)) if ident in new]
    for idents, bars in ((old, BEGINNING), (new, LONG), (old, 0), (new, BEGINNING), (cheap, 0)):
        for ident in idents:
            if _height(taken) <= room:
                return taken
            if bars:
                taken = taken | {ident: tuple(view.beginning(bars) for view in taken[ident])}
            else:
                taken = {other: views for other, views in taken.items() if other != ident}
    return taken


def _dearest(taken: Taken, known: Collection[str]) -> list[str]:
    """What a leader would miss most, first: new music before what an earlier card has, tunes before exercises."""
    return sorted(taken, key=lambda ident: (ident in known, not any(view.tune for view in taken[ident])))


def _side_by_side(taken: Taken) -> tuple[ExcerptView, ...]:
    """In two columns; what several groups read begins a row."""
    return tuple(replace(view, leads=_leads(view, views)) for views in taken.values() for view in views)


def _leads(view: ExcerptView, views: Sequence[ExcerptView]) -> bool:
    """Whether a picture begins a row: the first of several does."""
    return view is views[0] and len(views) > 1


def _height(taken: Taken) -> float:
    """Millimetres that the pictures take, placed as :func:`_side_by_side`."""
    rows = list[list[float]]()
    for views in taken.values():
        for view in views:
            if not rows or len(rows[-1]) == 2 or _leads(view, views):
                rows.append([])
            rows[-1].append(view.high)
    return sum(map(max, rows))


def excerpts_of(
    course: CourseBook, item: Item, place: int, band: Sequence[Player], english: str
) -> tuple[tuple[ExcerptView, ...], int]:
    """A piece as each group of ``band`` reads it, and how many of these a page has room for: the first."""
    readers, own = _readers(course, item, place, band)
    whose = _by_instruments([_readers_of(course, item, place, line, band) for _, line in readers], english)
    views = tuple(
        ExcerptView(
            item.id,
            title=item.title,
            whose=tuple((name, " ".join(player.id for player in some)) for name, some in readings.items()),
            key=_key_name(item, course, player),
            by_ear=not item.read,
            line=line,
            heard=sounding(line, player.reading),
            clef=player.reading.clef,
            begins=False,
            tune=item.tune,
            brass=player.instrument.brass,
        )
        for (player, line), readings in zip(readers, whose, strict=True)
    )
    return views, own


def _known_by(item: Item) -> tuple[object, ...]:
    """What makes two pieces on cards the same picture."""
    return (item.title, item.read, *item.keys.items())


def _readers(
    course: CourseBook, item: Item, place: int, band: Sequence[Player]
) -> tuple[list[tuple[Player, Line]], int]:
    """The first players who see ``item`` on different notes, with their lines, and how many of these come first.

    In a room of its own each reading of the brass does; else one of each learning group, two at most. Mallets are last.
    """
    found: list[tuple[Player, Line]] = []
    for player in sorted(band, key=lambda player: not player.instrument.brass):
        part = course.grades.weeks[player.id][place].part(item.id) if player.instrument.pitched else None
        if part and all(part.line != line for _, line in found):
            found.append((player, part.line))
    brass = [pair for pair in found if pair[0].instrument.brass]
    brass.sort(key=lambda pair: GROUPS.index(pair[0].instrument.group))
    others = [pair for pair in found if not pair[0].instrument.brass]
    if len(band) < len(course.players):
        return [*brass, *others], len(brass)
    groups = {player.instrument.group: (player, line) for player, line in reversed(brass)}
    first = sorted(groups.values(), key=lambda pair: GROUPS.index(pair[0].instrument.group))[:GROUPS_AT_ONCE]
    return [*first, *(pair for pair in brass if pair not in first), *others], len(first)


def _readers_of(
    course: CourseBook, item: Item, place: int, line: Line, band: Sequence[Player]
) -> dict[str, list[Player]]:
    """Whose notes a line is: every reading that sees exactly these, with its players."""
    found: dict[str, list[Player]] = {}
    for player in band:
        part = course.grades.weeks[player.id][place].part(item.id) if player.instrument.pitched else None
        if part and part.line == line:
            found.setdefault(READERS[player.reading.id], []).append(player)
    return found


def _by_instruments(lines: Sequence[dict[str, list[Player]]], english: str) -> list[dict[str, list[Player]]]:
    """The readers of each line, with their instruments where others of one reading see other notes, an octave away."""
    count = Counter(name for readings in lines for name in readings)

    def name_of(name: str, players: list[Player]) -> str:
        who = series(list(dict.fromkeys(player.instrument.names.of(english) for player in players)))
        return f"{name} ({who})" if count[name] > 1 else name

    return [{name_of(name, some): some for name, some in readings.items()} for readings in lines]


def _key_name(item: Item, course: CourseBook, player: Player) -> str:
    return Key(item.keys[course.course.room_of(player.instrument).id]).sign.split()[0]
