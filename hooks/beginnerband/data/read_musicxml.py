"""Reads MusicXML up to 4.0 (``.musicxml``, ``.xml``, ``.mxl``) into our score at sounding pitch, with line numbers.

The file is looked at while it is read, so that an absurd one is refused at once; see :data:`LIMITS`.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections import Counter

from beginnerband.data.bars import MOST_BARS, MOST_NOTES, Mistake
from beginnerband.data.in_step import in_step
from beginnerband.data.musicxml_part import PartReader
from beginnerband.data.textfile import other_kind
from beginnerband.data.xmltree import Element, RefusedError, parse
from beginnerband.music.score import Line, Remark, Score

LARGEST = 10_000_000
"""Most bytes of MusicXML, unpacked."""

LIMITS = {"part": 60, "measure": MOST_BARS, "note": MOST_NOTES}
"""Most parts of a score, bars of a part, and notes of a bar."""

_NUMBERS = frozenset(("duration", "divisions", "beats", "beat-type", "fifths", "octave", "alter", "actual-notes",
                      "normal-notes", "chromatic", "diatonic", "octave-change", "staves", "per-minute"))  # fmt: skip
_LONGEST = 12
"""Most characters of a number."""


def read_musicxml(content: bytes, split: bool = False) -> tuple[Score | None, tuple[Mistake, ...]]:
    """Read a score; never raises for any bytes.

    ``split`` makes a line of each voice where a staff has two (hymns are often set so), else they are refused.
    """
    if re.match(rb"(\xef\xbb\xbf)?\s*(X:|%abc)", content):
        return None, (Mistake(1, "this is ABC; give the file a name that ends in .abc"),)
    try:
        root = _root(_unpacked(content))
        parts = _parts(root)
        return _score(root, parts, split)
    except RefusedError as refused:
        return None, (Mistake(refused.line, str(refused)),)


def _score(
    root: Element, parts: list[tuple[str, list[Element]]], split: bool
) -> tuple[Score | None, tuple[Mistake, ...]]:
    readers = []
    for place, (name, measures) in enumerate(parts, 1):
        where = f"part {name or place}, " if len(parts) > 1 else ""
        readers.append((where, PartReader(name, measures, split)))
    mistakes: list[Mistake] = []
    for where, reader in readers:
        try:
            reader.read()
        except RefusedError as refused:
            mistakes.append(Mistake(refused.line or root.line, f"{where}{refused}"))
    if mistakes:
        return None, tuple(mistakes)
    lines: list[Line] = []
    remarks: list[Remark] = []
    for where, reader in readers:  # a part of rests is no line, unless there is nothing else
        silent = [voice for voice in reader.voices if voice.silent]
        if silent and any(not voice.silent for _, other in readers for voice in other.voices):
            remarks += [Remark(0, f"{where}only rests; it is left out") for _ in silent]
            reader.voices = [voice for voice in reader.voices if not voice.silent]
    apart = in_step([voice for _, reader in readers for voice in reader.voices])
    for where, reader in readers:
        for voice in reader.voices:
            line = voice.finish()
            mistakes += [Mistake(mistake.line, where + mistake.message) for mistake in voice.mistakes]
            remarks += voice.remarks
            lines += [line] if line else []
    mistakes += [] if mistakes else apart
    if mistakes or not lines:
        return None, tuple(mistakes) or (Mistake(root.line, "there are no notes to play"),)
    title = clean(root.said("work/work-title") or root.said("movement-title") or _credit(root))
    composer = next((one.text for one in root.all("identification/creator") if one.get("type") == "composer"), "")
    source = clean(root.said("identification/source"))
    return Score(tuple(lines), title, composer=clean(composer), remarks=_folded(remarks), source=source), ()


def _folded(remarks: list[Remark]) -> tuple[Remark, ...]:
    from beginnerband.data.abc import folded

    return folded(remarks)


def clean(text: object) -> str:
    """Printable text, in one line."""
    words = " ".join(str(text).split())
    return "".join(char for char in words if char.isprintable()).strip()[:300]


def _credit(root: Element) -> str:
    """A title that stands on the page and nowhere else."""
    titles = (one for one in root.all("credit") if one.said("credit-type") == "title")
    return next((one.said("credit-words") for one in titles), "")


def _root(content: bytes) -> Element:
    seen: Counter[str] = Counter()

    def check(element: Element, depth: int) -> None:
        tag = element.tag
        if tag in _NUMBERS and len(element.text.strip()) > _LONGEST:
            raise RefusedError(f"<{tag}> holds no number that music has: {clean(element.text)[:20]}…", element.line)
        if tag == "note":
            seen["note"] += 1
            if seen["note"] > LIMITS["note"]:
                raise RefusedError(f"more than {LIMITS['note']} notes in a bar", element.line)
        elif tag == "measure":
            seen["measure"], seen["note"] = seen["measure"] + 1, 0
            if seen["measure"] > LIMITS["measure"]:
                raise RefusedError(f"more than {LIMITS['measure']} bars", element.line)
        elif tag == "part":
            seen["part"] += depth == 1
            seen["measure"] = seen["note"] = 0
        elif tag in _CHECKED:
            _CHECKED[tag](element)
        if seen["part"] > LIMITS["part"]:
            raise RefusedError(f"more than {LIMITS['part']} parts", element.line)

    root = parse(content, check)
    if root.tag not in ("score-partwise", "score-timewise"):
        outermost = clean(root.tag)[:40]
        raise RefusedError(f"not MusicXML: its outermost element is <{outermost}>, not <score-partwise>", root.line)
    return root


def _check_beats(element: Element) -> None:
    figures = [int(part) for part in re.findall(r"\d+", element.text)]
    if sum(figures) > 64 or not figures or not sum(figures):
        raise RefusedError(f"no metre has {clean(element.text)[:20] or 'no'} beats; at most 64", element.line)


def _check_type(element: Element) -> None:
    if element.text.strip() not in ("1", "2", "4", "8", "16", "32", "64"):
        raise RefusedError(f"no metre counts in {clean(element.text)[:20]}ths; 2, 4, 8 or 16", element.line)


def _check_divisions(element: Element) -> None:
    text = element.text.strip()
    if not re.fullmatch(r"\d+(\.0+)?", text) or not 0 < int(text.partition(".")[0]) <= 1_000_000:
        raise RefusedError(f"<divisions> is a whole number up to 1000000, not {clean(text)[:20]}", element.line)


_CHECKED = {"beats": _check_beats, "beat-type": _check_type, "divisions": _check_divisions}


def _parts(root: Element) -> list[tuple[str, list[Element]]]:
    """Names of the parts and their bars, of a partwise or a timewise score."""
    names = {one.get("id"): clean(one.said("part-name")) for one in root.all("part-list/score-part")}
    bars: dict[str, list[Element]] = {}
    if root.tag == "score-partwise":
        for part in root.all("part"):
            bars.setdefault(part.get("id"), []).extend(part.all("measure"))
    else:
        for measure in root.all("measure"):
            for part in measure.all("part"):
                bars.setdefault(part.get("id"), []).append(part)
    if not bars:
        raise RefusedError("there are no parts in it", root.line)
    return [(names.get(ident, ""), measures) for ident, measures in bars.items()]


def _unpacked(content: bytes) -> bytes:
    """The XML, out of its ``.mxl`` container if it is in one."""
    if other_kind(content) == "a web page":
        raise RefusedError("this is a web page; export the music as MusicXML", 1)
    if content[:2] == b"PK":
        content = _from_container(content)
    if len(content) > LARGEST:
        raise RefusedError(f"larger than {LARGEST // 1_000_000} MB")
    return content


def _from_container(content: bytes) -> bytes:
    """The score that ``META-INF/container.xml`` names (MusicXML 4.0, compressed files), or the first one there is."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as box:
            scores = [
                info
                for info in box.infolist()
                if not info.filename.startswith(("META-INF/", "__MACOSX/"))
                and info.filename.lower().endswith((".xml", ".musicxml"))
            ]
            if not scores:
                raise RefusedError("the .mxl file holds no score")
            named = _named_in(box)
            chosen = next((info for info in scores if info.filename == named), scores[0])
            if chosen.file_size > LARGEST:
                raise RefusedError(f"larger than {LARGEST // 1_000_000} MB")
            with box.open(chosen) as file:
                return file.read(LARGEST + 1)
    except RefusedError:
        raise
    except Exception as error:  # zipfile and zlib raise many kinds on damaged data
        raise RefusedError(f"not a readable .mxl file ({clean(error)[:80]})") from None


def _named_in(box: zipfile.ZipFile) -> str:
    try:
        with box.open("META-INF/container.xml") as file:
            found = re.search(rb'full-path\s*=\s*["\']([^"\']+)["\']', file.read(20_000))
    except KeyError:
        return ""
    return found[1].decode("utf-8", "replace") if found else ""
