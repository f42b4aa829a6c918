"""Three lines below a melody, worked by hand: where its chords change, which they are, where the voices lie.

The rules are those of any textbook of four-part harmony (common practice, no source): a third in every chord and no
leading note twice, the nearest tones, nothing above the melody, no parallel fifths or octaves, the dominant and then
the tonic at the end. Each case is one whose answer follows from a rule or two; which, is said beside it.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from beginnerband.data.abc import read_abc
from beginnerband.music.chord_symbol import ChordSymbol
from beginnerband.music.harmony import Segment, _alone, _degree, by_rule, four_parts, symbols
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import BarError, Key, Line


def line(text: str, key: str = "C", metre: str = "4/4") -> Line:
    read = read_abc(f"X:1\nT:t\nS:written for this test\nM:{metre}\nL:1/4\nQ:1/4=60\nK:{key}\n{text}\n")
    assert read.score, [mistake.message for mistake in read.mistakes]
    return read.score.lines[0]


def told(segments: tuple[Segment, ...]) -> str:
    """As ``C:2 F:2 | G:4``: chords with their lengths in quarter notes, ``-`` for none."""
    bars: dict[int, list[str]] = {}
    at = dict[int, Fraction]()
    for one in segments:
        assert one.start == at.get(one.place, 0), "one follows another without a gap"
        at[one.place] = one.start + one.quarters
        bars.setdefault(one.place, []).append(f"{one.chord.name if one.chord else '-'}:{one.quarters}")
    return " | ".join(" ".join(bar) for bar in bars.values())


def lower(melody: Line, segments: tuple[Segment, ...]) -> list[str]:
    """Alto, tenor and bass as ``G4:2 A4:2 | …``; ``z`` for a rest, ``-`` for a tie, a comma for a breath."""
    made = four_parts(melody, segments)
    assert list(made) == ["soprano", "alto", "tenor", "bass"]
    assert [voice.name for voice in made.values()] == ["Soprano", "Alto", "Tenor", "Bass"]
    return [
        " | ".join(
            " ".join(
                f"{note.pitch.letter + str(note.pitch.octave) if note.pitch else 'z'}:{note.quarters}"
                f"{'-' if note.tie else ''}{',' if note.breath else ''}"
                for note in bar.notes
            )
            for bar in made[voice].measures
        )
        for voice in ("alto", "tenor", "bass")
    ]


@pytest.mark.parametrize(
    ("music", "chords"),
    [
        ('"C"e2 "F"f2 | "G7"d2 B2 | "C"c4 |]', "C:2 F:2 | G7:4 | C:4"),
        ('c2 "F"c "G"d | "N.C."e4 | "C"g4 |]', "-:2 F:1 G:1 | -:4 | C:4"),  # nothing is said before the first
        ('"C"c3 e | f2 "G"d2 | e4 |]', "C:4 | C:2 G:2 | G:4"),  # a chord holds until the next, over a bar line too
        ('"C"c "F"f "C"e2 | "G"d4 |]', "C:1 F:1 C:2 | G:4"),
    ],
)
def test_a_chord_holds_from_its_symbol_to_the_next_and_is_cut_at_bar_lines(music: str, chords: str) -> None:
    assert told(symbols(line(music))) == chords


@pytest.mark.parametrize(
    ("music", "metre", "chords"),
    [
        # half a bar each in four and in the two beats of 6/8 and the four of 12/8; a bar each in two and in three
        ("c d e c | f e d B | c4 |]", "4/4", "C:2 C:2 | F:2 G:2 | C:4"),
        ("c d | e f | g g | c2 |]", "2/4", "C:2 | C:2 | G:2 | C:2"),
        ("c e g | d f a | g f d | c3 |]", "3/4", "C:3 | Dm:3 | G:3 | C:3"),
        ("c3/2 e3/2 | g3/2 B3/2 | c3 |]", "6/8", "C:3/2 C:3/2 | C:3/2 G:3/2 | C:3"),
        ("c3/2 e3/2 f3/2 f3/2 | g3/2 B3/2 c3 |]", "12/8", "C:3 F:3 | G:3 C:3"),
        ("c e d g c | c B c2 c |]", "5/4", "C:5 | C:5"),  # five cannot be halved
        # a pickup of three beats is the end of a bar: its first beat belongs to the bar's first half
        ("c B d | c4 |]", "4/4", "C:1 G:2 | C:4"),
        # a long note is not cut: what begins under it begins with the next note
        ("c3 f | d B c2 |]", "4/4", "C:3 F:1 | G:2 C:2"),
        # where there are only rests there is no chord
        ("G2 z2 | z4 | c4 |]", "4/4", "C:2 -:2 | -:4 | C:4"),
        # the metre in force counts, not the first
        ("[M:2/4]c c | [M:4/4] f f B B | c4 |]", "4/4", "C:2 | F:2 G:2 | C:4"),
    ],
)
def test_a_chord_is_chosen_for_half_a_bar_or_a_whole_one(music: str, metre: str, chords: str) -> None:
    melody = line(music, metre=metre)
    found = by_rule(melody)
    lengths = [part.partition(":")[2] for part in told(found).replace("| ", "").split()]
    assert lengths == [part.partition(":")[2] for part in chords.replace("| ", "").split()]
    assert told(found) == chords


@pytest.mark.parametrize(
    ("music", "key", "chords"),
    [
        # every note belongs to one chord of the key; IV and V between I and I
        ("c c f f | B B c2 |]", "C", "C:2 F:2 | G:2 C:2"),
        ("B B e e | ^A A B2 |]", "B", "B:2 E:2 | F#:2 B:2"),
        # in minor the dominant is major; III and VI are the major chords beside it
        ("A A ^G G | A A c2 | B ^G A2 |]", "Am", "Am:2 E:2 | Am:2 Am:2 | E:2 Am:2"),
        ("A A F C | G D ^G B | A4 |]", "Am", "Am:2 F:2 | C:2 E:2 | Am:4"),
        # the first note of a chord counts double: f before a is F, f after g may pass
        ("g e f a | c4 |]", "C", "C:2 F:2 | C:4"),
        ("f g g2 | c4 |]", "C", "C:2 C:2 | C:4"),
        # V before I at the end, where F would fit d and f as badly
        ("c c c c | a2 d2 | d2 B2 | c4 |]", "C", "C:2 C:2 | F:2 G:2 | G:2 G:2 | C:4"),
        # a piece begins and ends with I, also where the melody would have another chord there
        ("e g c e | g B c2 |]", "C", "C:2 C:2 | G:2 C:2"),
    ],
)
def test_a_melody_gets_the_chords_its_notes_belong_to(music: str, key: str, chords: str) -> None:
    assert told(by_rule(line(music, key))) == chords


@pytest.mark.parametrize(
    ("music", "key", "voices"),
    [
        # Third below or above, complete chords, the bass on the root; common tones stay (c in the alto over C and F),
        # the others go by step, and the seventh of G7 goes down to the third of C.
        (
            '"C"e2 "F"f2 | "G7"d2 B2 | "C"c4 |]',
            "C",
            ["C5:2 C5:2 | B4:4 | G4:4", "G4:2 A4:2 | F4:4 | E4:4", "C4:2 F4:2 | G3:4 | C4:4"],
        ),
        # No chord, no notes; a breath of the melody is one for all
        (
            '"C"E2 !breath!"G"D2 | "N.C."E4 | "C"E4 |]',
            "C",
            ["C4:2 B3:2, | z:4 | G3:4", "G3:2 G3:2, | z:4 | G3:4", "C3:2 G3:2, | z:4 | C3:4"],
        ),
        # In minor: the leading note of E7 is in the melody and in no other voice, and nobody leaps
        (
            '"Am"a2 "Dm"f2 | "E7"^g4 | "Am"a4 |]',
            "Am",
            ["E5:2 F5:2 | E5:4 | E5:4", "C5:2 D5:2 | D5:4 | C5:4", "A4:2 D4:2 | E4:4 | A4:4"],
        ),
        # A chord over another bass note: that note below, the root above it
        ('"C/E"g4 | "F"f4 |]', "C", ["C5:4 | C5:4", "G4:4 | A4:4", "E4:4 | F4:4"]),
        # C to Dm under c and d: all would rise in fifths and octaves, so the alto goes down
        ('"C"c4 | "Dm"d4 | "C"c4 |]', "C", ["G4:4 | F4:4 | G4:4", "E4:4 | F4:4 | E4:4", "C4:4 | D4:4 | C4:4"]),
        # Four chords in a bar, each with its own notes
        (
            '"C"c "G"d "C"e "C"g | "F"f4 | "C"e4 |]',
            "C",
            [
                "C5:1 B4:1 C5:1 C5:1 | C5:4 | C5:4",
                "E4:1 G4:1 G4:1 E4:1 | A4:4 | G4:4",
                "C4:1 G4:1 C4:1 C4:1 | F4:4 | C4:4",
            ],
        ),
        # The melody falls below where the chord would lie: it is placed below the lowest note
        ('"C"c4 | "C"c\'4 | "C"C4 |]', "C", ["E4:4 | E4:4 | C4:4", "C4:4 | C4:4 | E3:4", "C4:4 | C4:4 | C3:4"]),
        # Longer than one note can say: tied
        (
            '[M:5/4]"C"c5 | c5 |]',
            "C",
            ["G4:4- G4:1 | G4:4- G4:1", "E4:4- E4:1 | E4:4- E4:1", "C4:4- C4:1 | C4:4- C4:1"],
        ),
    ],
)
def test_voices_take_the_nearest_tones_below_the_melody(music: str, key: str, voices: list[str]) -> None:
    melody = line(music, key)
    assert lower(melody, symbols(melody)) == voices


def test_a_chord_that_has_no_room_below_the_melody_is_refused_with_its_bar() -> None:
    """The melody falls four octaves to C, where the chord must stand on D: nothing lies below."""
    melody = line('"C"c4 | "C"c4 | "C/D"C,,,,4 | "C"c4 |]')
    with pytest.raises(BarError, match=r"^bar 3: its chord cannot be placed below the melody") as refused:
        four_parts(melody, symbols(melody))
    assert refused.value.file_line == 8


def test_chords_are_those_with_the_fewest_points() -> None:
    """Not to begin on I costs 6, IV 1 each time, ii 2, from ii to IV 2, an end after IV 3: 15 in all. By V and
    I it would be 17, of which 8 for an F over C."""
    assert told(by_rule(line("A4|D2 F2|C4|]"))) == "F:4 | Dm:2 F:2 | C:4"


@pytest.mark.parametrize(
    ("pitches", "points"),
    [
        ("C5 G4 E4 C3", 0),
        ("C6 G4 E4 C3", 4),  # more than an octave below the melody
        ("C5 G4 E3 C3", 4),  # and between alto and tenor
        ("C5 C5 E4 C3", 2),  # no fifth
        ("E5 G4 E4 C3", 6),  # the third twice
    ],
)
def test_what_is_wrong_with_a_chord_by_itself(pitches: str, points: int) -> None:
    one, two, three, four = map(Pitch.parse, pitches.split())
    assert _alone(ChordSymbol.parse("C"), (one, two, three, four)) == points


@pytest.mark.parametrize(
    ("key", "roots"),
    [(Key(0), "C D E F G A B"), (Key(0, "minor"), "A B C D E F G"), (Key(-3), "Eb F G Ab Bb C D"),
     (Key(-3, "minor"), "C D Eb F G Ab Bb")],
)  # fmt: skip
def test_chords_stand_on_the_notes_of_the_scale(key: Key, roots: str) -> None:
    """The major and the natural minor scale of any primer."""
    assert " ".join(_degree(key, place, "").name for place in range(7)) == roots
