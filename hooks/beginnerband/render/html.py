"""HTML from templates: Jinja2 with every value escaped unless it is already markup of ours."""

from __future__ import annotations

import posixpath
import re
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from beginnerband.music.signs import SIGNS

ROOMS = Path(__file__).parent.parent / "pages"
"""The rooms' folders: each holds its templates, scripts and styles beside its Python."""


@lru_cache(maxsize=1)
def environment() -> Environment:
    """The template environment; a name that a template does not know is an error, not an empty string."""
    env = Environment(
        loader=FileSystemLoader(ROOMS),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters["signs"] = signs
    env.filters["md"] = markdown_text
    env.globals["relative"] = relative
    return env


def render(template: str, **values: Any) -> Markup:
    """Fill ``template``, as ``course/card.html``, with ``values``."""
    return Markup(environment().get_template(template).render(**values))


def relative(from_uri: str, to_uri: str) -> str:
    """A link from one page of the site to another, both named from the site's root: ``../tunes/x.html``."""
    path, hash_sign, anchor = to_uri.partition("#")
    path = re.sub(r"\.md$", ".html", path)
    link = posixpath.relpath(f"/{path}", f"/{posixpath.dirname(from_uri)}") if path else ""
    return link + hash_sign + anchor


def signs(text: str) -> str:
    """Note and key names for people: ``Bb3`` becomes ``B♭3``, ``F#`` becomes ``F♯``."""
    return re.sub(r"\b([A-G])(bb|b|##|#)(?=-?\d|\b|$|[^A-Za-z])", lambda m: m[1] + SIGNS[m[2]], str(text))


def markdown_text(text: object) -> str:
    """Text from data made safe to stand in Markdown: no markup of HTML, Markdown or blocks survives."""
    plain = " ".join(str(text).split())
    return re.sub(
        r"([\\`*_{}\[\]()#+!|~^=:.-])", lambda m: f"&#{ord(m[1])};", str(escape(plain)).replace("&#", "\0")
    ).replace("\0", "&#")
