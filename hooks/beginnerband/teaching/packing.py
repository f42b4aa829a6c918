"""Packing the steps of a course into its lessons, as words are broken into the lines of a paragraph.

Steps keep their order; what is sought is where a lesson ends, and which lessons are spare (nothing new, time to catch
up). The search is exact: over every way to break the list into the given number of lessons, the cheapest is found by
dynamic programming. What a way costs is a sum of points, each with its weight from ``content/course/plan.yml``:

- time stretched or squeezed: a hundred times the cube of how far a lesson is from its usual length, towards the longest
  or the shortest its steps allow (the badness of a line of text, D. E. Knuth and M. F. Plass, 1981; from memory);
- minutes that even the longest form of its steps leaves empty, to be filled with what is known;
- a break between steps that belong together;
- more than the ladder allows in one lesson;
- spare lessons that come too soon after another, or too late.

A lesson always has its opening and its close, and a rest for the lips after so much playing. Steps are never put before
those they need, since their order is kept; a step can be held in one lesson (a wish, a dress rehearsal, the concert).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import KW_ONLY, dataclass, replace
from functools import cache
from itertools import groupby

from beginnerband.teaching.course import Span

NEVER = float("inf")

QUIET = 0.25
"""Share of its time in which lips play, below which a step is a rest for them."""


@dataclass(frozen=True, slots=True)
class Block:
    """A step, as far as packing needs it."""

    id: str
    """Of the step."""
    span: Span
    """Minutes."""
    unit: str
    """Steps of the same unit belong together."""
    lips: float = 0.5
    """Share of its time in which lips play."""
    lesson: int | None = None
    """The lesson it is held in; negative from the end: -1 is the last."""
    _: KW_ONLY
    begins: bool = False
    """It must be the first of its lesson."""
    worth: int = 0
    """What leaving it out costs, where time is short; 0: it is never left out."""
    needs: tuple[str, ...] = ()
    """Ids of steps without which it is not taught."""
    again: bool = False
    """It was done before, and brings nothing new."""
    can_settle: bool = False
    """Once it is done, there is something to do in a lesson to catch up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What every lesson has, and what a way of packing costs."""

    opening: Span
    """Minutes of the opening."""
    close: Span
    """Minutes of the close."""
    rest: int
    """Minutes of a rest for the lips."""
    rest_after: float
    """Minutes of real playing after which lips rest."""
    stretch: float
    """Points for each unit of badness of a lesson longer than usual."""
    squeeze: float
    """The same for one that is shorter."""
    empty: float
    """Points for each minute that no step fills."""
    broken: float
    """Points for a break between steps that belong together."""
    overload: float
    """Points for a lesson that brings more than the ladder allows."""
    spare: tuple[int, int, int]
    """Lessons taught before a spare one: at least, best, at most."""
    early: float
    """Points for each lesson, squared, that a spare one comes before the best."""
    late: float
    """Points for each lesson beyond the most without a spare one."""
    at_a_loss: float = 0.0
    """Points more for each minute that no step fills, where nothing is known yet to fill it with."""
    steps: int = 5
    """Steps in a lesson of 45 minutes, at most, with the rests; more in a longer one, fewer in a shorter."""
    rest_by: float = 12.0
    """Minutes of real playing, in the opening as well, after which lips rest in any case."""
    warm_up: float = 0.4
    """Share of the opening in which lips play, once there is a note to play."""
    left_out: float = 10.0
    """Points for leaving a step out, times its worth."""

    def most_steps(self, minutes: int) -> int:
        """Steps in a lesson of ``minutes``, at most."""
        return max(3, round(self.steps * minutes / 45))


@dataclass(frozen=True, slots=True)
class Filling:
    """What goes into one lesson: some steps in a row, or none for a spare lesson."""

    blocks: tuple[Block, ...]
    """In order."""

    @property
    def spare(self) -> bool:
        """Whether it is a lesson to catch up."""
        return not self.blocks


@dataclass(frozen=True, slots=True)
class Packing:
    """A whole way of packing."""

    lessons: tuple[Filling, ...]
    """In order."""
    points: float
    """What it costs."""
    dropped: tuple[Block, ...] = ()
    """Steps that fell out for want of time."""
    wanted: int = 0
    """Lessons that would keep every step, where some fell out; 0 otherwise."""
    to_catch_up: bool = False
    """They fell out for lessons to catch up in, not because they would not fit."""


Overload = Callable[[Sequence[Block]], bool]
"""Whether steps bring more new things than one lesson may."""


def rests(blocks: Iterable[Block], terms: Terms) -> tuple[int, ...]:
    """Places before which lips must rest: after :attr:`Terms.rest_after` minutes of playing without a pause.

    A step in which lips play less than a quarter of the time is a rest by itself.
    """
    played, found = 0.0, []
    for place, block in enumerate(blocks):
        if block.lips < QUIET:
            played = 0.0
            continue
        if played and played + block.span.usual * block.lips > terms.rest_after:
            found.append(place)
            played = 0.0
        played += block.span.usual * block.lips
    return tuple(found)


def mended(row: Sequence[tuple[float, float]], terms: Terms) -> int | None:
    """The place in a lesson before which lips must rest still; ``None`` where nobody plays too long.

    ``row`` has the minutes of each step and the share in which lips play, the opening and the rests among them. Where
    they would play longer than :attr:`Terms.rest_by`, they rest where that cuts the playing most evenly.
    """
    run, played = list[int](), list[float]()
    for place, (minutes, lips) in enumerate((*row, (0.0, 0.0))):
        if lips >= QUIET:
            run.append(place)
            played.append(minutes * lips)
            continue
        if sum(played) > terms.rest_by and len(run) > 1:
            return min(run[1:], key=lambda at: abs(sum(played[: at - run[0]]) - sum(played) / 2))
        run, played = [], []
    return None


def length(blocks: Sequence[Block], terms: Terms) -> Span:
    """Minutes of a lesson with these steps: with opening, close and rests."""
    pause = terms.rest * len(rests(blocks, terms))
    total = terms.opening + terms.close + Span(least=pause, usual=pause, most=pause)
    for block in blocks:
        total = total + block.span
    return total


def badness(span: Span, minutes: int) -> tuple[float, float, int]:
    """How far a lesson of ``minutes`` is from usual: stretched, squeezed (each 0 to 100), and minutes left empty."""
    if minutes < span.least:
        return 0.0, NEVER, 0
    if minutes < span.usual:
        return 0.0, 100 * ((span.usual - minutes) / (span.usual - span.least)) ** 3, 0
    if minutes <= span.most:
        return 100 * ((minutes - span.usual) / max(span.most - span.usual, 1)) ** 3, 0.0, 0
    return 100.0, 0.0, minutes - span.most


def lesson_points(
    blocks: Sequence[Block], minutes: int, terms: Terms, following: Block | None, overload: Overload
) -> float:
    """What a lesson with these steps costs; infinite where they do not fit."""
    if len(blocks) + len(rests(blocks, terms)) > terms.most_steps(minutes) or any(block.begins for block in blocks[1:]):
        return NEVER
    stretched, squeezed, empty = badness(length(blocks, terms), minutes)
    broken = bool(following and following.unit == blocks[-1].unit and not following.begins)
    return (
        stretched * terms.stretch
        + squeezed * terms.squeeze
        + empty * terms.empty
        + broken * terms.broken
        + (terms.overload if overload(blocks) else 0.0)
    )


def pack(
    blocks: Sequence[Block],
    lessons: int,
    minutes: int,
    terms: Terms,
    overload: Overload = lambda blocks: False,
    held: Sequence[Filling] = (),
) -> Packing | None:
    """The cheapest way to put ``blocks`` into ``lessons`` lessons of ``minutes`` minutes; ``None`` where there is none.

    ``held`` are the first lessons as they were; only the rest is packed.
    """
    search = _Search(tuple(blocks), lessons, minutes, terms, overload, tuple(held))
    found = search.best()
    return found and Packing((*held, *found.lessons), found.points)


def pack_or_drop(
    blocks: Sequence[Block],
    lessons: int,
    minutes: int,
    terms: Terms,
    overload: Overload = lambda blocks: False,
    held: Sequence[Filling] = (),
) -> Packing | None:
    """As :func:`pack`; where time is short, the steps worth least fall out, one by one, until the rest fits.

    No lesson is overloaded where ``terms.overload`` is :data:`NEVER`. Where everything fits only without a lesson to
    catch up, steps fall out for one as well, as long as that is worth more than they are. What fell out without need
    comes back, the step worth most first.
    """
    known = cache(lambda row: overload(row))
    return _Dropping(tuple(blocks), lessons, minutes, terms, lambda row: known(tuple(row)), tuple(held)).best()


class _Dropping:
    """Which steps fall out."""

    def __init__(
        self,
        blocks: tuple[Block, ...],
        lessons: int,
        minutes: int,
        terms: Terms,
        overload: Overload,
        held: tuple[Filling, ...],
    ) -> None:
        self._blocks, self._lessons, self._minutes, self._terms = blocks, lessons, minutes, terms
        self._overload, self._held = overload, held
        droppable = [block for block in blocks if block.worth and (block.lesson is None or block.lesson < 0)]
        self._row = sorted(droppable, key=lambda block: block.worth)
        self.trial = cache(self._trial)

    def best(self) -> Packing | None:
        """The cheapest way, with what falls out for it; ``None`` where nothing helps."""
        fallen = next((at for at in range(len(self._row) + 1) if self.trial(frozenset(self._row[:at]))), None)
        if fallen is None:
            return None
        without = frozenset(self._row[:fallen])
        if self._breathless(without):
            without = min(
                (frozenset(self._row[:at]) for at in range(fallen, len(self._row) + 1)), key=lambda row: self._cost(row)
            )
        for block in sorted(without, key=lambda block: (-block.worth, self._blocks.index(block))):
            again = without - {block}
            if self._cost(again) < NEVER and (not self._breathless(again) or self._cost(again) <= self._cost(without)):
                without = again
        found = self.trial(without)
        assert found
        order = tuple(block for block in self._blocks if block in without)
        wanted = enough(self._blocks, self._minutes, self._terms, self._held, self._lessons) if fallen else 0
        return Packing(found.lessons, found.points, order, wanted, to_catch_up=not fallen)

    def _trial(self, without: frozenset[Block]) -> Packing | None:
        kept = [block for block in self._blocks if block not in without]
        fallen = {block.id for block in without} - {block.id for block in kept}  # a step may come a second time
        if any(need in fallen for block in kept for need in block.needs):
            return None
        return pack(kept, self._lessons, self._minutes, self._terms, self._overload, self._held)

    def _cost(self, without: frozenset[Block]) -> float:
        found = self.trial(without)
        return found.points + self._terms.left_out * sum(block.worth for block in without) if found else NEVER

    def _breathless(self, without: frozenset[Block]) -> bool:
        """Whether twice as many lessons as should come without time to catch up, one after another."""
        found = self.trial(without)
        runs = groupby(found.lessons if found else (), key=lambda lesson: lesson.spare)
        return any(not spare and len([*run]) > 2 * self._terms.spare[2] for spare, run in runs)


def enough(blocks: Sequence[Block], minutes: int, terms: Terms, held: Sequence[Filling] = (), above: int = 0) -> int:
    """The smallest number of lessons, more than ``above``, into which every step fits; 0 where no number does."""
    for lesson in {block.lesson for block in blocks if block.lesson is not None}:
        row = [block for block in blocks if block.lesson == lesson]
        if length(row, terms).least > minutes or len(row) > terms.most_steps(minutes):
            return 0  # what is held in one lesson does not fit into it, however many others there are
    most = len(held) + 2 * len(blocks) - 1  # each in a lesson of its own, with one to catch up between
    for lessons in range(max(above, len(held)) + 1, most + 1):
        if pack(blocks, lessons, minutes, terms, held=held):
            return lessons
    return 0


def shares(spans: Sequence[Span], minutes: int) -> tuple[int, ...]:
    """Whole minutes for each of ``spans``, adding up to ``minutes`` or to the most they can take.

    Everybody gives or takes the same share of what they have to give, and the minutes that are left over by rounding
    go to those who were rounded most.
    """
    total = Span(least=0, usual=0, most=0)
    for span in spans:
        total = total + span
    goal = min(max(minutes, total.least), total.most)
    if goal >= total.usual:
        free = max(total.most - total.usual, 1)
        exact = [span.usual + (span.most - span.usual) * (goal - total.usual) / free for span in spans]
    else:
        free = max(total.usual - total.least, 1)
        exact = [span.usual - (span.usual - span.least) * (total.usual - goal) / free for span in spans]
    whole = [int(each + 1e-9) for each in exact]
    by_rest = sorted(range(len(spans)), key=lambda place: whole[place] - exact[place])
    for place in by_rest[: goal - sum(whole)]:
        whole[place] += 1
    return tuple(whole)


def _settled(blocks: Sequence[Block], held: Sequence[Filling]) -> int:
    """How many of ``blocks`` must be done before a lesson to catch up has something to go back to."""
    if any(block.can_settle for lesson in held for block in lesson.blocks):
        return 1
    return next((place for place, block in enumerate(blocks, 1) if block.can_settle), 1)


def _gap(held: Sequence[Filling]) -> int:
    gap = 0
    for lesson in held:
        gap = 0 if lesson.spare else gap + 1
    return gap


_State = tuple[int, int]
"""So many steps are done, so many lessons after the last spare one."""


class _Search:
    """Dynamic programming over :data:`_State`, lesson by lesson."""

    def __init__(
        self,
        blocks: tuple[Block, ...],
        lessons: int,
        minutes: int,
        terms: Terms,
        overload: Overload,
        held: tuple[Filling, ...],
    ) -> None:
        self._blocks, self._lessons, self._minutes, self._terms = blocks, lessons, minutes, terms
        self._overload, self._first, self._gap = overload, len(held), _gap(held)
        self._held = [self._lesson_of(block) for block in blocks]
        self._last = {lesson: place for place, lesson in enumerate(self._held) if lesson is not None}
        self._rows = cache(self._reckon)
        self._settled = _settled(blocks, held)
        self._at_a_loss = replace(terms, empty=terms.empty + terms.at_a_loss)

    def _lesson_of(self, block: Block) -> int | None:
        """The lesson it is held in; ``None`` where that is over, and the step is still to come."""
        if block.lesson is None:
            return None
        lesson = block.lesson if block.lesson > 0 else self._lessons + 1 + block.lesson
        return lesson if lesson > self._first else None

    def best(self) -> Packing | None:
        """The cheapest way, or ``None``."""
        layer: dict[_State, float] = {(0, self._gap): 0.0}
        ways = list[dict[_State, _State]]()
        for lesson in range(self._first + 1, self._lessons + 1):
            reached, before = dict[_State, float](), dict[_State, _State]()
            for state in sorted(layer):
                points = layer[state]
                for after, more in self._steps(state, lesson):
                    total = points + more
                    if after not in reached or total < reached[after] - 1e-9:
                        reached[after], before[after] = total, state
            layer = reached
            ways.append(before)
        ends = [state for state in layer if state[0] == len(self._blocks)]
        if not ends:
            return None
        end = min(ends, key=lambda state: (layer[state], state[1]))
        return Packing(tuple(reversed(list(self._back(end, ways)))), layer[end])

    def _back(self, state: _State, ways: Sequence[dict[_State, _State]]) -> Iterator[Filling]:
        for before in reversed(ways):
            yield Filling(self._blocks[before[state][0] : state[0]])
            state = before[state]

    def _steps(self, state: _State, lesson: int) -> Iterator[tuple[_State, float]]:
        """What lesson ``lesson`` can be, with its points."""
        done, gap = state
        least, best, most = self._terms.spare
        if self._settled <= done < len(self._blocks) and gap >= least and lesson < self._lessons - 1:
            early = self._terms.early * max(best - gap, 0) ** 2
            yield (done, 0), early
        late = self._terms.late * max(gap + 1 - most, 0)
        gap = min(gap + 1, most + 8)
        for after, points, held in self._rows(done):
            if held in (None, lesson) and self._last.get(lesson, -1) < after:  # none of this lesson is left for later
                yield (after, gap), points + late

    def _reckon(self, done: int) -> tuple[tuple[int, float, int | None], ...]:
        """Where a lesson that begins after ``done`` steps can end, with its points, and the lesson it must be."""
        found = []
        for after in range(done + 1, min(done + self._terms.most_steps(self._minutes), len(self._blocks)) + 1):
            following = self._blocks[after] if after < len(self._blocks) else None
            terms = self._at_a_loss if after < self._settled else self._terms
            points = lesson_points(self._blocks[done:after], self._minutes, terms, following, self._overload)
            held = {lesson for lesson in self._held[done:after] if lesson is not None}
            if points < NEVER and len(held) < 2:
                found.append((after, points, next(iter(held), None)))
        return tuple(found)
