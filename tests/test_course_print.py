"""Cards and sheets on paper, in real Chromium and as the print pack has them, on A4 and on US Letter.

A card is a front and a back; a sheet is one page, or two where music of a readable size needs them.
"""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import measure_courses
import pytest
from markupsafe import escape
from paper import blank_below, drawn_text, least_text, print_lessons, staves, text_size, words_on
from plans import Case, cases, made
from pypdf import PdfReader

from beginnerband.data.book import Book
from beginnerband.data.course import CourseBook, load_course
from beginnerband.data.problems import Problems
from beginnerband.music.player import Player
from beginnerband.pages.course.card_view import card_view
from beginnerband.pages.course.lesson_view import lesson_view
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.pieces import LessonPieces
from beginnerband.pages.course.print_data import lesson_values
from beginnerband.pages.course.room import BLANK, lessons_json
from beginnerband.pages.course.sheet_view import TO_PLAY, sheet_uri, sheet_view
from beginnerband.pages.shared.links import card_pdf, lesson_pdf
from beginnerband.render.print_pack import PrintPack

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height in millimetres (ISO 216; ANSI Y14.1)."""

MARGINS = (10.0, 9.0)
"""Sides, and top and bottom, millimetres: as in card-paper.css and pack.typ."""

MM = 96 / 25.4
"""CSS pixels in a millimetre (CSS Values 4: 96 px are 1 in)."""

# Boxes that must stay apart from their neighbours, and inside the page.
OVERLAPS = """(selectors) => {
  const found = [], width = document.documentElement.clientWidth;
  const shown = (element) => element.getClientRects().length && getComputedStyle(element).visibility !== "hidden";
  for (const selector of selectors) {
    const boxes = [...document.querySelectorAll(selector)].filter(shown)
      .map((element) => [element, element.getBoundingClientRect()]);
    for (const [element, box] of boxes) {
      const what = element.textContent.slice(0, 40);
      if (box.left < -1 || box.right > width + 1) found.push(selector + " is cut off: " + what);
      const over = element.clientWidth && element.scrollWidth > element.clientWidth + 2;
      if (over) found.push(selector + " runs over: " + what);
    }
    for (let a = 0; a < boxes.length; a++) for (let b = a + 1; b < boxes.length; b++) {
      const [p, q] = [boxes[a][1], boxes[b][1]];
      const across = Math.min(p.right, q.right) - Math.max(p.left, q.left);
      const down = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
      if (across > 1 && down > 1) found.push(selector + " overlap: " + boxes[a][0].textContent.slice(0, 30));
    }
  }
  return found;
}"""
CARD_BOXES = [
    ".bb-step",
    ".bb-step > *",
    ".bb-notes-table td",
    ".bb-excerpt",
    ".bb-card-foot > *",
    ".bb-card-head p, .bb-card-code",
]
SHEET_BOXES = [".bb-sheet-notes li", "figure", ".bb-record td", "header p, .bb-code", ".bb-signed span"]


@pytest.fixture(scope="module")
def course(book: Book) -> CourseBook:
    assert book.course
    return book.course


@pytest.fixture(scope="module")
def page(browser: Any) -> Any:
    opened = browser.new_page()
    opened.emulate_media(media="print")
    yield opened
    opened.close()


def height_on(page: Any, paper: str) -> float:
    """Height in millimetres of the open page laid out for ``paper``."""
    width, _ = PAPERS[paper]
    page.set_viewport_size({"width": round((width - 2 * MARGINS[0]) * MM), "height": 400})
    return float(page.evaluate("document.body.getBoundingClientRect().height")) / MM


def printed(page: Any, paper: str) -> list[str]:
    """Text of each page of the open page as Chromium prints it, with the margins its own style sheet asks for."""
    return words_on(page.pdf(format=paper))


@pytest.mark.browser
@pytest.mark.parametrize("number", range(1, 27))
def test_a_card_prints_on_a_front_and_a_back(site: Path, page: Any, number: int) -> None:
    page.goto((site / f"course/lesson-{number:02d}.html").as_uri())
    for paper in PAPERS:
        height_on(page, paper)
        assert not page.evaluate(OVERLAPS, CARD_BOXES)
        front, back = printed(page, paper)
        for words in (f"Lesson {number}:", "Ready to move on", "If it goes wrong", "Leader’s card", "Who"):
            assert words in front
        assert "Home practice" in front + back  # on the back where a full front would be in small print
        assert "(concert)" in back or "No notes yet" in back
        for text in (front, back):
            assert "Search" not in text  # no navigation
            assert "Start the clock" not in text


@pytest.mark.browser
@pytest.mark.parametrize("number", range(1, 27))
def test_sheets_print_on_the_pages_they_are_laid_out_for(
    site: Path, page: Any, book: Book, course: CourseBook, number: int
) -> None:
    """Every fifth player's, the others' in the next four lessons. (On paper every sheet is checked as it is set.)"""
    pictures = Pictures(book.root / ".cache", book.band.english, book.band.paper)
    lesson = course.course.weeks[number - 1]
    fullest, plain = (1000.0, "", ""), set[str]()
    for player in course.players[number % 5 :: 5]:
        uri = f"course/sheets/lesson-{number:02d}/{player.id}.html"
        page.goto((site / uri).as_uri())
        _, layout = pictures.of_sheet(sheet_view(book, course, lesson, player))
        for paper, (_, high) in PAPERS.items():
            height = height_on(page, paper)
            if layout.paper not in ("", paper.lower()):
                continue
            if layout.pages > 1:
                assert len(printed(page, paper)) <= layout.pages, uri
                continue
            assert height <= high - 2 * MARGINS[1], uri
            assert not page.evaluate(OVERLAPS, SHEET_BOXES), uri
            fullest = min(fullest, (high - height, uri, paper))
            plain |= {uri} if layout.plain else set()
    _, uri, paper = fullest  # the measured heights hold: the one with least room left is really printed
    page.goto((site / uri).as_uri())
    read = printed(page, paper)
    assert len(read) == 1, uri
    assert ("Signed at home" in read[0]) != (uri in plain)
    assert "All notes of this instrument" not in read[0]


def test_sheets_hold_no_concert_pitch_and_no_notation_before_reading(site: Path, course: CourseBook) -> None:
    for lesson in course.course.lessons:
        shown = course.ladder.at(lesson.stage).rung.notation
        for player in course.players:
            html = (site / f"course/sheets/{lesson.id}/{player.id}.html").read_text(encoding="utf-8")
            assert not re.search(r"[Cc]oncert [A-G]", html)
            assert ("bb-score" in html or "bb-staff" in html) <= shown


# Sizes, read from the paper.


@pytest.mark.parametrize("number", [1, 6, 11, 14, 17, 22, 26])
def test_music_keeps_its_size(site: Path, course: CourseBook, number: int) -> None:
    """Staves of 7 mm on a sheet and 5 mm on a card: what the band's leaders asked for (no published standard)."""
    lesson = course.course.weeks[number - 1]
    front, back, *sheets = staves(site / lesson_pdf(lesson))
    assert not front
    assert all(height >= 5 for height in back)
    assert all(height >= 7 for sheet in sheets for height in sheet)
    sizes = [least_text(site / lesson_pdf(lesson), page) for page in range(3, 3 + len(sheets))]
    assert min(size for size in sizes if size) >= 10  # (pages left empty so that the next sheet is a leaf have none)
    assert any(sheets) == any(item.read for item in lesson.items)


