"""Lighthouse on the main kinds of page, side by side with a bare page of the theme in the same run. Not a test.

    python3 tests/lighthouse_pages.py        needs Node 20, npm, Chromium and a built site in site/

Mobile, simulated throttling, compressed by the server as web hosts do. The bare page is a paragraph in the same theme
with the same settings, and none of the handbook's own scripts and styles: what the theme costs by itself.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from staticserver import StaticServer

ROOT = Path(__file__).parent.parent
LIGHTHOUSE = "lighthouse@12.2.3"
"""The last that runs on Node 20."""
PAGES = ("index.html", "look-up.html", "course/lesson-08.html", "tunes/hot-cross-buns.html")
KINDS = ("performance", "accessibility", "best-practices")
BARE = """\
site_name: Bare
docs_dir: pages
use_directory_urls: false
theme: {name: material, font: false, palette: [{scheme: default, toggle: {icon: material/weather-night, name: Dark}},
  {scheme: slate, toggle: {icon: material/weather-sunny, name: Light}}]}
plugins: [search]
"""


def bare_site(folder: Path) -> Path:
    """A site of one paragraph in the bare theme."""
    (folder / "pages").mkdir()
    (folder / "mkdocs.yml").write_text(BARE)
    (folder / "pages" / "index.md").write_text("# Bare\n\nA paragraph.\n")
    env = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
    subprocess.run([sys.executable, "-m", "mkdocs", "build", "-q"], cwd=folder, env=env, check=True)
    return folder / "site"


def scores(address: str) -> list[int]:
    """Lighthouse's three scores of a page, out of 100."""
    command = [
        *("npm", "exec", "--yes", f"--package={LIGHTHOUSE}", "--", "lighthouse", address, "--quiet", "--output=json"),
        *("--form-factor=mobile", "--throttling-method=simulate", f"--only-categories={','.join(KINDS)}"),
        "--chrome-flags=--headless=new --no-sandbox --disable-gpu",
    ]
    run = subprocess.run(command, capture_output=True, text=True, check=True)
    report = json.loads(run.stdout)
    failed = [
        f"    {audit['id']}: {audit.get('displayValue') or audit['title']}"
        for kind in KINDS
        for reference in report["categories"][kind]["auditRefs"]
        if reference["weight"] and (audit := report["audits"][reference["id"]])["score"] not in (None, 1)
    ]
    print("\n".join(failed), file=sys.stderr)
    return [round(100 * report["categories"][kind]["score"]) for kind in KINDS]


def main() -> None:
    """Print one line a page: handbook's pages first, the theme's bare page last."""
    with tempfile.TemporaryDirectory() as temporary:
        print(f"{'page':32}" + "".join(f"{kind:>16}" for kind in KINDS))
        for folder, pages in ((ROOT / "site", sys.argv[1:] or PAGES), (bare_site(Path(temporary)), ("index.html",))):
            server = StaticServer(folder)
            server.packs = True
            for page in pages:
                name = page if folder == ROOT / "site" else "(bare theme)"
                print(f"{name:32}" + "".join(f"{score:>16}" for score in scores(server.address + page)), flush=True)
            server.stop()


if __name__ == "__main__":
    main()
