"""A small picture of a staff with one note, or a few: an SVG of our own, drawn in the colour of the text around it.

Music of more than a few notes is engraved (``render/engrave.py``); this is for note names, ranges and the look-up,
where an engraver would be slow and its pictures heavy. Ten units of the drawing are one staff space.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from markupsafe import Markup, escape

from beginnerband.music import staff_place
from beginnerband.music.pitch import Pitch
from beginnerband.render.glyphs import CODES, UNITS_PER_SPACE, glyph

SPACE = 10
"""Drawing units from one staff line to the next."""

LEFT = 4
"""Where the clef begins."""

FIRST_NOTE = 56
"""Left edge of the first note head; its accidental stands to the left of it."""

NOTE_STEP = 34
"""From one note to the next, when there are several."""

MARGIN_ABOVE, MARGIN_BELOW = 15, 18
"""Room a treble clef needs above the top line and below the bottom line."""

SCALE = SPACE / UNITS_PER_SPACE

_CLEF_PLACE = {"treble": 2, "bass": 6}
_ACCIDENTAL = {-1: "flat", 1: "sharp"}
_OCTAVE_FIGURE = {1: "8", 2: "15"}


def staff(pitches: Sequence[Pitch], clef: str, label: str = "", height: float = 3.2) -> Markup:
    """A staff with whole notes on ``pitches``, left to right, as they are written.

    ``clef`` is ``treble`` or ``bass``. ``label`` is read out instead of the picture; by default it names the notes.
    ``height`` is that of the staff with its usual margins, in em; ledger lines make the picture taller, not smaller.
    """
    octaves = staff_place.octave_mark(pitches, clef)
    places = [staff_place.place(pitch, clef) - 7 * octaves for pitch in pitches]
    top = min(-MARGIN_ABOVE - 12 * (octaves > 0), *(note_y(at) - 8 for at in places), -MARGIN_ABOVE)
    bottom = max(4 * SPACE + MARGIN_BELOW + 12 * (octaves < 0), *(note_y(at) + 8 for at in places), 0)
    width = FIRST_NOTE + NOTE_STEP * max(len(pitches), 1) - NOTE_STEP + 26
    em = height / (4 * SPACE + MARGIN_ABOVE + MARGIN_BELOW)
    parts = [_lines(width), _glyph(clef, LEFT, note_y(_CLEF_PLACE[clef]))]
    if octaves:
        x, y = (22, -6 - SPACE) if octaves > 0 else (18, 4 * SPACE + 26)
        parts.append(f'<text x="{x}" y="{y}" font-size="13">{_OCTAVE_FIGURE[abs(octaves)]}</text>')
    for number, (pitch, at) in enumerate(zip(pitches, places, strict=True)):
        parts.append(_note(pitch, at, FIRST_NOTE + NOTE_STEP * number))
    title = escape(label or ", ".join(f"{spoken(pitch)} {pitch.octave}" for pitch in pitches) + f", {clef} clef")
    return Markup(
        f'<svg class="bb-staff" role="img" aria-label="{title}" xmlns="http://www.w3.org/2000/svg"'
        f' viewBox="0 {top} {width} {bottom - top}" width="{width * em:.2f}em" height="{(bottom - top) * em:.2f}em"'
        f' fill="currentColor">{"".join(parts)}</svg>'
    )


def spoken(pitch: Pitch) -> str:
    """The note's letter as it is said: ``B flat``, ``F sharp``."""
    return pitch.step + {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}[pitch.alter]


def sprite() -> Markup:
    """Every outline once, for scripts to use by id: ``#bb-treble``, ``#bb-flat``, ``#bb-note`` and so on.

    They are in the drawing's units and relative to where they begin: put after ``M`` and a place, one stands there.
    """
    symbols = "".join(f'<path id="bb-{name}" d="{_relative(name)}"/>' for name in CODES)
    return Markup(f'<svg class="bb-sprite" width="0" height="0" aria-hidden="true"><defs>{symbols}</defs></svg>')


