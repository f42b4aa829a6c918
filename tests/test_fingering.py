"""The rule for fingerings, against the charts every beginner is given."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beginnerband.data.book import Book
from beginnerband.music import fingering
from beginnerband.music.advice import advise
from beginnerband.music.instrument import Instrument, Slide, Valves
from beginnerband.music.pitch import Pitch, chromatic
from beginnerband.music.player import Player, players_of

# The ordinary chart of three-valved brass in treble clef, F sharp 3 to C6, every note. Common practice, typed from
# memory; the same in any beginners' chart for cornet, tenor horn, baritone, euphonium or bass.
HALF_TUBE = """
    F#3 1-2-3  G3 1-3   Ab3 2-3  A3 1-2   Bb3 1    B3 2     C4 0     C#4 1-2-3 D4 1-3   Eb4 2-3  E4 1-2   F4 1
    F#4 2      G4 0     Ab4 2-3  A4 1-2   Bb4 1    B4 2     C5 0     C#5 1-2   D5 1     Eb5 2    E5 0     F5 1
    F#5 2      G5 0     Ab5 2-3  A5 1-2   Bb5 1    B5 2     C6 0
"""

# The ordinary chart of the single F horn, written in F, C3 to C6. Common practice, typed from memory. Its tube is twice
# as long for the note, so from G3 up the harmonics lie closer and fewer valves are needed.
F_HORN = """
    C3 0       C#3 1-2-3 D3 1-3  Eb3 2-3  E3 1-2   F3 1     F#3 2    G3 0      Ab3 2-3  A3 1-2   Bb3 1    B3 2
    C4 0       C#4 1-2  D4 1     Eb4 2    E4 0     F4 1     F#4 2    G4 0      Ab4 2-3  A4 1-2   Bb4 1    B4 2
    C5 0       C#5 1-2  D5 1     Eb5 2    E5 0     F5 1     F#5 2    G5 0      Ab5 2-3  A5 1-2   Bb5 1    B5 2
    C6 0
"""

# Positions of the B flat tenor trombone, bass clef, E2 to B flat 4. Common practice, typed from memory.
TROMBONE = """
    E2 7   F2 6   F#2 5  G2 4   Ab2 3  A2 2   Bb2 1  B2 7   C3 6   C#3 5  D3 4   Eb3 3  E3 2   F3 1   F#3 5  G3 4
    Ab3 3  A3 2   Bb3 1  B3 4   C4 3   C#4 2  D4 1   Eb4 3  E4 2   F4 1   F#4 5  G4 4   Ab4 3  A4 2   Bb4 1
