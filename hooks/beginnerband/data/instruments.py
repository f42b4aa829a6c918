"""Instrument files, ``content/instruments/<id>.yml``, one a thing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, field_validator, model_validator

from beginnerband.data.explained import ID
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.textfile import kept_by_windows, last_net, yaml_files
from beginnerband.data.yamlfile import Located, Strict, load
from beginnerband.music import fingering
from beginnerband.music.instrument import (
    LEVELS,
    Cup,
    Drums,
    Held,
    Instrument,
    Load,
    Mallets,
    Mechanism,
    Mouthpiece,
    MouthpieceClass,
    Names,
    Range,
    Shank,
    Slide,
    Valves,
)
from beginnerband.music.pitch import Pitch, chromatic, semitones
from beginnerband.music.reading import Reading

CLEFS = {"treble": "treble", "bass": "bass", "rhythm": "percussion"}
"""Clef by the first part of a reading id."""

KEY_CLASSES = {"bb": 10, "eb": 3, "f": 5, "c": 0}
"""Pitch class that a written C sounds, by the second part of a reading id."""


GROUP_OF_KEY = {"bb": "bb", "eb": "eb", "f": "f", "c": "concert"}
"""Learning group by the second part of a reading id."""

_ID = re.compile(ID)


def _pitch(text: str) -> str:
    Pitch.parse(text)
    return text


def _ascending(pair: list[str]) -> list[str]:
    low, high = map(Pitch.parse, pair)
    if low.midi >= high.midi:
        raise ValueError(f"a range goes from low to high, and {pair[0]} is not below {pair[1]}")
    return pair


Pair = Annotated[list[str], Field(min_length=2, max_length=2), AfterValidator(_ascending)]
"""Lowest and highest note."""


class NamesFile(Strict):
    """Names in both uses."""

    american: Annotated[str, Field(min_length=1, max_length=60)]
    """As ``alto horn``."""
    british: Annotated[str, Field(min_length=1, max_length=60)]
    """As ``tenor horn``."""


class ValvesFile(Strict):
    """Valves as written."""

    count: Literal[3, 4]
    """How many."""
    compensating: Literal[3, 4] | None = None
    """The compensating valve, or left out."""
    moving_slides: tuple[Literal[1, 2, 3, 4], ...] = ()
    """Valves whose slide has a ring, saddle or trigger to move it while playing."""
    rotary: bool = False
    """Whether the valves turn rather than go up and down."""


class SlideFile(Strict):
    """A slide as written."""

    tube_m: Annotated[float, Field(gt=1, lt=6)]
    """Tube length with the slide in, metres."""
    travel_cm: Annotated[float, Field(gt=20, lt=120)]
    """How far it goes out, centimetres."""
    trigger: Literal[5, 7] | None = None
    """Semitones the trigger lowers the tube."""


class HeldFile(Strict):
    """How it is held, as written (common practice, no source)."""

    plays: Literal["left", "right"]
    """The hand on the valves or the slide."""
    carries: Literal["left", "right"]
    """The hand that takes the weight, or steadies what rests."""
    bell: Literal["forward", "up", "back"]
    """Where the bell points."""
    rests: Literal["lap", "seat"] | None = None
    """What it rests on, or left out where the hands alone hold it."""
    in_bell: Literal["left", "right"] | None = None
    """The hand inside the bell, for the F horn."""
    page: str = ""
    """Page of the guide that shows it, or left out."""

    @model_validator(mode="after")
    def _two_hands(self) -> HeldFile:
        if self.in_bell == self.plays:
            raise ValueError(f"the {self.plays} hand cannot play and be inside the bell")
        return self

    def value(self) -> Held:
        """The domain's."""
        return Held(
            plays=self.plays,
            carries=self.carries,
            bell=self.bell,
            rests=self.rests or "",
            in_bell=self.in_bell or "",
            page=self.page,
        )


class RimFile(Strict):
    """The mouthpiece measured, as written (common practice, no source; makers differ)."""

    inside_mm: Annotated[float, Field(gt=10, lt=45)]
    """Width inside the rim, millimetres."""
    upper: Annotated[float, Field(ge=0.3, le=0.8)]
    """Share of the rim on the upper lip."""
    cup: Cup
    """Depth behind the rim."""
    shank: Shank
    """End that goes into the instrument."""

    def value(self) -> Mouthpiece:
        """The domain's."""
        return Mouthpiece(self.inside_mm, self.upper, self.cup, self.shank)


