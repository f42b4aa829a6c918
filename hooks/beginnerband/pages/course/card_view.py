"""What a leader's card shows, as plain values: the same for the web page and for print."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import KW_ONLY, dataclass, replace
from datetime import date
from itertools import accumulate

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.music.answer import answer
from beginnerband.music.equivalence import fingered_alike, octaves_apart
from beginnerband.music.instrument import Slide
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.words import series
from beginnerband.pages.course.card_music import READERS, ExcerptView, excerpts, excerpts_of
from beginnerband.pages.course.pieces import LessonPiece
from beginnerband.pages.shared.links import card_uri
from beginnerband.teaching.addressed import Addressed
from beginnerband.teaching.course import Lesson, Room, Step
from beginnerband.teaching.grading import Week

_SENTENCE = re.compile(r"(?<=[.?!”]) (?=[A-Z“])")
"""Between two sentences."""

ACROSS = 8
"""Most notes side by side among today's notes."""


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
    _: KW_ONLY
    which: str = ""
    """``low``, ``middle`` or ``high`` where the group has another note of that letter today; else empty."""


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
    sounds: tuple[int, ...]
    """MIDI number of what each of them sounds."""

    def octaves_from(self, heights: Collection[int]) -> int:
        """Octaves up, or down, that bring most of its notes to ``heights``."""
        ways = sorted(range(-4, 5), key=abs)
        return max(ways, key=lambda away: sum(sound + 12 * away in heights for sound in self.sounds))

    def places(self, heights: Collection[int]) -> Iterator[tuple[int, int]]:
        """Where each note stands beside others at ``heights``: its height, and how often that came before it.

        (One sound in two spellings takes two places.)
        """
        before, away = Counter[int](), 12 * self.octaves_from(heights)
        for sound in self.sounds:
            yield sound + away, before[sound]
            before[sound] += 1


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
class CardView:
    """A leader's card."""

    lesson: Lesson
    """The lesson, in the band's words."""
    percussion: str
    """What percussion does meanwhile; empty where it does the same, or there is none."""
    _: KW_ONLY
    adults: str
    """Who teaches and who is there."""
    ways: str
    """What stands beside a written note: valves, slide position or either; empty where nobody blows."""
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
    more: tuple[ExcerptView, ...] = ()
    """The same as further players read it: for paper, as far as the back has room."""
    unseen: tuple[ExcerptView, ...] = ()
    """Music that is taught, as those read it whom the excerpts do not show."""
    apart: bool
    """Some step is taught apart."""
    room: str = ""
    """Name of the room it is for; empty where one card is for everyone."""
    uri: str
    """Its page, as ``course/lesson-07.md``."""
    players: frozenset[str]
    """Ids of the players it is about: everyone, or those in its room."""
    brass: bool = True
    """Whether the band has anything to blow."""
    untaught: str = ""
    """Who is to be shown which notes before the pieces can be played, since no lesson has brought them."""
    further: tuple[LessonPiece, ...] = ()
    """What the band can play as well at its concert, where it has rehearsed it: in lessons on the programme."""

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
    def further_label(self) -> str:
        """What stands before pieces of the programme that no lesson works on."""
        what = "piece, if you have rehearsed it" if len(self.further) == 1 else "pieces, if you have rehearsed them"
        return f"Further {what}"

    @property
    def further_said(self) -> tuple[str, str] | None:
        """Those pieces with their label, below the pieces of the lesson; ``None`` where there are none."""
        return (self.further_label, " · ".join(piece.title for piece in self.further)) if self.further else None

    @property
    def rows(self) -> list[tuple[GroupView, list[NoteView | None]]]:
        """Each group with its notes, one concert note below the other; ``None`` where a group has none.

        Where that takes more than :data:`ACROSS` places, each group's notes simply follow each other.
        """
        first = set(self.groups[0].sounds) if self.groups else set[int]()
        placed = [(group, dict(zip(group.places(first), group.notes, strict=True))) for group in self.groups]
        heights = sorted({height for _, notes in placed for height in notes})
        if len(heights) <= ACROSS:
            return [(group, [notes.get(height) for height in heights]) for group, notes in placed]
        most = max(len(group.notes) for group in self.groups)
        return [(group, [*group.notes, *[None] * (most - len(group.notes))]) for group in self.groups]

    @property
    def has_music(self) -> bool:
        """Whether its page has a part about music: what is shown, or where what is taught is found."""
        return bool(self.excerpts or self.unseen)

    @property
    def titles(self) -> frozenset[str]:
        """Short titles of the music it shows."""
        return frozenset(_short_title(view.title) for view in self.excerpts)

    @property
    def elsewhere(self) -> dict[str, str]:
        """Who finds what others see on it on their sheets alone: readings, with the ids of their players."""
        found, shown = dict[str, str](), self.titles
        there = (view for view in self.unseen if _short_title(view.title) in shown)
        for name, players in (one for view in there for one in view.whose):
            found[name] = " ".join(dict.fromkeys(f"{found.get(name, '')} {players}".split()))
        return found

    @property
    def missing(self) -> tuple[tuple[str, str], ...]:
        """Titles of music that is taught and that nobody sees on it, and where it is found."""
        shown = self.titles
        nowhere = [view for view in self.unseen if _short_title(view.title) not in shown]
        places = (("on the players’ sheets", False), ("by ear", True))
        found = ((dict.fromkeys(view.title for view in nowhere if view.by_ear is ear), where) for where, ear in places)
        return tuple((series(list(titles)), where) for titles, where in found if titles)

    @property
    def new(self) -> bool:
        """Whether anything is new for anyone."""
        return any(note.new for group in self.groups for note in group.notes)


