"""American and British words for note values in running text, as the band chooses."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from functools import lru_cache
from html import escape
from math import ceil

from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Key
from beginnerband.music.words import capital, key_words
from beginnerband.teaching.readiness import Need

_BRITISH = {"whole": "semibreve", "half": "minim", "quarter": "crotchet", "eighth": "quaver", "sixteenth": "semiquaver"}
_VALUE = rf"(?:dotted )?(?:{'|'.join(_BRITISH)})"
_LISTED = re.compile(rf"\b({_VALUE}(?:(?:, | and | or |, and ){_VALUE})*) (notes?|rests?)\b", re.IGNORECASE)
_AN = re.compile(r"\b([Aa])n (?=(?:semi)?(?:quaver|breve)|minim|crotchet)")
_ONE = re.compile(rf"\b({'|'.join(_BRITISH)})\b", re.IGNORECASE)


_AMERICAN = {
    "practise": "practice", "practises": "practices", "practised": "practiced", "practising": "practicing",
    "programme": "program", "programmes": "programs", "metre": "meter", "metres": "meters", "centre": "center",
    "centres": "centers", "colour": "color", "colours": "colors", "coloured": "colored", "favourite": "favorite",
    "favourites": "favorites", "neighbour": "neighbor", "neighbours": "neighbors", "neighbouring": "neighboring",
    "grey": "gray", "mould": "mold", "moulds": "molds", "learnt": "learned", "labelled": "labeled",
    "cancelled": "canceled", "recognise": "recognize", "recognised": "recognized", "judgement": "judgment",
    "behaviour": "behavior", "licence": "license", "licences": "licenses", "litre": "liter", "litres": "liters",
    "centimetre": "centimeter", "centimetres": "centimeters", "millimetre": "millimeter", "millimetres": "millimeters",
    "towards": "toward", "upwards": "upward", "downwards": "downward", "forwards": "forward", "backwards": "backward",
    "afterwards": "afterward", "semitone": "half step", "semitones": "half steps", "up a tone": "up a whole step",
    "down a tone": "down a whole step", "a tone up": "a whole step up", "a tone down": "a whole step down",
    "a tone higher": "a whole step higher", "a tone lower": "a whole step lower", "a tone above": "a whole step above",
    "a tone below": "a whole step below", "a tone apart": "a whole step apart", "after a tone": "after a whole step",
    "next is a tone": "next is a whole step",
    "octave and a tone": "octave and a whole step", "octaves and a tone": "octaves and a whole step",
    "on the spot": "in place", "way round": "way around", "go round": "go around", "goes round": "goes around",
    "going round": "going around", "come round": "come around", "look round": "look around",
    "turns round": "turns around", "coiled round": "coiled around", "changed round": "changed around",
    "once round": "once around", "times round": "times around", "round and round": "around and around",
    "round the": "around the", "round a": "around a", "round an": "around an", "round it": "around it",
    "round its": "around its", "round them": "around them", "round behind": "around behind",
    "turn it round": "turn it around", "tick names": "check names", "a tick for": "a check for", "rub out": "erase",
    "in brackets": "in parentheses", "first-aid box": "first-aid kit", "car park": "parking lot",
    "toilets": "restrooms", "fluff": "lint", "sweets and fizzy drinks": "candy and soda", "timetable": "schedule",
    "timetables": "schedules", "open evening": "open house", "attendance register": "attendance list",
    "register and first aid": "attendance and first aid",
}  # fmt: skip
"""British spellings and turns of phrase in the handbook, with the American ones; of two that fit, the first."""

_TERMS = {
    "a fermata": "a pause", "fermatas": "pauses", "fermata": "pause", "a pickup": "an upbeat", "pickups": "upbeats",
    "pickup": "upbeat", "snare drum": "side drum",
}  # fmt: skip
"""Other words of the trade in the course, with those that the glossary has for British bands."""
_TERM = re.compile(rf"(?<![\w/#.=!{{-])({'|'.join(_TERMS)})(?![\w/=!}}-])", re.IGNORECASE)
_NO_CANON = r"(?<!\ba )(?<!\bthe )(?<!\bthis )(?<!\bthat )(?<!\bour )(?<!\byour )"
"""What a canon stands after: "the round the altos begin" is left alone."""
_SPELLED_ANEW = "|".join(f"{_NO_CANON}{words}" if words.startswith("round ") else words for words in _AMERICAN)
_SPELLED = re.compile(rf"(?<![\w/#.=-])({_SPELLED_ANEW})(?![\w/=-]|\.\w)", re.IGNORECASE)
_SAYING = ("say", "says", "said", "ask", "asks", "asked", "shout", "shouts", "whisper", "whispers", "answer", "answers")
_NO_SPEECH = "".join(rf"(?<!\b(?i:{verb}){mark} )" for verb in _SAYING for mark in ("", ":", ","))
_QUOTED = rf'{_NO_SPEECH}(?:“[A-Z][^“”\n]*\w”|(?<=\w )"[A-Z][^"\n]*\w")'
"""A title in quotation marks: it begins with a capital, ends as no sentence does, and nobody says it."""
_NO_PROSE = (
    _QUOTED
    + r"|\[\[.*?\]\]|\]\([^)\n]*\)|(?s:<text\b.*?</text>|<script\b.*?</script>)|<[^<>]*>|`[^`\n]*`|\{[^{}\n]*\}|https?://\S+"
)
"""What is not said, or not anew: titles, blocks, links, words under music, scripts, tags, code, phrases, addresses."""
_OF_A_NAME = re.compile(r"(?:[\w,;&’'-]|\b(?:Mr|Mrs|Ms|Dr|St|Prof|[A-Z])\.)\s+$")
"""What stands before a word with a capital that begins no sentence: such a word is a name."""

_SAID = re.compile(r'(\s(?:aria-label|alt|title|placeholder)=")([^"]*)(")')
"""What a tag says to a screen reader or in a field."""


def curly(text: str) -> str:
    """``text`` with quotation marks and apostrophes as they are printed, for those of a keyboard."""
    opened = re.sub(r'(^|[\s(])"', "\\1“", text)
    return re.sub(r"(?<=\w)'", "’", opened.replace('"', "”"))


def american_value(name: str) -> str:
    """A note value by its American name, as ``dotted quarter`` for ``dotted crotchets``; others as they are."""
    for ours, theirs in sorted(_BRITISH.items(), key=lambda pair: -len(pair[1])):
        name = re.sub(rf"\b{theirs}s?\b", ours, name)
    return name


def in_words(text: str, english: str) -> str:
    """``text`` for ``english``: in British ``half and quarter notes`` become ``minims and crotchets``.

    It is written with American words of the trade and British spelling; American use gets American spelling.
    """
    if english != "british":
        return spelled(text, english)
    parts = re.split(f"({_QUOTED})", text)
    return "".join(
        part if place % 2 else _AN.sub(r"\1 ", _LISTED.sub(_british, _TERM.sub(_term, part)))
        for place, part in enumerate(parts)
    )


def spelled(text: str, english: str, names: Collection[str] = ()) -> str:
    """``text`` in the spelling of ``english``; not in blocks, links, code, addresses, nor in tags but what they say.

    A name is never changed: neither ``names``, wherever they stand, nor a word with a capital inside a sentence.
    """
    if english != "american":
        return text
    parts = _apart_from(frozenset(names)).split(text)
    return "".join(
        _apart(part, names) if place % 2 else _SPELLED.sub(_american, part) for place, part in enumerate(parts)
    )


@lru_cache(maxsize=4)
def _apart_from(names: frozenset[str]) -> re.Pattern[str]:
    """What is no prose: names in which there is a word to be spelled, plain or escaped, and all that is not shown."""
    kept = {form for name in names if _SPELLED.search(name) for form in (name, escape(name))}
    said = [rf"(?<!\w){re.escape(name)}(?!\w)" for name in sorted(kept, key=lambda name: (-len(name), name))]
    return re.compile(f"({'|'.join([*said, _NO_PROSE])})")


def _apart(part: str, names: Collection[str]) -> str:
    """What is left alone; of a tag, what it says is not."""
    if not part.startswith("<") or part.startswith("<script"):
        return part
    return _SAID.sub(lambda match: match[1] + spelled(match[2], "american", names) + match[3], part)


def _term(match: re.Match[str]) -> str:
    return _anew(match, _TERMS)


def _american(match: re.Match[str]) -> str:
    return _anew(match, _AMERICAN)


def _anew(match: re.Match[str], words: Mapping[str, str]) -> str:
    """What stands in ``words`` for a word; a name, which has a capital and begins no sentence, as it is."""
    word = words[match[0].lower()]
    if not match[0][0].isupper():
        return word
    named = _OF_A_NAME.search(match.string, max(match.start() - 8, 0), match.start())
    return match[0] if named else capital(word)


TECHNIQUE_WORDS = {
    "slur": "slurs",
    "tie": "ties",
    "hairpin": "hairpins",
    "repeat": "repeat signs",
    "endings": "first and second endings",
    "coda": "a coda",
    "pickup": "a pickup",
    "hold": "holds",
    "grace note": "grace notes",
    "accidental": "accidentals",
    "change of key": "a change of key",
    "change of metre": "a change of metre",
    "accent": "accents",
    "strong-accent": "strong accents",
}
"""Techniques as one speaks of them; those that are left out are called what they are."""


def half_step(english: str) -> str:
    """The smallest step, in a band's words."""
    return spelled("semitone", english)


