"""From a phone's tap to on disk and green, and from a call on the laptop to a phone: `python -m tests.speed.taps [TAPS]`.

The real program on a virtual screen, its own server, TLS and all, and a browser of 390 x 844 on the same machine: the
way through the air is not in it.
"""

import os
import sys
import tempfile
import time
from pathlib import Path

from tests.phones import browser as browsers
from tests.phones.browser import until
from tests.phones.laptop import far_phone, laptop, let_in, missing

WANTED_TAP_MS, WANTED_NEWS_MS = 100.0, 250.0
NEWS = 30

SPY = """() => {
  window.taps = [];
  window.news = [];
  let down = 0;
  addEventListener("pointerdown", () => (down = performance.now()), { capture: true });
  const last = document.getElementById("last");
  let was = last.dataset.state;
  new MutationObserver(() => {
    if (last.dataset.state === was) return;
    was = last.dataset.state;
    if (was === "on_disk") requestAnimationFrame(() => window.taps.push(performance.now() - down));
  }).observe(last, { attributes: true });
  const next = document.getElementById("next");
  new MutationObserver(() => requestAnimationFrame(() => window.news.push([Date.now() / 1000, next.textContent])))
    .observe(next, { childList: true, characterData: true, subtree: true });
}"""


def percentile(values, share):
    ordered = sorted(values)
    return ordered[min(int(len(ordered) * share), len(ordered) - 1)]


def tapped(page, wanted):
    """Pull and take back in turn; return the milliseconds from finger to green."""
    for number in range(wanted):
        target = "#tubs .target >> nth=0" if number % 2 == 0 else "#calls .target:has-text('Take back')"
        until(page, lambda: page.get_attribute("#last", "data-state") != "sending")
        page.wait_for_timeout(900)
        page.locator(target).scroll_into_view_if_needed()
        page.wait_for_timeout(100)
        before = page.evaluate("() => window.taps.length")
        for _ in range(3):
            page.tap(target)
            try:
                until(page, lambda before=before: page.evaluate("() => window.taps.length") > before, 3.0)
                break
            except AssertionError:  # it had just moved, or was green still
                continue
    return page.evaluate("() => window.taps")


def told(page, studio):
    """Pull at the laptop; return the milliseconds from before that key (and what presses it) until the phone shows it."""
    found = []
    for number in range(NEWS):
        page.evaluate("() => { window.news = []; }")
        before = len(studio.entries())
        at = time.time()
        studio.program.do("key", "--clearmodifiers", "p" if number % 2 == 0 else "BackSpace")
        studio.until(lambda before=before: len(studio.entries()) > before)
        until(page, lambda: page.evaluate("() => window.news.length") > 0)
        shown = page.evaluate("() => window.news[0][0]")
        found.append((shown - at) * 1000)
        page.wait_for_timeout(700)
    return found


def main():
    if reason := missing():
        print(reason)
        return 1
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    with (
        tempfile.TemporaryDirectory() as folder, browsers.browser() as running, laptop(Path(folder)) as studio,
        far_phone(running) as (page, _),
    ):  # fmt: skip
        let_in(page, studio)
        page.evaluate(SPY)
        taps, news = tapped(page, wanted), told(page, studio)
    for name, values, most in (("tap to on disk and green", taps, WANTED_TAP_MS), ("news", news, WANTED_NEWS_MS)):
        half, nearly, worst = percentile(values, 0.5), percentile(values, 0.99), max(values)
        print(
            f"{name}: {half:.0f} ms half of {len(values)}, {nearly:.0f} ms 99 of 100, {worst:.0f} ms at most; {most:.0f} ms wanted"
        )
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    return 0


if __name__ == "__main__":
    sys.exit(main())
