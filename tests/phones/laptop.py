"""The real program on a virtual screen, its phones let in, driven by keys and mouse and read from outside."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from PIL import ImageGrab

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.session.reading import read
from tests.machine import reader as readers
from tests.phones import browser as browsers
from tests.phones.relay import Relay
from tests.scenes.house import Eyes
from tests.scenes.plans import one_hero, plan
from tests.screens import Program

SIZE = "1280x800x24"
PATIENCE_S = 60.0
HOMES = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_DOCUMENTS_DIR", "HOME")
RIGHTS = {"assistant": "Yes, pull and move", "everything": "Yes, everything", "watch": "It may watch", "no": "No"}


def missing() -> str:
    """Return what has to be installed before phones can be tried on the real program; empty when all is there."""
    if reason := browsers.missing():
        return reason
    try:
        import zxingcpp  # noqa: F401
    except ImportError:
        return "zxing-cpp is not installed (pip install zxing-cpp)"
    return readers.NEEDS if readers.missing() else ""


class Laptop:
    """The program on one session; it may be killed and opened again."""

    def __init__(self, display: str, environment: dict[str, str], folder: Path) -> None:
        self.path = folder / "phones.setlog"
        self.folder, self._display, self._environment = folder, display, environment
        self.eyes = Eyes(environment)
        self.program: Any = None
        self._used: set[str] = set()
        new_session(self.path, parse_plan(plan([one_hero(takes=4, frames=12)]))).close()

    def open(self) -> None:
        """Start the program, the shot begun and everything locked, and let phones in."""
        given = {name: self._environment[name] for name in ("DBUS_SESSION_BUS_ADDRESS", "XDG_RUNTIME_DIR")}
        for name in HOMES:
            given[name] = str(self.folder / name)
            Path(given[name]).mkdir(mode=0o700, exist_ok=True)
        begun = len(self.entries())
        self.program = Program(self._display, [self.path], QT_LINUX_ACCESSIBILITY_ALWAYS_ON="1", **given)
        self.program.window()
        self.until(lambda: len(self.entries()) > begun)
        self.until(lambda: self.program.call("note", "--text", "open").returncode == 0)
        self.until(lambda: self.press("F7") or self.sees("Turn phones off"), every_s=2.0)

    def press(self, *keys: str) -> None:
        self.program.press(*keys, wait=0.1)

    def call(self, *arguments: str) -> None:
        """Call from another program, and have it on disk."""
        done = self.program.call(*arguments)
        assert done.returncode == 0, done.stderr

    def entries(self) -> list[Any]:
        return list(read(self.path).entries)

    def counting(self, kind: str) -> list[Any]:
        """Return the entries of a kind that were not taken back."""
        entries = self.entries()
        back = {entry.entry for entry in entries if entry.kind == "take_back"}
        return [entry for entry in entries if entry.kind == kind and entry.n not in back]

    def sees(self, begins: str) -> Any:
        """Return (role, name, description, middle) of what shows and is called so; None where nothing is."""
        found = self.eyes.see(self.program.process.pid, begins)
        return found[0] if found else None

    def click(self, begins: str) -> None:
        """Press a button with the mouse once it shows."""
        _, _, _, middle = self.until(lambda: self.sees(begins))
        self.program.do("mousemove", *middle, "click", 1)

    def code(self) -> str:
        """Return what a phone's camera reads off the screen; a code that a phone was shown works no more."""
        import zxingcpp

        def look() -> str:
            found = zxingcpp.read_barcodes(ImageGrab.grab(xdisplay=self._display))
            return str(found[0].text) if found and found[0].text not in self._used else ""

        return str(self.until(look))

    def show_code(self, page: Any) -> str:
        """Have a phone go where the code leads, and return that."""
        address = self.code()
        self._used.add(address)
        page.goto(address)
        return address

    def picture(self, path: Path) -> None:
        ImageGrab.grab(xdisplay=self._display).save(path)

    def until(self, holds: Any, wait_s: float = PATIENCE_S, every_s: float = 0.1) -> Any:
        end = time.monotonic() + wait_s
        while not (found := holds()):
            if time.monotonic() > end:
                shown = [name for _, name, _, _ in self.eyes.see(self.program.process.pid, "")]
                raise AssertionError(f"it did not come to hold on the laptop, which shows {shown}")
            time.sleep(every_s)
        return found

    def kill(self) -> None:
        """End the program as a power cut would."""
        self.program.process.kill()
        self.program.process.wait(30)
        self.program.process.stdout.close()

    def close(self) -> None:
        if self.program is not None and self.program.process.poll() is None:
            self.program.end()
        self.eyes.close()


@contextlib.contextmanager
def laptop(folder: Path) -> Iterator[Laptop]:
    """Yield a laptop with its phones let in, with three scoops in the line."""
    with readers.reader(folder, SIZE) as (display, bus):
        one = Laptop(display, bus.environment, folder)
        try:
            one.open()
            one.call("shot")
            for lock in ("light", "set", "camera"):
                one.call("lock", "--which", lock, "--on", "yes")
            for _ in range(3):
                one.call("pull", "--flavour", "vanilla", "--to", "box")
            yield one
        finally:
            one.close()


@contextlib.contextmanager
def far_phone(running: Any, size: str = "390x844", come_from: str = "") -> Iterator[tuple[Any, Relay]]:
    """Yield a phone that is not paired yet, and its way to whatever it connects to."""
    with Relay(come_from=come_from) as way:
        proxy = {"server": f"http://127.0.0.1:{way.port}", "bypass": "<-loopback>"}
        with browsers.phone(running, size, proxy=proxy) as page:
            yield page, way


def let_in(page: Any, one: Laptop, name: str = "Mia", right: str = "assistant", at: str = "freezer") -> None:
    """Read the laptop's code, give a name, and have the laptop say yes."""
    one.show_code(page)
    page.fill("#name", name)
    page.tap(f"#pairing button[value={at}]")
    browsers.until(page, lambda: page.locator("#asked").is_visible(), PATIENCE_S)
    one.click(RIGHTS[right])
    browsers.until(page, lambda: browsers.text(page, "#live-word") == "live", PATIENCE_S)
    browsers.until(page, lambda: not page.locator("#hush").is_visible(), PATIENCE_S)
    page.wait_for_timeout(700)
