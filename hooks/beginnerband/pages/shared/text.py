"""Small things done to words and values on every kind of page."""

from __future__ import annotations

import json

from markupsafe import Markup


def in_script(value: object) -> Markup:
    """``value`` as JSON, to stand inside a script element of a page."""
    return Markup(json.dumps(value, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c"))
