"""What pages people write may hold: nothing on them acts by itself or fetches from another host."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import ROOT

from beginnerband.data.problems import Problems
from beginnerband.data.written import acting, check_page, check_written

RUNS = "runs a script; lead it to a page or an address that begins with https://"
PICTURE = "a picture on another host is missing without a signal; put its file into handbook/ and name that"


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
        "The data: see below. [A page](look-up.md), [a site](https://x.example/), ![a](picture.png)",
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
