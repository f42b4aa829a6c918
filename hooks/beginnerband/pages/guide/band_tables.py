"""Tables in the guide about this band: who plays what, who learns together, what is carried and how time is shared."""

from __future__ import annotations

from markupsafe import escape

from beginnerband.music.instrument import VOICES
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.words import COUNTS, capital, counted
from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.pages.guide.holding import brass
from beginnerband.pages.instruments.room import GROUP_WORDS, mouthpiece_words
from beginnerband.pages.shared.table import Rows, table
from beginnerband.pages.shared.units import length, weight
from beginnerband.teaching.addressed import Whom, faults, said
from beginnerband.teaching.calendar import Teaching
from beginnerband.teaching.minutes import shared_out

GROUP_NAMES = {"B♭": "B♭", "E♭": "E♭", "F": "F", "C": "concert-pitch"}
"""Groups as a leader calls them, by the sound of their written C."""

REHEARSAL = (
    (5, "Warm-up", "Breath, long notes, one chord."),
    (10, "The lesson's new thing", "By ear first, {two-rooms? in two rooms | in turns}."),
    (
        10,
        "Two parts at a time",
        "Bass and tune, then tenor and alto. The others {slides? slide | both? finger or slide | finger} and sing.",
    ),
    (10, "The piece", "Two lines of it, all four parts."),
    (5, "Something known", "All of it, with no stop."),
    (5, "Wipe, pack, one thing for home", "Together."),
)
"""A lesson with four parts: share of the time, what, and how to this band (common practice, no source)."""


def name_of(context: Context, chair: Player) -> str:
    """A chair's instrument, as this band calls it."""
    return chair.instrument.names.of(context.book.band.english)


def players(context: Context, args: Args) -> str:
    """``[[players]]``: this band's chairs by part."""
    args.only()
    rows: Rows = []
    for voice in VOICES:
        first, others = _by_part(context, voice)
        count = sum(chair.count for chair in first)
        names = ", ".join(_counted(context, chair) for chair in first) or "nobody yet"
        rows.append(
            (voice.capitalize(), count, names, ", ".join(name_of(context, chair) for chair in others) or "nobody")
        )
    return str(
        table(
            f"{context.book.band.name}, by usual part; each piece's page has its own",
            ("Part", "Players", "Who", "Who else could"),
            rows,
        )
    )


def _by_part(context: Context, voice: str) -> tuple[list[Player], list[Player]]:
    """This band's chairs whose part a part is, and others that could play it."""
    chairs = [chair for chair in context.book.band.players if voice in chair.instrument.covers]
    first = [chair for chair in chairs if chair.instrument.covers[0] == voice and chair.instrument.brass]
    return first, [chair for chair in chairs if chair not in first]


def borrow(context: Context, args: Args) -> str:
    """``[[borrow tenor]]``: whom this band could take over to a part, and who leaves somebody on their own."""
    voice = args.only(words=1).one_of("part", VOICES)
    names = dict.fromkeys(
        name_of(context, chair)
        for chair in _by_part(context, voice)[1]
        if chair.instrument.brass and sum(each.count for each in _by_part(context, chair.instrument.covers[0])[0]) > 1
    )
    if not names:
        return "nobody can be spared in this band: play without it"
    *most, last = names
    listed = f"{', '.join(most)} or {last}" if most else last
    return f"borrow a player of the {listed}"


def groups(context: Context, args: Args) -> str:
    """``[[groups]]``: which chairs of this band learn together while apart, and who of them reads other notes."""
    args.only()
    sat: dict[str, list[Player]] = {}
    for chair in context.book.band.players:
        sat.setdefault(_room(context, chair), []).append(chair)
    rows: Rows = []
    for room, chairs in sat.items():
        notes = [chair for chair in chairs if chair.instrument.pitched]
        same, other = (
            ", ".join(_counted(context, chair) for chair in notes if _reads_as(notes[0], chair) == alike)
            for alike in (True, False)
        )
        beat = "".join(f" (no notes: {_counted(context, chair)})" for chair in chairs if chair not in notes)
        group = f"{room}, {sum(chair.count for chair in chairs)}{beat}"
        rows.append((group, same or "nobody", other or "nobody"))
    head = ("Group", "The same notes", "The same sounds from other notes")
    return str(table("Who learns together in this band", head, rows))


def learning_group(context: Context, args: Args) -> str:
    """``[[learning-group first]]`` or ``second``: two groups of this band's brass whose same letter sounds apart.

    A band that calls all sounds by the same letters has none: it is two halves that compare what they hear.
    """
    which = args.only(words=1).one_of("which", ("first", "second"))
    sounds = {
        chair.reading.sounding(Pitch.parse("C5")).letter_sign
        for chair in context.book.band.pitched
        if chair.instrument.brass
    }
    names = [f"the {name} group" for sound, name in GROUP_NAMES.items() if sound in sounds]
    first, second = names[:2] if len(names) > 1 else ("one half", "the other half")
    return capital(first if which == "first" else second)


def _reads_as(first: Player, other: Player) -> bool:
    """Whether both call the same sounds by the same letters."""
    return (other.reading.semitones - first.reading.semitones) % 12 == 0


