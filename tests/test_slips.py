"""Slips that people make in files, each with the very line it is answered with: where, what is wrong, what is right."""

from __future__ import annotations

import errno
import shutil
from pathlib import Path

import pytest
from conftest import ROOT

from beginnerband.data import guide
from beginnerband.data.band import BandFile, load_band
from beginnerband.data.instruments import load_instruments
from beginnerband.data.problems import DataError, Problems
from beginnerband.data.roster import MeetingRoomFile
from beginnerband.data.textfile import is_leftover, read_text, yaml_files
from beginnerband.data.yamlfile import load, read

GOOD = """\
name: Otterby Band
paper: a4
words: british
pitch_a4: 440
course:
  start: 2026-09-16
players:
  - {instrument: cornet, players: 5}
"""

SLIPS = [
    ("name: Otterby Band", "name: Otterby: the Band", 1,
     'a text with a colon in it, or a line too far in; put the whole text in "quotes", or mend the spaces at its '
     "beginning"),
    ("name: Otterby Band", 'name: "Otterby" Band', 1,
     'something follows a closed quotation mark, or a line is too far in; put the whole text in "quotes", or mend the '
     "spaces"),
    ("name: Otterby Band", "name: 'Tis the Band", 1,
     'a quotation mark or apostrophe opens here and is never closed; put the whole text in "quotes", or use ’'),
    ("name: Otterby Band", 'name: "Otterby Band\nnote: "A band"', 1,
     'a quotation mark or apostrophe opens here and is never closed; put the whole text in "quotes", or use ’'),
    ("name: Otterby Band", 'name: "Otterby Band\naddress: ""', 1,
     'a quotation mark or apostrophe opens here and is never closed; put the whole text in "quotes", or use ’'),
    ("name: Otterby Band", 'name: "Otterby Band\nplace: A hall\nnote: "A band: new"', 1,
     'a quotation mark or apostrophe opens here and is never closed; put the whole text in "quotes", or use ’'),
    ("name: Otterby Band", "name: 'Tis the Band\nnote: it's new", 1,
     'a quotation mark or apostrophe opens here and is never closed; put the whole text in "quotes", or use ’'),
    ("name: Otterby Band", "name: Band #3", 1, 'what follows the # would be left out; put the whole text in "quotes"'),
    ("name: Otterby Band", "name: @Otterby", 1, 'a text may not begin with @; put the whole text in "quotes"'),
    ("name: Otterby Band", "name: 1842", 1, "name: '1842' is no text; put it in quotes: \"1842\""),
    ("name: Otterby Band", "name Otterby Band", 1,
     "a line without 'key: value'; add the colon and a space, or join it to the line above"),
    ("name: Otterby Band", "nmae: Otterby Band", 1, "unknown key 'nmae'; did you mean 'name'?"),
    ("paper: a4", "\tpaper: a4", 2, "a tab at the beginning; use spaces"),
    ("paper: a4", "paper: A5", 2, "paper: 'A5' is not known; use one of a4, letter"),
    ("paper: a4", "paper: A4", 2, "paper: 'A4' is not known; did you mean 'a4'?"),
    ("words: british", "words: english", 3, "words: 'english' is not known; use one of american, british"),
    ("paper: a4", "name: Again", 2, "'name' stands twice, first on line 1; keep one"),
    ("pitch_a4: 440", "pitch_a4: concert", 4, "pitch_a4: 'concert' is no number; write it in digits"),
    ("start: 2026-09-16", "start: 16/09/2026", 6,
     "course.start: '16/09/2026' is no date; write year-month-day, as 2026-09-16"),
    ("start: 2026-09-16", "start: 16.9.2026", 6,
     "course.start: '16.9.2026' is no date; write year-month-day, as 2026-09-16"),
    ("start: 2026-09-16", "start: 2026-13-45", 6,
     "course.start: '2026-13-45' is no date; write year-month-day, as 2026-09-16"),
    ("start: 2026-09-16", "start: next week", 6,
     "course.start: 'next week' is no date; write year-month-day, as 2026-09-16"),
    ("players: 5}", "players: five}", 8, "players: 'five' is no whole number; write it in digits, as 5"),
    ("players: 5}", "players: 5.5}", 8, "players: '5.5' is no whole number"),
    ("players: 5}", "players: !!int 5}", 8,
     "tags such as tag:yaml.org,2002:int are not used here; write the value alone"),
    ("players: 5}", "players: *x}", 8, "aliases such as *x are not used here; write it out"),
]  # fmt: skip
"""What the good file has, what somebody writes instead, the line, and the answer."""


