"""Who knows what by which lesson: the chart, the table, and what a player who moves must still learn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import KW_ONLY, dataclass
from typing import Any

from markupsafe import Markup, escape

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook
from beginnerband.music.answer import answer
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Key
from beginnerband.pages.course.card_music import READERS
from beginnerband.pages.course.card_view import note_view
from beginnerband.pages.instruments.moving import name
from beginnerband.pages.instruments.room import GROUP_WORDS
from beginnerband.pages.shared.charts import code_words
from beginnerband.pages.shared.links import lesson_uri
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.text import in_script
from beginnerband.teaching.course import Item
from beginnerband.teaching.ladder import Limit, missing_for_mover, refingered
from beginnerband.teaching.wording import in_words

ROW, COLUMN, LEFT = 15, 20, 34
"""Drawing units: height of a note's row, width of a week, room for names."""


@dataclass(frozen=True, slots=True)
class Chart:
    """One instrument's notes over the weeks."""

    id: str
    """Instrument id."""
    _: KW_ONLY
    name: str
    """What it is called here."""
    reader: str
    """How it reads."""
    svg: Markup
    """The drawing."""


@dataclass(frozen=True, slots=True)
class Move:
    """What a change of instrument asks."""

    old: str
    """From."""
    _: KW_ONLY
    new: str
    """To."""
    missing: str
    """Notes, each with the weeks after which it is missing."""
    changed: str
    """Notes of the same name with other fingerings."""


def view(book: Book, course: CourseBook) -> dict[str, Any]:
    """Values for ``course/progress.html``."""
    weeks = course.course.weeks
    players = [player for player in course.players if player.instrument.pitched]
    met = {player.id: course.grades.first_met(player.id) for player in players}
    alike = _alike(players, met)
    names = [", ".join(player.instrument.names.of(book.band.english) for player in group) for group in alike]
    charts = [
        Chart(
            group[0].id, name=name, reader=READERS[group[0].reading.id], svg=_chart(course, group[0], met[group[0].id])
        )
        for group, name in zip(alike, names, strict=True)
    ]
    rows = [
        (
            lesson.number,
            lesson.title,
            lesson_uri(lesson),
            [" ".join(pitch.sign for pitch in course.grades.new_notes(group[0].id, place)) for group in alike],
        )
        for place, lesson in enumerate(weeks)
        if any(course.grades.new_notes(group[0].id, place) for group in alike)
    ]
    moves = [
        _move(course, old[0], new[0], (old_name, new_name))
        for old, old_name in zip(alike, names, strict=True)
        for new, new_name in zip(alike, names, strict=True)
        if old is not new
    ]
    return {
        "charts": charts,
        "rows": rows,
        "signs": _signs(book, course),
        "tunes": _tunes(course),
        "start": course.course.one_sound.words if course.course.one_sound else "",
        "players": [(player.id, player.instrument.names.of(book.band.english)) for player in players],
        "weeks": [f"{lesson.number}: {lesson.title}" for lesson in weeks],
        "moves": moves,
        "mover_data": mover_data(course, players, met),
    }


def _alike(players: list[Player], met: dict[str, dict[Pitch, int]]) -> list[list[Player]]:
    """Players who are taught the same written notes, with the same fingerings, in the same weeks."""
    groups: dict[tuple[object, ...], list[Player]] = {}
    for player in players:
        notes = tuple(
            (pitch, place, note_view(player, pitch, False).fingering) for pitch, place in met[player.id].items()
        )
        groups.setdefault((player.reading.id, notes), []).append(player)
    return list(groups.values())


@dataclass(frozen=True, slots=True)
class Moving:
    """What a change from one instrument to another, or a late start, asks after each week (from 0)."""

    learn: tuple[tuple[Pitch, ...], ...]
    """Written notes to learn, lowest first."""
    changed: tuple[tuple[Pitch, ...], ...]
    """Written notes known already that have other fingerings."""


