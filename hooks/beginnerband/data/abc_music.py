"""Reads the music lines of ABC: notes and what hangs on them."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Protocol

from beginnerband.data.barring import Barline, Voice
from beginnerband.data.problems import did_you_mean
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Key, Line, Note, Tempo, Time, Tuplet

_TOKEN = re.compile(
    r"""
    (?P<space>[\s`$]+|\\\s*$|y\d*)
  | (?P<field>\[(?P<letter>[A-Za-z]):(?P<value>[^\]]*)\])
  | (?P<quoted>"(?P<quote>[^"]*)")
  | (?P<decoration>[!+](?P<name>[A-Za-z0-9<>.()\-^]+)[!+])
  | (?P<bar>:*\.?(?:\[\||\|\]|\|)\|*\]?:*|::+|:(?=\s*$))
  | (?P<bracket>\[(?=\d))
  | (?P<ending>(?<=[|\[])\d+(?:[,\-]\d+)*)
  | (?P<note>(?P<accidental>\^\^|\^|__|_|=)?(?P<pitch>[A-Ga-g])(?P<octave>[,']*)(?P<length>\d*/*\d*))
  | (?P<rest>(?P<kind>[zxZX])(?P<rest_length>\d*/*\d*))
  | (?P<tuplet>\((?P<p>\d)(?::(?P<q>\d*))?(?::(?P<r>\d*))?)
  | (?P<slur>\()
  | (?P<slur_end>\))
  | (?P<tie>-)
  | (?P<broken>>+|<+)
  | (?P<grace>\{(?P<graces>[^}]*)\})
  | (?P<chord>\[[^\]|]*\]?)
  | (?P<symbol>[.~H-Wh-w])
  | (?P<other>.)
    """,
    re.X,
)

_SYMBOLS = {
    "~": "roll", "H": "fermata", "L": "accent", "M": "lowermordent", "O": "coda", "P": "uppermordent",
    "S": "segno", "T": "trill", "u": "upbow", "v": "downbow",
}  # fmt: skip
_ARTICULATIONS = {".": "staccato", "tenuto": "tenuto", ">": "accent", "accent": "accent", "emphasis": "accent",
                  "marcato": "strong-accent", "^": "strong-accent", "staccato": "staccato"}  # fmt: skip
_DYNAMICS = {"pppp": "pp", "ppp": "pp", "pp": "pp", "p": "p", "mp": "mp", "mf": "mf", "f": "f", "ff": "ff",
             "fff": "ff", "ffff": "ff", "sfz": "sfz", "sf": "sfz", "fp": "fp"}  # fmt: skip
_HAIRPINS = {"<(": "crescendo", "crescendo(": "crescendo", ">(": "diminuendo", "diminuendo(": "diminuendo",
             "<)": "stop", "crescendo)": "stop", ">)": "stop", "diminuendo)": "stop"}  # fmt: skip
_MARKS = {"segno": "segno", "coda": "coda", "fine": "fine", "D.C.": "da-capo", "D.S.": "dal-segno",
          "dacapo": "da-capo", "dacoda": "to-coda", "tocoda": "to-coda"}  # fmt: skip
_LEFT_OUT = """
    trill trill( trill) lowermordent uppermordent mordent pralltriller roll turn turnx invertedturn invertedturnx
    arpeggio wedge thumb snap slide upbow downbow open plus 0 1 2 3 4 5 editorial courtesy shortphrase mediumphrase
    longphrase 8va( 8va) 8vb( 8vb) repeatbar repeatbar2 rbstop trem1 trem2 trem3 trem4 xstem invertedfermata
"""
LEFT_OUT = frozenset(_LEFT_OUT.split())
"""Decorations of the standard that a beginner's brass part does without: they change no note."""

_NORMAL = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}


class _Fields(Protocol):
    def inline(self, letter: str, value: str, number: int) -> MusicReader: ...


@dataclass(slots=True)
class _Next:
    """What has been read for the note to come."""

    slurs: int = 0
    articulations: list[str] = field(default_factory=list)
    fermata: bool = False
    breath: bool = False
    dynamic: str = ""
    hairpin: str = ""
    graces: tuple[Pitch, ...] = ()
    words: str = ""
    chord: str = ""


class MusicReader:
    """Reads music for one voice."""

    def __init__(
        self, voice: Voice, key: Key, unit: Fraction, accidentals: str, symbols: dict[str, str], fields: _Fields
    ) -> None:
        self.voice = voice
        self.key = key
        self.unit = unit
        self.accidentals = accidentals
        self.symbols = symbols
        self.fields = fields
        self.altered: dict[tuple[str, int], int] = {}
        self.next = _Next()
        self.tuplet: tuple[Tuplet, int, int] | None = None  # ratio, notes in all, notes to come
        self.broken: Fraction | None = None  # factor for the note to come
        self.ended = False  # an ending may follow the barline

    # -- changes of key, metre and tempo

    def change_key(self, key: Key) -> None:
        """A new key from the next bar."""
        self.key = key
        self.altered.clear()
        self.voice.change(key=key)

    def change_time(self, time: Time) -> None:
        """A new metre from the next bar."""
        self.voice.change(time=time)

    def change_tempo(self, tempo: Tempo | None) -> None:
        """A new tempo from the next bar."""
        self.voice.change(tempo=tempo)

    # -- reading

    def read(self, text: str, number: int) -> None:
        """Read one line of the file."""
        reader = self
        if reader.voice.full:
            # Many files leave out the barline at the end of a line; an accidental before it still holds after it.
            reader.voice.barline(Barline())
        for match in _TOKEN.finditer(text):
            token = next(name for name in _TOKENS if match[name] is not None)
            if token == "field":
                reader = reader.fields.inline(match["letter"], match["value"], number)
            else:
                getattr(reader, f"_{token}")(match, number)

    def finish(self) -> Line | None:
        """The line, or ``None`` with mistakes noted in the voice."""
        if self.tuplet is not None:
            self.voice.wrong(0, "a group such as (3 is not complete")
        return self.voice.finish()

    def _space(self, match: re.Match[str], number: int) -> None:
        """Spaces only say how notes are beamed."""

    def _quoted(self, match: re.Match[str], number: int) -> None:
        text = "".join(char for char in match["quote"].strip() if char.isprintable())[:60]
        if text[:1] in ("^", "_", "<", ">", "@"):
            self.next.words = text[1:].strip()
        elif re.match(r"^[A-G][#b♯♭]?", text):
            self.next.chord = text
        elif text:
            self.next.words = text

    def _decoration(self, match: re.Match[str], number: int) -> None:
        self._decorate(match["name"], number)

    def _symbol(self, match: re.Match[str], number: int) -> None:
        sign = match["symbol"]
        if sign == ".":
            self.next.articulations.append("staccato")
        elif sign in self.symbols or sign in _SYMBOLS:
            self._decorate(self.symbols.get(sign) or _SYMBOLS[sign], number)
        else:
            self.voice.wrong(number, f"{sign!r} is no note; notes are A to G and a to g, rests z")

    def _decorate(self, name: str, number: int) -> None:
        coming = self.next
        if name in _ARTICULATIONS:
            coming.articulations.append(_ARTICULATIONS[name])
        elif name in _DYNAMICS:
            coming.dynamic = _DYNAMICS[name]
        elif name in _HAIRPINS:
            self._hairpin(_HAIRPINS[name])
        elif name == "breath":
            coming.breath = True
        elif name == "fermata":
            coming.fermata = True
        elif name.lower() in ("segno", "coda", "fine") or name in _MARKS:
            self.voice.mark(_MARKS.get(name) or _MARKS[name.lower()])
        elif name not in LEFT_OUT:
            known = [*_ARTICULATIONS, *_DYNAMICS, *_HAIRPINS, *_MARKS, "breath", "fermata", *LEFT_OUT]
            hint = did_you_mean(name, known) or "; see the decorations of the ABC standard, section 4.14"
            self.voice.wrong(number, f"no decoration !{name}!{hint}")

    def _hairpin(self, hairpin: str) -> None:
        if hairpin == "stop":
            self.voice.amend(hairpin="stop")
        else:
            self.next.hairpin = hairpin

    def _bar(self, match: re.Match[str], number: int) -> None:
        sign = match["bar"]
        before, after = len(sign) - len(sign.lstrip(":")), len(sign) - len(sign.rstrip(":"))
        if set(sign) == {":"}:
            before = after = 1 if len(sign) > 1 else 0
        style = "final" if "|]" in sign else "double" if sign.count("|") > 1 or "[|" in sign else ""
        self._close(Barline(before + 1 if before else 0, bool(after), "" if before or after else style))

    def _close(self, sign: Barline) -> None:
        self.altered.clear()
        if self.tuplet is not None and not self.voice.empty:
            self.voice.wrong(0, "a barline stands inside a group such as (3")
            self.tuplet = None
        self.voice.barline(sign)

    def _bracket(self, match: re.Match[str], number: int) -> None:
        """``[`` before the number of an ending; the number follows."""

    def _ending(self, match: re.Match[str], number: int) -> None:
        times: list[int] = []
        for part in match["ending"].split(","):
            first, _, last = part.partition("-")
            if not first or len(part) > 5:
                continue
            times += range(int(first), min(int(last or first), 20) + 1)
        if not times or not 0 < max(times) <= 20 or min(times) < 1:
            self.voice.wrong(number, f"no ending {match['ending']!r}; endings are 1, 2 … up to 20")
            return
        self._close(Barline(ending=tuple(times)))

    def _note(self, match: re.Match[str], number: int) -> None:
        pitch = self._pitched(match["accidental"], match["pitch"], match["octave"], number)
        length = self._length(match["length"], number)
        if pitch and length:
            self._add(pitch, length, number)

    def _pitched(self, accidental: str | None, letter: str, marks: str, number: int) -> Pitch | None:
        octave = (4 if letter.isupper() else 5) + marks.count("'") - marks.count(",")
        step = letter.upper()
        if not 0 <= octave <= 9:
            self.voice.wrong(number, f"{letter}{marks[:12]} is beyond what can be heard")
            return None
        place = (step, octave if self.accidentals == "octave" else -1)
        if accidental:
            alter = {"^^": 2, "^": 1, "__": -2, "_": -1, "=": 0}[accidental]
            if self.accidentals != "not":
                self.altered[place] = alter
        elif place in self.altered:
            alter = self.altered[place]
        else:
            last = self.voice.last
            tied = last is not None and last.tie and last.pitch is not None
            if tied and last and last.pitch and (last.pitch.step, last.pitch.octave) == (step, octave):
                alter = last.pitch.alter
            else:
                alter = self.key.alters[step]
        return Pitch(step, alter, octave)

    def _length(self, text: str, number: int) -> Fraction | None:
        match = re.fullmatch(r"(\d*)(/*)(\d*)", text)
        assert match is not None
        upper, slashes, lower = match.groups()
        if len(upper) > 4 or len(lower) > 4 or len(slashes) > 6:
            self.voice.wrong(number, f"no note lasts {text[:12]}")
            return None
        length = Fraction(int(upper or 1))
        if slashes:
            length /= int(lower) if lower and int(lower) else 2 ** len(slashes)
        if length == 0 or (lower and not int(lower)):
            self.voice.wrong(number, f"no note lasts {text[:12]}")
            return None
        return length * self.unit

    def _add(self, pitch: Pitch | None, length: Fraction, number: int) -> None:
        if self.broken:
            length *= self.broken
            self.broken = None
        coming, self.next = self.next, _Next()
        tuplet = self._in_tuplet()
        self.voice.note(
            Note(
                quarters=length * tuplet.normal / tuplet.actual if tuplet else length,
                pitch=pitch,
                slur_starts=coming.slurs if pitch else 0,
                articulations=tuple(dict.fromkeys(coming.articulations)),
                fermata=coming.fermata,
                breath=coming.breath,
                dynamic=coming.dynamic,
                hairpin=coming.hairpin,
                tuplet=tuplet,
                graces=coming.graces if pitch else (),
                words=coming.words,
                chord=coming.chord,
            ),
            number,
        )
        if not pitch and coming.slurs:
            self.next.slurs = coming.slurs

    def _in_tuplet(self) -> Tuplet | None:
        if self.tuplet is None:
            return None
        ratio, total, left = self.tuplet
        edge = "start" if left == total else "stop" if left == 1 else ""
        self.tuplet = (ratio, total, left - 1) if left > 1 else None
        return Tuplet(ratio.actual, ratio.normal, edge)

    def _rest(self, match: re.Match[str], number: int) -> None:
        if match["kind"] in "zx":
            length = self._length(match["rest_length"], number)
            if length:
                self._add(None, length, number)
            return
        count = match["rest_length"] or "1"
        if not count.isdecimal() or not 0 < int(count[:4]) <= 64:
            self.voice.wrong(number, f"no rest of {count[:8]} bars; Z1 to Z64")
            return
        for _ in range(int(count)):
            self._add(None, self.voice.metre.quarters, number)
            if int(count) > 1:
                self._close(Barline())

    def _tuplet(self, match: re.Match[str], number: int) -> None:
        actual = int(match["p"])
        compound = self.voice.metre.beats % 3 == 0
        normal = int(match["q"]) if match["q"] and len(match["q"]) < 3 else _NORMAL.get(actual, 3 if compound else 2)
        total = int(match["r"]) if match["r"] and len(match["r"]) < 3 else actual
        if actual < 2 or not normal or not total or self.tuplet is not None:
            self.voice.wrong(number, f"no group {match['tuplet']!r}; a triplet is (3 and three notes")
            return
        self.tuplet = (Tuplet(actual, normal), total, total)

    def _slur(self, match: re.Match[str], number: int) -> None:
        self.next.slurs += 1

    def _slur_end(self, match: re.Match[str], number: int) -> None:
        last = self.voice.last
        if last is None:
            self.voice.wrong(number, "a slur ends before any note")
        elif last.slur_starts:  # a slur over one note joins nothing
            self.voice.amend(slur_starts=last.slur_starts - 1)
        else:
            self.voice.amend(slur_stops=last.slur_stops + 1)

    def _tie(self, match: re.Match[str], number: int) -> None:
        last = self.voice.last
        if last is None or last.pitch is None:
            self.voice.wrong(number, "a tie (-) must follow a note")
        else:
            self.voice.amend(tie=True)

    def _broken(self, match: re.Match[str], number: int) -> None:
        marks = match["broken"]
        last = self.voice.last
        if last is None or len(marks) > 3 or last.tuplet:
            self.voice.wrong(number, f"{marks[:6]} stands where no two notes can share their time")
            return
        small = Fraction(1, 2 ** len(marks))
        first, self.broken = (2 - small, small) if marks[0] == ">" else (small, 2 - small)
        self.voice.amend(quarters=last.quarters * first)

    def _grace(self, match: re.Match[str], number: int) -> None:
        inside = match["graces"].lstrip("/")
        notes = re.findall(r"(\^\^|\^|__|_|=)?([A-Ga-g])([,']*)", inside)
        pitches = (self._pitched(accidental or None, letter, marks, number) for accidental, letter, marks in notes[:8])
        self.next.graces = tuple(pitch for pitch in pitches if pitch)

    def _chord(self, match: re.Match[str], number: int) -> None:
        shown = match["chord"][:12]
        self.voice.wrong(number, f"{shown!r} sounds several notes at once; one player plays one at a time")

    def _other(self, match: re.Match[str], number: int) -> None:
        char = match["other"]
        if char == "&":
            self.voice.wrong(number, "a second voice in one line (&) is not read; give each voice its own V:")
        elif char not in "*;?@#$":
            shown = char if char.isprintable() else f"character {ord(char)}"
            self.voice.wrong(number, f"{shown!r} has no meaning in music")


_TOKENS = (
    "space", "field", "quoted", "decoration", "bar", "bracket", "ending", "note", "rest", "tuplet",
    "slur", "slur_end", "tie", "broken", "grace", "chord", "symbol", "other",
)  # fmt: skip
