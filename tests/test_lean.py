"""Pages carry only the style sheets they use, and scripts and styles are served small."""

from __future__ import annotations

import re
from pathlib import Path

from conftest import ROOT

from beginnerband.render import lean
from beginnerband.render.shrink import shrink

PAGE = '<link rel="stylesheet" href="../assets/guide.css"><p class="x {}">text</p>'


def test_a_sheet_stays_where_one_of_its_classes_stands() -> None:
    sheets = {"guide.css": lean.classes_of(".bb-term{color:red}p>.bb-tip:hover{top:0}")}
    for name in ("bb-term", "bb-tip", "bb-tip more"):
        assert lean.without_unused(PAGE.format(name), sheets) == PAGE.format(name)
    for name in ("bb-terms", "", "text bb"):
        assert "stylesheet" not in lean.without_unused(PAGE.format(name), sheets)


def test_every_rule_of_a_sheet_that_may_be_left_out_is_about_the_handbooks_own_classes() -> None:
    for name in lean.ROOM_SHEETS:
        text = re.sub(r"/\*.*?\*/", "", (ROOT / "hooks/beginnerband/render/assets" / name).read_text(), flags=re.DOTALL)
        for selector in re.findall(r"([^{};]+)\{", text):
            if not selector.strip().startswith(("@", "from", "to")):
                assert ".bb-" in selector, f"{name}: {selector.strip()}"


def test_the_built_site_keeps_what_it_uses_and_leaves_out_the_rest(site: Path) -> None:
    assert 'assets/guide.css"' in (site / "guide" / "embouchure.html").read_text()
    for name in lean.ROOM_SHEETS:
        assert f'assets/{name}"' not in (site / "look-up.html").read_text()


def test_small_scripts_keep_their_licence_and_other_files_are_left_alone() -> None:
    script = b"/*! licence */\n/* a note */\nvar  longName = 1;\n"
    small = shrink("x.js", script)
    assert b"licence" in small
    assert b"a note" not in small
    assert len(small) < len(script)
    assert shrink("x.svg", b"<svg>  </svg>") == b"<svg>  </svg>"
