"""Verovio's drawing made small: without its ids, styles and needless groups, each line of a staff drawn once."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from beginnerband.render.write_musicxml import PAD, PROPOSED, SUNG

_GLYPH = re.compile(r'<g id="(E[0-9A-F]{3,4})-[^"]*"><path transform="scale\(1,-1\)" d="([^"]*)" ?/></g>')
_DRAWN = re.compile(r'<svg class="definition-scale"[^>]*viewBox="0 0 (\d+) (\d+)"[^>]*>(.*)</svg>\s*</svg>', re.S)
_GROUP = re.compile(r'<(?:/g|g(?: id="(?:n-(\d+)|[^"]*)")?([^>]*))>')
"""The begin or end of a group, with the number of a note or rest: Verovio's own ids have no hyphen."""
_CLASS = re.compile(r' class="([^"]*)"')
_TRANSFORM = re.compile(r' transform="[^"]*"')
_USE = re.compile(r'href="#(E[0-9A-F]+)-[^"]*"')
_TEXT = re.compile(r"<text(?=[ />])")
_TEXT_PART = re.compile(r'<tspan id="[^"]*"(?: class="[^"]*")?')
_NAMED_SHAPE = re.compile(r"<(?!g\b)[a-z]+ [^>]*?\bid=[^>]*>")
_NAMES = re.compile(r' (?:id|class)="[^"]*"')
_WORDS = re.compile(rf'<g class="bb-under">(<text[^>]*>(?:<tspan[^>]*>)*){SUNG}')
_SIGN = re.compile(r'<tspan(?: font-family="\w+")? font-size="\d+px">([\uea63-\uea67])</tspan>')
_TEXT_SIGNS = {"\uea63": "𝄫", "\uea64": "♭", "\uea65": "♮", "\uea66": "♯", "\uea67": "𝄪"}
_UNDER = re.compile(r'(<g class="bb-under"><text stroke="none" )x="(\d+)"')
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
SIZE = "0.72"
"""Of every sign beside its outline in the font."""
_PLACED = re.compile(
    rf'<use href="#(E[0-9A-F]+)-[^"]*" transform="translate\((-?\d+), (-?\d+)\) scale\({SIZE}, {SIZE}\)"'
)
_LINE = re.compile(r'<path d="M(-?\d+) (-?\d+) L(-?\d+) (-?\d+)"')
_STYLES = (' stroke="currentColor"', ' font-family="Times"', ' font-weight="bold"', ' font-style="italic"')
"""What Verovio says of each shape; :data:`_LOOKS` and the outermost group say it for many."""
_LEVEL = r'<path d="M{left} (-?\d+) L{right} \{high}" stroke-width="13" stroke="currentColor"/>'
_FIRST_LINE = _LEVEL.format(left=r"(-?\d+)", right=r"(-?\d+)", high=2)
_FOUR_MORE = "".join(_LEVEL.format(left=r"\1", right=r"\3", high=number) for number in (4, 5, 6, 7))
_ON_STAFF = 'class="staff">'
"""Ends what opens a staff in one bar; its lines come first."""
_STAFF_LINES = re.compile(f"{_ON_STAFF}{_FIRST_LINE}(?:{_FOUR_MORE})?")
"""The lines of a staff in one bar: where all begin, the height of the first, where all end, the heights of the rest."""
_BOLD = {"-": 0.333, " ": 0.25, "T": 0.667}
"""How wide letters of Times Bold are beside its figures, in em; a figure is half an em (Adobe, Core 14 AFM files)."""
_PLAIN = re.compile(
    r'<text([^>]*) font-size="0px"(?:/>|>(?:<tspan>)+<tspan font-size="(\d+)px">([^<]*)</tspan>(?:</tspan>)+</text>)'
)
_TWO_LINES = re.compile(
    r'<text([^>]*) x="(\d+)" y="(\d+)"([^>]*) font-size="0px">'
    r'(<tspan><tspan font-size="\d+px">[^<]*</tspan></tspan>)<tspan/>'
    r'<tspan x="(\d+)" y="(\d+)">(<tspan font-size="\d+px">[^<]*</tspan></tspan>)</text>'
)
"""A name before a staff that was given in two lines."""
_APART = "".join(
    rf'<text\g<1> x="\g<{x}>" y="\g<{y}>"\g<4> font-size="0px">{words}</text>'
    for x, y, words in ((2, 3, r"\g<5>"), (6, 7, r"<tspan>\g<8>"))
)
"""Each line of it as a text of its own."""
_TEXT_ALONE = re.compile(r'<g((?: (?:class|fill|font-\w+)="[^"]*")+)>(?:<text([^>]*)>([^<]*)</text>)?</g>')
_ATTRIBUTE = re.compile(r'( [\w-]+=")[^"]*"')


