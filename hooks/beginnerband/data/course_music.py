"""Music of the course: tunes by reference or by choice, exercises in ABC, and music that is used another way."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Protocol

from beginnerband.data.abc import read_abc
from beginnerband.data.course_files import UnitFiles
from beginnerband.data.course_plan_file import PlanFile
from beginnerband.data.course_unit_file import MusicFile
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Located
from beginnerband.music.breathing import Points, as_marked, proposed
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Line
from beginnerband.music.transposition import CONCERT_KEYS, sharps_of
from beginnerband.teaching.course import FirstSound, Item, Room
from beginnerband.teaching.firstsound import sound_of
from beginnerband.teaching.grading import at_tempo, with_breaths
from beginnerband.teaching.tuneorder import TuneWeights, asked

DEGREE_NAMES = ("do", "re", "mi")


class MusicSource(Protocol):
    """A tune, as far as the course needs it."""

    @property
    def title(self) -> str:
        """As people read it."""

    @property
    def line(self) -> Line:
        """At concert pitch."""


@dataclass(frozen=True, slots=True)
class MusicBand:
    """What the music is made for."""

    players: Sequence[Player]
    """The band's instruments."""
    rooms: Sequence[Room]
    """Its rooms: one, or as many as are taught apart."""
    start: FirstSound
    """The sound it begins on."""
    fits: Callable[[Item, str], bool]
    """Whether a piece of music keeps to the ladder in a stage."""

    @property
    def apart(self) -> bool:
        """Whether groups are taught in rooms of their own."""
        return len(self.rooms) > 1


def exercise(abc: str, metre: str = "4/4", tempo: float = 90) -> tuple[Line | None, list[str]]:
    """An exercise in ABC as a line, or what is wrong with it."""
    file = read_abc(f"X:1\nT:exercise\nM:{metre}\nL:1/4\nQ:1/4={tempo:g}\nK:C\n{abc}")
    mistakes = [mistake.message for mistake in file.mistakes]
    if mistakes or file.score is None:
        return None, mistakes
    if len(file.score.lines) != 1:
        return None, [f"there are {len(file.score.lines)} voices; write one"]
    return replace(file.score.lines[0], name=""), []


