"""What stands in lines under or over a line of ABC music, note by note: words (``w:``) and symbols (``s:``)."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from beginnerband.data.abc_fields import plain_text
from beginnerband.data.barring import Voice
from beginnerband.music.score import Syllable

Anchor = tuple[int, int]
"""Bar and note, as :attr:`Voice.anchors` counts them."""

_SYLLABLE = re.compile(
    r"(?P<skip>\*)|(?P<hold>_)|(?P<bar>\|)|(?P<blank>(?<=[\s-])-|^-)|(?P<text>(?:\\-|[^\s*_|-])+)(?P<hyphen>-)?"
)


@dataclass(frozen=True, slots=True)
class _Sung:
    """One step of a ``w:`` line."""

    kind: str
    """``text``, ``skip``, ``hold`` or ``bar``."""
    text: str = ""
    """The syllable."""
    hyphen: bool = False
    """Whether its word goes on."""


class WordsUnder:
    """Sets verses to the notes of one voice (section 5.1 of the standard).

    A ``w:`` line goes with the music since the last one; further ``w:`` lines straight after it are further verses.
    """

    def __init__(self, voice: Voice) -> None:
        self.voice = voice
        self.start = 0  # first anchor of the music that words are waited for
        self.count = 0  # verses set to this music
        self.left: list[Anchor] = []  # notes of this verse without a word yet
        self.inside = False  # within a word
        self.last: Anchor | None = None

    def music_follows(self) -> None:
        """Another line of music begins."""
        if self.count:
            self.start, self.count = len(self.voice.anchors), 0

    def verse(self, text: str, number: int) -> None:
        """Set one ``w:`` line."""
        self.count += 1
        self.left, self.inside, self.last = self._notes(), False, None
        self.more(text, number)

    def more(self, text: str, number: int) -> None:
        """Carry a verse on."""
        over = 0
        for sung in _sung(text):
            if sung.kind == "bar":
                self._to_next_bar()
            elif not self.left:
                over += 1
            else:
                self._set(sung, self.left.pop(0))
        if over:
            self.voice.remark(number, f"{over} syllable{'s' if over > 1 else ''} of w: stand where no note is left")

    def aligned(self, tokens: Iterable[str], number: int, field: str) -> Iterator[tuple[Anchor, str]]:
        """Notes with the signs of an ``s:`` line that stand over them."""
        self.left, self.last, over = self._notes(), None, 0
        for token in tokens:
            if token == "|":
                self._to_next_bar()
            elif not self.left:
                over += token != "*"
            else:
                self.last = self.left.pop(0)
                if token != "*":
                    yield self.last, token
        if over:
            self.voice.remark(number, f"{over} sign{'s' if over > 1 else ''} of {field} stand where no note is left")

    def _notes(self) -> list[Anchor]:
        return [anchor for anchor, sung in self.voice.anchors[self.start :] if sung]

    def _to_next_bar(self) -> None:
        bar = self.last[0] if self.last else (self.left[0][0] - 1 if self.left else 0)
        while self.left and self.left[0][0] <= bar:
            self.left.pop(0)
        self.last = (bar + 1, 0)

    def _set(self, sung: _Sung, anchor: Anchor) -> None:
        if sung.kind == "hold" and self.last:
            self._hold(self.last)
        if sung.kind == "text":
            place = ("middle" if sung.hyphen else "end") if self.inside else "begin" if sung.hyphen else "single"
            note = self.voice.at(anchor)
            syllable = Syllable(sung.text, place, verse=self.count)
            self.voice.amend_at(anchor, lyrics=(*note.lyrics, syllable))
            self.inside, self.last = sung.hyphen, anchor
        if sung.kind == "skip":
            self.last = anchor

    def _hold(self, anchor: Anchor) -> None:
        lyrics = self.voice.at(anchor).lyrics
        held = tuple(replace(sung, held=True) if sung.verse == self.count else sung for sung in lyrics)
        self.voice.amend_at(anchor, lyrics=held)


def _sung(text: str) -> Iterator[_Sung]:
    for match in _SYLLABLE.finditer(text):
        if match["text"]:
            shown = plain_text(match["text"].replace("\\-", "-").replace("~", " "))[:60]
            yield _Sung("text", shown, bool(match["hyphen"]))
        elif match["bar"]:
            yield _Sung("bar")
        elif match["hold"]:
            yield _Sung("hold")
        else:
            yield _Sung("skip")


def symbol_tokens(text: str) -> list[str]:
    """The signs of an ``s:`` line one by one: ``*``, ``|``, ``"…"`` and ``!…!``."""
    return re.findall(r'\*|\||"[^"]*"|![^!]*!|\+[^+]*\+|[^\s*|"!+]+', text)