MORE_IN_THE_BAND = [
    ("start: 2026-09-16", "start: 0026-09-16", 6, "course.start: 0026 is no year of this course; write 2026-09-16"),
    ("players: 5}", "players: 0}", 8, "players: '0' is too small; at least 1"),
    ("players: 5}", "players: 500}", 8, "players: '500' is too large; at most 60"),
    ("name: Otterby Band", "name: ''", 1, "name: '' is empty; write a text"),
    ("players:\n  - {instrument: cornet, players: 5}", "players: cornet", 7,
     "players: 'cornet' is no list; write each entry on a line of its own, as '- {instrument: …}'"),
    ("course:\n  start: 2026-09-16", "course: 2026-09-16", 5,
     "course: '2026-09-16' is no group of lines; write 'key: value' lines below it, further in"),
    ("name: Otterby Band", "address: http://band.example/\nname: Otterby Band", 1,
     "address: 'http://band.example/' begins with http://; phones keep pages only from https://band.example/"),
    ("name: Otterby Band", "address: https://band.example/book/index.html\nname: Otterby Band", 1,
     "address: 'https://band.example/book/index.html' is the address of one page; write the folder's, "
     "https://band.example/book/"),
    ("name: Otterby Band", "address: https://band.example/?page=3\nname: Otterby Band", 1,
     "address: 'https://band.example/?page=3' is the address of one page; leave out '?page=3'"),
]  # fmt: skip
SLIPS += MORE_IN_THE_BAND

PLAYER = "- {instrument: cornet, players: 5}"
START = "start: 2026-09-16"
COPIED = [
    ("paper: a4", "paper:\u00a0a4", 2, "a sign that only looks like a space or colon (U+00A0); type the line anew"),
    ("  start", "\u00a0\u00a0start", 6, "a sign that only looks like a space or colon (U+00A0); type the line anew"),
    ("paper: a4", "paper：a4", 2, "a sign that only looks like a space or colon (U+FF1A); type the line anew"),
    ("paper: a4", "paper: “a4”", 2, "paper: '“a4”' is not known; did you mean 'a4'?"),
    ("name: Otterby Band", "name: Otter\u200bby Band", 1,
     "a character that is not text (U+200B); delete it, or type the line anew"),
    (PLAYER, "– {instrument: cornet, players: 5}", 8,
     "an entry of a list begins with a hyphen and a space; write '- {instrument: cornet, players: 5}'"),
    (PLAYER, "- {instrument: cornet, players: −5}", 8, "players: '−5' is no whole number; write it in digits, as -5"),
    (START, "start: 2026–09–16", 6,
     "course.start: '2026–09–16' is no date; write year-month-day, as 2026-09-16"),
]  # fmt: skip
"""What comes along from a word processor or a web page."""

