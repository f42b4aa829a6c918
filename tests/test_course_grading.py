"""The shipped course keeps to its ladder, and a course that does not is stopped with the right line."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import chain, pairwise
from pathlib import Path

import pytest
import yaml
from plans import cases, made

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook, course_of, load_course
from beginnerband.data.course_files import read_course
from beginnerband.data.problems import DataError, Problem, Problems
from beginnerband.music.player import Player
from beginnerband.pages.course.card_view import card_view, todays_notes
from beginnerband.pages.course.progress import moving
from beginnerband.pages.course.progress import view as progress_view
from beginnerband.teaching.calendar import lesson_dates
from beginnerband.teaching.ladder import cycle_in, missing_for_mover

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def course(book: Book) -> CourseBook:
    assert book.course
    return book.course


@pytest.fixture
def broken(tmp_path: Path, book: Book) -> Callable[..., list[Problem]]:
    """Copies the course, changes text in it, loads it, and gives the problems."""
    shutil.copytree(ROOT / "content" / "course", tmp_path / "content" / "course")
    shutil.copy(ROOT / "content" / "ladder.yml", tmp_path / "content")
    shutil.copytree(ROOT / "handbook" / "guide", tmp_path / "handbook" / "guide")
    shutil.copytree(ROOT / "content" / "instruments", tmp_path / "content" / "instruments")
    shutil.copytree(ROOT / "content" / "pieces", tmp_path / "content" / "pieces")

    def change(file: str, old: str, new: str) -> list[Problem]:
        path = tmp_path / "content" / file
        text = path.read_text(encoding="utf-8")
        assert text.count(old) >= 1, f"{old!r} is not in {file}"
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
        problems = Problems(tmp_path)
        load_course(tmp_path, book.band, book.tunes, book.pieces, problems)
        return sorted(problems.found)

    return change


def line_of(tmp_path: Path, file: str, text: str) -> int:
    lines = (tmp_path / "content" / file).read_text(encoding="utf-8").splitlines()
    return next(number for number, line in enumerate(lines, 1) if text in line)


# The order of teaching below is common practice, no source: how beginner bands are usually begun.


def test_whole_half_and_quarter_notes_come_first(course: CourseBook) -> None:
    met: list[str] = []
    for week in course.grades.weeks["cornet"]:
        met.extend(sorted(value for value in week.new.values if "rest" not in value))
    assert met[:3] == ["whole", "half", "quarter"]
    assert set(met[3:]) == {"eighth", "dotted half", "dotted quarter"}


def test_a_three_note_tune_by_rote_precedes_reading(course: CourseBook) -> None:
    weeks = course.grades.weeks["tenor-horn"]
    first_read = next(w.place for w in weeks if any(part.item.read for part in w.parts))
    by_ear = [
        w.place
        for w in weeks
        for part in w.parts
        if part.item.tune and not part.item.read and len(part.facts.notes) == 3
    ]
    assert by_ear
    assert min(by_ear) < first_read
    assert all(not part.item.read for w in weeks[:first_read] for part in w.parts)


def test_groups_apart_precede_together_with_different_notes(book: Book) -> None:
    """In two rooms; in one room everybody begins on one sound (tests/test_course_plans.py)."""
    case = next(case for case in cases(book) if case.name == "26 x 45, two rooms")
    course, _ = made(book, case)
    assert course
    weeks = {name: course.grades.weeks[name] for name in ("cornet", "tenor-horn")}
    shared = [
        place
        for place, lesson in enumerate(course.course.weeks)
        if any(item.shared_key is not None and not item.players for item in lesson.items)
    ]
    tune_apart = next(p for p, w in enumerate(weeks["cornet"]) if any(part.item.id == "tune-one" for part in w.parts))
    assert tune_apart < min(shared)
    part = weeks["cornet"][min(shared)].part("shared-low"), weeks["tenor-horn"][min(shared)].part("shared-low")
    assert part[0]
    assert part[1]
    assert [pitch.name for pitch in set(part[0].line.pitches)] == ["C4"]
    assert [pitch.name for pitch in set(part[1].line.pitches)] == ["G4"]  # concert B♭ for both


def test_the_course_takes_about_six_months(course: CourseBook) -> None:
    assert len(course.course.weeks) == 26
    plain = lesson_dates(date(2026, 9, 16), 26)
    assert (plain[-1] - plain[0]).days == 25 * 7  # 26 weekly lessons: six months without holidays


def test_spare_lessons_are_spread_and_bring_nothing_new(course: CourseBook) -> None:
    """Where time allows; the five plans are measured in tests/test_course_plans.py."""
    spare = [lesson.number for lesson in course.course.weeks if lesson.spare]
    assert len(spare) >= 2
    assert all(later - earlier > 2 for earlier, later in pairwise(spare))
    for player in course.players:
        for week in course.grades.weeks[player.id]:
            assert not (week.lesson.spare and week.new.notes)


def test_stages_follow_the_ladder_s_order(course: CourseBook) -> None:
    order = [stage.id for stage in course.course.stages]
    places = [order.index(lesson.stage) for lesson in course.course.weeks]
    assert places == sorted(places)
    assert [course.course.stage(ident) for ident in order] == list(course.course.stages)


def test_every_instrument_and_reading_of_the_handbook_could_join(book: Book) -> None:
    files = read_course(ROOT, Problems(ROOT))
    assert files
    for instrument in book.instruments.values():
        for reading in instrument.readings:
            problems = Problems(ROOT)
            band = replace(book.band, players=(Player(instrument, reading, 1),))
            course_of(files, band, book.tunes, book.pieces, problems)
            assert not problems.found, (instrument.id, reading.id, problems.found[0])


def test_euphonium_and_tuba_in_bass_clef_share_a_row_with_each_note_once(book: Book) -> None:
    """Both are B♭ tubes, an octave apart: same fingerings on notes an octave apart (common practice, no source)."""
    low = [
        Player(book.instruments[ident], book.instruments[ident].reading("bass-c"), 1)
        for ident in ("euphonium", "bb-bass")
    ]
    band = replace(book.band, players=tuple(low))
    course = load_course(ROOT, band, book.tunes, book.pieces, Problems(ROOT))
    assert course
    assert [room.id for room in course.rooms] == ["all"]  # one room
    for lesson in course.course.lessons:
        week = course.grades.weeks["euphonium"][course.course.weeks_of(lesson)[0]]
        rows = card_view(replace(book, band=band), course, lesson).groups
        assert [len(row.notes) for row in rows] == [len(todays_notes(week))] * len(rows)
        assert len(rows) <= 1


@pytest.mark.parametrize(
    ("players", "rows"),
    [
        (("euphonium-4", "eb-bass"), {"euphonium-4": "0 4 1-2 1 0", "eb-bass": "0 1-2 2 0 1"}),
        (("baritone", "euphonium-4"), {"baritone euphonium-4": "0 1-2 2 0 1"}),
        (("trombone", "trombone-f"), {"trombone trombone-f": "1 4 2 1 3"}),
    ],
)
def test_those_who_share_a_row_of_notes_do_the_same_for_each(
    book: Book, players: tuple[str, ...], rows: dict[str, str]
) -> None:
    """Five notes up from B♭, or from F (common practice, no source): C is 4 with a fourth valve, 1-2 on an E♭ tube."""
    low = [Player(book.instruments[ident], book.instruments[ident].reading("bass-c"), 1) for ident in players]
    band = replace(book.band, players=tuple(low))
    course = load_course(ROOT, band, book.tunes, book.pieces, Problems(ROOT))
    assert course
    groups = card_view(replace(book, band=band), course, course.course.lessons[11]).groups
    assert {row.players: " ".join(note.fingering for note in row.notes) for row in groups} == rows


def test_a_piece_that_is_not_there_is_named_with_its_line(broken: Callable[..., list[Problem]]) -> None:
    (problem,) = broken("course/third-piece.yml", "pieces: [lantern-waltz]", "pieces: [lantern-walz]")
    assert problem.file == "content/course/third-piece.yml"
    assert problem.line
    assert problem.message == "no piece 'lantern-walz' in content/pieces; did you mean 'lantern-waltz'?"


# What is new, worked by hand for the shipped band (E♭ horn and trombone, transposed on paper).


@pytest.mark.parametrize(
    ("player", "step", "new"),
    [
        ("cornet", "shared-sound", ["F4"]),  # concert E♭
        ("f-horn", "shared-sound", ["Bb3"]),  # concert E♭3, a fifth above what sounds
        ("trombone", "shared-sound", ["Eb3"]),
        ("cornet", "third-sound", ["G4", "A4"]),  # with the second in one lesson: concert F and G
        ("tenor-horn", "third-sound", ["D4", "E4"]),
        ("tenor-horn", "fifth-note", ["F4", "G4"]),  # concert A♭ and B♭
        ("trombone", "fifth-note", ["Ab3", "Bb3"]),
        ("tenor-horn", "two-more", ["A4", "B4"]),  # concert C and D
        ("cornet", "two-more", ["D4", "E4"]),
        ("trombone", "two-more", ["C3", "D3"]),
        ("eb-bass", "key-note", ["C5"]),  # B♭ is their known G; their own line ends on concert E♭
        ("cornet", "key-note", ["C4"]),
        ("drums", "third-sound", []),
    ],
)
def test_new_notes_by_hand(course: CourseBook, player: str, step: str, new: list[str]) -> None:
    place = place_of(course, step)
    assert [pitch.name for pitch in course.grades.new_notes(player, place)] == new


def place_of(course: CourseBook, step: str) -> int:
    """The lesson, from 0, that has a step."""
    return next(p for p, lesson in enumerate(course.course.weeks) if step in [each.id for each in lesson.steps])


def test_a_failing_check_prints_no_whole_tune(course: CourseBook) -> None:
    """What a lesson asks of a player is named by its music, not by each note of it."""
    week = course.grades.weeks["cornet"][-1]
    assert week.parts
    assert all(len(repr(part)) < 300 for part in week.parts)


def test_a_mover_misses_exactly_the_notes_not_taught(course: CourseBook) -> None:
    # By the third sound a cornet player knows written F G A; the tenor horns know C D E: the same three sounds.
    place = place_of(course, "third-sound")
    there = missing_for_mover(course.grades, "cornet", "tenor-horn", place)
    back = missing_for_mover(course.grades, "tenor-horn", "cornet", place)
    assert [pitch.name for pitch in there.ordered] == ["C4", "D4", "E4"]
    assert [pitch.name for pitch in back.ordered] == ["F4", "G4", "A4"]


def test_what_a_mover_lacks_week_by_week_worked_by_hand(course: CourseBook) -> None:
    """From the table of new notes above: cornets get F4 in lesson 1, G4 and A4 in 4; tenor horns F4 in 10, A4 in 17.

    So F4 is missing to a horn player who becomes a cornet player after lessons 1 to 9, and A4 after 4 to 16; nobody
    misses what both know, and who has played nothing misses everything. On the F horn D4 is the first valve, on the
    cornet 1-3 (the charts in test_fingering); the cornets learn it in lesson 17.
    """
    cornet, tenor, horn = (course.player(name) for name in ("cornet", "tenor-horn", "f-horn"))
    lacks = [[pitch.name for pitch in pitches] for pitches in moving(course, tenor, cornet).learn]
    assert [place for place, names in enumerate(lacks, 1) if "F4" in names] == list(range(1, 10))
    assert [place for place, names in enumerate(lacks, 1) if "A4" in names] == list(range(4, 17))
    assert not any("C4" in names or "D4" in names for names in lacks)
    late = moving(course, None, cornet)
    assert [pitch.name for pitch in late.learn[9]] == ["F4", "G4", "A4", "Bb4", "C5"]
    assert late.changed[9] == ()
    assert [pitch.name for pitch in moving(course, cornet, horn).changed[16]] == ["D4"]
    assert moving(course, cornet, tenor).changed[9] == ()


def test_the_moved_player_page_says_the_same_to_the_script_and_in_its_table(book: Book, course: CourseBook) -> None:
    shown = progress_view(book, course)
    data = json.loads(shown["mover_data"])
    assert data["cornet"]["from"]["tenor-horn"][:2] == [[0, ["F4"], []], [3, ["F4", "G4", "A4"], []]]
    assert data["cornet"]["notes"]["F4"] == "F4 (1) from lesson 1"
    row = next(move for move in shown["moves"] if "tenor horn" in move.old and "cornet" in move.new)
    assert row.missing.startswith("F4 (1) after lessons 1 to 9; G4 (open) after lessons 4 to 9;")


# Deliberately broken courses.


def test_too_many_notes(broken: Callable[..., list[Problem]], tmp_path: Path) -> None:
    # In concert A the tune has notes nobody was taught: three for each.
    found = broken("course/second-tune.yml", "how: rote\n    key: home", "how: rote\n    key: A")
    new = [problem for problem in found if "new note" in problem.message]
    assert new
    for problem in new:
        assert problem.file == "content/course/second-tune.yml"
        assert problem.line == line_of(tmp_path, "course/second-tune.yml", "tune: [") - 1
        assert "breaks the ladder" in problem.message
        assert re.search(r"bar \d+ of '", problem.message)
        assert "it would fit" in problem.message
    assert "drums" not in " ".join(problem.message for problem in new)


def test_a_breath_too_long_for_the_bass_only(broken: Callable[..., list[Problem]]) -> None:
    found = broken("course/dots.yml", "key: home\n    tempo: 80", "key: home\n    tempo: 76")
    assert found
    assert all(
        re.search(r"eb-bass: bar \d+ of 'Ode to Joy \(first strain\)' needs 7\.\d s", str(each)) for each in found
    )
    assert all("at most 7 s" in each.message for each in found)


def test_a_leap(broken: Callable[..., list[Problem]]) -> None:
    found = broken("course/third-sound.yml", 'do: "D2 E2 | D2 !breath!E2 | E D C D | E4 |]"',
                   'do: "D2 E2 | D2 !breath!E2 | E D C D | G4 |]"')  # fmt: skip
    leaps = [problem for problem in found if "leaps 5 semitones; at most 4" in problem.message]
    assert leaps
    assert all("bar 4" in problem.message for problem in leaps)


def test_an_untaught_rhythm(broken: Callable[..., list[Problem]]) -> None:
    found = broken("course/five-notes.yml", '"C D E F | G2', '"C/C/ D E F | G2')
    messages = [problem.message for problem in found]
    assert any("bar 1" in m and "uses eighth (note value)" in m and "from lesson-" in m for m in messages)
    assert any("drums" in m for m in messages)


def test_notation_before_reading(broken: Callable[..., list[Problem]]) -> None:
    found = broken(
        "course/second-sound.yml", "title: There and back\n    how: rote", "title: There and back\n    how: read"
    )
    assert found
    assert any("before the stage that teaches reading" in p.message for p in found)


def test_a_missing_tune(broken: Callable[..., list[Problem]], tmp_path: Path) -> None:
    found = broken("course/quavers.yml", "tune: drip-drop", "tune: drip-dorp")
    line = line_of(tmp_path, "course/quavers.yml", "tune: drip-dorp")
    want = f"content/course/quavers.yml:{line}: no tune 'drip-dorp' in content/tunes; did you mean 'drip-drop'?"
    assert str(found[0]) == want


def test_a_circle_of_prerequisites(broken: Callable[..., list[Problem]]) -> None:
    found = broken("course/rhythm-signs.yml", "needs: [walking-notes]", "needs: [signs-for-silence]")
    assert any("needs signs-for-silence, which is not taught before it" in p.message for p in found)
    assert cycle_in({"a": ["b"], "b": ["a"]})


@pytest.mark.parametrize(
    ("file", "old", "new", "message"),
    [
        ("course/plan.yml", "  - pulse\n", "  - puls\n", "no unit 'puls' in content/course; did you mean 'pulse'?"),
        ("course/plan.yml", "  - pulse\n", "", "this unit is not in plan.yml; add its line to 'order'"),
        ("course/first-sounds.yml", "{names long-note}", "{names longnote}", "; did you mean {names long-note}?"),
        ("course/plan.yml", "fix: {} ", "fix: {gap: 3} ", "fix: no step 'gap'; did you mean 'gaps'?"),
        ("course/plan.yml", "skip: []", "skip: [write-two]", "skip: no step 'write-two'; did you mean 'write-one'?"),
        ("course/plan.yml", "done: []", "done: [{lesson: 3}]", "needs exactly one of"),
        ("course/settle.yml", "stage: sound", "stage: sounds", "no stage 'sounds' in plan.yml; did you mean"),
        ("course/settle.yml", "minutes: [4, 6, 8]", "minutes: [6, 4, 8]", "do not rise: least, usual, most"),
        ("course/settle.yml", "guide: lips-and-braces", "guide: lips", "no page 'lips' in handbook/guide"),
        ("course/settle.yml", "music: [long-note]", "music: [lang-note]", "no music 'lang-note'; did you mean"),
        ("course/settle.yml", "after: shared-sound", "after: shared-sond", "after: no step 'shared-sond'; did"),
        ("course/pulse.yml", "C z C z | C2", "C z C z z | C2", "the exercise 'gaps': bar 1"),
        ("course/pulse.yml", "{walking}", "{waking}", "fact or word 'waking'; did you mean 'walking'?"),
        ("course/slurs.yml", "{slides? A quick", "{slide? A quick", "fingers}: no case 'slide'"),
        ("course/slurs.yml", "{slides? A quick slide | both? Quick hands | Q", "{valves? Q",
         "it says nothing for slides, both, no-brass"),
        ("course/plan.yml", "{slides? slid |", "{slide? slid |", "the word 'fingered': {slide? slid"),
        ("course/plan.yml", "  finger: ", "  walking: ", "'walking' is the name of music or of a phrase"),
        ("course/dots.yml", "of: ode-to-joy", "of: ode-to-jy", "no tune 'ode-to-jy'; did you mean 'ode-to-joy'?"),
        ("course/five-notes.yml", "holds: {one-sound:", "holds: {same-name:", "does not hold of 'five'"),
        ("course/five-notes.yml", "holds: {one-sound", "holds: {one-sond", "'one-sond' is not known; did you mean"),
        ("course/pulse.yml", "Keep going whatever I do.", "Only fingers move.", "is not true for every instrument"),
        ("course/five-notes.yml", "{fingers five}", "{finger five}", "no phrase 'finger'; there are"),
        ("course/five-notes.yml", "bars 5 to 8", "bars 5 to 9", "there is no bar 9 in 'Down the"),
        ("course/five-notes.yml", "bars 5 to 8", "bars 6 to 8", "bar 6 of 'Down the lane' begins no line"),
        ("course/five-notes.yml", "Bars 1 and 2, and", "Sixteen bars, and", "'Sixteen bars', but 'Down the lane'"),
        ("course/two-lines.yml", "second line by", "third line by", "'third line', but 'Gather Round' stands on 2"),
        ("course/two-lines.yml", "figure 2", "figure 3", "there is no figure 3 in 'Gather Round'"),
        ("course/first-sounds.yml", "minutes: [6, 10, 13]", "minutes: [6, 10, 40]", "14.0 of 40 minutes without a"),
        ("course/slurs.yml", "odd chairs", "odd chairs, which turns back", "'Willow road' has no repeat"),
        ("course/first-sounds.yml", "Everyone at once.", "From bar 2.", "it names bars by their numbers, and has no"),
        ("course/rhythm-signs.yml", "{walking-seen}, then", "Left and Right, then", "'Left and Right' is named by"),
        ("course/loudness.yml", "Right notes, mf", "All of Near and far, mf", "'Near and far' is named by hand"),
        ("course/loudness.yml", "Long notes, one p,", "The tune, one p,", "'The tune' is practised for weeks"),
        ("course/hold-your-own.yml", "Your part of {two-gates} from", "Your part from", "'Your part' is practised for"),
        ("course/percussion.yml", "after: shared-sound", "after: shared-sond", "after: no step 'shared-sond'; did"),
        ("course/percussion.yml", "{lamp}: your", "the waltz: your", "'the waltz' is the name of no music on a sheet"),
        ("course/pulse.yml", "Play {walking} from", "Play {running} from", "'Running feet' is not sure to be"),
        ("course/percussion.yml", "{lamp}: your", "{dotted}: your", "is not sure to be on a sheet by then"),
        ("course/notes-on-paper.yml", "from: tune-one", "from: tune-on", "no music 'tune-on' before; did you mean"),
        ("ladder.yml", "  pulse:", "  puls:", "no stage 'puls' in plan.yml; did you mean 'pulse'?"),
        ("ladder.yml", "but: {f: first-year}", "but: {horn: first-year}", "range: nobody is called 'horn'; did"),
        ("ladder.yml", "metres: {add: [4/4]", "metres: {add: [4/0]", "'4/0' is no metre; write it as 4/4 or 6/8"),
        ("course/third-piece.yml", "new one, {lantern-w", "new one, {lantern w", "did you mean {lantern-waltz}?"),
        ("ladder.yml", "add: [half, quarter,", "add: [half, quater,", "'quater' is not known; did you mean 'quarter'?"),
        ("course/names-and-sounds.yml", "for: [bb, percussion]", "for: [bbb, percussion]", "nobody is called 'bbb'"),
        ("course/pulse.yml", "listen: Feet", "lisen: Feet", "unknown key 'lisen'; did you mean 'listen'?"),
    ],
)  # fmt: skip
def test_mistakes_are_named(broken: Callable[..., list[Problem]], file: str, old: str, new: str, message: str) -> None:
    found = broken(file, old, new)
    assert any(message in str(problem) for problem in found), [str(problem) for problem in found]
    assert all(problem.line > 0 for problem in found)


@pytest.mark.parametrize(
    ("new", "said"),
    [
        (
            "  - puls\n",
            "plan.yml:16: no unit 'puls' in content/course; did you mean 'pulse'? (3 more follow from this)",
        ),
        ("", "pulse.yml:1: this unit is not in plan.yml; add its line to 'order': - pulse (2 more follow from this)"),
    ],
)
def test_what_follows_from_a_unit_that_is_left_out_is_counted_with_it(
    broken: Callable[..., list[Problem]], new: str, said: str
) -> None:
    """Two later steps need one of it; where its name is wrong, it is missing from the plan, too."""
    _, *lines = str(DataError(broken("course/plan.yml", "  - pulse\n", new))).split("\n")
    assert lines == [f"content/course/{said}"]


# One line holds, repeats or skips a step.


def test_skipping_a_step_others_need_is_refused(broken: Callable[..., list[Problem]]) -> None:
    found = broken("course/plan.yml", "skip: []", "skip: [third-sound]")
    assert any("ladder-of-notes needs third-sound, which is not taught before it" in p.message for p in found)


def test_a_step_may_be_skipped_with_those_that_need_it(broken: Callable[..., list[Problem]]) -> None:
    found = broken("course/plan.yml", "skip: []", "skip: [two-more, key-note]")
    needing = [p.message for p in found if "which is not taught before it" in p.message]
    assert needing == ["old-tune-new-place needs key-note, which is not taught before it; move or add its line"]


def test_too_few_lessons_are_told_where_the_band_says_when_the_course_ends(book: Book) -> None:
    short = replace(book.band, teaching=replace(book.band.teaching, last=None, lessons=12))
    problems = Problems(ROOT)
    assert load_course(ROOT, short, book.tunes, book.pieces, problems) is None
    (problem,) = problems.found
    line = (ROOT / "content" / "band.yml").read_text(encoding="utf-8").split("\n")[problem.line - 1]
    assert (problem.file, line.split(":")[0].strip()) == ("content/band.yml", "last")
    assert re.fullmatch(
        r"the steps that cannot be left out need \d+ lessons of 45 minutes; there are 12; end later, meet more often "
        r"or longer, or skip steps in plan.yml",
        problem.message,
    )


def test_a_step_repeated_is_new_once(tmp_path: Path, book: Book, broken: Callable[..., list[Problem]]) -> None:
    assert not broken("course/plan.yml", "repeat: []", "repeat: [fourth-note]")
    again = load_course(tmp_path, book.band, book.tunes, book.pieces, Problems(tmp_path))
    assert again
    first, second = (
        place for place, lesson in enumerate(again.course.weeks) if "fourth-note" in [s.id for s in lesson.steps]
    )
    new = [[p.name for p in again.grades.new_notes("cornet", place)] for place in range(len(again.course.weeks))]
    assert "Bb4" in new[first]
    assert len({*chain.from_iterable(new)}) == sum(map(len, new))  # the fourth note and all others once
    assert again.course.weeks[second].steps[1].id == "fourth-note"


# What really happened moves only what is still to come.


@pytest.mark.parametrize(
    ("done", "fourth"),
    [
        ("{lesson: 3, to: walking-notes}", "gaps"),
        ("{lesson: 3, to: gaps, half: true}", "gaps"),
        ("{lesson: 3, again: true}", "tongue"),
        ("{lesson: 3, cancelled: true}", "second-sound"),
    ],
)
def test_the_rest_is_packed_anew_from_what_was_done(
    tmp_path: Path, book: Book, course: CourseBook, broken: Callable[..., list[Problem]], done: str, fourth: str
) -> None:
    assert not broken("course/plan.yml", "done: []", f"done: [{done}]")
    again = load_course(tmp_path, book.band, book.tunes, book.pieces, Problems(tmp_path))
    assert again
    ids = [[step.id for step in lesson.steps] for lesson in again.course.weeks]
    assert ids[:2] == [[step.id for step in lesson.steps] for lesson in course.course.weeks[:2]]
    assert fourth in ids[3]
    assert "the-concert" in ids[-1]
    lost = "cancelled" in done
    assert len(ids) == len(course.course.weeks) - lost  # the last day stays where it is
    assert (course.dates[2] in again.dates) is not lost


def test_a_cancelled_concert_is_asked_for_its_new_day(
    tmp_path: Path, book: Book, broken: Callable[..., list[Problem]]
) -> None:
    """24 April 2027 is a Saturday; a lesson cancelled before it is a lesson less, and the concert stays."""
    teaching = replace(book.band.teaching, last=None, concert=date(2027, 4, 24))
    band, count = replace(book.band, teaching=teaching), teaching.count
    text = f"done: [{{lesson: 3, cancelled: true}},\n  {{lesson: {count - 1}, cancelled: true}}]"
    broken("course/plan.yml", "done: []", text)
    problems = Problems(tmp_path)
    assert load_course(tmp_path, band, book.tunes, book.pieces, problems) is None
    (problem,) = problems.found
    assert (problem.file, problem.message) == (
        "content/course/plan.yml",
        f"done: lesson {count - 1}, the concert, is cancelled: give its new day as 'concert' in band.yml, and take "
        "this line out",
    )
    assert problem.line == line_of(tmp_path, "course/plan.yml", f"{{lesson: {count - 1}, cancelled")
    plan = tmp_path / "content" / "course" / "plan.yml"
    plan.write_text(plan.read_text(encoding="utf-8").replace(text, text.split(",\n")[0] + "]"), encoding="utf-8")
    found = load_course(tmp_path, band, book.tunes, book.pieces, Problems(tmp_path))
    assert found
    assert found.dates[-1] == teaching.concert


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        ({"fix": "{gaps: 3}", "done": "[{lesson: 3, to: walking-notes}]"},
         r"fix: lesson 3 is over, and 'gaps' was not done in it; it comes in lesson 4; take it out here, or name a "
         r"lesson from 4 on"),
        ({"fix": "{gaps: 6}", "done": "[{lesson: 3, to: gaps}]"},
         r"fix: 'gaps' was done in lesson 3, not in lesson 6; take it out here"),
        ({"repeat": "[shared-sound]", "done": "[{lesson: 4, to: fingers-first}]"},
         r"repeat: 'shared-sound' came again in lesson \d, which is over; nothing still to come was moved for it"),
        ({"fix": "{gaps: 3}", "done": "[{lesson: 3, to: gaps}]"}, ""),
        ({"fix": "{near-and-far: 16}", "repeat": "[fourth-note]", "done": "[{lesson: 3, cancelled: true}]"}, ""),
    ],
)  # fmt: skip
def test_a_wish_for_a_lesson_that_is_over_is_told(
    tmp_path: Path, book: Book, broken: Callable[..., list[Problem]], wishes: dict[str, str], said: str
) -> None:
    for key, text in wishes.items():
        found = broken("course/plan.yml", f"{key}: {'{}' if key == 'fix' else '[]'}", f"{key}: {text}")
    assert not found  # it stops nothing
    problems = Problems(tmp_path)
    assert load_course(tmp_path, book.band, book.tunes, book.pieces, problems)
    assert len(problems.remarks) == bool(said)
    for remark in problems.remarks:
        assert re.fullmatch(said, remark.message)
        key = said.partition(":")[0]
        assert (remark.file, remark.line) == (
            "content/course/plan.yml",
            line_of(tmp_path, "course/plan.yml", f"{key}: {wishes[key]}"),
        )


def test_a_cycle_is_found_anywhere() -> None:
    assert cycle_in({"a": ["b"], "b": ["c"], "c": ["b"]}) == ("b", "c", "b")
    assert cycle_in({"a": ["b"], "b": []}) == ()


def test_every_figure_of_the_ladder_has_its_reason() -> None:
    stages = yaml.safe_load((ROOT / "content" / "ladder.yml").read_text(encoding="utf-8"))["stages"]
    assert len(stages) == 11
    for limits in stages.values():
        assert all(limit["why"].strip() for limit in limits.values())


def test_one_sound_in_two_spellings_takes_two_places_on_a_card(course: CourseBook, book: Book) -> None:
    """F sharp and G flat sound alike (concert 66 and 66): a group that meets both sees both, beside another's one."""
    lesson = course.course.weeks[-1]
    card = card_view(book, course, lesson)
    first = next(group for group in card.groups if len(group.notes) > 1)
    both = replace(first, notes=first.notes[:2], sounds=(66, 66))
    one = replace(first, notes=first.notes[:1], sounds=(66,))
    assert [notes for _, notes in replace(card, groups=(both, one)).rows] == [
        [*first.notes[:2]],
        [first.notes[0], None],
    ]
