"""What stands before a note of ABC and is attached to it: decorations, annotations, chord symbols (4.14 to 4.20)."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from beginnerband.data.abc_fields import plain_text
from beginnerband.data.abc_signs import ARTICULATIONS, DYNAMICS, HAIRPINS, JUMPS, JUMPS_BY_NAME, LEFT_OUT, SYMBOLS
from beginnerband.data.barring import Voice
from beginnerband.data.jumps import marks_of
from beginnerband.data.problems import did_you_mean
from beginnerband.music.chord_symbol import ChordSymbol
from beginnerband.music.pitch import Pitch

GERMAN = re.compile(r"H(m|maj|moll|dim|aug|sus)?\d*")
"""A chord symbol with the German name of B."""


@dataclass(slots=True, kw_only=True)
class Attached:
    """What is attached to a note: its grace notes, chord symbol, words, decorations and slurs."""

    slurs: int = 0
    articulations: list[str] = field(default_factory=list)
    fermata: bool = False
    breath: bool = False
    dynamic: str = ""
    hairpin: str = ""
    graces: tuple[Pitch, ...] = ()
    words: str = ""
    chord: ChordSymbol | None = None


class AttachedSigns:
    """Collects the signs before a note until it comes."""

    def __init__(self, voice: Voice, symbols: dict[str, str]) -> None:
        self.voice = voice
        self.symbols = symbols
        self.next = Attached()

    def taken(self) -> Attached:
        """What has been read; the next begins anew."""
        found, self.next = self.next, Attached()
        return found

    def quote(self, quote: str, number: int) -> None:
        """Text in quotation marks: a chord symbol, a jump, or words over the note."""
        text = plain_text(quote)[:60]
        placed = text[:1] in ("^", "_", "<", ">", "@")
        said = re.sub(r"^@-?[\d.]+,-?[\d.]+\s*", "", text) if text[:1] == "@" else text[1:] if placed else text
        jumps = marks_of(said)
        if jumps:
            self._marks(jumps)
        elif not placed and re.match(r"[A-G]|[nN]\.?[cC]", said) and self._chord_symbol(said, number):
            return
        elif not placed and GERMAN.fullmatch(said):
            self.voice.wrong(number, f"no chord {said!r}; the German H is B, as B{said[1:]}")
        elif said:
            self.next.words = said.strip()

    def _chord_symbol(self, text: str, number: int) -> bool:
        """Take text before a note as a chord symbol; ``False`` where it is plain words."""
        main, _, other = text.partition("(") if re.match(r"[^()]+\([A-G][^()]*\)$", text) else text.partition(";")
        main = re.sub(r"\s+(?:major|maj)$", "", re.sub(r"\s+min(?:or)?$", "m", main))
        try:
            self.next.chord = ChordSymbol.parse(main)
        except ValueError as wrong:
            words = re.match(r"[A-G][a-z]{2,}[a-z .,!'-]*$|[A-G][A-Za-z]* ?[A-Za-z]{3,}", text)
            if not words:
                self.voice.wrong(number, str(wrong))
            return not words
        if other:
            self.voice.remark(number, f"the other chord {other.strip('()')!r} is not used")
        return True

    def symbol(self, sign: str, number: int) -> None:
        """A letter or dot that stands for a decoration."""
        if sign == ".":
            self.next.articulations.append("staccato")
        elif sign in self.symbols or sign in SYMBOLS:
            self.decorate(self.symbols.get(sign) or SYMBOLS[sign], number)
        else:
            self.voice.remark(number, f"the letter {sign!r} is no note and no sign that U: defines; it is left out")

    def decorate(self, name: str, number: int) -> None:
        """A decoration by its name."""
        attached = self.next
        if name in ARTICULATIONS:
            attached.articulations.append(ARTICULATIONS[name])
        elif name in DYNAMICS:
            attached.dynamic = DYNAMICS[name]
        elif name in HAIRPINS:
            self._hairpin(HAIRPINS[name])
        elif name == "breath":
            attached.breath = True
        elif name == "fermata":
            attached.fermata = True
        elif name.lower() in JUMPS_BY_NAME:
            self._marks(JUMPS_BY_NAME[name.lower()])
        elif name in ("nil", "none"):
            return  # U:T=!nil! takes a letter's meaning away
        elif name in LEFT_OUT:
            self.voice.remark(number, f"the sign !{name}! is left out")
        else:
            known = [*ARTICULATIONS, *DYNAMICS, *HAIRPINS, *JUMPS, "breath", "fermata", *LEFT_OUT]
            hint = did_you_mean(name, known) or "; see the decorations of the ABC standard, section 4.14"
            self.voice.wrong(number, f"no decoration !{name}!{hint}")

    def _marks(self, marks: tuple[str, ...]) -> None:
        for mark in marks:
            self.voice.mark(mark)

    def _hairpin(self, hairpin: str) -> None:
        if hairpin == "stop":
            self.voice.amend(hairpin="stop")
        else:
            self.next.hairpin = hairpin