def need_words(need: Need, english: str) -> str:
    """What a part needs, for people: ``B♭4``, ``dotted crotchets``, ``3/4``, ``slurs``, ``8.6 s on one breath``."""
    what = need.what
    if need.kind == "note":
        return Pitch.parse(what).sign
    if need.kind == "value":
        name = what.replace("16th", "sixteenth")
        return in_words(f"{name}s" if name.endswith("rest") else f"{name} notes", english)
    if need.kind == "technique":
        return in_words(TECHNIQUE_WORDS.get(what, what), english)
    if need.kind == "signature":
        return f"{key_words(Key(int(what)))} in the key signature"
    if need.kind == "leap":
        return f"a leap of {what} {half_step(english)}s"
    if need.kind == "breath":
        return f"{ceil(10 * need.amount - 1e-6) / 10:.1f} s on one breath"
    if need.kind == "playing":
        return f"{ceil(need.amount - 1e-6)} s without a beat of rest"
    return "reading notes" if need.kind == "notation" else what


def _british(match: re.Match[str]) -> str:
    values, kind = match[1], match[2].lower()
    plural = "s" if kind == "notes" else ""

    def swap(found: re.Match[str]) -> str:
        word = _BRITISH[found[0].lower()] + plural
        return word.capitalize() if found[0][0].isupper() else word

    return _ONE.sub(swap, values) + (f" {match[2]}" if kind.startswith("rest") else "")
