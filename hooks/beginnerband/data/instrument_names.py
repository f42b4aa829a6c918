"""Instruments by the names that people use for them."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping

from beginnerband.data.problems import did_you_mean
from beginnerband.music.instrument import Instrument

PITCHES = {"b", "bb", "e", "eb", "f", "flat"}
"""Words that say only in which pitch an instrument stands."""


NOT_HERE = {
    *("accordion", "bassoon", "cello", "clarinet", "fife", "flute", "guitar", "harmonica", "harp", "keyboard", "oboe"),
    *("ocarina", "organ", "piano", "piccolo", "recorder", "sax", "saxophone", "ukulele", "viola", "violin", "whistle"),
}
"""What else people play, lest one be taken for brass with a similar name."""


def known_names(instruments: Mapping[str, Instrument]) -> dict[str, str]:
    """Ids of instruments by every name they go by, in small letters with hyphens between its words."""
    known: dict[str, str] = {}
    shorter: dict[str, set[str]] = {}
    for instrument in instruments.values():
        names = (instrument.names.american, instrument.names.british, instrument.id)
        known |= {plain_name(name): instrument.id for name in names if plain_name(name) not in known}
        without_pitch = [plain_name(name.split(" ", 1)[-1]) for name in names if "♭" in name]
        for name in (*without_pitch, _shorter(instrument)):
            shorter.setdefault(name, set()).add(instrument.id)
    for name, idents in shorter.items():
        if len(idents) == 1:  # "tuba" and "bass" are two instruments
            known.setdefault(name, *idents)
    return known


def _shorter(instrument: Instrument) -> str:
    """Pitch and last word, as people say ``Eb horn`` and ``Bb trombone``."""
    words = plain_name(instrument.names.british).split("-")
    return f"{words[0]}-{words[-1]}"


def plain_name(name: str) -> str:
    """A name in small letters with hyphens between its words, ``♭`` as ``b``."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower().replace("♭", "b")).strip("-")


def meant_instrument(name: str, instruments: Mapping[str, Instrument]) -> str:
    """A closing hint with the ids that a name may stand for: by its whole, by a word in it, by its spelling."""
    said, known = plain_name(name), known_names(instruments)
    for one in (said, said.removesuffix("s"), re.sub(r"^([a-g])-flat\b", r"\1b", said)):
        if one in known:
            return f"; did you mean {known[one]!r}?"
    if near := difflib.get_close_matches(said, known, n=1, cutoff=0.85):
        return f"; did you mean {known[near[0]]!r}?"
    kind = next((word for word in reversed(said.split("-")) if word not in {*PITCHES, "in"}), "")
    if {kind, kind.removesuffix("s"), kind.removesuffix("es")} & NOT_HERE:
        return "; this handbook is for brass, drums and mallets"
    words = {*said.split("-"), said.removesuffix("s")} - PITCHES
    found = sorted({ident for other, ident in known.items() if words & set(other.split("-"))})
    if 0 < len(found) <= 4:
        return f"; did you mean {' or '.join(map(repr, found))}?"
    if near := difflib.get_close_matches(said, instruments, n=1, cutoff=0.8):
        return f"; did you mean {near[0]!r}?"
    there = did_you_mean("", instruments).removeprefix("; ")
    if not said:
        return f"; {there}"
    return f"; {there}, or add it: copy the file of the one most like it in content/instruments to {said}.yml"
