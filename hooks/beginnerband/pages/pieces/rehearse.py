"""The page to rehearse a piece from, and the conductor's score that goes with it, as values for web and paper."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from beginnerband.data.book import Book
from beginnerband.music.instrument import VOICES, Slide
from beginnerband.music.rehearsal import Entry, Fresh, HardBar, Reason, Rehearsal, TunedChord, TunedNote, rehearsal
from beginnerband.music.score import Line, Measure
from beginnerband.music.scored import sounding
from beginnerband.music.scoring import Seat
from beginnerband.music.words import capital, series
from beginnerband.pages.pieces.files import Engraved, first_marked, score_pages
from beginnerband.pages.pieces.view import PieceView, bar_words, played_key
from beginnerband.render.print_pack import PrintPack
from beginnerband.render.write_musicxml import Staff
from beginnerband.reuse import question

Marks = Mapping[tuple[int, Fraction], str]
"""Words over notes, by bar (place) and quarter notes into it, or :data:`FIRST` for the bar's first note."""

FIRST = Fraction(-1)
"""Stands for a bar's first note."""

FAR = 30
"""Cents beyond which lips alone do not reach (common practice, no source)."""

HARD_SIGN, STOP_SIGN = "!", "Stop"
"""Marks in the conductor's score."""

HARD_SHORTLY = {"new": "a new note", "leap": "a leap", "edge": "the end of the range", "rhythm": "a rhythm of its own"}
"""Why a bar is hard, shortly."""


@dataclass(frozen=True, slots=True)
class RehearsalWork:
    """One part of a rehearsal, in words."""

    minutes: int
    """How long."""
    what: str
    """What to do."""


@dataclass(frozen=True, slots=True)
class RehearsalView:
    """What the page shows."""

    found: Rehearsal
    """As computed."""
    tune: tuple[str, ...]
    """Sentences about who has the tune."""
    entries: tuple[str, ...]
    """Entries to cue."""
    hard: tuple[tuple[str, str, str], ...]
    """Players, bar, and why."""
    chords: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]
    """Where each chord is, with a row for each desk."""
    start: str
    """How to start."""
    end: str
    """How to end."""
    plans: tuple[tuple[int, tuple[RehearsalWork, ...]], ...]
    """For each length of rehearsal, what to do."""


def rehearsal_view(book: Book, one: PieceView) -> RehearsalView | None:
    """The rehearsal of a piece in words; ``None`` where there are no rules for it."""
    if book.rehearsal is None:
        return None
    found = rehearsal(one.piece.lines, one.scoring, book.rehearsal, one.rules.level, _fresh(book))
    english, cents = book.band.english, book.rehearsal.cents
    return RehearsalView(
        found=found,
        tune=tuple(_tune_words(one, found, english)),
        entries=tuple(_entry_words(entry, english) for entry in found.entries),
        hard=tuple(_hard_rows(found, english)),
        chords=tuple((_chord_words(one, chord), tuple(_note_rows(chord, english, cents))) for chord in found.chords),
        start=_start_words(one, found),
        end=_end_words(found),
        plans=tuple(
            (length, tuple(RehearsalWork(minutes, _work(one, found, do, english)) for do, minutes in plan))
            for length, plan in sorted(book.rehearsal.plans.items())
        ),
    )


@question
def _fresh(book: Book) -> Fresh:
    """For each instrument, the sounds it does not know at the end of the course, or has learned shortly before."""
    if book.course is None or book.rehearsal is None:
        return {}
    found = {}
    for player in book.band.pitched:
        weeks = book.course.grades.weeks.get(player.id, ())
        if weeks:
            met = book.course.grades.first_met(player.id)
            sure = {
                player.reading.sounding(pitch).midi
                for pitch, place in met.items()
                if place < len(weeks) - book.rehearsal.fresh
            }
            found[player.id] = frozenset(range(128)) - sure
    return found


def _hard_rows(found: Rehearsal, english: str) -> Iterator[tuple[str, str, str]]:
    """Players, bar and why; those for whom the same is hard together."""
    alike: dict[tuple[int, str, str], list[Seat]] = {}
    for hard in found.hard:
        alike.setdefault((hard.bar, hard.seat.voice, _why(hard.reasons)), []).append(hard.seat)
    for (bar, _, why), seats in alike.items():
        yield _who(seats, english), f"bar {bar}", why


def _who(seats: Sequence[Seat], english: str) -> str:
    return capital(series([seat.desk.name(english) for seat in seats]))


def _players(one: PieceView, voice: str, english: str) -> str:
    return series([seat.desk.name(english) for seat in one.scoring.playing(voice)]) or f"nobody ({voice})"


def _tune_words(one: PieceView, found: Rehearsal, english: str) -> Iterator[str]:
    for passage in found.tune:
        bars, who = bar_words(passage.bar, passage.last_bar), _players(one, passage.voice, english)
        if passage.again:
            yield f"From bar {passage.bar} the {passage.voice} takes the tune up: {who}."
        elif passage.voice == "soprano" and len(found.tune) == 1:
            yield f"The {passage.voice} has the tune throughout: {who}."
        else:
            yield f"In {bars} the {passage.voice} leads: {who}."


