"""American and British words for note values in running text, as the band chooses."""

from __future__ import annotations

import re
from math import ceil

from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Key
from beginnerband.music.words import key_words
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
}  # fmt: skip
"""British spellings in the handbook, with the American ones."""
_SPELLED = re.compile(rf"(?<![\w/#.=-])({'|'.join(_AMERICAN)})(?![\w/=-]|\.\w)", re.IGNORECASE)
_NO_PROSE = re.compile(r"(\[\[.*?\]\]|\]\([^)\n]*\)|<[^<>]*>|`[^`\n]*`|\{[^{}\n]*\}|https?://\S+)")

_SAID = re.compile(r'(\s(?:aria-label|alt|title|placeholder)=")([^"]*)(")')
"""What a tag says to a screen reader or in a field."""


def in_words(text: str, english: str) -> str:
    """``text`` for ``english``: in British ``half and quarter notes`` become ``minims and crotchets``.

    It is written with American note values and British spelling; American use gets American spelling.
    """
    british = english == "british"
    return _AN.sub(r"\1 ", _LISTED.sub(_british, text)) if british else spelled(text, english)


def spelled(text: str, english: str) -> str:
    """``text`` in the spelling of ``english``; not in blocks, links, code, addresses, nor in tags but what they say."""
    if english != "american":
        return text
    parts = _NO_PROSE.split(text)
    return "".join(_apart(part) if place % 2 else _SPELLED.sub(_american, part) for place, part in enumerate(parts))


def _apart(part: str) -> str:
    """What is left alone; of a tag, what it says is not."""
    if not part.startswith("<"):
        return part
    return _SAID.sub(lambda match: match[1] + _SPELLED.sub(_american, match[2]) + match[3], part)


def _american(match: re.Match[str]) -> str:
    word = _AMERICAN[match[0].lower()]
    return word.capitalize() if match[0][0].isupper() else word


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


def need_words(need: Need, english: str) -> str:
    """What a part needs, for people: ``B♭4``, ``dotted crotchets``, ``3/4``, ``slurs``, ``8.6 s on one breath``."""
    what = need.what
    if need.kind == "note":
        return Pitch.parse(what).sign
    if need.kind == "value":
        name = what.replace("16th", "sixteenth")
        return in_words(f"{name}s" if name.endswith("rest") else f"{name} notes", english)
    if need.kind == "technique":
        return TECHNIQUE_WORDS.get(what, what)
    if need.kind == "signature":
        return f"{key_words(Key(int(what)))} in the key signature"
    if need.kind == "leap":
        return f"a leap of {what} semitones"
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
