"""Words that send a player elsewhere, as printed in music: *Fine*, *D.C. al Coda*, *To Coda*."""

from __future__ import annotations

import re

_AIM = r"(?:\s*(?:,|e|%|𝄋|then|poi)?\s*(?:al|alla|to|until|till)?\s*(?:the\s+)?(?P<aim>fine|coda|end)\b.*)?"
_WORDS = (
    (re.compile(rf"^(?:d\.?\s?c\.?|da\s?capo){_AIM}\s*[.!)]*$", re.I), "da-capo"),
    (re.compile(rf"^(?:d\.?\s?s\.?|dal\s?segno){_AIM}\s*[.!)]*$", re.I), "dal-segno"),
    (re.compile(r"^(?:al|to|da|go to)\s+(?:the\s+)?coda\b\W*(?:\d\W*)?$", re.I), "to-coda"),
    (re.compile(r"^fine\W*$", re.I), "fine"),
    (re.compile(r"^coda\W*(?:\d\W*)?$", re.I), "coda"),
    (re.compile(r"^segno\W*$", re.I), "segno"),
)


def marks_of(words: str) -> tuple[str, ...]:
    """The marks (of ``music.score.MARKS``) that printed words mean; nothing where they are no jump."""
    text = " ".join(words.split()).strip(" (")
    for pattern, mark in _WORDS:
        match = pattern.match(text)
        if match:
            aim = (match.groupdict().get("aim") or "").lower()
            return (mark, *({"fine": ("al-fine",), "end": ("al-fine",), "coda": ("al-coda",)}.get(aim, ())))
    return ()
