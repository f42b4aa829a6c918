"""Moving a player from one instrument to another, in words: what changes and what does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music import distance
from beginnerband.music.equivalence import Changeover, change_over, kindest_reading
from beginnerband.music.instrument import Instrument, Slide, Valves
from beginnerband.music.player import Player
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import Cell, table
from beginnerband.pages.shared.units import weight

SIZES = ("small", "medium", "large", "extra-large")
"""Cup mouthpieces from small to large; the F horn's funnel stands apart."""

FEW = 8
"""As many differing notes as are listed by name in a table."""

LIGHT_KG, LAP_KG = 3.0, 6.0
"""Up to the first a player holds it freely, up to the second it rests on the lap or a stand (common practice)."""


@dataclass(frozen=True, slots=True)
class Change:
    """One side of a move."""

    topic: str
    """``Mouthpiece``, ``Reading``, ``Hands``, ``Sound``, ``Air`` or ``Lifting``."""
    text: str
    """What to expect, one or two sentences."""
    same: bool
    """Whether it stays as it was."""


def home_player(book: Book, instrument: Instrument) -> Player:
    """The instrument as this band reads it, or in its first reading when the band has none."""
    for player in book.band.players:
        if player.instrument == instrument:
            return player
    return Player(instrument, instrument.readings[0])


def name(book: Book, instrument: Instrument) -> str:
    """Its name in the band's words."""
    return instrument.names.of(book.band.words)


def moves_table(book: Book, instrument: Instrument, others: Sequence[Instrument]) -> Markup:
    """What moving to each of ``others`` would mean, a row each."""
    old = home_player(book, instrument)
    rows = [_row(book, change_over(old, kindest_reading(old, other))) for other in others]
    title = f"Moving between {name(book, instrument)} ({READING_WORDS[old.reading.id]}) and each of the others"
    head = ("Other instrument", "Fingering", "Music", "A written note sounds", "Mouthpiece", "Weight")
    return table(title, head, rows, kind="bb-chart-moves")


def _row(book: Book, one: Changeover) -> tuple[Cell, ...]:
    other = one.new.instrument
    read = f", {READING_WORDS[one.new.reading.id]}" if len(other.readings) > 1 else ""
    sound = distance.in_words(one.sounds) if one.same_clef else "another clef: compare concert notes"
    return (
        f"{name(book, other)}{read}",
        hands(one),
        page(one),
        sound,
        mouthpiece(one),
        weight(other.weight_kg, book.band.words),
    )


def hands(one: Changeover) -> str:
    """What happens to the fingering."""
    old, new = one.old.instrument.mechanism, one.new.instrument.mechanism
    if isinstance(old, Valves) != isinstance(new, Valves):
        return "a slide instead of valves" if isinstance(new, Slide) else "valves instead of a slide"
    if one.same_hands:
        return "all the same"
    differ = one.comparison.differs
    if not one.comparison.notes:
        return "no written notes in common"
    listed = ": " + ", ".join(each.written.sign for each in differ) if len(differ) <= FEW else ""
    return f"{len(differ)} of {len(one.comparison.notes)} written notes differ{listed}"


def page(one: Changeover) -> str:
    """Whether the old music can stay on the stand."""
    if one.same_page:
        return "the same part"
    return "a part of its own, same clef" if one.same_clef else "a part of its own, another clef"


def mouthpiece(one: Changeover) -> str:
    """How the mouthpiece compares."""
    old, new = one.old.instrument.mouthpiece, one.new.instrument.mouthpiece
    if old == new:
        return "same size"
    if "funnel" in (old, new):
        return "another shape: " + ("a deep, narrow funnel" if new == "funnel" else "a cup, with a wider rim")
    return "larger" if SIZES.index(new) > SIZES.index(old) else "smaller"


def changes(book: Book, one: Changeover) -> tuple[Change, ...]:
    """Everything about one move, for the page that explains it."""
    return (_mouthpiece(one), _reading(one), _hands(one), _sound(book, one), _air(one), _lifting(book, one))


