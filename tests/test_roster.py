"""Learners and cupboard: YAML and CSV say the same, mistakes are told with file and line, full names are warned of."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from conftest import ROOT
from hypothesis import given, settings
from hypothesis import strategies as st
from matchmaking import shipped

from beginnerband.data.problems import Problem, Problems
from beginnerband.data.roster import as_yaml, load_roster, looks_like_a_full_name
from beginnerband.people.changes import borrowings, refusals
from beginnerband.people.matching import Matching
from beginnerband.people.roster import Roster

CUPBOARD = "instruments:\n  - {instrument: cornet, serial: 7}\n  - {instrument: eb-bass, state: repair, count: 2}\n"
LEARNERS = "learners:\n  - {name: Wren, age: child, wishes: [cornet]}\n"


def loaded(root: Path, **files: str) -> tuple[Roster | None, list[str], tuple[Problem, ...]]:
    """The roster of a folder with these files (``learners_csv`` for ``learners.csv``), its problems and warnings."""
    folder = root / "content" / "roster"
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        stem, _, end = name.rpartition("_")
        (folder / f"{stem}.{end}").write_bytes(text.encode() if isinstance(text, str) else text)
    problems = Problems(root)
    found = load_roster(root, shipped()[0], problems)
    return found and found.roster, [str(problem) for problem in problems], found.warnings if found else ()


def test_a_spreadsheet_says_what_yaml_says(tmp_path: Path) -> None:
    """Every column, with a byte order mark, semicolons and a decimal comma, as a spreadsheet in Europe writes it."""
    yml, csv = tmp_path / "yml", tmp_path / "csv"
    one = """learners:
  - name: Wren
    age: child
    wishes: [cornet, tenor-horn]
    wish_weight: 2
    trial: {small: clear, extra-large: none}
    reach_cm: 45.5
    lifts_kg: 2.5
    mouth: [wide rim, ask first]
    played: trumpet
    years: 1
    reads: true
    holds: false
    days: [mon, wed]
    owns: trumpet
    never: [trombone]
    now: cornet
    set_to: cornet
  - {name: Finch, age: adult}
