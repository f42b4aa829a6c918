"""The print pack: what cards, sheets and scores need to be set by Typst: plain values and SVG pictures.

A room makes jobs; they are printed apart (``printing.py``). The same values give the same bytes: no date is written,
fonts come from a pinned package (signs it lacks, ♭ ♯, from the Libertinus that Typst carries, in pictures from the font
of signs) and from the leader's own folder. Files are tagged and meet PDF/UA-1.
"""

from __future__ import annotations

import hashlib
import json
import re
import zlib
from collections.abc import Mapping, Sequence
from importlib import metadata
from pathlib import Path
from typing import Any

from beginnerband.data.printfonts import FontFile
from beginnerband.products import BoundJob, PrintJob, Products
from beginnerband.render import fonts, print_worker
from beginnerband.render.html import ROOMS

KEY = 20
"""Hexadecimal digits of a picture's key."""

_KEYS = re.compile(rf'"([0-9a-f]{{{KEY}}})"')


def templates() -> list[Path]:
    """Typst sources: each room's own, and what they share."""
    return sorted(ROOMS.glob("*/*.typ"))


class PrintPack:
    """Makes jobs from values and pictures."""

    def __init__(self, mark: str = "", added: Sequence[FontFile] = ()) -> None:
        """``mark`` stands in the margin of every page; ``added`` are the leader's own fonts."""
        self.mark = mark
        self.added = tuple(added)
        self.pictures: dict[str, bytes] = {}
        """SVG, packed, by key: what :meth:`add` was given."""
        self._base: Any = None

    def add(self, svg: str) -> str:
        """Keep a picture for print and return its key."""
        content = fonts.signs_apart(svg).encode()
        key = hashlib.sha256(content).hexdigest()[:KEY]
        if key not in self.pictures:
            self.pictures[key] = zlib.compress(content, 1)
        return key

    def put(self, products: Products, uri: str, values: Mapping[str, Any], template: str = "pack.typ") -> None:
        """Have ``products`` print ``values`` as ``uri``; see the head of the template, ``course/pack.typ`` or other."""
        job = self.job(values, template)
        products.printed(uri, job)
        self._illustrate(products, job)

    def bind(
        self,
        products: Products,
        uri: str,
        parts: Sequence[tuple[PrintJob, Sequence[int]]],
        contents: PrintJob | None = None,
    ) -> None:
        """Have ``products`` bind ``parts`` as ``uri``: what is set, with the number of copies of each of its leaves."""
        products.printed(uri, self.bound(parts, contents))
        for job in (*(job for job, _ in parts), *filter(None, [contents])):
            self._illustrate(products, job)

    def _illustrate(self, products: Products, job: PrintJob) -> None:
        products.pictures.update({key: self.pictures[key] for key in job.pictures})

    def bound(self, parts: Sequence[tuple[PrintJob, Sequence[int]]], contents: PrintJob | None = None) -> BoundJob:
        """A file to bind."""
        made_of = [(job.id, list(copies)) for job, copies in parts]
        ident = self._hash(json.dumps([made_of, contents.id if contents else ""]))
        return BoundJob(ident, parts=tuple((job, tuple(copies)) for job, copies in parts), contents=contents)

    def job(self, values: Mapping[str, Any], template: str = "pack.typ") -> PrintJob:
        """A file to print."""
        data = json.dumps(values, ensure_ascii=False, sort_keys=True)
        used = tuple(key for key in dict.fromkeys(_KEYS.findall(data)) if key in self.pictures)
        folders = tuple(dict.fromkeys(font.path.parent for font in self.added))
        ident = self._hash(template + self.mark + data)
        packed = zlib.compress(data.encode(), 1)
        return PrintJob(ident, template=template, data=packed, mark=self.mark, pictures=used, fonts=folders)

    def _hash(self, data: str) -> str:
        if self._base is None:
            engines = (metadata.version(name) for name in ("typst", "pikepdf"))
            self._base = hashlib.sha256(f"{' '.join(engines)} {fonts.version()}\n".encode())
            code = (Path(print_worker.__file__).with_name(name) for name in ("print_worker.py", "binding.py"))
            for path in (*templates(), *code, *(font.path for font in self.added)):
                self._base.update(path.read_bytes())
        digest = self._base.copy()
        digest.update(data.encode())
        return str(digest.hexdigest()[:32])
