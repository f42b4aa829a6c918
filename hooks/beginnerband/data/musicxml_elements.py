"""What single elements of a MusicXML file say: keys, metres, tempos, jumps, words, chord symbols.

Elements mean what the MusicXML 4.0 reference (w3.org/2021/06/musicxml40) says.
"""

from __future__ import annotations

import re
from fractions import Fraction

from beginnerband.data.jumps import marks_of
from beginnerband.data.xmltree import Element, RefusedError
from beginnerband.music.chord_symbol import ChordSymbol, Degree, Letter
from beginnerband.music.pitch import STEPS
from beginnerband.music.score import DYNAMICS, MODES, VALUES, Key, Tempo, Time, Tuplet
from beginnerband.music.shift import named

_LOUDNESS = {"pppp": "pp", "ppp": "pp", "fff": "ff", "ffff": "ff", "sf": "sfz", "sffz": "sfz", "fz": "sfz"}
_SOUND = {"dalsegno": "dal-segno", "tocoda": "to-coda", "fine": "fine", "segno": "segno", "coda": "coda"}
_CHROMATIC = {0: 0, 1: 1, 2: 1, 3: 2, 4: 2, 5: 3, 6: 4, 7: 4, 8: 5, 9: 5, 10: 6, 11: 6}
"""Letters moved by a transposition that names only its semitones: a minor third for 3, a minor second for 1."""


def bar_name(measure: Element) -> str:
    """What a bar is called: ``bar 12``."""
    number = "".join(char for char in measure.get("number") if char.isprintable())[:8]
    return f"bar {number or '?'}"


def whole(element: Element, path: str) -> int:
    """A length in the file's divisions; 0 where none is given. :class:`RefusedError` for what is none."""
    text = element.said(path) or "0"
    if not re.fullmatch(r"\d+(\.\d+)?", text) or float(text) > 100_000_000:
        raise RefusedError(f"<{path}> is no length: {text[:20]!r}", element.line)
    return round(float(text))


def signed(text: str) -> int:
    """A whole number with its sign; 0 for what is none."""
    return round(float(text)) if re.fullmatch(r"-?\d{1,9}(\.\d+)?", text) else 0


