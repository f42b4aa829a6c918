"""The band file, ``content/band.yml``: who plays what, how they read, and which words the handbook uses."""

from __future__ import annotations

import re
from dataclasses import KW_ONLY, dataclass, field
from datetime import date, time
from pathlib import Path
from typing import Annotated, Literal
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from beginnerband.data.instrument_names import meant_instrument
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Strict, load
from beginnerband.music.instrument import Instrument
from beginnerband.music.player import Player
from beginnerband.music.reading import Reading
from beginnerband.music.units import A4
from beginnerband.teaching.calendar import WEEKDAYS, Holiday, Teaching, spread

TimeOfDay = time
"""A name of its own, since a field called ``time`` hides the type of that name."""


ENDS = ("last", "concert", "lessons")
"""Ways to say when a course ends, one of which is given."""

FIRST_YEAR, LAST_YEAR = 2000, 2099
"""Years that a course can be in."""


def _published_address(text: str) -> str:
    if re.match(r"http://", text, re.I):
        better = "https" + text[4:]
        raise ValueError(f"{text[:60]!r} begins with http://; phones keep pages only from {better[:60]}")
    if text and not re.fullmatch(r"https://[^\s<>\"'`]+", text):
        raise ValueError(f"{text[:60]!r} is no address; write it as https://band.example/handbook/, or leave it empty")
    if found := re.search(r"[?#]", text):
        raise ValueError(f"{text[:60]!r} is the address of one page; leave out {text[found.start() :][:30]!r}")
    if re.search(r"/[^/]*\.html?$", text):
        raise ValueError(
            f"{text[:60]!r} is the address of one page; write the folder's, {text.rpartition('/')[0][:60]}/"
        )
    return text


def _in_a_year_of_courses(day: date | None) -> date | None:
    if day and not FIRST_YEAR <= day.year <= LAST_YEAR:
        year = day.year + 2000 if day.year < 100 else FIRST_YEAR
        better = f"write {year}-{day:%m-%d}" if day.year < 100 else "write the year of the course"
        raise ValueError(f"{day.year:04d} is no year of this course; {better}")
    return day


Day = Annotated[date, AfterValidator(_in_a_year_of_courses)]


def _time_of_day(value: object) -> object:
    """A time as people write it. A number is refused: 18.30 and 18.3 are one to YAML, and 18.5 is perhaps half past."""
    text = f"{value:.2f}" if isinstance(value, float) else str(value).strip(" “”„‘’\"'")
    found = re.fullmatch(r"([01]?\d|2[0-3])[:.]([0-5]\d)", text) if isinstance(value, str) else None
    if found is None:
        raise ValueError(f"{str(value).strip()[:30]!r} is no time of day; write {_on_the_clock(text)}")
    return time(int(found[1]), int(found[2]))


def _on_the_clock(text: str) -> str:
    """The time that ``18``, ``18h``, ``18.30``, ``6 pm`` and ``6.30 p.m.`` stand for, else any as an example."""
    if number := re.fullmatch(r"([01]?\d|2[0-3])(?:[.:h]?([0-5]\d)| ?h)?", text):
        return f"it as {int(number[1]):02d}:{number[2] or '00'}"
    found = re.fullmatch(r"(0?[1-9]|1[0-2])(?:[:.]([0-5]\d))? ?([ap])\.?m\.?", text.lower())
    hour = int(found[1]) % 12 + 12 * (found[3] == "p") if found else 0
    return f"it as {hour:02d}:{found[2] or '00'}" if found else "hours and minutes, as 18:30"


def _zone(text: str) -> str:
    if text and text not in available_timezones():
        places = [zone for zone in available_timezones() if "/" in zone and not zone.startswith("Etc/")]
        hint = did_you_mean(text, places) or "; write the zone's place, as Europe/London"
        raise ValueError(f"no time zone {text[:60]!r}{hint}")
    return text


class PlayerRow(Strict):
    """One instrument of the band, and how many play it."""

    instrument: str
    """Instrument id."""
    reading: str | None = None
    """Reading id; may be left out where the instrument has only one."""
    players: Annotated[int, Field(ge=1, le=60)] = 1
    """How many people play it: copies of each sheet."""


class HolidayFile(Strict):
    """Days without a lesson."""

    first: Annotated[Day, Field(alias="from")]
    """First day."""
    last: Annotated[Day, Field(alias="to")]
    """Last day."""

    @model_validator(mode="after")
    def _forwards(self) -> HolidayFile:
        if self.last < self.first:
            raise ValueError(f"a holiday from {self.first} cannot end on {self.last}; change over the two days")
        return self


English = Literal["american", "british"]
"""The two kinds of English: names of notes, instruments and units differ. In ``band.yml`` the key is ``words``."""

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]


