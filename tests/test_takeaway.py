"""The zip file to carry away: always the same bytes, and no name that Windows would not unpack."""

from __future__ import annotations

import os
import shutil
import zipfile
from functools import partial
from pathlib import Path, PureWindowsPath

import pytest
from playwright.sync_api import Browser

from beginnerband.render.finish import takeaway
from beginnerband.render.finish.listing import hashes

NOTHING = takeaway.Awaited({}, lambda name: None)


def small_site(folder: Path) -> Path:
    for name in ("index.html", "tunes/one.html", "assets/look.css", "service-worker.js", "404.html"):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"{name}\n" * 50)
    return folder


def test_the_same_site_gives_the_same_bytes_whenever_and_in_whatever_order_it_was_written(tmp_path: Path) -> None:
    one = small_site(tmp_path / "one")
    two = tmp_path / "two"
    for path in sorted(one.rglob("*"), reverse=True):
        if path.is_file():
            target = two / path.relative_to(one)
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, target)
            os.utime(target, (1_000_000_000, 1_000_000_000))
            target.chmod(0o600)
    takeaway.write(one, tmp_path / "cache-one", hashes(one), NOTHING)
    takeaway.write(two, tmp_path / "cache-two", hashes(two), NOTHING)
    assert (one / takeaway.NAME).read_bytes() == (two / takeaway.NAME).read_bytes()


def test_an_unchanged_site_is_not_packed_again_and_a_changed_one_is(tmp_path: Path) -> None:
    site = small_site(tmp_path / "site")
    takeaway.write(site, tmp_path / "cache", hashes(site), NOTHING)
    (kept,) = (tmp_path / "cache").iterdir()
    stamp = kept.stat().st_mtime_ns
    takeaway.write(site, tmp_path / "cache", hashes(site), NOTHING)
    assert kept.stat().st_mtime_ns == stamp
    (site / "index.html").write_text("changed")
    takeaway.write(site, tmp_path / "cache", hashes(site), NOTHING)
    (now,) = (tmp_path / "cache").iterdir()
    assert now.name != kept.name
    with zipfile.ZipFile(site / takeaway.NAME) as packed:
        assert packed.read(f"{takeaway.FOLDER}/index.html") == b"changed"


def come(site: Path, content: str, name: str) -> None:
    (site / name).write_text(content)


def test_what_is_awaited_is_packed_when_it_has_come_and_not_again(tmp_path: Path) -> None:
    site, made = small_site(tmp_path / "site"), list[tuple[str, int]]()
    for ident in ("one", "one", "other"):
        awaited = takeaway.Awaited({"sheet.pdf": ident}, partial(come, site, ident))
        takeaway.write(site, tmp_path / "cache", hashes(site), awaited)
        with zipfile.ZipFile(site / takeaway.NAME) as packed:
            assert packed.namelist()[-1] == f"{takeaway.FOLDER}/sheet.pdf"
            assert packed.read(packed.namelist()[-1]) == ident.encode()
        (kept,) = (tmp_path / "cache").iterdir()
        made.append((kept.name, kept.stat().st_mtime_ns))
        (site / "sheet.pdf").unlink()
        (site / takeaway.NAME).unlink()
    assert made[0] == made[1]
    assert made[0][0] != made[2][0]


def test_it_holds_what_works_from_disk_in_one_folder_and_not_itself(tmp_path: Path) -> None:
    site = small_site(tmp_path / "site")
    takeaway.write(site, tmp_path / "cache", hashes(site), NOTHING)
    takeaway.write(site, tmp_path / "cache", hashes(site), NOTHING)
    with zipfile.ZipFile(site / takeaway.NAME) as packed:
        names = sorted(packed.namelist())
    expected = ["READ-ME-FIRST.txt", "assets/look.css", "index.html", "tunes/one.html"]
    assert names == [f"{takeaway.FOLDER}/{name}" for name in expected]


# Source of what is refused: Microsoft, "Naming Files, Paths, and Namespaces" (Windows App Development documentation).
@pytest.mark.parametrize(
    "name",
    ["a:b.html", "what?.html", "aux.html", "tunes/CON", "com1.txt", "ends./x.html", "ends ", "../up.html", "x\\y"],
)
def test_a_name_windows_refuses_is_complained_of(name: str) -> None:
    assert list(takeaway.unsafe_names([name]))


def test_names_that_differ_only_by_case_and_long_ones_are_complained_of() -> None:
    assert list(takeaway.unsafe_names(["tunes/One.html", "tunes/one.html"]))
    assert list(takeaway.unsafe_names(["x" * 200]))
    assert not list(takeaway.unsafe_names(["console.html", "auxiliary/com.html", "a-b_c.d.html"]))


def test_a_site_with_such_a_name_is_not_packed(tmp_path: Path) -> None:
    site = small_site(tmp_path / "site")
    (site / "what?.html").write_text("x")
    with pytest.raises(ValueError, match="Windows does not allow"):
        takeaway.write(site, tmp_path / "cache", hashes(site), NOTHING)
    assert not (site / takeaway.NAME).exists()


def test_the_shipped_handbook_fits_in_a_message_and_opens_from_the_unpacked_folder(
    site: Path, browser: Browser, tmp_path: Path
) -> None:
    packed = site / takeaway.NAME
    assert packed.stat().st_size < 25_000_000
    with zipfile.ZipFile(packed) as opened:
        names = opened.namelist()
        assert not list(takeaway.unsafe_names(name.removeprefix(f"{takeaway.FOLDER}/") for name in names))
        assert not any(PureWindowsPath(name).is_absolute() or ".." in PureWindowsPath(name).parts for name in names)
        assert opened.testzip() is None
        opened.extractall(tmp_path)
    page = browser.new_page()
    page.goto((tmp_path / takeaway.FOLDER / "index.html").as_uri())
    assert page.locator("h1").first.is_visible()
    page.close()
