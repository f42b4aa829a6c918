"""What a tune's page shows, as plain values: which keys are offered, and one sheet for all who read the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music import distance
from beginnerband.music.difficulty import LineDifficulty
from beginnerband.music.instrument import LEVELS
from beginnerband.music.keychoice import KeyChoice, PlayerCost, best_for_all, first_level, rank
from beginnerband.music.part import Part, codes, part_at
from beginnerband.music.player import Player
from beginnerband.music.score import Key
from beginnerband.music.shift import to_key, to_written
from beginnerband.music.tune import Tune
from beginnerband.music.words import series, value_words
from beginnerband.render import sound
from beginnerband.render.sound import PlayedLine
from beginnerband.reuse import question
from beginnerband.teaching.readiness import When

LEVEL_WORDS = {
    "starter": "the starter range",
    "first-year": "the first-year range",
    "full": "the full range",
}
"""Range levels in words."""

APART = (
    ("B♭ players and concert-pitch players", ("bb", "concert")),
    ("E♭ players", ("eb",)),
    ("F players", ("f",)),
)
"""Who can be taught by rote together: the same fingering or position pattern gives the same tune."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One part, for every player that reads and fingers it alike."""

    players: tuple[Player, ...]
    """Who plays from it."""
    part: Part
    """The music; :attr:`Part.sounding` is the first player's."""
    under: tuple[str, ...]
    """Fingering or position for each note."""
    ident: str
    """Unique on the page, as ``together-cornet``."""

    def names(self, english: str) -> str:
        """The instruments, joined."""
        return series([player.instrument.names.of(english) for player in self.players])


@dataclass(frozen=True, slots=True)
class Offer:
    """A concert key the page gives parts in."""

    choice: KeyChoice
    """The key, weighed."""
    level: str
    """Level it was weighed at."""
    who: str
    """For whom: empty for everyone together."""
    sheets: tuple[Sheet, ...]
    """Parts, in score order."""
    ranking: tuple[KeyChoice, ...]
    """All keys for these players, best first."""
    lesson: int = 0
    """The lesson that teaches it to everyone in this further key; else 0."""

    @property
    def key(self) -> Key:
        """Concert key."""
        return self.choice.key

    @property
    def slug(self) -> str:
        """As in file names: ``bb``, ``fs-minor``."""
        return key_slug(self.key)


@question
def signs_read(book: Book) -> dict[str, int] | None:
    """How many sharps or flats each instrument's players read in a signature at the end of the course."""
    return book.course.ladder.signs(book.band.players) if book.course else None


def slowly(book: Book, tune: Tune, when: When | None) -> Markup:
    """Where a button appears that plays a tune slowly, as the band's first instrument plays it when it is known."""
    first = next(iter(book.band.pitched), None)
    octaves = when.octaves.get(first.id, 0) if when and first else 0
    line = to_key(tune.line, when.key.fifths if when else tune.key.fifths, octaves)
    voice = PlayedLine(line, first=None, instrument=first.instrument if first else None)
    return sound.slowly([voice], tune.title, book.band.pitch_a4)


def key_slug(key: Key) -> str:
    """A key as in file names: ``bb``, ``f-sharp``, ``g-minor``."""
    tonic = key.tonic.lower().replace("#", "-sharp")
    return tonic if key.mode == "major" else f"{tonic}-{key.mode}"


def offers(
    book: Book, tune: Tune, when: When | None = None, taught: Sequence[tuple[int, When]] = ()
) -> tuple[Offer, ...]:
    """Everyone together in one key and in further keys that lessons teach; each group apart where another suits it.

    Together means the concert key and octaves of ``when``, in which the course makes it playable, or else what suits
    best. ``taught`` are the keys of lessons with their numbers.
    """
    level, ranking = first_level(tune.line, book.band.players, signs_read(book))
    reached = when if when and when.ear is not None else None
    together = next((choice for choice in ranking if reached and choice.key == reached.key), best_for_all(ranking))
    octaves = reached.octaves if reached else {}
    found = [_offer(tune, together, level, "", book.band.pitched, "together", ranking, octaves)]
    for lesson, later in taught:
        choice = next((choice for choice in ranking if choice.key == later.key), together)
        if choice.key != together.key:
            who, slug = f"Everyone, as in lesson {lesson}", f"lesson-{lesson}"
            made = _offer(tune, choice, level, who, book.band.pitched, slug, ranking, later.octaves)
            found.append(replace(made, lesson=lesson))
    everyone = {offer.key for offer in found}
    for who, groups in APART:
        players = tuple(player for player in book.band.pitched if player.instrument.group in groups and player.count)
        if not players:
            continue
        apart = rank(tune.line, players, LEVELS[0], signs=signs_read(book))
        own = best_for_all(apart)
        points = next(choice.points for choice in apart if choice.key == together.key)
        if own.key not in everyone and own.points < points and own.readable:
            found.append(_offer(tune, own, LEVELS[0], who, players, groups[0], apart))
    return tuple(found)


