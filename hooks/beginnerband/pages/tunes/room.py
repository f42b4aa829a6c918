"""The tunes: a list, a page for each with every player's part, files to take away, and the metronome page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.difficulty import WIDTHS, LineDifficulty, line_difficulty, player_difficulty, width
from beginnerband.music.keychoice import KeyChoice
from beginnerband.music.line_breaks import FINGERED, line_breaks
from beginnerband.music.part import CANNOT, EARLY, SIGN, STRETCH
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Key
from beginnerband.music.tune import Tune
from beginnerband.music.words import (
    beats_words,
    describe,
    key_words,
    series,
    suggested,
    tempo_words,
    time_words,
    value_words,
)
from beginnerband.pages.blocks import Args, Block, BlockError, Context
from beginnerband.pages.shared.csv_text import csv_text
from beginnerband.pages.shared.links import TODAY
from beginnerband.pages.shared.needs import (
    SharedNeed,
    gathered,
    learners,
    lesson_number,
    needs_table,
    things_words,
)
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import STACKED, Cell, Row, link, table
from beginnerband.pages.shared.text import capital
from beginnerband.pages.tunes.files import TuneFile, as_midi, as_musicxml, drum_staves, files
from beginnerband.pages.tunes.taught import asked, known_when, taught_again
from beginnerband.pages.tunes.view import (
    LEVEL_WORDS,
    Offer,
    Sheet,
    difficulty_sentence,
    key_sentence,
    offers,
    suits_words,
)
from beginnerband.products import Products
from beginnerband.render import sound
from beginnerband.render.engrave import NARROW, Engraving, engrave, glyph_sheet
from beginnerband.render.html import markdown_text, relative, render, signs
from beginnerband.render.write_musicxml import Staff, numbers
from beginnerband.teaching.facts import facts_of
from beginnerband.teaching.readiness import Taught, When, by_ear, needs, ready

COLUMNS = (
    "tune", "concert_key", "reading", "instrument", "lowest", "highest", "new_notes", "playable_from_lesson",
    "readable_from_lesson", "missing", "asks",
)  # fmt: skip
"""Columns of ``data/tunes.csv``."""

SECTION = "Tunes"
TOOLS = "tunes/metronome-and-tuning.md"
"""The page with the metronome and the tuning tone."""

TRADITIONAL = ("", "trad.", "Trad.")
NEVER = 1_000
"""Stands behind every week of a course."""
WIDTH_WORDS = tuple(word for word, _ in WIDTHS)

TUNING = (("B♭", "Bb4"), ("B♭, an octave lower", "Bb3"), ("E♭", "Eb4"), ("A", "A4"), ("F", "F4"))
"""Concert notes bands tune to (common practice, no source)."""


def uri(tune_id: str) -> str:
    """A tune's page."""
    return f"tunes/{tune_id}.md"


def contribute(book: Book, out: Products) -> None:
    """The list, a page a tune with its files, the tools, and ``data/tunes.csv``."""
    whens = {ident: known_when(book, ident) for ident in book.tunes}
    out.page("tunes/index.md", SECTION, _index(book, out, whens), nav=(SECTION,))
    out.page(TOOLS, "Metronome and tuning tone", _tools(book, out), nav=(SECTION,))
    rows: list[tuple[object, ...]] = []
    for tune in by_width(book):
        made, listed = book.reuse.of(_one, book, tune.id)
        out.add(made)
        rows += listed
    out.asset("data/tunes.csv", csv_text(COLUMNS, rows))


def _one(book: Book, ident: str) -> tuple[Products, list[tuple[object, ...]]]:
    """A tune's page and files, and its rows of ``data/tunes.csv``."""
    tune, known, out = book.tunes[ident], learners(book), Products()
    when = known_when(book, ident)
    made = offers(book, tune, when, taught_again(book, tune, known))
    page = _page(book, out, tune, made, known, when)
    out.page(uri(tune.id), tune.title, page, nav=(SECTION, _heading(width(tune.line))))
    for offer in made:
        for file in files(book, tune, offer):
            out.asset(f"{file.stem}.musicxml", as_musicxml(tune, file, book.band.english))
            out.asset(f"{file.stem}.mid", as_midi(tune, file))
    return out, [row for offer in made for row in _csv(book, tune, offer, known)]


def by_width(book: Book) -> list[Tune]:
    """Tunes from the fewest notes to the most, then by title."""
    return sorted(book.tunes.values(), key=lambda tune: (_place(tune), tune.title))


