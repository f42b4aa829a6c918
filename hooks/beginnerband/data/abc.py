"""Reads ABC, version 2.1 of the standard (abcnotation.com/wiki/abc:standard:v2.1), strictly and with line numbers.

Understood: the information fields, notes, rests, ties, slurs, tuplets, broken rhythm, grace notes, repeats and
endings, chord symbols, annotations, voices, and the decorations a brass player needs. Left out as not for brass:
string fingerings and bowings, and ornament signs. Refused, with line and bar: chords of notes, voice overlays, macros,
free metre.
"""

from __future__ import annotations

import html
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from beginnerband.data.abc_music import MusicReader
from beginnerband.data.barring import Mistake, Voice
from beginnerband.music.score import MODES, Key, Line, Score, Tempo, Time
from beginnerband.music.shift import signature_of

LARGEST = 200_000
"""Most characters a file may have."""

_FIELD = re.compile(r"^([A-Za-z+]):(.*)$")
_TEXT_FIELDS = "ABCDFGHNORSTZ"
_KEY = re.compile(r"^([A-Ga-g])([#b]?)\s*([A-Za-z]*)")
_MODE_NAMES = {
    "": "major", "maj": "major", "ion": "major", "m": "minor", "min": "minor", "aeo": "minor",
    "dor": "dorian", "phr": "phrygian", "lyd": "lydian", "mix": "mixolydian", "loc": "locrian",
}  # fmt: skip
_ACCENTS = {"`": "\u0300", "'": "\u0301", "^": "\u0302", "~": "\u0303", '"': "\u0308", "c": "\u0327", "v": "\u030c"}


@dataclass(frozen=True, slots=True)
class AbcFile:
    """What a file says."""

    score: Score | None
    """The music; ``None`` when there are mistakes."""
    fields: dict[str, tuple[str, ...]]
    """Text fields by their letter, each line of the file a value."""
    mistakes: tuple[Mistake, ...]
    """Everything wrong, by line."""


class _WrongError(ValueError):
    """A field that cannot be understood; says what would be right."""


def read_abc(text: str) -> AbcFile:
    """Read one tune; never raises for any text."""
    if len(text) > LARGEST:
        return AbcFile(None, {}, (Mistake(0, f"longer than {LARGEST} characters; one tune a file"),))
    return _Reader(text).read()


