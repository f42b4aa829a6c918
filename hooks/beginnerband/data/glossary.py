"""The glossary: ``content/glossary.yml``, every trade term in American and British words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated

from pydantic import Field, model_validator

from beginnerband.data.blocktext import BLOCK, taken_apart
from beginnerband.data.problems import Problems, nearest
from beginnerband.data.yamlfile import Strict, load


class Plural(Strict):
    """A plural in both uses."""

    american: str
    """As ``half notes``."""
    british: str
    """As ``minims``."""


class Term(Strict):
    """One term as written: ``name``, or ``american`` and ``british`` where they differ."""

    name: str = ""
    """The term, when both uses have one word for it."""
    american: str = ""
    """The American word."""
    british: str = ""
    """The British word."""
    plural: Plural | None = None
    """Its plural; left out, an ``s`` is added."""
    also: list[str] = Field(default_factory=list)
    """Other forms that mean the same, as ``buzzing``."""
    auto: bool = True
    """Whether its first use on a page is explained without being asked to."""
    means: Annotated[str, Field(min_length=1)]
    """What it means, in one or two plain sentences."""
    page: str
    """The guide page that says more."""

    @model_validator(mode="after")
    def _named(self) -> Term:
        if bool(self.name) == bool(self.american or self.british) or bool(self.american) != bool(self.british):
            raise ValueError("write 'name', or both 'american' and 'british'")
        return self

    def word(self, english: str, plural: bool = False) -> str:
        """The term in ``english``, ``american`` or ``british``, without a note in brackets when plural."""
        name = self.name or (self.american if english == "american" else self.british)
        if not plural:
            return name
        if self.plural:
            return self.plural.american if english == "american" else self.plural.british
        return bare(name) + "s"

    def spoken(self, english: str, plural: bool = False, *, capital: bool = False) -> str:
        """The same without a note in brackets, in the middle of a sentence or with a ``capital``."""
        text = bare(self.word(english, plural))
        return text[:1].upper() + text[1:] if capital else text

    def forms(self, english: str) -> tuple[str, ...]:
        """Every form a page of this band may use, without notes in brackets."""
        return tuple(dict.fromkeys((bare(self.word(english)), self.word(english, plural=True), *self.also)))


class GlossaryFile(Strict):
    """The file as written."""

    terms: Annotated[dict[str, Term], Field(min_length=1)]
    """Terms by id."""


def id_of_term(name: str, glossary: Mapping[str, Term]) -> str:
    """Id of the term that is written ``name``, with or without a capital; ``ValueError`` where there is none."""
    ident = name[:1].lower() + name[1:]
    if ident not in glossary:
        words = {form: key for key, term in glossary.items() for form in term.forms("american") + term.forms("british")}
        ids = words | {key: key for key in glossary}
        near = nearest(ident, ids)
        hint = f"; did you mean {ids[near]!r}?" if near else ""
        raise ValueError(f"the glossary has no term {name!r}{hint}")
    return ident


def in_title(text: str, band: str, english: str, glossary: Mapping[str, Term]) -> str:
    """A title with ``[[band-name]]`` and ``[[word …]]`` said; ``ValueError`` for a block that makes more than words."""

    def said(match: re.Match[str]) -> str:
        block = taken_apart(match)
        name, *more = block.words or ("",)
        if block.name == "band-name":
            return band
        if block.name != "word" or more not in ([], ["plural"]) or block.named:
            raise ValueError(f"a title holds words alone: [[band-name]] or [[word …]], not [[{block.name}]]")
        term = glossary[id_of_term(name, glossary)]
        return term.spoken(english, bool(more), capital=name[:1].isupper())

    return BLOCK.sub(said, text)


def bare(name: str) -> str:
    """A name without its note in brackets: ``sharp`` for ``sharp (tuning)``."""
    return re.sub(r"\s*\(.*?\)", "", name)


def load_glossary(root: Path, problems: Problems) -> dict[str, Term]:
    """Load the terms, by id in file order; one name for two terms is a problem, and one form that would mean two."""
    loaded = load(GlossaryFile, root / "content" / "glossary.yml", problems)
    if loaded is None:
        return {}
    file, located = loaded
    for words in ("american", "british"):
        for term_id, wrong in _of_two_meanings(file.terms, words):
            problems.add(located.path, located.line("terms", term_id), wrong)
    return dict(file.terms)


def _of_two_meanings(terms: Mapping[str, Term], words: str) -> Iterator[tuple[str, str]]:
    """Ids of terms whose name, or a form that a page would explain, belongs to one before them, and what to do."""
    names: dict[str, str] = {}
    owner: dict[str, str] = {}
    for term_id, term in terms.items():
        name = term.word(words)
        first = names.setdefault(name.casefold(), term_id)
        if first != term_id:
            apart = f"as '{bare(name)} (…)' with what it belongs to"
            yield term_id, f"{name!r} is already the name of {first!r}; tell them apart in brackets, {apart}"
            continue
        for form in term.forms(words) if term.auto else ():
            first = owner.setdefault(form.lower(), term_id)
            if first != term_id:
                yield term_id, f"{form!r} already means {first!r}; give one of them 'auto: false'"
