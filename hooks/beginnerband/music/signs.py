"""Accidentals as they are typed and as people read them. Loads nothing, so that what only shows names stays quick."""

from __future__ import annotations

SIGNS = {"bb": "𝄫", "b": "♭", "": "", "#": "♯", "##": "𝄪"}
"""Accidentals in plain characters, and as people read them."""
