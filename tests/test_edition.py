"""The version and the day of a handbook: the same wherever it is built, on the site and on paper."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from conftest import ROOT
from pypdf import PdfReader

from beginnerband.data.book import Book
from beginnerband.data.edition import Edition, edition_of
from beginnerband.pages.shared.links import edition_words


def test_the_day_may_be_given_and_is_universal_time(monkeypatch: pytest.MonkeyPatch) -> None:
    # The example of the specification (reproducible-builds.org, SOURCE_DATE_EPOCH) counts seconds since 1970.
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")
    assert edition_of(ROOT).made == date(1970, 1, 1)
    for zone in ("Pacific/Kiritimati", "Pacific/Midway"):  # +14 and -11 hours
        monkeypatch.setenv("TZ", zone)
        monkeypatch.setenv("SOURCE_DATE_EPOCH", str(20 * 86400 + 43200))
        assert edition_of(ROOT) == Edition(edition_of(ROOT).version, date(1970, 1, 21))


def test_a_project_without_settings_has_a_day_alone(tmp_path: Path) -> None:
    assert edition_of(tmp_path).version == ""


def test_the_edition_stands_on_the_share_page_and_at_the_foot_of_print(site: Path, book: Book) -> None:
    words = edition_words(book)
    assert book.edition.version
    assert words in (site / "share.html").read_text(encoding="utf-8")
    for path in ("lesson-01.pdf", f"pieces/{next(iter(book.pieces))}.pdf"):
        for page in PdfReader(site / "print" / path).pages:
            assert words in " ".join(page.extract_text().split()), path
