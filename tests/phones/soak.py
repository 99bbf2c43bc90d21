"""Phones for a long time through cuts: `python -m tests.phones.soak --minutes 30 --phones 8 --cuts 50`.

Real browsers on the real program. Each phone pulls and takes back, also while it is cut off; what it kept is asked
about and answered by chance. At the end each call that a phone showed as on disk is in the session's file once, and no
call that was dropped is.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Any

import psutil

from tests.phones import browser as browsers
from tests.phones.browser import text
from tests.phones.laptop import Laptop, far_phone, laptop, let_in, missing
from tests.phones.relay import Relay

NAMES = ("Ann", "Bo", "Cy", "Di", "Ed", "Flo", "Gus", "Hal")
CUT_S = (3.0, 15.0)
TAP_EVERY_S = 4.0

STATES = """() => {
  window.settled = {};
  const sent = window.fetch;
  window.fetch = async (path, given) => {
    const reply = await sent(path, given);
    if (path === "/call") {
      const said = await reply.clone().json();
      const { id } = JSON.parse(given.body);
      window.settled[id] = said.on_disk ? "on disk" : said.asks ? "asked" : `refused: ${said.refused}`;
    }
    return reply;
  };
}"""


class One:
    """A phone in the soak: when it is cut off, and what its person does."""

    def __init__(self, page: Any, way: Relay, luck: random.Random) -> None:
        self.page, self.way, self.luck = page, way, luck
        self.back_at = self.tap_at = self.asked_at = 0.0
        self.answers: Counter[str] = Counter()

    def cut(self, now: float) -> None:
        self.way.cut()
        self.back_at = now + self.luck.uniform(*CUT_S)

    def step(self, now: float) -> None:
        """Do what is due: come back, answer what is asked, tap."""
        if self.back_at and now > self.back_at:
            self.way.back()
            self.back_at = 0.0
        if self.page.locator("#question").is_visible():
            self.asked_at = self.asked_at or now
            if now - self.asked_at > 0.8:
                answer = self.luck.choice(("same", "another"))
                self.answers[answer] += 1
                self.page.tap(f"#question-{answer}")
                self.asked_at = 0.0
        elif now > self.tap_at:
            self.tap_at = now + self.luck.uniform(0.5, 1.5) * TAP_EVERY_S
            back = self.page.locator("#calls .target:has-text('Take back')")
            target = back if back.count() else self.page.locator("#tubs .target").first
            tried(target)


def tried(target: Any) -> None:
    """Tap, unless the target goes away or a question comes over it."""
    from playwright.sync_api import TimeoutError as TooLateError

    with suppress(TooLateError):
        target.tap(timeout=1500)


def pages(phones: list[dict[str, str]], seconds: float, cuts: int) -> dict[str, str]:
    """Have pages of phones that are paired already (link, token) tap and answer through cuts.

    Return the calls that they showed as on disk.
    """
    luck, found = random.Random(99), dict[str, str]()
    with ExitStack() as stack:
        running, ones = stack.enter_context(browsers.browser()), []
        for number, phone in enumerate(phones):
            page, way = stack.enter_context(far_phone(running, come_from=f"127.0.0.{number + 50}"))
            page.goto(phone["link"].partition("#")[0])
            page.evaluate("(token) => sessionStorage.setItem('token', token)", phone["token"])
            page.reload()
            browsers.until(page, lambda page=page: text(page, "#live-word") == "live", 60.0)
            page.evaluate(STATES)
            ones.append(One(page, way, luck))
        through(ones, seconds, cuts, luck, lambda now: None)
        for one in ones:
            found |= one.page.evaluate("() => window.settled")
    return {name: state for name, state in found.items() if state == "on disk"}


def memory_mb(program: int) -> dict[str, float]:
    """Return the resident memory of the window and of the phones' server."""
    window = psutil.Process(program)
    servers = 0.0
    for one in window.children(recursive=True):
        with suppress(psutil.Error):
            servers += one.memory_info().rss / 1e6 if any("phones" in word for word in one.cmdline()) else 0.0
    return {"window": window.memory_info().rss / 1e6, "server": servers}


def through(
    ones: list[One], seconds: float, cuts: int, luck: random.Random, meanwhile: Callable[[float], object]
) -> None:
    """Let phones go on through cuts, and wait until all are live again and nothing is left to be asked about."""
    began = time.monotonic()
    ends = began + seconds
    left = sorted(luck.uniform(began, ends - 20.0) for _ in range(cuts))
    while (now := time.monotonic()) < ends or any(one.back_at for one in ones):
        while left and now > left[0] and now < ends:
            left.pop(0)
            luck.choice(ones).cut(now)
        for one in ones:
            one.step(now)
        meanwhile(now - began)
        time.sleep(0.02)
    until = time.monotonic() + 60.0
    while any(text(one.page, "#live-word") != "live" or one.page.locator("#last-kept").is_visible() for one in ones):
        assert time.monotonic() < until, "a phone did not come back"
        for one in ones:
            one.tap_at = until
            one.step(time.monotonic())


def soak(studio: Laptop, ones: list[One], minutes: float, cuts: int, luck: random.Random) -> None:
    """Let the phones go on, and print what the laptop needs, ten times in all."""
    tell_at = 0.0

    def tell(passed: float) -> None:
        nonlocal tell_at
        if passed < tell_at:
            return
        tell_at = passed + minutes * 6.0
        used = memory_mb(studio.program.process.pid)
        print(
            f"{passed:6.0f} s  {len(studio.entries())} entries, "
            + ", ".join(f"{name} {mb:.0f} MB" for name, mb in used.items()),
            flush=True,
        )

    through(ones, minutes * 60.0, cuts, luck, tell)


def judged(studio: Laptop, ones: list[One]) -> bool:
    """Compare what phones showed with what the file has; print it and return whether all is well."""
    ids = Counter(entry.call_id for entry in studio.entries() if getattr(entry, "call_id", None))
    shown: dict[str, str] = {}
    for one in ones:
        shown |= one.page.evaluate("() => window.settled")
    green = {name for name, state in shown.items() if state == "on disk"}
    lost = [name for name in green if name not in ids]
    doubled = [name for name, count in ids.items() if count > 1]
    unheard = [name for name in ids if name not in green]
    print(f"{len(shown)} calls of {len(ones)} phones: {len(green)} on disk, {Counter(shown.values()).most_common(6)}")
    print(f"lost {len(lost)}, doubled {len(doubled)}, on disk without a phone knowing {len(unheard)}")
    print("answers:", json.dumps(dict(sum((one.answers for one in ones), Counter()))))
    print("complaints:", [complaint for one in ones for complaint in one.page.complaints][:5])
    return not lost and not doubled


def main() -> int:
    if reason := missing():
        print(reason)
        return 1
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=3.0)
    parser.add_argument("--phones", type=int, default=8)
    parser.add_argument("--cuts", type=int, default=10)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    luck = random.Random(given.seed)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        running = stack.enter_context(browsers.browser())
        studio = stack.enter_context(laptop(folder))
        ones = []
        for index in range(given.phones):
            page, way = stack.enter_context(far_phone(running, come_from=f"127.0.0.{index + 2}"))
            let_in(page, studio, NAMES[index % len(NAMES)])
            page.evaluate(STATES)
            ones.append(One(page, way, luck))
        print(
            f"{len(ones)} phones, {given.minutes:g} min, {given.cuts} cuts, load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores",
            flush=True,
        )
        soak(studio, ones, given.minutes, given.cuts, luck)
        return 0 if judged(studio, ones) else 1


if __name__ == "__main__":
    sys.exit(main())
