"""What the build makes beyond the pages people wrote, and the cache that keeps it under its fingerprint."""

from __future__ import annotations

import hashlib
import json
import pickle
import shutil
from dataclasses import KW_ONLY, dataclass, field
from pathlib import Path

from markupsafe import escape

from beginnerband import audience
from beginnerband.data.edition import edition_of
from beginnerband.digest import code

FORMER = 4
"""Kept beside the newest: the handbooks before it, so that going back and forth between a few is quick."""

PACK = "files.pack"
"""Name of the file that holds all assets."""


@dataclass(frozen=True, slots=True)
class PageProduct:
    """A Markdown page, generated or rewritten."""

    uri: str
    """Path from ``handbook/``, as ``tunes/one.md``."""
    _: KW_ONLY
    text: str
    """The whole file, front matter and all."""
    title: str
    """Title for the navigation."""
    nav: tuple[str, ...]
    """Sections of the navigation it is listed under; empty: not listed."""


@dataclass(frozen=True, slots=True)
class PrintJob:
    """What is to be set on paper. A room says what; it is printed apart from the rooms (``render/printing.py``)."""

    id: str
    """Digest of all that decides the file."""
    _: KW_ONLY
    template: str
    """Name of the print engine's template."""
    data: bytes
    """The template's values, as JSON, packed (zlib)."""
    mark: str
    """What stands in the margin of every page."""
    pictures: tuple[str, ...]
    """Keys of the pictures it needs, of those in :attr:`Products.pictures`."""
    fonts: tuple[Path, ...]
    """Folders with the leader's own fonts."""


@dataclass(frozen=True, slots=True)
class BoundJob:
    """What is to be bound of files that are set (``render/binding.py``)."""

    id: str
    """Digest of all that decides the file."""
    _: KW_ONLY
    parts: tuple[tuple[PrintJob, tuple[int, ...]], ...]
    """What is set, and how many copies of its first leaf, its second and so on there are to be."""
    contents: PrintJob | None
    """What stands before them."""


@dataclass(slots=True)
class Products:
    """Everything computed, ready to be put into the site."""

    pages: dict[str, PageProduct] = field(default_factory=dict)
    """Pages by uri."""
    fragments: dict[str, str] = field(default_factory=dict)
    """HTML by placeholder id."""
    assets: dict[str, bytes] = field(default_factory=dict)
    """Other files of the site by uri."""
    prints: dict[str, PrintJob | BoundJob] = field(default_factory=dict)
    """Files to print by uri."""
    pictures: dict[str, bytes] = field(default_factory=dict)
    """Pictures (SVG, packed) that are printed, by digest."""
    listed: dict[str, tuple[str, tuple[str, ...]]] = field(default_factory=dict)
    """Title and navigation sections of pages that people wrote, by uri."""
    notes: list[str] = field(default_factory=list)
    """What is no mistake, but is to be said when the build is done; one line each."""

    def page(
        self, uri: str, title: str, markdown: str, nav: tuple[str, ...] = (), search: bool = True, **meta: object
    ) -> None:
        """Add a generated page; ``title`` is plain text, ``markdown`` must already be safe (filter ``md``).

        ``meta`` goes into the front matter. Raises ``ValueError`` when two rooms claim one page.
        """
        if uri in self.pages:
            raise ValueError(f"two rooms make the page {uri}")
        if not search:
            meta["search"] = {"exclude": True}
        self.pages[uri] = PageProduct(uri, text=front_matter(title=title, **meta) + markdown, title=title, nav=nav)

    def list_page(self, uri: str, title: str, nav: tuple[str, ...]) -> None:
        """List a page that somebody wrote in the navigation, beside the generated ones."""
        self.listed[uri] = (title, nav)

    def html(self, html: str, inline: bool = False) -> str:
        """Keep ``html`` aside and return a placeholder to stand for it in Markdown."""
        key = hashlib.sha256(html.encode()).hexdigest()[:16]
        self.fragments[key] = html
        tag = "span" if inline else "div"
        return f'<{tag} data-bb="{key}"></{tag}>'

    def asset(self, uri: str, content: bytes | str) -> None:
        """Add a file that the site engine does not touch, as ``data/notes.csv`` or a player's sheet in HTML.

        Raises ``ValueError`` when two rooms claim one file.
        """
        self._new(uri)
        self.assets[uri] = content.encode() if isinstance(content, str) else content

    def printed(self, uri: str, job: PrintJob | BoundJob) -> None:
        """Add a file that is to be printed; raises ``ValueError`` when two rooms claim one file."""
        self._new(uri)
        self.prints[uri] = job

    def _new(self, uri: str) -> None:
        if uri in self.assets or uri in self.prints:
            raise ValueError(f"two rooms make the file {uri}")

    def add(self, other: Products) -> None:
        """Take over what another room made; raises ``ValueError`` when both claim one page or file."""
        files = self.assets.keys() | self.prints.keys()
        twice = (self.pages.keys() & other.pages.keys()) | (files & (other.assets.keys() | other.prints.keys()))
        if twice:
            raise ValueError(f"two rooms make {', '.join(sorted(twice))}")
        self.pages.update(other.pages)
        self.fragments.update(other.fragments)
        self.assets.update(other.assets)
        self.prints.update(other.prints)
        self.pictures.update(other.pictures)
        self.notes.extend(other.notes)
        self.listed.update(other.listed)


