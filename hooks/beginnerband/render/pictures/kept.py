"""Drawings that are kept as files: people and instruments seen from a side, made by ``hooks/drawings``."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from beginnerband.music.instrument import Instrument
from beginnerband.render.pictures.svg import Drawn

KEPT = Path(__file__).parent / "kept"
"""One file a panel, ``<picture>.svg`` or ``<picture>-<panel>.svg``; made anew by ``hooks/drawings/remake.py``."""

PANELS: Mapping[str, tuple[str, ...]] = {
    "hold-cornet": ("front", "side"),
    "hold-trumpet": ("front", "side"),
    "hold-flugelhorn": ("front", "side"),
    "hold-tenor-horn": ("front", "side"),
    "hold-f-horn": ("front", "side", "behind"),
    "hold-baritone": ("front", "side"),
    "hold-euphonium": ("front", "side"),
    "hold-trombone": ("front", "side"),
    "hold-bass": ("front", "side"),
    "sitting-two-ways": ("",),
    "sitting-wrong": ("",),
    "holding-head": ("",),
    "breathing": ("",),
    "cheeks": ("",),
    "mouthpiece-place": ("",),
    "lips-section": ("small", "large"),
    "valve-hand": ("",),
    "cornet-parts": ("right", "left"),
    "valves-from-above": ("",),
    "trombone-parts": ("",),
    "putting-down": ("",),
    "lifting": ("",),
    "trial-table": ("",),
    "slide-positions": ("",),
    "habits": ("body", "air", "big"),
}
"""Panels of every kept drawing, in the order they stand; one without a name is the whole drawing."""

_FILE = re.compile(r'<svg [^>]*viewBox="0 0 ([\d.]+) ([\d.]+)">\n(.*)</svg>\n?', re.S)


def file_of(picture: str, panel: str) -> Path:
    """The file of a panel."""
    return KEPT / (f"{picture}-{panel}.svg" if panel else f"{picture}.svg")


def drawn_from(instruments: Mapping[str, Instrument]) -> tuple[str, ...]:
    """What the drawings show of each instrument, a line each: a test tells when it is no longer so."""
    return tuple(
        f"{name}: {each.length_cm:g} cm long, bell {each.bell_cm:g} cm {each.held.bell}, "
        f"rim {each.rim.inside_mm:g} mm {each.rim.cup} {each.rim.upper:g}, played by the {each.held.plays} hand"
        for name, each in sorted(instruments.items())
        if each.rim is not None and each.held is not None
    )


def kept(picture: str) -> Drawn:
    """A kept drawing: its panels, side by side where there is room."""
    first, *others = (_read(file_of(picture, panel)) for panel in PANELS[picture])
    return Drawn(first.width, first.height, first.body, more=tuple(others))


def _read(path: Path) -> Drawn:
    found = _FILE.fullmatch(path.read_text(encoding="utf-8"))
    if found is None:
        raise ValueError(f"{path.name} is not as hooks/drawings writes it")
    return Drawn(float(found[1]), float(found[2]), found[3].rstrip("\n"))