def interval_of(element: Element) -> str:
    """The interval of a ``<transpose>``, as ``M-2``. :class:`RefusedError` for one that does not exist."""
    try:
        chromatic, diatonic = round(float(element.said("chromatic") or 0)), element.said("diatonic")
        octaves = int(element.said("octave-change") or 0)
        if not diatonic:
            letters = _CHROMATIC[abs(chromatic) % 12] + 7 * (abs(chromatic) // 12)
            letters = letters if chromatic >= 0 else -letters
        else:
            letters = int(diatonic)
        if abs(chromatic) > 48 or abs(octaves) > 4:
            raise ValueError
        return named(letters + 7 * octaves, chromatic + 12 * octaves)
    except Exception:  # music21 raises many kinds on an interval that is none
        raise RefusedError("<transpose> names an interval that does not exist", element.line) from None


def key_of(element: Element, measure: Element) -> Key:
    """A key. :class:`RefusedError` for one beyond seven sharps or flats, or of its own making."""
    fifths = element.said("fifths")
    if not re.fullmatch(r"[+-]?[0-7]", fifths):
        raise RefusedError(
            f"{bar_name(measure)}: a key of more than seven sharps or flats, or of its own making", element.line
        )
    mode = {"ionian": "major", "aeolian": "minor"}.get(element.said("mode"), element.said("mode"))
    return Key(int(fifths), mode if mode in MODES else "major")


def time_of(element: Element, measure: Element) -> Time:
    """A metre. :class:`RefusedError` for music without one."""
    beats, units = ([one.text.strip() for one in element.all(tag)] for tag in ("beats", "beat-type"))
    if element.find("senza-misura") or not beats or len(beats) != len(units):
        raise RefusedError(f"{bar_name(measure)}: no time signature, so the length of a bar is not known", element.line)
    unit = max(int(one) for one in units)
    counts = [sum(map(int, re.findall(r"\d+", many))) for many in beats]
    total = sum(count * unit // int(one) for count, one in zip(counts, units, strict=True))
    symbol = element.get("symbol") if element.get("symbol") in ("common", "cut") else ""
    return Time(total, unit, symbol if (total, unit) in ((4, 4), (2, 2)) else "")


def ratio_of(note: Element) -> Tuplet | None:
    """The tuplet a note belongs to. :class:`RefusedError` for one that cannot be."""
    actual, normal = (note.said(f"time-modification/{name}-notes") for name in ("actual", "normal"))
    if not actual or not normal or actual == normal:
        return None
    if not (re.fullmatch(r"[1-9]\d?", actual) and re.fullmatch(r"[1-9]\d?", normal)):
        raise RefusedError(f"no tuplet of {actual[:8]} in the time of {normal[:8]}", note.line)
    return Tuplet(int(actual), int(normal))


def is_tied(note: Element) -> bool:
    """Whether a note sounds on into the next: as it sounds, or else as it is printed."""
    sounded = [one.get("type") for one in note.all("tie")]
    return "start" in (sounded or [one.get("type") for one in note.all("notations/tied")])


def count_of(note: Element, tag: str, kind: str) -> int:
    """How many signs of a kind begin or end at a note, as slurs that start."""
    return sum(one.get("type") == kind for one in note.all(f"notations/{tag}"))


def loudness(element: Element) -> str:
    """The dynamic sign that a ``<dynamics>`` means; empty for one that is not read."""
    names = (_LOUDNESS.get(child.tag, child.tag) for child in element.children)
    return next((name for name in names if name in DYNAMICS), "")


def numbers_of(text: str) -> tuple[int, ...]:
    """Numbers of an ending: 1 and 2 for ``1, 2`` or ``1-2``, none beyond 20."""
    found: list[int] = []
    for first, last in re.findall(r"(\d{1,2})(?:\s*-\s*(\d{1,2}))?", text):
        found += range(int(first), min(int(last or first), 20) + 1)
    return tuple(number for number in dict.fromkeys(found) if 0 < number <= 20)


def words_of(direction: Element) -> str:
    """Printed words that are neither a jump nor part of a metronome mark."""
    if direction.tag != "direction" or direction.find("direction-type/metronome"):
        return ""
    text = " ".join(" ".join(one.text for one in direction.all("direction-type/words")).split())
    shown = "".join(char for char in text if char.isprintable())[:60]
    sound = direction.find("sound")
    if marks_of(shown) or (sound is not None and sound.get("tempo") and direction.find("direction-type/words")):
        return ""
    return shown


def jumps_of(element: Element) -> list[str]:
    """Jumps and goals of a direction: what its ``<sound>`` says, else its signs and words (MusicXML 4.0, sound)."""
    if element.tag == "harmony":
        return []
    sound = element if element.tag == "sound" else element.find("sound")
    attributes = sound.attributes if sound is not None else {}
    words = marks_of(" ".join(one.text for one in element.all("direction-type/words")))
    found: list[str] = []
    if attributes.get("dacapo") == "yes":
        found.append("da-capo")
    for name, mark in _SOUND.items():
        if attributes.get(name) not in (None, "", "no"):
            found.append(mark)
    found += words if not found else [mark for mark in words if mark in ("al-fine", "al-coda")]
    for sign in ("segno", "coda"):
        leaves = {"segno": "dal-segno", "coda": "to-coda"}[sign]
        jumps = {sign, leaves, "al-coda"} if sign == "coda" else {sign, leaves}
        if any(True for _ in element.all(f"direction-type/{sign}")) and not jumps & set(found):
            found.append(sign)
    return list(dict.fromkeys(found))


def tempo_of(element: Element) -> Tempo | None:
    """A tempo as printed, or else as it sounds, whether anybody plays it or not; nothing where none is given."""
    sound = element if element.tag == "sound" else element.find("sound")
    words = " ".join(" ".join(one.text for one in element.all("direction-type/words")).split())[:60]
    words = "" if marks_of(words) else "".join(char for char in words if char.isprintable())
    for mark in element.all("direction-type/metronome"):
        number = re.search(r"\d{1,4}(\.\d{1,3})?", mark.said("per-minute"))
        beat = VALUES.get(mark.said("beat-unit"))
        if number and beat and len(list(mark.all("beat-unit"))) == 1:
            beat *= 2 - Fraction(1, 2 ** len(list(mark.all("beat-unit-dot"))))
            return Tempo(Fraction(number[0]), beat, words)
    text = sound.get("tempo") if sound is not None else ""
    if re.fullmatch(r"\d{1,4}(\.\d{1,6})?", text):
        return Tempo(Fraction(text).limit_denominator(1000), Fraction(1), words)
    return None


def chord_of(element: Element) -> ChordSymbol | None:
    """A chord symbol (MusicXML 4.0, harmony); ``ValueError`` for one that no symbol here says."""
    kind = element.find("kind")
    if kind is None:
        return None
    name = kind.text.strip()
    if name == "none":
        return ChordSymbol.parse("N.C.")
    root = _letter(element.find("root"), "root")
    if root is None:
        raise ValueError("a chord given by its degree in the key is not read")
    degrees: list[Degree] = []
    for degree in element.all("degree"):
        number, alter, action = (degree.said(f"degree-{what}") for what in ("value", "alter", "type"))
        if number not in ("2", "3", "4", "5", "6", "7", "9", "11", "13") or action not in ("add", "alter", "subtract"):
            raise ValueError(f"a chord with the degree {number[:4]!r} is not read")
        degrees.append((action, int(number), signed(alter)))
    return ChordSymbol.spelled(root, name, tuple(degrees), _letter(element.find("bass"), "bass"), _kind_text(kind))


def _kind_text(kind: Element) -> str:
    """The printed quality, where reading it again gives this kind; else empty."""
    text = kind.get("text").strip().replace("♭", "b").replace("♯", "#")
    return "".join(char for char in text if char.isprintable())[:16]


def _letter(element: Element | None, name: str) -> Letter | None:
    if element is None:
        return None
    step, alter = element.said(f"{name}-step"), signed(element.said(f"{name}-alter"))
    if step not in STEPS or not step or abs(alter) > 2:
        raise ValueError(f"a chord on {step[:4]!r} is not read")
    return step, alter
