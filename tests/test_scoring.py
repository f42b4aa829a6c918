"""Sharing four lines out: exact, nobody left out, every octave declared."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise, product

import pytest
from music21 import chord

from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.music import shift
from beginnerband.music.instrument import VOICES
from beginnerband.music.option import Option
from beginnerband.music.phrases import START
from beginnerband.music.player import Player
from beginnerband.music.reach import DeskReach, PlayedNotes
from beginnerband.music.score import Line
from beginnerband.music.scored import covers, folded, new_notes, played, report, written
from beginnerband.music.scoring import Desk, Rules, Scoring, desks_of
from beginnerband.music.sharing import Search
from beginnerband.music.voiceleading import moments


@pytest.fixture(scope="module")
def rules(book: Book) -> Rules:
    assert book.scoring is not None
    return book.scoring.rules


def desks(book: Book, rules: Rules, **players: int) -> tuple[Desk, ...]:
    """Desks of so many players an instrument, ``tenor_horn=2``."""
    chosen = [(book.instruments[name.replace("_", "-")], count) for name, count in players.items()]
    return desks_of([Player(one, one.readings[0], count) for one, count in chosen], rules)


def lines(book: Book, piece: str) -> dict[str, Line]:
    return dict(book.pieces[piece].lines)


def best(book: Book, rules: Rules, piece: str, **players: int) -> Scoring:
    return Search(lines(book, piece), desks(book, rules, **players), rules).ranked().best


def test_the_default_lines_are_those_of_common_practice(book: Book, rules: Rules) -> None:
    """Common practice for brass in four parts, as the issue of this handbook states it; no single source."""
    wanted = {
        "cornet": "soprano", "cornet-2": "alto", "tenor-horn": "alto", "tenor-horn-2": "tenor", "baritone": "tenor",
        "trombone": "tenor", "euphonium": "bass", "eb-bass": "bass", "bb-bass": "bass",
    }  # fmt: skip
    made = desks(book, rules, cornet=4, tenor_horn=2, baritone=1, trombone=2, euphonium=1, eb_bass=1, bb_bass=1)
    assert {desk.id: desk.line for desk in made} == wanted
    assert [desk.player.count for desk in made if desk.player.id == "cornet"] == [2, 2]


def test_music_of_one_phrase_is_shared_out_like_any_other(book: Book, rules: Rules) -> None:
    first = {voice: Line(line.measures[:1]) for voice, line in lines(book, "two-gates").items()}
    band = desks(book, rules, cornet=2, tenor_horn=1, baritone=1, eb_bass=1)
    search = Search(first, band, rules)
    assert len(search.phrases) == 1
    scored = search.ranked().best
    assert (covers(scored), scored.uncovered) == ((), ())


def test_notes_that_were_not_taught_are_named_where_somebody_says_what_was(book: Book, rules: Rules) -> None:
    scored = best(book, rules, "two-gates", cornet=2, tenor_horn=1, baritone=1, eb_bass=1)
    seat = next(iter(scored.playing("soprano")))
    notes = written(lines(book, "two-gates")[seat.voice], scored, seat).pitches
    low, high = sorted({note.midi for note in notes})  # the piece says that no part has more than two notes
    sounding = low + seat.desk.player.reading.semitones
    taught = replace(seat, desk=replace(seat.desk, taught=frozenset({sounding})))
    assert new_notes(lines(book, "two-gates"), scored, seat) == ()
    assert [note.midi for note in new_notes(lines(book, "two-gates"), scored, taught)] == [high]


def test_the_first_line_of_an_instrument_is_the_one_its_own_file_names_first(book: Book, rules: Rules) -> None:
    """So that whom a plan counts on for a line is who plays it in the pieces."""
    brass = [each for each in book.instruments.values() if each.brass]
    assert {each.id: rules.lines[each.id][0] for each in brass} == {each.id: each.covers[0] for each in brass}


def test_a_tied_note_is_one_note_to_whoever_plays_it(book: Book, rules: Rules) -> None:
    """Worked by hand: four notes, one of them held over the barline; the last two lie above the cornet."""
    read = read_abc("X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\nC2 D2- | D2 c'2 | d'4 |]\n")
    assert read.score is not None
    (desk,) = desks(book, rules, cornet=1)
    notes = PlayedNotes(read.score.lines[0], (START,))
    counts = notes.counts(DeskReach(desk, "full"), moved=0, octaves=(0,))
    assert counts["impossible"] == 2
    assert notes.total == 4


def _all_ways(search: Search, fifths: int) -> list[tuple[int, int]]:
    """Points and place of every way of sharing the lines out in a key, in the order that breaks ties."""
    every = product(*(search.options(desk, fifths) for desk in search.desks))
    return [(search.scoring(chosen, fifths).points, place) for place, chosen in enumerate(every)]


BANDS = (
    {"cornet": 1, "tenor_horn": 1, "euphonium": 1},
    {"cornet": 2, "trombone": 1},
    {"soprano_cornet": 1, "tenor_horn": 1, "bb_bass": 1},
    {"cornet": 5, "eb_bass": 1},
)


@pytest.mark.parametrize("players", BANDS)
@pytest.mark.parametrize("piece", ["old-hundredth", "four-windows"])
def test_the_search_finds_what_trying_everything_finds(
    book: Book, rules: Rules, piece: str, players: dict[str, int]
) -> None:
    search = Search(lines(book, piece), desks(book, rules, **players), rules)
    for fifths in (-3, 2):
        tried = _all_ways(search, fifths)
        assert len(tried) >= 16
        found = search.best_in(fifths)
        assert found.exact
        assert found.points == min(tried)[0]


def test_a_search_that_keeps_few_ways_open_says_so(book: Book, rules: Rules) -> None:
    made = desks(book, rules, cornet=6, tenor_horn=3, baritone=1, trombone=2, euphonium=1, eb_bass=1)
    wide, narrow = (Search(lines(book, "old-hundredth"), made, rules, width) for width in (20_000, 1))
    assert wide.best_in(-3).exact
    assert not narrow.best_in(-3).exact
    assert narrow.best_in(-3).points >= wide.best_in(-3).points


def test_keys_are_ranked_by_points_then_by_signature(book: Book, rules: Rules) -> None:
    made = desks(book, rules, cornet=2, tenor_horn=2, baritone=1, euphonium=1)
    search = Search(lines(book, "ode-to-joy"), made, rules)
    ranked = search.ranked()
    every = [ranked.best, *ranked.others]
    assert len(every) == len({one.fifths for one in every}) == 5
    order = [(one.points, abs(one.fifths), one.fifths > 0) for one in every]
    weighed = sorted((one.points, abs(one.fifths), one.fifths > 0) for one in map(search.best_in, shift.KEYS))
    assert order == weighed[:5]
    assert all(search.least_in(fifths) <= search.best_in(fifths).points for fifths in shift.KEYS)
    assert all(one.points == sum(one.by_reason.values()) for one in every)


def test_a_key_costs_more_the_further_it_is_from_those_of_beginning_brass(book: Book, rules: Rules) -> None:
    """A chorale in E minor was put into A flat minor, seven flats in concert, to spare a few notes of the range."""
    asked = Search(lines(book, "ode-to-joy"), desks(book, rules, cornet=2, eb_bass=1), rules)
    charged = {fifths: asked.best_in(fifths).by_reason.get("uncommon", 0) for fifths in range(-7, 8)}
    each = rules.weights["uncommon"]
    assert {fifths: points // each for fifths, points in charged.items()} == {
        fifths: max(0, fifths + 1, -4 - fifths) for fifths in range(-7, 8)
    }


def test_a_lone_cornet_gets_the_tune(book: Book, rules: Rules) -> None:
    scoring = best(book, rules, "old-hundredth", cornet=1, tenor_horn=3, baritone=1, eb_bass=1)
    assert [seat.desk.id for seat in scoring.playing("soprano")] == ["cornet"]
    assert not scoring.uncovered


def test_an_absent_line_is_covered_and_it_is_said_by_whom(book: Book, rules: Rules) -> None:
    scoring = best(book, rules, "old-hundredth", cornet=4, tenor_horn=1, trombone=2)  # nobody plays bass by default
    assert not scoring.uncovered
    cover = next(cover for cover in covers(scoring) if cover.voice == "bass")
    assert cover.seats
    assert all(seat.moved and seat.desk.line != "bass" for seat in cover.seats)


@pytest.mark.parametrize(
    "players",
    [
        {"cornet": 1},
        {"cornet": 7},
        {"eb_bass": 1, "bb_bass": 1},
        {"tenor_horn": 4},
        {"trumpet": 1, "flugelhorn": 1, "trombone_f": 1, "euphonium_comp": 1},
        {"cornet": 2, "glockenspiel": 1, "xylophone": 1},
    ],
)
def test_nobody_is_without_a_part_and_as_many_lines_sound_as_can(
    book: Book, rules: Rules, players: dict[str, int]
) -> None:
    scoring = best(book, rules, "good-king-wenceslas", **players)
    made = desks(book, rules, **players)
    seated = {(seat.desk.player.id, seat.desk.player.reading.id) for seat in scoring.seats}
    assert seated == {(desk.player.id, desk.player.reading.id) for desk in made}
    assert sum(seat.desk.player.count for seat in scoring.seats) == sum(players.values())
    holding = sum(desk.holds for desk in made)
    assert len(scoring.uncovered) == max(0, 4 - holding)


def test_basses_play_an_octave_down_where_it_fits(book: Book, rules: Rules) -> None:
    scoring = best(book, rules, "jingle-bells", cornet=2, tenor_horn=2, euphonium=1, bb_bass=1)
    octaves = {seat.desk.id: seat.octave for seat in scoring.playing("bass")}
    assert octaves["bb-bass"] == -1
    assert octaves["euphonium"] == 0


def test_only_taught_notes_are_free(book: Book, rules: Rules) -> None:
    made = desks(book, rules, cornet=2, tenor_horn=2, baritone=1, euphonium=1)
    five = {"cornet": range(58, 66), "tenor-horn": range(51, 59), "baritone": range(46, 54), "euphonium": range(46, 54)}
    taught = [replace(desk, taught=frozenset(five[desk.player.id])) for desk in made]
    scoring = Search(lines(book, "five-lamps"), taught, rules).best_in(-3)
    for seat in scoring.seats:
        part = played(lines(book, "five-lamps")[seat.voice], scoring, seat)
        new = {pitch.midi for pitch in part.pitches} - set(seat.desk.taught or ())
        charged = {charge.reason: charge.count for charge in seat.bill}
        assert charged.get("untaught", 0) + charged.get("range", 0) >= len(new)
        assert bool(new) == bool(charged.get("untaught", 0) or charged.get("range", 0))


def test_an_octave_that_crosses_is_charged_and_reported(book: Book, rules: Rules) -> None:
    made = desks(book, rules, trombone=1, euphonium=1)
    source = lines(book, "old-hundredth")
    search = Search(source, made, rules)
    options = [
        next(one for one in search.options(desk, -3) if one.voice == voice and set(one.octaves) == {octave})
        for desk, voice, octave in ((made[0], "tenor", 0), (made[1], "bass", 1))
    ]
    raised = search.scoring(options, -3)
    heard = [played(source[seat.voice], raised, seat) for seat in raised.seats]
    at = moments([*heard, source["tenor"], source["bass"]])
    above = [moment for moment in at if moment.pitches[1].midi > moment.pitches[0].midi]  # type: ignore[union-attr]
    assert above
    for seat in raised.seats:
        charged = {charge.reason: charge.count for charge in seat.bill}
        assert charged["order"] == pytest.approx(100 * len(above) / len(at), abs=15)  # moments are not equally long
    found = report(source, raised, rules, "british")
    assert any(one.kind == "crossing" and not one.inherited for one in found)


# What a leader would choose. Common practice, no source, as are the bands.


@pytest.mark.parametrize(
    ("players", "lost"), [({"cornet": 1, "trombone": 1}, {"alto", "tenor"}), ({"cornet": 1}, set())]
)
def test_the_tune_and_the_bass_are_kept_longest(
    book: Book, rules: Rules, players: dict[str, int], lost: set[str]
) -> None:
    scoring = best(book, rules, "old-hundredth", **players)
    assert set(scoring.uncovered) >= lost
    assert "soprano" not in scoring.uncovered


def test_of_the_inner_lines_the_one_with_the_thirds_is_kept(book: Book, rules: Rules) -> None:
    """Thirds found by music21's chord module, for every chord that all lines strike together."""
    for piece in ("old-hundredth", "abide-with-me", "good-king-wenceslas"):
        scoring = best(book, rules, piece, cornet=2, trombone=1)
        (lost,) = scoring.uncovered
        kept = "alto" if lost == "tenor" else "tenor"
        assert _thirds(lines(book, piece), kept) >= _thirds(lines(book, piece), lost), piece


