"""Who shares fingerings with whom, and what changes for a player who moves."""

from __future__ import annotations

from itertools import permutations

import pytest

from beginnerband.data.book import Book
from beginnerband.music import equivalence
from beginnerband.music.instrument import Slide, Valves
from beginnerband.music.player import Player, players_of

HALF_TUBE = (
    "soprano-cornet", "cornet", "trumpet", "flugelhorn", "tenor-horn", "baritone", "euphonium", "eb-bass", "bb-bass",
)  # fmt: skip


def part(book: Book, instrument_id: str, reading_id: str | None = None) -> Player:
    instrument = book.instruments[instrument_id]
    return Player(instrument, instrument.reading(reading_id) if reading_id else instrument.readings[0])


@pytest.mark.parametrize(("first", "second"), [*permutations(HALF_TUBE, 2)])
def test_treble_clef_half_tube_brass_is_fingered_alike(book: Book, first: str, second: str) -> None:
    # A fact of the trade: a treble-clef player can change between them without learning one fingering.
    comparison = equivalence.compare(part(book, first), part(book, second))
    assert comparison.identical
    assert len(comparison.notes) >= 26  # F sharp 3 to G5 at least


def test_not_the_f_horn(book: Book) -> None:
    # Common practice, from memory: the long horn needs fewer valves on the low notes, the very ones beginners start on.
    comparison = equivalence.compare(part(book, "cornet"), part(book, "f-horn"))
    assert not comparison.identical
    differing = {each.written.name: (each.first.code, each.second.code) for each in comparison.differs
                 if each.first and each.second}  # fmt: skip
    assert differing["C#4"] == ("1-2-3", "1-2")
    assert differing["D4"] == ("1-3", "1")
    assert differing["E4"] == ("1-2", "0")
    assert set(differing) == {"F#3", "G3", "C#4", "D4", "Eb4", "E4"}


def test_not_a_bass_clef_reader(book: Book) -> None:
    comparison = equivalence.compare(part(book, "cornet"), part(book, "euphonium", "bass-c"))
    assert comparison.notes
    assert len(comparison.differs) > len(comparison.notes) / 2


def test_only_fourth_valve_notes_differ_on_four_valves(book: Book) -> None:
    # Common practice, from memory: 4 for 1-3 and 2-4 for 1-2-3, nothing else within the three-valve range.
    for other in ("euphonium-4", "euphonium-comp"):
        comparison = equivalence.compare(part(book, "cornet"), part(book, other))
        differing = [(each.written.name, each.second.code) for each in comparison.differs if each.second]
        assert differing == [("F#3", "2-4"), ("G3", "4"), ("C#4", "2-4"), ("D4", "4")]
        assert comparison.same == len(comparison.notes) - 4


def test_never_the_trombone_although_1_is_1(book: Book) -> None:
    for reading in ("bass-c", "treble-bb"):
        comparison = equivalence.compare(part(book, "cornet"), part(book, "trombone", reading))
        assert comparison.notes
        assert comparison.same == 0


def test_comparing_is_symmetric(book: Book) -> None:
    everyone = [each for instrument in book.instruments.values() if instrument.brass for each in players_of(instrument)]
    for first, second in permutations(everyone[:8], 2):
        there, back = equivalence.compare(first, second), equivalence.compare(second, first)
        assert [each.written for each in there.differs] == [each.written for each in back.differs]
        assert there.same == back.same


# Common practice, from memory: what a valve player is told on the first day of the trombone.
POSITIONS = {(): 1, (2,): 2, (1,): 3, (1, 2): 4, (3,): 4, (2, 3): 5, (1, 3): 6, (1, 2, 3): 7}


def test_valves_become_positions(book: Book) -> None:
    valves, slide = book.instruments["baritone"].mechanism, book.instruments["trombone"].mechanism
    assert isinstance(valves, Valves)
    assert isinstance(slide, Slide)
    rows = equivalence.valves_as_positions(valves, slide)
    assert {row.valves: row.position for row in rows} == POSITIONS
    assert [row.lowering for row in rows] == [0, 1, 2, 3, 3, 4, 5, 6]
    assert all(row.trigger_position is None for row in rows)


def test_the_fourth_valve_becomes_the_trigger(book: Book) -> None:
    valves, slide = book.instruments["euphonium-4"].mechanism, book.instruments["trombone-f"].mechanism
    assert isinstance(valves, Valves)
    assert isinstance(slide, Slide)
    found = {row.valves: row.trigger_position for row in equivalence.valves_as_positions(valves, slide)}
    assert found[(4,)] == 1
    assert found[(2, 4)] == 2
    assert found[(1, 2)] is None
    assert found[(1, 2, 3, 4)] is None  # eleven semitones: the slide is too short


def test_from_cornet_to_baritone_only_the_octave_and_the_mouthpiece_change(book: Book) -> None:
    move = equivalence.change_over(part(book, "cornet"), part(book, "baritone"))
    assert move.same_hands
    assert move.same_page
    assert (move.sounds, move.octaves) == (-12, -1)
    assert not move.same_mouthpiece


def test_from_cornet_to_e_flat_bass_the_hands_stay_but_the_sound_moves(book: Book) -> None:
    move = equivalence.change_over(part(book, "cornet"), part(book, "eb-bass"))
    assert move.same_hands
    assert move.same_clef
    assert not move.same_page  # sounds an octave and a fifth lower: the old part would be in the wrong key
    assert move.sounds == -19


def test_a_cornet_player_keeps_treble_clef_on_the_trombone(book: Book) -> None:
    kept = equivalence.kindest_reading(part(book, "cornet"), book.instruments["trombone"])
    assert kept.reading.id == "treble-bb"
    move = equivalence.change_over(part(book, "cornet"), kept)
    assert move.same_page
    assert not move.same_hands


def test_in_another_clef_a_player_keeps_the_valves_of_each_sound(book: Book) -> None:
    """What B♭ brass reads in bass clef sounds with the valves of the treble clef; E♭ brass presses others."""
    cornet, baritone = part(book, "cornet"), book.instruments["baritone"]
    low = Player(baritone, baritone.reading("bass-c"))
    assert equivalence.change_over(cornet, low).same_by_sound
    assert not equivalence.change_over(part(book, "tenor-horn"), low).same_by_sound
    trombone = book.instruments["trombone"]
    positions = [Player(trombone, trombone.reading(clef)) for clef in ("bass-c", "treble-bb")]
    assert equivalence.change_over(positions[0], positions[1]).same_by_sound


def test_a_move_to_a_like_instrument_changes_nothing_on_the_page(book: Book) -> None:
    move = equivalence.change_over(part(book, "cornet"), part(book, "trumpet"))
    assert move.same_page
    assert move.same_hands
    assert move.same_mouthpiece
    assert move.sounds == 0


def test_ids_tell_a_second_reading_apart(book: Book) -> None:
    assert [each.short_key for each in players_of(book.instruments["euphonium"])] == ["euphonium", "euphonium/bass-c"]
