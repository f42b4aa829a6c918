"""One digest for equal values, whatever process made them: what results are kept by."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, time, timedelta
from enum import Enum
from fractions import Fraction
from functools import cache
from importlib import metadata
from pathlib import Path
from platform import python_version
from typing import Any

CODE = Path(__file__).parent
"""The package's folder."""

LIBRARIES = ("music21", "verovio", "typst", "jinja2", "markupsafe", "markdown", "mkdocs", "mkdocs-material", "pydantic",
             "pymdown-extensions", "mido", "segno", "fonttools", "fontpkg-fira-sans", "highspy")  # fmt: skip
"""Libraries whose version decides what is made."""


class Digests:
    """Digests of values that nobody changes; what was digested once is remembered for as long as this lives."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[object, bytes]] = {}  # by identity; the value is held so that its id stays its own

    def of(self, value: object) -> bytes:
        """Digest of a value built from plain types, dataclasses and what pickle can write; ``TypeError`` for else.

        Mappings in another order are other values, since people see the order; sets have none.
        """
        known = self._known.get(id(value))
        if known is not None:
            return known[1]
        found = hashlib.blake2b(self._spelled(value), digest_size=16).digest()
        if not isinstance(value, str | int | float):
            self._known[id(value)] = (value, found)
        return found

    def mark(self, value: object, found: bytes) -> None:
        """Take ``found`` for the digest of ``value``, where it is known of what alone ``value`` was made."""
        self._known[id(value)] = (value, found)

    def _spelled(self, value: object) -> bytes:
        """What tells a value from every other: its type, and its contents or their digests."""
        kind: Any = type(value)
        if kind in _PLAIN:
            return _plain(value)
        if isinstance(value, str) and not isinstance(value, Enum):
            return b"str " + value.encode("utf-8", "surrogatepass")
        if isinstance(value, bytes):
            return b"bytes " + value
        name, fields_of = _about(kind)
        if fields_of is not None:
            return name + b"".join([self._part(getattr(value, each)) for each in fields_of])
        if isinstance(value, Enum):
            return name + value.name.encode()
        if isinstance(value, date | time | timedelta | Path):
            return name + str(value).encode()
        return name + self._contents(value)

    def _part(self, value: object) -> bytes:
        """A value within another: what is plain as it is, with its length, else its digest."""
        if value is None:  # most fields of notes and bars are one of these three
            return _NONE
        if value is False:
            return _FALSE
        if type(value) is str and not value:
            return _EMPTY
        return _plain_part(value) if type(value) in _PLAIN else b"d" + self.of(value)

    def _contents(self, value: Any) -> bytes:
        if isinstance(value, tuple | list):
            return b"".join(map(self._part, value))
        if isinstance(value, set | frozenset):
            return b"".join(sorted(map(self._part, value)))
        if isinstance(value, Mapping):
            return b"".join(self._part(each) for pair in value.items() for each in pair)
        if isinstance(value, Callable):  # type: ignore[arg-type]
            return f"{value.__module__}.{value.__qualname__}".encode()
        if hasattr(value, "__dict__"):
            return self._contents(vars(value))
        return self._contents(value.__reduce_ex__(4)[:3])  # as pickle would write it: TypeError where it could not


_PLAIN: frozenset[type[object]] = frozenset({type(None), bool, int, float, Fraction, str})
"""Types of values that are spelled out."""


def _plain(value: object) -> bytes:
    kind = type(value)
    if kind is str:
        return b"str " + str(value).encode("utf-8", "surrogatepass")
    return f"{kind.__name__} {value!r}".encode()


def _plain_part(value: object) -> bytes:
    spelled = _plain(value)
    return b"p" + len(spelled).to_bytes(4, "big") + spelled


_NONE, _FALSE, _EMPTY = map(_plain_part, (None, False, ""))


@cache
def _about(kind: Any) -> tuple[bytes, tuple[str, ...] | None]:
    """The name of a type, and of a dataclass the fields that tell its values apart."""
    own = not issubclass(kind, Enum | tuple | list | set | frozenset | Mapping) and is_dataclass(kind)
    told_apart = tuple(field.name for field in fields(kind) if field.compare) if own else None
    return f"{kind.__module__}.{kind.__qualname__} ".encode(), told_apart


@cache
def names_of(kind: type[object]) -> tuple[str, ...]:
    """The fields of a dataclass."""
    return tuple(field.name for field in fields(kind))  # type: ignore[arg-type]


def code(live: tuple[str, ...] = (".py",)) -> str:
    """Digest of what makes the results: Python, its libraries, and every file of this package.

    Python files count as they were when they were loaded, since a server that runs on does not load them anew.
    """
    digest = hashlib.blake2b(_PYTHON, digest_size=12)
    for path in _files():
        if path.suffix not in live:
            digest.update(path.relative_to(CODE).as_posix().encode() + b"\0" + _file(path))
    return digest.hexdigest()


def _files() -> list[Path]:
    return sorted(path for path in CODE.rglob("*") if path.is_file() and "__pycache__" not in path.parts)


def _file(path: Path) -> bytes:
    return hashlib.blake2b(path.read_bytes(), digest_size=16).digest()


def _version(name: str) -> str:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return "none"


def _python() -> bytes:
    digest = hashlib.blake2b(python_version().encode(), digest_size=16)
    for name in LIBRARIES:
        digest.update(f"{name} {_version(name)}\n".encode())
    for path in _files():
        if path.suffix == ".py":
            digest.update(path.relative_to(CODE).as_posix().encode() + b"\0" + _file(path))
    return digest.digest()


_PYTHON = _python()
"""Of all Python as it was loaded, and of the libraries."""
