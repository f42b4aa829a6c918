"""Breath, endurance and length of music, counted by hand: beats times seconds a beat, added up on paper.

That a breath is taken at a mark, after a hold and in half a beat of silence, and that lips rest in a whole beat of it,
is common practice, no source; what is checked is that tunes, lessons and pieces count alike.
"""

from __future__ import annotations

import io
import json
from fractions import Fraction
from pathlib import Path

import mido
import pytest
from conftest import ROOT

from beginnerband.data.abc import read_abc
from beginnerband.data.breathing import load_breathing
from beginnerband.data.problems import Problems
from beginnerband.music.breathing import as_marked, proposed
from beginnerband.music.difficulty import line_difficulty
from beginnerband.music.piece import Piece
from beginnerband.music.score import Line
from beginnerband.music.timing import timing
from beginnerband.music.voiceleading import Sounding, check
from beginnerband.music.words import SUGGESTED, suggested
from beginnerband.render.midi import Track, midi
from beginnerband.render.sound import PlayedLine, music
from beginnerband.teaching.facts import facts_of


def line(text: str, metre: str = "4/4", tempo: str = "1/4=60") -> Line:
    read = read_abc(f"X:1\nT:t\nS:written for this test\nM:{metre}\nL:1/4\nQ:{tempo}\nK:C\n{text}\n")
    assert read.score, [mistake.message for mistake in read.mistakes]
    return read.score.lines[0]


def test_a_change_of_tempo_counts_in_seconds_and_alike_everywhere() -> None:
    # Two bars of 4/4: 4 beats at 120 are 2 s, 4 beats at 40 are 6 s: 8 s on one breath.
    slower = line("C D E F | [Q:1/4=40] G F E D |", tempo="1/4=120")
    assert timing(slower).breath.seconds == pytest.approx(8)
    assert timing(slower).seconds == pytest.approx(8)
    assert line_difficulty(slower).longest_breath_seconds == pytest.approx(8)
    assert facts_of(slower).breath.seconds == pytest.approx(8)
    assert facts_of(slower).playing.seconds == pytest.approx(8)
    assert Piece(
        "p", title="P", composer="", origin="", source="", kind="", lines=dict.fromkeys(("soprano",), slower), file="p"
    ).seconds == pytest.approx(8)
    assert [one.kind for one in check([Sounding("bass", slower)], 7.9)] == ["breath"]
    assert check([Sounding("bass", slower)], 8.1) == ()


def test_later_tempos_are_in_the_music_that_a_page_plays_also_after_a_repeat() -> None:
    # 4 quarter notes at 120, 4 at 40, then both again: the speed changes after 4, 8 and 12
    slower = line("|: C D E F | [Q:1/4=40] G F E D :|", tempo="1/4=120")
    assert json.loads(music([PlayedLine(slower)]))["tempos"] == [[4, 40], [8, 120], [12, 40]]
    assert "tempos" not in json.loads(music([PlayedLine(line("C D E F |"))]))


def test_later_tempos_are_in_the_midi_file_also_after_a_jump() -> None:
    # 120, then 40 from bar 2; from the top again bar 1 is at 120 once more: 2 + 6 + 2 seconds (MIDI 1.0: microseconds
    # a quarter note, 500 000 at 120 and 1 500 000 at 40).
    jumping = line("C D E F !fine! | [Q:1/4=40] G F E !D.C.! D |", tempo="1/4=120")
    file = mido.MidiFile(file=io.BytesIO(midi([Track(jumping)])))
    assert [m.tempo for m in file.tracks[0] if m.type == "set_tempo"] == [500_000, 1_500_000, 500_000]
    assert file.length == pytest.approx(10)
    assert timing(jumping).seconds == pytest.approx(10)


def test_later_metres_are_in_the_midi_file_also_after_a_jump() -> None:
    # Bars of 4, 4 and 3 beats; from the sign again the second bar is in four once more: changes at beats 0, 8 and 11.
    jumping = line("C D E F | !segno! G F E D !fine! | [M:3/4] C D E !D.S.! |")
    file = mido.MidiFile(file=io.BytesIO(midi([Track(jumping)])))
    now, found = 0, []
    for message in file.tracks[0]:
        now += message.time
        if message.type == "time_signature":
            found.append((now / file.ticks_per_beat, message.numerator, message.denominator))
    assert found == [(0, 4, 4), (8, 3, 4), (11, 4, 4)]


