"""Reads MusicXML (``.musicxml``, ``.xml``, ``.mxl``) with music21 and turns it into our score at concert pitch."""

from __future__ import annotations

import io
import logging
import re
import zipfile
from collections.abc import Iterator
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree

from music21 import (
    articulations,
    bar,
    chord,
    converter,
    dynamics,
    expressions,
    harmony,
    key,
    meter,
    note,
    repeat,
    spanner,
    stream,
    tempo,
)

from beginnerband.data.barring import Barline, Mistake, Voice
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import DYNAMICS, MODES, Key, Line, Note, Score, Tempo, Time, Tuplet

LARGEST = 10_000_000
"""Most bytes of MusicXML, unpacked."""

_ARTICULATIONS = (
    (articulations.StrongAccent, "strong-accent"),
    (articulations.Accent, "accent"),
    (articulations.Staccato, "staccato"),
    (articulations.Tenuto, "tenuto"),
)
_MARKS = (
    (repeat.DaCapo, "da-capo"),
    (repeat.DalSegno, "dal-segno"),
    (repeat.Segno, "segno"),
    (repeat.Fine, "fine"),
)


class _RefusedError(ValueError):
    """A file that cannot be used; says why."""


def read_musicxml(content: bytes, split: bool = False) -> tuple[Score | None, tuple[Mistake, ...]]:
    """Read a score; never raises for any bytes. Mistakes name the bar; the format has no useful lines.

    ``split`` makes a part of each voice where a staff has two (hymns are often set so), else they are refused.
    """
    try:
        text = _unpacked(content)
        parsed = _parsed(text, split)
    except _RefusedError as refused:
        return None, (Mistake(0, str(refused)),)
    return from_music21(parsed)


def from_music21(parsed: stream.Score) -> tuple[Score | None, tuple[Mistake, ...]]:
    """Our score of a music21 score at sounding pitch; never raises."""
    lines, mistakes = [], []
    parts = list(parsed.parts)
    for number, part in enumerate(parts, 1):
        where = f"part {part.partName or number}, " if len(parts) > 1 else ""
        try:
            line, wrong = _Part(part).read()
        except _RefusedError as refused:
            line, wrong = None, [Mistake(0, str(refused))]
        except Exception as error:  # music21 raises many kinds on music that makes no sense
            line, wrong = None, [Mistake(0, f"its music cannot be followed ({type(error).__name__})")]
        mistakes += [Mistake(0, where + mistake.message) for mistake in wrong]
        if line:
            lines.append(line)
    if mistakes or not lines:
        return None, tuple(mistakes) or (Mistake(0, "there are no notes to play"),)
    about = parsed.metadata
    title = _clean((about.title or about.movementName or "") if about else "")
    return Score(tuple(lines), title, _clean((about.composer or "") if about else "")), ()


def _clean(text: object) -> str:
    return "".join(char for char in str(text) if char.isprintable()).strip()[:300]


def _unpacked(content: bytes) -> str:
    """The XML text, out of its ``.mxl`` container if it is in one."""
    if content[:2] == b"PK":
        content = _from_container(content)
    if len(content) > LARGEST:
        raise _RefusedError(f"larger than {LARGEST // 1_000_000} MB")
    for encoding in ("utf-16",) if content[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "latin-1"):
        try:
            text = content.decode(encoding)
            break
        except UnicodeDecodeError:
            continue
    else:
        raise _RefusedError("not readable as text")
    if "<!ENTITY" in text:
        raise _RefusedError("it declares XML entities, which no notation program needs")
    text = re.sub(r"^\s*<\?xml[^>]*\?>", "", text)
    try:
        root = ElementTree.fromstring(text)
    except (ElementTree.ParseError, ValueError) as error:
        raise _RefusedError(f"not well-formed XML ({_clean(error)})") from None
    if root.tag not in ("score-partwise", "score-timewise"):
        raise _RefusedError(f"not MusicXML: its outermost element is <{_clean(root.tag)[:40]}>, not <score-partwise>")
    return text


def _from_container(content: bytes) -> bytes:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as box:
            names = [info for info in box.infolist() if not info.filename.startswith("META-INF/")]
            scores = [info for info in names if info.filename.lower().endswith((".xml", ".musicxml"))]
            if not scores:
                raise _RefusedError("the .mxl file holds no score")
            if scores[0].file_size > LARGEST:
                raise _RefusedError(f"larger than {LARGEST // 1_000_000} MB")
            with box.open(scores[0]) as file:
                return file.read(LARGEST + 1)
    except (zipfile.BadZipFile, OSError, RuntimeError, NotImplementedError, EOFError, ValueError) as error:
        if isinstance(error, _RefusedError):
            raise
        raise _RefusedError(f"not a readable .mxl file ({_clean(error)})") from None
    except Exception as error:  # zlib.error and the like on damaged data
        raise _RefusedError(f"not a readable .mxl file ({_clean(error)})") from None


