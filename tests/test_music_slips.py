"""Slips that people make in tunes, each with the very line it is answered with."""

from __future__ import annotations

from pathlib import Path

import pytest

from beginnerband.data.problems import Problems
from beginnerband.data.tunes import load_tune, load_tunes

TUNE = """\
X:1
T:Three Steps
S:written for this handbook
M:4/4
L:1/4
K:Bb
B,2 C2 | D4 | D2 C2 | B,4 |]
"""
IN_A_TUNE = [
    ("D4 |", "D3 |", 7, "bar 2: it holds 3 of 4 beats; fill it with rests, or make up the pickup"),
    ("D4 |", "D4 E |", 7, "bar 2: it holds 5 beats where 4/4 has room for 4; is a barline missing?"),
    ("K:Bb", "K:H", 6, "no key in K:'H'; write K:Bb or K:Dm"),
    ("M:4/4", "M:4", 4, "no metre in M:'4'; write M:4/4, M:3/4 or M:6/8"),
    ("T:Three Steps\n", "T:\n", 2, "T: is empty; write the title behind it"),
    ("T:Three Steps\n", "", 1, "it has no title; add T: in ABC, or a title in the notation program"),
    ("D4 |", "[DF]4 |", 7, "bar 2: '[DF]4' sounds several notes at once; one player plays one at a time"),
    ("D4 |", "|2 D4 |", 7, "bar 2: ending 2 has no ending 1 before it; begin the first with |1"),
    ("D4 |", "!fermate!D4 |", 7, "bar 2: no decoration !fermate!; did you mean 'fermata'?"),
    ("K:Bb\n", "", 6,
     "'B,2 C2 | D4 | D2 C2 | B,4 |]' stands before the K: field; a tune begins with X:, T:, M:, L: and K:"),
    ("K:Bb\nB,2 C2 | D4 |", "Key:Bb\nB,2 C2 | D4 |\n", 6,
     "'Key:Bb' stands before the K: field; a tune begins with X:, T:, M:, L: and K:"),
    ("D4 |", "D3 F# |", 7, "bar 2: '#' is no sign of ABC; a sharp stands before its note, as ^F"),
    ("D4 |", "D2 H2 |", 7,
     "bar 2: '2' follows no note; notes are A to G, each with its length after it; the German H is B"),
    ("D4 |", "D2 2 |", 7, "bar 2: '2' follows no note; notes are A to G, each with its length after it"),
    ("D4 |", "D2 r2 |", 7,
     "bar 2: '2' follows no note; notes are A to G, each with its length after it; a rest is z"),
    ("D4 |", "D3 F#2 |", 7, "bar 2: '#' is no sign of ABC; a sharp stands before its note, as ^F"),
    ("D4 |", "Eb4 |", 7, "bar 2: it holds 5 beats where 4/4 has room for 4; if 'Eb' is a flat, write _E"),
    ("D4 |", "d4, |", 7, "bar 2: ',' stands after a length; write the octave before it, as C,2"),
    ("L:1/4", "L:1/3", 5, "no length in L:'1/3'; write L:1/4 or L:1/8"),
    ("L:1/4", "L=1/4", 5, "'L=1/4' has no colon; write L:1/4"),
    ("K:Bb", "K = Bb", 6, "'K = Bb' has no colon; write K:Bb"),
    ("D4 |", "D4 I", 7, "bar 2: it holds 8 beats where 4/4 has room for 4; is a barline missing?"),
    ("L:1/4", "L:1/8", 7,
     "4 of 4 bars hold 2 beats where 4/4 has 4; mend the metre, or in ABC the unit of lengths (L:)"),
    ("M:4/4", "M:3/4", 7,
     "4 of 4 bars hold 4 beats where 3/4 has 3; mend the metre, or in ABC the unit of lengths (L:)"),
    ("T:Three Steps", "T Three Steps", 2, "'T Three Steps' has no colon; write T:Three Steps"),
    ("M:4/4", "m:4/4", 4, "m: is a small letter; write M:4/4"),
    ("K:Bb", "Q:88 bpm\nK:Bb", 6, "no tempo in Q:'88 bpm'; write Q:1/4=88"),
    ("D4 |", "♭E4 |", 7, "bar 2: '♭' is no sign of ABC; a flat stands before its note, as _E"),
    ("D4 |", "–4 |", 7, "bar 2: '–' is no sign of ABC; a rest is z, and a tie is a plain hyphen"),
    ("D4 |", "“Bb”D4 |", 7, "bar 2: '“' is no sign of ABC; write straight quotation marks, as \"Bb\""),
    ("D4 |", '"H7"D4 |', 7, "bar 2: no chord 'H7'; the German H is B, as B7"),
    ("B,4 |]", "B,4 |]\nThree steps up the hill!", 8,
     "'Three steps up the hill!' is no music; words begin with W: (below) or w: (under the notes), a remark with %"),
    (TUNE, '<?xml version="1.0"?>\n<score-partwise/>\n', 1,
     "this is MusicXML; give the file a name that ends in .musicxml"),
    ("X:1", "<pre>X:1", 1, "this is a web page; save it as plain text (UTF-8)"),
    ("K:Bb", "K:B flat", 6, "no mode 'flat' in K:; write it as one sign after the letter, as K:Eb or K:F#"),
    ("B,4 |]", "B,4 |]\nW Three steps up", 8, "a line of words begins with W and a colon; write W:Three steps up"),
    ("B,2 C2 |", "(B,2 C2 |", 7, "bar 1: a slur begins that never ends"),
    ("D4 |", "!fermataD4 |", 7, "bar 2: '!fermata' is not closed; write !fermata!"),
    ("D4 |", '"Bb D4 |', 7, 'bar 2: a quotation mark opens here and is never closed; write "Bb" or "^words"'),
    ("D4 |", "D4 │", 7, "bar 2: '│' is no sign of ABC; a barline is the plain |"),
    ("D4 |", "D,. D3 |", 7,
     "bar 2: a dot stands before its note and makes it short; write a dotted note's length, as C3"),
    ("D4 |", "D3. |", 7, "bar 2: a dot stands before its note and makes it short; write a dotted note's length, as C3"),
    ("B,4 |]", "B,3 H, |]", 7, "bar 4: 'H,' is no note; notes are A to G; the German H is B"),
    ("B,2 C2", "B‚2 C2", 7,
     "bar 1: '‚' is no sign of ABC; an octave lower is a comma, an octave higher a straight '"),
]  # fmt: skip


