"""Damage to content as people, programs and disks do it, by chance, and what becomes of it when it is loaded.

Hypothesis draws the damage, so that a seed gives the same again and a failing case is made small. Six kinds: values of
data files, text of data files, ABC, MusicXML, pages of the handbook, and what stands in a file's place on the disk.
Each damaged file meets the loader it is meant for; the rest of the project is loaded once. What is accepted goes on to
the room that shows it, where that does not take long.
"""

from __future__ import annotations

import copy
import os
import re
import shutil
import time
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import yaml
from hypothesis import strategies as st
from smallproject import small_project

from beginnerband.data import guide
from beginnerband.data.band import load_band
from beginnerband.data.book import load_book
from beginnerband.data.claims import check_page
from beginnerband.data.course import load_course
from beginnerband.data.guide import load_guide
from beginnerband.data.instruments import load_instruments
from beginnerband.data.matching import load_matching
from beginnerband.data.pieces import load_piece
from beginnerband.data.printfonts import check_file, printable
from beginnerband.data.problems import Problems
from beginnerband.data.rehearsal import load_rehearsal
from beginnerband.data.roster import load_roster
from beginnerband.data.scoring import load_scoring
from beginnerband.data.search import load_search
from beginnerband.data.supplies import load_supplies
from beginnerband.data.tunes import load_tune, load_tunes
from beginnerband.pages import blocks, rooms
from beginnerband.pages.pieces import room as pieces_room
from beginnerband.pages.tunes import room as tunes_room
from beginnerband.products import Products
from beginnerband.render.write_musicxml import Staff, musicxml

KINDS = ("YAML values", "YAML text", "ABC", "MusicXML", "pages", "file system")

