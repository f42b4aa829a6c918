"""The slide as distances."""

from __future__ import annotations

import pytest

from beginnerband.data.book import Book
from beginnerband.music import fingering, slide
from beginnerband.music.instrument import Slide
from beginnerband.music.pitch import Pitch, chromatic
from beginnerband.teaching.positions import asked


def _slide(book: Book, instrument_id: str) -> Slide:
    mechanism = book.instruments[instrument_id].mechanism
    assert isinstance(mechanism, Slide)
    return mechanism


def test_positions_lie_where_the_closed_form_puts_them(book: Book) -> None:
    # Closed form worked by hand for a tube of 270 cm: half of 270 * (2 ** (n / 12) - 1) for n semitones down.
    # 2**(1/12) = 1.059463, 2**(2/12) = 1.122462, 2**(3/12) = 1.189207, 2**(4/12) = 1.259921, 2**(5/12) = 1.334840,
    # 2**(6/12) = 1.414214 (any table of equal temperament).
    expected = [0.0, 8.03, 16.53, 25.54, 35.09, 45.20, 55.92]
    found = [place.cm for place in slide.places(_slide(book, "trombone"))]
    assert found == pytest.approx(expected, abs=0.01)


def test_each_step_is_longer_than_the_one_before_and_all_fit_a_real_slide(book: Book) -> None:
    # Common practice, no source: neighbouring positions lie 8 to 11 cm apart on a B flat tenor trombone.
    steps = [place.step_cm for place in slide.places(_slide(book, "trombone"))][1:]
    assert steps == sorted(steps)
    assert 7.5 < steps[0] < steps[-1] < 11.5


def test_the_first_position_of_each_row_is_no_step_out(book: Book) -> None:
    first = [place for place in slide.places(_slide(book, "trombone-f")) if place.position == 1]
    assert [(place.code, place.cm, place.step_cm) for place in first] == [("1", 0, 0), ("T1", 0, 0)]


def test_with_the_trigger_six_positions_are_left(book: Book) -> None:
    # Common practice, from memory: with the F attachment the slide is long enough for six positions only.
    codes = [place.code for place in slide.places(_slide(book, "trombone-f"))]
    assert codes == ["1", "2", "3", "4", "5", "6", "7", "T1", "T2", "T3", "T4", "T5", "T6"]


def test_a_short_reach_loses_the_far_positions_in_order(book: Book) -> None:
    assert [place.code for place in slide.beyond(_slide(book, "trombone"), 50)] == ["7"]
    assert [place.code for place in slide.beyond(_slide(book, "trombone"), 40)] == ["6", "7"]
    assert [place.code for place in slide.beyond(_slide(book, "trombone-f"), 46)] == ["T5", "7", "T6"]
    assert slide.beyond(_slide(book, "trombone"), 60) == ()


def test_detours_name_the_alternate_or_the_octave(book: Book) -> None:
    # Common practice, from memory: low C (6th) and B natural (7th) have no other position on a plain tenor trombone;
    # with the F attachment they are T1 and T2.
    low = chromatic(Pitch.parse("B2"), Pitch.parse("C3"))
    plain = slide.detours(book.instruments["trombone"], low, reach_cm=40)
    assert [(detour.sounding.name, detour.standard.code, detour.instead) for detour in plain] == [
        ("B2", "7", ()),
        ("C3", "6", ()),
    ]
    assert [detour.octave.name for detour in plain if detour.octave] == ["B3", "C4"]
    # with the attachment the usual position of both is already the near one
    with_trigger = slide.detours(book.instruments["trombone-f"], low, reach_cm=40)
    assert [detour.sounding.name for detour in with_trigger] == []


def test_nothing_to_avoid_for_a_long_arm(book: Book) -> None:
    trombone = book.instruments["trombone"]
    span = trombone.sounding_range("full")
    assert slide.detours(trombone, chromatic(span.low, span.high), reach_cm=62) == ()


def test_a_sharp_harmonic_is_mended_by_moving_out_and_a_flat_one_by_moving_in(book: Book) -> None:
    trombone = book.instruments["trombone"]
    by_harmonic = {way.harmonic: way for way in fingering.all_fingerings(trombone, Pitch.parse("G4"))}
    # Common practice, from memory: G4 on the flat seventh harmonic is played in a second position drawn in a little.
    second = slide.places(_slide(book, "trombone"))[1]
    assert by_harmonic[7].position == 2
    assert -3.5 < by_harmonic[7].reach_cm - second.cm < -1.5
    # in fourth nobody charts it: there it stays flat, and would have to come in by more
    flat = next(way for way in fingering.all_fingerings(trombone, Pitch.parse("F4")) if way.harmonic == 7)
    assert -4 < slide.correction_cm(_slide(book, "trombone"), flat) < -2
    third_harmonic = next(way for way in fingering.all_fingerings(trombone, Pitch.parse("F3")) if way.harmonic == 3)
    assert 0 < slide.correction_cm(_slide(book, "trombone"), third_harmonic) < 0.5


def test_with_the_trigger_down_the_same_cents_are_further(book: Book) -> None:
    """Worked by hand: the trigger's fourth makes 270 cm into 270 * 1.334840 = 360.41 cm (see the table above).

    Harmonic 3 in T1 is 1.955 cents sharp, 2 ** (1.955 / 1200) = 1.0011299: half of 360.41 * 0.0011299 is 0.2036 cm.
    Without the trigger, in first position, it is half of 270 * 0.0011299, 0.1525 cm.
    """
    trombone = book.instruments["trombone-f"]
    with_it = next(way for way in fingering.all_fingerings(trombone, Pitch.parse("C3")) if way.code == "T1")
    without = next(way for way in fingering.all_fingerings(trombone, Pitch.parse("F3")) if way.code == "1")
    assert (with_it.harmonic, without.harmonic) == (3, 3)
    assert slide.correction_cm(_slide(book, "trombone-f"), with_it) == pytest.approx(0.2036, abs=1e-4)
    assert slide.correction_cm(_slide(book, "trombone-f"), without) == pytest.approx(0.1525, abs=1e-4)


def test_further_out_the_same_cents_are_further(book: Book) -> None:
    """Worked by hand: three semitones down 270 cm become 270 * 2 ** (3 / 12) = 321.09 cm; half of 321.09 * 0.0011299,
    the third harmonic's 1.955 cents, is 0.1814 cm."""
    trombone = book.instruments["trombone"]
    fourth = next(way for way in fingering.all_fingerings(trombone, Pitch.parse("D3")) if way.harmonic == 3)
    assert fourth.code == "4"
    assert slide.correction_cm(_slide(book, "trombone"), fourth) == pytest.approx(0.1814, abs=1e-4)


def test_notes_and_positions_in_the_order_they_are_met(book: Book) -> None:
    """Notes stand from low to high. E♭3 is played in third position, F3 in first, G3 in fourth, C3 in sixth (charts of
    the tenor trombone, common practice)."""
    assert book.course
    grades = book.course.grades
    met = grades.first_met("cornet")
    assert list(met) == sorted(met, key=lambda pitch: pitch.midi)
    assert list(met.values()) != sorted(met.values())
    trombone = next(player for player in book.band.players if player.id == "trombone")
    assert [each.position for each in asked(book.course.course, grades, trombone)] == [3, 1, 4, 6]
