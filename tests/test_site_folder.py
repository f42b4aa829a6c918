"""The folder of the site while a build goes on: claimed by one build, swapped whole, put in order after a break."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from conftest import ROOT

import build
from beginnerband import assemble, site
from beginnerband.pages import rooms
from beginnerband.products import Products


@pytest.fixture
def target(tmp_path: Path) -> Path:
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "index.html").write_text("good")
    return tmp_path / "site"


def test_a_second_build_is_told_to_wait_and_the_lock_goes_with_the_first(target: Path, tmp_path: Path) -> None:
    first = site.claim(target, tmp_path / ".cache")
    with pytest.raises(site.BusyError, match=r"another build is at work on site/; wait until it is done"):
        site.claim(target, tmp_path / ".cache")
    site.claim(tmp_path / "elsewhere", tmp_path / ".cache").release()  # another folder is nobody's
    first.release()
    site.claim(target, tmp_path / ".cache").release()


def test_a_build_that_is_killed_leaves_no_lock(target: Path, tmp_path: Path) -> None:
    code = (
        f"import sys, time; sys.path.insert(0, {str(ROOT / 'hooks')!r}); from pathlib import Path;"
        "from beginnerband import site; lock = site.claim(Path(sys.argv[1]), Path(sys.argv[2])); print('has it');"
        "sys.stdout.flush(); time.sleep(60)"
    )
    build = subprocess.Popen(
        [sys.executable, "-c", code, str(target), str(tmp_path / ".cache")], stdout=subprocess.PIPE, text=True
    )
    assert build.stdout
    assert build.stdout.readline() == "has it\n"
    with pytest.raises(site.BusyError):
        site.claim(target, tmp_path / ".cache")
    build.kill()
    build.wait()
    site.claim(target, tmp_path / ".cache").release()


def test_a_site_is_swapped_whole(target: Path) -> None:
    stage = site.staging(target)
    stage.mkdir()
    (stage / "index.html").write_text("new")
    assert (target / "index.html").read_text() == "good"
    site.publish(stage, target)
    assert (target / "index.html").read_text() == "new"
    assert [path.name for path in target.parent.iterdir() if path.name.startswith("site")] == ["site"]


def test_what_a_stopped_build_left_is_put_in_order(target: Path) -> None:
    (target.parent / "site.next").mkdir()  # stopped while it wrote
    assert not site.staging(target).exists()
    target.rename(target.parent / "site.last")  # stopped between the two steps of publishing
    site.staging(target)
    assert (target / "index.html").read_text() == "good"
    (target.parent / "site.last").mkdir()  # stopped before the last step
    stage = site.staging(target)
    stage.mkdir()
    site.publish(stage, target)
    assert not (target.parent / "site.last").exists()


@pytest.mark.parametrize("refused", ["parent", "site"])
def test_where_nothing_may_be_written_is_told_before_anything_is_made(
    target: Path, monkeypatch: pytest.MonkeyPatch, refused: str
) -> None:
    touch = Path.touch

    def refuse(path: Path, *_: object) -> None:
        if path.parent == (target if refused == "site" else target.parent):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
        touch(path)

    monkeypatch.setattr(Path, "touch", refuse)
    with pytest.raises(PermissionError) as raised:
        site.staging(target)
    name = target.parent.name if refused == "parent" else "site"
    assert f" {name} may not be written; close what has it open" in site.trouble(raised.value)
    assert [path.name for path in target.parent.iterdir()] == ["site"]


def test_a_disk_of_its_own_is_told_before_anything_is_made(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Path, "is_mount", lambda path: path == target)
    with pytest.raises(OSError, match="site") as raised:
        site.staging(target)
    assert "site is in use, or a disk of its own, and cannot be replaced" in site.trouble(raised.value)
    assert [path.name for path in target.parent.iterdir()] == ["site"]


def test_when_the_swap_fails_the_last_site_is_put_back(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stage = site.staging(target)  # never made: as if the disk had gone
    with pytest.raises(FileNotFoundError):
        site.publish(stage, target)
    assert (target / "index.html").read_text() == "good"


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full; make room"),
        (errno.EACCES, "page.html may not be written; close what has it open"),
        (errno.EROFS, "may not be written; copy the project elsewhere"),
        (errno.ENOTDIR, "page.html is a file where a folder belongs; move it away"),
        (errno.EIO, "page.html: "),
    ],
)
def test_a_disk_that_refuses_is_one_line_with_what_to_do(number: int, words: str) -> None:
    said = site.trouble(OSError(number, os.strerror(number), "/some/where/page.html"))
    assert words in said
    assert said.endswith("The handbook you built before is as it was.")
    assert "\n" not in said


@pytest.mark.skipif(sys.platform != "linux", reason="processes are forked on Linux alone")
def test_rooms_at_work_aside_end_with_a_build_that_is_killed(tmp_path: Path) -> None:
    code = f"""
