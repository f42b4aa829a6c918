"""``take-away/handbook.zip``: the whole handbook as one file, for a USB stick or a message.

The same site always gives the same bytes: names in order, what is printed after the rest, what is bound of it last, one
fixed date, one compression. Names are checked against what Windows refuses, so that the file unpacks there as well.
Source of the name rules: Microsoft, "Naming Files, Paths, and Namespaces" (Windows App Development documentation).
"""

from __future__ import annotations

import hashlib
import io
import re
import shutil
import zipfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from beginnerband.wholefile import write_whole

NAME = "take-away/handbook.zip"
"""Where the file is in the site."""
FOLDER = "beginner-band-handbook"
"""The one folder everything unpacks into."""
LONGEST = 180
"""Longest path inside the file, so that it still fits Windows' 259 characters below a user's own folders."""
NEWS = """\
The beginner-band handbook, to be used without internet.

1. Unpack this whole folder first. (On Windows: right-click the zip file, "Extract All".)
2. Open the file index.html in the unpacked folder with a web browser.

Everything works from the folder: look-up, tunes, sound and search.
"""
_OLDEST = (1980, 1, 1, 0, 0, 0)
_FORBIDDEN = re.compile(r'[<>:"|?*\\\x00-\x1f]')
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)
_ONLINE_ONLY = re.compile(
    r"service-worker\.js|handbook\.webmanifest|404\.html|search/search_index\.json|take-away/handbook\.zip"
)


@dataclass(frozen=True, slots=True)
class Awaited:
    """Files that come into the site while the rest is packed already."""

    files: Mapping[str, str]
    """Their names, each with what tells its content from any other, in the order in which they are waited for."""
    wait: Callable[[str], object]
    """Returns when the one of a name is there."""


def write(site: Path, cache: Path, hashes: Mapping[str, str], awaited: Awaited) -> None:
    """Write the zip file into ``site``, whose files have ``hashes``; one made of the same is taken from ``cache``.

    What is ``awaited`` is there afterwards and packed too. Raises ``ValueError`` when a name could not be unpacked on
    Windows.
    """
    names = [name for name in hashes if not _ONLINE_ONLY.fullmatch(name)]
    complaints = list(unsafe_names([*names, *awaited.files]))
    if complaints:
        raise ValueError("; ".join(complaints))
    digest = hashlib.sha256(NEWS.encode())
    for name, content in (*((name, hashes[name]) for name in names), *awaited.files.items()):
        digest.update(f"{name}\0{content}\0".encode())
    kept = cache / f"{digest.hexdigest()[:24]}.zip"
    if kept.is_file():
        for name in awaited.files:
            awaited.wait(name)
    else:
        shutil.rmtree(cache, ignore_errors=True)
        write_whole(kept, _packed(site, names, awaited))
    target = site / NAME
    target.parent.mkdir(exist_ok=True)
    shutil.copyfile(kept, target)


def unsafe_names(names: Iterable[str]) -> Iterable[str]:
    """One sentence for each name that would not unpack, or would overwrite another, on Windows."""
    seen: dict[str, str] = {}
    for name in names:
        parts = name.split("/")
        if name.startswith("/") or ".." in parts:
            yield f"{name}: leads out of its folder"
        if _FORBIDDEN.search(name) or any(part != part.rstrip(". ") or _RESERVED.fullmatch(part) for part in parts):
            yield f"{name}: Windows does not allow this name"
        if len(f"{FOLDER}/{name}") > LONGEST:
            yield f"{name}: longer than {LONGEST} characters"
        other = seen.setdefault(name.casefold(), name)
        if other != name:
            yield f"{name}: Windows takes it for {other}"


def _packed(site: Path, names: Iterable[str], awaited: Awaited) -> bytes:
    content = io.BytesIO()

    def pack(name: str) -> None:
        packed.writestr(_entry(name), (site / name).read_bytes())

    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED, compresslevel=5) as packed:
        packed.writestr(_entry("READ-ME-FIRST.txt"), NEWS.replace("\n", "\r\n"))
        for name in names:
            pack(name)
        for name in awaited.files:
            awaited.wait(name)
            pack(name)
    return content.getvalue()


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(f"{FOLDER}/{name}", date_time=_OLDEST)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.create_system = 3  # the same on every machine, with plain read and write rights
    entry.external_attr = 0o100644 << 16
    return entry
