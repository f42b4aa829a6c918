"""How fast the look-up and the search answer on a slow phone. Not a test: prints milliseconds, and how many times an
empty page's they are.

    python3 tests/phone_speed.py [SITE]      needs Chromium and a built site, in site/ if none is named

What a tap on a note and a letter typed into the search cost is read from the browser's own trace, as the main thread's
processor time: other programs add nothing to it. It is taken unslowed and told four times, as on a slow phone. A tap is
told part by part to the end of the frame with the answer; of a letter, the longest task, which is how long the page may
not answer a finger, and all that is done until the results stand. Drawing the pixels (raster) is done by other threads.
A bare page whose tap changes one word stands beside it: what the browser itself costs.

Then by the clock, the processor slowed down four times, beside an empty page in the same run: from a tap to the frame
that shows its answer, from a letter to its results, and from opening the look-up with no server there, saved by the
service worker, to the answer on the screen. Other programs add to these.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from functools import partial
from itertools import pairwise
from pathlib import Path
from statistics import median
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

sys.path[:0] = [str(Path(__file__).parent.parent / "hooks"), str(Path(__file__).parent)]

from conftest import CHROMIUM, CHROMIUM_ARGUMENTS  # noqa: E402
from staticserver import StaticServer, until  # noqa: E402

ROOT = Path(__file__).parent.parent
SLOWER = 4
PATIENCE = 300_000
"""Milliseconds to wait for what a busy machine is slow at, before it is measured."""

Event = dict[str, Any]
"""Of a browser's trace: ``name``, ``ts`` and ``tdur`` (microseconds, of the thread's processor time)."""

TASK = "RunTask"
CATEGORIES = ["devtools.timeline", "disabled-by-default-devtools.timeline", "blink.user_timing", "cc"]
TAPS = """
async (count) => {
  const times = [];
  for (let k = 0; k < count; k++) {
    const notes = document.querySelectorAll("#bb-lu-pick input[name=note]"), note = notes[(5 * k + 3) % notes.length];
    const start = performance.now();
    const framed = new Promise((done) => requestAnimationFrame(() => setTimeout(done))); // not what is put off
    note.click();
    const answered = performance.now() - start;
    document.getElementById("bb-lu-answer").getBoundingClientRect(); // for this it must be styled and laid out
    const laidOut = performance.now() - start;
    await framed;
    times.push([answered, laidOut, performance.now() - start]);
    await new Promise((done) => setTimeout(done, 300)); // a person's pace; what is put off until later is done then
  }
  return times;
}
"""

BARE = """
<!doctype html><meta name=viewport content="width=device-width"><p id=bb-lu-answer>A word</p>
<form id=bb-lu-pick><input type=radio name=note><input type=radio name=note></form>
<script>
  let count = 0;
  document.forms[0].onchange = () => { document.querySelector("p").firstChild.nodeValue = ++count; };
</script>
"""
"""What a tap costs at least: one of two is chosen, and a word changes."""

PARTS = {
    "script": "EventDispatch",
    "style": "UpdateLayoutTree",
    "layout": "Layout",
    "pre-paint": "PrePaint",
    "paint": "Paint",
    "layers": "Layerize",
}
SHORT = 500
"""Microseconds: a frame with less has nothing of the tap."""

FRAME = "ProxyMain::BeginMainFrame"
"""All that the main thread does for a frame: these parts but the script, what is asked for in it, and handing it on."""

EMPTY = """
async () => {
  const times = [];
  for (let count = 0; count < 12; count++) {
    const start = performance.now();
    document.body.textContent = count;
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
    times.push(performance.now() - start);
  }
  return times;
}
"""


TYPED = """
async (words) => {
  const box = document.querySelector("[data-md-component=search-query]");
  const list = document.querySelector(".md-search-result__list");
  const times = [];
  let shown = 0;
  new MutationObserver(() => { shown ||= performance.now(); }).observe(list, { childList: true });
  for (const word of words) {
    box.value = "";
    for (const letter of word) {
      shown = 0;
      performance.mark("letter");
      const start = performance.now();
      box.value += letter;
      box.dispatchEvent(new InputEvent("input", { bubbles: true }));
      for (let waits = 0; waits < 40 && !shown; waits++) await new Promise((done) => setTimeout(done, 50));
      await new Promise((done) => setTimeout(done, 300)); // the rest of the list
      if (shown) times.push(shown - start);
    }
  }
  performance.mark("letter");
  return times;
}
"""
"""Milliseconds from each letter to its first results; a letter marked for the trace, and the end."""

QUESTIONS = ("player squeaks", "b flat on a cornet", "how to hold a euphonium")


def searching(page: Page, address: str) -> Page:
    """A page whose search is open and ready."""
    page.goto(address + "index.html")
    page.locator("label[for=__search]").first.tap()
    page.locator("[data-md-component=search-query]").press_sequentially("a")
    page.wait_for_selector(".md-search-result__item", state="attached", timeout=PATIENCE)
    time.sleep(1)
    return page


def trace(browser: Browser, page: Page, script: str, told: object, mark: str) -> tuple[list[float], list[Event]]:
    """What a page's main thread does while ``script`` runs, in its order, and when each ``mark`` is (microseconds)."""
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "trace.json"
        browser.start_tracing(page=page, path=kept, categories=CATEGORIES)
        page.evaluate(script, told)
        browser.stop_tracing()
        events = json.loads(kept.read_text())["traceEvents"]
    marks = sorted(event["ts"] for event in events if event["name"] == mark)
    thread = next(event["tid"] for event in events if event["name"] == mark)
    return marks, sorted((one for one in events if one["tid"] == thread and "tdur" in one), key=lambda one: one["ts"])


