"""What a built site links to, shows and says: every link, anchor, picture and file name of every page."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote, urlsplit

from lxml import html


@dataclass
class PageFacts:
    """What one page holds."""

    ids: set[str]
    links: list[str]
    unnamed: list[str]
    """Pictures with no text alternative."""
    files: list[str]
    """Names of the handbook's own files and folders in what is read of the page."""


FILES = re.compile(r"\b[\w-]+\.(?:ya?ml|abc|py|toml|css)\b|\b(?:content|handbook|hooks)/", re.I)
"""What only somebody who builds the handbook has a use for."""


def read(path: Path) -> PageFacts:
    """Read one page."""
    page = html.parse(path, html.HTMLParser(encoding="utf-8"))
    nameless = page.xpath("//img[not(@alt)] | //svg[@role='img'][not(@aria-label or @aria-labelledby or .//title)]")
    return PageFacts(
        ids={str(name) for name in page.xpath("//@id | //@name")},
        links=[str(link) for link in page.xpath("//a/@href | //link/@href | //script/@src | //img/@src")],
        files=FILES.findall(" ".join(page.xpath("//body//text()[not(ancestor::script or ancestor::style)]"))),
        unnamed=[html.tostring(picture, encoding="unicode")[:80] for picture in nameless],
    )


def read_all(site: Path) -> dict[str, PageFacts]:
    """Every HTML page of a site by its path."""
    return {path.relative_to(site).as_posix(): read(path) for path in sorted(site.rglob("*.html"))}


def dead_links(site: Path, pages: dict[str, PageFacts]) -> list[str]:
    """``page -> link`` for each link to a file or anchor that is not there.

    Links off the site are not followed. A fragment with a slash, as in ``look-up.html#cornet/treble-bb``, is the state
    of a page and no anchor.
    """
    dead = []
    for uri, page in pages.items():
        for link in dict.fromkeys(page.links):
            parts = urlsplit(link)
            if parts.scheme or parts.netloc:
                continue
            target = (site / uri).parent / unquote(parts.path) if parts.path else site / uri
            target = target.resolve()
            target = target / "index.html" if target.is_dir() else target
            if not target.is_file():
                dead.append(f"{uri} -> {link}")
            elif parts.fragment and target.suffix == ".html" and "/" not in parts.fragment:
                other = pages.get(target.relative_to(site.resolve()).as_posix())
                if other and unquote(parts.fragment) not in other.ids and not parts.fragment.startswith("__"):
                    dead.append(f"{uri} -> {link}")
    return dead
