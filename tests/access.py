"""What tests of accessibility share: the pages that stand for each kind, and axe-core run on one of them."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

AXE = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
"""axe-core, https://github.com/dequelabs/axe-core, as the PyPI package axe-playwright-python carries it."""

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
"""WCAG 2.2, levels A and AA, and what the makers of axe-core advise beyond it."""


def kinds_of_page(site: Path) -> dict[str, str]:
    """One page of each kind, by a name for the kind: the kind is the folder, with numbers taken out of names.

    Single pages at the top and section indexes are kinds of their own; of a kind with several pages the largest stands
    for it, since it has the most to get wrong.
    """
    kinds: dict[str, Path] = {}
    for path in sorted(site.rglob("*.html")):
        uri = path.relative_to(site)
        folder = re.sub(r"\d+", "N", uri.parent.as_posix())
        own = folder in (".", "tables", "take-away") or path.name == "index.html"
        kind = f"{folder}/{path.stem}" if own else folder
        if kind not in kinds or path.stat().st_size > kinds[kind].stat().st_size:
            kinds[kind] = path
    kinds.pop("./404", None)
    return {kind: path.relative_to(site).as_posix() for kind, path in kinds.items()}


def violations(page: Page) -> list[str]:
    """What axe-core finds wrong with the page as it stands, one line each; drawings are looked at from outside only.

    (A page of music has tens of thousands of shapes, and what axe-core can say of a drawing is whether it has a name.)
    """
    page.evaluate(AXE)
    found: dict[str, Any] = page.evaluate("(rules) => axe.run({exclude: [['svg > *']]}, {runOnly: rules})", RULES)
    return [
        f"{rule['id']} ({rule['impact']}): {node['target']} {node['html'][:160]} {node['failureSummary']}"
        for rule in found["violations"]
        for node in rule["nodes"][:3]
    ]
