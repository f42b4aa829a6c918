"""The fonts that are shipped: whole for what is printed, the same bytes each time, and really used on paper."""

from __future__ import annotations

import base64
import io
import re
import zlib
from pathlib import Path
from typing import Any

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from pypdf import PdfReader

from beginnerband.data.printfonts import SIGNS, check_signs, known, load_fonts, printable
from beginnerband.data.problems import Problems
from beginnerband.render import fonts
from beginnerband.render.print_pack import PrintPack
from beginnerband.render.print_worker import Engine
from beginnerband.render.printing import font_folders


def faces(sheet: str) -> list[tuple[str, TTFont]]:
    """Weight and font of each rule of a style sheet."""
    found = re.findall(r"font-weight:(\d+);.*?base64,([^\"]+)\"", sheet)
    return [(weight, TTFont(io.BytesIO(base64.b64decode(data)))) for weight, data in found]


def test_latin_greek_cyrillic_and_the_signs_of_notes_are_shipped() -> None:
    # The Unicode Standard, code charts: Latin-1, Latin Extended-A, Greek and Coptic, Cyrillic, Miscellaneous Symbols.
    for words in ("Žižkov Łódź Ærø İzmir", "Φιλαρμονική", "Оркестр Київ Ђурђевдан", "B♭ F♯ ♮ 𝄫 𝄪", "“a” – ‘b’ … → −"):
        assert set(words) <= known(), words
    assert not {"東", "ก", "🎺"} & known()


def test_a_style_sheet_has_what_it_was_asked_for_in_both_weights(tmp_path: Path) -> None:
    sheet = fonts.style_sheet("Київ B♭", tmp_path)
    made = faces(sheet)
    assert [weight for weight, _ in made] == ["400", "700", "400", "700"]
    for _, font in made[:2]:
        assert {ord(letter) for letter in "Az~Київ"} <= font.getBestCmap().keys()
        assert not {ord(letter) for letter in "éłΩ"} & font.getBestCmap().keys()  # bytes that nobody reads
    assert all(font.getBestCmap().keys() == {ord(sign) for sign in SIGNS} for _, font in made[2:])
    fonts.signs_font.cache_clear()
    assert fonts.style_sheet("Київ B♭", tmp_path / "again") == sheet


def test_signs_stand_on_the_line_of_the_text_as_high_as_its_capitals() -> None:
    font = TTFont(io.BytesIO(fonts.signs_font()))
    glyphs = font.getGlyphSet()
    for sign in "♭♮♯":
        pen = BoundsPen(glyphs)
        glyphs[font.getBestCmap()[ord(sign)]].draw(pen)
        left, low, right, high = pen.bounds
        assert -70 <= low <= 0, sign
        assert 670 <= high <= 775, sign  # Fira Sans: capitals 689, ascenders 775 (its OS/2 table)
        assert 0 <= left < right <= glyphs[font.getBestCmap()[ord(sign)]].width


def a_font(path: Path, characters: str) -> Path:
    """A font with a square for each of ``characters``."""
    names = {ord(sign): f"u{ord(sign):X}" for sign in characters}
    pen = TTGlyphPen(None)
    for place, point in enumerate([(0, 0), (0, 700), (700, 700), (700, 0)]):
        (pen.lineTo if place else pen.moveTo)(point)
    pen.closePath()
    square = pen.glyph()
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder([".notdef", *names.values()])
    builder.setupCharacterMap(names)
    builder.setupGlyf(dict.fromkeys([".notdef", *names.values()], square))
    builder.setupHorizontalMetrics(dict.fromkeys([".notdef", *names.values()], (800, 0)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Squares", "styleName": "Regular", "psName": "Squares"})
    builder.setupOS2(sTypoAscender=800, sTypoDescender=-200, usWinAscent=800, usWinDescent=200)
    builder.setupPost()
    path.parent.mkdir(parents=True, exist_ok=True)
    builder.save(path)
    return path


def looked_through(root: Path) -> list[str]:
    problems = Problems(root)
    check_signs(root, load_fonts(root, problems), problems)
    return [str(each) for each in problems]


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("band.yml", "# 東京\nname: 東京 Brass\n", "band.yml:2: the fonts for paper lack 東 (U+6771) 京 (U+4EAC); "
         "leave them out, or put a font file that has them (.ttf or .otf) into content/fonts/"),
        ("band.yml", "name: Otterby 🎺 Band\n", "band.yml:1: the fonts for paper lack 🎺 (U+1F3BA); leave it out, or "
         "put a font file that has it (.ttf or .otf) into content/fonts/"),
        ("band.yml", 'a: 1\nname: "\\u6771"\n', "band.yml:2: the fonts for paper lack 東 (U+6771); leave it out, or "
         "put a font file that has it (.ttf or .otf) into content/fonts/"),
        ("tunes/a.abc", "X:1\nT:วง % 東\n", "tunes/a.abc:2: the fonts for paper lack ว (U+0E27) ง (U+0E07); leave "
         "them out, or put a font file that has them (.ttf or .otf) into content/fonts/"),
        ("tunes/a.abc", "w: ẹ́ ", "tunes/a.abc:1: 'ẹ́' cannot be printed under music; write it without "
         "its added mark"),
        ("pieces/a.musicxml", "<!-- 東\n-->\n<text>&#x6771;</text>", "pieces/a.musicxml:3: the fonts for paper "
         "lack 東 (U+6771); leave it out, or put a font file that has it (.ttf or .otf) into content/fonts/"),
        ("fonts/a.woff2", "x", "fonts/a.woff2: this is no font that can be printed; put a file ending in .ttf or .otf "
         "here"),
        ("fonts/a.ttf", "x", "fonts/a.ttf: this font cannot be read (Not a TrueType or OpenType font (not enough "
         "data)); get the file anew"),
    ],
)  # fmt: skip
def test_a_sign_that_paper_has_no_font_for_is_told_with_its_line(
    tmp_path: Path, name: str, text: str, said: str
) -> None:
    path = tmp_path / "content" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    assert looked_through(tmp_path) == [f"content/{said}"]


