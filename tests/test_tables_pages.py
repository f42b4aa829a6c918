"""The instrument pages, the tables and their blocks, as values and as HTML."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from beginnerband.data.book import Book
from beginnerband.data.problems import Problems
from beginnerband.music.answer import answers
from beginnerband.music.equivalence import change_over
from beginnerband.music.instrument import Names
from beginnerband.music.player import Player, players_of
from beginnerband.pages import blocks
from beginnerband.pages.blocks import Context
from beginnerband.pages.instruments import moving
from beginnerband.pages.instruments import room as instruments
from beginnerband.pages.shared import units
from beginnerband.pages.shared.table import Row, table
from beginnerband.pages.tables import data_files as datafiles
from beginnerband.pages.tables import room as tables
from beginnerband.pages.tables import transposing
from beginnerband.products import Products
from beginnerband.render.shapes import shared

MINE = {**tables.BLOCKS, **transposing.BLOCKS, **datafiles.BLOCKS}


class Table(HTMLParser):
    """Reads the tables of a fragment as a screen reader would: caption, headers with scope, rows of text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.captions: list[str] = []
        self.rows: list[list[str]] = []
        self.unscoped = 0
        self.ids: list[str] = []
        self._text: list[str] | None = None
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "tr":
            self.rows.append([])
        if tag in ("th", "td", "caption"):
            self._text = []
            self.unscoped += tag == "th" and dict(attrs).get("scope") not in ("col", "row", "rowgroup")
        self.ids += [value for name, value in attrs if name == "id" and value]

    def handle_data(self, data: str) -> None:
        if self._text is not None and data.strip():
            self._text.append(data.strip())

    def handle_endtag(self, tag: str) -> None:
        if tag in ("th", "td", "caption") and self._text is not None:
            text = " ".join(self._text)
            if tag == "caption":
                self.captions.append(text)
            else:
                self.rows[-1].append(text)
            self._text = None

    def row(self, first: str) -> list[str]:
        return next(row for row in self.rows if row and row[0] == first)


def say(book: Book, text: str) -> str:
    """What one line of a page with a block becomes."""
    products, problems = Products(), Problems(book.root)
    blocks.expand(text, Context(book, products, "tables/x.md"), MINE, problems, "handbook/tables/x.md")
    assert not problems.found, problems.found
    return "".join(products.fragments.values())


def complaint(book: Book, text: str) -> str:
    """What is said about one line of a page with a mistaken block."""
    problems = Problems(book.root)
    blocks.expand(f"first\n{text}", Context(book, Products(), "tables/x.md"), MINE, problems, "handbook/tables/x.md")
    (problem,) = problems.found
    return str(problem)


@pytest.fixture(scope="session")
def made(book: Book) -> Products:
    """Every instrument page."""
    products = Products()
    instruments.contribute(book, products)
    return products


def whole(made: Products, instrument_id: str) -> str:
    """An instrument's page with its fragments in place."""
    text = made.pages[f"instruments/{instrument_id}.md"].text
    return re.sub(r'<div data-bb="(\w+)"></div>', lambda match: made.fragments[match[1]], text)


def test_every_instrument_has_a_page_and_stands_in_the_list(book: Book, made: Products) -> None:
    assert set(made.pages) == {"instruments/index.md", *(f"instruments/{each}.md" for each in book.instruments)}
    listed = whole(made, "index")
    assert all(f'href="{each}.html"' in listed for each in book.instruments)


def test_instruments_are_listed_from_high_to_low(book: Book) -> None:
    order = [each.id for each in instruments.ordered(book)]
    assert order[0] == "soprano-cornet"
    assert order.index("cornet") < order.index("tenor-horn") < order.index("euphonium") < order.index("eb-bass")
    assert order.index("eb-bass") < order.index("bb-bass") < order.index("glockenspiel") < order.index("drums")


def test_every_table_has_a_caption_and_scoped_headers(made: Products) -> None:
    for uri in made.pages:
        page = Table(whole(made, uri.removeprefix("instruments/").removesuffix(".md")))
        assert page.captions
        assert not page.unscoped
        assert len(page.ids) == len(set(page.ids)), f"{uri}: an id stands twice"


