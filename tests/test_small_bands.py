"""Bands of few instruments: every block on every page people write has something to say to them, or says why not."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import ROOT
from plans import TEACHING, Case, files, made, players_of

from beginnerband.data.book import Book, load_book
from beginnerband.data.course import CourseBook, course_of
from beginnerband.data.instruments import load_instruments
from beginnerband.data.problems import Problems
from beginnerband.music.instrument import Range
from beginnerband.music.pitch import Pitch
from beginnerband.music.scoring import Scoring
from beginnerband.pages import blocks, rooms
from beginnerband.pages.course.pieces import LessonPieces
from beginnerband.pages.pieces.printing import remarks
from beginnerband.pages.pieces.view import view
from beginnerband.pages.tunes.room import _index, drums_cell
from beginnerband.products import Products

BANDS = {
    "drums": ["instrument: drums, players: 4"],
    "two cornets": ["instrument: cornet, players: 2"],
}


@pytest.mark.parametrize("name", BANDS)
def test_pages_people_write_can_be_read_by_a_small_band(name: str, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "content", tmp_path / "content")
    (tmp_path / "handbook").symlink_to(ROOT / "handbook")
    path = tmp_path / "content" / "band.yml"
    head = path.read_text(encoding="utf-8").partition("  - {instrument")[0]
    path.write_text(head + "".join(f"  - {{{player}}}\n" for player in BANDS[name]), encoding="utf-8")
    book, problems, products = load_book(tmp_path), Problems(tmp_path), Products()
    known = rooms.blocks()
    for page in sorted((ROOT / "handbook").rglob("*.md")):
        uri = page.relative_to(ROOT / "handbook").as_posix()
        context = blocks.Context(book, products, uri, known)
        blocks.expand(page.read_text(encoding="utf-8"), context, known, problems, f"handbook/{uri}")
    assert not [str(each) for each in problems]
    empty = [html for html in products.fragments.values() if re.search(r"<tbody>\s*</tbody>|<ul>\s*</ul>", html)]
    assert not empty
    assert book.course
    pieces = [str(one.hear) for one in LessonPieces(book, book.course).playable()]
    assert pieces
    assert all(re.search(r"notes.{1,10}\[\[\d", piece) for piece in pieces)  # each is heard, who ever plays it
    if not book.band.pitched:  # drums are taught the values of most tunes, whatever notes those have
        whens = [str(drums_cell(book, tune)) for tune in book.tunes.values()]
        assert all(re.fullmatch(r"lesson \d+, on drums|after the course", when) for when in whens)
        assert whens.count("after the course") < len(whens) / 4
        listed_as_they_come(book)


def listed_as_they_come(book: Book) -> None:
    """Of each group of the list of tunes, what can be played soonest comes first."""
    listed = Products()
    _index(book, listed, dict.fromkeys(book.tunes))
    lessons: list[int] = []
    groups = 0
    for row in re.findall(r"<tr.*?</tr>", "".join(listed.fragments.values()), re.S):
        when = re.search(r"lesson (\d+), on drums|after the course", row)
        if "bb-group" in row or not when:
            groups, lessons = groups + 1, []
            continue
        lessons.append(int(when[1] or 1000))
        assert lessons == sorted(lessons), row
    assert groups > 1


FEW = {
    2: r"\brows?\b(?! right)|\b(?:odd|even|front|back|inner|outer) chairs|half the |[Ss]mall groups|door side",
    1: r"\b(?:In pairs|sure player|two players|each row)\b|[Yy]our neighbour(?!s)|\bOne of you (?:plays|begins)",
}
"""What nobody says to a band of so many players, or fewer."""


@pytest.mark.parametrize(("row", "count"), [(("cornet", "treble-bb"), 2), (("trombone", "bass-c"), 1)])
def test_cards_of_a_small_band_speak_of_nobody_who_is_not_there(row: tuple[str, str], count: int, book: Book) -> None:
    course, wrong = made(book, Case("small", players_of(book, [(*row, count)]), TEACHING["26 x 45, one room"]))
    assert not wrong
    assert course
    unsaid = "|".join(pattern for most, pattern in FEW.items() if count <= most)
    for lesson in course.course.weeks:
        texts = [lesson.title, lesson.aim, lesson.ready]
        for step in lesson.steps:
            texts += [step.title, step.say, step.listen, step.wrong, step.remedy, step.how, step.quick, step.slow]
        for text in texts:
            assert not re.search(unsaid, text.replace("in a row", "")), (lesson.id, text)
            assert text == " ".join(text.split()), text


def test_a_trombone_whose_trigger_alone_moves_is_told_to_work_it(book: Book) -> None:
    """B♭ and C, beside an E♭ bass: first position both, the second with the trigger down.

    Ordinary charts of the trombone with F attachment, from memory; the bass has G open and A on 1-2.
    """
    players = players_of(book, [("trombone-f", "bass-c", 2), ("eb-bass", "treble-eb", 3)])
    course, wrong = made(book, Case("trigger", players, TEACHING["26 x 45, one room"]))
    assert course, wrong
    [told] = {
        line
        for lesson in course.course.weeks
        for line in lesson.practice
        if line.text.startswith("There and back without playing")
    }
    trombone, bass = (told.to(player).split(", ")[1] for player in players)
    assert (trombone, bass) == ("work the trigger", "finger it")
    [care] = {step.say for lesson in course.course.weeks for step in lesson.steps if step.id == "fingers-first"}
    assert "curved fingers; the trigger goes all the way." in care


@pytest.fixture(scope="module")
def two_of_one(book: Book) -> CourseBook:
    """A cornet in one room and a tenor horn in the other."""
    rows = [("cornet", "treble-bb", 1), ("tenor-horn", "treble-eb", 1)]
    course, wrong = made(book, Case("two of one", players_of(book, rows), TEACHING["26 x 45, two rooms"]))
    assert not wrong
    assert course
    return course


def test_the_card_of_the_shared_tune_names_the_note_it_begins_on(two_of_one: CourseBook) -> None:
    """Its stepping stone was taught before it, perhaps on another card, and is the first note of the tune."""
    order = [step for lesson in two_of_one.course.weeks for step in lesson.steps]
    taught = [step.id for step in order]
    assert taught.index("stepping-stones") < taught.index("tune-together")
    cornet = two_of_one.player("cornet")
    weeks = two_of_one.grades.weeks[cornet.id]
    part = next(part for week in weeks for part in week.parts if part.item.id == "tune-shared")
    told = next(step.say for step in order if step.id == "tune-together")
    assert f": B♭ cornet {part.line.pitches[0].letter_sign} (" in told


def test_a_room_of_one_player_is_not_told_of_pairs(two_of_one: CourseBook) -> None:
    steps = [step for lesson in two_of_one.course.weeks for step in lesson.steps if step.rooms]
    assert len(steps) > 20
    for step in (step.told_in(room) for step in steps for room in ("bb", "eb")):
        for text in (step.title, step.say, step.listen, step.wrong, step.remedy, step.how, step.quick, step.slow):
            assert not re.search("|".join(FEW.values()), text.replace("in a row", "")), (step.id, text)


@pytest.mark.parametrize(
    "row",
    [("f-horn", "treble-f"), ("trombone", "bass-c"), ("euphonium-4", "treble-bb"), ("eb-bass", "treble-eb")],
)
def test_a_band_of_one_instrument_is_asked_for_no_note_it_was_not_taught(row: tuple[str, str], book: Book) -> None:
    """Of the pieces of the course it plays the tune and the lines it knows, none of them above the tune."""
    for scoring in scorings_of_known_notes(book, [(*row, 4)]):
        assert "soprano" not in scoring.uncovered
        assert len(scoring.uncovered) == 1
        assert not {"order", "range", "untaught"} & scoring.by_reason.keys()


@pytest.mark.parametrize(
    "rows",
    [
        [("cornet", "treble-bb", 2), ("f-horn", "treble-f", 2)],
        [("trombone", "bass-c", 1), ("euphonium", "treble-bb", 1)],
        [("soprano-cornet", "treble-eb", 2), ("euphonium-4", "bass-c", 2)],
    ],
)
def test_a_band_of_two_instruments_leaves_out_a_line_it_was_not_taught(
    rows: list[tuple[str, str, int]], book: Book
) -> None:
    """Nobody is to be shown notes first, and the tune is there."""
    for scoring in scorings_of_known_notes(book, rows):
        assert "soprano" not in scoring.uncovered


@pytest.mark.parametrize("other", ["cornet", "trumpet", "flugelhorn"])
def test_two_sopranos_begin_where_one_can_go_on_below_the_tune(other: str, book: Book) -> None:
    """A soprano cornet has the tune alone, so that what cards say of parts is so in every piece."""
    for scoring in scorings_of_known_notes(book, [("soprano-cornet", "treble-eb", 1), (other, "treble-bb", 2)]):
        assert {"soprano", "alto"}.isdisjoint(scoring.uncovered)


BEGIN_ON_OTHER_NOTES = {
    "concert B♭, then E♭": (
        (-2, -3), [("soprano-cornet", "treble-eb", 4), ("cornet", "treble-bb", 4), ("tenor-horn", "treble-eb", 1),
                   ("f-horn", "treble-f", 1), ("baritone", "bass-c", 2), ("trombone-f", "treble-bb", 4),
                   ("euphonium-comp", "bass-c", 1), ("bb-bass", "treble-bb", 4)]
    ),
    "concert E♭, then B♭": (
        (-3, -3), [("trumpet", "treble-bb", 2), ("cornet", "treble-bb", 4), ("euphonium-comp", "treble-bb", 2),
                   ("bb-bass", "bass-c", 3)]
    ),
    "concert F, then B♭": (
        (-1, -2), [("trumpet", "treble-bb", 4), ("f-horn", "treble-f", 2), ("trombone", "bass-c", 2),
                   ("eb-bass", "bass-c", 1)]
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BEGIN_ON_OTHER_NOTES)
def test_every_line_of_the_pieces_is_played_whatever_the_band_begins_on(name: str, book: Book) -> None:
    """The later pieces are made of six notes in a row, which two keys a fifth apart have between them."""
    (home, later), rows = BEGIN_ON_OTHER_NOTES[name]
    scorings = scorings_of_known_notes(book, rows)
    assert [scoring.fifths for scoring in scorings] == [home, later, later]
    for scoring in scorings:
        assert not {"uncovered", "untaught", "order", "beyond"} & scoring.by_reason.keys()


def in_course(book: Book, rows: list[tuple[str, str, int]]) -> Book:
    """The book of a band of these players, with its own course."""
    case = Case("few", players_of(book, rows), TEACHING["26 x 45, one room"])
    course, wrong = made(book, case)
    assert not wrong
    return replace(book, course=course, band=replace(book.band, players=case.players, teaching=case.teaching))


def scorings_of_known_notes(book: Book, rows: list[tuple[str, str, int]]) -> list[Scoring]:
    """How a band shares out the course's pieces, for which no card has to show a note first."""
    ours = in_course(book, rows)
    assert ours.course
    pieces = LessonPieces(ours, ours.course)
    weeks = ours.course.course.weeks
    assert not [(one.title, one.lacks) for lesson in weeks for one in pieces.of(lesson) if one.lacks]
    return [view(ours, book.pieces[ident]).scoring for ident in ("two-gates", "over-the-bridge", "lantern-waltz")]