def test_a_font_in_the_content_is_printed_with_and_brought_to_printed_pages(tmp_path: Path) -> None:
    a_font(tmp_path / "content" / "fonts" / "squares.ttf", "東京")
    (tmp_path / "content" / "band.yml").write_text("name: 東京 Brass\n", encoding="utf-8")
    assert looked_through(tmp_path) == []
    added = load_fonts(tmp_path, Problems(tmp_path))
    assert {"東", "京", "a"} <= printable(added)
    sheet = fonts.style_sheet("東 Brass", tmp_path, added)
    assert [set(font.getBestCmap()) for _, font in faces(sheet)[4:]] == [{ord("東")}] * 2
    picture = '<text y="8" font-family="Times, serif">東 B♭ Ж ɨ F𝄪 京</text>'
    used = fonts_on_paper(tmp_path, PrintPack(added=added), picture, "東京 Brass B♭ F𝄪 C𝄫 *東* _京_")
    assert any("Squares" in name for name in used), used
    assert any("HandbookSigns" in name for name in used), used


def fonts_on_paper(work: Path, pack: PrintPack, picture: str, words: str = "") -> set[str]:
    """Names of the fonts in which the print engine sets a picture and some words."""
    key = pack.add(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 9">{picture}</svg>')
    template = (
        '#set document(title: "東")\n#set text(font: ("Fira Sans", "Libertinus Serif"))\n'
        f'{words} #image("{key}.svg", alt: "x")'
    )
    (work / "any.typ").write_text(template, encoding="utf-8")
    (work / f"{key}.svg").write_bytes(zlib.decompress(pack.pictures[key]))
    made = Engine(work, font_folders(pack.job({}), work)).pdf("any.typ", {})
    return {
        str(font.get_object()["/BaseFont"])
        for page in PdfReader(io.BytesIO(made)).pages
        for font in page["/Resources"]["/Font"].values()
    }


def test_names_with_a_sign_and_without_are_printed_in_one_font(tmp_path: Path) -> None:
    """As they stand before the staves of a score."""
    names = "".join(f'<text font-family="Times, serif">{name}</text>' for name in ("first B♭ cornet", "F horn", "C♯"))
    used = fonts_on_paper(tmp_path, PrintPack(), names)
    assert {name.split("+")[1].split("-")[0] for name in used} == {"FiraSans", "HandbookSigns"}


@pytest.mark.browser
def test_a_card_and_a_sheet_print_in_the_shipped_font(site: Path, browser: Any) -> None:
    page = browser.new_page()
    for uri in ("course/lesson-01.html", "course/sheets/lesson-01/cornet.html"):
        page.goto((site / uri).as_uri())
        names = set()
        for each in PdfReader(io.BytesIO(page.pdf(format="A4"))).pages:
            names |= {str(font.get_object().get("/BaseFont", "")) for font in each["/Resources"]["/Font"].values()}
        assert any("FiraSans-Regular" in name for name in names), uri
        assert not any("Arial" in name or "Liberation" in name or "DejaVuSans" in name for name in names), uri
    page.close()