def compact(svg: str) -> tuple[str, tuple[tuple[str, str], ...], int, int]:
    """The drawing without Verovio's ids, styles and needless groups; notes and rests keep ``data-note``."""
    drawn = _DRAWN.search(svg)
    if not drawn:
        raise ValueError("Verovio drew nothing")
    glyphs = tuple(
        (name, f'<g id="bb-{name}"><path transform="scale({SIZE},-{SIZE})" d="{path}"/></g>')
        for name, path in _GLYPH.findall(svg, 0, drawn.start())
    )
    drawing, staves = _staves_marked(drawn[3])
    drawing = _shapes(_fewer_groups(_unstyled(drawing)))
    if ' id="' in drawing:  # nothing we know of
        drawing = _NAMED_SHAPE.sub(lambda tag: _NAMES.sub("", tag[0]), drawing)
    return _staves_drawn(_texts(drawing), staves), glyphs, int(drawn[1]), int(drawn[2])


def _texts(drawing: str) -> str:
    """The drawing with texts where they belong, of as few parts as they need."""
    if not drawing.isascii():
        drawing = _WORDS.sub(r'<g class="bb-words">\1', _SIGN.sub(_in_text, drawing)).replace(PAD, "")
    drawing = _UNDER.sub(_centred, drawing)
    if "<tspan/>" in drawing:
        drawing = _TWO_LINES.sub(_APART, drawing)
    return _TEXT_ALONE.sub(_alone, _PLAIN.sub(_plain, drawing))


def _fewer_groups(drawing: str) -> str:
    """The drawing without groups that say nothing, and without what is in those that are not shown."""
    first, *parts = _GROUP.split(drawing)
    out = [first]
    ends: list[str] = []  # for each open group, what ends it: nothing where its tag was not written
    hidden = 0  # groups open since one that is not shown
    for note, attributes, after in zip(*(iter(parts),) * 3, strict=True):
        if attributes is None:
            if hidden:
                hidden -= 1
            else:
                out.append(ends.pop())
        elif attributes[-1:] == "/":
            pass
        elif hidden or "placeholder" in attributes:
            hidden += 1
        else:
            begin, end = (f'<g class="bb-note" data-note="{note}">', "</g>") if note else _group(attributes)
            out.append(begin)
            ends.append(end)
        if not hidden:
            out.append(after)
    return "".join(out)


class _Staff(NamedTuple):
    """The lines of a staff, from its first bar to its last, as Verovio spells the numbers."""

    highs: tuple[str | None, ...]
    """Of five lines, or of one and four times ``None``."""
    left: str
    right: str

    @property
    def drawn(self) -> str:
        """Its lines as one path."""
        return "".join(f"M{self.left} {high}H{self.right}" for high in self.highs if high)


def _staves_marked(drawing: str) -> tuple[str, list[_Staff]]:
    """``drawing`` with a mark where the lines of a staff begin, and without those of its later bars; and the staves."""
    staves: list[_Staff] = []
    open_ends: dict[tuple[tuple[str | None, ...], str], int] = {}  # number of the staff that ends at a place

    def mark(bar: re.Match[str]) -> str:
        left, first, right, *rest = bar.groups()
        highs = (first, *rest)
        number = open_ends.pop((highs, left), None)
        if number is None:
            open_ends[highs, right] = len(staves)
            staves.append(_Staff(highs, left, right))
            return f"{_ON_STAFF}\0{len(staves) - 1}\0"
        open_ends[highs, right] = number
        staves[number] = _Staff(highs, staves[number].left, right)
        return _ON_STAFF

    return _STAFF_LINES.sub(mark, drawing), staves


