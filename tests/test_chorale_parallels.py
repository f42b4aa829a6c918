"""What a trained ear would notice, in every four-part chorale of music21's corpus, against its voice-leading module."""

from __future__ import annotations

from itertools import combinations, islice

from chorales import each_chunk, lines_of_chorales
from music21 import note as m21note
from parallels import parallels_by_music21, parallels_found

from beginnerband.music.voiceleading import Sounding, check, moments


@each_chunk
def test_parallels_and_crossings_of_every_chorale_are_those_music21_finds(chunk: int) -> None:
    seen = 0
    for name, lines in lines_of_chorales(chunk):
        seen += 1
        found = check([Sounding(voice, part) for voice, part in lines.items()])
        at = moments(list(lines.values()))
        assert parallels_found(found) == parallels_by_music21(at, tuple(lines)), name
        crossed = {
            (moment.bar, upper, lower)
            for moment in at
            for upper, lower in combinations(range(4), 2)
            if (high := moment.pitches[upper])
            and (low := moment.pitches[lower])
            and m21note.Note(high.midi).pitch < m21note.Note(low.midi).pitch
        }
        voices = tuple(lines)
        reported = {
            (bar, *one.voices) for one in found if one.kind == "crossing" for bar in range(one.bar, one.last_bar + 1)
        }
        assert {(bar, voices[upper], voices[lower]) for bar, upper, lower in crossed} == reported, name
    assert seen > 20


def test_the_checker_is_not_blind() -> None:
    """The corpus has parallels and crossings at all, so that agreeing about them says something."""
    some = islice(lines_of_chorales(0), 20)
    kinds = {one.kind for _, lines in some for one in check([Sounding(v, p) for v, p in lines.items()])}
    assert {"parallel-fifths", "crossing", "spacing"} <= kinds
