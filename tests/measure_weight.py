"""What a page makes a phone load, against a bare page of the theme, in real Chromium. Not a test.

    python3 tests/measure_weight.py SITE [WIDTHxHEIGHT]        needs Chromium and a built site

Counted is every byte that comes over the wire, compressed as web hosts do, until nothing more is asked for: with what
scripts fetch, as the theme's does the search's index. What the service worker saves meanwhile is not: it comes once.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from collections import defaultdict
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

sys.path[:0] = [str(Path(__file__).parent.parent / "hooks"), str(Path(__file__).parent)]

from benchmark import bare_page  # noqa: E402
from conftest import CHROMIUM, CHROMIUM_ARGUMENTS  # noqa: E402
from sideways import kind_of  # noqa: E402
from staticserver import StaticServer  # noqa: E402

GOAL = 1.25
SCREEN = "390x664"
OF_A_KIND = 6
"""So many pages of each kind are loaded: the largest."""


def loaded(browser: Browser, site: Path, pages: list[str], screen: str) -> dict[str, int]:
    """Bytes that each of ``pages`` makes a browser with nothing kept load."""
    width, height = map(int, screen.split("x"))
    server = StaticServer(site)
    server.packs = True
    found = {}
    for uri in pages:
        context = browser.new_context(viewport={"width": width, "height": height})
        context.add_init_script("delete Navigator.prototype.serviceWorker")
        page = context.new_page()
        network = context.new_cdp_session(page)
        network.send("Network.enable")
        sizes: list[float] = []
        network.on("Network.loadingFinished", lambda event, sizes=sizes: sizes.append(event["encodedDataLength"]))
        page.goto(server.address + uri, wait_until="networkidle")
        found[uri] = round(sum(sizes))
        context.close()
    server.stop()
    return found


def largest(site: Path) -> list[str]:
    """The largest pages of each kind."""
    kinds: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for path in site.rglob("*.html"):
        name = path.relative_to(site).as_posix()
        if not name.startswith("take-away/"):
            kinds[kind_of(name)].append((path.stat().st_size, name))
    return [name for some in kinds.values() for _, name in sorted(some, reverse=True)[:OF_A_KIND]]


def main() -> None:
    """Print the heaviest pages of each kind, heaviest first."""
    site = Path(sys.argv[1])
    screen = sys.argv[2] if len(sys.argv) > 2 else SCREEN
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*CHROMIUM_ARGUMENTS])
        bare = bare_page(Path(folder) / "bare")
        (base,) = loaded(browser, bare.parent, [bare.name], screen).values()
        ours = loaded(browser, site, largest(site), screen)
        browser.close()
    print(f"the theme's bare page: {base} bytes on the wire at {screen}")
    shares = sorted(((size / base, uri) for uri, size in ours.items()), reverse=True)
    for share, uri in shares[:20]:
        print(f"{share:6.2f}  {ours[uri]:8}  {uri}")
    print(f"median of the {len(shares)} largest: {statistics.median(share for share, _ in shares):.2f}; "
          f"over {GOAL}: {sum(share > GOAL for share, _ in shares)}")  # fmt: skip


if __name__ == "__main__":
    main()