@pytest.fixture
def problems(tmp_path: Path) -> Problems:
    return Problems(tmp_path)


@pytest.mark.parametrize(("right", "wrong", "line", "said"), IN_A_TUNE, ids=[said for *_, said in IN_A_TUNE])
def test_a_slip_in_a_tune(tmp_path: Path, problems: Problems, right: str, wrong: str, line: int, said: str) -> None:
    path = tmp_path / "tune.abc"
    path.write_text(TUNE.replace(right, wrong, 1), encoding="utf-8")
    assert load_tune(path, tmp_path, (), problems) is None
    assert [str(each) for each in problems] == [f"tune.abc:{line}: {said}"]


def test_music_under_the_ending_of_the_other_kind_is_told(tmp_path: Path, problems: Problems) -> None:
    (tmp_path / "tune.musicxml").write_text(TUNE, encoding="utf-8")
    assert load_tune(tmp_path / "tune.musicxml", tmp_path, (), problems) is None
    said = "tune.musicxml:1: this is ABC; give the file a name that ends in .abc"
    assert [str(each) for each in problems] == [said]


def test_a_repeat_that_never_ends_is_told_and_a_chord_in_words_is_read(tmp_path: Path, problems: Problems) -> None:
    path = tmp_path / "tune.abc"
    path.write_text(TUNE.replace("D4 |", '|: "G minor"D4 |'), encoding="utf-8")
    tune = load_tune(path, tmp_path, (), problems)
    assert tune
    assert [note.chord.name for _, note in tune.line if note.chord] == ["Gm"]
    said = "tune.abc:7: bar 2: a repeat begins here that never ends; it is played once"
    assert [str(each) for each in problems.remarks] == [said]


