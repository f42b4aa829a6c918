"""Directions and chord symbols of a MusicXML bar, set to the notes they stand over or under."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from beginnerband.data.barring import Voice
from beginnerband.data.bars import unplayable
from beginnerband.data.musicxml_bars import TakenBar
from beginnerband.data.musicxml_elements import chord_of, loudness, tempo_of, words_of
from beginnerband.data.xmltree import Element
from beginnerband.music.chord_symbol import ChordSymbol
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Note


class SignsOfBar:
    """Directions and chord symbols of one bar, waiting for the notes of one voice."""

    def __init__(self, moved: Callable[[Pitch], Pitch], bar: TakenBar, voice: Voice, number: int) -> None:
        self.moved = moved
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
            if tempo and (wrong := unplayable(tempo)):
                self.voice.remark(sign.element.line, f"a tempo of {wrong}; it is left out")
            elif tempo:
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
        return chord.moved(self.moved) if chord else None
