"""The course speaks to the band that is there: two cornets fill no four chairs, trombones have no valves."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import yaml
from plans import players_of
from read_cards import by_lot

from beginnerband.data.book import Book
from beginnerband.teaching.addressed import CASES, MARK, Whom, faults, longest, said
from beginnerband.teaching.turns import WORDS as OF_TURNS

ROOT = Path(__file__).parent.parent

BODILY = {
    "even-and-easy try", "any-sound slow", "through-to-the-end slow", "fifth-note remedy", "ties-and-pauses slow",
    "ladder-of-notes listen", "tune-on-paper say", "stop-and-point listen", "four-ways say", "drum-leads remedy",
    "fill-the-rests home", "clap-then-see slow",
}  # fmt: skip
"""Texts with fingers that point, hold or count: everybody has those."""

OF_STICKS = {
    "drums after None do", "drums after None bars", "drums after gaps bars", "drums after second-sound later",
    "drums after near-and-far do", "drums after near-and-far bars", "drums after ties-and-pauses do",
    "drums after ties-and-pauses later",
}  # fmt: skip
"""Tasks of drums and mallets with fingers that hold a stick, stop a bar or count."""

OF_TUNING = {"agree remedy", "agree-both remedy", "tune-up say", "tune-up slow"}
"""Texts about the tuning slide, which every brass instrument has."""

WORDS: dict[str, str] = yaml.safe_load((ROOT / "content" / "course" / "plan.yml").read_text(encoding="utf-8"))["words"]


def texts(value: Any) -> Iterator[str]:
    """Every sentence of a unit, without its ids."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key not in ("id", "guide", "music", "pieces", "needs", "after", "stage", "holds"):
                yield from texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts(inner)
    elif isinstance(value, str):
        yield value


FILES: dict[str, Any] = {
    path.stem: yaml.safe_load(path.read_text(encoding="utf-8"))
    for path in sorted((ROOT / "content" / "course").glob("*.yml"))
}

UNITS = {name: unit for name, unit in FILES.items() if name not in ("percussion", "plan")}


def placed() -> Iterator[tuple[str, str, bool]]:
    """Every text: where it stands, as ``tune-one say``, itself, and whether it is for bands with two groups alone."""
    plan, apart = (
        FILES["plan"],
        {step["id"] for unit in UNITS.values() for step in unit["steps"] if step.get("rooms", 1) > 1},
    )
    owners = [(name, unit, name) for name, unit in UNITS.items()]
    owners += [(step["id"], step, step["id"]) for unit in UNITS.values() for step in unit["steps"]]
    owners += [(f"after {one.get('after')}", one, one.get("after")) for one in (*plan["openings"], *plan["closes"])]
    owners += [(name, {"": plan[name]}, "") for name in ("rest", "filler", "try")]
    owners += [(f"drums after {one.get('after')}", one, "") for one in FILES["percussion"]["tasks"]]
    for owner, fields, ident in owners:
        for name in fields.keys() - {"steps", "music", "turns"}:
            for text in texts({name: fields[name]}):
                yield f"{owner} {name}".strip(), text, ident in apart or name == "two"


OF_ALL = {
    "mend-rhythm listen", "mend-rhythm wrong", "best-tune say", "best-tune wrong", "best-tune remedy",
    "choose-programme listen", "choose-programme remedy", "mend-rhythm remedy", "turn-your-back slow",
    "shared-sound one", "through-to-the-end one",
    "another-five-tune quick", "ties-and-pauses one", "drum-leads remedy", "breathe-like-one one", "carry-on one",
    "you-conduct say", "you-conduct one", "you-conduct listen", "play-to-others title",
    "your-note-on-the-staff one", "half-and-half say", "clap-then-see slow",
}  # fmt: skip
"""Texts that speak of drums and tappers as well as of those who play notes, where they count players."""


def grams(text: str) -> set[str]:
    """Its words, and each with the next; names of music and phrases left aside."""
    found = re.findall(r"[a-z']+|[.,;:!?]", re.sub(r"\{[^{}]*\}", ".", text).lower())
    return {*found, *(f"{one} {other}" for one, other in pairwise(found))}


