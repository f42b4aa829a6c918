"""Text from data is data: hostile text in every text field of every data file, none of it alive in what is built."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import yaml
from access import kinds_of_page
from conftest import ROOT, build
from playwright.sync_api import Browser
from pypdf import PdfReader
from smallproject import fields, small_project, yaml_data, yaml_text

from beginnerband.data.book import load_book
from beginnerband.data.problems import DataError
from beginnerband.data.yamlfile import QUICK, _Loader

HOSTILE = "</script><b-x onclick=1>\"'>[a](javascript:c)#x{{1}}"
"""Closes a script, opens an element, leaves an attribute, is a link in Markdown, code in Typst and in a template."""
MARK = "b-x"
SCRIPTED = ("take-away/pocket.html", "look-up.html", "course/lesson-05.html", "tunes/hot-cross-buns.html", "index.html")
"""Pages whose scripts show text from data."""
WORDS = re.compile(r"[A-Za-z]{3,}.* |.* [A-Za-z]{3,}")
NAMES = {"american", "british", "plural", "name", "title", "also"}
"""Fields of names: words for people, though often one."""
NAME = re.compile(r"[a-z0-9-]+( [a-z0-9-]+){0,2}")  # "whole rest" in the ladder is the name of a thing, not words
ABC_TEXT = re.compile(r"^(T|C|O|N|S|H|R|Z|B|D|F|w|W):")


def test_the_small_project_has_every_field_of_the_content(site: Path, tmp_path: Path) -> None:
    """So that what is shown of it stands for the whole."""
    assert fields(ROOT) <= fields(small_project(tmp_path))


@pytest.mark.browser
def test_hostile_text_in_every_text_field_is_dead_in_everything_that_is_built(
    site: Path, tmp_path: Path, browser: Browser
) -> None:
    root = small_project(tmp_path)
    assert title_pages(root) > 40
    poisoned = poison(root)
    assert poisoned > 2000, "hardly any field took the text; the test would prove nothing"
    run = build(root)
    assert run.returncode == 0, run.stderr
    built = root / "site"
    living = [complaint for path in sorted(built.rglob("*")) if path.is_file() for complaint in alive(path, built)]
    assert not living, "\n".join(living[:40])
    seen = sum(MARK in path.read_text(encoding="utf-8") for path in built.rglob("*.html"))
    assert seen > 150, "the text was to be shown, as text"
    assert kinds_of_page(built) == kinds_of_page(site), "what is not built is not looked at"
    page = browser.new_context(bypass_csp=True).new_page()  # the policy would hide what the pages let through
    for name in SCRIPTED:
        page.goto((built / name).as_uri())
        page.wait_for_load_state()
        assert page.locator(f"{MARK}, [onclick], [href^='javascript:']").count() == 0, name
    box = page.get_by_role("textbox", name="Search")
    box.press_sequentially("lesson")
    page.locator(".md-search-result__link").first.wait_for()
    assert page.locator(MARK).count() == 0, "a result of search"
    page.context.close()


# ---- putting it in ---------------------------------------------------------------------------------------------------


def poison(root: Path) -> int:
    """Append the hostile text to every field that takes it; returns to how many. What is refused is left as it was."""
    paths = [path for path in sorted((root / "content").rglob("*")) if path.suffix in Poisoned.KINDS]
    fields = {field for path in paths if path.suffix == ".yml" for field in word_fields(path)}
    files = {path: Poisoned(path, fields) for path in paths}
    for file in files.values():
        file.write()
    for _ in range(12):
        refused = 0
        for path, line in problems_of(root):
            refused += files[path].give_up(line) if path in files else 0
        if not refused:
            break
        for file in files.values():
            file.write()
    assert not list(problems_of(root))
    return sum(len(file.changed) for file in files.values())


def title_pages(root: Path) -> int:
    """Append markup to the title of every written page; returns to how many. (What acts is refused there: see
    ``test_written.py``.)"""
    changed = 0
    for path in sorted((root / "handbook").rglob("*.md")):
        text, found = re.subn(
            r'(?m)\A(---\n(?:.*\n)*?title: )"?([^"\n]*)"?$',
            lambda match: match[1] + json.dumps(f"{match[2]} <{MARK} title=\"'>&amp;", ensure_ascii=False),
            path.read_text(encoding="utf-8"),
        )
        path.write_text(text, encoding="utf-8")
        changed += found
    return changed


def problems_of(root: Path) -> Iterator[tuple[Path, int]]:
    try:
        load_book(root)
    except DataError as error:
        for problem in error.problems:
            yield root / problem.file, problem.line


class Poisoned:
    """A data file, one field a line, with the hostile text in all fields but those that refused it."""

    KINDS = (".yml", ".abc")

    def __init__(self, path: Path, fields: set[str]) -> None:
        self.path = path
        # braces of a course are marks, and unknown ones refused
        self.hostile = HOSTILE.replace("{{1}}", "") if path.parent.name == "course" else HOSTILE
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".yml":
            text = yaml_text(yaml.load(text, _Loader))
            self.changed = set(text_lines(text, fields))
        else:
            self.changed = {number for number, line in enumerate(text.split("\n")) if ABC_TEXT.match(line)}
        self.lines = text.split("\n")
        self.with_text = {number: self._with_text(self.lines[number]) for number in self.changed}

    def write(self) -> None:
        lines = [self.with_text[number] if number in self.changed else line for number, line in enumerate(self.lines)]
        self.path.write_text("\n".join(lines), encoding="utf-8")

    def _with_text(self, line: str) -> str:
        if self.path.suffix == ".abc":
            return f"{line} {self.hostile}"
        before, value = re.fullmatch(r"(\s*(?:- )*(?:[\w-]+: )?)(.*)", line).groups()  # type: ignore[union-attr]
        return before + json.dumps(f"{yaml_data(value)} {self.hostile}", ensure_ascii=False)

    def give_up(self, line: int) -> int:
        """Leave the field on ``line`` as it was; where the mistake is in no one field, leave the whole file."""
        before = len(self.changed)
        self.changed = self.changed - {line - 1} if line - 1 in self.changed else set()
        return before - len(self.changed)


def is_words(value: str) -> bool:
    return bool(WORDS.search(value)) and not NAME.fullmatch(value)


def scalars(node: yaml.Node, field: str = "") -> Iterator[tuple[str, yaml.ScalarNode]]:
    """Every value with the last key above it."""
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            yield from scalars(value, key.value)
    elif isinstance(node, yaml.SequenceNode):
        for value in node.value:
            yield from scalars(value, field)
    elif isinstance(node, yaml.ScalarNode):
        yield field, node


def word_fields(path: Path) -> Iterator[str]:
    """Fields of a file in which there is ever more than one word for people."""
    for field, node in scalars(yaml.compose(path.read_text(encoding="utf-8"), QUICK)):
        if is_words(node.value) or field in NAMES:
            yield field


def text_lines(text: str, fields: set[str]) -> Iterator[int]:
    """Numbers of the lines, on one line, of a field that holds words: ids, keys and notes would only be refused."""
    for field, node in scalars(yaml.compose(text, QUICK)):
        one_line = node.start_mark.line == node.end_mark.line
        if one_line and (is_words(node.value) or (field in fields and node.tag.endswith(":str"))):
            yield node.start_mark.line


# ---- looking for it --------------------------------------------------------------------------------------------------


def alive(path: Path, site: Path) -> Iterator[str]:
    """What in one built file would act on the hostile text, or was broken by it."""
    name = path.relative_to(site).as_posix()
    if path.suffix == ".html":
        page = Watcher()
        page.feed(path.read_text(encoding="utf-8"))
        yield from (f"{name}: {complaint}" for complaint in page.complaints)
    elif path.suffix in (".json", ".webmanifest"):
        json.loads(path.read_text(encoding="utf-8"))
    elif path.suffix in (".svg", ".musicxml"):
        if any(MARK in str(element.tag) for element in ElementTree.parse(path).iter()):
            yield f"{name}: an element of the text"
    elif path.suffix == ".pdf" and pdf_links(path.read_bytes()):
        yield f"{name}: a link made of the text"


def pdf_links(content: bytes) -> list[str]:
    found = []
    for page in PdfReader(io.BytesIO(content)).pages:
        for annotation in page.get("/Annots") or []:
            action = annotation.get_object().get("/A") or {}
            if "javascript:" in str(action.get("/URI", "")) or "/JS" in action:
                found.append(str(action))
    return found


class Watcher(HTMLParser):
    """Notes every element, attribute and script that the hostile text would have made."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.complaints: list[str] = []
        self.script: dict[str, str | None] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == MARK:
            self.complaints.append(f"a living <{tag}> at {self.getpos()}")
        for name, value in attrs:
            if name.startswith("on"):
                self.complaints.append(f"{name} on <{tag}> at {self.getpos()}")
            if name in ("href", "src", "action") and (value or "").strip().lower().startswith("javascript:"):
                self.complaints.append(f"{name}={value!r} at {self.getpos()}")
        if tag == "script":
            self.script = dict(attrs)

    def handle_data(self, data: str) -> None:
        if self.script is None or "src" in self.script:
            return
        if "json" in (self.script.get("type") or ""):
            json.loads(data)
        elif f"<{MARK}" in data:
            self.complaints.append(f"the text as markup inside a script at {self.getpos()}")

    def handle_endtag(self, tag: str) -> None:
        if tag == "script":
            self.script = None


# ---- the looking itself must be able to fail -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "html",
    [
        f"<p>{HOSTILE}</p>",
        "<a href='javascript:c'>a</a>",
        "<p onclick=1>",
        f"<script>let x = '<{MARK}>'</script>",
    ],
)
def test_living_text_is_noticed(html: str, tmp_path: Path) -> None:
    (tmp_path / "x.html").write_text(html)
    assert list(alive(tmp_path / "x.html", tmp_path))


def test_data_broken_by_the_text_is_noticed(tmp_path: Path) -> None:
    data: Any = json.dumps({"title": HOSTILE})
    (tmp_path / "x.html").write_text(f'<script type="application/json">{data}</script>')
    with pytest.raises(json.JSONDecodeError):
        list(alive(tmp_path / "x.html", tmp_path))
