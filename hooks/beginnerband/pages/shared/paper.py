"""What every printed file says of the copy that it is from."""

from __future__ import annotations

from beginnerband.data.book import Book
from beginnerband.pages.shared.dates import REGIONS
from beginnerband.pages.shared.links import edition_words


def of_copy(book: Book) -> dict[str, str]:
    """Band and edition, size of the paper, and region of the language, as every template needs them.

    What else is printed of a piece or a lesson does not ask for them, and so stays when only these change.
    """
    return {
        "band": book.band.name,
        "edition": edition_words(book),
        "paper": "us-letter" if book.band.paper == "letter" else "a4",
        "region": REGIONS[book.band.english],
    }
