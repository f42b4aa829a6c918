"""Reads the music lines of ABC: notes and what hangs on them."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import islice
from typing import Protocol

from beginnerband.data.abc_attached import AttachedSigns
from beginnerband.data.abc_fields import KeyField, SoundingNote, WrongFieldError
from beginnerband.data.abc_signs import KINDS, TOKEN
from beginnerband.data.abc_words import WordsUnder, symbol_tokens
from beginnerband.data.barring import Voice
from beginnerband.data.bars import MOST_BARS, MOST_NOTES, Barline
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Key, Note, Tempo, Time, Tuplet

_NORMAL = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}
_INSIDE = re.compile(r"(\^\^|\^|__|_|=)?([A-Ga-g])([,']*)(\d*/*\d*)(-?)")
_HINT = "one player plays one at a time"

PASTED = {
    "♭": "a flat stands before its note, as _E",
    "♯": "a sharp stands before its note, as ^F",
    "♮": "a natural stands before its note, as =F",
    **dict.fromkeys("–—−", "a rest is z, and a tie is a plain hyphen"),
    **dict.fromkeys("“”„", 'write straight quotation marks, as "Bb"'),
    **dict.fromkeys("│｜¦", "a barline is the plain |"),
    **dict.fromkeys("‘’‚", "an octave lower is a comma, an octave higher a straight '"),
}
"""Signs that come along from a word processor, and what stands for them."""


def _before(match: re.Match[str]) -> str:
    """The sign before a match; empty at the beginning."""
    return match.string[max(0, match.start() - 1) : match.start()]


class TooLongError(WrongFieldError):
    """More bars than any tune has."""


class _Fields(Protocol):
    def inline(self, letter: str, value: str, number: int) -> MusicReader: ...


class MusicReader:
    """Reads music for one voice."""

    def __init__(
        self,
        voice: Voice,
        key: Key,
        unit: Fraction,
        accidentals: str,
        symbols: dict[str, str],
        fields: _Fields,
        split: bool = False,
    ) -> None:
        self.voice = voice
        self.key = key
        self.alters: dict[str, int] = {}
        self.sounding = SoundingNote()
        self.unit = unit
        self.accidentals = accidentals
        self.fields = fields
        self.split = split
        self.used = False
        """Whether any music has been read."""
        self.altered: dict[tuple[str, int], int] = {}
        self.attached = AttachedSigns(voice, symbols)
        self.tuplet: tuple[Tuplet, int, int] | None = None  # ratio, notes in all, notes to come
        self.broken: Fraction | None = None  # factor for the note to come
        self.first_factor = Fraction(1)  # factor for this note, from a broken rhythm after it
        self.words = WordsUnder(voice)

    # -- changes of key, metre and tempo

    def change_key(self, field: KeyField) -> None:
        """A new key, clef or octave from here."""
        if field.sounding:
            self.sounds(field.sounding)
        if field.key is None:
            return
        self.key, self.alters = field.key, dict(field.alters)
        self.altered.clear()
        self.voice.change(key=field.key)

    def sounds(self, sounding: SoundingNote) -> None:
        """How the notes from here sound; a transposition holds for the whole voice."""
        if self.used and sounding.semitones != self.sounding.semitones:
            raise WrongFieldError("transpose= is not read in the middle of a voice; put it before the first note")
        self.sounding = sounding

    def change_time(self, time: Time) -> None:
        """A new metre from the next bar."""
        self.voice.change(time=time)

    def change_tempo(self, tempo: Tempo | None, words: str = "") -> None:
        """A new tempo from here, or words about it alone, printed above the next note."""
        self.attached.next.words = words or self.attached.next.words
        self.voice.change(tempo=tempo)

    def begin_part(self, label: str) -> None:
        """A part of the tune begins here, as named by ``P:``."""
        self.voice.rehearsal(label)
        self.voice.part(label)

    # -- reading

    def read(self, text: str, number: int) -> None:
        """Read one line of the file."""
        reader = self
        reader.words.music_follows()
        if reader.voice.full:
            # Many files leave out the barline at the end of a line; an accidental before it still holds after it.
            reader.voice.barline(Barline())
        tokens = [(next(name for name in KINDS if match[name] is not None), match) for match in TOKEN.finditer(text)]
        for place, (token, match) in enumerate(tokens):
            if token == "field":
                reader = reader.fields.inline(match["letter"], match["value"], number)
                if match["letter"] == "V":
                    reader.words.music_follows()
                continue
            reader.used = True
            if token in ("note", "rest", "chord"):
                reader._look_ahead(tokens, place)
            getattr(reader, f"_{token}")(match, number)

    def _look_ahead(self, tokens: list[tuple[str, re.Match[str]]], place: int) -> None:
        """A broken rhythm after a note changes that note, too: it is taken into account before the note is kept."""
        later = islice(tokens, place + 1, place + 20)
        after = next((one for one in later if one[0] not in ("space", "slur_end", "tie")), None)
        self.first_factor = Fraction(1)
        if after and after[0] == "broken" and len(after[1]["broken"]) <= 3:
            marks = after[1]["broken"]
            small = Fraction(1, 2 ** len(marks))
            self.first_factor = 2 - small if marks[0] == ">" else small

    def end(self, parts: str) -> None:
        """No more music: say what is left open, and put the parts into their order."""
        if self.tuplet is not None:
            self.voice.wrong(0, "a group such as (3 is not complete")
        elif self.broken:
            self.voice.wrong(0, "> or < stands where no second note follows")
        elif self.attached.next.slurs:
            self.voice.wrong(0, "a slur begins where no note follows")
        if parts:
            self.voice.arrange(parts)

    def words_under(self, text: str, number: int) -> None:
        """A ``w:`` line: one verse under the music since the last."""
        self.words.verse(text, number)

    def more_words(self, text: str, number: int) -> None:
        """A ``+:`` line after a ``w:`` line."""
        self.words.more(text, number)

    def symbols_over(self, text: str, number: int) -> None:
        """An ``s:`` line (section 5.2): chord symbols, annotations and decorations set to notes one by one."""
        for anchor, token in self.words.aligned(symbol_tokens(text), number, "s:"):
            self.attached.taken()
            if token.startswith('"'):
                self.attached.quote(token.strip('"'), number)
            else:
                self.attached.decorate(token.strip("!+"), number)
            attached, note = self.attached.taken(), self.voice.at(anchor)
            self.voice.amend_at(
                anchor,
                articulations=tuple(dict.fromkeys((*note.articulations, *attached.articulations))),
                fermata=note.fermata or attached.fermata,
                breath=note.breath or attached.breath,
                dynamic=attached.dynamic or note.dynamic,
                words=attached.words or note.words,
                chord=attached.chord or note.chord,
            )

    def _space(self, match: re.Match[str], number: int) -> None:
        """Spaces only say how notes are beamed."""

    def _linebreak(self, match: re.Match[str], number: int) -> None:
        """``!`` by itself was once where a printed line ended (section 9.1)."""

    def _quoted(self, match: re.Match[str], number: int) -> None:
        self.attached.quote(match["quote"], number)

    def _decoration(self, match: re.Match[str], number: int) -> None:
        if match["oldname"] and re.fullmatch(r"(?:[\^_=]*[A-Ga-g][,'\d/]*){2,}", match["oldname"]):
            old = f"+{match['oldname'][:12]}+"
            self.voice.wrong(number, f"{old!r} is how older files write several notes at once; {_HINT}")
            return
        self.attached.decorate(match["name"] or match["oldname"], number)

    def _unclosed(self, match: re.Match[str], number: int) -> None:
        sign = match["unclosed"]
        self.voice.wrong(number, f"{sign!r} is not closed; write {sign}!")

    def _symbol(self, match: re.Match[str], number: int) -> None:
        behind = re.match(r"[\w',]", _before(match))  # a note, and signs of its octave
        if match["symbol"] == "." and behind and re.match(r"[\s|]|$", match.string[match.end() :]):
            self.voice.wrong(
                number, "a dot stands before its note and makes it short; write a dotted note's length, as C3"
            )
            return
        self.attached.symbol(match["symbol"], number)

    def _bar(self, match: re.Match[str], number: int) -> None:
        sign = match["bar"]
        before, after = len(sign) - len(sign.lstrip(":")), len(sign) - len(sign.rstrip(":"))
        if set(sign) == {":"}:
            before = after = 1 if len(sign) > 1 else 0
            after = after or (match.start() == 0 and match.end() < len(match.string.rstrip()))  # a lost |:
            before = before or (len(sign) == 1 and not after)  # a lost :|
        style = "final" if "|]" in sign else "double" if sign.count("|") > 1 or "[|" in sign else ""
        self._close(Barline(before + 1 if before else 0, bool(after), "" if before or after else style))

    def _close(self, sign: Barline) -> None:
        if self.voice.bars > MOST_BARS:
            raise TooLongError(f"more than {MOST_BARS} bars")
        self.altered.clear()
        if self.tuplet is not None and not self.voice.empty:
            self.voice.wrong(0, "a barline stands inside a group such as (3")
            self.tuplet = None
        self.voice.barline(sign)

    def _bracket(self, match: re.Match[str], number: int) -> None:
        """``[`` before the number of an ending; the number follows."""

    def _ending(self, match: re.Match[str], number: int) -> None:
        text = match["ending"]
        stands_alone = match.start() == 0 or match.string[match.start() - 1].isspace()
        if stands_alone and not (self.voice.empty and (text == "1" or self.voice.in_first_ending)):
            self._no_length(match, text, number)
            return
        times: list[int] = []
        for part in text.split(","):
            first, _, last = part.partition("-")
            if not first or len(part) > 5:
                continue
            times += range(int(first), min(int(last or first), 20) + 1)
        if not times or not 0 < max(times) <= 20 or min(times) < 1:
            self.voice.wrong(number, f"no ending {text!r}; endings are 1, 2 … up to 20")
            return
        self._close(Barline(ending=tuple(times)))

    def _note(self, match: re.Match[str], number: int) -> None:
        pitch = self._pitched(match["accidental"], match["pitch"], match["octave"], number)
        length = self._length(match["length"], number)
        before = _before(match)
        if match["pitch"] == "b" and not match["accidental"] and before in {*"ABCDEFGacdefg"}:
            self.voice.doubt(f"if '{before}b' is a flat, write _{before}")
        if pitch and length:
            self._add(pitch, length, number)

    def _pitched(self, accidental: str | None, letter: str, marks: str, number: int) -> Pitch | None:
        octave = (4 if letter.isupper() else 5) + marks.count("'") - marks.count(",") + self.sounding.octaves
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
                alter = self.alters.get(step, self.key.alters[step])
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

    def _add(self, pitch: Pitch | None, length: Fraction, number: int, lower: Pitch | None = None) -> None:
        if self.voice.notes_in_bar >= MOST_NOTES:
            raise TooLongError(f"more than {MOST_NOTES} notes in a bar; are the barlines missing?")
        length *= self.first_factor
        if self.broken:
            length *= self.broken
            self.broken = None
        attached = self.attached.taken()
        tuplet = self._in_tuplet()
        self.voice.note(
            Note(
                quarters=length * tuplet.normal / tuplet.actual if tuplet else length,
                pitch=pitch,
                slur_starts=attached.slurs if pitch else 0,
                articulations=tuple(dict.fromkeys(attached.articulations)),
                fermata=attached.fermata,
                breath=attached.breath,
                dynamic=attached.dynamic,
                hairpin=attached.hairpin,
                tuplet=tuplet,
                graces=attached.graces if pitch else (),
                words=attached.words,
                chord=attached.chord,
            ),
            number,
            lower,
        )
        if not pitch and attached.slurs:
            self.attached.next.slurs = attached.slurs

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
        self.attached.next.slurs += 1

    def _slur_end(self, match: re.Match[str], number: int) -> None:
        last = self.voice.last
        if self.attached.next.slurs:  # a slur over grace notes alone, as ({ed})c
            self.attached.next.slurs -= 1
        elif last is None:
            self.voice.wrong(number, "a slur ends before any note")
        elif last.slur_starts:  # a slur over one note joins nothing
            self.voice.amend(slur_starts=last.slur_starts - 1)
        else:
            self.voice.amend(slur_stops=last.slur_stops + 1)

    def _tie(self, match: re.Match[str], number: int) -> None:
        last = self.voice.last
        if last is None:
            self.voice.wrong(number, "a tie (-) must follow a note")
        elif last.pitch is None:
            self.voice.remark(number, "a tie after a rest holds nothing; it is left out")
        else:
            self.voice.amend(tie=True)

    def _broken(self, match: re.Match[str], number: int) -> None:
        marks = match["broken"]
        if self.voice.last is None or len(marks) > 3 or self.first_factor == 1:
            self.voice.wrong(number, f"{marks[:6]} stands where no two notes can share their time")
            return
        self.broken = 2 - self.first_factor
        self.first_factor = Fraction(1)

    def _grace(self, match: re.Match[str], number: int) -> None:
        inside = match["graces"].lstrip("/")
        found: list[Pitch] = []
        for chord, single in re.findall(r"\[([^\]]*)\]?|((?:\^\^|\^|__|_|=)?[A-Ga-g][,']*)", inside):
            notes = (self._pitched(one[0], one[1], one[2], number) for one in _INSIDE.findall(chord or single))
            pitches = [pitch for pitch in notes if pitch]
            if len(pitches) > 1:
                self.voice.remark(number, "of a grace chord only the highest note is kept")
            found += [max(pitches, key=lambda pitch: pitch.midi)] if pitches else []
        if len(found) > 8:
            self.voice.remark(number, "of more than eight grace notes the last are left out")
        self.attached.next.graces = tuple(found[:8])

    def _no_length(self, match: re.Match[str], text: str, number: int) -> None:
        before = _before(match)
        if before == "#" or before in PASTED:
            return  # of which something is said already
        meant = {"H": "; the German H is B", "r": "; a rest is z", "R": "; a rest is z"}.get(before, "")
        self.voice.wrong(number, f"{text!r} follows no note; notes are A to G, each with its length after it{meant}")

    def _chord(self, match: re.Match[str], number: int) -> None:
        """Notes that sound together (section 4.17): two voices on one staff where that is wanted, else a mistake."""
        shown, notes = match["chord"][:12], _INSIDE.findall(match["inside"])
        if "".join("".join(note) for note in notes) != re.sub(r"[\s.()!~]", "", match["inside"]) or not notes:
            self.voice.wrong(number, f"{shown!r} is no group of notes")
            return
        pitches = [self._pitched(note[0], note[1], note[2], number) for note in notes]
        high_to_low = sorted({pitch for pitch in pitches if pitch}, key=lambda pitch: -pitch.midi)
        if (len(high_to_low) > 1 and not self.split) or len(high_to_low) > 2:
            self.voice.wrong(number, f"{shown!r} sounds several notes at once; {_HINT}")
            high_to_low = high_to_low[:1]  # go on with one of them, so that slurs and beats are not wrong as well
        length, more = self._length(notes[0][3], number), self._length(match["chord_length"], number)
        if not length or not more or not high_to_low:
            return
        self._add(high_to_low[0], length * more / self.unit, number, high_to_low[1] if len(high_to_low) > 1 else None)
        if notes[0][4]:
            self.voice.amend(tie=True)

    def _other(self, match: re.Match[str], number: int) -> None:
        char = match["other"]
        if char == "&":
            self.voice.wrong(number, "a second voice in one line (&) is not read; give each voice its own V:")
        elif char == "#":  # the standard keeps it for later use (8.1); who writes it means a sharp
            self.voice.wrong(number, "'#' is no sign of ABC; a sharp stands before its note, as ^F")
        elif char in "0123456789/":
            self._no_length(match, char, number)
        elif char in ",'" and _before(match).isdigit():
            self.voice.wrong(number, f"{char!r} stands after a length; write the octave before it, as C{char}2")
        elif char in ",'" and (letter := _before(match)).isalpha():
            german = "; the German H is B" if letter in "Hh" else ""
            self.voice.wrong(number, f"{letter + char!r} is no note; notes are A to G{german}")
        elif char == '"':
            self.voice.wrong(number, 'a quotation mark opens here and is never closed; write "Bb" or "^words"')
        elif char in PASTED:
            if not (char == "”" and "“" in match.string):  # which is said of the first
                self.voice.wrong(number, f"{char!r} is no sign of ABC; {PASTED[char]}")
        elif char not in "*;?@":
            shown = char if char.isprintable() else f"character {ord(char)}"
            self.voice.wrong(number, f"{shown!r} has no meaning in music")
