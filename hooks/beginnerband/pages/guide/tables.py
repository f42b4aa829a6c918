"""Tables in the guide that are computed from the band, its instruments and the published rules."""

from __future__ import annotations

from markupsafe import Markup

from beginnerband.music import fingering
from beginnerband.music.instrument import VOICES, Slide
from beginnerband.music.pitch import Pitch, usual
from beginnerband.music.player import Player
from beginnerband.music.transposition import CONCERT_KEYS, written_key
from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.pages.instruments.room import GROUP_WORDS, mouthpiece_words
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import Cell, table
from beginnerband.pages.shared.units import length, weight
from beginnerband.teaching import exposure

BAND_KEYS = ("Bb", "Eb", "F", "Ab")
"""Concert keys a starting brass band plays in most (common practice, no source)."""

LEVELS_DBA = (80, 85, 88, 91, 94, 97, 100, 103, 106)
"""Levels shown, dBA."""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _name(context: Context, chair: Player) -> str:
    return chair.instrument.names.of(context.book.band.words)


Rows = list[tuple[Cell, ...]]


def players(context: Context, args: Args) -> str:
    """``[[players]]``: this band's chairs by part."""
    args.only()
    rows: Rows = []
    for voice in VOICES:
        chairs = [chair for chair in context.book.band.players if voice in chair.instrument.covers]
        first = [chair for chair in chairs if chair.instrument.covers[0] == voice and chair.instrument.brass]
        others = [chair for chair in chairs if chair not in first]
        count = sum(chair.count for chair in first)
        names = ", ".join(_counted(context, chair) for chair in first) or "nobody yet"
        rows.append(
            (voice.capitalize(), count, names, ", ".join(_name(context, chair) for chair in others) or "nobody")
        )
    return str(table(f"{context.book.band.name}, by part", ("Part", "Players", "Who", "Who else could"), rows))


def groups(context: Context, args: Args) -> str:
    """``[[groups]]``: which chairs of this band learn together while the groups are apart."""
    args.only()
    sat: dict[str, list[Player]] = {}
    for chair in context.book.band.players:
        sat.setdefault(_room(context, chair), []).append(chair)
    rows: Rows = [
        (room, sum(chair.count for chair in chairs), ", ".join(_counted(context, chair) for chair in chairs))
        for room, chairs in sat.items()
    ]
    return str(table("Who learns together in this band", ("Group", "Players", "Who"), rows))


def _room(context: Context, chair: Player) -> str:
    """The room of the course's plan that a chair sits in, or its learning group where there is no course."""
    course = context.book.course
    return course.course.room_of(chair.instrument).name if course else _capital(GROUP_WORDS[chair.instrument.group])


def _counted(context: Context, chair: Player) -> str:
    return f"{_name(context, chair)} ({chair.count})"


def weights(context: Context, args: Args) -> str:
    """``[[weights]]``: rough weight and size of this band's instruments, with their source."""
    args.only()
    words = context.book.band.words
    chairs = sorted(context.book.band.players, key=lambda chair: chair.instrument.weight_kg)
    rows: Rows = [
        (
            _name(context, chair),
            weight(chair.instrument.weight_kg, words),
            length(chair.instrument.length_cm, words),
            mouthpiece_words(context.book, chair.instrument.mouthpiece),
        )
        for chair in chairs
    ]
    caption = "Rough weights without the case, and sizes as held. Common practice; weigh your own."
    return str(table(caption, ("Instrument", "Weight", "Length", "Mouthpiece"), rows))


def trial_form(context: Context, args: Args) -> str:
    """``[[trial-form]]``: a form to fill in while a learner tries mouthpieces."""
    args.only()
    sizes = ("small", "medium", "funnel", "large", "extra-large")
    used = {instrument.mouthpiece for instrument in context.book.instruments.values()}
    rows: Rows = [(_capital(mouthpiece_words(context.book, size)), *("☐",) * 4) for size in sizes if size in used]
    head = ("Mouthpiece", "Sound at once", "Even sound", "Easy face", "Liked it")
    return str(table("Name: ____________________  Date: __________", head, rows))


