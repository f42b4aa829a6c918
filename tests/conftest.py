"""Shared by all tests: the book, the built site, and one Chromium."""

from __future__ import annotations

import gc
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from filelock import FileLock
from playwright.sync_api import Browser, Playwright, sync_playwright
from xdist.remote import Producer
from xdist.scheduler import LoadScopeScheduling

from beginnerband.data.book import Book, load_book
from start import CHROMIUM_NAMES

# music21's scores are large and full of cycles: looking among them for garbage as often as Python does by itself takes
# an eighth of the time of the tests that read music.
gc.set_threshold(100_000, 20, 20)

ROOT = Path(__file__).parent.parent
CHROMIUM = next(
    (found for name in (os.environ.get("CHROMIUM", ""), *CHROMIUM_NAMES) if name and (found := shutil.which(name))),
    None,
)  # None: Playwright's own, where start.py could install it
CHROMIUM_ARGUMENTS = (
    "--no-sandbox",
    "--disable-background-networking",
    "--disable-component-update",
    "--font-render-hinting=none",  # as on paper: else letters without a window stand on whole pixels
)


TOGETHER = (
    r"test_build\.py::",  # one copy of the small project; first the whole site is built, which takes longest of all
    r"test_course_plans\.py::.*\[(.*)\]",  # one plan
    r"test_chorale",  # what meanwhile needs no site
    r"test_music_files\.py::",
    r"_us_letter|_words_follow_the_band",  # one course set on other paper
    r"test_privacy\.py::",  # both editions of the small project
    r"test_offline\.py::.*_without_a_signal",  # one visit
)
"""Tests that share what takes long to make: those whose names match a pattern, and have the same in its brackets. They
are run first, in this order.
"""


class Sharing(LoadScopeScheduling):
    """Hands tests out to processes one by one, but those that belong together as one.

    (What pytest-xdist offers for this, its mark ``xdist_group``, does nothing with pytest 9.2.)
    """

    def __init__(self, config: pytest.Config, log: Producer) -> None:
        super().__init__(config, log)
        config.option.loadscopereorder = False  # the order is that of ``pytest_collection_modifyitems``

    def _split_scope(self, nodeid: str) -> str:
        found = ((pattern, re.search(pattern, nodeid)) for pattern in TOGETHER)
        return next((" ".join((pattern, *match.groups())) for pattern, match in found if match), nodeid)


def turn(nodeid: str) -> int:
    """When a test has its turn: place of its pattern in :data:`TOGETHER`, or after them all."""
    return next((place for place, pattern in enumerate(TOGETHER) if re.search(pattern, nodeid)), len(TOGETHER))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> Sharing:
    return Sharing(config, log)


INSIDE = re.compile(r"beginnerband\.(music|teaching|people|data\.(abc|book|ladder))(\.|$)")
"""What tests of the domain import of the handbook: the domain, and what gives it the shipped content, or a line."""

HELPERS = {path.stem for path in Path(__file__).parent.glob("*.py")} - {"conftest", "matchmaking"} | {"start"}
"""Helpers of tests that build, show or read a corpus."""

_IMPORTS = re.compile(r"^\s*(?:from|import) ([\w.]+)", re.M)


@cache
def in_domain(path: Path) -> bool:
    """Whether a test file imports nothing but the domain, so that it belongs to the quick lane."""
    names = _IMPORTS.findall(path.read_text(encoding="utf-8"))
    own = (name for name in names if name.split(".")[0] == "beginnerband")
    return all(INSIDE.match(name) for name in own) and HELPERS.isdisjoint(names) and "playwright" not in str(names)


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """In the quick lane files outside the domain are not even imported."""
    is_test = collection_path.name.startswith("test_") and config.option.markexpr == "domain"
    return True if is_test and not in_domain(collection_path) else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put in front what takes long, and mark as ``domain`` the tests of music, teaching and people alone: no page, no
    browser, no build, no file.
    """
    items.sort(key=lambda item: turn(item.nodeid))
    outside = {"site", "server", "browser", "tmp_path", "tmp_path_factory"}
    for item in items:
        if in_domain(item.path) and outside.isdisjoint(getattr(item, "fixturenames", ())):
            item.add_marker("domain")


@pytest.fixture(scope="session")
def book() -> Book:
    """The shipped content."""
    return load_book(ROOT)


def build(root: Path, *options: str) -> subprocess.CompletedProcess[str]:
    """Run ``mkdocs build`` on the project at ``root``."""
    return subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", *options],
        cwd=root,
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
        capture_output=True,
        text=True,
        check=False,
    )


def copy_project(target: Path) -> Path:
    """A copy of the project that a test may change, with the cache so that building it is quick."""
    for name in ("content", "handbook", "hooks"):
        shutil.copytree(ROOT / name, target / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("mkdocs.yml", "pyproject.toml"):
        shutil.copy(ROOT / name, target / name)
    if (ROOT / ".cache").is_dir():
        used_by_other = shutil.ignore_patterns("products", "chorales")
        shutil.copytree(ROOT / ".cache", target / ".cache", ignore=used_by_other, dirs_exist_ok=True)
    return target


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that every worker of this session has."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if os.environ.get("PYTEST_XDIST_WORKER") else own


@pytest.fixture(scope="session")
def site(shared: Path) -> Path:
    """The handbook built once, strictly, for every test and every worker."""
    target = shared / "built-site"
    with FileLock(f"{target}.lock"):
        if not (target / "index.html").is_file():
            run = build(ROOT, "--strict", "--site-dir", str(target))
            assert run.returncode == 0, run.stderr + run.stdout
    return target


@pytest.fixture(scope="session")
def small(shared: Path, site: Path) -> Path:
    """The small project built once for every test and every worker; who changes it takes a copy, cache and all.

    (``site`` first, so that what both engrave is in the cache.)
    """
    from smallproject import small_project

    target = shared / "small-project"
    with FileLock(f"{target}.lock"):
        if not (target / "site" / "index.html").is_file():
            run = build(small_project(target))
            assert run.returncode == 0, run.stderr
    return target


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """Playwright, started once: it cannot run twice in one process."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    """One headless Chromium for the session."""
    started = playwright.chromium.launch(
        executable_path=CHROMIUM,
        args=[*CHROMIUM_ARGUMENTS, "--disable-quic"],
    )
    yield started
    started.close()


@pytest.fixture(scope="session")
def server(site: Path) -> Iterator[str]:
    """The built site over HTTP on this machine, under a sub-path; gives the address with its closing slash."""
    import functools
    import http.server
    import threading

    from staticserver import Quiet

    class Handler(http.server.SimpleHTTPRequestHandler):
        def translate_path(self, path: str) -> str:
            return super().translate_path(path.removeprefix("/band"))

        def log_message(self, format: str, *args: object) -> None:
            pass

    httpd = Quiet(("127.0.0.1", 0), functools.partial(Handler, directory=str(site)))
    threading.Thread(target=httpd.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{httpd.server_port}/band/"
    httpd.shutdown()