@pytest.mark.parametrize("number", range(1, 27))
def test_no_text_of_a_card_is_below_ten_points(site: Path, course: CourseBook, number: int) -> None:
    card = site / card_pdf(course.course.weeks[number - 1])
    assert text_size(card, 1) >= 10
    assert min(least_text(card, page) for page in (1, 2)) >= 10
    drawn = {letter: size for letter, size in drawn_text(card, 2).items() if letter.isalnum()}
    assert min(drawn.values(), default=10.0) >= 10, drawn  # numbers of bars and fingers, letters of places


def test_no_picture_is_cut_where_there_is_little_room() -> None:
    """Typst cuts a picture that is given a height to the width there is, unless it is told to fit it in."""
    rooms = Path(__file__).parent.parent / "hooks" / "beginnerband" / "pages"
    lines = [line for path in rooms.rglob("*.typ") for line in path.read_text().splitlines()]
    tall = [line for line in lines if re.search(r"\b(image|drawing)\(", line) and "height:" in line]
    assert tall
    assert not [line for line in tall if 'fit: "contain"' not in line]


def test_two_rooms_have_a_card_each(book: Book, tmp_path: Path) -> None:
    """Where a lesson is taught apart: front and back for each of the two leaders, the music large and whole."""
    case = next(case for case in cases(book) if case.name == "26 x 45, two rooms")
    made_course, wrong = made(book, case)
    assert made_course, wrong
    there = replace(book, band=replace(book.band, teaching=case.teaching), course=made_course)
    pack, pictures = PrintPack(), Pictures(book.root / ".cache", "british")
    values = lesson_values(there, lesson_view(there, "lesson-05"), pictures, pack) | {"sheets": []}
    pdf = print_lessons(there, [values], pack, tmp_path)
    first, back, second, other = words_on(pdf)
    assert "leader of the B♭ group" in first
    assert "leader of the E♭ group" in second
    assert "cornet" in back
    assert "tenor horn" not in back
    assert "tenor horn" in other
    assert "beginning" not in back + other
    assert all(height >= 5 for page in staves(pdf) for height in page)
    assert min(least_text(pdf, page) for page in range(1, 5)) >= 10
    full, cornet = made_course.course.weeks[10], made_course.players[0]
    _, layout = pictures.of_sheet(sheet_view(there, made_course, full, cornet))
    assert (layout.pages, layout.beside) == (1, True)  # six lines of music, two new notes and six lines of practice


