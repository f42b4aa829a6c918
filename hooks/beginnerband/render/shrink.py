"""Scripts and styles with comments, spaces and long local names taken out. Licence comments (``/*!``) stay."""

from __future__ import annotations

import minify

KINDS = {".js": "application/javascript", ".css": "text/css"}
"""Media types that can be made smaller, by the ending of the file's name."""


def shrink(name: str, content: bytes) -> bytes:
    """``content`` of the file ``name``, smaller and meaning the same; other kinds of files are returned as they are."""
    kind = next((kind for ending, kind in KINDS.items() if name.endswith(ending)), None)
    return minify.string(kind, content.decode()).encode() if kind else content