class _Reader:
    """Reads a file line by line: header first, then fields and music."""

    def __init__(self, text: str) -> None:
        self.lines = text.lstrip("\ufeff").splitlines()
        self.fields: dict[str, list[str]] = {}
        self.mistakes: list[Mistake] = []
        self.key: Key | None = None
        self.time: Time | None = None
        self.unit: Fraction | None = None
        self.tempo: Tempo | None = None
        self.symbols: dict[str, str] = {}
        self.accidentals = "pitch"
        self.voices: dict[str, MusicReader] = {}
        self.voice_names: dict[str, str] = {}
        self.current = ""
        self.seen_x = False
        self.last_field = ""

    def read(self) -> AbcFile:
        for number, raw in enumerate(self.lines, 1):
            try:
                self._line(number, raw)
            except _WrongError as wrong:
                self.mistakes.append(Mistake(number, str(wrong)))
            if len(self.mistakes) > 20:
                break
        return self._finish()

    def _line(self, number: int, raw: str) -> None:
        line = re.sub(r"(?<!\\)%.*", "", raw).rstrip()
        if raw.startswith("%"):
            return self._directive(raw)
        if not line.strip():
            return None
        field = _FIELD.match(line.lstrip() if self.key is None else line)
        if field and not (self.key is not None and line[:2] in ("|:",)):
            return self._field(field[1], field[2].strip(), number)
        if self.key is None:
            raise _WrongError(f"{_show(line)} stands before the K: field; a tune begins with X:, T:, M:, L: and K:")
        self._voice().read(line, number)
        return None

    def _directive(self, raw: str) -> None:
        match = re.match(r"%%propagate-accidentals\s+(not|octave|pitch)", raw)
        if match:
            self.accidentals = match[1]

    # -- fields

    def _field(self, letter: str, value: str, number: int) -> None:
        if letter == "+":
            if self.last_field in self.fields:
                self.fields[self.last_field][-1] += " " + _text(value)
            return
        self.last_field = letter
        if letter == "X":
            if self.seen_x:
                raise _WrongError("a second tune begins here (X:); put each tune into a file of its own")
            self.seen_x = True
        elif letter in _TEXT_FIELDS:
            self.fields.setdefault(letter, []).append(_text(value))
        elif letter == "U":
            self._user_symbol(value)
        elif letter == "m":
            raise _WrongError("macros (m:) are not read; write the notes out")
        elif letter == "V":
            self._voice_field(value, number)
        elif letter in "KMLQP":
            self._music_field(letter, value, number)
        # I, W, w, s, r and letters without a meaning in the standard are passed over, as it asks.

    def _music_field(self, letter: str, value: str, number: int) -> None:
        voice = self._voice() if self.key is not None else None
        if letter == "K":
            key = parse_key(value)
            if voice:
                voice.change_key(key)
            else:
                self._first_key(key)
        elif letter == "M":
            time = parse_metre(value)
            self.time = time if voice is None else self.time
            if voice:
                voice.change_time(time)
        elif letter == "L":
            unit = parse_length(value)
            self.unit = unit if voice is None else self.unit
            if voice:
                voice.unit = unit
        elif letter == "Q":
            tempo = parse_tempo(value, self._unit())
            self.tempo = tempo if voice is None else self.tempo
            if voice:
                voice.change_tempo(tempo)
        elif letter == "P" and voice:
            voice.voice.rehearsal(_text(value)[:4])
        elif letter == "P" and re.search(r"[A-Z]\s*[A-Z0-9(]", value):
            raise _WrongError("an order of parts (P:) is not read; write repeats with |: and :|")

    def _first_key(self, key: Key) -> None:
        if not self.seen_x:
            raise _WrongError("the tune has no X: field; begin it with X:1")
        if self.time is None:
            raise _WrongError("the tune has no M: field, so the length of a bar is not known; as M:4/4")
        self.key = key

    def _unit(self) -> Fraction:
        if self.unit is not None:
            return self.unit
        time = self.time or Time(4, 4)
        return Fraction(1, 4) if time.quarters < 3 else Fraction(1, 2)

    def _user_symbol(self, value: str) -> None:
        match = re.match(r"^([H-Wh-w~])\s*=\s*[!+]([^!+]+)[!+]", value)
        if match:
            self.symbols[match[1]] = match[2]

    def _voice_field(self, value: str, number: int) -> None:
        ident = (value.split() or [""])[0]
        if not ident:
            raise _WrongError("a voice (V:) needs a name")
        name = re.search(r'\b(?:name|nm)\s*=\s*"([^"]*)"', value)
        if name:
            self.voice_names[ident] = _text(name[1])
        for setting in re.findall(r"\b(octave|transpose)\s*=\s*(-?\d+)", value):
            if setting[1] != "0":
                raise _WrongError(f"{setting[0]}= is not read; write the notes at the pitch they sound")
        self.voice_names.setdefault(ident, ident)
        self.current = ident

    def _voice(self) -> MusicReader:
        assert self.key is not None
        if self.current not in self.voices:
            voice = Voice(self.key, self.time or Time(4, 4), self.tempo, self.voice_names.get(self.current, ""))
            self.voices[self.current] = MusicReader(voice, self.key, self._unit(), self.accidentals, self.symbols, self)
        return self.voices[self.current]

    # -- inline fields, called back by the music reader

    def inline(self, letter: str, value: str, number: int) -> MusicReader:
        """A field inside music, ``[M:3/4]``; returns the reader that goes on (another one after ``[V:2]``)."""
        try:
            self._field(letter, value.strip(), number)
        except _WrongError as wrong:
            self.mistakes.append(Mistake(number, str(wrong)))
        return self._voice()

    # -- finishing

    def _finish(self) -> AbcFile:
        fields = {letter: tuple(values) for letter, values in self.fields.items()}
        if self.key is None:
            if not self.mistakes:
                self.mistakes.append(Mistake(0, "no tune here: there is no K: field, and so no notes"))
            return AbcFile(None, fields, tuple(self.mistakes))
        lines: list[Line] = []
        for reader in self.voices.values():
            line = reader.finish()
            self.mistakes += reader.voice.mistakes
            if line:
                lines.append(line)
        if not self.voices:
            self.mistakes.append(Mistake(len(self.lines), "there are no notes after the K: field"))
        if self.mistakes:
            return AbcFile(None, fields, tuple(sorted(self.mistakes, key=lambda mistake: mistake.line)))
        title, composer, origin = (next(iter(fields.get(letter, ())), "") for letter in "TCO")
        return AbcFile(Score(tuple(lines), title, composer, origin), fields, ())


