"""Sentences that depend on the instrument are checked against it, and every caution stands where it must."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Literal

import pytest
from conftest import ROOT
from plans import TEACHING, Case, made, players_of
from readability import prose

from beginnerband.data.book import Book
from beginnerband.data.claims import check_words, unchecked, unspoken_words, vague_horns
from beginnerband.data.problems import Problems
from beginnerband.music.instrument import Held
from beginnerband.music.player import Player
from beginnerband.music.tuning import pull_mm
from beginnerband.pages import blocks, rooms
from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.pages.guide import note_tables, supplies
from beginnerband.pages.guide.band_tables import said_to_band
from beginnerband.pages.guide.claims import checked
from beginnerband.pages.shared.holding_words import holding_lines
from beginnerband.products import Products
from beginnerband.render.pictures import DRAWINGS, plans, seats
from beginnerband.site import fill
from beginnerband.teaching.hands import takes_weight
from beginnerband.teaching.minutes import shared_out
from beginnerband.teaching.positions import asked
from beginnerband.teaching.supplies import Supply, amount, with_spares

PAGES = {path.stem: path for path in sorted((ROOT / "handbook" / "guide").glob("*.md"))}


def context(book: Book, uri: str = "guide/holding.md") -> Context:
    return Context(book, Products(), uri, rooms.blocks())


def shown(book: Book, block: str, uri: str = "guide/holding.md") -> str:
    """A block's words, a row of a table on a line."""
    here, problems = context(book, uri), Problems(book.root)
    html = fill(blocks.expand(block, here, rooms.blocks(), problems, "page.md"), here.products.fragments)
    assert not problems.found
    return re.sub(r"<[^>]*>", " ", html.replace("</tr>", "\n"))


def is_true(book: Book, text: str) -> None:
    """Run ``[[checked …]]``; raises ``BlockError`` when it is not so."""
    tokens = text.split()
    named = dict(token.split("=", 1) for token in tokens if "=" in token)
    assert checked(context(book), Args(tuple(token for token in tokens if "=" not in token), named)) == ""


# Words that mean two things


@pytest.mark.parametrize(
    "text", ["Ask the horn.", "Horns and basses only.", "On a horn, more on the top lip.", "a horn's bell"]
)
def test_a_horn_that_does_not_say_which_is_found(text: str) -> None:
    assert [line for line, _ in vague_horns(f"\n{text}")] == [2]


@pytest.mark.parametrize(
    "text",
    ["The F horn.", "F horns sit here.", "a flugelhorn", "[[word tenor-horn plural]]", "content/instruments/f-horn.yml",
     "an E♭ horn", "the old Post horn", "see [here](../instruments/f-horn.md)"],
)  # fmt: skip
def test_a_horn_that_says_which_is_not(text: str) -> None:
    assert list(vague_horns(text)) == []


def test_a_name_that_bands_say_otherwise_comes_from_the_band() -> None:
    assert [line for line, _ in unspoken_words("Give it to the tenor horns.")] == [1]
    assert list(unspoken_words("Give it to the [[word tenor-horn plural]].")) == []


def test_the_build_stops_at_a_horn_on_any_page_and_in_the_data(tmp_path: Path) -> None:
    for name, text in {
        "handbook/a.md": "# A\n\nGive it to the horn.\n",
        "content/troubles.yml": "# the horn in a comment\ntroubles:\n  x: {do: Ask the horn.}\n",
        "content/course/lesson-01.yml": "title: One\nsay: Horns first.\nfor: [horn]\n",
    }.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    problems = Problems(tmp_path)
    check_words(tmp_path, problems)
    assert [(problem.file, problem.line) for problem in problems.found] == [
        ("handbook/a.md", 3), ("content/troubles.yml", 3), ("content/course/lesson-01.yml", 2),
    ]  # fmt: skip


def test_cards_and_troubles_say_nothing_that_only_a_page_can_check() -> None:
    """Data files carry no checks: what differs by instrument is a phrase there, or not said. Sticks have two hands."""
    content = ROOT / "content"
    files = [content / "troubles.yml", *sorted((content / "course").glob("*.yml"))]
    for path in files:
        if path.stem != "percussion":
            for number, line in enumerate(path.read_text(encoding="utf-8").split("\n"), 1):
                if not line.strip().startswith(("#", "also:")):
                    assert unchecked(line) == "", (path.name, number, line)


