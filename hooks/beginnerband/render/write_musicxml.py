"""Writes MusicXML 4.0 (W3C): one score of one or more staves, straight from the score model.

Written by hand rather than through music21 because it must be quick: a file takes well under a millisecond.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import KW_ONLY, dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import lcm
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

from beginnerband.music.beaming import Beams, beams
from beginnerband.music.chord_symbol import ChordSymbol
from beginnerband.music.pitch import Pitch, semitones
from beginnerband.music.playing import jump_words, mark_label
from beginnerband.music.score import Key, Line, Measure, Note, Syllable, Tempo, Time, Tuplet
from beginnerband.music.shift import steps

PROPOSED = "#808080"
"""Colour of what the handbook proposes: grey, to be seen on light and dark ground."""

PAD = "\u2007"  # figure space
"""Space that makes room in an engraving and is taken out of the picture again."""

SUNG = "\u2060"  # word joiner
"""Marks words to sing in a picture, where fingerings stand as lyrics as well; taken out again."""

_CLEFS = {"treble": ("G", 2), "bass": ("F", 4), "percussion": ("percussion", 0)}
_ACCIDENTALS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
_DRUM_LINES = {"snare": ("E", 4), "bass-drum": ("E", 4), "cymbal": ("E", 4)}
_DRUM_MIDI = {"snare": 39, "bass-drum": 37, "cymbal": 50}  # General MIDI keys, from 1 as in MusicXML


@dataclass(frozen=True, slots=True)
class Staff:
    """One staff of a file."""

    line: Line
    """What is written on it."""
    name: str = ""
    """Name of the part, as ``Cornet``."""
    _: KW_ONLY
    clef: str = "treble"
    """``treble``, ``bass`` or ``percussion``."""
    transposition: str = "P1"
    """From written to sounding, a music21 interval name."""
    under: tuple[str, ...] = ()
    """A fingering or position under each note in order (empty text for none); or nothing at all."""
    midi_program: int = 0
    """General MIDI program 1 to 128; 0 to say nothing."""
    second: Line | None = None
    """A second voice on the same staff, stems down; the first voice's then go up."""
    cue: Line | None = None
    """Small notes that others play, shown in bars where this line has notes and the player rests."""


def musicxml(
    staves: Sequence[Staff],
    title: str = "",
    composer: str = "",
    bare: bool = False,
    named: bool = False,
    group: str = "",
    breaks: Sequence[int] | None = None,
) -> str:
    """The file as text. ``bare`` leaves out names, tempo and instruments, for a picture of the staff alone.

    ``named`` keeps the names in a picture; ``group`` joins the staves by a ``bracket`` or ``brace``. A new
    line begins at each place of a bar in ``breaks``; where there are none, it is one line.
    """
    ids = [f"P{number}" for number in range(1, len(staves) + 1)]
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE score-partwise PUBLIC '
        '"-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">\n'
        '<score-partwise version="4.0">\n'
    ]
    if not bare:
        out.append(f"<work><work-title>{escape(title)}</work-title></work>\n<identification>")
        if composer:
            out.append(f'<creator type="composer">{escape(composer)}</creator>')
        out.append("<encoding><software>beginner-band handbook</software></encoding></identification>\n")
    out.append("<part-list>\n")
    if group:
        out.append(f'<part-group type="start" number="1"><group-symbol>{group}</group-symbol>')
        out.append("<group-barline>yes</group-barline></part-group>\n")
    out += [_score_part(staff, ident, bare, named) for staff, ident in zip(staves, ids, strict=True)]
    if group:
        out.append('<part-group type="stop" number="1"/>\n')
    out.append("</part-list>\n")
    number, begin = 0, frozenset() if breaks is None else frozenset((0, *breaks))
    for staff, ident in zip(staves, ids, strict=True):
        out.append(f'<part id="{ident}">\n')
        bars = _bars(staff, ident, bare, number)
        out += (bar.begins if place in begin else bar.goes_on for place, bar in enumerate(bars))
        out.append("</part>\n")
        number += numbers(staff)
    out.append("</score-partwise>\n")
    return "".join(out)


