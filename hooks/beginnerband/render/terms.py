"""Explaining trade terms: the first time a term stands on a page, it opens its meaning on hover, focus or tap.

Works on finished HTML, so that it does not matter which room wrote the page. Headings, links, buttons, code and
pictures are left alone, and so is everything inside an element with ``data-terms="no"``. Blocks mark a term by hand
with ``<span data-term="id">``, which is always explained, or ``<span data-word="id">``, explained on first use.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from html import escape
from pathlib import Path

from beginnerband.render.html import relative

_TOKEN = re.compile(
    r"(<script\b.*?</script>|<style\b.*?</style>|<svg\b.*?</svg>|<pre\b.*?</pre>|<!--.*?-->|<[^>]*>)", re.S
)
_TAG = re.compile(r"<(/?)([a-zA-Z][a-zA-Z0-9]*)([^>]*)>", re.S)
_MARK = re.compile(r'\bdata-(term|word)="([a-z0-9-]+)"')
_WORD = re.compile(r"[A-Za-z][A-Za-z-]*")
_VOID = frozenset(
    ("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr")
)
_CLOSED = frozenset(
    (
        *(
            "a",
            "button",
            "caption",
            "code",
            "figcaption",
            "kbd",
            "label",
            "nav",
            "option",
            "select",
            "summary",
            "textarea",
            "th",
        ),
        *(f"h{level}" for level in range(1, 7)),
    )
)
PAGE = "guide/words.md"
"""Where the glossary is."""


@dataclass(frozen=True, slots=True)
class Glossary:
    """What marking needs to know; written to and read from ``data/glossary.json`` so that a warm build can use it."""

    meanings: Mapping[str, str]
    """Plain text by term id."""
    forms: Mapping[str, tuple[tuple[str, str], ...]] = field(repr=False)
    """By first word in lower case: (whole form in lower case, term id), longest first."""

    @classmethod
    def read(cls, path: Path) -> Glossary:
        """Read the file the guide wrote; a handbook without one explains nothing."""
        if not path.is_file():
            return cls({}, {})
        return cls.of(json.loads(path.read_text(encoding="utf-8")))

    @classmethod
    def of(cls, terms: Mapping[str, Mapping[str, object]]) -> Glossary:
        """From term id to ``{"means": text, "forms": [text, ...]}``."""
        found: dict[str, list[tuple[str, str]]] = {}
        for term_id, term in terms.items():
            for form in map(str.lower, _texts(term["forms"])):
                first = _WORD.match(form)
                if first:
                    found.setdefault(first[0], []).append((form, term_id))
        ordered = {first: tuple(sorted(forms, key=lambda pair: -len(pair[0]))) for first, forms in found.items()}
        return cls({term_id: str(term["means"]) for term_id, term in terms.items()}, ordered)


def _texts(value: object) -> list[str]:
    return [str(item) for item in value] if isinstance(value, list | tuple) else []


def mark(html: str, uri: str, glossary: Glossary) -> str:
    """``html`` of the page ``uri`` with its terms explained."""
    if not glossary.meanings:
        return html
    return "".join(_Marker(uri, glossary).run(html))


class _Marker:
    """One pass over one page."""

    def __init__(self, uri: str, glossary: Glossary) -> None:
        self.uri, self.glossary = uri, glossary
        self.seen: set[str] = set()
        self.count = 0

    def run(self, html: str) -> Iterator[str]:
        closed: list[str] = []  # open elements from the one that must be left alone inwards
        asked: tuple[str, str] | None = None
        for token in _TOKEN.split(html):
            if not token.startswith("<"):
                yield self._asked(*asked, token) if asked else (token if closed else self._text(token))
                continue
            tag = _TAG.fullmatch(token)
            if not tag:
                yield token
                continue
            ends, name, rest = tag[1], tag[2].lower(), tag[3]
            if asked:  # the end of <span data-term="…">
                asked = None
                continue
            mark = _MARK.search(rest) if name == "span" and not ends else None
            if mark and not closed:
                asked = (mark[1], mark[2])
                continue
            yield token
            if closed:
                if ends and name in closed:
                    while closed.pop() != name:
                        pass
                elif not ends and name not in _VOID and not rest.endswith("/"):
                    closed.append(name)
            elif not ends and (name in _CLOSED or 'data-terms="no"' in rest):
                closed.append(name)

    def _asked(self, kind: str, term_id: str, text: str) -> str:
        if term_id not in self.glossary.meanings or (kind == "word" and term_id in self.seen):
            return text
        return self._explained(term_id, text)

    def _text(self, text: str) -> str:
        parts, end = [], 0
        for word in _WORD.finditer(text):
            if word.start() < end:
                continue
            for form, term_id in self.glossary.forms.get(word[0].lower(), ()):
                stop = word.start() + len(form)
                if term_id not in self.seen and _is_word(text, word.start(), stop, form):
                    parts += [text[end : word.start()], self._explained(term_id, text[word.start() : stop])]
                    end = stop
                    break
        return "".join([*parts, text[end:]]) if parts else text

    def _explained(self, term_id: str, text: str) -> str:
        self.seen.add(term_id)
        self.count += 1
        link = relative(self.uri, f"{PAGE}#{term_id}")
        tip = f"bb-tip-{self.count}"
        return (
            f'<span class="bb-term"><a class="bb-term-word" href="{link}" aria-describedby="{tip}">{text}</a>'
            f'<span class="bb-tip" role="tooltip" id="{tip}" data-search-exclude>'
            f"{escape(self.glossary.meanings[term_id])}</span></span>"
        )


def _is_word(text: str, start: int, stop: int, form: str) -> bool:
    """Whether ``form`` stands at ``start`` as a whole word."""
    if text[start:stop].lower() != form or text[stop : stop + 1].isalnum():
        return False
    return text[start - 1 : start] not in ("-", "&", "'", "’") if start else True
