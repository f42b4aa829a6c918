"""The last steps of a build: files of the finished site in, files out. Knows no site engine."""

from __future__ import annotations

from pathlib import Path

from beginnerband import audience
from beginnerband.render.finish import lean, listing, mark, notfound, policy, precache, search, takeaway

ENGINE_EXTRAS = (".map", "sitemap.xml", "sitemap.xml.gz")
"""Ends of names the site engine leaves that no reader needs: source maps, and a site map that lists no address."""


def finish(site: Path, leaders: bool = False) -> None:
    """Finish the pages of the built ``site`` in place; what is printed need not be there yet.

    The ``leaders`` edition is marked as such on every page.

    Widens the search index, leaves unused style sheets out, adds the content security policy to every page and puts our
    page for wrong addresses in place of the theme's.
    """
    for path in list(site.rglob("*")):
        if path.name.endswith(ENGINE_EXTRAS):
            path.unlink()
    search.widen(site)
    leaned, trusted = lean.Lean(site), policy.trusted_in(site)  # in the theme's page for wrong addresses
    notfound.write(site)
    for path in sorted(site.rglob("*.html")):
        before = path.read_text(encoding="utf-8")
        page = policy.with_policy(leaned.page(before), trusted)
        if leaders:
            page = mark.marked(page, audience.MARK)
        if page != before:
            path.write_text(page, encoding="utf-8", newline="\n")
    leaned.prune_theme()
    if leaders:
        (site / audience.FLAG).write_text(f"{audience.MARK}.\n", encoding="utf-8", newline="\n")


def pack(site: Path, cache: Path, awaited: takeaway.Awaited) -> None:
    """Add what lists or holds all else of the whole ``site``; ``cache`` is a folder for results worth keeping.

    ``take-away/handbook.zip``, begun while something is ``awaited`` still; then the service worker, which must come
    last because it lists the rest by the hash of their content.
    """
    hashes = listing.hashes(site)
    takeaway.write(site, cache / "take-away", hashes, awaited)
    precache.write(site, hashes | listing.hashes(site, awaited.files))
