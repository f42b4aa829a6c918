"""Slips in how a YAML file is written, in a leader's words, and the line where each really is."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import yaml

_CUT = re.compile(r"""^\s*(?:-\s+)?[\w-]+:\s+[^\s"'|>\[{#&*!][^"'#]*\s\#[^\s#]""")
"""A plain text in which a sign that begins a comment stands before a word, as in ``aim: Play bar #3``."""

_ODD_SPACE = "\u00a0\u2000-\u200a\u202f\u205f\u3000"
_NO_SPACE = re.compile(rf"^\s*?([{_ODD_SPACE}])\s*[\w-]+:|^\s*(?:- )?[{{]?[\w-]+(?:(：)|:([{_ODD_SPACE}]))")
"""A space that does not count as one, or a wide colon, where a key stands: they come along when a page is copied."""

_ENTRY = re.compile(r"\s*(?:-(?=[^\s-])|[–—•*·−])\s*(?=[\w{\"'])")
"""A list entry whose hyphen has no space after it, or is no hyphen."""


def cut_short(text: Sequence[str]) -> Iterator[int]:
    """Lines of a text that YAML would end at a sign for a comment."""
    return (number for number, line in enumerate(text, 1) if _CUT.search(line))


def look_alikes(text: Sequence[str]) -> Iterator[tuple[int, str]]:
    """Spaces and colons beside keys that only look like it, by line."""
    for number, line in enumerate(text, 1):
        if found := _NO_SPACE.search(line):
            sign = next(filter(None, found.groups()))
            yield number, f"a sign that only looks like a space or colon (U+{ord(sign):04X}); type the line anew"


def slip(error: yaml.MarkedYAMLError, text: list[str]) -> tuple[int, str]:
    """Where the slip really is, and in words; YAML's own message often points at where it noticed."""
    at = error.problem_mark or error.context_mark
    line = at.line + 1 if at else 0
    began = error.context_mark.line + 1 if error.context_mark else line
    said, context = error.problem or "", error.context or ""
    quote = 'put the whole text in "quotes"'
    hyphen = "an entry of a list begins with a hyphen and a space; write"
    no_colon = "a line without 'key: value'; add the colon and a space, or join it to the line above"
    above = text[line - 2].split(" #")[0].strip() if 2 <= line <= len(text) + 1 else ""
    here = text[line - 1].split(" #")[0].rstrip() if 1 <= line <= len(text) else ""
    never_closed = f"a quotation mark or apostrophe opens here and is never closed; {quote}, or use ’"
    noticed = error.context_mark if "quoted scalar" in context else at
    if noticed and (opened := _opened_before(noticed, text)):
        return opened, never_closed
    if "flow" in context and "expected ',' or" in said:
        return _open_bracket(began, line, text)
    if "another document" in said:
        return line, "this line begins a second document, and a file holds one; take it out, or what is below as well"
    if entry := _ENTRY.match(here):
        return line, f"{hyphen} '- {_short(here[entry.end() :])}'"
    if "mapping values are not allowed" in said and above and not re.search(r"[:>|,\[{-]\s|[:>|,\[{]$|^[#-]", above):
        return line - 1, no_colon
    if "mapping values are not allowed" in said and re.fullmatch(r"\s*- [\w-]+: [^:]+,\s*[\w-]+: [^:]+", here):
        return line, f"several keys on one line stand in braces; write '- {{{here.partition('- ')[2]}}}'"
    if "mapping values are not allowed" in said:
        return line, f"a text with a colon in it, or a line too far in; {quote}, or mend the spaces at its beginning"
    if "quoted scalar" in context:
        return began, never_closed
    if "anchor" in context or "alias" in context:
        return line, f"a text may not begin with {'&' if 'anchor' in context else '*'}; {quote}"
    if "cannot start any token" in said:
        sign = said.split("'")[1] if "'" in said else "this"
        what = _tab(here) if sign == "\\t" else f"a text may not begin with {sign}; {quote}"
        return line, what
    if "expected <block end>" in said and re.search(r"[}\]\"'],$", here):
        return line, "a comma at the end; entries that stand on lines of their own have none: leave it out"
    if "expected <block end>" in said and "scalar" in said and (found := re.search(r":\s+([\[{])", here)):
        return line, f"a text may not begin with {found[1]}; {quote}"
    if "expected <block end>" in said and "scalar" in said:
        return line, f"something follows a closed quotation mark, or a line is too far in; {quote}, or mend the spaces"
    if re.search(r"but found '(-|<block sequence start>)'", said) and above.startswith("{"):
        return line - 1, f"{hyphen} '- {_short(above)}'"
    if "expected <block end>" in said:
        return line, "this line is not as far in as the others it belongs to; mend the spaces at its beginning"
    if "could not find expected ':'" in said:
        return began, no_colon
    return line, said if "not used here" in said else f"broken YAML: {said or context}"


def _opened_before(at: yaml.Mark, text: list[str]) -> int:
    """The line above ``at`` whose quotation mark was closed by the one that was to open a text on the line of ``at``.

    0 where there is none.
    """
    for sign in "\"'":
        if text[at.line : at.line + 1] and text[at.line][: at.column].count(sign) % 2:
            above = next((number for number in range(at.line, 0, -1) if sign in text[number - 1]), 0)
            if above and re.search(rf"(?:[:,{{\[]|^\s*-)\s+{sign}[^{sign}]*$", text[above - 1]):
                return above
    return 0


def _tab(line: str) -> str:
    return "a tab at the beginning; use spaces" if line.lstrip(" ")[:1] == "\t" else "a tab; use spaces"


def _short(text: str) -> str:
    return f"{text[:40]}…" if len(text) > 40 else text


def _open_bracket(began: int, line: int, text: list[str]) -> tuple[int, str]:
    """What is wrong between a bracket and where something else than a comma or its end was found."""
    opening = next((sign for sign in re.findall(r"[{\[]", text[began - 1])), "{")
    closing = {"{": "}", "[": "]"}[opening]
    if line > began:
        return began, f"a {opening} opens here and is not closed before line {line}; add {closing}, or a comma between"
    if opening == "[":
        return line, 'a comma is missing between two entries, or a text with a sign in it needs "quotes"'
    return (
        line,
        'a comma is missing before the next key; write {key: value, key: value}, and texts with signs in "quotes"',
    )
