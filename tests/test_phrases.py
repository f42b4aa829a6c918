"""What cards say of fingers, lips, octaves and the slide, worked out by hand for players of one room.

Fingerings and harmonics: the published chart that test_fingering.py holds (written C, G and C open on the second, third
and fourth harmonic; D 1-3, E 1-2, F 1 on the third; A 1-2, B 2 on the fourth), and the
usual positions of the tenor trombone (B♭ 1 on the second harmonic; C 6, D 4, E♭ 3, F 1 on the third).
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from beginnerband.data.book import Book
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Key, Line, Measure, Note, Time
from beginnerband.music.words import in_sentence
from beginnerband.teaching import compose
from beginnerband.teaching.claims import false_for
from beginnerband.teaching.course import Span
from beginnerband.teaching.courseplan import Done
from beginnerband.teaching.heard import Heard
from beginnerband.teaching.packing import Block, Filling, Packing
from beginnerband.teaching.phrases import Phrases

Hearing = Callable[..., list[Heard]]
READ = {
    "trombone": "bass-c",
    "trombone-f": "bass-c",
    "baritone": "treble-bb",
    "bb-bass": "treble-bb",
    "tenor-horn": "treble-eb",
}


@pytest.fixture
def heard(book: Book) -> Hearing:
    def of(**parts: str) -> list[Heard]:
        found = []
        for name, text in parts.items():
            instrument = book.instruments[name.replace("_", "-")]
            wanted = READ.get(instrument.id, instrument.readings[0].id)
            reading = next(each for each in instrument.readings if each.id == wanted)
            notes = tuple(Note(Fraction(1), Pitch.parse(each)) for each in text.split())
            measure = Measure(number=1, notes=notes, key=Key(0), time=Time(len(notes), 4))
            found.append(Heard(Player(instrument, reading), Line((measure,))))
        return found

    return of


def span(least: int, usual: int, most: int) -> Span:
    return Span(least=least, usual=usual, most=most)


def said(phrase: str, heard: list[Heard], **others: list[Heard]) -> str:
    return Phrases({"x": heard, **others}, {}, "british", {}).fill(f"{{{phrase} x}}")


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"cornet": "D4 E4 F4 G4"}, "Only fingers move. Lips and air stay as they were."),
        ({"cornet": "C4 D4"}, "Lips and air change with the fingers."),
        ({"cornet": "G4 A4 G4"}, "Lips and air change with the fingers."),
        ({"trombone": "C3 D3"}, "Only slides move. Lips and air stay as they were."),
        ({"trombone": "Bb2 C3"}, "Lips and air change with the slide."),
        ({"cornet": "D4 E4", "trombone": "C3 D3"}, "Only fingers and slides move. Lips and air stay as they were."),
        (
            {"cornet": "D4 E4", "tenor_horn": "G4 A4"},
            "Fingers move; lips stay, except on the E♭ tenor horn from G to A.",
        ),
        ({"cornet": "C4 G4"}, "Only lips and air change; hands keep still."),
        (
            {"cornet": "G4 A4", "tenor_horn": "C4 G4"},
            "Lips and air change with the fingers. On the E♭ tenor horn from C to G only lips and air change.",
        ),
        (
            {"cornet": "D4 E4", "tenor_horn": "C4 G4"},
            "Fingers move; lips stay. On the E♭ tenor horn from C to G only lips and air change.",
        ),
        (
            {"cornet": "D4 E4", "tenor_horn": "G4 A4", "trombone": "Bb2 F3"},
            "Fingers move; lips stay, except on the E♭ tenor horn from G to A. "
            "On the B♭ tenor trombone from B♭ to F only lips and air change.",
        ),
    ],
)
def test_whether_lips_change_with_the_fingers(heard: Hearing, parts: dict[str, str], words: str) -> None:
    assert said("fingers", heard(**parts)) == words
    crossing = set(parts) if words.startswith(("Lips", "Only lips")) else {"tenor_horn", "trombone"} & set(parts)
    crossing = set() if "Lips and air stay" in words else crossing
    assert {each.id.replace("-", "_") for each in false_for("only-fingers", heard(**parts))} == crossing


@pytest.mark.parametrize(
    ("others", "words"),
    [
        ({"tenor_horn": "D4 E4"}, "except on the E♭ tenor horn: there only fingers move."),
        ({"trombone": "C3 D3"}, "except on the B♭ tenor trombone: there only slides move."),
        ({"trombone_f": "F3 C3"}, "except on the B♭ tenor trombone with F attachment: there only the trigger moves."),
    ],
)
def test_where_most_cross_with_their_lips_the_few_are_the_exception(
    heard: Hearing, others: dict[str, str], words: str
) -> None:
    """From C, open, to D, valves 1 and 3, is from the second harmonic to the third (ordinary charts, from memory)."""
    assert said("fingers", heard(cornet="C4 D4", baritone="C4 D4", **others)) == (
        f"Lips and air change with the fingers, {words}"
    )


ATTACHMENT = "B♭ tenor trombone with F attachment"


# With the trigger down, C is in first position: an F attachment lowers the tube by five semitones (ordinary charts of
# the trombone with F attachment, from memory), so from F or B♭ to C the slide does not move.
@pytest.mark.parametrize(
    ("parts", "move", "hands", "fingers", "slide"),
    [
        (
            {"trombone_f": "F3 C3"},
            "work the trigger",
            "The trigger goes all the way.",
            "Only the trigger moves. Lips and air stay as they were.",
            "Slide: position 1, with the trigger for C.",
        ),
        (
            {"trombone_f": "Bb2 C3"},
            "work the trigger",
            "The trigger goes all the way.",
            "Lips and air change with the trigger.",
            "Slide: position 1, with the trigger for C.",
        ),
        (
            {"cornet": "D4 E4", "trombone_f": "Bb2 C3"},
            "finger it",
            "Valves right down, curved fingers; the trigger goes all the way.",
            f"Fingers and the trigger move; lips stay, except on the {ATTACHMENT} from B♭ to C.",
            "Slide: position 1, with the trigger for C.",
        ),
        (
            {"trombone": "C3 D3", "trombone_f": "D3 C3"},
            "slide it",
            "Slides stop at the place; the trigger goes all the way.",
            "Only slides and the trigger move. Lips and air stay as they were.",
            f"B♭ tenor trombone: positions 6 and 4. {ATTACHMENT}: positions 4 and 1, with the trigger for C. "
            "A short arm leaves that note out or turns the shoulder; never stretch the hand off the stay.",
        ),
        (
            {"trombone": "F3 F3"},
            "keep the slide in 1st position",
            "Hands keep still.",
            "Nothing moves: hands, lips and air stay as they were.",
            "Slide: position 1.",
        ),
        (
            {"f_horn": "D4 F4"},
            "hold valve 1 down",
            "Hands keep still.",
            "Only lips and air change; hands keep still.",
            "",
        ),
        (
            {"f_horn": "D4 F4", "cornet": "C4 G4"},
            "keep the hands still",
            "Hands keep still.",
            "Only lips and air change; hands keep still.",
            "",
        ),
        ({"glockenspiel": "C5 D5"}, "play it in the air", "", "", ""),
        (
            {"cornet": "C4 G4"},
            "press no valve",
            "Hands keep still.",
            "Only lips and air change; hands keep still.",
            "",
        ),
        (
            {"cornet": "D4 E4", "tenor_horn": "C4 G4", "trombone": "C3 D3"},
            "finger or slide it",
            "Valves right down, curved fingers; slides stop at the place. E♭ tenor horn: hands keep still.",
            "Fingers and slides move; lips stay. On the E♭ tenor horn from C to G only lips and air change.",
            "Slide: positions 6 and 4. "
            "A short arm leaves that note out or turns the shoulder; never stretch the hand off the stay.",
        ),
    ],
)
def test_hands_are_told_to_move_what_moves(
    heard: Hearing, parts: dict[str, str], move: str, hands: str, fingers: str, slide: str
) -> None:
    played = heard(**parts)
    assert [said(phrase, played) for phrase in ("move", "hands", "fingers", "slide")] == [move, hands, fingers, slide]


@pytest.mark.parametrize(
    ("parts", "seen", "slip", "mend"),
    [
        (
            {"cornet": "D4 E4", "trombone": "C3 D3"},
            "Valves go down together and come straight up; slides move at once and stop as quickly.",
            "Half-pressed valves; a slide between two places",
            "Press until you feel the bottom; move the slide by the bell and the stops.",
        ),
        (
            {"cornet": "D4 E4", "trombone_f": "F3 C3"},
            "Valves go down together and come straight up; the trigger moves at once, and all the way.",
            "Half-pressed valves; a trigger half down",
            "Press until you feel the bottom.",
        ),
        ({"f_horn": "C4 G4"}, "Hands keep still.", "Hands that move", "Rest the hands; lips and air do it."),
        ({"glockenspiel": "C5 D5"}, "", "", ""),
    ],
)
def test_the_leader_looks_for_what_hands_move(
    heard: Hearing, parts: dict[str, str], seen: str, slip: str, mend: str
) -> None:
    played = heard(**parts)
    assert [said(phrase, played) for phrase in ("seen", "slip", "mend")] == [seen, slip, mend]


MOST_WORDS = 16
"""What a leader says in one breath (common practice, no source)."""


def test_what_hands_do_is_said_in_one_breath(heard: Hearing) -> None:
    band = heard(
        cornet="D4 E4", tenor_horn="C4 G4", f_horn="C4 G4", flugelhorn="D4 E4", trombone="C3 D3", trombone_f="F3 C3"
    )
    assert len(said("move", band).split()) <= MOST_WORDS
    assert all(len(sentence.split()) <= MOST_WORDS for sentence in said("hands", band).split(". "))


def test_a_note_with_the_trigger_is_named_with_it(heard: Hearing) -> None:
    assert said("names", heard(trombone_f="F3 C3")) == f"{ATTACHMENT} F (1) and C (T1)"


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"cornet": "C4", "trumpet": "C4"}, "B♭ cornet and B♭ trumpet C (open)"),
        ({"cornet": "C4", "trumpet": "C4", "flugelhorn": "C4"}, "B♭ instruments C (open)"),
        (
            {"cornet": "C4", "trumpet": "C4", "flugelhorn": "C4", "trombone": "Bb2"},
            "B♭ instruments with valves C (open); B♭ tenor trombone B♭ (1)",
        ),
        (
            {"cornet": "C4", "trumpet": "C4", "flugelhorn": "C4", "bb_bass": "D4", "f_horn": "C4"},
            "B♭ cornet, trumpet, flugelhorn and single F horn C (open); B♭ bass D (1-3)",
        ),
        ({"trombone": "F3", "trombone_f": "F3", "eb_bass": "C4"}, "Trombones F (1); E♭ bass C (open)"),
    ],
)
def test_many_are_named_by_what_they_have_in_common(heard: Hearing, parts: dict[str, str], words: str) -> None:
    assert said("names", heard(**parts)) == words


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"cornet": "C4 D4 G4"}, "B♭ cornet C and G (open)"),
        ({"cornet": "E4 G4 A4 C5"}, "B♭ cornet G and C (open)"),  # as near as E and A, with fewer valves
        ({"cornet": "D4 E4"}, "Find two notes that you play with the same fingers"),
        ({"trombone": "C3 D3"}, "Find two notes that you play in the same position"),
        ({"trombone": "Bb2 F3"}, "B♭ tenor trombone B♭ and F (1)"),
    ],
)
def test_two_notes_for_the_lips_alone(heard: Hearing, parts: dict[str, str], words: str) -> None:
    assert said("lips", heard(**parts)) == words


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"cornet": "C4", "trumpet": "C4"}, "all at one height"),
        ({"cornet": "C4", "baritone": "C4"}, "in two octaves: B♭ cornet highest, B♭ baritone lowest"),
        (
            {"cornet": "C4", "baritone": "C4", "bb_bass": "C4"},
            "in three octaves: B♭ cornet highest, B♭ baritone between, B♭ bass lowest",
        ),
        ({"cornet": "C4", "tenor_horn": "C4"}, "each room on its own note"),
        ({"cornet": "C4", "tenor_horn": "G4"}, "all at one height"),  # both sound B♭3
    ],
)
def test_how_many_octaves_sound(heard: Hearing, parts: dict[str, str], words: str) -> None:
    assert said("octaves", heard(**parts)) == words


def test_who_sees_a_sign_and_where_the_slide_goes(heard: Hearing) -> None:
    assert said("signs", heard(cornet="C4 D4", trombone="Bb2 C3")) == (
        "B♭ tenor trombone sees a flat before it: that is part of its name."
    )
    assert said("signs", heard(cornet="F#4", tenor_horn="F#4")) == (
        "B♭ cornet and E♭ tenor horn see a sharp before it: that is part of its name."
    )
    assert said("slide", heard(trombone="F3 D3")) == "Slide: positions 1 and 4."
    assert said("slide", heard(trombone="F3 C3")).startswith("Slide: positions 1 and 6. A short arm leaves that note")
    assert said("slide", heard(cornet="C4")) == ""


def test_the_names_of_notes_and_who_goes_where(heard: Hearing) -> None:
    two = heard(cornet="C4 D4", tenor_horn="G4 A4")
    assert said("top", two) == "B♭ cornet D (1-3); E♭ tenor horn A (1-2)"
    assert said("low", two) == "B♭ cornet C (open); E♭ tenor horn G (open)"
    five = heard(cornet="C4 D4 E4 F4 G4", tenor_horn="D4 E4 F4 G4")
    assert said("ways", heard(cornet="A4", tenor_horn="C4"), five=five) == (
        "E♭ tenor horn goes down to new notes; B♭ cornet goes up."
    )
    assert said("ways", heard(cornet="A4", tenor_horn="A4"), five=five) == "We go up to new notes."
    assert said("ways", heard(cornet="B3", tenor_horn="C4"), five=five) == "We go down to new notes."
    assert said("ways", heard(cornet="D4", tenor_horn="E4"), five=five) == "We fill the steps between."
    assert said("ways", heard(cornet="B3", tenor_horn="C4"), five=five, **{"low-note": heard(cornet="B3")}) == (
        "B♭ cornet goes down to known notes; E♭ tenor horn goes down to new notes."
    )
    own = {"low-note": heard(cornet="D4"), "second-sound": heard(cornet="E4"), "five": heard(cornet="F4 G4")}
    assert said("ways", heard(cornet="D4 E4"), **own) == "We go down to notes we know."
    assert said("turns", heard(cornet="A4", tenor_horn="C4"), five=five).startswith("Two bars by those who go down")
    assert said("turns", heard(cornet="A4", tenor_horn="A4"), five=five).startswith("Two bars by the odd chairs")
    assert said("more", heard(cornet="A4", tenor_horn="C4 B3"), five=five) == (
        "B♭ cornet finds one more above; E♭ tenor horn finds two more below."
    )


@pytest.mark.parametrize(
    ("parts", "first", "words"),
    [
        ({"cornet": "C5"}, {"cornet": "C4"}, "B♭ cornet takes our note an octave up."),
        ({"cornet": "C4 D4"}, {"cornet": "C5"}, "B♭ cornet takes our note an octave down."),
        ({"bb_bass": "C6"}, {"bb_bass": "C4"}, "B♭ bass takes our note two octaves up."),
        ({"bb_bass": "C3"}, {"bb_bass": "C6"}, "B♭ bass takes our note three octaves down."),
        (
            {"cornet": "G5", "baritone": "C5", "trumpet": "G5"},
            {"cornet": "G4", "baritone": "C4", "trumpet": "G4"},
            "B♭ instruments take our note an octave up.",
        ),
        (
            {"cornet": "G5", "baritone": "C3"},
            {"cornet": "G4", "baritone": "C4"},
            "B♭ cornet takes our note an octave up; B♭ baritone takes our note an octave down.",
        ),
        ({"xylophone": "F3"}, {"xylophone": "F4"}, "Xylophone takes our note an octave down."),
        ({"cornet": "C4"}, {"cornet": "C4"}, ""),
        ({"cornet": "C#5"}, {"cornet": "C4"}, ""),
        ({"cornet": "C5"}, {"trumpet": "C4"}, ""),
    ],
)
def test_who_takes_the_first_note_in_another_octave(
    heard: Hearing, parts: dict[str, str], first: dict[str, str], words: str
) -> None:
    assert said("octave", heard(**parts), **{"long-note": heard(**first)}) == words


# Cornet C and tenor horn G both sound B♭ (intervals of the readings); both are open. D is 1-3 on either.
@pytest.mark.parametrize(
    ("claim", "parts", "false"),
    [
        ("one-sound", {"cornet": "C4", "tenor_horn": "G4"}, []),
        ("one-sound", {"cornet": "D4"}, []),
        ("one-sound", {"cornet": "C4", "tenor_horn": "C4"}, ["tenor-horn"]),
        ("two-sounds", {"cornet": "C4", "tenor_horn": "C4"}, []),
        ("two-sounds", {"cornet": "C4", "tenor_horn": "G4"}, ["cornet", "tenor-horn"]),
        ("same-name", {"cornet": "C4", "tenor_horn": "C4"}, []),
        ("same-name", {"cornet": "C4", "tenor_horn": "G4"}, ["tenor-horn"]),
        ("open", {"cornet": "C4", "tenor_horn": "G4"}, []),
        ("open", {"cornet": "D4", "tenor_horn": "G4"}, ["cornet"]),
    ],
)
def test_for_whom_a_claim_does_not_hold(heard: Hearing, claim: str, parts: dict[str, str], false: list[str]) -> None:
    assert [player.id for player in false_for(claim, heard(**parts))] == false


# Half of a step: its minutes halved, rounded up, as a step of whole minutes asks (7, 10 and 13 give 4, 5 and 6).
@pytest.mark.parametrize(
    ("minutes", "half"), [((7, 10, 13), (4, 5, 6)), ((3, 5, 5), (2, 3, 3)), ((4, 6, 8), (2, 3, 4))]
)
def test_a_step_half_done_comes_again_for_half_its_time(minutes: tuple[int, ...], half: tuple[int, ...]) -> None:
    blocks = [Block(name, span(*minutes), "unit") for name in ("one", "two", "three")]
    planned = Packing((Filling(tuple(blocks[:2])), Filling((blocks[2],))), 0)
    over, left = compose._after(Done(lesson=1, lessons=2, to="one", half=True), planned, ())
    assert [block.id for filling in over for block in filling.blocks] == ["one"]
    assert [block.id for block in left] == ["one", "two", "three"]
    assert (left[0].span, left[0].begins, left[1].span) == (span(*half), True, span(*minutes))
    _, left = compose._after(Done(lesson=1, lessons=2, to="two", half=True), planned, ())
    assert [block.id for block in left] == ["two", "three"]


@pytest.mark.parametrize(
    ("text", "small"),
    [
        ("Everyone plays", "everyone plays"),
        ("A slur is heard", "a slur is heard"),
        ("A is in tune", "A is in tune"),
        ("A to B, slowly", "A to B, slowly"),
        ("A, softly", "A, softly"),
        ("A on the second valve", "A on the second valve"),
        ("A played with the lips", "A played with the lips"),
        ("Unison, even in the skips", "unison, even in the skips"),
        ("B♭ is in tune", "B♭ is in tune"),
        ("I hear it", "I hear it"),
        ("Nobody Hears", "nobody Hears"),
    ],
)
def test_a_sentence_goes_on_in_small_letters_unless_it_begins_with_a_name(text: str, small: str) -> None:
    assert in_sentence(text) == small
