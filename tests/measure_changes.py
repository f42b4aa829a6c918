#!/usr/bin/env python3
"""Do changes, built one after the other, give what a build from nothing gives?

``python tests/measure_changes.py [N [SEED [FOLDER]]]``. In the small project (``smallproject.py``), N (100) changes are
drawn by lot: words in guide pages, lessons, tunes, pieces, the band, the glossary and other files; tunes, pieces and
pages added and taken away. After each the handbook is built with what earlier builds kept. Every ``CHECKED`` changes,
and at the end, the same content is built from nothing, and the two sites are compared byte for byte. What the handbook
refuses (a change may break a rule of the content) is put back and counted. Ends with status 1 when a file differs.
``FOLDER`` keeps the project: called again with it and another seed, more changes follow those made before.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]

from smallproject import small_project  # noqa: E402

CHECKED = 25
DATED = ("sitemap.xml", "sitemap.xml.gz")
"""MkDocs dates its sitemap."""
MADE = (".cache", "site", "site.next", "site.last")
"""Folders of a project that a build makes."""
WORDS = ("gladly", "softly", "together", "twice", "always")


class CannotError(Exception):
    """A change that cannot be made now, as taking away what was not added."""


def word_in(pattern: str, place: str) -> Callable[[Path, random.Random], str]:
    """A change that puts a word before the text that ``place`` (a regular expression) finds in one of the files."""

    def change(root: Path, draw: random.Random) -> str:
        path = draw.choice(sorted(root.glob(pattern)))
        text = path.read_text(encoding="utf-8")
        places = [match.end() for match in re.finditer(place, text, re.MULTILINE)]
        if not places:
            raise CannotError
        at = draw.choice(places)
        path.write_text(f"{text[:at]}{draw.choice(WORDS).capitalize()} {text[at:]}", encoding="utf-8")
        return f"word in {path.relative_to(root)}"

    return change


def copy_of(folder: str, suffix: str) -> Callable[[Path, random.Random], str]:
    """A change that adds a file like one that is there."""

    def change(root: Path, draw: random.Random) -> str:
        path = draw.choice(sorted((root / folder).glob(f"*{suffix}")))
        number = draw.randrange(1000)
        text = re.sub(r"(?m)^(T:|# )", rf"\g<1>Number {number} ", path.read_text(encoding="utf-8"), count=1)
        path.with_name(f"added-{number}{suffix}").write_text(text, encoding="utf-8")
        return f"added {folder}/added-{number}{suffix}"

    return change


def away(root: Path, draw: random.Random) -> str:
    """Take away something that was added."""
    added = sorted(path for folder in ("content", "handbook") for path in (root / folder).rglob("added-*"))
    if not added:
        raise CannotError
    gone = draw.choice(added)
    gone.unlink()
    return f"away {gone.relative_to(root)}"


def page_more(root: Path, draw: random.Random) -> str:
    """Add a page that leads to another."""
    number = draw.randrange(1000)
    text = f"# Notes {number}\n\nWhat the band did, [at home](index.md), with a valve and a mouthpiece.\n"
    (root / "handbook" / f"added-{number}.md").write_text(text, encoding="utf-8")
    return f"added handbook/added-{number}.md"


def note_moved(root: Path, draw: random.Random) -> str:
    """Change one note of a tune."""
    path = draw.choice(sorted((root / "content" / "tunes").glob("*.abc")))
    head, key, body = re.split(r"(?m)(^K:.*\n)", path.read_text(encoding="utf-8"), maxsplit=1)
    at = draw.choice([match.start() for match in re.finditer(r"[CDEFGA]", body)])
    path.write_text(head + key + body[:at] + draw.choice("CDEFGA") + body[at + 1 :], encoding="utf-8")
    return f"note in {path.relative_to(root)}"


def players(root: Path, draw: random.Random) -> str:
    """Another number of players."""
    path = root / "content" / "band.yml"
    text = path.read_text(encoding="utf-8")
    counts = list(re.finditer(r"players: (\d+)", text))
    one = draw.choice(counts)
    path.write_text(f"{text[: one.start(1)]}{draw.randint(1, 4)}{text[one.end(1) :]}", encoding="utf-8")
    return "players in content/band.yml"


CHANGES: tuple[tuple[int, Callable[[Path, random.Random], str]], ...] = (
    (16, word_in("handbook/guide/*.md", r"\n\n(?=[A-Z][a-z])")),
    (4, word_in("handbook/guide/*.md", r"^# ")),
    (4, word_in("handbook/*.md", r"\n\n(?=[A-Z][a-z])")),
    (16, word_in("content/course/*.yml", r"^ *(?:- )?(?:aim|say|listen|title|remedy): ")),
    (10, word_in("content/tunes/*.abc", r"^T:")),
    (8, word_in("content/pieces/*.abc", r"^T:")),
    (4, word_in("content/band.yml", r"^name: ")),
    (5, word_in("content/glossary.yml", r"^ *means: ")),
    (3, word_in("content/troubles.yml", r"^ *(?:- )?(?:do|try|cause): ")),
    (3, word_in("content/supplies.yml", r"why: (?=[A-Z])")),
    (6, note_moved),
    (3, players),
    (5, copy_of("content/tunes", ".abc")),
    (3, copy_of("content/pieces", ".abc")),
    (4, page_more),
    (10, away),
)
"""Changes with their weights."""


def build(root: Path) -> subprocess.CompletedProcess[str]:
    """One build, as a leader does it, on one day."""
    return subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--quiet"],
        cwd=root,
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1", "SOURCE_DATE_EPOCH": "1790000000"},
        capture_output=True,
        text=True,
        check=False,
    )


def files(site: Path) -> dict[str, bytes]:
    """Every file of a site."""
    found = {path.relative_to(site).as_posix(): path.read_bytes() for path in site.rglob("*") if path.is_file()}
    return {name: content for name, content in found.items() if name not in DATED}


def from_nothing(root: Path, target: Path) -> dict[str, bytes]:
    """The site of the same content in another folder that has no cache."""
    shutil.rmtree(target, ignore_errors=True)

    def made(folder: str, names: list[str]) -> set[str]:
        """What a build made: folders of these names elsewhere are the code's own."""
        return {name for name in names if name in MADE} if Path(folder) == root else set()

    shutil.copytree(root, target, ignore=made)
    run = build(target)
    if run.returncode:
        raise SystemExit(f"built step by step, but not from nothing:\n{run.stdout}{run.stderr}")
    return files(target / "site")


