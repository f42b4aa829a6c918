"""What is wrong with a value that a data model refuses, and what would be right, in a leader's words."""

from __future__ import annotations

import re
import unicodedata
from calendar import monthrange
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from beginnerband.data.problems import did_you_mean, nearest

Key = str | int
"""What stands before a colon, or the place in a list."""

ID = r"^[a-z0-9]+(-[a-z0-9]+)*$"
"""How ids are written."""

WORD = r"^[a-z]+(-[a-z]+)*$"
"""How names of words are written that stand in braces."""

METRE = r"^\d{1,2}/\d{1,2}$"
"""How metres are written."""


def meant(model: type[BaseModel], keys: tuple[Key, ...]) -> tuple[Key, ...]:
    """The key that an unknown one probably stands for."""
    near = nearest(str(keys[-1]), _known_keys(model, keys[:-1]))
    return (*keys[:-1], near) if near else keys


GONE = {"change"}
"""Keys that files of earlier versions have, and nothing reads."""


NEW: dict[tuple[Key, ...], str] = {("first_sound", "lower"): "lower: 4", ("wait",): "wait: 120"}
"""Keys that files of earlier versions lack, each with the line that is shipped."""


def explained(model: type[BaseModel], details: ErrorDetails, keys: tuple[Key, ...]) -> str:
    """One mistake that pydantic found at ``keys`` of a document meant to be ``model``, in one line."""
    name = _called(keys)
    kind, given = details["type"], details.get("input")
    if kind in ("extra_forbidden", "invalid_key") or keys[-1:] == ("[key]",):
        return _unknown_key(model, details, keys)
    if kind == "missing":
        since = f"; files of earlier versions have none: add the line '{NEW[keys]}'" if keys in NEW else ""
        return f"{name!r} is missing{since}"
    if kind in ("literal_error", "enum"):
        expected = str(details.get("ctx", {}).get("expected", ""))
        choices = [choice.strip(" '") for choice in expected.replace(" or ", ", ").split(",")]
        return f"{name}: {given!r} is not known{did_you_mean(str(given), choices)}"
    group = kind in ("dict_type", "model_type", "list_type", "tuple_type")
    if given is None and (group or kind in _WANTED):
        better = "lines below it, further in" if group else "a value"
        return f"{name}: nothing stands here; write {better}, or take the line out"
    if group:
        return f"{name}: {str(given)[:40]!r} {_no_group(model, kind, keys, given)}"
    if kind in _WANTED:
        return f"{name}: {str(given)[:40]!r} is {_WANTED[kind].format(better=_better(kind, given, name))}"
    if kind == "string_pattern_mismatch":
        return f"{name}: {_of(given)}{_PATTERNS[str(details.get('ctx', {})['pattern'])].format(better=_id_like(given))}"
    if kind == "string_too_short" and not str(given).strip():
        return f"{name}: {str(given)!r} is empty; write a text"
    if kind in _LIMITS:
        limits = {key: f"{limit:g}" if isinstance(limit, float) else limit for key, limit in details["ctx"].items()}
        return f"{name}: {_of(given)}{_LIMITS[kind].format(**limits)}"
    message = details["msg"].removeprefix("Value error, ")
    shown = "" if isinstance(given, dict | list) else f" (given: {str(given)[:60]!r})"
    named = f"{name}: " if name else ""
    return f"{named}{message[:1].lower() + message[1:]}{'' if kind == 'value_error' else shown}"


def _unknown_key(model: type[BaseModel], details: ErrorDetails, keys: tuple[Key, ...]) -> str:
    kind, key = details["type"], str(keys[-1])
    if kind == "extra_forbidden" and (found := re.fullmatch(r"([\w-]+):(\S.*)", key)):
        return f"{key!r} needs a space after the colon; write '{found[1]}: {found[2]}'"
    if kind == "extra_forbidden" and key in GONE:
        return f"{key!r} is needed no longer; leave it out"
    if kind == "extra_forbidden":
        here = _known_keys(model, keys[:-1])
        above = "" if nearest(key, here) else _belongs_below(model, key, keys[:-1])
        return f"unknown key {key!r}{f'; it belongs below {above!r}, further in' if above else did_you_mean(key, here)}"
    given = str(details.get("input"))[:40]
    where = _called(keys[: -2 if key == "[key]" else -1])
    if kind == "invalid_key" and given.isdigit():
        return f"{where}: {given!r} is no key; a number in braces has a point, not a comma, as 2.5"
    if kind == "string_pattern_mismatch":
        return f"{where}: {given!r} {_PATTERNS[str(details.get('ctx', {})['pattern'])].format(better=_id_like(given))}"
    known = re.findall(r"'([^']+)'", str(details.get("ctx", {}).get("expected", "")))
    return f"{f'{where}: ' if where else ''}unknown key {given!r}{did_you_mean(given, known)}"


