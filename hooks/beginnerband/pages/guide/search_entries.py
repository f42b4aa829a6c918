"""What the search finds one by one in the guide's long lists: each trouble, and each word of the glossary."""

from __future__ import annotations

import json
from collections.abc import Iterator

from markupsafe import escape

from beginnerband.data.book import Book
from beginnerband.data.glossary import bare
from beginnerband.pages.guide.room import plain
from beginnerband.pages.guide.troubles import PAGE as TROUBLES
from beginnerband.products import Products
from beginnerband.render.finish.search import ENTRIES
from beginnerband.teaching.wording import spelled

WORDS = "guide/words.md"
"""Where the glossary is."""

WORTH = {TROUBLES: 0.93, WORDS: 0.75}
"""What an entry is worth beside a page that answers as well: a page all about a trouble says more of it; who names a
thing more often wants what to do with it than what it is. A question that asks for a meaning is told apart in
``search-rank.js``."""


def contribute(book: Book, out: Products) -> None:
    """Add the entries, on their way into the index."""
    found = [*_troubles(book), *_words(book)]
    out.asset(ENTRIES, json.dumps(found, ensure_ascii=False))


def places(book: Book) -> set[str]:
    """Where an entry of its own stands, as ``guide/words.md#bar``."""
    return {f"{TROUBLES}#{one}" for one in book.guide.troubles.troubles} | {
        f"{WORDS}#{one}" for one in book.guide.glossary
    }


def _troubles(book: Book) -> Iterator[dict[str, object]]:
    table = book.guide.troubles
    for trouble_id, trouble in table.troubles.items():
        said = [reply.say for question in table.path.values() for reply in question.answers if reply.to == trouble_id]
        causes = " ".join(f"{cause.cause}." for cause in trouble.causes)
        yield _entry(book, TROUBLES, trouble_id, trouble.symptom, f"{trouble.stop} {causes}", [*said, *trouble.also])


def _words(book: Book) -> Iterator[dict[str, object]]:
    english = book.band.english
    for term_id, term in book.guide.glossary.items():
        names = [bare(term.word(words)) for words in ("american", "british")]
        others = [name for name in dict.fromkeys((*names, *term.also)) if name != bare(term.word(english))]
        yield _entry(book, WORDS, term_id, term.word(english), term.means, others)


def _entry(book: Book, page: str, part: str, title: str, text: str, tags: list[str]) -> dict[str, object]:
    words = book.search.pages.get(f"{page}#{part}", [])
    said = [spelled(plain(book, each), book.band.english, book.names) for each in (title, text)]
    return {
        "location": f"{page.removesuffix('.md')}.html#{part}",
        "title": escape(said[0]),
        "text": f"<p>{escape(said[1])}</p>",
        "tags": [escape(tag) for tag in dict.fromkeys([*tags, *words])],
        "worth": WORTH[page],
    }
