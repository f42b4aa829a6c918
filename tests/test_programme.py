"""The programme of the first concert: the same on its cards, the concert's page and in the guide."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

from paper import print_lessons, words_on
from plans import TEACHING, Case, made

from beginnerband.data.book import Book
from beginnerband.music.score import Tempo
from beginnerband.pages.course.lesson_view import lesson_view
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.print_data import lesson_values
from beginnerband.pages.course.room import card_page
from beginnerband.pages.pieces.concert import concert_page
from beginnerband.pages.pieces.programme import begins_words, programme, rehearsed_words, running
from beginnerband.pages.pieces.view import known_view
from beginnerband.products import Products
from beginnerband.render.print_pack import PrintPack
from beginnerband.teaching.programme import GAP, LONGEST, MOST, Candidate, further


def test_further_pieces_are_few_known_in_time_and_short_enough() -> None:
    def piece(ident: str, week: int | None, **more: object) -> Candidate:
        return Candidate(ident, week=week, **{"seconds": 60.0, **more})  # type: ignore[arg-type]

    found = [
        piece("own", 3),
        piece("late", 9),
        piece("never", None),
        piece("lacking", 1, whole=False),
        piece("handmade", 1, known=False),
        piece("carol", 1, kind="carol"),
        piece("second", 5),
        piece("first", 2),
    ]
    assert further(found, 9, 60, played=["own"]) == ("first", "second", "handmade")  # no day: no carol
    assert further(found, 9, 60, date(2027, 4, 21), ["own"]) == ("first", "second", "handmade")
    assert further(found, 9, 60, date(2026, 12, 16), ["own"]) == ("carol", "first", "second")
    assert further(found, 10, 60, played=["own", "first"]) == ("second", "late", "handmade")
    full = [piece("long", 1, seconds=80.0), piece("short", 1, seconds=60.0)]
    assert further(full, 9, LONGEST - 100) == ("short",)
    assert further(full, 9, LONGEST - 90) == ("short",)  # with half a minute before it, 600 seconds exactly
    assert further(full, 9, LONGEST - 89) == ()


def test_songs_of_winter_are_told_by_a_word_of_their_kind() -> None:
    kinds = {"carol": True, "Carol": True, "Christmas carol": True, "Winter song": True, "three carols": True}
    kinds |= {"": False, "canon": False, "hymn": False, "Carolina march": False}
    for kind, of_winter in kinds.items():
        found = [Candidate("one", week=1, seconds=60.0, kind=kind)]
        assert further(found, 9, 0, date(2026, 12, 16)) == ("one",), kind
        assert further(found, 9, 0, date(2027, 4, 21)) == (() if of_winter else ("one",)), kind


def test_a_piece_is_known_by_what_its_own_file_says(book: Book) -> None:
    """No tune of its name need stand beside it; and who arranged it for this handbook did not write it."""
    kept = programme(book)
    order = [book.pieces[ident].own for ident in kept.further]
    assert set(order) == {False, True}
    assert order == sorted(order)
    alone = replace(book, tunes={ident: book.tunes[ident] for ident in kept.tunes})
    assert programme(alone) == kept
    own = {ident for ident, piece in book.pieces.items() if piece.own}
    # The others are tunes of older books, and their files say of when.
    assert own == {"five-lamps", "four-windows", "lantern-waltz", "over-the-bridge", "three-steps", "two-gates"}


def test_the_tune_played_first_takes_its_share_of_the_longest_concert(book: Book) -> None:
    """At each of these tempos of the tune, all of it with what is between fits, and one more piece would not."""
    usual = programme(book)
    first = book.tunes[usual.tunes[0]]
    counts = set[int]()
    for bpm in range(4, 24):
        bars = (replace(first.line.measures[0], tempo=Tempo(Fraction(bpm))), *first.line.measures[1:])
        slow = replace(first, line=replace(first.line, measures=bars))
        ours = replace(book, tunes={**book.tunes, first.id: slow})
        kept = programme(ours)
        short, long = running(ours, kept)
        assert long <= max(short, LONGEST), bpm
        for ident in set(usual.further) - set(kept.further):
            assert len(kept.further) == MOST or long + GAP + ours.pieces[ident].seconds > LONGEST, (bpm, ident)
        counts.add(len(kept.further))
    assert {0, 1, 2} <= counts, "the tempos above reach the bounds"


def test_every_line_knows_the_notes_before_the_first_card_that_names_the_programme(book: Book) -> None:
    """Worked out of each player's notes, and of nothing that the choice looked at."""
    course, problems = made(book, Case("other", book.band.players, TEACHING["20 x 60, one room"]))
    assert course, problems
    for ours in (book, replace(book, course=course)):
        kept = programme(ours)
        assert ours.course
        weeks = ours.course.course.weeks
        first = min(place for place, lesson in enumerate(weeks) if lesson.id in kept.lessons)
        assert kept.pieces == weeks[-1].pieces
        assert kept.further, "the shipped pieces hold some that this band can play"
        for ident in kept.further:
            one = known_view(ours, ident)
            assert {seat.voice for seat in one.scoring.seats} >= set(one.piece.lines), ident
            for sheet in one.sheets:
                for seat in (seat for seat in sheet.seats if sheet.voice != "descant"):
                    known = ours.course.grades.weeks[seat.desk.player.id][first - 1].after.notes
                    assert set(sheet.part.written.pitches) <= known, (ident, seat)


