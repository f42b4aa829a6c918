"""The handbook's own scripts and styles, from ``render/assets``, made smaller for the wire."""

from __future__ import annotations

from beginnerband.data.book import Book
from beginnerband.products import Products
from beginnerband.render.html import HERE
from beginnerband.render.shrink import shrink


def contribute(book: Book, out: Products) -> None:
    """Add every file of ``render/assets`` under ``assets/``."""
    folder = HERE / "assets"
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        out.asset(f"assets/{path.relative_to(folder).as_posix()}", shrink(path.name, path.read_bytes()))
