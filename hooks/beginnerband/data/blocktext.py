"""How a page asks for something computed: ``[[name key=value key="two words"]]``, found and taken apart.

What a block does is told by the rooms (``pages/blocks.py``); here it is only read.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

BLOCK = re.compile(r"\[\[([a-z][a-z0-9-]*)((?:\s(?:\"[^\"]*\"|[^\]\"])*)?)\]\]")
"""A block: its name, and what else stands in it."""


@dataclass(frozen=True, slots=True)
class Written:
    """A block as written."""

    name: str
    """As ``fact``."""
    words: tuple[str, ...]
    """Values without a key, in order."""
    named: Mapping[str, str]
    """Values by key."""


def taken_apart(block: re.Match[str]) -> Written:
    """The block that :data:`BLOCK` found. ``ValueError`` where a quotation mark is not closed."""
    try:
        tokens = shlex.split(block[2])
    except ValueError:
        raise ValueError("a quotation mark is not closed") from None
    named = dict(token.split("=", 1) for token in tokens if re.match(r"[a-z_-]+=", token))
    return Written(block[1], tuple(token for token in tokens if not re.match(r"[a-z_-]+=", token)), named)


def blocks_in(text: str) -> Iterator[Written]:
    """Every block of a text, in order; one that cannot be read is left out, since the build says so elsewhere."""
    for found in BLOCK.finditer(text):
        try:
            yield taken_apart(found)
        except ValueError:
            continue
