"""Pages carry only the styles they use, and scripts and styles are served small."""

from __future__ import annotations

import gzip
import re
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page, Route

from beginnerband.pages.assets import sources
from beginnerband.render.finish import lean, prune
from beginnerband.render.shrink import shrink

THEME = Path(str(files("material"))) / "templates"
"""The theme as it comes."""

PAGE = '<link rel="stylesheet" href="../assets/guide.css"><p class="x {}">text</p>'


def test_a_sheet_stays_where_one_of_its_classes_stands() -> None:
    sheets = {"guide.css": lean.classes_of(".bb-term{color:red}p>.bb-tip:hover{top:0}")}
    for name in ("bb-term", "bb-tip", "bb-tip more"):
        assert lean.without_unused(PAGE.format(name), *_with_classes(name), sheets) == PAGE.format(name)
    for name in ("bb-terms", "", "text bb"):
        assert "stylesheet" not in lean.without_unused(PAGE.format(name), *_with_classes(name), sheets)


def _with_classes(name: str) -> tuple[set[str]]:
    return (prune.in_markup(PAGE.format(name))[0],)


def test_sheets_named_in_a_page_are_loaded_once_and_before_it_is_shown() -> None:
    sheet = '<link rel="stylesheet" href="a.css">'
    html = f"<html><head><title>t</title></head><body>{sheet}<p>one</p>{sheet}\n<p>two</p></body></html>"
    head = f"<html><head><title>t</title>{sheet}</head><body><p>one</p>\n<p>two</p></body></html>"
    assert lean.with_sheets_in_head(html) == head
    assert lean.with_sheets_in_head(head) == head
    assert lean.with_sheets_in_head("<p>no head</p>") == "<p>no head</p>"


def test_every_rule_of_a_sheet_that_may_be_left_out_is_about_the_handbooks_own_classes() -> None:
    for name in lean.ROOM_SHEETS:
        text = re.sub(r"/\*.*?\*/", "", sources()[name].read_text(), flags=re.DOTALL)
        for selector in re.findall(r"([^{};]+)\{", text):
            if not selector.strip().startswith(("@", "from", "to")):
                assert ".bb-" in selector, f"{name}: {selector.strip()}"


def test_the_built_site_keeps_what_it_uses_and_leaves_out_the_rest(site: Path) -> None:
    assert 'assets/guide.css"' in (site / "guide" / "embouchure.html").read_text()
    for name in lean.ROOM_SHEETS:
        assert f'assets/{name}"' not in (site / "look-up.html").read_text()


def test_no_page_is_much_heavier_than_a_bare_page_of_the_theme(site: Path) -> None:
    """The theme's sheet and script, and a page that holds a heading: what MkDocs and the theme make of nothing.

    Every style and script a page names is counted, gzipped one by one; that it fetches no others by itself is shown in
    ``test_theme_script.py``.
    """
    assets = THEME / "assets"
    bare = [*assets.glob("stylesheets/main.*.css"), *assets.glob("javascripts/bundle.*.js")]
    most = 1.25 * (sum(map(packed, bare)) + 2600)
    pages = [path for path in site.rglob("*.html") if path.parent.name != "take-away"]
    assert len(bare) == 2
    assert len(pages) > 400
    sizes = {path.relative_to(site).as_posix(): weight(path) for path in pages}
    assert not {uri: size for uri, size in sizes.items() if size > most}


def weight(page: Path) -> int:
    """Bytes of ``page`` and of what it names, gzipped; also what is for print, which browsers fetch all the same."""
    names = re.findall(r'<link rel="stylesheet"[^>]* href="([^"]+)"|<script[^>]* src="([^"]+)"', page.read_text())
    return packed(page) + sum(map(packed, {(page.parent / "".join(name)).resolve() for name in names}))


@cache
def packed(path: Path) -> int:
    """Bytes of a file as a web host sends it."""
    return len(gzip.compress(path.read_bytes(), 6))


def test_small_scripts_keep_their_licence_and_other_files_are_left_alone() -> None:
    script = b"/*! licence */\n/* a note */\nvar  longName = 1;\n"
    small = shrink("x.js", script)
    assert b"licence" in small
    assert b"a note" not in small
    assert len(small) < len(script)
    assert shrink("x.svg", b"<svg>  </svg>") == b"<svg>  </svg>"


NAMES = prune.UsedNames(frozenset({"here", "also"}), frozenset({("dir", "ltr"), ("data-md-color-primary", "custom")}))


@pytest.mark.parametrize(
    ("sheet", "left"),
    [
        (".here{a:b}.gone{a:b}", ".here{a:b}"),
        (".gone .here,.here>.also,p{a:b}", ".here>.also,p{a:b}"),
        (".here:not(.gone){a:b}", ".here:not(.gone){a:b}"),  # matches just because nothing is .gone
        (":is(.here,.gone) p{a:b}", ":is(.here,.gone) p{a:b}"),
        ('[dir=rtl] p{a:b}[dir="ltr"] p{a:b}[dir] p{a:b}', '[dir="ltr"] p{a:b}[dir] p{a:b}'),
        ("[data-md-color-primary=red]{a:b}[type=radio]{a:b}", "[type=radio]{a:b}"),
        ("[data-md-color-switching] *{a:b}", ""),
        ("@media print{.gone{a:b}}@media screen{.gone{a:b}p{a:b}}", "@media screen{p{a:b}}"),
        ("@keyframes gone{0%{a:b}}@page{margin:0}", "@keyframes gone{0%{a:b}}@page{margin:0}"),
        ('p::after{content:"a,.gone{}"}', 'p::after{content:"a,.gone{}"}'),
    ],
)
def test_only_rules_that_can_match_nothing_go(sheet: str, left: str) -> None:
    assert prune.without_unmatched(sheet, NAMES) == left