"""

# With the F attachment, the low register it is there for. Common practice, typed from memory: T1 for F, T2 for E, and
# with six positions left C is the last.
TRIGGER = "C2 T6  C#2 T5  D2 T4  Eb2 T3  E2 T2  F2 T1  F#2 5  G2 4  B2 T2  C3 T1  C#3 5"

# Four valves, compensating euphonium, written in treble clef below the three-valve range. Common practice, from memory.
COMPENSATING = "C#3 1-2-3-4  D3 1-3-4  Eb3 2-3-4  E3 1-2-4  F3 1-4  F#3 2-4  G3 4  C#4 2-4  D4 4  Eb4 2-3  G4 0"

HALF_TUBE_IDS = (
    "soprano-cornet", "cornet", "trumpet", "flugelhorn", "tenor-horn", "baritone", "euphonium", "eb-bass", "bb-bass",
)  # fmt: skip


def chart(text: str) -> dict[str, str]:
    """Note to fingering from pairs of words."""
    words = text.split()
    return dict(zip(words[::2], words[1::2], strict=True))


def computed(part: Player, notes: list[str]) -> dict[str, str]:
    """What the rule says for the same notes."""
    ways = {name: part.standard(Pitch.parse(name)) for name in notes}
    return {name: way.code if way else "-" for name, way in ways.items()}


def first_part(book: Book, instrument_id: str) -> Player:
    return players_of(book.instruments[instrument_id])[0]


def test_the_typed_charts_have_every_note_of_their_range() -> None:
    for text, low, high in ((HALF_TUBE, "F#3", "C6"), (F_HORN, "C3", "C6"), (TROMBONE, "E2", "Bb4")):
        notes = [pitch.name for pitch in chromatic(Pitch.parse(low), Pitch.parse(high))]
        assert list(chart(text)) == notes


CHARTS = {
    **dict.fromkeys(HALF_TUBE_IDS, HALF_TUBE),
    "f-horn": F_HORN,
    "trombone": TROMBONE,
    "trombone-f": TRIGGER,
    "euphonium-comp": COMPENSATING,
}


@pytest.mark.parametrize("instrument_id", CHARTS)
def test_the_rule_gives_the_ordinary_chart(book: Book, instrument_id: str) -> None:
    expected = chart(CHARTS[instrument_id])
    assert computed(first_part(book, instrument_id), list(expected)) == expected


# Alternates every chart prints beside the standard (common practice, from memory), in the written notes of a cornet.
ALTERNATES = {"E4": "3", "A4": "3", "G4": "1-3", "D5": "1-3", "Eb5": "2-3", "E5": "1-2", "B4": "1-3", "A5": "3"}


@pytest.mark.parametrize(("note", "alternate"), ALTERNATES.items())
def test_the_usual_alternates_are_offered(book: Book, note: str, alternate: str) -> None:
    part = first_part(book, "cornet")
    ways = fingering.learner_fingerings(part.instrument, part.reading.sounding(Pitch.parse(note)))
    assert alternate in [way.code for way in ways[1:]]


# Alternate positions on the trombone (common practice, from memory): D4 in 4, F3 in 6, C4 in 6, B flat 3 in 5, D3 in 7.
SLIDE_ALTERNATES = {"D4": "4", "F3": "6", "C4": "6", "Bb3": "5", "C#4": "5", "F4": "6"}


@pytest.mark.parametrize(("note", "alternate"), SLIDE_ALTERNATES.items())
def test_the_usual_alternate_positions_are_offered(book: Book, note: str, alternate: str) -> None:
    ways = fingering.learner_fingerings(book.instruments["trombone"], Pitch.parse(note))
    assert alternate in [way.code for way in ways[1:]]


def test_the_seventh_harmonic_is_an_alternate_drawn_in_from_second_and_third(book: Book) -> None:
    """Ordinary charts of the tenor trombone give G4 as 4 or ♯2 and F♯4 as 5 or ♯3 (common practice, from memory).

    Place worked by hand: harmonic 7 is 1200 * log2(7) - 3400 = -31.2 cents (any table of harmonics). In second position
    the tube is 270 * 1.059463 = 286.06 cm; 2 ** (31.2 / 1200) = 1.018187 shorter it is 280.95, so the slide is half of
    10.95, 5.47 cm out; in third (270 * 1.122462 = 303.06) half of 297.65 - 270, 13.83.
    """
    trombone = book.instruments["trombone"]
    for note, usual, other, cm in (("G4", "4", "♯2", 5.47), ("F#4", "5", "♯3", 13.83)):
        ways = fingering.learner_fingerings(trombone, Pitch.parse(note))
        assert ways[0].code == usual
        (raised,) = (way for way in ways if way.raised)
        assert (raised.code, raised.harmonic) == (other, 7)
        assert raised.reach_cm == pytest.approx(cm, abs=0.01)
    assert trombone.level_of(Pitch.parse("F#4")) == "full"  # beyond the first year
    assert not [way for way in fingering.every_way(book.instruments["cornet"]) if way.raised]
    assert not [way for way in fingering.every_way(trombone) if way.raised and way.position == 1]


def test_out_of_tune_harmonics_are_named_but_not_for_learners(book: Book) -> None:
    # B flat 5 written on the open cornet is the flat seventh harmonic (textbook, see test_acoustics)
    cornet = book.instruments["cornet"]
    sounding = cornet.readings[0].sounding(Pitch.parse("Bb5"))
    seventh = [way for way in fingering.all_fingerings(cornet, sounding) if way.harmonic == 7]
    assert [way.code for way in seventh] == ["0"]
    assert not seventh[0].for_learners
    assert fingering.all_fingerings(cornet, sounding)[-1].harmonic in fingering.OUT_OF_TUNE
    assert seventh[0] not in fingering.learner_fingerings(cornet, sounding)


def test_the_fourth_valve_stands_for_one_three(book: Book) -> None:
    four = first_part(book, "euphonium-4")
    for note in ("G3", "D4"):
        way = four.standard(Pitch.parse(note))
        assert way is not None
        assert way.code == "4"


# Four valves without compensation, written in treble clef below the three-valve range: what charts print, from memory.
# Sharpness worked by hand: a valve of s semitones adds 2 ** (s / 12) - 1 of the tube, so 1, 2, 3 and 4 add 0.12246,
# 0.05946, 0.18921 and 0.33484; 1-2-4 makes 1.51676, which is 721.2 cents, 78.8 short of eight semitones; 2-3-4 makes
# 1.58351, 795.8 cents, 104.2 short of nine; 1-3-4 1.64651, 863.3 cents; all four 1.70597, 924.7 cents.
UNCOMPENSATED = {"G3": "4", "F#3": "2-4", "F3": "1-4", "E3": "1-2-4", "Eb3": "2-3-4"}


def test_the_chart_without_compensation_is_what_tutors_hold_with_the_better_beside_it(book: Book) -> None:
    four = first_part(book, "euphonium-4")
    assert computed(four, list(UNCOMPENSATED)) == UNCOMPENSATED
    cents = {}
    for name in ("E3", "Eb3"):
        ways = fingering.all_fingerings(four.instrument, four.reading.sounding(Pitch.parse(name)))
        cents[name] = {way.code: round(way.cents, 1) for way in ways}
    assert cents["E3"] == {"1-2-4": 78.8, "3-4": pytest.approx(71, abs=1), "2-3-4": 4.2}
    assert cents["Eb3"] == {"2-3-4": 104.2, "1-3-4": 36.7, "1-2-3-4": -24.7}
    said = advise(four.instrument, four.reading.sounding(Pitch.parse("E3")))
    assert [advice.way.code for advice in said if advice.way] == ["2-3-4"]


def test_percussion_and_notes_out_of_reach_have_no_fingering(book: Book) -> None:
    assert fingering.standard(book.instruments["glockenspiel"], Pitch.parse("C6")) is None
    assert fingering.standard(book.instruments["cornet"], Pitch.parse("C2")) is None
    assert fingering.notes_of(book.instruments["drums"], "1") == ()


@pytest.mark.parametrize("code", ["4", "T1", "1-1", "", "3-1"])
def test_a_fingering_the_instrument_does_not_have_is_refused(book: Book, code: str) -> None:
    with pytest.raises(ValueError, match="cornet has no fingering"):
        fingering.notes_of(book.instruments["cornet"], code)


def test_open_cornet_sounds_the_harmonic_series(book: Book) -> None:
    # The open notes of a bugle or cornet, written (common practice): C4 G4 C5 E5 G5, then the flat B flat, C6.
    cornet = book.instruments["cornet"]
    written = [cornet.readings[0].written(pitch(midi)).name for midi, _ in fingering.notes_of(cornet, "0")]
    assert written[1:8] == ["C4", "G4", "C5", "E5", "G5", "Bb5", "C6"]


def pitch(midi: int) -> Pitch:
    return chromatic(Pitch("C", 0, midi // 12 - 1), Pitch("B", 0, midi // 12 - 1))[midi % 12]


BRASS = [*HALF_TUBE_IDS, "f-horn", "euphonium-4", "euphonium-comp", "trombone", "trombone-f"]


@given(st.sampled_from(BRASS), st.data())
def test_every_note_of_a_range_has_a_fingering_among_all(book: Book, instrument_id: str, data: st.DataObject) -> None:
    instrument = book.instruments[instrument_id]
    span = instrument.sounding_range("full")
    sounding = data.draw(st.sampled_from(chromatic(span.low, span.high)))
    way = fingering.standard(instrument, sounding)
    assert way is not None
    assert way in fingering.all_fingerings(instrument, sounding)
    assert way.for_learners
    # and the reverse look-up knows it
    assert (sounding.midi, way) in fingering.notes_of(instrument, way.code)


@given(st.sampled_from(BRASS), st.integers(24, 90))
def test_fingerings_lie_within_what_can_be_lipped_and_sound_the_note(book: Book, instrument_id: str, midi: int) -> None:
    instrument = book.instruments[instrument_id]
    assert instrument.fundamental
    sounding = pitch(midi)
    for way in fingering.learner_fingerings(instrument, sounding):
        printed = instrument_id == "euphonium-4" and 4 in way.valves and way.harmonic == 2  # see the chart above
        assert fingering.NEAR[0] <= way.cents <= (fingering.PRINTED if printed else fingering.NEAR[1])
        # frequency from first principles: harmonic times fundamental over tube length, against equal temperament
        hertz = way.harmonic * instrument.fundamental.hz() / _length(instrument, way)
        assert 2 ** (way.cents / 1200) * sounding.hz() == pytest.approx(hertz, rel=1e-6)


def _length(instrument: Instrument, way: fingering.Fingering) -> float:
    """Length of the tube in use as a multiple of the open tube, written out anew and not taken from the domain."""
    mechanism = instrument.mechanism
    if isinstance(mechanism, Valves):
        added = {valve: 2 ** (mechanism.semitones[valve - 1] / 12) - 1 for valve in way.valves}
        if mechanism.compensating in added:
            main = added.pop(mechanism.compensating)
            return (1 + main) * (1 + sum(added.values()))
        return 1 + sum(added.values())
    if way.raised:
        assert isinstance(mechanism, Slide)
        return 1 + 2 * way.reach_cm / (100 * mechanism.tube_m)
    return float(2 ** (way.lowering / 12))


def test_a_valved_instrument_has_no_slide_to_reach_out(book: Book) -> None:
    part = first_part(book, "cornet")
    ways = [part.standard(pitch) for pitch in chromatic(Pitch.parse("F#3"), Pitch.parse("C5"))]
    assert {way.reach_cm for way in ways if way} == {0}


def test_four_valves_without_compensation_are_printed_up_to_a_semitone_and_a_little_sharp(book: Book) -> None:
    """Fourth valve alone in tune (3 : 4), others by their lengths: 2-3-4 is 104 cents sharp of D flat and printed for
    it, 1-3-4 would be 137 sharp of C and 1-2-3-4 175 sharp of B: these notes are not there (charts of four-valved
    euphoniums without compensation, common practice, from memory)."""
    four = book.instruments["euphonium-4"]

    def low(name: str) -> list[str]:
        return [way.code for way in fingering.all_fingerings(four, Pitch.parse(name)) if way.harmonic == 2]

    assert "2-3-4" in low("Db2")
    assert low("C2") == low("B1") == []
