"""Chromium, driven as phones' browsers: found where the system has it, never fetched."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

SIZES = {"390x844": (390, 844), "360x640": (360, 640)}
NAMES = ("chromium", "chromium-browser", "google-chrome")


def missing() -> str:
    """Return what has to be installed before a browser can be driven; empty when all is there."""
    try:
        import playwright  # noqa: F401
    except ImportError:
        return "playwright is not installed (pip install playwright; its own browsers are not needed)"
    return "" if chromium() else "chromium is not installed (Debian and Ubuntu: apt-get install chromium)"


def chromium() -> str | None:
    return next((found for name in NAMES if (found := shutil.which(name))), None)


@contextmanager
def browser() -> Iterator[Any]:
    """Yield a browser without a window."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        running = play.chromium.launch(
            executable_path=chromium(), args=["--no-sandbox", "--autoplay-policy=user-gesture-required"]
        )
        try:
            yield running
        finally:
            running.close()


# what a test can learn of sound, buzz and screen lock, and when something was drawn
SPIES = """
window.spied = { notes: 0, buzzes: 0, ended: 0, awake: 0, said: [] };
const started = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function (...given) { window.spied.notes += 1; return started.apply(this, given); };
navigator.vibrate = (how) => { window.spied[how === 0 ? "ended" : "buzzes"] += 1; return true; };
if (navigator.wakeLock) {
  const asked = navigator.wakeLock.request.bind(navigator.wakeLock);
  navigator.wakeLock.request = (what) => { window.spied.awake += 1; return asked(what); };
}
"""


@contextmanager
def phone(running: Any, size: str = "390x844", **more: Any) -> Iterator[Any]:
    """Yield a page as a phone shows it; what its browser complains about fails the test."""
    width, height = SIZES[size]
    context = running.new_context(
        viewport={"width": width, "height": height}, device_scale_factor=2, has_touch=True, is_mobile=True,
        ignore_https_errors=True, locale="en-GB", **more,
    )  # fmt: skip
    context.set_default_timeout(30_000)
    context.add_init_script(SPIES)
    page = context.new_page()
    page.complaints = []
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.on("console", lambda said: page.complaints.append(said.text) if _bad(said) else None)
    try:
        yield page
    finally:
        context.close()


def _bad(said: Any) -> bool:
    """Whether the browser complains of the page itself: a request that did not come through is the test's doing."""
    return said.type in ("error", "warning") and "Failed to load resource" not in said.text


def until(page: Any, holds: Callable[[], Any], wait_s: float = 30.0) -> Any:
    """Wait until something holds, and return it; the page goes on meanwhile.

    Where it does not come to hold, what the page shows and what its browser complained about is said.
    """
    end = time.monotonic() + wait_s
    while not (found := holds()):
        if time.monotonic() > end:
            shown = page.evaluate("() => document.body.innerText")
            raise AssertionError(f"it did not come to hold; complaints {page.complaints}; the page shows:\n{shown}")
        page.wait_for_timeout(20)
    return found


def text(page: Any, selector: str) -> str:
    """Return the words of a part of the page as they are now."""
    return str(page.locator(selector).first.text_content() or "")


def pair(page: Any, address: str, secret: str, name: str = "Mia", at: str = "freezer") -> None:
    """Open the page as the scanned code does, give a name, and tap."""
    page.goto(f"{address}#{secret}")
    page.fill("#name", name)
    page.tap(f"#pairing button[value={at}]")


def tap(page: Any, selector: str) -> None:
    """Tap on a call, and again where the page says that it had only just come under the finger."""
    page.tap(selector)
    while page.get_attribute("#last", "data-state") == "soon":
        page.wait_for_timeout(700)
        page.tap(selector)
