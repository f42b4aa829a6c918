"""Property tests on melodies nothing was tuned for, and on nonsense: parts that sound the source, or one true reason.

Outside source: the ABC collections in music21's corpus (Essen folk songs, O'Neill's, Ryan's Mammoth), read by music21's
own reader under the ABC 2.1 standard. It stumbles over decorations and grace notes, so it is given the music without.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from folksongs import abc_tunes
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from music21 import converter, harmony

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.data.tunes import read_bytes
from beginnerband.music.part import part
from beginnerband.music.playing import heard
from beginnerband.music.score import Line
from beginnerband.music.shift import sounding, to_key
from beginnerband.render.write_musicxml import Staff, musicxml

ROOT = Path(__file__).parent.parent
SAMPLES = [
    (collection, name, text)
    for collection, step, first in (("essenFolksong", 211, 5), ("oneills1850", 67, 11), ("ryansMammoth", 41, 3))
    for number, (name, text) in enumerate(abc_tunes(collection))
    if number % step == first
]
HEADER = "no (metre|key|mode|tempo|length)|a key signature|the tune has no|'"
Run = list[tuple[Fraction, int | None]]


def theirs(text: str) -> Run:
    """music21's notes and rests, tied notes joined."""
    music = "\n".join(
        line
        if re.match("[A-Za-z]:", line.strip())
        else re.sub(r"[.~HLMOPSTuvJ](?=[\^_=A-Ga-g(\[])|[()](?!\d)", "", re.sub(r'"[^"]*"|\{[^}]*\}', "", line))
        for line in text.splitlines()
    )
    score = converter.parse(f"%abc-2.1\n{music}\n", format="abc")
    found: Run = []
    held = False
    for element in score.parts[0].flatten().notesAndRests:
        if isinstance(element, harmony.ChordSymbol) or element.duration.isGrace:
            continue
        length = Fraction(element.quarterLength).limit_denominator(4096)
        midi = element.pitch.midi if element.isNote else None
        if found and (held or (midi is None and found[-1][1] is None)):
            found[-1] = (found[-1][0] + length, found[-1][1])
        else:
            found.append((length, midi))
        held = element.isNote and element.tie is not None and element.tie.type in ("start", "continue")
    return found


def ours(line: Line) -> Run:
    found: Run = []
    held = False
    for _, note in line:
        midi = note.pitch.midi if note.pitch else None
        if found and (held or (midi is None and found[-1][1] is None)):
            found[-1] = (found[-1][0] + note.quarters, found[-1][1])
        else:
            found.append((note.quarters, midi))
        held = note.tie
    return found


@pytest.mark.parametrize("collection", ["essenFolksong", "oneills1850", "ryansMammoth"])
def test_melodies_give_true_parts_or_a_refusal_with_bar_and_reason(book: Book, collection: str) -> None:
    played = refused = 0
    for _, name, text in (sample for sample in SAMPLES if sample[0] == collection):
        read = read_abc(text)
        if read.score is None:
            refused += 1
            for mistake in read.mistakes:
                assert re.match(rf"bar \d+: |{HEADER}", mistake.message), (name, mistake)
            check_refusal(name, text, read.mistakes[0].message)
            continue
        played += 1
        line = read.score.lines[0]
        assert ours(line) == theirs(text), name
        check_parts(book, line, name)
    assert played > 3 * refused, (played, refused)


def check_refusal(name: str, text: str, message: str) -> None:
    """Where a bar's length is the reason, music21 too finds a bar that is not full."""
    if "beats" not in message:
        return
    score = converter.parse(text, format="abc")
    bars = [bar for bar in score.parts[0].getElementsByClass("Measure") if bar.notesAndRests]
    lengths = {sum(element.quarterLength for element in bar.notesAndRests) for bar in bars}
    assert len(lengths) > 1, name


def check_parts(book: Book, line: Line, name: str) -> None:
    for player in book.band.pitched[2:7:2]:
        for fifths in (-2, 3):
            made = part(line, fifths, player, "first-year")
            back = heard(sounding(made.written, player.reading), unfold=False)
            assert back == heard(to_key(line, fifths, made.octaves), unfold=False), name
            assert musicxml([Staff(made.written)]), name


# -- nonsense

TUNES = [path.read_bytes() for path in sorted((ROOT / "content" / "tunes").glob("*.abc"))[::6]]


def lines_or_score(content: bytes, suffix: str) -> None:
    score, _, mistakes = read_bytes(content, suffix)
    assert (score is None) == bool(mistakes)
    for mistake in mistakes:
        assert mistake.message
        assert "\n" not in mistake.message


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.binary(max_size=300))
def test_any_bytes_give_a_score_or_one_clear_line(content: bytes) -> None:
    lines_or_score(content, ".abc")
    lines_or_score(b"X:1\nT:t\nM:4/4\nL:1/4\nK:C\n" + content, ".abc")


ABC_SIGNS = "ABCDEFGabcdefgz|:[]()-,'/0123456789 ^_=.~!><{}&\"\n%VKMLQ\\"


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(alphabet=ABC_SIGNS, max_size=120))
def test_any_string_of_abc_signs_gives_a_score_or_one_clear_line(music: str) -> None:
    lines_or_score(f"X:1\nT:t\nM:3/4\nL:1/8\nK:Bb\n{music}".encode(), ".abc")


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(TUNES), st.integers(0, 400), st.binary(max_size=4), st.integers(0, 5))
def test_damaged_tunes_give_a_score_or_one_clear_line(tune: bytes, at: int, put: bytes, cut: int) -> None:
    lines_or_score(tune[:at] + put + tune[at + cut :], ".abc")


def _file() -> bytes:
    read = read_abc(TUNES[2].decode())
    assert read.score
    return musicxml([Staff(read.score.lines[0])], "t").encode()


MUSICXML = _file()


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(300, len(MUSICXML) - 1), st.binary(max_size=4), st.integers(0, 30))
def test_damaged_musicxml_gives_a_score_or_one_clear_line(at: int, put: bytes, cut: int) -> None:
    lines_or_score(MUSICXML[:at] + put + MUSICXML[at + cut :], ".musicxml")


@settings(max_examples=30, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_as_mxl_give_one_clear_line(content: bytes) -> None:
    lines_or_score(b"PK\x03\x04" + content, ".mxl")