def _beat(beat: Fraction) -> str:
    whole, part = divmod(beat, 1)
    return f"beat {int(whole)}" if not part else f"after beat {int(whole)}"


def _entry_words(entry: Entry, english: str) -> str:
    bars = f"{entry.rest} bar{'' if entry.rest == 1 else 's'}"
    return f"Bar {entry.bar}, {_beat(entry.beat)}: {_who(entry.seats, english)}, after {bars} of rest"


def _why(reasons: Sequence[Reason]) -> str:
    return "; ".join(_reason(reason) for reason in reasons)


def _reason(reason: Reason) -> str:
    note = reason.note.sign if reason.note else ""
    if reason.kind == "new":
        return f"first {note}, a note that is new"
    if reason.kind == "leap":
        way = "up" if reason.note and reason.start and reason.note.midi > reason.start.midi else "down"
        return f"leap {way} from {reason.start.sign if reason.start else 'the note before'} to {note}"
    return f"{note} at the end of the range" if reason.kind == "edge" else "moves while the others hold"


def _chord_words(one: PieceView, chord: TunedChord) -> str:
    root = chord.root.replace("b", "♭").replace("#", "♯") + (" minor" if chord.minor else " major")
    return f"Bar {chord.bar}, {_beat(chord.beat)}: a chord of concert {root}"


def _note_rows(chord: TunedChord, english: str, cents: int) -> Iterator[tuple[str, ...]]:
    alike: dict[tuple[str, ...], list[Seat]] = {}
    for note in chord.notes:
        key = (note.written.sign, note.degree, f"{note.tendency:+.0f}", _bend(note, cents))
        alike.setdefault(key, []).append(note.seat)
    for cells, seats in alike.items():
        yield (_who(seats, english), *cells)


def _bend(note: TunedNote, cents: int) -> str:
    if abs(note.bend) < cents:
        return "as it comes"
    way = "lower" if note.bend < 0 else "higher"
    return f"{abs(note.bend):.0f} cents {way}" if abs(note.bend) <= FAR else f"as much {way} as it will go"


def _start_words(one: PieceView, found: Rehearsal) -> str:
    ends = found.ends
    count = " ".join(str(beat) for beat in range(1, ends.beats + 1))
    said = f"Everyone looks up, instruments up. Count one bar aloud at the speed of the piece ({count})"
    if ends.pickup:
        on = _beat(Fraction(ends.beats) + 1 - ends.pickup)
        said += f", and once more as far as the pickup; it comes on {on}, so breathe on the beat before."
    else:
        said += "; everybody breathes on the last beat."
    return said + (f" The piece starts {ends.dynamic}." if ends.dynamic else "")


def _end_words(found: Rehearsal) -> str:
    beats = found.ends.last_beats
    shown = str(beats) if beats.denominator == 1 else f"{float(beats):g}"
    if found.ends.hold:
        return "The last note is held: keep the hand still, look round, and close it with one small circle."
    return (
        f"The last note lasts {shown} beat{'' if beats == 1 else 's'}: count them, and close the hand on the next beat."
    )


def _work(one: PieceView, found: Rehearsal, do: str, english: str) -> str:
    """What to do in one part of a rehearsal."""
    plain = {
        "start": "Start and stop the first two bars, until all begin and end together.",
        "tune": f"The tune alone: {_players(one, 'soprano', english)}. {_others(one)}",
        "outer": _outer(one, english),
        "whole": "From beginning to end without stopping, whatever happens. Then say one thing that was good.",
    }
    if do == "hard":
        return _hard_words(found.hardest, english)
    if do == "chords":
        return _stop_words(found)
    return plain[do] if do in plain else _come_in(found, english)


def _others(one: PieceView) -> str:
    """What those do who have not the tune."""
    others = [seat.desk.player.instrument for seat in one.scoring.seats if seat.voice != "soprano"]
    if not others:
        return "Sing it first."
    sliding = {isinstance(each.mechanism, Slide) for each in others if each.brass}
    along = "finger" if sliding == {False} else "move the slide" if sliding == {True} else "finger or slide"
    return f"The others {along if sliding else 'tap'} along and sing."


def _outer(one: PieceView, english: str) -> str:
    """How lines are put together, the highest and the lowest first, as far as somebody plays them."""
    played = [voice for voice in one.piece.lines if voice in VOICES and one.scoring.playing(voice)]
    if len(played) < 2:
        return "Two bars at a time, then four, then all of it."
    high, *inner, low = played
    name = "Tune" if high == "soprano" else high.capitalize()
    both = f"{name} and {low} together: {_players(one, high, english)} with {_players(one, low, english)}"
    if len(inner) > 1:
        return f"{both}. Then add the inner lines one by one."
    return f"{both}. Then add the {inner[0]}." if inner else f"{both}, two bars at a time, then four."


