"""The pieces in parts: what is shipped, and every file read back elsewhere."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import mido
import pytest
from hearing import heard
from music21 import chord, converter
from musicxml_schema import mistakes
from paper import drawn_text, print_now, staves, words_on
from parallels import parallels_by_music21, parallels_found
from read_cards import by_lot

from beginnerband.data.book import Book
from beginnerband.music.instrument import VOICES
from beginnerband.music.line_breaks import WIDE
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Line
from beginnerband.music.scored import played
from beginnerband.music.scoring import desks_of
from beginnerband.music.sharing import Search
from beginnerband.music.voiceleading import Sounding, check, moments
from beginnerband.pages.pieces.files import LONGEST_NAME, SCORE, add_files, engraved, in_two_lines
from beginnerband.pages.pieces.printing import print_values
from beginnerband.pages.pieces.view import PieceView, covered, view
from beginnerband.pages.shared.paper import of_copy
from beginnerband.products import Products
from beginnerband.render.engrave import ENDLESS, pages
from beginnerband.render.print_pack import PrintPack
from beginnerband.render.write_musicxml import Staff


@pytest.fixture(scope="module")
def views(book: Book) -> dict[str, PieceView]:
    return {name: view(book, piece) for name, piece in book.pieces.items()}


# What is shipped


def test_what_is_shipped(book: Book) -> None:
    pieces = book.pieces.values()
    assert len(pieces) >= 10
    different = {
        piece.id: max(len({pitch.midi for pitch in line.pitches}) for line in piece.lines.values()) for piece in pieces
    }
    assert [name for name, notes in different.items() if notes <= 3]
    assert [name for name, notes in different.items() if 3 < notes <= 5]
    assert sum("canon" in piece.kind for piece in pieces) >= 2
    assert [piece.id for piece in pieces if piece.descant]
    for piece in pieces:
        assert piece.own or "this handbook" in piece.source, piece.id
        assert piece.own or re.search(r"\d{4}|\dth century", piece.origin), piece.id
        assert any(bar.rehearsal for bar in piece.tune.measures), piece.id


def test_canons_are_exact_copies(book: Book) -> None:
    """Every line is the soprano's, some whole bars later and some octaves lower, for as long as it plays."""
    for piece in (piece for piece in book.pieces.values() if "canon" in piece.kind):
        tune = heard(piece.tune)
        for voice in VOICES[1:]:
            copy = heard(piece.lines[voice])
            late, down = copy[0][0] - tune[0][0], tune[0][2] - copy[0][2]
            assert late > 0
            assert down % 12 == 0
            assert [(at - late, long, midi + down) for at, long, midi in copy] == tune, (piece.id, voice)


def test_harmony_of_the_shipped_pieces_has_no_faults(book: Book) -> None:
    """Textbook voice leading: no parallels, no crossing, no chord without its third at the end of a phrase.

    Canons are exempt: they are copies of one tune.
    """
    limit = book.scoring.rules.longest_breath if book.scoring else 9
    for piece in (piece for piece in book.pieces.values() if "canon" not in piece.kind):
        found = check([Sounding(voice, line) for voice, line in piece.lines.items()], limit)
        assert [one for one in found if one.severity != "advice"] == [], piece.id
        if piece.descant:
            with_it = check(
                [Sounding("descant", piece.descant), *(Sounding(v, part) for v, part in piece.lines.items())]
            )
            assert [one for one in with_it if one.severity != "advice"] == [], piece.id


