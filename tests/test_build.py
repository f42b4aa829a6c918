"""The build as a leader meets it: a clean site, an honest report, and the last good site kept."""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
import sys
import time
import urllib.error
import urllib.request
from functools import partial
from pathlib import Path

import measure_serving
import pytest
import zxingcpp
from conftest import ROOT, build
from paper import picture, words_on
from PIL import Image
from playwright.sync_api import Browser
from smallproject import ADDRESS


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory, small: Path) -> Path:
    """The small project, built; these tests change it."""
    return shutil.copytree(small, tmp_path_factory.mktemp("build") / "project")


def snapshot(site: Path) -> dict[str, bytes]:
    return {path.relative_to(site).as_posix(): path.read_bytes() for path in site.rglob("*") if path.is_file()}


def test_mistakes_in_several_files_are_reported_together_and_the_last_site_stays(project: Path) -> None:
    before = snapshot(project / "site")
    band, cornet = project / "content" / "band.yml", project / "content" / "instruments" / "cornet.yml"
    texts = band.read_text(), cornet.read_text()
    try:
        band.write_text(texts[0].replace("instrument: trombone", "instrument: trombome"))
        cornet.write_text(texts[1].replace("mouthpiece: small", "mouthpeice: small"))
        run = build(project)
    finally:
        band.write_text(texts[0])
        cornet.write_text(texts[1])
    report = run.stderr + run.stdout
    assert run.returncode != 0
    assert re.search(r"content/band\.yml:\d+: .*'trombome'.*did you mean 'trombone'\?", report)
    assert re.search(r"content/instruments/cornet\.yml:\d+: .*'mouthpeice'; did you mean 'mouthpiece'\?", report)
    assert "Traceback" not in report
    assert snapshot(project / "site") == before
    assert not list(project.glob("site.*"))


def test_music21_is_not_loaded_where_nothing_is_computed() -> None:
    """It takes longer to load than a small change takes to build."""
    look = "import sys, build; sys.exit('music21' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", look], cwd=ROOT / "hooks", check=False).returncode == 0


def codes_in(image: Image.Image) -> list[str]:
    """What a reader of QR codes (ISO/IEC 18004) reads."""
    return [code.text for code in zxingcpp.read_barcodes(image)]


def test_the_code_on_paper_leads_to_the_page(project: Path) -> None:
    printed = sorted(path.stem for path in (project / "site" / "print").glob("lesson-[0-9][0-9].pdf"))
    for number in (printed[0][-2:], printed[-1][-2:]):
        card, sheet = f"course/lesson-{number}.html", f"course/sheets/lesson-{number}/cornet.html"
        for place, uri in ((0, card), (2, sheet)):
            assert codes_in(picture(project / f"site/print/lesson-{number}.pdf", place)) == [f"{ADDRESS}{uri}"]
            assert (project / "site" / uri).is_file()


@pytest.mark.browser
@pytest.mark.parametrize("uri", ["course/lesson-07.html", "course/sheets/lesson-07/cornet.html"])
def test_the_code_on_a_page_as_printed_leads_to_the_page(uri: str, project: Path, browser: Browser) -> None:
    page = browser.new_page(viewport={"width": 720, "height": 1000})
    page.goto((project / "site" / uri).as_uri())
    page.emulate_media(media="print")
    assert codes_in(Image.open(io.BytesIO(page.screenshot()))) == [f"{ADDRESS}{uri}"]
    page.close()


def build_with_a_line_more(project: Path, line: str) -> tuple[subprocess.CompletedProcess[str], int]:
    """Build with ``line`` at the end of the home page; also gives that line's number. The page is put back."""
    page = project / "handbook" / "index.md"
    text = page.read_text()
    try:
        page.write_text(f"{text}\n{line}\n")
        return build(project), text.count("\n") + 2
    finally:
        page.write_text(text)


def test_a_mistake_in_a_block_names_page_and_line_and_the_last_site_stays(project: Path) -> None:
    before = snapshot(project / "site")
    run, line = build_with_a_line_more(project, "[[band-nam]]")
    assert run.returncode != 0
    assert (
        f"handbook/index.md:{line}: [[band-nam]]: no such block; did you mean 'band-name'?" in run.stderr + run.stdout
    )
    assert snapshot(project / "site") == before


def test_a_warning_stops_a_strict_build_and_the_last_site_stays(project: Path) -> None:
    before = snapshot(project / "site")
    run, _ = build_with_a_line_more(project, "[gone](no-such-page.md)")
    assert run.returncode != 0
    assert "no-such-page.md" in run.stderr + run.stdout
    assert snapshot(project / "site") == before
    assert not list(project.glob("site.*"))


