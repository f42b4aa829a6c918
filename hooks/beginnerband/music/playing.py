"""From the page to the ear: the order bars are played in, and every sound with its onset and length."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Line, Measure, Note

LONGEST = 4096
"""Most bars a line may have once its repeats are written out."""


_WORDS = {"al-fine": "al Fine", "al-coda": "al Coda", "fine": "Fine", "to-coda": "To Coda", "coda": "with a coda sign"}


@dataclass(frozen=True, slots=True)
class Sound:
    """One sound, or one silence, as heard; tied notes are one sound."""

    onset: Fraction
    """Quarter notes from the beginning."""
    quarters: Fraction
    """Length in quarter notes."""
    pitch: Pitch | None
    """Pitch; ``None`` for a drum or a rest."""
    drum: str
    """Drum, or empty."""
    places: tuple[tuple[int, int], ...]
    """Bar and note, both counted from 0, of each written note that makes it."""

    @property
    def rest(self) -> bool:
        """Whether nothing is heard."""
        return self.pitch is None and not self.drum


def order(line: Line) -> tuple[int, ...]:
    """Places of the bars as they are played: repeats, endings, da capo and dal segno followed.

    Each jump is made once. After it repeats are not taken again and the last ending is played (common practice, no
    source). *Al fine* ends at the Fine, *al coda* leaves at the next To Coda not yet used; a jump that says neither
    obeys whichever comes first. Dal segno goes back to the nearest segno before it; the first To Coda leads to the
    first coda, the second to the second.
    Raises ``ValueError`` for a jump that leads nowhere or music that would go on past :data:`LONGEST` bars.
    """
    return _Walk(line.measures).run()


def jump_words(line: Line, place: int) -> str:
    """What is printed where a bar jumps back, as ``D.C. al Fine``; empty where it does not."""
    marks = line.measures[place].marks
    jump = "D.C." if "da-capo" in marks else "D.S." if "dal-segno" in marks else ""
    if not jump:
        return ""
    every = {mark for bar in line.measures for mark in bar.marks}
    if "al-coda" in marks or ("al-fine" not in marks and "to-coda" in every):
        return f"{jump} al Coda"
    return f"{jump} al Fine" if "al-fine" in marks or "fine" in every else jump


def mark_label(line: Line, place: int, mark: str) -> str:
    """A name for a segno or coda that the sign and the jump to it share, as ``segno`` or, of several, ``coda2``.

    ``mark`` is ``segno``, ``coda``, ``to-coda`` or ``dal-segno``; the bar at ``place`` has it.
    """
    kind = "segno" if mark in ("segno", "dal-segno") else "coda"
    goals = _places(line.measures, kind)
    if mark == "to-coda":
        number = _places(line.measures, "to-coda").index(place) + 1
        number = min(number, len(goals))
    elif mark == "dal-segno":
        number = max(1, sum(goal <= place for goal in goals))
    else:
        number = goals.index(place) + 1
    return kind if len(goals) < 2 else f"{kind}{number}"


def _places(measures: tuple[Measure, ...], mark: str) -> list[int]:
    return [place for place, bar in enumerate(measures) if mark in bar.marks]


class _Walk:
    """Walks the bars once; holds the few counters that repeats need."""

    def __init__(self, measures: tuple[Measure, ...]) -> None:
        self.measures = measures
        self.played: list[int] = []
        self.start = 0  # where the repeat in force goes back to
        self.time = 1  # which time through the section
        self.aim: tuple[str, ...] = ()  # what ends the stretch after a jump
        self.made: set[int] = set()  # jumps already made, and places left for a coda
        self.known: set[int] = set()  # bars played before the last jump, whose repeats are not taken again

    def run(self) -> tuple[int, ...]:
        place = 0
        while place < len(self.measures):
            if len(self.played) > LONGEST:
                raise ValueError("its repeats never end")
            place = self.step(place)
        return tuple(self.played)

    def step(self, place: int) -> int:
        bar = self.measures[place]
        if bar.repeat_start and place != self.start:
            self.start, self.time = place, 1
        if bar.ending and not self._wanted(place):
            return place + 1
        self.played.append(place)
        if "fine" in bar.marks and "fine" in self.aim:
            return len(self.measures)
        if "to-coda" in bar.marks and "to-coda" in self.aim and place not in self.made:
            self.made.add(place)
            self.aim = ("fine",)  # a Fine in the coda still ends the music
            return self._coda(place)
        if bar.repeat_end and place not in self.known and self.time < self._times(place):
            self.time += 1
            return self.start
        if bar.repeat_end:
            self.start, self.time = place + 1, 1 if not self._more_endings(place) else self.time
        if place not in self.made and ("da-capo" in bar.marks or "dal-segno" in bar.marks):
            return self._jump(place, bar.marks)
        return place + 1

    def _jump(self, place: int, marks: tuple[str, ...]) -> int:
        self.made.add(place)
        self.known, self.time, self.start = set(self.played), 1, 0
        self.aim = ("fine",) if "al-fine" in marks else ("to-coda",) if "al-coda" in marks else ("fine", "to-coda")
        for said, needed in (("al-fine", "fine"), ("al-coda", "to-coda"), ("al-coda", "coda")):
            if said in marks and not _places(self.measures, needed):
                raise ValueError(
                    f"bar {self.measures[place].number}: it says {_WORDS[said]}, but nothing is marked {_WORDS[needed]}"
                )
        if "da-capo" in marks:
            return 0
        signs = _places(self.measures, "segno")
        if not signs:
            raise ValueError("it jumps to a segno that is not there")
        return max((sign for sign in signs if sign <= place), default=signs[0])

    def _coda(self, place: int) -> int:
        number, codas = _places(self.measures, "to-coda").index(place), _places(self.measures, "coda")
        if not codas:
            raise ValueError("it jumps to a coda that is not there")
        self.start, self.time = codas[min(number, len(codas) - 1)], 1
        return self.start

    def _wanted(self, place: int) -> bool:
        bar = self.measures[place]
        if self.known and self._met_before(place):  # the ending of the last time is taken
            return self._last(place) in bar.ending
        return self.time in bar.ending

    def _last(self, place: int) -> int:
        """The highest number of the endings that stand together with the one at ``place``."""
        return max(number for each in self._beside(place) for number in self.measures[each].ending)

    def _met_before(self, place: int) -> bool:
        """Whether any ending beside this one was played before the jump."""
        return not self.known.isdisjoint(self._beside(place))

    def _beside(self, place: int) -> range:
        """Places of the endings that stand together with the one at ``place``, itself among them."""
        first = last = place
        while first and self.measures[first - 1].ending:
            first -= 1
        while last + 1 < len(self.measures) and self.measures[last + 1].ending:
            last += 1
        return range(first, last + 1)

    def _more_endings(self, place: int) -> bool:
        return place + 1 < len(self.measures) and bool(self.measures[place + 1].ending)

    def _times(self, place: int) -> int:
        """How often the section ending here is played: by its sign, or by the highest number of its endings."""
        bar = self.measures[place]
        if not bar.ending:
            return bar.repeat_end
        last = self._last(place)
        return max(last, bar.repeat_end if last == max(bar.ending) else last)


@lru_cache(maxsize=512)
def sounds(line: Line, unfold: bool = True) -> tuple[Sound, ...]:
    """Every sound and rest in the order heard; ``unfold`` plays the repeats, else each bar once as written."""
    found: list[Sound] = []
    onset = Fraction(0)
    held = False
    for place in order(line) if unfold else range(len(line.measures)):
        for number, note in enumerate(line.measures[place].notes):
            where = (place, number)
            if held and found and note.pitch is not None and found[-1].pitch == note.pitch:
                last = found.pop()
                found.append(
                    Sound(last.onset, last.quarters + note.quarters, last.pitch, last.drum, (*last.places, where))
                )
            else:
                found.append(Sound(onset, note.quarters, note.pitch, note.drum, (where,)))
            onset += note.quarters
            held = note.tie
    return tuple(found)


def heard(line: Line, unfold: bool = True) -> tuple[tuple[Fraction, Fraction, int], ...]:
    """Onset, length (quarter notes) and MIDI number of every pitched sound."""
    return tuple(
        (sound.onset, sound.quarters, sound.pitch.midi) for sound in sounds(line, unfold) if sound.pitch is not None
    )


def groups_enter(line: Line) -> tuple[Fraction, ...]:
    """Onsets at which the groups of a round come in: the figures 1, 2, 3 … above the line, or nothing."""
    found: dict[int, Fraction] = {}
    onset = Fraction(0)
    for _, note in line:
        if note.words.isdecimal():
            found.setdefault(int(note.words), onset)
        onset += note.quarters
    count = len(found)
    complete = count > 1 and set(found) == set(range(1, count + 1))
    return tuple(found[number] for number in range(1, count + 1)) if complete else ()


def struck(line: Line) -> tuple[Note, ...]:
    """Notes that are begun afresh (not tied over from the one before), rests left out."""
    found, held = [], False
    for _, note in line:
        if not note.rest and not held:
            found.append(note)
        held = note.tie
    return tuple(found)