def parse_key(value: str) -> Key:
    """A ``K:`` field; ``ValueError`` says what is wrong."""
    match = _KEY.match(value)
    if value.strip() in ("", "none") or value.startswith("clef="):
        return Key(0)
    if value.startswith(("HP", "Hp")):
        return Key(2)
    for setting in re.findall(r"\b(octave|transpose)\s*=\s*(-?\d+)", value):
        if setting[1] != "0":
            raise _WrongError(f"{setting[0]}= is not read; write the notes at the pitch they sound")
    if not match:
        raise _WrongError(f"no key in K:{_show(value)}; write K:Bb or K:Dm")
    word = match[3].lower()
    mode = _MODE_NAMES.get(word if word in ("", "m") else word[:3])
    if mode is None and word not in ("exp", "clef"):
        raise _WrongError(f"no mode {_show(match[3])} in K:; use one of {', '.join(MODES)}")
    if word == "exp" or re.search(r"(^|\s)[_^=]+[a-gA-G]", value):
        raise _WrongError("a key signature of your own making in K: is not read; put accidentals to the notes")
    try:
        return signature_of(match[1].upper() + match[2], mode or "major")
    except ValueError as error:
        raise _WrongError(str(error)) from None


def parse_metre(value: str) -> Time:
    """An ``M:`` field; ``ValueError`` says what is wrong."""
    value = value.strip()
    if value in ("C", "C|"):
        return Time(4, 4, "common") if value == "C" else Time(2, 2, "cut")
    match = re.match(r"^\(?(\d+(?:\s*\+\s*\d+)*)\)?\s*/\s*(\d+)$", value)
    if not match:
        raise _WrongError(f"no metre in M:{_show(value)}; write M:4/4, M:3/4 or M:6/8")
    beats, unit = sum(int(part) for part in match[1].split("+") if len(part) < 4), int(match[2][:4])
    if unit not in (1, 2, 4, 8, 16, 32) or not 1 <= beats <= 32:
        raise _WrongError(f"no metre {_show(value)}; the lower figure is 2, 4, 8 or 16 and the upper at most 32")
    return Time(beats, unit)


def parse_length(value: str) -> Fraction:
    """An ``L:`` field, in quarter notes; ``ValueError`` says what is wrong."""
    match = re.match(r"^1(?:/(1|2|4|8|16|32|64))?$", value.strip())
    if not match:
        raise _WrongError(f"no length in L:{_show(value)}; write L:1/4 or L:1/8")
    return Fraction(4, int(match[1] or 1))


def parse_tempo(value: str, unit: Fraction) -> Tempo | None:
    """A ``Q:`` field; ``None`` for words alone; ``ValueError`` says what is wrong."""
    words = " ".join(_text(word) for word in re.findall(r'"([^"]*)"', value))
    rest = re.sub(r'"[^"]*"', " ", value).strip()
    if not rest:
        return None
    match = re.match(r"^(?:((?:\d{1,3}/\d{1,3}\s*)+)=|C\d*=)?\s*(\d{1,4}(?:\.\d{1,3})?)$", rest)
    beat = unit
    if match and match[1]:
        parts = re.findall(r"(\d+)/(\d+)", match[1])
        if any(int(lower) == 0 for _, lower in parts):
            match = None
        else:
            beat = sum((Fraction(4 * int(upper), int(lower)) for upper, lower in parts), Fraction(0))
    if not match or not 5 <= Fraction(match[2]) * beat <= 999:
        raise _WrongError(f"no tempo in Q:{_show(value)}; write Q:1/4=92")
    return Tempo(Fraction(match[2]), beat, words)


def _text(value: str) -> str:
    r"""Text with the standard's mnemonics (``\'e``, ``&eacute;``) turned into letters, control characters dropped."""

    def accent(match: re.Match[str]) -> str:
        return unicodedata.normalize("NFC", match[2] + _ACCENTS[match[1]])

    value = re.sub(r"""\\([`'^~"cv])([A-Za-z])""", accent, html.unescape(value))
    return "".join(char for char in value if char.isprintable()).strip()[:300]


def _show(value: str) -> str:
    shown = "".join(char if char.isprintable() else "?" for char in value.strip())
    return repr(shown[:30] + ("…" if len(shown) > 30 else ""))