# Sentences that nothing checks


@pytest.mark.parametrize(
    ("passage", "what"),
    [
        ("Hold it up with the left hand.", "a hand"),
        ("One hand is the shelf. The other is the player.", "a hand"),
        ("The bell points up.", "where a bell points"),
        ("They have the same fingers.", "fingers in common"),
        ("More on the top lip.", "where the rim sits"),
        ("The shank fits.", "a shank"),
        ("Go to sixth position.", "a slide position"),
        ("Then it clashes.", "how two notes sound together"),
    ],
)
def test_a_passage_on_what_differs_must_be_checked(passage: str, what: str) -> None:
    assert unchecked(passage) == what
    assert unchecked(f"{passage}[[checked hand plays=right for=valves]]") == ""
    assert unchecked("Breathe low and blow.") == ""


# What was said here once, and is not so: each must stop the build.
@pytest.mark.parametrize(
    "false",
    [
        "hand plays=right for=valves",  # the F horn's are under the left
        "hand plays=right for=all",
        "hand plays=left for=trombone",
        "hand carries=right for=slide",
        "rim upper=two-thirds for=tenor-horn",
        "rim upper=half for=f-horn",
        "rim upper=half for=low",
        "part bass for=cornet",
        "fingers for=cornet,f-horn",
        "fingers for=cornet,trombone",
        "fingers for=cornet,euphonium-4 level=first-year",  # four valves: 4 for 1-3
        "shank same for=cornet,trumpet",
        "shank same for=low",
        "shank differs for=cornet,soprano-cornet",
        "bell points=up for=low",  # a trombone's points ahead
        "bell points=forward for=f-horn",
        "bell smaller=euphonium than=baritone",
        "third-slide valves=2-3",
        "third-slide valves=1-3,1-2-3",
        "sound bb-eb=rubs",  # a fourth or a fifth: "it clashes, ouch"
        "sound eb-f=open",
        "sound bb-f=rubs",
    ],
)
def test_false_sentences_stop_the_build(book: Book, false: str) -> None:
    with pytest.raises(BlockError, match="not so"):
        is_true(book, false)


@pytest.mark.parametrize(
    "true",
    [
        "hand plays=right for=valves except=f-horn",
        "hand carries=left for=slide",
        "hand plays=right for=slide",
        "rim upper=two-thirds for=f-horn",
        "rim upper=half for=small,tenor-horn",
        "rim upper=more-than-half for=low",
        "fingers for=cornet,trumpet,flugelhorn,tenor-horn,baritone,euphonium,eb-bass,bb-bass except=f-horn",
        "part bass for=low",
        "shank differs for=small",
        "shank same for=eb-bass,bb-bass",
        "shank same for=baritone,euphonium",
        "bell points=up for=tenor-horn,low except=trombone,trombone-f",
        "bell smaller=baritone than=euphonium",
        "third-slide valves=1-2-3,1-3,2-3",  # never alone: one valve is right (common practice, no source)
        "sound bb-eb=open bb-f=open eb-f=rubs",
    ],
)
def test_true_sentences_pass_and_show_nothing(book: Book, true: str) -> None:
    is_true(book, true)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ("hnad plays=right for=all", "did you mean 'hand'"),
        ("hand for=all", "write plays=right, or carries=left"),
        ("hand plays=right", "for whom"),
        ("hand plays=right for=cornett", "did you mean 'cornet'"),
        ("hand plays=right for=valves except=f-horn,cornet", "cornet is no exception"),
        ("rim upper=most for=all", "upper=half"),
        ("shank alike for=all", "shank same"),
        ("bell points=down for=all", "points=forward"),
        ("bell smaller=baritone", "smaller=ID than=ID"),
        ("bell smaller=baritonne than=euphonium", "did you mean 'baritone'"),
        ("sound bb-es=open", "no group 'es'"),
        ("part tennor for=low", "did you mean 'tenor'"),
    ],
)
def test_a_check_that_is_not_understood_says_so(book: Book, wrong: str, message: str) -> None:
    with pytest.raises(BlockError, match=message):
        is_true(book, wrong)


def test_a_sentence_turns_false_when_the_instrument_changes(book: Book) -> None:
    """The check looks at the instrument, not at the words: with its hands changed over, the cornet stops the build."""
    cornet = replace(book.instruments["cornet"], held=Held("left", "right", "forward"))
    changed = replace(book, instruments={**book.instruments, "cornet": cornet})
    with pytest.raises(BlockError, match="not so for B♭ cornet"):
        is_true(changed, "hand plays=right for=valves except=f-horn")


