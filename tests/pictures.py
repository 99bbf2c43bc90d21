"""Pictures of the real window on the demos: `python -m tests.pictures OUT` writes every page and state.

It needs a screen; on a machine without one it starts a virtual one (Xvfb).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.wrap_pictures import wrap_page

SIZES = {"3840x2160": (3840, 2160), "1280x800": (1280, 800), "1920x1080": (1920, 1080), "1024x640": (1024, 640)}


def with_screen(argv: list[str], module: str = "tests.pictures") -> int | None:
    """Run this script again on a virtual screen when there is none; return its exit status, or None to go on here."""
    if os.environ.get("DISPLAY") or sys.platform in ("win32", "darwin") or "STUDIOTIMER_PICTURES" in os.environ:
        return None
    if shutil.which("Xvfb") is None:
        print("pictures need a screen, or Xvfb; on Debian and Ubuntu: apt-get install xvfb")
        return 1
    read, write = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", "3840x2160x24", "-nolisten", "tcp", "-noreset"], pass_fds=[write],
        stderr=subprocess.DEVNULL,
    )  # fmt: skip
    os.close(write)
    try:
        display = os.read(read, 16).decode().strip()
        environment = {**os.environ, "DISPLAY": f":{display}", "STUDIOTIMER_PICTURES": "1"}
        return subprocess.run([sys.executable, "-m", module, *argv], env=environment, check=False).returncode
    finally:
        server.terminate()
        server.wait()


@contextmanager
def home(folder: str) -> Iterator[None]:
    """Let the program keep its things in a folder for pictures."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR"):
        os.environ[name] = folder
    yield


class Studio:
    """The program, made ready for pictures in a home of its own."""

    def __init__(self, out: Path) -> None:
        from studiotimer.window.app import application

        self.out = out
        self.app = application()

    def wait(self, until: Callable[[], bool], seconds: float = 90.0) -> None:
        end = time.monotonic() + seconds
        while not until() and time.monotonic() < end:
            self.app.processEvents()
            time.sleep(0.01)
        if not until():
            raise SystemExit("the window did not come to the state that was to be pictured")

    def settle(self, seconds: float = 0.4) -> None:
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.app.processEvents()
            time.sleep(0.01)

    def shoot(self, window, name: str, sizes=("1280x800", "1920x1080")) -> None:
        for size in sizes:
            window.resize(*SIZES[size])
            self.settle()
            window.grab().save(str(self.out / f"{name}-{size}.png"))
            print(f"{name}-{size}.png")


def set_page(studio: Studio) -> None:
    """The Set page: empty, waiting, in its window, past it, without focus, with choices, dimmed."""
    from studiotimer.places import demo_sessions
    from studiotimer.window.main import MainWindow

    window = MainWindow()
    window.show()
    window.activateWindow()
    studio.settle()
    studio.shoot(window, "start", ("1280x800", "1920x1080", "1024x640"))
    hot = demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog"
    calm = demo_sessions() / "calm_led" / "calm_led.setlog"
    for name, path, test, after, sizes in (
        ("set-empty", calm, lambda entry: entry.kind == "shot", 3, ("1280x800", "1920x1080", "1024x640")),
        ("set-stand-in", hot, lambda entry: entry.kind == "look", 10, ("1280x800",)),
        ("set-waiting", hot, lambda entry: entry.kind == "judge" and entry.scoop == 10, 10, ("1280x800", "1920x1080")),
        ("set-one-hero", calm, lambda entry: entry.kind == "hero_in", 40, ("1280x800", "1920x1080")),
        ("set-heroes", hot, lambda entry: entry.kind == "hero_in", 22, tuple(SIZES)),
        ("set-melt", hot, lambda entry: entry.kind == "look" and entry.seen == "edges", 30, ("1280x800",)),
        ("set-hold", calm, lambda entry: entry.kind == "hold", 20, ("1280x800",)),
    ):
        _rehearse(studio, window, path, test, after)
        studio.shoot(window, name, sizes)
        if name == "set-heroes":
            _details(studio, window)
    _past(studio, window)
    window.close()