def _place(tune: Tune) -> int:
    """How wide it is, from 0."""
    words = width(tune.line)
    return WIDTH_WORDS.index(words) if words in WIDTH_WORDS else len(WIDTH_WORDS)


def _heading(words: str) -> str:
    return words[0].upper() + words[1:]


# -- the data file


def _csv(book: Book, tune: Tune, offer: Offer, known: Mapping[str, Taught]) -> Iterable[tuple[object, ...]]:
    for sheet in offer.sheets:
        facts = facts_of(sheet.part.written)
        for player in sheet.players:
            taught = known.get(player.id)
            all_of_it = needs(facts, taught) if taught else ()
            never = [need for need in all_of_it if need.place is None]
            low, high = sheet.part.written.lowest, sheet.part.written.highest
            yield (
                tune.id,
                offer.key.name,
                player.reading.id,
                player.instrument.id,
                low.name if low else "",
                high.name if high else "",
                " ".join(need.what for need in never if need.kind == "note"),
                lesson_number(book, ready(by_ear(all_of_it))) if taught else "",
                lesson_number(book, ready(all_of_it)) if taught else "",
                "; ".join(f"{need.kind} {need.what}".strip() for need in never),
                "; ".join(
                    f"{need.kind} {need.what}".strip() + f": {lesson_number(book, need.place) or 'none'}"
                    for need in all_of_it
                ),
            )


# -- the list


def _index(book: Book, out: Products, whens: Mapping[str, When | None]) -> str:
    rows, heading = [], ""
    for tune in sorted(by_width(book), key=lambda tune: (_place(tune), *_soon(whens[tune.id]))):
        kind = _heading(width(tune.line))
        rows.append(
            Row(
                (
                    link(tune.title, relative("tunes/index.md", uri(tune.id))),
                    _about(tune),
                    _together_cell(book, whens[tune.id]),
                    series(value_words(line_difficulty(tune.line).values, book.band.english)),
                ),
                group=kind if kind != heading else "",
            )
        )
        heading = kind
    head = ("Tune", "What it is", "Everyone can play it", "Note and rest values")
    listed = table("Tunes, from fewest notes to most", head, rows, kind=f"{STACKED} bb-brief bb-tunes")
    today = f"[What can we play today?](../{TODAY})\n" if book.course else ""
    return f"{INTRODUCTION.replace('COUNT', str(len(book.tunes)))}{today}\n{out.html(str(listed))}\n"


def _soon(when: When | None) -> tuple[bool, int, int]:
    """What can be played soonest comes first."""
    if when is None or when.ear is None:
        return True, 0, 0
    return False, when.ear, NEVER if when.paper is None else when.paper


INTRODUCTION = """# Tunes

COUNT tunes, each with a part for every instrument of the band: to see, to print, to hear, and as files for a notation
program. For each the handbook works out which concert key suits the band. A tune of your own gets the same:
[bring your own tune](your-own-tune.md).

For practice at home: [metronome and tuning tone](metronome-and-tuning.md).
"""


def _about(tune: Tune) -> str:
    kind = "" if tune.kind in WIDTH_WORDS else tune.kind
    by = "" if tune.composer in TRADITIONAL or tune.own else tune.composer
    return ", ".join(part for part in (kind, by, tune.origin) if part) or "written for this handbook"


def _together_cell(book: Book, when: When | None) -> Cell:
    if when is None:
        return "after the course" if book.course else ""
    ear, paper = lesson_number(book, when.ear), lesson_number(book, when.paper)
    if not ear:
        return "after the course"
    if ear == paper:
        return f"from lesson {ear}, in {when.key.sign}"
    return f"from lesson {ear} by ear{f', {paper} from paper' if paper else ''}, in {when.key.sign}"


# -- one tune


