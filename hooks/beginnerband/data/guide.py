"""The guide: its sections in ``content/guide.yml``, its pages in ``handbook/guide/``.

A page of the guide keeps a promise: it says what to say, what to look and listen for, what usually goes wrong and when
to stop; every figure carries its source, what holds for some instruments only is checked against them, and its end
leads back to the lesson that needs it. What carries no source is common practice, and each page says so once. What
breaks the promise is a problem with its line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field, replace
from pathlib import Path
from typing import Annotated

from pydantic import Field

from beginnerband.data.blocktext import blocks_in
from beginnerband.data.claims import UNCHECKED, unchecked
from beginnerband.data.glossary import Term, in_title, load_glossary
from beginnerband.data.pictures import Picture, load_pictures
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.sources import COMMON_PRACTICE, Source, load_sources
from beginnerband.data.textfile import last_net, near_file, read_text
from beginnerband.data.troubles import Troubles, load_troubles
from beginnerband.data.yamlfile import Located, Strict, load, parsed, validate

PARTS = ("Say", "Look and listen", "What goes wrong", "Stop when")
"""Headings every page of the guide has, in this order."""

OWN_FORM = ("troubles",)
"""Pages that are a table and not a lesson in four parts."""

NO_WAY_BACK = "no way back to the lesson that needs this page; end it with [[back]]"

UNLISTED = ("index", "words", "sources")
"""Pages of the folder that stand outside the sections."""

_OPENS = re.compile(r"\s*([-|>]|\d+\.\s|#)")
_NOT_PROSE = re.compile(
    r"\[\[.*?\]\]|!\[.*?\]\[.*?\]|\]\(.*?\)|^ {0,3}\[[^\]]+\]:.*$|</?[a-z][^<>]*>|&#?\w+;"  # blocks, links, elements
    r"|^\s*\d+\.\s|^#.*$",
    re.M | re.I,
)


class GuideSectionFile(Strict):
    """A section as written."""

    title: str
    """Heading."""
    about: str
    """One line about it."""
    pages: Annotated[list[str], Field(min_length=1)]
    """Page names in order."""


class GuideFile(Strict):
    """``content/guide.yml`` as written."""

    sections: dict[str, GuideSectionFile]
    """Sections by id, in order."""


class FrontMatter(Strict):
    """The lines between ``---`` at the top of a page."""

    title: Annotated[str, Field(min_length=1, max_length=60)]
    """Title, for headings and the navigation."""
    stages: Annotated[list[str], Field(min_length=1)]
    """Stages of the course whose lessons need the page."""
    summary: Annotated[str, Field(min_length=1, max_length=120)]
    """One line about it."""


Known = tuple[dict[str, Source], dict[str, Picture]]
"""Sources and pictures that a page may refer to."""


@dataclass(frozen=True, slots=True)
class GuidePage:
    """A page of the guide."""

    name: str
    """File name without its ending, as ``breathing``."""
    _: KW_ONLY
    title: str
    """Its title."""
    summary: str
    """One line about it."""
    stages: tuple[str, ...]
    """Stages whose lessons need it."""
    sources: tuple[str, ...]
    """Ids of the sources it uses, by first use, without common practice, which is behind every page."""
    text: str = field(repr=False)
    """Its Markdown, below the front matter."""

    @property
    def uri(self) -> str:
        """Where it is, as ``guide/breathing.md``."""
        return f"guide/{self.name}.md"


@dataclass(frozen=True, slots=True)
class GuideSection:
    """A section of the guide."""

    title: str
    """Heading."""
    about: str
    """One line about it."""
    pages: tuple[GuidePage, ...]
    """Its pages in order."""


@dataclass(frozen=True, slots=True)
class Guide:
    """The guide, its glossary, sources and trouble table."""

    sections: tuple[GuideSection, ...]
    """Sections in order."""
    glossary: Mapping[str, Term] = field(repr=False)
    """Terms by id."""
    sources: Mapping[str, Source] = field(repr=False)
    """Sources by id."""
    troubles: Troubles = field(repr=False)
    """Trouble table and path."""
    pictures: Mapping[str, Picture] = field(repr=False)
    """Words of the drawings by id."""

    def pages(self) -> Iterator[GuidePage]:
        """Every page in order."""
        for section in self.sections:
            yield from section.pages

    def page(self, name: str) -> GuidePage | None:
        """The page called ``name``, or ``None``."""
        return next((page for page in self.pages() if page.name == name), None)


def load_guide(
    root: Path, stages: Sequence[str] | None, problems: Problems, band: tuple[str, str] = ("", "british")
) -> Guide | None:
    """Load everything the guide is made of, and check its pages and what refers to them.

    ``stages`` are the course's stage ids, or ``None`` when there is no course to check against; ``band`` is the name
    and the English of the band, of which titles may speak.
    """
    sources = load_sources(root, problems)
    glossary = load_glossary(root, problems)
    pictures = load_pictures(root, sources, problems)
    troubles = load_troubles(root, sources, problems)
    loaded = load(GuideFile, root / "content" / "guide.yml", problems)
    if loaded is None or troubles is None:
        return None
    folder = root / "handbook" / "guide"
    present = {path.stem for path in folder.glob("*.md")}
    sections = _load_sections(*loaded, folder, present, (sources, pictures), problems)
    sections = tuple(_said(section, folder, band, glossary, problems) for section in sections)
    for page in (page for section in sections for page in section.pages):
        for stage in page.stages:
            if stages is not None and stage not in stages:
                hint = did_you_mean(stage, stages)
                problems.add(folder / f"{page.name}.md", 3, f"no stage {stage!r} in the course{hint}")
    guide = Guide(sections, glossary, sources, troubles, pictures)
    _check_references(root, guide, present, problems)
    return guide


def _load_sections(
    file: GuideFile, located: Located, folder: Path, present: set[str], known: Known, problems: Problems
) -> tuple[GuideSection, ...]:
    sections, listed = [], set[str]()
    for section_id, section in file.sections.items():
        pages = []
        for number, name in enumerate(section.pages):
            line = located.line("sections", section_id, "pages", number)
            if name in listed:
                problems.add(located.path, line, f"the page {name!r} is listed twice")
            elif name not in present:
                _no_page(folder, located.path, line, f"no page {name!r} in handbook/guide", name, present, problems)
            else:
                with last_net(folder / f"{name}.md", problems):
                    if page := _load_page(folder / f"{name}.md", *known, problems):
                        pages.append(page)
            listed.add(name)
        sections.append(GuideSection(section.title, section.about, tuple(pages)))
    for name in sorted(present - listed - set(UNLISTED)):
        problems.add(folder / f"{name}.md", 1, "this page is in no section; list it in content/guide.yml")
    return tuple(sections)


def _said(
    section: GuideSection, folder: Path, band: tuple[str, str], glossary: Mapping[str, Term], problems: Problems
) -> GuideSection:
    """A section whose pages' titles and summaries have their words in the place of blocks."""

    def said(page: GuidePage) -> GuidePage:
        path = folder / f"{page.name}.md"
        with last_net(path, problems):
            try:
                title, summary = (in_title(text, *band, glossary) for text in (page.title, page.summary))
                return replace(page, title=title, summary=summary)
            except ValueError as error:
                problems.add(path, 2, str(error))
        return page

    return replace(section, pages=tuple(map(said, section.pages)))