def test_a_page_has_everything_a_leader_looks_for(made: Products) -> None:
    cornet = whole(made, "cornet")
    for heading in ("How it reads and sounds", "First notes", "Ranges", "Fingering chart", "Moving to and from it"):
        assert f"## {heading}" in cornet
    assert "Size and lifting" in cornet
    trombone = whole(made, "trombone")
    assert "## Where the positions are" in trombone
    assert "## For a short reach" in trombone
    assert "The same for treble clef in B♭" in trombone
    # the chart first and open, the rest folded, by heading
    assert trombone.index("## Position chart") < trombone.index('<details class="bb-section"')
    assert trombone.count('<details class="bb-section"') == trombone.count("\n## ") - 1
    assert "Fingering chart" not in whole(made, "glockenspiel")
    assert "no notes to transpose" in whole(made, "drums")


def test_a_chart_says_how_each_note_is_played(made: Products) -> None:
    # Common practice (the ordinary chart, see test_fingering): written D4 on the cornet is 1-3, sharp, third slide out.
    chart = Table(whole(made, "cornet"))
    d4 = chart.row("D4")
    assert d4[1].endswith("1-3")
    assert d4[2] == "C4"
    assert "+32 cents, sharp" in d4[3]
    assert "third-valve slide out about 2 cm" in d4[3]
    assert "Also: 3" in chart.row("E4")[3]
    assert [row[0] for row in chart.rows].count("First notes") == 2  # as a level of the ranges and of the chart


def test_a_chart_has_a_row_for_each_semitone(book: Book) -> None:
    for instrument in book.instruments.values():
        if not instrument.pitched:
            continue
        for part in players_of(instrument):
            span = instrument.written_range("full", part.reading)
            notes = answers(part)
            assert [note.written.midi for note in notes] == list(range(span.low.midi, span.high.midi + 1))
            assert all((note.way is not None) == instrument.brass for note in notes)


def test_names_from_data_are_escaped(book: Book) -> None:
    bad = '<script>alert("1")</script> [[x]] *y*'
    cornet = replace(book.instruments["cornet"], names=Names(bad, bad))
    players = tuple(
        replace(each, instrument=cornet) if each.instrument.id == "cornet" else each for each in book.band.players
    )
    changed = replace(
        book, instruments={**book.instruments, "cornet": cornet}, band=replace(book.band, players=players)
    )
    products = Products()
    instruments.contribute(changed, products)
    everything = "".join(page.text for page in products.pages.values()) + "".join(products.fragments.values())
    assert "<script" not in everything
    assert "[[x]]" not in "".join(page.text.split("---", 2)[2] for page in products.pages.values())
    for block in (
        "[[same-written note=C4]]",
        "[[band-ranges]]",
        "[[moving-from instrument=cornet]]",
        "[[player group=bb]]",
    ):
        assert "<script>" not in say(changed, block)  # as the name has it; a chooser has scripts of its own


def test_american_words_and_units(book: Book) -> None:
    american = replace(book, band=replace(book.band, english="american"))
    products = Products()
    instruments.contribute(american, products)
    page = whole(products, "tenor-horn")
    assert "# E♭ alto horn" in page.replace("&#9837;", "♭")
    assert " lb" in page
    assert " kg" not in page
    assert "British use" in page


@pytest.mark.parametrize(("kg", "said"), [(0.45359237, "1.0 lb"), (1, "2.2 lb"), (2.4, "5.3 lb"), (10, "22.0 lb")])
def test_pounds_are_the_international_pound(kg: float, said: str) -> None:
    """0.45359237 kg, and 2.54 cm an inch, by definition (international yard and pound agreement of 1959)."""
    assert units.weight(kg, "american") == said
    assert units.weight(kg, "british") == f"{kg:.1f} kg"
    assert units.length(25.4, "american") == "10 in"


# ------------------------------------------------------------------ blocks

