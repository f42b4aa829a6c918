"""Words, spelling and dates follow the band. Spellings: Oxford and Merriam-Webster agree on these (from memory)."""

from __future__ import annotations

from datetime import date

import pytest

from beginnerband.pages.shared.dates import day, short_day
from beginnerband.teaching.wording import in_words, spelled


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
        ("`colour` [[word colour]] https://x.example/colour", "`colour` [[word colour]] https://x.example/colour"),
        ("A metronome in the practice room", "A metronome in the practice room"),
    ],
)  # fmt: skip
def test_an_american_band_reads_american_spelling(text: str, american: str) -> None:
    assert spelled(text, "american") == in_words(text, "american") == american
    assert spelled(text, "british") == text


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
