"""Tables in the guide that are computed from the band, its instruments and the published rules."""

from __future__ import annotations

from markupsafe import Markup

from beginnerband.data.band import Chair
from beginnerband.music import fingering
from beginnerband.music.instrument import VOICES, Slide
from beginnerband.music.pitch import Pitch, usual
from beginnerband.music.transposition import CONCERT_KEYS, written_key
from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.render.html import render
from beginnerband.teaching import exposure

READING_WORDS = {
    "treble-bb": "Treble clef in B♭",
    "treble-eb": "Treble clef in E♭",
    "treble-f": "Treble clef in F",
    "treble-c": "Treble clef in C",
    "bass-c": "Bass clef, concert pitch",
    "rhythm": "Rhythm on one line",
}
"""Readings in words."""

GROUP_WORDS = {
    "bb": "B♭ group",
    "eb": "E♭ group",
    "f": "F group",
    "concert": "Bass-clef group",
    "percussion": "Percussion",
}
"""Learning groups in words."""

BAND_KEYS = ("Bb", "Eb", "F", "Ab")
"""Concert keys a starting brass band plays in most (common practice, no source)."""

LEVELS_DBA = (80, 85, 88, 91, 94, 97, 100, 103, 106)
"""Levels shown, dBA."""


def _name(context: Context, chair: Chair) -> str:
    return chair.instrument.names.of(context.book.band.words)


def _table(head: tuple[str, ...], rows: list[tuple[object, ...]], caption: str) -> str:
    return str(render("guide/table.html", head=head, rows=rows, caption=caption))


def players(context: Context, args: Args) -> str:
    """``[[players]]``: this band's chairs by part."""
    args.only()
    rows: list[tuple[object, ...]] = []
    for voice in VOICES:
        chairs = [chair for chair in context.book.band.chairs if voice in chair.instrument.covers]
        first = [chair for chair in chairs if chair.instrument.covers[0] == voice and chair.instrument.brass]
        others = [chair for chair in chairs if chair not in first]
        count = sum(chair.players for chair in first)
        names = ", ".join(f"{_name(context, chair)} ({chair.players})" for chair in first) or "nobody yet"
        rows.append(
            (voice.capitalize(), count, names, ", ".join(_name(context, chair) for chair in others) or "nobody")
        )
    return _table(("Part", "Players", "Who", "Who else could"), rows, f"{context.book.band.name}, by part")


def groups(context: Context, args: Args) -> str:
    """``[[groups]]``: which chairs of this band learn together."""
    args.only()
    rows: list[tuple[object, ...]] = []
    for group, words in GROUP_WORDS.items():
        chairs = [chair for chair in context.book.band.chairs if _group(chair) == group]
        if chairs:
            names = ", ".join(f"{_name(context, chair)} ({chair.players})" for chair in chairs)
            rows.append((words, sum(chair.players for chair in chairs), names))
    return _table(("Group", "Players", "Who"), rows, "Who learns together in this band")


def _group(chair: Chair) -> str:
    """The group a chair learns with: by its reading here, since a low player may read either way."""
    by_reading = {"treble-bb": "bb", "treble-eb": "eb", "treble-f": "f", "bass-c": "concert"}
    return by_reading.get(chair.reading.id, chair.instrument.group)


def weights(context: Context, args: Args) -> str:
    """``[[weights]]``: rough weight and size of this band's instruments, with their source."""
    args.only()
    chairs = sorted(context.book.band.chairs, key=lambda chair: chair.instrument.weight_kg)
    rows: list[tuple[object, ...]] = [
        (
            _name(context, chair),
            f"{chair.instrument.weight_kg:g} kg",
            f"{chair.instrument.length_cm:g} cm",
            chair.instrument.mouthpiece,
        )
        for chair in chairs
    ]
    caption = "Rough weights without the case, and sizes as held. Common practice; weigh your own."
    return _table(("Instrument", "Weight", "Length", "Mouthpiece"), rows, caption)


def first_notes(context: Context, args: Args) -> str:
    """``[[first-notes]]``: lowest and highest open note of each chair's starter range, written and sounding."""
    args.only()
    rows: list[tuple[object, ...]] = []
    for chair in context.book.band.pitched:
        if not chair.instrument.brass:
            continue
        span = chair.instrument.sounding_range("starter")
        code = "1" if isinstance(chair.instrument.mechanism, Slide) else "0"
        found = [usual(midi) for midi, way in fingering.notes_of(chair.instrument, code) if way.for_learners]
        within = [note for note in found if note in span]
        if within:
            rows.append((_name(context, chair), _both(chair, within[0]), _both(chair, within[-1])))
    return _table(("Instrument", "Lower easy note", "Upper easy note"), rows, "Written note, and the sound in brackets")


