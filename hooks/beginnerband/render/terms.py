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

from beginnerband.render.html import relative

_ASKED = r'span data-(term|word)="([a-z0-9-]+)">([^<]*)</span>'
_ASK = re.compile(f"<{_ASKED}")
_CLOSED = "script|style|svg|pre|code|kbd|a|button|caption|figcaption|h[1-6]|label|nav|option|select|summary|textarea|th"
_TAG = re.compile(rf"<(?:{_ASKED}|({_CLOSED})\b[^>]*>|(!--)|[^>]*>)")
_SHUT = re.compile(r'<([a-z][a-z0-9]*)\b[^>]*\bdata-terms="no"[^>]*>')
_WORD = re.compile(r"[A-Za-z][A-Za-z-]*")
SHORTEST = 2
"""Text with fewer characters holds no term."""

FILE = "data/glossary.json"
"""What of it is needed to mark pages."""

PAGE = "guide/words.md"
"""Where the glossary is."""


@dataclass(frozen=True, slots=True)
class Glossary:
    """What marking needs to know; written to and read from :data:`FILE` so that a warm build can use it."""

    meanings: Mapping[str, str]
    """Plain text by term id."""
    forms: Mapping[str, tuple[tuple[str, str], ...]] = field(repr=False)
    """By first word in lower case: (whole form in lower case, term id), longest first."""

    @classmethod
    def read(cls, written: bytes) -> Glossary:
        """Read what the guide wrote; a handbook without a glossary explains nothing."""
        return cls.of(json.loads(written or b"{}"))

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
    marker = _Marker(uri, glossary)
    parts, end = [], 0
    for start, stop in _shut(html):
        parts += [marker.run(html[end:start]), _unasked(html[start:stop])]
        end = stop
    return "".join([*parts, marker.run(html[end:])])


def _shut(html: str) -> Iterator[tuple[int, int]]:
    """Start and end of every outermost element that wants no explanations."""
    end = 0
    while found := _SHUT.search(html, end):
        depth, end = 1, found.end()
        for tag in re.compile(rf"<(/?){found[1]}\b").finditer(html, end):
            depth += -1 if tag[1] else 1
            end = tag.end()
            if not depth:
                break
        yield found.start(), end


def _unasked(html: str) -> str:
    """Without the spans by which blocks ask for an explanation."""
    return _ASK.sub(r"\3", html)


class _Marker:
    """What has been explained on one page so far."""

    def __init__(self, uri: str, glossary: Glossary) -> None:
        self.uri, self.glossary = uri, glossary
        self.seen: set[str] = set()
        self.count = 0
        self.begin = set(glossary.forms)  # first words of what is not explained yet

    def run(self, html: str) -> str:
        """A stretch of the page outside elements that want no explanations."""
        parts, end = [], 0
        while tag := _TAG.search(html, end):
            if tag.start() > end:
                parts.append(self._text(html[end : tag.start()]))
            end = tag.end()
            if tag[1]:
                parts.append(self._asked(tag[1], tag[2], tag[3]))
                continue
            if tag[4] or tag[5]:  # all of a closed element, or of a comment
                end = _after(html, f"</{tag[4]}" if tag[4] else "--", end)
            parts.append(_unasked(html[tag.start() : end]) if tag[4] else html[tag.start() : end])
        return "".join([*parts, self._text(html[end:])])

    def _asked(self, kind: str, term_id: str, text: str) -> str:
        if term_id not in self.glossary.meanings or (kind == "word" and term_id in self.seen):
            return text
        return self._explained(term_id, text)

    def _text(self, text: str) -> str:
        found = self.begin.intersection(_WORD.findall(text.lower())) if len(text) >= SHORTEST else ()
        if not found:
            return text
        parts, end = [], 0
        for word in _WORD.finditer(text):
            first = word[0].lower()
            if first not in found or word.start() < end:
                continue
            for form, term_id in self.glossary.forms[first]:
                stop = word.start() + len(form)
                if term_id not in self.seen and _is_word(text, word.start(), stop, form):
                    parts += [text[end : word.start()], self._explained(term_id, text[word.start() : stop])]
                    end = stop
                    break
        self.begin -= {word for word in found if self._all_seen(word)}
        return "".join([*parts, text[end:]]) if parts else text

    def _all_seen(self, word: str) -> bool:
        """Whether all that begins with a word is explained."""
        return all(term_id in self.seen for _, term_id in self.glossary.forms[word])

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


def _after(html: str, closing: str, start: int) -> int:
    """The place after the first ``>`` that follows ``closing``; the end of the page when there is none."""
    found = html.find(closing, start)
    found = html.find(">", found) if found >= 0 else found
    return found + 1 if found >= 0 else len(html)


def _is_word(text: str, start: int, stop: int, form: str) -> bool:
    """Whether ``form`` stands at ``start`` as a whole word."""
    if text[start:stop].lower() != form or text[stop : stop + 1].isalnum():
        return False
    return text[start - 1 : start] not in ("-", "&", "'", "’") if start else True
