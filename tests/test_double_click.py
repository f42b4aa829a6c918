"""The files to double-click: they do what the README's first command does, and say plainly what is wrong."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import ROOT

MAC, WINDOWS = ROOT / "hooks" / "build-handbook.command", ROOT / "hooks" / "build-handbook.cmd"


def run(tmp_path: Path, *pythons: str, result: int = 0) -> subprocess.CompletedProcess[str]:
    """Double-click on a machine whose only Pythons are these: each says what it was asked to run."""
    (tmp_path / "hooks").mkdir()
    shutil.copy(MAC, tmp_path / "hooks")
    (tmp_path / "hooks" / "start.py").touch()
    tools = tmp_path / "bin"
    tools.mkdir()
    for name in ("dirname", "bash"):
        (tools / name).symlink_to(str(shutil.which(name)))
    for name in pythons:
        old = "exit 1" if name == "python3" else "exit 0"
        fake = f'#!/bin/bash\nif [ "$1" = -c ]; then {old}; fi\necho "{name} $* in $PWD"\nexit {result}\n'
        (tools / name).write_text(fake)
        (tools / name).chmod(0o755)
    return subprocess.run(
        ["bash", str(tmp_path / "hooks" / MAC.name)],
        input="\n",
        cwd="/",
        env={"PATH": str(tools)},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.skipif(os.name == "nt", reason="a shell script")
def test_on_a_mac_it_builds_in_the_handbooks_folder(tmp_path: Path) -> None:
    made = run(tmp_path, "python3", "python3.12")
    assert made.returncode == 0
    assert f"python3.12 hooks/start.py open in {tmp_path}" in made.stdout
    assert MAC.stat().st_mode & 0o111 == 0o111


@pytest.mark.skipif(os.name == "nt", reason="a shell script")
def test_alone_it_says_that_the_folder_is_missing(tmp_path: Path) -> None:
    """As when only this one file was taken out of the zip file."""
    shutil.copy(MAC, tmp_path)
    made = subprocess.run(["bash", MAC.name], input="\n", cwd=tmp_path, capture_output=True, text=True, check=False)
    assert made.returncode == 1
    assert "Unpack the whole zip file" in made.stdout
    assert 'if not exist "hooks\\start.py"' in WINDOWS.read_text(encoding="ascii")


@pytest.mark.skipif(os.name == "nt", reason="a shell script")
def test_on_a_mac_a_mistake_is_pointed_at(tmp_path: Path) -> None:
    made = run(tmp_path, "python3.13", result=1)
    assert made.returncode == 1
    assert "was not built. What you had before is as it was." in made.stdout


@pytest.mark.skipif(os.name == "nt", reason="a shell script")
@pytest.mark.parametrize("pythons", [(), ("python3",)])
def test_on_a_mac_without_python_it_says_where_to_get_it(tmp_path: Path, pythons: tuple[str, ...]) -> None:
    """None at all, or one that is too old (or only offers to install developer tools)."""
    made = run(tmp_path, *pythons)
    assert made.returncode == 1
    assert "Python 3.11 or newer" in made.stdout
    assert "https://www.python.org/downloads/" in made.stdout


def test_on_windows_it_does_the_same() -> None:
    """Read, not run: Windows' own line ends, the same command, the same words."""
    raw = WINDOWS.read_bytes()
    assert raw.count(b"\r\n") == raw.count(b"\n")
    text = raw.decode("ascii")
    assert r"%PY% hooks\start.py open" in text
    for words in ("https://www.python.org/downloads/", "was not built. What you had before is as it was."):
        assert words in text
        assert words in MAC.read_text(encoding="utf-8")
    assert text.count("  pause") == 3  # before each way out that is not the end
    assert text.endswith("pause\r\n")
    assert 'pushd "%~dp0.."' in text  # a quoted path, since a folder may be called "Band & Co"
    assert "&&" not in text.replace("rem", "")  # in a block, what a command gave is asked by errorlevel


def test_on_windows_the_launcher_is_asked_for_every_python_that_will_do() -> None:
    """``py`` (PEP 397) first for the newest, then by version; what each is asked says whether it will do."""
    text = WINDOWS.read_text(encoding="ascii")
    (asked,) = re.findall(r"for %%V in \(([^)]*)\)", text)
    least = re.search(r'requires-python = ">=3\.(\d+)"', (ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert least
    first, *versions = asked.split()
    assert first == "3"
    assert {f"3.{minor}" for minor in range(int(least[1]), sys.version_info.minor + 1)} <= set(versions)
    assert {f"python{version}" for version in versions} <= set(
        re.findall(r"python3\.\d+", MAC.read_text(encoding="utf-8"))
    )
    (question,) = set(re.findall(r'-c "([^"]*)"', text))  # of the launcher, and of a Python that is there without it
    answers = {}
    for minor in (int(least[1]) - 1, int(least[1])):
        older = question.replace("import sys;", f"import sys; sys.version_info = (3, {minor}, 9);")
        answers[minor] = subprocess.run([sys.executable, "-c", older], check=False).returncode
    assert list(answers.values()) == [1, 0]


def test_the_readme_says_what_to_click_and_what_is_asked() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for words in (MAC.name, WINDOWS.name, "Run anyway", "Open Anyway"):
        assert words in readme