"""
    head = (
        "Name;Age;Wishes;Wish weight;Trial;Reach cm;Lifts kg;Mouth;Played;Years;Reads;Holds;Days;Owns;Never;Now;Set to"
    )
    wren = (
        "Wren;Child;B♭ cornet / tenor horn;2;small clear, extra-large none;45,5;2,5;wide rim, ask first;trumpet;1;"
        "yes;no;Monday, Wed;trumpet;trombone;cornet;cornet"
    )
    other = "\r\n".join(["\ufeff" + head, wren, ";" * 16, "Finch;adult" + ";" * 15, ""])
    things = 'instrument,serial,state,count\ncornet,7,,\n"eb-bass",,repair,2\n'
    written, problems, _ = loaded(yml, learners_yml=one, cupboard_yml=CUPBOARD)
    assert problems == []
    typed, problems, _ = loaded(csv, learners_csv=other, cupboard_csv=things)
    assert problems == []
    assert written is not None
    assert typed is not None
    assert typed.learners == written.learners
    assert typed.items == written.items
    assert [item.serial for item in typed.items] == ["7", "", "", ""]
    assert typed.items[-1].owner == "Wren"
    assert dict(typed.learners[0].trial) == {"small": "clear", "extra-large": "none"}


def test_the_roster_with_what_each_plays_now_is_read_back(tmp_path: Path) -> None:
    """Every field survives, and nothing is added to what was left out."""
    first, problems, _ = loaded(
        tmp_path / "first",
        learners_yml="learners:\n"
        "  - {name: Wren, age: child, wishes: [cornet], trial: {small: clear}, mouth: wide rim, holds: false, days: "
        "mon}\n"
        "  - {name: 'A: #1', age: adult, lifts_kg: 3, owns: trumpet, never: [trombone], now: trumpet}\n",
        cupboard_yml=CUPBOARD,
    )
    assert problems == []
    assert first is not None
    text = as_yaml(first.learners, {"Wren": "cornet"})
    again, problems, _ = loaded(tmp_path / "again", learners_yml=text, cupboard_yml=CUPBOARD)
    assert problems == []
    assert again is not None
    assert again.learners == (replace(first.learners[0], now="cornet"), first.learners[1])
    assert "wish_weight" not in text


@pytest.mark.parametrize(
    ("learners", "line", "words"),
    [
        ("  - {name: Wren, age: chid}\n", 2, "did you mean 'child'"),
        ("  - {name: Wren}\n", 2, "age' is missing"),
        ("  - {name: Wren, age: child}\n  - {name: wren, age: teen}\n", 3, "stands twice, first on line 2"),
        ("  - {name: Wren, age: child, wishes: [cornett]}\n", 2, "did you mean 'cornet'"),
        ("  - {name: Wren, age: child, wish: [cornet]}\n", 2, "did you mean 'wishes'"),
        ("  - {name: Wren, age: child, trial: {smal: clear}}\n", 2, "did you mean 'small'"),
        ("  - {name: Wren, age: child, trial: {small: loud}}\n", 2, "use one of clear, fair, none"),
        ("  - {name: Wren, age: child, mouth: [braces]}\n", 2, "use one of ask first, wide rim"),
        ("  - {name: Wren, age: child, days: [someday]}\n", 2, "use mon, tue"),
        ("  - {name: Wren, age: child, reach_cm: 3}\n", 2, "more than 10"),
        (
            "  - {name: Wren, age: child, set_to: cornet, never: [cornet]}\n",
            2,
            "both decided on and out of the question",
        ),
    ],
)
def test_a_mistake_is_told_with_its_line(tmp_path: Path, learners: str, line: int, words: str) -> None:
    _, problems, _ = loaded(tmp_path, learners_yml=f"learners:\n{learners}", cupboard_yml=CUPBOARD)
    assert len(problems) == 1
    assert problems[0].startswith(f"content/roster/learners.yml:{line}: ")
    assert words in problems[0]


@pytest.mark.parametrize(
    ("table", "line", "words"),
    [
        ("name,age,wish\nWren,child,cornet\n", 1, "unknown column 'wish'; did you mean 'wishes'"),
        (
            "Our learners 2026,\nname,age\nWren,child\n",
            1,
            "the first line is no heading; write the columns' names there",
        ),
        ("name,age,age\nWren,child,teen\n", 1, "the column 'age' stands twice"),
        ("name,age\nWren,child\n\nFinch,grown\n", 4, "'grown' is not known"),
        ("name,age\nWren,child,cornet\n", 2, "put a text with a comma in it between double quotes"),
        ("name,age,trial\nWren,child,loud\n", 2, "write the mouthpiece and what came out"),
        ('name,age,days\n"Wren\nthe second",child,mon\nFinch,teen,xyz\n', 4, "is no day"),
        ('name,age\n"Wren,child\n', 2, "broken CSV"),
        ("", 1, "the file is empty"),
    ],
)
def test_a_mistake_in_a_table_is_told_with_its_line(tmp_path: Path, table: str, line: int, words: str) -> None:
    _, problems, _ = loaded(tmp_path, learners_csv=table, cupboard_yml=CUPBOARD)
    assert problems
    assert problems[0].startswith(f"content/roster/learners.csv:{line}: "), problems
    assert words in problems[0]


def test_tables_in_another_encoding_are_refused(tmp_path: Path) -> None:
    _, problems, _ = loaded(tmp_path, learners_csv="name,age\nJos\u00e9,teen\n".encode("cp1252"), cupboard_yml=CUPBOARD)
    assert problems[0] == "content/roster/learners.csv:2: not UTF-8 text; in the spreadsheet save it as 'CSV UTF-8'"


@pytest.mark.parametrize("sign", ["\u202e", "\u200f", "\u200b", "\x07"])
def test_a_table_holds_no_sign_that_cannot_be_seen(tmp_path: Path, sign: str) -> None:
    """Marks that turn the writing (Unicode TR 36), as in any other file."""
    _, problems, _ = loaded(tmp_path, learners_csv=f"name,age\nWr{sign}en,teen\n", cupboard_yml=CUPBOARD)
    assert f"(U+{ord(sign):04X}); delete it, or type the line anew" in problems[0]
    assert problems[0].startswith("content/roster/learners.csv:2: ")


def test_a_spreadsheet_that_was_only_renamed_is_saved_anew_in_the_spreadsheet(tmp_path: Path) -> None:
    (tmp_path / "content" / "roster").mkdir(parents=True)
    (tmp_path / "content" / "roster" / "learners.csv").write_bytes(b"PK\x03\x04\x14\x00")
    _, problems, _ = loaded(tmp_path, cupboard_yml=CUPBOARD)
    assert problems[0].endswith("or a spreadsheet; in the spreadsheet save it as 'CSV UTF-8'")


@pytest.mark.parametrize(
    ("name", "meant"),
    [("Learners (1).csv", "learners.csv"), ("Learners.yes.csv", "learners.csv"), ("learners.yaml", "learners.yml"),
     ("learners.pdf", ""), ("learners.docx", "")],
)  # fmt: skip
def test_a_table_under_nearly_its_name_is_told(tmp_path: Path, name: str, meant: str) -> None:
    (tmp_path / "content" / "roster").mkdir(parents=True)
    (tmp_path / "content" / "roster" / name).write_text("name,age\nWren,teen\n", encoding="utf-8")
    _, problems, _ = loaded(tmp_path, cupboard_yml=CUPBOARD)
    said = f"; {name!r} is here: give it the name {meant!r}" if meant else ""
    assert problems == [f"content/roster: learners.yml or learners.csv is missing here{said}"]


@pytest.mark.parametrize(
    ("things", "words"),
    [
        ("instruments:\n  - {instrument: sousaphone}\n", "no instrument 'sousaphone'"),
        ("instruments:\n  - {instrument: cornet, serial: a, count: 2}\n", "cannot share one serial number"),
        ("instruments:\n  - {instrument: cornet, serial: a}\n  - {instrument: cornet, serial: a}\n", "stands twice"),
        ("instruments:\n  - {instrument: cornet, state: broken}\n", "is not known"),
    ],
)
def test_a_mistake_in_the_cupboard_is_told(tmp_path: Path, things: str, words: str) -> None:
    _, problems, _ = loaded(tmp_path, learners_yml=LEARNERS, cupboard_yml=things)
    assert words in problems[0]
    assert problems[0].startswith("content/roster/cupboard.yml:")


def test_half_a_roster_is_refused_and_not_filled_up_from_the_example(tmp_path: Path) -> None:
    _, problems, _ = loaded(tmp_path, learners_yml=LEARNERS)
    assert problems == ["content/roster: cupboard.yml or cupboard.csv is missing here"]
    _, problems, _ = loaded(tmp_path, learners_csv="name,age\nWren,teen\n", cupboard_yml=CUPBOARD)
    assert problems == ["content/roster/learners.csv: learners.yml is here too; keep one of the two"]


def test_a_spreadsheets_own_file_is_told_how_to_save_it(tmp_path: Path) -> None:
    (tmp_path / "content" / "roster").mkdir(parents=True)
    (tmp_path / "content" / "roster" / "learners.xlsx").write_bytes(b"PK")
    _, problems, _ = loaded(tmp_path, cupboard_yml=CUPBOARD)
    said = "a spreadsheet's own file is not read; save it there as 'CSV UTF-8', learners.csv"
    assert problems == [f"content/roster/learners.xlsx: {said}"]


@pytest.mark.parametrize(
    "name",
    [
        "Wren Heron",
        "Wren van Heron",
        "J. Heron",
        "Heron, Wren",
        "wren@band.example",
        "0555 0100 22",
        "wren heron",
        "wren.heron",
    ],
)
def test_what_looks_like_a_full_name_is_warned_of(tmp_path: Path, name: str) -> None:
    roster, problems, warnings = loaded(
        tmp_path, learners_yml=f'learners:\n  - {{name: "{name}", age: teen}}\n', cupboard_yml=CUPBOARD
    )
    assert problems == []
    assert roster is not None
    assert [str(each) for each in warnings] == [
        f"content/roster/learners.yml:2: {name!r} looks like a full name; initials or a nickname are enough"
    ]


@pytest.mark.parametrize(
    "name", ["Wren", "W.H.", "Wren H.", "WH", "big wren", "Wren 2", "Wren H", "wren h", "the wren"]
)
def test_initials_and_nicknames_are_not(name: str) -> None:
    assert not looks_like_a_full_name(name)


@settings(deadline=None)
@given(st.text(max_size=60))
def test_no_table_ends_in_a_traceback(text: str) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        loaded(Path(folder), learners_csv=f"name,age\n{text}", cupboard_yml=CUPBOARD)


def test_the_plan_of_the_example_is_worth_reading() -> None:
    """18 people; two wishes refused with a reason, a spare cornet moved down, a bass to borrow."""
    instruments, rules = shipped()
    problems = Problems(ROOT)
    from beginnerband.data.band import load_band

    found, band = load_roster(ROOT, instruments, problems), load_band(ROOT, instruments, problems)
    assert found is not None
    assert band is not None
    roster = found.roster
    assert not found.warnings
    if not roster.invented:
        pytest.skip("a roster of somebody's own is here")
    matching = Matching(
        roster.learners, roster.items, {each.id: each.reading for each in band.players}, rules, instruments
    )
    plan = matching.best()
    assert plan is not None
    assert len(plan.places) == 18
    assert plan.counts == {each.id: each.count for each in band.players}
    refused = {each.wish: each for each in refusals(matching, plan)}
    assert set(refused) == {"cornet", "trombone"}
    assert dict(refused["trombone"].dearer)["reach"] > 0
    assert dict(refused["cornet"].dearer)["balance"] > 0
    assert refused["cornet"].place.item.instrument.id == "baritone"
    best, *_ = borrowings(matching, plan, roster.lendable)
    assert best.item.instrument.id == "eb-bass"
