"""A light tree of an XML file with line numbers, built in one pass that stops at the first limit it meets.

The standard library's expat reads; nothing outside the file is fetched, and entities are refused.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from xml.parsers import expat

DEEPEST, MOST = 40, 600_000
"""How deep elements may be nested, and how many there may be."""


class RefusedError(ValueError):
    """A file that cannot be used; says why, and on which line where that is known."""

    def __init__(self, message: str, line: int = 0) -> None:
        super().__init__(message)
        self.line = line
        """Line of the file, from 1; 0 where there is none to name."""


class Element:
    """An element: its tag, attributes, text before the first child, children, and line."""

    __slots__ = ("attributes", "children", "line", "tag", "text")

    def __init__(self, tag: str, attributes: dict[str, str], line: int) -> None:
        self.tag = tag
        self.attributes = attributes
        self.children: list[Element] = []
        self.text = ""
        self.line = line

    def get(self, name: str) -> str:
        """An attribute, or empty."""
        return self.attributes.get(name, "")

    def find(self, path: str) -> Element | None:
        """The first element at a path such as ``notations/tied``."""
        return next(self.all(path), None)

    def all(self, path: str) -> Iterator[Element]:
        """Every element at a path."""
        tag, _, rest = path.partition("/")
        for child in self.children:
            if child.tag == tag:
                if rest:
                    yield from child.all(rest)
                else:
                    yield child

    def said(self, path: str) -> str:
        """Text of the first element at a path, trimmed; empty where there is none."""
        found = self.find(path)
        return found.text.strip() if found else ""


def parse(content: bytes, check: Callable[[Element, int], None]) -> Element:
    """The root element; ``check`` sees each element as it ends, with its depth, and may raise :class:`RefusedError`."""
    parser = expat.ParserCreate()
    parser.buffer_text = True
    opened: list[Element] = []
    roots: list[Element] = []
    count = 0

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal count
        count += 1
        if count > MOST:
            raise RefusedError("more than any piece of music needs: too many elements", parser.CurrentLineNumber)
        if len(opened) >= DEEPEST:
            raise RefusedError("its elements are nested deeper than in any piece of music", parser.CurrentLineNumber)
        element = Element(tag, attributes, parser.CurrentLineNumber)
        (opened[-1].children if opened else roots).append(element)
        opened.append(element)

    def end(_tag: str) -> None:
        element = opened.pop()
        check(element, len(opened))

    def text(data: str) -> None:
        if opened and not opened[-1].children:
            opened[-1].text += data

    def entity(*_about: object) -> None:
        raise RefusedError("it declares XML entities, which no notation program needs", parser.CurrentLineNumber)

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = text
    parser.EntityDeclHandler = entity
    try:
        parser.Parse(content, True)
    except expat.ExpatError as error:
        if not content.strip():
            raise RefusedError("the file is empty; export it anew", 1) from None
        said = expat.errors.messages[error.code].removeprefix("not well-formed ").strip("()")
        raise RefusedError(f"not well-formed XML ({said}); export it anew", error.lineno) from None
    except (ValueError, LookupError) as error:
        if isinstance(error, RefusedError):
            raise
        raise RefusedError(f"not readable as text ({str(error)[:60]})", parser.CurrentLineNumber or 1) from None
    return roots[0]
