"""The pages about people: the plan, who is covered, seats, timetable, papers, and a page for each learner's folder.

Nothing here is made in the shared handbook.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.data.printfonts import lacking_message, printable
from beginnerband.data.roster import as_yaml
from beginnerband.music.instrument import Slide
from beginnerband.music.words import capital
from beginnerband.pages.band import printing
from beginnerband.pages.band.calendar_file import CalendarEntry, calendar
from beginnerband.pages.band.seat_plan import drawing
from beginnerband.pages.band.view import BandView
from beginnerband.pages.band.words import PLACES, REASONS, people
from beginnerband.pages.course.sheet_view import sheet_uri
from beginnerband.pages.instruments.room import reach_table
from beginnerband.pages.shared.dates import day
from beginnerband.pages.shared.links import lesson_title
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import Cell, Row, Rows, joined, link, quiet, stacked, table
from beginnerband.people.coverage import Absence
from beginnerband.people.plan import Place
from beginnerband.people.roster import DAYS
from beginnerband.people.timetable import attendance
from beginnerband.products import Products
from beginnerband.render.html import markdown_text, render

SECTION = ("This band's people",)
"""Section of the navigation."""

DAY_WORDS = dict(zip(DAYS, ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"), strict=True))

CONCERT = "The concert: its hour and its place are yours to say."
"""Of a concert on a day of its own, for which the band file gives neither."""


def contribute(book: Book, out: Products) -> None:
    """Every page and file about people; nothing in the shared handbook."""
    if book.planned is None:
        return
    view = BandView(book, book.planned)
    out.notes.extend(str(warning) for warning in book.planned.gathering.warnings)
    have = printable(book.fonts)
    for learner in book.planned.roster.learners:
        if lacking := sorted(set(learner.name) - have):
            shown = f"{learner.name}: on paper {' '.join(lacking)} is shown as a question mark"
            out.notes.append(f"{shown}; {lacking_message(lacking)}")
    _page(out, "band/plan.md", "Who plays what", _plan(view, out))
    _page(out, "band/covered.md", "Who is covered", _covered(view, out))
    _page(out, "band/seats.md", "Where they sit", _seats(view, out))
    if view.meetings:
        _page(out, "band/timetable.md", "Timetable", _timetable(view, out))
        out.asset("band/timetable.ics", calendar(book.band, _entries(view)))
    _page(out, "band/papers.md", "Papers for the band", _papers(view, out))
    for number, place in enumerate(view.places, start=1):
        uri = learner_uri(number)
        _page(out, uri, place.learner.name, _learner(view, place, uri, out), (*SECTION, "Folders"))
    out.asset("band/learners.yml", as_yaml(book.planned.roster.learners, view.plan.of))
    printing.papers(view, out)


def learner_uri(number: int) -> str:
    """The page of a learner, counted from 1 in the roster's order: a name need not be fit for a file's."""
    return f"band/learner-{number:02}.md"


def _page(out: Products, uri: str, title: str, parts: Iterable[str], nav: tuple[str, ...] = SECTION) -> None:
    out.page(uri, title, "\n\n".join((f"# {markdown_text(title)}", *parts)) + "\n", nav=nav)


def _text(text: str) -> str:
    """A paragraph of plain text."""
    return markdown_text(text)


def _plan(view: BandView, out: Products) -> Iterable[str]:
    planned, plan, words = view.planned, view.plan, view.words
    if planned.roster.invented:
        yield _text(
            "These people and this cupboard are invented, to show what a plan looks like. Put your own into "
            "content/roster/ and build again."
        )
    for warning in planned.gathering.warnings:
        yield f"**Better changed:** {_text(str(warning))}"
    if planned.clash:
        yield f"**There is no plan that meets every demand.** {_text(words.clash(planned.clash))}"
        yield _text("Below is the plan that comes nearest. It leaves out: " + _dropped(view) + ".")
    yield _text(_summary(view))
    yield from _help(view)
    yield out.html(
        table("Everybody, and why", ("Who", "Instrument", "Why"), [_row(view, place) for place in view.places])
    )
    if plan.waiting:
        yield _text(
            f"No instrument yet: {people(plan.waiting)}. They can buzz, sing, clap and learn to read meanwhile."
        )
    yield from _movers(view, out)
    yield "## The balance"
    yield out.html(_balance(view))
    yield "## What it cost"
    yield _text("The plan with the fewest points wins; every figure and its reason stand in content/matching.yml.")
    yield out.html(_bill(view))
    if view.others:
        yield "## Nearly as good"
        yield out.html(_others(view))
    yield "## Take it over"
    yield (
        "For the shared handbook to follow the plan, these lines belong in `content/band.yml`; they say how many, "
        "not who."
    )
    yield out.html(render("band/lines.html", lines=_band_lines(view)))
    yield (
        "Keep [the roster with what each plays now](learners.yml) as `content/roster/learners.yml` once people have "
        "begun: "
        "a plan made anew then changes as few of them as it can. To overrule the plan, write `set_to: cornet` (or any "
        "other instrument) on somebody's line."
    )


def _dropped(view: BandView) -> str:
    return "; ".join(view.words.demand(demand) for demand in view.plan.dropped)


def _summary(view: BandView) -> str:
    plan = view.plan
    first = sum(place.wish == 0 for place in plan.places)
    wished = sum(bool(place.learner.wishes) for place in plan.places)
    number = len(view.planned.roster.learners)
    return (
        f"{len(plan.places)} of {number} learners have an instrument, {first} of the {wished} with a wish their first. "
        f"The plan costs {plan.points} points."
    )


def _help(view: BandView) -> Iterable[str]:
    """The one change that would help most, and what else could be borrowed."""
    if not view.borrowings:
        return
    best, *rest = view.borrowings
    words, item = view.words, best.item
    lender = f" ({item.lender} would lend it)" if item.lender else ""
    if view.met is None:
        left = [words.demand(demand) for demand in best.plan.dropped]
        then = (
            f"With it less is left out, only this: {'; '.join(left)}." if left else "With it every demand can be met."
        )
        yield f"**Borrow {_text(words.a(item.instrument) + lender)}.** {_text(then)}"
    else:
        changed = words.changed(view.met, best.plan)
        points = f"{best.saved} point{'s' if best.saved != 1 else ''}"
        yield (
            f"**What would help most: borrow {_text(words.a(item.instrument) + lender)}.** "
            f"{_text(f'It saves {points}, after what borrowing itself counts. Then: {changed}.')}"
        )
    if rest:
        also = ", ".join(
            words.a(each.item.instrument) + (f" ({each.saved} points)" if view.met else "") for each in rest[:4]
        )
        yield _text(f"What would help as well, each by itself: {also}.")


def _row(view: BandView, place: Place) -> tuple[Cell, ...]:
    number = [each.learner.name for each in view.places].index(place.learner.name) + 1
    why = view.words.why(place, view.refused.get(place.learner.name))
    item = place.item
    marks = [mark for mark in (item.serial, item.size) if mark]
    name = capital(view.words.instrument(item.instrument))
    return (
        link(place.learner.name, learner_uri(number).replace("band/", "").replace(".md", ".html")),
        stacked(name, ", ".join(marks)),
        " ".join(why),
    )


def _movers(view: BandView, out: Products) -> Iterable[str]:
    if not view.movers:
        return
    rows: Rows = []
    for place in view.movers:
        lacks = view.lacks(place)
        what = (
            "nothing: every note is known"
            if not lacks
            else f"after lesson {lacks[-1].lesson}: {', '.join(lacks[-1].notes)}"
        )
        rows.append(
            (
                place.learner.name,
                capital(view.words.instrument(place.learner.now)),
                capital(view.words.instrument(place.item.instrument)),
                what,
            )
        )
    yield "## Who moves"
    yield out.html(table("Changes for those who play already", ("Who", "From", "To", "Still to learn"), rows))
    yield "What else changes is in [Moving to another instrument](../tables/moving.md)."


def _balance(view: BandView) -> Markup:
    rows = [
        (stacked(capital(each.group.name), quiet(each.group.why)), each.players, each.usual, each.points or "–")
        for each in view.plan.balance
    ]
    return table("Players by group", ("Group", "Here", "Usual", "Points"), rows)


def _bill(view: BandView) -> Markup:
    rows: list[Row | tuple[Cell, ...]] = [
        (capital(REASONS[reason]), points) for reason, points in view.plan.by_reason.items()
    ]
    return table("Points by reason", ("For", "Points"), [*rows, ("In all", view.plan.points)])


def _others(view: BandView) -> Markup:
    rows = [(f"{other.points} points", view.words.changed(view.plan, other)) for other in view.others]
    return table("The next-best plans, by what is different", ("Cost", "Instead"), rows)


def _band_lines(view: BandView) -> str:
    lines = []
    for player in view.book.band.players:
        reading = f", reading: {player.reading.id}" if len(player.instrument.readings) > 1 else ""
        lines.append(f"  - {{instrument: {player.instrument.id}{reading}, players: {player.count}}}")
    return "\n".join(["players:", *lines])


def _covered(view: BandView, out: Products) -> Iterable[str]:
    yield out.html(_lines(view))
    missing = [cover.line for cover in view.coverage if cover.holder is None]
    if missing:
        yield f"**Nobody can hold the {_text(' or the '.join(missing))} line.**"
    singles, pairs = view.absences
    telling = [each for each in singles if set(each.lost) - set(missing) or each.steps_in]
    yield "## When one is away"
    if telling:
        yield out.html(_away(view, telling, missing))
    quiet_ones = [name for each in singles if each not in telling for name in each.names]
    if quiet_ones:
        yield _text(f"Without any one of these nobody has to change line: {', '.join(quiet_ones)}.")
    yield "## When two are away"
    if pairs:
        yield _text("Only these pairs cost a line that neither alone would:")
        yield out.html(_away(view, pairs, missing))
    else:
        yield _text("No two people are away at the cost of a line that one of them alone would not cost.")


def _lines(view: BandView) -> Markup:
    home = view.book.scoring.rules.home if view.book.scoring else {}
    rows: Rows = []
    for cover in view.coverage:
        instead = [
            f"{each.place.learner.name}, {view.words.instrument(each.place.item.instrument)}, {_pitch(each.octaves)}"
            + ("" if each.steady else " (not yet alone)")
            for each in cover.instead[:3]
        ]
        holder, held = cover.holder, "nobody holds it"
        if holder:
            instrument = holder.item.instrument
            held = f"{holder.learner.name}, {view.words.instrument(instrument)}, {_pitch(home.get(instrument.id, 0))}"
        others = ", ".join(place.learner.name for place in cover.with_them)
        mine = stacked(Markup("<b>{}</b>").format(held), f"with {others}" if others else "")
        rows.append((capital(cover.line), mine, stacked(*instead) or "nobody"))
    return table("Who carries each line", ("Line", "Holds it", "Could take it over"), rows)


def _pitch(octaves: int) -> str:
    if not octaves:
        return "at its pitch"
    return f"{'an octave' if abs(octaves) == 1 else f'{abs(octaves)} octaves'} {'lower' if octaves < 0 else 'higher'}"


def _away(view: BandView, absences: Iterable[Absence], missing: Sequence[str]) -> Markup:
    """What is lost beside the lines that are ``missing`` in any case."""
    rows: Rows = []
    for each in absences:
        steps = "; ".join(f"{name} takes the {line}" for name, line in each.steps_in)
        lost = " and ".join(line for line in each.lost if line not in missing)
        held = "the others held" if missing else "all four held"
        rows.append((" and ".join(each.names), f"no {lost}" if lost else held, steps or "nothing changes"))
    return table("Without them", ("Away", "Lines", "What changes"), rows)


def _seats(view: BandView, out: Products) -> Iterable[str]:
    seating, room = view.seating, view.planned.gathering.room
    yield _text(
        f"For a room {room.width_m:g} m wide and {room.depth_m:g} m deep. Small players sit in front, higher lines "
        "to your "
        "left, low ones behind, percussion last; rows stand so that no bell points at a head."
    )
    yield out.html(drawing(view))
    for trouble in _seat_troubles(view):
        yield f"**{_text(trouble)}**"
    yield f"[The plan on one page](../{printing.uri_of('seats')})."
    yield (
        "To move somebody, write one line in `content/roster/room.yml` under `seats:`, as "
        "`Wren: {row: 1, seat: 2}`; row 1 is the front, seat 1 at your left. The size of the room stands there as "
        "well. "
        "More in [Seating the band](../guide/seating.md) and [Hearing](../guide/hearing.md)."
    )
    rows = [
        (f"Row {number}", ", ".join(spot.place.learner.name for spot in seating.row(number)))
        for number in range(1, seating.rows + 1)
    ]
    yield out.html(table("Rows from the front, each from your left", ("Row", "Who"), rows))


def _seat_troubles(view: BandView) -> Iterable[str]:
    seating = view.seating
    if seating.too_wide:
        yield "A row is wider than the room: take a wider room, or two groups."
    if seating.too_deep:
        yield "The rows are deeper than the room: take a deeper room, or two groups."
    for bell, ear in seating.at_ears:
        yield f"{bell}'s bell points at {ear}: leave a wider gap, or move one of them."


def _timetable(view: BandView, out: Products) -> Iterable[str]:
    band, teaching = view.book.band, view.book.band.teaching
    at = f" at {band.time:%H:%M}" if band.time else ""
    where = f", {band.place}" if band.place else ""
    long = f"{'Lessons: ' if view.concert else ''}{teaching.minutes} minutes{at}{where}."
    yield _text(f"{long} {_adults(view)}")
    counts = attendance(view.places)
    listed = ", ".join(f"{DAY_WORDS[name]} {count}" for name, count in counts.items())
    yield _text(f"How many of {len(view.places)} learners can come: {listed}.{_better_day(view, counts)}")
    yield "[All lessons for your calendar](timetable.ics) (iCalendar)."
    rows: Rows = []
    for meeting in view.meetings:
        groups = [f"{name}: {', '.join(names)}" for name, names in meeting.groups] if len(meeting.groups) > 1 else []
        title = link(view.lesson_title(meeting.lesson), f"../course/{meeting.lesson}.html")
        who = stacked(
            *(groups or ["Everyone together"]),
            f"One to one: {', '.join(meeting.one_to_one)}" if meeting.one_to_one else "",
            f"Cannot come: {', '.join(meeting.missing)}" if meeting.missing else "",
            CONCERT if meeting.day == view.concert else "",
        )
        rows.append((stacked(day(meeting.day, view.book.band.english, True), title), who))
    yield out.html(table("Every lesson", ("When", "Who"), rows))
    yield (
        "*One to one* means a few minutes beside the others, in their view and in that of a second adult, never "
        "behind a "
        "shut door; see [Children and adults](../guide/children-and-adults.md)."
    )


def _better_day(view: BandView, counts: Mapping[str, int]) -> str:
    """The day on which most could come, where that is another than those of the lessons."""
    used = {DAYS[meeting.day.weekday()] for meeting in view.meetings if meeting.day != view.concert}
    most = max(counts, key=lambda name: counts[name])
    now = min(counts[name] for name in used)
    if most in used or counts[most] <= now:
        return ""
    days = " and ".join(DAY_WORDS[name] for name in DAYS if name in used)
    return f" Lessons are on {days}: on {DAY_WORDS[most]} {counts[most] - now} more could come."


def _adults(view: BandView) -> str:
    """Who has to be there, and why a second room stays empty."""
    teaching, course = view.book.band.teaching, view.book.course
    rooms = len(course.course.rooms) if course else teaching.rooms_in_use
    said = teaching.who_is_there(rooms)
    return f"{said} {course.why_one_room}" if course and course.why_one_room else said


def _entries(view: BandView) -> Iterable[CalendarEntry]:
    for meeting in view.meetings:
        lines = [f"{name}: {', '.join(names)}" for name, names in meeting.groups]
        if meeting.one_to_one:
            lines.append(f"One to one, in view of the others: {', '.join(meeting.one_to_one)}")
        if meeting.missing:
            lines.append(f"Cannot come: {', '.join(meeting.missing)}")
        own_day = meeting.day == view.concert
        if own_day:
            lines.append(CONCERT)
        lines.append(f"{view.book.mark}.")
        yield CalendarEntry(meeting.day, view.lesson_title(meeting.lesson), "\n".join(lines), own_day)


def _papers(view: BandView, out: Products) -> Iterable[str]:
    rows = [
        (link(paper.title, f"../{printing.uri_of(paper.id)}"), paper.about)
        for paper in printing.PAPERS
        if printing.has(view, paper)
    ]
    yield out.html(table("To print", ("Paper", "What for"), rows))
    yield "Keep filled-in papers as your local rules say. Nothing you write on them comes back into the handbook."


def _learner(view: BandView, place: Place, uri: str, out: Products) -> Iterable[str]:
    player, words = view.player(place), view.words
    instrument, item = place.item.instrument, place.item
    facts: Rows = [
        ("Instrument", link(capital(words.instrument(instrument)), f"../instruments/{instrument.id}.html")),
        ("Reads", READING_WORDS[player.reading.id]),
    ]
    if item.serial or item.size:
        facts.append(("Number, size", ", ".join(mark for mark in (item.serial, item.size) if mark)))
    facts.append(("Belongs to", "themselves" if item.owner else item.lender or view.book.band.name))
    if instrument.covers:
        facts.append(("Line", f"holds the {place.line}" if place.line else instrument.covers[0]))
    facts += [(label, text) for label, text in _person(view, place) if text]
    spot = next((spot for spot in view.seating.spots if spot.place.learner.name == place.learner.name), None)
    if spot:
        facts.append(("Seat", f"row {spot.row} from the front, seat {spot.seat} from the leader's left"))
    facts.append(("Why", " ".join(words.why(place, view.refused.get(place.learner.name)))))
    yield out.html(table("In short", (), facts))
    lacks = view.lacks(place)
    if place in view.movers:
        yield "## Still to learn"
        if lacks:
            rows = [(f"after lesson {lack.lesson}", ", ".join(lack.notes)) for lack in lacks]
            yield out.html(
                table("Written notes that were not met on the old instrument", ("If the move is", "Notes"), rows)
            )
        else:
            yield _text("No note is missing at any lesson.")
    if isinstance(instrument.mechanism, Slide) and place.learner.reach_cm is not None:
        yield "## What the reach leaves out"
        yield out.html(reach_table(view.book, instrument, instrument.mechanism, place.learner.reach_cm))
    course = view.book.course
    if course and any(each.id == player.id for each in course.players):
        yield "## Lesson sheets"
        links = [link(lesson_title(lesson), f"../{sheet_uri(lesson, player)}") for lesson in course.course.lessons]
        yield out.html(
            Markup('<ul class="bb-folder">{}</ul>').format(
                joined([Markup("<li>{}</li>").format(each) for each in links], "")
            )
        )


def _person(view: BandView, place: Place) -> Iterable[tuple[str, str]]:
    """What the roster says that matters in a lesson."""
    learner, words = place.learner, view.words
    wishes = ", ".join(f"{PLACES[min(at, 4)]} {words.instrument(wish)}" for at, wish in enumerate(learner.wishes))
    yield "Wished for", wishes
    tried = ", ".join(f"{mouth}: {outcome}" for mouth, outcome in learner.trial.items())
    yield "Mouthpiece trial", tried
    before = f"{words.instrument(learner.played)}, {learner.years:g} years" if learner.played else ""
    yield "Has played", before
    yield "Comes on", ", ".join(DAY_WORDS[each] for each in learner.days)
    yield "Mind", "; ".join(filter(None, ("a wide rim" * learner.wide_rim, "ask at home first" * learner.ask_first)))