BRACKETS = [
    (PLAYER, "-{instrument: cornet, players: 5}", 8,
     "an entry of a list begins with a hyphen and a space; write '- {instrument: cornet, players: 5}'"),
    (PLAYER, f"{{instrument: cornet, players: 1}}\n  {PLAYER}", 8,
     "an entry of a list begins with a hyphen and a space; write '- {instrument: cornet, players: 1}'"),
    (PLAYER, f"{PLAYER},\n  - {{instrument: trumpet}}", 8,
     "a comma at the end; entries that stand on lines of their own have none: leave it out"),
    (PLAYER, "- instrument: cornet, players: 5", 8,
     "several keys on one line stand in braces; write '- {instrument: cornet, players: 5}'"),
    (PLAYER, f"- {{instrument: trumpet, players: 5\n  {PLAYER}", 8,
     "a { opens here and is not closed before line 9; add }, or a comma between"),
    (PLAYER, "- {instrument: cornet; players: 5}", 8,
     'a comma is missing before the next key; write {key: value, key: value}, and texts with signs in "quotes"'),
    (PLAYER, "- {instrument: cornet, players:5}", 8,
     "'players:5' needs a space after the colon; write 'players: 5'"),
    (PLAYER, "- cornet", 8, "players: 'cornet' is no entry of this list; write '- {instrument: …}'"),
    ("name: Otterby Band", "name: [Otterby] Band", 1, 'a text may not begin with [; put the whole text in "quotes"'),
    ("name: Otterby Band", "name: {Otterby}", 1,
     "name: \"{'Otterby': None}\" is no text; a text that begins with { stands in \"quotes\""),
    ("name: Otterby Band", "name: & Band", 1, 'a text may not begin with &; put the whole text in "quotes"'),
    ("name: Otterby Band", "name:Otterby Band", 1,
     "a line without 'key: value'; add the colon and a space, or join it to the line above"),
    ("course:\n  start: 2026-09-16", "course:\nstart: 2026-09-16", 5,
     "course: nothing stands here; write lines below it, further in, or take the line out"),
    ("course:\n  start: 2026-09-16", "start: 2026-09-16", 5,
     "unknown key 'start'; it belongs below 'course', further in"),
]  # fmt: skip
"""Hyphens, braces, colons and spaces at the beginning."""

VALUES = [
    ("pitch_a4: 440", "pitch_a4: 440,5", 4, "pitch_a4: '440,5' is no number; write it in digits, as 440.5"),
    ("pitch_a4: 440", "pitch_a4: 440 Hz", 4, "pitch_a4: '440 Hz' is no number; write it in digits alone, as 440"),
    ("pitch_a4: 440", "pitch_a4: 44", 4, "pitch_a4: '44' is too small; at least 415"),
    ("pitch_a4: 440", "pitch_a4:", 4, "pitch_a4: nothing stands here; write a value, or take the line out"),
    ("players: 5}", "players: 2,5}", 8, "players: '5' is no key; a number in braces has a point, not a comma, as 2.5"),
    ("players: 5}", "players: ５}", 8, "players: '５' is no whole number; write it in digits, as 5"),
    ("players: 5}", "players:\t5}", 8, "a tab; use spaces"),
    ("paper: a4", "---\npaper: a4", 2,
     "this line begins a second document, and a file holds one; take it out, or what is below as well"),
    ("name: Otterby Band", 'name: "Otter\\u202Eby Band"', 1, "a mark that turns the writing (U+202E); leave it out"),
    (START, f"{START}\n  time: 18h", 7, "course.time: '18h' is no time of day; write it as 18:00"),
    (START, f"{START}\n  time: 25:00", 7,
     "course.time: '25:00' is no time of day; write hours and minutes, as 18:30"),
    (START, f"{START}\n  holidays:\n    - {{from: 2026-09-14, to: 2026-09-18}}", 5,
     "course: 'start: 2026-09-16' is in the holiday from 2026-09-14 to 2026-09-18; give the day of the first lesson"),
    ("players: 5}", "players: 05}", 8,
     "05 begins with 0; put it in quotes if it is a name or label, else leave the 0 out"),
    ("players: 5}", "players: 5 players}", 8,
     "players: '5 players' is no whole number; write it in digits alone, as 5"),
    (START, "start: 16 September 2026", 6,
     "course.start: '16 September 2026' is no date; write year-month-day, as 2026-09-16"),
    (START, "start: Sept 16th, 2026", 6,
     "course.start: 'Sept 16th, 2026' is no date; write year-month-day, as 2026-09-16"),
    (START, "start: 09/16/2026", 6, "course.start: '09/16/2026' is no date; write year-month-day, as 2026-09-16"),
    (START, "start: 03/04/2027", 6,
     "course.start: '03/04/2027' is no date; write year-month-day, as 2027-04-03 for day 3 of month 4"),
    (START, "start: 16-09-26", 6, "course.start: '16-09-26' is no date; write year-month-day, as 2026-09-16"),
    (START, "start: 20260916", 6, "course.start: '20260916' is no date; write year-month-day, as 2026-09-16"),
    (START, "start: 2026-09-31", 6, "course.start: '2026-09-31' is no date; month 9 of 2026 has 30 days"),
    (START, f"{START}\n  weekdays: wednesday", 7,
     "course.weekdays: 'wednesday' is no list; write [wednesday], or each on a line of its own that begins with a "
     "hyphen"),
    (START, f"{START}\n  weekdays: on Wednesdays from six, in the hall by the church", 7,
     "course.weekdays: 'on Wednesdays from six, in the hall by t' is no list; write [\"a sentence\", \"another\"], or "
     "each on a line of its own that begins with a hyphen"),
    (START, f"{START}\n  weekdays: [wed]", 7, "course.weekdays: 'wed' is not known; did you mean 'wednesday'?"),
    (START, f"{START}\n  time: 6 pm", 7, "course.time: '6 pm' is no time of day; write it as 18:00"),
    (START, f"{START}\n  time: 12:15 a.m.", 7, "course.time: '12:15 a.m.' is no time of day; write it as 00:15"),
    (START, f"{START}\n  adults_a_room: 1", 5,
     "course: 'adults_a_room: 1' is for adults alone; parents of children are promised two: leave it out"),
    (START, f"{START}\n  last: 2026-01-20", 5,
     "course: 'last: 2026-01-20' is not after 2026-09-16, when the course starts; mend one of the two"),
    (START, f"{START}\n  holidays:\n    - {{from: 2026-10-30, to: 2026-10-26}}", 8,
     "course.holidays: a holiday from 2026-10-30 cannot end on 2026-10-26; change over the two days"),
    (START, f"{START}\n  holidays:\n    - {{start: 2026-10-26, end: 2026-10-30}}", 8,
     "unknown key 'start'; is 'from' meant?"),
    (START, f"{START}\n  time: 1830", 7, "course.time: '1830' is no time of day; write it as 18:30"),
    (START, f"{START}\n  minutes: 1 hour", 7,
     "course.minutes: '1 hour' is no whole number; write it in digits alone, as 60"),
    (START, f"{START}\n  time_zone: GMT+1", 7,
     "course.time_zone: no time zone 'GMT+1'; write the zone's place, as Europe/London"),
    (START, f"{START}\n  holidays:\n    - 2026-10-26 to 2026-10-30", 8,
     "course.holidays: '2026-10-26 to 2026-10-30' is no entry of this list; write '- {from: …, to: …}'"),
]  # fmt: skip
"""Numbers, dates and times as spreadsheets and people write them."""
SLIPS += COPIED + BRACKETS + VALUES

