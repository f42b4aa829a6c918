"""The form that sets a band up for those who edit no files: its fields, and the rules it shows at once."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from typing import Any, get_args

import yaml
from markupsafe import Markup

from beginnerband.data.band import BandFile, CourseDatesFile
from beginnerband.data.book import Book
from beginnerband.data.instrument_names import known_names
from beginnerband.data.roster import MOUTH, PLAIN_WORDS, ItemRow, LearnerRow
from beginnerband.data.textfile import DELETE, UNSEEN
from beginnerband.data.yamlfile import Strict
from beginnerband.music.instrument import VOICES, Instrument
from beginnerband.music.words import capital
from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.instruments.moving import name
from beginnerband.pages.instruments.room import ordered
from beginnerband.pages.shared import dates
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.text import in_script
from beginnerband.people.plan import usual
from beginnerband.people.roster import DAYS, MOUTHPIECES, Tried
from beginnerband.products import Products
from beginnerband.render.html import render

MOST = 80
"""Largest band whose usual balance is reckoned beforehand."""


def form(context: Context, args: Args) -> str:
    """``[[set-up-form]]``: the form, with what it needs to know of instruments and balance."""
    args.only()
    book = context.book
    instruments = [
        {
            "id": each.id,
            "name": capital(name(book, each)),
            "readings": [(reading.id, READING_WORDS[reading.id]) for reading in each.readings],
        }
        for each in ordered(book)
    ]
    some = [(each["id"], each["name"]) for each in instruments]
    return render(
        "band/set_up.html",
        data=in_script(rules(book)),
        instruments=instruments,
        some=some,
        any=[("", "–"), *some],
        mouthpieces=[(each, each.replace("-", " ")) for each in MOUTHPIECES],
        days=list(zip(DAYS, dates.DAYS, strict=True)),
        columns=Markup("; or ").join(_columns(model) for model in (LearnerRow, ItemRow)),
    )


def _columns(model: type[Strict]) -> Markup:
    return Markup(", ").join(Markup("<code>{}</code>").format(name) for name in model.model_fields)


def rules(book: Book) -> dict[str, Any]:
    """What the form reckons with: the band as built, each instrument's lines, the usual balance by size of the band."""
    matching = book.matching
    return {
        "band": band_file(book),
        "lines": list(VOICES),
        "instruments": {
            each.id: {
                "name": name(book, each),
                "covers": list(each.covers),
                "brass": each.brass,
                "readings": [reading.id for reading in each.readings],
            }
            for each in ordered(book)
        },
        "basses": [each for each in matching.basses if each in book.instruments] if matching else [],
        "groups": [[group.name, list(group.instruments)] for group in matching.groups] if matching else [],
        "usual": [usual(matching.groups, count) for count in range(MOST + 1)] if matching else [],
        **roster_rules(book.instruments),
    }


def roster_rules(instruments: Mapping[str, Instrument]) -> dict[str, Any]:
    """What the loader knows of rows of learners and instruments, so that the form refuses what the build would."""
    return {
        "rows": {"learners": row_model(LearnerRow), "instruments": row_model(ItemRow)},
        "known": known_names(instruments),
        "names": {"mouthpieces": MOUTHPIECES, "mouth": MOUTH, "days": DAYS},
        "outcomes": get_args(Tried),
        "plain_words": sorted(PLAIN_WORDS),
        "unseen": [(pattern.pattern, f"{what} (U+{{}}); {DELETE}") for pattern, what in UNSEEN],
    }


def row_model(model: type[Strict]) -> dict[str, Any]:
    """A row as the loader checks it, for the form to check alike: JSON Schema (draft 2020-12), what may be left out
    without its ``null``."""
    schema = model.model_json_schema()
    fields = {}
    for key, field in schema["properties"].items():
        said = {**field, **field.get("anyOf", [{}])[0]}
        said |= {_BOUNDS[name]: said[name] for name in said.keys() & _BOUNDS.keys()}
        fields[key] = {name: said[name] for name in _SAID if name in said}  # always in one order
    return {"fields": fields, "required": schema["required"]}


_BOUNDS = {"gt": "exclusiveMinimum", "ge": "minimum", "le": "maximum"}
"""What pydantic leaves in its own words where a validator comes before a bound."""
_SAID = ("type", "of", "enum", "maxLength", "minimum", "maximum", "exclusiveMinimum")


def contribute(book: Book, out: Products) -> None:
    """What a device with a band of its own compares with: whom this handbook was built for."""
    file = band_file(book)
    course = {key: each for key, each in _usual(CourseDatesFile).items() if key not in _CALENDAR}
    said = {key: each for key, each in _usual(BandFile).items() if key in ("words", "paper", "pitch_a4")}
    found = {
        "name": book.band.name,
        "players": {player.key: player.count for player in book.band.players},
        "course": {
            "here": {key: file.get("course", {}).get(key, each) for key, each in course.items()},
            "usual": course,
        },
        "said": {key: file.get(key, each) for key, each in said.items()},
        "usual": said,
        "first": {each.id: each.readings[0].id for each in ordered(book)},
        "names": {
            f"{each.id}/{reading.id}": name(book, each)
            + (f" in {READING_WORDS[reading.id]}" if len(each.readings) > 1 else "")
            for each in ordered(book)
            for reading in each.readings
        },
    }
    out.asset("assets/built-band.js", f"window.bbBuiltBand={json.dumps(found, ensure_ascii=False)};\n")


_CALENDAR = ("time", "place", "time_zone")
"""What of ``course`` changes no lesson."""


def _usual(model: type[Strict]) -> dict[str, Any]:
    """What stands for each field that may be left out, as the file would say it."""
    found = {name: field.get_default(call_default_factory=True) for name, field in model.model_fields.items()}
    return {name: each for name, each in found.items() if not model.model_fields[name].is_required()}


def band_file(book: Book) -> dict[str, Any]:
    """``content/band.yml`` as it stands, for the form to begin with; it holds nothing about people."""
    raw = yaml.safe_load((book.root / "content" / "band.yml").read_text(encoding="utf-8"))
    found: dict[str, Any] = json.loads(json.dumps(raw, default=_plain))
    if book.band.time and "course" in found:
        found["course"]["time"] = f"{book.band.time:%H:%M}"
    return found


def _plain(value: object) -> str:
    return value.isoformat() if isinstance(value, date) else str(value)


BLOCKS = {"set-up-form": form}
