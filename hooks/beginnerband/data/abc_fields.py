"""What stands in ABC's fields: keys with their clefs, metres, lengths, tempos, voices, orders of parts.

Sections are those of the standard, version 2.1 (abcnotation.com/wiki/abc:standard:v2.1). Whatever is not understood in
a field raises :class:`WrongFieldError`, which says what would be right; nothing is guessed.
"""

from __future__ import annotations

import html
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from beginnerband.data.bars import unplayable
from beginnerband.music.score import MODES, Key, Tempo, Time
from beginnerband.music.shift import KEYS, signature_of

_MODE_NAMES = {
    "": "major", "maj": "major", "ion": "major", "m": "minor", "min": "minor", "aeo": "minor",
    "dor": "dorian", "phr": "phrygian", "lyd": "lydian", "mix": "mixolydian", "loc": "locrian",
}  # fmt: skip
_ACCENTS = {"`": "\u0300", "'": "\u0301", "^": "\u0302", "~": "\u0303", '"': "\u0308", "c": "\u0327", "v": "\u030c"}
_SIGNS = {"^^": 2, "^": 1, "=": 0, "_": -1, "__": -2}
_TONIC = re.compile(r"^([A-Ga-g])(#|b|♯|♭|)(?![#b♯♭])")
_CLEF = re.compile(r"^(?:clef\s*=\s*)?\"?(?:([GCF])([1-5])?|(treble|alto|tenor|bass|perc|none)([1-5])?)([+-]8)?\"?$")
_PROPERTY = re.compile(r"([A-Za-z]+)\s*=\s*(\"[^\"]*\"|[^\s\"]+)|\"[^\"]*\"|\S+")
_LOOKS = """
    middle m stafflines staffscale stem up down merge space bracket brace name nm subname snm sname style staff gchords
    gch dyn volume auto
"""
_QUIET = frozenset(_LOOKS.split())
_SETTINGS = _QUIET | {"clef", "octave", "transpose"}
"""Settings that say how a staff looks and change no pitch."""


class WrongFieldError(ValueError):
    """A field that cannot be understood; says what would be right."""


@dataclass(frozen=True, slots=True)
class SoundingNote:
    """How a staff's notes sound against how they are written (sections 4.6 and 7)."""

    octaves: int = 0
    """Octaves up that notes are read: ``octave=``, and the small 8 of a clef."""
    semitones: int = 0
    """Semitones up that they sound besides: ``transpose=``."""


@dataclass(frozen=True, slots=True)
class KeyField:
    """A ``K:`` field."""

    key: Key | None
    """The signature; ``None`` where only a clef or an octave is set."""
    alters: Mapping[str, int] = field(default_factory=dict)
    """Letters that the field itself raises or lowers beyond the signature."""
    sounding: SoundingNote | None = None
    """What its clef, ``octave=`` and ``transpose=`` say; ``None`` where it says nothing of the kind."""


@dataclass(frozen=True, slots=True)
class VoiceField:
    """A ``V:`` field."""

    ident: str
    """The voice's id, up to the first blank."""
    name: str
    """Printed name, or empty."""
    sounding: SoundingNote | None
    """As in :class:`KeyField`."""
    unused: tuple[str, ...]
    """Settings that have no meaning here."""


def parse_key(value: str) -> KeyField:
    """A ``K:`` field (sections 3.1.14 and 4.6)."""
    text = value.strip()
    if text.startswith(("HP", "Hp")):
        return _with_rest(KeyField(Key(2)), text[2:])
    if re.match(r"none\b", text):
        return _with_rest(KeyField(Key(0)), text[4:])
    words = _PROPERTY.match(text)
    if not text:
        return KeyField(Key(0))
    if (words and words[1] and words[1].lower() in _SETTINGS) or (
        _CLEF.match(text.split()[0]) and not re.fullmatch(r"[CFG]", text.split()[0])
    ):
        return _with_rest(KeyField(None), text)
    match = _TONIC.match(text)
    if not match:
        raise WrongFieldError(f"no key in K:{show(value)}; write K:Bb or K:Dm")
    tonic = match[1].upper() + {"♯": "#", "♭": "b"}.get(match[2], match[2])
    mode, rest = _mode(text[match.end() :])
    if mode is None:  # K:D exp …
        return _explicit(tonic, rest)
    try:
        key = signature_of(tonic, mode)
    except ValueError as error:
        raise WrongFieldError(str(error)) from None
    return _with_rest(KeyField(key), rest)