@pytest.mark.parametrize(
    "rows",
    [
        [("cornet", "treble-bb", 1), ("trumpet", "treble-bb", 1), ("flugelhorn", "treble-bb", 1),
         ("trombone", "bass-c", 1), ("euphonium-comp", "bass-c", 2)],
        [("trumpet", "treble-bb", 3), ("flugelhorn", "treble-bb", 1), ("trombone-f", "bass-c", 1),
         ("eb-bass", "treble-eb", 3)],
    ],
)  # fmt: skip
def test_who_knows_nothing_below_the_tenor_has_the_bass_and_the_tenor_goes_up(
    rows: list[tuple[str, str, int]], book: Book
) -> None:
    """All low brass know the same five notes: a tenor among them would have its lower note below the bass's upper one.

    Whoever plays high and has no other line has it, right below the alto (common practice, no source).
    """
    two_gates = scorings_of_known_notes(book, rows)[0]
    assert "order" not in two_gates.by_reason
    tenors, basses = two_gates.playing("tenor"), two_gates.playing("bass")
    assert {seat.desk.player.id for seat in tenors} <= {"cornet", "trumpet", "flugelhorn"}
    assert {octave for seat in (*tenors, *basses) for octave in seat.octaves} == {1}
    assert tenors
    assert basses