def _thirds(source: dict[str, Line], voice: str) -> Fraction:
    """Quarter notes for which ``voice`` alone has the third of a chord."""
    long, at, own = Fraction(0), moments(list(source.values())), list(source).index(voice)
    for moment, later in pairwise(at):
        third = chord.Chord([pitch.name.replace("b", "-") for pitch in moment.pitches if pitch]).third
        having = [place for place, pitch in enumerate(moment.pitches) if pitch and third and pitch.step == third.step]
        ends = later.beat or source["soprano"].measures[moment.place].quarters
        long += (having == [own]) * (ends - moment.beat)
    return long


def test_a_large_section_is_split_between_lines_and_put_together_again(book: Book, rules: Rules) -> None:
    scoring = best(book, rules, "old-hundredth", cornet=12, tenor_horn=2, baritone=1, trombone=1, eb_bass=2)
    cornets = [seat for seat in scoring.seats if seat.desk.player.id == "cornet"]
    assert [seat.desk.number for seat in cornets] == list(range(1, len(cornets) + 1))
    assert len(cornets) > 1
    assert sum(seat.desk.player.count for seat in cornets) == 12
    assert len({(seat.voice, seat.octaves) for seat in cornets}) == len(cornets)
    for voice in VOICES:
        assert 2 * sum(seat.desk.player.count for seat in scoring.playing(voice)) <= 18, voice