def first_notes(context: Context, args: Args) -> str:
    """``[[first-notes]]``: lowest and highest open note of each chair's starter range, written and sounding."""
    args.only()
    rows: Rows = []
    for chair in context.book.band.pitched:
        if not chair.instrument.brass:
            continue
        span = chair.instrument.sounding_range("starter")
        code = "1" if isinstance(chair.instrument.mechanism, Slide) else "0"
        found = [usual(midi) for midi, way in fingering.notes_of(chair.instrument, code) if way.for_learners]
        within = [note for note in found if note in span]
        if within:
            rows.append((_name(context, chair), _both(chair, within[0]), _both(chair, within[-1])))
    return str(
        table("Written note, and the sound in brackets", ("Instrument", "Lower easy note", "Upper easy note"), rows)
    )


def _both(chair: Player, sounding: Pitch) -> Markup:
    return Markup("{} <small>({})</small>").format(chair.reading.written(sounding).sign, sounding.sign)


def range_ladder(context: Context, args: Args) -> str:
    """``[[range-ladder]]``: written range of each chair at each level."""
    args.only()
    rows: Rows = []
    for chair in context.book.band.pitched:
        found = [chair.instrument.written_range(level, chair.reading) for level in ("starter", "first-year")]
        rows.append((_name(context, chair), *(f"{span.low.sign} to {span.high.sign}" for span in found)))
    return str(
        table(
            "Written notes, from the instrument files", ("Instrument", "To start", "By the end of the first year"), rows
        )
    )


def readings(context: Context, args: Args) -> str:
    """``[[readings]]``: what each chair of this band reads."""
    args.only()
    rows: Rows = [
        (
            _capital(READING_WORDS[reading]),
            ", ".join(_name(context, chair) for chair in context.book.band.players if chair.reading.id == reading),
        )
        for reading in READING_WORDS
        if any(chair.reading.id == reading for chair in context.book.band.players)
    ]
    return str(table("What this band reads", ("Page", "Who in this band"), rows))


def band_keys(context: Context, args: Args) -> str:
    """``[[band-keys]]``: the key each group reads for the usual concert keys."""
    args.only()
    found = {chair.reading.id: chair.reading for chair in context.book.band.pitched}
    used = [found[reading_id] for reading_id in READING_WORDS if reading_id in found]
    rows: Rows = []
    for key in BAND_KEYS:
        assert key in CONCERT_KEYS
        written = [written_key(key, reading) for reading in used]
        rows.append((f"Concert {_sign(key)}", *(f"{_sign(own.tonic)}: {own.words}" for own in written)))
    head = ("The sound", *(_capital(READING_WORDS[reading.id]) for reading in used))
    return str(table("One key, as each group reads it", head, rows))


def _sign(letter: str) -> str:
    return letter.replace("b", "♭").replace("#", "♯")


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
        rows.append((_name(context, chair), note.letter_sign, _keys(way.code), sound.letter_sign))
    return str(table(f"Everybody reads {note.letter_sign}", ("Instrument", "Reads", "Fingers", "You hear"), rows))


def _keys(code: str) -> str:
    return "open" if code == "0" else code


def tuning_notes(context: Context, args: Args) -> str:
    """``[[tuning-notes]]``: what each chair reads for the usual tuning notes."""
    args.only()
    rows: Rows = []
    for chair in context.book.band.pitched:
        if chair.instrument.brass:
            names = [chair.reading.written(Pitch.parse(sound)).letter_sign for sound in ("Bb4", "F4", "Eb4")]
            rows.append((_name(context, chair), *names))
    return str(table("What to read for a tuning note", ("Instrument", "Concert B♭", "Concert F", "Concert E♭"), rows))


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


def exposure_week(context: Context, args: Args) -> str:
    """``[[exposure-week level=91]]``: time a week at a level with the energy of 75 dBA for 40 hours."""
    args.only("level")
    try:
        level = float(args.named.get("level", ""))
    except ValueError:
        raise BlockError("level is missing or no number; write level=91") from None
    return str(Markup("{}").format(exposure.in_words(exposure.same_energy_minutes(level, 75, 40 * 60))))


BLOCKS = {
    "players": players,
    "groups": groups,
    "weights": weights,
    "trial-form": trial_form,
    "first-notes": first_notes,
    "range-ladder": range_ladder,
    "readings": readings,
    "band-keys": band_keys,
    "same-note": same_note,
    "tuning-notes": tuning_notes,
    "exposure": exposure_table,
    "exposure-week": exposure_week,
}