@pytest.mark.parametrize(
    ("text", "stretches"),
    [
        ("C D E F | G4 |", [8]),
        ("C D !breath!E F | G4 |", [3, 5]),  # a mark stands after its note
        ("C D !fermata!E F | G4 |", [3, 5]),  # a hold ends with a breath
        ("C D E/ z/ F | G4 |", [2.5, 5]),  # half a beat of rest is room
        ("C D E3/4 z/4 F | G4 |", [8]),  # a quarter of a beat is not, and the air is held meanwhile
        ("C D E F3/4 z/4 | z/4 G3/4 G3 |", [3.75, 3.75]),  # two quarters of a beat are one silence
        ("C2 !breath!D2- | D4 |", [8]),  # nobody breathes within a tied note
        ("|: C D E F :|", [8]),  # a repeat is played, with no breath at its sign
        ("z4 | C4 | z4 |", [4]),
    ],
)
def test_where_a_breath_is_taken(text: str, stretches: list[float]) -> None:
    assert [stretch.seconds for stretch in timing(line(text)).breaths] == pytest.approx(stretches)


def test_half_a_beat_is_half_of_the_beat_that_is_felt() -> None:
    # 6/8 with 60 dotted quarters a minute: a beat is a second, an eighth a third of it.
    too_short = timing(line("C3/2 D z/ | E3 |", "6/8", "3/8=60"))
    assert [stretch.seconds for stretch in too_short.breaths] == pytest.approx([4])
    enough = timing(line("C3/2 D/ z | E3 |", "6/8", "3/8=60"))
    assert [stretch.seconds for stretch in enough.breaths] == pytest.approx([4 / 3, 2])


def test_lips_rest_in_a_whole_beat_and_not_while_breathing() -> None:
    # 2½ beats, half a beat of rest (no rest for the lips), 4 beats; a beat of rest; 3 beats.
    clock = timing(line("C D E/ z/ F | !breath!G4 | z C D E |"))
    assert [stretch.seconds for stretch in clock.playing] == [8, 3]
    assert [stretch.seconds for stretch in clock.breaths] == [2.5, 5, 3]
    assert clock.silent == 1.5
    assert (clock.endurance.bar, clock.endurance.last_bar) == (1, 2)


def test_a_stretch_over_a_repeat_is_named_by_its_bars() -> None:
    # Bars 1 and 2 twice at 60: a breath after bar 1 only, so 4 s, 8 s over the repeat sign, 4 s.
    again = line("|: C D E !breath!F | G4 :|")
    stretches = timing(again).breaths
    assert [(stretch.seconds, stretch.bar, stretch.last_bar) for stretch in stretches] == [
        (4, 1, 1),
        (8, 2, 1),
        (4, 2, 2),
    ]
    (finding,) = check([Sounding("bass", again)], 7)
    assert (finding.bar, finding.last_bar, finding.inherited) == (1, 2, False)


def test_beats_are_those_of_the_metre_in_force() -> None:
    # A bar of 4/4 and a bar of 6/8: four beats and two.
    changing = line("C D E F | [M:6/8] G3/2 E3/2 |")
    assert timing(changing).breath.beats == Fraction(6)


# -- where breaths are proposed: content/breathing.yml


def test_breaths_are_proposed_by_the_points_of_the_file_and_said_to_be_advice(tmp_path: Path) -> None:
    """Two phrases of four bars, 6.7 s each: a breath in the middle, where the rhythm begins again (common practice)."""
    tune = line("C D E F | G2 G2 | A A G2 | G4 | C D E F | G2 G2 | A A G2 | C4 |]", tempo="1/4=144")
    points = load_breathing(ROOT, Problems(ROOT))
    found = proposed(tune, points)
    assert [bar.number for bar, note in found if note.breath] == [4]
    assert suggested(found) == SUGGESTED
    assert suggested(tune) == suggested(as_marked(found)) == ""
    assert proposed(tune, None) == tune
    (tmp_path / "content").mkdir()
    text = (ROOT / "content" / "breathing.yml").read_text(encoding="utf-8")
    (tmp_path / "content" / "breathing.yml").write_text(text.replace("longest: 7 ", "longest: 30 "), encoding="utf-8")
    patient = load_breathing(tmp_path, Problems(tmp_path))
    assert patient
    assert patient.longest == 30
    wrong = text.replace("off: 50", "of: 50").replace("beat: 11", "beat: eleven")
    (tmp_path / "content" / "breathing.yml").write_text(wrong, encoding="utf-8")
    problems = Problems(tmp_path)
    assert load_breathing(tmp_path, problems) is None
    said = [str(problem) for problem in problems]
    assert all(one.startswith("content/breathing.yml:") for one in said)
    assert any("'of'" in one and "'off'" in one for one in said), said
    assert any("beat" in one for one in said), said
