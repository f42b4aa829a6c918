"""The site as a folder: built beside the last good one and put in its place only when all went well."""

from __future__ import annotations

import errno
import hashlib
import os
import re
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout
from markupsafe import escape

_PLACEHOLDER = re.compile(r'<(div|span) data-bb="([0-9a-f]{16})"></\1>')


_DRAWING = re.compile(r"<svg\b.*?</svg>", re.DOTALL)  # the handbook's drawings are never one inside another


def fill(html: str, fragments: Mapping[str, str]) -> str:
    """Put the computed HTML in place of its placeholders, also where one fragment holds another."""
    while _PLACEHOLDER.search(html):
        html = _PLACEHOLDER.sub(lambda match: fragments[match[2]], html)
    return html


def set_aside(html: str, pictures: dict[str, str]) -> str:
    """Take the drawings out of a page, into ``pictures``, and leave placeholders that :func:`fill` replaces.

    Neither the search index nor the terms to explain look into a drawing, and parsing them took most of a build.
    """

    def swap(match: re.Match[str]) -> str:
        key = hashlib.sha256(match[0].encode()).hexdigest()[:16]
        pictures[key] = match[0]
        return f'<span data-bb="{key}"></span>'

    return _DRAWING.sub(swap, html)


class BusyError(Exception):
    """Another build is at work on the same folder."""


def claim(site: Path, cache: Path) -> FileLock:
    """Take ``site`` for this build alone until the lock that is returned is released, or its process ends.

    Raises :class:`BusyError` at once when another build has it. The lock is the system's own, so none outlives a build
    that was stopped.
    """
    name = hashlib.sha256(str(site.resolve()).encode()).hexdigest()[:16]
    lock = FileLock(cache / f"building-{name}.lock")
    cache.mkdir(parents=True, exist_ok=True)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise BusyError(f"another build is at work on {site.name}/; wait until it is done, then build again") from None
    return lock


def staging(site: Path) -> Path:
    """Where to build: a fresh folder beside ``site``. What a build left that was stopped is put in order first.

    Raises ``OSError`` where the site could not be put there in the end.
    """
    last = _last(site)
    if last.exists() and not site.exists():
        last.rename(site)  # it was stopped between the two steps of publishing
    discard(site)
    site.parent.mkdir(parents=True, exist_ok=True)
    _try_to_write(site.parent)
    if site.exists():
        _try_to_write(site)
        if site.is_mount():
            raise OSError(errno.EBUSY, os.strerror(errno.EBUSY), str(site))
    return _stage(site)


def _try_to_write(folder: Path) -> None:
    """Make a file and delete it; an ``OSError`` names the folder."""
    tried = folder / ".may-be-written"
    try:
        tried.touch()
        tried.unlink()
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(folder)) from None


def discard(site: Path) -> None:
    """Remove what a build left half-written beside ``site``."""
    shutil.rmtree(_stage(site), ignore_errors=True)


def _stage(site: Path) -> Path:
    return site.with_name(site.name + ".next")


def _last(site: Path) -> Path:
    return site.with_name(site.name + ".last")


def publish(stage: Path, site: Path) -> None:
    """Put ``stage`` in the place of ``site`` and remove what was there."""
    last = _last(site)
    shutil.rmtree(last, ignore_errors=True)
    if site.exists():
        site.rename(last)
    try:
        stage.rename(site)
    except OSError:
        if last.exists():
            last.rename(site)
        raise
    shutil.rmtree(last, ignore_errors=True)


def trouble(error: OSError) -> str:
    """What stopped a build that could not read or write, in one line, and what to do."""
    path = Path(str(error.filename or "a file"))
    where = path.parent.name if path.suffix == ".lock" else path.name  # nobody has heard of the lock
    reasons = {
        errno.ENOSPC: "the disk is full; make room, then build again",
        errno.EDQUOT: "your share of the disk is full; make room, then build again",
        errno.EROFS: f"{where} is on a disk that may not be written; copy the project elsewhere",
        errno.EACCES: f"{where} may not be written; close what has it open, or change its permissions",
        errno.EPERM: f"{where} may not be written; close what has it open, or change its permissions",
        errno.EBUSY: f"{where} is in use, or a disk of its own, and cannot be replaced; build into a folder inside it",
        errno.ENOTDIR: f"{where} is a file where a folder belongs; move it away, or give it another name",
        errno.ENAMETOOLONG: f"the path to {where} is too long; move the project nearer to the top of the disk",
    }
    reason = reasons.get(error.errno or 0, f"{where}: {error.strerror or error}")
    return f"Nothing was built: {reason}. The handbook you built before is as it was."


def with_pages(nav: Sequence[Any], pages: Sequence[tuple[tuple[str, ...], str, str]]) -> list[Any]:
    """``nav`` (MkDocs' list of pages and sections) with generated pages added, each ``(sections, title, uri)``.

    A section that is not there yet is made. ``nav`` itself is not changed. Titles and sections are plain text; they are
    escaped here because the theme prints its navigation as it is.
    """
    result = [
        {key: list(value) if isinstance(value, list) else value for key, value in item.items()}
        if isinstance(item, dict)
        else item
        for item in nav
    ]
    for sections, title, uri in pages:
        if sections:
            _add(result, tuple(str(escape(section)) for section in sections), {str(escape(title)): uri})
    return result


def _add(level: list[Any], sections: tuple[str, ...], entry: dict[str, str]) -> None:
    for item in level:
        if isinstance(item, dict) and isinstance(item.get(sections[0]), list):
            children = item[sections[0]] = list(item[sections[0]])
            break
    else:
        children = []
        level.append({sections[0]: children})
    if len(sections) == 1:
        children.append(entry)
    else:
        _add(children, sections[1:], entry)