def card_rooms(course: CourseBook, lesson: Lesson) -> tuple[Room, ...] | tuple[None]:
    """The rooms of ``lesson`` that have a card of their own: each where some step is taught apart, else ``None``."""
    return course.rooms if lesson.rooms > 1 and len(course.rooms) > 1 else (None,)


def card_view(book: Book, course: CourseBook, lesson: Lesson, room: Room | None = None) -> CardView:
    """The card of ``lesson``, for everyone or for the leader of one room, with what is said and played there."""
    places = course.course.weeks_of(lesson)
    players = tuple(each for each in course.players if room is None or course.course.room_of(each.instrument) is room)
    if room:
        lesson = replace(
            lesson,
            steps=tuple(step.told_in(room.id) for step in lesson.steps),
            practice=tuple(_among(line, players) for line in lesson.practice),
        )
    card = CardView(
        lesson=lesson,
        percussion=_percussion(players, lesson),
        ways=ways_words(players),
        adults=course.teaching.who_is_there(lesson.rooms),
        place=places[0],
        count=len(course.course.weeks),
        stage=course.course.stage(lesson.stage).name,
        dates=dates_of(course, lesson),
        steps=_steps(lesson),
        groups=groups_of(book, course, lesson, players),
        excerpts=(),
        apart=any(not step.together for step in lesson.steps),
        room=room.name if room else "",
        uri=card_uri(lesson, _second(course, room)),
        players=frozenset(player.id for player in players),
        brass=any(player.instrument.brass for player in course.players),
    )
    english = book.band.english
    every = {item.id: excerpts_of(course, item, card.place, players, english) for item in lesson.items}
    shown, more = excerpts(course, card, every)
    taught = dict.fromkeys(ident for step in lesson.steps if step.kind == "teach" for ident in step.music)
    seen = {(view.item, view.reader) for view in shown}
    read = (view for ident in taught for view in every[ident][0])
    unseen = tuple(view for view in read if (view.item, view.reader) not in seen)
    return replace(card, excerpts=shown, more=more, unseen=unseen)


def _among(line: Addressed, players: Sequence[Player]) -> Addressed:
    """A line of practice as those who blow among ``players`` all read it; where they differ, as the band does."""
    read = {line.to(player) for player in players if player.instrument.brass}
    return Addressed(read.pop()) if len(read) == 1 else line


def _second(course: CourseBook, room: Room | None) -> str:
    """Id of a room other than the first, whose card has a page of its own; empty for the first."""
    return room.id if room and room.id != course.rooms[0].id else ""


