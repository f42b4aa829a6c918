"""How to play a note, drawn and in words: valves pressed or the slide's position.

Valves are drawn from the side: a pressed one is down in its casing and solid, an open one stands up and is hollow, so
the picture does not lean on colour. A slide is drawn as a rule with its positions where they really lie.
"""

from __future__ import annotations

from markupsafe import Markup, escape

from beginnerband.music import slide as slides
from beginnerband.music.fingering import Fingering
from beginnerband.music.instrument import Instrument, Slide, Valves
from beginnerband.music.slide import ORDINALS
from beginnerband.music.units import CENTIMETRES_AN_INCH

VALVE_WIDTH = 32
"""Drawing units from one valve to the next."""

RULE_WIDTH = 150
"""Drawing units the slide's rule is wide."""

HEIGHT = 54
"""Drawing units the picture is high."""

_EVERY_VALVE = [(number, down) for number in range(1, 5) for down in (False, True)]

_BOLD = ' font-weight="bold"'

_CUT = ' class="bb-cut" fill="#fff" stroke="none"'
"""A figure cut out of a solid shape: white on paper, and the style sheet makes it the page's own ground."""


def words(instrument: Instrument, way: Fingering, english: str) -> str:
    """What to do with the hand: ``Press 1 and 2``, ``Press no valve: open``, ``4th position: slide 26 cm out``.

    ``english`` is ``american`` (inches) or ``british`` (centimetres).
    """
    if way.position is None:
        return _valve_words(way.valves)
    trigger = "Trigger down, " if way.trigger else ""
    if way.position == 1:
        return f"{trigger}1st position: slide right in"
    out = f"{way.reach_cm / CENTIMETRES_AN_INCH:.0f} in" if english == "american" else f"{way.reach_cm:.0f} cm"
    raised = "raised " if way.raised else ""
    return f"{trigger}{raised}{ORDINALS[way.position]} position: slide {out} out"


def picture(instrument: Instrument, way: Fingering, english: str, height: float = 2.6) -> Markup:
    """The drawing, ``height`` em high, in the colour of the text around it; read out as :func:`words` says it."""
    across = width(instrument)
    if not across:
        return Markup("")
    return Markup(
        f'<svg class="bb-fingers" role="img" aria-label="{escape(words(instrument, way, english))}"'
        f' xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {across} {HEIGHT}" width="{across * height / HEIGHT:.2f}em"'
        f' height="{height}em" fill="none" stroke="currentColor" stroke-width="2">{drawing(instrument, way)}</svg>'
    )


def width(instrument: Instrument) -> int:
    """Drawing units the picture is wide; 0 where there is nothing to draw."""
    mechanism = instrument.mechanism
    if isinstance(mechanism, Valves):
        return VALVE_WIDTH * len(mechanism.semitones)
    return _left(mechanism) + RULE_WIDTH - 12 if isinstance(mechanism, Slide) else 0


def drawing(instrument: Instrument, way: Fingering) -> str:
    """The inside of the picture."""
    mechanism = instrument.mechanism
    if isinstance(mechanism, Valves):
        return "".join(valve(number, number in way.valves) for number in range(1, len(mechanism.semitones) + 1))
    return _slide(mechanism, way) if isinstance(mechanism, Slide) else ""


def valve(number: int, down: bool) -> str:
    """Valve ``number`` in its place in the picture, pressed or not."""
    return valve_template(down).replace("{x}", str(VALVE_WIDTH * (number - 1))).replace("{n}", str(number))


def valve_template(down: bool) -> str:
    """The drawing of one valve with ``{x}`` for its left edge and ``{n}`` for its number."""
    cap = f"M5 {27 if down else 12}h22v-3q0-4-4-4H9q-4 0-4 4z"
    top = f'<path fill="currentColor" d="{cap}"/>' if down else f'<path d="{cap}M16 12v15"/>'
    return (
        f'<g transform="translate({{x}})">{top}<path d="M4 53v-25h24v25"/><text x="16" y="48" font-size="21"'
        f' text-anchor="middle" fill="currentColor" stroke="none"{_BOLD if down else ""}>{{n}}</text></g>'
    )


def sprite() -> Markup:
    """Every valve, up and down, once, to be used by id."""
    valves = "".join(f'<g id="{_valve_id(number, down)}">{valve(number, down)}</g>' for number, down in _EVERY_VALVE)
    return Markup(f'<svg class="bb-sprite" width="0" height="0" aria-hidden="true"><defs>{valves}</defs></svg>')


def with_sprite(html: str) -> Markup:
    """``html`` whose valves are taken from a :func:`sprite` on the same page: a quarter of the size."""
    html = str(html)  # what is put into safe text would be escaped
    for number, down in _EVERY_VALVE:
        html = html.replace(valve(number, down), f'<use href="#{_valve_id(number, down)}"/>')
    return Markup(html)


def _valve_id(number: int, down: bool) -> str:
    return f"bb-valve-{number}-{'down' if down else 'up'}"


def _valve_words(valves: tuple[int, ...]) -> str:
    if not valves:
        return "Press no valve: open"
    names = [str(valve) for valve in valves]
    return "Press " + (", ".join(names[:-1]) + " and " if names[1:] else "") + names[-1]


def _left(slide: Slide) -> int:
    """Where the rule begins: a trigger is drawn before it."""
    return 46 if slide.trigger else 18


def _slide(slide: Slide, way: Fingering) -> str:
    x = slide_spots(slide, way.trigger)[(way.position or 1) - 1] if not way.raised else raised_spot(slide, way)
    return slide_template(slide, way.trigger).replace("{x}", f"{x:g}").replace("{n}", str(way.position))


def slide_spots(slide: Slide, trigger: bool) -> list[float]:
    """Where on the rule each position lies, first outwards, to scale."""
    furthest = max(place.cm for place in slides.places(slide))
    places = [place for place in slides.places(slide) if place.trigger == trigger]
    return [round(_left(slide) + (RULE_WIDTH - 28) * place.cm / furthest, 1) for place in places]


def raised_spot(slide: Slide, way: Fingering) -> float:
    """Where on the rule a raised position lies."""
    return round(_left(slide) + (RULE_WIDTH - 28) * way.reach_cm / max(place.cm for place in slides.places(slide)), 1)


def slide_template(slide: Slide, trigger: bool) -> str:
    """The drawing of the slide with ``{x}`` for where the hand is and ``{n}`` for the position's number."""
    left = _left(slide)
    ticks = "".join(f"M{x:g} 34v10" for x in slide_spots(slide, trigger))
    parts = [
        f'<path d="M{left - 8} 44h{RULE_WIDTH - 12}{ticks}"/>',
        f'<path stroke-width="4" d="M{left - 8} 44H{{x}}"/><g transform="translate({{x}})" fill="currentColor">',
        f'<circle cy="18" r="14"/><path d="M-5 30h10l-5 9z"/><text y="27.5" font-size="27"{_BOLD} text-anchor="middle"',
        f"{_CUT}>{{n}}</text></g>",
    ]
    if slide.trigger:
        fill = "currentColor" if trigger else "none"
        tone = _CUT if trigger else ' fill="currentColor" stroke="none"'
        parts.append(
            f'<rect x="2" y="6" width="24" height="24" rx="5" fill="{fill}"/>'
            f'<text x="14" y="27.5" font-size="27" text-anchor="middle"{tone}>T</text>'
        )
    return "".join(parts)