def _staves_drawn(body: str, staves: Sequence[_Staff]) -> str:
    """``body`` with each line of a staff drawn once, not bar by bar, and those of staves side by side in one path."""
    parts = body.split("\0")  # what stands between marks, in turn with their numbers
    out, path = parts[:1], ""
    for number, after in zip(parts[1::2], parts[2::2], strict=True):
        path += staves[int(number)].drawn
        if after:
            out.append(f"{_level(path)}{after}")
            path = ""
    return "".join(out) + (_level(path) if path else "")


def _level(path: str) -> str:
    """Lines of staves, as drawn."""
    return f'<path d="{path}" stroke-width="13"/>'


def _plain(text: re.Match[str]) -> str:
    """A text of one size without the parts that Verovio puts it into; nothing for one that is empty."""
    attributes, size, words = text.groups()
    if words and len(words) > 1 and "font-weight" in attributes:
        attributes += _held(words, int(size))
    return f'<text{attributes} font-size="{size}px">{words}</text>' if words else ""


@lru_cache(maxsize=1000)
def _held(fingering: str, size: int) -> str:
    """Holds a fingering to the width that it was given room for: where Times is not there, another font is wider, and
    1-2 beside 1-3 would read 1-21-3."""
    across = round(size * sum(_BOLD.get(letter, 0.5) for letter in fingering))
    return f' textLength="{across}" lengthAdjust="spacingAndGlyphs"'


def _alone(group: re.Match[str]) -> str:
    """A text that is alone in its group, with what the group says of it."""
    outer, inner, words = group.groups()
    if not words:
        return ""
    more = "".join(said for said, begin in _said(outer) if begin not in inner)
    return f"<text{more}{inner}>{words}</text>"


@lru_cache(maxsize=1000)
def _said(attributes: str) -> tuple[tuple[str, str], ...]:
    """Each of some attributes, and how it begins."""
    return tuple((said[0], said[1]) for said in _ATTRIBUTE.finditer(attributes))


def _in_text(sign: re.Match[str]) -> str:
    """An accidental of a chord symbol as a letter of the text's own font, since no music font is on the page."""
    return f'<tspan font-size="360px">{_TEXT_SIGNS[sign[1]]}</tspan>'


def _centred(text: re.Match[str]) -> str:
    """Verovio sets what stands under a note flush left; a fingering belongs under the middle of the head."""
    return f'{text[1]}x="{int(text[2]) + 200}" text-anchor="middle" font-weight="bold"'


@lru_cache(maxsize=1000)
def _group(attributes: str) -> tuple[str, str]:
    """What begins and what ends a group of these attributes; nothing where the group is not needed."""
    classes = _CLASS.search(attributes)
    look = next((_LOOKS[word] for word in classes[1].split() if word in _LOOKS), None) if classes else None
    if PROPOSED in attributes:
        look = (look or "") + f' fill="{PROPOSED}"'
    transform = _TRANSFORM.search(attributes)
    if look is None and transform is None:
        return "", ""
    return f"<g{look or ''}{transform[0] if transform else ''}>", "</g>"


def _unstyled(drawing: str) -> str:
    for style in _STYLES:
        drawing = drawing.replace(style, "")
    return drawing


def _shapes(drawing: str) -> str:
    """The drawing with all that is no group made small."""
    drawing = _LINE.sub(_line, _USE.sub(_used, _PLACED.sub(_placed, drawing)))
    return _TEXT_PART.sub("<tspan", _TEXT.sub('<text stroke="none"', drawing))


def _placed(sign: re.Match[str]) -> str:  # a function, since a pattern to be filled in takes three times as long
    """A sign of the usual size, with its place alone."""
    name, x, y = sign.groups()
    return f'<use href="#bb-{name}" x="{x}" y="{y}"'


def _used(sign: re.Match[str]) -> str:
    """The name of a sign of another size."""
    return f'href="#bb-{sign[1]}"'


def _line(path: re.Match[str]) -> str:
    """A line straight up or level, in fewer letters."""
    left, high, right, low = path.groups()
    if left == right:
        return f'<path d="M{left} {high}V{low}"'
    return f'<path d="M{left} {high}H{right}"' if high == low else path[0]