def of_several(text: str, least: int) -> Iterator[str]:
    """What ``text`` says only where at least so many play."""
    for mark in MARK.findall(text):
        for each in re.split(r"\|(?![^{}]*\})", mark):
            counts = [int(count) for count in re.findall(r"(\d+)\+(?!instruments)", each.partition("?")[0])]
            if counts and min(counts) >= least:
                yield each.partition("?")[2]
            yield from of_several(each, least)


@pytest.fixture(scope="module")
def written() -> dict[str, list[str]]:
    """Every text by where it stands, and the words of ``plan.yml``."""
    found: dict[str, list[str]] = {f"the word {name}": [text] for name, text in WORDS.items()}
    for where, text, _ in placed():
        found.setdefault(where, []).append(text)
    return found


def band(book: Book, *rows: tuple[str, str, int]) -> Whom:
    players = players_of(book, rows)
    return Whom(players, players)


@pytest.mark.parametrize(
    ("rows", "readings", "clefs"),
    [
        ([("cornet", "treble-bb", 4), ("drums", "rhythm", 2)], False, False),
        ([("cornet", "treble-bb", 4), ("tenor-horn", "treble-eb", 1)], True, False),
        ([("euphonium", "treble-bb", 1), ("euphonium", "bass-c", 1)], True, True),
    ],
)
def test_who_reads_otherwise_and_in_which_clefs(
    rows: list[tuple[str, str, int]], readings: bool, clefs: bool, book: Book
) -> None:
    """Drums read no notes, in a clef of their own."""
    whom = band(book, *rows)
    assert (whom.holds("2+readings"), whom.holds("2+clefs")) == (readings, clefs)


@pytest.mark.parametrize(
    ("band", "parts"),
    [
        ({"cornet": 4}, 2), ({"eb-bass": 4}, 3), ({"tenor-horn": 4}, 3), ({"cornet": 5, "eb-bass": 1}, 3),
        ({"cornet": 2, "tenor-horn": 2}, 3), ({"cornet": 2, "trombone": 2}, 4),
        ({"cornet": 1, "tenor-horn": 1, "baritone": 1, "eb-bass": 1}, 4), ({"trombone": 2}, 2),
    ],
)  # fmt: skip
def test_parts_are_those_that_the_pieces_of_the_course_have_for_a_band(
    book: Book, band: dict[str, int], parts: int
) -> None:
    """As many as were played when Two Gates and the other two were shared out among these bands (looked at by hand)."""
    players = players_of(book, [(each, book.instruments[each].readings[0].id, count) for each, count in band.items()])
    assert Whom(players, players).parts == parts


@pytest.mark.parametrize(
    ("row", "words", "but"),
    [
        (("trombone", "bass-c", 4), r"finger|valve", BODILY | OF_STICKS),
        (("cornet", "treble-bb", 2), r"\bslides?\b", OF_TUNING),
    ],
)
def test_nobody_hears_of_what_their_instrument_has_not(
    row: tuple[str, str, int], words: str, but: set[str], book: Book, written: dict[str, list[str]]
) -> None:
    """Trombones alone hear of no fingers and valves, cornets of no slide; and no exemption is left over."""
    whom = band(book, row)
    found = {
        where
        for where, listed in written.items()
        for text in listed
        if re.search(words, re.sub(r"\{[^}]*\}", "", said(text, whom, WORDS)), re.I)
    }
    assert found == but


def test_a_band_of_valves_and_slides_hears_of_both(book: Book, written: dict[str, list[str]]) -> None:
    """Of what moves: whoever hears of fingers alone would have no slide."""
    whom = band(book, ("cornet", "treble-bb", 5), ("trombone", "bass-c", 3))
    found = set()
    for where, listed in written.items():
        told = [re.sub(r"\{[^}]*\}", "", said(text, whom, WORDS)) for text in listed]
        if any(re.search("finger|valve", text, re.I) and not re.search("slid|position", text, re.I) for text in told):
            found.add(where)
    assert found == BODILY | OF_STICKS | {
        "fingers-first one",
        "stop-and-point one",
    }  # thumbs looked at, fingers counted


def test_no_text_calls_the_parts_of_a_piece_by_voices(written: dict[str, list[str]]) -> None:
    """A band may cover four voices, and a piece leaves some out where their notes are not taught yet."""
    voices = re.compile(r"\b(?:sopranos?|altos?|tenors?|bass(?:es)?)\b(?! drum)", re.I)
    assert not [where for where, listed in written.items() if any(map(voices.search, listed))]


