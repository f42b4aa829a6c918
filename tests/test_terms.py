"""Explaining trade terms on finished pages."""

from __future__ import annotations

import re
from html import unescape

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from beginnerband.render.terms import Glossary, mark

GLOSSARY = Glossary.of(
    {
        "slur": {"means": "Joined notes.", "forms": ["slur", "slurs"]},
        "lip-slur": {"means": "A slur by lips alone.", "forms": ["lip slur", "lip slurs"]},
        "rest": {"means": "Silence.", "forms": []},
        "bar": {"means": "Beats between <two> lines & so on.", "forms": []},
    }
)


def marked(html: str) -> list[str]:
    return re.findall(r'class="bb-term-word"[^>]*>([^<]*)<', mark(html, "guide/x.md", GLOSSARY))


def test_only_the_first_use_is_marked_and_the_longest_term_wins() -> None:
    assert marked("<p>Lip slurs, then a slur. Slurs again; a lip slur.</p>") == ["Lip slurs", "slur"]


def test_headings_links_buttons_code_and_pictures_are_left_alone() -> None:
    for html in (
        "<h2>Slurs</h2>",
        '<a href="x">slur</a>',
        "<button>slur</button>",
        "<code>slur</code>",
        "<svg><text>slur</text></svg>",
        "<script>if (a<b) { slur }</script>",
        '<div data-terms="no"><p>slur</p></div>',
        '<img alt="slur">',
        "<!-- slur -->",
        "<p>slurry, unslur, lip-slurry</p>",
    ):
        assert marked(html) == [], html
        assert mark(html, "guide/x.md", GLOSSARY) == html


def test_marking_goes_on_after_what_is_left_alone() -> None:
    assert marked('<div data-terms="no"><div>slur</div></div><p>slur</p>') == ["slur"]
    assert marked("<h2>Slur <em>slur</em></h2><p>A slur<br>here</p>") == ["slur"]
    assert marked("<script>if (a<b) {}</script><p>slur</p>") == ["slur"]


def test_a_term_asked_for_is_always_explained_and_a_word_once() -> None:
    html = '<p><span data-word="bar">bar</span> <span data-word="bar">bars</span> <span data-term="bar">bar</span></p>'
    assert marked(html) == ["bar", "bar"]
    assert "data-word" not in mark(html, "guide/x.md", GLOSSARY)
    assert marked('<h2><span data-term="bar">bar</span></h2>') == []


def test_the_meaning_is_escaped_and_reached_by_keyboard_and_screen_reader() -> None:
    html = mark('<p><span data-term="bar">bar</span></p>', "course/lesson-01.md", GLOSSARY)
    assert "Beats between &lt;two&gt; lines &amp; so on." in html
    assert 'href="../guide/words.html#bar"' in html
    tip = re.search(r'aria-describedby="([^"]+)"', html)
    assert tip
    assert f'role="tooltip" id="{tip[1]}"' in html


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # a busy machine is no fault
@given(
    st.lists(
        st.sampled_from(["<p>", "</p>", "<h2>", "</h2>", "slur ", "lip slur ", "<br>", "x<y", "&amp;", "<a>", "</a>"])
    )
)
def test_marking_adds_explanations_and_changes_nothing_else(parts: list[str]) -> None:
    html = "".join(parts)
    out = mark(html, "x.md", GLOSSARY)
    out = re.sub(r'<span class="bb-tip".*?</span></span>', "", out)
    out = re.sub(r'<span class="bb-term"><a class="bb-term-word"[^>]*>([^<]*)</a>', r"\1", out)
    assert unescape(out) == unescape(html)
