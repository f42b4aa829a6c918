"""The seats from above, as a drawing for the screen."""

from __future__ import annotations

from markupsafe import Markup, escape

from beginnerband.pages.band.view import BandView
from beginnerband.people.plan import Place

SCALE = 60
"""Drawing units a metre."""


def drawing(view: BandView) -> Markup:
    """Rows from the front at the bottom, the leader below them; every seat with a name and an instrument."""
    seating, room = view.seating, view.planned.gathering.room
    spots = seating.spots
    width = max([room.width_m, *(2 * abs(spot.x) + 1 for spot in spots)])
    depth = max([spot.y for spot in spots], default=1.0) + 1
    parts = [f'<rect x="1" y="1" width="{width * SCALE - 2:g}" height="{depth * SCALE - 2:g}" class="bb-room"/>']
    for spot in spots:
        x, y = (width / 2 + spot.x) * SCALE, (depth - spot.y) * SCALE
        name = escape(short(spot.place.learner.name, 8))
        instrument = escape(briefly(view, spot.place))
        parts.append(
            f'<g transform="translate({x:g} {y:g})"><rect x="-23" y="-19" width="46" height="38" rx="6" '
            'class="bb-chair"/>'
            f'<text y="-2" class="bb-name">{name}</text><text y="12">{instrument}</text></g>'
        )
    leader = (width / 2 * SCALE, depth * SCALE - 24)
    parts.append(f'<circle cx="{leader[0]:g}" cy="{leader[1]:g}" r="15" class="bb-leader"/>')
    parts.append(f'<text x="{leader[0]:g}" y="{leader[1] + 4:g}">you</text>')
    said = " ".join(
        f"Row {number}: {', '.join(spot.place.learner.name for spot in seating.row(number))}."
        for number in range(1, seating.rows + 1)
    )
    return Markup(
        f'<div class="bb-seats"><svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{escape(said)}"'
        f' viewBox="0 0 {width * SCALE:g} {depth * SCALE:g}">{"".join(parts)}</svg></div>'
    )


def short(text: str, most: int) -> str:
    """As much of a name as fits a seat."""
    return text if len(text) <= most else text[: most - 1] + "…"


def briefly(view: BandView, place: Place) -> str:
    """An instrument in one word: ``horn``, ``trombone``, ``drums``."""
    instrument = place.item.instrument
    return view.words.instrument(instrument).split()[-1] if instrument.pitched else "drums"
