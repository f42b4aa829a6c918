"""YAML with a memory for lines: read a file, validate it, and say where each mistake stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from beginnerband.data.problems import Problems, did_you_mean

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
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        problems.add(path, 0, "this file is missing")
        return None
    except UnicodeDecodeError:
        problems.add(path, 0, "not UTF-8 text; save the file as UTF-8")
        return None
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
        mark = error.problem_mark or error.context_mark
        problems.add(path, mark.line + 1 if mark else 0, f"broken YAML: {error.problem or error.context}")
    except yaml.YAMLError as error:
        problems.add(path, 0, f"broken YAML: {error}")
    except (ValueError, RecursionError) as error:  # a date such as 2026-13-45, or a document nested without end
        problems.add(path, 0, f"broken YAML: {error}")
    finally:
        loader.dispose()
    return None


class _Loader(yaml.SafeLoader):
    """YAML without aliases: nothing here needs them, and ten lines of them can unfold into a billion items."""

    def compose_node(self, parent: yaml.Node | None, index: int) -> yaml.Node | None:
        """Compose one node, or refuse an alias where it stands."""
        if self.check_event(yaml.AliasEvent):
            event = self.peek_event()  # type: ignore[no-untyped-call]
            message = f"aliases such as *{event.anchor} are not used here; write it out"
            raise yaml.composer.ComposerError(None, None, message, event.start_mark)
        return super().compose_node(parent, index)


def _build(
    loader: yaml.SafeLoader,
    node: yaml.Node,
    keys: tuple[Key, ...],
    lines: dict[tuple[Key, ...], int],
    path: Path,
    problems: Problems,
) -> Any:
    lines.setdefault(keys, node.start_mark.line + 1)
    if not node.tag.startswith("tag:yaml.org,2002:") or node.tag.startswith("tag:yaml.org,2002:python"):
        raise yaml.constructor.ConstructorError(None, None, f"the tag {node.tag} is not used here", node.start_mark)
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
        for details in error.errors(include_url=False):
            keys = tuple(details["loc"])
            problems.add(located.path, located.line(*keys), _explain(model, details, keys))
    return None


def load(model: type[Model], path: Path, problems: Problems) -> tuple[Model, Located] | None:
    """Read and validate one file, or note its problems and give ``None``."""
    located = read(path, problems)
    if located is None:
        return None
    value = validate(model, located, problems)
    return None if value is None else (value, located)


def _explain(model: type[BaseModel], details: ErrorDetails, keys: tuple[Key, ...]) -> str:
    name = ".".join(map(str, keys))
    kind, given = details["type"], details.get("input")
    if kind == "extra_forbidden":
        return f"unknown key {keys[-1]!r}{did_you_mean(str(keys[-1]), _known_keys(model, keys[:-1]))}"
    if kind == "missing":
        return f"{name!r} is missing"
    if kind in ("literal_error", "enum"):
        expected = str(details.get("ctx", {}).get("expected", ""))
        choices = [choice.strip(" '") for choice in expected.replace(" or ", ", ").split(",")]
        return f"{name}: {given!r} is not known{did_you_mean(str(given), choices)}"
    message = details["msg"].removeprefix("Value error, ")
    shown = "" if isinstance(given, dict | list) else f" (given: {str(given)[:60]!r})"
    named = f"{name}: " if name else ""
    return f"{named}{message[:1].lower() + message[1:]}{'' if kind == 'value_error' else shown}"


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