def _offer(
    tune: Tune,
    choice: KeyChoice,
    level: str,
    who: str,
    players: Sequence[Player],
    slug: str,
    ranking: tuple[KeyChoice, ...],
    taught: Mapping[str, int] = MappingProxyType({}),
) -> Offer:
    at_key = to_key(tune.line, choice.key.fifths)
    octaves = {cost.player.id: taught.get(cost.player.id, cost.octaves) for cost in choice.costs}
    sheets: dict[tuple[object, ...], list[tuple[Part, tuple[str, ...]]]] = {}
    for player in players:
        if player.id not in octaves:
            continue
        made = part_at(at_key, octaves[player.id], player, level)
        under = codes(made)
        alike = (to_written(player.reading.interval, made.octaves), player.reading.clef, under)
        sheets.setdefault(alike, []).append((made, under))
    made_sheets = (_sheet(slug, alike) for alike in sheets.values())
    return Offer(choice, level, who, tuple(made_sheets), ranking)


def _sheet(slug: str, alike: Sequence[tuple[Part, tuple[str, ...]]]) -> Sheet:
    part, under = alike[0]
    return Sheet(tuple(each.player for each, _ in alike), part, under, f"{slug}-{part.player.instrument.id}")


def suits_words(book: Book, choice: KeyChoice) -> str:
    """Whom a key suits, and who would go where: ``suits everyone``, ``E♭ tenor horn up to written D5``."""
    if choice.suits_all:
        return "suits everyone"
    strays: dict[str, list[str]] = {}
    for cost in choice.costs:
        if not cost.fits:
            strays.setdefault(_stray(cost), []).append(cost.player.instrument.names.of(book.band.english))
    return "; ".join(f"{series(names)} {said}" for said, names in strays.items())


def _stray(cost: PlayerCost) -> str:
    if cost.cannot:
        return f"cannot: written {cost.lowest.sign} to {cost.highest.sign}"
    ends = []
    if cost.above:
        ends.append(f"up to written {cost.highest.sign}")
    if cost.below:
        ends.append(f"down to written {cost.lowest.sign}")
    return " and ".join(ends)


def key_sentence(book: Book, level: str, ranking: Sequence[KeyChoice], together: KeyChoice) -> str:
    """The advice in words: which key, and what another would ask."""
    best = best_for_all(ranking)
    if together.suits_all:
        said = f"Concert {together.key.sign} suits everyone within {LEVEL_WORDS[level]}"
    else:
        lead = "asks least" if together == best else "is the one the course leads to"
        said = (
            f"No key keeps everyone within {LEVEL_WORDS[level]}. Concert {together.key.sign} {lead}: "
            f"{suits_words(book, together)}"
        )
    if not together.readable:
        return f"{said}. {_beyond_words(book, ranking, together)}"
    if together != best and best.suits_all and best.readable:
        return f"{said}. Once every note is known, concert {best.key.sign} is easier still."
    others = (choice for choice in ranking if not choice.suits_all and choice != together and choice.readable)
    other = next(others, None)
    if other:
        said += f"; in concert {other.key.sign}, {suits_words(book, other)}"
    return said + "."


def _beyond_words(book: Book, ranking: Sequence[KeyChoice], together: KeyChoice) -> str:
    """Who reads more signs than the ladder allows, and why no key without that will do."""
    asked: dict[int, list[str]] = {}
    for cost in together.costs:
        if cost.beyond:
            asked.setdefault(cost.key.fifths, []).append(cost.player.instrument.names.of(book.band.english))
    who = "; ".join(f"{series(names)} {_signature_words(fifths)}" for fifths, names in asked.items())
    said = f"Careful: that is more sharps or flats than the ladder allows so far ({who})."
    other = next((choice for choice in ranking if choice.readable), None)
    if other is None:
        return said + " No key keeps to it for everyone."
    return f"{said} Of the keys that keep to it, concert {other.key.sign} asks least: {suits_words(book, other)}."


def _signature_words(fifths: int) -> str:
    return f"{abs(fifths)} {'sharp' if fifths > 0 else 'flat'}{'' if abs(fifths) == 1 else 's'}"


def difficulty_sentence(width: str, measured: LineDifficulty, english: str) -> str:
    """What to expect, for the leader."""
    values = series([f"{value}s" if english == "british" else f"{value} notes" for value in _plain(measured, english)])
    leap = measured.largest_leap
    step = distance.size_in_words(leap) + (f" ({leap} semitones)" if leap > 2 else "")
    said = f"It uses {width if width != 'an octave' else 'the notes of an octave'}, in {values}. "
    said += f"The widest step from one note to the next is {step}. " if leap else "The pitch never changes. "
    said += f"The longest stretch on one breath is {measured.longest_breath_seconds:.0f} seconds at the marked speed."
    return said


def _plain(measured: LineDifficulty, english: str) -> list[str]:
    return list(value_words(measured.values, english))
