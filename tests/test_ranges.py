"""Common notes and who falls out first; and ranges against abjad's."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beginnerband.data.book import Book
from beginnerband.music import ranges
from beginnerband.music.instrument import LEVELS, Instrument


def some(book: Book, *ids: str) -> list[Instrument]:
    return [book.instruments[each] for each in ids]


# abjad's class for each of ours; its pitch_range is in sounding pitch (abjad 3.19). Its trumpet is the one in C, which
# sounds what it reads: for instruments in B flat the written ranges are compared, since the tubes are fingered alike.
ABJAD = {
    "trumpet": "Trumpet",
    "cornet": "Trumpet",
    "f-horn": "FrenchHorn",
    "trombone": "TenorTrombone",
    "eb-bass": "Tuba",
    "bb-bass": "Tuba",
    "glockenspiel": "Glockenspiel",
    "xylophone": "Xylophone",
}


@pytest.mark.parametrize(("instrument_id", "name"), ABJAD.items())
@pytest.mark.parametrize("level", LEVELS)
def test_ranges_lie_inside_those_of_abjad(book: Book, instrument_id: str, name: str, level: str) -> None:
    from abjad import instruments

    theirs = getattr(instruments, name)().pitch_range
    low, high = (60 + float(each.number) for each in (theirs.start_pitch, theirs.stop_pitch))
    instrument = book.instruments[instrument_id]
    ours = instrument.ranges[level] if name == "Trumpet" else instrument.sounding_range(level)
    assert low <= ours.low.midi
    assert ours.high.midi <= high


def test_levels_nest_and_starters_begin_where_beginners_do(book: Book) -> None:
    # Common practice, no source: beginners start on the five notes from written C4 on valves, B flat 2 on the trombone.
    for instrument in book.instruments.values():
        spans = [instrument.sounding_range(level) for level in LEVELS if level in instrument.ranges]
        for inner, outer in pairwise(spans):
            assert outer.low.midi <= inner.low.midi < inner.high.midi <= outer.high.midi
    assert book.instruments["cornet"].ranges["starter"].low.name == "C4"
    assert book.instruments["trombone"].ranges["starter"].low.name == "Bb2"


def test_one_instrument_alone_has_its_whole_range_in_common(book: Book) -> None:
    notes = ranges.unison(some(book, "cornet"), "starter")
    assert [note.name for note in notes] == ["Bb3", "B3", "C4", "C#4", "D4", "Eb4", "E4", "F4"]


def test_notes_at_one_pitch_are_the_overlap(book: Book) -> None:
    # Worked by hand: cornet first year sounds A flat 3 to C5, tenor horn D flat 3 to F4: they share A flat 3 to F4.
    notes = ranges.unison(some(book, "cornet", "tenor-horn"), "first-year")
    assert (notes[0].name, notes[-1].name) == ("Ab3", "F4")
    assert len(notes) == 10
    assert ranges.unison(some(book, "cornet", "eb-bass"), "starter") == ()


def test_names_shared_in_any_octave(book: Book) -> None:
    # Worked by hand: B flat instruments start on B flat to F, E flat ones E flat to B flat.
    names = ranges.shared_names(some(book, "cornet", "tenor-horn", "baritone", "trombone"), "starter")
    assert names == (3, 4, 5, 10)


def test_who_falls_out_first(book: Book) -> None:
    above, below = ranges.first_out(some(book, "cornet", "trumpet", "tenor-horn", "eb-bass"), "first-year")
    assert [(limit.instrument.id, limit.last.name) for limit in above] == [("eb-bass", "F3")]
    assert [(limit.instrument.id, limit.last.name) for limit in below] == [("cornet", "Ab3"), ("trumpet", "Ab3")]


def test_who_falls_out_first_each_in_their_own_octave(book: Book) -> None:
    # Worked by hand, starter: from concert B flat the cornet goes a fifth up (C4 to G4); the tenor horn starts on its
    # written G4, its top note, so it has nowhere to go up, and a fifth to go down.
    players = some(book, "cornet", "tenor-horn")
    above, below = ranges.first_out_from(players, "starter", 10)
    assert [(room.instrument.id, room.up) for room in above] == [("tenor-horn", 0)]
    assert [(room.instrument.id, room.down) for room in below] == [("cornet", 0)]
    assert [(room.up, room.down) for room in ranges.room_from(players, "starter", 10)] == [(7, 0), (0, 7)]


def test_one_who_cannot_start_is_said_so(book: Book) -> None:
    (room,) = ranges.room_from(some(book, "cornet"), "starter", 9)  # concert A is below the cornet's first five notes
    assert (room.up, room.down) == (None, None)
    assert ranges.first_out_from(some(book, "cornet"), "starter", 9) == ((), ())


def test_nobody_has_nothing_in_common() -> None:
    assert ranges.unison([], "full") == ()
    assert ranges.shared_names([], "full") == ()
    assert ranges.first_out([], "full") == ((), ())
    assert ranges.first_out_from([], "full", 0) == ((), ())


PITCHED = (
    "cornet", "tenor-horn", "f-horn", "baritone", "trombone", "euphonium", "eb-bass", "glockenspiel", "xylophone",
)  # fmt: skip


@given(st.lists(st.sampled_from(PITCHED), min_size=1, max_size=5, unique=True), st.sampled_from(LEVELS))
def test_common_notes_are_in_every_range_and_the_limits_bound_them(book: Book, ids: list[str], level: str) -> None:
    players = some(book, *ids)
    notes = ranges.unison(players, level)
    (above, *_), (below, *_) = ranges.first_out(players, level)
    for player in players:
        span = player.sounding_range(level)
        assert all(note in span for note in notes)
    if notes:
        assert notes[-1].midi == above.last.midi
        assert notes[0].midi == below.last.midi
    else:
        assert above.last.midi < below.last.midi
    assert {note.midi % 12 for note in notes} <= set(ranges.shared_names(players, level))
