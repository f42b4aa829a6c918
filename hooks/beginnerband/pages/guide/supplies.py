"""What to buy first, with amounts for this band."""

from __future__ import annotations

from beginnerband.data.supplies import Supplies
from beginnerband.music.words import capital
from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.pages.guide.holding import brass
from beginnerband.pages.shared.holding_words import shank_words
from beginnerband.pages.shared.table import Rows, table, table_if_any
from beginnerband.teaching.supplies import amount, with_spares


def supplies(context: Context, args: Args) -> str:
    """``[[supplies]]``: what to buy first, how many for this band, and what for."""
    args.only()
    counted = [(thing, amount(thing, context.book.band.players)) for thing in _supplies(context).things]
    rows: Rows = [(thing.name, count, thing.why) for thing, count in counted if count]
    return str(table(f"For {context.book.band.name}; common practice", ("What", "How many", "What for"), rows))


def shanks(context: Context, args: Args) -> str:
    """``[[shanks]]``: how many mouthpieces of each end this band needs, with spares."""
    args.only()
    english, spare_for = context.book.band.english, _supplies(context).one_spare_for
    ends: dict[str, list[tuple[str, int]]] = {}
    for chair in brass(context.book):
        if chair.instrument.rim and chair.count:
            ends.setdefault(chair.instrument.rim.shank, []).append((chair.instrument.names.of(english), chair.count))
    rows: Rows = []
    for shank, chairs in ends.items():
        count = sum(players for _, players in chairs)
        names = ", ".join(name for name, _ in chairs)
        rows.append((capital(shank_words(shank, english)), names, count, with_spares(count, spare_for)))
    caption = "Mouthpieces by their end (shank); makers differ, so measure"
    return str(table_if_any(caption, ("End", "For", "Players", "With spares"), rows))


def _supplies(context: Context) -> Supplies:
    if context.book.supplies is None:
        raise BlockError("there is no content/supplies.yml to take it from")
    return context.book.supplies


BLOCKS = {"supplies": supplies, "shanks": shanks}
