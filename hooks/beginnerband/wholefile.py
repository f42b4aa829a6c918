"""Files that are there whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path


def write_whole(path: Path, content: bytes) -> None:
    """Write ``path`` beside its place and move it there, so that no process that reads it ever finds half of it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_name(f"{path.name}.{os.getpid()}")  # two processes may be at the same file
    fresh.write_bytes(content)
    fresh.replace(path)