class Music:
    """Makes the items of the course in the order of its units."""

    def __init__(
        self,
        files: UnitFiles,
        plan: PlanFile,
        band: MusicBand,
        tunes: Mapping[str, MusicSource],
        problems: Problems,
        breaths: Points | None,
    ) -> None:
        self._breaths = breaths
        self._files, self._plan, self._band, self._tunes, self._problems = files, plan, band, tunes, problems
        self._used: set[str] = set()
        self.items: dict[str, Item] = {}
        """All music by id."""
        self.where: dict[str, tuple[Located, int]] = {}
        """File and line of each."""

    def load(self, order: Sequence[str]) -> dict[str, Item]:
        """The music of the units in this order; what cannot be used becomes problems and is left out."""
        named = {entry.tune for ident in order for entry in self._files[ident][0].music if isinstance(entry.tune, str)}
        self._used |= named
        for ident in order:
            file, located = self._files[ident]
            for place, entry in enumerate(file.music):
                line = located.line("music", place)
                if entry.id in self.where:
                    first = self.where[entry.id][0].path.name
                    self._problems.add(located.path, line, f"the music {entry.id!r} is also in {first}; name one anew")
                    continue
                self.where[entry.id] = (located, line)
                item = self._item(entry, place, located, file.stage)
                if item:
                    self.items[entry.id] = item
        return self.items

    def _item(self, entry: MusicFile, place: int, located: Located, stage: str) -> Item | None:
        if entry.from_:
            return self._again(entry, place, located)
        keys = self._keys(entry, place, located)
        if keys is None:
            return None
        if entry.key == "first":
            return self._on_first(entry, keys, place, located)
        if isinstance(entry.tune, list):
            return self._choice(entry, entry.tune, keys, place, located, stage)
        if entry.tune:
            return self._tune(entry, entry.tune, keys, place, located)
        line = self._exercise(entry, place, located)
        if entry.of and entry.of not in self._tunes:
            hint = did_you_mean(entry.of, self._tunes)
            self._problems.add(located.path, located.line("music", place, "of"), f"no tune {entry.of!r}{hint}")
        return self._made(entry, line, keys, entry.title or "", entry.of) if line else None

    def _on_first(self, entry: MusicFile, keys: dict[str, int], place: int, located: Located) -> Item | None:
        """Music on one note, moved so that it is the band's first sound; in rooms of their own, each room's G."""
        if isinstance(entry.tune, str):
            item = self._tune(entry, entry.tune, keys, place, located)
        else:
            line = self._exercise(entry, place, located)
            item = self._made(entry, line, keys, entry.title or "", "") if line else None
        if item is None or not item.line.pitches:
            return item
        note, home = item.line.pitches[0], Pitch.parse(f"{item.line.key.tonic}4")
        away = _fifths_between(home, note)
        return replace(item, keys={room: fifths - away for room, fifths in keys.items()})

    def _again(self, entry: MusicFile, place: int, located: Located) -> Item | None:
        source = self.items.get(entry.from_ or "")
        if source is None:
            if entry.from_ not in self.where:
                hint = did_you_mean(entry.from_ or "", self.items)
                self._problems.add(located.path, located.line("music", place), f"no music {entry.from_!r} before{hint}")
            return None
        keys = self._keys(entry, place, located) if entry.key else source.keys
        return (
            None
            if keys is None
            else replace(
                source,
                id=entry.id,
                title=entry.title or source.title,
                line=at_tempo(source.line, Fraction(entry.tempo).limit_denominator(100))
                if entry.tempo
                else source.line,
                keys=keys,
                read=entry.how == "read" if entry.how else source.read,
                players=tuple(entry.for_) or source.players,
                plain=entry.plain,
                accompany=entry.accompany or source.accompany,
            )
        )

    def _made(self, entry: MusicFile, line: Line, keys: Mapping[str, int], title: str, tune: str) -> Item:
        if entry.breathe:
            line = with_breaths(as_marked(line), entry.breathe)
        elif entry.tune:
            # at the lesson's tempo; who writes an exercise marks its breaths
            line = proposed(as_marked(line), self._breaths)
        return Item(
            entry.id,
            title=title,
            line=line,
            keys=keys,
            read=entry.how == "read",
            tune=tune,
            players=tuple(entry.for_),
            plain=entry.plain,
            accompany=entry.accompany,
        )

    def _tune(self, entry: MusicFile, ident: str, keys: Mapping[str, int], place: int, located: Located) -> Item | None:
        tune = self._tunes.get(ident)
        if tune is None:
            where = located.line("music", place, "tune")
            refused = self._problems.refused(Path("content/tunes") / ident)
            refused = refused or self._problems.refused(Path("content/pieces") / ident)  # put into the wrong folder
            hint = "" if refused else did_you_mean(ident, self._tunes)
            self._problems.add(located.path, where, f"no tune {ident!r} in content/tunes{hint}", follows=refused)
            return None
        line = at_tempo(tune.line, Fraction(entry.tempo).limit_denominator(100)) if entry.tempo else tune.line
        return self._made(entry, line, keys, entry.title or tune.title, ident)

    def _choice(
        self,
        entry: MusicFile,
        idents: Sequence[str],
        keys: Mapping[str, int],
        place: int,
        located: Located,
        stage: str,
    ) -> Item | None:
        """The tune that asks least of the band, of those that are not used yet and keep to the ladder."""
        weights = TuneWeights(**self._plan.tune_order.model_dump())
        fresh = [ident for ident in idents if ident not in self._used] or list(idents)
        found = [item for ident in fresh if (item := self._tune(entry, ident, keys, place, located))]
        fifths = next(iter(keys.values()))
        weighed = sorted(
            ((asked(item, self._band.players, fifths, weights), item) for item in found),
            key=lambda pair: (not self._band.fits(pair[1], stage), round(pair[0].points, 6), pair[1].tune),
        )
        if not weighed:
            return None
        best, item = weighed[0]
        self._used.add(item.tune)
        others = [f"{other.title} ({points.points:.0f})" for points, other in weighed[1:]]
        after = f"; before {', '.join(others)}" if others else ""
        return replace(item, why=f"{best.words}: {best.points:.0f} points{after}")

    def _keys(self, entry: MusicFile, place: int, located: Located) -> dict[str, int] | None:
        rooms, start = [room.id for room in self._band.rooms], self._band.start
        if isinstance(entry.key, str):
            if entry.key == "own" and self._band.apart:
                return {room.id: sharps_of(room.key) for room in self._plan.rooms}
            if entry.key == "first" and self._band.apart:  # each room's own G
                return {room.id: sharps_of(room.key) + 1 for room in self._plan.rooms}
            computed = {"home": start.home, "own": start.home, "second": start.second, "first": self._first()}
            fifths = computed[entry.key] if entry.key in computed else sharps_of(entry.key)
            return dict.fromkeys(rooms, fifths)
        given, known = entry.key or {}, [room.id for room in self._plan.rooms]
        wrong = [room for room in given if room not in known] + [room for room in known if room not in given]
        for room in wrong:
            line = located.line("music", place, "key")
            said = f"no room {room!r} in plan.yml{did_you_mean(room, known)}"
            self._problems.add(located.path, line, said if room in given else f"no key for {room!r}")
        if wrong:
            return None
        if not self._band.apart:
            return dict.fromkeys(rooms, start.home)
        return {room: sharps_of(key) for room, key in given.items()}

    def _first(self) -> int:
        """The key whose key note is the first sound."""
        scale, _ = exercise("C D E F | G4 |]")
        assert scale
        sound = sound_of(scale, self._band.start.home, self._band.start.degree)
        name = f"{sound.step}{'b' * -sound.alter}{'#' * sound.alter}"
        return sharps_of(name) if name in CONCERT_KEYS else self._band.start.home

    def _exercise(self, entry: MusicFile, place: int, located: Located) -> Line | None:
        given = entry.abc or ""
        if isinstance(given, dict):
            degree = DEGREE_NAMES[self._band.start.degree]
            names = ("two", "one") if self._band.apart else ("one", degree)
            forms: Mapping[str, str] = {str(name): text for name, text in given.items()}
            text = next((forms[name] for name in names if name in forms), next(iter(forms.values())))
            checked = list(forms.values())
        else:
            text, checked = given, [given]
        line_number = located.line("music", place, "abc")
        for form in checked:
            for mistake in exercise(form, entry.metre, entry.tempo or 90)[1]:
                self._problems.add(located.path, line_number, f"the exercise {entry.id!r}: {mistake}")
        return exercise(text, entry.metre, entry.tempo or 90)[0]


def _fifths_between(low: Pitch, high: Pitch) -> int:
    """Places along the circle of fifths from one letter to another: 1 from C to G, 2 from C to D."""
    return _fifth(high) - _fifth(low)


def _fifth(pitch: Pitch) -> int:
    return "FCGDAEB".index(pitch.step) - 1 + 7 * pitch.alter