ODD_TEXT = [
    "", " ", "\t", "\x00", "\x07", "\x85", "\u202e", "\u2066", "\ufeff", "\u2028", "é", "e\u0301", "ẹ\u0301", "東",
    "🎺", "♭", "𝄪",
    "{{1}}", "</script>", "[a](javascript:c)", "[[", "[[word", "]]", "[[nothing]]", "'", '"', "`", "#", " # ", ": ",
    ":",
    "- ", "? ", "|", ">", "%", "&", "*", "!", "!!int ''", "!!timestamp foo", "!!python/name:os.system", "&a", "*a",
    "@", "~",
    "null", "true", "no", "0", "-1", "1e999", "9" * 4300, "0x10", "010", "12:30", "190:20:30", "2026-09-16",
    "16/09/2026",
    "2026-13-45", "five", "1,000", "1/0", "1/4=0", "../../etc/passwd", "http://x", "a" * 300, "CON", "\\",
    "\\u0000", "\n", "\n\n",
    "---\n", "...\n", "\r", "\r\n",
]  # fmt: skip
ODD_VALUES: list[Any] = [
    None, True, False, 0, -1, 1, 2.5, 10**15, -(10**15), 1e308, [], {}, [None], [[]], {"a": None}, "five", "", " ",
    "a" * 5000,
    "2026-02-30", "16/09/2026", "C4", "H9", "C99", "P1", "M-2", [1, 2, 3], ["C4", "C3"], {"": ""}, {"1": 1},
]  # fmt: skip
ABC = [
    "X:1\n", "T:", "K:C\n", "K:none\n", "K:H\n", "K:C exp ^f\n", "M:4/4\n", "M:0/4\n", "M:none\n", "M:999/4\n",
    "M:2+3/8\n", "L:1/8\n",
    "L:0\n", "L:1/0\n", "Q:1/4=0\n", "Q:1/4=9999\n", 'Q:"slow"\n', "V:1\n", "V:2 clef=bass\n", "%%score (1 2)\n",
    "w: la-la _ * |\n", "s: !f! *\n",
    "W: more\n", "+:x\n", "P:AB\n", "I:x\n", "U:T=!fermata!\n", "m:a=b\n", "|:", ":|", "::", "|1", "|2", ":|2",
    "[1", "|]", "||", "[|", "|",
    "(3", "(9", "(3:2:8", "(", ")", "-", "z", "Z9", "x", "y", "{", "}", "{ab}", "{[ce]}", "[CE]", "[CEG]8", "[",
    "]", "^", "^^", "__",
    "=", "_B", "C,,,,,,", "c''''''", "C/", "C///////////", "C999", "C0", "C/0", "C1/999", ">", "<", ">>>>", '"C"',
    '"Am7b5"', '"H"', '"^1"',
    '"^D.C. al Fine"', "!fermata!", "!breath!", "!segno!", "!coda!", "!fine!", "!D.C.!", "!D.S.!", "!x!", "!",
    "+trill+", "~", ".", "u",
    "$", "\\", "[M:3/4]", "[K:D]", "[V:2]", "[Q:1]", "%", "%%", "&", "`", "*",
]  # fmt: skip
XML_TEXT = [
    "0", "-1", "1", "999999999", "1e9", "1.5", "nan", "C", "H", "F#", "", "x", "3+2", "64", "10000", "quarter",
    "1024th", "breve", "up",
    "start", "stop", "&#0;", "&#x202E;", "&amp;", "&x;", "<a/>", "<note/>",
    "<backup><duration>99999</duration></backup>",
    "<forward><duration>9</duration></forward>", "<divisions>0</divisions>",
    "<time><beats>99999</beats><beat-type>4</beat-type></time>",
    "<key><fifths>99</fifths></key>", "<transpose><chromatic>-99</chromatic></transpose>", "<chord/>", "<grace/>",
    "<tie type='start'/>",
    "<barline><repeat direction='backward'/></barline>", "<!DOCTYPE a [<!ENTITY x 'y'>]>", "<!--", "-->",
    "<![CDATA[", "]]>", "<?x?>",
    "<part id='P1'>", "</part>", "<measure number='1'>", "</measure>", "<lyric><text>東</text></lyric>", "\x00", "<",
    ">", "'", '"',
]  # fmt: skip
PAGES = [
    "---\n", "title: x\n", "title: [\n", "stages: []\n", "## Say\n", "## Stop when\n", "[[back]]\n",
    "[[word horn]]", "[[word x y=z]]", "[[fact src=x]]",
    "[[picture nothing]]", '[[word "x]]', "[[checked]]", "[[note C4]]", "[[chart]]", "[[table x=1]]", "[[picture]]",
    "440", "left hand", "horn", "```\n",
    "~~~\n", "<script>", "<img src=x onerror=y>", "![a](http://x/y.png)", "[a](javascript:x)", "[a](../../x.md)",
    "| a | b |\n", "!!! note\n",
    "{: onclick=x }", "<b>", "&#8238;",
]  # fmt: skip
TRICKS = (
    "missing", "folder", "loop", "dangling", "binary", "empty", "latin", "utf16", "huge", "pipe", "device", "crlf",
    "bom", "twin", "upper", "spaced",
    "longname", "leftover", "ending", "zip", "badzip", "nul",
)  # fmt: skip


WHOLE_FILE = re.compile(r": (name the file in |a second (tune|piece) named )")
"""What is said of a file by its name, which has no line."""


@dataclass(frozen=True, slots=True)
class Damage:
    """One damaged file."""

    kind: str
    """One of :data:`KINDS`."""
    file: str
    """Path from the project's root."""
    content: bytes
    """What is written there instead."""
    trick: str = ""
    """What stands in the file's place, one of :data:`TRICKS`."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of it."""

    answer: str
    """``accepted``, ``refused`` or ``traceback``."""
    said: tuple[str, ...] = ()
    """Every problem, or the traceback."""
    without_line: tuple[str, ...] = ()
    """Problems that name no line."""
    seconds: float = 0
    """Processor time."""


