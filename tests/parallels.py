"""Parallel fifths, octaves and unisons as music21's voice-leading module finds them, and ours in the same form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import combinations, pairwise

from music21 import note as m21note
from music21 import voiceLeading

from beginnerband.music.score import Line
from beginnerband.music.voiceleading import Finding, Moment, Sounding, check, moments

Parallels = set[tuple[str, int, Fraction, tuple[str, ...]]]
"""Kind, bar, beat and the two voices of each."""


@lru_cache(maxsize=100_000)
def _m21(names: tuple[str, ...]) -> tuple[bool, bool, bool]:
    quartet = voiceLeading.VoiceLeadingQuartet(*(m21note.Note(name.replace("b", "-")) for name in names))
    return quartet.parallelFifth(), quartet.parallelOctave(), quartet.parallelUnison()


def _class(kind: str) -> str:
    """music21 names some octaves unisons, so the two are compared as one."""
    return "fifths" if kind.endswith("fifths") else "octaves or unisons"


def parallels_found(found: Sequence[Finding]) -> Parallels:
    """Those among our findings."""
    return {(_class(one.kind), one.bar, one.beat, one.voices) for one in found if one.kind.startswith("parallel")}


def parallels_by_music21(at: Sequence[Moment], voices: Sequence[str]) -> Parallels:
    """Those music21 finds between every two lines."""
    kinds = ("parallel-fifths", "parallel-octaves", "parallel-unisons")
    found = set()
    for before, after in pairwise(at):
        for upper, lower in combinations(range(len(voices)), 2):
            four = (before.pitches[upper], after.pitches[upper], before.pitches[lower], after.pitches[lower])
            if all(four):
                for kind, there in zip(kinds, _m21(tuple(pitch.name for pitch in four)), strict=True):
                    if there:
                        found.add((_class(kind), after.bar, after.beat, (voices[upper], voices[lower])))
    return found


Crossings = set[tuple[int, str, str]]
"""Bar, upper voice and lower voice of each: the voice that is to be above is below."""


def crossings_found(found: Sequence[Finding]) -> Crossings:
    """Those among our findings."""
    crossings = (one for one in found if one.kind == "crossing")
    return {(bar, one.voices[0], one.voices[1]) for one in crossings for bar in range(one.bar, one.last_bar + 1)}


def crossings_by_music21(at: Sequence[Moment], voices: Sequence[str]) -> Crossings:
    """Those between every two lines, as music21 orders two pitches."""
    found = set()
    for moment in at:
        for upper, lower in combinations(range(len(voices)), 2):
            high, low = moment.pitches[upper], moment.pitches[lower]
            if high and low and m21note.Note(high.midi).pitch < m21note.Note(low.midi).pitch:
                found.add((moment.bar, voices[upper], voices[lower]))
    return found


def differences(lines: Mapping[str, Line]) -> set[object]:
    """The parallels and crossings that we or music21 find alone, in these lines by voice from the top."""
    found = check([Sounding(voice, part) for voice, part in lines.items()])
    at, voices = moments(list(lines.values())), tuple(lines)
    return {
        *parallels_found(found) ^ parallels_by_music21(at, voices),
        *crossings_found(found) ^ crossings_by_music21(at, voices),
    }
