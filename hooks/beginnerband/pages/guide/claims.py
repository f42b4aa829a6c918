"""``[[checked …]]``: a sentence beside it holds for the instruments, the course and the band, or the build stops."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import product

from beginnerband.data.book import Book
from beginnerband.data.instruments import group_of
from beginnerband.data.problems import did_you_mean
from beginnerband.music import meeting
from beginnerband.music.advice import third_slide_notes
from beginnerband.music.equivalence import compare
from beginnerband.music.instrument import GROUPS, VOICES, Instrument, Slide, Valves
from beginnerband.music.pitch import chromatic
from beginnerband.music.player import Player
from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.pages.shared.holding_words import BELL_WORDS

SHARES = {"half": (0.45, 0.55), "more-than-half": (0.55, 0.64), "two-thirds": (0.64, 0.7)}
"""Share of the rim on the upper lip, in words."""


def checked(context: Context, args: Args) -> str:
    """``[[checked hand plays=right for=valves except=f-horn]]``: shows nothing; a mistake when it is not so.

    * ``hand plays=right`` or ``carries=left``: which hand does it;
    * ``fingers level=first-year``: all play the same written notes with the same fingers as the first of them;
    * ``part tenor``: all of them can cover that part;
    * ``rim upper=half`` (``more-than-half``, ``two-thirds``): how much of the rim is on the upper lip;
    * ``shank same`` or ``shank differs``: whether one mouthpiece fits all of them;
    * ``bell points=up`` (``forward``, ``back``): where the bell points;
    * ``bell smaller=baritone than=euphonium``: whose bell is narrower;
    * ``third-slide valves=1-3,1-2-3``: with which valves the third valve slide goes out, in the first year;
    * ``sound bb-eb=open eb-f=rubs``: how groups sound together who read the same letter.

    ``for`` lists instruments, or ``valves``, ``slide``, ``small``, ``low`` or ``all``; ``except`` lists those of them
    for which it is not so, and that is checked too.
    """
    if not args.words or args.words[0] not in KINDS:
        given = args.words[0] if args.words else ""
        raise BlockError(f"what is checked? {given!r} is not one of {', '.join(KINDS)}{did_you_mean(given, KINDS)}")
    KINDS[args.words[0]](context.book, args)
    return ""


def _hand(book: Book, args: Args) -> None:
    args.only("plays", "carries", "for", "except", words=1)
    doing = next((key for key in ("plays", "carries") if key in args.named), None)
    if doing is None or args.named[doing] not in ("left", "right"):
        raise BlockError("write plays=right, or carries=left")

    def so(instrument: Instrument) -> bool:
        return bool(getattr(instrument.held, doing) == args.named[doing])

    _all(book, args, so, f"the {args.named[doing]} hand {doing}")


def _fingers(book: Book, args: Args) -> None:
    args.only("for", "except", "level", words=1)
    level = args.named.get("level", "first-year")
    first = _named(book, args)[0]

    def so(instrument: Instrument) -> bool:
        return not _differing(first, instrument, level)

    _all(book, args, so, f"the same fingers as on the {first.names.british}")


def _differing(first: Instrument, other: Instrument, level: str) -> list[str]:
    """Written notes of ``level`` that the two play otherwise, each in its first reading."""
    one, two = Player(first, first.readings[0]), Player(other, other.readings[0])
    if one.reading.clef != two.reading.clef:
        return ["all"]
    span = first.ranges[level]
    asked = {pitch.midi for pitch in chromatic(span.low, span.high)}
    return [each.written.sign for each in compare(one, two).differs if each.written.midi in asked]


def _part(book: Book, args: Args) -> None:
    args.only("for", "except", words=2)
    voice = args.words[1] if len(args.words) > 1 else ""
    if voice not in VOICES:
        raise BlockError(f"write 'part {VOICES[0]}'{did_you_mean(voice, VOICES)}")
    _all(book, args, lambda instrument: voice in instrument.covers, f"covers the {voice}")


def _rim(book: Book, args: Args) -> None:
    args.only("upper", "for", "except", words=1)
    if args.named.get("upper") not in SHARES:
        raise BlockError(f"write upper={', upper='.join(SHARES)}")
    low, high = SHARES[args.named["upper"]]

    def so(instrument: Instrument) -> bool:
        return instrument.rim is not None and low <= instrument.rim.upper < high

    _all(book, args, so, f"{args.named['upper']} of the rim on the upper lip")


def _shank(book: Book, args: Args) -> None:
    args.only("for", words=2)
    shanks = {each.rim.shank for each in _named(book, args) if each.rim}
    same = args.words[1:] == ("same",)
    if args.words[1:] not in (("same",), ("differs",)):
        raise BlockError("write 'shank same' or 'shank differs'")
    if len(_named(book, args)) > 1 and same != (len(shanks) == 1):
        raise BlockError(f"not so: their shanks are {', '.join(sorted(shanks))}")


def _bell(book: Book, args: Args) -> None:
    args.only("points", "for", "except", "smaller", "than", words=1)
    way = args.named.get("points")
    if way in BELL_WORDS:
        _all(book, args, lambda each: each.held is not None and each.held.bell == way, f"the bell points {way}")
        return
    if way is not None or not {"smaller", "than"} <= set(args.named):
        raise BlockError(f"write points={', points='.join(BELL_WORDS)}, or smaller=ID than=ID")
    one, other = (_known(book, args.named[key]) for key in ("smaller", "than"))
    if not 0 < one.bell_cm < other.bell_cm:
        raise BlockError(f"not so: their bells are {one.bell_cm:g} cm and {other.bell_cm:g} cm wide")


def _third_slide(book: Book, args: Args) -> None:
    args.only("valves", words=1)
    said = {each for each in args.named.get("valves", "").split(",") if each}
    brass = [each for each in book.instruments.values() if each.brass]
    found = {
        way.code for each in brass for _, way, _ in third_slide_notes(Player(each, each.readings[0]), "first-year")
    }
    if found != said:
        raise BlockError(f"not so: the third valve slide goes out with valves {', '.join(sorted(found))}")


def _sound(book: Book, args: Args) -> None:
    for key, said in args.named.items():
        one, _, other = key.partition("-")
        found = {
            meeting.meet("C", first, second).character
            for first, second in product(_voices(book, one), _voices(book, other))
        }
        if found - {said}:
            raise BlockError(f"not so: {one} and {other} on one letter are {' and '.join(sorted(found))}")


def _voices(book: Book, group: str) -> list[meeting.Voice]:
    """Everybody who learns with a group and reads as it does, which a baritone in bass clef does not."""
    if group not in GROUPS:
        raise BlockError(f"no group {group!r}; use {', '.join(GROUPS)}")
    return [
        (reading, each.written_range("starter", reading).low)
        for each in book.instruments.values()
        if each.brass and each.group == group
        for reading in each.readings
        if group_of(reading) == group
    ]


def _all(book: Book, args: Args, so: Callable[[Instrument], bool], what: str) -> None:
    apart = [each for each in args.named.get("except", "").split(",") if each]
    for each in apart:
        _known(book, each)
    wrong = [each for each in _named(book, args) if each.id not in apart and not so(each)]
    if wrong:
        raise BlockError(f"not so for {_listed(wrong)}: {what}; name it in except=, and say so in the sentence")
    idle = [each for each in _named(book, args) if each.id in apart and so(each)]
    if idle:
        raise BlockError(f"{_listed(idle)} is no exception: {what}")


def _named(book: Book, args: Args) -> list[Instrument]:
    """The instruments that ``for`` names."""
    if not args.named.get("for"):
        raise BlockError(f"for whom? write for=ID,ID or for={', for='.join(CLASSES)}")
    brass = [each for each in book.instruments.values() if each.brass]
    found: dict[str, Instrument] = {}
    for word in filter(None, f"{args.named['for']},{args.named.get('except', '')}".split(",")):
        known = [each for each in brass if CLASSES[word](each)] if word in CLASSES else [_known(book, word)]
        found.update((each.id, each) for each in known)
    return list(found.values())


def _known(book: Book, instrument_id: str) -> Instrument:
    if instrument_id not in book.instruments:
        raise BlockError(f"no instrument {instrument_id!r}{did_you_mean(instrument_id, book.instruments)}")
    return book.instruments[instrument_id]


def _listed(instruments: Iterable[Instrument]) -> str:
    return ", ".join(each.names.british for each in instruments)


CLASSES: dict[str, Callable[[Instrument], bool]] = {
    "all": lambda each: True,
    "valves": lambda each: isinstance(each.mechanism, Valves),
    "slide": lambda each: isinstance(each.mechanism, Slide),
    "small": lambda each: each.mouthpiece == "small",
    "low": lambda each: each.mouthpiece in ("large", "extra-large"),
}
"""Names for many instruments at once."""

KINDS: dict[str, Callable[[Book, Args], None]] = {
    "hand": _hand,
    "fingers": _fingers,
    "part": _part,
    "rim": _rim,
    "shank": _shank,
    "bell": _bell,
    "third-slide": _third_slide,
    "sound": _sound,
}
"""What can be checked."""

BLOCKS = {"checked": checked}
