"""Tables in the guide that are computed from the band, its instruments and the published rules."""

from __future__ import annotations

from itertools import combinations

from markupsafe import Markup

from beginnerband.music import fingering, meeting, tuning
from beginnerband.music.advice import third_slide_notes
from beginnerband.music.equivalence import compare
from beginnerband.music.instrument import VOICES, Slide, Valves
from beginnerband.music.pitch import STEPS, Pitch, usual, with_signs
from beginnerband.music.player import Player
from beginnerband.music.slide import ORDINALS
from beginnerband.music.transposition import CONCERT_KEYS, written_key
from beginnerband.music.words import COUNTS, capital, counted
from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.pages.guide.holding import brass
from beginnerband.pages.instruments.room import GROUP_WORDS, mouthpiece_words
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import STACKED, Cell, joined, table, table_if_any
from beginnerband.pages.shared.units import fine_length, length, weight
from beginnerband.teaching import exposure
from beginnerband.teaching.calendar import Teaching
from beginnerband.teaching.minutes import shared_out
from beginnerband.teaching.positions import asked

BAND_KEYS = ("Bb", "Eb", "F", "Ab")
"""Concert keys a starting brass band plays in most (common practice, no source)."""

GROUP_NAMES = {"B♭": "B♭", "E♭": "E♭", "F": "F", "C": "concert-pitch"}
"""Groups as a leader calls them, by the sound of their written C."""

REHEARSAL = (
    (5, "Warm-up", "Breath, long notes, one chord."),
    (10, "The lesson's new thing", "By ear first, in turns or in two rooms."),
    (10, "Two parts at a time", "Bass and tune, then tenor and alto. The others finger and sing."),
    (10, "The piece", "Two lines of it, all four parts."),
    (5, "Something known", "All of it, with no stop."),
    (5, "Wipe, pack, one thing for home", "Together."),
)
"""A lesson with four parts: share of the time, what, and how (common practice, no source)."""

TUNING_CENTS = 10
"""Cents for which the pull of a tuning slide is told: what a beginner can hear and set."""

EASY = "no valve or slide in"

CHARACTER_WORDS = {
    "one": "as one note",
    "open": "open and pleasant: easy to miss",
    "sweet": "sweet, like two voices of a song",
    "rubs": "rough: it rubs",
}

LEVELS_DBA = (80, 85, 88, 91, 94, 97, 100, 103, 106)
"""Levels shown, dBA."""


def _name(context: Context, chair: Player) -> str:
    return chair.instrument.names.of(context.book.band.english)


Rows = list[tuple[Cell, ...]]


def players(context: Context, args: Args) -> str:
    """``[[players]]``: this band's chairs by part."""
    args.only()
    rows: Rows = []
    for voice in VOICES:
        first, others = _by_part(context, voice)
        count = sum(chair.count for chair in first)
        names = ", ".join(_counted(context, chair) for chair in first) or "nobody yet"
        rows.append(
            (voice.capitalize(), count, names, ", ".join(_name(context, chair) for chair in others) or "nobody")
        )
    return str(table(f"{context.book.band.name}, by part", ("Part", "Players", "Who", "Who else could"), rows))


def _by_part(context: Context, voice: str) -> tuple[list[Player], list[Player]]:
    """This band's chairs whose part a part is, and others that could play it."""
    chairs = [chair for chair in context.book.band.players if voice in chair.instrument.covers]
    first = [chair for chair in chairs if chair.instrument.covers[0] == voice and chair.instrument.brass]
    return first, [chair for chair in chairs if chair not in first]