def test_sheets_of_the_first_weeks_are_not_half_empty(site: Path, course: CourseBook) -> None:
    """Before anything is read, a sheet shows how each tune goes, and less than two fifths of it stay blank."""
    for lesson in (lesson for lesson in course.course.lessons if not any(item.read for item in lesson.items)):
        pages = zip(words_on(site / lesson_pdf(lesson)), blank_below(site / lesson_pdf(lesson)), strict=True)
        sheets = [(text, blank) for text, blank in list(pages)[2:] if "Signed at home" in text]
        assert sheets
        for text, blank in sheets:
            assert blank < 0.4 * 297, (lesson.id, text[:60])
            assert "A star for each that went well" in text
            assert "By ear" in text


def test_adults_tick_what_went_well(book: Book, tmp_path: Path) -> None:
    """A star is earned by children; adults sign and tick for themselves."""
    case = next(case for case in cases(book) if case.name == "adults only, one room")
    made_course, wrong = made(book, case)
    assert made_course, wrong
    band = replace(book.band, players=case.players, teaching=case.teaching)
    there, pack = replace(book, band=band, course=made_course), PrintPack()
    values = lesson_values(there, lesson_view(there, "lesson-01"), Pictures(book.root / ".cache", "british"), pack)
    values |= {"sheets": values["sheets"][:1]}
    pdf = print_lessons(there, [values], pack, tmp_path)
    text = words_on(pdf)[-1]
    assert max(blank_below(pdf)[:2]) < 30  # millimetres: a back with little to show has lines to write on
    assert "A tick for each that went well" in text
    assert "star" not in text
    assert "Signed" not in text


def test_backs_of_cards_show_hands_words_and_how_tunes_are_walked(site: Path, course: CourseBook) -> None:
    """What a leader who has never played needs, as far as there is room; little stays blank."""
    pages = {lesson.number: site / card_pdf(lesson) for lesson in course.course.lessons}
    for number, path in pages.items():
        assert blank_below(path)[1] < 0.2 * 297, number
    backs = {number: " ".join(words_on(path)[1].split()) for number, path in pages.items()}
    assert "By ear, as on the players’ sheets" in backs[1].replace("'", "’")
    assert "Mary had a little lamb, its fleece was white as snow." in backs[7]
    assert "Joy Theme · Bass clef" in backs[12]


def test_drums_read_what_they_do_in_the_lesson(site: Path, course: CourseBook) -> None:
    drums = next(player for player in course.players if not player.instrument.pitched)
    for lesson in course.course.lessons:
        assert lesson.percussion
        html = (site / sheet_uri(lesson, drums)).read_text(encoding="utf-8")
        assert str(escape(lesson.percussion.do)) in html


def test_what_drums_and_mallets_do_alike_stands_on_a_card_once(course: CourseBook, book: Book) -> None:
    """As the last words, after what is for the one and for the other; nothing is lost."""
    alike = 0
    for lesson in course.course.lessons:
        task, said = lesson.percussion, card_view(book, course, lesson).percussion
        sentences = re.split(r"(?<=[.?!”]) (?=[A-Z“])", re.sub(r"\b(?:Mallets|All): ", "", said))
        assert len(sentences) == len(set(sentences)), said
        told = [task.do, task.bars.do] if task and task.bars else [task.do] if task else []
        assert {each for text in told for each in re.split(r"(?<=[.?!”]) (?=[A-Z“])", text)} <= set(sentences), said
        alike += " All: " in said
    assert alike > 2