def _mouthpiece(one: Changeover) -> Change:
    if one.same_mouthpiece:
        return Change("Mouthpiece", "The same size: the lips feel at home. A player keeps to their own, washed.", True)
    new, old = one.new.instrument.mouthpiece, one.old.instrument.mouthpiece
    larger = "funnel" not in (new, old) and SIZES.index(new) > SIZES.index(old)
    feel = "the lips sit deeper and vibrate more slowly" if larger else "the lips have to find a new place"
    return Change(
        "Mouthpiece",
        f"{mouthpiece(one).capitalize()}: {feel}. Go back to buzzing and long notes for a week or two.",
        False,
    )


def _reading(one: Changeover) -> Change:
    if one.same_page:
        return Change("Reading", "The same notes on the page; even the same part can stay on the stand.", True)
    if one.same_clef:
        text = "The clef and the names of the notes stay, but it needs its own part: the old one is in another key."
        return Change("Reading", text, False)
    return Change("Reading", f"It reads {READING_WORDS[one.new.reading.id]}: every note has a new place.", False)


def _hands(one: Changeover) -> Change:
    said = hands(one)
    if one.same_hands:
        return Change("Hands", "Every fingering stays as it is.", True)
    if isinstance(one.new.instrument.mechanism, Slide) and isinstance(one.old.instrument.mechanism, Valves):
        return Change("Hands", "A slide instead of valves: each valve combination becomes a position.", False)
    return Change("Hands", f"{said[0].upper()}{said[1:]}. The rest stay.", False)


def _sound(book: Book, one: Changeover) -> Change:
    if not one.same_clef:
        return Change("Sound", "The page now says what sounds: no more transposing.", False)
    if not one.sounds:
        return Change("Sound", "The same written note sounds the same.", True)
    where = distance.in_words(one.sounds)
    extra = "" if one.sounds % 12 == 0 else ": with the old music it would clash, so hand out the new part first"
    return Change("Sound", f"The same written note sounds {where}{extra}.", False)


def _air(one: Changeover) -> Change:
    ratio = _tube(one.new.instrument) / _tube(one.old.instrument)
    if ratio < 1.2:
        return Change("Air", "About as much air as before.", True)
    tube = f"The tube is {round(ratio, 1):g} times as long"
    if one.new.instrument.mouthpiece == "funnel":
        return Change("Air", f"{tube} but narrow: steady air. Notes lie close together and are easy to miss.", False)
    return Change("Air", f"{tube}: more air, slower. Phrases are shorter at first; rest when dizzy.", False)


def _tube(instrument: Instrument) -> float:
    """Tube length in units of its own; only ratios are used."""
    assert instrument.fundamental
    return 1 / instrument.fundamental.hz()


def _lifting(book: Book, one: Changeover) -> Change:
    before, after = one.old.instrument.weight_kg, one.new.instrument.weight_kg
    text = (
        f"{weight(before, book.band.words)} before, {weight(after, book.band.words)} now. {support(one.new.instrument)}"
    )
    return Change("Lifting", text, after <= before * 1.25)


def support(instrument: Instrument) -> str:
    """How an instrument of this weight is held and carried (common practice; local rules come first)."""
    kg = instrument.weight_kg
    if not instrument.brass:
        return (
            "It stands on its own stand: see that every clamp is tight and the feet are spread before anyone plays. "
            "Large cases go on wheels or with two people."
        )
    if kg <= LIGHT_KG:
        return "Light enough to hold up with both hands; a small player rests it between pieces."
    if kg <= LAP_KG:
        return "Rest it on the lap or on a stand; a small player needs a stand or a cushion. Lift with both hands."
    return (
        "Never held up freely: it rests on the chair, the lap or a stand. Lift with bent knees and both arms; move the "
        "case on wheels or with two people. A child does not carry it alone."
    )
