"""Which handbook this is: its version and the day it was made, so that a leader can say which they hold."""

from __future__ import annotations

import os
import tomllib
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Edition:
    """A version and a day."""

    version: str
    """As ``0.2.0``; empty where the project's settings name none."""
    made: date
    """The day, in universal time, so that it is the same wherever the handbook is built."""


def edition_of(root: Path) -> Edition:
    """The edition of the project at ``root``, made today.

    ``SOURCE_DATE_EPOCH`` (seconds since 1970) stands for now where it is set, so that a build can be repeated to the
    byte: https://reproducible-builds.org/specs/source-date-epoch/
    """
    settings = root / "pyproject.toml"
    project = tomllib.loads(settings.read_text(encoding="utf-8")).get("project", {}) if settings.is_file() else {}
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    now = datetime.fromtimestamp(int(epoch), UTC) if epoch.isdigit() else datetime.now(UTC)
    return Edition(str(project.get("version", "")), now.date())