# What is told from the instruments


def test_the_f_horn_page_tells_the_f_horns_hands(book: Book) -> None:
    said = shown(book, "[[held]]", "guide/hold-f-horn.md")
    assert "The left hand works the valves" in said
    assert "right hand lies in the bell" in said
    assert "two thirds on the upper lip" in said


def test_the_trombone_page_tells_that_one_hand_carries(book: Book) -> None:
    said = shown(book, "[[held]]", "guide/hold-trombone.md")
    assert "The left hand carries all of the weight." in said
    assert "The right hand moves the slide" in said


def test_every_brass_instrument_has_a_page_on_holding_it(book: Book) -> None:
    for instrument in book.instruments.values():
        if instrument.brass:
            assert instrument.held
            assert book.guide.page(instrument.held.page), instrument.id
            assert all(holding_lines(instrument))
        else:
            with pytest.raises(ValueError, match="not held"):
                holding_lines(instrument)


def test_summaries_of_holding_say_the_hands_of_the_instrument_files(book: Book) -> None:
    """The line in the list of pages carries no check of its own."""
    told = 0
    for instrument in book.instruments.values():
        page = book.guide.page(instrument.held.page) if instrument.held else None
        for hand, doing in re.findall(r"(left|right) hand (plays|carries)", page.summary if page else ""):
            told += 1
            assert getattr(instrument.held, doing) == hand, instrument.id
    assert told >= 10


def test_the_table_of_fingers_in_common_keeps_the_f_horn_apart(book: Book) -> None:
    """Written D4 is 1-3 on a cornet and 1 on an F horn, E4 is 1-2 and open (charts of both, from memory)."""
    rows = [line for line in shown(book, "[[same-hands]]").split("\n") if "F horn" in line]
    assert len(rows) == 1
    assert "D4" in rows[0]
    assert "E4" in rows[0]
    assert "cornet" not in rows[0]


def test_a_slide_is_told_by_its_position_among_valves(book: Book) -> None:
    """Written C in treble clef is open on a cornet, and first position on a trombone (charts of both, from memory)."""
    trombone = Player(book.instruments["trombone"], book.instruments["trombone"].reading("treble-bb"))
    both = (Player(book.instruments["cornet"], book.instruments["cornet"].readings[0]), trombone)
    rows = shown(replace(book, band=replace(book.band, players=both)), "[[same-note note=C5]]").split("\n")
    assert "open" in next(row for row in rows if "cornet" in row)
    assert "position 1" in next(row for row in rows if "trombone" in row)


def test_the_first_note_table_is_the_courses(book: Book) -> None:
    rows = shown(book, "[[first-notes]]").split("\n")
    assert book.course
    for player in book.course.players:
        if player.instrument.brass:
            met = book.course.grades.first_met(player.id)
            first = min(met, key=lambda note: met[note])
            row = next(line for line in rows if player.instrument.names.british.lower() in line.lower())
            assert re.search(rf"{first.sign}\s+\(\S+\s*\)\s*, (no valve|valve|position)", row), row
    horn = next(line for line in rows if "F horn" in line)
    assert "E4" in horn  # the F horn's third open note in this range, its fifth harmonic


def test_the_reach_the_course_asks_for_is_told_where_an_instrument_is_chosen(book: Book) -> None:
    assert book.course
    course = book.course
    for player in course.players:
        for each in asked(course.course, course.grades, player):
            for page in ("choosing-an-instrument", "moving-the-slide"):
                assert "[[slide-asks]]" in PAGES[page].read_text(encoding="utf-8")
            assert f"lesson {each.lesson}" in shown(book, "[[slide-asks]]")
            # half of 2.7 m times (2 to the n/12, less 1), worked by hand for each position
            assert each.cm == pytest.approx([0, 8.0, 16.5, 25.5, 35.1, 45.2, 55.9][each.position - 1], abs=0.1)


def test_weights_count_the_case_and_tell_drums_apart(book: Book) -> None:
    said = shown(book, "[[weights]]")
    for name in ("Side drum", "Bass drum", "Pair of cymbals"):
        assert name in said
    bass = book.instruments["eb-bass"].loads[0]
    assert f"{bass.packed_kg:.1f} kg" in said