@pytest.mark.parametrize(
    "players", [{"cornet": 2, "trombone": 4}, {"cornet": 3, "trombone": 3}, {"flugelhorn": 2, "baritone": 3}]
)
def test_few_instruments_are_split_until_four_lines_are_covered(
    book: Book, rules: Rules, players: dict[str, int]
) -> None:
    scoring = best(book, rules, "old-hundredth", **players)
    assert not scoring.uncovered
    total = sum(players.values())
    for voice in VOICES:
        assert 2 * sum(seat.desk.player.count for seat in scoring.playing(voice)) <= total


@pytest.mark.parametrize(
    ("players", "kept"),
    [
        ({"cornet": 2}, {"soprano", "alto"}),
        ({"cornet": 6}, {"soprano", "alto"}),
        ({"eb_bass": 4}, {"soprano", "bass"}),
        ({"trombone": 3}, {"soprano", "bass"}),
        ({"cornet": 1, "bb_bass": 1}, {"soprano", "bass"}),
        ({"cornet": 4, "tenor_horn": 2, "baritone": 1}, set(VOICES)),
    ],
)
def test_a_band_of_one_kind_has_what_it_can_and_no_bass_above_the_others(
    book: Book, rules: Rules, players: dict[str, int], kept: set[str]
) -> None:
    """Tune and bass come first, then a line with thirds; high instruments alone have no bass (common practice)."""
    scoring = best(book, rules, "ode-to-joy", **players)
    assert kept <= {seat.voice for seat in scoring.seats}
    lowest = [seat for seat in scoring.playing("bass") if seat.desk.holds]
    assert all(max(seat.octaves) <= 0 for seat in lowest)


