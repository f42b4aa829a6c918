"""What a trained ear would notice, in four-part chorales of music21's corpus, against its voice-leading module."""

from __future__ import annotations

from itertools import islice

from chorales import lines_of_chorales
from parallels import differences

from beginnerband.music.voiceleading import Sounding, check


def test_parallels_and_crossings_of_chorales_are_those_music21_finds() -> None:
    """A sixth of the corpus; ``measure_parallels.py`` compares all of it."""
    compared = {name: differences(lines) for name, lines in lines_of_chorales(0)}
    assert {name: differing for name, differing in compared.items() if differing} == {}
    assert len(compared) > 50


def test_the_checker_is_not_blind() -> None:
    """The corpus has parallels and crossings at all, so that agreeing about them says something."""
    some = islice(lines_of_chorales(0), 20)
    kinds = {one.kind for _, lines in some for one in check([Sounding(v, p) for v, p in lines.items()])}
    assert {"parallel-fifths", "crossing", "spacing"} <= kinds
