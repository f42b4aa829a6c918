"""How fast the look-up and the search answer on a slow phone. Not a test: prints milliseconds, and frames of 1/60 s.

    python3 tests/phone_speed.py [SITE]      needs Chromium and a built site, in site/ if none is named

The processor is slowed down four times. Measured: from a tap on a note to the frame that shows its answer; and from
opening the look-up with no server there, saved by the service worker, to the answer on the screen; from a letter typed
into the search to the frame that shows it, to the results, and the longest the page was busy without a pause meanwhile.
Beside the look-up's two stands what an empty page needs in the same run, which is what the machine itself costs at that
moment.

Where a tap's time goes is read from the browser's own trace, part by part to the end of the frame with the answer, as
the main thread's processor time: other programs add nothing to it. It is taken unslowed and told four times.
Drawing the pixels (raster) is done by other threads. A bare page whose tap changes one word stands beside it.
"""

from __future__ import annotations

import json
import statistics
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

sys.path[:0] = [str(Path(__file__).parent.parent / "hooks"), str(Path(__file__).parent)]

from conftest import CHROMIUM, CHROMIUM_ARGUMENTS  # noqa: E402
from staticserver import StaticServer  # noqa: E402

ROOT = Path(__file__).parent.parent
SLOWER = 4
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
  const pause = (time) => new Promise((done) => setTimeout(done, time));
  const times = [];
  let busy = 0, shown = 0;
  new PerformanceObserver((all) => all.getEntries().forEach((one) => { busy = Math.max(busy, one.duration); }))
    .observe({ entryTypes: ["longtask"] });
  new MutationObserver(() => { shown = performance.now(); }).observe(list, { childList: true, subtree: true });
  for (const word of words) {
    box.value = "";
    for (const letter of word) {
      busy = shown = 0;
      const start = performance.now();
      box.value += letter;
      box.dispatchEvent(new InputEvent("input", { bubbles: true }));
      await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
      const frame = performance.now() - start;
      await pause(600);
      times.push([frame, shown ? shown - start : 0, busy]);
    }
  }
  return times;
}
"""

QUESTIONS = ("player squeaks", "b flat on a cornet", "how to hold a euphonium")


def typed(page: Page, address: str) -> list[list[float]]:
    """Milliseconds for each letter: to the frame after it, to the last result, the longest task (0: under 50)."""
    page.goto(address + "index.html")
    page.locator("label[for=__search]").first.tap()
    page.locator("[data-md-component=search-query]").press_sequentially("a")
    page.wait_for_selector(".md-search-result__item", state="attached", timeout=30_000)
    time.sleep(1)
    slowed(page)
    return list(page.evaluate(TYPED, list(QUESTIONS)))


def traced(browser: Browser, page: Page) -> dict[str, float]:
    """Milliseconds of the main thread, not slowed down, for each part of a tap and for all of it; medians."""
    with tempfile.TemporaryDirectory() as folder:
        trace = Path(folder) / "trace.json"
        browser.start_tracing(page=page, path=trace, categories=["devtools.timeline", "blink.user_timing", "cc"])
        page.evaluate(f"({TAPS.strip()})(20)".replace("note.click()", "(performance.mark('tap'), note.click())"))
        browser.stop_tracing()
        events = json.loads(trace.read_text())["traceEvents"]
    taps = sorted(event["ts"] for event in events if event["name"] == "tap")
    thread = next(event["tid"] for event in events if event["name"] == "tap")
    work = sorted((one for one in events if one["tid"] == thread and "tdur" in one), key=lambda one: one["ts"])
    costs = [_of_tap([one for one in work if one["ts"] >= tap]) for tap in taps]
    return {name: statistics.median(cost[name] for cost in costs) for name in costs[0]}


def _of_tap(work: list[dict[str, float | str]]) -> dict[str, float]:
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
    return statistics.median(times)


def slowed(page: Page) -> None:
    """Slow the page's processor down."""
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})


def main() -> None:
    """Measure and print."""
    server = StaticServer(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "site")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*CHROMIUM_ARGUMENTS])
        context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
        page = context.new_page()
        page.goto(server.address + "look-up.html")
        while not page.evaluate("navigator.serviceWorker.controller !== null"):
            time.sleep(0.2)
        page.wait_for_selector("#bb-lu-answer figure")
        time.sleep(1)  # answers are made ahead
        parts = traced(browser, page)
        slowed(page)
        taps = page.evaluate(TAPS, 20)
        letters = typed(context.new_page(), server.address)
        server.stop()
        opened = opening(context, server.address + "look-up.html#tenor-horn/treble-eb/C5", "#bb-lu-answer figure")
        empty_opened = opening(context, "data:text/html,<p>empty</p>", "p")
        page.goto("data:text/html,<p>empty</p>")
        empty_frame = statistics.median(page.evaluate(EMPTY))
        bare = context.new_page()
        bare.set_content(BARE)
        bare_parts = traced(browser, bare)
        browser.close()
    script, laid_out, frame = (statistics.median(column) for column in zip(*taps, strict=True))
    print(f"processor {SLOWER}x slower; in brackets an empty page in the same run")
    print(f"tap to answer in the page, median of {len(taps)}: {script:.1f} ms")
    print(f"tap to answer styled and laid out: {laid_out:.1f} ms")
    print(f"tap to the frame after it: {frame:.1f} ms ({empty_frame:.1f} ms)")
    print(f"main thread for a tap, {SLOWER} times its time unslowed (a bare page that changes a word):")
    print(", ".join(f"{name} {SLOWER * parts[name]:.1f} ({SLOWER * bare_parts[name]:.1f})" for name in parts), "ms")
    keyed, results, busy = zip(*letters, strict=True)
    print(f"letter to the frame after it: {statistics.median(keyed):.1f} ms, at most {max(keyed):.0f}")
    found = [one for one in results if one]
    print(f"letter to all results, median of {len(found)}: {statistics.median(found):.0f} ms, at most {max(found):.0f}")
    print(
        f"longest task after a letter: median {statistics.median(busy):.0f} ms (0: under 50), at most {max(busy):.0f}"
    )
    print(f"opened with no server, to the answer: {opened:.0f} ms ({empty_opened:.0f} ms)")


if __name__ == "__main__":
    main()
