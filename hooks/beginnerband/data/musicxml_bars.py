"""Takes the bars of a MusicXML part apart: which notes and signs stand where in each, in the file's divisions."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from beginnerband.data.musicxml_elements import bar_name, interval_of, key_of, ratio_of, signed, time_of, whole
from beginnerband.data.xmltree import Element, RefusedError
from beginnerband.music.pitch import STEPS, Pitch
from beginnerband.music.score import VALUES, Key, Time

Stream = tuple[int, str]
"""Staff, from 1, and voice as the file names it."""


@dataclass(slots=True)
class BarEvent:
    """A note or rest of the file at its place in the bar."""

    at: int
    element: Element
    quarters: Fraction
    divisions: int
    pitches: list[Pitch] = field(default_factory=list)
    graces: tuple[Pitch, ...] = ()
    unpitched: bool = False

    @property
    def sounds(self) -> bool:
        """Whether it is a note, of any kind."""
        return bool(self.pitches) or self.unpitched


@dataclass(slots=True)
class BarSign:
    """A direction or chord symbol at its place in the bar."""

    at: int
    element: Element
    staff: int


@dataclass(slots=True)
class TakenBar:
    """One bar taken apart."""

    element: Element
    streams: dict[Stream, list[BarEvent]] = field(default_factory=dict)
    signs: list[BarSign] = field(default_factory=list)
    length: int = 0
    divisions: int = 1
    key: Key | None = None
    time: Time | None = None

    def sounds(self, stream: Stream) -> bool:
        """Whether a voice has a note in it."""
        return any(event.sounds for event in self.streams.get(stream, []))


class BarReader:
    """The bars of one part; ``interval`` is how it transposes once they have been read."""

    def __init__(self, measures: list[Element]) -> None:
        self._measures = measures
        self._divisions = 1
        self.interval = "P1"

    def read(self) -> list[TakenBar]:
        """Every bar taken apart; :class:`RefusedError` says what cannot be used."""
        return [self._taken_apart(measure) for measure in self._measures]

    def _taken_apart(self, measure: Element) -> TakenBar:
        bar = TakenBar(measure)
        at = latest = 0
        last: BarEvent | None = None
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
                bar.signs.append(BarSign(at + signed(child.said("offset")), child, staff))
            latest = max(latest, at)
        bar.length, bar.divisions = latest, self._divisions
        return bar

    def _event(self, note: Element, at: int, bar: TakenBar, graces: list[Element]) -> BarEvent | None:
        if note.find("cue"):
            return None
        if not note.find("duration"):
            raise RefusedError(f"{bar_name(bar.element)}: a note without a length", note.line)
        stream = (int(note.said("staff") or 1), note.said("voice") or "1")
        before = tuple(pitch for grace in graces for pitch in self._pitches(grace))
        divisions = whole(note, "duration")
        event = BarEvent(at, note, self._quarters(note, divisions), divisions, self._pitches(note), before)
        event.unpitched = note.find("unpitched") is not None
        if divisions:
            bar.streams.setdefault(stream, []).append(event)
        return event

    def _quarters(self, note: Element, divisions: int) -> Fraction:
        """The exact length: as written, where the divisions were too coarse to say it exactly."""
        said = Fraction(divisions, self._divisions)
        value = VALUES.get(note.said("type"))
        if value is None or note.find("rest"):
            return said
        dots = len(list(note.all("dot")))
        exact = value * (2 - Fraction(1, 2**dots))
        tuplet = ratio_of(note)
        if tuplet:
            exact = exact * tuplet.normal / tuplet.actual
        return exact if abs(exact - said) * self._divisions < 1 else said

    def _attributes(self, element: Element, bar: TakenBar) -> None:
        if element.find("divisions"):
            self._divisions = int(float(element.said("divisions")))
        moved = element.find("transpose")
        if moved:
            interval = interval_of(moved)
            if bar.element is not self._measures[0] and interval != self.interval:
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
        if step not in tuple(STEPS):
            raise RefusedError(f"{step[:10]!r} is no step of a note; steps are A to G", found.line)
        if not octave.isdecimal():
            raise RefusedError(
                f"{octave[:10]!r} is no octave; write a figure, as 4 for the octave of middle C", found.line
            )
        if not good:
            raise RefusedError(f"{step}{octave} altered by {alter} is not a note that brass players read", found.line)
        return [pitch]