def test_a_player_in_a_mixed_band_reads_what_is_so_for_them(book: Book) -> None:
    both = band(book, ("cornet", "treble-bb", 2), ("trombone", "bass-c", 1))
    cornet, trombone = (replace(both, readers=(player,)) for player in both.band)
    text = "{Finger} it{both? ; slides stop at the place |}. {slides? Slide | both? Valve and slide | Valve} oil."
    assert said(text, both, WORDS) == "Finger or slide it; slides stop at the place. Valve and slide oil."
    assert said(text, cornet, WORDS) == "Finger it. Valve oil."
    assert said(text, trombone, WORDS) == "Slide it. Slide oil."


@pytest.mark.parametrize(
    ("rows", "text", "told"),
    [
        ([("cornet", "treble-bb", 2)], "{Drums} tap.", "Feet tap."),
        ([("cornet", "treble-bb", 5)], "{Drums} tap.", "Two tappers in turn tap."),
        ([("cornet", "treble-bb", 4), ("drums", "rhythm", 1)], "{Drums} tap.", "Drums tap."),
        ([("cornet", "treble-bb", 6)], "{Class}: each {row}, {half}.", "Most of the class: each row, one half."),
        ([("cornet", "treble-bb", 3)], "{Class}: each {row}, {half}.", "Everyone: each player, one side."),
        ([("cornet", "treble-bb", 2)], "{Half}, {other-half}.", "One player, the other."),
        ([("trombone", "bass-c", 1)], "{Class}: {half}, {other-half}.", "Your player: the player, the leader."),
        ([("cornet", "treble-bb", 2)], "{four-parts? All four | In parts}", "In parts"),
        ([("cornet", "treble-bb", 4), ("tenor-horn", "treble-eb", 2), ("eb-bass", "treble-eb", 2)],
         "{four-parts? All four | In parts}", "All four"),
        ([("cornet", "treble-bb", 4), ("trumpet", "treble-bb", 2)], "{3+parts? Chord | 2+brass? Two |}", "Two"),
        ([("baritone", "treble-bb", 3)], "{3+parts? Chord | 2+brass? Two |}", "Chord"),
        ([("cornet", "treble-bb", 2)], "{f? Horns ask. |} Up.", " Up."),
        ([("drums", "rhythm", 1), ("cornet", "treble-bb", 4)], "{2+drums? Share | Alone}", "Alone"),
        ([("drums", "rhythm", 2), ("cornet", "treble-bb", 1)], "{2+drums? Share | Alone}", "Share"),
        ([("drums", "rhythm", 2)], "{valves? v | slides? s | both? b | no-brass? n}", "n"),
        ([("cornet", "treble-bb", 2)], "{eb, f? Low | bb? High {names five} | Both}", "High {names five}"),
        ([("cornet", "treble-bb", 2)], "{two-rooms? Each room | one-room? All} play.", "All play."),
        ([("cornet", "treble-bb", 2)], "Is it so? Either | or, for {five}.", "Is it so? Either | or, for {five}."),
    ],
)  # fmt: skip
def test_the_case_that_holds_is_said(book: Book, rows: list[tuple[str, str, int]], text: str, told: str) -> None:
    assert said(text, band(book, *rows), WORDS) == told


@pytest.mark.parametrize("drummers", [1, 2, 5])
def test_one_drummer_shares_nothing_out(book: Book, drummers: int) -> None:
    whom = band(book, ("cornet", "treble-bb", 4), ("drums", "rhythm", drummers))
    texts = [said(text, whom, WORDS) for task in FILES["percussion"]["tasks"] for text in _strings(task)]
    assert any("hare them out" in text for text in texts) is (drummers > 1)
    assert not [text for text in texts if "two of you" in text or "alone, take" in text]


def _strings(given: object) -> list[str]:
    if isinstance(given, str):
        return [given]
    within = given.values() if isinstance(given, dict) else given if isinstance(given, list) else ()
    return [text for part in within for text in _strings(part)]