def _page(
    book: Book, out: Products, tune: Tune, made: Sequence[Offer], known: Mapping[str, Taught], when: When | None
) -> str:
    page = uri(tune.id)
    cache = book.root / ".cache"
    english = book.band.english
    drums = drum_staves(tune)
    drum_words = " ".join(f"{staff.name}. {describe(staff.line, english)}" for staff in drums)
    drum_breaks = line_breaks([staff.line for staff in drums], NARROW)
    drum_picture = engrave(drums, f"{tune.title}, drums", drum_words, cache, breaks=drum_breaks)
    pictures = {sheet.ident: _picture(book, tune, offer, sheet) for offer in made for sheet in offer.sheets}
    round_picture = _round_picture(book, tune)
    measured = line_difficulty(tune.line)
    together = made[0]
    every = gathered(book, asked(book, tune, together, known))
    ranking = together.ranking
    shown = render(
        "tunes/tune.html",
        tune=tune,
        script=sound.script(page),
        tune_script=relative(page, "assets/tunes.js"),
        glyphs=glyph_sheet(filter(None, [*pictures.values(), drum_picture, round_picture])),
        jumps=render("shared/jumps.html", jumps=_jumps(made, english)),
        facts=_facts(book, tune),
        expect=difficulty_sentence(width(tune.line), measured, english),
        numbers=_numbers(book, together, measured),
        key_words=key_sentence(book, together.level, ranking, together.choice),
        when=_when(book, every, when, together.key),
        needs=needs_table(book, every, "What it asks, and the lesson that brings it") if known else "",
        suggested=suggested(tune.line),
        all_keys=_keys(book, ranking, "All fifteen keys, best first"),
        round_picture=round_picture.boxed("round") if round_picture else "",
        round_player=_round(book, tune) if round_picture else "",
        players=[
            (player.instrument.id, capital(player.instrument.names.of(english)))
            for player in book.band.players
            if player.instrument.id in {each.instrument.id for sheet in together.sheets for each in sheet.players}
            or not player.instrument.pitched
        ],
        offers=[
            {
                "heading": _offer_heading(offer),
                "id": f"parts-{offer.sheets[0].ident}",
                "players": " ".join(player.id for sheet in offer.sheets for player in sheet.players),
                "about": _offer_about(book, offer),
                "sheets": [_sheet(book, tune, offer, sheet, pictures[sheet.ident]) for sheet in offer.sheets],
                "files": _files(page, list(files(book, tune, offer)), book),
            }
            for offer in made
            if offer.sheets
        ],
        drums={
            "picture": drum_picture.boxed("drums"),
            "words": drum_words,
            "player": sound.player(_drum_voices(drums), f"{tune.title}, drums", "sheet-drums"),
        },
    )
    title = markdown_text(tune.title)
    return f"# {title}\n\n{out.html(str(shown))}\n"


def _drum_voices(drums: Sequence[Staff]) -> list[sound.PlayedLine]:
    starts = [sum(map(numbers, drums[:place])) for place in range(len(drums))]
    return [sound.PlayedLine(staff.line, staff.name, first=start) for staff, start in zip(drums, starts, strict=True)]


def _when(book: Book, every: Sequence[SharedNeed], when: When | None, key: Key) -> str:
    """What the course says: from which lesson everyone can play it, or what is missing and for whom."""
    if not every or when is None:
        return ""
    ear, paper = lesson_number(book, when.ear), lesson_number(book, when.paper)
    if not ear:
        missing = things_words([one for one in every if one.place is None])
        return f"In concert {key.sign} it is a tune for after the course, which does not bring {missing}."
    said = f"In concert {key.sign} everyone can play it"
    if ear == paper:
        last = things_words([one for one in every if one.place == when.ear])
        return f"{said} from lesson {ear}, which brings {last}."
    if not paper:
        return f"{said} by ear from lesson {ear}; the course does not teach all to read its key signature."
    return f"{said} by ear from lesson {ear}, and from paper from lesson {paper}."


def _jumps(made: Sequence[Offer], english: str) -> list[tuple[str, str]]:
    """Links to each part on the page."""
    parts = [
        (sheet.names(english) + (f", concert {offer.key.sign}" if offer.who else ""), f"#sheet-{sheet.ident}")
        for offer in made
        for sheet in offer.sheets
    ]
    return [("Which key", "#which-key"), *parts, ("Drums", "#drums"), ("About the tune", "#about")]


def _picture(book: Book, tune: Tune, offer: Offer, sheet: Sheet) -> Engraving:
    staff = Staff(sheet.part.written, clef=sheet.part.player.reading.clef, under=sheet.under)
    title = f"{tune.title}, part for {sheet.names(book.band.english)}, concert {offer.key.sign}"
    words = describe(sheet.part.written, book.band.english, sheet.under)
    return engrave([staff], title, words, book.root / ".cache", breaks=line_breaks([tune.line], NARROW, onset=FINGERED))