PLAYERS = [
    ("  - {instrument: Cornet}", "no instrument 'Cornet' in content/instruments; did you mean 'cornet'?"),
    ("  - {instrument: tuba}",
     "no instrument 'tuba' in content/instruments; did you mean 'bb-bass' or 'eb-bass'?"),
    ("  - {instrument: E♭ tuba}", "no instrument 'E♭ tuba' in content/instruments; did you mean 'eb-bass'?"),
    ("  - {instrument: E flat bass}", "no instrument 'E flat bass' in content/instruments; did you mean 'eb-bass'?"),
    ("  - {instrument: alto horn}", "no instrument 'alto horn' in content/instruments; did you mean 'tenor-horn'?"),
    ("  - {instrument: cornet}\n  - {instrument: cornet, players: 2}",
     "'cornet' is listed twice; add up its players on one line"),
    ("  - {instrument: clarinet}",
     "no instrument 'clarinet' in content/instruments; this handbook is for brass, drums and mallets"),
    ("  - {instrument: alto saxophones}",
     "no instrument 'alto saxophones' in content/instruments; this handbook is for brass, drums and mallets"),
    ("  - {instrument: mellophone}",
     "no instrument 'mellophone' in content/instruments; use one of baritone, bb-bass, cornet, drums, eb-bass, "
     "euphonium, euphonium-4, euphonium-comp, f-horn, flugelhorn, glockenspiel, soprano-cornet, tenor-horn, trombone, "
     "trombone-f, trumpet, xylophone, or add it: copy the file of the one most like it in content/instruments to "
     "mellophone.yml"),
    ("  - {instrument: piccolo trumpet}",
     "no instrument 'piccolo trumpet' in content/instruments; did you mean 'trumpet'?"),
    ("  - {instrument: trombone}", "trombone is read in bass-c or treble-bb; add 'reading: …' with the one you use"),
    ("  - {instrument: trombone, reading: bass}",
     "trombone is not read in 'bass'; did you mean 'bass-c'?"),
    ("  - {instrument: trombone, reading: bass-c}\n  - {instrument: trombone, reading: treble-bb}",
     "'trombone' is listed twice, to be read in bass-c and in treble-bb; a handbook has one reading an instrument: "
     "keep the one that most read; each tune's page has files in every reading, to print the others' parts from"),
]  # fmt: skip
"""Lines of players, and the answer to the last of them."""

