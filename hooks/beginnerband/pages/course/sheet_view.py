"""What a player's sheet shows, as plain values: the same for the web page and for print."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import KW_ONLY, dataclass, field, replace
from datetime import date

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.music.answer import Answer, answer
from beginnerband.music.line_breaks import FINGERED, WIDE, line_breaks
from beginnerband.music.percussion import sticking
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Line, Note
from beginnerband.music.shift import sounding
from beginnerband.music.words import capital, series, suggested
from beginnerband.pages.course.card_view import todays_notes, which_of
from beginnerband.render.engrave import PHONE
from beginnerband.teaching.course import Lesson, Percussion
from beginnerband.teaching.grading import LessonPart
from beginnerband.teaching.wording import spelled

TO_PLAY = "First this, then what you like: five minutes in all"
"""What stands over the lines of home practice where a lesson follows: a line alone takes a minute or two."""


@dataclass(frozen=True, slots=True)
class SheetNote:
    """A note of today."""

    answer: Answer
    """What is on paper, and how it is played."""
    new: bool
    """First met in this lesson."""
    which: str = ""
    """``low``, ``middle`` or ``high`` where the player has another note of that letter today; else empty."""


@dataclass(frozen=True, slots=True)
class SheetMusic:
    """A piece the player reads."""

    title: str
    """As people read it."""
    line: Line
    """As written for this player; for drums the rhythm on one drum."""
    under: tuple[str, ...]
    """Fingering under each note, where its pitch comes for the first time; for drums the hand; else empty."""
    tune: str
    """Id of the tune, or empty."""
    breaks: tuple[int, ...]
    """Places of the bars that begin a new line: the same for all who play it."""
    phone_breaks: tuple[int, ...]
    """The same where it is shown on a phone."""
    heard: tuple[tuple[Player, Line], ...] = field(hash=False, repr=False, default=())
    """What it sounds like: this player first, then some of the band."""


@dataclass(frozen=True, slots=True)
class ByEar:
    """A piece the player learns by ear."""

    title: str
    """As people read it."""
    line: Line
    """As written for this player; for drums the rhythm on one drum."""
    codes: tuple[str, ...]
    """What the hand does, for each note and rest: valves, position, the bar's letter, or the hand itself.

    On a sheet where two of today's notes are played alike, the letter of each stands on a line before that.
    """
    tune: str
    """Id of the tune, or empty."""
    words: tuple[str, ...]
    """To sing, a line each; or none."""
    new: bool
    """First met in this lesson."""
    heard: tuple[tuple[Player, Line], ...] = field(hash=False, repr=False, default=())
    """What it sounds like: this player first, then some of the band."""
    _: KW_ONLY
    apart: str = ""
    """Which of two notes of one letter it has, as ``high B♭``; empty where today has no other of its letters."""


@dataclass(frozen=True, slots=True)
class SheetView:
    """A player's sheet."""

    lesson: Lesson
    """The lesson."""
    aim: str
    """Its aim, in the band's words."""
    _: KW_ONLY
    player: Player
    """The instrument."""
    name: str
    """What the instrument is called here."""
    place: int
    """Week, from 0."""
    dates: tuple[date, ...]
    """When the lesson is taught."""
    notes: tuple[SheetNote, ...]
    """Today's notes, low to high."""
    reads: bool
    """Players have been taught to read by now, so notes stand on a staff."""
    by_ear: tuple[ByEar, ...]
    """Music taught by ear."""
    stars: tuple[str, ...]
    """Titles of the lesson's steps, as on the leader's card: what a star can be earned for, or a tick."""
    do: str
    """What drums do in the lesson while the others learn notes; else empty."""
    music: tuple[SheetMusic, ...]
    """Music to read."""
    suggested: str
    """That breath marks in it are suggestions, where some are."""
    practice: tuple[str, ...]
    """One line a day."""
    uri: str
    """Its page, as ``course/sheets/lesson-07/cornet.html``."""
    to_play: str = ""
    """What stands over these lines."""
    signed: bool = True
    """Whether practice is signed for, and what went well earns a star; adults tick it off for themselves."""


def sheet_uri(lesson: Lesson, player: Player) -> str:
    """The page of a sheet."""
    return f"course/sheets/{lesson.id}/{player.id}.html"


