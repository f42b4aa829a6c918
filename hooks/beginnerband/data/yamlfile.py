"""YAML with a memory for lines: read a file, validate it, and say where each mistake stands."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from beginnerband.data.problems import Problem, Problems, did_you_mean
from beginnerband.data.textfile import read_text

Key = str | int
Model = TypeVar("Model", bound=BaseModel)


class Strict(BaseModel):
    """Base of every data model: immutable, and an unknown key is a mistake."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


@dataclass(frozen=True, slots=True)
class Located:
    """A YAML document and the line of everything in it."""

    path: Path
    """The file."""
    value: Any
    """The document as plain Python values."""
    lines: Mapping[tuple[Key, ...], int]
    """Line (from 1) of each key path, as ``("ranges", "starter")``."""

    def line(self, *keys: Key) -> int:
        """Line of the key path, or of its nearest parent that has one."""
        while keys and keys not in self.lines:
            keys = keys[:-1]
        return self.lines.get(keys, 1)


def read(path: Path, problems: Problems) -> Located | None:
    """Read one YAML file; a file that is not readable YAML becomes a problem and gives ``None``."""
    text = read_text(path, problems)
    return None if text is None else parsed(text, path, problems)


def parsed(text: str, path: Path, problems: Problems, above: int = 0) -> Located | None:
    """:func:`read` for the text of a file, or of a part of it that begins below the line ``above``."""
    located, found = _remembered(text) if len(text) <= USUAL else _parsed(text)
    for each in found:
        problems.add(path, each.line + above if each.line else 0, each.message)
    if located is None:
        return None
    lines = {keys: line + above for keys, line in located.lines.items()} if above else located.lines
    return Located(path, located.value, lines)


USUAL = 100_000
"""Characters; what is longer is not remembered."""

NOWHERE = Path()
"""The path of a text that has none."""


@lru_cache(maxsize=256)
def _remembered(text: str) -> tuple[Located | None, tuple[Problem, ...]]:
    """:func:`_parsed`; a server that reads a text again takes it as it was."""
    return _parsed(text)


def _parsed(text: str) -> tuple[Located | None, tuple[Problem, ...]]:
    """The document and its problems, both of no file."""
    problems = Problems(NOWHERE)
    return _document(text, NOWHERE, problems), tuple(problems)


def _document(text: str, path: Path, problems: Problems) -> Located | None:
    cut = [number for number, line in enumerate(text.split("\n"), 1) if _CUT.search(line)]
    for number in cut:
        problems.add(path, number, 'what follows the # would be left out; put the whole text in "quotes"')
    loader = _Loader(text)
    try:
        node = loader.get_single_node()
        if node is None:
            problems.add(path, 1, "the file is empty")
            return None
        lines: dict[tuple[Key, ...], int] = {}
        value = _build(loader, node, (), lines, path, problems)
        return Located(path, value, lines)
    except yaml.MarkedYAMLError as error:
        line, message = _slip(error, text.split("\n"))
        problems.add(path, line, message)
    except yaml.YAMLError as error:
        problems.add(path, 0, f"broken YAML: {error}")
    except RecursionError:
        problems.add(path, 0, "lists inside lists without end; nothing here goes deeper than a few")
    finally:
        loader.dispose()
    return None


class _Loader(yaml.SafeLoader):
    """YAML without surprises: no aliases, no tags, and a value is a number or true only where it looks like one.

    Aliases and tags are not needed here, and ten lines of aliases can unfold into a billion items. Plain values are
    read by the core schema of YAML 1.2 (10.3.2), without octal: so ``12:30``, ``no`` and ``2026-09-16`` are text, and
    the data model says what a field wants.
    """

    yaml_implicit_resolvers: dict[Any, Any] = {}  # noqa: RUF012 - the library's own form, filled below

    def compose_node(self, parent: yaml.Node | None, index: int) -> yaml.Node | None:
        """Compose one node, or refuse an alias or a tag where it stands."""
        event: Any = self.peek_event()  # type: ignore[no-untyped-call]
        if isinstance(event, yaml.AliasEvent):
            message = f"aliases such as *{event.anchor} are not used here; write it out"
            raise yaml.composer.ComposerError(None, None, message, event.start_mark)  # type: ignore[arg-type]
        if getattr(event, "tag", None):
            message = f"tags such as {event.tag} are not used here; write the value alone"
            raise yaml.composer.ComposerError(None, None, message, event.start_mark)
        return super().compose_node(parent, index)