def _parsed(text: str, split: bool) -> stream.Score:
    logging.getLogger("music21").setLevel(logging.ERROR)
    try:
        parsed = converter.parseData(text, format="musicxml", forceSource=True)
        if not isinstance(parsed, stream.Score) or not parsed.parts:
            raise _RefusedError("there are no parts in it")
        sounding = parsed.toSoundingPitch()
        if split and sounding.recurse().getElementsByClass(stream.Voice):
            about = sounding.metadata
            sounding = sounding.voicesToParts()
            sounding.metadata = about
    except _RefusedError:
        raise
    except Exception as error:  # music21 raises many kinds on files that make no sense
        raise _RefusedError(f"music21 cannot read it ({type(error).__name__}: {_clean(error)[:120]})") from None
    assert isinstance(sounding, stream.Score)
    return sounding


class _Part:
    """Feeds one part to a :class:`Voice`, bar by bar."""

    def __init__(self, part: Any) -> None:
        self.part = part
        self.slurs: dict[int, tuple[int, int]] = {}
        for slur in part.recurse().getElementsByClass(spanner.Slur):
            first, last = slur.getFirst(), slur.getLast()
            if first is not None and last is not None and first is not last:
                self._slur(first, 1, 0)
                self._slur(last, 0, 1)
        self.endings = {
            id(measure): (tuple(bracket.numberRange), measure is bracket.getFirst())
            for bracket in part.recurse().getElementsByClass(spanner.RepeatBracket)
            for measure in bracket.getSpannedElements()
        }

    def _slur(self, element: Any, starts: int, stops: int) -> None:
        before = self.slurs.get(id(element), (0, 0))
        self.slurs[id(element)] = (before[0] + starts, before[1] + stops)

    def read(self) -> tuple[Line | None, list[Mistake]]:
        measures = list(self.part.getElementsByClass(stream.Measure))
        if not measures:
            raise _RefusedError("there are no bars in it")
        if len(measures) > 2000:
            raise _RefusedError("more than 2000 bars")
        time = _time(measures[0])
        if time is None:
            raise _RefusedError("bar 1: no time signature, so the length of a bar is not known")
        voice = Voice(_key(measures[0]) or Key(0), time, None, _clean(self.part.partName or ""))
        for place, measure in enumerate(measures):
            self._measure(voice, measure, place == 0)
        return voice.finish(), voice.mistakes

    def _measure(self, voice: Voice, measure: Any, first: bool) -> None:
        if not first:
            voice.change(_key(measure), _time(measure))
        self._left(voice, measure)
        if len(measure.voices) > 1 and sum(bool(inner.notes) for inner in measure.voices) > 1:
            voice.wrong(0, "two voices where one is meant; give each voice a part of its own")
        content = measure.voices[0] if measure.voices else measure
        waiting = _Waiting()
        for element in [*content, *(() if content is measure else measure)]:
            self._direction(voice, element, waiting)
        for element in content.notesAndRests:
            if isinstance(element, harmony.ChordSymbol):
                waiting.chords[element.offset] = _clean(element.figure)
        graces: list[Pitch] = []
        for element in content.notesAndRests:
            if isinstance(element, harmony.ChordSymbol | harmony.NoChord):
                continue
            if isinstance(element, chord.Chord):
                voice.wrong(0, "several notes at once; one player plays one at a time")
                continue
            if element.duration.isGrace:
                if isinstance(element, note.Note):
                    graces.append(_pitch(element.pitch))
                continue
            voice.note(self._note(voice, element, waiting, tuple(graces)), 0)
            graces.clear()
        self._right(voice, measure)

    def _left(self, voice: Voice, measure: Any) -> None:
        sign = measure.leftBarline
        numbers, starts = self.endings.get(id(measure), ((), False))
        begins = isinstance(sign, bar.Repeat) and sign.direction == "start"
        if begins or (numbers and starts):
            voice.barline(Barline(repeat_start=begins, ending=tuple(numbers) if starts else ()))

    def _right(self, voice: Voice, measure: Any) -> None:
        sign = measure.rightBarline
        if isinstance(sign, bar.Repeat) and sign.direction == "end":
            voice.barline(Barline(repeat_end=int(sign.times or 2)))
            return
        style = {"light-heavy": "final", "final": "final", "light-light": "double", "double": "double"}
        voice.barline(Barline(style=style.get(getattr(sign, "type", ""), "")))

    def _direction(self, voice: Voice, element: Any, waiting: _Waiting) -> None:
        if isinstance(element, dynamics.Dynamic) and element.value in DYNAMICS:
            waiting.dynamics[element.offset] = element.value
        elif isinstance(element, expressions.RehearsalMark):
            voice.rehearsal(_clean(element.content)[:4])
        elif isinstance(element, expressions.TextExpression):
            waiting.words[element.offset] = _clean(element.content)[:60]
        elif isinstance(element, tempo.MetronomeMark) and element.number:
            beat = Fraction(element.referent.quarterLength)
            bpm = Fraction(element.number).limit_denominator(1000)
            voice.change(tempo=Tempo(bpm, beat, _clean(element.text or "")))
        for kind, mark in _MARKS:
            if isinstance(element, kind):
                voice.mark(mark)
        if isinstance(element, repeat.Coda):
            voice.mark("coda" if element.offset == 0 else "to-coda")

    def _note(self, voice: Voice, element: Any, waiting: _Waiting, graces: tuple[Pitch, ...]) -> Note:
        starts, stops = self.slurs.get(id(element), (0, 0))
        pitch = _pitch(element.pitch) if isinstance(element, note.Note) else None
        tie = element.tie is not None and element.tie.type in ("start", "continue")
        return Note(
            quarters=_quarters(element),
            pitch=pitch,
            drum="snare" if isinstance(element, note.Unpitched) else "",
            tie=tie,
            slur_starts=starts,
            slur_stops=stops,
            articulations=tuple(_articulations(element)),
            fermata=any(isinstance(sign, expressions.Fermata) for sign in element.expressions),
            breath=any(isinstance(sign, articulations.BreathMark) for sign in element.articulations),
            dynamic=waiting.dynamics.pop(element.offset, ""),
            tuplet=_tuplet(element),
            graces=graces,
            words=waiting.words.pop(element.offset, ""),
            chord=waiting.chords.pop(element.offset, ""),
            lyric=_clean(element.lyric or "")[:40],
        )


