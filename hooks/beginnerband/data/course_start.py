"""The sound a band begins on, and the words for it and for those that would cost it more."""

from __future__ import annotations

from dataclasses import replace

from beginnerband.data.course_music import exercise
from beginnerband.data.course_plan_file import PlanFile
from beginnerband.data.course_setting import Setting
from beginnerband.music.score import Line
from beginnerband.music.slide import ORDINALS
from beginnerband.teaching.course import FirstSound
from beginnerband.teaching.firstsound import (
    Choice,
    Weights,
    chosen,
    farthest_slide,
    names_of,
    rank,
    signs_of,
    sound_of,
    sounds_apart,
)
from beginnerband.teaching.ladder import Ladder
from beginnerband.teaching.who import called

LOSERS = 3
"""First sounds that were not chosen, and are told with what they cost."""


def first_sound(plan: PlanFile, setting: Setting, ladder: Ladder) -> FirstSound:
    """The cheapest sound for a band to begin on, with the runners-up in words."""
    weights = Weights(**plan.first_sound.model_dump())
    signs = ladder.at(plan.stages[-1].id).rung.signature.of
    scale, _ = exercise("C D E F | G4 |]")
    assert scale
    ranked = rank(setting.players, scale, weights, signs, ladder.at(plan.stages[0].id).rung.span)
    soon = ladder.at(plan.stages[-2].id).rung.signature.of
    pitched = [player for player in setting.players if player.instrument.pitched]

    def readable(fifths: int) -> bool:
        return all(signs_of(player, fifths, scale) <= soon(player) for player in pitched)

    start = chosen(ranked, readable)
    best, *others = sounds_apart(ranked, scale)
    return replace(
        start,
        words=_words(setting, scale, start.home, start.degree),
        others=tuple(
            f"{_words(setting, scale, other.fifths, other.degree)} It costs this band"
            f" {_points(other.points - best.points)} more than the best, which costs {_points(best.points)}"
            f"{_farthest(setting, scale, other)}."
            for other in others[:LOSERS]
        ),
    )


def names_differ(setting: Setting, start: FirstSound) -> bool:
    """Whether players have different names for the sound they begin on."""
    scale, _ = exercise("C D E F | G4 |]")
    assert scale
    return len({letter for letter, *_ in names_of(setting.players, start.home, start.degree, scale)}) > 1


def _words(setting: Setting, scale: Line, fifths: int, degree: int) -> str:
    """A first sound and how everybody plays it."""
    said = "; ".join(
        f"{called(who, setting.players, setting.band.english)} {letter}"
        + (f" ({'open' if code == '0' else code})" if code else "")
        for letter, code, _, who in names_of(setting.players, fifths, degree, scale)
    )
    return f"Concert {sound_of(scale, fifths, degree).letter_sign}: {said}." if said else ""


def _farthest(setting: Setting, scale: Line, choice: Choice) -> str:
    """How far the slide must go for the three first notes, where that is beyond its fourth position."""
    far = farthest_slide(setting.players, scale, choice)
    return f", and its first three notes need the trombone's {ORDINALS[far]} position" if far > 4 else ""


def _points(points: float) -> str:
    return f"{points:.0f} point" + ("" if f"{points:.0f}" == "1" else "s")
