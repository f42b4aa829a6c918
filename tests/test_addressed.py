"""The course speaks to the band that is there: two cornets fill no four chairs, trombones have no valves."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from plans import players_of

from beginnerband.data.book import Book
from beginnerband.music.player import Player
from beginnerband.teaching.addressed import facts, turned

ROOT = Path(__file__).parent.parent

BODILY = re.compile(
    r"fingertips|with your finger\b|with a finger|a finger on|lie a finger|lay a finger|two fingers|first finger"
    r"|on your fingers|rise with the finger|most fingers|ring finger|no finger is late|fingers of one hand"
    r"|lift a finger|with the fingers on|stop it with a finger",
    re.I,
)
"""Fingers that point, hold or count: everybody has those."""


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


@pytest.fixture(scope="module")
def said() -> list[str]:
    other = ("percussion", "plan")
    files = [path for path in sorted((ROOT / "content" / "course").glob("*.yml")) if path.stem not in other]
    return [text for path in files for text in texts(yaml.safe_load(path.read_text(encoding="utf-8")))]


def band(book: Book, *rows: tuple[str, str, int]) -> tuple[Player, ...]:
    return players_of(book, rows)


def test_trombones_alone_hear_of_slides_not_of_valves(book: Book, said: list[str]) -> None:
    trombones = band(book, ("trombone", "bass-c", 4))
    known = facts(trombones, "british")
    for text in said:
        filled = re.sub(r"\{([a-z-]+)\}", lambda match: known.get(match[1], match[0]), text)
        now = BODILY.sub("", re.sub(r"\{[^}]*\}", "", turned(filled, trombones)))
        assert not re.search(r"finger|valve", now, re.I), (text, now)


def test_others_hear_of_no_slide_that_they_do_not_have(book: Book, said: list[str]) -> None:
    """A trombone's slide; every brass instrument has a tuning slide."""
    cornets = band(book, ("cornet", "treble-bb", 2))
    known = facts(cornets, "british")
    for text in said:
        now = re.sub(r"\{([a-z-]+)\}", lambda match: known.get(match[1], match[0]), turned(text, cornets))
        now = re.sub(
            r"\{[^}]*\}|main slide|Slides only for who is far off|leave the slide alone|and slide down with", "", now
        )
        assert not re.search(r"slides? |slides?$", now, re.I), (text, now)


@pytest.mark.parametrize(
    ("rows", "fact", "words"),
    [
        ([("cornet", "treble-bb", 2)], "chairs", "one chair"),
        ([("cornet", "treble-bb", 2)], "parts-title", "In parts"),
        ([("cornet", "treble-bb", 2)], "drums", "those who rest"),
        ([("cornet", "treble-bb", 2)], "horn-asks", ""),
        ([("tenor-horn", "treble-eb", 5)], "chairs", "two chairs"),
        ([("cornet", "treble-bb", 4), ("tenor-horn", "treble-eb", 2), ("eb-bass", "treble-eb", 2)], "parts-title",
         "Four parts"),
        ([("cornet", "treble-bb", 4), ("drums", "rhythm", 1)], "drums", "drums"),
    ],
)  # fmt: skip
def test_words_follow_the_band(book: Book, rows: list[tuple[str, str, int]], fact: str, words: str) -> None:
    assert facts(band(book, *rows), "british")[fact] == words
