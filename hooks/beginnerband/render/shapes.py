"""Drawings that repeat: long outlines are kept once a page and pointed at, so that a chart of notes stays light."""

from __future__ import annotations

import hashlib
import re
from collections import Counter

from markupsafe import Markup

_PATH = re.compile(r'<path (transform="[^"]*") d="([^"]{60,})"/>')


def shared(*fragments: str) -> tuple[Markup, ...]:
    """The same fragments with every outline that stands more than once kept in one hidden drawing.

    The first value returned is that drawing, to be put on the page before the others; ids come from the outlines, so
    two sets of fragments on one page must be shared together.
    """
    counted = Counter(match[2] for fragment in fragments for match in _PATH.finditer(fragment))
    often = {path: f"bb-o-{hashlib.sha256(path.encode()).hexdigest()[:8]}" for path, n in counted.items() if n > 1}

    def point(match: re.Match[str]) -> str:
        return f'<use {match[1]} href="#{often[match[2]]}"/>' if match[2] in often else match[0]

    outlines = "".join(f'<path id="{name}" d="{path}"/>' for path, name in often.items())
    hidden = f'<svg class="bb-outlines" width="0" height="0" aria-hidden="true"><defs>{outlines}</defs></svg>'
    return (Markup(hidden if often else ""), *(Markup(_PATH.sub(point, fragment)) for fragment in fragments))