def test_the_pull_of_each_slide_of_the_band_stands_on_the_page_on_tuning(book: Book) -> None:
    """Worked by hand from the tube, both legs counted; see test_instrument_truth."""
    rows = shown(book, "[[slide-pulls]]").split("\n")
    for name, pull in (("cornet", "4.3 mm"), ("tenor horn", "6.4 mm"), ("euphonium", "8.5 mm"), ("F horn", "11.4 mm"),
                       ("E♭ bass", "12.8 mm")):  # fmt: skip
        assert pull in next(row for row in rows if name in row)
    assert "[[slide-pulls]]" in PAGES["tuning"].read_text(encoding="utf-8")


def test_amounts_follow_from_the_band_file(book: Book) -> None:
    """By hand: one for four of nine players, and one more, are four; with a spare for four, five need seven."""
    thing = Supply("Brush", who="brass", one_for=4, spare=1, why="x")
    assert book.course
    five = [replace(player, count=3) for player in book.course.players if player.instrument.brass][:3]
    assert amount(thing, five) == 4
    assert amount(thing, []) == 0
    assert with_spares(5, 4) == 7
    cornets = next(chair.count for chair in book.band.players if chair.instrument.id == "cornet")
    row = next(line for line in shown(book, "[[shanks]]").split("\n") if "cornet" in line.lower())
    assert re.search(rf"\b{cornets}\b.*\b{with_spares(cornets, 4)}\b", row)
    double = replace(
        book, band=replace(book.band, players=tuple(replace(one, count=2 * one.count) for one in book.band.players))
    )
    assert supplies.supplies(context(double), Args()) != supplies.supplies(context(book), Args())


@pytest.mark.parametrize(
    ("part", "band", "said"),
    [
        ("alto", {"trumpet": 2, "tenor-horn": 1, "eb-bass": 1}, "borrow a player of the B♭ trumpet"),
        ("alto", {"trumpet": 1, "tenor-horn": 1, "eb-bass": 1}, "nobody can be spared"),
        (
            "tenor",
            {"cornet": 2, "tenor-horn": 2, "euphonium": 2},
            "borrow a player of the E♭ tenor horn or B♭ euphonium",
        ),
        ("tenor", {"cornet": 2, "tenor-horn": 2, "euphonium": 1}, "borrow a player of the E♭ tenor horn"),
        ("tenor", {"cornet": 3, "drums": 1}, "nobody can be spared in this band: play without it"),
    ],
)
def test_whoever_is_away_is_covered_for_by_players_of_this_band(
    book: Book, part: str, band: dict[str, int], said: str
) -> None:
    """Common practice, no source: trumpets can take the alto, a horn or a euphonium the tenor, a bass neither."""
    chairs = players_of(book, [(each, book.instruments[each].readings[0].id, count) for each, count in band.items()])
    ours = replace(book, band=replace(book.band, players=chairs))
    assert said in shown(ours, f"[[borrow {part}]]", "guide/covering-for-the-absent.md")


@pytest.mark.parametrize(
    ("rooms", "adults", "said"),
    [
        (1, 2, "one sound from the start"),
        (1, 1, "Find a second adult"),
        (2, 1, "and there is only one: so its course is for one room. Find a second adult before you begin"),
        (2, 3, "Two rooms need two adults in each, and there are only three: so its course is for one room"),
        (2, 4, "a second is present in each room"),
    ],
)
def test_two_adults_are_counted_for_each_room(book: Book, rooms: Literal[1, 2], adults: int, said: str) -> None:
    teaching = replace(book.band.teaching, rooms=rooms, adults=adults)
    ours = replace(book, band=replace(book.band, teaching=teaching), course=None)
    assert said in shown(ours, "[[adults]]")


def test_a_band_of_adults_counts_one_leader_a_room(book: Book) -> None:
    teaching = replace(book.band.teaching, ages="adults", adults=2, rooms=2)
    said = shown(replace(book, band=replace(book.band, teaching=teaching), course=None), "[[adults]]")
    assert "One person teaches in each room." in said
    assert "second" not in said


