"""What a leader's card shows, as plain values: the same for the web page and for print."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from datetime import date
from itertools import accumulate
from math import ceil

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.music.answer import answer
from beginnerband.music.instrument import GROUPS, Slide
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Key, Line
from beginnerband.music.shift import sounding
from beginnerband.music.words import series
from beginnerband.pages.shared.links import lesson_uri
from beginnerband.teaching.calendar import Teaching
from beginnerband.teaching.course import Item, Lesson, Step
from beginnerband.teaching.grading import Week

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
class NoteView:
    """One note as a group meets it."""

    written: Pitch
    """What is on paper."""
    fingering: str
    """``1-2``, a slide position ``4``, or empty for mallets."""
    concert: str
    """What sounds, letter only, as ``B♭``."""
    new: bool
    """First met in this lesson."""


@dataclass(frozen=True, slots=True)
class GroupView:
    """Players who see the same notes with the same fingerings."""

    name: str
    """As ``B♭ treble``."""
    _: KW_ONLY
    who: str
    """As ``cornet, baritone``."""
    players: str
    """Their ids, with spaces between them."""
    slide: bool
    """Fingerings are slide positions."""
    notes: tuple[NoteView, ...]
    """Low to high."""


@dataclass(frozen=True, slots=True)
class StepView:
    """A step with its place on the clock."""

    number: int
    """From 1."""
    start: int
    """Minutes after the beginning."""
    step: Step
    """What is done."""
    guide: str
    """Page of the guide, as ``guide/breathing.md``, or empty."""
    music: tuple[str, ...]
    """Titles of the music it uses."""


@dataclass(frozen=True, slots=True)
class ExcerptView:
    """One picture of music on a leader's card."""

    title: str
    """As people read it."""
    _: KW_ONLY
    reader: str
    """Whose notes it shows, as ``B♭ treble``; empty for a later picture of the same piece and reading."""
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

    @property
    def caption(self) -> str:
        """Whose notes, which concert key, by ear or from the page."""
        return f"{self.reader} · concert {self.key} · {'by ear' if self.by_ear else 'from the page'}"


@dataclass(frozen=True, slots=True)
class CardView:
    """A leader's card."""

    lesson: Lesson
    """The lesson, in the band's words."""
    percussion: str
    """What percussion does meanwhile; empty where it does the same, or there is none."""
    _: KW_ONLY
    adults: str
    """Who teaches and who is there."""
    place: int
    """Week, from 0, in which it is first taught."""
    count: int
    """Weeks of the whole course."""
    stage: str
    """Name of its stage."""
    dates: tuple[date, ...]
    """When it is taught; empty without a start date."""
    steps: tuple[StepView, ...]
    """Timed steps."""
    groups: tuple[GroupView, ...]
    """Notes of today."""
    excerpts: tuple[ExcerptView, ...]
    """Music of today."""
    apart: bool
    """Some step is taught apart."""
    uri: str
    """Its page, as ``course/lesson-07.md``."""
    brass: bool = True
    """Whether the band has anything to blow."""
    untaught: str = ""
    """Who is to be shown which notes before the pieces can be played, since no lesson has brought them."""

    @property
    def head(self) -> tuple[tuple[str, str], ...]:
        """What stands below the aim, each with its label; only what there is."""
        said = (
            ("At home, five minutes before", self.lesson.at_home),
            ("Who", self.adults),
            ("Percussion", self.percussion if self.brass else ""),
            ("Bring", " · ".join(self.lesson.bring)),
            ("Show these first", self.untaught),
        )
        return tuple((label, text) for label, text in said if text)

    @property
    def new(self) -> bool:
        """Whether anything is new for anyone."""
        return any(note.new for group in self.groups for note in group.notes)


def card_view(book: Book, course: CourseBook, lesson: Lesson) -> CardView:
    """The card of ``lesson``."""
    places = course.course.weeks_of(lesson)
    return CardView(
        lesson=lesson,
        percussion=_percussion(course, lesson),
        adults=adults_words(course.teaching, lesson.rooms),
        place=places[0],
        count=len(course.course.weeks),
        stage=course.course.stage(lesson.stage).name,
        dates=tuple(course.dates[place] for place in places) if course.dates else (),
        steps=_steps(lesson),
        groups=_groups(book, course, places[0]),
        excerpts=_excerpts(course, lesson, places[0]),
        apart=any(not step.together for step in lesson.steps),
        uri=lesson_uri(lesson),
        brass=any(player.instrument.brass for player in course.players),
    )


def _percussion(course: CourseBook, lesson: Lesson) -> str:
    """What drums and mallets do, each once, as far as the band has them."""
    task = lesson.percussion
    if not task:
        return ""
    players = sorted((player for player in course.players if not player.instrument.brass), key=_pitched)
    said = dict.fromkeys(("Mallets: " if _pitched(player) else "") + task.of(player).do for player in players)
    return f"{task.title}. {' '.join(said)}" if said else ""


def _pitched(player: Player) -> bool:
    return player.instrument.pitched


def adults_words(teaching: Teaching, rooms: int) -> str:
    """Who teaches and who has to be there, unless local rules say otherwise."""
    if teaching.ages == "adults":
        return "One person teaches." if rooms == 1 else "One person teaches in each room."
    need = 2 * rooms
    said = "One adult teaches, a second is present" + (" in each room." if rooms > 1 else ".")
    short = f" That is {need}; the band file says {teaching.adults}." if teaching.adults < need else ""
    return f"{said}{short} Local rules may ask for more."


