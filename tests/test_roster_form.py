"""The form reads tables of learners and instruments as the build's loader does, and refuses the same in the same words.

The scripts run in Node, without a browser; the loader is the measure, and what it reads the form must read.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from conftest import ROOT
from matchmaking import shipped
from test_roster import CUPBOARD, loaded

from beginnerband.data.band import load_band
from beginnerband.data.problems import Problems
from beginnerband.pages.assets import JOINED
from beginnerband.pages.band.set_up import roster_rules
from start import NODE

FOLDER = ROOT / "hooks" / "beginnerband" / "pages" / "band"
PEOPLE = "name,age\nWren,child\n"
HEAD = "name;age;wishes;wish weight;trial;reach cm;lifts kg;mouth;played;years;reads;holds;days;owns;never;now;set to"
WREN = (
    "Wren;Child;B♭ cornet / tenor horn;2;small clear, extra-large none;45,5;2,5;wide rim, Ask-First;trumpet;1;"
    "yes;no;Monday, Wed;trumpet;E♭ bass;cornet;cornet"
)

LEARNERS = (
    PEOPLE,
    f"\ufeff{HEAD}\r\n{WREN}\r\n{';' * 16}\r\nFinch;adult{';' * 15}\r\n",
    'Age\tName\r\nteen\t"Fin ""the"" ch"\r\n',
    "name,age\rWren,child\r",
    "name,age,wish\nWren,child,cornet\n",
    "name,age,age\nWren,child,teen\n",
    "name,age\nWren,child\n\nFinch,grown\n",
    "name,age\nWren,child,cornet\nFinch;adult\n",
    "name;age\nWren;child;cornet\n",
    "name,age,trial\nWren,child,loud\n",
    "name,age,trial\nWren,child,smal clear\n",
    "name,age,trial\nWren,child,small loud\n",
    'name,age,days\n"Wren\nthe second",child,mon\nFinch,teen,xyz\n',
    'name,age\n"Wren,child\n',
    'name,age\n"Wren"x,child\n',
    "",
    "\n\n",
    "name,age,reach_cm,lifts_kg,years,wish_weight,reads,holds\nWren,child,3,99,-1,2.5,perhaps,no\nJ,child,x,,,21,,\n",
    "name\nWren\n",
    "age\nchild\n",
    f"name,age\n{'W' * 50},child\n",
    "name,age,mouth,wishes,never,set_to\nWren,child,braces,cornett,cornet,cornet\nwren,teen,,,,\n",
    "name,age\nWren Heron,child\n",
    "sep=;\r\nname;age\r\nWren;child\r\nFinch;grown\r\n",
    "name;age;;;\r\nWren;child;;;\r\n;;;;\r\n",
    "name;age;reads;holds\nWren;child;x;X\nFinch;teen;✓;\nJay;teen;perhaps;\n",
    'name,age,wishes,days,trial\nWren,child,"cornet\nEb horn","mon\nwed","Small: Clear\nExtra large none"\n',
    "name,age\r\nWr\u202een,child\r\n",
    "name,age\nWren,child\nFin\u200bch,teen\n",
    "name,age\nWren \U0001f426,child\n",
    "Our learners\nname,age\nWren,child\n",
    "name,age\nwren heron,child\nHERON WREN,teen\nwren.heron,adult\nthe heron,teen\nwren h,teen\n",
)
"""Tables of learners: right ones, then every mistake the loader knows."""

CUPBOARDS = (
    'instrument,serial,state,count\ncornet,007,,\n"eb-bass",,could be lent,2\n',
    "instrument,serial,count\ncornet,a,2\ncornet,a,1\ncornet,a,1\n",
    "instrument,state,count,weight_kg\ncornet,broken,0,0\n",
    "instrument,serial\n,4\n",
    "instrument,lend\ncornet,5\n",
)
"""Tables of instruments."""

DRIVER = """
const fs = require("node:fs");
const { scripts, rules, texts, csv } = JSON.parse(fs.readFileSync(0, "utf8"));
global.window = {};
for (const script of scripts) (0, eval)(fs.readFileSync(script, "utf8"));
const { take, files } = window.bandSetUp;
const answers = texts.map(([name, text]) => {
  const bytes = new Uint8Array(Buffer.from(text, "latin1")).buffer;
  const { state, said } = take(name, bytes, { band: {}, learners: [], cupboard: [] }, rules);
  return { said, learners: files.learners.text(state), cupboard: files.cupboard.text(state) };
});
console.log(JSON.stringify(answers));
"""


def answers(texts: list[tuple[str, bytes]]) -> list[dict[str, list[str] | str]]:
    """What the form says to each file, and the files it would give back."""
    given = {
        "rules": {"instruments": dict.fromkeys(shipped()[0]), **roster_rules(shipped()[0])},
        "texts": [(name, content.decode("latin-1")) for name, content in texts],
    }
    found: list[dict[str, list[str] | str]] = asked(DRIVER, given)
    return found


def asked(driver: str, given: dict[str, object]) -> Any:
    """What a program that loads the form's scripts prints when it is given something, both as JSON."""
    scripts = [str(FOLDER / name) for name in JOINED["set-up.js"] if name != "set-up.js"]
    run = subprocess.run(
        [sys.executable, "-c", NODE, "node", "-e", driver],
        input=json.dumps({"scripts": scripts, **given}, default=list),
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


@pytest.mark.parametrize(("stem", "tables"), [("learners", LEARNERS), ("cupboard", CUPBOARDS)])
def test_the_form_reads_a_table_as_the_build_does(tmp_path: Path, stem: str, tables: tuple[str, ...]) -> None:
    said = answers([(f"{stem}.csv", table.encode()) for table in tables])
    for number, (table, answer) in enumerate(zip(tables, said, strict=True)):
        other = {"cupboard_yml": CUPBOARD} if stem == "learners" else {"learners_csv": PEOPLE}
        first, problems, warnings = loaded(tmp_path / f"{number}", **{f"{stem}_csv": table}, **other)
        told = [each.removeprefix("content/roster/") for each in problems]
        if first is None:
            assert sorted(answer["said"]) == sorted(told), table
            continue
        wanted = [str(each).removeprefix("content/roster/") for each in warnings]
        assert answer["said"][1:-1] == wanted, table
        again, problems, _ = loaded(tmp_path / f"{number} again", **{f"{stem}_yml": str(answer[stem])}, **other)
        assert problems == []
        assert again is not None
        assert (again.learners, again.items) == (first.learners, first.items), table


def test_a_table_in_another_encoding_is_refused_by_the_form() -> None:
    (answer,) = answers([("learners.csv", "name,age\nJos\u00e9,teen\n".encode("cp1252"))])
    assert answer["said"] == ["learners.csv: not UTF-8 text; in the spreadsheet save it as 'CSV UTF-8'"]


def test_yaml_is_checked_alike_with_the_line_of_each_row(tmp_path: Path) -> None:
    text = "learners:\n  - {name: Wren, age: chid}\n  - name: Finch\n    age: teen\n    wish_weight: 21\n"
    (answer,) = answers([("learners.yml", text.encode())])
    _, problems, _ = loaded(tmp_path, learners_yml=text, cupboard_yml=CUPBOARD)
    told = [each.removeprefix("content/roster/learners.yml:") for each in problems]
    assert [each.split(": ", 1)[1] for each in answer["said"]] == [each.split(": ", 1)[1] for each in told]
    assert [each.split(":")[1] for each in answer["said"]] == ["2", "3"]


BAND = {"name": "A", "players": [{"instrument": "cornet"}], "course": {"start": "2026-09-16", "last": "2027-04-21"}}

SLIPS = (
    ({}, ""),
    ({"name": "A\u2067B"}, "In “A\u2067B”: a mark that turns the writing (U+2067); delete it"),
    ({"players": [{"instrument": "cornett"}]}, "No instrument is called cornett; did you mean 'cornet'?"),
    ({"players": [{"instrument": "baritone", "reading": "alto"}]}, "not read in alto; use treble-bb or bass-c"),
    ({"course": {"last": "2027-04-21"}}, "Give the first lesson, too"),
    ({"course": {"start": "2026-09-16", "last": "2026-09-16"}}, "The last lesson is before the first."),
    (
        {"course": {"start": "2026-09-16", "last": "2027-04-21", "lessons": 20}},
        "gives the end of the course in another",
    ),
    ({"course": {"time": "18:00"}}, "A time needs its time zone"),
    ({"course": {"time": "18:00", "time_zone": "London"}}, "No time zone is called London"),
    ({"course": {"time": "18:00", "time_zone": "europe/london"}}, "No time zone is called europe/london"),
    ({"course": {"time": "18:00", "time_zone": "GB"}}, ""),
    ({"course": {"adults_a_room": 1}}, "is for adults alone; parents of children are promised two: leave it"),
    ({"course": {"adults_a_room": 1, "ages": "adults"}}, ""),
    ({"course": {"adults_a_room": 3}}, ""),
    (
        {"course": {"start": "2026-09-16", "weekdays": ["monday"]}},
        "is on a wednesday; the file you read begins on a mon",
    ),
    ({"course": {"weekdays": ["monday", "friday"]}}, "names monday and friday as days for lessons: that is 2 a week"),
    ({"course": {"holidays": [{"from": "2026-10-26"}]}}, "Give the holiday from 2026-10-26 its other day."),
    ({"course": {"holidays": [{"from": "2026-10-26", "to": "2026-10-20"}]}}, "cannot end on 2026-10-20"),
    (
        {"course": {"start": "2026-10-26", "holidays": [{"from": "2026-10-26", "to": "2026-10-30"}]}},
        "The first lesson, 2026-10-26, is in the holiday from 2026-10-26 to 2026-10-30.",
    ),
)
"""What is put into a band's file, and what the form says before it gives it away."""


def test_the_form_says_what_the_build_would_refuse_before_it_gives_a_file(tmp_path: Path) -> None:
    """Each band it lets go is one that the build's loader takes, and the other way round."""
    instruments = shipped()[0]
    readings = {each.id: [reading.id for reading in each.readings] for each in instruments.values()}
    rules = {"instruments": {key: {"name": key, "readings": each} for key, each in readings.items()}}
    bands = [{**BAND, **changed} for changed, _ in SLIPS]
    said = asked(DRIVER_OF_COMPLAINTS, {"rules": {**rules, **roster_rules(instruments)}, "bands": bands})
    for (changed, words), band, answer in zip(SLIPS, bands, said, strict=True):
        assert bool(answer) == bool(words), (changed, answer)
        assert words in answer
        file = tmp_path / "content" / "band.yml"
        file.parent.mkdir(exist_ok=True)
        file.write_text(yaml.safe_dump(band), encoding="utf-8")
        problems = Problems(tmp_path)
        load_band(tmp_path, instruments, problems)
        assert bool(list(problems)) == bool(words), (changed, list(map(str, problems)))


DRIVER_OF_COMPLAINTS = """
const fs = require("node:fs");
const { scripts, rules, bands } = JSON.parse(fs.readFileSync(0, "utf8"));
global.window = {};
for (const script of scripts) (0, eval)(fs.readFileSync(script, "utf8"));
const state = (band) => ({ band, learners: [], cupboard: [] });
console.log(JSON.stringify(bands.map((band) => window.bandSetUp.complaint("band", state(band), rules))));
"""
