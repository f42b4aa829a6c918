"""What the browser shows while the handbook is served and something in it is wrong: the report, until it is mended."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from markupsafe import Markup

EVERY = ("index.html", "404.html")
"""Files that hold the report; the second is what the server sends for any other address."""

AGAIN = 1
"""Seconds after which the browser asks again."""

_PAGE = Markup(
    """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="refresh" content="{again}">
<title>To be mended</title>
<style>
:root {{ color-scheme: light dark }}
body {{ font: 1.1rem/1.5 sans-serif; max-width: 45rem; margin: 2rem auto; padding: 0 1rem }}
li {{ margin: 0.7rem 0; overflow-wrap: anywhere }}
code {{ font-weight: bold }}
</style>
</head>
<body>
<h1>To be mended</h1>
<p>{head}</p>
<ul>{items}</ul>
<p>Mend it and save the file. The handbook comes back here by itself.</p>
</body>
</html>
"""
)

_PLACE = re.compile(r"^(\S+?:\d+|\S+/\S+): ")


def show(report: str, folder: Path) -> None:
    """Put ``report`` (what is wrong, a line each, under a line that says so) in the place of the site in ``folder``."""
    for each in folder.iterdir():
        shutil.rmtree(each) if each.is_dir() else each.unlink()
    for name in EVERY:
        (folder / name).write_text(page(report), encoding="utf-8")


def page(report: str) -> str:
    """The report as a page that asks again by itself."""
    lines = [line for line in report.splitlines() if line.strip()]
    head, *problems = lines if len(lines) > 1 else ("This keeps the handbook from being built.", *lines)
    items = Markup("").join(Markup("<li>{}</li>").format(_problem(line)) for line in problems)
    return str(_PAGE.format(again=AGAIN, head=head, items=items))


def _problem(line: str) -> Markup:
    place = _PLACE.match(line)
    if not place:
        return Markup("{}").format(line)
    return Markup("<code>{}</code>: {}").format(place[1], line[place.end() :])
