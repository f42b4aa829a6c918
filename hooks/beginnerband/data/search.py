"""Words that leaders type into the search: ``content/search.yml``."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Annotated

from pydantic import Field

from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.yamlfile import Strict, load

FILE = Path("content") / "search.yml"
"""The file, from the project's root."""
NAMED = 3
"""So many pages are named of those that are no more; the others are counted."""

Words = Annotated[str, Field(min_length=1, max_length=60)]


class SearchWords(Strict):
    """The file, as written and as used."""

    same: list[Annotated[list[Words], Field(min_length=2)]] = Field(default_factory=list)
    """Names of one thing."""
    alike: list[Annotated[list[Words], Field(min_length=2)]] = Field(default_factory=list)
    """Everyday words that are asked for one another."""
    akin: list[Annotated[list[Words], Field(min_length=2)]] = Field(default_factory=list)
    """Words of one subject, which are asked for one another now and then."""
    kinds: dict[str, Annotated[list[Words], Field(min_length=1)]] = Field(default_factory=dict)
    """Names of things by the word for all of their kind."""
    whole: list[Words] = Field(default_factory=list)
    """Words that are no form of a shorter one."""
    drop: list[Words] = Field(default_factory=list)
    """Words left out of a question."""
    pages: dict[str, Annotated[list[Words], Field(min_length=1)]] = Field(default_factory=dict)
    """What a page is looked for by, beside its title: by page, as ``guide/hearing.md``, or by an entry of the guide's
    lists, as ``guide/troubles.md#squeak``."""

    def of_questions(self) -> dict[str, object]:
        """What the search's scripts need to read a question; ``search.d.ts`` has the types."""
        return self.model_dump(include={"same", "alike", "akin", "kinds", "whole", "drop"})


def load_search(root: Path, problems: Problems) -> SearchWords:
    """Load the file; without one, or with problems noted, there are no words."""
    if not (root / FILE).exists():
        return SearchWords()
    loaded = load(SearchWords, root / FILE, problems)
    return loaded[0] if loaded else SearchWords()


def check_pages(root: Path, words: SearchWords, pages: Collection[str], problems: Problems) -> None:
    """Note a problem for every page of the file that is not among ``pages``, the handbook's and its lists' entries.

    A tune, a piece or an instrument may be taken out of the content; that its words then lead nowhere is a remark.
    """
    loaded = load(SearchWords, root / FILE, problems) if words.pages else None
    gone = [uri for uri in words.pages if loaded and uri not in pages]
    taken_out = [uri for uri in gone if uri.startswith(("tunes/", "pieces/", "instruments/"))]
    if taken_out:
        more = f" and {len(taken_out) - NAMED} more" if len(taken_out) > NAMED else ""
        said = f"pages: words for what is not there are left out: {', '.join(taken_out[:NAMED])}{more}"
        problems.remark(root / FILE, 0, said)
    for uri in gone:
        if loaded and uri not in taken_out:
            line = loaded[1].line("pages", uri)
            problems.add(root / FILE, line, f"pages: there is no page {uri!r}{did_you_mean(uri, pages)}")