def borrow(context: Context, args: Args) -> str:
    """``[[borrow tenor]]``: whom this band could take over to a part, and who leaves somebody on their own."""
    voice = args.only(words=1).one_of("part", VOICES)
    names = dict.fromkeys(
        _name(context, chair)
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
        same, other = (
            ", ".join(_counted(context, chair) for chair in chairs if _reads_as(chairs[0], chair) == alike)
            for alike in (True, False)
        )
        rows.append((f"{room}, {sum(chair.count for chair in chairs)}", same, other or "nobody"))
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
    """Whether both call the same sounds by the same letters; drums have none."""
    return not other.instrument.pitched or (other.reading.semitones - first.reading.semitones) % 12 == 0


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


def rehearsal_plan(context: Context, args: Args) -> str:
    """``[[rehearsal-plan]]``: where the minutes of this band's lesson go once there are pieces in four parts."""
    args.only()
    minutes = context.book.band.teaching.minutes
    parts = shared_out(minutes, [share for share, _, _ in REHEARSAL])
    rows: Rows = [(what, f"{count} min", how) for count, (_, what, how) in zip(parts, REHEARSAL, strict=True)]
    return str(table(f"A lesson of {minutes} minutes; common practice", ("What", "Minutes", "How"), rows))


def meetings(context: Context, args: Args) -> str:
    """``[[meetings letter=C]]``: what each two groups of this band sound who all read one letter, and how it sounds."""
    letter = args.only("letter", words=1).one_of("letter", tuple(STEPS), "C")
    first: dict[str, Player] = {}
    for chair in context.book.band.pitched:
        if chair.instrument.brass:
            first.setdefault(chair.reading.id, chair)
    rows: Rows = []
    for one, other in combinations(first.values(), 2):
        met = meeting.meet(letter, _voice(one), _voice(other))
        pair = f"{capital(_name(context, one))} and {_name(context, other)}"
        sounds = f"{met.first.letter_sign} and {met.second.letter_sign}, {met.interval} apart"
        rows.append((pair, sounds, CHARACTER_WORDS[met.character]))
    caption = f"Two players of this band both read {letter}"
    apart = len({chair.reading.semitones for chair in context.book.band.pitched if chair.instrument.brass}) > 1
    none = f"All the brass of this band reads alike: one letter is one sound{', in octaves' if apart else ''}."
    return str(table_if_any(caption, ("Who", "You hear", "It sounds"), rows, none))


def _voice(chair: Player) -> meeting.Voice:
    return chair.reading, chair.instrument.written_range("starter", chair.reading).low


def _room(context: Context, chair: Player) -> str:
    """The room of the course's plan that a chair sits in, or its learning group where there is no course."""
    course = context.book.course
    return course.course.room_of(chair.instrument).name if course else capital(GROUP_WORDS[chair.instrument.group])


def _counted(context: Context, chair: Player) -> str:
    return f"{_name(context, chair)} ({chair.count})"


def weights(context: Context, args: Args) -> str:
    """``[[weights]]``: rough weight, with and without the case, and size of all that this band has to carry."""
    args.only()
    english = context.book.band.english
    carried = [
        (capital(load.names.of(english) if load.names else _name(context, chair)), load)
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


def first_notes(context: Context, args: Args) -> str:
    """``[[first-notes]]``: the course's first note of each brass chair, and every easy note without valves or reach."""
    args.only()
    course = context.book.course
    rows: Rows = []
    for chair in context.book.band.pitched:
        if not chair.instrument.brass:
            continue
        span = chair.instrument.sounding_range("starter")
        code = "1" if isinstance(chair.instrument.mechanism, Slide) else "0"
        easy = [usual(midi) for midi, way in fingering.notes_of(chair.instrument, code) if way.for_learners]
        met = course.grades.first_met(chair.instrument.id) if course else {}
        taught = min(met, key=lambda note: met[note], default=None)
        way = chair.standard(taught) if taught else None
        first: Cell = "–"
        if taught and way:
            first = joined([_both(chair, chair.reading.sounding(taught)), _played(chair, way.code)])
        rows.append(
            (capital(_name(context, chair)), first, joined([_both(chair, note) for note in easy if note in span]))
        )
    head = ("Instrument", "First note of the course", f"Easy notes, {EASY}")
    return str(table_if_any("Written notes, and the sound in brackets", head, rows))


def _played(chair: Player, code: str) -> str:
    if isinstance(chair.instrument.mechanism, Slide):
        return f"position {code}"
    return "no valve" if code == "0" else f"valve{'s' if '-' in code else ''} {code}"


def _both(chair: Player, sounding: Pitch) -> Markup:
    return Markup("{} <small>({})</small>").format(chair.reading.written(sounding).sign, sounding.sign)


def range_ladder(context: Context, args: Args) -> str:
    """``[[range-ladder]]``: written range of each chair at each level."""
    args.only()
    rows: Rows = []
    for chair in context.book.band.pitched:
        found = [chair.instrument.written_range(level, chair.reading) for level in ("starter", "first-year")]
        rows.append((capital(_name(context, chair)), *(f"{span.low.sign} to {span.high.sign}" for span in found)))
    head = ("Instrument", "To start", "By the end of the first year")
    return str(table_if_any("Written notes, from the instrument files", head, rows))


def readings(context: Context, args: Args) -> str:
    """``[[readings]]``: what each chair of this band reads."""
    args.only()
    rows: Rows = [
        (
            capital(READING_WORDS[reading]),
            ", ".join(_name(context, chair) for chair in context.book.band.players if chair.reading.id == reading),
        )
        for reading in READING_WORDS
        if any(chair.reading.id == reading for chair in context.book.band.players)
    ]
    return str(table_if_any("What this band reads", ("Page", "Who in this band"), rows))


def band_keys(context: Context, args: Args) -> str:
    """``[[band-keys]]``: the key each group reads for the usual concert keys."""
    args.only()
    found = {chair.reading.id: chair.reading for chair in context.book.band.pitched}
    used = [found[reading_id] for reading_id in READING_WORDS if reading_id in found]
    rows: Rows = []
    for key in BAND_KEYS:
        assert key in CONCERT_KEYS
        written = [written_key(key, reading) for reading in used]
        rows.append((f"Concert {with_signs(key)}", *(f"{with_signs(own.tonic)}: {own.words}" for own in written)))
    head = ("The sound", *(capital(READING_WORDS[reading.id]) for reading in used))
    return str(table_if_any("One key, as each group reads it", head, rows, kind=STACKED))


def same_note(context: Context, args: Args) -> str:
    """``[[same-note note=C5]]``: what is heard when every brass reader of a treble clef plays one written note."""
    args.only("note")
    try:
        note = Pitch.parse(args.named.get("note", "C5"))
    except ValueError as error:
        raise BlockError(str(error)) from None
    rows: Rows = []
    for chair in context.book.band.pitched:
        if not chair.instrument.brass:
            continue
        sound = chair.reading.sounding(note)
        way = fingering.standard(chair.instrument, sound) if chair.reading.clef == "treble" else None
        if way is None:
            continue
        rows.append((capital(_name(context, chair)), note.letter_sign, _keys(chair, way.code), sound.letter_sign))
    return str(
        table_if_any(f"Everybody reads {note.letter_sign}", ("Instrument", "Reads", "Fingers", "You hear"), rows)
    )


def _keys(chair: Player, code: str) -> str:
    if isinstance(chair.instrument.mechanism, Slide):
        return f"position {code}"
    return "open" if code == "0" else code


def tuning_notes(context: Context, args: Args) -> str:
    """``[[tuning-notes]]``: what each chair reads for the usual tuning notes."""
    args.only()
    rows: Rows = []
    for chair in context.book.band.pitched:
        if chair.instrument.brass:
            names = [chair.reading.written(Pitch.parse(sound)).letter_sign for sound in ("Bb4", "F4", "Eb4")]
            rows.append((capital(_name(context, chair)), *names))
    return str(
        table_if_any("What to read for a tuning note", ("Instrument", "Concert B♭", "Concert F", "Concert E♭"), rows)
    )


def slide_pulls(context: Context, args: Args) -> str:
    """``[[slide-pulls]]``: how far each tuning slide of this band goes for 10 cents, and what that does with valves."""
    args.only()
    english, rows = context.book.band.english, Rows()
    for chair in context.book.band.pitched:
        if chair.instrument.brass:
            pull = tuning.pull_mm(chair.instrument, TUNING_CENTS)
            valved = isinstance(chair.instrument.mechanism, Valves)
            lower = tuning.cents_of_pull(chair.instrument, pull, (1, 3)) if valved else 0.0
            said = tuning.pull_words(pull, english) if english == "american" else f"{pull:.1f} mm"
            rows.append((capital(_name(context, chair)), said, f"{lower:.0f} cents" if valved else "–"))
    caption = "Pull of the tuning slide for 10 cents, a tenth of a semitone, computed from the tube"
    return str(table_if_any(caption, ("Instrument", "Pull for 10 cents", "The same pull with 1-3 down"), rows))


def slide_asks(context: Context, args: Args) -> str:
    """``[[slide-asks]]``: which slide positions the course asks of this band, from which lesson, and how far out."""
    args.only()
    course, english, rows = context.book.course, context.book.band.english, Rows()
    for player in course.players if course else ():
        for each in asked(course.course, course.grades, player) if course else ():
            name = player.instrument.names.of(english)
            rows.append((f"{capital(ORDINALS[each.position])}", f"lesson {each.lesson}", _out(each.cm, english), name))
    caption = "Slide positions in the order the course asks for them; distances from the length of the tube"
    none = "Nobody in this band plays a slide in the course so far."
    return str(table_if_any(caption, ("Position", "From", "Out from first", "Who"), rows, none))


def _out(cm: float, english: str) -> str:
    return fine_length(cm, english) if cm else "right in"


def third_slide(context: Context, args: Args) -> str:
    """``[[third-slide]]``: the notes of the first year on which this band's players push out the third valve slide."""
    args.only()
    english, rows = context.book.band.english, Rows()
    for chair in context.book.band.pitched:
        for written, way, advice in third_slide_notes(chair, "first-year", english):
            rows.append((capital(_name(context, chair)), written.sign, way.code, advice.text))
    caption = "Notes of the first year, and what to do; distances computed from the tube"
    none = "No instrument of this band has a third valve slide that moves while playing."
    return str(table_if_any(caption, ("Instrument", "Note", "Valves", "What to do"), rows, none))


def same_hands(context: Context, args: Args) -> str:
    """``[[same-hands]]``: who of this band's brass has the same fingers on the same written notes, and who has not.

    A band of one instrument is compared with every other that there is, as it is first read.
    """
    args.only()
    families: list[list[Player]] = []
    chairs = [chair for chair in context.book.band.pitched if chair.instrument.brass]
    if len(chairs) == 1:
        others = (each for each in context.book.instruments.values() if each.brass and not each.family)
        chairs += [Player(each, each.readings[0]) for each in others if each is not chairs[0].instrument]
    for chair in chairs:
        home = next((family for family in families if not _differ(family[0], chair)), None)
        if home is None:
            families.append([chair])
        else:
            home.append(chair)
    families.sort(key=len, reverse=True)
    rows: Rows = []
    for family in families:
        names = ", ".join(_name(context, chair) for chair in family)
        rows.append((capital(names), _compared(families[0][0], family[0], first=family is families[0])))
    return str(table_if_any("Fingers on the written notes of the first year", ("Who", "Fingers"), rows))


def _compared(usual_chair: Player, chair: Player, first: bool) -> str:
    if first:
        return "all the same" if not isinstance(chair.instrument.mechanism, Slide) else "slide positions"
    if isinstance(chair.instrument.mechanism, Slide):
        return "slide positions, no valves"
    if chair.reading.clef != usual_chair.reading.clef:
        return "another clef: compare by the look-up"
    return f"other fingers on {', '.join(_differ(usual_chair, chair))}"


def _differ(one: Player, other: Player) -> list[str]:
    """Written notes of the first year that the two play otherwise; all of them, where clef or mechanism differ."""
    if one.reading.clef != other.reading.clef or type(one.instrument.mechanism) is not type(other.instrument.mechanism):
        return ["all"]
    span = one.instrument.written_range("first-year", one.reading)
    found = compare(one, other).differs
    return [each.written.sign for each in found if each.written in span]


def exposure_table(context: Context, args: Args) -> str:
    """``[[exposure]]``: how long at how loud, by the NIOSH rule for adults at work."""
    args.only()
    rows: Rows = []
    for level in LEVELS_DBA:
        used = exposure.dose_percent(level, 60)
        share = f"{round(used, 1):g} %" if used < 1000 else f"{used / 100:.0f} days' worth"
        rows.append((f"{level} dBA", exposure.in_words(exposure.allowed_minutes(level)), share))
    caption = "Adults at work, one day: NIOSH 98-126, computed by its rule"
    return str(table(caption, ("Level at the ear", "Longest time a day", "One hour uses"), rows))


def exposure_day(context: Context, args: Args) -> str:
    """``[[exposure-day level=95]]``: longest time a day at a level, for adults at work, by the NIOSH rule."""
    return exposure.in_words(exposure.allowed_minutes(_level(args)))


def exposure_week(context: Context, args: Args) -> str:
    """``[[exposure-week level=91]]``: time a week at a level with the energy of 75 dBA for 40 hours."""
    return str(Markup("{}").format(exposure.in_words(exposure.same_energy_minutes(_level(args), 75, 40 * 60))))


def most_new_notes(context: Context, args: Args) -> str:
    """``[[most-new-notes]]``: a sentence on how many new notes a lesson of this band brings anybody; none without."""
    args.only()
    course = context.book.course
    weeks = [week for player in course.players for week in course.grades.weeks[player.id]] if course else []
    most = max((len(week.new.notes) for week in weeks), default=0)
    return f"This band’s lesson cards bring {most} at most." if most else ""


def _level(args: Args) -> float:
    args.only("level")
    try:
        return float(args.named.get("level", ""))
    except ValueError:
        raise BlockError("level is missing or no number; write level=91") from None


BLOCKS = {
    "players": players,
    "borrow": borrow,
    "groups": groups,
    "learning-group": learning_group,
    "weights": weights,
    "trial-form": trial_form,
    "trial-sizes": trial_sizes,
    "adults": adults,
    "meetings": meetings,
    "rehearsal-plan": rehearsal_plan,
    "slide-pulls": slide_pulls,
    "slide-asks": slide_asks,
    "same-hands": same_hands,
    "third-slide": third_slide,
    "exposure-day": exposure_day,
    "first-notes": first_notes,
    "range-ladder": range_ladder,
    "readings": readings,
    "band-keys": band_keys,
    "same-note": same_note,
    "tuning-notes": tuning_notes,
    "exposure": exposure_table,
    "exposure-week": exposure_week,
    "most-new-notes": most_new_notes,
}
