"""How far one sound is from another, in words."""

from __future__ import annotations

import pytest

from beginnerband.music.distance import in_words


# Names of intervals as in any primer of theory (common practice, no source), each counted on a keyboard by hand.
@pytest.mark.parametrize(
    ("semitones", "words"),
    [
        (0, "the same"),
        (2, "a tone higher"),
        (-7, "a fifth lower"),
        (9, "a major sixth higher"),  # C to A: a tenor horn's written note and its sound, turned round
        (11, "a major seventh higher"),
        (12, "an octave higher"),
        (-12, "an octave lower"),
        (-14, "an octave and a tone lower"),  # a baritone read in treble clef
        (-21, "an octave and a major sixth lower"),  # an E flat bass read in treble clef
        (23, "an octave and a major seventh higher"),
        (24, "two octaves higher"),
        (-26, "two octaves and a tone lower"),  # a B flat bass read in treble clef
    ],
)
def test_a_distance_is_said_in_octaves_and_an_interval(semitones: int, words: str) -> None:
    assert in_words(semitones) == words
