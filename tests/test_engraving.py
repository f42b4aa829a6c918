"""Pictures of music: complete, described in words, without ids that clash, made once and kept."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.music.score import Line
from beginnerband.music.words import describe
from beginnerband.render import engrave
from beginnerband.render.compact import compact
from beginnerband.render.write_musicxml import Staff, numbers


def line(music: str) -> Line:
    read = read_abc(f"X:1\nT:t\nM:4/4\nL:1/4\nK:Bb\n{music}\n")
    assert read.score
    return read.score.lines[0]


EVERYTHING = line('|: "^1"!f!B, (C D) .E- | E !>!F z !breath!G |1 (3A/B/c/ {d}c z2 :|2 !fermata!_A4 |] ')


def test_every_note_and_rest_is_in_the_picture_by_its_number() -> None:
    made = engrave.engrave([Staff(EVERYTHING)], "t", "words")
    numbers = [int(number) for number in re.findall(r'data-note="(\d+)"', made.body)]
    assert sorted(numbers) == list(range(len(list(EVERYTHING))))


def test_an_id_of_the_engravers_that_looks_like_a_notes_is_none() -> None:
    """It draws its ids by lot from letters and figures (measured: a stem of some thousand pictures was ``n940202``)."""
    drawn = '<g id="n-0" class="note"><path d="M0 1 L0 2"/><g id="n94" class="note"><path d="M1 1 L1 2"/></g></g>'
    body, *_ = compact(f'<svg><svg class="definition-scale" viewBox="0 0 9 9">{drawn}</svg></svg>')
    assert re.findall(r'data-note="(\d+)"', body) == ["0"]
    assert body.count("<path") == 2


def test_notes_of_a_second_staff_are_numbered_on() -> None:
    made = engrave.engrave([Staff(EVERYTHING), Staff(EVERYTHING, clef="bass")], "t", "words")
    found = sorted(int(number) for number in re.findall(r'data-note="(\d+)"', made.body))
    assert found == list(range(2 * numbers(Staff(EVERYTHING))))


def test_the_picture_takes_the_colour_of_the_text_and_nothing_else() -> None:
    svg = engrave.engrave([Staff(EVERYTHING)], "t", "words").standalone()
    ElementTree.fromstring(svg)
    assert 'fill="currentColor"' in svg
    assert not re.search(r"#[0-9a-f]{3,6}\b(?!-)|black|white|<style|url\(|http://(?!www\.w3\.org)", svg)


def test_each_drawing_a_picture_points_at_is_on_the_sheet() -> None:
    first = engrave.engrave([Staff(EVERYTHING)], "t", "words")
    second = engrave.engrave([Staff(line("C4|"), clef="bass")], "t", "words")
    sheet = str(engrave.glyph_sheet([first, second]))
    wanted = set(re.findall(r'href="#([^"]+)"', str(first.inline("a")) + str(second.inline("b"))))
    drawn = re.findall(r'<g id="([^"]+)"', sheet)
    assert wanted <= set(drawn)
    assert len(drawn) == len(set(drawn))


def test_signs_on_a_page_take_the_stroke_of_what_uses_them_and_in_print_have_none() -> None:
    """The head of a note that sounds is drawn bolder on a page, by styles of what uses it: not by colour alone."""
    made = engrave.engrave([Staff(EVERYTHING)], "t", "words")
    assert made.glyphs
    assert "stroke" not in str(engrave.glyph_sheet([made]))
    assert made.standalone().count('<path stroke="none"') == len(made.glyphs)


def test_each_line_of_a_staff_is_drawn_once_from_end_to_end() -> None:
    body = engrave.engrave([Staff(line("C D E F|" * 12))], "t", "w", breaks=(4, 8)).body
    staves = re.findall(r'<path d="((?:M0 \d+H\d+)+)" stroke-width="13"/>', body)
    assert [path.count("M") for path in staves] == [5, 5, 5]
    assert 'stroke-width="13"' not in re.sub(r'<path d="(?:M0 \d+H\d+){5}" stroke-width="13"/>', "", body)


def test_pictures_on_one_page_share_no_ids() -> None:
    made = engrave.engrave([Staff(EVERYTHING)], "t", "words")
    page = str(made.inline("one")) + str(made.inline("two"))
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids)) == 2


def test_a_picture_is_the_same_every_time(monkeypatch: pytest.MonkeyPatch) -> None:
    first = engrave.engrave([Staff(EVERYTHING)], "t", "words")
    engrave._engine.cache_clear()
    assert engrave.engrave([Staff(EVERYTHING)], "t", "words") == first


def test_an_excerpt_is_engraved_once_and_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = engrave.engrave([Staff(EVERYTHING)], "t", "words", tmp_path)
    monkeypatch.setattr(engrave, "_render", lambda *_: pytest.fail("engraved again"))
    assert engrave.engrave([Staff(EVERYTHING)], "t", "words", tmp_path) == first
    assert engrave.engrave([Staff(EVERYTHING)], "other", "words", tmp_path).body == first.body


def test_fingerings_stand_under_the_notes_and_can_be_hidden() -> None:
    under = tuple("1-2" if note.pitch else "" for _, note in EVERYTHING)
    made = engrave.engrave([Staff(EVERYTHING, under=under)], "t", "words")
    assert made.body.count(">1-2<") == sum(map(bool, under))
    assert made.body.count('class="bb-under"') == sum(map(bool, under))


def test_signs_of_chord_symbols_are_letters_of_any_text_font() -> None:
    """Verovio sets them in its music font, from Unicode's area for private use: no page has that font."""
    made = engrave.engrave([Staff(line('"Bbmaj7"B,2 "F#dim"C2 | "Eb/Bb"E4 |]'))], "t", "words")
    shown = ["".join(re.findall(r">([^<]+)<", text)) for text in re.findall(r"<text.*?</text>", made.body)]
    assert shown[:3] == ["B♭maj7", "F♯dim", "E♭/B♭"]
    assert not re.search("[\ue000-\uf8ff]", made.body)