PAGE = """\
---
title: "Holding it"
stages: [sound]
summary: "How it is held."
---

# Holding it

## Say

Sit tall.

## Look and listen

Level shoulders.

## What goes wrong

Tight hands.

## Stop when

Anybody tires.

[[back]]
"""
ON_A_PAGE = [
    ("\n[[back]]\n", "", 23, "no way back to the lesson that needs this page; end it with [[back]]"),
    ("[[back]]", "[[back]]\n\nAnd sit.", 27, "this stands below [[back]], which ends a page; move it above"),
    ("Sit tall.", "Sit for 8 beats.", 11,
     "the figure '8' has no source; add [[fact src=…]], or [[fact src=common-practice]]"),
    ("## Stop when", "## Stop wen", 21,
     "the part '## Stop when' is missing; the page must have the parts ## Say, "
     "## Look and listen, ## What goes wrong, ## Stop when, in order"),
    ("Sit tall.", "Use the left hand.", 11,
     "this says a hand, which differs by instrument; put [[checked …]] beside it, or a computed table"),
    ("## Say", "### Say", 9,
     "the part '## Say' is missing; the page must have the parts ## Say, "
     "## Look and listen, ## What goes wrong, ## Stop when, in order"),
    ("stages: [sound]", "stages: sound", 3,
     "stages: 'sound' is no list; write [sound], or each on a line of its own that begins with a hyphen"),
    ("title:", "titel:", 2, "unknown key 'titel'; did you mean 'title'?"),
    ("---\ntitle", "title", 1, "the page must begin with '---', its title, stages and summary, and '---'"),
]  # fmt: skip


@pytest.fixture
def problems(tmp_path: Path) -> Problems:
    return Problems(tmp_path)


@pytest.mark.parametrize(("right", "wrong", "line", "said"), SLIPS, ids=[wrong for _, wrong, _, _ in SLIPS])
def test_a_slip_is_answered_with_its_line_and_what_would_be_right(
    tmp_path: Path, problems: Problems, right: str, wrong: str, line: int, said: str
) -> None:
    path = tmp_path / "band.yml"
    path.write_text(GOOD.replace(right, wrong, 1), encoding="utf-8")
    load(BandFile, path, problems)
    assert next(str(each) for each in problems) == f"band.yml:{line}: {said}"


@pytest.mark.parametrize(("players", "said"), PLAYERS, ids=[players for players, _ in PLAYERS])
def test_a_slip_in_a_line_of_players(tmp_path: Path, problems: Problems, players: str, said: str) -> None:
    (tmp_path / "content").mkdir()
    path = tmp_path / "content" / "band.yml"
    path.write_text(GOOD.replace("  - {instrument: cornet, players: 5}", players), encoding="utf-8")
    load_band(tmp_path, load_instruments(ROOT, Problems(ROOT)), problems)
    assert str(list(problems)[-1]) == f"content/band.yml:{8 + players.count(chr(10))}: {said}"