def _percussion(band: Sequence[Player], lesson: Lesson) -> str:
    """What drums and mallets do, each once, as far as the band has them."""
    task = lesson.percussion
    if not task:
        return ""
    players = sorted((player for player in band if not player.instrument.brass), key=_pitched)
    if all(map(_pitched, players)):  # a title such as "Bass drum" is the drums'
        return " ".join(dict.fromkeys(task.of(player).do for player in players))
    drums, mallets = (
        dict.fromkeys(
            sentence
            for player in players
            if _pitched(player) is pitched
            for sentence in _SENTENCE.split(task.of(player).do)
        )
        for pitched in (False, True)
    )
    both = [sentence for sentence in drums if sentence in mallets]
    if not mallets or len(both) == len(drums) == len(mallets):
        return f"{task.title}. {' '.join(drums)}"
    if len(both) in (len(drums), len(mallets)):  # one of them would be told of nothing alone
        both = []
    own = [*(each for each in drums if each not in both), "Mallets:", *(each for each in mallets if each not in both)]
    return " ".join([f"{task.title}.", *own, *(["All:", *both] if both else [])])


def ways_words(players: Iterable[Player]) -> str:
    """What stands beside a written note for these players: ``valves or slide position``; empty where nobody blows."""
    moved = [player.instrument.mechanism for player in players if player.instrument.brass]
    slides = [each for each in moved if isinstance(each, Slide)]
    position = "slide position (T: trigger)" if any(slide.trigger for slide in slides) else "slide position"
    return " or ".join(filter(None, ("valves" if len(slides) < len(moved) else "", position if slides else "")))


def _pitched(player: Player) -> bool:
    return player.instrument.pitched


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


def dates_of(course: CourseBook, lesson: Lesson) -> tuple[date, ...]:
    """When a lesson is taught; empty without a start date."""
    return tuple(course.dates[place] for place in course.course.weeks_of(lesson)) if course.dates else ()


def groups_of(book: Book, course: CourseBook, lesson: Lesson, band: Sequence[Player]) -> tuple[GroupView, ...]:
    """Notes of a lesson for those of ``band``, by who sees the same with the same fingerings."""
    place = course.course.weeks_of(lesson)[0]
    found: list[tuple[list[Player], dict[Pitch, NoteView]]] = []
    for player in band:
        week = course.grades.weeks[player.id][place]
        if player.instrument.pitched:
            met = {pitch: note_view(player, pitch, pitch in week.new.notes) for pitch in todays_notes(week)}
            players, merged = _joined(found, player, met)
            away = octaves_apart(players[0], player)
            merged.update({pitch.octaves_up(away): note for pitch, note in met.items()})
    return tuple(
        GroupView(
            READERS[players[0].reading.id],
            who=series([player.instrument.names.of(book.band.english) for player in players]),
            players=" ".join(player.id for player in players),
            slide=isinstance(players[0].instrument.mechanism, Slide),
            notes=tuple(replace(note, which=which) for (_, note), which in zip(notes, whichs, strict=True)),
            sounds=tuple(players[0].reading.sounding(pitch).midi for pitch, _ in notes),
        )
        for players, merged in found
        if (notes := sorted(merged.items(), key=lambda item: item[0].midi))
        for whichs in [list(which_of([note.written for _, note in notes]))]
    )


def which_of(notes: Sequence[Pitch]) -> Iterator[str]:
    """For each of ``notes``, from low to high, what tells it from others of its letter (common practice, no source).

    ``low``, ``middle`` or ``high``; empty for the only one of its letter.
    """
    letters = [note.letter_sign for note in notes]
    for place, letter in enumerate(letters):
        below, above = letters[:place].count(letter), letters[place + 1 :].count(letter)
        yield "" if not below + above else "low" if not below else "middle" if above else "high"


def _joined(
    groups: list[tuple[list[Player], dict[Pitch, NoteView]]], player: Player, met: Iterable[Pitch]
) -> tuple[list[Player], dict[Pitch, NoteView]]:
    """The group of those who do the same as ``player`` for every note of today, theirs and what ``player`` met."""
    for players, merged in groups:
        for each in players:
            apart = octaves_apart(each, player), octaves_apart(each, players[0])
            notes = {pitch.octaves_up(apart[0]) for pitch in met} | {pitch.octaves_up(apart[1]) for pitch in merged}
            if not fingered_alike(each, player, notes):
                break
        else:
            players.append(player)
            return players, merged
    groups.append(([player], {}))
    return groups[-1]
