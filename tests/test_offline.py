"""The handbook without a signal, in real Chromium: a browser killed, a line that breaks, a disk that is full."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from conftest import CHROMIUM, CHROMIUM_ARGUMENTS
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, Route
from staticserver import PREFIX, StaticServer, until

from beginnerband.pages.assets import sources
from beginnerband.render.finish import precache
from beginnerband.render.finish.listing import content_hash, hashes
from beginnerband.render.finish.policy import policy, with_policy

pytestmark = pytest.mark.browser
ASSETS = sources()
"""Where each script and style is."""


class Phone:
    """A Chromium with a profile of its own that can be killed and started again, like an app swiped away."""

    def __init__(self, playwright: Any, profile: Path) -> None:
        self.playwright, self.profile = playwright, profile
        self.process: subprocess.Popen[bytes] | None = None
        self.browser: Browser | None = None

    def start(self) -> BrowserContext:
        port_file = self.profile / "DevToolsActivePort"
        port_file.unlink(missing_ok=True)
        self.process = subprocess.Popen(
            [
                str(CHROMIUM),
                *CHROMIUM_ARGUMENTS,
                "--headless=new",
                "--disable-gpu",
                "--no-first-run",
                "--remote-debugging-port=0",
                f"--user-data-dir={self.profile}",
                "about:blank",
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        until(lambda: port_file.is_file() and "\n" in port_file.read_text(), "Chromium did not start")
        port, path = port_file.read_text().split("\n")[:2]
        self.browser = self.playwright.chromium.connect_over_cdp(f"ws://127.0.0.1:{port}{path}")
        return self.browser.contexts[0]

    def kill(self) -> None:
        """End it at once, without any chance to tidy up."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.process = None


@pytest.fixture
def phone(tmp_path: Path, playwright: Playwright) -> Iterator[Phone]:
    phone = Phone(playwright, tmp_path / "profile")
    yield phone
    phone.kill()


@contextmanager
def served(folder: Path, port: int = 0) -> Iterator[StaticServer]:
    server = StaticServer(folder, port)
    try:
        yield server
    finally:
        server.stop()


def small_site(folder: Path, words: str, pages: int = 3, ballast: int = 0) -> Path:
    """A site of a few pages with the real scripts and the real worker; every page says ``words``."""
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "assets").mkdir(parents=True)
    for name in ("kit.js", "offline.js", "offline.css"):
        shutil.copy(ASSETS[name], folder / "assets")
    (folder / "assets" / "words.js").write_text(f'document.querySelector("p").append(" and script {words}");')
    (folder / "handbook.webmanifest").write_text('{"name": "x", "start_url": "./index.html", "display": "standalone"}')
    if ballast:
        (folder / "assets" / "heavy.svg").write_bytes(os.urandom(ballast))
    for name in ("index", *(f"page-{number}" for number in range(pages))):
        html = (
            '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Test</title>'
            '<link rel="stylesheet" href="assets/offline.css"></head>'
            f"<body><p>{name} says {words}</p><p data-bb-saved=line></p><div data-bb-saved></div>"
            '<button data-bb-save="save-all" hidden>All</button><button data-bb-save="save-rest" hidden>Rest</button>'
            '<script src="assets/words.js"></script><script src="assets/kit.js"></script>'
            '<script src="assets/offline.js"></script></body></html>'
        )
        (folder / f"{name}.html").write_text(with_policy(html))
    (folder / "paper.pdf").write_bytes(b"%PDF-1.7 " + words.encode())
    precache.write(folder, hashes(folder))
    return folder


def saved(page: Page) -> None:
    """Wait until the handbook is kept on the device and answers for this page."""
    until(lambda: page.evaluate("navigator.serviceWorker.controller !== null"), "no worker took over", 90)


def room_for(page: Page, size: int | None, address: str = "") -> None:
    """Give the page's host, or that of ``address``, so many bytes on the device; ``None``: as many as there are."""
    origin = "/".join((address or page.url).split("/")[:3])
    devtools = page.context.new_cdp_session(page)
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": origin} | ({"quotaSize": size} if size else {}))


def caches_of(page: Page) -> list[str]:
    return list(page.evaluate("caches.keys()"))