def numbers(staff: Staff) -> int:
    """How many ``data-note`` numbers a staff takes up in a picture: its notes and rests, then its second voice's."""
    return sum(len(bar.notes) for line in (staff.line, staff.second) if line for bar in line.measures)


def _score_part(staff: Staff, ident: str, bare: bool, named: bool) -> str:
    name = escape(staff.name) if named or not bare else ""
    out = f'<score-part id="{ident}"><part-name>{name}</part-name>'
    drums = sorted({note.drum for _, note in staff.line if note.drum})
    if drums:
        for drum in drums:
            out += f'<score-instrument id="{ident}-{drum}"><instrument-name>{drum}</instrument-name></score-instrument>'
        for drum in drums:
            out += (
                f'<midi-instrument id="{ident}-{drum}"><midi-channel>10</midi-channel>'
                f"<midi-unpitched>{_DRUM_MIDI[drum]}</midi-unpitched></midi-instrument>"
            )
    elif staff.midi_program and not bare:
        out += (
            f'<score-instrument id="{ident}-I"><instrument-name>{escape(staff.name)}</instrument-name>'
            f'</score-instrument><midi-instrument id="{ident}-I"><midi-program>{staff.midi_program}</midi-program>'
            "</midi-instrument>"
        )
    return out + "</score-part>\n"


