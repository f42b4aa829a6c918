"""The share page: a code that scans, an address that is one, and what a browser keeps."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser

from beginnerband.data.band import load_band
from beginnerband.data.book import Book
from beginnerband.data.problems import Problems
from beginnerband.pages.carry.room import ICON_SIZES
from beginnerband.render.qr import qr_on_white

ADDRESS = "https://band.example/handbook/"


@pytest.mark.browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_code_scans_to_the_address_in_light_and_dark(scheme: str, browser: Browser) -> None:
    # Read back by an independent reader, the ZXing-C++ library.
    page = browser.new_page(color_scheme=scheme, viewport={"width": 390, "height": 500})  # type: ignore[arg-type]
    page.set_content(f"<body style='background: #171b1e'>{qr_on_white(ADDRESS)}</body>")
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(page.screenshot())))
    page.close()
    assert found.text == ADDRESS


def test_the_code_fills_its_box_whatever_its_size() -> None:
    code = str(qr_on_white(ADDRESS))
    assert 'viewBox="0 0 37 37"' in code  # version 3 of ISO/IEC 18004: 29 modules a side, and four of white around
    assert "width=" not in code


@pytest.mark.parametrize("address", ["javascript:alert(1)", "band.example", "https://x y/", 'https://x/"><script>'])
def test_an_address_that_is_none_is_complained_of_with_its_line(address: str, tmp_path: Path, book: Book) -> None:
    (tmp_path / "content").mkdir()
    text = f"name: Test\naddress: '{address}'\nplayers:\n  - {{instrument: cornet}}\n"
    (tmp_path / "content" / "band.yml").write_text(text)
    problems = Problems(tmp_path)
    load_band(tmp_path, dict(book.instruments), problems)
    assert len(list(problems)) == 1
    assert "content/band.yml:2" in str(next(iter(problems)))


@pytest.mark.parametrize("size", ICON_SIZES)
def test_icons_have_their_size(size: int, site: Path) -> None:
    with Image.open(site / "assets" / f"icon-{size}.png") as image:
        assert image.size == (size, size)