def _sheet(book: Book, tune: Tune, offer: Offer, sheet: Sheet, picture: Engraving) -> dict[str, object]:
    names = sheet.names(book.band.english)
    written, reading = sheet.part.written, sheet.part.player.reading.id
    low, high = written.lowest, written.highest
    return {
        "id": f"sheet-{sheet.ident}",
        "names": names,
        "players": " ".join(player.instrument.id for player in sheet.players),
        "reads": f"{READING_WORDS[reading]}, written {written.key.sign} ({key_words(written.key)}), "
        f"{low.sign if low else ''} to {high.sign if high else ''}",
        "tempo": tempo_words(tune.tempo, book.band.english),
        "picture": picture.boxed(sheet.ident),
        "words": picture.words,
        "player": sound.player(
            [sound.PlayedLine(sheet.part.sounding, instrument=sheet.players[0].instrument)],
            f"{tune.title} as on the {names}",
            f"sheet-{sheet.ident}",
            book.band.pitch_a4,
        ),
        "fingered": any(sheet.under),
    }


def _offer_heading(offer: Offer) -> str:
    if offer.lesson:
        return f"{offer.who}: concert {offer.key.sign}"
    if offer.who:
        return f"{offer.who} apart: concert {offer.key.sign}"
    return f"Everyone together: concert {offer.key.sign}"


def _offer_about(book: Book, offer: Offer) -> str:
    said = suits_words(book, offer.choice)
    level = LEVEL_WORDS[offer.level]
    if offer.choice.suits_all:
        return f"Every note is within {level}." if offer.who else f"Within {level}, it suits everyone."
    return f"Beyond {level}: {said}."


def _facts(book: Book, tune: Tune) -> Markup:
    english = book.band.english
    rows: list[tuple[Cell, ...]] = [
        ("By", "traditional" if tune.composer in TRADITIONAL else tune.composer),
        ("Source", tune.source),
    ]
    if tune.origin:
        rows.append(("From", tune.origin))
    if tune.kind:
        rows.append(("Kind", tune.kind))
    rows.append(("Metre", f"{tune.time.name}: {time_words(tune.time)}"))
    rows.append(("Tempo", tempo_words(tune.tempo, english)))
    rows.append(("Set down in", f"concert {tune.key.sign}"))
    if tune.notes:
        rows.append(("Remarks", "; ".join(tune.notes)))
    if tune.verses:
        rows.append(("Words", Markup("<br>").join(tune.verses)))
    return table("Where it comes from, and how it goes", (), rows, kind="bb-facts")


def _numbers(book: Book, offer: Offer, measured: LineDifficulty) -> Markup:
    rows: list[tuple[Cell, ...]] = [
        ("Range", f"{measured.range_semitones} semitones, {measured.pitches} different notes"),
        ("Widest step between notes", f"{measured.largest_leap} semitones"),
        ("Note and rest values", series(value_words(measured.values, book.band.english))),
        ("Notes outside the key", str(measured.accidentals)),
        (
            "Longest playing without a rest",
            f"{beats_words(measured.longest_playing_beats)} beats, {measured.longest_playing_seconds:.1f} s",
        ),
        ("Longest phrase on one breath", f"{measured.longest_breath_seconds:.1f} s"),
        ("Rests", f"{float(measured.rest_share) * 100:.0f} % of the time"),
        ("Length with repeats", f"{measured.length_seconds:.0f} s"),
        ("Notes begun", f"{measured.notes_a_minute:.0f} a minute"),
    ]
    general = table("In numbers, at the marked speed", (), rows, kind="bb-facts")
    players: list[tuple[Cell, ...]] = []
    for sheet in offer.sheets:
        for player in sheet.players:
            if not player.instrument.brass:
                continue
            hard = player_difficulty(sheet.part, player.instrument)
            players.append(
                (
                    player.instrument.names.of(book.band.english),
                    f"{hard.lowest.sign} to {hard.highest.sign}",
                    str(hard.highest_harmonic),
                    str(hard.same_valve_leaps),
                    f"{hard.changes_a_minute:.0f}",
                    str(hard.out_of_tune),
                )
            )
    head = (
        "Instrument", "Written", "Highest harmonic", "Steps by the lips alone", "Changes of fingering a minute",
        "Notes over 15 cents out",
    )  # fmt: skip
    caption = f"Player by player, in concert {offer.key.sign}"
    return Markup("{}{}").format(general, table(caption, head, players) if players else "")