def test_what_the_leader_says_of_weight_is_true_of_each_instrument(book: Book) -> None:
    """Common practice, no source: the left hand carries all but what stands; a band of basses lifts nothing."""
    by_id = book.instruments

    def said(*names: str) -> str:
        return takes_weight([Player(by_id[name], by_id[name].readings[0]) for name in names], "british")

    assert said("cornet", "trombone") == "Left hand takes the weight."
    inside = "Single F horn: left fingers on the valves, right hand in the bell."
    assert said("cornet", "f-horn", "trombone") == f"Left hand takes the weight. {inside}"
    assert (
        said("cornet", "eb-bass", "bb-bass")
        == "Left hand takes the weight. The E♭ bass and B♭ bass stand on the seat or a stand."
    )
    assert said("eb-bass", "drums") == "The E♭ bass stands on the seat or a stand."
    assert said("drums") == ""
    cornet = by_id["cornet"]
    turned = Player(replace(cornet, held=Held("left", "right", "forward")), cornet.readings[0])
    both = takes_weight([turned, Player(by_id["trumpet"], by_id["trumpet"].readings[0])], "british")
    assert both == "Right hand takes the weight of B♭ cornet. Left hand takes the weight of B♭ trumpet."


@pytest.mark.parametrize(
    ("total", "found"),
    [(45, (5, 10, 10, 10, 5, 5)), (90, (10, 20, 20, 20, 10, 10)), (20, (3, 4, 4, 4, 3, 2))],
)
def test_minutes_are_shared_out_to_the_last(total: int, found: tuple[int, ...]) -> None:
    parts = shared_out(total, (5, 10, 10, 10, 5, 5))
    assert sum(parts) == total
    assert parts == found


def test_minutes_that_are_too_few_are_refused() -> None:
    with pytest.raises(ValueError, match="cannot be shared out"):
        shared_out(3, (1, 1, 1, 1))


def test_two_groups_on_one_letter_are_told_as_they_sound(book: Book) -> None:
    rows = shown(book, "[[meetings letter=C]]").split("\n")
    open_pair = next(row for row in rows if "cornet" in row and "tenor horn" in row)
    assert "a fifth apart" in open_pair
    assert note_tables.CHARACTER_WORDS["open"] in open_pair
    rough = next(row for row in rows if "tenor horn" in row and "F horn" in row)
    assert note_tables.CHARACTER_WORDS["rubs"] in rough


def test_mouthpieces_are_tried_and_drawn_narrow_to_wide(book: Book) -> None:
    """ "Small to large", says the trial, and "in order of size" the picture: by the width inside the rim."""
    rows = [line for line in shown(book, "[[trial-form]]").split("\n") if "☐" in line]
    told = ["cornet", "F horn", "tenor horn", "trombone", "bass"]
    assert [next(index for index, row in enumerate(rows) if name in row) for name in told] == [0, 1, 2, 3, 4]
    drawn = DRAWINGS["mouthpiece-sizes"](book).words
    widths = [float(figure) for figure in re.findall(r"([\d.]+) millimetres", drawn)]
    assert widths == sorted(widths)


def test_a_band_in_one_room_is_told_of_one_sound(book: Book) -> None:
    """What the pages on one room say holds for the course as it is made: all sound one letter in the first lesson."""
    assert book.course
    assert book.band.teaching.rooms == 1
    course = book.course
    first = {
        player.reading.sounding(min(met, key=lambda note: met[note])).letter_sign
        for player in course.players
        if player.instrument.pitched and (met := course.grades.first_met(player.id))
    }
    assert len(first) == 1
    assert "**one sound**" in PAGES["one-leader"].read_text(encoding="utf-8")


# Words

OUT = (r"week six", r"turning purple", r"which one likes you", r"without making anyone sad", r"\b[Oo]uch\b")


def test_words_that_were_struck_out_stay_out() -> None:
    everything = [*PAGES.values(), ROOT / "content" / "troubles.yml", ROOT / "handbook" / "tables" / "moving.md"]
    for path in everything:
        for pattern in OUT:
            assert not re.search(pattern, path.read_text(encoding="utf-8")), (path.name, pattern)


def test_marks_stand_only_at_real_sources(book: Book) -> None:
    for page in book.guide.pages():
        assert "common-practice" not in page.sources
    assert "common practice" in shown(book, "[[back]]", "guide/breathing.md")
    assert "<sup" not in fill_of(book, "Blow. [[fact src=common-practice]]")


def fill_of(book: Book, text: str) -> str:
    here = context(book)
    return fill(blocks.expand(text, here, rooms.blocks(), Problems(book.root), "page.md"), here.products.fragments)