BARE = [
    "[[concert-to-written]]", "[[written-to-concert]]", "[[between-readings]]", "[[key-table]]", "[[key-for key=Bb]]",
    "[[same-written note=C4]]", "[[same-sound note=Bb3 level=first-year]]", "[[player group=eb]]",
    "[[apart from=eb to=bb]]", "[[same-fingerings]]", "[[differences from=cornet to=f-horn]]", "[[band-ranges]]",
    "[[fingering-chart instrument=cornet reading=treble-bb level=first-year]]", "[[data-file name=notes.csv]]",
    '[[common-notes level=starter instruments="cornet tenor-horn"]]', "[[first-out level=full]]",
    "[[moving-from instrument=cornet]]", "[[valves-to-positions]]", "[[slide-reach instrument=trombone cm=42]]",
    "[[block-list]]",
]  # fmt: skip


@pytest.mark.parametrize("text", BARE)
def test_every_block_gives_something(book: Book, text: str) -> None:
    assert say(book, text).strip()


def test_each_of_the_blocks_is_tried(book: Book) -> None:
    assert {re.match(r"\[\[([a-z-]+)", text)[1] for text in BARE} == set(MINE)  # type: ignore[index]


def test_each_block_says_how_it_is_written() -> None:
    for name, function in MINE.items():
        assert (function.__doc__ or "").startswith(f"``[[{name}"), name


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[fingering-chart instrument=tenor-hron]]", "no instrument 'tenor-hron'; did you mean 'tenor-horn'?"),
        ("[[fingering-chart]]", "'instrument' is missing"),
        ("[[fingering-chart instrument=drums]]", "drums has no notes"),
        ("[[fingering-chart instrument=cornet reading=bass-c]]", "cornet is not read in 'bass-c'"),
        ("[[fingering-chart instrument=cornet level=first]]", "no level 'first'; did you mean 'first-year'?"),
        ("[[fingering-chart instrument=cornet levl=full]]", "unknown setting 'levl'; did you mean 'level'?"),
        ("[[fingering-chrt instrument=cornet]]", "no such block; did you mean 'fingering-chart'?"),
        ("[[same-written note=H4]]", "'H4' is not a pitch such as C4, Bb3 or F#5"),
        ("[[same-written]]", "is not a pitch"),
        ("[[key-for key=H]]", "no key 'H'"),
        ("[[apart from=eb to=xx]]", "no to 'xx'; use one of bb, eb, f"),
        ("[[apart from=eb]]", "'to' is missing"),
        ("[[differences from=cornet to=horn]]", "no instrument 'horn'; did you mean"),
        ("[[slide-reach instrument=cornet]]", "cornet has no slide"),
        ("[[slide-reach cm=long]]", "'long' is not a number of centimetres"),
        ("[[slide-reach cm=nan]]", "'nan' is not a number of centimetres"),
        ("[[moving-from instrument=glockenspiel]]", "glockenspiel has no fingerings to take along"),
        ('[[band-ranges instruments="cornet drums"]]', "drums has no notes"),
        ('[[common-notes instruments="cornet cronet"]]', "no instrument 'cronet'; did you mean 'cornet'?"),
        ("[[data-file name=note.csv]]", "did you mean 'notes.csv'?"),
    ],
)
def test_a_mistaken_block_is_named_with_page_line_and_remedy(book: Book, text: str, words: str) -> None:
    said = complaint(book, text)
    assert said.startswith("handbook/tables/x.md:2: [[")
    assert words in said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[key table]]", "[[key]]: no such block; did you mean 'key-table'?"),
        ("[[Key-Table]]", "'[[' that opens no block; write [[key-table]]"),
        ("[[ key-table ]]", "'[[' that opens no block; write [[key-table]]"),
        ("[[key-table]", "'[[' that opens no block; write [[key-table]]"),
        ("[key-table]]", "']]' that closes no block; write [[key-table]]"),
        ("[same-written note=C4]]", "']]' that closes no block; write [[same-written …]]"),
        ("[key-table]", "a block stands in two brackets; write [[key-table]]"),
        ("So [same-written note=C4] it is", "a block stands in two brackets; write [[same-written note=C4]]"),
        ("[[key-table", "'[[' that opens no block; a block is [[name key=value]]"),
    ],
)
def test_brackets_that_make_no_block_are_told_with_what_was_probably_meant(book: Book, text: str, said: str) -> None:
    assert complaint(book, text) == f"handbook/tables/x.md:2: {said}"