def test_titles_from_data_are_escaped() -> None:
    svg = engrave.engrave([Staff(line("C4|"))], "<script>&", '"><img>').standalone()
    assert "<script>" not in svg
    assert "<img>" not in svg


def test_words_say_every_note() -> None:
    said = describe(line("|: B,2 ^C z | !breath!D4 :|"), "british", ("1", "1-2-3", "", "0"))
    assert said == (
        "Two flats, 4 beats in a bar. Repeat from here. Bar 1: B♭3 minim (1), C♯4 crotchet (1-2-3), crotchet rest. "
        "Bar 2: D4 semibreve (open), breathe. Go back and play it again."
    )
    assert "half" in describe(line("C2 D2|"), "american")
    assert "Upbeat: B♭4" in describe(line("B | c4 |"), "british")
    assert "Pickup: B♭4" in describe(line("B | c4 |"), "american")


def test_every_picture_of_the_site_is_complete_and_described(site: Path, book: Book) -> None:
    for tune_id in book.tunes:
        page = (site / "tunes" / f"{tune_id}.html").read_text()
        ids = re.findall(r'\sid="([^"]+)"', page)
        assert len(ids) == len(set(ids)), tune_id
        assert set(re.findall(r'<use href="#([^"]+)"', page)) <= set(ids), tune_id
        pictures = re.findall(r'<svg[^>]*class="bb-score".*?</desc>', page, re.S)
        assert len(pictures) >= 4, tune_id
        assert all("Bar 1: " in picture for picture in pictures), tune_id


def test_fingerings_under_quick_notes_do_not_touch() -> None:
    """Widths of Times, in thousandths of its size: figures 500, hyphen 333 (Adobe, Times-Roman AFM; from memory)."""
    under = ("0", "1-2-3") * 4
    body = engrave.engrave([Staff(line("B/B/B/B/B/B/B/B/|]"), under=under)], "t", "w").body
    shown = re.findall(r'x="(\d+)" text-anchor="middle"[^>]* font-size="(\d+)px">([^<]+)</text>', body)
    assert [text for _, _, text in shown] == list(under)
    ends = [
        (int(x) - width / 2, int(x) + width / 2)
        for x, size, text in shown
        for width in [sum(333 if sign == "-" else 500 for sign in text) * int(size) / 1000]
    ]
    assert all(right < left for (_, right), (left, _) in pairwise(ends))


def test_a_filled_page_ends_with_its_last_staff_and_what_finds_no_room_takes_another() -> None:
    """Five lines of four staves fit on such a page, six do not, though they would by what is guessed (measured)."""

    def drawn(lines: int) -> tuple[engrave.Engraving, ...]:
        staves = [Staff(line("B, C D E |" * lines))] * 4
        return engrave.pages(staves, "t", "words", None, (2520, 3500), breaks=tuple(range(1, lines)), filled=True)

    def lowest(page: engrave.Engraving) -> int:
        return max(int(high) for high in re.findall(r" (\d+)H\d+", page.body))

    (one,) = drawn(5)
    assert one.height == 35000
    assert 34000 < lowest(one) < 34600
    two = drawn(6)
    assert len(two) == 2
    assert all(lowest(page) < 34600 for page in two)


@pytest.mark.parametrize("height", [4030, 4045, 4060])
def test_a_filled_page_has_room_for_the_notes_below_its_last_staff(height: int) -> None:
    """Six lines of four staves end 3,980 units down, and their lowest notes 100 lower (measured here)."""
    staves = [Staff(line("E, F, E, F, |" * 6))] * 4
    made = engrave.pages(staves, "t", "words", None, (2520, height), breaks=range(1, 6), filled=True)
    assert len(made) == 2


def test_a_name_in_two_lines_is_two_texts_and_has_room_for_the_longer() -> None:
    """Room is made for the width of each in the font of the page: a longer first line makes the picture wider."""

    def drawn(name: str) -> engrave.Engraving:
        return engrave.pages([Staff(EVERYTHING, name)], "t", "words", None, (2520, 3500), named=True)[0]

    def left(made: engrave.Engraving) -> int:
        box = re.search(r'viewBox="(-?\d+) ', made.standalone())
        assert box
        return int(box[1])

    name = "Second B♭ tenor trombone\nwith F attachment"
    assert re.findall(r'text-anchor="end"[^>]*>([^<]+)<', drawn(name).body) == name.split("\n")
    assert left(drawn(name)) == left(drawn(name.split("\n")[0])) < 0
