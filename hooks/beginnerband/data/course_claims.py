"""Sentences of the course that are true for some instruments only: each must hold for everyone in the room."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from beginnerband.data.course_files import CourseFiles
from beginnerband.data.course_setting import TOGETHER, Setting
from beginnerband.data.course_unit_file import STEP_WORDS, StepFile
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Located
from beginnerband.music.words import series
from beginnerband.teaching.claims import CLAIMS, false_for
from beginnerband.teaching.heard import Heard
from beginnerband.teaching.packing import QUIET

TRAPS = {"same name": "same-name", "open note": "open", "only fingers move": "only-fingers", "one sound,": "one-sound"}
"""Words that are seldom true for every instrument in a room, each with the claim that has them checked."""

MEETING = re.compile(r"\b(?:together|meet|as one|both rooms play)\b")
"""What says, of a step in two rooms, that these come together in it; so they do where nothing is said of two rooms."""


def check_claims(
    files: CourseFiles, setting: Setting, parts: Mapping[str, Sequence[Heard]], problems: Problems
) -> None:
    """What a step's words claim must be true for every instrument in the room."""
    for ident in files.listed:
        file, located = files.units[ident]
        for place, step in enumerate(file.steps):
            _check_traps(step, located, place, problems)
            if setting.uses(step) and MEETING.search(step.two or "together") and step.lips >= QUIET:
                music = [name for name in step.music if name not in step.holds.get("two-sounds", ())]
                for said in _at_once(step.id, music, parts, setting):
                    problems.add(located.path, located.line("steps", place, "music"), said)
            for claim, music in step.holds.items() if setting.uses(step) else ():
                line = located.line("steps", place, "holds", claim)
                if claim not in CLAIMS:
                    hint = did_you_mean(claim, CLAIMS)
                    problems.add(located.path, line, f"holds: {claim!r} is not known{hint}")
                    continue
                for name in music:
                    for said in _false(claim, name, parts.get(name, ()), setting, step):
                        problems.add(located.path, line, said)
    for place, frame in enumerate(files.plan.openings):
        if MEETING.search(frame.two or "together"):
            for said in _at_once(frame.title, frame.music, parts, setting):
                problems.add(files.at.path, files.at.line("openings", place, "music"), said)


def _at_once(who: str, music: Iterable[str], parts: Mapping[str, Sequence[Heard]], setting: Setting) -> Iterator[str]:
    """Music that two rooms would play together, each in a key of its own."""
    for name in music if setting.apart else ():
        if false_for("one-sound", parts.get(name, ())):
            said = f"{who}: {name!r} would sound in the keys of both rooms at once"
            yield f"{said}; say under 'two' what each room does by itself, to the end"


def _check_traps(step: StepFile, located: Located, place: int, problems: Problems) -> None:
    """Words that are true for a cornet and false for an F horn stand only where they are checked, or computed."""
    for name in STEP_WORDS:
        text = str(getattr(step, name) or "").lower()
        for words, claim in TRAPS.items():
            if words in text and claim not in step.holds:
                said = f'{step.id}: "{words.strip(",")}" is not true for every instrument; say of which music, as'
                line = located.line("steps", place, name)
                problems.add(located.path, line, f"{said} holds: {{{claim}: [music]}}, or use a phrase")


def _false(claim: str, music: str, heard: Sequence[Heard], setting: Setting, step: StepFile) -> list[str]:
    """For whom a claim about music does not hold, a sentence a room."""
    rooms = setting.rooms if step.two is not None else (TOGETHER,)
    found = []
    for room in rooms:
        inside = [each for each in heard if each.player.instrument.group in room.groups]
        wrong = false_for(claim, inside)
        if wrong:
            who = series([player.instrument.names.of(setting.band.english) for player in dict.fromkeys(wrong)])
            found.append(f"{step.id}: {claim!r} does not hold of {music!r} for {who}; say it another way")
    return found
