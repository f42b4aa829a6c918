"""Small things done to words and values on every kind of page."""

from __future__ import annotations

import json

from markupsafe import Markup


def capital(text: str) -> str:
    """``text`` with its first letter large and the others as they are: ``single F horn`` becomes ``Single F horn``."""
    return text[:1].upper() + text[1:]


def in_script(value: object) -> Markup:
    """``value`` as JSON, to stand inside a script element of a page."""
    return Markup(json.dumps(value, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c"))