def of_taps(browser: Browser, page: Page) -> dict[str, float]:
    """Milliseconds of the main thread, not slowed down, for each part of a tap and for all of it; medians."""
    marked = TAPS.strip().replace("note.click()", "(performance.mark('tap'), note.click())")
    taps, work = trace(browser, page, marked, 20, "tap")
    costs = [_of_tap([one for one in work if one["ts"] >= tap]) for tap in taps]
    return {name: median(cost[name] for cost in costs) for name in costs[0]}


def of_letters(browser: Browser, page: Page) -> list[tuple[float, float]]:
    """Milliseconds of the main thread, not slowed down, for each letter: its longest task, and all of them."""
    marks, work = trace(browser, page, TYPED, list(QUESTIONS), "letter")
    costs = []
    for start, end in pairwise(marks):
        tasks = [one["tdur"] / 1000 for one in work if one["name"] == TASK and start <= one["ts"] < end]
        costs.append((max(tasks), sum(tasks)))
    return costs


def _of_tap(work: list[Event]) -> dict[str, float]:
    """The parts of the first frame in what a thread does from a tap on."""
    end = next(one["ts"] + one["dur"] for one in work if one["name"] == FRAME and one["tdur"] > SHORT)
    cost = {}
    for name, kind in {**PARTS, "frame": FRAME}.items():
        total, until = 0.0, 0.0
        for one in work:
            if one["name"] == kind and until <= one["ts"] < end:  # each once: what is inside another is counted there
                total, until = total + one["tdur"], one["ts"] + one["dur"]
        cost[name] = total / 1000
    return {**{name: cost[name] for name in PARTS}, "all": cost["script"] + cost["frame"]}


def opening(context: BrowserContext, address: str, shown: str) -> float:
    """Milliseconds from opening ``address`` in a new slowed page until ``shown`` is there; median of five."""
    times = []
    for _ in range(5):
        page = context.new_page()
        slowed(page)
        start = time.perf_counter()
        page.goto(address, wait_until="commit")
        page.wait_for_selector(shown)
        times.append(1000 * (time.perf_counter() - start))
        page.close()
    return median(times)


def slowed(page: Page) -> None:
    """Slow the page's processor down."""
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})


def main() -> None:
    """Measure and print."""
    server = StaticServer(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "site")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*CHROMIUM_ARGUMENTS])
        new = partial(browser.new_context, viewport={"width": 390, "height": 844}, has_touch=True)
        context = new(service_workers="block")  # one that saves the handbook keeps the page busy
        page = context.new_page()
        page.goto(server.address + "look-up.html")
        page.wait_for_selector("#bb-lu-answer figure", timeout=PATIENCE)
        time.sleep(1)  # answers are made ahead
        parts = of_taps(browser, page)
        bare = context.new_page()
        bare.set_content(BARE)
        bare_parts = of_taps(browser, bare)
        typing = searching(context.new_page(), server.address)
        letters = of_letters(browser, typing)
        for one in (page, typing):
            slowed(one)
        taps = page.evaluate(TAPS, 20)
        results = typing.evaluate(TYPED, list(QUESTIONS))
        page.goto("data:text/html,<p>empty</p>")
        empty_frame = median(page.evaluate(EMPTY))
        context.close()
        tell_work(parts, bare_parts, letters)
        tell_clock(taps, results, empty_frame)
        tell_opening(new(), server)
        browser.close()


def tell_work(parts: dict[str, float], bare: dict[str, float], letters: list[tuple[float, float]]) -> None:
    """Print what the main thread does, four times its time unslowed."""
    least = bare["all"]
    print(f"main thread, {SLOWER} times its time unslowed; in brackets a bare page whose tap changes a word")
    print("a tap:", ", ".join(f"{name} {SLOWER * parts[name]:.1f} ({SLOWER * bare[name]:.1f})" for name in parts), "ms")
    print(f"a tap in all: {parts['all'] / least:.1f} times the bare page's")
    for what, costs in zip(("longest task", "all until the results stand"), zip(*letters, strict=True), strict=True):
        told = [
            f"{SLOWER * cost:.0f} ms, {cost / least:.1f} times the bare tap" for cost in (median(costs), max(costs))
        ]
        print(f"a letter of the search, {what}: {told[0]}; at most {told[1]}")


def tell_clock(taps: list[list[float]], results: list[float], empty: float) -> None:
    """Print what a person waits for, in milliseconds and beside an empty page's frame."""
    print(f"by the clock, processor {SLOWER}x slower; an empty page's frame: {empty:.1f} ms")
    waits = {
        "tap to answer in the page": [tap[0] for tap in taps],
        "tap to answer styled and laid out": [tap[1] for tap in taps],
        "tap to the frame after it": [tap[2] for tap in taps],
        "letter to its first results": results,
    }
    for what, times in waits.items():
        print(f"{what}: {median(times):.1f} ms, {median(times) / empty:.1f} frames; at most {max(times):.0f} ms")


def tell_opening(context: BrowserContext, server: StaticServer) -> None:
    """Print how long the look-up takes to answer where there is no server, once it is saved."""
    page = context.new_page()
    page.goto(server.address + "look-up.html")
    saved = "navigator.serviceWorker.controller !== null"
    until(lambda: page.evaluate(saved), "the handbook was not saved in time", PATIENCE // 1000)
    server.stop()
    page.close()
    opened = opening(context, server.address + "look-up.html#tenor-horn/treble-eb/C5", "#bb-lu-answer figure")
    empty = opening(context, "data:text/html,<p>empty</p>", "p")
    print(f"opened with no server, to the answer: {opened:.0f} ms, {opened / empty:.1f} times an empty page's opening")


if __name__ == "__main__":
    main()