@pytest.mark.parametrize("two", [None, "In each room until the last two minutes, then together."])
def test_two_rooms_are_not_asked_to_play_in_two_keys_at_once(two: str | None, book: Book) -> None:
    units = dict(files().units)
    file, at = units["pulse"]
    steps = [step.model_copy(update={"two": two}) if step.id == "drum-leads" else step for step in file.steps]
    units["pulse"] = (file.model_copy(update={"steps": steps}), at)
    problems, band = Problems(ROOT), replace(book.band, teaching=TEACHING["26 x 45, two rooms"])
    assert not course_of(replace(files(), units=units), band, book.tunes, book.pieces, problems, book.breaths)
    (problem,) = problems.found
    assert "drum-leads: 'walking' would sound in the keys of both rooms at once" in problem.message
    assert problem.file == "content/course/pulse.yml"


ODD = {
    "horns and glockenspiel": [("f-horn", "treble-f", 4), ("glockenspiel", "treble-c", 2)],
    "sopranos and glockenspiel": [("soprano-cornet", "treble-eb", 3), ("glockenspiel", "treble-c", 1)],
    "sopranos and bells": [("soprano-cornet", "treble-eb", 2), ("bells", "treble-c", 1)],
}


@pytest.mark.parametrize("name", ODD)
def test_mallets_beside_any_brass_have_a_course(name: str, book: Book) -> None:
    """Whatever suits the brass best, mallets have no more flats than they may read, and bars for every note.

    Tubular bells have the eighteen notes C4 to F5, written as they sound (common practice, no source).
    """
    glockenspiel = book.instruments["glockenspiel"]
    bells = replace(
        glockenspiel,
        id="bells",
        readings=tuple(replace(reading, interval="P1") for reading in glockenspiel.readings),
        ranges={"starter": _span("C4", "G4"), "first-year": _span("C4", "D5"), "full": _span("C4", "F5")},
    )
    book = replace(book, instruments={**book.instruments, "bells": bells})
    course, wrong = made(book, Case(name, players_of(book, ODD[name]), TEACHING["26 x 45, one room"]))
    assert not wrong
    assert course
    for player in course.players:
        known = course.grades.weeks[player.id][-1].after
        assert known.notes <= set(player.written())


