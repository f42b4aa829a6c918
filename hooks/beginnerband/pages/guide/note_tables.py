"""Tables in the guide about the notes of this band's instruments: first notes, ranges, keys, slides and fingers."""

from __future__ import annotations

from itertools import combinations

from markupsafe import Markup

from beginnerband.music import fingering, meeting, tuning
from beginnerband.music.advice import third_slide_notes
from beginnerband.music.equivalence import compare
from beginnerband.music.instrument import Slide, Valves
from beginnerband.music.pitch import STEPS, Pitch, usual, with_signs
from beginnerband.music.player import Player
from beginnerband.music.slide import ORDINALS
from beginnerband.music.transposition import CONCERT_KEYS, written_key
from beginnerband.music.words import capital
from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.pages.guide.band_tables import name_of
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import STACKED, Cell, Rows, joined, table_if_any
from beginnerband.pages.shared.units import fine_length
from beginnerband.teaching.positions import asked

BAND_KEYS = ("Bb", "Eb", "F", "Ab")
"""Concert keys a starting brass band plays in most (common practice, no source)."""

TUNING_CENTS = 10
"""Cents for which the pull of a tuning slide is told: what a beginner can hear and set."""

EASY = "no valve or slide in"

CHARACTER_WORDS = {
    "one": "as one note",
    "open": "open and pleasant: easy to miss",
    "sweet": "sweet, like two voices of a song",
    "rubs": "rough: it rubs",
}


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
        pair = f"{capital(name_of(context, one))} and {name_of(context, other)}"
        sounds = f"{met.first.letter_sign} and {met.second.letter_sign}, {met.interval} apart"
        rows.append((pair, sounds, CHARACTER_WORDS[met.character]))
    caption = f"Two players of this band both read {letter}"
    apart = len({chair.reading.semitones for chair in context.book.band.pitched if chair.instrument.brass}) > 1
    none = f"All the brass of this band reads alike: one letter is one sound{', in octaves' if apart else ''}."
    return str(table_if_any(caption, ("Who", "You hear", "It sounds"), rows, none))


def _voice(chair: Player) -> meeting.Voice:
    return chair.reading, chair.instrument.written_range("starter", chair.reading).low


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
            (capital(name_of(context, chair)), first, joined([_both(chair, note) for note in easy if note in span]))
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
        rows.append((capital(name_of(context, chair)), *(f"{span.low.sign} to {span.high.sign}" for span in found)))
    head = ("Instrument", "To start", "By the end of the first year")
    return str(table_if_any("Written notes, from the instrument files", head, rows))


def readings(context: Context, args: Args) -> str:
    """``[[readings]]``: what each chair of this band reads."""
    args.only()
    rows: Rows = [
        (
            capital(READING_WORDS[reading]),
            ", ".join(name_of(context, chair) for chair in context.book.band.players if chair.reading.id == reading),
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
        rows.append((capital(name_of(context, chair)), note.letter_sign, _keys(chair, way.code), sound.letter_sign))
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
            rows.append((capital(name_of(context, chair)), *names))
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
            rows.append((capital(name_of(context, chair)), said, f"{lower:.0f} cents" if valved else "–"))
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
            rows.append((capital(name_of(context, chair)), written.sign, way.code, advice.text))
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
        names = ", ".join(name_of(context, chair) for chair in family)
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


BLOCKS = {
    "meetings": meetings,
    "slide-pulls": slide_pulls,
    "slide-asks": slide_asks,
    "same-hands": same_hands,
    "third-slide": third_slide,
    "first-notes": first_notes,
    "range-ladder": range_ladder,
    "readings": readings,
    "band-keys": band_keys,
    "same-note": same_note,
    "tuning-notes": tuning_notes,
}