def _called(keys: tuple[Key, ...]) -> str:
    """The key as people see it: within an entry of a list its own name, since the line says which entry is meant."""
    while len(keys) > 1 and isinstance(keys[-1], int):
        keys = keys[:-1]
    last = max((place for place, key in enumerate(keys[:-1]) if isinstance(key, int)), default=-1)
    return ".".join(map(str, keys[last + 1 :]))


_WANTED = {
    "int_parsing": "no whole number; write it in digits{better}",
    "int_type": "no whole number; write it in digits{better}",
    "int_from_float": "no whole number{better}",
    "float_parsing": "no number; write it in digits{better}",
    "float_type": "no number; write it in digits{better}",
    "date_parsing": "no date{better}",
    "date_from_datetime_parsing": "no date{better}",
    "date_from_datetime_inexact": "no date{better}",
    "date_type": "no date{better}",
    "bool_parsing": "neither true nor false",
    "bool_type": "neither true nor false",
    "string_type": "no text{better}",
    "int_parsing_size": "no whole number that anything here has",
    "finite_number": "no number; write it in digits",
}
"""What is wrong with a value of the wrong kind, by pydantic's name for it."""

_LIMITS = {
    "greater_than_equal": "is too small; at least {ge}",
    "greater_than": "is too small; more than {gt}",
    "less_than_equal": "is too large; at most {le}",
    "less_than": "is too large; less than {lt}",
    "string_too_short": "is too short; at least {min_length} characters",
    "string_too_long": "is too long; at most {max_length} characters",
    "too_short": "has too few entries; at least {min_length}",
    "too_long": "has too many entries; at most {max_length}",
}
"""What is wrong with a value of the right kind."""


def _of(given: object) -> str:
    """The value, short enough to be shown; nothing for a list, whose line says which is meant."""
    if isinstance(given, dict | list | tuple):
        return ""
    text = str(given)
    return f"{text[:40] + '…' if len(text) > 40 else text!r} " if text else "'' "


_NUMBERS = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"),
)


_PATTERNS = {
    ID: "is no id; write small letters, digits and hyphens, as {better}",
    WORD: "is no name of a word; write small letters and hyphens, as {better}",
    METRE: "is no metre; write it as 4/4, 3/4 or 6/8",
}
"""What is wrong with a text that is written in a certain way only."""


def _id_like(given: object) -> str:
    return re.sub(r"[^a-z0-9]+", "-", str(given).lower()).strip("-")[:40] or "my-step"


def _no_group(model: type[BaseModel], kind: str, keys: tuple[Key, ...], given: object) -> str:
    """That something is no list or no group of keys, and how it is written, with the keys that it needs."""
    entry = _shape(model, keys)
    if kind.startswith(("list", "tuple")):
        if entry:
            return f"is no list; write each entry on a line of its own, as '- {entry}'"
        one = "one, two" if isinstance(given, dict | list) or not str(given).strip() else _parted(str(given))
        one = one if len(one) <= 40 else '"a sentence", "another"'
        return f"is no list; write [{one}], or each on a line of its own that begins with a hyphen"
    if keys and isinstance(keys[-1], int) and entry:
        return f"is no entry of this list; write '- {entry}'"
    return "is no group of lines; write 'key: value' lines below it, further in"


def _parted(text: str) -> str:
    """``C4-G4`` and ``C4 to G4`` with a comma between."""
    return re.sub(r"^([A-G]\S*?\d)\s*(?:-|–|to)\s*([A-G]\S*\d)$", r"\1, \2", text.strip())


def _shape(model: type[BaseModel], keys: tuple[Key, ...]) -> str:
    """As ``{instrument: …}``: the keys without which nothing can stand at ``keys``; empty where it has no keys."""
    kind = _kind_at(model, keys)
    fields = getattr(kind, "model_fields", {}) if kind else {}
    needed = [field.alias or name for name, field in fields.items() if field.is_required()] or [*fields][:2]
    return f"{{{', '.join(f'{name}: …' for name in needed)}}}" if needed else ""


