"""From the page to the ear: the order bars are played in, and every sound with its onset and length."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Line, Measure, Note

LONGEST = 4096
"""Most bars a line may have once its repeats are written out."""


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

    After a da capo or dal segno repeats are not taken again (common practice, no source).
    Raises ``ValueError`` for a jump that leads nowhere or music that would go on past :data:`LONGEST` bars.
    """
    return _Walk(line.measures).run()


class _Walk:
    """Walks the bars once; holds the few counters that repeats need."""

    def __init__(self, measures: tuple[Measure, ...]) -> None:
        self.measures = measures
        self.played: list[int] = []
        self.start = 0  # where the repeat in force goes back to
        self.time = 1  # which time through the section
        self.jumped = False
        self.done: set[int] = set()  # repeats already used up

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
        if self.jumped and "fine" in bar.marks:
            return len(self.measures)
        if self.jumped and "to-coda" in bar.marks:
            return self._find("coda")
        if bar.repeat_end and not self.jumped and self.time < self._times(place):
            self.time += 1
            return self.start
        if bar.repeat_end:
            self.start, self.time = place + 1, 1 if not self._more_endings(place) else self.time
        jump = next((mark for mark in bar.marks if mark in ("da-capo", "dal-segno")), "")
        if jump and not self.jumped:
            self.jumped, self.time, self.start = True, 1, 0
            return 0 if jump == "da-capo" else self._find("segno")
        return place + 1

    def _wanted(self, place: int) -> bool:
        bar = self.measures[place]
        if self.jumped:  # the last ending is taken
            return not (place + 1 < len(self.measures) and self._later_ending(place))
        return self.time in bar.ending

    def _later_ending(self, place: int) -> bool:
        mine = self.measures[place].ending
        for bar in self.measures[place + 1 :]:
            if bar.ending and bar.ending != mine:
                return True
            if not bar.ending:
                return False
        return False

    def _more_endings(self, place: int) -> bool:
        following = self.measures[place + 1 : place + 2]
        return bool(following and following[0].ending)

    def _times(self, place: int) -> int:
        """How often the section ending here is played: by its sign, or by its last ending's number."""
        bar = self.measures[place]
        if not bar.ending:
            return bar.repeat_end
        last = max(bar.ending)
        for other in self.measures[place + 1 :]:
            if not other.ending:
                break
            last = max(last, *other.ending)
        return max(last, bar.repeat_end if last == max(bar.ending) else last)

    def _find(self, mark: str) -> int:
        for place, bar in enumerate(self.measures):
            if mark in bar.marks:
                return place
        raise ValueError(f"it jumps to a {mark} that is not there")


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
