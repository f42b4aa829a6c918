"""Files that are there whole or not at all."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from threading import get_ident

GENERATIONS = 3
"""Results of so many states are kept side by side."""


def write_whole(path: Path, content: bytes) -> None:
    """Write ``path`` beside its place and move it there, so that no process that reads it ever finds half of it."""
    fresh = path.with_name(f"{path.name}.{os.getpid()}-{get_ident()}")  # two threads or processes may be at the file
    try:
        fresh.write_bytes(content)
    except FileNotFoundError:  # as for one file of many
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_bytes(content)
    fresh.replace(path)


def drop_older(current: Path) -> None:
    """Make the folder ``current`` for the results of one state, and drop what stands beside it but the latest few."""
    if current.is_dir():
        return
    current.mkdir(parents=True, exist_ok=True)
    others = [each for each in current.parent.iterdir() if each != current and each.is_dir()]
    for other in sorted(others, key=lambda each: each.stat().st_mtime)[: 1 - GENERATIONS]:
        shutil.rmtree(other, ignore_errors=True)