class Field:
    """A small project with every kind of file, in which files are damaged one at a time."""

    def __init__(self, root: Path) -> None:
        self.root = small_project(root)
        shutil.copytree(root / "content" / "roster-example", root / "content" / "roster")
        self.book = load_book(root)
        self._write_musicxml()
        self.files = {
            path.relative_to(root).as_posix(): path.read_bytes()
            for folder in ("content", "handbook")
            for path in sorted((root / folder).rglob("*"))
            if path.is_file() and "roster-example" not in path.parts
        }
        """Content of each file by its path."""

    def _write_musicxml(self) -> None:
        for ident in ("row-your-boat", "hot-cross-buns"):
            tune = self.book.tunes[ident]
            path = self.root / "content" / "tunes" / f"{ident}-again.musicxml"
            path.write_text(musicxml([Staff(tune.line, "Melody")], tune.title, tune.composer), encoding="utf-8")
        piece = self.book.pieces["two-gates"]
        staves = [Staff(line, voice) for voice, line in piece.lines.items()]
        path = self.root / "content" / "pieces" / "two-gates-again.musicxml"
        path.write_text(musicxml(staves, piece.title, piece.composer), encoding="utf-8")

    def names(self, *endings: str, below: str = "") -> list[str]:
        """Files with one of these endings, the smaller ones first, so that cases are made small."""
        found = [name for name in self.files if name.endswith(endings) and name.startswith(below)]
        return sorted(found, key=lambda name: (len(self.files[name]), name))

    # -- what is drawn

    @cached_property
    def damages(self) -> Mapping[str, st.SearchStrategy[Damage]]:
        """Damage of each kind."""
        return {
            "YAML values": self._values(),
            "YAML text": self._texts("YAML text", self.names(".yml"), ODD_TEXT),
            "ABC": self._texts("ABC", self.names(".abc"), ABC + ODD_TEXT),
            "MusicXML": self._xml(),
            "pages": self._texts("pages", self.names(".md"), PAGES + ODD_TEXT),
            "file system": st.builds(
                lambda file, trick: Damage("file system", file, self.files[file], trick),
                st.sampled_from(sorted(self.files)),
                st.sampled_from(TRICKS),
            ),
        }

    def _values(self) -> st.SearchStrategy[Damage]:
        @st.composite
        def damaged(draw: st.DrawFn) -> Damage:
            file = draw(st.sampled_from(self.names(".yml")))
            data = yaml.safe_load(self.files[file])
            for _ in range(draw(st.integers(1, 2))):
                ways = list(_ways(data))
                way = ways[draw(st.integers(0, len(ways) - 1))]
                data = _changed(draw, data, way)
            text = yaml.safe_dump(data, allow_unicode=True, sort_keys=False)
            return Damage("YAML values", file, text.encode("utf-8", "surrogatepass"))

        return damaged()

    def _texts(self, kind: str, names: Sequence[str], odd: Sequence[str]) -> st.SearchStrategy[Damage]:
        @st.composite
        def damaged(draw: st.DrawFn) -> Damage:
            file = draw(st.sampled_from(names))
            text = self.files[file].decode()
            for _ in range(draw(st.integers(1, 3))):
                text = _edited(draw, text, odd)
            return Damage(kind, file, text.encode("utf-8", "surrogatepass"))

        return damaged()

    def _xml(self) -> st.SearchStrategy[Damage]:
        @st.composite
        def damaged(draw: st.DrawFn) -> Damage:
            file = draw(st.sampled_from(self.names(".musicxml")))
            text = self.files[file].decode()
            for _ in range(draw(st.integers(1, 3))):
                how = draw(st.sampled_from(("text", "element", "repeat", "edit")))
                if how == "edit":
                    text = _edited(draw, text, XML_TEXT)
                    continue
                pattern = r">([^<>\n]+)<" if how == "text" else r"<([a-z-]+)\b[^<>]*(?:/>|>.*?</\1>)"
                places = list(re.finditer(pattern, text, re.S))
                if not places:
                    continue
                place = places[draw(st.integers(0, len(places) - 1))]
                if how == "text":
                    start, end, new = *place.span(1), draw(st.sampled_from(XML_TEXT))
                elif how == "element":
                    start, end, new = *place.span(), draw(st.sampled_from(["", *XML_TEXT]))
                else:
                    times = draw(st.sampled_from((2, 3, 40)))
                    start, end, new = *place.span(), place[0] * times
                text = (text[:start] + new + text[end:])[:1_500_000]
            return Damage("MusicXML", file, text.encode("utf-8", "surrogatepass"))

        return damaged()

    # -- what becomes of it

    def outcome(self, damage: Damage, deep: bool = False) -> Outcome:
        """Put the damage in the file's place, load it, put the file back. ``deep`` shows what was accepted."""
        path = self.root / damage.file
        began = time.process_time()
        problems = Problems(self.root)
        placed = self._place(damage, path)
        try:
            self._loaded(damage.file, placed, problems, deep)
        except Exception:
            return Outcome("traceback", (traceback.format_exc(),), (), time.process_time() - began)
        finally:
            for each in {path, placed}:
                _clear(each)
            path.write_bytes(self.files[damage.file])
        seconds = time.process_time() - began
        said = tuple(str(each) for each in problems)
        bare = tuple(str(each) for each in problems if not each.line)
        return Outcome("refused" if said else "accepted", said, bare, seconds)

    def _place(self, damage: Damage, path: Path) -> Path:
        _clear(path)
        if not damage.trick:
            path.write_bytes(damage.content)
            return path
        return _trick(damage, path)

    def _loaded(self, file: str, path: Path, problems: Problems, deep: bool) -> None:
        root, book = self.root, self.book
        folder, _, name = file.removeprefix("content/").rpartition("/")
        if file.startswith("handbook/"):
            self._page(path, problems)
        elif folder == "tunes":
            if path.parent.is_dir() and path.name != name:
                load_tunes(root, book.instruments, problems)
            elif (tune := load_tune(path, root, book.instruments.values(), problems)) and deep:
                tunes_room.contribute(replace(book, tunes={tune.id: tune}), Products())
        elif folder == "pieces":
            if (piece := load_piece(path, root, problems)) and deep:
                pieces_room.contribute(replace(book, pieces={piece.id: piece}), Products())
        elif folder == "course" or file == "content/ladder.yml":
            load_course(root, book.band, book.tunes, book.pieces, problems)
        elif folder == "instruments" or file == "content/band.yml":
            instruments = load_instruments(root, problems)
            band = load_band(root, instruments, problems)
            if band and deep and not list(problems):
                load_matching(root, instruments, problems)
                load_course(root, band, book.tunes, book.pieces, problems)
        elif folder == "roster":
            load_roster(root, book.instruments, problems)
        else:
            self._other(file, problems)
        if not list(problems) and path.is_file() and file.startswith("content/"):
            check_file(path, printable(()) | set("\n\t"), problems)

    def _other(self, file: str, problems: Problems) -> None:
        root, book = self.root, self.book
        loaders: dict[str, Callable[[], object]] = {
            "matching": lambda: load_matching(root, book.instruments, problems),
            "scoring": lambda: load_scoring(root, book.instruments, problems),
            "rehearsal": lambda: load_rehearsal(root, problems),
            "supplies": lambda: load_supplies(root, problems),
            "search": lambda: load_search(root, problems),
        }
        name = Path(file).stem
        loaders.get(name, lambda: self._guide(problems))()

    def _guide(self, problems: Problems) -> None:
        assert self.book.course
        load_guide(self.root, [stage.id for stage in self.book.course.course.stages], problems)

    def _page(self, path: Path, problems: Problems) -> None:
        if path.parent.name == "guide" and path.stem not in guide.UNLISTED and path.suffix == ".md":
            guide._load_page(path, dict(self.book.guide.sources), dict(self.book.guide.pictures), problems)
        check_page(path, problems)
        if list(problems) or not path.is_file():
            return
        known = rooms.blocks()
        uri = path.relative_to(self.root / "handbook").as_posix()
        context = blocks.Context(self.book, Products(), uri, known)
        blocks.expand(path.read_text(encoding="utf-8"), context, known, problems, f"handbook/{uri}")


