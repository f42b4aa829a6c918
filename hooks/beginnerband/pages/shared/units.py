"""Weights and lengths in the units of the band's words: metric, or pounds and inches."""

from __future__ import annotations

from beginnerband.music.units import CENTIMETRES_AN_INCH, POUNDS_A_KILOGRAM


def weight(kg: float, english: str) -> str:
    """``3.8 kg``, or ``8.4 lb`` in American words."""
    return f"{kg * POUNDS_A_KILOGRAM:.1f} lb" if english == "american" else f"{kg:.1f} kg"


def length(cm: float, english: str) -> str:
    """``65 cm``, or ``26 in`` in American words."""
    return f"{cm / CENTIMETRES_AN_INCH:.0f} in" if english == "american" else f"{cm:.0f} cm"


def fine_length(cm: float, english: str) -> str:
    """To the half centimetre, ``16.5 cm``, or to the quarter inch, ``6.5 in``."""
    if english == "american":
        return f"{round(cm / CENTIMETRES_AN_INCH * 4) / 4:g} in"
    return f"{round(cm * 2) / 2:g} cm"
