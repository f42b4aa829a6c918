"""The look-up as a person uses it in a browser: a page for each address, a note picked, what is answered then."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from staticserver import drawn, until

PHONE = {"width": 390, "height": 780}

Open = Callable[..., Any]


def pages(browser: Any) -> Iterator[Open]:
    """Open an address in a fresh context (a phone by default); fails on errors and on requests to another host."""
    contexts, complaints = [], []

    def opened(url: str, **options: Any) -> Any:
        context = browser.new_context(**{"viewport": PHONE, "has_touch": True, **options})
        contexts.append(context)
        # The service worker is not what is tested here, and would fetch the whole handbook each time.
        context.add_init_script("delete Navigator.prototype.serviceWorker")
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(f"error: {error}"))
        page.on("request", lambda request: _own(request.url, complaints))
        page.goto(url)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert not complaints


def _own(url: str, complaints: list[str]) -> None:
    if not re.match(r"(http://127\.0\.0\.1:|file:|data:|blob:)", url):
        complaints.append(f"asked another host: {url}")


def pick(page: Any, name: str) -> None:
    """Tap a note in the tray by its spoken name, as ``B flat 4``."""
    page.get_by_role("radio", name=name, exact=True).tap()


def answer(page: Any) -> str:
    drawn(page)
    return " ".join(page.locator("#bb-lu-answer > :first-child").inner_text().split())


def shows_address(page: Any, end: str) -> str:
    """Wait until the address, which follows a moment after the answer, ends with ``end``; gives all of it."""
    until(lambda: page.evaluate("location.href").endswith(end), f"the address does not end with {end}", 10)
    return str(page.evaluate("location.href"))


def others(page: Any) -> dict[str, str]:
    """What each other player reads and does: name to ``D5 1``."""
    drawn(page)
    page.locator("#bb-lu-answer > :last-child:not([aria-busy])").wait_for()  # drawn in the frame after the answer
    rows = {}
    for row in page.locator(".bb-lu-row").all():
        note = row.locator(".bb-lu-name").inner_text().replace("\n", "")
        how = row.locator(".bb-lu-how b")
        rows[row.locator(".bb-lu-by").inner_text()] = f"{note} {how.inner_text() if how.count() else ''}".strip()
    return rows
