"""Pictures of music: Verovio engraves each distinct excerpt once, and the result is kept by content across builds.

A picture draws in ``currentColor``, so it turns with dark mode, and is made of small parts: the note heads, clefs and
figures it uses (:attr:`Engraving.glyphs`) stand once on a page, however many pictures use them. No id in a picture
is Verovio's own, so pictures on one page cannot clash.
"""

from __future__ import annotations

import hashlib
import pickle
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from html import unescape
from importlib import metadata
from math import ceil
from pathlib import Path
from typing import Any

from markupsafe import Markup, escape

from beginnerband.render import fonts
from beginnerband.render.compact import compact
from beginnerband.render.write_musicxml import Staff, musicxml
from beginnerband.wholefile import write_whole

NARROW = 1100
"""Width of the page in Verovio's units that suits every screen; on paper a line is ``WIDE`` of music/line_breaks.py."""

PHONE = 1000
"""Width for a phone held upright: its staff is then as high as one of 4 mm on paper, which a player can read."""

LYRICS, LARGE_LYRICS = 4.3, 5.6
"""Size of words to sing, in Verovio's units, and where text is :data:`LARGE`."""

ENDLESS = 60000
"""Height of a page that is cut to what is on it."""

STAFF, FILLED_STAFF = 165, 95
"""Height that one of many staves takes, and one on a filled page, by which is guessed if a page is enough for all."""

BELOW = 20
"""Least height from the lowest of what is drawn to the end of a page: half a head, and the upper margin before it."""

_NAME = re.compile(r'<text[^>]* x="(\d+)"[^>]* text-anchor="end"[^>]* font-size="(\d+)px">([^<]+)<')
"""A name before a staff: where it ends, its size, itself."""

_TEXT = re.compile(r'<text[^>]* y="(\d+)"[^>]* font-size="(\d+)px"')
"""A text: where its line stands, its size."""

_CAPITAL = 0.72
"""Height of a capital letter, in em."""

_SIZE = re.compile(r' font-size="(\d+)px"')
"""The size of a text."""

LEAST = 360
"""Least size of text on paper, in units of the drawing: 10 points and a little on a player's sheet or part."""

LARGE = 500
"""The same on a leader's card, and in a short score as wide as the page."""

LEAST_ON_A_PHONE = 460
"""The same in a picture for a phone: 12 pixels on one of 320 pixels, which shows :data:`PHONE` in 262."""

_LOW = re.compile(r'(?: L-?\d+ |translate\(-?\d+, | y=")(\d+)')
"""How low a line ends, or a sign or a text stands, in tenths of Verovio's units below the upper margin."""

_SHOWN = re.compile(r'<svg viewBox="0 0 [\d.]+ ([\d.]+)"')
"""Verovio's outermost element, with the height of the page in tenths of its units (``mmOutput``)."""

Size = tuple[int, int]
"""Width of a page and its greatest height, in Verovio's units."""

_OPTIONS: dict[str, Any] = {
    "scale": 100,
    "pageMarginLeft": 25,
    "pageMarginRight": 10,
    "pageMarginTop": 10,
    "pageMarginBottom": 20,
    "adjustPageHeight": True,
    "breaks": "auto",
    "header": "none",
    "footer": "none",
    "svgViewBox": True,
    "svgFormatRaw": True,
    "svgRemoveXlink": True,
    "smuflTextFont": "none",
    "lyricTopMinMargin": 5,
    "lyricWordSpace": 1.7,
    "lyricSize": LYRICS,
    "spacingLinear": 0.29,
    "spacingSystem": 7,
    "spacingStaff": 12,
    "spacingBracketGroup": 12,
    "justifyVertically": False,
    "justificationMaxVertical": 0.3,
    "minLastJustification": 0.6,
    "xmlIdSeed": 1,
    "mmOutput": True,
}
"""``mmOutput`` is for the style sheet, which it leaves out: making one takes a seventh of the time of a drawing."""

