"""From which lesson a tune can be played: the key and octaves in which everyone can soonest; what each part asks."""

from __future__ import annotations

from collections.abc import Mapping

from beginnerband.data.book import Book
from beginnerband.music.percussion import bass_drum, snare
from beginnerband.music.player import Player
from beginnerband.music.tune import Tune
from beginnerband.pages.shared.needs import learners
from beginnerband.pages.tunes.view import Offer
from beginnerband.reuse import question
from beginnerband.teaching.facts import facts_of
from beginnerband.teaching.readiness import Need, Taught, When, needs, soonest


def from_when(book: Book, tune: Tune, known: Mapping[str, Taught]) -> When | None:
    """From when everyone can play a tune, and in which key; ``None`` if never, or without a course."""
    pitched = [known[player.id] for player in _playing(book.band.pitched, known)]
    return soonest(facts_of(tune.line), tune.key, pitched, drum_needs(book, tune, known))


def known_when(book: Book, ident: str) -> When | None:
    """:func:`from_when` of a tune of the book, or what an earlier build kept of it."""
    return book.reuse.of(_from_when, book, ident)


def _from_when(book: Book, ident: str) -> When | None:
    return from_when(book, book.tunes[ident], learners(book))


def taught_again(book: Book, tune: Tune, known: Mapping[str, Taught]) -> tuple[tuple[int, When], ...]:
    """The keys in which lessons teach a tune to everyone, each with the number of its first lesson, in their order."""
    pitched = [known[player.id] for player in _playing(book.band.pitched, known)]
    found = (
        (number, soonest(facts_of(tune.line), tune.key, pitched, keys=(key,))) for number, key in _keys(book, tune.id)
    )
    return tuple((number, when) for number, when in found if when)


@question
def _keys(book: Book, ident: str) -> tuple[tuple[int, int], ...]:
    """Number of the first lesson that teaches a tune to everyone in one key, with the key by its fifths, in order."""
    found: dict[int, int] = {}
    for lesson in book.course.course.weeks if book.course else ():
        for item in lesson.items:
            if item.tune == ident and item.shared_key is not None and not item.players:
                found.setdefault(item.shared_key, lesson.number)
    return tuple((number, fifths) for fifths, number in found.items())


def drum_needs(book: Book, tune: Tune, known: Mapping[str, Taught]) -> tuple[Need, ...]:
    """What the tune's drum parts ask of the band's drummers."""
    lines = (snare(tune.line), bass_drum(tune.line))
    drummers = [player for player in _playing(book.band.players, known) if not player.instrument.pitched]
    found = (
        need for player in drummers for line in lines for need in needs(facts_of(line, pitched=False), known[player.id])
    )
    return tuple(dict.fromkeys(found))


def asked(book: Book, tune: Tune, offer: Offer, known: Mapping[str, Taught]) -> dict[str, tuple[Need, ...]]:
    """What the printed parts of an offer ask, by the name of each instrument; drums too where all play together."""
    english = book.band.english
    found = {
        player.instrument.names.of(english): needs(facts_of(sheet.part.written), known[player.id])
        for sheet in offer.sheets
        for player in _playing(sheet.players, known)
    }
    drums = drum_needs(book, tune, known) if not offer.who else ()
    return found | ({"drums": drums} if drums else {})


def _playing(players: tuple[Player, ...], known: Mapping[str, Taught]) -> list[Player]:
    return [player for player in players if player.count and player.id in known]