def sheet_view(book: Book, course: CourseBook, lesson: Lesson, player: Player) -> SheetView:
    """The sheet of ``lesson`` for ``player``, as of the week it is first taught."""
    places = course.course.weeks_of(lesson)
    week = course.grades.weeks[player.id][places[0]]
    english = book.band.english
    task = lesson.task_of(player)
    room = course.course.room_of(player.instrument).id
    taught = {item for step in lesson.steps if step.kind == "teach" for item in step.music}  # not the opening's
    notes = todays_notes(week)
    told = dict(zip(notes, which_of(notes), strict=True))
    heard = [part for part in week.parts if not part.item.read and part.item.id in taught]
    named = _played_alike(player, notes)
    music = tuple(_music(course, player, part, places[0]) for part in week.parts if part.item.read)
    return SheetView(
        lesson=lesson,
        aim=task.aim,
        player=player,
        name=capital(player.instrument.names.of(english)),
        place=places[0],
        dates=tuple(course.dates[place] for place in places) if course.dates else (),
        notes=tuple(SheetNote(answer(player, pitch), pitch in week.new.notes, which) for pitch, which in told.items()),
        reads=any(course.ladder.at(stage).rung.notation for stage in lesson.stages),
        by_ear=tuple(
            replace(_by_ear(book, course, player, part, places[0], named=named), apart=_apart(told, part.line))
            for part in heard
        ),
        stars=tuple(step.told_in(room).title for step in lesson.steps if step.kind == "teach"),
        do=task.do if isinstance(task, Percussion) else "",
        music=music,
        suggested=spelled(suggested(*(piece.line for piece in music)), book.band.english),
        practice=lesson.practice_of(player),
        to_play=TO_PLAY if places[-1] + 1 < len(course.course.weeks) else "To play",
        uri=sheet_uri(lesson, player),
        signed=course.teaching.ages != "adults",
    )


def _played_alike(player: Player, notes: Collection[Pitch]) -> bool:
    """Whether any two of ``notes`` are blown with the same valves or in the same position: the lips alone tell them."""
    ways = [way.code for pitch in notes if (way := answer(player, pitch).way)] if player.instrument.brass else []
    return len(set(ways)) < len(ways)


def _apart(told: Mapping[Pitch, str], line: Line) -> str:
    """Which of the notes that are ``told`` apart by a word a line has, as ``high B♭``."""
    return series([f"{told[note]} {note.letter_sign}" for note in dict.fromkeys(line.pitches) if told.get(note)])


def _by_ear(book: Book, course: CourseBook, player: Player, part: LessonPart, place: int, *, named: bool) -> ByEar:
    line = part.line if player.instrument.pitched else on_drum(part.line)
    codes = sticking(line) if not player.instrument.pitched else tuple(_hand(player, note, named) for _, note in line)
    new = not any(item.id == part.item.id for week in course.course.weeks[:place] for item in week.items)
    words = book.tunes[part.item.tune].verses if part.item.tune in book.tunes else ()
    return ByEar(part.item.title, line, codes, part.item.tune, words, new, _heard(course, player, part.item.id, place))


def _hand(player: Player, note: Note, named: bool) -> str:
    if note.pitch is None:
        return ""
    way, letter = answer(player, note.pitch).way, note.pitch.letter_sign
    return letter if not way else f"{letter}\n{way.code}" if named else way.code


def _heard(course: CourseBook, player: Player, item: str, place: int) -> tuple[tuple[Player, Line], ...]:
    """The player's own line at sounding pitch, or its rhythm, and the same from up to two others, high and low."""
    parts = {
        each.id: (each, part.line)
        for each in (player, *course.players)
        if (part := course.grades.weeks[each.id][place].part(item)) is not None
    }
    own, *others = parts
    brass = [ident for ident in others if parts[ident][0].instrument.brass]
    return tuple(_as_heard(*parts[ident]) for ident in dict.fromkeys((own, *brass[:1], *brass[-1:])))


def _as_heard(player: Player, line: Line) -> tuple[Player, Line]:
    return player, sounding(line, player.reading) if player.instrument.pitched else on_drum(line)


def _music(course: CourseBook, player: Player, part: LessonPart, place: int) -> SheetMusic:
    breaks = line_breaks([part.item.line], WIDE)
    phone = line_breaks([part.item.line], PHONE, onset=FINGERED)
    heard = _heard(course, player, part.item.id, place)
    if not player.instrument.pitched:
        line = on_drum(part.line)
        return SheetMusic(part.item.title, line, sticking(line), part.item.tune, breaks, phone, heard)
    return SheetMusic(
        part.item.title, part.line, _first_fingerings(player, part.line), part.item.tune, breaks, phone, heard
    )


def _first_fingerings(player: Player, line: Line) -> tuple[str, ...]:
    if not player.instrument.brass:
        return ()
    seen: set[Pitch] = set()
    codes = []
    for _, note in line:
        way = answer(player, note.pitch).way if note.pitch and note.pitch not in seen else None
        codes.append(way.code if way else "")
        if note.pitch:
            seen.add(note.pitch)
    return tuple(codes)


def on_drum(line: Line, drum: str = "snare") -> Line:
    """The rhythm of a line on one drum: no pitches, no slurs, no key signature."""

    def strike(note: Note) -> Note:
        if note.pitch is None:
            return note
        return replace(
            note, pitch=None, drum=drum, graces=(), slur_starts=0, slur_stops=0, breath=False, proposed=False
        )

    return replace(
        line,
        measures=tuple(
            replace(
                measure,
                notes=tuple(strike(note) for note in measure.notes),
                key=replace(measure.key, fifths=0) if measure.key else None,
            )
            for measure in line.measures
        ),
    )
