"""Blocks about transposition: note to note, key to key, and the same sound on everyone's page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.data.problems import did_you_mean
from beginnerband.music import distance, transposition, unison
from beginnerband.music.answer import Answer, answer
from beginnerband.music.instrument import LEVELS, Instrument
from beginnerband.music.pitch import Pitch, spellings
from beginnerband.music.player import Player
from beginnerband.music.reading import Reading
from beginnerband.pages.blocks import Args, Block, BlockError, Context
from beginnerband.pages.shared import charts
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import STACKED, Cell, Rows, quiet, stacked, table
from beginnerband.pages.tables.data_files import families
from beginnerband.render import fingers, staff
from beginnerband.render.html import signs
from beginnerband.render.shapes import shared

HOME = 10
"""Pitch class the tables start from: B♭, the note a beginner band calls home."""


NO_NOTES = "<p>Nobody in this band plays notes, so there is nothing to show here.</p>"
"""What a band of drums reads in place of a table of notes."""


def concert_to_written(context: Context, args: Args) -> str:
    """``[[concert-to-written]]``: for every concert note, what each reading has on the page."""
    args.only()
    caption = "The band should sound … so each group reads …"
    return _octave(context.book, caption, "Concert", _from_home(), Reading.written)


def written_to_concert(context: Context, args: Args) -> str:
    """``[[written-to-concert]]``: for every written note, the concert note each reading sounds."""
    args.only()
    caption = "On the page stands … so each group sounds …"
    return _octave(context.book, caption, "Written", range(12), Reading.sounding)


def _octave(
    book: Book, caption: str, given: str, places: Iterable[int], moved: Callable[[Reading, Pitch], Pitch]
) -> str:
    """A row for each note of an octave, by semitones above C, and what becomes of it in each reading."""
    readings = _moved(book)
    rows: Rows = []
    for place in places:
        notes = spellings(60 + place)
        cells = (_either([transposition.simplest(moved(each, note)) for note in notes]) for each in readings.values())
        rows.append((_either(notes), *cells))
    return table(caption, (given, *readings), rows, note=SAME_AS_CONCERT)


def between_readings(context: Context, args: Args) -> str:
    """``[[between-readings]]``: from any reading to any other, how far to move a written note."""
    args.only()
    readings = _kinds(context.book)
    rows = [(name, *(_step(source, target) for target in readings.values())) for name, source in readings.items()]
    head = ("Written for … read by …", *readings)
    note = "Octaves are left out: move by a further octave wherever it suits the player."
    return table("Moving a part from one reading to another", head, rows, note=note, kind=STACKED)


def key_table(context: Context, args: Args) -> str:
    """``[[key-table]]``: every concert key and what stands in each reading's key signature."""
    args.only()
    readings = _moved(context.book)
    rows: Rows = []
    for concert in transposition.CONCERT_KEYS:
        keys = (transposition.written_key(concert, reading) for reading in (CONCERT_READING, *readings.values()))
        rows.append(tuple(stacked(signs(key.tonic), quiet(key.words if key.sharps else "none")) for key in keys))
    head = ("Concert key", *readings)
    return table("Major keys: concert key to written key", head, rows, note=SAME_AS_CONCERT)


def key_for(context: Context, args: Args) -> str:
    """``[[key-for key=Bb]]``: one concert key as each player of the band sees it."""
    concert = args.only("key", words=1).one_of("key", transposition.CONCERT_KEYS)
    rows = []
    for player in context.book.band.pitched:
        key = transposition.written_key(concert, player.reading)
        rows.append((_name_and_reading(context.book, player), signs(key.tonic), key.words))
    if not rows:
        return NO_NOTES
    return table(f"Concert {signs(concert)} major on everyone's page", ("Player", "Written key", "Signature"), rows)


def same_written(context: Context, args: Args) -> str:
    """``[[same-written note=C4]]``: everyone reads one written note; how they play it and what is heard.

    Without B♭ or without E♭ brass, an instrument of that group stands beside the band, so that there are two sounds.
    """
    note = _pitch(args.only("note", words=1), "note")
    rows: Rows = []
    band = context.book.band.pitched
    groups = {player.instrument.group for player in band}
    beside = [_of_group(context.book, group) for group in ("bb", "eb") if group not in groups] if band else []
    for player in (*band, *(Player(instrument, instrument.readings[0]) for instrument in beside)):
        found = answer(player, note)
        able = found.sounding in player.instrument.sounding_range("full")
        picture = staff.staff([note], player.reading.clef)
        sounds: Cell = Markup("<b>{}</b>").format(found.sounding.sign) if able else "not on this instrument"
        name = _name_and_reading(context.book, player)
        who = name if player in band else stacked(name, quiet("not in this band"))
        rows.append((who, picture, _play(found, context.book.band.english) if able else "–", sounds))
    if not rows:
        return NO_NOTES
    head = ("Player", f"Reads {note.sign}", "Plays", "Sounds")
    return _drawn(table(f"Everyone reads {note.sign}", head, rows))


