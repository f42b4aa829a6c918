"""Words, spelling and dates follow the band. Spellings: Oxford and Merriam-Webster agree on these (from memory)."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from plans import Case, cases, made

from beginnerband.data.book import Book
from beginnerband.data.problems import Problems
from beginnerband.music.score import Note
from beginnerband.music.words import note_words
from beginnerband.pages import blocks
from beginnerband.pages.guide.room import glossary_data
from beginnerband.pages.shared.dates import day, short_day
from beginnerband.pages.tables.moves import data as moves_data
from beginnerband.pages.tunes.files import drum_staves
from beginnerband.products import Products
from beginnerband.teaching.wording import _NO_PROSE, curly, in_words, spelled


@pytest.mark.parametrize(
    ("text", "american"),
    [
        ("Practise it, then go on practising.", "Practice it, then go on practicing."),
        ("Your favourite programme: ask a neighbour.", "Your favorite program: ask a neighbor."),
        ("half notes in a change of metre", "half notes in a change of meter"),
        ("[the programme](programme.md#the-programme)", "[the program](programme.md#the-programme)"),
        ('<img alt="The neighbour" src="grey.png">', '<img alt="The neighbor" src="grey.png">'),
        ('<a href="grey.html" title="Grey" alt="mould">', '<a href="grey.html" title="Gray" alt="mold">'),
        ('<p class="bb-programme"\n id="programme">A programme</p>',
         '<p class="bb-programme"\n id="programme">A program</p>'),
        ('<th>Metre</th><script type="application/json">{"metre": "grey"}</script>, in grey',
         '<th>Meter</th><script type="application/json">{"metre": "grey"}</script>, in gray'),
        ("`colour` [[word colour]] https://x.example/colour", "`colour` [[word colour]] https://x.example/colour"),
        ("A metronome in the practice room", "A metronome in the practice room"),
        ("March on the spot, then the other way round.", "March in place, then the other way around."),
        ("It goes round the room while we play the round.", "It goes around the room while we play the round."),
        ("A tick for each. Rub out the rest.", "A check for each. Erase the rest."),
        ('“Practise it.” He said: "Practise." title: "Practising"',
         '“Practice it.” He said: "Practice." title: "Practicing"'),
        ("Go round once. A round sound.", "Go around once. A round sound."),
        ("In the round a group begins, and we sing a round it takes long to learn.",
         "In the round a group begins, and we sing a round it takes long to learn."),
        ("Curling round a big horn, with one round finger round it: a round in four parts turns round.",
         "Curling around a big horn, with one round finger around it: a round in four parts turns around."),
        ("Up a tone: three semitones. An octave and a tone lower.",
         "Up a whole step: three half steps. An octave and a whole step lower."),
        ("The widest step from one note to the next is a tone.",
         "The widest step from one note to the next is a whole step."),
        ("A tone like velvet is a tone of colour.", "A tone like velvet is a tone of color."),
        ("The attendance register. [Register and first aid](register.md)",
         "The attendance list. [Attendance and first aid](register.md)"),
        ("Tick the register. The register of a voice is low.", "Tick the register. The register of a voice is low."),
        ('Say “Practise with your neighbour” or ask "Whose favourite".',
         'Say “Practice with your neighbor” or ask "Whose favorite".'),
        ("They say “We practise” and play “My favourite”.", "They say “We practice” and play “My favourite”."),
    ],
)  # fmt: skip
def test_an_american_band_reads_american_spelling(text: str, american: str) -> None:
    assert spelled(text, "american") == in_words(text, "american") == american
    assert spelled(text, "british") == text


@pytest.mark.parametrize(
    ("text", "british"),
    [
        ("Ties and fermatas", "Ties and pauses"),
        ("We play the Pickup Truck, from its pickup on.", "We play the Pickup Truck, from its upbeat on."),
        ("The eye with a dot is a fermata, on a pickup.", "The eye with a dot is a pause, on an upbeat."),
        ("Sing “Pickup and quarter notes” on a pickup.", "Sing “Pickup and quarter notes” on an upbeat."),
        ("Pickups only: {pickup} and !fermata! stay.", "Upbeats only: {pickup} and !fermata! stay."),
    ],
)
def test_words_of_the_trade_are_those_of_the_glossary(text: str, british: str, book: Book) -> None:
    """Fermata and pickup, in British use pause and upbeat, as in the glossary (common practice, no source)."""
    assert in_words(text, "british") == british
    assert in_words(text, "american") == text
    for term in ("fermata", "pickup"):
        assert in_words(term, "british") == book.guide.glossary[term].word("british")


NAMES = {"Grey Lane Band", "Colour & Mould", "My favourite neighbour", "Anna Grey", "a plain name"}


@pytest.mark.parametrize(
    "text",
    [
        "Grey Lane Band",
        "<td>Anna Grey</td><td>Colour &amp; Mould</td>",
        '<a href="x.html" aria-label="My favourite neighbour, a tune">My favourite neighbour</a>',
        "We meet Mrs Grey, Dr. Grey and E. Grey in Programme Street.",
        '<svg><g><text x="1"><tspan>grey</tspan></text></g></svg>',
        "We end with “Colours of the wind” or “Grey Skies over Town”.",
        'Play "Favourite Neighbours" by heart.',
    ],
)
def test_a_name_is_spelled_as_it_was_written(text: str) -> None:
    assert spelled(text, "american", NAMES) == text


def test_what_stands_beside_a_name_is_spelled_as_the_band_does() -> None:
    said = "Grey Lane Band: the programme. My favourite neighbours practise My favourite neighbour."
    american = "Grey Lane Band: the program. My favorite neighbors practice My favourite neighbour."
    assert spelled(said, "american", NAMES) == american


def test_names_of_band_tunes_people_are_kept_on_every_page(book: Book, tmp_path: Path) -> None:
    tune = replace(book.tunes["ode-to-joy"], title="Colour my day", verses=("My favourite grey",))
    band = replace(book.band, name="Grey Lane", place="The Mould Centre", english="american")
    named = replace(book, root=tmp_path, band=band, tunes={"ode-to-joy": tune}, pieces={})
    products = Products()
    key = products.html("<p>Grey Lane, The Mould Centre: Colour my day, My favourite grey. A grey programme.</p>")
    blocks.expand_all(named, products, Problems(tmp_path), {})
    (html,) = products.fragments.values()
    assert key
    assert html == "<p>Grey Lane, The Mould Centre: Colour my day, My favourite grey. A gray program.</p>"


BRITISH = re.compile(
    r"(?<![\w-])(?:\w*(?:[ck]olour|favour|flavour|harbour|honour|humour|labour|neighbour|odour|rumour|vapour|behaviour|armour)"
    r"\w*|\w*(?:cent|fib|lit|met|theat)res?|\w*(?:apolog|critic|emphas|fami?liar|harmon|memor|minim|organ|"
    r"priorit|real|recogn|special|standard|steril|summar|util)is(?:e|es|ed|ing|ation)|(?:anal|paral)ys(?:e|es|ed|ing)|"
    r"(?:cancel|channel|dial|fuel|label|level|model|panel|quarrel|signal|total|travel)l(?:ed|ing|er)|practis\w+|"
    r"programmes?|ageing|aluminium|burnt|catalogues?|cheques?|cosy|dialogues?|draughts?|dreamt|enrolment|fortnight\w*|"
    r"fulfil|greys?|grey\w+|instalment|jewellery|judgement|kerb|leant|leapt|learnt|licences?|manoeuv\w+|maths|mouldy?|"
    r"moustache|plough|pyjamas|sceptic\w*|skilful|smelt|spelt|spilt|spoilt|storeys?|tyres?|whilst|woollen|yoghurt|"
    r"(?:after|for|back|up|down|to)wards|semi(?:tone|breve|quaver)s?|crotchets?|minims?|quavers?|"
    r"round (?:the|an?|its?|them|behind)|(?:go|goes|going|come|look|turns|way|times|once) round|timetables?|car park|"
    r"in brackets|fluff|first-aid box|attendance register|a tone (?:up|down|higher|lower|above|below|apart)|"
    r"(?:up|down|after|and) a tone)(?![\w-])",
    re.IGNORECASE,
)
"""British spelling and words with an American form of their own (typed from memory)."""


def test_an_american_band_reads_no_british_spelling(book: Book) -> None:
    """Of all that people wrote for pages, cards and sheets, blocks, code, links and names set aside."""
    shown = [*(book.root / "handbook").rglob("*.md"), *(book.root / "content" / "course").glob("*.yml")]
    shown += [
        book.root / "content" / f"{name}.yml" for name in ("glossary", "guide", "pictures", "supplies", "troubles")
    ]
    left = {}
    for path in shown:
        text = re.sub(
            r"(?m)^ *- [a-z-]+$|\[[a-z0-9, \n-]*\]|#.*$|^ *british: .*$|plural: \{.*\}$|^[\w -]+:(?= )",
            "",
            path.read_text(encoding="utf-8"),
        )
        said = re.sub(_NO_PROSE, "", spelled(re.sub(r"(?s)```.*?```", "", text), "american", book.names))
        left[path.name] = sorted({match[0] for match in BRITISH.finditer(said)})
    assert BRITISH.search("A favourite colour, round the corner")
    assert {name: words for name, words in left.items() if words} == {}


def test_titles_in_the_list_of_pages_are_spelled_as_their_pages(book: Book, tmp_path: Path) -> None:
    american = replace(book, root=tmp_path, band=replace(book.band, english="american"), tunes={}, pieces={})
    (tmp_path / "handbook").mkdir()
    (tmp_path / "handbook" / "spot.md").write_text("# Practising on the spot\n", encoding="utf-8")
    products = Products()
    products.page("grey.md", "Grey", "# Grey\n", ("The programme",))
    products.list_page("spot.md", "Practising on the spot", ("The neighbours",))
    pages = blocks.expand_all(american, products, Problems(tmp_path), {})
    assert {page.uri: (page.title, page.nav) for page in pages} == {
        "grey.md": ("Gray", ("The program",)),
        "spot.md": ("Practicing in place", ("The neighbors",)),
    }


def test_a_card_of_an_american_band_names_music_as_it_is_called(book: Book) -> None:
    tunes = {ident: replace(tune, title=f"Grey {tune.title}") for ident, tune in book.tunes.items()}
    case = next(iter(cases(book)))
    american = replace(book, tunes=tunes, band=replace(book.band, english="american"))
    course, wrong = made(american, case)
    assert course, wrong
    texts = [text for lesson in course.course.weeks for step in lesson.steps for text in (step.say, step.how)]
    assert any("Grey " in text for text in texts)
    assert any("neighbor" in text for text in texts)
    assert not any("Gray" in text for text in texts)


def test_note_values_are_british_for_a_british_band() -> None:
    assert in_words("Practise half and quarter notes.", "british") == "Practise minims and crotchets."
    assert in_words("A dot, then an eighth note.", "british") == "A dot, then a quaver."


def test_dates_are_written_as_the_band_writes_them() -> None:
    assert day(date(2026, 9, 16), "british") == "16 September 2026"
    assert day(date(2026, 9, 16), "american") == "September 16, 2026"
    assert day(date(2026, 9, 16), "british", weekday=True) == "Wednesday 16 September 2026"
    assert day(date(2026, 9, 16), "american", weekday=True) == "Wednesday, September 16, 2026"
    assert short_day(date(2026, 9, 16), "british") == "16 Sep"
    assert short_day(date(2026, 9, 16), "american") == "Sep 16"


def test_quotation_marks_are_those_of_print() -> None:
    """Curved marks, open before a word and closed after it (common practice, no source)."""
    said = curly('Say "one-and, two-and" on the players\' "too" ("em"), today\'s.')
    assert said == "Say “one-and, two-and” on the players’ “too” (“em”), today’s."


def test_what_pages_take_from_data_is_in_american_spelling(book: Book) -> None:
    """What terms mean, shown at a touch on every page, and the sentences of a script that compares two instruments."""
    american = replace(book, band=replace(book.band, english="american"))
    meant = [str(term["means"]) for term in glossary_data(american).values()]
    brass = [each for each in book.instruments.values() if each.brass]
    moves = json.loads(moves_data(american, brass))["texts"]
    assert any("whole step" in text for text in moves)
    assert any("around" in text for text in meant)
    assert [said for said in (*meant, *moves) if spelled(said, "american", book.names) != said] == []


@pytest.mark.parametrize(
    ("english", "said", "not_said"), [("british", "side drum", "snare"), ("american", "snare", "side drum")]
)
def test_the_drum_has_one_name_on_cards_and_with_its_part(english: str, said: str, not_said: str, book: Book) -> None:
    """As the glossary and the file of the drums name it (dictionaries of music have both)."""
    assert (
        in_words("The snare drum and the bass drum", english)
        == f"The {said.removesuffix(' drum')} drum and the bass drum"
    )
    whole = in_words("snare drum", english)
    assert note_words(Note(Fraction(1), drum="snare"), english).startswith(f"{whole} ")
    assert book.instruments["drums"].names.of(english).startswith(f"{whole},")
    assert book.guide.glossary["snare-drum"].word(english) == whole
    ours = replace(book, band=replace(book.band, english=english))
    course, problems = made(ours, Case("words", book.band.players, book.band.teaching))
    assert course, problems
    tasks = [lesson.percussion.do for lesson in course.course.lessons if lesson.percussion]
    assert any(said in task for task in tasks)
    assert not any(not_said in task for task in tasks)


@pytest.mark.parametrize(("english", "name"), [("british", "Side drum"), ("american", "Snare drum")])
def test_a_tunes_drums_are_named_as_the_band_names_them(english: str, name: str, book: Book) -> None:
    """In what is heard, in the file to take away and in the notes in words."""
    first, second = drum_staves(next(iter(book.tunes.values())), english)
    assert (first.name, second.name) == (name, "Bass drum")