def _check_references(root: Path, guide: Guide, present: set[str], problems: Problems) -> None:
    """Pages that the glossary and the trouble table name must be there."""
    for file, place, page in [
        *(("glossary.yml", term_id, term.page) for term_id, term in guide.glossary.items()),
        *(("troubles.yml", key, cause.page) for key, item in guide.troubles.troubles.items() for cause in item.causes),
    ]:
        if page not in present:
            path = root / "content" / file
            line = next(
                (
                    n
                    for n, text in enumerate((read_text(path, problems) or "").split("\n"), 1)
                    if re.fullmatch(rf"page:\s*(['\"]?){re.escape(page)}\1", text.strip())
                ),
                0,
            )
            said = f"{place}: no page {page!r} in handbook/guide"
            _no_page(root / "handbook" / "guide", path, line, said, page, present, problems)


def _no_page(folder: Path, path: Path, line: int, said: str, page: str, present: set[str], problems: Problems) -> None:
    """Say that a page is not there; where its file has another ending, that is what is wrong."""
    near = near_file(folder / f"{page}.md")
    if near:
        problems.add(folder / near, 0, f"a page has the ending .md; give this file the name {page}.md")
    problems.add(path, line, f"{said}{did_you_mean(page, present)}", follows=folder / near if near else "")


