"""What the instrument files say of hands, rims and shanks, and what is reckoned of slides and meetings."""

from __future__ import annotations

from itertools import combinations

import pytest

from beginnerband.data.book import Book
from beginnerband.music import meeting, tuning
from beginnerband.music.instrument import Valves
from beginnerband.music.pitch import Pitch

BRASS_BAND = ("cornet", "tenor-horn", "baritone", "euphonium", "eb-bass", "bb-bass", "flugelhorn", "trumpet")


def test_the_horn_alone_has_its_valves_under_the_left_hand(book: Book) -> None:
    """Common practice, no source: makers build the single horn for the left hand; the right is in the bell."""
    left = {each.id for each in book.instruments.values() if each.held and each.held.plays == "left"}
    in_bell = {each.id: each.held.in_bell for each in book.instruments.values() if each.held and each.held.in_bell}
    assert left == {"f-horn"}
    assert in_bell == {"f-horn": "right"}


def test_the_trombone_is_carried_by_the_left_hand_and_moved_by_the_right(book: Book) -> None:
    """Common practice, no source."""
    for instrument_id in ("trombone", "trombone-f"):
        held = book.instruments[instrument_id].held
        assert held
        assert (held.carries, held.plays, held.rests) == ("left", "right", "")


def test_the_rim_sits_higher_on_the_f_horn_than_anywhere_else(book: Book) -> None:
    """Two thirds on the upper lip for the horn, half for cornet and tenor horn (tutors agree; common practice)."""
    upper = {each.id: each.rim.upper for each in book.instruments.values() if each.rim}
    assert max(upper, key=lambda each: upper[each]) == "f-horn"
    assert upper["f-horn"] == pytest.approx(2 / 3, abs=0.01)
    assert upper["cornet"] == upper["trumpet"] == upper["tenor-horn"] == 0.5
    assert all(0.5 < share < 0.66 for each, share in upper.items() if book.instruments[each].mouthpiece == "large")


def test_only_the_f_horn_has_a_funnel(book: Book) -> None:
    """A horn mouthpiece is a funnel with no cup; a tenor horn's is a cup (common practice, no source)."""
    assert {each.id for each in book.instruments.values() if each.rim and each.rim.cup == "funnel"} == {"f-horn"}


def test_shanks_that_do_not_fit_one_another(book: Book) -> None:
    """A cornet's end is thinner than a trumpet's; low brass comes in three, and small and large ones are not one
    (common practice, no source)."""
    shank = {each.id: each.rim.shank for each in book.instruments.values() if each.rim}
    assert shank["cornet"] != shank["trumpet"]
    assert shank["flugelhorn"] not in (shank["cornet"], shank["trumpet"])
    assert shank["tenor-horn"] != shank["f-horn"]
    assert shank["trombone"] == "small"
    assert shank["euphonium-comp"] == "large"
    assert shank["eb-bass"] == shank["bb-bass"] == "bass"


def test_a_case_makes_every_instrument_heavier_and_drums_are_three_things(book: Book) -> None:
    for instrument in book.instruments.values():
        assert all(load.packed_kg > load.weight_kg for load in instrument.loads), instrument.id
    assert [load.names.american for load in book.instruments["drums"].loads if load.names] == [
        "bass drum", "snare drum", "pair of cymbals",
    ]  # fmt: skip


# Worked by hand: half of the tube c/(2f) times (2 to the 10/1200, less 1), c = 343 m/s at 20 °C, A4 = 440 Hz.
@pytest.mark.parametrize(
    ("instrument_id", "mm"),
    [("cornet", 4.3), ("tenor-horn", 6.4), ("euphonium", 8.5), ("trombone", 8.5), ("f-horn", 11.4), ("eb-bass", 12.8),
     ("bb-bass", 17.0)],
)  # fmt: skip
def test_millimetres_of_slide_for_ten_cents(book: Book, instrument_id: str, mm: float) -> None:
    instrument = book.instruments[instrument_id]
    pull = tuning.pull_mm(instrument, 10)
    assert round(pull, 1) == mm
    assert tuning.cents_of_pull(instrument, pull) == pytest.approx(10)
    # a pencil line of about half a millimetre is about one cent on a cornet, less on all the others
    assert tuning.cents_of_pull(instrument, 0.5) <= 1.2