_FILLED: dict[str, Any] = {
    "justifyVertically": True,
    "justificationMaxVertical": 0.6,
    "adjustPageHeight": False,
    "spacingStaff": 7,
    "spacingBracketGroup": 7,
}
"""Options for pages that hold as many staves as can be told apart, which are then spread over the height there is.

Such a page keeps its height: Verovio would cut it to what stood on it before the staves were spread.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Engraving:
    """A picture of an excerpt."""

    key: str
    """Hash of everything it was made from."""
    body: str
    """What is drawn, in the units of ``width`` and ``height``."""
    glyphs: tuple[tuple[str, str], ...]
    """Id and drawing of each sign that ``body`` uses."""
    width: int
    """Width in its own units."""
    height: int
    """Height in its own units."""
    title: str = ""
    """Short name, for a screen reader."""
    words: str = ""
    """The notes in words."""

    def inline(self, ident: str = "", css_class: str = "bb-score") -> Markup:
        """The picture for a page that also holds :func:`glyph_sheet`; ``ident`` must be unique on the page."""
        return Markup(self._svg("", ident or self.key[:12], css_class))

    def boxed(self, ident: str) -> Markup:
        """:meth:`inline` in a box of the picture's shape, which a browser may leave undrawn until it comes near."""
        shape = f"aspect-ratio: {self.width} / {self.height}"
        return Markup('<div class="bb-staves" style="{}">{}</div>').format(shape, self.inline(ident))

    def standalone(self, least: int = LEAST) -> str:
        """The picture with everything it needs, for a file or for print, its text in ``least`` units at least.

        Signs have no stroke: it would be a thirty-sixth of a staff line, and print takes a fifth longer to outline it.
        (On a page, where what plays is drawn bolder, they have the stroke of what uses them.)
        """
        signs = "".join(drawing.replace("<path ", '<path stroke="none" ') for _, drawing in self.glyphs)
        defs = f"<defs>{signs}</defs>"
        sized = replace(self, body=_SIZE.sub(lambda size: f' font-size="{max(int(size[1]), least)}px"', self.body))
        return sized._svg(defs, self.key[:12], "bb-score", sized._overhang, sized._above)

    @property
    def _above(self) -> int:
        """How far enlarged text stands out above the picture."""
        lines = ((int(y), int(size)) for y, size in _TEXT.findall(self.body))
        return max(0, max((ceil(_CAPITAL * size - y) for y, size in lines), default=0))

    @property
    def _overhang(self) -> int:
        """How far the longest name before a staff stands out to the left, set in the text font: Verovio leaves the
        room that its own, narrower font takes."""
        if 'text-anchor="end"' not in self.body:
            return 0
        ends = ((int(x), int(size), unescape(name)) for x, size, name in _NAME.findall(self.body))
        return max(0, max((ceil(size * fonts.width(name) - x) for x, size, name in ends), default=0))

    def _svg(self, defs: str, ident: str, css_class: str, left: int = 0, above: int = 0) -> str:
        """The picture, with ``left`` units of room before it and ``above`` over it."""
        named = f"bb-t-{ident}"
        shown = f"{-left} {-above} {self.width + left} {self.height + above}"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="{css_class}" viewBox="{shown}" '
            f'role="img" aria-labelledby="{named}"><title id="{named}">{escape(self.title)}</title>'
            f'<desc>{escape(self.words)}</desc>{defs}<g fill="currentColor" stroke="currentColor" '
            f'font-family="Times, serif">{self.body}</g></svg>'
        )


@dataclass(frozen=True, slots=True)
class Fitted:
    """Music whose lines break for the width it is shown at: on paper and wide screens, and on a phone."""

    wide: Engraving
    """For lines of ``width``."""
    phone: Engraving
    """For lines of :data:`PHONE`; the same picture where what there is fits into one such line."""
    width: int
    """Width of a full wide line, in Verovio's units."""

    @property
    def pictures(self) -> tuple[Engraving, ...]:
        """Each picture once."""
        return (self.wide,) if self.phone is self.wide else (self.wide, self.phone)

    @property
    def share(self) -> float:
        """The share of a full wide line that the picture takes."""
        return share_of(self.wide, self.width)

    def inline(self, ident: str) -> Markup:
        """As :meth:`Engraving.inline`; the page's styles show the one that suits, never larger than its full line."""
        if self.phone is self.wide:
            shown = self.wide.inline(ident)
        else:
            shown = self.wide.inline(ident, "bb-score bb-wide-music")
            shown += self.phone.inline(f"{ident}-phone", "bb-score bb-phone-music")
        shares = f"--bb-wide: {self.share}; --bb-phone: {min(1.0, round(self.phone.width / (10 * PHONE), 3))}"
        return Markup('<div class="bb-fitted" style="{}">{}</div>').format(shares, shown)


def share_of(picture: Engraving, width: int) -> float:
    """The share of a full line of ``width`` that a picture takes."""
    return round(picture.width / (10 * width), 3)


def fitted(wide: Engraving, width: int, phone: Callable[[], Engraving]) -> Fitted:
    """``wide``, and for a phone what ``phone`` engraves where that is longer than a phone's line."""
    return Fitted(wide, wide if wide.width <= 10 * PHONE else phone(), width)


def glyph_sheet(engravings: Iterable[Engraving]) -> Markup:
    """The signs that pictures on a page share, hidden; put it on the page once, before them."""
    signs = {name: drawing for engraving in engravings for name, drawing in engraving.glyphs}
    drawings = "".join(signs[name] for name in sorted(signs))
    if not drawings:
        return Markup("")
    return Markup(
        '<svg xmlns="http://www.w3.org/2000/svg" class="bb-glyphs" width="0" height="0" aria-hidden="true" '
        f'focusable="false"><defs>{drawings}</defs></svg>'
    )


def engrave(
    staves: Sequence[Staff],
    title: str,
    words: str,
    cache: Path | None = None,
    width: int = NARROW,
    breaks: Sequence[int] | None = None,
    lyrics: float = LYRICS,
) -> Engraving:
    """The picture of ``staves``; from ``cache`` (the project's ``.cache`` folder) where it was made before.

    ``breaks`` and ``lyrics`` are as in :func:`pages`. Raises ``ValueError`` for what Verovio cannot engrave.
    """
    return pages(staves, title, words, cache, (width, ENDLESS), breaks=breaks, lyrics=lyrics)[0]