def test_sheets_ask_for_the_minutes_that_the_first_lesson_names(course: CourseBook, book: Book) -> None:
    """A line of home practice takes a minute or two; after the concert nobody is asked for more."""
    *first, last = course.course.lessons
    assert "Five minutes a day" in first[0].steps[-1].say
    player = course.players[0]
    assert {sheet_view(book, course, lesson, player).to_play for lesson in first} == {TO_PLAY}
    assert "five minutes" in TO_PLAY
    assert sheet_view(book, course, last, player).to_play == "To play"


def test_everybody_turns_the_line_together(book: Book, course: CourseBook) -> None:
    for lesson in course.course.lessons:
        breaks: dict[str, set[tuple[int, ...]]] = {}
        for player in course.players:
            for piece in sheet_view(book, course, lesson, player).music:
                breaks.setdefault(piece.title, set()).add(piece.breaks)
        assert all(len(each) == 1 for each in breaks.values()), lesson.id


# Data for others.


def test_lessons_json(site: Path, course: CourseBook, book: Book) -> None:
    text = (site / "data/lessons.json").read_text(encoding="utf-8")
    assert text == lessons_json(course)
    weeks = json.loads(text)
    assert [week["number"] for week in weeks] == list(range(1, 27))
    name = re.compile(r"^[A-G](b|#)?-?\d$")  # scientific pitch names
    known: dict[str, set[str]] = {player.id: set() for player in course.players}
    for week in weeks:
        assert {tune["tune"] for tune in week["tunes"]} <= set(book.tunes)
        for player, notes in week["instruments"].items():
            assert all(name.match(note) for note in notes["new"] + notes["known"])
            assert not known[player] & set(notes["new"])
            known[player] |= set(notes["new"])
            assert known[player] == set(notes["known"])
    tunes = [tune for week in weeks for tune in week["tunes"]]
    assert {"tune": "ode-to-joy", "concert_key": "Eb"} in tunes
    assert all(week["room"] == 1 for week in weeks)
    assert all(sum(step["minutes"] for step in week["steps"]) == 45 for week in weeks)
    assert "first-four-parts" in {step["step"] for week in weeks for step in week["steps"]}
    assert any(week["pieces"] for week in weeks)
    assert {piece for week in weeks for piece in week["pieces"]} <= set(book.pieces)


# Pieces in parts.


def test_a_lesson_offers_the_pieces_that_everybody_can_play_by_then(book: Book, course: CourseBook) -> None:
    """The last lessons offer what the band was taught; a lesson too early says who lacks what."""
    pieces = LessonPieces(book, course)
    for lesson in course.course.lessons:
        assert pieces.ready(lesson) == pieces.of(lesson), lesson.id
    assert pieces.ready(course.course.lessons[-1])
    start = course.course.lessons[4]
    steps = (replace(start.steps[1], pieces=("two-gates", "old-hundredth")), *start.steps[2:])
    early = pieces.of(replace(start, steps=steps))
    assert [piece.title for piece in early] == ["Two Gates", "Old Hundredth"]
    assert all(piece.lacks for piece in early)
    assert not pieces.ready(replace(start, steps=steps))


def test_cards_and_sheets_name_the_pieces(site: Path, course: CourseBook, book: Book) -> None:
    lesson = next(lesson for lesson in course.course.lessons if lesson.pieces)
    html = (site / f"course/{lesson.id}.html").read_text(encoding="utf-8")
    sheet = (site / f"course/sheets/{lesson.id}/cornet.html").read_text(encoding="utf-8")
    printed = PdfReader(site / lesson_pdf(lesson))
    for ident in lesson.pieces:
        title = book.pieces[ident].title
        assert f'<a href="../pieces/{ident}.html">{title}</a>' in html
        assert f'<a href="../print/pieces/{ident}.pdf">' in html
        assert f'<a href="../pieces/{ident}.html#listen">' in html
        assert title in sheet
        for page in (printed.pages[0], printed.pages[2]):  # the card, and the first sheet
            assert title in " ".join(page.extract_text().split())
        assert f"{lesson.id}.html" in (site / f"pieces/{ident}.html").read_text(encoding="utf-8")


