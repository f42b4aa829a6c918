"""When the band meets: lessons with who can come, which groups sit where, and a rota of minutes for one at a time.

One at a time is always in view of the others and of a second adult (see the handbook's page on children and adults).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import KW_ONLY, dataclass
from datetime import date

from beginnerband.people.plan import Place
from beginnerband.people.roster import DAYS


@dataclass(frozen=True, slots=True)
class Session:
    """One lesson on one day."""

    day: date
    """When."""
    lesson: str
    """Lesson id."""
    _: KW_ONLY
    coming: tuple[str, ...]
    """Names of those who can come on that weekday; everybody for a concert on a day of its own."""
    missing: tuple[str, ...]
    """Names of those who cannot."""
    groups: tuple[tuple[str, tuple[str, ...]], ...]
    """Rooms with the names of who sits in them: one, or two."""
    one_to_one: tuple[str, ...]
    """Whose turn it is for a few minutes alone with an adult, in view of the others."""


def can_come(place: Place, day: date) -> bool:
    """Whether a learner can come on a day."""
    return not place.learner.days or DAYS[day.weekday()] in place.learner.days


def attendance(places: Iterable[Place]) -> dict[str, int]:
    """How many can come, by day of :data:`~beginnerband.people.roster.DAYS`."""
    people = list(places)
    return {day: sum(not place.learner.days or day in place.learner.days for place in people) for day in DAYS}


def timetable(
    places: Sequence[Place],
    lessons: Sequence[tuple[date, str, bool]],
    rooms: Sequence[tuple[str, tuple[str, ...]]],
    first: Iterable[str] = (),
    turns: int = 2,
    *,
    concert: date | None = None,
) -> tuple[Session, ...]:
    """Every meeting in order of its date.

    ``lessons`` are day, id, and whether part of it is taught apart; ``rooms`` the course's rooms, as many as it uses,
    with the learning groups in each; ``first`` names those whose turn comes first, since they have most to catch up on.
    In each lesson ``turns`` of those who can come have a turn: always those who have had the fewest.
    On the day of a ``concert`` that is no lesson day nobody has a turn and everybody is expected: the roster's weekdays
    are about lessons.
    """
    had = {place.learner.name: 0 for place in places}
    ahead = set(first)
    found = []
    for day, lesson, apart in sorted(lessons):
        coming = [place for place in places if day == concert or can_come(place, day)]
        queue = sorted(
            (place.learner.name for place in coming), key=lambda name: (had[name], name not in ahead, name.casefold())
        )
        chosen = tuple(queue[:turns]) if day != concert else ()
        for name in chosen:
            had[name] += 1
        found.append(
            Session(
                day=day,
                lesson=lesson,
                coming=tuple(place.learner.name for place in coming),
                missing=tuple(place.learner.name for place in places if place not in coming),
                groups=_groups(coming, rooms if apart else ()),
                one_to_one=chosen,
            )
        )
    return tuple(found)


def _groups(
    coming: Sequence[Place], rooms: Sequence[tuple[str, tuple[str, ...]]]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    everyone = tuple(place.learner.name for place in coming)
    if len(rooms) < 2:
        return (("Everyone together", everyone),)
    found, placed = [], set[str]()
    for name, groups in rooms:
        names = tuple(place.learner.name for place in coming if place.item.instrument.group in groups)
        found.append((name, names))
        placed |= set(names)
    left = tuple(name for name in everyone if name not in placed)
    name, first = found[0]
    return ((name, first + left), *found[1:])
