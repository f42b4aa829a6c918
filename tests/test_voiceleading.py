"""What a trained ear would notice: worked examples."""

from __future__ import annotations

from fractions import Fraction

import pytest

from beginnerband.music.pitch import Pitch
from beginnerband.music.score import BarError, Key, Line, Measure, Note, Time
from beginnerband.music.voiceleading import (
    Finding,
    Sounding,
    check,
    inherited_from,
    moments,
    out_of_range,
    parallel,
    root_of,
    told_once,
)


def line(text: str, breath_after: tuple[int, ...] = ()) -> Line:
    """``C4 D4:2 z`` as a line in C major and 4/4, quarter notes where no length is given."""
    notes = []
    for place, word in enumerate(text.split()):
        name, _, length = word.partition(":")
        pitch = None if name == "z" else Pitch.parse(name)
        notes.append(Note(Fraction(length or 1), pitch, breath=place in breath_after))
    return in_bars(notes)


def in_bars(notes: list[Note]) -> Line:
    """Bars of four quarter notes cut from a run of notes in C; the last may stay short."""
    bars: list[list[Note]] = [[]]
    for note in notes:
        if sum(each.quarters for each in bars[-1]) == 4:
            bars.append([])
        bars[-1].append(note)
    measures = [
        Measure(
            number=place + 1,
            notes=tuple(bar),
            key=Key(0) if place == 0 else None,
            time=Time(4, 4) if place == 0 else None,
            barline="final" if place == len(bars) - 1 else "",
            partial=sum(each.quarters for each in bar) < 4,
        )
        for place, bar in enumerate(bars)
    ]
    return Line(tuple(measures), "")


def found(**voices: str) -> list[tuple[str, int, tuple[str, ...]]]:
    soundings = [Sounding(voice, line(text)) for voice, text in voices.items()]
    return [(finding.kind, finding.bar, finding.voices) for finding in check(soundings)]


# Worked examples: the rules as in any harmony textbook (common practice); intervals checked by hand.


def test_parallel_fifths_and_octaves_are_found_and_other_motion_is_not() -> None:
    assert ("parallel-fifths", 1, ("soprano", "bass")) in found(soprano="G4 A4 z z", bass="C3 D3 z z")
    assert ("parallel-octaves", 1, ("soprano", "bass")) in found(soprano="C4 D4 z z", bass="C3 D3 z z")
    assert found(soprano="G4 G4 E4 z", bass="C3 C3 C3 z") == []  # a repeated fifth does not move
    assert found(soprano="E4 F4 E4 z", bass="C3 D3 C3 z") == []  # thirds may run
    assert not parallel((Pitch.parse("F4"), Pitch.parse("B3")), (Pitch.parse("G4"), Pitch.parse("C4")))  # d5 to P5


@pytest.mark.parametrize(
    ("before", "after", "kind"),
    [
        ("C4 C4", "E4 E3", "parallel-octaves"),  # from a unison apart into an octave
        ("E4 E3", "C4 C4", "parallel-octaves"),  # and back
        ("C4 C4", "D5 D4", ""),  # both up: another pair of octaves than those of textbooks
    ],
)
def test_unisons_and_octaves_by_contrary_motion(before: str, after: str, kind: str) -> None:
    """Consecutive octaves by contrary motion are octaves still (any textbook of counterpoint)."""
    first, then = ([Pitch.parse(name) for name in pair.split()] for pair in (before, after))
    assert parallel((first[0], first[1]), (then[0], then[1])) == kind


def test_octaves_by_contrary_motion_weigh_less_than_parallel_ones() -> None:
    """A fault still, but one that an ear minds less (common practice, no source)."""
    for upper, lower, severity in (("C5 D5 z z", "C4 D4 z z", "caution"), ("C4 E4 z z", "C4 E3 z z", "advice")):
        pair = [Sounding("soprano", line(upper)), Sounding("bass", line(lower))]
        assert [one.severity for one in check(pair) if one.kind == "parallel-octaves"] == [severity]