def test_a_pull_does_less_with_valves_down(book: Book) -> None:
    """By the ratio of the lengths: 1-2-3 is meant to lower by six semitones and is sharp, 0.945/6 octaves or so."""
    for instrument in book.instruments.values():
        valves = instrument.mechanism
        if not isinstance(valves, Valves):
            continue
        open_notes = tuning.cents_of_pull(instrument, 10)
        length = 1 + sum(2 ** (valves.semitones[valve] / 12) - 1 for valve in range(3))
        assert tuning.cents_of_pull(instrument, 10, (1, 2, 3)) == pytest.approx(open_notes / length, rel=0.01)


def test_pulls_in_words() -> None:
    assert [tuning.pull_words(mm, "british") for mm in (0.2, 4.3, 12.8)] == ["1 mm", "4 mm", "13 mm"]
    # One inch is 25.4 mm (international yard and pound agreement, 1959).
    assert [tuning.pull_words(mm, "american") for mm in (0.2, 4.3, 12.8, 38.1)] == [
        "1/16 in", "3/16 in", "1/2 in", "1 1/2 in",
    ]  # fmt: skip


def test_characters_of_intervals_agree_with_music21() -> None:
    """music21 follows counterpoint, in which a fourth is no consonance; every other interval must agree."""
    from music21.interval import Interval

    for name in ("P1", "m2", "M2", "m3", "M3", "A4", "P5", "m6", "M6", "m7", "M7", "P8"):
        interval = Interval(name)
        assert (meeting.character(interval.semitones) != "rubs") == interval.isConsonant(), name
    assert meeting.character(5) == meeting.character(7) == meeting.character(-19) == "open"
    assert meeting.character(2) == meeting.character(14) == meeting.character(-10) == "rubs"


# Sounding transpositions by hand: a cornet sounds a tone lower than written, a tenor horn a major sixth, an F horn
# a fifth, a baritone an octave and a tone, an E flat bass an octave and a major sixth, a trombone as written.
@pytest.mark.parametrize(
    ("first", "second", "interval", "sound"),
    [
        ("cornet", "tenor-horn", "a fifth", "open"),
        ("cornet", "f-horn", "a fourth", "open"),
        ("cornet", "baritone", "an octave", "one"),
        ("tenor-horn", "f-horn", "a tone", "rubs"),
        ("f-horn", "eb-bass", "an octave and a tone", "rubs"),
        ("cornet", "eb-bass", "an octave and a fifth", "open"),
        ("baritone", "tenor-horn", "a fourth", "open"),
    ],
)
def test_what_two_players_sound_on_one_letter(book: Book, first: str, second: str, interval: str, sound: str) -> None:
    one, other = (
        (book.instruments[each].readings[0], book.instruments[each].ranges["starter"].low) for each in (first, second)
    )
    for letter in "CDEFG":
        met = meeting.meet(letter, one, other)
        assert (met.interval, met.character) == (interval, sound)
        assert meeting.meet(letter, other, one).character == sound


def test_a_bass_clef_reader_rubs_against_b_flat_readers(book: Book) -> None:
    """C is C for a trombone in bass clef, and B flat for a cornet: a tone, or a ninth, apart."""
    trombone, cornet = book.instruments["trombone"], book.instruments["cornet"]
    for letter in "CDEFGAB":
        met = meeting.meet(
            letter,
            (trombone.readings[0], trombone.ranges["starter"].low),
            (cornet.readings[0], cornet.ranges["starter"].low),
        )
        assert met.character == "rubs"


def test_every_pair_of_the_band_has_a_character(book: Book) -> None:
    players = [player for player in book.band.pitched if player.instrument.brass]
    for one, other in combinations(players, 2):
        met = meeting.meet(
            "C",
            (one.reading, one.instrument.written_range("starter", one.reading).low),
            (other.reading, other.instrument.written_range("starter", other.reading).low),
        )
        same_group = one.instrument.group == other.instrument.group
        assert (met.character == "one") == same_group or one.reading.id == other.reading.id


def test_a_letter_that_is_none_is_refused(book: Book) -> None:
    cornet = book.instruments["cornet"]
    one = (cornet.readings[0], Pitch.parse("C4"))
    with pytest.raises(ValueError, match="not a note letter"):
        meeting.meet("H", one, one)
