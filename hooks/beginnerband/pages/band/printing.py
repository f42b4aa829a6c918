"""Papers about people, in the look of the print pack: seats, register, loan slips, labels, practice chart."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import KW_ONLY, dataclass
from typing import Any

from beginnerband.data.printfonts import printable
from beginnerband.music.words import capital
from beginnerband.pages.band.seat_plan import briefly, short
from beginnerband.pages.band.view import BandView
from beginnerband.pages.shared.dates import short_day
from beginnerband.pages.shared.paper import of_copy
from beginnerband.pages.shared.units import weight
from beginnerband.products import Products
from beginnerband.render.print_pack import PrintPack

COLUMNS = 26
"""Lessons on one page of the register and of the practice chart."""

STATES = {"ready": "ready to play", "usable": "plays, with something amiss"}
"""The state of an instrument, on a slip."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A kind of paper."""

    id: str
    """As ``register``."""
    _: KW_ONLY
    title: str
    """What it is called."""
    about: str
    """What it is for."""
    values: Callable[[BandView], Mapping[str, Any]]
    """What the template needs beside what all papers share."""


def _seats(view: BandView) -> Mapping[str, Any]:
    room, spots = view.planned.gathering.room, view.seating.spots
    return {
        "width": max([room.width_m, *(2 * abs(spot.x) + 1 for spot in spots)]),
        "depth": max([spot.y for spot in spots], default=1.0) + 1,
        "spots": [
            {
                "x": spot.x,
                "y": spot.y,
                "name": short(spot.place.learner.name, 14),
                "instrument": briefly(view, spot.place),
            }
            for spot in spots
        ],
        "rows": [
            ", ".join(spot.place.learner.name for spot in view.seating.row(number))
            for number in range(1, view.seating.rows + 1)
        ],
    }


def _names(view: BandView) -> list[list[str]]:
    return [[place.learner.name, capital(view.words.instrument(place.item.instrument))] for place in view.places] + [
        [learner.name, "no instrument yet"] for learner in view.plan.waiting
    ]


def _columns(view: BandView) -> list[list[str]]:
    """Heads of the columns, page by page: each lesson's date, or where there are none its number."""
    if view.dates:
        heads = [short_day(day, view.book.band.english) for day in view.dates]
    else:
        course = view.book.course
        heads = [str(number) for number in range(1, len(course.course.weeks) + 1 if course else COLUMNS + 1)]
    pages = -(-len(heads) // COLUMNS)
    each = -(-len(heads) // pages)
    return [heads[at : at + each] for at in range(0, len(heads), each)]


def _grid(view: BandView) -> Mapping[str, Any]:
    return {"people": _names(view), "pages": _columns(view)}


def _slips(view: BandView) -> Mapping[str, Any]:
    return {
        "slips": [
            {
                "name": place.learner.name,
                "instrument": capital(view.words.instrument(place.item.instrument)),
                "serial": place.item.serial,
                "size": place.item.size,
                "weight": weight(place.item.kg, view.book.band.english),
                "state": STATES[place.item.state],
                "lender": place.item.lender or view.book.band.name,
                "brass": place.item.instrument.brass,
            }
            for place in view.places
            if not place.item.owner
        ]
    }


def _labels(view: BandView) -> Mapping[str, Any]:
    return {
        "labels": [
            [place.learner.name, capital(view.words.instrument(place.item.instrument)), place.item.serial]
            for place in view.places
        ]
    }


PAPERS = (
    Paper(
        "seats",
        title="Where everybody sits",
        about="One page for the door and for whoever sets the chairs.",
        values=_seats,
    ),
    Paper(
        "register",
        title="Attendance",
        about="Who was there, lesson by lesson. The emergency contact is left blank: fill it in by hand.",
        values=_grid,
    ),
    Paper(
        "slips",
        title="Loan slips",
        about="One for each instrument that is lent: number, state, whose it is, and a line to sign.",
        values=_slips,
    ),
    Paper(
        "labels",
        title="Labels",
        about="For cases, stands and folders; on sheets of 3 by 8, or cut by hand.",
        values=_labels,
    ),
    Paper(
        "practice",
        title="Practice chart",
        about="For the wall: everybody writes the minutes of the week.",
        values=_grid,
    ),
)
"""Every paper."""


def uri_of(paper: str) -> str:
    """Where a paper is in the site."""
    return f"print/band-{paper}.pdf"


def has(view: BandView, paper: Paper) -> bool:
    """Whether there is anything on it."""
    return bool(view.places) and (paper.id != "slips" or any(not place.item.owner for place in view.places))


def papers(view: BandView, out: Products) -> None:
    """Every paper, to be printed."""
    pack = PrintPack(view.book.mark, view.book.fonts)
    have = printable(view.book.fonts)
    for paper in PAPERS:
        if has(view, paper):
            values = {
                "kind": paper.id,
                "title": paper.title,
                **of_copy(view.book),
                **paper.values(view),
            }
            pack.put(out, uri_of(paper.id), _printable(values, have), "band.typ")


def _printable(value: Any, have: frozenset[str]) -> Any:
    """Texts with a question mark for every sign that no font has; a missing sign would end the printing."""
    if isinstance(value, str):
        return "".join(sign if sign in have else "?" for sign in value)
    if isinstance(value, Mapping):
        return {key: _printable(each, have) for key, each in value.items()}
    return [_printable(each, have) for each in value] if isinstance(value, list | tuple) else value
