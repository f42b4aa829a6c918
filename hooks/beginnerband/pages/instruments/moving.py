"""Moving a player from one instrument to another, in words: what changes and what does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music import distance
from beginnerband.music.equivalence import Changeover, change_over, kindest_reading
from beginnerband.music.instrument import Instrument, Slide, Valves
from beginnerband.music.player import Player
from beginnerband.music.words import capital
from beginnerband.pages.shared.holding_words import BELL_WORDS, CUP_WORDS, carries, plays, shank_words
from beginnerband.pages.shared.readers import READING_WORDS
from beginnerband.pages.shared.table import STACKED, Cell, table
from beginnerband.pages.shared.units import weight
from beginnerband.teaching.wording import spelled

SIZES = ("small", "medium", "large", "extra-large")
"""Cup mouthpieces from small to large; the F horn's funnel stands apart."""

FEW = 8
"""As many differing notes as are listed by name in a table."""

NOTICED = 1.2
"""How many times as long a tube must be for a player to feel it in the breath (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Change:
    """One side of a move."""

    topic: str
    """``Mouthpiece``, ``Reading``, ``Fingers``, ``Sound``, ``Holding``, ``Air`` or ``Lifting``."""
    text: str
    """What differs, one short sentence; what holds for every move stands once on the page."""
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
    return instrument.names.of(book.band.english)


def moves_table(book: Book, instrument: Instrument, others: Sequence[Instrument]) -> Markup:
    """What moving to each of ``others`` would mean, a row each."""
    old = home_player(book, instrument)
    rows = [_row(book, change_over(old, kindest_reading(old, other))) for other in others]
    title = f"Moving between {name(book, instrument)} ({READING_WORDS[old.reading.id]}) and each of the others"
    head = ("Other instrument", "Fingering", "Music", "A written note sounds", "Mouthpiece", "In its case")
    return table(title, head, rows, kind=f"{STACKED} bb-chart-moves")


def _row(book: Book, one: Changeover) -> tuple[Cell, ...]:
    other = one.new.instrument
    read = f", {READING_WORDS[one.new.reading.id]}" if len(other.readings) > 1 else ""
    sound = distance.in_words(one.sounds) if one.same_clef else "another clef: compare concert notes"
    return (
        f"{name(book, other)}{read}",
        hands(one),
        page(one),
        sound,
        mouthpiece(book, one),
        weight(other.loads[0].packed_kg, book.band.english),
    )


def hands(one: Changeover) -> str:
    """What happens to the fingering."""
    old, new = one.old.instrument.mechanism, one.new.instrument.mechanism
    if isinstance(old, Valves) != isinstance(new, Valves):
        return "a slide instead of valves" if isinstance(new, Slide) else "valves instead of a slide"
    if one.same_hands:
        return "all the same"
    if not one.same_clef:
        what = "positions" if isinstance(new, Slide) else "valves"
        return f"the same {what} for the same sound" if one.same_by_sound else "new for every written note"
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


def mouthpiece(book: Book, one: Changeover) -> str:
    """How the mouthpiece compares, and whether its end fits."""
    old, new = one.old.instrument.mouthpiece, one.new.instrument.mouthpiece
    if old == new:
        size = "same size"
    elif "funnel" in (old, new):
        size = f"another shape: {CUP_WORDS['funnel'] if new == 'funnel' else 'a cup'}, {_wider(one)} inside"
    else:
        size = "larger" if SIZES.index(new) > SIZES.index(old) else "smaller"
    if one.same_shank or one.new.instrument.rim is None:
        return size
    return f"{size}, {shank_words(one.new.instrument.rim.shank, book.band.english)} shank"


def _wider(one: Changeover) -> str:
    old, new = one.old.instrument.rim, one.new.instrument.rim
    assert old
    assert new
    return "wider" if new.inside_mm > old.inside_mm else "narrower" if new.inside_mm < old.inside_mm else "as wide"


def changes(book: Book, one: Changeover) -> tuple[Change, ...]:
    """What is particular to one move, for the page that explains moves."""
    every = (
        _mouthpiece(book, one),
        _reading(one),
        _fingers(one),
        _sound(one),
        _holding(one),
        _air(one),
        _lifting(book, one),
    )
    return tuple(replace(each, text=spelled(each.text, book.band.english, book.names)) for each in every)


def _mouthpiece(book: Book, one: Changeover) -> Change:
    if one.same_mouthpiece and one.same_shank:
        return Change("Mouthpiece", "The player keeps their own.", True)
    return Change("Mouthpiece", f"{capital(mouthpiece(book, one))}.", False)


def _reading(one: Changeover) -> Change:
    if one.same_page:
        return Change("Reading", "The old part can stay on the stand.", True)
    if one.same_clef:
        return Change("Reading", "Its own part, in another key. Clef and names of notes stay.", False)
    return Change("Reading", f"It reads {READING_WORDS[one.new.reading.id]}: every note has a new place.", False)


def _fingers(one: Changeover) -> Change:
    said = hands(one)
    if one.same_hands:
        return Change("Fingers", "All stay.", True)
    if isinstance(one.new.instrument.mechanism, Slide) and isinstance(one.old.instrument.mechanism, Valves):
        return Change("Fingers", "A slide: each valve combination becomes a position.", False)
    return Change("Fingers", f"{capital(said)}.", False)


def _sound(one: Changeover) -> Change:
    if not one.same_clef:
        apart = one.new.reading.semitones
        said = f"A note now sounds {distance.in_words(apart)} than it reads." if apart else ""
        return Change("Sound", said or "The page now says what sounds.", False)
    if not one.sounds:
        return Change("Sound", "The same written note sounds the same.", True)
    return Change("Sound", f"The same written note sounds {distance.in_words(one.sounds)}.", False)


def _holding(one: Changeover) -> Change:
    old, new = one.old.instrument.held, one.new.instrument.held
    assert old
    assert new
    said = []
    if type(one.new.instrument.mechanism) is not type(one.old.instrument.mechanism):
        said.append(plays(one.new.instrument, new))
    elif new.plays != old.plays:
        said.append(f"The {new.plays} hand plays.")
    if (new.carries, new.rests, new.in_bell) != (old.carries, old.rests, old.in_bell):
        said.append(carries(new))
    if new.bell != old.bell:
        said.append(f"The bell points {BELL_WORDS[new.bell]}.")
    return Change("Holding", " ".join(said) or "As before.", not said)


def _air(one: Changeover) -> Change:
    ratio = _tube(one.new.instrument) / _tube(one.old.instrument)
    said = []
    if ratio >= NOTICED:
        said.append(f"The tube is {round(ratio, 1):g} times as long.")
    elif 1 / ratio >= NOTICED:
        said.append(f"The old tube was {round(1 / ratio, 1):g} times as long.")
    if one.new.instrument.mouthpiece == "funnel" != one.old.instrument.mouthpiece:
        said.append("It is narrow, and notes lie close together.")
    return Change("Air", " ".join(said) or "As before.", not said)


def _tube(instrument: Instrument) -> float:
    """Tube length in units of its own; only ratios are used."""
    assert instrument.fundamental
    return 1 / instrument.fundamental.hz()


def _lifting(book: Book, one: Changeover) -> Change:
    before, after = (each.instrument.loads[0].packed_kg for each in (one.old, one.new))
    english = book.band.english
    held = one.new.instrument.held
    two = " Two people, or wheels." if held and held.rests == "seat" else ""
    return Change(
        "Lifting", f"In the case {weight(after, english)}, before {weight(before, english)}.{two}", after == before
    )


def support(instrument: Instrument) -> str:
    """How an instrument is held up and carried, from its file (common practice; local rules come first)."""
    held = instrument.held
    if held is None:
        stands = (
            "What stands has a stand of its own; cymbals hang in their straps. See"
            if len(instrument.loads) > 1
            else "It stands on its own stand: see"
        )
        return (
            f"{stands} that every clamp is tight and the feet are spread before anyone plays. "
            "Large cases go on wheels or with two people."
        )
    if held.rests == "seat":
        return (
            f"{carries(held)} Lift with bent knees and both arms; move the case on wheels or with two people. A child "
            "does not carry it alone."
        )
    small = " A small player needs a stand or a cushion. Lift with both hands." if held.rests == "lap" else ""
    return f"{carries(held)}{small or ' A small player rests it between pieces.'}"