def test_whatever_has_a_slide_has_its_table_of_short_reaches(book: Book) -> None:
    """An alto trombone that a leader has added, a fourth higher, stands beside the shipped ones."""
    tenor = book.instruments["trombone"]
    alto = replace(tenor, id="alto-trombone", names=Names("E♭ alto trombone", "E♭ alto trombone"))
    found = Table(say(replace(book, instruments={**book.instruments, "alto-trombone": alto}), "[[slide-reach]]"))
    assert len(found.captions) == 3
    assert any("alto trombone" in caption for caption in found.captions)
    assert "F" in found.captions[-1]  # the one with a trigger is last


def test_concert_b_flat_on_every_page(book: Book) -> None:
    # Common practice: for concert B flat, B flat instruments read C, E flat instruments G, F instruments F.
    found = Table(say(book, "[[concert-to-written]]"))
    assert found.row("A♯ or B♭")[1:4] == ["C", "G", "F"]
    assert found.row("D♯ or E♭")[1:4] == ["F", "C", "A♯ or B♭"]


def test_moving_a_part_between_groups(book: Book) -> None:
    # Common practice: an E flat player's part lies a fifth above (or a fourth below) the B flat part of the same sound.
    found = Table(say(book, "[[between-readings]]"))
    assert found.row("B♭ readers") == [
        "B♭ readers", "as it is", "up a fifth or down a fourth", "up a fourth or down a fifth",
        "up a minor seventh or down a tone",
    ]  # fmt: skip


def test_groups_stand_a_fifth_apart_in_words(book: Book) -> None:
    # A fact of the trade, see test_transposition.
    assert say(book, "on one note they sound [[apart from=eb to=bb]]") == "a fifth higher"


def test_valves_become_positions_in_the_table(book: Book) -> None:
    found = Table(say(book, "[[valves-to-positions]]"))
    assert [found.row(valves)[1] for valves in ("open", "2", "1", "1-2", "2-3", "1-3", "1-2-3")] == [
        "1st", "2nd", "3rd", "4th", "5th", "6th", "7th",
    ]  # fmt: skip
    assert found.row("4")[2] == "trigger 1st"


def test_a_reach_of_42_cm(book: Book) -> None:
    found = Table(say(book, "[[slide-reach cm=42]]"))
    assert found.row("42 cm")[1] == "6th, 7th"
    assert "C3 as C4" in found.row("42 cm")[3]


def test_families_of_fingerings(book: Book) -> None:
    found = Table(say(book, "[[same-fingerings]]"))
    first = found.row("B♭ cornet")[1]
    for name in ("B♭ cornet", "E♭ tenor horn", "B♭ euphonium, treble clef in B♭", "E♭ bass, treble clef in E♭"):
        assert name in first
    assert "F horn" not in first


def test_what_a_cornet_player_meets_on_the_e_flat_bass(book: Book) -> None:
    old, new = (players_of(book.instruments[each])[0] for each in ("cornet", "eb-bass"))
    said = {change.topic: change for change in moving.changes(book, change_over(old, new))}
    assert list(said) == ["Mouthpiece", "Reading", "Fingers", "Sound", "Holding", "Air", "Lifting"]
    assert said["Fingers"].same
    assert said["Mouthpiece"].text == "Larger, bass shank."
    assert "own part" in said["Reading"].text
    assert "an octave and a fifth lower" in said["Sound"].text
    assert "stands on the front of the chair" in said["Holding"].text
    assert "15.0 kg, before 3.0 kg. Two people" in said["Lifting"].text
    page = (book.root / "handbook" / "tables" / "moving.md").read_text(encoding="utf-8")
    for once in ("Lift** with bent knees", "Rest when dizzy", "Lifting rules where you play come"):  # for every move
        assert page.count(once) == 1


def test_a_cornet_player_on_a_trumpet_needs_another_mouthpiece(book: Book) -> None:
    """Same width, another end (common practice, no source)."""
    old, new = (players_of(book.instruments[each])[0] for each in ("cornet", "trumpet"))
    said = {change.topic: change for change in moving.changes(book, change_over(old, new))}
    assert said["Mouthpiece"].text == "Same size, trumpet shank."
    assert not said["Mouthpiece"].same
    assert said["Holding"].same