def moving(course: CourseBook, old: Player | None, new: Player) -> Moving:
    """What changes for a player of ``old`` (``None``: of nothing yet) who goes over to ``new``, week by week."""
    learn, changed = [], []
    for place in range(len(course.course.weeks)):
        missing = missing_for_mover(course.grades, old.id if old else "", new.id, place)
        known = course.grades.weeks[new.id][place].after.minus(missing)
        learn.append(missing.ordered)
        changed.append(refingered(old, new, known.ordered) if old else ())
    return Moving(tuple(learn), tuple(changed))


def mover_data(course: CourseBook, players: list[Player], met: dict[str, dict[Pitch, int]]) -> Markup:
    """For each instrument how its notes are said, and from each other one the weeks at which the answer changes.

    ``{"cornet": {"notes": {"F4": "F4 (1) from lesson 10"}, "from": {"tenor-horn": [[9, ["F4"], []], …]}}}``: from week
    9 (from 0) on, F4 is to be learnt and no note has other fingers. JSON that is safe inside a script element.
    """
    data = {
        new.id: {
            "notes": {pitch.name: _said(course, new, pitch, place) for pitch, place in met[new.id].items()},
            "from": {
                old.id if old else "": _steps(moving(course, old, new)) for old in (None, *players) if old is not new
            },
        }
        for new in players
    }
    return in_script(data)


def _said(course: CourseBook, player: Player, pitch: Pitch, place: int) -> str:
    return f"{_named(player, pitch)} from lesson {course.course.weeks[place].number}"


def _steps(move: Moving) -> list[list[Any]]:
    """Only the weeks at which something changes."""
    steps: list[list[Any]] = []
    for place, pair in enumerate(zip(move.learn, move.changed, strict=True)):
        learn, changed = ([pitch.name for pitch in pitches] for pitches in pair)
        if not steps or steps[-1][1:] != [learn, changed]:
            steps.append([place, learn, changed])
    return steps


def _chart(course: CourseBook, player: Player, met: dict[Pitch, int]) -> Markup:
    count = len(course.course.weeks)
    pitches = sorted(met, key=lambda pitch: -pitch.midi)
    width, height = LEFT + COLUMN * count, ROW * len(pitches) + 16
    parts = []
    for place in range(count):
        x = LEFT + COLUMN * place
        label = course.course.weeks[place].number
        parts.append(f'<path d="M{x} 0V{height - 16}" stroke="currentColor" stroke-opacity=".25"/>')
        parts.append(f'<text x="{x + COLUMN / 2:g}" y="{height - 3}" text-anchor="middle">{label}</text>')
    for row, pitch in enumerate(pitches):
        x, y = LEFT + COLUMN * met[pitch], ROW * row
        parts.append(f'<text x="2" y="{y + 11}" font-weight="bold">{escape(pitch.sign)}</text>')
        parts.append(f'<rect x="{x + 1}" y="{y + 2}" width="{width - x - 2}" height="{ROW - 5}" fill="currentColor"/>')
    said = ", ".join(
        f"{pitch.sign} from lesson {course.course.weeks[met[pitch]].number}" for pitch in reversed(pitches)
    )
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" style="--bb-least:{width}px"'
        f' role="img" aria-label="{escape(said)}">{"".join(parts)}</svg>'
    )


def _signs(book: Book, course: CourseBook) -> list[tuple[int, str, str]]:
    """What is new besides notes, lesson by lesson: lengths, metres, techniques."""
    found = []
    first = course.players[0]
    for week in course.grades.weeks[first.id]:
        new = week.new
        words = [*_lengths(sorted(new.values)), *sorted(new.metres), *sorted(new.techniques)]
        if words:
            text = ", ".join(in_words(word, book.band.english) for word in words)
            found.append((week.lesson.number, lesson_uri(week.lesson), text))
    return found