def _hard_words(hardest: Sequence[HardBar], english: str) -> str:
    if not hardest:
        return "No bar is hard by the rule: choose what went wrong last time."
    alike: dict[tuple[int, str], list[Seat]] = {}
    for one in hardest:
        alike.setdefault((one.bar, _shortly(one.reasons)), []).append(one.seat)
    named = "; ".join(
        f"bar {bar}, {series([seat.desk.name(english) for seat in seats])} ({why})"
        for (bar, why), seats in list(alike.items())[:3]
    )
    return f"The hard bars alone, slowly, then in time, then with the bar before: {named}."


def _shortly(reasons: Sequence[Reason]) -> str:
    return ", ".join(dict.fromkeys(HARD_SHORTLY[reason.kind] for reason in reasons))


def _stop_words(found: Rehearsal) -> str:
    if not found.chords:
        return "Tune the last chord from the lowest player up."
    numbers = list(dict.fromkeys(str(chord.bar) for chord in found.chords))
    bars = f"bar{'' if len(numbers) == 1 else 's'} {series(numbers)}"
    return f"Stop on the chords in {bars}: lowest first, add one player at a time."


def _come_in(found: Rehearsal, english: str) -> str:
    if not found.entries:
        return "Nobody has bars of rest to count: start from two places in the middle instead."
    first = found.entries[0]
    who = _who(first.seats, english)
    return f"Start four bars before each entry and look at who comes in: first bar {first.bar}, {who}."


# The conductor's score


def conductor(book: Book, one: PieceView, shown: RehearsalView) -> Engraved:
    """The four lines at concert pitch with what to do marked over them, on as few pages as stay readable."""
    english = book.band.english
    marks = _marks(shown.found, english)
    staves = [
        Staff(
            _marked(sounding(line, one.scoring), marks.get(voice, {})),
            f"{voice.capitalize()}: {_short(one, voice, english)}",
            clef="bass" if voice in ("tenor", "bass") else "treble",
        )
        for voice, line in one.piece.lines.items()
    ]
    title = f"{one.piece.title}: the conductor's score at concert pitch"
    said = f"Four staves. {HARD_SIGN} marks hard bars, {STOP_SIGN} chords to tune, names who comes in."
    return Engraved("conductor", score_pages(book, one, first_marked(staves), title, said))


def _short(one: PieceView, voice: str, english: str) -> str:
    seats = [seat for seat in one.scoring.playing(voice) if seat.desk.holds]
    if not seats:
        return "nobody"
    return seats[0].desk.name(english) + (f" + {len(seats) - 1}" if len(seats) > 1 else "")


def _marks(found: Rehearsal, english: str) -> dict[str, Marks]:
    """What stands over each line's notes."""
    marks: dict[tuple[str, int, Fraction], list[str]] = {}
    for entry in found.entries:
        marks.setdefault((entry.seats[0].voice, entry.place, FIRST), []).append(
            f"in: {entry.seats[0].desk.name(english)}"
        )
    for hard in found.hard:
        marks.setdefault((hard.seat.voice, hard.place, FIRST), []).append(HARD_SIGN)
    for chord in found.chords:
        marks.setdefault(("soprano", chord.place, chord.at), []).append(STOP_SIGN)
    made: dict[str, dict[tuple[int, Fraction], str]] = {}
    for (voice, place, at), texts in marks.items():
        made.setdefault(voice, {})[place, at] = " ".join(dict.fromkeys(texts))
    return dict(made)


def _marked(line: Line, marks: Marks) -> Line:
    def bar(place: int, measure: Measure) -> Measure:
        notes, start, fresh = [], Fraction(0), True
        for note in measure.notes:
            end = start + note.quarters
            said = [marks.get((place, FIRST), "")] if fresh and note.pitch else []
            said += [text for (at_bar, at), text in marks.items() if at_bar == place and start <= at < end]
            text = " ".join([note.words, *said]).strip()
            notes.append(replace(note, words=text) if text else note)
            fresh, start = fresh and note.pitch is None, end
        return replace(measure, notes=tuple(notes))

    return replace(line, measures=tuple(bar(place, measure) for place, measure in enumerate(line.measures)))


def print_rehearsal(one: PieceView, shown: RehearsalView, score: Engraved, pack: PrintPack) -> dict[str, Any]:
    """The page and the conductor's score for ``conductor.typ``, but for what :func:`of_copy` says."""
    return {
        "title": one.piece.title,
        "key": f"Concert {played_key(one).sign}",
        "tune": list(shown.tune),
        "entries": list(shown.entries),
        "hard": [list(row) for row in shown.hard],
        "chords": [{"where": where, "rows": [list(row) for row in rows]} for where, rows in shown.chords],
        "start": shown.start,
        "end": shown.end,
        "plans": [
            {"minutes": length, "work": [{"minutes": work.minutes, "what": work.what} for work in plan]}
            for length, plan in shown.plans
        ],
        "pages": [
            {"key": pack.add(page.standalone().replace("currentColor", "#000")), "words": page.words}
            for page in score.pages
        ],
    }
