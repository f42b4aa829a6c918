"""Which concert key a tune is played in: the octave each instrument takes, and what a key costs."""

from __future__ import annotations

import pytest

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.music.keychoice import best_for_all, first_level, playable, rank
from beginnerband.music.part import Reach, different, part
from beginnerband.music.shift import KEYS
from beginnerband.pages.tunes.view import key_sentence


@pytest.mark.parametrize(
    ("instrument", "lowest", "octaves"),
    [("cornet", 58, 0), ("cornet", 70, -1), ("cornet", 46, 1), ("tenor-horn", 58, 0), ("eb-bass", 58, -1)],
)
def test_five_notes_go_to_the_octave_the_instrument_begins_in(
    book: Book, instrument: str, lowest: int, octaves: int
) -> None:
    # MIDI numbers, B flat to F. A cornet begins on concert B flat 3. An E flat bass begins on 39 to 46, and
    # has 37 to 53 in its first year: an octave down is 7 semitones over the one (70
    # points), two are 5 and 3 under (80 points).
    notes = frozenset(lowest + step for step in (0, 2, 4, 5, 7))
    assert Reach.of(book.instruments[instrument], "starter").octave(notes) == octaves


def test_ranking_is_total(book: Book) -> None:
    for tune in list(book.tunes.values())[::5]:
        ranking = rank(tune.line, book.band.players, "first-year")
        assert sorted(choice.key.fifths for choice in ranking) == list(KEYS)
        ordered = [(choice.points, choice.tie) for choice in ranking]
        assert ordered == sorted(ordered)
        assert len(set(ordered)) == 15


def test_five_notes_together_are_best_in_concert_b_flat(book: Book) -> None:
    """Common practice: beginner bands of B flat and E flat instruments begin together in concert B flat."""
    level, ranking = first_level(book.tunes["lightly-row"].line, book.band.players)
    assert level == "first-year"
    assert best_for_all(ranking).key.name == "Bb major"


def test_signatures_are_charged_as_printed_and_kept_within_the_ladder(book: Book) -> None:
    """Beginner bands of B flat and E flat instruments play in concert B flat and E flat first: common practice."""
    assert book.course
    signs = book.course.ladder.signs(book.band.players)
    for tune in ("little-lamb-three", "hot-cross-buns", "three-friends"):
        line = book.tunes[tune].line
        ranking = rank(line, book.band.players, "first-year", signs=signs)
        best = best_for_all(ranking)
        assert best.key.fifths in (-2, -3), tune
        assert best.readable
        for choice in ranking:
            for cost in choice.costs:
                assert cost.signs >= abs(cost.key.fifths)  # printed, whether or not the tune has the note
                assert cost.beyond == max(0, abs(cost.key.fifths) - signs[cost.player.id])


def test_no_double_sharp_is_offered_as_known(book: Book) -> None:
    """A fragment in G sharp minor with its leading note: an F double sharp is not the G that is known."""
    line = read_abc("X:1\nT:f\nM:4/4\nL:1/4\nK:G#m\nG ^^F G2 |]\n").score.lines[0]  # type: ignore[union-attr]
    known = {player.id: range(128) for player in book.band.pitched}
    for choice in rank(line, book.band.players, "first-year", known):
        doubles = [cost.player.id for cost in choice.costs if cost.key.fifths >= 5]  # G sharp minor and further
        assert not (doubles and choice.suits_all), choice.key
    assert abs(best_for_all(rank(line, book.band.players, "first-year", known)).key.fifths) <= 4


def test_a_key_beyond_the_ladder_comes_with_its_reason(book: Book) -> None:
    assert book.course
    signs = book.course.ladder.signs(book.band.players)
    line = book.tunes["hot-cross-buns"].line
    ranking = rank(line, book.band.players, "first-year", signs=signs)
    beyond = next(choice for choice in ranking if choice.key.fifths == 2)
    said = key_sentence(book, "first-year", ranking, beyond)
    assert "more sharps or flats than the ladder allows" in said
    assert "5 sharps" in said  # E flat readers in concert D read B major
    assert "concert B♭ major" in said or "concert E♭ major" in said


def test_new_notes_count_against_a_key(book: Book) -> None:
    tune = book.tunes["hot-cross-buns"].line
    known = {
        player.instrument.id: different(part(tune, -3, player, "first-year").sounding) for player in book.band.pitched
    }
    best = rank(tune, book.band.players, "first-year", known)[0]
    assert best.key.fifths == -3
    assert best.suits_all
    assert {tune.id for tune, _ in playable(book.tunes.values(), book.band.players, "first-year", known)} >= {"stairs"}
    assert not playable([book.tunes["ode-to-joy"]], book.band.players, "first-year", known)