def test_changes_one_after_the_other_give_what_a_build_from_nothing_gives(project: Path) -> None:
    """The long form, with a hundred changes drawn by lot, is ``tests/measure_changes.py``."""
    content, handbook = project / "content", project / "handbook"
    changes: dict[Path, tuple[str, str]] = {
        content / "course" / "first-sounds.yml": ("aim: ", "aim: Now "),
        content / "pieces" / "two-gates.abc": ("T:", "T:Our "),
        content / "tunes" / "hot-cross-buns.abc": ("T:", "T:Our "),
        handbook / "guide" / "index.md": ("\n\n", "\n\nA sentence more.\n\n"),
    }
    texts = {path: path.read_text() for path in changes}
    more = content / "tunes" / "one-more.abc"
    try:
        more.write_text(texts[content / "tunes" / "hot-cross-buns.abc"].replace("T:", "T:One More ", 1))
        for path, (before, after) in changes.items():
            assert before in texts[path]
            path.write_text(texts[path].replace(before, after, 1))
        run = build(project)
        assert run.returncode == 0, run.stderr
        step_by_step = snapshot(project / "site")
        for name in ("products", "kept", "pages"):
            shutil.rmtree(project / ".cache" / name)
        assert build(project).returncode == 0
        assert differing(step_by_step, snapshot(project / "site")) == set()
    finally:
        more.unlink(missing_ok=True)
        for path, text in texts.items():
            path.write_text(text)


def differing(one: dict[str, bytes], other: dict[str, bytes]) -> set[str]:
    """Files that are not in both sites the same; MkDocs dates its sitemap."""
    return {name for name in one.keys() | other.keys() if one.get(name) != other.get(name)} - {
        "sitemap.xml",
        "sitemap.xml.gz",
    }


def test_serve_shows_the_report_and_recovers(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    band = project / "content" / "band.yml"
    text = band.read_text()
    page = project / "handbook" / "index.md"
    home = page.read_text()
    lessons = project / "content" / "course" / "first-sounds.yml"
    lesson = lessons.read_text()
    band.write_text(text + "colour: red\n")
    log = project / "serve.log"
    port = 8765 + os.getpid() % 200
    with log.open("w") as out:
        serving = subprocess.Popen(
            [sys.executable, "-m", "mkdocs", "serve", "--dev-addr", f"127.0.0.1:{port}"],
            cwd=project,
            stdout=out,
            stderr=subprocess.STDOUT,
            env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
        )
    shown = partial(wait_until_shown, f"http://127.0.0.1:{port}/")
    try:
        shown("look-up.html", "content/band.yml:")  # as on any page: it begins with a mistake
        assert "unknown key &#39;colour&#39;" in shown("index.html", "content/band.yml:")
        band.write_text(re.sub(r"(?m)^name:.*", "name: A New Name For The Band", text))
        shown("index.html", "A New Name For The Band")
        page.write_text(f"{home}\n[gone](no-such-page.md)\n")
        shown("look-up.html", "no-such-page.md")
        page.write_text(home)
        shown("index.html", "A New Name For The Band")
        one = [change for change in measure_serving.WORDS if change[0] == "a lesson"]
        measure_serving.measure(project, f"http://127.0.0.1:{port}/", serving.pid, one)
        assert "a word in a lesson: seen after" in capsys.readouterr().out
        paper = measure_serving.fetched(f"http://127.0.0.1:{port}/{measure_serving.PAPER}")
        assert any("Gladly" in page for page in words_on(paper))  # asked for while the old one was all there was
        assert serving.poll() is None
    finally:
        page.write_text(home)
        serving.terminate()
        serving.wait()
        band.write_text(text)
        lessons.write_text(lesson)


def wait_until_shown(address: str, uri: str, words: str) -> str:
    """The page once ``words`` are on it."""
    deadline, found = time.monotonic() + 300, ""
    while words not in found:
        assert time.monotonic() < deadline, found
        time.sleep(0.2)
        try:
            found = urllib.request.urlopen(address + uri, timeout=300).read().decode()
        except urllib.error.HTTPError as error:
            found = error.read().decode()
        except urllib.error.URLError:
            found = ""  # it has not begun to serve
    return found


def test_no_page_loads_anything_from_another_host(site: Path) -> None:
    pattern = re.compile(
        r"""(?:src|srcset|action|data-src)\s*=\s*["']?(?:https?:)?//|<link[^>]+href=["']?(?:https?:)?//"""
    )
    for page in site.rglob("*.html"):
        links = [match for match in pattern.findall(page.read_text()) if 'rel="canonical"' not in match]
        assert not links, page


def test_nothing_is_at_the_top_level_beside_the_design_card() -> None:
    card = {"mkdocs.yml", "README.md", "DEVELOPERS.md", "pyproject.toml", "content", "handbook", "hooks", "tests"}
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert {name.split("/")[0] for name in tracked.splitlines() if not name.startswith(".")} <= card


def test_the_benchmark_runs(project: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Once, without the cold builds; ``test_measures.py`` tries the others."""
    import benchmark

    benchmark.whole(project, tmp_path, repeats=1, cold=False)
    benchmark.sizes(project / "site" / "look-up.html", tmp_path)
    assert re.search(r"warm / plain: \d+\.\d\d", capsys.readouterr().out)
