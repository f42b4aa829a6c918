"""What is printed, read back by PDFium."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
from PIL import Image


def words_on(pdf: Path | bytes) -> list[str]:
    """The text of each page."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [page.get_textpage().get_text_bounded().replace("\r\n", "\n") for page in document]


def picture(pdf: Path, place: int, dpi: int = 150) -> Image.Image:
    """A page, counted from 0, as PDFium draws it."""
    with pypdfium2.PdfDocument(pdf) as document:
        drawn = document[place].render(scale=dpi / 72).to_pil()
        assert isinstance(drawn, Image.Image)
        return drawn