WORDS_A_MINUTE = 238
"""Adults reading English in silence, on average: M. Brysbaert, "How many words do we read per minute?", Journal of
Memory and Language 109 (2019); from memory."""


@pytest.mark.parametrize("name", [name for name in PAGES if name not in ("index", "words", "sources", "troubles")])
def test_every_page_can_be_read_in_two_minutes(name: str) -> None:
    words = re.findall(r"[\w’']+", prose(PAGES[name].read_text(encoding="utf-8")))
    assert len(words) <= 2 * WORDS_A_MINUTE, f"{len(words)} words"


@pytest.mark.parametrize(
    "played",
    [("drums",), ("glockenspiel",), ("trombone",), ("f-horn",), ("bb-bass", "euphonium-comp"), ("soprano-cornet",)],
    ids="-".join,
)
def test_no_band_meets_an_empty_table_in_the_guide(book: Book, played: tuple[str, ...]) -> None:
    """Small and odd bands, in bass clef where they can: every page still says something."""
    players = tuple(Player(book.instruments[each], book.instruments[each].readings[-1], 1) for each in played)
    small = replace(book, band=replace(book.band, players=players), course=None)
    known = rooms.blocks()
    for page in small.guide.pages():
        products, problems = Products(), Problems(small.root)
        html = fill(
            blocks.expand(page.text, Context(small, products, page.uri, known), known, problems, page.uri),
            products.fragments,
        )
        assert not problems.found
        assert not re.search(r"<tbody>\s*</tbody>", html), page.name


def test_the_script_of_one_letter_names_groups_that_are_there(book: Book) -> None:
    """A band of one key has no E♭ group to play its C: two halves of it compare what they hear."""

    def groups(*rows: tuple[str, str, int]) -> list[str]:
        band = replace(book.band, players=players_of(book, rows))
        told = replace(book, band=band)
        return [shown(told, f"[[learning-group {which}]]").strip() for which in ("first", "second")]

    drums = ("drums", "rhythm", 2)
    assert groups(("tenor-horn", "treble-eb", 3), ("cornet", "treble-bb", 3)) == ["The B♭ group", "The E♭ group"]
    assert groups(("f-horn", "treble-f", 1), ("tenor-horn", "treble-eb", 3)) == ["The E♭ group", "The F group"]
    assert groups(("cornet", "treble-bb", 3), ("euphonium", "bass-c", 1)) == ["The B♭ group", "The concert-pitch group"]
    assert groups(("cornet", "treble-bb", 3), ("trumpet", "treble-bb", 1), drums) == ["One half", "The other half"]


@pytest.mark.parametrize(("count", "name"), [(1, "26 x 45, one room"), (2, "26 x 45, two rooms")])
def test_one_leader_hears_of_a_second_room_only_where_there_is_one(count: int, name: str, book: Book) -> None:
    """A course in one room gives everybody one sound: no group has a first note of its own there."""
    course, problems = made(book, Case("rooms", book.band.players, TEACHING[name]))
    assert course, problems
    assert len(course.course.rooms) == count
    text = shown(replace(book, course=course), PAGES["one-leader"].read_text(encoding="utf-8"), "guide/one-leader.md")
    assert ("Is the second room shut" in text) is (count == 2)
    assert ("each group has a first note of its own" in text.lower()) is (count == 2)
    assert ("Ask for “our note”" in text) is (count == 1)


def test_the_guide_asks_hands_people_and_rooms_that_the_band_has(book: Book) -> None:
    """Grown-ups with one leader have no helper and count no child out; a slide is not fingered."""

    def told(players: list[tuple[str, str, int]], ages: Literal["adults", "children"], adults: int) -> dict[str, str]:
        teaching = replace(book.band.teaching, ages=ages, adults=adults, rooms=1)
        band = replace(book.band, players=players_of(book, players), teaching=teaching)
        ours = replace(book, band=band, course=None)
        pages = ("first-night", "one-leader", "notes-by-rote", "short-rehearsal", "warm-up", "seating")
        return {page: shown(ours, PAGES[page].read_text(encoding="utf-8"), f"guide/{page}.md") for page in pages}

    grown = told([("trombone", "bass-c", 3), ("cornet", "treble-bb", 1)], "adults", 1)
    assert not re.search(r"helper|[Cc]hild|[Tt]wo adults|[Pp]arent", grown["first-night"])
    assert "fingers or slide" in grown["one-leader"]
    assert "finger or slide along" in grown["one-leader"]
    assert "Fingers and slides" in grown["warm-up"]
    assert "two rooms" not in grown["short-rehearsal"]
    assert not re.search(r"[Dd]rums|[Pp]ercussion", grown["seating"])
    young = told([("cornet", "treble-bb", 3), ("drums", "rhythm", 2)], "children", 2)
    assert "Two adults stay to the last" in young["first-night"]
    assert "with a helper beside it" in young["first-night"]
    assert "They finger along" in young["one-leader"]
    assert "Drums at the back" in young["seating"]
    slides = told([("trombone", "bass-c", 3)], "children", 2)
    assert "that side slides" in slides["one-leader"]
    assert "The slide moves before the sound" in slides["notes-by-rote"]


