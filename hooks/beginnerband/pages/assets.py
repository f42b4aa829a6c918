"""The handbook's own scripts and styles, from the rooms' folders, made smaller for the wire.

What every page needs is joined into few files, since on a phone each file costs a request of its own.
"""

from __future__ import annotations

import json
from pathlib import Path

from beginnerband.data.book import Book
from beginnerband.products import Products
from beginnerband.render.finish.search import WORDS
from beginnerband.render.html import ROOMS
from beginnerband.render.shrink import shrink

SEARCH_SCRIPT = "search.js"
"""What is fetched once somebody searches; begins with what ``content/search.yml`` says of words in questions."""

KINDS = (".js", ".css", ".svg")
"""Ends of names of what is served as it stands beside a room's Python."""

JOINED = {
    "handbook.css": ("handbook.css", "picker.css", "unseen.css", "search.css", "offline.css"),
    "course.css": (
        *("course.css", "card.css", "lessons.css", "coming.css", "today.css", "progress.css"),
        "card-paper.css",
    ),
    "guide.css": ("pictures.css", "terms.css", "sources.css", "guide.css", "troubles.css", "glossary.css"),
    "look-up.css": ("look-up.css", "look-up-answer.css", "look-up-screens.css"),
    "tables.css": ("tables.css", "moving.css"),
    "tunes.css": ("music.css", "tunes.css"),
    "sheet.css": ("music.css", "unseen.css", "sheet.css"),
    "handbook.js": (
        *("theme.js", "kit.js", "search-fetch.js", "access.js", "offline.js", "terms.js"),
        "own-band-here.js",
    ),
    "course.js": ("kit.js", "when.js", "awake.js", "course.js"),
    "today.js": ("when.js", "today.js"),
    "concert.js": ("kit.js", "when.js", "concert.js"),
    "pocket.js": ("when.js", "pocket.js"),
    "look-up.js": (
        *("kit.js", "look-up-book.js", "look-up-choice.js", "look-up-memory.js", "look-up-pictures.js"),
        *("look-up-answer.js", "look-up-tray.js", "look-up-patch.js", "look-up.js"),
    ),
    "set-up.js": (
        *("plain-yaml.js", "set-up-table.js", "set-up-check.js"),
        *("set-up-cover.js", "set-up-files.js", "set-up.js"),
    ),
    "player.js": (
        *("kit.js", "timbre.js", "sound.js", "plan.js", "play.js", "controls.js"),
        *("awake.js", "tones.js", "metronome.js", "bar.js", "player.js"),
    ),
    "tunes.js": ("kit.js", "tunes.js"),
    "moving.js": ("kit.js", "moving.js"),
    "iframe-worker.js": ("iframe-worker.js", "search-start.js"),
    "search.js": ("search-words.js", "search-rank.js", "search-answer.js", "search-show.js"),
}
"""Names in the site of what is made of several files here, in this order."""


def contribute(book: Book, out: Products) -> None:
    """Add every script and style of every room under ``assets/``, on its own or joined with others.

    Raises ``ValueError`` when two rooms have a file of one name.
    """
    files = sources()
    words = f"window.bandSearch={json.dumps(book.search.of_questions(), ensure_ascii=False)};\n".encode()
    parts = {part for parts in JOINED.values() for part in parts}
    made = {name: (name,) for name in files if name not in parts} | JOINED
    for name, parts_of in sorted(made.items()):
        end = b";\n" if name.endswith(".js") else b"\n"  # a script's last semicolon is lost when it is made smaller
        content = end.join(shrink(part, files[part].read_bytes()) for part in parts_of)
        out.asset(f"assets/{name}", words + content if name == SEARCH_SCRIPT else content)
    out.asset(WORDS, json.dumps({"same": book.search.same, "pages": book.search.pages}, ensure_ascii=False))


def sources() -> dict[str, Path]:
    """Every script, style and picture of the rooms by its name, which is unique among them."""
    found: dict[str, Path] = {}
    for path in sorted(path for path in ROOMS.rglob("*") if path.suffix in KINDS):
        if path.name in found:
            raise ValueError(
                f"{path} and {found[path.name]} have one name; in the site both would be assets/{path.name}"
            )
        found[path.name] = path
    return found