def said(page: Page, start: str) -> None:
    """Wait until the place that tells how saving went starts with ``start``."""
    page.locator("div[data-bb-saved]", has_text=start).wait_for(timeout=60_000)


def line(page: Page) -> str:
    """The same in a few words, as the home page has it."""
    return page.inner_text("[data-bb-saved=line]")


def text(page: Page) -> str:
    return page.inner_text("p >> nth=0")


@pytest.fixture(scope="module")
def visited(site: Path, playwright: Playwright, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, int]:
    """The profile of a phone that opened the home page once and was killed, and the port it was served at."""
    phone = Phone(playwright, tmp_path_factory.mktemp("visited") / "profile")
    try:
        with served(site) as server:
            page = phone.start().new_page()
            page.goto(server.address + "index.html")
            saved(page)
            return phone.profile, int(server.address.split(":")[2].partition("/")[0])
    finally:
        phone.kill()


@pytest.fixture
def again(visited: tuple[Path, int], phone: Phone) -> tuple[Page, str]:
    """A new page of such a phone, started again without a signal; with the address it knows the handbook by."""
    profile, port = visited
    shutil.copytree(profile, phone.profile, ignore=shutil.ignore_patterns("Singleton*"))
    return phone.start().new_page(), f"http://127.0.0.1:{port}{PREFIX}"


