"""Whom the handbook is built for: everybody (the shared handbook) or the leader alone. Standard library only.

The shared handbook holds nothing about learners and is what is published. The leader's own copy has the roster, the
plan and all that follows; it is built into a folder of its own and marked on every page and sheet.
"""

from __future__ import annotations

import re
from pathlib import Path

OWN_FOLDER = "leader-site"
"""Where the leader's own copy is built, beside the folder that is published."""

SHARED_FOLDER = "site"
"""Where the shared handbook is built: the folder that is published."""

OWN_CONTENT = "roster"
"""The leader's own folder below ``content/``, which git ignores."""

EXAMPLE_CONTENT = "roster-example"
"""The invented one that comes with the handbook."""

MARK = "Leader's own copy: not for sharing"
"""What stands on every page and sheet of the leader's own copy."""

REFUSAL = (
    "content/band.yml asks for the leader's own copy ('audience: leader'), which is about people and never goes into "
    f"the folder that is published, {SHARED_FOLDER}/. Build it with 'python3 hooks/start.py open', which puts it into "
    f"{OWN_FOLDER}/; or set 'audience: everyone' first."
)
"""What is said instead of publishing it."""

FLAG = "NOT-FOR-SHARING.txt"
"""A file in the leader's own copy by which a person, or a workflow, sees what it is."""


def is_leaders(root: Path) -> bool:
    """Whether ``content/band.yml`` asks for the leader's own copy (``audience: leader``)."""
    try:
        text = (root / "content" / "band.yml").read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return False  # loading it says what is wrong
    return re.search(r"""^["']?audience["']?\s*:\s*["']?leader["']?\s*(#.*)?$""", text, re.MULTILINE) is not None


def folder(root: Path) -> Path:
    """Where the handbook is built unless somebody says otherwise."""
    return root / (OWN_FOLDER if is_leaders(root) else SHARED_FOLDER)