class LoadFile(Strict):
    """One of several things to carry, as written."""

    names: NamesFile
    """American and British."""
    weight_kg: Annotated[float, Field(gt=0, lt=40)]
    """Rough weight, kilograms."""
    case_kg: Annotated[float, Field(ge=0, lt=40)]
    """Rough weight of its case or bag alone, kilograms."""
    length_cm: Annotated[float, Field(gt=5, lt=250)]
    """Rough length as held, centimetres."""


_DOWN = {"bb": "M-2", "eb": "M-6", "f": "P-5", "c": "P1"}
"""The nearest way down from a written C to each key."""


class ReadingFile(Strict):
    """A reading as written."""

    id: Literal["treble-bb", "treble-eb", "treble-f", "treble-c", "bass-c", "rhythm"]
    """One of the reading ids."""
    interval: str
    """From written to sounding, as ``M-2`` (a major second down)."""

    @field_validator("interval")
    @classmethod
    def _an_interval(cls, value: str) -> str:
        if not re.fullmatch(r"[MmPAd]-?\d{1,2}", value):
            raise ValueError(f"{value!r} is no interval; write M-2 for a major second down, P1 for none")
        try:
            semitones(value)
        except Exception:
            raise ValueError(f"{value!r} is no interval; write M-2 for a major second down, P1 for none") from None
        return value

    @model_validator(mode="after")
    def _agrees(self) -> ReadingFile:
        key = self.id.partition("-")[2]
        if key and semitones(self.interval) % 12 != KEY_CLASSES[key]:
            wrong = f"a written C in {self.id} does not sound {key.capitalize()} after {self.interval}"
            raise ValueError(f"{wrong}; write {_DOWN[key]}, or an octave from it")
        return self

    def value(self) -> Reading:
        """The domain's reading."""
        return Reading(self.id, clef=CLEFS[self.id.partition("-")[0]], interval=self.interval)


