"""Which short notes share a beam, bar by bar as they are printed: the beats can be seen (any primer of notation).

The words are those of MusicXML 4.0 (``beam-value``): one for each level, the outermost first.
"""

from __future__ import annotations

import pytest

from beginnerband.data.abc import read_abc
from beginnerband.music.beaming import beams

WORDS = {"": (), "(": ("begin",), "-": ("continue",), ")": ("end",)}
SECOND = {"(": "begin", "-": "continue", ")": "end", ">": "forward hook", "<": "backward hook"}


@pytest.mark.parametrize(
    ("metre", "bar", "shown"),
    [
        # eighths in pairs, one beat each; a quarter has no beam and joins none
        ("4/4", "C/2D/2E/2F/2 G2", "( ) ( ) ."),
        ("4/4", "C/2 D E/2 F2", ". . . ."),
        ("2/4", "C/2D/2 E/2F/2", "( ) ( )"),
        # three to a beat in 6/8, all six sixteenths in 3/8; four eighths to the beat of two in a bar
        ("6/8", "C/2D/2E/2 F/2G/2A/2", "( - ) ( - )"),
        ("3/8", "C/2D/4E/4F/2", "( -( -) )"),
        ("3/4", "C/2D/2E/2F/2G/2A/2", "( ) ( ) ( )"),
        ("2/2", "C/2D/2E/2F/2 G2", "( - - ) ."),
        # a rest ends a beam, and a note by itself keeps its flag
        ("2/4", "z/2C/2 D/2E/2", ". . ( )"),
        ("2/4", "C/4z/4D/4E/4 F", ". . (( )) ."),
        # second beams: two sixteenths at either end of a beat, four in it; short ones point to their neighbour
        ("1/4", "C/2D/4E/4", "( -( ))"),
        ("1/4", "C/4D/4E/2", "(( -) )"),
        ("1/4", "C/4D/4E/4F/4", "(( -- -- ))"),
        ("1/4", "C3/4D/4", "( )<"),
        ("1/4", "C/4D3/4", "(> )"),
        ("1/4", "C/4D/2E/4", "(> - )<"),
        # a pickup of three eighths: the beat it begins in is half over
        ("4/4", "C/2D/2E/2 | F4", ". ( )"),
    ],
)
def test_notes_share_a_beam_within_a_beat(metre: str, bar: str, shown: str) -> None:
    read = read_abc(f"X:1\nT:t\nS:written for this test\nM:{metre}\nL:1/4\nK:C\n{bar} |]\n")
    assert read.score, read.mistakes
    line = read.score.lines[0]
    wanted = [
        (*WORDS[word[0]], *(SECOND[level] for level in word[1:])) if word != "." else () for word in shown.split()
    ]
    assert list(beams(line.measures[0], line.time)) == wanted