@pytest.mark.parametrize(("right", "wrong", "line", "said"), ON_A_PAGE, ids=[said for *_, said in ON_A_PAGE])
def test_a_slip_on_a_page_of_the_guide(
    tmp_path: Path, problems: Problems, right: str, wrong: str, line: int, said: str
) -> None:
    path = tmp_path / "page.md"
    path.write_text(PAGE.replace(right, wrong, 1), encoding="utf-8")
    guide._load_page(path, {}, {}, problems)
    assert next(str(each) for each in problems) == f"page.md:{line}: {said}"


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("23 ft", "'23 ft' is no number; write it in digits, counted in metres"),
        ("6'6\"", "'6\\'6\"' is no number; write it in digits, counted in metres"),
        ("7 meters", "'7 meters' is no number; write it in digits alone, as 7"),
        ("7,5", "'7,5' is no number; write it in digits, as 7.5"),
    ],
)
def test_a_figure_in_another_unit_is_told_in_which_it_is_counted(
    tmp_path: Path, problems: Problems, written: str, said: str
) -> None:
    (tmp_path / "room.yml").write_text(f"width_m: {written}\n", encoding="utf-8")
    load(MeetingRoomFile, tmp_path / "room.yml", problems)
    assert [str(each) for each in problems] == [f"room.yml:1: width_m: {said}"]


def test_the_page_without_slips_has_no_problem(tmp_path: Path, problems: Problems) -> None:
    (tmp_path / "page.md").write_text(PAGE, encoding="utf-8")
    assert guide._load_page(tmp_path / "page.md", {}, {}, problems)
    assert not list(problems)


def test_the_file_without_slips_has_no_problem(tmp_path: Path, problems: Problems) -> None:
    (tmp_path / "band.yml").write_text(GOOD, encoding="utf-8")
    assert load(BandFile, tmp_path / "band.yml", problems)
    assert not list(problems)


@pytest.mark.parametrize(
    ("text", "value"),
    # The core schema of YAML 1.2.2, 10.3.2: what is a number and what is text.
    [
        ("a: no", "no"),
        ("a: on", "on"),
        ("a: 12:30", "12:30"),
        ("a: 190:20:30", "190:20:30"),
        ("a: 2026-09-16", "2026-09-16"),
        ("a: 010", 10),
        ("a: -3", -3),
        ("a: 1e3", 1000.0),
        ("a: 1_000", "1_000"),
        ("a: true", True),
        ("a: ~", None),
        ("a:", None),
        ("a: " + "9" * 5000, "9" * 5000),
    ],
)
def test_a_value_is_a_number_only_where_it_looks_like_one(
    tmp_path: Path, problems: Problems, text: str, value: object
) -> None:
    (tmp_path / "x.yml").write_text(text, encoding="utf-8")
    located = read(tmp_path / "x.yml", problems)
    assert located
    assert located.value == {"a": value}
    assert type(located.value["a"]) is type(value)


def test_whatever_stands_in_place_of_a_file_is_told_in_one_line(tmp_path: Path, problems: Problems) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    (tmp_path / "lost").symlink_to(tmp_path / "nowhere")
    (tmp_path / "latin").write_bytes("one\ncaf\u00e9".encode("latin-1"))
    (tmp_path / "control").write_text("one\ntwo\x07", encoding="utf-8")
    (tmp_path / "turned").write_text("one\u202etwo", encoding="utf-8")
    (tmp_path / "huge").write_bytes(b"x" * 2_000_001)
    for name in ("folder", "loop", "lost", "latin", "control", "turned", "huge", "missing", "n" * 5000, "nul\0"):
        assert read_text(tmp_path / name, problems) is None, name
    assert [str(each) for each in problems][:8] == [
        "folder: this is a folder; a file of this name is meant",
        "loop: this link leads back to itself; put the file itself here",
        "lost: this link leads nowhere; put the file itself here",
        "latin:2: not UTF-8 text; open it in the editor it came from and save it as UTF-8",
        "control:2: a character that is not text (U+0007); delete it, or type the line anew",
        "turned:1: a mark that turns the writing (U+202E); delete it, or type the line anew",
        "huge: 2,000,001 bytes is no file of the handbook's; at most 2,000,000",
        "missing: this file is missing",
    ]
    assert len(list(problems)) == 10


@pytest.mark.parametrize("name", ["band.yml.txt", "Band.yml", "band.yaml", "band (1).yml", "band - Copy.yml"])
def test_a_file_under_nearly_its_name_is_told(tmp_path: Path, problems: Problems, name: str) -> None:
    (tmp_path / name).write_text(GOOD, encoding="utf-8")
    (tmp_path / "bandage.yml").write_text("", encoding="utf-8")
    assert read_text(tmp_path / "band.yml", problems) is None
    said = f"band.yml: this file is missing; {name!r} is here: give it the name 'band.yml'"
    assert [str(each) for each in problems] == [said]


