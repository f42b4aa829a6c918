"""Pictures of music: Verovio engraves each distinct excerpt once, and the result is kept by content across builds.

A picture draws in ``currentColor``, so it turns with dark mode, and is made of small parts: the note heads, clefs and
figures it uses (:attr:`Engraving.glyphs`) stand once on a page, however many pictures use them. No id in a picture
is Verovio's own, so pictures on one page cannot clash.
"""

from __future__ import annotations

import hashlib
import pickle
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from html import unescape
from importlib import metadata
from math import ceil
from pathlib import Path
from typing import Any

from markupsafe import Markup, escape

from beginnerband.render import fonts
from beginnerband.render.write_musicxml import PAD, PROPOSED, SUNG, Staff, musicxml
from beginnerband.wholefile import write_whole

FORM = "11"
"""Changes when what is made of Verovio's output changes, so that kept pictures are made anew."""

NARROW = 1100
"""Width of the page in Verovio's units that suits every screen; on paper a line is ``WIDE`` of music/line_breaks.py."""

PHONE = 1000
"""Width for a phone held upright: its staff is then as high as one of 4 mm on paper, which a player can read."""

ENDLESS = 60000
"""Height of a page that is cut to what is on it."""

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
    "svgHtml5": True,
    "svgRemoveXlink": True,
    "smuflTextFont": "none",
    "lyricTopMinMargin": 5,
    "lyricWordSpace": 1.7,
    "lyricSize": 4.3,
    "spacingLinear": 0.29,
    "spacingSystem": 7,
    "justifyVertically": False,
    "minLastJustification": 0.6,
    "xmlIdSeed": 1,
}


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

    def standalone(self) -> str:
        """The picture with everything it needs, for a file or for print."""
        defs = f"<defs>{''.join(drawing for _, drawing in self.glyphs)}</defs>"
        return self._svg(defs, self.key[:12], "bb-score", self._overhang)

    @property
    def _overhang(self) -> int:
        """How far the longest name before a staff stands out to the left, set in the text font: Verovio leaves the
        room that its own, narrower font takes."""
        ends = ((int(x), int(size), unescape(name)) for x, size, name in _NAME.findall(self.body))
        return max(0, max((ceil(size * fonts.width(name) - x) for x, size, name in ends), default=0))

    def _svg(self, defs: str, ident: str, css_class: str, left: int = 0) -> str:
        """The picture, with ``left`` units of room before it."""
        named = f"bb-t-{ident}"
        shown = f"{-left} 0 {self.width + left} {self.height}"
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
        return round(self.wide.width / (10 * self.width), 3)

    def inline(self, ident: str) -> Markup:
        """As :meth:`Engraving.inline`; the page's styles show the one that suits, never larger than its full line."""
        if self.phone is self.wide:
            shown = self.wide.inline(ident)
        else:
            shown = self.wide.inline(ident, "bb-score bb-wide-music")
            shown += self.phone.inline(f"{ident}-phone", "bb-score bb-phone-music")
        shares = f"--bb-wide: {self.share}; --bb-phone: {min(1.0, round(self.phone.width / (10 * PHONE), 3))}"
        return Markup('<div class="bb-fitted" style="{}">{}</div>').format(shares, shown)


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
) -> Engraving:
    """The picture of ``staves``; from ``cache`` (the project's ``.cache`` folder) where it was made before.

    ``breaks`` are as in :func:`pages`. Raises ``ValueError`` for what Verovio cannot engrave.
    """
    return pages(staves, title, words, cache, [(width, ENDLESS)], breaks=breaks)[0]


def pages(
    staves: Sequence[Staff],
    title: str,
    words: str,
    cache: Path | None,
    sizes: Sequence[Size],
    named: bool = False,
    group: str = "",
    breaks: Sequence[int] | None = None,
) -> tuple[Engraving, ...]:
    """Pictures of pages of whole systems, in the first of ``sizes`` that needs fewest; otherwise as :func:`engrave`.

    ``named`` prints the names of the staves, ``group`` joins them by a ``bracket`` or ``brace``. ``breaks`` are places
    of bars that begin a line (none: all on one line); where it is ``None``, lines break where they are full.
    """
    source = musicxml(staves, bare=True, named=named, group=group, breaks=breaks)
    given = "" if breaks is None else " broken"
    key = hashlib.sha256(f"{_version()} {FORM} {tuple(sizes)}{given}\n{source}".encode()).hexdigest()
    kept = cache / "engrave" / key[:2] / key if cache else None
    if kept and kept.is_file():
        drawn = pickle.loads(kept.read_bytes())
    else:
        drawn = [_compact(svg) for svg in _render(source, sizes, breaks)]
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
def _version() -> str:
    return metadata.version("verovio")


@lru_cache(maxsize=1)
def _toolkit() -> Any:
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    return verovio.toolkit()


def _render(source: str, sizes: Sequence[Size], breaks: Sequence[int] | None = None) -> list[str]:
    toolkit = _toolkit()
    toolkit.setOptions({**_OPTIONS, **_breaking(breaks)})
    _set_size(toolkit, sizes[0])
    if not toolkit.loadData(source):
        raise ValueError("Verovio cannot read the excerpt")
    if len(sizes) > 1 and toolkit.getPageCount() > 1:
        fewest = min(sizes, key=lambda size: _count_pages(toolkit, size))
        _count_pages(toolkit, fewest)  # lays it out so once more
    return [str(toolkit.renderToSVG(number)) for number in range(1, toolkit.getPageCount() + 1)]


