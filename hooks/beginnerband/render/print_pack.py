"""The print pack: Typst sets cards and sheets as PDF from plain values and SVG pictures.

The same values give the same bytes: no date is written, fonts come from a pinned package (signs it lacks, ♭ ♯, from
the Libertinus that Typst carries, in pictures from the font of signs) and from the leader's own folder, and every
result is kept in ``.cache/print`` under the hash of all it was made from. Files are tagged and meet PDF/UA-1.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from importlib import metadata
from pathlib import Path
from typing import Any

from beginnerband.data.printfonts import PACKAGE, FontFile
from beginnerband.render import fonts
from beginnerband.render.html import ROOMS
from beginnerband.wholefile import write_whole


def _templates() -> list[Path]:
    """Typst sources: each room's own, and what they share."""
    return sorted(ROOMS.glob("*/*.typ"))


class PrintPack:
    """Sets PDF files from values and pictures; keeps what it made."""

    def __init__(self, cache: Path, mark: str = "", added: Sequence[FontFile] = ()) -> None:
        """``mark`` stands in the margin of every page; ``added`` are the leader's own fonts."""
        self.mark = mark
        self.cache = cache
        """The project's ``.cache``."""
        self.added = tuple(added)
        self.folder = cache / "print"
        """Where templates, pictures and results are kept."""
        self.pictures: dict[str, bytes] = {}
        """SVG by key: what :meth:`add` was given in this run."""
        self._compiler: Any = None

    def add(self, svg: str) -> str:
        """Keep a picture for print and return its key."""
        content = fonts.signs_apart(svg).encode()
        key = hashlib.sha256(content).hexdigest()[:20]
        self.pictures[key] = content
        return key

    def pdf(self, values: Mapping[str, Any], template: str = "pack.typ") -> bytes:
        """The pack of ``values`` (see the head of the template, ``course/pack.typ`` or another room's) as PDF."""
        data = json.dumps(values, ensure_ascii=False, sort_keys=True)
        kept = self.folder / "made" / f"{self._hash(template + self.mark + data)}.pdf"
        if not kept.is_file():
            write_whole(kept, self._compile(data, template))
        return kept.read_bytes()

    def _hash(self, data: str) -> str:
        digest = hashlib.sha256(f"{metadata.version('typst')} {metadata.version(PACKAGE)}\n".encode())
        for path in (*_templates(), *(font.path for font in self.added)):
            digest.update(path.read_bytes())
        digest.update(data.encode())
        return digest.hexdigest()[:32]

    def _compile(self, data: str, template: str) -> bytes:
        work = self.folder / "work"
        (work / "pictures").mkdir(parents=True, exist_ok=True)
        for path in _templates():
            _write_once(work / path.name, path.read_bytes())
        for key, content in self.pictures.items():
            _write_once(work / "pictures" / f"{key}.svg", content)
        if self._compiler is None:
            import typst

            self._compiler = typst.Compiler(root=work, font_paths=self._fonts(), ignore_system_fonts=True)
        name = f"{hashlib.sha256(data.encode()).hexdigest()[:16]}.json"
        (work / name).write_text(data, encoding="utf-8")
        try:
            made = self._compiler.compile(
                input=work / template, format="pdf", sys_inputs={"data": name, "mark": self.mark}, pdf_standards="ua-1"
            )
        finally:
            (work / name).unlink()
        return bytes(made)

    def _fonts(self) -> Any:
        import typst

        paths = [str(path) for path in fonts.for_print(self.cache, self.added)]
        return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=paths)


def _write_once(path: Path, content: bytes) -> None:
    if not path.is_file() or path.read_bytes() != content:
        write_whole(path, content)
