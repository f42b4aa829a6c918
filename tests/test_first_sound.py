"""What a first sound costs a band, added up by hand with one weight at a time.

Written ranges: the cornet's starter range goes from C4 to G4, its first year from B♭3 to D5 (its data file). In concert
B♭ a cornet reads C D E F G; in concert E♭ it reads F G A B♭ C, with one flat; in concert F, G A B C D, with one sharp;
in concert C, D E F♯ G A, with two (intervals of transposing instruments).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from measure_courses import drawn, made

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.music.instrument import Range
from beginnerband.music.player import Player
from beginnerband.teaching import firstsound
from beginnerband.teaching.firstsound import Choice, Weights

NOTHING = dict.fromkeys(Weights.__dataclass_fields__, 0.0)
READ = read_abc("X:1\nT:t\nS:written for this test\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\nC D E F | G4 |\n").score


def anything(player: Player) -> Range:
    return player.instrument.written_range("full", player.reading)


def ranked(book: Book, signs: int = 9, count: int = 1, **weights: float) -> dict[tuple[int, int], Choice]:
    assert READ
    cornet = book.instruments["cornet"]
    player = Player(cornet, cornet.reading("treble-bb"), count)
    weighed = Weights(**NOTHING | {"first": 1.0, **weights})
    found = firstsound.rank([player], READ.lines[0], weighed, lambda _: signs, anything)
    return {(each.fifths, each.degree): each for each in found}


BB, EB, F, C = -2, -3, -1, 0


@pytest.mark.parametrize(
    ("weights", "key", "points"),
    [
        ({"valve": 1.0}, BB, (0 + 2 + 2, 0 + 2 + 2, 0 + 2 + 2)),  # C open, D 1-3, E 1-2; F and G count nothing
        ({"valve": 1.0, "first": 3.0}, BB, (0 + 2 + 2, 0 + 6 + 2, 0 + 2 + 6)),
        ({"valve": 1.0, "later": 0.5}, BB, (4.5, 4.5, 4.5)),  # F 1, G open
        ({"third_valve": 1.0}, BB, (1, 1, 1)),  # D alone
        ({"beyond_starter": 1.0, "first": 3.0, "later": 0.5}, EB, (2, 2, 4)),  # A, B♭ and C; A is the third
        ({"beyond_starter": 2.0, "later": 0.25}, EB, (3, 3, 3)),  # A 2; B♭ and C half a point each
        ({"beyond_first_year": 30.0}, EB, (0, 0, 0)),  # up to C5
        ({"signature": 0.5}, EB, (0.5, 0.5, 0.5)),
        ({"signature": 0.5}, BB, (0, 0, 0)),
        ({"middle": 1.0}, BB, (7, 5, 3)),  # semitones from G4 down to C4, D4, E4
        ({"middle": 1.0}, EB, (2, 0, 2)),  # F4, G4, A4
        ({"lower": 4.0}, BB, (4, 4, 4)),  # a fourth below C4 is G3, and the first year ends at B♭3
        ({"lower": 4.0}, EB, (0, 0, 0)),  # below F4 it is C4
    ],
)
def test_points_of_each_way_to_begin(
    book: Book, weights: dict[str, float], key: int, points: tuple[float, float, float]
) -> None:
    found = ranked(book, **weights)
    assert tuple(found[key, degree].points for degree in (0, 1, 2)) == pytest.approx(points)
    assert {degree for _, degree in found} == {0, 1, 2}  # the key note and the two above it


def test_a_trigger_is_a_valve_to_press(book: Book) -> None:
    """In concert B♭ a trombone plays B♭ 1, C in first with the trigger, D 4, E♭ 3, F 1; in E♭ it is 3, 1, 4, 3 and 1.

    Ordinary charts of the trombone with F attachment, from memory. Without one, C is in sixth: two beyond the fourth.
    """
    assert READ

    def points(name: str, key: int) -> float:
        player = Player(book.instruments[name], book.instruments[name].reading("bass-c"), 1)
        weights = Weights(**NOTHING | {"first": 1.0, "valve": 1.0, "slide": 3.0})
        found = firstsound.rank([player], READ.lines[0], weights, lambda _: 9, anything)
        return next(each.points for each in found if (each.fifths, each.degree) == (key, 0))

    assert [points("trombone-f", key) for key in (BB, EB)] == [1, 0]
    assert [points("trombone", key) for key in (BB, EB)] == [6, 0]


def test_a_key_of_more_signs_than_a_player_may_read_costs_as_much_as_a_note_too_far(book: Book) -> None:
    assert [ranked(book, signs=0, beyond_first_year=30.0)[key, 0].points for key in (BB, EB, F)] == [0, 30, 30]
    assert [ranked(book, signs=1, beyond_first_year=30.0)[key, 0].points for key in (BB, EB, F)] == [0, 0, 0]
    assert [ranked(book, signs=signs, beyond_first_year=30.0)[C, 0].points for signs in (1, 2)] == [30, 0]


def test_who_plays_beside_others_need_not_go_below_the_home_note(book: Book) -> None:
    assert READ
    players = [Player(book.instruments[name], book.instruments[name].readings[0], 1) for name in ("cornet", "eb-bass")]
    weights = Weights(**NOTHING | {"lower": 4.0})
    assert {each.points for each in firstsound.rank(players, READ.lines[0], weights, lambda _: 9, anything)} == {0}


@pytest.mark.parametrize(("count", "barred"), [(1, 1), (4, 4), (0, 1)])
def test_players_whom_a_key_stops_are_counted(book: Book, count: int, barred: int) -> None:
    """Nobody may read a sign; an instrument of which no number is given counts as one player."""
    found = ranked(book, signs=0, count=count, signature=1.0)
    assert [found[key, 0].barred for key in (BB, EB)] == [0, barred]
    assert found[EB, 0].points == barred


def test_sounds_that_everybody_may_begin_on(book: Book) -> None:
    """Without a sign a cornet reads concert B♭ alone: its C, D and E, which sound B♭, C and D."""
    assert READ
    cornet = book.instruments["cornet"]
    player = Player(cornet, cornet.reading("treble-bb"), 1)
    every = firstsound.rank([player], READ.lines[0], Weights(**NOTHING | {"first": 1.0}), lambda _: 0, anything)
    apart = firstsound.sounds_apart(every, READ.lines[0])
    assert {firstsound.sound_of(READ.lines[0], one.fifths, one.degree).midi % 12 for one in apart} == {10, 0, 2}
    assert {one.barred for one in apart} == {0}


def test_a_first_sound_that_somebody_may_not_begin_on_is_barred(book: Book) -> None:
    """A trombone begins on B♭2 to F3 (its data file): A lies below and above, whatever the key; G above alone.

    E♭ lies within, and so does a horn's, which is two octaves above.
    """
    assert READ
    trombone, horn = book.instruments["trombone"], book.instruments["f-horn"]
    players = [Player(trombone, trombone.reading("bass-c"), 3), Player(horn, horn.readings[0], 1)]

    def begins(player: Player) -> Range:
        level = "starter" if player.instrument is trombone else "full"
        return player.instrument.written_range(level, player.reading)

    found = firstsound.rank(players, READ.lines[0], Weights(**NOTHING), lambda _: 9, begins)
    barred = {(each.fifths, each.degree): each.barred for each in found}
    assert [barred[F, degree] for degree in (0, 1, 2)] == [0, 3, 3]  # F, G, A
    assert [barred[EB, degree] for degree in (0, 1, 2)] == [0, 0, 3]  # E♭, F, G


@pytest.mark.parametrize("rooms", [1, 2])
def test_a_trombone_a_horn_and_a_bass_begin_where_all_of_them_may(book: Book, rooms: int) -> None:
    some = [("eb-bass", "bass-c", 1), ("f-horn", "treble-f", 5), ("trombone", "bass-c", 3)]
    players = tuple(
        Player(book.instruments[name], book.instruments[name].reading(how), count) for name, how, count in some
    )
    case = drawn(book, 1)
    case = replace(case, players=players, plan={}, teaching=replace(case.teaching, rooms=rooms, minutes=45, lessons=26))
    course, wrong = made(book, case)
    assert course, wrong
    assert (course.course.start.home, course.course.start.degree) == (F, 0)


def way(fifths: int, points: float, barred: int = 0) -> Choice:
    return Choice(points=points, barred=barred, fifths=fifths, degree=0)


@pytest.mark.parametrize(
    ("others", "second"),
    [
        ([way(EB, 2), way(BB, 3), way(C, 9)], C),  # a fifth up, dear as it is
        ([way(EB, 2), way(BB, 3), way(C, 1, barred=2)], BB),  # nobody is to be stopped: a fifth down
        ([way(EB, 2), way(BB, 3, barred=1), way(C, 1, barred=2)], EB),  # neither: the best other
    ],
)
def test_a_band_goes_on_in_a_neighbouring_key_where_all_reach_it(others: list[Choice], second: int) -> None:
    chosen = firstsound.chosen([way(F, 1), *others], lambda _: True)
    assert (chosen.home, chosen.second) == (F, second)


def test_a_band_does_not_go_on_in_a_key_it_cannot_read() -> None:
    best = [way(F, 1), way(EB, 2), way(BB, 3), way(C, 4)]
    assert firstsound.chosen(best, lambda fifths: fifths != C).second == BB
    assert firstsound.chosen(best, lambda fifths: fifths not in (C, BB)).second == EB