# How such files begin: PKWARE's APPNOTE 4.3.7 (zip, and with it .docx), Microsoft's RTF 1.9.1 and [MS-CFB] 2.2 (.doc),
# ISO 32000-2 7.5.2 (PDF), the HTML standard 13.1.1.
@pytest.mark.parametrize(
    ("begins", "what"),
    [
        (b"PK\x03\x04\x14\x00", "a zip file, or a document of a word processor or a spreadsheet"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "a document of a word processor"),
        (b"{\\rtf1\\ansi name: Otterby Band}", "a document of a word processor (RTF)"),
        (b"%PDF-1.7", "a PDF"),
        (b"\xef\xbb\xbf<!DOCTYPE html><p>name: Otterby Band", "a web page"),
    ],
)
def test_what_is_no_plain_text_whatever_its_name_is_told(
    tmp_path: Path, problems: Problems, begins: bytes, what: str
) -> None:
    (tmp_path / "band.yml").write_bytes(begins)
    assert read_text(tmp_path / "band.yml", problems) is None
    assert [str(each) for each in problems] == [f"band.yml:1: this is {what}; save it as plain text (UTF-8)"]


@pytest.mark.parametrize("coding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_a_file_saved_as_utf16_is_told(tmp_path: Path, problems: Problems, coding: str) -> None:
    (tmp_path / "band.yml").write_text(GOOD, encoding=coding)
    assert read_text(tmp_path / "band.yml", problems) is None
    said = "band.yml:1: saved as UTF-16; open it in the editor it came from and save it as UTF-8"
    assert [str(each) for each in problems] == [said]


def test_what_only_follows_from_a_wrong_place_or_name_is_not_listed(tmp_path: Path) -> None:
    content = tmp_path / "content"
    for name in ("instruments", "course"):
        shutil.copytree(ROOT / "content" / name, content / name)
    (content / "band.yml").write_text(GOOD, encoding="utf-8")
    (content / "instruments" / "cornet.yml").rename(content / "instruments" / "Cornet.yml")
    (content / "course" / "~$plan.yml").write_bytes(b"\x00")  # what a word processor leaves
    problems = Problems(tmp_path)
    instruments = load_instruments(tmp_path, problems)
    load_band(tmp_path, instruments, problems)
    told = str(DataError(problems))
    assert "content/instruments/Cornet.yml: the file's name is the id: small letters, digits and hyphens" in told
    assert "(1 more follows from this)" in told
    assert "~$plan" not in told
    assert yaml_files(content / "course")[0].name == "ask-and-answer.yml"


def test_a_file_that_may_not_be_read_is_told(
    tmp_path: Path, problems: Problems, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: Path) -> bytes:
        raise PermissionError(errno.EACCES, "Permission denied")

    (tmp_path / "secret").write_text("x", encoding="utf-8")
    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert read_text(tmp_path / "secret", problems) is None
    assert str(next(iter(problems))) == "secret: this file may not be read; change its permissions"


def test_line_ends_of_every_system_and_a_byte_order_mark_are_read_alike(tmp_path: Path, problems: Problems) -> None:
    for name, content in (("a", b"one\ntwo\n"), ("b", b"one\r\ntwo\r\n"), ("c", b"\xef\xbb\xbfone\rtwo\r")):
        (tmp_path / name).write_bytes(content)
        assert read_text(tmp_path / name, problems) == "one\ntwo\n"


def test_what_systems_and_editors_leave_behind_is_no_content() -> None:
    left = (
        "Thumbs.db", "desktop.ini", ".DS_Store", "Icon\r", "tune.abc~", "._tune.abc", "~$notes.yml", "tune.abc.bak",
        "#tune.abc#", ".x.swp",
    )  # fmt: skip
    assert all(is_leftover(Path(name)) for name in left)
    assert not any(is_leftover(Path(name)) for name in ("tune.abc", "lesson-01.yml", "a.musicxml"))