class CourseDatesFile(Strict):
    """When, where and by how many the course is taught."""

    start: Day | None = None
    """Date of the first lesson; left out, lessons have no dates."""
    last: Day | None = None
    """Last day on which there can be a lesson; the concert is the last lesson."""
    concert: Day | None = None
    """Or the day of the concert, where that is no lesson day; the course's last card is for it."""
    lessons: Annotated[int | None, Field(ge=4, le=200)] = None
    """Or how many lessons there are."""
    lessons_a_week: Annotated[int, Field(ge=1, le=5)] = 1
    """Lessons a week, the first on the weekday of ``start``."""
    weekdays: list[Weekday] = Field(default_factory=list)
    """Their weekdays; left out, they are spread over the week."""
    minutes: Annotated[int, Field(ge=20, le=90)] = 45
    """Length of a lesson."""
    rooms: Literal[1, 2] = 1
    """Rooms there are for teaching at the same time."""
    adults: Annotated[int, Field(ge=1, le=30)] = 2
    """Adults who are there in every lesson, the leader with them."""
    ages: Literal["children", "adults", "mixed"] = "children"
    """Who the players are."""
    adults_a_room: Annotated[int | None, Field(ge=1, le=10)] = None
    """Adults in each room where local rules say how many; left out, two where children are, one among adults."""
    holidays: list[HolidayFile] = Field(default_factory=list)
    """Days without a lesson."""
    time: Annotated[TimeOfDay | None, BeforeValidator(_time_of_day)] = None
    """When a lesson begins, as ``18:30``; left out, the timetable and the calendar give days only."""
    place: Annotated[str, Field(max_length=120)] = ""
    """Where the band meets, as people find it."""
    time_zone: Annotated[str, AfterValidator(_zone)] = ""
    """Time zone of the place by its name in the IANA time zone database, as ``Europe/London``."""

    @model_validator(mode="after")
    def _zone_of_the_time(self) -> CourseDatesFile:
        if self.time and not self.time_zone:
            raise ValueError("'time' needs 'time_zone', as Europe/London: a calendar shows it where people are")
        return self

    @model_validator(mode="after")
    def _starts_with_a_lesson(self) -> CourseDatesFile:
        away = next((one for one in self.holidays if self.start and one.first <= self.start <= one.last), None)
        if away:
            raise ValueError(
                f"'start: {self.start}' is in the holiday from {away.first} to {away.last}; "
                "give the day of the first lesson"
            )
        return self

    @model_validator(mode="after")
    def _two_with_children(self) -> CourseDatesFile:
        if self.adults_a_room == 1 and self.ages != "adults":
            raise ValueError(
                "'adults_a_room: 1' is for adults alone; parents of children are promised two: leave it out"
            )
        return self

    @model_validator(mode="after")
    def _one_end(self) -> CourseDatesFile:
        given = [name for name in ENDS if getattr(self, name) is not None]
        if len(given) > 1:
            raise ValueError(f"the course ends once: give {given[0]!r} or {given[1]!r}, not both")
        end = self.last or self.concert
        if end and not self.start:
            raise ValueError(f"a course with {given[0]!r} needs 'start', the date of the first lesson")
        if end and self.start and end <= self.start:
            raise ValueError(
                f"'{given[0]}: {end}' is not after {self.start}, when the course starts; mend one of the two"
            )
        if self.weekdays and len(set(self.weekdays)) != self.lessons_a_week:
            raise ValueError(f"{len(set(self.weekdays))} weekdays for {self.lessons_a_week} lessons a week")
        if self.weekdays and self.start and list(WEEKDAYS).index(self.weekdays[0]) != self.start.weekday():
            raise ValueError(f"{self.start} is a {WEEKDAYS[self.start.weekday()]}; name that weekday first")
        return self

    def value(self) -> Teaching:
        """The domain's value."""
        days = tuple(sorted((WEEKDAYS.index(name) - WEEKDAYS.index(self.weekdays[0])) % 7 for name in self.weekdays))
        return Teaching(
            start=self.start,
            last=self.last,
            concert=self.concert,
            lessons=self.lessons,
            minutes=self.minutes,
            rooms=self.rooms,
            adults=self.adults,
            ages=self.ages,
            local_rule=self.adults_a_room,
            offsets=days or spread(self.lessons_a_week),
            holidays=tuple(Holiday(days.first, days.last) for days in self.holidays),
        )