def test_the_bars_of_a_finding_are_those_printed() -> None:
    lasting = Finding("crossing", severity="note", bar=2, last_bar=4, beat=Fraction(0), voices=("alto",), words="Same")
    assert list(lasting.bars) == [2, 3, 4]


def test_crossing_is_one_finding_for_as_long_as_it_lasts() -> None:
    soundings = [Sounding("alto", line("C4 C4 C4 C4 G4:4")), Sounding("tenor", line("A3 D4 E4 D4 C4:4"))]
    crossings = [finding for finding in check(soundings) if finding.kind == "crossing"]
    assert [(one.bar, one.last_bar, one.beat) for one in crossings] == [(1, 1, 1)]
    assert "E4 over C4" in crossings[0].words


@pytest.mark.parametrize(
    ("upper", "lower", "severity"),
    [("soprano", "alto", "caution"), ("alto", "tenor", "advice"), ("tenor", "bass", "caution")],
)
def test_a_crossing_with_tune_or_bass_weighs_more(upper: str, lower: str, severity: str) -> None:
    """It hides the tune, or takes the bass from below (common practice, no source)."""
    both = [Sounding(upper, line("C4 C4")), Sounding(lower, line("A3 D4"))]
    assert [one.severity for one in check(both) if one.kind == "crossing"] == [severity]


def test_more_than_an_octave_between_upper_lines_is_noticed_but_not_above_the_bass() -> None:
    assert ("spacing", 1, ("soprano", "alto")) in found(soprano="E5:4", alto="D4:4", tenor="G3:4", bass="C2:4")
    assert found(soprano="D5:4", alto="D4:4", tenor="F3:4", bass="D2:4") == []


def test_the_third_of_a_closing_chord_is_missed_and_counted() -> None:
    assert ("missing-third", 1, ()) in found(soprano="G4:4", alto="C4:4", tenor="G3:4", bass="C3:4")
    doubled = found(soprano="E4:4", alto="C4:4", tenor="E3:4", bass="C3:4")
    assert ("doubled-third", 1, ("soprano", "tenor")) in doubled
    minor = found(soprano="C4:4", alto="A3:4", tenor="C3:4", bass="A2:4")
    assert minor == []  # a minor chord may double its third


@pytest.mark.parametrize(
    ("chord", "root"),
    [("C4 E4 G4", "C"), ("E3 G3 C4", "C"), ("Eb4 Bb4", "Eb"), ("F3 Eb4 A4 C5", "F"), ("C4 D4", None), ("C4 C5", None)],
)
def test_roots_of_chords(chord: str, root: str | None) -> None:
    assert root_of([Pitch.parse(name) for name in chord.split()]) == root


def test_a_long_stretch_without_breath_is_reported_until_a_breath_is_marked() -> None:
    text = " ".join(["C4"] * 16)  # 16 quarter notes at 90 a minute last 10.7 seconds
    assert [one.kind for one in check([Sounding("bass", line(text))], 9)] == ["breath"]
    assert check([Sounding("bass", line(text, breath_after=(7,)))], 9) == ()
    assert check([Sounding("bass", line(text))], 11) == ()


def test_notes_out_of_range_are_reported_by_bar() -> None:
    low, high = Pitch.parse("C4"), Pitch.parse("G4")
    findings = out_of_range(Sounding("alto", line("C4:4 B3:4 G4:4 z:4 z:4 A4:4"), "horn"), low, high, "the range")
    assert [(one.bar, one.severity) for one in findings] == [(2, "fault"), (6, "fault")]
    assert "B3" in findings[0].words
    assert "below" in findings[0].words
    assert "above" in findings[1].words
    (worst,) = out_of_range(Sounding("alto", line("A4 C5 B4 z")), low, high, "the range")
    assert "goes to C5" in worst.words


def test_what_the_source_has_is_inherited_and_what_an_octave_makes_is_not() -> None:
    """Fourths between two lines become fifths when the lower one is played above the upper one."""
    soprano, alto, tenor = line("E5 E5 z z"), line("F4 G4 z z"), line("C4 D4 z z")
    source = check([Sounding("soprano", soprano), Sounding("alto", alto), Sounding("tenor", tenor)])
    raised = [Sounding("soprano", soprano), Sounding("alto", alto), Sounding("tenor", line("C5 D5 z z"))]
    marked = inherited_from(source, check(raised))
    assert {(one.kind, one.inherited) for one in marked} == {("parallel-fifths", False), ("crossing", False)}
    again = inherited_from(check(raised), check(raised))
    assert all(one.inherited for one in again)