def test_who_helps_and_who_carries_follow_the_adults(book: Book) -> None:
    children = band(book, ("cornet", "treble-bb", 2))
    alone, grown = replace(children, adults=1), replace(children, children=False)
    text = "{Helper-goes}. It is carried by {two-carry}."
    assert said(text, children, WORDS) == "A helper goes round. It is carried by two, never by a child."
    assert said(text, alone, WORDS) == "You go round. It is carried by two, never by a child."
    five = replace(band(book, ("cornet", "treble-bb", 5)), adults=1)
    assert said(text, five, WORDS) == said(text, alone, WORDS)
    assert said(text, grown, WORDS) == "A helper goes round. It is carried by two."


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("{slide? the slide | the fingers}", "no case 'slide'"),
        ("{slides? the slide | valves? the fingers}", "it says nothing for both, no-brass"),
        ("{f? Horns ask.}", "it says nothing where none of these cases holds"),
        ("notes{2+? for both | for you} and", "the space belongs outside the braces"),
        ("the {2+? valve | thumb}s", "the space belongs outside the braces"),
        ("{the fingers | slides? the slide}", "only the last alternative may stand without a case"),
        ("{valves? one | anybody | slides? two}", "only the last alternative may stand without a case"),
        ("{slides? one | slides? two | three}", "the case 'slides' stands twice"),
        ("{4+? four | 8+? eight | one}", "larger numbers of players come first"),
        ("{Fingr} it.", "a capital is for the words of plan.yml"),
        ("{wait, what}", "braces hold a name"),
        ("{finger it.", "a brace { or } is left over"),
    ],
)
def test_a_mark_that_leaves_somebody_out_is_told(text: str, fault: str) -> None:
    assert any(fault in each for each in faults(text, WORDS)), list(faults(text, WORDS))


@pytest.mark.parametrize(("rooms", "told"), [(1, "One sound."), (2, "Two sounds.")])
def test_who_is_taught_apart_is_not_spoken_to_as_one_room(book: Book, rooms: int, told: str) -> None:
    whom = replace(band(book, ("cornet", "treble-bb", 2)), rooms=rooms)
    assert said("{one-room? One sound. | two-rooms? Two sounds.}", whom, WORDS) == told


def test_every_text_of_the_course_says_something_to_every_band() -> None:
    known = {**WORDS, **dict.fromkeys(OF_TURNS, "")}
    every = (*(text for _, text, _ in placed()), *WORDS.values())
    assert not [fault for text in every for fault in faults(text, known)]


def test_the_room_a_text_takes_is_that_of_its_longest_alternative() -> None:
    assert longest("A {slides? b | both? {names five} | c}.") == "A {names five}."


def test_the_handbook_explains_every_case() -> None:
    page = (ROOT / "handbook" / "course" / "write-your-own.md").read_text(encoding="utf-8")
    assert not [case for case in CASES if f"`{case}`" not in page]


@pytest.mark.parametrize("rows", [
    [("trumpet", "treble-bb", 1), ("drums", "rhythm", 5)],
    [("cornet", "treble-bb", 1), ("trombone", "bass-c", 1), ("drums", "rhythm", 6)],
    [("trombone", "bass-c", 1), ("glockenspiel", "treble-c", 1)],
    [("tenor-horn", "treble-eb", 3), ("drums", "rhythm", 5)],
])  # fmt: skip
def test_few_players_of_notes_beside_drums_hear_of_no_halves_rows_and_pairs(
    rows: list[tuple[str, str, int]], book: Book
) -> None:
    """What the texts have for larger bands, and none for so many cornets alone, is not said to them where lips play."""
    whom = band(book, *rows)
    alone = band(book, ("cornet", "treble-bb", whom.on_notes))
    listed = [*WORDS.values(), *texts([*UNITS.values()])]
    larger = {gram for text in listed for told in of_several(text, whom.on_notes + 1) for gram in grams(told)}
    larger -= {gram for text in listed for gram in grams(said(text, alone, WORDS))}
    assert {"rows", "left half", "window", "one half"} <= larger
    playing = [step for unit in UNITS.values() for step in unit["steps"] if step.get("lips", 1)]
    named = [(f"{step['id']} {name}", text) for step in playing for name in step for text in texts({name: step[name]})]
    heard = [(where, said(text, whom, WORDS)) for where, text in named if where not in OF_ALL]
    wrong = [(ident, told, grams(told.replace("hoever has notes", "")) & larger) for ident, told in heard]
    assert not [each[0] for each in wrong if each[2]]