def _past(studio: Studio, window) -> None:
    """A hero left on set past its window, on a clock moved by hand."""
    from studiotimer.prep.plan import quick_plan
    from studiotimer.session.live import new_session
    from tests.session.clocks import HandClock

    clock = HandClock()
    plan = quick_plan("pistachio", "superpremium", "crisp", 23.0, "LED 2000 lx")
    with tempfile.TemporaryDirectory() as folder:
        window._run(new_session(Path(folder) / "past.setlog", plan, clock))
        for kind in ("shot", "pull", "pull", "hero_in"):
            clock.advance(30)
            window.running.call(kind)
        clock.advance(200)
        window.running.call("look", {"seen": "edges"})
        clock.advance(100)
        window.running.forecast = None
        window.running.ask_forecast()
        studio.wait(lambda: window.running.forecast is not None)
        studio.shoot(window, "set-past", ("1280x800", "1920x1080", "1024x640"))
        window.page.bar.turn()
        studio.shoot(window, "set-more", ("1280x800", "1024x640"))
        window.page.bar.turn()
        for _ in range(2):
            clock.advance(5)
            window.running.call("out", {"scoops": [1]})
        studio.shoot(window, "set-refused", ("1280x800",))
        window.close_session()


def _rehearse(studio: Studio, window, path: Path, test, after: float) -> None:
    from studiotimer.session.mending import Ledger
    from studiotimer.session.reading import read
    from studiotimer.session.rehearsal import RehearsalAsked

    held = read(path)
    ledger = Ledger.of(held.entries)
    at = next(ledger.seconds(entry) for entry in held.entries if test(entry)) + after
    window.rehearse(path, RehearsalAsked(1.0))
    session = window.running.session
    session.pause(True)
    session.jump(at)
    window.running.forecast = None
    window.running.changed.emit()
    window.running.ask_forecast()
    studio.wait(lambda: window.running.forecast is not None)
    studio.settle()


def _details(studio: Studio, window) -> None:
    page = window.page
    page.stand("Keys are not heard: click this screen.", urgent=True)
    studio.shoot(window, "set-no-focus", ("1280x800", "1920x1080"))
    window._stand()
    page.act("next")
    studio.shoot(window, "set-chosen", ("1280x800",))
    page.act("let_go")
    for kind in ("reading", "note", "pull", "top_up", "out"):
        page.calls.choose(kind, {})
        studio.shoot(window, f"set-choices-{kind.replace(chr(95), chr(45))}", ("1280x800", "1920x1080", "1024x640"))
        page.calls.leave()
    page.calls.amend(
        next(e.n for e in reversed(window.running.session.ledger.entries) if e.kind == "swap" or e.mendable)
    )
    studio.shoot(window, "set-amend", ("1280x800",))
    page.calls.leave()
    page.show_cautions()
    studio.shoot(window, "set-cautions", ("1280x800", "1024x640"))
    page.show_cautions()
    window.dim()
    studio.shoot(window, "set-dim", ("1280x800",))
    window.dim()


def main(argv: list[str]) -> int:
    """Write the pictures into the folder named in `argv`."""
    if len(argv) != 1:
        print("usage: python -m tests.pictures OUT")
        return 2
    status = with_screen(argv)
    if status is not None:
        return status
    out = Path(argv[0])
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, home(folder):
        from tests.cue_pictures import cue_pages
        from tests.prep_pictures import prep_page
        from tests.set_pictures import FIVE, set_states
        from tests.settings_pictures import settings

        SIZES.update(FIVE)
        studio = Studio(out)
        set_page(studio)
        cue_pages(studio)
        set_states(studio)
        wrap_page(studio)
        settings(Studio(out))
        prep_page(studio)
    for times in ("1.5", "2"):
        subprocess.run([sys.executable, "-m", "tests.size_pictures", str(out), times], check=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