def same_sound(context: Context, args: Args) -> str:
    """``[[same-sound note=Bb3 level=first-year]]``: one concert note; what each player reads for it or its octave."""
    note = _pitch(args.only("note", "level"), "note")
    level = args.one_of("level", LEVELS, "first-year")
    rows: Rows = []
    for player in context.book.band.pitched:
        found = unison.match(note, player, level)
        who = _name_and_reading(context.book, player)
        if found is None:
            rows.append((who, "–", "–", f"not in the {charts.LEVEL_WORDS[level].lower()}"))
            continue
        read = found.answer
        picture = stacked(staff.staff([read.written], player.reading.clef), read.written.sign)
        rows.append(
            (who, picture, _play(read, context.book.band.english), stacked(read.sounding.sign, quiet(found.where)))
        )
    if not rows:
        return NO_NOTES
    title = f"Everyone sounds concert {note.letter_sign}"
    return _drawn(table(title, ("Player", "Reads", "Plays", "Sounds"), rows))


def player(context: Context, args: Args) -> str:
    """``[[player group=eb]]``: in a sentence, an instrument of one group (bb, eb, f, concert)."""
    group = args.only("group", words=1).one_of("group", ("bb", "eb", "f", "concert"))
    return str(Markup("{}").format(_of_group(context.book, group).names.of(context.book.band.english)))


def apart(context: Context, args: Args) -> str:
    """``[[apart from=eb to=bb]]``: in a sentence, how far apart two groups sound on one written note."""
    args.only("from", "to")
    groups = ("bb", "eb", "f")
    first, second = (_of_group(context.book, _named(args, key, groups)).readings[0] for key in ("from", "to"))
    return distance.in_words(transposition.apart(first, second))


BLOCKS: dict[str, Block] = {
    "concert-to-written": concert_to_written,
    "written-to-concert": written_to_concert,
    "between-readings": between_readings,
    "key-table": key_table,
    "key-for": key_for,
    "same-written": same_written,
    "same-sound": same_sound,
    "player": player,
    "apart": apart,
}


KINDS = {"bb": "B♭ readers", "eb": "E♭ readers", "f": "F readers"}
"""Readings by the key in their id; all others read at concert pitch."""

CONCERT = "Concert-pitch readers"
"""Bass clef, and percussion: they read the letter that sounds."""

CONCERT_READING = Reading("bass-c", clef="bass", interval="P1")
"""Reading what sounds."""

SAME_AS_CONCERT = "Bass clef, glockenspiel and xylophone read the letter that sounds: the first column is theirs."
"""Below a table whose first column is what concert-pitch readers have, so that none repeats it."""


def _kinds(book: Book) -> dict[str, Reading]:
    """One reading for each letter that readers can see for a sound, octaves left out."""
    found = {KINDS.get(reading_id.partition("-")[2], CONCERT): each for reading_id, each in families(book).items()}
    return {name: found[name] for name in (*KINDS.values(), CONCERT) if name in found}


def _moved(book: Book) -> dict[str, Reading]:
    """Those of :func:`_kinds` who see another letter than the one that sounds."""
    return {name: reading for name, reading in _kinds(book).items() if name != CONCERT}


def _from_home() -> Sequence[int]:
    return [(HOME + step) % 12 for step in range(12)]


def _either(pitches: Sequence[Pitch]) -> str:
    return " or ".join(dict.fromkeys(pitch.letter_sign for pitch in pitches))


def _step(source: Reading, target: Reading) -> Cell:
    """How to move a note written for ``source`` so that a ``target`` reader sounds the same, octaves left out."""
    up = (source.semitones - target.semitones) % 12
    if not up:
        return "as it is"
    return stacked(f"up {distance.size_in_words(up)}", quiet(f"or down {distance.size_in_words(up - 12)}"))


def _name_and_reading(book: Book, player: Player) -> Cell:
    name = player.instrument.names.of(book.band.english)
    return stacked(name, quiet(READING_WORDS[player.reading.id]))


def _play(note: Answer, english: str) -> Cell:
    if note.way is None:
        return "struck"
    drawn = fingers.picture(note.player.instrument, note.way, english)
    return stacked(drawn, Markup("<b>{}</b>").format(charts.code_words(note.way)))


def _drawn(html: Markup) -> str:
    return str(Markup("").join(shared(html)))


def _pitch(args: Args, key: str) -> Pitch:
    text = args.named.get(key) or (args.words[0] if args.words else "")
    try:
        return Pitch.parse(text)
    except ValueError as error:
        raise BlockError(f"{key}: {error}") from None


def _named(args: Args, key: str, choices: tuple[str, ...]) -> str:
    value = args.named.get(key, "")
    if value not in choices:
        raise BlockError(f"no {key} {value!r}{did_you_mean(value, choices)}" if value else f"{key!r} is missing")
    return value


def _of_group(book: Book, group: str) -> Instrument:
    """The band's first instrument of the group, or the handbook's first."""
    own = [player.instrument for player in book.band.players]
    return next(each for each in (*own, *book.instruments.values()) if each.group == group)