class InstrumentFile(Strict):
    """An instrument as written; see ``DEVELOPERS.md`` for the format."""

    id: str | None = None
    """May repeat the file's name; anything else is a mistake."""
    names: NamesFile
    """American and British."""
    kind: Literal["valves", "slide", "mallets", "drums"]
    """What changes the pitch."""
    key: Literal["Bb", "Eb", "F", "C", ""] = ""
    """Key of the open tube."""
    fundamental: str | None = None
    """Sounding pitch of the open tube's first harmonic."""
    valves: ValvesFile | None = None
    """For ``kind: valves``."""
    slide: SlideFile | None = None
    """For ``kind: slide``."""
    readings: Annotated[list[ReadingFile], Field(min_length=1)]
    """The first is the one the ranges are written in."""
    ranges: dict[Literal["starter", "first-year", "full"], Pair] = Field(default_factory=dict)
    """Lowest and highest written note by level."""
    weight_kg: Annotated[float | None, Field(gt=0, lt=40)] = None
    """Rough weight, kilograms, without the case."""
    case_kg: Annotated[float | None, Field(ge=0, lt=40)] = None
    """Rough weight of its case alone, kilograms."""
    length_cm: Annotated[float | None, Field(gt=5, lt=250)] = None
    """Rough length as held, centimetres."""
    loads: list[LoadFile] = Field(default_factory=list)
    """Instead of the three above, where a player has several things to carry, as drums and cymbals."""
    held: HeldFile | None = None
    """How it is held; for brass."""
    bell_cm: Annotated[float | None, Field(gt=5, lt=90)] = None
    formant_hz: Annotated[float | None, Field(ge=100, le=3000)] = None
    """Rough width of the bell, centimetres; for brass."""
    rim: RimFile | None = None
    """Its mouthpiece measured; for brass."""
    mouthpiece: MouthpieceClass
    """Mouthpiece class."""
    group: Literal["bb", "eb", "f", "concert", "percussion"]
    """Learning group."""
    covers: list[Literal["soprano", "alto", "tenor", "bass"]] = Field(default_factory=list)
    """Parts it can cover, best first."""
    midi_program: Annotated[int, Field(ge=0, le=128)]
    """General MIDI program 1 to 128, 0 for drums."""
    variant_of: str = ""
    """Id of the instrument this is a variant of."""

    @field_validator("fundamental")
    @classmethod
    def _a_pitch(cls, value: str | None) -> str | None:
        return value if value is None else _pitch(value)

    @model_validator(mode="after")
    def _complete(self) -> InstrumentFile:
        brass = self.kind in ("valves", "slide")
        if self.kind == "valves" and not self.valves:
            raise ValueError("'kind: valves' needs 'valves: {count: 3}'")
        if self.kind == "slide" and not self.slide:
            raise ValueError("'kind: slide' needs 'slide: {tube_m: …, travel_cm: …}'")
        if brass and (not self.fundamental or not self.key):
            raise ValueError("a brass instrument needs 'key' and 'fundamental'")
        for key in ("held", "rim", "bell_cm", "formant_hz"):
            if brass and getattr(self, key) is None:
                raise ValueError(f"a brass instrument needs {key!r}, as content/instruments/cornet.yml has it")
            if not brass and getattr(self, key) is not None:
                raise ValueError(f"{key!r} is for brass only")
        sizes = [key for key in ("weight_kg", "case_kg", "length_cm") if getattr(self, key) is None]
        if self.loads and len(sizes) < 3:
            raise ValueError("give 'loads', or one weight_kg, case_kg and length_cm, not both")
        if not self.loads and sizes:
            raise ValueError(f"{', '.join(sizes)} is missing: what it weighs, alone and its case, and how long it is")
        missing = [level for level in LEVELS if level not in self.ranges] if self.kind != "drums" else []
        if missing:
            raise ValueError(f"'ranges' lacks {', '.join(missing)}")
        return self

    def carried(self) -> tuple[Load, ...]:
        """The domain's loads, heaviest first."""
        if self.weight_kg is not None and self.case_kg is not None and self.length_cm is not None:
            return (Load(weight_kg=self.weight_kg, case_kg=self.case_kg, length_cm=self.length_cm),)
        several = (
            Load(
                weight_kg=each.weight_kg,
                case_kg=each.case_kg,
                length_cm=each.length_cm,
                names=Names(each.names.american, each.names.british),
            )
            for each in self.loads
        )
        return tuple(sorted(several, key=lambda load: -load.weight_kg))

    def mechanism(self) -> Mechanism:
        """The domain's mechanism."""
        if self.kind == "valves" and self.valves:
            return Valves(
                (2, 1, 3, 5)[: self.valves.count],
                self.valves.compensating,
                self.valves.moving_slides,
                self.valves.rotary,
            )
        if self.kind == "slide" and self.slide:
            return Slide(self.slide.tube_m, self.slide.travel_cm, self.slide.trigger)
        return Mallets() if self.kind == "mallets" else Drums()


def load_instruments(root: Path, problems: Problems) -> dict[str, Instrument]:
    """Load every instrument file, by id in file-name order; what is wrong becomes problems."""
    found: dict[str, Instrument] = {}
    files: dict[str, tuple[Located, InstrumentFile]] = {}
    for path in yaml_files(root / "content" / "instruments"):
        loaded = load(InstrumentFile, path, problems)
        if not _ID.fullmatch(path.stem):
            better = re.sub(r"[^a-z0-9]+", "-", path.stem.lower()).strip("-") or "my-instrument"
            problems.add(path, 0, f"the file's name is the id: small letters, digits and hyphens, as {better}.yml")
            continue
        if kept := kept_by_windows(path):
            problems.add(path, 0, kept)
            continue
        if path.stem in files:
            problems.add(path, 0, f"two files for the id {path.stem!r}; keep one")
        if loaded is None:
            continue
        file, located = loaded
        if file.id is not None and file.id != path.stem:
            twin = " which is another file" if (path.parent / f"{file.id}.yml").exists() else ""
            problems.add(
                path, located.line("id"), f"the id {file.id!r}{twin} is not the file's name; use {path.stem!r}"
            )
            continue
        with last_net(path, problems):
            found[path.stem] = _instrument(path.stem, file)
            files[path.stem] = (located, file)
    for instrument_id, (located, file) in files.items():
        with last_net(located.path, problems):
            _check(found[instrument_id], file, located, found, problems)
    if not found and not problems.found:
        problems.add(root / "content" / "instruments", 0, "no instrument files here")
    return found


