"""The content security policy of every page, as a ``<meta>`` tag, since a static folder cannot send headers.

Limits, said openly: styles may be inline (the theme and the engraved music use ``style`` attributes);
``frame-ancestors`` has no effect in a ``<meta>`` tag; pages shown by ``mkdocs serve`` have no policy, because its
reload script is inline. ``file:`` stands beside ``'self'`` because browsers differ in what ``'self'`` means for a page
opened from disk; a page from the web cannot load ``file:`` whatever its policy says.
Source: W3C, Content Security Policy Level 3, https://www.w3.org/TR/CSP3/
"""

from __future__ import annotations

import base64
import hashlib
import re
from pathlib import Path

_INLINE = re.compile(r"<script(?P<attributes>(?:\s[^>]*)?)>(?P<text>.*?)</script>", re.DOTALL)
_BASE = re.compile(r'new URL\("[./]*",location\)')
_CHARSET = re.compile(r"<meta charset=[^>]+>", re.IGNORECASE)  # must stay within a page's first 1024 bytes
_HEAD = re.compile(r"<head>", re.IGNORECASE)
_PRESENT = '<meta http-equiv="Content-Security-Policy"'


def trusted_in(site: Path) -> frozenset[str]:
    """The inline scripts that pages of ``site`` may have: :func:`theme_scripts`."""
    not_found = site / "404.html"
    return theme_scripts(not_found.read_text(encoding="utf-8")) if not_found.is_file() else frozenset()


def theme_scripts(not_found: str) -> frozenset[str]:
    """The theme's own inline scripts, read from its page for wrong addresses, which holds no text from content.

    So a script that got into another page by way of the content is not trusted, and does not run.
    """
    return frozenset(_BASE.sub("", text) for text in inline_scripts(not_found))


def inline_scripts(html: str) -> list[str]:
    """Text of the inline scripts of a page that a browser would run."""
    return [
        match["text"]
        for match in _INLINE.finditer(html)
        if not re.search(r"\bsrc=", match["attributes"]) and "application/json" not in match["attributes"]
    ]


def with_policy(html: str, trusted: frozenset[str] = frozenset()) -> str:
    """``html`` with a policy that lets it run scripts from its own site, and inline ones only if ``trusted``.

    A page that has one of its own keeps that.
    """
    if _PRESENT in html:
        return html
    allowed = [hash_source(text) for text in inline_scripts(html) if _BASE.sub("", text) in trusted]
    tag = f'{_PRESENT} content="{policy(sorted(set(allowed)))}">'
    first = _CHARSET.search(html) or _HEAD.search(html)
    assert first, "a page without <head> cannot carry a policy"
    return f"{html[: first.end()]}{tag}{html[first.end() :]}"


def policy(script_hashes: list[str]) -> str:
    """The policy's text; nothing may come from another host."""
    own = "'self' file:"
    return "; ".join(
        (
            f"default-src {own}",
            " ".join((f"script-src {own}", *script_hashes)),
            f"style-src {own} 'unsafe-inline'",
            f"img-src {own} data: blob:",
            f"font-src {own} data:",
            f"media-src {own} data: blob:",
            "object-src 'none'",
            "base-uri 'none'",
            f"form-action {own}",
        )
    )


def hash_source(text: str) -> str:
    """``text`` of a script or style as a policy names it: ``'sha256-…'``."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
