"""Where notes stand on a staff, and the small pictures of them."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import clef as m21clef
from music21 import pitch as m21pitch

from beginnerband.data.book import Book
from beginnerband.music import fingering, staff_place
from beginnerband.music.pitch import Pitch, usual
from beginnerband.render import fingers, staff
from beginnerband.render.glyphs import CODES, glyph

SVG = "{http://www.w3.org/2000/svg}"


# music21 knows the line each clef names: clef.TrebleClef().lowestLine and BassClef().lowestLine.
@given(midi=st.integers(24, 108), clef=st.sampled_from(["treble", "bass"]))
def test_places_are_counted_from_the_bottom_line_music21_gives_the_clef(midi: int, clef: str) -> None:
    theirs = {"treble": m21clef.TrebleClef(), "bass": m21clef.BassClef()}[clef]
    pitch = usual(midi)
    number = m21pitch.Pitch(pitch.name.replace("b", "-")).diatonicNoteNum
    assert staff_place.place(pitch, clef) == number - theirs.lowestLine


# Every primer (common practice): treble lines E G B D F and spaces F A C E; bass lines G B D F A and spaces A C E G.
def test_the_lines_and_spaces_of_both_clefs() -> None:
    said = {
        ("E4", "treble"): "on the bottom line",
        ("G4", "treble"): "on the second line",
        ("B4", "treble"): "on the middle line",
        ("F5", "treble"): "on the top line",
        ("E5", "treble"): "in the top space",
        ("C4", "treble"): "on one ledger line below",
        ("D4", "treble"): "just below the staff",
        ("A3", "treble"): "on two ledger lines below",
        ("B3", "treble"): "below one ledger line below the staff",
        ("G5", "treble"): "just above the staff",
        ("G2", "bass"): "on the bottom line",
        ("F3", "bass"): "on the fourth line",
        ("C4", "bass"): "on one ledger line above",
    }
    assert {key: staff_place.words(staff_place.place(Pitch.parse(key[0]), key[1])) for key in said} == said


def test_ledger_lines_of_middle_c_and_of_high_a() -> None:
    assert staff_place.ledgers(staff_place.place(Pitch.parse("C4"), "treble")) == (-2,)
    assert staff_place.ledgers(staff_place.place(Pitch.parse("A5"), "treble")) == (10,)
    assert staff_place.ledgers(staff_place.place(Pitch.parse("D4"), "treble")) == ()


def test_very_high_notes_are_drawn_an_octave_nearer_and_say_so() -> None:
    drawing = staff.staff([Pitch.parse("C8")], "treble")
    assert ">15<" in drawing or ">8<" in drawing
    assert ">8<" not in staff.staff([Pitch.parse("C6")], "treble")


def test_concert_clef_follows_the_middle_of_the_range(book: Book) -> None:
    clefs = {}
    for one in book.instruments.values():
        if one.pitched:
            full = one.sounding_range("full")
            clefs[one.id] = staff_place.concert_clef(full.low, full.high)
    assert clefs["cornet"] == clefs["tenor-horn"] == "treble"
    assert clefs["trombone"] == clefs["euphonium"] == clefs["eb-bass"] == "bass"


@pytest.mark.parametrize("name", sorted(CODES))
def test_every_outline_is_found_in_the_engraving_font(name: str) -> None:
    outline = glyph(name)
    assert outline.path.startswith("M")
    assert 0.4 < outline.width < 3


@pytest.mark.parametrize(("note", "clef"), [("Bb3", "treble"), ("F#5", "treble"), ("Eb2", "bass"), ("C4", "bass")])
def test_a_picture_is_well_formed_takes_the_text_colour_and_names_its_note(note: str, clef: str) -> None:
    pitch = Pitch.parse(note)
    root = ET.fromstring(staff.staff([pitch], clef))
    assert root.get("role") == "img"
    assert root.get("aria-label") == f"{staff.spoken(pitch)} {pitch.octave}, {clef} clef"
    assert root.get("fill") == "currentColor"
    left, top, width, height = map(float, root.get("viewBox", "").split())
    head = [path for path in root.iter(f"{SVG}path") if path.get("d") == glyph("note").path]
    assert len(head) == 1
    x, y = (float(part) for part in (head[0].get("transform") or "")[len("translate(") :].split(")")[0].split())
    assert left < x < left + width
    assert top < y < top + height
    assert y == (8 - staff_place.place(pitch, clef)) * 5  # the top line is 0 and a step is 5 units


def test_the_label_of_a_picture_is_text_not_markup() -> None:
    assert "<b>" not in staff.staff([Pitch.parse("C4")], "treble", label='<b>"x"')


def test_fingerings_in_words(book: Book) -> None:
    def said(instrument: str, note: str, use: str = "british") -> str:
        one = book.instruments[instrument]
        way = fingering.standard(one, Pitch.parse(note))
        assert way
        return fingers.words(one, way, use)

    assert said("cornet", "F4") == "Press no valve: open"
    assert said("cornet", "Eb4") == "Press 1"
    assert said("cornet", "E3") == "Press 1, 2 and 3"
    assert said("trombone", "F3") == "1st position: slide right in"
    assert said("trombone-f", "C3") == "Trigger down, 1st position: slide right in"
    # Positions lie about 8 to 9 cm apart (common practice: "a hand's breadth"), 3 1/4 to 3 1/2 inches.
    assert said("trombone", "E3") == "2nd position: slide 8 cm out"
    assert said("trombone", "E3", "american") == "2nd position: slide 3 in out"


def test_a_drawing_is_read_aloud_in_the_band_s_words(book: Book) -> None:
    trombone = book.instruments["trombone"]
    way = fingering.standard(trombone, Pitch.parse("E3"))
    assert way
    assert ET.fromstring(fingers.picture(trombone, way, "american")).get("aria-label", "").endswith("slide 3 in out")


def test_a_pressed_valve_differs_in_shape_not_only_in_colour(book: Book) -> None:
    cornet = book.instruments["cornet"]
    down = fingering.standard(cornet, Pitch.parse("Eb4"))
    assert down
    root = ET.fromstring(fingers.picture(cornet, down, "british"))
    caps = [path.get("d", "") for path in root.iter(f"{SVG}path") if "q0-4" in path.get("d", "")]
    heights = [cap.split("h22")[0].split()[1] for cap in caps]
    assert heights == ["27", "12", "12"]  # the first is pushed down, the others stand up


def test_a_slide_is_drawn_to_scale(book: Book) -> None:
    trombone = book.instruments["trombone"]
    spots = {}
    for note in ("F3", "E3", "Eb3", "C3"):
        way = fingering.standard(trombone, Pitch.parse(note))
        assert way
        hand = next(ET.fromstring(fingers.picture(trombone, way, "british")).iter(f"{SVG}g"))
        x = (hand.get("transform") or "").removeprefix("translate(").removesuffix(")")
        spots[way.position] = (float(x), way.reach_cm)
    scale = (spots[6][0] - spots[1][0]) / (spots[6][1] - spots[1][1])
    for x, cm in spots.values():
        assert x - spots[1][0] == pytest.approx(scale * cm, abs=0.2)