def _tunes(course: CourseBook) -> list[tuple[int, str, str, str]]:
    """Tunes that the build chose for their place: lesson, its page, title, and what they ask beside the others."""
    found: dict[str, tuple[int, str, str, str]] = {}
    for lesson in course.course.weeks:
        for item in lesson.items:
            if item.why:
                found.setdefault(item.tune, (lesson.number, lesson_uri(lesson), item.title, item.why))
    return list(found.values())


def _move(course: CourseBook, old: Player, new: Player, names: tuple[str, str]) -> Move:
    """What it asks to change from the first player's instrument to the second's, in words."""
    move, weeks = moving(course, old, new), course.course.weeks
    missing = []
    for pitch in dict.fromkeys(pitch for pitches in reversed(move.learn) for pitch in pitches):
        places = [place for place, pitches in enumerate(move.learn) if pitch in pitches]
        until = "" if places[-1] == len(weeks) - 1 else _between(weeks[places[0]].number, weeks[places[-1]].number)
        missing.append((pitch, f"{_named(new, pitch)} {until or f'from lesson {weeks[places[0]].number}'}"))
    changed = dict.fromkeys(pitch for pitches in move.changed for pitch in pitches)
    return Move(
        names[0],
        new=names[1],
        missing="; ".join(words for _, words in sorted(missing, key=lambda pair: pair[0].midi)) or "none",
        changed=", ".join(_named(new, pitch) for pitch in sorted(changed, key=lambda pitch: pitch.midi)) or "none",
    )


def _named(player: Player, pitch: Pitch) -> str:
    way = answer(player, pitch).way
    return pitch.sign + (f" ({code_words(way)})" if way else "")


def _between(first: int, last: int) -> str:
    """After which lessons a note is missing that the other instrument is taught later."""
    return f"after lesson {first} only" if first == last else f"after lessons {first} to {last}"


def concert_keys(item: Item) -> list[str]:
    """Concert keys of a piece, as ``Bb``: one, or one for each room."""
    return list(dict.fromkeys(Key(fifths).tonic for fifths in item.keys.values()))


def limits(book: Book, course: CourseBook) -> list[dict[str, Any]]:
    """The ladder for people: each stage with its limits and their reasons, in the band's words."""
    found = []
    levels = ("starter", "first year", "full")

    def figure(limit: Limit, unit: str = "", names: tuple[str, ...] = ()) -> str:
        def say(value: float) -> str:
            return names[int(value)] if names else f"{value:g}{unit}"

        return "; ".join([say(limit.most), *(f"{say(value)} for {_who(book, id)}" for id, value in limit.but.items())])

    for stage in course.course.stages:
        rung = course.ladder.at(stage.id).rung
        rows = [
            ("New notes in a lesson", figure(rung.new_notes), rung.new_notes.why),
            ("Range", figure(rung.range, names=levels), rung.range.why),
            ("Largest leap", figure(rung.leap, " semitones"), rung.leap.why),
            ("On one breath", figure(rung.breath, " s"), rung.breath.why),
            ("Without a beat of rest", figure(rung.playing, " s"), rung.playing.why),
            ("Sharps or flats read", figure(rung.signature), rung.signature.why),
            ("New lengths", ", ".join(_lengths(rung.values.add)) or "none", rung.values.why),
            ("New metres", ", ".join(rung.metres.add) or "none", rung.metres.why),
            ("New techniques", ", ".join(rung.techniques.add) or "none", rung.techniques.why),
        ]
        found.append(
            {"stage": stage, "rows": [tuple(in_words(text, book.band.english) for text in row) for row in rows]}
        )
    return found


def _lengths(values: Iterable[str]) -> list[str]:
    """``quarter note`` for ``quarter``; rests say so already."""
    return [value if "rest" in value else f"{value} note" for value in values]


def _who(book: Book, ident: str) -> str:
    """Whom a limit's exception is for: a learning group, a reading, a mouthpiece class or an instrument."""
    if ident in book.instruments:
        return name(book, book.instruments[ident])
    return GROUP_WORDS.get(ident) or READING_WORDS.get(ident) or f"{ident.replace('extra-', 'very ')} mouthpieces"