def test_a_crossing_that_goes_on_for_longer_than_in_the_source_is_not_inherited() -> None:
    """The source crosses in bars 1 and 2; as scored the lines stay crossed through bar 3, or only in bar 2."""
    alto = line("C4:4 C4:4 C4:4")
    source = check([Sounding("soprano", line("B3:4 B3:4 D4:4")), Sounding("alto", alto)])
    longer = check([Sounding("soprano", line("B3:4 B3:4 B3:4")), Sounding("alto", alto)])
    shorter = check([Sounding("soprano", line("D4:4 B3:4 D4:4")), Sounding("alto", alto)])
    assert [(one.bar, one.last_bar, one.inherited) for one in inherited_from(source, longer)] == [(1, 3, False)]
    assert [(one.bar, one.last_bar, one.inherited) for one in inherited_from(source, shorter)] == [(2, 2, True)]


def test_what_is_the_same_in_several_bars_is_told_once() -> None:
    alto = line("C4:4 C4:4 C4:4 C4:4 C4:4 C4:4")
    crossed = check([Sounding("soprano", line("B3:4 D4:4 B3:4 D4:4 A3:4 B3:4")), Sounding("alto", alto)])
    (remark,) = told_once(crossed)
    assert (remark.where, remark.words) == ("bars 1, 3 and 5 to 6", "The alto sounds above the soprano")
    (alone,) = told_once(crossed[-1:])
    assert (alone.where, alone.words) == ("bars 5 to 6", "The alto sounds above the soprano, at most C4 over A3")


@pytest.mark.parametrize(
    ("soprano", "where"),
    [
        ("D4 B3 D4 D4 D4 D4", "bar 2"),
        ("B3 D4 A3 D4 D4 D4", "bars 1 and 3"),
        ("B3 B3 D4 D4 D4 A3", "bars 1 to 2 and 6"),
        ("B3 D4 A3 B3 D4 D4", "bars 1 and 3 to 4"),
    ],
)
def test_bars_of_what_is_the_same_are_counted_out(soprano: str, where: str) -> None:
    """Lines cross where the soprano has B or A under the alto's C; one bar is a bar, two are bars."""
    upper = line(" ".join(f"{note}:4" for note in soprano.split()))
    (remark,) = told_once(check([Sounding("soprano", upper), Sounding("alto", line("C4:4 " * 6))]))
    assert remark.where == where


@pytest.mark.parametrize(
    ("bars", "where"),
    [
        ([(1, 1), (3, 3), (4, 4), (5, 5)], "bars 1 and 3 to 5"),  # what goes on in the next bar is one stretch
        ([(1, 1), (4, 9), (5, 6)], "bars 1 and 4 to 9"),  # and so is what lies within another
    ],
)
def test_stretches_that_touch_are_told_as_one(bars: list[tuple[int, int]], where: str) -> None:
    same = [
        Finding("crossing", severity="note", bar=first, last_bar=last, beat=Fraction(0), voices=("alto",), words="Same")
        for first, last in bars
    ]
    assert [one.where for one in told_once(same)] == [where]


def test_breaths_too_far_apart_are_told_each() -> None:
    """Three phrases of four bars, 10.7 seconds each at 90 a minute, are no 32 seconds without a breath."""
    alto = line("C4:4 " * 12, breath_after=(3, 7))
    (remark,) = told_once(check([Sounding("alto", alto)], 9))
    assert remark.where == "bars 1 to 4, 5 to 8 and 9 to 12"


def test_lines_of_different_length_are_refused_with_the_bar() -> None:
    with pytest.raises(ValueError, match="number of bars"):
        moments([line("C4:4 C4:4"), line("C4:4")])
    with pytest.raises(BarError, match="bar 2"):
        moments([line("C4:4 C4:4"), line("C4:4 C4:2")])