def _both(chair: Chair, sounding: Pitch) -> Markup:
    return Markup("{} <small>({})</small>").format(chair.reading.written(sounding).sign, sounding.sign)


def range_ladder(context: Context, args: Args) -> str:
    """``[[range-ladder]]``: written range of each chair at each level."""
    args.only()
    rows: list[tuple[object, ...]] = []
    for chair in context.book.band.pitched:
        found = [chair.instrument.written_range(level, chair.reading) for level in ("starter", "first-year")]
        rows.append((_name(context, chair), *(f"{span.low.sign} to {span.high.sign}" for span in found)))
    return _table(
        ("Instrument", "To start", "By the end of the first year"), rows, "Written notes, from the instrument files"
    )


def readings(context: Context, args: Args) -> str:
    """``[[readings]]``: what each chair of this band reads."""
    args.only()
    rows: list[tuple[object, ...]] = [
        (
            READING_WORDS[reading],
            ", ".join(_name(context, chair) for chair in context.book.band.chairs if chair.reading.id == reading),
        )
        for reading in READING_WORDS
        if any(chair.reading.id == reading for chair in context.book.band.chairs)
    ]
    return _table(("Page", "Who in this band"), rows, "What this band reads")


def band_keys(context: Context, args: Args) -> str:
    """``[[band-keys]]``: the key each group reads for the usual concert keys."""
    args.only()
    found = {chair.reading.id: chair.reading for chair in context.book.band.pitched}
    used = [found[reading_id] for reading_id in READING_WORDS if reading_id in found]
    rows: list[tuple[object, ...]] = []
    for key in BAND_KEYS:
        assert key in CONCERT_KEYS
        written = [written_key(key, reading) for reading in used]
        rows.append((f"Concert {_sign(key)}", *(f"{_sign(own.tonic)}: {own.words}" for own in written)))
    head = ("The sound", *(READING_WORDS[reading.id] for reading in used))
    return _table(head, rows, "One key, as each group reads it")


def _sign(letter: str) -> str:
    return letter.replace("b", "♭").replace("#", "♯")


def same_note(context: Context, args: Args) -> str:
    """``[[same-note note=C5]]``: what is heard when every brass reader of a treble clef plays one written note."""
    args.only("note")
    try:
        note = Pitch.parse(args.named.get("note", "C5"))
    except ValueError as error:
        raise BlockError(str(error)) from None
    rows: list[tuple[object, ...]] = []
    for chair in context.book.band.pitched:
        if not chair.instrument.brass:
            continue
        sound = chair.reading.sounding(note)
        way = fingering.standard(chair.instrument, sound) if chair.reading.clef == "treble" else None
        if way is None:
            continue
        rows.append((_name(context, chair), note.letter_sign, _keys(way.code), sound.letter_sign))
    return _table(("Instrument", "Reads", "Fingers", "You hear"), rows, f"Everybody reads {note.letter_sign}")


def _keys(code: str) -> str:
    return "open" if code == "0" else code


def tuning_notes(context: Context, args: Args) -> str:
    """``[[tuning-notes]]``: what each chair reads for the usual tuning notes."""
    args.only()
    rows: list[tuple[object, ...]] = []
    for chair in context.book.band.pitched:
        if chair.instrument.brass:
            names = [chair.reading.written(Pitch.parse(sound)).letter_sign for sound in ("Bb4", "F4", "Eb4")]
            rows.append((_name(context, chair), *names))
    return _table(("Instrument", "Concert B♭", "Concert F", "Concert E♭"), rows, "What to read for a tuning note")


def exposure_table(context: Context, args: Args) -> str:
    """``[[exposure]]``: how long at how loud, by the NIOSH rule for adults at work."""
    args.only()
    rows: list[tuple[object, ...]] = []
    for level in LEVELS_DBA:
        used = exposure.dose_percent(level, 60)
        share = f"{round(used, 1):g} %" if used < 1000 else f"{used / 100:.0f} days' worth"
        rows.append((f"{level} dBA", exposure.in_words(exposure.allowed_minutes(level)), share))
    caption = "Adults at work, one day: NIOSH 98-126, computed by its rule"
    return _table(("Level at the ear", "Longest time a day", "One hour uses"), rows, caption)


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
    "first-notes": first_notes,
    "range-ladder": range_ladder,
    "readings": readings,
    "band-keys": band_keys,
    "same-note": same_note,
    "tuning-notes": tuning_notes,
    "exposure": exposure_table,
    "exposure-week": exposure_week,
}
