"""Sharing out the four-part chorales of music21's corpus: nothing but declared octaves changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from chorales import four_part_chorales
from hearing import heard
from measure_scoring import measure

from beginnerband.data.book import Book
from beginnerband.music import shift
from beginnerband.music.pitch import Pitch, semitones
from beginnerband.music.player import Player
from beginnerband.music.score import Line
from beginnerband.music.scored import played, range_findings, written
from beginnerband.music.scoring import Rules, Scoring, Seat, desks_of
from beginnerband.music.sharing import Search


@pytest.fixture(scope="module")
def rules(book: Book) -> Rules:
    assert book.scoring is not None
    return book.scoring.rules


def test_a_phrase_is_folded_only_where_all_lines_breathe_and_by_no_leap_too_wide(book: Book, rules: Rules) -> None:
    folded = 0
    players = {"cornet": 2, "tenor-horn": 1, "trombone": 1, "eb-bass": 1}
    few = [Player(one, one.readings[0], players[name]) for name in players if (one := book.instruments[name])]
    for _, source, _ in four_part_chorales(0)[:12]:
        made = [replace(desk, leap=8) for desk in desks_of(few, rules)]
        search = Search(source, made, rules)
        found = search.best_in(search.key.fifths)
        for desk in made:
            for option in search.options(desk, search.key.fifths):
                if len(set(option.octaves)) == 1:
                    continue
                folded += 1
                seat = Seat(desk, option.voice, option.octaves)
                scoring = replace(found, seats=(seat,))
                was = source[option.voice]
                _leaps_at_folds(was, played(was, scoring, seat), 8, _after_breaths(source["soprano"]))
    assert folded > 5


def _leaps_at_folds(was: Line, now: Line, most: int, breaths: set[tuple[int, Fraction]]) -> None:
    pairs = [(a.pitch.midi, b.pitch.midi) for (_, a), (_, b) in zip(was, now, strict=True) if a.pitch and b.pitch]
    starts = [place for place, pitch in _places(was) if pitch]
    for place, ((before, before_now), (after, after_now)) in enumerate(pairwise(pairs), 1):
        if after_now - after != before_now - before:
            assert abs(after_now - before_now) <= most
            assert starts[place] in breaths


def _places(line: Line) -> Iterator[tuple[tuple[int, Fraction], Pitch | None]]:
    for place, bar in enumerate(line.measures):
        beat = Fraction(0)
        for note in bar.notes:
            yield (place, beat), note.pitch
            beat += note.quarters


def _after_breaths(tune: Line) -> set[tuple[int, Fraction]]:
    notes = [note for _, note in tune]
    return {
        place
        for (place, _), before in zip(list(_places(tune))[1:], notes, strict=False)
        if before.fermata or before.breath or before.rest
    }


# Four-part chorales of music21's corpus, for the shipped band: nothing but declared octaves changes. Many more are
# measured by ``measure_scoring.py``.


def test_parts_of_chorales_sound_as_their_lines_do(book: Book, rules: Rules) -> None:
    made = desks_of(book.band.players, rules)
    for name, source, as_music21_reads in four_part_chorales(0)[::8]:
        search = Search(source, made, rules)
        scoring = search.best_in(search.key.fifths)
        assert not scoring.uncovered, name
        assert sum(seat.desk.player.count for seat in scoring.seats) == sum(desk.player.count for desk in made), name
        moved = semitones(scoring.interval)
        for seat in scoring.seats:
            part = written(source[seat.voice], scoring, seat)
            back = shift.sounding(part, seat.desk.player.reading)
            sounded = heard(back, unfold=False)
            meant = heard(played(source[seat.voice], scoring, seat), unfold=False)
            assert sounded == meant, (name, seat.desk.id)
            expected = [(at, long, (midi + moved) % 12) for at, long, midi in as_music21_reads[seat.voice]]
            assert [(at, long, midi % 12) for at, long, midi in sounded] == expected, (name, seat.desk.id)
            if not seat.folded:
                octave = 12 * seat.octave + moved
                assert sounded[0][2] == as_music21_reads[seat.voice][0][2] + octave, (name, seat.desk.id)
            span = seat.desk.player.instrument.sounding_range(rules.level)
            outside = [pitch for pitch in back.pitches if pitch not in span]
            assert bool(outside) == bool(range_findings(source, scoring, seat, rules, "british")), (name, seat.desk.id)
        _leader_would(source, scoring, name)


def _leader_would(source: dict[str, Line], scoring: Scoring, name: str) -> None:
    """The tune is heard and on top, the bass is lowest; common practice, no source."""
    under, over, most = measure(source, scoring)
    assert under <= 10, name
    assert over <= 10, name
    assert most <= 50, name
