"""Blocks: how a page written in Markdown asks for something computed.

A block is ``[[name key=value key="two words"]]``, on a line of its own or inside a sentence; words without ``=`` are
taken in order. Inside code it is left alone. A room offers its blocks in a ``BLOCKS`` table, name to function
(``rooms.py`` gathers them); the function gets a :class:`Context` and :class:`Args` and returns HTML, or raises
:class:`BlockError` with what is wrong.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial

import yaml

from beginnerband.data.blocktext import BLOCK, taken_apart
from beginnerband.data.book import Book
from beginnerband.data.glossary import in_title
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.textfile import last_net, read_text
from beginnerband.products import PageProduct, Products
from beginnerband.teaching.wording import spelled

_CODE_SPAN = re.compile(r"(`+)(?!`).*?(?<!`)\1(?!`)")
_FENCE = re.compile(r"^\s*(```+|~~~+)")


class BlockError(ValueError):
    """A block asks for what is not there; the text says what would be right."""


@dataclass(frozen=True, slots=True)
class Context:
    """Where a block stands."""

    book: Book
    """All content."""
    products: Products
    """What has been computed; a block may add assets."""
    uri: str
    """The page, from ``handbook/``, as ``guide/breath.md``."""
    known: Mapping[str, Block] = field(default_factory=dict)
    """Every block there is, by name."""


@dataclass(frozen=True, slots=True)
class Args:
    """What a block was given."""

    words: tuple[str, ...] = ()
    """Values without a key, in order."""
    named: Mapping[str, str] = field(default_factory=dict)
    """Values by key."""

    def only(self, *keys: str, words: int = 0) -> Args:
        """Raise ``BlockError`` for a key that is not in ``keys`` or for more than ``words`` bare words."""
        for key in self.named:
            if key not in keys:
                raise BlockError(f"unknown setting {key!r}{did_you_mean(key, keys)}")
        if len(self.words) > words:
            raise BlockError(f"{self.words[words]!r} is not expected here; settings are written key=value")
        return self

    def one_of(self, key: str, choices: Mapping[str, object] | tuple[str, ...], default: str | None = None) -> str:
        """The value of ``key`` (or the first bare word), which must be one of ``choices``."""
        value = self.named.get(key) or (self.words[0] if self.words else None) or default
        if value is None:
            raise BlockError(f"{key!r} is missing")
        if value not in choices:
            raise BlockError(f"no {key} {value!r}{did_you_mean(value, choices) or _some(choices)}")
        return value


Block = Callable[[Context, Args], str]


def _some(choices: Iterable[str]) -> str:
    """A closing hint with a few of many choices."""
    return f"; there are {', '.join(sorted(choices)[:6])} and more" if choices else ""


def expand_all(book: Book, products: Products, problems: Problems, known: Mapping[str, Block]) -> list[PageProduct]:
    """Expand the blocks ``known`` in written and generated pages; returns the pages whose text changed.

    Everything that is then said, is said in the band's spelling; names stay as they are.
    """
    changed = []
    say = partial(spelled, english=book.band.english, names=book.names)
    folder = book.root / "handbook"
    for path in sorted(folder.rglob("*.md")):
        uri = path.relative_to(folder).as_posix()
        text = read_text(path, problems)
        if text is None:
            continue
        with last_net(path, problems):
            spoken = titled(say(text), book, partial(problems.add, path))
            expanded = expand(spoken, Context(book, products, uri, known), known, problems, f"handbook/{uri}")
            if expanded != text or uri in products.listed:
                title, nav = products.listed.get(uri, ("", ()))
                changed.append(PageProduct(uri, text=expanded, title=say(title), nav=tuple(map(say, nav))))
    for page in list(products.pages.values()):
        spoken = say(page.text)
        context = Context(book, products, page.uri, known)
        expanded = expand(spoken, context, known, problems, f"(generated) {page.uri}")
        done = PageProduct(page.uri, text=expanded, title=say(page.title), nav=tuple(map(say, page.nav)))
        if done != page:
            changed.append(done)
    for key, html in products.fragments.items():
        products.fragments[key] = say(html)
    order = {uri: place for place, uri in enumerate(products.listed)}
    return sorted(changed, key=lambda page: order.get(page.uri, -1))


def titled(text: str, book: Book, mistake: Callable[[int, str], None]) -> str:
    """A page that somebody wrote, with the words of the blocks in its title and summary."""
    if not text.startswith("---\n"):
        return text
    head, *rest = text.split("\n---\n", 1)
    lines = head.split("\n")
    for place, line in enumerate(lines):
        key, colon, value = line.partition(": ")
        if "[[" in line and colon and key in ("title", "summary"):
            try:
                said = in_title(str(yaml.safe_load(value)), book.band.name, book.band.english, book.guide.glossary)
            except ValueError as error:
                mistake(place + 1, str(error))
                said = ""
            lines[place] = f"{key}: {json.dumps(said, ensure_ascii=False)}"
    return "\n---\n".join(("\n".join(lines), *rest))


def expand(text: str, context: Context, known: Mapping[str, Block], problems: Problems, file: str) -> str:
    """Replace each block in ``text`` by a placeholder for its HTML; mistakes become problems with their line."""
    lines = []
    for number, line, code in _lines(text):
        if not code and ("[" in line or "]]" in line):
            line = _expand_line(line, context, known, partial(problems.add, file, number))
        lines.append(line)
    return "\n".join(lines)


def _expand_line(line: str, context: Context, known: Mapping[str, Block], mistake: Callable[[str], None]) -> str:
    alone = BLOCK.fullmatch(line.strip()) is not None

    def swap(match: re.Match[str]) -> str:
        try:
            html = _run(match, context, known)
        except BlockError as error:
            mistake(f"[[{match[1]}]]: {error}")
            return ""
        return context.products.html(html, inline=not alone)

    parts, end = [], 0
    for span in [*_CODE_SPAN.finditer(line), None]:
        text = line[end : span.start() if span else len(line)]
        if said := _half_open(BLOCK.sub("", text), known):
            mistake(said)
        parts.append(BLOCK.sub(swap, text))
        if span:
            parts.append(span[0])
            end = span.end()
    return "".join(parts)


_MEANT = re.compile(r"\[\[?\s*([A-Za-z][\w-]*)[^\[\]]*\]\]?")
"""What was probably to be a block."""


def _half_open(text: str, known: Mapping[str, Block]) -> str:
    """What is wrong with the brackets of a text without its blocks; empty where nothing is."""
    meant = next((found for found in _MEANT.finditer(text) if found[1].lower() in known), None)
    better = f"; write [[{meant[1].lower()} …]]" if meant and " " in meant[0].strip("[] ") else ""
    better = better or (f"; write [[{meant[1].lower()}]]" if meant else "")
    if meant and "[[" not in meant[0] and "]]" not in meant[0] and ("=" in meant[0] or meant[0] == text.strip()):
        return f"a block stands in two brackets; write [{meant[0]}]"
    if "[[" in text:
        return f"'[[' that opens no block{better or '; a block is [[name key=value]]'}"
    return f"']]' that closes no block{better}" if meant and meant[0].endswith("]]") else ""


def _lines(text: str) -> Iterator[tuple[int, str, bool]]:
    """Each line with its number and whether it is inside fenced code."""
    fence = ""
    for number, line in enumerate(text.split("\n"), 1):
        mark = _FENCE.match(line)
        if mark and (not fence or mark[1].startswith(fence)):
            yield number, line, True
            fence = "" if fence else mark[1]
        else:
            yield number, line, bool(fence)


def _run(match: re.Match[str], context: Context, known: Mapping[str, Block]) -> str:
    name = match[1]
    if name not in known:
        joined = "-".join((name, *match[2].split()))  # [[band name]]
        raise BlockError(f"no such block{did_you_mean(joined if joined in known else name, known)}")
    try:
        block = taken_apart(match)
    except ValueError as error:
        raise BlockError(str(error)) from None
    return str(known[name](context, Args(block.words, block.named)))
