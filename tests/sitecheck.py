"""What a built site links to and shows: every link, anchor and picture of every page."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

_ALTERNATIVE = ("aria-label", "aria-labelledby")


@dataclass
class PageFacts:
    """What one page holds."""

    ids: set[str] = field(default_factory=set)
    links: list[str] = field(default_factory=list)
    unnamed: list[str] = field(default_factory=list)
    """Pictures with no text alternative."""


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = PageFacts()
        self._svg: list[str] = []  # the picture being read: its start tag, and whether a title was seen

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {key: value or "" for key, value in attrs}
        self.page.ids |= {values[key] for key in ("id", "name") if values.get(key)}
        link = values.get("href" if tag in ("a", "link") else "src")
        if link is not None and tag in ("a", "link", "script", "img"):
            self.page.links.append(link)
        if tag == "img" and "alt" not in values:
            self.page.unnamed.append(f"img {values.get('src')}")
        if tag == "svg" and not any(key in values for key in _ALTERNATIVE) and values.get("role") == "img":
            self._svg = [self.get_starttag_text() or "svg"]
        if tag == "title" and self._svg:
            self._svg = []

    def handle_endtag(self, tag: str) -> None:
        if tag == "svg" and self._svg:
            self.page.unnamed.append(self._svg[0][:80])
            self._svg = []


def read(path: Path) -> PageFacts:
    """Read one page."""
    reader = _Reader()
    reader.feed(path.read_text(encoding="utf-8"))
    return reader.page


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
            if parts.scheme or parts.netloc or (uri == "404.html" and link.startswith("/")):
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
