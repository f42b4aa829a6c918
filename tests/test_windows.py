"""What Windows does otherwise, tried here: line ends, names it keeps or takes for one, and no fork.

The workflow runs every test on Windows as well; these fail here already.
"""

from __future__ import annotations

import shutil
from dataclasses import fields
from pathlib import Path
from types import SimpleNamespace

import pytest
from conftest import ROOT

from beginnerband import assemble
from beginnerband.data.book import Book, load_book
from beginnerband.data.problems import DataError, Problems
from beginnerband.data.tunes import load_tunes
from beginnerband.pages import rooms
from beginnerband.products import Products

TUNE = "X:1\nT:A\nS:own\nM:4/4\nL:1/4\nK:Bb\nB,CDE|F4|]\n"


def test_content_with_line_ends_of_windows_in_a_folder_with_a_name_of_its_own_is_the_same(
    book: Book, tmp_path: Path
) -> None:
    """Spaces, letters beyond ASCII, and signs that mean something in addresses, in shells and in ``.cmd`` files."""
    root = tmp_path / "Bänd & Co (2) #1 100%" / "Unser Händbuch"
    for name in ("content", "handbook"):
        shutil.copytree(ROOT / name, root / name)
        for path in (root / name).rglob("*.*"):
            path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    shutil.copy(ROOT / "pyproject.toml", root)
    theirs = load_book(root)
    for each in fields(Book):
        if each.compare and each.name not in ("root", "edition", "course"):
            assert getattr(theirs, each.name) == getattr(book, each.name), each.name
    assert theirs.course
    assert book.course
    assert theirs.course.course == book.course.course


# Source of the names: Microsoft, "Naming Files, Paths, and Namespaces" (Windows App Development documentation).
@pytest.mark.parametrize("name", ["con", "aux", "nul", "prn", "com1", "lpt9"])
def test_a_name_that_windows_keeps_is_refused(name: str, tmp_path: Path) -> None:
    folder = tmp_path / "content" / "tunes"
    folder.mkdir(parents=True)
    (folder / f"{name}.abc").write_text(TUNE, encoding="utf-8")
    problems = Problems(tmp_path)
    assert not load_tunes(tmp_path, {}, problems)
    assert [str(each) for each in problems] == [
        f"content/tunes/{name}.abc: Windows keeps the name {name!r} for itself; give the file another"
    ]


def test_names_that_differ_by_large_letters_alone_are_not_both_taken(tmp_path: Path) -> None:
    folder = tmp_path / "content" / "tunes"
    folder.mkdir(parents=True)
    for name in ("march.abc", "March.abc"):
        (folder / name).write_text(TUNE, encoding="utf-8")
    problems = Problems(tmp_path)
    assert list(load_tunes(tmp_path, {}, problems)) == ["march"]
    assert "name the file in small letters" in str(next(iter(problems)))


@pytest.mark.parametrize("name", ["content/Band.yml", "content/Tunes", "handbook/guide/Register.md"])
def test_two_names_that_are_one_elsewhere_are_told_before_all_that_follows(name: str, tmp_path: Path) -> None:
    (tmp_path / "A").touch()
    if (tmp_path / "a").exists():
        pytest.skip("here they are one")
    for each in ("content/band.yml", "content/tunes/one.abc", "handbook/guide/register.md", name):
        (tmp_path / each).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / each).write_text("", encoding="utf-8")
    with pytest.raises(DataError) as raised:
        load_book(tmp_path)
    (said,) = raised.value.problems
    large, small = sorted((name.rpartition("/")[2], name.rpartition("/")[2].lower()))
    assert Path(said.file).name == small
    assert said.message == f"Windows and macOS take it and {large!r} for one; keep one, or give it another name"


def test_without_fork_the_rooms_work_one_after_the_other(monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[str] = []

    def room(name: str, aside: bool) -> rooms.Work:
        def contribute(book: object, products: Products) -> None:
            done.append(name)
            products.asset(f"{name}.txt", name)

        return rooms.Work(contribute, aside=aside)

    monkeypatch.setattr(rooms, "WORK", (room("long", True), room("short", False), room("longer", True)))
    monkeypatch.setattr("sys.platform", "win32")
    reuse = SimpleNamespace(known=lambda *what: None, of=lambda work, book, room, whole: work(book, room))
    products = assemble._contributions(
        SimpleNamespace(reuse=reuse),  # type: ignore[arg-type]
        SimpleNamespace(begin=lambda jobs, pictures: None),  # type: ignore[arg-type]
    )
    assert done == ["short", "long", "longer"]
    assert set(products.assets) == {"long.txt", "short.txt", "longer.txt"}


def test_no_address_of_the_site_is_one_that_windows_cannot_hold(site: Path) -> None:
    paths = [path.relative_to(site).as_posix() for path in site.rglob("*")]
    kept = {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10))}
    assert len({path.lower() for path in paths}) == len(paths)
    for path in paths:
        assert not set(path) & set('<>:"|?*\\'), path
        assert not any(part.endswith((".", " ")) or part.split(".")[0].lower() in kept for part in path.split("/")), (
            path
        )
        assert len(path) < 160, path  # of the 260 that a path may have there