def _ways(node: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    yield way
    if isinstance(node, dict):
        for key, value in node.items():
            yield from _ways(value, (*way, key))
    elif isinstance(node, list):
        for place, value in enumerate(node):
            yield from _ways(value, (*way, place))


def _changed(draw: st.DrawFn, data: Any, way: tuple[Any, ...]) -> Any:
    """``data`` with another value at ``way``, or without it, or with its key misspelled."""
    data = copy.deepcopy(data)
    new = draw(st.one_of(st.sampled_from(ODD_VALUES), st.sampled_from(ODD_TEXT), st.just(...)))
    if not way:
        return None if new is ... else new
    node = data
    for key in way[:-1]:
        node = node[key]
    how = draw(st.sampled_from(("value", "value", "value", "without", "key")))
    if how == "without" or new is ...:
        del node[way[-1]]
    elif how == "key" and isinstance(node, dict):
        node[new if isinstance(new, str | int | float | bool | None) else "x"] = node.pop(way[-1])
    else:
        node[way[-1]] = new
    return data


def _edited(draw: st.DrawFn, text: str, odd: Sequence[str]) -> str:
    """One edit: something put in, taken out, doubled, moved or cut off."""
    how = draw(st.sampled_from(("put in", "put in", "replace", "take out", "line out", "line twice", "swap", "cut")))
    at = draw(st.integers(0, len(text)))
    if how in ("put in", "replace"):
        over = draw(st.integers(1, 12)) if how == "replace" else 0
        return text[:at] + draw(st.sampled_from(odd)) + text[at + over :]
    if how == "take out":
        return text[:at] + text[at + draw(st.integers(1, 40)) :]
    if how == "cut":
        return text[:at]
    lines = text.split("\n")
    one = draw(st.integers(0, len(lines) - 1))
    if how == "line out":
        del lines[one]
    elif how == "line twice":
        lines.insert(one, lines[one])
    else:
        two = draw(st.integers(0, len(lines) - 1))
        lines[one], lines[two] = lines[two], lines[one]
    return "\n".join(lines)


def _clear(path: Path) -> None:
    try:
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
    except OSError:
        pass


def _trick(damage: Damage, path: Path) -> Path:
    """Do what ``damage`` says on the disk; returns where something now stands."""
    content, trick = damage.content, damage.trick
    others = {
        "upper": path.with_name(path.name.upper()),
        "spaced": path.with_name(f"é {path.name}"),
        "longname": path.with_name("a" * 200 + path.suffix),
        "leftover": path.with_name(f".{path.name}~"),
        "ending": path.with_name(f"{path.stem}.doc"),
    }
    written = {
        "binary": bytes(range(256)) * 40,
        "empty": b"",
        "latin": "caf\u00e9\n".encode("latin-1") + content,
        "utf16": content.decode().encode("utf-16"),
        "huge": content + b"\n" * 2_100_000,
        "crlf": content.replace(b"\n", b"\r\n"),
        "bom": b"\xef\xbb\xbf" + content,
        "zip": b"PK\x03\x04" + content,
        "badzip": b"PK\x05\x06" + bytes(18),
        "nul": content[:30] + b"\x00" + content[30:],
    }
    if trick in others:
        path = others[trick]
        path.write_bytes(content)
    elif trick in written:
        path.write_bytes(written[trick])
    elif trick == "folder":
        path.mkdir()
    elif trick == "loop":
        path.symlink_to(path)
    elif trick == "dangling":
        path.symlink_to(path.with_name("nowhere"))
    elif trick == "pipe":
        os.mkfifo(path)
    elif trick == "device":
        path.symlink_to("/dev/zero")
    elif trick == "twin":
        path.write_bytes(content)
        path.with_name(f"{path.stem}-twin{path.suffix}").write_bytes(content)
        return path.with_name(f"{path.stem}-twin{path.suffix}")
    return path
