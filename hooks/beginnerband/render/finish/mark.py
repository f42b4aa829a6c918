"""The mark of the leader's own copy, at the head of a page and on paper in its margin."""

from __future__ import annotations

import re

from markupsafe import escape

_BODY = re.compile(r"<body\b[^>]*>", re.IGNORECASE)

_STYLE = (
    ".bb-own-copy{margin:0;padding:.25rem .8rem;font:700 .8rem/1.3 sans-serif;text-align:center;color:#fff;"
    "background:#8c2f1b}"
    "@media print{.bb-own-copy{position:fixed;top:0;left:0;right:0;padding:0;font-size:6.5pt;"
    "color:#000;background:none}}"
)


def marked(html: str, words: str) -> str:
    """A page with ``words`` at its head; ``AssertionError`` for one without a body."""
    tag = f'<style>{_STYLE}</style><aside class="bb-own-copy" aria-label="Whose copy this is">{escape(words)}</aside>'
    body = _BODY.search(html)
    assert body, "a page without <body> cannot be marked"
    return html[: body.end()] + tag + html[body.end() :]
