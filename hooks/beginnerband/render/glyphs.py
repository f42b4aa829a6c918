"""Outlines of clefs, accidentals and note heads: the SMuFL glyphs of the font that Verovio engraves with.

They are read from the installed package when the handbook is built, so a small picture of one note and a page of music
look alike. SMuFL 1.4 gives the code points; Leipzig is under the SIL Open Font Licence.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

UNITS_PER_SPACE = 250
"""Font units from one staff line to the next: SMuFL sets four spaces to the em, Verovio's em is 1000."""

CODES = {
    "treble": "E050",
    "bass": "E062",
    "flat": "E260",
    "natural": "E261",
    "sharp": "E262",
    "double-sharp": "E263",
    "double-flat": "E264",
    "note": "E0A2",
}
"""SMuFL code points by our names: gClef, fClef, the accidentals, noteheadWhole."""


@dataclass(frozen=True, slots=True)
class Glyph:
    """One outline."""

    path: str
    """SVG path data in font units, y upwards, origin on the glyph's own line of the staff."""
    width: float
    """Advance width in staff spaces."""


@lru_cache(maxsize=16)
def glyph(name: str) -> Glyph:
    """The outline called ``name`` in :data:`CODES`."""
    code = CODES[name]
    font = _folder() / "Leipzig"
    path = re.search(r'\bd="([^"]+)"', (font / f"{code}.xml").read_text(encoding="utf-8"))
    box = re.search(rf'c="{code}"[^>]*?h-a-x="([\d.]+)"', font.with_suffix(".xml").read_text(encoding="utf-8"))
    if not path or not box:
        raise ValueError(f"Verovio's font data have no outline for {name} ({code})")
    return Glyph(" ".join(path[1].split()), float(box[1]) / UNITS_PER_SPACE)


def _folder() -> Path:
    spec = find_spec("verovio")  # found, not imported: only its font files are read
    if spec is None or not spec.submodule_search_locations:
        raise ModuleNotFoundError("verovio is not installed; run the setup command again")
    return Path(spec.submodule_search_locations[0]) / "data"
