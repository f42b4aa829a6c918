"""The service worker: its template filled with a list of the site's files, each by the hash of its content."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path

from beginnerband.render.finish import takeaway
from beginnerband.render.finish.listing import content_hash

NAME = "service-worker.js"
"""Beside the home page, so that the whole handbook is in its scope."""
TEMPLATE = Path(__file__).with_name(NAME)
"""The worker before its lists are filled in."""
_ON_DEMAND = re.compile(r".*\.(pdf|zip|mid|musicxml|mxl|csv)|take-away/.*|.*/lunr/.*")
_LEFT_OUT = re.compile(r"service-worker\.js|404\.html|search/search_index\.js")


def write(site: Path, hashes: Mapping[str, str]) -> None:
    """Fill the service worker's lists from the ``hashes`` of all files of the finished ``site`` and write it there."""
    listed = {name: value for name, value in sorted(hashes.items()) if not _LEFT_OUT.fullmatch(name)}
    kept = {name: value for name, value in listed.items() if not _ON_DEMAND.fullmatch(name)}
    on_demand = {name: value for name, value in listed.items() if name not in kept and name != takeaway.NAME}
    (site / NAME).write_text(
        fill(TEMPLATE.read_text(encoding="utf-8"), kept, on_demand), encoding="utf-8", newline="\n"
    )


def fill(template: str, kept: dict[str, str], on_demand: dict[str, str]) -> str:
    """``template`` with the files to keep at once, the files to keep when asked for, and a version over all of it."""
    lists = json.dumps([kept, on_demand], separators=(",", ":"))
    version = content_hash((template + lists).encode())[:12]
    for name, value in (("VERSION", version), ("KEPT", kept), ("ON_DEMAND", on_demand)):
        template = template.replace(f'"{{{{{name}}}}}"', json.dumps(value, separators=(",", ":"), ensure_ascii=True))
    return template
