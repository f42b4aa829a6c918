"""The signs of ABC music lines (standard 2.1, section 4): how each is known, and what it means here."""

from __future__ import annotations

import re

TOKEN = re.compile(
    r"""
    (?P<space>[\s`$\\]+|y\d*)
  | (?P<field>\[(?P<letter>[A-Za-z]):(?P<value>[^\]]*)\])
  | (?P<quoted>"(?P<quote>[^"]*)")
  | (?P<decoration>!(?P<name>[A-Za-z0-9<>.()\-^]+)!|\+(?P<oldname>[A-Za-z0-9<>.()\-^]+)\+)
  | (?P<unclosed>!(?:fermata|breath|segno|coda|fine|accent|tenuto|staccato|crescendo\(?|diminuendo\(?)(?![!)]))
  | (?P<bar>:*\.?(?:\[\||\|\]|\|)\|*\]?:*|::+|:(?=\s*$)|(?<!.):(?=[^:|]))
  | (?P<bracket>\[(?=\d))
  | (?P<ending>(?<=[|\[:])\d+(?:[,\-]\d+)*|(?<![^\s])[12](?=[\sA-Ga-g^_=(]))
  | (?P<note>(?P<accidental>\^\^|\^|__|_|=)?(?P<pitch>[A-Ga-g])(?P<octave>[,']*)(?P<length>\d*/*\d*))
  | (?P<rest>(?P<kind>[zxZX])(?P<rest_length>\d*/*\d*))
  | (?P<tuplet>\((?P<p>\d)(?::(?P<q>\d*))?(?::(?P<r>\d*))?)
  | (?P<slur>\.?\()
  | (?P<slur_end>\))
  | (?P<tie>\.?-)
  | (?P<broken>>+|<+)
  | (?P<grace>\{(?P<graces>[^}]*)\})
  | (?P<chord>\[(?P<inside>[^\]|]*)\]?(?P<chord_length>\d*/*\d*))
  | (?P<symbol>[.~H-Wh-w])
  | (?P<linebreak>!)
  | (?P<other>.)
    """,
    re.X,
)
"""One sign of a line of music; its group of the outermost level says what it is."""

KINDS = (
    "space", "field", "quoted", "decoration", "unclosed", "bar", "bracket", "ending", "note", "rest", "tuplet",
    "slur", "slur_end", "tie", "broken", "grace", "chord", "symbol", "linebreak", "other",
)  # fmt: skip
"""The outermost groups of :data:`TOKEN`."""

SYMBOLS = {
    "~": "roll", "H": "fermata", "L": "accent", "M": "lowermordent", "O": "coda", "P": "uppermordent",
    "S": "segno", "T": "trill", "u": "upbow", "v": "downbow",
}  # fmt: skip
"""Letters that stand for decorations (section 4.16)."""
ARTICULATIONS = {".": "staccato", "tenuto": "tenuto", ">": "accent", "accent": "accent", "emphasis": "accent",
                 "marcato": "strong-accent", "^": "strong-accent", "staccato": "staccato"}  # fmt: skip
"""Decorations that are articulations, by our names."""
DYNAMICS = {"pppp": "pp", "ppp": "pp", "pp": "pp", "p": "p", "mp": "mp", "mf": "mf", "f": "f", "ff": "ff",
            "fff": "ff", "ffff": "ff", "sfz": "sfz", "sf": "sfz", "fp": "fp"}  # fmt: skip
"""Loudness; the very loud and the very soft are evened out."""
HAIRPINS = {"<(": "crescendo", "crescendo(": "crescendo", ">(": "diminuendo", "diminuendo(": "diminuendo",
            "<)": "stop", "crescendo)": "stop", ">)": "stop", "diminuendo)": "stop"}  # fmt: skip
"""Swells and fades, and where they end."""
JUMPS = {
    "segno": ("segno",), "coda": ("coda",), "fine": ("fine",), "D.C.": ("da-capo",), "D.S.": ("dal-segno",),
    "dacapo": ("da-capo",), "dacoda": ("to-coda",), "tocoda": ("to-coda",),
    "D.C.alfine": ("da-capo", "al-fine"), "D.C.alcoda": ("da-capo", "al-coda"),
    "D.S.alfine": ("dal-segno", "al-fine"), "D.S.alcoda": ("dal-segno", "al-coda"),
}  # fmt: skip
"""Jumps and their goals, by the names of ``music.score.MARKS``."""
JUMPS_BY_NAME = {name.lower(): marks for name, marks in JUMPS.items()}
"""The same, in small letters: files spell them with capitals and without."""
_LEFT_OUT = """
    trill trill( trill) lowermordent uppermordent mordent pralltriller roll turn turnx invertedturn invertedturnx
    arpeggio wedge thumb snap slide upbow downbow open plus 0 1 2 3 4 5 editorial courtesy shortphrase mediumphrase
    longphrase 8va( 8va) 8vb( 8vb) repeatbar repeatbar2 rbstop trem1 trem2 trem3 trem4 xstem invertedfermata
"""
LEFT_OUT = frozenset(_LEFT_OUT.split())
"""Decorations of the standard that a beginner's brass part does without: they change no note."""