import os, sys, time
from types import SimpleNamespace
sys.path.insert(0, {str(ROOT / "hooks")!r})
from beginnerband import assemble
def room(book, products):
    print(os.getpid(), flush=True)
    time.sleep(60)
reuse = SimpleNamespace(of=lambda work, book, room, whole: work(book, room))
aside = assemble._Aside(room, SimpleNamespace(reuse=reuse))
time.sleep(60)
"""
    build = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    assert build.stdout
    child = int(build.stdout.readline())
    build.kill()
    build.wait()
    end = time.monotonic() + 20
    while Path(f"/proc/{child}/stat").exists() and time.monotonic() < end:
        if Path(f"/proc/{child}/stat").read_text().rsplit(")", 1)[1].split()[0] == "Z":
            break
        time.sleep(0.05)
    else:
        assert not Path(f"/proc/{child}").exists()


@pytest.mark.skipif(sys.platform != "linux", reason="processes are forked on Linux alone")
@pytest.mark.parametrize(("says", "trouble"), [("late.txt", ""), ("other.txt", "makes other files than it says")])
def test_what_pages_can_do_without_is_made_after_them(says: str, trouble: str) -> None:
    def room(book: object, products: Products) -> None:
        products.asset("late.txt", "late")

    products, reuse = Products(), SimpleNamespace(of=lambda work, book, room, whole: work(book, room))
    later = assemble.PutOff(
        assemble.Late(put_off=True, works=[rooms.Work(room, aside=True, later=lambda book: (says,))]),
        SimpleNamespace(reuse=reuse),  # type: ignore[arg-type]
        products,
        SimpleNamespace(begin=lambda jobs, pictures: None),  # type: ignore[arg-type]
        lambda: products,  # type: ignore[arg-type, return-value]
    )
    assert later.addresses == {says}
    later.begin()
    made = later.wait()
    assert trouble in later.trouble
    assert (made is None) == bool(trouble)
    assert products.assets == ({} if trouble else {"late.txt": b"late"})


@pytest.mark.skipif(sys.platform != "linux", reason="processes are forked on Linux alone")
def test_what_was_put_off_is_broken_off_by_the_next_change() -> None:
    def room(book: object, products: Products) -> None:
        time.sleep(60)

    reuse = SimpleNamespace(of=lambda work, book, room, whole: work(book, room))
    work = rooms.Work(room, aside=True, later=lambda book: ("late.txt",))
    about: Any = (SimpleNamespace(reuse=reuse), Products(), None, Products)
    later = assemble.PutOff(assemble.Late(put_off=True, works=[work]), *about)
    later.begin()
    later.stop()
    assert later.wait() is None
    assert later.trouble == "it was broken off"


def test_after_a_served_build_that_warned_nobody_waits_for_what_was_put_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    about: Any = (SimpleNamespace(), Products(), None, Products)
    later = assemble.PutOff(assemble.Late(put_off=True), *about)  # never begun: the pages are not shown
    warned: Any = SimpleNamespace(said=["guide/index.md: a link leads nowhere"])
    for name, value in (("target", None), ("report", ""), ("later", later), ("warnings", warned)):
        monkeypatch.setattr(build._build, name, value, raising=False)
    build.on_post_build(SimpleNamespace(site_dir=str(tmp_path)))  # type: ignore[arg-type]
    waiting = threading.Thread(target=later.wait, daemon=True)  # as what collects garbage does
    waiting.start()
    waiting.join(20)
    assert not waiting.is_alive()
    assert "a link leads nowhere" in (tmp_path / "index.html").read_text(encoding="utf-8")