def _mode(text: str) -> tuple[str | None, str]:
    """The mode after a tonic and what follows it; ``None`` for ``exp``."""
    match = re.match(r"\s*([A-Za-z]+)(?![A-Za-z])(?!=(?![A-Ga-g](?:\s|$)))", text)
    if not match or _CLEF.match(match[1]) or re.match(r"\s*[A-Za-z]+[-+\d]", text):
        return "major", text
    word = match[1].lower()
    if word == "exp":
        return None, text[match.end() :]
    mode = _MODE_NAMES.get(word if word in ("", "m") else word[:3])
    if mode is None and word in ("flat", "sharp"):
        raise WrongFieldError(f"no mode {show(match[1])} in K:; write it as one sign after the letter, as K:Eb or K:F#")
    if mode is None:
        raise WrongFieldError(f"no mode {show(match[1])} in K:; use one of {', '.join(MODES)}")
    return mode, text[match.end() :]


def _explicit(tonic: str, text: str) -> KeyField:
    """``K:D exp ^f ^c``: the signs named are the whole signature."""
    read = _with_rest(KeyField(Key(0)), text)
    signs = {step: alter for step, alter in read.alters.items() if alter}
    for fifths in KEYS:
        usual = {step: alter for step, alter in Key(fifths).alters.items() if alter}
        if usual == signs:
            mode = next((mode for mode in ("major", "minor") if Key(fifths, mode).tonic == tonic), "major")
            return replace(read, key=Key(fifths, mode), alters={})
    return read


def _with_rest(found: KeyField, text: str) -> KeyField:
    """Accidentals, clef and settings after the key."""
    alters: dict[str, int] = {}
    rest = []
    for word in _PROPERTY.finditer(text):
        signs = re.fullmatch(r"((?:\^\^|\^|__|_|=)[A-Ga-g])+", word[0])
        if not signs:
            rest.append(word[0])
            continue
        for sign, letter in re.findall(r"(\^\^|\^|__|_|=)([A-Ga-g])", word[0]):
            alters[letter.upper()] = _SIGNS[sign]
    sounding, unused, _ = _settings(" ".join(rest), "K:")
    if unused:
        raise WrongFieldError(f"{show(unused[0])} in K: is not understood; write a key, a clef, octave= or transpose=")
    return replace(found, alters=alters, sounding=sounding)


def parse_voice(value: str) -> VoiceField:
    """A ``V:`` field (section 7.1)."""
    match = re.match(r"^([^\s\]\"]+)\s*(.*)$", value.strip())
    if not match:
        raise WrongFieldError("a voice (V:) needs a name")
    sounding, unused, name = _settings(match[2], "V:")
    return VoiceField(match[1], name, sounding, unused)


def _settings(text: str, letter: str) -> tuple[SoundingNote | None, tuple[str, ...], str]:
    """Clef, ``octave=`` and ``transpose=``; settings without a meaning here; the printed name."""
    octaves = semitones = eight = None
    unused, name = [], ""
    for word in _PROPERTY.finditer(text):
        setting, value = (word[1] or "").lower(), (word[2] or word[0]).strip('"')
        clef = _CLEF.match(value) if setting in ("", "clef") else None
        if setting in ("octave", "transpose"):
            if not re.fullmatch(r"[+-]?\d{1,2}", value) or abs(int(value)) > (4 if setting == "octave" else 36):
                raise WrongFieldError(f"{setting}={show(value)} in {letter} is no whole number; write {setting}=-1")
            octaves = int(value) if setting == "octave" else octaves
            semitones = int(value) if setting == "transpose" else semitones
        elif clef:
            eight = {"+8": 1, "-8": -1, None: 0}[clef[5]]
        elif setting == "clef":
            raise WrongFieldError(f"no clef {show(value)} in {letter}; write treble, alto, tenor or bass, as treble-8")
        elif setting in ("name", "nm"):
            name = plain_text(value)
        elif setting not in _QUIET and not word[0].startswith('"') and value.lower() not in _QUIET:
            unused.append(word[0])
    said = [one for one in (octaves, semitones, eight) if one is not None]
    sounding = SoundingNote((octaves or 0) + (eight or 0), semitones or 0) if said else None
    return sounding, tuple(unused), name