def _load_page(
    path: Path, sources: dict[str, Source], pictures: dict[str, Picture], problems: Problems
) -> GuidePage | None:
    whole = read_text(path, problems)
    if whole is None:
        return None
    match = re.match(r"---\n(.*?)\n---\n", whole, re.S)
    if not match:
        problems.add(path, 1, "the page must begin with '---', its title, stages and summary, and '---'")
        return None
    front = _front_matter(path, match[1], problems)
    body, above = whole[match.end() :], whole[: match.end()].count("\n")
    if front is None:
        return None
    if path.stem not in OWN_FORM:
        _check_parts(path, body, above, problems)
    _check_figures(path, body, above, problems)
    _check_claims(path, body, above, problems)
    if body.rstrip().rsplit("\n", 1)[-1].strip() != "[[back]]":
        line = above + body.rstrip().count("\n") + 1
        below = "[[back]]" in map(str.strip, body.split("\n"))
        message = "this stands below [[back]], which ends a page; move it above" if below else NO_WAY_BACK
        problems.add(path, line, message)
    blocks = [*blocks_in(body)]
    shown = [pictures[name] for block in blocks if block.name == "picture" for name in block.words if name in pictures]
    facts = [block.named.get("src", "") for block in blocks if block.name == "fact"]
    named = [*facts, *(source for picture in shown for source in picture.sources)]
    used = tuple(dict.fromkeys(source for source in named if source in sources and source != COMMON_PRACTICE))
    return GuidePage(
        name=path.stem, title=front.title, summary=front.summary, stages=tuple(front.stages), sources=used, text=body
    )


def _front_matter(path: Path, text: str, problems: Problems) -> FrontMatter | None:
    located = parsed(text, path, problems, above=1)
    return None if located is None else validate(FrontMatter, located, problems)


def _may_be(line: str, part: str) -> bool:
    """Whether a line was probably to be the heading of a part: misspelled, of another size, or in bold letters."""
    said = line.strip("# *")
    if said.casefold() == part.casefold():
        return True
    return line.startswith("## ") and f"did you mean {part!r}" in did_you_mean(said, PARTS)


def _check_parts(path: Path, body: str, above: int, problems: Problems) -> None:
    """All four parts, in order, each with something in it."""
    lines = body.split("\n")
    heads = [(number, line[3:].strip()) for number, line in enumerate(lines) if line.startswith("## ")]
    if [head for _, head in heads if head in PARTS] != list(PARTS):
        there = [head for _, head in heads]
        lacking = next((part for part in PARTS if part not in there), "")
        near = [number for number, line in enumerate(lines) if lacking and _may_be(line, lacking)]
        number = near[0] if near else 0
        missing = f"the part '## {lacking}' is missing; " if lacking else ""
        message = f"{missing}the page must have the parts {', '.join(f'## {part}' for part in PARTS)}, in order"
        problems.add(path, above + number + 1, message)
        return
    for place, (number, head) in enumerate(heads):
        end = heads[place + 1][0] if place + 1 < len(heads) else len(lines)
        if head in PARTS and not "".join(lines[number + 1 : end]).replace("[[back]]", "").strip():
            problems.add(path, above + number + 1, f"'{head}' is empty")


def _check_claims(path: Path, body: str, above: int, problems: Problems) -> None:
    """Every passage that speaks of what differs from instrument to instrument is checked against them."""
    for first, passage in _passages(body):
        if what := unchecked(passage):
            problems.add(path, above + first + 1, UNCHECKED.format(what))


def _check_figures(path: Path, body: str, above: int, problems: Problems) -> None:
    """Every paragraph, list item or table row with a figure in it has a source."""
    for first, passage in _passages(body):
        figure = re.search(r"\S*\d\S*", _NOT_PROSE.sub("", passage))
        if figure and not any(block.name == "fact" for block in blocks_in(passage)):
            message = f"the figure {figure[0]!r} has no source; add [[fact src=…]], or [[fact src=common-practice]]"
            problems.add(path, above + first + 1, message)


def _passages(body: str) -> Iterator[tuple[int, str]]:
    """Paragraphs, list items, quoted lines and table rows, each with its first line (from 0)."""
    first, lines = 0, list[str]()
    for number, line in enumerate([*body.split("\n"), ""]):
        if lines and (not line.strip() or _OPENS.match(line)):
            yield first, "\n".join(lines)
            lines = []
        if line.strip():
            first = first if lines else number
            lines.append(line)