class _Waiting:
    """Directions of one bar by their offset, for the note that stands there."""

    def __init__(self) -> None:
        self.dynamics: dict[float, str] = {}
        self.words: dict[float, str] = {}
        self.chords: dict[float, str] = {}


def _quarters(element: Any) -> Fraction:
    """Exact length: music21 keeps thirds as fractions, and other tuplets as floats that these denominators cover."""
    return Fraction(element.duration.quarterLength).limit_denominator(4096)


def _pitch(pitch: Any) -> Pitch:
    alter = pitch.alter
    if alter != int(alter) or abs(alter) > 2:
        raise _RefusedError(f"{_clean(pitch.nameWithOctave)} is not a note that brass players read")
    if not 0 <= pitch.implicitOctave <= 9:
        raise _RefusedError(f"{_clean(pitch.nameWithOctave)} is beyond what can be heard")
    return Pitch(pitch.step, int(alter), int(pitch.implicitOctave))


def _key(measure: Any) -> Key | None:
    sign = next(iter(measure.getElementsByClass(key.KeySignature)), None)
    if sign is None:
        return None
    if sign.isNonTraditional or not -7 <= sign.sharps <= 7:
        raise _RefusedError(f"bar {measure.number}: a key of more than seven sharps or flats, or of its own making")
    mode = sign.mode if isinstance(sign, key.Key) else "major"
    return Key(int(sign.sharps), mode if mode in MODES else "major")


def _time(measure: Any) -> Time | None:
    sign = next(iter(measure.getElementsByClass(meter.TimeSignature)), None)
    if sign is None:
        return None
    symbol = sign.symbol if sign.symbol in ("common", "cut") else ""
    return Time(int(sign.numerator), int(sign.denominator), symbol)


def _tuplet(element: Any) -> Tuplet | None:
    tuplets = element.duration.tuplets
    if not tuplets:
        return None
    if len(tuplets) > 1:
        raise _RefusedError("a tuplet inside a tuplet")
    edge = tuplets[0].type if tuplets[0].type in ("start", "stop") else ""
    return Tuplet(int(tuplets[0].numberNotesActual), int(tuplets[0].numberNotesNormal), edge)


def _articulations(element: Any) -> Iterator[str]:
    for sign in element.articulations:
        name = next((name for kind, name in _ARTICULATIONS if isinstance(sign, kind)), "")
        if name:
            yield name