class BandFile(Strict):
    """The file as written."""

    name: Annotated[str, Field(min_length=1, max_length=80)]
    """The band's name."""
    note: str = ""
    """A line about the band, shown on the home page."""
    paper: Literal["a4", "letter"] = "a4"
    """Paper the print pack is set for."""
    words: English = "british"
    """American (quarter note, alto horn) or British (crotchet, tenor horn) words."""
    pitch_a4: Annotated[float, Field(ge=415, le=466)] = A4
    """Reference pitch: A4 in hertz."""
    address: Annotated[str, AfterValidator(_published_address)] = ""
    """Where the handbook is published, as ``https://band.example/handbook/``, or empty."""
    course: CourseDatesFile = CourseDatesFile()
    """When, where and by how many the course is taught."""
    audience: Literal["everyone", "leader"] = "everyone"
    """``everyone`` holds nothing about learners; ``leader`` is the leader's own and is never published."""
    players: Annotated[list[PlayerRow], Field(min_length=1)]
    """The instruments of the band in score order."""


@dataclass(frozen=True, slots=True)
class Band:
    """The band, with its instruments looked up."""

    name: str
    """The band's name."""
    _: KW_ONLY
    note: str
    """A line about the band."""
    paper: Literal["a4", "letter"]
    """``a4`` or ``letter``."""
    english: English
    """``american`` or ``british``."""
    pitch_a4: float
    """A4 in hertz."""
    address: str
    """Published address, or empty."""
    players: tuple[Player, ...] = field(repr=False)
    """Who plays what, in score order: one entry an instrument."""
    teaching: Teaching = field(default_factory=Teaching)
    """When, where and by how many the course is taught."""
    time: TimeOfDay | None = None
    """When a lesson begins."""
    place: str = ""
    """Where the band meets."""
    time_zone: ZoneInfo | None = None
    """Time zone of the place."""
    audience: Literal["everyone", "leader"] = "everyone"
    """Whom the handbook is built for."""

    @property
    def start(self) -> date | None:
        """Date of the first lesson, or ``None``."""
        return self.teaching.start

    @property
    def holidays(self) -> tuple[Holiday, ...]:
        """Days without a lesson."""
        return self.teaching.holidays

    @property
    def pitched(self) -> tuple[Player, ...]:
        """Players of notes: all but the drums."""
        return tuple(player for player in self.players if player.instrument.pitched)


def load_band(root: Path, instruments: dict[str, Instrument], problems: Problems) -> Band | None:
    """Load ``content/band.yml``; unknown instruments and readings become problems."""
    loaded = load(BandFile, root / "content" / "band.yml", problems)
    if loaded is None:
        return None
    file, located = loaded
    players: list[Player] = []
    seen: dict[str, str | None] = {}
    for number, row in enumerate(file.players):
        line = located.line("players", number, "instrument")
        instrument = instruments.get(row.instrument)
        if instrument is None and (root / "content" / "instruments" / f"{row.instrument}.yml").is_file():
            continue  # it is there, but has mistakes of its own, which are reported with it
        if instrument is None:
            hint = meant_instrument(row.instrument, instruments)
            cause = problems.refused(root / "content" / "instruments" / row.instrument)
            said = f"no instrument {row.instrument!r} in content/instruments{hint}"
            problems.add(located.path, line, said, follows=cause)
            continue
        if row.instrument in seen:
            problems.add(located.path, line, _twice(row.instrument, seen[row.instrument], row.reading))
            continue
        seen[row.instrument] = row.reading
        if row.reading is None and len(instrument.readings) > 1:
            either = " or ".join(reading.id for reading in instrument.readings)
            problems.add(
                located.path, line, f"{row.instrument} is read in {either}; add 'reading: …' with the one you use"
            )
            continue
        reading = _reading(instrument, row.reading)
        if reading is None:
            known = [reading.id for reading in instrument.readings]
            line = located.line("players", number, "reading")
            hint = did_you_mean(str(row.reading), known)
            problems.add(located.path, line, f"{row.instrument} is not read in {row.reading!r}{hint}")
            continue
        players.append(Player(instrument, reading, row.players))
    return Band(
        name=file.name,
        note=file.note,
        paper=file.paper,
        english=file.words,
        pitch_a4=file.pitch_a4,
        address=file.address,
        players=tuple(players),
        teaching=file.course.value(),
        time=file.course.time,
        place=file.course.place,
        time_zone=ZoneInfo(file.course.time_zone) if file.course.time_zone else None,
        audience=file.audience,
    )


def _twice(instrument: str, one: str | None, two: str | None) -> str:
    if one == two:
        return f"{instrument!r} is listed twice; add up its players on one line"
    return (
        f"{instrument!r} is listed twice, to be read in {one} and in {two}; a handbook has one reading an instrument: "
        "keep the one that most read; each tune's page has files in every reading, to print the others' parts from"
    )


def _reading(instrument: Instrument, reading_id: str | None) -> Reading | None:
    if reading_id is None:
        return instrument.readings[0]
    return next((reading for reading in instrument.readings if reading.id == reading_id), None)