def _span(low: str, high: str) -> Range:
    return Range(Pitch.parse(low), Pitch.parse(high))


def test_an_instrument_of_ones_own_learns_with_those_whose_fingers_it_has(tmp_path: Path) -> None:
    """A baritone for marching reads bass clef alone, and has B♭ valves (common practice, no source)."""
    folder = tmp_path / "content" / "instruments"
    folder.mkdir(parents=True)
    for name in ("baritone", "trombone"):
        text = (ROOT / "content" / "instruments" / f"{name}.yml").read_text(encoding="utf-8")
        text = re.sub(r"  - \{id: treble-bb.*\n", "", text).replace("group: concert", "group: bb")
        text = text.replace("starter: [C4, G4]", "starter: [Bb2, F3]").replace("[Bb3, D5]", "[Ab2, C4]")
        (folder / f"{name}.yml").write_text(text.replace("[F#3, C6]", "[E2, Bb4]"), encoding="utf-8")
    problems = Problems(tmp_path)
    load_instruments(tmp_path, problems)
    (said,) = problems.found
    assert (said.file, said.message.partition(";")[2]) == ("content/instruments/trombone.yml", " use concert")


@pytest.mark.parametrize(
    "names",
    [("cornet", "tenor-horn", "baritone", "trombone"), ("trumpet", "f-horn", "euphonium", "bb-bass")],
)
def test_whoever_covers_leaves_the_band_its_bass_and_is_said_to_leave_another_line(
    names: tuple[str, ...], book: Book
) -> None:
    """An inner line can be missed for an evening, the bass cannot (common practice, no source)."""
    case = Case("one a part", players_of(book, [_one(book, name) for name in names]), TEACHING["20 x 60, one room"])
    course, problems = made(book, case)
    assert course, problems
    ours = replace(book, band=replace(book.band, players=case.players, teaching=case.teaching), course=course)
    moved = [one for ident in book.pieces for one in view(ours, book.pieces[ident]).away if one.instead]
    assert len(moved) > len(book.pieces)
    for one in moved:
        assert "bass" not in one.empty, one
        assert one.empty, "three players cannot play four lines"
    for ident in book.pieces:  # one a part: the line that is left is the one of who covers, all others stay
        seen = view(ours, book.pieces[ident])
        line = {seat.desk.id: seat.voice for seat in seen.scoring.seats}
        for one in (each for each in seen.away if each.instead):
            assert set(one.empty) == {line[seat.desk.id] for seat in one.instead}, (ident, one)
    said = remarks(ours, view(ours, book.pieces["two-gates"]))
    assert any(
        re.search(r"away, .* can take the soprano; nobody plays the (alto|tenor) then\.$", each) for each in said
    )


def _one(book: Book, name: str) -> tuple[str, str, int]:
    return name, book.instruments[name].readings[0].id, 1
