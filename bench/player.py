"""Pictures a second of the moving figure on a slow phone: Chromium slowed four times, a real page, real time.

    .venv/bin/python -m bench.player [--slower 4] [--seconds 8]

Told are: how often the page could draw a new picture (animation frames), how long the work of one takes, how many are
done within a sixtieth of a second, and how often the figure's picture changes. Other work on the machine lowers the
first. The processor time of the page's main thread, all of it, does not depend on that: below 16.7 ms a frame, a phone
that slow shows 60 a second.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from pathlib import Path
from statistics import median

from playwright.sync_api import CDPSession, Page, sync_playwright
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme

from haleward.movement.library import default_library
from haleward.render.page import session_page
from haleward.safety.protocol import default_protocol
from haleward.session.compile import compile_session
from haleward.wording import default_wording

FRAME_MS = 16.7
MEASURE = """(seconds) => new Promise((give) => {
  const times = [], busy = [];
  let shown = 0;
  const fill = CanvasRenderingContext2D.prototype.clearRect;
  CanvasRenderingContext2D.prototype.clearRect = function (...box) { shown += 1; return fill.apply(this, box); };
  const own = globalThis.requestAnimationFrame;
  globalThis.requestAnimationFrame = (step) => own((now) => {
    const from = performance.now();
    step(now);
    busy.push(performance.now() - from);
  });
  const count = (now) => {
    times.push(now);
    if (now - times[0] < seconds * 1000) own(count);
    else give({ times, busy, shown });
  };
  own(count);
})"""


def page_file(folder: Path) -> Path:
    """A session with one movement and no warm-up, written as a file."""
    told = {"protocol": default_protocol(), "library": default_library(), "wording": default_wording()}
    sheet = compile_session(programme(exercise("biceps_curl")), "one", PLAIN, service=SERVICE, made_on=TODAY, **told)
    path = folder / "session.html"
    path.write_text(session_page(sheet, record=PLAIN, service=SERVICE, **told), encoding="utf-8")
    return path


def into_first_set(page: Page) -> None:
    """Answer the questions of the day reassuringly and go on to the first set."""
    good = ("feel well", "breathing about", "tablets as usual")
    page.wait_for_selector("h1")
    while page.locator("h1.question").count():
        question = page.inner_text("h1")
        done = page.get_by_role("button", name="Done", exact=True)
        yes = any(words in question for words in good)
        (done if done.count() else page.get_by_role("button", name="Yes" if yes else "No", exact=True)).click()
        page.wait_for_function("before => document.querySelector('h1').innerText !== before", arg=question)
    while not page.locator("[data-pause]").count():
        page.keyboard.press("ArrowRight")
    page.wait_for_function("document.querySelector('.count')?.textContent === '1'", timeout=60_000)


def busy_s(session: CDPSession) -> float:
    """Processor seconds that the page's main thread has worked."""
    found = {one["name"]: one["value"] for one in session.send("Performance.getMetrics")["metrics"]}
    return float(found["TaskDuration"])


def measure(page: Page, *, slower: float, seconds: float) -> None:
    """Slow the browser down, watch, and tell."""
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": slower})
    session.send("Performance.enable", {"timeDomain": "threadTicks"})
    before = busy_s(session)
    found = page.evaluate(MEASURE, seconds)
    worked = busy_s(session) - before
    gaps = [after - before for before, after in zip(found["times"], found["times"][1:], strict=False)]
    took = (found["times"][-1] - found["times"][0]) / 1000
    busy = sorted(found["busy"])
    canvas = page.locator("canvas").first.bounding_box() or {}
    lines = (
        f"Chromium slowed {slower:g} times, {took:.1f} s of a set, figure {canvas.get('width', 0):.0f} points wide",
        f"animation frames: {len(gaps) / took:.1f} a second; the longest gap {max(gaps):.0f} ms",
        f"script in one frame: median {median(busy):.2f} ms, 95 of 100 under {busy[int(len(busy) * 0.95)]:.2f} ms; "
        f"{100 * sum(one < FRAME_MS for one in busy) / len(busy):.1f} of 100 frames under {FRAME_MS} ms",
        f"processor time of the main thread, with layout and paint: {1000 * worked / len(gaps):.2f} ms a frame",
        f"new pictures of the figure: {found['shown'] / took:.1f} a second",
    )
    sys.stdout.write("".join(f"{line}\n" for line in lines))


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--slower", type=float, default=4)
    parser.add_argument("--seconds", type=float, default=8)
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 390, "height": 844}, device_scale_factor=2)
        page.goto(page_file(Path(folder)).as_uri())
        into_first_set(page)
        measure(page, slower=chosen.slower, seconds=chosen.seconds)
        browser.close()


if __name__ == "__main__":
    main()