def adults(context: Context, args: Args) -> str:
    """``[[adults]]``: whether this band's adults are enough for its rooms, and how many its course uses."""
    args.only()
    teaching, course = context.book.band.teaching, context.book.course
    has = f"This band has {'one room' if teaching.rooms == 1 else 'two rooms'}"
    used = len(course.course.rooms) if course else teaching.rooms_in_use
    if teaching.too_few:
        more = _more_adults(teaching)
        return f"<p>{has}. {capital(teaching.too_few)}: so its course is for one room.{more}</p>"
    has += f" and {counted(teaching.adults)} adult{'s' if teaching.adults != 1 else ''}."
    if course and course.why_one_room:
        return f"<p>{has} {course.why_one_room}</p>"
    if more := _more_adults(teaching):
        return f"<p>{has}{more}</p>"
    who = teaching.who_is_there(used)
    if used > 1:
        return f"<p>{has} {who}</p>"
    return f"<p>{has} {who} The course gives everybody one sound from the start, each by their own name for it.</p>"


def _more_adults(teaching: Teaching) -> str:
    """What to do where there are too few even for one room."""
    need = teaching.adults_a_room
    if teaching.adults >= need:
        return ""
    found = "a second adult" if need == 2 else f"{counted(need)} adults"
    return f" Find {found} before you begin, or as your local rules say."


def said_to_band(context: Context, args: Args) -> str:
    """``[[said "{two-rooms? next door | here}"]]``: words with alternatives, as the course's texts have them."""
    args.only(words=1)
    text = args.words[0] if args.words else ""
    if not text:
        raise BlockError('what is said? write [[said "{two-rooms? next door | here}"]]')
    for fault in faults(text, {}):
        raise BlockError(fault)
    return str(escape(said(text, _whom(context), {})))


def _whom(context: Context) -> Whom:
    """This band, as a text of the guide is put to it."""
    band, course = context.book.band, context.book.course
    return Whom(
        band.players,
        band.players,
        rooms=len(course.course.rooms) if course else band.teaching.rooms_in_use,
        adults=band.teaching.adults,
        children=band.teaching.ages != "adults",
    )


def rehearsal_plan(context: Context, args: Args) -> str:
    """``[[rehearsal-plan]]``: where the minutes of this band's lesson go once there are pieces in four parts."""
    args.only()
    minutes = context.book.band.teaching.minutes
    parts = shared_out(minutes, [share for share, _, _ in REHEARSAL])
    whom = _whom(context)
    rows: Rows = [
        (what, f"{count} min", said(how, whom, {})) for count, (_, what, how) in zip(parts, REHEARSAL, strict=True)
    ]
    return str(table(f"A lesson of {minutes} minutes; common practice", ("What", "Minutes", "How"), rows))


def _room(context: Context, chair: Player) -> str:
    """The room of the course's plan that a chair sits in, or its learning group where there is no course."""
    course = context.book.course
    return course.course.room_of(chair.instrument).name if course else capital(GROUP_WORDS[chair.instrument.group])


def _counted(context: Context, chair: Player) -> str:
    return f"{name_of(context, chair)} ({chair.count})"


def weights(context: Context, args: Args) -> str:
    """``[[weights]]``: rough weight, with and without the case, and size of all that this band has to carry."""
    args.only()
    english = context.book.band.english
    carried = [
        (capital(load.names.of(english) if load.names else name_of(context, chair)), load)
        for chair in context.book.band.players
        for load in chair.instrument.loads
    ]
    rows: Rows = [
        (name, weight(load.packed_kg, english), weight(load.weight_kg, english), length(load.length_cm, english))
        for name, load in sorted(carried, key=lambda pair: pair[1].packed_kg)
    ]
    caption = "Rough weights, and sizes as held. Common practice; weigh your own, in its case."
    return str(table(caption, ("Instrument", "In its case", "Alone", "Length"), rows))


def trial_form(context: Context, args: Args) -> str:
    """``[[trial-form]]``: a form to fill in while a learner tries this band's kinds of mouthpiece, small to large."""
    args.only()
    rows: Rows = [(capital(mouthpiece_words(context.book, size)), *("☐",) * 4) for size in _sizes(context)]
    head = ("Mouthpiece", "Sound at once", "Even sound", "Easy face", "Liked it")
    return str(table("Name: ____________________  Date: __________", head, rows))


def trial_sizes(context: Context, args: Args) -> str:
    """``[[trial-sizes]]``: how many kinds of mouthpiece this band's trial has, as a word."""
    args.only()
    return COUNTS[len(_sizes(context))]


def _sizes(context: Context) -> list[str]:
    """Kinds of mouthpiece in this band, narrow to wide; every kind, while nobody in it blows."""
    narrowest: dict[str, float] = {}
    for each in [chair.instrument for chair in brass(context.book)] or context.book.instruments.values():
        if each.rim is not None:
            narrowest[each.mouthpiece] = min(each.rim.inside_mm, narrowest.get(each.mouthpiece, each.rim.inside_mm))
    return sorted(narrowest, key=lambda size: narrowest[size])


def most_new_notes(context: Context, args: Args) -> str:
    """``[[most-new-notes]]``: a sentence on how many new notes a lesson of this band brings anybody; none without."""
    args.only()
    course = context.book.course
    weeks = [week for player in course.players for week in course.grades.weeks[player.id]] if course else []
    most = max((len(week.new.notes) for week in weeks), default=0)
    return f"This band’s lesson cards bring {most} at most." if most else ""


BLOCKS = {
    "players": players,
    "borrow": borrow,
    "groups": groups,
    "learning-group": learning_group,
    "weights": weights,
    "trial-form": trial_form,
    "trial-sizes": trial_sizes,
    "adults": adults,
    "said": said_to_band,
    "rehearsal-plan": rehearsal_plan,
    "most-new-notes": most_new_notes,
}