def _instrument(instrument_id: str, file: InstrumentFile) -> Instrument:
    ranges: dict[str, Range] = {level: Range(*map(Pitch.parse, pair)) for level, pair in file.ranges.items()}
    return Instrument(
        id=instrument_id,
        names=Names(file.names.american, file.names.british),
        key=file.key,
        fundamental=Pitch.parse(file.fundamental) if file.fundamental else None,
        mechanism=file.mechanism(),
        readings=tuple(reading.value() for reading in file.readings),
        ranges=ranges,
        loads=file.carried(),
        mouthpiece=file.mouthpiece,
        group=file.group,
        covers=tuple(file.covers),
        midi_program=file.midi_program,
        family=file.variant_of,
        held=file.held.value() if file.held else None,
        bell_cm=file.bell_cm or 0.0,
        formant_hz=file.formant_hz or 0.0,
        rim=file.rim.value() if file.rim else None,
    )


def group_of(reading: Reading) -> str:
    """The learning group that reads so: ``bb`` for ``treble-bb``, ``percussion`` where no pitch is read."""
    return GROUP_OF_KEY.get(reading.id.partition("-")[2], "percussion")


def _disagreements(instrument: Instrument) -> Iterator[tuple[tuple[str, ...], str]]:
    """Values that are right alone but not together, with the key they stand under."""
    if instrument.fundamental and instrument.fundamental.letter != instrument.key:
        yield ("fundamental",), f"the open tube sounds {instrument.fundamental}, so its key is not {instrument.key}"
    valves = instrument.mechanism
    if isinstance(valves, Valves):
        count = len(valves.semitones)
        for valve in (*valves.moving_slides, *filter(None, [valves.compensating])):
            if valve > count:
                yield ("valves",), f"valve {valve} has no slide to move or compensate: there are {count} valves"
    for number, voice in enumerate(instrument.covers):
        if voice in instrument.covers[:number]:
            yield ("covers",), f"covers: {voice!r} stands twice"
    groups = {group_of(reading) for reading in instrument.readings} if instrument.brass else {"percussion"}
    if isinstance(valves, Valves) and instrument.key.lower() in GROUP_OF_KEY:
        groups.add(GROUP_OF_KEY[instrument.key.lower()])  # a baritone in bass clef has the fingers of its group
    if instrument.group not in groups:
        fits = " or ".join(sorted(groups))
        yield ("group",), f"group: {instrument.group!r} fits neither its key nor how it is read; use {fits}"
    if instrument.pitched and not instrument.midi_program:
        yield ("midi_program",), "midi_program: 0 is for drums; use 1 to 128"


def _check(
    instrument: Instrument,
    file: InstrumentFile,
    located: Located,
    everyone: dict[str, Instrument],
    problems: Problems,
) -> None:
    """What one field cannot know: nested levels, notes the tube can reach, readings that differ, known families."""
    ids = [reading.id for reading in instrument.readings]
    for number, reading_id in enumerate(ids):
        if reading_id in ids[:number]:
            problems.add(located.path, located.line("readings", number), f"the reading {reading_id!r} stands twice")
    if instrument.family and instrument.family not in everyone:
        hint = did_you_mean(instrument.family, everyone)
        problems.add(
            located.path, located.line("variant_of"), f"no instrument {instrument.family!r} to be a variant of{hint}"
        )
    for inner, outer in pairwise(LEVELS):
        if inner in instrument.ranges and outer in instrument.ranges:
            small, large = instrument.ranges[inner], instrument.ranges[outer]
            if small.low not in large or small.high not in large:
                line = located.line("ranges", inner)
                problems.add(located.path, line, f"the {inner} range must lie inside the {outer} range")
    for keys, message in _disagreements(instrument):
        problems.add(located.path, located.line(*keys), message)
    if not instrument.brass:
        return
    for level, span in instrument.ranges.items():
        reading = instrument.readings[0]
        for written in chromatic(span.low, span.high):
            if fingering.standard(instrument, reading.sounding(written)) is None:
                line = located.line("ranges", level)
                problems.add(
                    located.path, line, f"impossible range: no valve or position reaches written {written.name}"
                )
                break
