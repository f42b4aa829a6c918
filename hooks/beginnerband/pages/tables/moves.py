"""Every move from one brass instrument to another: as cards to read, and as data for the page's chooser."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.equivalence import Changeover, change_over, kindest_reading
from beginnerband.music.instrument import Instrument
from beginnerband.pages.instruments import moving
from beginnerband.pages.instruments.room import ordered, title
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.text import in_script


def who_moves(book: Book, start: Instrument) -> list[Instrument]:
    """Brass from high to low; of models of one family those the band has and the first. ``start`` is always there."""
    band = {player.instrument.id for player in book.band.players}
    return [each for each in ordered(book) if each.brass and (not each.family or each.id in band or each == start)]


def move(book: Book, old: Instrument, new: Instrument) -> Changeover:
    """A player of ``old`` as this band reads it, on ``new`` in the reading that keeps most of what they know."""
    player = moving.home_player(book, old)
    return change_over(player, kindest_reading(player, new))


def cards(book: Book, old: Instrument, others: Sequence[Instrument]) -> list[dict[str, Any]]:
    """For each of ``others`` what a player of ``old`` meets there: changes first, then what stays."""
    return [_card(book, move(book, old, new)) for new in others]


def _card(book: Book, one: Changeover) -> dict[str, Any]:
    said = moving.changes(book, one)
    return {
        "instrument": one.new.instrument,
        "name": title(book, one.new.instrument),
        "reads": READING_WORDS[one.new.reading.id],
        "changes": [change for change in said if not change.same],
        "stays": [change for change in said if change.same],
    }


def data(book: Book, players: Sequence[Instrument]) -> Markup:
    """Every move between two of ``players`` as JSON, to stand inside a script element.

    ``topics`` and ``texts`` are words; ``moves[from][to]`` is the place in ``texts`` of how the new instrument is read,
    then for each topic that of its change, -1 where it stays.
    """
    texts: dict[str, int] = {}

    def place(text: str) -> int:
        return texts.setdefault(text, len(texts))

    topics: list[str] = []
    found: dict[str, dict[str, list[int]]] = {}
    for old in players:
        found[old.id] = {}
        for new in players:
            if new == old:
                continue
            one = move(book, old, new)
            said = moving.changes(book, one)
            topics = [change.topic for change in said]
            changed = [-1 if change.same else place(change.text) for change in said]
            found[old.id][new.id] = [place(READING_WORDS[one.new.reading.id]), *changed]
    return in_script({"topics": topics, "texts": list(texts), "moves": found})