def test_a_tune_under_a_wrong_name_is_told_what_it_is_to_be_called(tmp_path: Path, problems: Problems) -> None:
    (tmp_path / "content" / "tunes").mkdir(parents=True)
    for name in ("My March.abc", "evening.abc.txt"):
        (tmp_path / "content" / "tunes" / name).write_text(TUNE, encoding="utf-8")
    assert load_tunes(tmp_path, {}, problems) == {}
    wanted = "name the file in small letters, figures and hyphens, as"
    assert [str(each) for each in problems] == [
        f"content/tunes/My March.abc: {wanted} my-march.abc",
        f"content/tunes/evening.abc.txt: {wanted} evening.abc",
    ]
    assert problems.refused(Path("content/tunes/evening")), "what needs the tune only follows from its name"


def test_a_tune_that_was_copied_and_keeps_its_title_is_told(tmp_path: Path, problems: Problems) -> None:
    (tmp_path / "content" / "tunes").mkdir(parents=True)
    for name, text in (("evening", TUNE), ("morning", TUNE.replace("X:1\n", "X:1\n% a copy\n"))):
        (tmp_path / "content" / "tunes" / f"{name}.abc").write_text(text, encoding="utf-8")
    assert len(load_tunes(tmp_path, {}, problems)) == 2
    title = next(line[2:] for line in TUNE.splitlines() if line.startswith("T:"))
    assert [str(each) for each in problems.remarks] == [
        f"content/tunes/morning.abc:3: its title {title!r} is also that of evening.abc; give it one of its own"
    ]


# 880 beats for 88; and the notes of a quick march in two, 160 of them a minute, which are 320 quarters.
@pytest.mark.parametrize(
    ("tempo", "said"),
    [
        ("1/4=880", "880 quarter notes a minute, faster than anybody plays (15 to 400)"),
        ("1/8=8", "4 quarter notes a minute, slower than anybody plays (15 to 400)"),
        ("1/8=29", "14.5 quarter notes a minute, slower than anybody plays (15 to 400)"),
        ("1/2=160", ""),
        ("3/8=110", ""),
    ],
)
def test_a_tempo_at_which_nobody_plays_is_refused(tmp_path: Path, problems: Problems, tempo: str, said: str) -> None:
    path = tmp_path / "tune.abc"
    path.write_text(TUNE.replace("K:", f"Q:{tempo}\nK:", 1), encoding="utf-8")
    assert (load_tune(path, tmp_path, (), problems) is None) == bool(said)
    line = next(at for at, text in enumerate(path.read_text(encoding="utf-8").splitlines(), 1) if text[:2] == "Q:")
    assert [str(each) for each in problems] == [
        f"tune.abc:{line}: Q:{tempo!r} is {said}; write Q:1/4=92, or what is meant"
    ][: bool(said)]


# Without these limits each of them took ten seconds to minutes to be refused.
@pytest.mark.parametrize(
    ("music", "line", "said"),
    [
        ("C4|" * 10_000, 7, "more than 2000 bars"),
        ("C4|C4|\n" * 5_000, 1007, "more than 2000 bars"),
        ("Z64|" * 3_000, 7, "more than 2000 bars"),
        ("C" * 190_000, 7, "more than 500 notes in a bar; are the barlines missing?"),
    ],
)
def test_what_is_longer_than_any_music_is_refused_at_once(
    tmp_path: Path, problems: Problems, music: str, line: int, said: str
) -> None:
    (tmp_path / "tune.abc").write_text(TUNE.replace("B,2 C2 | D4 | D2 C2 | B,4 |]", music), encoding="utf-8")
    assert load_tune(tmp_path / "tune.abc", tmp_path, (), problems) is None
    assert [str(each) for each in problems] == [f"tune.abc:{line}: {said}"]


@pytest.mark.parametrize(
    ("content", "said"),
    [("", "the file is empty; export it anew"),
     ("<html><body>404", "this is a web page; export the music as MusicXML")],
)  # fmt: skip
def test_what_is_no_musicxml_at_all_is_told(tmp_path: Path, problems: Problems, content: str, said: str) -> None:
    (tmp_path / "tune.musicxml").write_text(content, encoding="utf-8")
    assert load_tune(tmp_path / "tune.musicxml", tmp_path, (), problems) is None
    assert [str(each) for each in problems] == [f"tune.musicxml:1: {said}"]


def test_the_tune_without_slips_has_no_problem(tmp_path: Path, problems: Problems) -> None:
    (tmp_path / "tune.abc").write_text(TUNE, encoding="utf-8")
    assert load_tune(tmp_path / "tune.abc", tmp_path, (), problems)
    assert not list(problems)
