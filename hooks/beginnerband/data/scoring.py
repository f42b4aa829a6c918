"""The scoring rules, ``content/scoring.yml``: who plays which line, what a choice costs, wishes for single pieces."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, field, replace
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Located, Strict, load
from beginnerband.music.instrument import LEVELS, VOICES, Instrument
from beginnerband.music.scoring import REASONS, Rules
from beginnerband.music.transposition import CONCERT_KEYS

Points = Annotated[int, Field(ge=0, le=1_000_000)]
Voice = Literal["soprano", "alto", "tenor", "bass"]


COURSE_KEYS = ("home", "second")
"""Keys that the course computes: of the band's first tunes, and the one it goes on in."""


class Wish(Strict):
    """What one piece asks for."""

    key: str | list[str] = Field(default_factory=list)
    """Concert key, as ``Bb`` (of the same signature for a minor mode), or one of :data:`COURSE_KEYS`; of several the
    cheapest is taken, of none the cheapest there is."""
    taught: bool = False
    """Give a line that is not the instrument's own to nobody with notes that the course has not brought."""
    harmony: Literal["by-rule"] | None = None
    """Make three lower lines for a melody that has no chord symbols."""


class RulesFile(Strict):
    """The file as written."""

    lines: Annotated[dict[str, Annotated[list[Voice], Field(min_length=1)]], Field(min_length=1)]
    """Lines of the first, second … desk of each instrument."""
    home: dict[str, Annotated[int, Field(ge=-3, le=3)]] = Field(default_factory=dict)
    """Octaves from the line at which an instrument is at home."""
    descant: list[str] = Field(default_factory=list)
    """Instruments that may take a descant, the most likely first."""
    level: Literal["starter", "first-year", "full"] = "first-year"
    """Range level of the players."""
    longest_breath: Annotated[float, Field(ge=2, le=60)] = 9
    """Seconds of playing on one breath, at most."""
    cue_bars: Annotated[int, Field(ge=1, le=64)] = 4
    """Bars of rest after which a cue is printed."""
    shares: dict[Voice, Annotated[int, Field(ge=1, le=100)]]
    """Usual proportion of players by line."""
    desk: Annotated[int, Field(ge=1, le=20)] = 4
    """Most players at one desk."""
    weights: dict[str, Points]
    """Points by reason."""
    uncovered: dict[Voice, Points]
    """Points for a line that nobody plays."""
    third: Points = 0
    """Points more for an inner line that has all the thirds."""
    taught: dict[str, Points] = Field(default_factory=dict)
    """Points by reason that are others in a piece kept to what was taught."""
    pieces: dict[str, Wish] = Field(default_factory=dict)
    """Wishes by piece id."""


@dataclass(frozen=True, slots=True)
class ScoringRules:
    """The rules and the wishes of single pieces."""

    rules: Rules
    """For every piece."""
    _: KW_ONLY
    keys: dict[str, tuple[str, ...]] = field(hash=False)
    """Concert keys asked for, by piece id: names and :data:`COURSE_KEYS`."""
    by_rule: frozenset[str]
    """Pieces whose lower lines are to be made by rule."""
    taught: frozenset[str]
    """Pieces whose lines are for those who were taught their notes."""
    weights_taught: dict[str, int] = field(hash=False)
    """Points by reason in such pieces."""
    wishes: dict[str, int] = field(hash=False)
    """Line of the file of each wish, by piece id."""

    def of(self, piece: str) -> Rules:
        """The rules for one piece, by its id."""
        if piece not in self.taught:
            return self.rules
        return replace(self.rules, only_taught=True, weights=self.weights_taught)


def load_scoring(root: Path, instruments: dict[str, Instrument], problems: Problems) -> ScoringRules | None:
    """Load ``content/scoring.yml``; ``None`` with problems noted when it cannot be used."""
    loaded = load(RulesFile, root / "content" / "scoring.yml", problems)
    if loaded is None:
        return None
    file, located = loaded
    before = len(problems.found)
    _check_names(file, located, instruments, problems)
    keys = {piece: _keys(wish) for piece, wish in file.pieces.items() if wish.key}
    known = (*CONCERT_KEYS, *COURSE_KEYS)
    for piece, key in ((piece, key) for piece, asked in keys.items() for key in asked if key not in known):
        words = f"no concert key {key!r}{did_you_mean(key, known)}"
        problems.add(located.path, located.line("pieces", piece, "key"), words)
    if len(problems.found) > before:
        return None
    assert file.level in LEVELS
    rules = Rules(
        lines={name: tuple(voices) for name, voices in file.lines.items()},
        home=file.home,
        descant=tuple(file.descant),
        shares={str(voice): share for voice, share in file.shares.items()},
        weights=file.weights,
        third=file.third,
        desk=file.desk,
        uncovered={str(voice): points for voice, points in file.uncovered.items()},
        level=file.level,
        longest_breath=file.longest_breath,
        cue_bars=file.cue_bars,
    )
    wishes = {piece: located.line("pieces", piece) for piece in file.pieces}
    by_rule = frozenset(piece for piece, wish in file.pieces.items() if wish.harmony)
    taught = frozenset(piece for piece, wish in file.pieces.items() if wish.taught)
    weights = {**file.weights, **file.taught}
    return ScoringRules(rules, keys=keys, by_rule=by_rule, taught=taught, weights_taught=weights, wishes=wishes)


def _keys(wish: Wish) -> tuple[str, ...]:
    return (wish.key,) if isinstance(wish.key, str) else tuple(wish.key)


def _check_names(file: RulesFile, located: Located, instruments: dict[str, Instrument], problems: Problems) -> None:
    for section, names in (("lines", file.lines), ("home", file.home), ("descant", file.descant)):
        for place, name in enumerate(names):
            if name not in instruments:
                line = located.line(section, place if section == "descant" else name)
                hint = did_you_mean(name, instruments)
                message = f"{section}: no instrument {name!r} in content/instruments{hint}"
                problems.add(located.path, line, message, problems.refused(located.path.parent / "instruments" / name))
    reasons = [reason for reason in REASONS if reason != "uncovered"]
    for section, priced in (("weights", file.weights), ("taught", file.taught)):
        for name in priced:
            if name not in reasons:
                words = f"{section}: nothing is charged for {name!r}{did_you_mean(name, reasons)}"
                problems.add(located.path, located.line(section, name), words)
    for section, given, wanted in (
        ("weights", file.weights, reasons),
        ("uncovered", file.uncovered, VOICES),
        ("shares", file.shares, VOICES),
    ):
        missing = [name for name in wanted if name not in given]
        if missing:
            problems.add(located.path, located.line(section), f"{section}: points for {', '.join(missing)} are missing")
    for name, instrument in instruments.items():
        if instrument.pitched and not instrument.covers and name not in file.lines:
            words = f"lines: {name} has no line here and covers none in its own file, so it would play in no piece"
            problems.add(located.path, located.line("lines"), words)
