"""The handbook's own scripts and styles, from ``render/assets``, made smaller for the wire.

What every page needs is joined into few files, since on a phone each file costs a request of its own.
"""

from __future__ import annotations

from beginnerband.data.book import Book
from beginnerband.products import Products
from beginnerband.render.html import HERE
from beginnerband.render.shrink import shrink

JOINED = {
    "handbook.css": ("handbook.css", "offline.css"),
    "handbook.js": ("access.js", "offline.js", "terms.js"),
    "player.js": ("sound.js", "plan.js", "play.js", "controls.js", "tones.js", "metronome.js", "player.js"),
    "iframe-worker.js": ("iframe-worker.js", "search-query.js"),
}
"""Names in the site of what is made of several files here, in this order."""


def contribute(book: Book, out: Products) -> None:
    """Add every file of ``render/assets`` under ``assets/``, on its own or joined with others."""
    folder = HERE / "assets"
    parts = {part for parts in JOINED.values() for part in parts}
    alone = (path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    files = {name: (name,) for name in alone if name not in parts} | JOINED
    for name, sources in sorted(files.items()):
        end = b";\n" if name.endswith(".js") else b"\n"  # a script's last semicolon is lost when it is made smaller
        out.asset(f"assets/{name}", end.join(shrink(part, (folder / part).read_bytes()) for part in sources))