def test_a_sheet_that_cannot_be_read_stops_the_build() -> None:
    with pytest.raises(ValueError, match="cannot be read"):
        prune.without_unmatched("p{a:b} }", NAMES)


def test_custom_properties_that_nothing_reads_go_and_those_they_alone_read() -> None:
    icon = "url(\"data:image/svg+xml;charset=utf-8,<svg xmlns='x'><path d='M0 0'/></svg>\")"
    sheet = f":root{{--icon:{icon};--a:1px;--b:var(--a);--c:red;--d:var(--e, _),\n x}}p{{color:var(--c)}}"
    assert prune.without_unread([sheet], []) == [":root{--c:red;}p{color:var(--c)}"]
    other = "q{mask:var(--icon);top:var(--b)}"
    assert prune.without_unread([sheet], [other]) == [
        f":root{{--icon:{icon};--a:1px;--b:var(--a);--c:red;}}p{{color:var(--c)}}"
    ]


def test_what_a_script_gives_is_told_from_what_it_looks_for() -> None:
    script = """y("a",{class:"one two"});z.classList.toggle("three",q);document.querySelector(".four .five");
      w({class:`six ${x}`,t:"seven"});v.className="eight";"""
    assert prune.given_by(script) >= {"one", "two", "three", "six", "eight"}
    assert not prune.given_by(script) & {"four", "five", "seven"}


COMPARE = """
async () => {
  const paths = new Map(); // one element for each path of tags and classes: the thousandth cell tells nothing new
  for (const element of document.querySelectorAll("*:not(svg *)")) {
    const ends = (element.previousElementSibling ? "" : "<") + (element.nextElementSibling ? "" : ">");
    let path = ends;
    for (let up = element; up; up = up.parentElement) path = `${up.tagName}.${up.className}#${up.hidden} ${path}`;
    if (!paths.has(path)) paths.set(path, element);
  }
  const chosen = [...paths.values()];
  // Left out: custom properties, which are not seen, and other names for what is compared already.
  const names = [...getComputedStyle(document.body)].filter((name) => !/^--|inline|block|^-webkit/.test(name));
  const style = (element, pseudo) => {
    const all = getComputedStyle(element, pseudo);
    const shown = !pseudo || !/none|normal/.test(all.content);
    return shown ? names.map((name) => `${name}: ${all.getPropertyValue(name)}`).join("\\n") : "";
  };
  const styles = () => chosen.map((element) => [null, "::before", "::after"].map((pseudo) => style(element, pseudo)));
  const lean = [...document.querySelectorAll("link[href*='assets/stylesheets/']:not([href*=whole])")];
  const whole = await Promise.all(lean.map((link) => new Promise((done) => {
    const other = link.cloneNode();
    other.href += "?whole";
    other.onload = () => done(other);
    link.after(other);
  })));
  const use = (on, off) => {
    off.forEach((link) => { link.sheet.disabled = true; });
    on.forEach((link) => { link.sheet.disabled = false; });
    return styles();
  };
  const looks = use(lean, whole), other = use(whole, lean), found = []; // at one go: no script may run in between
  use(lean, whole);
  whole.forEach((link) => link.remove());
  const without = (text, other) => text.split("\\n").filter((each) => !other.split("\\n").includes(each)).slice(0, 3);
  looks.forEach((each, k) => each.forEach((text, n) => {
    const lean = without(text, other[k][n]), whole = without(other[k][n], text);
    if (text !== other[k][n]) found.push(`${chosen[k].outerHTML.slice(0, 90)} lean ${lean} whole ${whole}`);
  }));
  return [chosen.length, found.slice(0, 4)];
}
"""


VARIED = ("index.html", "look-up.html", "tunes/index.html", "course/lesson-08.html")
"""Pages with much that differs, and with most of what scripts add."""


@pytest.mark.browser
@pytest.mark.parametrize(("width", "scheme"), [(390, "dark"), (1300, "light")])
def test_every_element_looks_as_with_the_whole_theme(
    site: Path, server: str, browser: Browser, width: int, scheme: Literal["light", "dark"]
) -> None:
    """Computed styles with the lean sheets and with the theme's own, element by element, also of menus and search."""
    context = browser.new_context(
        viewport={"width": width, "height": 800}, color_scheme=scheme, reduced_motion="reduce"
    )
    context.add_init_script("delete Navigator.prototype.serviceWorker")
    context.route(re.compile(r"\?whole$"), _from_the_theme)
    page = context.new_page()
    differ: list[str] = []
    for uri in VARIED if width < 700 else VARIED[:1]:
        page.goto(server + uri)
        if uri == "index.html":
            _open_everything(page)
        count, found = page.evaluate(COMPARE)
        assert count > 50
        differ += [f"{uri}: {each}" for each in found]
    page.emulate_media(media="print")
    differ += [f"{uri}, printed: {each}" for each in page.evaluate(COMPARE)[1]]
    context.close()
    assert not differ, "\n".join(differ)


def _open_everything(page: Page) -> None:
    """Search with results, the menu, and the notice the theme shows for a moment."""
    page.locator("[data-md-component=search-query]").focus()
    page.keyboard.type("embouchure")
    page.locator(".md-search-result__link").first.wait_for()
    page.evaluate("document.getElementById('__drawer').checked = true")
    page.evaluate("document.querySelector('.md-dialog').classList.add('md-dialog--active')")


def _from_the_theme(route: Route) -> None:
    name = route.request.url.split("/assets/stylesheets/")[1].removesuffix("?whole")
    route.fulfill(path=THEME / "assets" / "stylesheets" / name, content_type="text/css")
