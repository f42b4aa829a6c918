"""Small things done to words on every kind of page."""

from __future__ import annotations


def capital(text: str) -> str:
    """``text`` with its first letter large and the others as they are: ``single F horn`` becomes ``Single F horn``."""
    return text[:1].upper() + text[1:]
