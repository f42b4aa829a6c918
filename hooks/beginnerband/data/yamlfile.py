"""YAML with a memory for lines: read a file, validate it, and say where each mistake stands."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain
from pathlib import Path
from typing import Any, TypeVar, cast

import yaml
from pydantic import BaseModel, ConfigDict, ValidationError

from beginnerband.data.explained import Key, explained, meant
from beginnerband.data.problems import Problem, Problems
from beginnerband.data.textfile import last_net, read_text, unseen
from beginnerband.data.yaml_slips import cut_short, look_alikes, slip

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


USUAL = 300_000
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
    with last_net(path, problems):
        return _located(text, path, problems)
    return None


def _located(text: str, path: Path, problems: Problems) -> Located | None:
    if alike := [*look_alikes(text.split("\n"))]:
        for number, message in alike:
            problems.add(path, number, message)
        return None
    for number in cut_short(text.split("\n")):
        problems.add(path, number, 'what follows the # would be left out; put the whole text in "quotes"')
    loader: yaml.SafeLoader = _Loader(text)
    try:
        node = _composed(text) or loader.get_single_node()
        if node is None:
            problems.add(path, 1, "the file is empty")
            return None
        lines: dict[tuple[Key, ...], int] = {}
        value = _build(loader, node, (), lines, path, problems)
        return Located(path, value, lines)
    except yaml.MarkedYAMLError as error:
        line, message = slip(error, text.split("\n"))
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


_UNUSUAL = re.compile(r"\t|^%|(?:^ *|[-:?,\[{] *)[&*!]", re.M)
"""Where there may be an alias or a tag, or what the two parsers of the library do not take alike."""


QUICK: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""What reads YAML in a seventh of the time, where the library has its parser in C."""


class _Quick(QUICK):  # type: ignore[misc]
    """The same as :class:`_Loader`, of usual texts."""

    yaml_implicit_resolvers = _Loader.yaml_implicit_resolvers


def _composed(text: str) -> yaml.Node | None:
    """The document of a usual text; ``None`` where it is for :class:`_Loader` to say what it is, or what is wrong."""
    if _UNUSUAL.search(text):
        return None
    loader = _Quick(text)
    try:
        node = cast("yaml.Node | None", loader.get_single_node())
    except (yaml.YAMLError, RecursionError):
        return None
    finally:
        loader.dispose()
    return None if node and "?" in text and _asks_in_brackets(node) else node


def _asks_in_brackets(node: yaml.Node, inside: bool = False) -> bool:
    """Whether a text without quotes in ``[…]`` or ``{…}`` has a ``?``, which YAML's Python parser does not take."""
    if isinstance(node, yaml.ScalarNode):
        return inside and not node.style and "?" in node.value
    inside = inside or bool(cast(yaml.CollectionNode, node).flow_style)
    parts = chain(*node.value) if isinstance(node, yaml.MappingNode) else node.value
    return any(_asks_in_brackets(part, inside) for part in parts)


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
            if hidden := unseen(str(key)):
                problems.add(path, line, f"{hidden[1]}; leave it out")
            if key in result:
                problems.add(path, line, f"{key!r} stands twice, first on line {lines[(*keys, key)]}; keep one")
                continue
            lines[(*keys, key)] = line
            result[key] = _build(loader, value_node, (*keys, key), lines, path, problems)
        return result
    if isinstance(node, yaml.SequenceNode):
        return [_build(loader, item, (*keys, number), lines, path, problems) for number, item in enumerate(node.value)]
    if cast(yaml.ScalarNode, node).style == '"' and (hidden := unseen(node.value)):  # written as "\\u202e"
        problems.add(path, node.start_mark.line + 1, f"{hidden[1]}; leave it out")
    if node.tag.endswith(":int") and re.match(r"[-+]?0\d", node.value):
        message = f"{node.value} begins with 0; put it in quotes if it is a name or label, else leave the 0 out"
        problems.add(path, node.start_mark.line + 1, message)
    return loader.construct_object(node, deep=True)


def validate(model: type[Model], located: Located, problems: Problems) -> Model | None:
    """Validate the document into ``model``; each mistake becomes a problem with its line and gives ``None``."""
    with last_net(located.path, problems):
        return _validated(model, located, problems)
    return None


def _validated(model: type[Model], located: Located, problems: Problems) -> Model | None:
    if not isinstance(located.value, dict):
        problems.add(located.path, 1, "the file must be a list of 'key: value' lines")
        return None
    try:
        return model.model_validate(located.value)
    except ValidationError as error:
        found = error.errors(include_url=False)
        unknown = [tuple(one["loc"]) for one in found if one["type"] == "extra_forbidden"]
        misspelt = {meant(model, keys) for keys in unknown}
        missing = [keys for one in found if one["type"] == "missing" and (keys := tuple(one["loc"])) not in misspelt]
        called = _other_names([keys for keys in unknown if meant(model, keys) == keys], missing)
        for details in found:
            keys = tuple(details["loc"])
            if details["type"] == "missing" and (keys in misspelt or keys in called.values()):
                continue  # it is there under another name, and that is said
            hint = f"unknown key {keys[-1]!r}; is {called[keys][-1]!r} meant?" if keys in called else ""
            problems.add(located.path, located.line(*keys), hint or explained(model, details, keys))
    return None


def _other_names(
    unknown: Sequence[tuple[Key, ...]], missing: Sequence[tuple[Key, ...]]
) -> dict[tuple[Key, ...], tuple[Key, ...]]:
    """Keys that are probably missing ones under other words: where a group has as many of the one as of the other."""
    found: dict[tuple[Key, ...], tuple[Key, ...]] = {}
    for group in {keys[:-1] for keys in unknown}:
        here, gone = ([keys for keys in each if keys[:-1] == group] for each in (unknown, missing))
        if len(here) == len(gone):
            found |= dict(zip(here, gone, strict=True))
    return found


def load(model: type[Model], path: Path, problems: Problems) -> tuple[Model, Located] | None:
    """Read and validate one file, or note its problems and give ``None``."""
    located = read(path, problems)
    if located is None:
        return None
    value = validate(model, located, problems)
    return None if value is None else (value, located)