def parse_metre(value: str) -> Time:
    """An ``M:`` field (section 3.1.6)."""
    value = value.strip()
    if value in ("C", "C|"):
        return Time(4, 4, "common") if value == "C" else Time(2, 2, "cut")
    match = re.match(r"^\(?(\d+(?:\s*\+\s*\d+)*)\)?\s*/\s*(\d+)$", value)
    if not match:
        raise WrongFieldError(f"no metre in M:{show(value)}; write M:4/4, M:3/4 or M:6/8")
    beats, unit = sum(int(part) for part in match[1].split("+") if len(part) < 4), int(match[2][:4])
    if unit not in (1, 2, 4, 8, 16, 32) or not 1 <= beats <= 32:
        raise WrongFieldError(f"no metre {show(value)}; the lower figure is 2, 4, 8 or 16 and the upper at most 32")
    return Time(beats, unit)


def parse_length(value: str) -> Fraction:
    """An ``L:`` field, in quarter notes (section 3.1.7)."""
    match = re.match(r"^1(?:/(1|2|4|8|16|32|64))?$", value.strip())
    if not match:
        raise WrongFieldError(f"no length in L:{show(value)}; write L:1/4 or L:1/8")
    return Fraction(4, int(match[1] or 1))


def parse_tempo(value: str, unit: Fraction) -> tuple[Tempo | None, str]:
    """A ``Q:`` field (section 3.1.8): the tempo, or ``None`` for words alone, and those words."""
    words = " ".join(plain_text(word) for word in re.findall(r'"([^"]*)"', value))
    rest = re.sub(r'"[^"]*"', " ", value).strip()
    if not rest:
        return None, words
    match = re.match(r"^(?:((?:\d{1,3}/\d{1,3}\s*)+)=|C\d*\s*=)?\s*(\d{1,4}(?:\.\d{1,3})?)$", rest)
    beat = unit
    if match and match[1]:
        parts = re.findall(r"(\d+)/(\d+)", match[1])
        if any(int(lower) == 0 for _, lower in parts):
            match = None
        else:
            beat = sum((Fraction(4 * int(upper), int(lower)) for upper, lower in parts), Fraction(0))
    if not match:
        said = re.search(r"\d{2,3}", rest)
        raise WrongFieldError(f"no tempo in Q:{show(value)}; write Q:1/4={said[0] if said else 92}")
    tempo = Tempo(Fraction(match[2]), beat, words)
    if wrong := unplayable(tempo):
        raise WrongFieldError(f"Q:{show(value)} is {wrong}; write Q:1/4=92, or what is meant")
    return tempo, words


def parse_order(value: str) -> str:
    """A ``P:`` field of the header (section 3.1.9) written out: ``A(BC)2`` is ``ABCBC``."""
    text = re.sub(r"[\s.,]", "", value)
    for _ in range(20):
        shorter = re.sub(r"\(([A-Z]*)\)(\d?)|([A-Z])(\d)", _times, text)
        if shorter == text or len(shorter) > 200:
            break
        text = shorter
    if not re.fullmatch(r"[A-Z]{0,200}", text):
        raise WrongFieldError(f"no order of parts in P:{show(value)}; write P:AABB or P:A2B2")
    return text


def _times(match: re.Match[str]) -> str:
    return (match[1] if match[3] is None else match[3]) * int(match[2] or match[4] or 1)


def plain_text(value: str) -> str:
    r"""Text with the standard's mnemonics (``\'e``, ``&eacute;``; section 8.2) as letters, no control characters."""

    def accent(match: re.Match[str]) -> str:
        return unicodedata.normalize("NFC", match[2] + _ACCENTS[match[1]])

    value = re.sub(r"""\\([`'^~"cv])([A-Za-z])""", accent, html.unescape(value))
    return "".join(char for char in value if char.isprintable()).strip()[:300]


def show(value: str) -> str:
    """A value as quoted in a message."""
    shown = "".join(char if char.isprintable() else "?" for char in value.strip())
    return repr(shown[:30] + ("…" if len(shown) > 30 else ""))