def _steps(lesson: Lesson) -> tuple[StepView, ...]:
    starts = accumulate((step.minutes for step in lesson.steps), initial=0)
    return tuple(
        StepView(
            number=number,
            start=start,
            step=step,
            guide=f"guide/{step.guide}.md" if step.guide else "",
            music=tuple(dict.fromkeys(_short_title(lesson.item(item).title) for item in step.music)),
        )
        for number, (step, start) in enumerate(zip(lesson.steps, starts, strict=False), 1)
    )


def _short_title(title: str) -> str:
    """A title without what stands in brackets."""
    return title.split(" (")[0]


def note_view(player: Player, written: Pitch, new: bool) -> NoteView:
    """A written note of ``player`` with its fingering and the concert note."""
    note = answer(player, written)
    return NoteView(written, note.way.code if note.way else "", note.sounding.letter_sign, new)


def todays_notes(week: Week) -> tuple[Pitch, ...]:
    """Every written note of a week's music, low to high."""
    notes = {pitch for part in week.parts for pitch in part.facts.notes}
    return tuple(sorted(notes, key=lambda pitch: (pitch.midi, pitch.staff_index)))


def _groups(book: Book, course: CourseBook, place: int) -> tuple[GroupView, ...]:
    found: dict[tuple[str, ...], tuple[list[Player], dict[Pitch, NoteView]]] = {}
    for player in course.players:
        week = course.grades.weeks[player.id][place]
        if not player.instrument.pitched:
            continue
        new = week.new.notes
        codes = tuple(note_view(player, pitch, False).fingering for pitch in player_notes(player))
        players, merged = found.setdefault((player.reading.id, *codes), ([], {}))
        players.append(player)
        away = _octaves_apart(players[0], player)
        merged.update({pitch.octaves_up(away): note_view(player, pitch, pitch in new) for pitch in todays_notes(week)})
    return tuple(
        GroupView(
            READERS[players[0].reading.id],
            who=", ".join(player.instrument.names.of(book.band.english) for player in players),
            players=" ".join(player.id for player in players),
            slide=isinstance(players[0].instrument.mechanism, Slide),
            notes=tuple(notes[pitch] for pitch in sorted(notes, key=lambda pitch: pitch.midi)),
        )
        for players, notes in found.values()
        if notes
    )


def _octaves_apart(first: Player, other: Player) -> int:
    """Octaves up from what ``other`` reads to what ``first`` reads: 1 for a bass-clef tuba beside a euphonium."""
    return round((player_notes(first)[0].midi - player_notes(other)[0].midi) / 12)


def player_notes(player: Player) -> tuple[Pitch, ...]:
    """Lowest and highest written note of a player's first year, which tell fingering systems apart."""
    span = player.instrument.written_range("first-year", player.reading)
    return (span.low, span.high)


def _excerpts(course: CourseBook, lesson: Lesson, place: int) -> tuple[ExcerptView, ...]:
    """Pictures of the lesson's music, few enough for the back of a card: whole where they fit.

    Where they do not, music of an earlier card is shown by its beginning, and so is what a second group reads of the
    same piece.
    """
    shown = {_known_by(item) for earlier in course.course.weeks[:place] if earlier.id != lesson.id
             for item in earlier.items}  # fmt: skip
    readers = {item.id: _readers(course, item, place)[: 1 if _known_by(item) in shown else 2] for item in lesson.items}
    lines = sum(ceil(len(line.measures) / 4) + 1 for read in readers.values() for _, line in read)
    whole = lines <= BACK
    found: list[ExcerptView] = []
    for item in lesson.items:
        known = _known_by(item) in shown
        for count, (player, line) in enumerate(readers[item.id]):
            bars = len(line.measures) if whole else BEGINNING if known or count else LONG
            bars += line.measures[0].number == 0
            begins = len(line.measures) > bars
            part = line.excerpt(0, bars) if begins else line
            found.append(
                ExcerptView(
                    title=item.title,
                    reader=_readers_of(course, item, place, line),
                    key=_key_name(item, course, player),
                    by_ear=not item.read,
                    line=part,
                    heard=sounding(part, player.reading),
                    clef=player.reading.clef,
                    begins=begins,
                    tune=item.tune,
                )
            )
    return tuple(found)


BEGINNING, LONG = 4, 16
"""Bars of a picture on a card where not all fits whole: of music seen before, and else."""

BACK = 30
"""Lines of four bars, with one more for each title, that the back of a card has room for in two columns."""


def _known_by(item: Item) -> tuple[object, ...]:
    """What makes two pieces on cards the same picture."""
    return (item.title, item.read, *item.keys.items())


def _readers(course: CourseBook, item: Item, place: int) -> list[tuple[Player, Line]]:
    """The first players of the brass who see ``item`` on different notes, with their lines: two at most."""
    found: list[tuple[Player, Line]] = []
    for player in course.players:
        part = course.grades.weeks[player.id][place].part(item.id) if player.instrument.brass else None
        if part and all(part.line != line for _, line in found):
            found.append((player, part.line))
    groups = {player.instrument.group: (player, line) for player, line in reversed(found)}
    return sorted(groups.values(), key=lambda pair: GROUPS.index(pair[0].instrument.group))[:2]


def _readers_of(course: CourseBook, item: Item, place: int, line: Line) -> str:
    """Whose notes a line is: every reading that sees exactly these, as ``B♭ treble and E♭ treble``."""
    names = dict.fromkeys(
        READERS[player.reading.id]
        for player in course.players
        if player.instrument.pitched
        and (part := course.grades.weeks[player.id][place].part(item.id))
        and part.line == line
    )
    return series(list(names))


def _key_name(item: Item, course: CourseBook, player: Player) -> str:
    return Key(item.keys[course.course.room_of(player.instrument).id]).sign.split()[0]