for _kind, _pattern, _first in (
    ("null", r"~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("bool", r"true|True|TRUE|false|False|FALSE", list("tTfF")),
    ("int", r"[-+]?[0-9]{1,15}", list("-+0123456789")),
    ("float", r"[-+]?(\.[0-9]+|[0-9]{1,15}(\.[0-9]*)?)([eE][-+]?[0-9]{1,2})?", list("-+.0123456789")),
):
    _Loader.add_implicit_resolver(f"tag:yaml.org,2002:{_kind}", re.compile(rf"^(?:{_pattern})$"), _first)

_Loader.add_constructor("tag:yaml.org,2002:int", lambda loader, node: int(node.value))  # 010 is ten, not eight

_CUT = re.compile(r"""^\s*(?:-\s+)?[\w-]+:\s+[^\s"'|>\[{#&*!][^"'#]*\s\#[^\s#]""")
"""A plain text in which a sign that begins a comment stands before a word, as in ``aim: Play bar #3``."""


def _slip(error: yaml.MarkedYAMLError, text: list[str]) -> tuple[int, str]:
    """Where the slip really is, and in words; YAML's own message often points at where it noticed."""
    at = error.problem_mark or error.context_mark
    line = at.line + 1 if at else 0
    began = error.context_mark.line + 1 if error.context_mark else line
    said, context = error.problem or "", error.context or ""
    quote = 'put the whole text in "quotes"'
    no_colon = "a line without 'key: value'; add the colon and a space, or join it to the line above"
    above = text[line - 2].split(" #")[0].strip() if 2 <= line <= len(text) + 1 else ""
    if "mapping values are not allowed" in said and above and not re.search(r"[:>|,\[{-]\s|[:>|,\[{]$|^[#-]", above):
        return line - 1, no_colon
    if "mapping values are not allowed" in said:
        return line, f"a text with a colon in it, or a line too far in; {quote}, or mend the spaces at its beginning"
    if "quoted scalar" in context:
        return began, f"a quotation mark or apostrophe opens here and is never closed; {quote}, or use ’"
    if "cannot start any token" in said:
        sign = said.split("'")[1] if "'" in said else "this"
        what = "a tab at the beginning; use spaces" if sign == "\\t" else f"a text may not begin with {sign}; {quote}"
        return line, what
    if "expected <block end>" in said and "scalar" in said:
        return line, f"something follows a closed quotation mark, or a line is too far in; {quote}, or mend the spaces"
    if "expected <block end>" in said:
        return line, "this line is not as far in as the others it belongs to; mend the spaces at its beginning"
    if "could not find expected ':'" in said:
        return began, no_colon
    return line, said if "not used here" in said else f"broken YAML: {said or context}"


def _build(
    loader: yaml.SafeLoader,
    node: yaml.Node,
    keys: tuple[Key, ...],
    lines: dict[tuple[Key, ...], int],
    path: Path,
    problems: Problems,
) -> Any:
    lines.setdefault(keys, node.start_mark.line + 1)
    if isinstance(node, yaml.MappingNode):
        result: dict[Any, Any] = {}
        for key_node, value_node in node.value:
            key = loader.construct_object(key_node, deep=True)
            line = key_node.start_mark.line + 1
            if not isinstance(key, str | int):
                problems.add(path, line, f"{key!r} is no key; a key is a plain word")
                continue
            if key in result:
                problems.add(path, line, f"{key!r} stands twice, first on line {lines[(*keys, key)]}; keep one")
                continue
            lines[(*keys, key)] = line
            result[key] = _build(loader, value_node, (*keys, key), lines, path, problems)
        return result
    if isinstance(node, yaml.SequenceNode):
        return [_build(loader, item, (*keys, number), lines, path, problems) for number, item in enumerate(node.value)]
    return loader.construct_object(node, deep=True)


def validate(model: type[Model], located: Located, problems: Problems) -> Model | None:
    """Validate the document into ``model``; each mistake becomes a problem with its line and gives ``None``."""
    if not isinstance(located.value, dict):
        problems.add(located.path, 1, "the file must be a list of 'key: value' lines")
        return None
    try:
        return model.model_validate(located.value)
    except ValidationError as error:
        found = error.errors(include_url=False)
        meant = {_meant(model, tuple(one["loc"])) for one in found if one["type"] == "extra_forbidden"}
        for details in found:
            keys = tuple(details["loc"])
            if details["type"] == "missing" and keys in meant:
                continue  # it is there, misspelled, and that is said
            problems.add(located.path, located.line(*keys), _explain(model, details, keys))
    return None


def load(model: type[Model], path: Path, problems: Problems) -> tuple[Model, Located] | None:
    """Read and validate one file, or note its problems and give ``None``."""
    located = read(path, problems)
    if located is None:
        return None
    value = validate(model, located, problems)
    return None if value is None else (value, located)


def _meant(model: type[BaseModel], keys: tuple[Key, ...]) -> tuple[Key, ...]:
    """The key that an unknown one probably stands for."""
    near = re.search(r"did you mean '(.+)'", did_you_mean(str(keys[-1]), _known_keys(model, keys[:-1])))
    return (*keys[:-1], near[1]) if near else keys


def _explain(model: type[BaseModel], details: ErrorDetails, keys: tuple[Key, ...]) -> str:
    name = _called(keys)
    kind, given = details["type"], details.get("input")
    if kind == "extra_forbidden":
        return f"unknown key {keys[-1]!r}{did_you_mean(str(keys[-1]), _known_keys(model, keys[:-1]))}"
    if kind == "missing":
        return f"{name!r} is missing"
    if kind in ("literal_error", "enum"):
        expected = str(details.get("ctx", {}).get("expected", ""))
        choices = [choice.strip(" '") for choice in expected.replace(" or ", ", ").split(",")]
        return f"{name}: {given!r} is not known{did_you_mean(str(given), choices)}"
    if kind in _WANTED:
        return f"{name}: {str(given)[:40]!r} is {_WANTED[kind].format(better=_better(kind, given))}"
    if kind == "string_too_short" and not str(given).strip():
        return f"{name}: {str(given)!r} is empty; write a text"
    if kind in _LIMITS:
        return f"{name}: {_of(given)}{_LIMITS[kind].format(**details.get('ctx', {}))}"
    message = details["msg"].removeprefix("Value error, ")
    shown = "" if isinstance(given, dict | list) else f" (given: {str(given)[:60]!r})"
    named = f"{name}: " if name else ""
    return f"{named}{message[:1].lower() + message[1:]}{'' if kind == 'value_error' else shown}"


def _called(keys: tuple[Key, ...]) -> str:
    """The key as people see it: within an entry of a list its own name, since the line says which entry is meant."""
    last = max((place for place, key in enumerate(keys[:-1]) if isinstance(key, int)), default=-1)
    return ".".join(map(str, keys[last + 1 :]))


_WANTED = {
    "int_parsing": "no whole number; write it in digits{better}",
    "int_type": "no whole number; write it in digits{better}",
    "int_from_float": "no whole number{better}",
    "float_parsing": "no number; write it in digits{better}",
    "date_parsing": "no date; write year-month-day{better}",
    "date_from_datetime_parsing": "no date; write year-month-day{better}",
    "date_type": "no date; write year-month-day{better}",
    "bool_parsing": "neither true nor false",
    "bool_type": "neither true nor false",
    "string_type": "no text{better}",
    "int_parsing_size": "no whole number that anything here has",
    "finite_number": "no number; write it in digits",
    "list_type": "no list; write [one, two], or each on a line of its own that begins with a hyphen",
    "tuple_type": "no list; write [one, two], or each on a line of its own that begins with a hyphen",
    "dict_type": "no group of lines; write 'key: value' lines below it, further in",
    "model_type": "no group of lines; write 'key: value' lines below it, further in",
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
    "string_pattern_mismatch": "is not written as it should be ({pattern})",
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


def _better(kind: str, given: object) -> str:
    """What was probably meant, as `` (5)``; or nothing."""
    text = str(given).strip()
    if kind.startswith(("int", "float")) and text.lower() in _NUMBERS:
        return f", as {_NUMBERS.index(text.lower())}"
    if kind == "string_type" and isinstance(given, int | float):
        return f'; put it in quotes: "{text}"'
    if kind.startswith("date"):
        parts = re.fullmatch(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})", text)
        if parts and int(parts[2]) <= 12:
            return f", as {parts[3]}-{int(parts[2]):02d}-{int(parts[1]):02d}"
        return ", as 2026-09-16"
    return ""


def _known_keys(model: type[BaseModel], keys: tuple[Key, ...]) -> list[str]:
    """Field names of the model that stands at ``keys``, as far as it can be followed."""
    current: Any = model
    for key in keys:
        field = getattr(current, "model_fields", {}).get(key) if isinstance(key, str) else None
        annotation = field.annotation if field else current
        current = next((kind for kind in _models_in(annotation)), None)
        if current is None:
            return []
    return [field.alias or name for name, field in getattr(current, "model_fields", {}).items()]


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [found for part in getattr(annotation, "__args__", ()) for found in _models_in(part)]
