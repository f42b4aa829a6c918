"""What pages people write may hold: nothing on them acts by itself or fetches from another host."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import ROOT

from beginnerband.data.book import Book
from beginnerband.data.page_anchors import check_anchors
from beginnerband.data.page_links import MADE, check_links, check_links_to_written
from beginnerband.data.problems import Problems
from beginnerband.data.written import acting, check_page, check_written
from beginnerband.pages import blocks
from beginnerband.products import Products

RUNS = "runs a script; lead it to a page or an address that begins with https://"
PICTURE = "a picture on another host is missing without a signal; put its file into handbook/ and name that"

FILE = "a link to a file of one computer leads nowhere on others; put the file into handbook/ and name that"


@pytest.mark.parametrize(
    ("text", "line", "said"),
    # What a browser takes for a script's address: WHATWG URL Standard, 4.4 (tabs and line ends are taken out of it).
    [
        ("[a](javascript:c)", 1, f"a link that begins with javascript: {RUNS}"),
        ("a\n\n[a]( JavaScript:c )", 3, f"a link that begins with javascript: {RUNS}"),
        ("[a](java&#115;cript&colon;c)", 1, f"a link that begins with javascript: {RUNS}"),
        ('a\n<a href="java\nscript:c">', 2, f"a link that begins with javascript: {RUNS}"),
        ("[a][b]\n\n[b]: javascript:c", 3, f"a link that begins with javascript: {RUNS}"),
        ("<javascript:c>", 1, f"a link that begins with javascript: {RUNS}"),
        ("[a](vbscript:c)", 1, f"a link that begins with vbscript: {RUNS}"),
        ("[a](data:text/html,x)", 1, f"a link that begins with data: {RUNS}"),
        ("[a](www.x.example/Y)", 1, "a link that begins with www. leads nowhere; write https:// before it"),
        ("a\n[a](file:///C:/notes.pdf)", 2, FILE),
        ("[a](<C:\\notes.pdf>)", 1, FILE),
        ("a [b]\n\n[b]: file://host/notes.pdf", 3, FILE),
        ('<a href="file:notes.pdf">a</a>', 1, FILE),
        ("![a](http://x.example/y.png)", 1, PICTURE),
        ("a\n![a](//x.example/y.png)", 2, PICTURE),
        ("![a][b]\n\n[b]: https://x.example/y.png", 1, PICTURE),
        ("<img alt='' src=https://x.example/y.png>", 1, PICTURE),
        ("<b style='background: url(//x.example/y.png)'>", 1, PICTURE),
        ("a\n<script>c</script>", 2, "an element <script> may not stand on a page; leave it out"),
        ("<iframe src='x.html'></iframe>", 1, "an element <iframe> may not stand on a page; leave it out"),
        ("<p onclick='c'>", 1, "a page may not do something by itself (onclick=…); leave it out"),
        ("# Title {: onmouseover=c }", 1, "a page may not do something by itself (onmouseover=…); leave it out"),
    ],
)
def test_what_would_act_is_refused_on_its_line(text: str, line: int, said: str) -> None:
    assert (line, said) in list(acting(text))


@pytest.mark.parametrize(
    "text",
    [
        "Write `[a](javascript:c)` nowhere.",
        "```\n<script>c</script>\n```",
        "The data: see below. Save the file: [A page](look-up.md), [a site](https://x.example/), ![a](picture.png)",
        "Play on = off, and <b>loud</b>. | once | two |",
        '[[word quarter-note]] <div class="bb-card" markdown>',
    ],
)
def test_what_does_nothing_is_let_through(text: str) -> None:
    assert not list(acting(text))


def test_the_shipped_pages_are_let_through() -> None:
    problems = Problems(ROOT)
    check_written(ROOT, problems)
    assert not [str(each) for each in problems]


def test_the_front_matter_of_a_page_is_its_title_and_little_else(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("---\ntitle: A\ntemplate: ../x.html\nhide: toc\n---\n\n# A\n", encoding="utf-8")
    problems = Problems(tmp_path)
    check_page(page, problems)
    assert sorted(map(str, problems)) == [
        "page.md:3: unknown key 'template'; use one of hide, search, stages, summary, title",
        "page.md:4: hide: 'toc' is no list; write [toc], or each on a line of its own that begins with a hyphen",
    ]


PAGES = {"guide/embouchure.md", "guide/holding.md", "look-up.md", "tunes/little-star.md"}
"""Pages that are there, the last of them made by the build."""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[a](embouchre.md)", "there is no page 'embouchre.md'; did you mean 'embouchure.md'?"),
        ("[a](embouchure.md#lips) [b](../tunes/little-star.md 'A star')", ""),
        ("[a](../../look-up.md)", "there is no page '../../look-up.md'; did you mean '../look-up.md'?"),
        (
            "[a](../tunes/litle-star.md)",
            "there is no page '../tunes/litle-star.md'; did you mean '../tunes/little-star.md'?",
        ),
        ("[a](embouchure/)", "a link to a page names its file; write embouchure.md"),
        ("[Note]: bring pencils", ""),
        ("[a](embouchure.html)", "a link to a page names its file; write embouchure.md"),
        ("[a](embouchure)", "a link to a page names its file; write embouchure.md"),
        ('<a href="embouchure.md">a</a>', "a link written in HTML names the built page; write embouchure.html"),
        ('<a href="embouchure.html#x">a</a> <a href="#x">b</a>', ""),
        ("<a href=embouchre.html>a</a>", "there is no page 'embouchre.html'; did you mean 'embouchure.html'?"),
        ("![me](me.png)", "there is no picture 'me.png'; put its file beside the page, or mend its name"),
        ("![me][1]\n\n[1]: me.png", "there is no picture 'me.png'; put its file beside the page, or mend its name"),
        ("<IMG alt='' SRC='me.png'>", "there is no picture 'me.png'; put its file beside the page, or mend its name"),
        ("<img srcset='me.png 2x'>", "there is no picture 'me.png'; put its file beside the page, or mend its name"),
        (
            "[![us](me.png)](embouchure.md)",
            "there is no picture 'me.png'; put its file beside the page, or mend its name",
        ),
        (
            "[![us](our%20band.png)](embouchre.md)",
            "there is no page 'embouchre.md'; did you mean 'embouchure.md'?",
        ),
        (
            "<img src='our band.png' srcset='our%20band.png 1x, me.png 2x'>",
            "there is no picture 'me.png'; put its file beside the page, or mend its name",
        ),
        ("<img srcset='our%20band.png, our%20band.png 2x' data-src='x.png'>", ""),
        ("![us](our%20band.png) <img src='our band.png'> ![x](../made.svg)", ""),
        ("`[a](embouchre.md)` [a](https://x.example/y) [b](mailto:a@band.example)", ""),
        ("[the file](../print/blank-card.pdf)", ""),
        ("[a] (embouchure.md)", "no space stands inside a link; write [a](embouchure.md)"),
        ("![a](www.band.example/a.png)", ""),
    ],
)
def test_a_link_or_picture_that_leads_nowhere_is_told(tmp_path: Path, text: str, said: str) -> None:
    folder = tmp_path / "handbook" / "guide"
    folder.mkdir(parents=True)
    (folder / "our band.png").write_bytes(b"")
    (folder / "page.md").write_text(f"# Page\n\n{text}\n", encoding="utf-8")
    problems = Problems(tmp_path)
    check_links(tmp_path, PAGES, {"made.svg"}, problems)
    line = 5 if "\n" in text else 3
    assert [str(each) for each in problems] == [f"handbook/guide/page.md:{line}: {said}"][: bool(said)]


WITH_HEADINGS = """---
title: Lips
---
# Lips and air

