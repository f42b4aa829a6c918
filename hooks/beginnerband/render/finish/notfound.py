"""The page for wrong addresses: one file with its own styles, because a host shows it at any depth.

A relative address in it would mean another file at every depth, and the folder a handbook is published in is not known
when it is built. So its links are right for a page beside the start page, and its script makes them right elsewhere.
"""

from __future__ import annotations

from pathlib import Path

from beginnerband.render.finish.policy import inline_scripts, with_policy

TEMPLATE = Path(__file__).with_name("not-found.html")


def write(site: Path) -> None:
    """Put the page in place of the theme's, where the site has one; its policy trusts its own script and no other."""
    target = site / "404.html"
    if target.is_file():
        html = TEMPLATE.read_text(encoding="utf-8")
        html = with_policy(html, frozenset(inline_scripts(html)))
        target.write_text(html, encoding="utf-8", newline="\n")
