"""Pictures of the phones' page in each state: `python -m tests.phones.pictures OUT`, of an invented shoot."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.phones.browser import SIZES, browser, missing, pair, phone, text, until
from tests.phones.fake import Fake
from tests.phones.relay import Relay
from tests.phones.states import BUTTER, HAZELNUT, LONG, LONGEST, ORANGE, shoot

USUAL, LONG_ONES = (BUTTER, HAZELNUT, ORANGE), (LONG, LONGEST, ORANGE)
SETTLED_MS = 800


class Shots:
    """A laptop, the way to it, and a phone before it, whose pictures go to a folder."""

    def __init__(self, out: Path, size: str, fake: Fake, relay: Relay, page: Any) -> None:
        self.out, self.size, self.fake, self.relay, self.page = out, size, fake, relay, page

    def take(self, name: str) -> None:
        self.page.wait_for_timeout(150)
        self.page.screenshot(path=self.out / f"{self.size}-{name}.png")

    def paired(self, at: str = "freezer") -> None:
        pair(self.page, f"http://127.0.0.1:{self.relay.port}/", self.fake.secret, at=at)
        until(self.page, lambda: text(self.page, "#live-word") == "live")
        self.page.wait_for_timeout(SETTLED_MS)

    def scrolled(self, name: str) -> None:
        """Take the whole page, a screen after another."""
        height = SIZES[self.size][1] - 120
        for number in range(4):
            self.page.evaluate("(to) => scrollTo(0, to)", number * height)
            self.take(f"{name}-{number + 1}")
        self.page.evaluate("() => scrollTo(0, 0)")


def pairing(shots: Shots) -> None:
    page, fake = shots.page, shots.fake
    page.goto(f"{fake.address}#{fake.secret}")
    page.fill("#name", "Mia")
    shots.take("pairing")
    fake.answer = "asked"
    page.tap("#pairing button[value=freezer]")
    page.wait_for_selector("#asked:not([hidden])")
    shots.take("asked")
    fake.answer = "no"
    page.wait_for_selector("#ended:not([hidden])")
    shots.take("no")


def freezer(shots: Shots) -> None:
    shots.paired()
    shots.scrolled("freezer")
    shots.fake.disk_s = 1.5
    shots.page.tap("#tubs .target >> nth=1")
    shots.take("sending")
    shots.page.wait_for_selector("#last[data-state=on_disk]")
    shots.take("on-disk")
    shots.fake.disk_s, shots.fake.refuse = 0.0, "scoop 8 is already at the set"
    shots.page.tap("#acts .call .target")
    shots.page.wait_for_selector("#last[data-state=refused]")
    shots.take("refused")
    shots.fake.refuse = ""
    shots.page.tap("#line .target >> nth=1")
    shots.page.wait_for_selector("#sheet[open]")
    shots.take("scoop")


def due(shots: Shots) -> None:
    shots.paired()
    cue = shots.fake.state["cue"] | {"due": shots.fake.steady() - 5.0, "late_words": "the set waits"}
    shots.fake.tell(cue=cue, sound={"cue": cue["id"]})
    until(shots.page, lambda: text(shots.page, "#cue-time") == "now")
    shots.take("due")
    shots.page.wait_for_timeout(SETTLED_MS)
    shots.page.tap("#acts .seen")
    shots.take("seen")
    shots.fake.tell(cue=None, then=[])
    until(shots.page, lambda: text(shots.page, "#cue-verb") != "Bring")
    shots.take("nothing")


def names(shots: Shots) -> None:
    shots.fake.state = shoot(shots.fake.steady(), LONG_ONES)
    shots.paired()
    shots.scrolled("long-names")


def camera(shots: Shots) -> None:
    shots.fake.rights = "watch"
    shots.fake.tell(calls=[])
    shots.paired("camera")
    shots.take("camera")
    hero = shots.fake.state["hero"]
    shots.fake.tell(hero=hero | {"ends": shots.fake.steady() - 20.0, "ended": True})
    until(shots.page, lambda: text(shots.page, "#life") == "0:00")
    shots.take("camera-ended")
    shots.fake.tell(hero=None, swap=None)
    until(shots.page, lambda: "no hero" in text(shots.page, "#life-label"))
    shots.take("camera-empty")


def cut(shots: Shots) -> None:
    shots.paired()
    shots.page.tap("#tubs .target >> nth=1")
    shots.page.wait_for_selector("#last[data-state=on_disk]")
    shots.relay.cut()
    until(shots.page, lambda: "not live" in text(shots.page, "#live-word"))
    shots.take("not-live")
    shots.page.wait_for_selector(".old")
    shots.take("not-live-10-s")
    shots.page.wait_for_timeout(SETTLED_MS)
    shots.page.evaluate("() => scrollTo(0, 900)")
    shots.take("not-live-scrolled")
    shots.page.tap("#tubs .target >> nth=0")
    shots.take("kept")
    shots.fake.asks, shots.fake.same = "P logged 14 at 10:32:20. The same, or another?", 41
    shots.relay.back()
    shots.page.wait_for_selector("#question[open]")
    shots.take("question")
    shots.page.wait_for_timeout(SETTLED_MS)
    shots.page.tap("#question-same")
    shots.take("dropped")


def ended(shots: Shots) -> None:
    shots.paired("camera")
    shots.relay.cut()
    shots.page.wait_for_selector(".old")
    shots.take("camera-not-live")
    shots.page.wait_for_timeout(SETTLED_MS)
    shots.page.tap("#calls .target >> nth=0")
    shots.fake.tokens.clear()
    shots.relay.back()
    shots.page.wait_for_selector("#ended:not([hidden])")
    shots.take("revoked")


STATES: tuple[Callable[[Shots], None], ...] = (pairing, freezer, due, names, camera, cut, ended)


def main(argv: list[str]) -> int:
    """Write the pictures and return an exit status."""
    if len(argv) != 1 or missing():
        print(missing() or __doc__)
        return 1
    out = Path(argv[0])
    out.mkdir(parents=True, exist_ok=True)
    with browser() as running:
        for size in SIZES:
            for state in STATES:
                with Fake() as fake, Relay(fake.port) as relay, phone(running, size) as page:
                    state(Shots(out, size, fake, relay, page))
    print(f"{len(list(out.glob('*.png')))} pictures in {out}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
