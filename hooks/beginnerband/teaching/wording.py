"""American and British words for note values in running text, as the band chooses."""

from __future__ import annotations

import re

_BRITISH = {"whole": "semibreve", "half": "minim", "quarter": "crotchet", "eighth": "quaver", "sixteenth": "semiquaver"}
_VALUE = rf"(?:dotted )?(?:{'|'.join(_BRITISH)})"
_LISTED = re.compile(rf"\b({_VALUE}(?:(?:, | and | or |, and ){_VALUE})*) (notes?|rests?)\b", re.IGNORECASE)
_ONE = re.compile(rf"\b({'|'.join(_BRITISH)})\b", re.IGNORECASE)


def in_words(text: str, use: str) -> str:
    """``text``, written in American words, for ``use``: ``half and quarter notes`` become ``minims and crotchets``."""
    if use != "british":
        return text
    return _LISTED.sub(_british, text)


def _british(match: re.Match[str]) -> str:
    values, kind = match[1], match[2].lower()
    plural = "s" if kind == "notes" else ""

    def swap(found: re.Match[str]) -> str:
        word = _BRITISH[found[0].lower()] + plural
        return word.capitalize() if found[0][0].isupper() else word

    return _ONE.sub(swap, values) + (f" {match[2]}" if kind.startswith("rest") else "")
