"""What a player is told to do about a note that is out of tune."""

from __future__ import annotations

import pytest

from beginnerband.data.book import Book
from beginnerband.music import advice, fingering
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player, players_of


def told(book: Book, instrument_id: str, written: str) -> tuple[advice.Advice, ...]:
    part = players_of(book.instruments[instrument_id])[0]
    return advice.advise(part.instrument, part.reading.sounding(Pitch.parse(written)))


@pytest.mark.parametrize(("written", "least", "most"), [("D4", 1.5, 2.5), ("C#4", 2.5, 4.0)])
def test_the_third_slide_goes_out_for_low_d_and_c_sharp(book: Book, written: str, least: float, most: float) -> None:
    # Common practice, no source: the third-valve slide goes out for written D4 and, further, for C sharp.
    for instrument_id in ("cornet", "trumpet"):
        first = told(book, instrument_id, written)[0]
        assert first.means == "move"
        assert first.text.startswith("Push the third-valve slide out about")
        assert first.cm is not None
        assert least < first.cm < most


def test_the_slide_really_puts_the_note_in_tune(book: Book) -> None:
    # Closed form, anew: tube 345 / (2 * 116.54) = 1.4802 m; valves 1 and 3 make it 1.31167 times as long, and five
    # semitones and the third harmonic's +2.0 cents want 2 ** (501.955 / 1200) = 1.33636 times: half of 3.65 cm.
    first = told(book, "cornet", "D4")[0]
    assert first.cm == pytest.approx(148.02 * (1.33636 - 1.31167) / 2, abs=0.01)


def test_without_a_moving_slide_it_is_set_beforehand_and_lipped(book: Book) -> None:
    means = [each.means for each in told(book, "baritone", "D4")]
    assert means == ["set", "lip"]
    assert [each.means for each in told(book, "tenor-horn", "Ab4")] == ["set"]


@pytest.mark.parametrize(
    ("instrument", "written", "way", "means", "right"),
    [
        ("baritone", "Ab4", "2-3", ["set"], "2-3 is then right."),  # nothing is left to lip
        ("baritone", "D4", "1-3", ["set", "lip"], "2-3 is then right, and this note less sharp."),
        ("baritone", "C#4", "1-2-3", ["set", "lip"], "2-3 is then right, and this note less sharp."),
        ("euphonium-4", "Ab4", "3-4", ["instead", "set", "lip"], "2-3 is then right, and this note less sharp."),
    ],
)
def test_a_slide_set_for_two_and_three_leaves_the_rest_to_the_lips_with_any_other_valves(
    book: Book, instrument: str, written: str, way: str, means: list[str], right: str
) -> None:
    """A third slide that stays where it was set suits one pair; others come nearer (common practice, no source)."""
    player = players_of(book.instruments[instrument])[0]
    sounding = player.reading.sounding(Pitch.parse(written))
    (given,) = (one for one in fingering.all_fingerings(player.instrument, sounding) if one.code == way)
    said = advice.advise(player.instrument, sounding, given)
    assert [each.means for each in said] == means
    (slide,) = (each.text for each in said if each.means == "set")
    assert slide.endswith(right)
    assert all(each.text.startswith("Lip the rest down") for each in said if each.means == "lip")


@pytest.mark.parametrize(
    ("instrument", "written", "way", "lips"),
    [
        ("euphonium-4", "F3", "1-2-4", "Lip it up"),  # 21 cents flat
        ("cornet", "Bb5", "1-2-3", ""),  # a sharp note whose slide moves is not left to the lips
        ("trombone", "Ab4", "1", "Lip it up"),  # the seventh harmonic is 31 cents flat, and the slide is in
    ],
)
def test_a_flat_note_is_lipped_up(book: Book, instrument: str, written: str, way: str, lips: str) -> None:
    player = players_of(book.instruments[instrument])[0]
    sounding = player.reading.sounding(Pitch.parse(written))
    given = next(
        one
        for one in fingering.all_fingerings(player.instrument, sounding)
        if one.code.strip("♯♭") == way and (one.cents < -15 or not lips)
    )
    said = [each.text for each in advice.advise(player.instrument, sounding, given) if each.means == "lip"]
    assert [text[:9] for text in said] == [lips] * bool(lips)


def test_the_slide_that_is_set_beforehand_puts_two_and_three_right(book: Book) -> None:
    # Closed form, anew: tube 345 / (2 * 58.27) = 2.960 m; valves 2 and 3 make it 1 + 0.05946 + 0.18921 = 1.24867 times
    # as long, and four semitones want 2 ** (4 / 12) = 1.25992 times: half of 3.33 cm, whichever note it is told of.
    for written in ("D4", "C#4", "Ab4"):
        (set_by,) = (each.cm for each in told(book, "baritone", written) if each.means == "set")
        assert set_by == pytest.approx(296.0 * (1.25992 - 1.24867) / 2, abs=0.01)