def _keys(book: Book, ranking: Sequence[KeyChoice], caption: str) -> Markup:
    readings = {player.reading.id: player.id for player in reversed(book.band.pitched) if player.count}
    groups = [
        (label, readings[reading_id])
        for reading_id, label in (("treble-bb", "B♭"), ("treble-eb", "E♭"), ("treble-f", "F"))
        if reading_id in readings
    ]
    rows = []
    for choice in ranking:
        costs = {cost.player.id: cost for cost in choice.costs}
        parts = choice.parts
        rows.append(
            (
                choice.key.sign,
                str(choice.points),
                suits_words(book, choice),
                *(signs(costs[instrument].key.tonic) if instrument in costs else "" for _, instrument in groups),
                f"range {parts['cannot'] + parts['stretch']}, signs {parts['signs']}",
            )
        )
    head = ("Concert key", "Points", "Whom it suits", *(f"{label} players read" for label, _ in groups), "Points for")
    note = (
        f"Fewer points are better; 0 asks nothing of anybody. Each player counts: {STRETCH} for a semitone beyond the "
        f"range of the level, {EARLY} for a semitone beyond the starter range, {SIGN} for a sharp or flat to remember, "
        f"{CANNOT} for a note the instrument does not have."
    )
    return table(caption, head, rows, note=note)


def _files(page: str, every: Sequence[TuneFile], book: Book) -> Markup:
    rows = []
    for file in every:
        sounds_as = file.part.player.instrument.names.of(book.band.english) if file.part else "snare drum and bass drum"
        rows.append(
            (
                READING_WORDS[file.reading],
                sounds_as,
                _download(page, f"{file.stem}.musicxml", "MusicXML"),
                _download(page, f"{file.stem}.mid", "MIDI"),
            )
        )
    return table("Files to take away", ("Reading", "Sounds as on the", "Notation", "Sound"), rows)


def _download(page: str, address: str, text: str) -> Markup:
    return Markup('<a href="{}" download>{}</a>').format(relative(page, address), text)


def _round_picture(book: Book, tune: Tune) -> Engraving | None:
    """The tune at concert pitch, where every group's place is marked as it plays; ``None`` when it is no round."""
    if not tune.entries:
        return None
    words = describe(tune.line, book.band.english)
    title, breaks = f"{tune.title} as a round, concert pitch", line_breaks([tune.line], NARROW, onset=FINGERED)
    return engrave([Staff(tune.line)], title, words, book.root / ".cache", breaks=breaks)


def _round(book: Book, tune: Tune) -> Markup:
    """The tune as a round, each group twice through; all groups follow the one picture."""
    voices = [
        sound.PlayedLine(tune.line, f"Group {number}", Fraction(delay), times=2)
        for number, delay in enumerate(tune.entries, 1)
    ]
    return sound.player(voices, f"{tune.title} as a round", "sheet-round", book.band.pitch_a4)


# -- the tools


def _tools(book: Book, out: Products) -> str:
    a4 = book.band.pitch_a4
    tones = [
        {"hz": f"{pitch.hz(a4):.1f}", "button": sound.drone_button(pitch.midi, f"Concert {name}", a4)}
        for name, pitch in ((name, Pitch.parse(text)) for name, text in TUNING)
    ]
    html = render(
        "tunes/sound_tools.html",
        script=sound.script(TOOLS),
        metronome=sound.metronome(80, 4),
        tones=tones,
        a4=f"{a4:g}",
    )
    return "# Metronome and tuning tone\n\n" + out.html(str(html)) + "\n"


# -- blocks


def _play_note(context: Context, args: Args) -> str:
    """``[[play-note pitch=Bb3]]``: a button that sounds a concert note; needs no more than this block."""
    text = args.only("pitch", words=1).named.get("pitch") or (args.words[0] if args.words else "")
    try:
        pitch = Pitch.parse(text)
    except ValueError as error:
        raise BlockError(str(error)) from None
    button = sound.note_button(pitch.midi, f"Play {pitch.sign}", context.book.band.pitch_a4)
    return str(button + sound.script(context.uri))


def _metronome(context: Context, args: Args) -> str:
    """``[[metronome bpm=80 beats=4]]``: a metronome."""
    args.only("bpm", "beats")
    try:
        bpm, beats = int(args.named.get("bpm", "80")), int(args.named.get("beats", "4"))
    except ValueError:
        raise BlockError("bpm and beats are whole numbers") from None
    return str(sound.metronome(bpm, beats) + sound.script(context.uri))


BLOCKS: dict[str, Block] = {"play-note": _play_note, "metronome": _metronome}
