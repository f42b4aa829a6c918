"""The files of a built site."""

from __future__ import annotations

from pathlib import Path


def files(site: Path) -> list[str]:
    """Names of all files below ``site``, with forward slashes, in the same order on every machine."""
    return sorted(path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file())