@dataclass(frozen=True, slots=True)
class Stored:
    """Products read back from, or just written to, the cache."""

    pages: tuple[PageProduct, ...]
    """Every page."""
    fragments: dict[str, str]
    """HTML by placeholder id."""
    pack: Path
    """One file with the content of every asset, one after the other: a file system takes long over thousands."""
    assets: dict[str, tuple[int, int]]
    """Where in it each asset begins, and its length, in bytes; by uri."""
    prints: dict[str, str]
    """Id of the job of each file that is printed, by uri; what must wait for others comes after them."""
    notes: tuple[str, ...]
    """What is to be said when the build is done."""
    fingerprint: str
    """Of everything they were made from."""

    def content(self, uri: str) -> bytes:
        """Content of an asset."""
        begin, length = self.assets[uri]
        with self.pack.open("rb") as pack:
            pack.seek(begin)
            return pack.read(length)


def front_matter(**values: object) -> str:
    """A page's front matter; a title is escaped, since the theme prints it as it is."""
    if "title" in values:
        values["title"] = str(escape(values["title"]))
    lines = (f"{key}: {json.dumps(value, ensure_ascii=False)}\n" for key, value in values.items())
    return f"---\n{''.join(lines)}---\n\n"


def fingerprint_of(root: Path) -> str:
    """Hash of all that products depend on: content, written pages, code, libraries, settings and the day."""
    digest = hashlib.sha256(f"{code()} {edition_of(root).made}".encode())
    roster = root / "content" / audience.OWN_CONTENT
    left_out = None if audience.is_leaders(root) else roster  # of which the shared handbook knows nothing
    for folder in (root / "content", root / "handbook"):
        for path in sorted(path for path in folder.rglob("*") if path.is_file() and "__pycache__" not in path.parts):
            if left_out in path.parents:
                continue
            digest.update(path.relative_to(folder).as_posix().encode() + b"\0")
            digest.update(hashlib.sha256(path.read_bytes()).digest())
    for name in ("pyproject.toml", "mkdocs.yml"):
        digest.update((root / name).read_bytes() if (root / name).is_file() else b"")
    return digest.hexdigest()[:24]


def keep(products: Products, kept: Path, fingerprint: str) -> Stored:
    """Write products beside their place, then move them there in one step, and drop older ones."""
    fresh = kept.with_name(fingerprint + ".new")
    shutil.rmtree(fresh, ignore_errors=True)
    fresh.mkdir(parents=True)
    places = {}
    with (fresh / PACK).open("wb") as pack:
        for uri, content in sorted(products.assets.items()):
            places[uri] = pack.tell(), len(content)
            pack.write(content)
    index = (
        tuple(products.pages.values()),
        products.fragments,
        places,
        {uri: job.id for uri, job in sorted(products.prints.items(), key=_when_printed)},
        tuple(products.notes),
    )
    (fresh / "index.pickle").write_bytes(pickle.dumps(index, pickle.HIGHEST_PROTOCOL))
    shutil.rmtree(kept, ignore_errors=True)
    fresh.rename(kept)
    others = sorted(
        (other for other in kept.parent.iterdir() if other != kept), key=lambda other: other.stat().st_mtime
    )
    for other in others[:-FORMER]:
        shutil.rmtree(other, ignore_errors=True)
    return read(kept, fingerprint)


def _when_printed(file: tuple[str, PrintJob | BoundJob]) -> tuple[int, str]:
    """Sorts files to print: what is bound of many others comes last, as it can be printed only after them."""
    uri, job = file
    return len(job.parts) if isinstance(job, BoundJob) else 0, uri


def read(kept: Path, fingerprint: str) -> Stored:
    """Products as :func:`keep` wrote them in the folder ``kept``."""
    pages, fragments, assets, prints, notes = pickle.loads((kept / "index.pickle").read_bytes())
    return Stored(pages, fragments, kept / PACK, assets, prints, notes, fingerprint)