def test_drums_read_no_notes_that_others_read(book: Book) -> None:
    rows = [("cornet", "treble-bb", 3), ("drums", "rhythm", 2)]
    band = replace(book.band, players=players_of(book, rows))
    found = shown(replace(book, band=band, course=None), "[[groups]]")
    assert re.search(r"B♭[^\n]*, 3\s+B♭ cornet \(3\)\s+nobody", found)
    assert re.search(r"2 \(no notes: side drum, bass drum and cymbals \(2\)\)\s+nobody\s+nobody", found)


def test_marks_that_leave_a_band_out_are_refused(book: Book) -> None:
    for wrong in ("{two-rooms? only there}", "{elsewhere? a | b}", ""):
        with pytest.raises(BlockError):
            said_to_band(context(book), Args((wrong,)))


def test_whoever_is_lost_is_sent_to_what_every_piece_and_band_has(book: Book) -> None:
    """Two pieces of the course have one letter, at their first bar; some bands have one player a part."""
    letters = {
        ident: sum(bool(bar.rehearsal) for bar in book.pieces[ident].tune.measures)
        for ident in ("two-gates", "over-the-bridge")
    }
    assert set(letters.values()) == {1}
    text = PAGES["first-performance"].read_text(encoding="utf-8")
    assert "next letter" not in text
    assert "there are two" not in text
    assert "when I nod" in text


def test_seats_are_named_as_their_instruments_are(book: Book) -> None:
    """A xylophone is no bells; an F stays large; names stand inside the drawing."""
    many = [(ident, each.readings[0].id, 1) for ident, each in book.instruments.items()]
    for rows in (many, [("trombone-f", "bass-c", 1), ("f-horn", "treble-f", 1), ("xylophone", "treble-c", 1)]):
        named = seats(players_of(book, rows), "american")
        assert "Xylophone" in named[-1]
        assert "Bells" not in named[-1]
        drawn = plans.seating(named)
        assert "F horn" in drawn.words
        assert "f horn" not in drawn.words
        assert "with f" not in drawn.words
        for x, name in re.findall(r'<text x="([\d.]+)"[^>]*>(\d+  [^<]+)<', drawn.body):
            assert float(x) + 9.5 * len(name) < drawn.width, name  # 17 units high: half as wide, at most 0.56


def test_how_far_a_tuning_slide_goes_is_said_once_and_truly(book: Book) -> None:
    """A fifth of a semitone takes a bass more than a thumb is wide (about 20 mm; common practice), a cornet much less.

    The length of a pull follows from the tube alone, by hand: half a wave of the first harmonic at 343 m/s (any physics
    textbook) is 343 000 / (2 x 116.54) = 1471.6 mm for a cornet (B flat 2) and 343 000 / (2 x 29.135) = 5886.4 mm for a
    B flat bass (B flat 0). Twenty cents make 2^(20/1200) - 1 = 0.011619 of it, and each pull counts on two legs.
    """
    brass = [each for each in book.instruments.values() if each.brass]
    twenty = {each.id: pull_mm(each, 20) for each in brass}
    assert (round(twenty["cornet"], 2), round(twenty["bb-bass"], 1)) == (8.55, 34.2)
    assert min(twenty.values()) < 15 < 20 < max(twenty.values())
    assert all(abs(pull / pull_mm(each, 10) - 2) < 0.02 for each, pull in zip(brass, twenty.values(), strict=True))
    text = PAGES["tuning"].read_text(encoding="utf-8")
    assert "thumb" not in text
    assert "twice as far as it says is already a fifth of a semitone" in text
