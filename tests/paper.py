"""What is printed, read back by PDFium."""

from __future__ import annotations

from pathlib import Path

import pypdfium2


def words_on(pdf: Path | bytes) -> list[str]:
    """The text of each page."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [page.get_textpage().get_text_bounded().replace("\r\n", "\n") for page in document]