@pytest.mark.parametrize(("half", "told"), [
    ("{4+? Left half | {Half}} plays.", {"left half"}),
    ("{half} plays.", set[str]()),
])  # fmt: skip
def test_a_half_that_counts_drums_would_be_found(half: str, told: set[str], book: Book) -> None:
    whom = band(book, ("trumpet", "treble-bb", 1), ("drums", "rhythm", 5))
    assert grams(said(half, whom, WORDS)) & {"left half"} == told
    assert "left half" in {gram for each in of_several("{4+? Left half | {Half}} plays.", 2) for gram in grams(each)}


def test_drums_fill_no_rows_and_halves_of_a_tune(book: Book) -> None:
    """One trumpet beside five drums is no row, and no half of it can play."""

    def told(text: str, *rows: tuple[str, str, int]) -> str:
        players = players_of(book, rows)
        return said(text, Whom(players, players), WORDS)

    drums = ("drums", "rhythm", 5)
    text = "{Rows}: {half}, {other-half}, {row}"
    assert told(text, ("trumpet", "treble-bb", 1), drums) == "Players: whoever has notes, the leader, player"
    assert told(text, ("trumpet", "treble-bb", 2), drums) == "Players: one of the two, the other, player"
    assert told(text, ("trumpet", "treble-bb", 6), drums) == "Rows: one half, the other half, row"
    assert told(text, ("drums", "rhythm", 6)) == "Rows: one half, the other half, row"
    assert told("{6+notes? six | 6+? with drums | fewer}", ("trumpet", "treble-bb", 1), drums) == "with drums"
    bells = ("glockenspiel", "treble-c", 2)  # double a line, and hold none alone
    assert told("{2+brass? in parts | with the page}", ("trombone", "bass-c", 1), bells, drums) == "with the page"


SPOKEN_OF: dict[str, tuple[str, Callable[[Whom], bool]]] = {
    "others": (r"\bothers\b|\b[Tt]he rest\b", lambda whom: whom.count > 2),
    "instruments": (r"\b(?:each|every|several|two) instruments?\b", lambda whom: _tunes(whom) > 1),
    "one of many": (
        r"\beach of you|\b[Gg]o(?:es)? (?:round|along)\b|round the (?:room|circle)|who has one|a new one every"
        r"|everybody else|\bat a time (?:on|are|join)|\b[Pp]airs\b|\bneighbour\b|\b[Ww]hich of you|\bits way round\b"
        r"|\bMost come|\ball march",
        lambda whom: whom.count > 1,
    ),
    "chairs": (r"\b(?:odd|even|front|back|inner|outer) chairs", lambda whom: whom.count > 3),
    "rows": (r"\brows?\b", lambda whom: whom.count > 5),
    "parts": (r"\b(?:highest|lowest|[Ee]very) part\b|\b[Ee]ach part plays", lambda whom: whom.on_lines > 1),
    "many": (
        r"\b[Cc]ircle\b(?! each)|\b[Vv]ote\b|hands up\b|\b[Ww]inners?\b|\bfor most\b|\b[Mm]ost fingers|\b[Aa] few are\b"
        r"|\bvoices (?:choose|decide)|\b[Ss]mall bands",
        lambda whom: whom.count > 2,
    ),
    "from below": (
        r"\b[Tt]he lowest (?:hold|begin)|from the lowest up|[Ff]rom the bottom up|those on the (?:left|right)",
        lambda whom: whom.on_notes > 2,
    ),
    "volunteers": (r"\b[Vv]olunteers?\b|\bWho plays bars?\b", lambda whom: whom.on_notes > 1),
    "chords": (
        r"[Bb]uild (?:a|the first) chord|[Cc]hord from the floor|a block for each",
        lambda whom: whom.parts > 2,
    ),
    "groups": (r"\b(?:[Bb]oth|[Ee]ach|[Oo]ther) groups?\b|[EB]♭ group", lambda whom: len(_groups(whom)) > 1),
}
"""Whom a text can speak of, and of which bands that is true."""