def test_after_one_visit_everything_opens_without_a_signal_and_after_a_kill(
    site: Path, again: tuple[Page, str]
) -> None:
    page, address = again
    kept = re.search(r"const KEPT = (\{.*?\});", (site / "service-worker.js").read_text())
    assert kept
    never_visited = [name for name in re.findall(r'"([^"]+\.html)":', kept[1]) if name != "index.html"]
    assert len(never_visited) > 40
    failures: list[str] = []
    page.on("requestfailed", lambda request: failures.append(f"{request.url}: {request.failure}"))
    page.on("pageerror", lambda error: failures.append(str(error)))
    for name in [*never_visited[:: max(1, len(never_visited) // 12)], ""]:
        answered = page.goto(address + name)
        assert answered
        assert answered.status == 200, name
        assert answered.from_service_worker
        assert page.locator("h1").first.is_visible(), name
    assert not [failure for failure in failures if "ERR_ABORTED" not in failure]  # that is only the next page's coming


def test_a_tune_plays_and_a_note_is_looked_up_and_heard_without_a_signal(again: tuple[Page, str]) -> None:
    page, address = again
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(address + "tunes/three-friends.html")
    tune = page.locator(".bb-sheet:not(#sheet-round)").first
    page.get_by_role("region", name="Player").get_by_role("button", name="Count in").click()
    tune.get_by_role("button", name="Play Three Friends").click()
    until(lambda: tune.locator(".bb-note.bb-now").count(), "no note sounds", 30)
    assert page.evaluate("bandSound.context().state") == "running"
    tune.get_by_role("button", name="Stop Three Friends").click()
    page.goto(address + "look-up.html#tenor-horn/treble-eb/D5")
    # Common practice, no source: D of an E flat horn is played with the first valve, and sounds concert F.
    answer = " ".join(page.locator("#bb-lu-answer > :first-child").inner_text().split())
    assert "Press 1" in answer
    assert "Sounds F4" in answer
    page.get_by_role("button", name="Hear it").click()  # its player is fetched only now
    until(lambda: page.evaluate("Boolean(window.bandSound)"), "the player is not there", 30)
    assert not errors


def test_search_answers_without_a_signal(again: tuple[Page, str]) -> None:
    page, address = again
    page.goto(address + "guide/index.html")
    page.get_by_role("textbox", name="Search").press_sequentially("breathing")
    page.locator(".md-search-result__link").first.wait_for()


def test_what_is_kept_without_a_signal_is_told_and_the_papers_come_when_asked(
    site: Path, again: tuple[Page, str], visited: tuple[Path, int]
) -> None:
    page, address = again
    page.goto(address + "share.html")
    page.get_by_text("open without a signal").wait_for(timeout=120_000)
    assert address in page.inner_text("main")
    rest = page.get_by_role("button", name="Save the papers")
    assert rest.is_visible()
    with served(site, visited[1]) as server:
        rest.click()  # to the end on a small site below: here are some 1,400 files
        until(lambda: {name.rpartition(".")[2] for name in server.asked} & {"pdf", "mid"}, "nothing was asked for", 60)


def test_a_new_version_waits_for_a_yes_and_then_is_whole(tmp_path: Path, phone: Phone) -> None:
    with served(small_site(tmp_path / "one", "old")) as server:
        page = phone.start().new_page()
        page.goto(server.address + "index.html")
        saved(page)
        assert text(page) == "index says old and script old"
        server.folder = small_site(tmp_path / "two", "new")
        page.goto(server.address + "page-1.html")
        notice = page.locator(".bb-update")
        notice.get_by_role("button", name="Use it now").wait_for()
        assert notice.get_attribute("role") == "status"
        assert text(page) == "page-1 says old and script old"  # whole and old until somebody says yes
        page.reload()
        assert text(page) == "page-1 says old and script old"
        assert len(caches_of(page)) == 2
        page.wait_for_load_state("load")
        assert notice.count() == 0  # asked once a day
        page.evaluate("localStorage.setItem('bb-update-later', 'yesterday')")
        page.reload()
        notice.get_by_role("button", name="Later").click()
        assert notice.count() == 0
        page.evaluate("localStorage.setItem('bb-update-later', 'yesterday')")
        page.goto(server.address + "page-1.html")
        notice.get_by_role("button", name="Use it now").click()
        page.get_by_text("page-1 says new and script new", exact=True).wait_for()
        until(lambda: len(caches_of(page)) == 1, "the old version was not cleared")
        address = server.address
    page.goto(address + "page-2.html")
    assert text(page) == "page-2 says new and script new"


def test_an_update_fetches_only_what_changed(tmp_path: Path, phone: Phone) -> None:
    with served(small_site(tmp_path / "one", "same")) as server:
        page = phone.start().new_page()
        page.goto(server.address + "index.html")
        saved(page)
        page.evaluate("fetch('paper.pdf').then(answer => answer.text())")
        until(lambda: page.evaluate("caches.match('paper.pdf').then(Boolean)"), "the paper was not kept")
        changed = small_site(tmp_path / "two", "same")
        (changed / "page-1.html").write_text((changed / "page-1.html").read_text().replace("same", "changed"))
        precache.write(changed, hashes(changed))
        server.folder = changed
        server.asked.clear()
        page.reload()
        page.get_by_role("button", name="Use it now").click()
        until(lambda: len(caches_of(page)) == 1, "no update")
        assert sorted({name for name in server.asked if name != "service-worker.js"}) == ["page-1.html"]
    kept = until(lambda: page.evaluate("fetch('paper.pdf').then(answer => answer.text())"), "the paper is gone")
    assert kept == "%PDF-1.7 same"


@pytest.mark.parametrize("fault", ["cut short", "wrong file", "missing"])
def test_a_broken_download_leaves_the_old_version_working_and_is_made_good_later(
    fault: str, tmp_path: Path, phone: Phone
) -> None:
    def spoil(name: str, body: bytes) -> bytes | None:
        if name != "page-2.html":
            return body
        return {"cut short": None, "wrong file": body.replace(b"new", b"odd"), "missing": b""}[fault]

    with served(small_site(tmp_path / "one", "old")) as server:
        page = phone.start().new_page()
        page.goto(server.address + "index.html")
        saved(page)
        server.folder = small_site(tmp_path / "two", "new")
        if fault == "missing":
            (server.folder / "page-2.html").unlink()
        server.spoil = spoil
        server.asked.clear()
        page.reload()
        said(page, "Saving was cut off")
        assert "page-2.html" in server.asked
        assert not page.locator(".bb-update").is_visible()
        for name in ("index", "page-0", "page-2"):
            page.goto(f"{server.address}{name}.html")
            assert text(page) == f"{name} says old and script old"
        server.folder = small_site(tmp_path / "two", "new")
        server.spoil = lambda name, body: body
        page.goto(server.address + "page-2.html")
        page.get_by_role("button", name="Use it now").click()
        page.get_by_text("page-2 says new and script new", exact=True).wait_for()
        assert len(caches_of(page)) == 1


def test_a_first_visit_that_breaks_off_is_finished_by_the_next(tmp_path: Path, phone: Phone) -> None:
    with served(small_site(tmp_path / "one", "first", pages=30)) as server:
        server.spoil = lambda name, body: None if name == "page-29.html" else body
        page = phone.start().new_page()
        page.goto(server.address + "index.html")
        said(page, "Saving was cut off")
        assert line(page) == "Saving was cut off; it goes on later."
        assert page.evaluate("navigator.serviceWorker.controller") is None
        server.spoil = lambda name, body: body
        server.asked.clear()
        page.reload()
        saved(page)
        fetched_again = {name for name in server.asked if name.startswith("page-")}
        assert "page-29.html" in fetched_again
        assert len(fetched_again) < 15  # what came before the break was kept


def test_a_full_device_keeps_the_old_version_and_says_so(tmp_path: Path, phone: Phone) -> None:
    with served(small_site(tmp_path / "one", "old")) as server:
        page = phone.start().new_page()
        page.goto(server.address + "index.html")
        saved(page)
        room_for(page, 300_000)
        server.folder = small_site(tmp_path / "two", "new", ballast=2_000_000)
        page.reload()
        said(page, "There is no room")
        assert len(caches_of(page)) == 1  # what the new version took was given back
        page.goto(server.address + "page-1.html")
        assert text(page) == "page-1 says old and script old"
        address = server.address
    page.goto(address + "page-2.html")
    assert text(page) == "page-2 says old and script old"


def test_a_first_visit_to_a_full_device_still_reads_online(tmp_path: Path, phone: Phone) -> None:
    with served(small_site(tmp_path / "one", "old", ballast=2_000_000)) as server:
        page = phone.start().new_page()
        room_for(page, 300_000, server.address)
        page.goto(server.address + "index.html")
        said(page, "There is no room")
        assert line(page) == "No room to save the handbook here."
        page.goto(server.address + "page-1.html")
        assert text(page) == "page-1 says old and script old"


def test_what_the_device_threw_away_is_counted_and_fetched_again(tmp_path: Path, phone: Phone) -> None:
    with served(small_site(tmp_path / "one", "old")) as server:
        page = phone.start().new_page()
        page.goto(server.address + "index.html")
        saved(page)
        said(page, "Saved on this device: all 4 pages")
        assert line(page) == "Saved on this device: all 4 pages."
        throw_away = "caches.keys().then(all => caches.open(all[0])).then(one => one.delete('page-1.html'))"
        page.evaluate(throw_away)
        server.spoil = lambda name, body: None if name == "page-1.html" else body
        page.reload()
        said(page, "On this device 3 of 4 pages open without a signal. Saving was cut off.")
        assert line(page) == "Saved on this device: 3 of 4 pages."
        server.spoil = lambda name, body: body
        page.reload()
        said(page, "Saved on this device: all 4 pages")
        address = server.address
    page.goto(address + "page-1.html")
    assert text(page) == "page-1 says old and script old"


def test_papers_without_room_say_what_is_saved_and_can_be_tried_again(tmp_path: Path, phone: Phone) -> None:
    folder = small_site(tmp_path / "one", "old")
    (folder / "paper.pdf").write_bytes(os.urandom(2_000_000))
    precache.write(folder, hashes(folder))
    with served(folder) as server:
        page = phone.start().new_page()
        page.goto(server.address + "index.html")
        saved(page)
        room_for(page, 300_000)
        button = page.locator("[data-bb-save=save-rest]")
        button.click()
        said(
            page, "Saved on this device: all 4 pages open without a signal. Of 1 files to print or to play from, 0 are"
        )
        said(page, "There was no room for more. Make room, then try again.")
        room_for(page, None)
        button.click()
        page.locator("div[data-bb-saved]", has_text="1 are saved").wait_for()
        assert button.is_hidden()


def test_a_device_that_saves_data_keeps_what_is_opened_and_the_rest_when_asked(tmp_path: Path, phone: Phone) -> None:
    folder = small_site(tmp_path / "one", "old")
    worker = folder / "service-worker.js"
    asks = "Boolean(self.navigator.connection?.saveData)"
    assert asks in worker.read_text()
    worker.write_text(worker.read_text().replace(asks, "true"))  # Chromium has no switch for it without a window
    with served(folder) as server:
        page = phone.start().new_page()
        page.goto(server.address + "index.html")
        saved(page)
        said(page, "This device saves data, so only what you open is saved: ")
        assert re.match(r"Saved on this device: [0-3] of 4 pages|Nothing is saved", line(page))
        assert "page-2.html" not in server.asked
        page.locator("[data-bb-save=save-all]").click()
        said(page, "Saved on this device: all 4 pages")


def test_what_is_not_saved_is_said_in_plain_words(tmp_path: Path, phone: Phone) -> None:
    with served(small_site(tmp_path / "one", "old")) as server:
        page = phone.start().new_page()
        page.goto(server.address + "index.html")
        saved(page)
        address = server.address
    answered = page.goto(address + "no-such-page.html")
    assert answered
    assert answered.status == 404
    assert "no such page" in page.inner_text("body")
    assert page.get_by_role("link", name="Open the handbook").get_attribute("href") == address + "index.html"
    page.goto(address + "page-1")  # some hosts leave out .html
    assert text(page) == "page-1 says old and script old"


@pytest.mark.parametrize("start", ["http://band.test/", "http://band.test/our/handbook/"])
@pytest.mark.parametrize("wrong", ["nothing.html", "guide/no/such/page.html"])
def test_a_wrong_address_leads_back_at_any_depth(browser: Browser, site: Path, start: str, wrong: str) -> None:
    """A host that shows 404.html for every address it has no file for, with the handbook in a folder or at the top."""

    def serve(route: Route) -> None:
        file = site / route.request.url.removeprefix(start)
        found = route.request.url.startswith(start) and file.is_file()
        route.fulfill(path=file if found else site / "404.html", status=200 if found else 404)

    page = browser.new_page()
    page.route("**/*", serve)
    page.goto(start + wrong)
    until(lambda: page.locator("#by-hand").is_hidden(), "the start of the handbook was not found")
    links = page.eval_on_selector_all("a", "(links) => links.map((link) => link.href)")
    assert links[0] == f"{start}index.html"
    assert all((site / link.removeprefix(start)).is_file() for link in links)
    assert page.evaluate("getComputedStyle(document.querySelector('a')).display") == "flex"
    page.close()


def test_every_kept_file_is_listed_by_its_hash_and_the_list_does_not_change_by_itself(site: Path) -> None:
    worker = (site / "service-worker.js").read_text()
    listed = dict(re.findall(r'"([^"{}]+?)":"([0-9a-f]{32})"', worker))
    files = {path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file()}
    assert files - set(listed) == {
        "service-worker.js",
        "404.html",
        "search/search_index.js",
        "take-away/handbook.zip",
    }
    for name, value in listed.items():
        assert content_hash((site / name).read_bytes()) == value
    again = precache.fill(precache.TEMPLATE.read_text(), {"a.html": "1" * 32}, {})
    assert again == precache.fill(precache.TEMPLATE.read_text(), {"a.html": "1" * 32}, {})
    assert again != precache.fill(precache.TEMPLATE.read_text(), {"a.html": "2" * 32}, {})


def test_a_script_that_came_in_by_way_of_content_does_not_run(browser: Browser, tmp_path: Path) -> None:
    html = '<!doctype html><html><head><meta charset="utf-8"><title>t</title></head><body>'
    html += "<script>window.ours = 1</script><script>window.theirs = 1</script></body></html>"
    (tmp_path / "page.html").write_text(with_policy(html, frozenset({"window.ours = 1"})))
    page = browser.new_page()
    page.goto((tmp_path / "page.html").as_uri())
    assert page.evaluate("[window.ours, window.theirs]") == [1, None]
    page.close()


def test_no_policy_lets_another_host_in() -> None:
    sources = set(re.findall(r"\S+", policy(["'sha256-x'"]).replace(";", "")))
    assert not [source for source in sources if "http" in source or "*" in source or "unsafe-eval" in source]


def test_pages_from_disk_find_words_and_break_no_policy(site: Path, browser: Browser) -> None:
    page = browser.new_page()
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto((site / "guide" / "index.html").as_uri())
    page.get_by_role("textbox", name="Search").press_sequentially("breathing")
    page.locator(".md-search-result__link").first.wait_for()
    page.close()
    assert not complaints