def test_longer_tubes_need_more_slide(book: Book) -> None:
    def set_by(instrument_id: str) -> float:
        return next(each.cm for each in told(book, instrument_id, "D4") if each.means == "set" and each.cm)

    assert set_by("tenor-horn") < set_by("baritone") < set_by("eb-bass") < set_by("bb-bass")


@pytest.mark.parametrize("written", ["C4", "G4", "E4", "A4", "Bb3", "D5", "E5"])
def test_nothing_is_said_about_a_note_that_is_near_enough(book: Book, written: str) -> None:
    assert told(book, "cornet", written) == ()


def test_a_compensating_euphonium_needs_nothing_for_d(book: Book) -> None:
    assert told(book, "euphonium-comp", "D4") == ()
    assert told(book, "euphonium-comp", "C#4") == ()


def test_another_fingering_that_is_in_tune_is_offered(book: Book) -> None:
    part = players_of(book.instruments["euphonium-comp"])[0]
    sounding = part.reading.sounding(Pitch.parse("D4"))
    one_three = next(way for way in fingering.learner_fingerings(part.instrument, sounding) if way.code == "1-3")
    offered = advice.advise(part.instrument, sounding, one_three)[0]
    assert (offered.means, offered.way and offered.way.code) == ("instead", "4")


def test_every_note_that_is_off_gets_advice_and_no_other(book: Book) -> None:
    for instrument in book.instruments.values():
        if not instrument.brass:
            continue
        part = Player(instrument, instrument.readings[0])
        for written in part.written():
            way = part.standard(written)
            assert way
            said = advice.advise(instrument, part.reading.sounding(written))
            assert bool(said) == (abs(way.cents) > advice.THRESHOLD), (instrument.id, written.name)


def test_a_slide_is_drawn_in_for_a_flat_harmonic_except_in_first(book: Book) -> None:
    trombone = book.instruments["trombone"]
    f4, g4, a4 = Pitch.parse("F4"), Pitch.parse("G4"), Pitch.parse("Ab4")
    seventh = {
        pitch: next(way for way in fingering.all_fingerings(trombone, pitch) if way.harmonic == 7)
        for pitch in (f4, g4, a4)
    }
    assert advice.advise(trombone, f4, seventh[f4])[0].text == "Move the slide about 3 cm in from position 4."
    assert advice.advise(trombone, g4, seventh[g4]) == ()  # ♯2 says so itself
    assert seventh[a4].position == 1
    assert advice.advise(trombone, a4, seventh[a4])[0].means == "lip"


def test_struck_notes_need_no_advice(book: Book) -> None:
    assert advice.advise(book.instruments["glockenspiel"], Pitch.parse("C6")) == ()


@pytest.mark.parametrize(
    ("cents", "words"),
    [(0.0, "in tune"), (4.9, "in tune"), (10.6, "a little sharp"), (-13.7, "a little flat"), (30.3, "sharp"),
     (53.6, "very sharp"), (-31.2, "flat"), (-48.7, "very flat")],
)  # fmt: skip
def test_cents_in_words(cents: float, words: str) -> None:
    assert advice.in_words(cents) == words


@pytest.mark.parametrize(("written", "told_as"), [("D4", "¾ in"), ("C#4", "1¼ in")])
def test_american_bands_are_told_inches(book: Book, written: str, told_as: str) -> None:
    # The inch is 2.54 cm exactly (international yard and pound agreement, 1959): 1.83 cm and 3.3 cm, to the quarter.
    part = players_of(book.instruments["cornet"])[0]
    first = advice.advise(part.instrument, part.reading.sounding(Pitch.parse(written)), english="american")[0]
    assert f"about {told_as} while" in first.text
    assert first.cm
    assert abs(first.cm / 2.54 - {"¾ in": 0.75, "1¼ in": 1.25}[told_as]) <= 0.125


@pytest.mark.parametrize(("written", "way"), [("Eb2", "1-4"), ("Db2", "2-3-4")])
def test_what_is_out_of_tune_itself_is_not_to_be_played_instead(book: Book, written: str, way: str) -> None:
    """On four valves 1-2-4 is 21 cents flat of E flat and 1-3-4 is 37 sharp of D flat: nearer, and still beyond 15."""
    four, sounding = book.instruments["euphonium-4"], Pitch.parse(written)
    (given,) = (one for one in fingering.all_fingerings(four, sounding) if one.code == way)
    assert advice._instead(four, sounding, given) == ()