def _better(kind: str, given: object, name: str) -> str:
    """What was probably meant, as ``, as 5``; or nothing."""
    text = str(given).strip()
    if kind.startswith(("int", "float")):
        hour = name.endswith("minutes") and re.fullmatch(r"(?:1|an) ?h(?:our|r)?", text.lower())
        figure = re.fullmatch(r"-?[\d.,]+\s*([^\d.,\s]\D*?)\s*(?:[\d.,]+\D*)?", text)
        if figure and (unit := _counted_in(name, figure[1])):
            return f", counted in {unit}"
        return " alone, as 60" if hour else _better_number(kind, text)
    if kind == "string_type" and isinstance(given, int | float):
        return f'; put it in quotes: "{text}"'
    if kind == "string_type" and isinstance(given, dict | list):
        return f'; a text that begins with {"{" if isinstance(given, dict) else "["} stands in "quotes"'
    return _better_day(text) if kind.startswith("date") else ""


_UNITS = {"m": ("m", "metres"), "cm": ("cm", "centimetres"), "kg": ("kg", "kilograms"), "hz": ("hz", "hertz")}
"""Endings of keys that count something, with the unit as people write it and in words."""


def _counted_in(name: str, said: str) -> str:
    """``metres``, where a figure has another unit than its key; empty where it has none, or the key's own."""
    short, words = _UNITS.get(name.rpartition("_")[2], ("", ""))
    unit = said.strip().lower().rstrip(".")
    known = (short, f"{short}s", words, words.rstrip("s"), words.replace("metre", "meter"))
    return words if short and unit and unit not in known else ""


def _better_number(kind: str, text: str) -> str:
    if text.lower() in _NUMBERS:
        return f", as {_NUMBERS.index(text.lower())}"
    plain = unicodedata.normalize("NFKC", text).replace("\u2212", "-").replace("–", "-").replace("—", "-")
    found = re.fullmatch(r"(-?\d+)(?:[.,](\d+))?\s*(%|[^\W\d]\D*)?", plain)
    if found is None or (kind.startswith("int") and found[2]):
        return ""
    value = f"{found[1]}.{found[2]}" if found[2] else found[1]
    return f" alone, as {float(value) / 100 if found[3] == '%' else value}" if found[3] else f", as {value}"


_AS = "; write year-month-day, as"
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def _better_day(text: str) -> str:
    """A day as people write it, in the order of its parts; a day that is not, by how many its month has."""
    plain = re.sub(r"[./\u2010-\u2015\u2212]", "-", text)
    if found := re.fullmatch(r"(\d{4})-?(\d{1,2})-?(\d{1,2})", plain):
        year, month, day = map(int, found.groups())
    elif found := re.fullmatch(r"(\d{1,2})-(\d{1,2})-(\d{4}|\d\d)", plain):
        day, month, year = map(int, found.groups())
        day, month = (month, day) if month > 12 else (day, month)
    elif found := re.fullmatch(r"(?:(\d{1,2})\w* )?([a-z]{3})[a-z]*\.?,? (?:(\d{1,2})\w*,? )?(\d{4})", text.lower()):
        day, year = int(found[1] or found[3] or 0), int(found[4])
        month = _MONTHS.index(found[2]) + 1 if found[2] in _MONTHS else 0
    else:
        return f"{_AS} 2026-09-16"
    year += 2000 if year < 100 else 0
    if 1 <= month <= 12 and 1970 < year < 2200 and day:
        length = monthrange(year, month)[1]
        both = day <= 12 and month != day and not re.match(r"\d{4}|.*[a-z]", text.lower())
        said = f"{_AS} {year}-{month:02d}-{day:02d}{f' for day {day} of month {month}' if both else ''}"
        return said if day <= length else f"; month {month} of {year} has {length} days"
    return f"{_AS} 2026-09-16"


def _known_keys(model: type[BaseModel], keys: tuple[Key, ...]) -> list[str]:
    """Field names of the model that stands at ``keys``, as far as it can be followed."""
    kind = _kind_at(model, keys)
    return [field.alias or name for name, field in kind.model_fields.items()] if kind else []


def _belongs_below(model: type[BaseModel], key: str, keys: tuple[Key, ...]) -> str:
    """The key beside a misplaced one whose group has it; empty where there is none."""
    names = _known_keys(model, keys)
    return next((name for name in names if name != key and key in _known_keys(model, (*keys, name))), "")


def _kind_at(model: type[BaseModel], keys: tuple[Key, ...]) -> type[BaseModel] | None:
    """The model that stands at ``keys``, or whose entries do."""
    current: type[BaseModel] = model
    for key in keys:
        field = _field(current, key) if isinstance(key, str) else None
        kinds = _models_in(field.annotation if field else current)
        if not kinds:
            return None
        current = kinds[0]
    return current


def _field(model: type[BaseModel], key: str) -> FieldInfo | None:
    return model.model_fields.get(key) or next((one for one in model.model_fields.values() if one.alias == key), None)


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [found for part in getattr(annotation, "__args__", ()) for found in _models_in(part)]