def test_the_back_of_a_card_has_scores_and_what_is_for_both_ends(site: Path, course: CourseBook, book: Book) -> None:
    """Each piece in parts has its score on a leader's card, and most cards say what the quick and the slow do."""
    backs = {lesson.id: words_on(site / card_pdf(lesson))[1] for lesson in course.course.lessons}
    for ident in {piece for lesson in course.course.lessons for piece in lesson.pieces}:
        said = f"{book.pieces[ident].title} · short score at concert pitch"
        assert any(said in " ".join(back.split()) for back in backs.values()), ident
    assert sum("For those who are quick" in back for back in backs.values()) > len(backs) / 2


def test_a_back_that_has_some_scores_names_the_pieces_of_the_others(site: Path, course: CourseBook, book: Book) -> None:
    """The card of the concert has three pieces in parts, and room for the scores of two."""
    elsewhere = 0
    for lesson in course.course.lessons:
        back = " ".join(words_on(site / card_pdf(lesson))[1].split())
        titles = [book.pieces[ident].title for ident in lesson.pieces]
        lacking = [title for title in titles if f"{title} · short score" not in back]
        if lacking and len(lacking) < len(titles):
            told = back.partition("printed with")[0].rpartition("concert pitch")[2]
            assert all(title in told for title in lacking), lesson.id
            elsewhere += 1
    assert elsewhere


def test_who_prints_all_is_told_that_it_is_for_both_sides_of_the_paper(site: Path, course: CourseBook) -> None:
    """A sheet of one page has an empty back in that file, so that nobody's sheet stands on another's."""
    for lesson in course.course.lessons:
        html = (site / f"course/{lesson.id}.html").read_text(encoding="utf-8")
        assert f'{lesson_pdf(lesson).rpartition("/")[2]}">Print all, two-sided (PDF)</a>' in html
    first = PdfReader(site / lesson_pdf(course.course.lessons[0]))
    empty = [page for page in first.pages if len(page.extract_text().split()) < 12]
    assert len(empty) > 2


def test_the_blank_unit_is_a_unit(tmp_path: Path, book: Book) -> None:
    """The file a leader fills in passes every check as it stands."""
    root = Path(__file__).parent.parent
    shutil.copytree(root / "content" / "course", tmp_path / "content" / "course")
    shutil.copy(root / "content" / "ladder.yml", tmp_path / "content")
    shutil.copytree(root / "handbook" / "guide", tmp_path / "handbook" / "guide")
    shutil.copytree(root / "content" / "instruments", tmp_path / "content" / "instruments")
    shutil.copytree(root / "content" / "pieces", tmp_path / "content" / "pieces")
    shutil.copy(BLANK, tmp_path / "content" / "course" / "my-unit.yml")
    plan = tmp_path / "content" / "course" / "plan.yml"
    plan.write_text(plan.read_text(encoding="utf-8").replace("  - two-lines\n", "  - my-unit\n  - two-lines\n"))
    problems = Problems(tmp_path)
    loaded = load_course(tmp_path, book.band, book.tunes, book.pieces, problems)
    assert not problems.found
    assert loaded
    assert any(step.id == "my-step" for lesson in loaded.course.weeks for step in lesson.steps)


def test_a_card_shows_music_to_all_who_read_it_or_says_where_they_find_it(
    site: Path, book: Book, course: CourseBook
) -> None:
    """The tune of lesson 5 is there for four readings; who has no bars of it on a card is sent to their sheets."""
    readings = len({player.reading.id for player in course.players if player.instrument.pitched})
    sent = 0
    for lesson in course.course.lessons:
        card = lesson_view(book, lesson.id).card
        back = " ".join(words_on(site / card_pdf(lesson))[1].split())
        taught = {item for step in lesson.steps if step.kind == "teach" for item in step.music}
        for item in taught:
            shown = [view.reader for view in card.excerpts if view.item == item]
            unseen = [view for view in card.unseen if view.item == item]
            assert len(shown) + len(unseen) <= readings
            assert shown or unseen
        said = "on their sheets" in back
        shown_on_paper = [f"{view.title} · {view.reader} · concert" in back for view in card.unseen]
        assert said is not all(shown_on_paper)
        html = (site / card.uri.replace(".md", ".html")).read_text(encoding="utf-8")
        told = {name: players for players, name in re.findall(r'<b data-players="([^"]*)">([^<]*)<span', html)}
        assert told == card.elsewhere
        sent += said
    assert sent > len(course.course.lessons) / 2
    fifth = words_on(site / card_pdf(course.course.weeks[4]))[1]
    assert fifth.count("Up and Down the Stairs · ") == 4


