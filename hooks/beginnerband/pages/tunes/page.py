"""The page of one tune: which key, everybody's part in each, what is hard about it, and its files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.difficulty import LineDifficulty, line_difficulty, player_difficulty, width
from beginnerband.music.instrument import Slide
from beginnerband.music.keychoice import KeyChoice
from beginnerband.music.line_breaks import FINGERED, line_breaks
from beginnerband.music.part import CANNOT, EARLY, SIGN, STRETCH
from beginnerband.music.tune import Tune
from beginnerband.music.words import (
    beats_words,
    capital,
    describe,
    key_words,
    series,
    suggested,
    tempo_words,
    time_words,
    value_words,
)
from beginnerband.pages.shared.needs import (
    SharedNeed,
    gathered,
    lesson_number,
    needs_table,
    things_words,
)
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import Rows, table
from beginnerband.pages.tunes.files import TuneFile, drum_staves, files
from beginnerband.pages.tunes.taught import asked
from beginnerband.pages.tunes.view import (
    LEVEL_WORDS,
    Offer,
    Sheet,
    difficulty_sentence,
    key_sentence,
    suits_words,
)
from beginnerband.products import Products
from beginnerband.render import sound
from beginnerband.render.engrave import NARROW, Engraving, engrave, glyph_sheet
from beginnerband.render.html import markdown_text, relative, render, signs
from beginnerband.render.write_musicxml import Staff, numbers
from beginnerband.teaching.readiness import Taught, When
from beginnerband.teaching.wording import in_words

FEW_PARTS = 4
"""Links to parts that stand above the music without filling a phone's screen."""

TRADITIONAL = ("trad.", "Trad.")
"""What stands for a composer whose name nobody knows."""


def uri(tune_id: str) -> str:
    """A tune's page."""
    return f"tunes/{tune_id}.md"


def tune_page(
    book: Book, out: Products, tune: Tune, made: Sequence[Offer], known: Mapping[str, Taught], when: When | None
) -> str:
    """The page of a tune as Markdown; ``made`` are its keys, best for everyone first."""
    page = uri(tune.id)
    cache = book.root / ".cache"
    english = book.band.english
    drums = drum_staves(tune, english)
    drum_words = " ".join(f"{staff.name}. {describe(staff.line, english)}" for staff in drums)
    drum_breaks = line_breaks([staff.line for staff in drums], NARROW)
    drum_picture = engrave(drums, f"{tune.title}, drums", drum_words, cache, breaks=drum_breaks)
    pictures = {sheet.ident: _picture(book, tune, offer, sheet) for offer in made for sheet in offer.sheets}
    round_picture = _round_picture(book, tune)
    measured = line_difficulty(tune.line)
    together = made[0]
    every = gathered(book, asked(book, tune, together, known))
    said, brings = _when(book, every, when)
    ranking = together.ranking
    shown = render(
        "tunes/tune.html",
        tune=tune,
        snare=in_words("snare drum", english),
        script=sound.script(page),
        tune_script=relative(page, "assets/tunes.js"),
        glyphs=glyph_sheet(filter(None, [*pictures.values(), drum_picture, round_picture])),
        jumps=_jumps(made, english),
        facts=_facts(book, tune),
        expect=difficulty_sentence(width(tune.line), measured, english),
        numbers=_numbers(book, together, measured),
        key_words=key_sentence(book, together.level, ranking, together.choice),
        when=said,
        asks=brings,
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


def _when(book: Book, every: Sequence[SharedNeed], when: When | None) -> tuple[str, str]:
    """What the course says: from which lesson everyone can play it; and what that brings, or what is never brought.

    The first stands above the music, in one line of a phone; the heading below it names the key.
    """
    if not every or when is None:
        return "", ""
    ear, paper = lesson_number(book, when.ear), lesson_number(book, when.paper)
    if not ear:
        missing = things_words([one for one in every if one.place is None])
        return "For everyone after the course.", f"The course does not bring {missing}."
    if ear == paper:
        last = things_words([one for one in every if one.place == when.ear])
        return f"For everyone from lesson {ear}.", f"Lesson {ear} brings {last}."
    if not paper:
        never = "The course does not teach all to read its key signature."
        return f"For everyone from lesson {ear} by ear, not from paper.", never
    return f"For everyone from lesson {ear} by ear, {paper} from paper.", ""


def _jumps(made: Sequence[Offer], english: str) -> Markup:
    """Links to each part on the page, folded where they are many: one's own is chosen above the first music."""
    parts = [
        (sheet.names(english) + (f", concert {offer.key.sign}" if offer.who else ""), f"#sheet-{sheet.ident}")
        for offer in made
        for sheet in offer.sheets
    ]
    rest = [("Drums", "#drums"), ("Which key", "#which-key"), ("About the tune", "#about")]
    if len(parts) <= FEW_PARTS:
        return render("shared/jumps.html", jumps=[*parts, *rest])
    return render("shared/jumps.html", jumps=rest, folded=parts, fold="Every part")


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
        "below": "Positions" if isinstance(sheet.players[0].instrument.mechanism, Slide) else "Fingerings",
    }


def _offer_heading(offer: Offer) -> str:
    if offer.lesson:
        return f"{offer.who}: concert {offer.key.sign}"
    if offer.who:
        return f"{offer.who} apart: concert {offer.key.sign}"
    return f"Everyone together: concert {offer.key.sign}"


def _offer_about(book: Book, offer: Offer) -> str:
    """Whom a further key suits; of the first one, which has the page's music, "Which key" says it."""
    if not offer.who:
        return ""
    said = suits_words(book, offer.choice)
    level = LEVEL_WORDS[offer.level]
    if offer.choice.suits_all:
        return f"Every note is within {level}."
    return f"Beyond {level}: {said}."


def _facts(book: Book, tune: Tune) -> Markup:
    english = book.band.english
    rows: Rows = []
    if tune.composer:
        rows.append(("By", "traditional" if tune.composer in TRADITIONAL else tune.composer))
    rows.append(("Source", in_words(tune.source, english)))
    if tune.origin:
        rows.append(("From", tune.origin))
    if tune.kind:
        rows.append(("Kind", tune.kind))
    rows.append(("Metre", f"{tune.time.name}: {time_words(tune.time)}"))
    rows.append(("Tempo", tempo_words(tune.tempo, english)))
    rows.append(("Set down in", f"concert {tune.key.sign}"))
    if tune.notes:
        rows.append(("Remarks", in_words("; ".join(tune.notes), english)))
    if tune.verses:
        rows.append(("Words", Markup("<br>").join(tune.verses)))
    return table("Where it comes from, and how it goes", (), rows, kind="bb-facts")


def _numbers(book: Book, offer: Offer, measured: LineDifficulty) -> Markup:
    rows: Rows = [
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
    players: Rows = []
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
    rows, english = [], book.band.english
    drums = in_words("snare drum and bass drum", english)
    for file in every:
        sounds_as = file.part.player.instrument.names.of(english) if file.part else drums
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