def test_cards_name_one_programme_and_no_song_of_winter_in_april(book: Book) -> None:
    assert book.course
    kept, weeks = programme(book), book.course.course.weeks
    assert book.course.dates[-1].month == 4
    assert not {"good-king-wenceslas", "jingle-bells"} & set(kept.further)
    titles = [book.pieces[ident].title for ident in kept.further]
    for lesson in weeks:
        shown = lesson_view(book, lesson.id)
        said = ("Further pieces, if you have rehearsed them", " · ".join(titles)) if lesson.id in kept.lessons else None
        assert {card.further_said for card in shown.cards} == {said}, lesson.id
        assert not any("Further" in label for card in shown.cards for label, _ in card.head), "said once"
        one = replace(shown.card, further=shown.card.further[:1])
        assert one.further_said == (("Further piece, if you have rehearsed it", titles[0]) if said else None)
    played = [
        [*(lesson.item(each).tune for each in step.music), *step.pieces]
        for lesson in weeks[-2:]
        for step in lesson.steps
        if step.id in ("dress-rehearsal", "the-concert")
    ]
    assert played == [[*kept.tunes, *kept.pieces]] * 2


def test_the_running_time_is_that_of_the_music_and_fits_the_step_and_the_guide(book: Book) -> None:
    assert book.course
    kept = programme(book)
    short, long = running(book, kept)
    # Bars times beats by the tempo in each file: Two Gates 8 bars of 4 at 72, Over the Bridge 8 of 4 at 80, Lantern
    # Waltz 8 of 3 at 92; half a minute between each of them and the tune.
    waltz = 8 * 3 / book.pieces["lantern-waltz"].tempo.bpm
    pieces = 60 * (8 * 4 / 72 + 8 * 4 / 80 + waltz)
    tunes = [book.tunes[ident] for ident in kept.tunes]
    assert abs(short - pieces - sum(tune.seconds for tune in tunes) - 30 * (2 + len(tunes))) < 1
    step = next(step for step in book.course.course.weeks[-1].steps if step.id == "the-concert")
    assert short < long <= min(LONGEST, step.minutes * 60)
    assert step.minutes * 60 < 3 * long, "a step as long as that would be filled with nothing"


def test_words_say_what_holds_for_one_piece_for_several_and_for_none(book: Book) -> None:
    kept = programme(book)
    one, none = replace(kept, further=kept.further[:1]), replace(kept, further=())
    assert len(kept.further) > 1
    assert "as well, if you have rehearsed them:" in rehearsed_words(book, kept)
    title = book.pieces[kept.further[0]].title
    assert f"it can play {title} as well, if you have rehearsed it:" in rehearsed_words(book, one)
    assert "as well" not in rehearsed_words(book, none)
    assert begins_words(book, none) == ""
    for english, word in (("american", "program"), ("british", "programme")):  # as general dictionaries have it
        ours = replace(book, band=replace(book.band, english=english))
        assert begins_words(ours, one).startswith(f"A new {word} begins with what your course rehearses, then {title},")


def test_the_concert_page_makes_up_no_lesson_for_a_tune(book: Book) -> None:
    out = Products()
    concert_page(book, out, [known_view(book, ident) for ident in book.pieces])
    sent = re.search(r'data-pieces="([^"]*)"', "".join(out.fragments.values()))
    assert sent
    values = json.loads(html.unescape(sent[1]))
    assert {value["id"] for value in values if "week" in value} == set(book.pieces)
    assert len(values) == len(book.pieces) + len(programme(book).tunes)


def test_the_concert_page_and_the_guide_begin_with_it(site: Path, book: Book) -> None:
    kept = programme(book)
    page = (site / "pieces/concert.html").read_text(encoding="utf-8")
    first = re.search(r'data-first="?([^" >]*)', page)
    assert first
    assert first[1].split(",") == [*(f"tune-{ident}" for ident in kept.tunes), *kept.pieces, *kept.further]
    guide = html.unescape(re.sub(r"<[^>]+>", "", (site / "guide/first-performance.html").read_text(encoding="utf-8")))
    said = next(line for line in guide.splitlines() if "course rehearses" in line)
    for ident in (*kept.pieces, *kept.further):
        assert book.pieces[ident].title in said


def test_further_pieces_stand_below_those_of_the_course_on_page_and_paper(book: Book, tmp_path: Path) -> None:
    """Each once, and on no card of another lesson."""
    assert book.course
    lessons, pack = book.course.course.weeks, PrintPack()
    pictures = Pictures(book.root / ".cache", book.band.english)
    for lesson in (lessons[1], lessons[-1]):
        values = lesson_values(book, lesson_view(book, lesson.id), pictures, pack) | {"sheets": []}
        paper = " ".join(words_on(print_lessons(book, [values], pack, tmp_path))[0].split())
        page = "".join(card_page(book, lesson.id).fragments.values())
        assert paper.count("Further pieces") == page.count("Further pieces") == (lesson is lessons[-1]), lesson.id
    titles = [book.pieces[ident].title for ident in programme(book).further]
    assert f"Further pieces, if you have rehearsed them {' · '.join(titles)}" in paper
    assert 0 < paper.index("Pieces in parts") < paper.index("Further pieces") < paper.index("If it goes wrong")
    assert 0 < page.index("Pieces in parts") < page.index("Further pieces") < page.index('id="steps"')