def test_a_card_tells_apart_who_read_alike_an_octave_apart(book: Book) -> None:
    """A trombone and a B♭ bass, both in bass clef: whose notes a picture shows, and who finds theirs on a sheet."""
    players = tuple(
        Player(book.instruments[name], book.instruments[name].reading("bass-c"), 2) for name in ("trombone", "bb-bass")
    )
    case = replace(measure_courses.drawn(book, 1), players=players, plan={})
    course, wrong = measure_courses.made(book, case)
    assert course, wrong
    apart = set()
    for lesson in course.course.lessons:
        card = card_view(book, course, lesson)
        for item in {item for step in lesson.steps if step.kind == "teach" for item in step.music}:
            views = [view for view in (*card.excerpts, *card.unseen) if view.item == item]
            told = {each for view in views for _, ids in view.whose for each in ids.split()}
            assert told == {p.id for p in players if course.grades.weeks[p.id][card.place].part(item)}
            if len({view.reader for view in views}) > 1:
                apart.update(view.reader for view in views)
    assert apart == {"Bass clef (B♭ tenor trombone)", "Bass clef (B♭ bass)"}


def test_a_sheet_takes_one_page_where_only_the_paper_of_the_band_has_room(book: Book) -> None:
    """Lesson 14 of 20 in E♭: five lines of music fill Letter; A4 has 18 mm more (ISO 216; ANSI Y14.1)."""
    case = next(case for case in cases(book) if case.name == "20 x 60, one room")
    course, wrong = made(book, case)
    assert course, wrong
    ours = replace(book, course=course)
    sheet = sheet_view(ours, course, course.course.weeks[13], course.player("tenor-horn"))
    pages = {
        paper: Pictures(book.root / ".cache", "british", paper).of_sheet(sheet)[1].pages
        for paper in ("a4", "letter", "")
    }
    assert pages == {"a4": 1, "letter": 2, "": 2}


def test_no_page_of_a_long_lesson_s_sheet_holds_what_is_practised_alone(book: Book, tmp_path: Path) -> None:
    """In 90 minutes all music of the drums fills the first page of A4, which left the second to the table."""
    teaching = replace(book.band.teaching, minutes=90)
    course, wrong = made(book, Case("long", book.band.players, teaching))
    assert course, wrong
    there = replace(book, band=replace(book.band, teaching=teaching), course=course)
    pictures, many = Pictures(book.root / ".cache", "british", "a4"), 0
    for lesson in course.course.weeks[6::3]:
        for player in course.players:
            drawn, layout = pictures.of_sheet(sheet_view(there, course, lesson, player))
            assert len(layout.turns) == layout.pages - 1, (lesson.id, player.id)
            assert all(0 <= turn < len(drawn) for turn in layout.turns)
            many += layout.pages > 1
    assert many > 5
    view, pack = lesson_view(there, "lesson-19"), PrintPack()
    values = lesson_values(there, view, pictures, pack)
    long = [sheet for sheet in values["sheets"] if any(piece["turn"] for piece in sheet["music"])]
    assert any("bass drum" in sheet["instrument"] for sheet in long)
    blank = blank_below(print_lessons(there, [values | {"sheets": long}], pack, tmp_path))[2 * len(values["cards"]) :]
    assert len(blank) == 2 * len(long)
    assert max(blank) < 190  # millimetres; the table alone left 221


def test_a_card_names_two_notes_of_one_letter_apart(book: Book, course: CourseBook) -> None:
    """A low and a high C, for players who know both (common practice, no source)."""
    told = 0
    for lesson in course.course.lessons:
        for group in lesson_view(book, lesson.id).card.groups:
            named = [(note.written.letter_sign, note.which) for note in group.notes]
            assert len({*named}) == len(named)
            assert all(bool(which) == ([letter for letter, _ in named].count(own) > 1) for own, which in named)
            told += any(which for _, which in named)
    assert told