def _breaking(breaks: Sequence[int] | None) -> dict[str, Any]:
    """Options for lines that break where they are told to; all of several lines reach the margin."""
    if breaks is None:
        return {}
    return {"breaks": "line", "minLastJustification": 0.0 if breaks else _OPTIONS["minLastJustification"]}


def _set_size(toolkit: Any, size: Size) -> None:
    toolkit.setOptions({"pageWidth": size[0], "pageHeight": size[1]})


def _count_pages(toolkit: Any, size: Size) -> int:
    """Lay out again what was read, which takes a fraction of the time of reading it."""
    _set_size(toolkit, size)
    toolkit.redoLayout()
    return int(toolkit.getPageCount())


_GLYPH = re.compile(r'<g id="(E[0-9A-F]{3,4})-[^"]*"><path transform="scale\(1,-1\)" d="([^"]*)" ?/></g>')
_DRAWN = re.compile(r'<svg class="definition-scale"[^>]*viewBox="0 0 (\d+) (\d+)"[^>]*>(.*)</svg>\s*</svg>', re.S)
_TAG = re.compile(r"<(/?)([a-z]+)([^>]*?)(/?)>")
_OURS = re.compile(r'data-id="n(\d+)"')
_CLASS = re.compile(r' class="([^"]*)"')
_USE = re.compile(r'href="#(E[0-9A-F]+)-[^"]*"')
_DROPPED = re.compile(r' (?:data-id|data-class|data-related|id|class|font-family)="[^"]*"')
_WORDS = re.compile(rf'<g class="bb-under">(<text[^>]*>(?:<tspan[^>]*>)*){SUNG}')
_SIGN = re.compile(r'<tspan font-size="\d+px">([\uea63-\uea67])</tspan>')
_TEXT_SIGNS = {"\uea63": "𝄫", "\uea64": "♭", "\uea65": "♮", "\uea66": "♯", "\uea67": "𝄪"}
_UNDER = re.compile(r'(<g class="bb-under"><text stroke="none" )x="(\d+)"')
_NAME = re.compile(r'<text[^>]* x="(\d+)"[^>]* text-anchor="end"[^>]*>(?:<tspan>)*<tspan font-size="(\d+)px">([^<]+)<')
"""A name before a staff: where it ends, its size, itself."""
_LOOKS = {
    "verse": ' class="bb-under"',
    "fing": ' class="bb-under" font-weight="bold"',
    "tempo": ' font-weight="bold"',
    "reh": ' font-weight="bold"',
    "ending": ' font-weight="bold"',
    "dir": ' font-style="italic"',
    "dynam": ' font-style="italic"',
    "mNum": ' font-style="italic" class="bb-bar-number"',
    "page-margin": "",
}


def _compact(svg: str) -> tuple[str, tuple[tuple[str, str], ...], int, int]:
    """The drawing without Verovio's ids, styles and needless groups; notes and rests keep ``data-note``."""
    drawn = _DRAWN.search(svg)
    if not drawn:
        raise ValueError("Verovio drew nothing")
    glyphs = tuple(
        (name, f'<g id="bb-{name}"><path transform="scale(1,-1)" d="{path}"/></g>')
        for name, path in _GLYPH.findall(svg)
    )
    drawing = drawn[3]  # taken once: a match copies its group each time it is asked
    out: list[str] = []
    kept: list[bool] = []  # for each open group, whether its tag was written
    hidden = 0  # groups open since one that is not shown
    end = 0
    for tag in _TAG.finditer(drawing):
        if not hidden:
            out.append(drawing[end : tag.start()])
        end = tag.end()
        closing, name, attributes, alone = tag.groups()
        if hidden:
            hidden += -1 if closing and name == "g" else name == "g" and not alone
        elif name != "g":
            out.append(_shape(closing, name, attributes, alone))
        elif closing:
            out.append("</g>" if kept.pop() else "")
        elif not alone:
            if "placeholder" in attributes:
                hidden = 1
                continue
            written = _group(attributes)
            kept.append(written is not None)
            out.append(f"<g{written}>" if written is not None else "")
    drawn_text = _WORDS.sub(r'<g class="bb-words">\1', _SIGN.sub(_in_text, "".join(out)))
    body = _UNDER.sub(_centred, drawn_text).replace(PAD, "")
    return body, glyphs, int(drawn[1]), int(drawn[2])


def _in_text(sign: re.Match[str]) -> str:
    """An accidental of a chord symbol as a letter of the text's own font, since no music font is on the page."""
    return f'<tspan font-size="360px">{_TEXT_SIGNS[sign[1]]}</tspan>'


def _centred(text: re.Match[str]) -> str:
    """Verovio sets what stands under a note flush left; a fingering belongs under the middle of the head."""
    return f'{text[1]}x="{int(text[2]) + 200}" text-anchor="middle" font-weight="bold"'


def _group(attributes: str) -> str | None:
    """What is left of a group's attributes, or ``None`` where the group is not needed."""
    ours = _OURS.search(attributes)
    if ours:
        return f' class="bb-note" data-note="{ours[1]}"'
    classes = _CLASS.search(attributes)
    look = next((_LOOKS[word] for word in classes[1].split() if word in _LOOKS), None) if classes else None
    if PROPOSED in attributes:
        look = (look or "") + f' fill="{PROPOSED}"'
    transform = re.search(r' transform="[^"]*"', attributes)
    if look is None and transform is None:
        return None
    return (look or "") + (transform[0] if transform else "")


def _shape(closing: str, name: str, attributes: str, alone: str) -> str:
    if closing:
        return f"</{name}>"
    attributes = _USE.sub(r'href="#bb-\1"', _DROPPED.sub("", attributes))
    stroke = ' stroke="none"' if name == "text" else ""
    return f"<{name}{stroke}{attributes}{alone}>"
