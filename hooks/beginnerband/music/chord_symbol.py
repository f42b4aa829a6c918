"""Chord symbols: read as people write them, moved with the notes, and taken apart into tones.

A symbol is a root, a quality and perhaps a bass note. The quality is kept in the words of MusicXML 4.0 (``kind`` and
``degree``), which cover every usual spelling: ``Cm7b5``, ``Cm7♭5`` and ``Cø`` are one chord. How it was written is kept
for print.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from beginnerband.music.pitch import STEPS, Pitch

Letter = tuple[str, int]
"""Step ``C`` to ``B`` and alteration in semitones."""

_MAJOR, _MINOR, _DIM, _AUG = ({1: 0, 3: third, 5: fifth} for third, fifth in ((4, 7), (3, 7), (3, 6), (4, 8)))
_DOMINANT = {**_MAJOR, 7: 10}

KINDS: dict[str, dict[int, int]] = {
    "major": _MAJOR,
    "minor": _MINOR,
    "augmented": _AUG,
    "diminished": _DIM,
    "dominant": _DOMINANT,
    "major-seventh": {**_MAJOR, 7: 11},
    "minor-seventh": {**_MINOR, 7: 10},
    "diminished-seventh": {**_DIM, 7: 9},
    "augmented-seventh": {**_AUG, 7: 10},
    "half-diminished": {**_DIM, 7: 10},
    "major-minor": {**_MINOR, 7: 11},
    "major-sixth": {**_MAJOR, 6: 9},
    "minor-sixth": {**_MINOR, 6: 9},
    "dominant-ninth": {**_DOMINANT, 9: 14},
    "major-ninth": {**_MAJOR, 7: 11, 9: 14},
    "minor-ninth": {**_MINOR, 7: 10, 9: 14},
    "dominant-11th": {**_DOMINANT, 9: 14, 11: 17},
    "major-11th": {**_MAJOR, 7: 11, 9: 14, 11: 17},
    "minor-11th": {**_MINOR, 7: 10, 9: 14, 11: 17},
    "dominant-13th": {**_DOMINANT, 9: 14, 11: 17, 13: 21},
    "major-13th": {**_MAJOR, 7: 11, 9: 14, 11: 17, 13: 21},
    "minor-13th": {**_MINOR, 7: 10, 9: 14, 11: 17, 13: 21},
    "suspended-second": {1: 0, 2: 2, 5: 7},
    "suspended-fourth": {1: 0, 4: 5, 5: 7},
    "power": {1: 0, 5: 7},
    "none": {},
}
"""Chord kinds by their MusicXML 4.0 names (kind-value): for each degree, semitones above the root."""

_SHORT = {
    "major": "", "minor": "m", "augmented": "aug", "diminished": "dim", "dominant": "7", "major-seventh": "maj7",
    "minor-seventh": "m7", "diminished-seventh": "dim7", "augmented-seventh": "aug7", "half-diminished": "m7b5",
    "major-minor": "mMaj7", "major-sixth": "6", "minor-sixth": "m6", "dominant-ninth": "9", "major-ninth": "maj9",
    "minor-ninth": "m9", "dominant-11th": "11", "major-11th": "maj11", "minor-11th": "m11", "dominant-13th": "13",
    "major-13th": "maj13", "minor-13th": "m13", "suspended-second": "sus2", "suspended-fourth": "sus4", "power": "5",
    "none": "N.C.",
}  # fmt: skip
_NATURAL = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 10, 9: 14, 11: 17, 13: 21}
"""Semitones of a degree that is added: as in a dominant chord (MusicXML 4.0, degree-alter)."""

_WEIGHTS = {1: 8, 3: 20, 2: 20, 4: 20, 7: 10, 6: 6, 9: 5, 11: 4, 5: 2}
"""How much is lost when four lines leave a degree out (textbooks of harmony)."""
_NAMES_IT = 6
"""The same of a tone that names the chord: the highest of a ninth, an 11th or a 13th, and an altered fifth."""
_UNDER_11TH = 3
"""The same of a major third where the 11th is highest, a minor ninth above it (common practice, no source)."""

_FLATS = {"♭": "b", "♯": "#", "𝄫": "bb", "𝄪": "##"}
_SYMBOL = re.compile(r"^([A-G])(bb|##|b|#|)(.*?)(?:/([A-G])(bb|##|b|#|))?$")
_ALTERS = {"": 0, "b": -1, "#": 1, "bb": -2, "##": 2}
_SIGNS = {alter: sign for sign, alter in _ALTERS.items()}
_NO_CHORD = re.compile(r"^(N\.?\s?C\.?|no chord|tacet)$", re.I)
_QUALITY = re.compile(
    r"(?P<triad>maj|ma(?!d)|M(?!aj)|Δ|△|\^|min|mi|m(?!a[j7])|-|dim|°|o|aug|\+|ø|Ø)?"
    r"(?P<major>maj|ma|M|Δ|△|\^)?(?P<size>13|11|9|7|69|6|5)?(?P<rest>.*)$"
)
_PART = re.compile(
    r"(?P<sus>sus(?P<susto>24|2|4)?(?:9)?)|(?P<added>add)(?P<addalter>[b#+-]?)(?P<add>13|11|9|7|6|4|2)"
    r"|(?P<gone>no|omit)(?P<no>3|5)(?:rd|th)?|(?P<majseventh>maj|ma|M)7"
    r"|(?P<alter>[b#+-])(?P<degree>13|11|9|6|5)|(?P<alone>69|9|11|13)|(?P<alt>alt)"
)

Degree = tuple[str, int, int]
"""``add``, ``alter`` or ``subtract``; the degree; semitones it is altered by (MusicXML 4.0, degree)."""


@dataclass(frozen=True, slots=True)
class ChordSymbol:
    """A chord symbol at the pitch of the notes it stands over."""

    root: Letter | None
    """Root; ``None`` for *no chord* (N.C.)."""
    kind: str = "major"
    """One of :data:`KINDS`."""
    degrees: tuple[Degree, ...] = ()
    """What is added to, altered in or taken from the kind."""
    bass: Letter | None = None
    """Lowest note, where the symbol names another than the root."""
    text: str = ""
    """The quality as it was written, as ``m7♭5``; for print."""

    @classmethod
    def parse(cls, symbol: str) -> ChordSymbol:
        """Read a symbol such as ``Bb``, ``Cm7♭5``, ``F7/A`` or ``N.C.``; ``ValueError`` says what would be right."""
        text = symbol.strip()
        if _NO_CHORD.match(text):
            return cls(None, "none", text="N.C.")
        for sign, plain in _FLATS.items():
            text = text.replace(sign, plain)
        match = _SYMBOL.match(text)
        if not match:
            raise ValueError(f"no chord {symbol!r}; write its root first, as Bb, Cm or F7")
        quality = match[3].strip()
        kind, degrees = _quality(quality, symbol)
        bass = (match[4], _ALTERS[match[5]]) if match[4] else None
        return cls((match[1], _ALTERS[match[2]]), kind, degrees, bass, quality)

    @classmethod
    def spelled(
        cls, root: Letter, kind: str, degrees: tuple[Degree, ...], bass: Letter | None, text: str
    ) -> ChordSymbol:
        """A symbol from MusicXML's words; ``text`` as printed there, or empty. ``ValueError`` for an unknown kind."""
        if kind not in KINDS:
            raise ValueError(f"a chord of the kind {kind!r} is not read")
        return cls(root, kind, degrees, bass, text or _SHORT[kind] + "".join(map(_degree_text, degrees)))

    @property
    def name(self) -> str:
        """The symbol in plain characters, as ``Bbm7/F``."""
        if self.root is None:
            return "N.C."
        bass = f"/{_letter(self.bass)}" if self.bass else ""
        return f"{_letter(self.root)}{self.text}{bass}"

    @property
    def sign(self) -> str:
        """The symbol for people, as ``B♭m7♭5``."""
        if self.root is None:
            return "N.C."
        bass = f"/{_letter(self.bass)}" if self.bass else ""
        return f"{_signed(_letter(self.root))}{self.quality}{_signed(bass)}"

    @property
    def quality(self) -> str:
        """What is printed between root and bass, as ``m7♭5``."""
        return re.sub(r"b(?=\d)", "♭", self.text.replace("#", "♯"))

    @property
    def intervals(self) -> dict[int, int]:
        """Semitones above the root of each degree, in order of degree."""
        found = dict(KINDS[self.kind])
        for action, degree, alter in self.degrees:
            if action == "subtract":
                found.pop(degree, None)
            elif action == "alter" and degree in found:
                found[degree] += alter
            else:
                found[degree] = _NATURAL[degree] + alter
        return dict(sorted(found.items()))

    @property
    def tones(self) -> tuple[Letter, ...]:
        """Every tone, spelled, from the root up; none for *no chord*."""
        return tuple(self._tone(degree, half_steps) for degree, half_steps in self.intervals.items())

    @property
    def in_four(self) -> tuple[tuple[Letter, int], ...]:
        """The tones that matter most where four lines play, at most four, each with what leaving it out would lose."""
        plain, highest = KINDS["dominant-11th"], max(self.intervals, default=0)

        def weight(degree: int, half_steps: int) -> int:
            if degree == highest > 7 or (degree == 5 and half_steps != plain[5]):
                return _NAMES_IT
            if degree == 3 and half_steps == plain[3] and highest == 11 and self.intervals[11] == plain[11]:
                return _UNDER_11TH
            return _WEIGHTS[degree]

        ranked = [(self._tone(degree, size), weight(degree, size)) for degree, size in self.intervals.items()]
        kept = sorted(ranked, key=lambda one: -one[1])[:4]
        return tuple(one for one in ranked if one in kept)

    @property
    def lowest(self) -> Letter | None:
        """What the bass plays: the note after the stroke, or the root."""
        return self.bass or self.root

    @property
    def leading(self) -> Letter | None:
        """A major third, which is better not doubled; ``None`` where there is none."""
        return self._tone(3, 4) if self.intervals.get(3) == 4 else None

    def moved(self, move: Callable[[Pitch], Pitch]) -> ChordSymbol:
        """The symbol as it stands over notes that ``move`` has moved."""

        def shifted(letter: Letter) -> Letter:
            pitch = move(Pitch(letter[0], letter[1], 4))
            return pitch.step, pitch.alter

        if self.root is None:
            return self
        return replace(self, root=shifted(self.root), bass=shifted(self.bass) if self.bass else None)

    def _tone(self, degree: int, half_steps: int) -> Letter:
        assert self.root
        step, alter = self.root
        place = STEPS.index(step) + degree - 1
        natural = Pitch(STEPS[place % 7], 0, 4 + place // 7)
        return natural.step, Pitch(step, alter, 4).midi + half_steps - natural.midi


def _letter(letter: Letter | None) -> str:
    return letter[0] + _SIGNS[letter[1]] if letter else ""


def _signed(name: str) -> str:
    return name.replace("b", "♭").replace("#", "♯")


def _degree_text(degree: Degree) -> str:
    action, number, alter = degree
    if action == "subtract":
        return f"no{number}"
    sign = _SIGNS.get(alter, "")
    return f"add{sign}{number}" if action == "add" and not alter else f"{sign}{number}"


def _quality(text: str, symbol: str) -> tuple[str, tuple[Degree, ...]]:
    """Kind and degrees of what stands between root and bass."""
    match = _QUALITY.match(_plain(text))
    assert match is not None
    triad, major = _triad(match["triad"] or ""), bool(match["major"])
    if match["triad"] in ("maj", "ma", "M", "Δ", "△", "^"):
        triad, major = "maj", bool(match["size"]) or match["triad"] in ("Δ", "△", "^")
    size = match["size"] or ("7" if major or match["triad"] in ("ø", "Ø") else "")
    kind, degrees = _kind(triad, major, size, match["triad"] in ("ø", "Ø"))
    rest = match["rest"]
    if not size and re.fullmatch(r"[+]5?", rest):
        rest = "#5"
    parts = list(_PART.finditer(rest))
    if kind is None or "".join(part[0] for part in parts) != rest:
        raise ValueError(f"no chord {symbol!r}; write a root and m, 7, m7, maj7, 6, dim, aug, sus4, add9 or the like")
    found = list(degrees)
    for part in parts:
        kind, found = _with(part, kind, found)
    return _tidied(kind, found)


def _plain(text: str) -> str:
    """The quality without brackets and blanks, each word in one spelling."""
    plain = re.sub(r"[\s(),\[\]]", "", text)
    for written, usual in (
        ("6/9", "69"), ("Major", "maj"), ("major", "maj"), ("Maj", "maj"), ("MA", "maj"), ("minor", "min"),
        ("Min", "min"), ("Dim", "dim"), ("Aug", "aug"), ("Sus", "sus"), ("Add", "add"),
    ):  # fmt: skip
        plain = plain.replace(written, usual)
    return f"add{plain}" if plain in ("2", "4") else plain


def _triad(sign: str) -> str:
    names = {"min": "min", "mi": "min", "m": "min", "-": "min", "dim": "dim", "°": "dim", "o": "dim",
             "aug": "aug", "+": "aug", "ø": "dim", "Ø": "dim"}  # fmt: skip
    return names.get(sign, "maj")


_KIND_OF = {
    ("maj", False, ""): "major", ("min", False, ""): "minor", ("dim", False, ""): "diminished",
    ("aug", False, ""): "augmented", ("maj", False, "5"): "power",
    ("maj", False, "6"): "major-sixth", ("min", False, "6"): "minor-sixth", ("maj", True, "6"): "major-sixth",
    ("maj", False, "7"): "dominant", ("maj", True, "7"): "major-seventh", ("min", False, "7"): "minor-seventh",
    ("min", True, "7"): "major-minor", ("dim", False, "7"): "diminished-seventh",
    ("aug", False, "7"): "augmented-seventh",
    ("maj", False, "9"): "dominant-ninth", ("maj", True, "9"): "major-ninth", ("min", False, "9"): "minor-ninth",
    ("maj", False, "11"): "dominant-11th", ("maj", True, "11"): "major-11th", ("min", False, "11"): "minor-11th",
    ("maj", False, "13"): "dominant-13th", ("maj", True, "13"): "major-13th", ("min", False, "13"): "minor-13th",
}  # fmt: skip


def _kind(triad: str, major: bool, size: str, half: bool) -> tuple[str | None, tuple[Degree, ...]]:
    if half:
        return ("half-diminished", ()) if size == "7" else (None, ())
    if size == "69":
        return _KIND_OF.get((triad, False, "6")), (("add", 9, 0),)
    if triad == "aug" and major and size == "7":
        return "major-seventh", (("alter", 5, 1),)
    if triad == "aug" and size == "9":
        return "dominant-ninth", (("alter", 5, 1),)
    if triad == "min" and major and size == "9":
        return "major-minor", (("add", 9, 0),)
    return _KIND_OF.get((triad, major, size)), ()


def _with(part: re.Match[str], kind: str, degrees: list[Degree]) -> tuple[str, list[Degree]]:
    """Kind and degrees with one more thing said: ``sus4``, ``add9``, ``b5``, ``no3``, ``maj7``."""
    if part["sus"]:
        return _suspended(kind, part["susto"] or "4", "9" in part["sus"], degrees)
    if part["added"]:
        return kind, [*degrees, ("add", int(part["add"]), _shift(part["addalter"]))]
    if part["gone"]:
        return kind, [*degrees, ("subtract", int(part["no"]), 0)]
    if part["majseventh"]:
        return ("major-minor", degrees) if kind == "minor" else (kind, [*degrees, ("add", 7, 1)])
    if part["alt"]:
        return kind, [*degrees, ("alter", 5, 1), ("add", 9, 1)]
    if part["alone"]:
        added = (6, 9) if part["alone"] == "69" else (int(part["alone"]),)
        return kind, [*degrees, *(("add", degree, 0) for degree in added)]
    degree, shift = int(part["degree"]), _shift(part["alter"])
    return kind, [*degrees, ("alter" if degree in KINDS[kind] else "add", degree, shift)]


def _suspended(kind: str, to: str, ninth: bool, degrees: list[Degree]) -> tuple[str, list[Degree]]:
    found = list(degrees)
    size = KINDS[kind]
    if 7 in size:
        found.append(("add", 7, size[7] - 10))
    found += [("add", degree, 0) for degree in (6, 9, 11, 13) if degree in size and degree != 11]
    if ninth and 9 not in size:
        found.append(("add", 9, 0))
    if to == "24":
        found.append(("add", 2, 0))
    return ("suspended-second" if to == "2" else "suspended-fourth"), found


def _shift(sign: str) -> int:
    return {"b": -1, "-": -1, "#": 1, "+": 1}.get(sign, 0)


def _tidied(kind: str, degrees: list[Degree]) -> tuple[str, tuple[Degree, ...]]:
    """Common combinations under their own names: a minor seventh with a flat fifth is half-diminished."""
    for plain, degree, better in (
        ("minor-seventh", ("alter", 5, -1), "half-diminished"),
        ("dominant", ("alter", 5, 1), "augmented-seventh"),
        ("major", ("alter", 5, 1), "augmented"),
        ("minor", ("alter", 5, -1), "diminished"),
    ):
        if kind == plain and degree in degrees:
            return better, tuple(one for one in degrees if one != degree)
    return kind, tuple(degrees)