def test_a_cornet_player_on_an_f_horn_changes_hands(book: Book) -> None:
    old, new = (players_of(book.instruments[each])[0] for each in ("cornet", "f-horn"))
    said = {change.topic: change for change in moving.changes(book, change_over(old, new))}
    assert said["Holding"].text.startswith("The left hand plays.")
    assert not said["Fingers"].same


def test_no_long_sentence_is_said_twice_on_the_page_of_moves(book: Book) -> None:
    """What is the same for two instruments stands once, above them; only short words and figures come again."""
    said = re.findall(r"<dd>(.*?)</dd>", say(book, "[[moving-from instrument=cornet]]"))
    repeated = {text for text in said if said.count(text) > 2 and len(text) > 70}
    assert not {text for text in repeated if "rests on" not in text and "stands on" not in text}


@pytest.mark.parametrize(
    ("band", "start"),
    [
        ({"cornet": 2, "trumpet": 5, "drums": 9}, "trumpet"),
        ({"trombone": 3, "tenor-horn": 3}, "tenor-horn"),
        ({"drums": 2}, "soprano-cornet"),
    ],
)
def test_moves_begin_with_the_instrument_that_most_play(book: Book, band: dict[str, int], start: str) -> None:
    made = {each: book.instruments[each] for each in band}
    chairs = tuple(Player(made[each], made[each].readings[0], count) for each, count in band.items())
    ours = replace(book, band=replace(book.band, players=chairs))
    assert f'value="{start}" selected' in say(ours, "[[moving-from]]")


def test_the_chooser_says_of_every_move_what_the_cards_say(book: Book) -> None:
    page = say(book, "[[moving-from instrument=cornet]]")
    data = json.loads(re.search(r"<script type=\"application/json\">(.*?)</script>", page)[1])  # type: ignore[index]
    chosen = re.findall(r'name="to" value="([^"]+)"', page)
    assert set(data["moves"]) == set(chosen)
    for ident, (_, *texts) in data["moves"]["cornet"].items():
        card = page.partition(f'id="move-{ident}"')[2].partition("</section>")[0]
        said = [(topic, data["texts"][text]) for topic, text in zip(data["topics"], texts, strict=True) if text >= 0]
        assert [
            (topic, html.unescape(text)) for topic, text in re.findall(r"<dt>(.*?)</dt><dd>(.*?)</dd>", card)
        ] == said


def test_moving_up_from_the_trombone_to_a_cornet_turns_everything_round(book: Book) -> None:
    """The B flat cornet's tube is half a trombone's, and sounds a tone lower than it reads (common practice)."""
    old, new = (players_of(book.instruments[each])[0] for each in ("trombone", "cornet"))
    said = {change.topic: change.text for change in moving.changes(book, change_over(old, new))}
    assert said["Air"] == "The old tube was 2 times as long."
    assert said["Sound"] == "A note now sounds a tone lower than it reads."
    assert said["Fingers"] == "Valves instead of a slide."


def test_pages_with_heavy_instruments_defer_to_local_rules(made: Products) -> None:
    for each in ("eb-bass", "bb-bass", "euphonium"):
        assert "Rules for lifting where you play" in whole(made, each)


# ------------------------------------------------------------------ parts of the pages


def test_outlines_that_repeat_are_kept_once() -> None:
    path = f'<path transform="scale(1)" d="{"M0 0h1" * 20}"/>'
    outlines, first, second = shared(f"<svg>{path}</svg>", f"<svg>{path}</svg>")
    (name,) = re.findall(r'<path id="([^"]+)"', outlines)
    assert first == second == f'<svg><use transform="scale(1)" href="#{name}"/></svg>'


def test_an_outline_that_stands_once_is_left_alone() -> None:
    alone = f'<svg><path transform="scale(1)" d="{"M0 0h1" * 20}"/></svg>'
    assert shared(alone) == ("", alone)


def test_a_table_escapes_text_and_groups_rows() -> None:
    html = table("A & <b>", ("<i>", "x"), [Row(("1", "<u>"), group="first"), ("2", 3)])
    assert "<b>" not in html
    assert "<u>" not in html
    found = Table(html)
    assert found.captions == ["A & <b>"]
    assert found.rows == [["<i>", "x"], ["first"], ["1", "<u>"], ["2", "3"]]