## Where *it* goes

Text <span id="by-hand">here</span>.

## Where it goes

## Own {#mine}

<div data-bb="00ff"></div>
"""


@pytest.mark.parametrize(
    ("link", "said"),
    [
        ("[a](lips.md#where-it-goes_1) [b](lips.md#mine) [c](lips.md#by-hand) [d](#page) <a href='#top'>e</a>", ""),
        ("[a](lips.md#computed) [b](made.md#of-a-room) <a href='../look-up.html#cornet/G4'>c</a>", ""),
        ("[a](lips.md#where-it-went)", "'lips.md' has no heading #where-it-went; did you mean #where-it-goes?"),
        ("<a href='lips.html#mines'>a</a>", "'lips.html' has no heading #mines; did you mean #mine?"),
        ("[a](lips.md#compute)", "'lips.md' has no heading #compute; did you mean #computed?"),
        ("[a](#pages)", "this page has no heading #pages; did you mean #page?"),
        ("[a](made.md#zzz)", "'made.md' has no heading #zzz; it has #made-page"),
        (
            "[a](lips.md#zzz)",
            "'lips.md' has no heading #zzz; it has #lips-and-air, #where-it-goes, #where-it-goes_1, #mine",
        ),
        ("`[a](lips.md#zzz)` [b](https://x.example/#zzz) [c](other.md#zzz) [d](lips.md#)", ""),
        ("[a](rules.pdf#page=3)", ""),  # which a browser reads
        ("[a](../look-up.md#cornet/C4) [b](../pieces/concert.md#g=30) [c](../tables/moving.md#cornet/eb-bass)", ""),
    ],
)
def test_a_link_to_a_heading_that_is_not_there_is_told(tmp_path: Path, link: str, said: str) -> None:
    """Ids of headings as the Markdown library makes them, which is what the site engine asks too."""
    (tmp_path / "handbook" / "guide").mkdir(parents=True)
    (tmp_path / "mkdocs.yml").write_text((ROOT / "mkdocs.yml").read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "handbook" / "look-up.md").write_text("# Look it up\n", encoding="utf-8")
    (tmp_path / "handbook" / "guide" / "lips.md").write_text(WITH_HEADINGS, encoding="utf-8")
    (tmp_path / "handbook" / "guide" / "page.md").write_text(f"# Page\n\n{link}\n", encoding="utf-8")
    (tmp_path / "handbook" / "guide" / "rules.pdf").write_bytes(b"%PDF-1.7")
    made = {"guide/made.md": '# Made page\n\n<div data-bb="0a0a"></div>\n', "pieces/concert.md": "# The concert\n"}
    made["tables/moving.md"] = "# Moving\n"
    fragments = {"00ff": "<p id='computed'>x</p>", "0a0a": '<p id="of-a-room">x</p>'}
    problems = Problems(tmp_path)
    check_anchors(tmp_path, made, fragments, problems)
    assert [str(each) for each in problems] == [f"handbook/guide/page.md:3: {said}"][: bool(said)]


@pytest.mark.parametrize("sign", ["&#x202E;", "&rlm;", "&#8203;"])
def test_a_sign_that_cannot_be_seen_is_told_however_it_is_written(sign: str) -> None:
    assert [message for _, message in acting(f"a\n{sign}b") if message.startswith(f"{sign} is a ")]


def test_what_can_only_lead_to_what_is_written_is_told_before_anything_is_made(tmp_path: Path) -> None:
    """A tune's page may still be made, and a picture beside it; a page of the guide, or a picture there, will not."""
    (tmp_path / "handbook" / "guide").mkdir(parents=True)
    (tmp_path / "handbook" / "tunes").mkdir()
    (tmp_path / "handbook" / "guide" / "page.md").write_text(
        "[a](../tunes/little-star.md) ![b](../tunes/star.svg) ![c](../assets/icon.svg) [d](page.md)\n"
        "[e](other.md)\n![f](me.png)\n[g](../home.md)\n",
        encoding="utf-8",
    )
    problems = Problems(tmp_path)
    check_links_to_written(tmp_path, problems)
    assert [(each.line, each.message.split(";")[0]) for each in problems] == [
        (2, "there is no page 'other.md'"),
        (3, "there is no picture 'me.png'"),
        (4, "there is no page '../home.md'"),
    ]


def test_rooms_put_nothing_beside_what_people_write(site: Path) -> None:
    """Else a link to it would be refused before it is made."""
    folder = ROOT / "handbook"
    for own in {path.name for path in folder.iterdir() if path.is_dir()} - {*MADE}:
        for page in (site / own).rglob("*.html"):
            assert (folder / page.relative_to(site).with_suffix(".md")).is_file(), page
        assert not [path for path in (site / own).rglob("*.svg") if not (folder / path.relative_to(site)).is_file()]


def test_a_page_on_which_a_block_fails_as_nobody_thought_of_is_named(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(text: str, *_: object) -> str:
        if "[[back]]" in text and "# Register" in text:
            raise LookupError("no such thing")
        return text

    monkeypatch.setattr(blocks, "titled", fail)
    problems = Problems(book.root)
    blocks.expand_all(book, Products(), problems, {})
    said = [each for each in problems if "LookupError: no such thing" in each.message]
    assert [(each.file, each.line) for each in said] == [("handbook/guide/register.md", 0)]