def test_lines_that_move_together_meet_in_triads_and_seventh_chords(book: Book) -> None:
    """As music21's chord module names them; a triad may lack its fifth, a seventh chord its fifth or third.

    Notes that one line strikes alone may pass. Canons are exempt: they are copies of one tune. Every piece has more
    than twenty chords to hold, the shortest, of eight bars, more than ten.
    """
    for piece in (piece for piece in book.pieces.values() if "canon" not in piece.kind):
        lines = [*piece.lines.values(), *([piece.descant] if piece.descant else [])]
        struck = Counter(start for line in lines for start in _starts(line))
        chords = [moment for moment in moments(lines) if struck[moment.place, moment.beat] > 1]
        assert len(chords) > min(20, 5 * len(piece.tune.measures) // 4), piece.id
        for moment in chords:
            assert _is_chord(moment.pitches), (piece.id, moment.bar, moment.beat)
    assert not _is_chord(Pitch.parse(name) for name in ("C3", "D3", "G3"))  # the check can fail
    assert not _is_chord(Pitch.parse(name) for name in ("Eb3", "Bb3", "Eb4"))  # a bare fifth


def _starts(line: Line) -> Iterator[tuple[int, Fraction]]:
    """Where notes are struck: place of the bar, quarter notes from its start."""
    tied = False
    for place, bar in enumerate(line.measures):
        at = Fraction(0)
        for note in bar.notes:
            if note.pitch and not tied:
                yield place, at
            tied, at = note.tie, at + note.quarters


def _is_chord(pitches: Iterable[Pitch | None]) -> bool:
    named = chord.Chord([pitch.name.replace("b", "-") for pitch in pitches if pitch])
    return bool(named.isTriad() or named.isSeventh() or named.commonName.split(" with")[0] in INCOMPLETE)


INCOMPLETE = (
    "incomplete dominant-seventh chord",
    "incomplete minor-seventh chord",
    "Major Third",
    "Minor Third",
    "Major Sixth",  # a third turned over
    "Minor Sixth",
)


def test_parallels_reported_for_the_pieces_are_those_music21_finds(book: Book) -> None:
    """Its voice-leading module, on every pair of lines at every step; the canons have some, so both can find them."""
    seen = set()
    for piece in book.pieces.values():
        lines = piece.lines | ({"descant": piece.descant} if piece.descant else {})
        found = check([Sounding(voice, line) for voice, line in lines.items()])
        ours = parallels_found(found)
        assert ours == parallels_by_music21(moments(list(lines.values())), tuple(lines)), piece.id
        seen |= {piece.kind for _ in ours}
    assert seen == {"canon"}


IN_REACH = {
    "amazing-grace", "five-lamps", "good-king-wenceslas", "jingle-bells", "lantern-waltz", "ode-to-joy",
    "old-hundredth", "over-the-bridge", "three-steps", "two-gates",
}  # fmt: skip
"""Pieces that the shipped band can play at the end of its course."""


def test_most_pieces_can_be_played_with_what_the_course_teaches(views: dict[str, PieceView]) -> None:
    """The course ends in a concert in four parts: its band must know the notes.

    Two desks or more on every line. Only the bass of Two Gates has one, the E♭ bass: in the five notes that all know
    when it is played, everybody else's lowest is the tenor's.
    """
    assert {name for name, one in views.items() if one.week is not None} == IN_REACH
    for name in IN_REACH:
        assert all(need.place is not None for _, needs in views[name].needs for need in needs), name
        desks = Counter(seat.voice for seat in views[name].scoring.seats if seat.desk.holds)
        least = {voice: 1 if (name, voice) == ("two-gates", "bass") else 2 for voice in VOICES}
        assert all(desks[voice] >= least[voice] for voice in VOICES), (name, desks)


def test_pieces_that_are_known_soonest_are_listed_first(site: Path, book: Book) -> None:
    table = (site / "pieces/index.html").read_text(encoding="utf-8")
    lessons = [
        int(lesson or 99) for lesson in re.findall(r"<td[^>]*>(?:from lesson (\d+)|after the course)</td>", table)
    ]
    assert len(lessons) == len(book.pieces)
    assert lessons == sorted(lessons)
    assert len(set(lessons)) > 2


def test_a_band_without_brass_is_told_so(book: Book) -> None:
    assert book.scoring is not None
    for name, said in (("drums", "The drums"), ("glockenspiel", "The glockenspiel")):
        one = book.instruments[name]
        desks = desks_of([Player(one, one.readings[0], 2)], book.scoring.rules)
        scoring = Search(dict(book.pieces["ode-to-joy"].lines), desks, book.scoring.rules).ranked().best
        (words,) = covered(scoring, "british")
        assert words.startswith("Nobody in this band plays a brass instrument")
        assert said in words


def test_second_cornets_take_the_alto_where_they_know_its_notes(views: dict[str, PieceView]) -> None:
    """Notes from the course's lessons: at its end the B♭ cornets know the sounds from B♭3 to B♭4, without A."""
    taken = 0
    for name in IN_REACH:
        one = views[name]
        cornets = [seat for seat in one.scoring.seats if seat.desk.player.id == "cornet"]
        alto = one.at_key("alto")
        assert alto.lowest
        if alto.lowest.midi < Pitch.parse("Bb3").midi:
            assert [seat.voice for seat in cornets] == ["soprano"], name
        taken += [seat.voice for seat in cornets] == ["soprano", "alto"]
    assert taken >= len(IN_REACH) // 2


def test_every_part_is_in_the_range_of_the_first_year(views: dict[str, PieceView]) -> None:
    for name, one in views.items():
        assert [finding for finding in one.made if finding.kind == "range"] == [], name
        assert not one.scoring.uncovered, name


# Files, read back by other programs


@pytest.fixture(scope="module")
def files(views: dict[str, PieceView]) -> dict[str, bytes]:
    out = Products()
    for one in views.values():
        add_files(one, out, "british")
    return out.assets


def test_every_musicxml_file_is_valid_by_the_w3c_schema(files: dict[str, bytes]) -> None:
    """W3C MusicXML 4.0 schema, from the package musicxml on PyPI."""
    checked = 0
    for name, content in files.items():
        if name.endswith(".musicxml"):
            checked += 1
            assert mistakes(content.decode()) == [], name
    assert checked > 100
    assert mistakes('<score-partwise version="4.0"><part-lst/></score-partwise>')  # the check can fail


@pytest.mark.parametrize("piece", ["good-king-wenceslas", "when-the-saints"])
def test_the_score_sounds_the_same_in_music21_and_partitura(
    files: dict[str, bytes], views: dict[str, PieceView], tmp_path: Path, piece: str
) -> None:
    one = views[piece]
    path = tmp_path / "score.musicxml"
    path.write_bytes(files[f"music/{piece}/score.musicxml"])
    by_music21 = [
        [
            (Fraction(note.offset), Fraction(note.quarterLength), note.pitch.midi)
            for note in part.stripTies().flatten().notes
            if note.isNote
        ]
        for part in converter.parse(path, forceSource=True, storePickle=False).toSoundingPitch().parts
    ]
    # Partitura keeps written pitches with the transposition beside them, and does not read <octave-change>; so it is
    # compared by pitch class and by the distance of every note from the first.
    import partitura  # slow to load, and one test among many needs it
    from partitura.score import Transposition

    by_partitura = []
    for part in partitura.load_musicxml(str(path)).parts:
        shift = sum(int(each.chromatic or 0) for each in part.iter_all(Transposition))
        by_partitura.append([int(note["pitch"]) + shift for note in part.note_array()])
    wanted = [
        heard(sheet.part.sounding if seat is sheet.seats[0] else _octaved(one, seat), unfold=False)
        for sheet in one.sheets
        for seat in sheet.seats
        if seat.voice != "descant"
    ]
    assert by_music21[: len(wanted)] == wanted
    for found, part in zip(by_partitura, wanted, strict=False):
        off = found[0] - part[0][2]
        assert off % 12 == 0
        assert found == [midi + off for _, _, midi in part]


def _octaved(one: PieceView, seat) -> Line:  # type: ignore[no-untyped-def]
    return played(one.piece.lines[seat.voice], one.scoring, seat)


def test_midi_of_each_instrument_sounds_its_line_with_repeats(
    files: dict[str, bytes], views: dict[str, PieceView]
) -> None:
    """MIDI 1.0: A4 is note 69; read with mido."""
    one = views["good-king-wenceslas"]
    for sheet in one.sheets:
        for seat in sheet.seats:
            content = files[f"music/{one.piece.id}/{seat.desk.id}.mid"]
            track = mido.MidiFile(file=io.BytesIO(content)).tracks[-1]
            notes = [message.note for message in track if message.type == "note_on" and message.velocity]
            assert notes == [midi for _, _, midi in heard(_octaved(one, seat))], seat.desk.id


# Pages


def test_pictures_hold_whole_systems_and_every_note(book: Book, views: dict[str, PieceView]) -> None:
    one = views["frere-jacques"]
    made = engraved(book, one)
    for found in (made.concert, made.written, *made.parts.values()):
        assert all(page.height <= 10 * SCORE[book.band.paper][1] for page in found.pages)
    for name, count in (("frere-jacques", 2), ("abide-with-me", 1), ("two-gates", 1)):  # 22, 16 and 8 bars
        concert = engraved(book, views[name]).concert
        assert len(concert.pages) == count, name
        for page in concert.pages:  # both of its systems are spread over the height there is
            heights = [int(high) for high in re.findall(r"M-?\d+ (\d+)H", page.body)]
            assert len({high // 10 for high in heights}) > 80, name
            assert max(heights) > 0.9 * page.height, name
    sheet = one.sheets[0]
    notes = [
        int(number) for page in made.parts[sheet.ident].pages for number in re.findall(r'data-note="(\d+)"', page.body)
    ]
    assert sorted(set(notes)) == list(range(sum(len(bar.notes) for bar in sheet.part.written.measures)))
    short = {int(number) for number in re.findall(r'data-note="(\d+)"', made.short.wide.body)}
    assert len(short) == sum(len(bar.notes) for line in one.piece.lines.values() for bar in line.measures)
    assert any(part.cue for part in one.sheets)  # late entries have cues


def test_a_long_title_sends_no_score_to_a_page_of_its_own(book: Book, tmp_path: Path) -> None:
    """Here with pages made for A4 on the lower Letter as well: music gives way, and no page has a title alone."""
    one = view(
        book, replace(book.pieces["two-gates"], title="Sixty letters in a title, and not one of them without its use")
    )
    pack = PrintPack()
    values = print_values(book, one, engraved(book, one), pack) | of_copy(book) | {"paper": "us-letter"}
    values["sheets"] = values["sheets"][:3]
    pdf = print_now(pack.job(values, "piece.typ"), pack.pictures, tmp_path)
    assert [len(heights) for heights in staves(pdf)] == [4, 18, 18]  # the short score; nine pitched staves, two systems


def test_names_before_the_staves_of_a_score_are_short_enough_for_eight_points(book: Book) -> None:
    """A longer one makes the page wider, and with it everything smaller: 41 letters in a line came to 7.9 points."""
    names = [f"Second {player.names.of(english)}" for player in book.instruments.values() if player.brass
             for english in ("british", "american")]  # fmt: skip
    line = book.pieces["two-gates"].tune
    told = [staff.name for staff in in_two_lines([Staff(line, name) for name in names])]
    assert [name.replace("\n", " ") for name in told] == names
    assert max(len(part) for name in told for part in name.split("\n")) <= LONGEST_NAME
    assert "Second B♭ tenor trombone\nwith F attachment" in told


def test_the_short_score_stands_below_the_table_of_many_players(book: Book, tmp_path: Path) -> None:
    """Eight desks, three remarks and two findings on Letter, and sixteen bars to sing: with more bars to a line."""
    players = by_lot(book, 153946).players
    there = replace(book, band=replace(book.band, players=players, paper="letter", english="american"), course=None)
    one, pack = view(there, there.pieces["auld-lang-syne"]), PrintPack()
    values = print_values(there, one, engraved(there, one), pack) | of_copy(there)
    values["sheets"] = values["sheets"][:1]
    [page] = words_on(print_now(pack.job(values, "piece.typ"), pack.pictures, tmp_path))
    assert "Short score" in page
    assert "made from meter and tune" in page
    grace = view(there, there.pieces["amazing-grace"])
    parts = str(print_values(there, grace, engraved(there, grace), pack)["sheets"])
    assert "gray" in parts, "breaths are proposed in it"
    assert not re.search("grey|Rub out", parts)


def test_pages_are_cut_between_systems(book: Book) -> None:
    line = book.pieces["abide-with-me"].tune
    whole = pages([Staff(line)], "t", "w", None, (WIDE, ENDLESS))
    cut = pages([Staff(line)], "t", "w", None, (WIDE, 500))
    assert len(whole) == 1
    assert len(cut) > 1
    numbers = [re.findall(r'data-note="(\d+)"', page.body) for page in cut]
    assert [n for page in numbers for n in page] == re.findall(r'data-note="(\d+)"', whole[0].body)


def test_scores_and_parts_are_large_enough_to_read(site: Path) -> None:
    """Staves of 5, 4.5 and 7 mm and names of 8 points: the project's own limits (no published standard)."""
    pdf = site / "print" / "pieces" / "four-windows.pdf"
    for number, (words, heights) in enumerate(zip(words_on(pdf), staves(pdf), strict=True), start=1):
        full = "Full score" in words
        least = 4.5 if full else 5 if "Short score" in words else 7
        assert all(height >= least for height in heights), number
        assert heights or "drums" in words.casefold(), number  # a drum alone has one line
        if full:
            assert min(size for sign, size in drawn_text(pdf, number).items() if sign.isalpha()) >= 8


def test_parts_of_a_short_piece_are_larger_and_have_lines_to_write_on(site: Path) -> None:
    """A staff of 9 mm (rastral 0 is 9.2 mm; from memory); music of six lines keeps the 7.2 mm of a part."""
    for piece, high in (("over-the-bridge", 9.0), ("frere-jacques", 7.2)):
        pdf = site / "print" / "pieces" / f"{piece}.pdf"
        pages = list(zip(staves(pdf), words_on(pdf), strict=True))[1:]
        parts = [
            (heights, words) for heights, words in pages if heights and min(heights) > 6
        ]  # a score has smaller ones
        assert len(parts) > 5
        assert all(abs(height - high) < 0.1 for heights, _ in parts for height in heights)
        assert all("Bars to work on" in words for _, words in parts)  # both leave much of their pages


def test_print_sets_are_complete(site: Path, views: dict[str, PieceView]) -> None:
    for name, one in views.items():
        pages = words_on(site / "print" / "pieces" / f"{name}.pdf")
        assert one.piece.title.split(",")[0][:12] in pages[0]
        assert "Short score at concert pitch" in pages[0], name  # with the players, whatever its length
        text = "\n".join(pages)
        for sheet in one.sheets:
            assert sheet.names("british").split(" and ")[0][:14] in text, (name, sheet.ident)
        assert "Full score at concert pitch" in text
        assert len(pages) >= len(one.sheets) + 4
