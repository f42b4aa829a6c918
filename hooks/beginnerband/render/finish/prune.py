"""The theme's style sheets without the rules that can match nothing in this handbook.

The theme brings styles for much that the handbook has not: tabs, code, tags, versions, writing from right to left. Each
of those rules goes over the wire to a phone, and a browser tries many of them on every element of every page; on a page
of music that was most of the time until it stood. What is left out is told from the finished site alone: a rule goes if
its selector asks for a class, or one of a few attributes, that no page has and no script gives to anything.

Source for what a selector asks for: W3C, Selectors Level 4, https://www.w3.org/TR/selectors-4/
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import tinycss2

WATCHED = ("dir", "data-md-color-scheme", "data-md-color-primary", "data-md-color-accent")
"""Attributes whose every value stands in the pages' markup: the theme's scripts only copy them from there."""

COSTLY = "data-md-color-switching"
"""The theme's scripts set and unset this on the body of every page as it loads, to stop transitions while colours
change. A rule on it restyles every element twice, for nothing: the first colours are there from the start."""

# Each begins with plain letters and looks back only then, which Python finds ten times as fast in pages full of music.
_CLASSES = re.compile(r'class="(?<=\bclass=")([^"]*)"')
_ATTRIBUTES = {name: re.compile(rf'{name}(?<=\s{name})="?([\w-]+)') for name in WATCHED}
_GIVEN = re.compile(  # class:"a b", class:`a b`, className="a", classList.add("a") in a minified script
    r"""(?:\bclass(?:Name)?["']?[:=]\s*|classList\.(?:add|toggle|replace)\()["'`]([^"'`]+)["'`]"""
)
_WORD = re.compile(r"[\w-]+")
_NAME = re.compile(r"--[\w-]+")
_READ = re.compile(r"var\(\s*(--[\w-]+)")
_DECLARED = re.compile(r"""(?<=[{;])(--[\w-]+):(?:"[^"]*"|'[^']*'|url\([^"')]*\)|[^;{}"'])*(?:;|(?=\}))""")
_GROUPING = ("media", "supports", "layer", "container")

Nodes = Sequence[Any]
"""Tokens or rules as ``tinycss2`` gives them."""


@dataclass(frozen=True, slots=True)
class UsedNames:
    """What selectors may ask for."""

    classes: frozenset[str]
    """Every class that an element has or may be given."""
    attributes: frozenset[tuple[str, str]]
    """Every value of the :data:`WATCHED` attributes."""


def in_markup(html: str) -> tuple[set[str], set[tuple[str, str]]]:
    """The classes of a page, and its values of the watched attributes."""
    classes = {name for text in set(_CLASSES.findall(html)) for name in text.split()}
    return classes, {(name, value) for name, values in _ATTRIBUTES.items() for value in values.findall(html)}


def given_by(script: str) -> set[str]:
    """The classes that one of the theme's scripts gives to elements; those it only looks for are not among them."""
    return {word for text in _GIVEN.findall(script) for word in _WORD.findall(text)}


def words_of(script: str) -> set[str]:
    """Every word of one of the handbook's own scripts, since any may be a class."""
    return set(_WORD.findall(script))


def without_unmatched(sheet: str, names: UsedNames) -> str:
    """``sheet`` without the rules, and the single selectors of rules, that can match nothing with these ``names``."""
    return "".join(_rules(tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True), names))


def without_unread(sheets: Sequence[str], others: Iterable[str]) -> list[str]:
    """``sheets`` without the custom properties that neither they nor the ``others`` (sheets, scripts) ever read.

    What only an unread property reads goes as well.
    """
    elsewhere = {name for text in others for name in _NAME.findall(text)}
    small, before = list(sheets), None
    while small != before:
        before = small
        read = elsewhere.union(*map(_READ.findall, small))
        small = [_only_read(sheet, read) for sheet in small]
    return small


def _only_read(sheet: str, read: set[str]) -> str:
    return _DECLARED.sub(lambda match: match[0] if match[1] in read else "", sheet)


def _rules(rules: Nodes, names: UsedNames) -> Iterable[str]:
    for rule in rules:
        if rule.type == "qualified-rule":
            kept = [part for part in _parts(rule.prelude) if _may_match(part, names)]
            if kept:
                yield f"{','.join(tinycss2.serialize(part).strip() for part in kept)}{{{_text(rule.content)}}}"
        elif rule.type == "at-rule" and rule.lower_at_keyword in _GROUPING and rule.content is not None:
            inside = tinycss2.parse_rule_list(rule.content, skip_comments=True, skip_whitespace=True)
            text = "".join(_rules(inside, names))
            if text:
                yield f"@{rule.at_keyword}{tinycss2.serialize(rule.prelude)}{{{text}}}"
        elif rule.type == "error":
            raise ValueError(f"a style sheet cannot be read: {rule.message}")
        else:
            yield rule.serialize()


def _text(content: Nodes) -> str:
    return str(tinycss2.serialize(content)).strip()


def _parts(prelude: Nodes) -> list[list[Any]]:
    """The selectors of a list, split at its outermost commas."""
    parts: list[list[Any]] = [[]]
    for token in prelude:
        if token.type == "literal" and token.value == ",":
            parts.append([])
        else:
            parts[-1].append(token)
    return parts


def _may_match(selector: Nodes, names: UsedNames) -> bool:
    """Whether every class and watched attribute asked for is there; what stands inside ``:not(…)`` asks for nothing."""
    for before, token in zip([None, *selector], selector, strict=False):
        is_class = before is not None and before.type == "literal" and before.value == "."
        if is_class and token.type == "ident" and token.value not in names.classes:
            return False
        if token.type == "[] block" and not _attribute_may_match(token.content, names):
            return False
    return True


def _attribute_may_match(content: Nodes, names: UsedNames) -> bool:
    name, *rest = [token for token in content if token.type != "whitespace"]
    if name.value == COSTLY:
        return False
    exact = len(rest) == 2 and rest[0].type == "literal" and rest[0].value == "="
    if not exact or name.value not in WATCHED:
        return True
    return (name.value, rest[1].value) in names.attributes