OF_THINGS = {
    "others": {
        "all-through listen", "all-through slow", "ask-and-answer try", "dotted-tune listen", "first-four-parts aim",
        "four-again say", "low-note quick", "swing-in-three listen", "after first-four-parts say",
    },
    "the rest": {
        "drip-drop slow", "drums after near-and-far do", "drums after tune-one do", "rest", "show-how-it-began remedy",
        "up-two slow", "upbeat one",
    },
    "row": {
        "ask-and-answer ready", "eyes-shut home", "five-notes aim", "five-notes title", "loudness try",
        "missing-step say", "pick-and-mend home", "pick-and-mend listen", "settle ready",
    },
    "neighbour": {"five-steps listen", "shared-sound wrong", "twice-as-slow say"},
    "two instruments": {"names-and-sounds try"},
}  # fmt: skip
"""Where the same words are said of bars, notes, lines and rests; of a step for bands with two names for a sound."""


def _groups(whom: Whom) -> set[bool]:
    return {player.instrument.group == "bb" for player in whom.band if player.instrument.brass}


def _tunes(whom: Whom) -> int:
    """Instruments that differ in their notes."""
    return len({player.instrument.id for player in whom.band if player.instrument.pitched})


def of_nobody(text: str, whom: Whom) -> list[str]:
    """What a text says of players who are not in that band."""
    return [found[0] for pattern, true in SPOKEN_OF.values() if not true(whom) for found in re.finditer(pattern, text)]


@pytest.fixture(scope="module")
def spoken() -> list[tuple[str, str, bool]]:
    """Texts that may speak of others."""
    wanted = re.compile("|".join(pattern for pattern, _ in SPOKEN_OF.values()))
    names = re.compile("|".join(f"{{{name}}}" for name, text in WORDS.items() if wanted.search(text)), re.I)
    return [one for one in placed() if wanted.search(one[1]) or names.search(one[1])]


@pytest.mark.parametrize("seed", range(60))
def test_no_text_speaks_of_players_who_are_not_there(
    seed: int, spoken: list[tuple[str, str, bool]], book: Book
) -> None:
    """In bands of one to seven instruments by lot: to one cornet nobody says what the others do."""
    whom = odd_band(book, seed)
    for where, text, of_two in spoken:
        if not of_two or len(_groups(whom)) > 1:
            wrong = [one for one in of_nobody(said(text, whom, WORDS), whom) if where not in OF_THINGS.get(one, ())]
            assert not wrong, (where, [(player.id, player.count) for player in whom.band])


def test_no_place_is_exempt_that_need_not_be(book: Book) -> None:
    """To one player, or to two."""
    few = [
        band(book, ("cornet", "treble-bb", 1)),
        band(book, ("cornet", "treble-bb", 1), ("tenor-horn", "treble-eb", 1)),
    ]
    few.append(band(book, ("trombone", "bass-c", 2)))
    said_to = (
        (where, one) for whom in few for where, text, _ in placed() for one in of_nobody(said(text, whom, WORDS), whom)
    )
    found = {*said_to}
    assert not [(word, where) for word, places in OF_THINGS.items() for where in places if (where, word) not in found]


def odd_band(book: Book, seed: int) -> Whom:
    case = by_lot(book, seed)
    teaching = case.teaching
    return Whom(case.players, case.players, teaching.rooms, teaching.adults, teaching.ages != "adults")


@pytest.mark.parametrize("seed", range(0, 60, 6))
def test_no_gap_is_left_where_nothing_is_said(seed: int, book: Book) -> None:
    whom = odd_band(book, seed)
    told = [said(text, whom, WORDS) for text in texts([*UNITS.values()])]
    assert not [text for text in told if re.search(r"  | [,.;:?!](?!\w)", text)]


@pytest.mark.parametrize(
    ("count", "text", "found"),
    [
        (1, "Follow with a finger while the others clap.", ["others"]),
        (2, "Follow with a finger while the others clap.", ["others"]),
        (3, "Follow with a finger while the others clap.", []),
        (3, "Show each instrument once. Both groups play.", ["each instrument", "Both groups"]),
        (1, "The highest part rests; ask your neighbour.", ["neighbour", "highest part"]),
        (2, "Vote for a tune: hands up.", ["Vote", "hands up"]),
        (3, "Vote for a tune: hands up.", []),
        (2, "The lowest hold it; build a chord.", ["The lowest hold", "build a chord"]),
        (1, "Who plays bar 1?", ["Who plays bar"]),
    ],
)
def test_whoever_is_not_there_is_found(count: int, text: str, found: list[str], book: Book) -> None:
    assert of_nobody(text, band(book, ("cornet", "treble-bb", count))) == found
