"""Reads one part of a MusicXML file, bar by bar, into voices at sounding pitch.

Elements mean what the MusicXML 4.0 reference (w3.org/2021/06/musicxml40) says. Time is kept in the file's divisions; a
gap that a ``<forward>`` or a missing voice leaves is filled with rests.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction

from beginnerband.data.barring import Barline, Voice
from beginnerband.data.musicxml_elements import (
    bar_name,
    chord_of,
    count_of,
    interval_of,
    is_tied,
    jumps_of,
    key_of,
    loudness,
    numbers_of,
    ratio_of,
    signed,
    tempo_of,
    time_of,
    whole,
    words_of,
)
from beginnerband.data.xmltree import Element, RefusedError
from beginnerband.music.chord_symbol import ChordSymbol
from beginnerband.music.pitch import STEPS, Pitch, transpose
from beginnerband.music.score import VALUES, Key, Note, Syllable, Time, Tuplet
from beginnerband.music.shift import fifths_moved, respelled

_ARTICULATIONS = {"staccato": ("staccato",), "accent": ("accent",), "strong-accent": ("strong-accent",),
                  "tenuto": ("tenuto",), "detached-legato": ("tenuto", "staccato"),
                  "staccatissimo": ("staccato",)}  # fmt: skip
_STYLES = {"light-heavy": "final", "light-light": "double", "heavy-light": "", "heavy-heavy": "final"}

Stream = tuple[int, str]
"""Staff, from 1, and voice as the file names it."""


@dataclass(slots=True)
class _Event:
    """A note or rest of the file at its place in the bar."""

    at: int
    element: Element
    quarters: Fraction
    divisions: int
    pitches: list[Pitch] = field(default_factory=list)
    graces: tuple[Pitch, ...] = ()
    unpitched: bool = False


@dataclass(slots=True)
class _Sign:
    """A direction or chord symbol at its place in the bar."""

    at: int
    element: Element
    staff: int


@dataclass(slots=True)
class _Bar:
    """One bar taken apart."""

    element: Element
    streams: dict[Stream, list[_Event]] = field(default_factory=dict)
    signs: list[_Sign] = field(default_factory=list)
    length: int = 0
    divisions: int = 1
    key: Key | None = None
    time: Time | None = None


class PartReader:
    """Feeds the voices of one part."""

    def __init__(self, name: str, measures: list[Element], split: bool) -> None:
        self.name = name
        self.measures = measures
        self.split = split
        self.voices: list[Voice] = []
        self.divisions = 1
        self.interval = "P1"
        self.tuplets: dict[int, tuple[Fraction, Fraction]] = {}
        self.verses: list[str] = []
        self.hairpins: dict[int, bool] = {}

    def read(self) -> None:
        """Read the whole part into :attr:`voices`; :class:`RefusedError` says why it cannot be."""
        if not self.measures:
            raise RefusedError("there are no bars in it")
        bars = [self._taken_apart(measure) for measure in self.measures]
        if bars[0].time is None:
            raise RefusedError("bar 1: no time signature, so the length of a bar is not known", self.measures[0].line)
        self._respell(bars)
        streams = self._streams(bars)
        key = self._moved_key(bars[0].key or Key(0))
        for number, _ in enumerate(streams):
            name = self.name if len(streams) == 1 else f"{self.name} {number + 1}".strip()
            self.voices.append(Voice(key, bars[0].time, None, name, lenient=True))
        before = Time(4, 4)
        for place, bar in enumerate(bars):
            before = bar.time or before
            self._feed(bar, place, streams, before, bars[place - 1] if place else None, place == len(bars) - 1)
        self.voices += [voice.under for voice in self.voices if voice.under]

    # -- first pass: positions

    def _taken_apart(self, measure: Element) -> _Bar:
        bar = _Bar(measure)
        at = latest = 0
        last: _Event | None = None
        graces: list[Element] = []
        for child in measure.children:
            if child.tag == "attributes":
                self._attributes(child, bar)
            elif child.tag in ("backup", "forward"):
                at += whole(child, "duration") * (-1 if child.tag == "backup" else 1)
                if at < 0:
                    raise RefusedError(f"{bar_name(measure)}: it goes back before its beginning", child.line)
            elif child.tag == "note":
                if child.find("grace"):
                    graces.append(child)
                elif child.find("chord") and last:
                    last.element.children += [one for one in child.children if one.tag == "lyric"]
                    last.pitches += self._pitches(child)
                else:
                    last = self._event(child, at, bar, graces)
                    at += whole(child, "duration")
                    graces = []
            elif child.tag in ("direction", "harmony", "sound"):
                staff = int(child.said("staff") or 1)
                bar.signs.append(_Sign(at + signed(child.said("offset")), child, staff))
            latest = max(latest, at)
        bar.length, bar.divisions = latest, self.divisions
        return bar

    def _event(self, note: Element, at: int, bar: _Bar, graces: list[Element]) -> _Event | None:
        if note.find("cue"):
            return None
        if not note.find("duration"):
            raise RefusedError(f"{bar_name(bar.element)}: a note without a length", note.line)
        stream = (int(note.said("staff") or 1), note.said("voice") or "1")
        before = tuple(pitch for grace in graces for pitch in self._pitches(grace))
        divisions = whole(note, "duration")
        event = _Event(at, note, self._quarters(note, divisions), divisions, self._pitches(note), before)
        event.unpitched = note.find("unpitched") is not None
        if divisions:
            bar.streams.setdefault(stream, []).append(event)
        return event

    def _quarters(self, note: Element, divisions: int) -> Fraction:
        """The exact length: as written, where the divisions were too coarse to say it exactly."""
        said = Fraction(divisions, self.divisions)
        value = VALUES.get(note.said("type"))
        if value is None or note.find("rest"):
            return said
        dots = len(list(note.all("dot")))
        exact = value * (2 - Fraction(1, 2**dots))
        tuplet = ratio_of(note)
        if tuplet:
            exact = exact * tuplet.normal / tuplet.actual
        return exact if abs(exact - said) * self.divisions < 1 else said

    def _attributes(self, element: Element, bar: _Bar) -> None:
        if element.find("divisions"):
            self.divisions = int(float(element.said("divisions")))
        moved = element.find("transpose")
        if moved:
            interval = interval_of(moved)
            if bar.element is not self.measures[0] and interval != self.interval:
                raise RefusedError(
                    f"{bar_name(bar.element)}: the instrument changes to another transposition", moved.line
                )
            self.interval = interval
        sign = element.find("key")
        if sign:
            bar.key = key_of(sign, bar.element)
        time = element.find("time")
        if time:
            bar.time = time_of(time, bar.element)
        if any(style.find("measure-repeat") for style in element.all("measure-style")):
            repeat = next(one for style in element.all("measure-style") for one in style.all("measure-repeat"))
            if repeat.get("type") != "stop" and not any(bar.element.all("note/pitch")):
                raise RefusedError(
                    f"{bar_name(bar.element)}: a sign to repeat bars; write their notes out", repeat.line
                )

    def _pitches(self, note: Element) -> list[Pitch]:
        found = note.find("pitch")
        if not found:
            return []
        step, alter, octave = found.said("step"), found.said("alter") or "0", found.said("octave")
        try:
            pitch = Pitch(step, int(float(alter)), int(octave))
            good = (
                float(alter) == pitch.alter
                and abs(pitch.alter) <= 2
                and len(step) == 1
                and step in STEPS
                and 0 <= pitch.octave <= 9
            )
        except ValueError:
            good = False
        if not good:
            raise RefusedError(f"{step}{octave} altered by {alter} is not a note that brass players read", found.line)
        return [pitch]

    # -- between the passes: how many lines, and how they are spelled

    def _respell(self, bars: list[_Bar]) -> None:
        self.interval = respelled(self.interval, tuple(bar.key.fifths for bar in bars if bar.key) or (0,))

    def _moved(self, pitch: Pitch) -> Pitch:
        return pitch if self.interval == "P1" else transpose(pitch, self.interval)

    def _moved_key(self, key: Key) -> Key:
        fifths = key.fifths + fifths_moved(self.interval)
        return Key(fifths - 12 if fifths > 7 else fifths + 12 if fifths < -7 else fifths, key.mode)

    def _streams(self, bars: list[_Bar]) -> list[Stream]:
        """The voices that sound, highest staff first; one alone where they are not to be split."""
        notes: Counter[Stream] = Counter()
        for bar in bars:
            for stream, events in bar.streams.items():
                notes[stream] += sum(bool(event.pitches) or event.unpitched for event in events)
        heard = sorted((stream for stream, count in notes.items() if count), key=_by_staff)
        if len(heard) > 1 and not self.split:
            wanted = heard[0]
            other = next(bar for bar in bars if any(_sounds(bar.streams.get(stream, [])) for stream in heard[1:]))
            both = [event.element.line for stream in heard[1:] for event in other.streams.get(stream, [])]
            raise RefusedError(
                f"{bar_name(other.element)}: two voices where one is meant; give each voice a part of its own "
                f"(voice {wanted[1]} and {heard[1][1]})",
                both[0],
            )
        return heard or [(1, "1")]

    # -- second pass: notes

    def _feed(self, bar: _Bar, place: int, streams: list[Stream], metre: Time, before: _Bar | None, last: bool) -> None:
        if place:
            for voice in self.voices:
                voice.change(self._moved_key(bar.key) if bar.key else None, bar.time)
        self._left(bar)
        early, signs = self._marks(bar, before, last)
        for mark in early:
            self.voices[0].put_last(mark)
        for number, (stream, voice) in enumerate(zip(streams, self.voices, strict=True)):
            events, borrowed = self._events(bar, stream, streams)
            self._voice(bar, voice, number, events, metre, signs if number == 0 else [], borrowed)
        for mark_at, mark in signs:
            if mark_at >= max(bar.length, 1):
                self.voices[0].mark(mark)
        self._right(bar)

    def _events(self, bar: _Bar, stream: Stream, streams: list[Stream]) -> tuple[list[_Event], str]:
        """What a voice plays in a bar, and which note of a chord is its own.

        Where the other voice of the staff is absent and chords of two notes stand in its place, each takes its own.
        """
        own = bar.streams.get(stream, [])
        beside = [other for other in streams if other[0] == stream[0] and other != stream]
        if len(beside) != 1:
            return own, ""
        other = bar.streams.get(beside[0], [])
        upper = streams.index(stream) < streams.index(beside[0])
        shared = own if not _sounds(other) else other if not _sounds(own) else []
        if any(len(event.pitches) == 2 for event in shared):
            return shared, "upper" if upper else "lower"
        return own, ""

    def _voice(
        self,
        bar: _Bar,
        voice: Voice,
        number: int,
        events: list[_Event],
        metre: Time,
        marks: list[tuple[int, str]],
        which: str,
    ) -> None:
        signs = _Signs(self, bar, voice, number)
        waiting = list(marks)
        end, reached = 0, Fraction(0)
        for event in sorted(events, key=lambda one: one.at):
            gap = event.at - end
            if gap > 0 and Fraction(gap, bar.divisions) >= Fraction(1, 16):
                self._rest(voice, Fraction(event.at, bar.divisions) - reached, event.element.line)
                reached = Fraction(event.at, bar.divisions)
            elif -gap > max(3, bar.divisions // 64):
                voice.wrong(event.element.line, "two voices where one is meant; give each voice a part of its own")
                continue
            while waiting and waiting[0][0] <= event.at and waiting[0][0] < max(bar.length, 1):
                voice.mark(waiting.pop(0)[1])
            note, lower = self._note(voice, event, which, metre, bar)
            if note:
                voice.note(signs.onto(note, event.at, event.at + event.divisions), event.element.line, lower)
                signs.after(event.at + event.divisions)
                reached += note.quarters
            end = event.at + event.divisions
        missing = Fraction(bar.length, bar.divisions) - reached
        if missing >= Fraction(1, 16):
            self._rest(voice, missing if events else max(missing, Fraction(0)), bar.element.line)
        while waiting and waiting[0][0] < max(bar.length, 1):
            voice.mark(waiting.pop(0)[1])
        signs.left_over()

    @staticmethod
    def _rest(voice: Voice, quarters: Fraction, line: int) -> None:
        voice.note(Note(quarters), line)

    def _note(
        self, voice: Voice, event: _Event, which: str, metre: Time, bar: _Bar
    ) -> tuple[Note | None, Pitch | None]:
        element, quarters = event.element, event.quarters
        rest = element.find("rest")
        if rest and (rest.get("measure") == "yes") and bar.length == event.divisions:
            quarters = quarters if quarters < metre.quarters else metre.quarters
        high_to_low = sorted({self._moved(pitch) for pitch in event.pitches}, key=lambda pitch: -pitch.midi)
        if which and len(high_to_low) < 3:
            high_to_low = high_to_low[:1] if which == "upper" else high_to_low[-1:]
        if len(high_to_low) > (2 if self.split else 1):
            voice.wrong(element.line, "several notes at once; one player plays one at a time")
            high_to_low = high_to_low[:1]
        if event.unpitched and high_to_low:
            high_to_low = []
        sounds = bool(high_to_low) or event.unpitched
        graces = [self._moved(pitch) for pitch in event.graces]
        if len(graces) > 8:
            voice.remark(element.line, "of more than eight grace notes the last are left out")
        signs = self._notations(voice, element)
        note = Note(
            quarters=quarters,
            pitch=high_to_low[0] if high_to_low else None,
            drum="snare" if event.unpitched else "",
            tie=bool(high_to_low) and is_tied(element),
            slur_starts=count_of(element, "slur", "start") if sounds else 0,
            slur_stops=count_of(element, "slur", "stop") if sounds else 0,
            articulations=signs[0],
            fermata=any(True for _ in element.all("notations/fermata")),
            breath=signs[1],
            dynamic=next((one for one in map(loudness, element.all("notations/dynamics")) if one), ""),
            tuplet=self._tuplet(element, quarters, id(voice)),
            graces=tuple(graces[:8]) if high_to_low else (),
            lyrics=tuple(self._lyrics(element)),
        )
        return note, high_to_low[1] if len(high_to_low) > 1 else None

    def _notations(self, voice: Voice, element: Element) -> tuple[tuple[str, ...], bool]:
        """Articulations and whether a breath follows; what a brass part does without is named."""
        found: list[str] = []
        breath = False
        for group in element.all("notations/articulations"):
            for sign in group.children:
                if sign.tag in ("breath-mark", "caesura"):
                    breath = True
                elif sign.tag in _ARTICULATIONS:
                    found += _ARTICULATIONS[sign.tag]
                else:
                    voice.remark(sign.line, f"the sign <{sign.tag}> is left out")
        for group in element.all("notations/ornaments"):
            for sign in group.children:
                if sign.tag != "accidental-mark":
                    voice.remark(sign.line, f"the ornament <{sign.tag}> is left out")
        return tuple(dict.fromkeys(found)), breath

    def _tuplet(self, element: Element, quarters: Fraction, voice: int) -> Tuplet | None:
        """The ratio, with the edges of its group: from ``<tuplet>``, or by filling whole units where none is given."""
        ratio = ratio_of(element)
        if ratio is None:
            self.tuplets.pop(voice, None)
            return None
        kinds = {one.get("type") for one in element.all("notations/tuplet")}
        unit = VALUES.get(element.said("time-modification/normal-type") or element.said("type"), Fraction(1, 2))
        filled, whole = self.tuplets.get(voice, (Fraction(0), unit * ratio.normal))
        edge = "start" if not filled else ""
        filled += quarters
        if filled % whole == 0 or "stop" in kinds:
            self.tuplets.pop(voice, None)
            edge = edge or "stop"
        else:
            self.tuplets[voice] = (filled, whole)
        return Tuplet(ratio.actual, ratio.normal, edge)

    def _lyrics(self, element: Element) -> Iterator[Syllable]:
        for lyric in element.all("lyric"):
            parts = (one for one in lyric.children if one.tag in ("text", "elision"))
            text = "".join(one.text if one.tag == "text" else "\u203f" for one in parts)
            shown = "".join(char for char in " ".join(text.split()) if char.isprintable())[:60]
            if not shown:
                continue
            number = lyric.get("number") or lyric.get("name") or "1"
            if number not in self.verses:
                self.verses.append(number)
            place = next((one.text.strip() for one in lyric.all("syllabic")), "single")
            held = lyric.find("extend") is not None
            if place not in ("single", "begin", "middle", "end"):
                place = "single"
            yield Syllable(shown, place, held, self.verses.index(number) + 1)

    # -- signs for every voice

    def _marks(self, bar: _Bar, before: _Bar | None, last: bool) -> tuple[list[str], list[tuple[int, str]]]:
        """Marks that belong to the bar before, and marks of this bar with their places.

        *Fine* or a jump at the very beginning of a bar, where a section ended just before, is about that section.
        """
        found = [(sign.at, mark) for sign in bar.signs for mark in jumps_of(sign.element)]
        found += [(0, mark) for mark in ("segno", "coda") for line in bar.element.all("barline")
                  if line.get("location") == "left" and (line.find(mark) or line.get(mark))]  # fmt: skip
        ends = (
            before is not None
            and not last
            and any(
                _STYLES.get(line.said("bar-style")) or line.find("repeat")
                for line in before.element.all("barline")
                if line.get("location") != "left"
            )
        )
        early = [mark for at, mark in found if ends and at == 0 and mark not in ("segno", "coda")]
        return early, sorted((one for one in found if one[1] not in early or one[0]), key=lambda one: one[0])

    def _left(self, bar: _Bar) -> None:
        for line in bar.element.all("barline"):
            if line.get("location") != "left":
                continue
            repeat, ending = line.find("repeat"), line.find("ending")
            starts = bool(repeat) and repeat is not None and repeat.get("direction") == "forward"
            numbers = numbers_of(ending.get("number")) if ending is not None and ending.get("type") == "start" else ()
            if starts or numbers:
                self._barline(Barline(repeat_start=starts, ending=numbers, ending_stops=None if starts else False))

    def _right(self, bar: _Bar) -> None:
        sign = Barline(ending_stops=False)
        for line in bar.element.all("barline"):
            if line.get("location") == "left":
                continue
            repeat, ending = line.find("repeat"), line.find("ending")
            times = 0
            if repeat is not None and repeat.get("direction") == "backward":
                times = int(repeat.get("times")) if re.fullmatch(r"[1-9]|1\d|20", repeat.get("times")) else 2
            stops = ending is not None and ending.get("type") in ("stop", "discontinue")
            style = "" if times else _STYLES.get(line.said("bar-style"), "")
            sign = Barline(repeat_end=max(times, 2) if times else 0, style=style, ending_stops=stops)
        self._barline(sign)

    def _barline(self, sign: Barline) -> None:
        for voice in self.voices:
            voice.barline(sign)


class _Signs:
    """Directions and chord symbols of one bar, waiting for the notes of one voice."""

    def __init__(self, reader: PartReader, bar: _Bar, voice: Voice, number: int) -> None:
        self.reader = reader
        self.voice = voice
        self.number = number
        self.waiting = [sign for sign in bar.signs if number == 0 or sign.element.tag == "direction"]
        self.waiting.sort(key=lambda sign: sign.at)
        self.stops: list[int] = []
        self.starts: list[tuple[int, str]] = []
        self._tempo()

    def _tempo(self) -> None:
        for sign in self.waiting:
            tempo = tempo_of(sign.element)
            letter = next((one.text for one in sign.element.all("direction-type/rehearsal")), "")
            if tempo:
                self.voice.change(tempo=tempo)
            if letter:
                self.voice.rehearsal("".join(char for char in letter if char.isprintable()).strip()[:4])

    def onto(self, note: Note, start: int, end: int) -> Note:
        """The note with what stands over or under it."""
        chord, words, dynamic, hairpin = note.chord, note.words, note.dynamic, note.hairpin
        while self.waiting and self.waiting[0].at <= start:
            element = self.waiting.pop(0).element
            if element.tag == "harmony":
                chord = self._chord(element) or chord
                continue
            for kind in element.all("direction-type"):
                for sign in kind.children:
                    if sign.tag == "dynamics":
                        dynamic = loudness(sign) or dynamic
                    elif sign.tag == "wedge" and sign.get("type") in ("crescendo", "diminuendo"):
                        hairpin = sign.get("type")
                    elif sign.tag == "wedge" and self.voice.last and not self.voice.last.hairpin:
                        self.voice.amend(hairpin="stop")
            words = words_of(element) or words
        return replace(note, dynamic=dynamic, hairpin=hairpin, words=words, chord=chord)

    def after(self, end: int) -> None:
        """What stands within the note just fed: a hairpin's end belongs to it; a chord has no note of its own."""
        for sign in [sign for sign in self.waiting if sign.at < end]:
            if sign.element.tag == "harmony":
                chord = self._chord(sign.element)
                if chord:
                    self.voice.remark(sign.element.line, f"the chord {chord.sign} stands within a note and is left out")
                self.waiting.remove(sign)
        self._ends(end)

    def _ends(self, end: int) -> None:
        for sign in [sign for sign in self.waiting if sign.at <= end]:
            stops = [one for one in sign.element.all("direction-type/wedge") if one.get("type") == "stop"]
            if stops and self.voice.last and not self.voice.last.hairpin:
                self.voice.amend(hairpin="stop")
                self.waiting.remove(sign)

    def left_over(self) -> None:
        """Words and signs after the last note of the bar."""
        for sign in self.waiting:
            words = words_of(sign.element) if sign.element.tag == "direction" else ""
            if words and self.number == 0:
                self.voice.remark(sign.element.line, f"the words {words!r} stand after the last note and are left out")

    def _chord(self, element: Element) -> ChordSymbol | None:
        try:
            chord = chord_of(element)
        except ValueError as wrong:
            self.voice.remark(element.line, f"{wrong}; it is left out")
            return None
        return chord.moved(self.reader._moved) if chord else None


def _by_staff(stream: Stream) -> tuple[int, int, str]:
    return stream[0], int(stream[1]) if stream[1].isdecimal() else 99, stream[1]


def _sounds(events: list[_Event]) -> bool:
    return any(event.pitches or event.unpitched for event in events)
