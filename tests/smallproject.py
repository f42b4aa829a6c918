"""A small project with one of everything, for tests that build again and again what need not be large."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import yaml
from conftest import ROOT, copy_project

from beginnerband.data.yamlfile import QUICK

ADDRESS = "https://band.example/handbook/"
"""Where it would be published: on paper, codes lead there. (``.example`` is reserved, RFC 2606.)"""

PLAYERS = {"cornet": 2, "tenor-horn": 1, "trombone": 1, "eb-bass": 1, "drums": 1}
"""The band: both learning groups, slide, bass and drums."""

ALL_INSTRUMENTS = {path.stem for path in (ROOT / "content" / "instruments").iterdir()}
INSTRUMENTS = {
    *PLAYERS,
    "f-horn",
    "baritone",
    "euphonium",
    "bb-bass",
    "euphonium-4",
    "euphonium-comp",
    "trombone-f",
    "glockenspiel",
}
"""What there is to look up: the band's, those the written pages speak of, and one of every other kind."""

LAST, MINUTES = date(2027, 1, 6), 75
"""Few and long lessons, into which all that cannot be left out fits: every stage, and a spare one."""

TUNES = {"loud-and-soft", "row-your-boat", "deck-the-hall"}
"""Beside those the lessons play: marks, a round, a tune with everything in its heading."""

PIECES = {"when-the-saints", "frere-jacques", "two-gates", "over-the-bridge", "lantern-waltz"}
"""One with a descant, one that is a canon, and those the lessons play."""

Field = tuple[str, ...]
"""A kind of file and the path to a value in it, as ``("course", "steps", "*", "say")``; ``*`` is any of many."""


def small_project(root: Path) -> Path:
    """Make the small project in the empty folder ``root``: the handbook with little content, the cache with it.

    Nothing is written anew, most is left out; :func:`fields` tells that every field is still there.
    """
    copy_project(root)
    content = root / "content"
    _keep(content / "instruments", INSTRUMENTS)
    _keep(content / "pieces", PIECES)
    played = set(TUNES)
    for path in (content / "course").glob("*.yml"):
        if path.stem not in ("plan", "percussion"):
            _change(path, _unit)
            for entry in yaml_data(path.read_text(encoding="utf-8")).get("music", ()):
                tune = entry.get("tune") or entry.get("of") or []
                played |= {tune} if isinstance(tune, str) else set(tune)
    _keep(content / "tunes", played)
    for name, change in (
        ("band", _band),
        ("scoring", _scoring),
        ("matching", _matching),
        ("course/plan", _plan),
        ("ladder", _ladder),
    ):
        _change(content / f"{name}.yml", change)
    return root


def yaml_data(text: str) -> Any:
    """What YAML holds, read by the quick reader: by the other, all of the content takes seconds."""
    return yaml.load(text, QUICK)


def yaml_text(data: Any) -> str:
    """The YAML of ``data``, each text on one line, in the order it has."""
    return yaml.dump(
        data, Dumper=getattr(yaml, "CSafeDumper", yaml.SafeDumper), allow_unicode=True, width=10**6, sort_keys=False
    )


def _keep(folder: Path, names: set[str]) -> None:
    """Remove the other files; every name must be there."""
    present = {path.stem: path for path in folder.iterdir()}
    assert names <= present.keys(), names - present.keys()
    for name in present.keys() - names:
        present[name].unlink()


def _change(path: Path, change: Callable[[dict[str, Any]], None]) -> None:
    data = yaml_data(path.read_text(encoding="utf-8"))
    change(data)
    path.write_text(yaml_text(data), encoding="utf-8")


def _band(band: dict[str, Any]) -> None:
    chairs = [chair for chair in band["players"] if chair["instrument"] in PLAYERS]
    band["address"] = ADDRESS
    band["course"] |= {"last": LAST, "minutes": MINUTES}
    band["players"] = [{**chair, "players": PLAYERS[chair["instrument"]]} for chair in chairs]


def _scoring(scoring: dict[str, Any]) -> None:
    for key in ("lines", "home"):
        scoring[key] = {name: value for name, value in scoring[key].items() if name in INSTRUMENTS}
    scoring["descant"] = [name for name in scoring["descant"] if name in INSTRUMENTS]


def _matching(matching: dict[str, Any]) -> None:
    for group in matching["balance"]:
        group["instruments"] = [name for name in group["instruments"] if name in INSTRUMENTS]
    matching["balance"] = [group for group in matching["balance"] if group["instruments"]]
    matching["basses"] = [name for name in matching["basses"] if name in INSTRUMENTS]


def _plan(plan: dict[str, Any]) -> None:
    units = ROOT / "content" / "course"
    files = [yaml_data((units / f"{name}.yml").read_text(encoding="utf-8")) for name in plan["order"]]
    plan["packing"] |= {"steps": 8, "late": 10_000}
    plan["skip"] = [step["id"] for unit in files for step in unit["steps"] if step.get("worth")]


def _ladder(ladder: dict[str, Any]) -> None:
    ladder["kinds"]["most"] = 9  # few lessons bring more at a time
    for stage in ladder["stages"].values():
        stage["new_notes"]["most"] = 9


def _unit(unit: dict[str, Any]) -> None:
    left_out = ALL_INSTRUMENTS - INSTRUMENTS
    for entry in unit.get("music", ()):
        if "for" in entry:
            entry["for"] = [name for name in entry["for"] if name not in left_out]


def fields(root: Path) -> set[Field]:
    """Every field that the content of a project uses, by kind of file."""
    found: set[Field] = set()
    for path in (root / "content").rglob("*.*"):
        kind = path.parent.name if path.parent.name != "content" and path.stem != "plan" else path.stem
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".yml":
            found |= {(kind, *way) for way in _ways(yaml_data(text))}
        else:
            found |= {(kind, letter) for letter in re.findall(r"^([A-Za-z]):", text, re.MULTILINE)}
    return found


def _ways(node: Any) -> Iterator[Field]:
    """The way to every value below ``node``, as the keys to it; an instrument as a key is one of many."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield from (("*" if key in ALL_INSTRUMENTS else str(key), *way) for way in _ways(value))
    elif isinstance(node, list):
        yield from (("*", *way) for value in node for way in _ways(value))
    else:
        yield ()
