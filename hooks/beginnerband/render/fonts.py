"""The fonts the handbook ships: Fira Sans for text, and the signs of notes that it lacks.

Print has both from here (:func:`for_print`, Typst); pages get what they print with as one style sheet that carries the
fonts in itself (:func:`style_sheet`), since browsers do not agree on whether a page opened from disk may load a font
file. Fira Sans and Leipzig, whose outlines the signs are, are under the SIL Open Font Licence 1.1.
"""

from __future__ import annotations

import base64
import hashlib
import io
import re
from collections.abc import Iterable, Sequence
from functools import lru_cache
from importlib import metadata
from pathlib import Path

from beginnerband.data.printfonts import PACKAGE, SIGNS, FontFile, known, shipped
from beginnerband.render.glyphs import UNITS_PER_SPACE, glyph
from beginnerband.wholefile import write_whole

FAMILY = "Handbook Sans"
"""What style sheets call the text font and the signs together."""

WEIGHTS = {400: "Regular", 700: "Bold"}
"""Weights shipped to pages, with the names of their files."""

ALWAYS = frozenset(map(chr, range(0x20, 0x7F)))
"""Characters every style sheet has, ASCII; more only where they are printed, for a phone fetches them with the page."""

SIGNS_FAMILY = "Handbook Signs"
"""The font of :data:`SIGNS` as the print engine knows it."""
_TEXT = re.compile(r"<text\b.*?</text>", re.S)
_A_SIGN = re.compile(f"[{''.join(SIGNS)}]")
_SIGN_SCALE = 1.1
"""Size of a sign beside the staff's, so that a flat stands as high as a capital letter."""
_SIGN_SIDE = 25
"""Font units of white on either side of a sign."""
_RAISED = {"♭": 165, "𝄫": 165}
"""Font units from the baseline to a sign's own line of the staff: a flat stands on the baseline as a letter does …"""
_MIDDLE = 335
"""… and the others have the middle of a capital letter in theirs."""


def version() -> str:
    """What the fonts are made from and by, for the key of what is kept."""
    made_of = (metadata.version(name) for name in (PACKAGE, "verovio", "fonttools", "brotli"))
    return " ".join((*made_of, hashlib.sha256(Path(__file__).read_bytes()).hexdigest()))


def style_sheet(characters: Iterable[str], cache: Path, added: Sequence[FontFile] = ()) -> str:
    """``@font-face`` rules with fonts that have ``characters``, those that a font has; kept in ``cache``.

    ``added`` are a leader's own fonts, from which only signs come that the shipped ones lack.
    """
    used = ALWAYS | set(characters)
    wanted = "".join(sorted(used & known()))
    own = [(font, "".join(sorted((used & font.characters) - known()))) for font in added]
    own = [(font, signs) for font, signs in own if signs]
    made_of = "".join(f" {hashlib.sha256(font.path.read_bytes()).hexdigest()} {signs}" for font, signs in own)
    key = hashlib.sha256(f"{version()} {wanted}{made_of}".encode()).hexdigest()[:24]
    kept = cache / "fonts" / f"{key}.css"
    if not kept.is_file():
        faces = [_face(_subset(shipped() / f"FiraSans-{name}.ttf", wanted), weight) for weight, name in WEIGHTS.items()]
        faces += [_face(signs_font(), weight, SIGNS) for weight in WEIGHTS]
        faces += [_face(_subset(font.path, signs), weight, signs) for font, signs in own for weight in WEIGHTS]
        write_whole(kept, "".join(faces).encode())
    return kept.read_text(encoding="utf-8")


def for_print(cache: Path) -> list[Path]:
    """Folders with the fonts that the print engine uses beside its own; :func:`signs_apart` needs that of signs."""
    signs = cache / "fonts" / "signs" / "HandbookSigns.otf"
    drawn = signs_font("")
    if not signs.is_file() or signs.read_bytes() != drawn:
        write_whole(signs, drawn)
    return [shipped(), signs.parent]


def signs_apart(picture: str) -> str:
    """A picture for the print engine, each sign of a note in its texts set in the font of signs by name.

    Else the engine takes the whole of such a text from some font that has all of it, and ``B♭ cornet`` stands in
    another font than ``F horn``; or it refuses a text with joined letters and a sign, as ``first B♭ cornet``.
    """
    return _TEXT.sub(lambda text: _A_SIGN.sub(rf'<tspan font-family="{SIGNS_FAMILY}">\g<0></tspan>', text[0]), picture)


