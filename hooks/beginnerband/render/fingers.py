"""How to play a note, drawn and in words: valves pressed or the slide's position.

Valves are drawn from the side: a pressed one is down in its casing and solid, an open one stands up and is hollow, so
the picture does not lean on colour. A slide is drawn as a rule with its positions where they really lie.
"""

from __future__ import annotations

from markupsafe import Markup, escape

from beginnerband.music import slide as slides
from beginnerband.music.fingering import Fingering
from beginnerband.music.instrument import Instrument, Slide, Valves

VALVE_WIDTH = 32
"""Drawing units from one valve to the next."""

RULE_WIDTH = 150
"""Drawing units the slide's rule is wide."""

_CUT = ' class="bb-cut" fill="#fff" stroke="none"'
"""A figure cut out of a solid shape: white on paper, and the style sheet makes it the page's own ground."""

ORDINALS = ("", "1st", "2nd", "3rd", "4th", "5th", "6th", "7th")
"""Slide positions as they are said."""


def words(instrument: Instrument, way: Fingering, use: str = "british") -> str:
    """What to do with the hand: ``Press 1 and 2``, ``Press no valve: open``, ``4th position: slide 26 cm out``.

    ``use`` is ``american`` (inches) or ``british`` (centimetres).
    """
    if way.position is None:
        return _valve_words(way.valves)
    trigger = "Trigger down, " if way.trigger else ""
    if way.position == 1:
        return f"{trigger}1st position: slide right in"
    out = f"{way.reach_cm / 2.54:.0f} in" if use == "american" else f"{way.reach_cm:.0f} cm"
    return f"{trigger}{ORDINALS[way.position]} position: slide {out} out"


def picture(instrument: Instrument, way: Fingering, height: float = 2.6) -> Markup:
    """The drawing, ``height`` em high, in the colour of the text around it; read out as :func:`words` says it."""
    mechanism = instrument.mechanism
    if isinstance(mechanism, Valves):
        width, drawing = _valves(len(mechanism.semitones), way.valves)
    elif isinstance(mechanism, Slide):
        width, drawing = _slide(mechanism, way)
    else:
        return Markup("")
    return Markup(
        f'<svg class="bb-fingers" role="img" aria-label="{escape(words(instrument, way))}"'
        f' xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} 54" width="{width * height / 54:.2f}em"'
        f' height="{height}em" fill="none" stroke="currentColor" stroke-width="2">{drawing}</svg>'
    )


def _valve_words(valves: tuple[int, ...]) -> str:
    if not valves:
        return "Press no valve: open"
    names = [str(valve) for valve in valves]
    return "Press " + (", ".join(names[:-1]) + " and " if names[1:] else "") + names[-1]


def _valves(count: int, pressed: tuple[int, ...]) -> tuple[int, str]:
    parts = []
    for valve in range(1, count + 1):
        middle = VALVE_WIDTH * valve - VALVE_WIDTH / 2
        cap = f"M{middle - 11:g} {{y}}h22v-3q0-4-4-4h-14q-4 0-4 4z"
        if valve in pressed:
            parts.append(f'<path fill="currentColor" d="{cap.format(y=27)}"/>')
        else:
            parts.append(f'<path d="{cap.format(y=12)}M{middle:g} 12v15"/>')
        parts.append(f'<path d="M{middle - 12:g} 53v-25h24v25"/>')
        weight = ' font-weight="bold"' if valve in pressed else ""
        parts.append(
            f'<text x="{middle:g}" y="47" font-size="17" text-anchor="middle" fill="currentColor"'
            f' stroke="none"{weight}>{valve}</text>'
        )
    return VALVE_WIDTH * count, "".join(parts)


def _slide(slide: Slide, way: Fingering) -> tuple[int, str]:
    places = [place for place in slides.places(slide) if place.trigger == way.trigger]
    left = 46 if slide.trigger else 18
    furthest = max(place.cm for place in slides.places(slide))
    spots = {place.position: left + (RULE_WIDTH - 28) * place.cm / furthest for place in places}
    here = spots[way.position or 1]
    ticks = "".join(f"M{x:.1f} 34v10" for x in spots.values())
    parts = [
        f'<path d="M{left - 8} 44h{RULE_WIDTH - 12}{ticks}"/>',
        f'<path stroke-width="4" d="M{left - 8} 44H{here:.1f}"/>',
        f'<circle cx="{here:.1f}" cy="18" r="14" fill="currentColor"/>',
        f'<path d="M{here - 5:.1f} 30h10l-5 9z" fill="currentColor"/>',
        f'<text x="{here:.1f}" y="25" font-size="20" font-weight="bold" text-anchor="middle"{_CUT}>'
        f"{way.position}</text>",
    ]
    if slide.trigger:
        fill = "currentColor" if way.trigger else "none"
        tone = _CUT if way.trigger else ' fill="currentColor" stroke="none"'
        parts.append(
            f'<rect x="2" y="6" width="24" height="24" rx="5" fill="{fill}"/>'
            f'<text x="14" y="24" font-size="16" text-anchor="middle"{tone}>T</text>'
        )
    return left + RULE_WIDTH - 12, "".join(parts)
