"""What follows from a plan: coverage, seats and timetable, for any band."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta
from html import unescape
from itertools import combinations, pairwise, permutations
from pathlib import Path

import yaml
from conftest import ROOT
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from paper import print_now, words_on
from smallproject import MINUTES, small_project, yaml_data
from test_matching import FEW, SEEDS, likely

from beginnerband.data.book import load_book
from beginnerband.music.instrument import VOICES
from beginnerband.pages.band import room
from beginnerband.people.coverage import away, coverage, pairs_that_lose
from beginnerband.people.plan import MatchingRules, Place, Plan, can_hold
from beginnerband.people.roster import DAYS
from beginnerband.people.seating import EAR, WALL, WIDTH, RoomSize, forward, seat
from beginnerband.people.timetable import attendance, timetable
from beginnerband.products import Products


def plan_of(seed: int, people: int = 9) -> tuple[Plan, MatchingRules]:
    matching = likely(seed, people, people + 2)
    plan = matching.best()
    assert plan is not None
    return plan, matching.rules


def most_held(places: list[Place], rules: MatchingRules) -> int:
    """How many lines can be held at once, by trying everybody on every line."""
    able = [place for place in places if place.item.instrument.brass and can_hold(place.learner, rules)]
    best = 0
    for size in range(len(VOICES), 0, -1):
        for lines in combinations(VOICES, size):
            for chosen in permutations(able, size):
                if all(line in each.item.instrument.covers for line, each in zip(lines, chosen, strict=True)):
                    return size
    return best


@FEW
@given(SEEDS)
def test_absences_cost_what_trying_everybody_says(seed: int) -> None:
    plan, rules = plan_of(seed)
    names = [place.learner.name for place in plan.places]
    for gone in [*combinations(names, 1), *combinations(names, 2)][::3]:
        found = away(plan.places, gone, rules)
        left = [place for place in plan.places if place.learner.name not in gone]
        assert len(VOICES) - len(found.lost) == most_held(left, rules)
        assert not {name for name, _ in found.steps_in} & set(gone)


@FEW
@given(SEEDS)
def test_the_pairs_are_those_that_lose_what_neither_alone_does(seed: int) -> None:
    """Where all four lines are held, and where they are not."""
    plan, rules = plan_of(seed)
    for places in (plan.places, plan.places[:5], plan.places[:3]):
        names = [place.learner.name for place in places]

        def lost(*gone: str, places: tuple[Place, ...] = places) -> int:
            return len(away(places, gone, rules).lost)

        expected = {
            tuple(sorted(pair))
            for pair in combinations(names, 2)
            if lost(pair[0]) == lost(pair[1]) == lost() < lost(*pair)
        }
        assert {each.names for each in pairs_that_lose(places, rules)} == expected


@FEW
@given(SEEDS)
def test_whoever_could_take_a_line_over_covers_it(seed: int) -> None:
    plan, rules = plan_of(seed)
    for cover in coverage(plan.places, rules, {"eb-bass": -1}):
        assert cover.holder is not None
        for other in cover.instead:
            assert cover.line in other.place.item.instrument.covers
            assert other.place is not cover.holder
            assert other.octaves == (-1 if other.place.item.instrument.id == "eb-bass" else 0)
        steady = [other.steady for other in cover.instead]
        assert steady == sorted(steady, reverse=True)


@FEW
@given(SEEDS, st.integers(5, 24), st.floats(5, 14), st.floats(7, 16))
def test_everybody_has_one_seat_and_it_is_where_it_is_said_to_be(
    seed: int, people: int, width: float, depth: float
) -> None:
    """Nobody twice, no two closer than their elbows, nobody behind the wall, unless it is said."""
    plan, rules = plan_of(seed, people)
    seating = seat(plan.places, RoomSize(width, depth), rules)
    assert sorted(spot.place.learner.name for spot in seating.spots) == sorted(p.learner.name for p in plan.places)
    for number in range(1, seating.rows + 1):
        row = seating.row(number)
        assert [spot.seat for spot in row] == list(range(1, len(row) + 1))
        for left, right in pairwise(row):
            least = (WIDTH[left.place.learner.age] + WIDTH[right.place.learner.age]) / 2
            assert right.x - left.x >= least - 0.01
        if not seating.too_wide:
            assert all(abs(spot.x) + WIDTH[spot.place.learner.age] / 2 <= width / 2 - WALL + 0.02 for spot in row)
    if not seating.too_deep:
        assert all(spot.y + 1 <= depth for spot in seating.spots)
    close = {
        (bell.place.learner.name, head.place.learner.name)
        for bell in seating.spots
        for head in seating.row(bell.row - 1)
        if forward(bell.place.item.instrument) and abs(bell.x - head.x) < EAR - 0.01
    }
    assert close == set(seating.at_ears)


def test_a_large_room_has_no_bell_at_an_ear() -> None:
    for seed in range(12):
        plan, rules = plan_of(seed, 18)
        assert seat(plan.places, RoomSize(12, 12), rules).at_ears == ()


@FEW
@given(SEEDS)
def test_drums_sit_behind_and_small_players_in_front_of_large_ones(seed: int) -> None:
    plan, rules = plan_of(seed, 16)
    seating = seat(plan.places, RoomSize(7, 14), rules)
    brass = [spot for spot in seating.spots if spot.place.item.instrument.brass]
    drums = [spot for spot in seating.spots if not spot.place.item.instrument.brass]
    assert max(spot.row for spot in brass) < min((spot.row for spot in drums), default=99)
    ages = list(WIDTH)
    for front in brass:
        for behind in brass:
            if front.place.item.instrument == behind.place.item.instrument and front.row < behind.row:
                assert ages.index(front.place.learner.age) <= ages.index(behind.place.learner.age)


def test_one_line_moves_somebody() -> None:
    plan, rules = plan_of(3, 12)
    name = plan.places[-1].learner.name
    seating = seat(plan.places, RoomSize(9, 12), rules, {name: (1, 2)})
    spot = next(spot for spot in seating.spots if spot.place.learner.name == name)
    assert (spot.row, spot.seat) == (1, 2)


@settings(max_examples=15, deadline=None)
@given(SEEDS, st.integers(1, 3), st.integers(1, 2))
def test_turns_are_fair_and_nobody_is_where_they_cannot_be(seed: int, turns: int, rooms: int) -> None:
    plan, _ = plan_of(seed, 10)
    start = date(2026, 9, 16)
    lessons = [(start + timedelta(days=7 * at + at % 3), f"lesson-{at:02}", at % 2 == 0) for at in range(20)]
    groups = [("B♭", ("bb", "concert", "percussion")), ("E♭", ("eb", "f"))]
    found = timetable(plan.places, lessons, groups[:rooms], turns=turns)
    apart = {lesson for _, lesson, taught_apart in lessons if taught_apart}
    assert [meeting.day for meeting in found] == sorted(day for day, _, _ in lessons)
    by_name = {place.learner.name: place for place in plan.places}
    for meeting in found:
        for name in meeting.coming:
            days = by_name[name].learner.days
            assert not days or DAYS[meeting.day.weekday()] in days
        assert sorted((*meeting.coming, *meeting.missing)) == sorted(by_name)
        seated = [name for _, names in meeting.groups for name in names]
        assert sorted(seated) == sorted(meeting.coming)
        assert set(meeting.one_to_one) <= set(meeting.coming)
        assert len(meeting.one_to_one) == min(turns, len(meeting.coming))
        assert len(meeting.groups) == (rooms if meeting.lesson in apart else 1)
    free = [place.learner.name for place in plan.places if not place.learner.days]
    had = [sum(name in meeting.one_to_one for meeting in found) for name in free]
    assert max(had, default=0) - min(had, default=0) <= 1


def test_a_concert_on_a_day_of_its_own_has_no_weekday_and_no_turns() -> None:
    """10 October 2026 is a Saturday; the lesson before it is on Wednesday, 7 October."""
    places = [replace(place, learner=replace(place.learner, days=("wed",))) for place in plan_of(1, 10)[0].places]
    lessons = [(date(2026, 10, 7), "lesson-01", False), (date(2026, 10, 10), "lesson-02", False)]
    lesson, concert = timetable(places, lessons, (), concert=date(2026, 10, 10))
    assert (lesson.missing, concert.missing) == ((), ())
    assert len(concert.coming) == len(places)
    assert (len(lesson.one_to_one), len(concert.one_to_one)) == (2, 0)
    assert len(timetable(places, lessons, ())[1].missing) == len(places)  # a lesson on that Saturday


def test_attendance_counts_days() -> None:
    plan, _ = plan_of(1, 12)
    for day, count in attendance(plan.places).items():
        assert count == sum(not place.learner.days or day in place.learner.days for place in plan.places)


def test_odd_names_neither_break_out_of_a_page_nor_end_the_printing(tmp_path: Path) -> None:
    """Signs that HTML, Markdown, blocks, YAML or the print engine know, and some that no print font has."""
    root = small_project(tmp_path)
    band = root / "content" / "band.yml"
    band.write_text(band.read_text().replace("audience: everyone", "audience: leader"))
    own = root / "content" / "roster"
    own.mkdir()
    names = ["<script>x</script>", "*a* [x](y) [[doors]]", "東京", "#let x = 1", "a & $b$ @c", "🎺"]
    (own / "learners.csv").write_text("name,age\n" + "".join(f'"{name}",adult\n' for name in names))
    things = ("cornet", "tenor-horn", "trombone", "eb-bass", "drums", "f-horn")
    (own / "cupboard.csv").write_text("instrument\n" + "".join(f"{thing}\n" for thing in things))
    out = Products()
    room.contribute(load_book(root), out)
    shown = "".join(page.text for page in out.pages.values()) + "".join(out.fragments.values())
    assert "<script>" not in shown
    assert not [page.uri for page in out.pages.values() if "[[doors]]" in page.text.split("---", 2)[2]]
    assert "東京" in shown
    assert sum("is shown as a question mark" in note for note in out.notes) == 2
    seats = print_now(out.prints["print/band-seats.pdf"], out.pictures, root / ".cache")
    assert len(words_on(seats)) == 1
    register = " ".join(words_on(print_now(out.prints["print/band-register.pdf"], out.pictures, root / ".cache")))
    assert "<script>x</script>" in register
    assert "??" in register


def test_a_concert_has_neither_the_hour_nor_the_hall_nor_the_weekday_of_the_lessons(tmp_path: Path) -> None:
    """4 January 2027 is a Monday, lessons are on Wednesdays; a whole day as in RFC 5545, 3.6.1: a date, not a time."""
    root = small_project(tmp_path)
    band = root / "content" / "band.yml"
    found = yaml_data(band.read_text())
    del found["course"]["last"]
    found["course"] |= {"concert": date(2027, 1, 4), "time": "18:00", "place": "Hall", "time_zone": "Europe/London"}
    band.write_text(yaml.safe_dump(found | {"audience": "leader"}, sort_keys=False))
    own = root / "content" / "roster"
    own.mkdir()
    days = {"Ash": "mon", "Birch": "mon", "Cedar": "wed", "Dogwood": "", "Elm": ""}
    (own / "learners.csv").write_text("name,age,days\n" + "".join(f"{name},adult,{on}\n" for name, on in days.items()))
    things = ("cornet", "tenor-horn", "trombone", "eb-bass", "drums")
    (own / "cupboard.csv").write_text("instrument\n" + "".join(f"{thing}\n" for thing in things))
    out = Products()
    room.contribute(load_book(root), out)
    shown = unescape(out.pages["band/timetable.md"].text + "".join(out.fragments.values()))
    assert f"Lessons: {MINUTES} minutes at 18:00, Hall." in shown
    assert "Lessons are on Wednesday: on Monday 1 more could come." in shown
    (every,) = (text for text in out.fragments.values() if "Every lesson" in text)
    *lessons, concert = [row for row in re.findall(r"<tr>.*?</tr>", every, re.DOTALL) if "/course/lesson-" in row]
    assert lessons
    assert "4 January" in concert
    assert room.CONCERT in concert
    assert "Cannot come" not in concert
    assert all("Cannot come: Ash, Birch" in row and room.CONCERT not in row for row in lessons)
    *before, last = Calendar.from_ical(out.assets["band/timetable.ics"]).walk("VEVENT")
    assert (last["DTSTART"].dt, last["DTEND"].dt) == (date(2027, 1, 4), date(2027, 1, 5))
    assert "LOCATION" not in last
    assert room.CONCERT in str(last["DESCRIPTION"])
    assert {(event["DTSTART"].dt.hour, event["LOCATION"]) for event in before} == {(18, "Hall")}


def test_neither_the_solver_nor_the_calendar_is_loaded_without_a_roster() -> None:
    """A shared handbook does not pay for them."""
    look = (
        "import sys; from beginnerband.pages import rooms; sys.exit(bool({'highspy', 'icalendar'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", look], cwd=ROOT / "hooks", check=False).returncode == 0
