"""Reads one part of a MusicXML file, bar by bar, into voices at sounding pitch.

Elements mean what the MusicXML 4.0 reference (w3.org/2021/06/musicxml40) says. Time is kept in the file's divisions; a
gap that a ``<forward>`` or a missing voice leaves is filled with rests.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from beginnerband.data.barring import Voice
from beginnerband.data.bars import Barline
from beginnerband.data.musicxml_bars import BarEvent, BarReader, Stream, TakenBar
from beginnerband.data.musicxml_elements import (
    bar_name,
    count_of,
    is_tied,
    jumps_of,
    loudness,
    numbers_of,
    ratio_of,
)
from beginnerband.data.musicxml_signs import SignsOfBar
from beginnerband.data.xmltree import Element, RefusedError
from beginnerband.music.pitch import Pitch, transpose
from beginnerband.music.score import VALUES, Key, Note, Syllable, Time, Tuplet
from beginnerband.music.shift import fifths_moved, respelled

_ARTICULATIONS = {"staccato": ("staccato",), "accent": ("accent",), "strong-accent": ("strong-accent",),
                  "tenuto": ("tenuto",), "detached-legato": ("tenuto", "staccato"),
                  "staccatissimo": ("staccato",)}  # fmt: skip
_STYLES = {"light-heavy": "final", "light-light": "double", "heavy-light": "", "heavy-heavy": "final"}


class PartReader:
    """Feeds the voices of one part."""

    def __init__(self, name: str, measures: list[Element], split: bool) -> None:
        self.name = name
        self.measures = measures
        self.split = split
        self.voices: list[Voice] = []
        self.interval = "P1"
        self.tuplets: dict[int, tuple[Fraction, Fraction]] = {}
        self.verses: list[str] = []

    def read(self) -> None:
        """Read the whole part into :attr:`voices`; :class:`RefusedError` says why it cannot be."""
        if not self.measures:
            raise RefusedError("there are no bars in it")
        reader = BarReader(self.measures)
        bars = reader.read()
        if bars[0].time is None:
            raise RefusedError("bar 1: no time signature, so the length of a bar is not known", self.measures[0].line)
        fifths = tuple(bar.key.fifths for bar in bars if bar.key) or (0,)
        self.interval = respelled(reader.interval, fifths)
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

    # -- between the passes: how many lines, and how they are spelled

    def _moved(self, pitch: Pitch) -> Pitch:
        return pitch if self.interval == "P1" else transpose(pitch, self.interval)

    def _moved_key(self, key: Key) -> Key:
        fifths = key.fifths + fifths_moved(self.interval)
        return Key(fifths - 12 if fifths > 7 else fifths + 12 if fifths < -7 else fifths, key.mode)

    def _streams(self, bars: list[TakenBar]) -> list[Stream]:
        """The voices that sound, highest staff first; one alone where they are not to be split."""
        notes: Counter[Stream] = Counter()
        for bar in bars:
            for stream, events in bar.streams.items():
                notes[stream] += sum(event.sounds for event in events)
        heard = sorted((stream for stream, count in notes.items() if count), key=_by_staff)
        if len(heard) > 1 and not self.split:
            wanted = heard[0]
            other = next(bar for bar in bars if any(bar.sounds(stream) for stream in heard[1:]))
            both = [event.element.line for stream in heard[1:] for event in other.streams.get(stream, [])]
            raise RefusedError(
                f"{bar_name(other.element)}: two voices where one is meant; give each voice a part of its own "
                f"(voice {wanted[1]} and {heard[1][1]})",
                both[0],
            )
        return heard or [(1, "1")]

    # -- second pass: notes

    def _feed(
        self, bar: TakenBar, place: int, streams: list[Stream], metre: Time, before: TakenBar | None, last: bool
    ) -> None:
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

    def _events(self, bar: TakenBar, stream: Stream, streams: list[Stream]) -> tuple[list[BarEvent], str]:
        """What a voice plays in a bar, and which note of a chord is its own.

        Where the other voice of the staff is absent and chords of two notes stand in its place, each takes its own.
        """
        own = bar.streams.get(stream, [])
        beside = [other for other in streams if other[0] == stream[0] and other != stream]
        if len(beside) != 1:
            return own, ""
        other = bar.streams.get(beside[0], [])
        upper = streams.index(stream) < streams.index(beside[0])
        shared = own if not bar.sounds(beside[0]) else other if not bar.sounds(stream) else []
        if any(len(event.pitches) == 2 for event in shared):
            return shared, "upper" if upper else "lower"
        return own, ""

    def _voice(
        self,
        bar: TakenBar,
        voice: Voice,
        number: int,
        events: list[BarEvent],
        metre: Time,
        marks: list[tuple[int, str]],
        which: str,
    ) -> None:
        signs = SignsOfBar(self._moved, bar, voice, number)
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
        self, voice: Voice, event: BarEvent, which: str, metre: Time, bar: TakenBar
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

    def _marks(self, bar: TakenBar, before: TakenBar | None, last: bool) -> tuple[list[str], list[tuple[int, str]]]:
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

    def _left(self, bar: TakenBar) -> None:
        for line in bar.element.all("barline"):
            if line.get("location") != "left":
                continue
            repeat, ending = line.find("repeat"), line.find("ending")
            starts = bool(repeat) and repeat is not None and repeat.get("direction") == "forward"
            numbers = numbers_of(ending.get("number")) if ending is not None and ending.get("type") == "start" else ()
            if starts or numbers:
                self._barline(Barline(repeat_start=starts, ending=numbers, ending_stops=None if starts else False))

    def _right(self, bar: TakenBar) -> None:
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


def _by_staff(stream: Stream) -> tuple[int, int, str]:
    return stream[0], int(stream[1]) if stream[1].isdecimal() else 99, stream[1]
