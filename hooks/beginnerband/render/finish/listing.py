"""The files of a built site, and the hashes of what is in them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

HASH_LENGTH = 32
"""Characters of the hexadecimal SHA-256 that are kept: 128 bits, plenty against a broken or mixed download."""


def files(site: Path) -> list[str]:
    """Names of all files below ``site``, with forward slashes, in the same order on every machine."""
    return sorted(path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file())


def hashes(site: Path, names: Iterable[str] | None = None) -> dict[str, str]:
    """The hash of each of the named files of ``site``, or of every one, by its name, in the order of :func:`files`."""
    wanted = files(site) if names is None else sorted(names)
    return {name: content_hash((site / name).read_bytes()) for name in wanted}


def content_hash(content: bytes) -> str:
    """The hash a file is known by."""
    return hashlib.sha256(content).hexdigest()[:HASH_LENGTH]