def spaced(under: Sequence[str]) -> tuple[str, ...]:
    """Fingerings with :data:`PAD` after those that a longer one follows.

    Verovio leaves room for texts that begin at their notes; a picture centres them, so that a long one reaches back.
    """
    neighbours = pairwise((*under, ""))
    return tuple(text + PAD * ((len(after) - len(text) + 1) // 2) if text else "" for text, after in neighbours)


class _Bar(NamedTuple):
    """A bar as text."""

    begins: str
    """Where a line begins with it."""
    goes_on: str
    """Elsewhere."""


@lru_cache(maxsize=64)
def _bars(staff: Staff, ident: str, bare: bool, first: int) -> tuple[_Bar, ...]:
    """The bars of a staff: the same for every width it is drawn in, one after the other."""
    return tuple(_Writer(staff, ident, bare, first).measures())


class _Writer:
    """Writes the bars of one staff."""

    def __init__(self, staff: Staff, ident: str, bare: bool, first: int = 0, voice: int = 1, stem: str = "") -> None:
        self.staff = staff
        self.ident = ident
        self.bare = bare
        self.key = staff.line.key
        self.time = staff.line.time
        self.tied: Pitch | None = None
        self.place = first
        self.voice = voice
        self.stem = stem or ("up" if staff.second else "")
        self.cue = False
        self.slurs: list[int] = []
        self.below = int(bare and any(staff.under))  # fingerings are the first line below a picture's notes
        self.under = iter(spaced(staff.under) if bare else staff.under)
        lines = [line for line in (staff.line, staff.second, staff.cue) if line]
        self.divisions = lcm(*{note.quarters.denominator for line in lines for _, note in line})
        self.altered: dict[tuple[str, int], int] = {}
        self.others = self._others(first)

    def _others(self, first: int) -> list[_Writer]:
        """Writers of a second voice and of cues, which share this staff."""
        found = []
        if self.staff.second:
            after = first + sum(len(bar.notes) for bar in self.staff.line.measures)
            found.append(_Writer(Staff(self.staff.second), self.ident, self.bare, after, 2, "down"))
        if self.staff.cue:
            found.append(_Writer(Staff(self.staff.cue), self.ident, False, 0, 3, "up"))
            found[-1].cue = True
        for writer in found:
            writer.divisions = self.divisions
        return found

    def measures(self) -> Iterator[_Bar]:
        bars = self.staff.line.measures
        for place, measure in enumerate(bars):
            yield self.measure(measure, place, bars[place + 1] if place + 1 < len(bars) else None)

    def measure(self, measure: Measure, place: int, after: Measure | None) -> _Bar:
        self.altered = {}
        self.key, self.time = measure.key or self.key, measure.time or self.time
        implicit = ' implicit="yes"' if measure.number == 0 else ""
        tag = f'<measure number="{measure.number}"{implicit}>'
        begin = "".join([_left(measure), self.attributes(measure, place == 0), *self.directions(measure, place)])
        # Verovio numbers no line that begins with a letter
        number = _words(str(measure.number)) if place and measure.rehearsal and self.bare else ""
        out = list(self.notes(measure))
        for other in self.others:
            out += other.beside(other.staff.line.measures[place], measure.quarters)
        out += (_direction(kind, "above", sound) for kind, sound in _closing(self.staff.line, place))
        rest = "".join([*out, _right(measure, after), "</measure>\n"])
        return _Bar(f'{tag}<print new-system="yes"/>{begin}{number}{rest}', f"{tag}{begin}{rest}")

    def notes(self, measure: Measure) -> Iterator[str]:
        for note, beam in zip(measure.notes, beams(measure, self.time), strict=True):
            yield from self.before(note)
            yield self.note(note, beam)

    def beside(self, measure: Measure, quarters: Fraction) -> Iterator[str]:
        """This voice's bar, after going back to its start; nothing where a cue has nothing to show."""
        self.altered = {}
        self.key, self.time = measure.key or self.key, measure.time or self.time
        if self.cue and all(note.rest for note in measure.notes):
            return
        yield f"<backup><duration>{quarters * self.divisions}</duration></backup>"
        yield from self.notes(measure)

    def attributes(self, measure: Measure, first: bool) -> str:
        out = f"<divisions>{self.divisions}</divisions>" if first else ""
        pitched = self.staff.clef != "percussion"
        if measure.key and pitched:
            out += _key(measure.key)
        if measure.time:
            out += _time(measure.time)
        if first:
            sign, line = _CLEFS[self.staff.clef]
            lines = "" if pitched else "<staff-details><staff-lines>1</staff-lines></staff-details>"
            out += f"<clef><sign>{sign}</sign>{f'<line>{line}</line>' if line else ''}</clef>{lines}"
            out += self.transpose()
        return f"<attributes>{out}</attributes>" if out else ""

    def transpose(self) -> str:
        chromatic = semitones(self.staff.transposition)
        if not chromatic or self.bare:
            return ""
        diatonic = steps(self.staff.transposition)
        octaves = int(chromatic / 12)
        return (
            f"<transpose><diatonic>{diatonic - 7 * octaves}</diatonic><chromatic>{chromatic - 12 * octaves}</chromatic>"
            + (f"<octave-change>{octaves}</octave-change>" if octaves else "")
            + "</transpose>"
        )

    def directions(self, measure: Measure, place: int) -> Iterator[str]:
        if measure.tempo and not self.bare:
            yield _tempo(measure.tempo)
        if measure.rehearsal:
            yield _direction(f"<rehearsal>{escape(measure.rehearsal)}</rehearsal>", "above")
        for mark in ("segno", "coda"):
            if mark in measure.marks:
                label = mark_label(self.staff.line, place, mark)
                yield _direction(f"<{mark}/>", "above", f'<sound {mark}="{label}"/>')

    def before(self, note: Note) -> Iterator[str]:
        if note.chord:
            yield _harmony(note.chord)
        if note.words:
            yield _words(note.words)
        if note.dynamic:
            yield _direction(f"<dynamics><{note.dynamic}/></dynamics>", "below")
        if note.hairpin and note.hairpin != "stop":
            yield _direction(f'<wedge type="{note.hairpin}"/>', "below")
        for grace in note.graces:
            yield (
                f'<note><grace slash="yes"/>{self.pitch(grace)}<voice>1</voice><type>eighth</type>'
                f"{self.accidental(grace)}</note>"
            )

    def note(self, note: Note, beam: Beams) -> str:
        name, dots = note.value
        stop = self.tied is not None and note.pitch is not None
        duration = note.quarters.numerator * (self.divisions // note.quarters.denominator)
        ident = f' id="n-{self.place}"' if self.bare else ""
        self.place += 1
        out = [
            f"<note{ident}>{'<cue/>' if self.cue else ''}{self.what(note)}<duration>{duration}</duration>",
            '<tie type="stop"/>' if stop else "",
            '<tie type="start"/>' if note.tie else "",
            f'<instrument id="{self.ident}-{note.drum}"/>' if note.drum else "",
            f"<voice>{self.voice}</voice><type>{name}</type>{'<dot/>' * dots}",
            self.accidental(note.pitch) if note.pitch and not stop else "",
            _modification(note.tuplet) if note.tuplet else "",
            f"<stem>{self.stem or 'up'}</stem>" if note.drum or (self.stem and note.pitch) else "",
        ]
        if beam:
            out += (f'<beam number="{level}">{word}</beam>' for level, word in enumerate(beam, 1))
        under = next(self.under, "")
        out.append(self.notations(note, stop, under))
        if under and self.bare:
            out.append(f'<lyric number="1"><syllabic>single</syllabic><text>{escape(under)}</text></lyric>')
        if note.lyrics:
            out += (_lyric(sung, sung.verse + self.below, SUNG * self.bare) for sung in self.sung(note))
        out.append("</note>")
        if note.hairpin == "stop":
            out.append(_direction('<wedge type="stop"/>', "below"))
        self.tied = note.pitch if note.tie else None
        return "".join(out)

    def sung(self, note: Note) -> tuple[Syllable, ...]:
        """Every verse; in a picture, where fingerings stand under the notes too, the first."""
        return tuple(sung for sung in note.lyrics if sung.verse == 1) if self.bare else note.lyrics

    def what(self, note: Note) -> str:
        if note.pitch:
            return self.pitch(note.pitch)
        if note.drum:
            step, octave = _DRUM_LINES[note.drum]
            return (
                f"<unpitched><display-step>{step}</display-step><display-octave>{octave}</display-octave></unpitched>"
            )
        whole = ' measure="yes"' if note.quarters == self.time.quarters else ""
        return f"<rest{whole}/>"

    @staticmethod
    def pitch(pitch: Pitch) -> str:
        alter = f"<alter>{pitch.alter}</alter>" if pitch.alter else ""
        return f"<pitch><step>{pitch.step}</step>{alter}<octave>{pitch.octave}</octave></pitch>"

    def accidental(self, pitch: Pitch) -> str:
        """The sign that must be printed: where the note differs from the signature or from one before it in the bar."""
        place = (pitch.step, pitch.octave)
        if self.altered.get(place, self.key.alters[pitch.step]) == pitch.alter:
            return ""
        self.altered[place] = pitch.alter
        return f"<accidental>{_ACCIDENTALS[pitch.alter]}</accidental>"

    def notations(self, note: Note, stop: bool, under: str) -> str:
        out = ['<tied type="stop"/>' if stop else "", '<tied type="start"/>' if note.tie else ""]
        for _ in range(note.slur_stops):
            if self.slurs:
                out.append(f'<slur type="stop" number="{self.slurs.pop()}"/>')
        for _ in range(note.slur_starts):
            number = next(free for free in range(1, 100) if free not in self.slurs)
            self.slurs.append(number)
            out.append(f'<slur type="start" number="{number}"/>')
        if note.tuplet and note.tuplet.edge:
            out.append(f'<tuplet type="{note.tuplet.edge}"/>')
        if under and not self.bare:
            out.append(f'<technical><fingering placement="below">{escape(under)}</fingering></technical>')
        if note.articulations or note.breath:
            signs = "".join(f"<{name}/>" for name in note.articulations) + _breath(note)
            out.append(f"<articulations>{signs}</articulations>")
        if note.fermata:
            out.append("<fermata/>")
        inside = "".join(out)
        return f"<notations>{inside}</notations>" if inside else ""


def _breath(note: Note) -> str:
    if not note.breath:
        return ""
    return f'<breath-mark color="{PROPOSED}"/>' if note.proposed else "<breath-mark/>"


def _key(key: Key) -> str:
    return f"<key><fifths>{key.fifths}</fifths><mode>{key.mode}</mode></key>"


def _time(time: Time) -> str:
    symbol = f' symbol="{time.symbol}"' if time.symbol else ""
    return f"<time{symbol}><beats>{time.beats}</beats><beat-type>{time.unit}</beat-type></time>"


def _modification(tuplet: Tuplet) -> str:
    return (
        f"<time-modification><actual-notes>{tuplet.actual}</actual-notes>"
        f"<normal-notes>{tuplet.normal}</normal-notes></time-modification>"
    )


def _direction(kind: str, placement: str, after: str = "") -> str:
    return f'<direction placement="{placement}"><direction-type>{kind}</direction-type>{after}</direction>'


def _words(text: str) -> str:
    return _direction(f"<words>{escape(text)}</words>", "above")


def _tempo(tempo: Tempo) -> str:
    per_minute = f"{float(tempo.bpm):g}"
    sound = f'<sound tempo="{float(tempo.quarters_a_minute):g}"/>'
    words = f"<words>{escape(tempo.words)}</words>" if tempo.words else ""
    try:
        name, dots = Note(tempo.beat).value
    except ValueError:
        return _direction(words or f"<words>{per_minute} a minute</words>", "above", sound)
    unit = f"<beat-unit>{name}</beat-unit>{'<beat-unit-dot/>' * dots}<per-minute>{per_minute}</per-minute>"
    return _direction(words or f"<metronome>{unit}</metronome>", "above", sound)


def _harmony(chord: ChordSymbol) -> str:
    if chord.root is None:  # the schema asks for a root here, too
        root = '<root><root-step text="">C</root-step></root>'
        return f'<harmony>{root}<kind text="N.C.">none</kind></harmony>'
    out = _letter("root", chord.root) + f"<kind text={quoteattr(chord.quality)}>{chord.kind}</kind>"
    out += _letter("bass", chord.bass) if chord.bass else ""
    for action, degree, alter in chord.degrees:
        out += (
            f'<degree print-object="no"><degree-value>{degree}</degree-value><degree-alter>{alter}</degree-alter>'
            f"<degree-type>{action}</degree-type></degree>"
        )
    return f"<harmony>{out}</harmony>"


def _letter(element: str, letter: tuple[str, int]) -> str:
    step, alter = letter
    inside = f"<{element}-step>{step}</{element}-step>"
    inside += f"<{element}-alter>{alter}</{element}-alter>" if alter else ""
    return f"<{element}>{inside}</{element}>"


def _lyric(sung: Syllable, number: int, sign: str) -> str:
    extend = "<extend/>" if sung.held else ""
    text = f"<text>{sign}{escape(sung.text)}</text>{extend}"
    return f'<lyric number="{number}"><syllabic>{sung.place}</syllabic>{text}</lyric>'


def _closing(line: Line, place: int) -> Iterator[tuple[str, str]]:
    """Words and ``<sound>`` (MusicXML 4.0) of the signs at the end of a bar, jumps last."""
    marks = line.measures[place].marks
    if "to-coda" in marks:
        label = mark_label(line, place, "to-coda")
        yield "<words>To Coda</words>", f'<sound tocoda="{label}"/>'
    if "fine" in marks:
        yield "<words>Fine</words>", '<sound fine="yes"/>'
    words = jump_words(line, place)
    if words:
        label = mark_label(line, place, "dal-segno")
        sound = '<sound dacapo="yes"/>' if "da-capo" in marks else f'<sound dalsegno="{label}"/>'
        yield f"<words>{words}</words>", sound


def _left(measure: Measure) -> str:
    out = "<bar-style>heavy-light</bar-style>" if measure.repeat_start else ""
    if measure.ending and measure.ending_start:
        out += f'<ending number="{_numbers(measure)}" type="start"/>'
    out += '<repeat direction="forward"/>' if measure.repeat_start else ""
    return f'<barline location="left">{out}</barline>' if out else ""


def _right(measure: Measure, after: Measure | None) -> str:
    style = "light-heavy" if measure.repeat_end or measure.barline == "final" else ""
    style = style or ("light-light" if measure.barline == "double" else "")
    out = f"<bar-style>{style}</bar-style>" if style else ""
    closes = after is None or after.ending != measure.ending or after.ending_start
    if measure.ending and closes:
        kind = "stop" if measure.repeat_end or style else "discontinue"
        out += f'<ending number="{_numbers(measure)}" type="{kind}"/>'
    if measure.repeat_end:
        times = f' times="{measure.repeat_end}"' if measure.repeat_end != 2 else ""
        out += f'<repeat direction="backward"{times}/>'
    return f'<barline location="right">{out}</barline>' if out else ""


def _numbers(measure: Measure) -> str:
    return ",".join(map(str, measure.ending))