def test_an_instrument_without_rules_plays_what_its_file_covers(book: Book, rules: Rules) -> None:
    without = replace(rules, lines={name: own for name, own in rules.lines.items() if name != "flugelhorn"})
    (desk,) = desks(book, without, flugelhorn=1)
    assert desk.line == book.instruments["flugelhorn"].covers[0]


@pytest.mark.parametrize(
    ("fifths", "instrument", "written"),
    [(6, "tenor-horn", -3), (-7, "tenor-horn", -4), (7, "f-horn", -4), (6, "f-horn", -5), (0, "f-horn", 1)],
)
def test_the_signature_that_is_read(book: Book, fifths: int, instrument: str, written: int) -> None:
    """F sharp on an E flat horn would have nine sharps: it is read in E flat (circle of fifths)."""
    assert shift.written_fifths(fifths, book.instruments[instrument].readings[0]) == written


def test_a_desk_is_tried_in_its_own_octave_first(book: Book, rules: Rules) -> None:
    band = desks(book, rules, cornet=2, tenor_horn=1, eb_bass=1)
    search = Search(lines(book, "ode-to-joy"), band, rules)
    first = {desk.player.id: set(search._reached(desk, desk.line, 0)[0][0]) for desk in band}
    assert first == {"cornet": {0}, "tenor-horn": {0}, "eb-bass": {-1}}


def test_the_bill_counts_who_is_too_many_on_a_line(book: Book, rules: Rules) -> None:
    """Seven players: three cornets on the tune, three on the tenor, where two would be usual: one of seven, 14.3 %."""
    band = desks(book, rules, cornet=6, eb_bass=1)
    scoring = Search(lines(book, "old-hundredth"), band, rules).best_in(-4)
    assert [(seat.voice, seat.desk.player.count) for seat in scoring.seats] == [
        ("soprano", 3),
        ("tenor", 3),
        ("bass", 1),
    ]
    assert {charge.reason: charge.count for charge in scoring.bill} == {"uncovered": 1, "share": 15, "key": 1}


