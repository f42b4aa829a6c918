"""Reads ABC, version 2.1 of the standard (abcnotation.com/wiki/abc:standard:v2.1), with line numbers.

Understood: the information fields, notes, rests, ties, slurs, tuplets, broken rhythm, grace notes, repeats and
endings, orders of parts, chord symbols, annotations, voices, words under the notes, symbol lines, and the decorations a
brass player needs. Left out, with a remark: string fingerings and bowings, ornament signs, and letters that nobody
defined. Refused, with line and bar: chords of notes (but for two voices on one staff of a piece), voice overlays,
macros, free metre, and every field that is not understood.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from beginnerband.data import abc_fields as fields_of
from beginnerband.data.abc_fields import KeyField, SoundingNote, VoiceField, WrongFieldError, plain_text, show
from beginnerband.data.abc_music import MusicReader, TooLongError
from beginnerband.data.abc_signs import SYMBOLS
from beginnerband.data.barring import Voice
from beginnerband.data.bars import Mistake
from beginnerband.data.in_step import in_step
from beginnerband.data.problems import did_you_mean
from beginnerband.music.score import Key, Line, Remark, Score, Tempo, Time
from beginnerband.music.shift import by_semitones

LARGEST = 200_000
"""Most characters a file may have."""

_FIELD = re.compile(r"^([A-Za-z+]):(.*)$")
_NO_MUSIC = re.compile(r'"[^"]*"|![^!|]*!|\+[^+|]*\+|\[[A-Za-z]:[^\]]*\]')
"""Texts and fields inside a line of music."""
USUAL = 20_000
"""Characters; what is longer is not remembered."""

_TEXT_FIELDS = "ABCDFGHNORSTZ"
SMALL = "cklmqtx"
"""Letters that are no fields of a header when they are small, or mean something else there (m: is for macros)."""


@dataclass(frozen=True, slots=True)
class AbcFile:
    """What a file says."""

    score: Score | None
    """The music; ``None`` when there are mistakes."""
    fields: dict[str, tuple[str, ...]]
    """Text fields by their letter, each line of the file a value."""
    mistakes: tuple[Mistake, ...]
    """Everything wrong, by line."""


def read_abc(text: str, split: bool = False) -> AbcFile:
    """Read one tune; never raises for any text.

    ``split`` makes two lines of a voice in which two notes sound at once, as hymns are often set, else that is refused.
    """
    if len(text) > LARGEST:
        return AbcFile(None, {}, (Mistake(0, f"longer than {LARGEST} characters; one tune a file"),))
    if re.match(r"\s*<(\?xml|!DOCTYPE|score-)", text):
        return AbcFile(None, {}, (Mistake(1, "this is MusicXML; give the file a name that ends in .musicxml"),))
    return _read(text, split) if len(text) <= USUAL else _Reader(text, split).read()


@lru_cache(maxsize=256)
def _read(text: str, split: bool) -> AbcFile:
    """Read it; a server that reads a text again takes it as it was."""
    return _Reader(text, split).read()


class _Reader:
    """Reads a file line by line: header first, then fields and music."""

    def __init__(self, text: str, split: bool) -> None:
        self.lines = re.split(r"\r\n?|\n", text.lstrip("\ufeff").rstrip("\r\n"))  # others may stand in a text
        self.split = split
        self.fields: dict[str, list[str]] = {}
        self.mistakes: list[Mistake] = []
        self.remarks: list[Remark] = []
        self.first: KeyField | None = None
        self.time: Time | None = None
        self.unit: Fraction | None = None
        self.tempo: Tempo | None = None
        self.tempo_words = ""
        self.symbols: dict[str, str] = {}
        self.accidentals = "pitch"
        self.voices: dict[str, MusicReader] = {}
        self.voice_fields: dict[str, VoiceField] = {}
        self.declared: frozenset[str] = frozenset()
        """Voices that the header names."""
        self.begins: dict[str, int] = {}
        """Line on which each voice has its first music."""
        self.score_order: list[str] = []
        self.parts = ""
        self.current = ""
        self.seen_x = False
        self.last_field = ""
        self.number = 0
        self.unsure = False
        """Whether the header does not say key or metre, so that nothing certain can be said of bars."""
        self.headless = False
        """Whether something that is no field stood before the K: field."""

    @property
    def key(self) -> Key | None:
        return self.first.key or Key(0) if self.first else None

    def read(self) -> AbcFile:
        for number, raw in enumerate(self.lines, 1):
            self.number = number
            try:
                self._line(number, raw)
            except WrongFieldError as wrong:
                self.mistakes.append(Mistake(number, str(wrong)))
                self._without(raw)
                if isinstance(wrong, TooLongError):
                    self.unsure = True
                    break
            if len(self.mistakes) > 20:
                break
        return self._finish()

    def _without(self, raw: str) -> None:
        """Go on after a field of the header that is wrong, so that its consequences are not reported as mistakes."""
        found = re.match(r"\s*(?:([KLM])\s*(?:[:=]|\s\S)|([klm])\s*:)", raw)
        if self.first is None and found:
            self.unsure = True
            letter = (found[1] or found[2]).upper()
            if letter == "K":
                self.first = KeyField(Key(0))
            elif letter == "M":
                self.time = Time(4, 4)
            else:
                self.unit = Fraction(1, 4)

    def _line(self, number: int, raw: str) -> None:
        line = re.sub(r"(?<!\\)%.*", "", raw).rstrip()
        if raw.startswith("%"):
            return self._directive(raw[2:] if raw.startswith("%%") else "")
        if not line.strip():
            return None
        field = _FIELD.match(line.lstrip() if self.first is None else line)
        if field and not (self.first is not None and line[:2] in ("|:",)):
            return self._field(field[1], field[2].strip(), number)
        if self.first is None:
            if self.last_field == "H":  # in older files a history runs on until the next field
                self.fields["H"].append(plain_text(line))
                return None
            if self.headless and "|" in line:
                return None  # music: that its K: field is missing is said already
            self.headless = True
            if found := re.match(r"\s*([A-Z])\s*=\s*(.+)|\s*([CKLMQSTX])\s+(.+)", line):
                letter, said = found[1] or found[3], found[2] or found[4]
                raise WrongFieldError(f"{show(line)} has no colon; write {letter}:{plain_text(said)[:40]}")
            raise WrongFieldError(f"{show(line)} stands before the K: field; a tune begins with X:, T:, M:, L: and K:")
        if re.match(r"[wW]\s+\S*[^\W\d_a-gzA-GZ]\S*[^\W\d_]", line) and line[0] not in self.symbols:
            raise WrongFieldError(
                f"a line of words begins with {line[0]} and a colon; write {line[0]}:{line[1:].strip()}"
            )
        if self._is_text(line):
            said = f"{show(line)} is no music; words begin with W: (below) or w: (under the notes), a remark with %"
            raise WrongFieldError(said)
        self.last_field = ""
        voice = re.match(r"\s*\[V:([^\]]*)\]", line)
        if voice:
            self._field("V", voice[1], number)
            line = line[voice.end() :]
        self._voice().read(line, number)
        return None

    def _is_text(self, line: str) -> bool:
        """Whether a line reads as words: two at least have letters that are no notes, rests or signs."""
        words = re.findall(r"[^\W\d_]{3,}", _NO_MUSIC.sub(" ", line))
        signs = {*"ABCDEFGabcdefgzxZXy", *SYMBOLS, *self.symbols}
        return sum(not signs.issuperset(word) for word in words) > 1

    def _directive(self, text: str) -> None:
        """``%%`` lines and ``I:`` fields: those that change what is heard; the rest is about print (section 11)."""
        match = re.match(r"\s*propagate-accidentals\s+(not|octave|pitch)", text)
        if match:
            self.accidentals = match[1]
        if re.match(r"\s*(score|staves)\b", text):
            self.score_order = re.findall(r"[^\s()\[\]{}|*]+", text)[1:]

    # -- fields

    def _field(self, letter: str, value: str, number: int) -> None:
        if letter == "+":
            self._continued(value, number)
            return
        self.last_field = letter
        if letter == "X":
            if self.seen_x:
                raise WrongFieldError("a second tune begins here (X:); put each tune into a file of its own")
            self.seen_x = True
        elif letter in _TEXT_FIELDS:
            self.fields.setdefault(letter, []).append(plain_text(value))
        elif letter == "U":
            self._user_symbol(value)
        elif letter in SMALL and self.first is None and not (letter == "m" and "=" in value):
            raise WrongFieldError(f"{letter}: is a small letter; write {letter.upper()}:{plain_text(value)[:40]}")
        elif letter == "m":
            raise WrongFieldError("macros (m:) are not read; write the notes out")
        elif letter == "V":
            self._voice_field(value)
        elif letter == "I":
            self._directive(value)
        elif letter == "W":
            self.fields.setdefault("W", []).append(plain_text(value))
        elif letter in "ws" and self.first is not None:
            self._under(letter, value, number)
        elif letter in "KMLQP":
            self._music_field(letter, value, number)
        # r and letters without a meaning in the standard are passed over, as it asks.

    def _continued(self, value: str, number: int) -> None:
        if self.last_field in self.fields:
            self.fields[self.last_field][-1] += " " + plain_text(value)
        elif self.last_field == "w":
            self._voice().more_words(value, number)
        elif self.last_field:
            raise WrongFieldError(f"+: does not carry on a {self.last_field}: field; write it in one line")

    def _under(self, letter: str, value: str, number: int) -> None:
        if letter == "w":
            self._voice().words_under(value, number)
        else:
            self._voice().symbols_over(value, number)

    def _music_field(self, letter: str, value: str, number: int) -> None:
        voice = self._voice() if self.first is not None else None
        if letter == "K":
            read = fields_of.parse_key(value)
            if voice:
                voice.change_key(read)
            else:
                self._first_key(read)
        elif letter == "M":
            time = fields_of.parse_metre(value)
            self.time = time if voice is None else self.time
            if voice:
                voice.change_time(time)
        elif letter == "L":
            unit = fields_of.parse_length(value)
            self.unit = unit if voice is None else self.unit
            if voice:
                voice.unit = unit
        elif letter == "Q":
            self._tempo(voice, value)
        elif letter == "P" and voice:
            voice.begin_part(plain_text(value)[:4])
        elif letter == "P":
            self.parts = fields_of.parse_order(value)

    def _tempo(self, voice: MusicReader | None, value: str) -> None:
        tempo, words = fields_of.parse_tempo(value, voice.unit if voice else self._unit())
        if voice:
            voice.change_tempo(tempo, "" if tempo else words)
        else:
            self.tempo = tempo or self.tempo
            self.tempo_words = "" if tempo else words

    def _first_key(self, key: KeyField) -> None:
        if not self.seen_x:
            raise WrongFieldError("the tune has no X: field; begin it with X:1")
        if self.time is None:
            raise WrongFieldError("the tune has no M: field, so the length of a bar is not known; as M:4/4")
        self.first = key
        self.declared = frozenset(self.voice_fields)

    def _unit(self) -> Fraction:
        if self.unit is not None:
            return self.unit
        time = self.time or Time(4, 4)
        return Fraction(1, 4) if time.quarters < 3 else Fraction(1, 2)

    def _user_symbol(self, value: str) -> None:
        match = re.match(r"^([H-Wh-w~])\s*=\s*[!+]([^!+]+)[!+]", value)
        if not match and not re.match(r"^[H-Yh-w~]\s*=", value):
            raise WrongFieldError(f"no user symbol in U:{show(value)}; write U:H=!fermata!")
        if match:
            self.symbols[match[1]] = match[2]

    def _voice_field(self, value: str) -> None:
        read = fields_of.parse_voice(value)
        if read.ident not in self.voice_fields or read.name or read.sounding:
            self.voice_fields[read.ident] = read
        if read.ident in self.voices and read.sounding:
            self.voices[read.ident].sounds(read.sounding)
        for setting in read.unused:
            self.remarks.append(Remark(self.number, f"{show(setting)} in V: is not used"))
        self.current = read.ident

    def _voice(self) -> MusicReader:
        assert self.first is not None
        if self.current not in self.voices:
            told = self.voice_fields.get(self.current)
            self.begins[self.current] = self.number
            key = self.key or Key(0)
            voice = Voice(key, self.time or Time(4, 4), self.tempo, (told.name or told.ident) if told else "")
            reader = MusicReader(voice, key, self._unit(), self.accidentals, self.symbols, self, self.split)
            reader.alters = dict(self.first.alters)
            reader.sounds((told.sounding if told else None) or self.first.sounding or SoundingNote())
            reader.attached.next.words = self.tempo_words
            self.voices[self.current] = reader
        return self.voices[self.current]

    # -- inline fields, called back by the music reader

    def inline(self, letter: str, value: str, number: int) -> MusicReader:
        """A field inside music, ``[M:3/4]``; returns the reader that goes on (another one after ``[V:2]``)."""
        try:
            self._field(letter, value.strip(), number)
        except WrongFieldError as wrong:
            self.mistakes.append(Mistake(number, str(wrong)))
        return self._voice()

    # -- finishing

    def _finish(self) -> AbcFile:
        fields = {letter: tuple(values) for letter, values in self.fields.items()}
        if self.first is None:
            if not self.mistakes:
                last = max(1, len(self.lines))
                self.mistakes.append(Mistake(last, "no tune here: there is no K: field, and so no notes"))
            return AbcFile(None, fields, tuple(self.mistakes))
        self._check_names()
        lines = [] if self.unsure else self._lines()
        if not self.voices and not self.unsure:
            self.mistakes.append(Mistake(len(self.lines), "there are no notes after the K: field"))
        if self.mistakes:
            placed = {replace(mistake, line=mistake.line or len(self.lines)) for mistake in self.mistakes}
            return AbcFile(None, fields, tuple(sorted(placed, key=lambda mistake: mistake.line)))
        title, composer, origin = (next(iter(fields.get(letter, ())), "") for letter in "TCO")
        return AbcFile(
            Score(
                tuple(lines), title, composer=composer, origin=origin, source=self._source(), remarks=self._remarks()
            ),
            fields,
            (),
        )

    def _lines(self) -> list[Line]:
        readers = self._heard()
        for reader in readers:
            reader.end(self.parts)
        voices = [voice for reader in readers for voice in (reader.voice, reader.voice.under) if voice]
        apart = in_step(voices)
        lines: list[Line] = []
        for reader in readers:
            for voice in (reader.voice, reader.voice.under):
                line = voice.finish() if voice else None
                self.mistakes += voice.mistakes if voice else []
                if line:
                    lines.append(by_semitones(line, reader.sounding.semitones))
        for reader in readers:
            self.remarks += reader.voice.remarks
        self.mistakes += [] if self.mistakes else apart
        return lines

    def _check_names(self) -> None:
        """A voice of the header without music, and music of a voice that is not there, are one slip."""
        silent = [ident for ident in self.voice_fields if ident in self.declared - self.begins.keys()]
        for ident, number in self.begins.items():
            if silent and ident and ident not in self.declared:
                said = f"voice {show(ident)} is not in the header, where {silent[0]!r} has no music; name both alike"
                self.mistakes.append(Mistake(number, said))

    def _heard(self) -> list[MusicReader]:
        """Voices in the order of ``%%score``, those without a bar left out (as one only named in the header)."""
        readers = {ident: reader for ident, reader in self.voices.items() if reader.used}
        for ident in self.score_order:
            if ident not in self.voice_fields and ident not in readers:
                hint = did_you_mean(ident, readers)
                self.remarks.append(Remark(0, f"%%score names a voice {show(ident)} that is not there{hint}"))
        order = [ident for ident in (*self.score_order, *self.voice_fields) if ident in readers]
        order = list(dict.fromkeys(order))
        found = [readers[ident] for ident in (*order, *(ident for ident in readers if ident not in order))]
        if not found and self.voices:
            return [next(iter(self.voices.values()))]
        return found

    def _source(self) -> str:
        """``S:``, or the book (``B:``); the last line of several is not meant alone."""
        return "; ".join(self.fields.get("S") or self.fields.get("B") or ())

    def _remarks(self) -> tuple[Remark, ...]:
        return folded(self.remarks)


def folded(remarks: list[Remark]) -> tuple[Remark, ...]:
    """Remarks that say the same of several bars as one, with how often; in the order they were met."""
    whats: Mapping[str, int] = Counter(re.sub(r"^bar \d+: ", "", remark.message) for remark in remarks)
    found: dict[str, Remark] = {}
    for remark in remarks:
        what = re.sub(r"^bar \d+: ", "", remark.message)
        more = f" (and {whats[what] - 1} more like it)" if whats[what] > 1 else ""
        found.setdefault(what, Remark(remark.line, remark.message + more))
    return tuple(found.values())