def _relative(name: str) -> str:
    """The outline ``name`` in the drawing's units, y downwards; each path command counts from the place before."""
    drawn, begun = "", (0, 0)
    for command, told in re.findall(r"([A-Za-z])([^A-Za-z]*)", glyph(name).path):
        numbers = [int(number) for number in re.findall(r"-?\d+", told)]
        if "." in told or command not in "Mmlhvcsz" or (command == "M" and len(numbers) != 2):
            raise ValueError(f"the outline of {name} has {command}{told}, which cannot be told from the place before")
        if command == "M":  # the only one that counts from the font's own origin
            numbers, begun = [numbers[0] - begun[0], numbers[1] - begun[1]], (numbers[0], numbers[1])
        upright = [command == "v" or (command != "h" and at % 2 == 1) for at in range(len(numbers))]
        scaled = (f"{SCALE * (-number if up else number):g}" for number, up in zip(numbers, upright, strict=True))
        drawn += command.lower() + " ".join(scaled)
    return drawn


def with_sprite(html: str) -> Markup:
    """``html`` whose staff pictures take their outlines from a :func:`sprite` on the same page: a tenth of the size."""
    html = str(html)  # what is put into safe text would be escaped
    for name in CODES:
        outline = rf'<path transform="translate\(([^ ]+) ([^ ]+)\) {re.escape(_scaled(name))}/>'
        html = re.sub(outline, rf'<use href="#bb-{name}" x="\1" y="\2"/>', html)
    return Markup(html)


LINES_TEMPLATE = (
    f"""<path d="{"".join(f"M{{x}} {SPACE * line}h{{width}}" for line in range(5))}" stroke-width="1.2"/>"""
)
"""The five lines for scripts, with ``{x}`` for their left end and ``{width}``; like what follows it needs a
:func:`sprite` on its page."""


def clef_use(clef: str) -> str:
    """A clef in its place."""
    return f'<use href="#bb-{clef}" x="{LEFT}" y="{note_y(_CLEF_PLACE[clef]):g}"/>'


def mark(octaves: int) -> str:
    """The figure above a treble clef whose notes sound as many octaves higher than they are drawn."""
    return f'<text x="20" y="-18" font-size="13" stroke="none">{_OCTAVE_FIGURE[octaves]}</text>'


def head_template(at: int) -> str:
    """The first note's head at a place on the staff, with its ledger lines."""
    ledger = "".join(f"M{FIRST_NOTE - 4} {note_y(line):g}h{_ledger_width():g}" for line in staff_place.ledgers(at))
    lines = f'<path d="{ledger}" stroke-width="1.6"/>' if ledger else ""
    return f'{lines}<use href="#bb-note" x="{FIRST_NOTE}" y="{note_y(at):g}"/>'


def sign_template(alter: int) -> str:
    """The flat (-1) or sharp (1) before the first note's head, with ``{y}`` for the height of the head."""
    name = _ACCIDENTAL[alter]
    return f'<use href="#bb-{name}" x="{FIRST_NOTE - (glyph(name).width * SPACE + 3):.1f}" y="{{y}}"/>'


def note_y(at: int) -> float:
    """Height in the drawing of a place on the staff: the top line is 0, the bottom line 40."""
    return (staff_place.TOP_PLACE - at) * SPACE / 2


def _ledger_width() -> float:
    return glyph("note").width * SPACE + 8


def _lines(width: float) -> str:
    path = "".join(f"M0 {SPACE * line}h{width}" for line in range(5))
    return f'<path d="{path}" stroke="currentColor" stroke-width="1.2" fill="none"/>'


def _note(pitch: Pitch, at: int, x: float) -> str:
    parts = [_glyph("note", x, note_y(at))]
    if pitch.alter:
        sign = _ACCIDENTAL[1 if pitch.alter > 0 else -1]
        for count in range(abs(pitch.alter)):
            parts.append(_glyph(sign, x - (count + 1) * (glyph(sign).width * SPACE + 3), note_y(at)))
    ledger = "".join(f"M{x - 4} {note_y(line):g}h{_ledger_width():g}" for line in staff_place.ledgers(at))
    if ledger:
        parts.append(f'<path d="{ledger}" stroke="currentColor" stroke-width="1.6"/>')
    return "".join(parts)


def _glyph(name: str, x: float, y: float) -> str:
    return f'<path transform="translate({x:g} {y:g}) {_scaled(name)}/>'


def _scaled(name: str) -> str:
    return f'scale({SCALE:g} -{SCALE:g})" d="{glyph(name).path}"'
