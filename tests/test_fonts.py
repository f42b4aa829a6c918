"""The fonts that are shipped: whole for what is printed, the same bytes each time, and really used on paper."""

from __future__ import annotations

import base64
import io
import re
from pathlib import Path
from typing import Any

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from pypdf import PdfReader

from beginnerband.render import fonts


def faces(sheet: str) -> list[tuple[str, TTFont]]:
    """Weight and font of each rule of a style sheet."""
    found = re.findall(r"font-weight:(\d+);.*?base64,([^\"]+)\"", sheet)
    return [(weight, TTFont(io.BytesIO(base64.b64decode(data)))) for weight, data in found]


def test_latin_greek_cyrillic_and_the_signs_of_notes_are_shipped() -> None:
    # The Unicode Standard, code charts: Latin-1, Latin Extended-A, Greek and Coptic, Cyrillic, Miscellaneous Symbols.
    for words in ("Žižkov Łódź Ærø İzmir", "Φιλαρμονική", "Оркестр Київ Ђурђевдан", "B♭ F♯ ♮ 𝄫 𝄪", "“a” – ‘b’ … → −"):
        assert set(words) <= fonts.known(), words
    assert not {"東", "ก", "🎺"} & fonts.known()


def test_a_style_sheet_has_what_it_was_asked_for_in_both_weights(tmp_path: Path) -> None:
    sheet = fonts.style_sheet("Київ B♭", tmp_path)
    made = faces(sheet)
    assert [weight for weight, _ in made] == ["400", "700", "400", "700"]
    for _, font in made[:2]:
        assert {ord(letter) for letter in "AzéłКиїв"} <= font.getBestCmap().keys()
        assert ord("Ω") not in font.getBestCmap()
    assert all(font.getBestCmap().keys() == {ord(sign) for sign in fonts.SIGNS} for _, font in made[2:])
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