def pages(
    staves: Sequence[Staff],
    title: str,
    words: str,
    cache: Path | None,
    size: Size,
    named: bool = False,
    group: str = "",
    breaks: Sequence[int] | None = None,
    filled: bool = False,
    lyrics: float = LYRICS,
) -> tuple[Engraving, ...]:
    """Pictures of pages of whole systems, each of ``size`` at most; otherwise as :func:`engrave`.

    ``named`` prints the names of the staves, ``group`` joins them by a ``bracket`` or ``brace``. ``breaks`` are places
    of bars that begin a line (none: all on one line); where it is ``None``, lines break where they are full.
    ``filled`` takes staves closer together where that saves a page, and spreads them over the height of each.
    ``lyrics`` is the size of words to sing for which notes make room, in Verovio's units.
    """
    source = musicxml(staves, bare=True, named=named, group=group, breaks=breaks)
    given = ("" if breaks is None else " broken") + (" filled" if filled else "")
    more = {"lyricSize": lyrics, **(_FILLED if filled else {})}
    key = hashlib.sha256(f"{_maker()} {size}{given} {lyrics}\n{source}".encode()).hexdigest()
    kept = cache / "engrave" / key if cache else None
    if kept and kept.is_file():
        drawn = pickle.loads(kept.read_bytes())
    else:
        drawn = [compact(svg) for svg in _render(source, size, breaks, more)]
        if kept:
            write_whole(kept, pickle.dumps(drawn))
    return tuple(
        Engraving(
            key=f"{number}{key[1:]}" if number else key,
            body=body,
            glyphs=glyphs,
            width=wide,
            height=high,
            title=title,
            words=words,
        )
        for number, (body, glyphs, wide, high) in enumerate(drawn)
    )


def renamed(engraving: Engraving, title: str, words: str) -> Engraving:
    """The same picture under another name, for another player of the same notes."""
    return replace(engraving, title=title, words=words)


@lru_cache(maxsize=1)
def _maker() -> str:
    """What changes when the same music may be drawn another way: then kept pictures are drawn anew."""
    here = Path(__file__)
    code = b"".join(path.read_bytes() for path in (here, here.with_name("compact.py")))
    return f"{metadata.version('verovio')} {hashlib.sha256(code).hexdigest()}"


class _Engine:
    """Verovio, which is told its options only where they are others than before: that takes a thirtieth of its time."""

    def __init__(self) -> None:
        import verovio

        verovio.enableLog(verovio.LOG_OFF)
        self._toolkit: Any = verovio.toolkit()
        self._toolkit.setInputFrom("musicxml")  # else it guesses each time, which takes a twentieth of its time
        self._told: dict[str, Any] = {}

    def drawn(self, source: str, options: dict[str, Any]) -> list[str]:
        """The pages of ``source``."""
        if options != self._told:
            self._toolkit.setOptions(options)
            self._told = options
        if not self._toolkit.loadData(source):
            raise ValueError("Verovio cannot read the excerpt")
        return [str(self._toolkit.renderToSVG(number)) for number in range(1, self._toolkit.getPageCount() + 1)]


_engine = lru_cache(maxsize=1)(_Engine)
"""The one of this process."""


def _render(source: str, size: Size, breaks: Sequence[int] | None, more: Mapping[str, Any]) -> list[str]:
    if breaks is None:
        return _laid_out(source, size, more)
    told, (width, high), filled = {**_told(breaks), **more}, size, "justifyVertically" in more
    staves = source.count("<score-part ") * (len(breaks) + 1)
    if staves * (FILLED_STAFF if filled else STAFF) <= high:
        drawn = _laid_out(source, size if filled else (width, ENDLESS), {**told, "breaks": "encoded"})
        if high == ENDLESS or (_lowest(drawn[0]) + BELOW if filled else _height(drawn[0])) <= high:
            return drawn
    return _laid_out(source, size, told)


def _laid_out(source: str, size: Size, options: Mapping[str, Any]) -> list[str]:
    return _engine().drawn(source, {**_OPTIONS, **options, "pageWidth": size[0], "pageHeight": size[1]})


def _told(breaks: Sequence[int]) -> dict[str, Any]:
    """Options for lines that break where they are told to; all of several lines reach the margin.

    Such lines on one page ("encoded") are laid out in half the time of such lines on as many pages as they need.
    """
    return {"breaks": "line", "minLastJustification": 0.0 if breaks else _OPTIONS["minLastJustification"]}


def _lowest(svg: str) -> float:
    """How low the lowest line, stem, sign or text of a drawing stands, in Verovio's units."""
    return max((int(low) for low in _LOW.findall(svg)), default=float("inf")) / 10


def _height(svg: str) -> float:
    """Height of a drawing, in Verovio's units."""
    found = _SHOWN.search(svg)
    return 10 * float(found[1]) if found else float("inf")