@pytest.mark.parametrize(
    ("players", "offered"),
    [
        ({"cornet": 2}, {"cornet": {"soprano"}, "cornet-2": {"soprano"}}),
        (
            {"cornet": 1, "tenor_horn": 1},
            {"cornet": {"soprano", "alto"}, "tenor-horn": {"soprano", "alto", "tenor"}},
        ),
    ],
)
def test_who_was_taught_no_note_of_any_line_takes_one_of_its_own_but_where_all_are_alike(
    book: Book, rules: Rules, players: dict[str, int], offered: dict[str, set[str]]
) -> None:
    band = [replace(desk, taught=frozenset()) for desk in desks(book, rules, **players)]
    search = Search(lines(book, "two-gates"), band, replace(rules, only_taught=True))
    assert {desk.id: {one.voice for one in search.options(desk, -2)} for desk in band} == offered


def test_the_only_desk_of_an_instrument_has_no_number(book: Book) -> None:
    cornet = book.instruments["cornet"]
    assert Desk(Player(cornet, cornet.readings[0], 2)).number == 0


def test_a_desk_has_as_many_players_as_the_rules_say(book: Book, rules: Rules) -> None:
    made = desks(book, rules, cornet=16, eb_bass=16)
    assert [desk.player.count for desk in made] == [rules.desk] * 8


def test_a_phrase_in_another_octave_is_moved_for_those_who_play_it(book: Book, rules: Rules) -> None:
    scoring = best(book, rules, "two-gates", cornet=2, tenor_horn=1, baritone=1, eb_bass=1)
    scoring = replace(scoring, phrases=(START, (2, Fraction(0))))
    seat = replace(scoring.seats[0], octaves=(0, 0))
    tune = lines(book, "two-gates")["soprano"]
    assert not seat.folded
    assert folded(tune, scoring, seat) == tune
    seat = replace(seat, octaves=(0, -1))
    assert seat.folded
    moved = folded(tune, scoring, seat)
    assert moved.measures[:2] == tune.measures[:2]
    pairs = zip(tune.measures[2:], moved.measures[2:], strict=True)
    notes = [pair for old, new in pairs for pair in zip(old.notes, new.notes, strict=True) if pair[0].pitch]
    assert {now.pitch.midi - before.pitch.midi for before, now in notes if before.pitch and now.pitch} == {-12}


def test_of_what_a_desk_may_play_on_a_line_the_cheapest_is_kept(book: Book, rules: Rules) -> None:
    """Of ways beside the lead: 10 points, not 30 before it nor 20 after it, and the first of two that cost the same."""
    search = Search(lines(book, "two-gates"), desks(book, rules, cornet=2), rules)
    asked = [
        Option(points, ("soprano", (octave,)), ()) for points, octave in ((5, 0), (30, 1), (10, 2), (20, 3), (10, 4))
    ]
    found = search._faced(list(enumerate(asked)), ((0,), None, None, None), {one.form: 0 for one in asked})
    assert [(way.place, way.points, way.leads) for way in found] == [(0, 5, True), (2, 10, False)]


@pytest.mark.parametrize(
    ("octaves", "folds"), [((0, 0, 0), 0), ((0, -1, -1), 1), ((-1, -1, 0), 1), ((0, -1, 0), 2), ((-1, 0, -1), 2)]
)
def test_every_change_of_octave_is_charged(book: Book, rules: Rules, octaves: tuple[int, ...], folds: int) -> None:
    made = desks(book, rules, cornet=2)
    option = Search(lines(book, "two-gates"), made, rules)._option(made[0], "soprano", octaves, {}, 0)
    assert dict(option.counts).get("fold", 0) == folds


@pytest.mark.parametrize(("leap", "played"), [(10, (-1, 0)), (9, (-1, -1))])
def test_an_octave_is_not_changed_by_a_leap_too_wide(
    book: Book, rules: Rules, leap: int, played: tuple[int, ...]
) -> None:
    """A cornet sounds from E3 to B flat 5. Three bars of C6 are too high, and an octave lower the D4 after them is too
    low: best is to change between, ten semitones down from C5 to D4, else to lose the one note rather than the three.
    """
    read = read_abc("X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\nc'4 | c'4 | c'4 | D4 | E4 |]\n")
    assert read.score is not None
    (desk,) = desks(book, rules, cornet=1)
    notes, reach = PlayedNotes(read.score.lines[0], (START, (3, Fraction(0)))), DeskReach(desk, "full")
    weights = {"impossible": 100, "range": 0, "fold": 1}
    assert notes.folded(reach, 0, 0, leap, weights) == played
    lost = [notes.counts(reach, 0, way).get("impossible", 0) for way in ((0, 0), (-1, -1), (-1, 0))]
    assert lost == [3, 1, 0]