def width(text: str) -> float:
    """Of ``text`` in the regular text font, in em; what it lacks counts as a capital letter."""
    widths = _widths()
    return sum(widths.get(ord(letter), widths[ord("N")]) for letter in text)


@lru_cache(maxsize=1)
def _widths() -> dict[int, float]:
    from fontTools.ttLib import TTFont

    with TTFont(shipped() / "FiraSans-Regular.ttf") as font:
        em, metrics = font["head"].unitsPerEm, font["hmtx"].metrics
        return {letter: metrics[name][0] / em for letter, name in font.getBestCmap().items()}


def _subset(path: Path, characters: str) -> bytes:
    """The font at ``path`` (of several in one file, the first) with ``characters`` alone, as WOFF2."""
    from fontTools import subset

    options = subset.Options(
        flavor="woff2", layout_features=["kern", "mark", "mkmk", "ccmp"], hinting=False, font_number=0, lazy=True
    )
    with subset.load_font(str(path), options) as font:
        names = font["name"]
        names.names = [name for name in names.names if name.nameID in options.name_IDs]
        del font["name"]  # else all kerning is read, for names that it might speak of
        cutter = subset.Subsetter(options)
        cutter.populate(text=characters)
        cutter.subset(font)
        font["name"] = names
        made = io.BytesIO()
        subset.save_font(font, made, options)
    return made.getvalue()


def _face(font: bytes, weight: int, only: Iterable[str] = ()) -> str:
    """One rule; a font that has ``only`` a few signs says so, so that the other serves for the rest."""
    signs = f"unicode-range:{','.join(f'U+{ord(sign):X}' for sign in only)};" if only else ""
    data = base64.b64encode(font).decode()
    return (
        f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};{signs}'
        f'src:url("data:font/woff2;base64,{data}")format("woff2")}}\n'
    )


@lru_cache(maxsize=2)
def signs_font(flavor: str = "woff2") -> bytes:
    """A font of :data:`SIGNS`, with the engraving font's outlines; as OpenType where ``flavor`` is empty."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.misc.timeTools import timestampFromString
    from fontTools.misc.transform import Transform
    from fontTools.pens.t2CharStringPen import T2CharStringPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.svgLib.path import parse_path

    names = {sign: f"u{ord(sign):X}" for sign in SIGNS}
    shapes, widths = {".notdef": T2CharStringPen(500, None).getCharString()}, {".notdef": (500, 0)}
    for sign, name in names.items():
        drawn = glyph(SIGNS[sign])
        width = round(drawn.width * UNITS_PER_SPACE * _SIGN_SCALE) + 2 * _SIGN_SIDE
        pen = T2CharStringPen(width, None)
        place = Transform(_SIGN_SCALE, 0, 0, _SIGN_SCALE, _SIGN_SIDE, _RAISED.get(sign, _MIDDLE))
        parse_path(drawn.path, TransformPen(pen, place))
        shapes[name], widths[name] = pen.getCharString(), (width, 0)
    builder = FontBuilder(4 * UNITS_PER_SPACE, isTTF=False)
    builder.setupGlyphOrder(list(shapes))
    builder.setupCharacterMap({ord(sign): name for sign, name in names.items()})
    builder.setupCFF("HandbookSigns", {}, shapes, {})
    builder.setupHorizontalMetrics(widths)
    builder.setupHorizontalHeader(ascent=935, descent=-265)  # Fira Sans's own, so that no line of text grows
    builder.setupNameTable({"familyName": SIGNS_FAMILY, "styleName": "Regular", "psName": "HandbookSigns"})
    builder.setupOS2(sTypoAscender=935, sTypoDescender=-265, usWinAscent=935, usWinDescent=265)
    builder.setupPost()
    builder.font.recalcTimestamp = False  # the same bytes in every build
    builder.font["head"].created = builder.font["head"].modified = timestampFromString("Mon Jan  1 00:00:00 2024")
    builder.font.flavor = flavor or None
    made = io.BytesIO()
    builder.font.save(made, reorderTables=True)
    return made.getvalue()
