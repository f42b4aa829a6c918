"""Chord symbols by hand: what each usual spelling means, and what four players leave out of it.

Kinds and degrees are those of MusicXML 4.0 (``kind-value``, ``degree``); the tones of every kind are held against
music21. That a fifth is left out first, and a third, a seventh and the tone that names the chord last, is what
textbooks of harmony say.
"""

from __future__ import annotations

import pytest
from music21 import harmony

from beginnerband.music.chord_symbol import KINDS, ChordSymbol
from beginnerband.music.pitch import Pitch, transpose


def letters(tones: tuple[tuple[str, int], ...]) -> str:
    return " ".join(Pitch(*tone, 4).letter for tone in tones)


@pytest.mark.parametrize(
    ("symbol", "kind", "tones"),
    [
        ("Cm", "minor", "C Eb G"), ("Cdim", "diminished", "C Eb Gb"), ("Cmb5", "diminished", "C Eb Gb"),
        ("C+", "augmented", "C E G#"), ("C(#5)", "augmented", "C E G#"), ("Ab+", "augmented", "Ab C E"),
        ("C5", "power", "C G"), ("Cno3", "major", "C G"), ("Cm7b5", "half-diminished", "C Eb Gb Bb"),
        ("C#ø", "half-diminished", "C# E G B"), ("C7#5", "augmented-seventh", "C E G# Bb"),
        ("C+9", "dominant-ninth", "C E G# Bb D"), ("C7b5", "dominant", "C E Gb Bb"),
        ("Cmaj7#5", "major-seventh", "C E G# B"), ("Cm(maj7)", "major-minor", "C Eb G B"),
        ("C69", "major-sixth", "C E G A D"), ("Cm69", "minor-sixth", "C Eb G A D"),
        ("Csus69", "suspended-fourth", "C F G A D"), ("Csus24", "suspended-fourth", "C D F G"),
        ("Csus2", "suspended-second", "C D G"), ("C7sus4", "suspended-fourth", "C F G Bb"),
        ("Cmaj7sus4", "suspended-fourth", "C F G B"), ("C9sus4", "suspended-fourth", "C F G Bb D"),
        ("C7alt", "augmented-seventh", "C E G# Bb D#"), ("C7#9", "dominant", "C E G Bb D#"),
        ("C7b9", "dominant", "C E G Bb Db"), ("Cadd#11", "major", "C E G F#"), ("Cm11", "minor-11th", "C Eb G Bb D F"),
        ("Cmaj9", "major-ninth", "C E G B D"), ("C13", "dominant-13th", "C E G Bb D F A"), ("N.C.", "none", ""),
        ("Cm13", "minor-13th", "C Eb G Bb D F A"), ("Csus", "suspended-fourth", "C F G"),
        ("C7#5no3", "augmented-seventh", "C G# Bb"), ("Csus4(maj7)", "suspended-fourth", "C F G B"),
        ("Cadd9maj7", "major", "C E G B D"), ("Cmadd9maj7", "major-minor", "C Eb G B D"),
    ],
)  # fmt: skip
def test_what_a_symbol_means(symbol: str, kind: str, tones: str) -> None:
    read = ChordSymbol.parse(symbol)
    assert read.kind == kind
    assert letters(read.tones) == tones


def test_root_and_bass_move_together() -> None:
    """A whole tone up: C over E becomes D over F sharp, C alone D alone."""
    assert [ChordSymbol.parse(name).moved(lambda pitch: transpose(pitch, "M2")).name for name in ("C/E", "C")] == [
        "D/F#",
        "D",
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_the_tones_music21_gives_it(kind: str) -> None:
    theirs = harmony.CHORD_TYPES.get(harmony.CHORD_ALIASES.get(kind, kind))
    if theirs is None:
        assert kind == "none"
        return
    ours = {(degree, half_steps) for degree, half_steps in KINDS[kind].items()}
    major = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 14, 11: 17, 13: 21}
    read = set()
    for word in theirs[0].split(","):
        degree = int(word.strip("#-"))
        read.add((degree, major[degree] + word.count("#") - word.count("-")))
    assert ours == read


@pytest.mark.parametrize(
    ("symbol", "kept"),
    [
        ("C", "C E G"), ("C7", "C E G Bb"), ("C9", "C E Bb D"), ("C13", "C E Bb A"), ("Cm9", "C Eb Bb D"),
        ("C7b9", "C E Bb Db"), ("Cadd9", "C E G D"), ("C69", "C E A D"), ("C9sus4", "C F Bb D"),
        ("C+9", "C E G# Bb"),  # an altered fifth is what the symbol asks for, and stays
        ("Cm11", "C Eb Bb F"), ("C7#11", "C E Bb F#"), ("Cmaj13", "C E B A"), ("Cm13", "C Eb Bb A"),
        ("C11", "C Bb D F"), ("Cmaj11", "C B D F"),  # no major third a minor ninth below (common practice, no source)
        ("C7b9b13", "C E Bb Ab"), ("Cadd11", "C E G F"),
    ],
)  # fmt: skip
def test_what_four_players_play_of_a_chord(symbol: str, kept: str) -> None:
    assert letters(tuple(tone for tone, _ in ChordSymbol.parse(symbol).in_four)) == kept


def test_what_it_costs_to_leave_a_tone_out() -> None:
    """A third most, then a seventh; a plain fifth least, and an altered one more than that."""
    lost = dict(ChordSymbol.parse("C7").in_four)
    order = sorted(lost, key=lambda tone: -lost[tone])
    assert letters(tuple(order)) == "E Bb C G"
    assert dict(ChordSymbol.parse("C7b5").in_four)["G", -1] > lost["G", 0]


@pytest.mark.parametrize(
    ("symbol", "lowest", "leading"), [("C/E", "E", "E"), ("Cm", "C", ""), ("D7", "D", "F#"), ("Dsus4", "D", "")]
)
def test_the_bass_and_the_tone_not_to_double(symbol: str, lowest: str, leading: str) -> None:
    read = ChordSymbol.parse(symbol)
    assert read.lowest
    assert letters((read.lowest,)) == lowest
    assert (letters((read.leading,)) if read.leading else "") == leading