def differing(root: Path, target: Path) -> list[str]:
    """Files in which the site built step by step is not that built from nothing."""
    here, there = files(root / "site"), from_nothing(root, target)
    return sorted(name for name in here.keys() | there.keys() if here.get(name) != there.get(name))


def put_back(root: Path, before: dict[str, bytes]) -> None:
    """Make content and handbook what they were."""
    for path in sources(root):
        if path not in before:
            (root / path).unlink()
    for path, content in before.items():
        (root / path).write_bytes(content)


def sources(root: Path) -> dict[str, bytes]:
    """Everything a leader writes."""
    every = (path for folder in ("content", "handbook") for path in (root / folder).rglob("*") if path.is_file())
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in every}


def main(count: int = 100, seed: int = 0, keep: Path | None = None) -> int:
    """Make the changes and compare; returns how many comparisons failed."""
    seed = seed or random.SystemRandom().randrange(1, 10**6)
    print(f"{count} changes, seed {seed}", flush=True)
    draw, kinds, wrong = random.Random(seed), Counter[str](), 0
    with tempfile.TemporaryDirectory() as folder:
        root, target = (keep or Path(folder)) / "small", Path(folder, "nothing")
        if not root.is_dir():
            root.mkdir(parents=True)
            small_project(root)
        if (run := build(root)).returncode:
            raise SystemExit(run.stdout + run.stderr)
        done = 0
        while done < count:
            before = sources(root)
            (change,) = draw.choices([each for _, each in CHANGES], [weight for weight, _ in CHANGES])
            try:
                what = change(root, draw)
            except CannotError:
                continue
            done += 1
            if build(root).returncode:
                put_back(root, before)
                kinds["refused"] += 1
            else:
                kinds[what.split()[0]] += 1
            if done % CHECKED == 0 or done == count:
                if build(root).returncode:
                    raise SystemExit(f"{done}: what was put back cannot be built")
                bad = differing(root, target)
                wrong += bool(bad)
                print(f"{done} changes: {len(bad)} files differ {bad[:8]}", flush=True)
    print(", ".join(f"{kind} {number}" for kind, number in kinds.most_common()))
    return wrong


if __name__ == "__main__":
    sys.exit(1 if main(*map(int, sys.argv[1:3]), *map(Path, sys.argv[3:4])) else 0)
