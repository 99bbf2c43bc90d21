"""Two monitors beside each other, one of which can be unplugged, and where the program's windows are on them.

`python -m tests.machine.monitors OUT` writes a picture of both before, while one is unplugged, and after. It needs Xvfb,
xdotool and xrandr (apt-get install xvfb xdotool x11-xserver-utils); says so and ends where they are missing.
"""

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from tests.screens import PATIENCE_S, program, screen

NEEDS = "needs Xvfb, xdotool and xrandr: apt-get install xvfb xdotool x11-xserver-utils"
LAPTOP, SECOND = (0, 0, 1280, 800), (1280, 0, 1920, 1080)
CREW = "Studiotimer crew screen"


def missing():
    """Whether the programs for it are not here."""
    return sys.platform != "linux" or not all(map(shutil.which, ("Xvfb", "xdotool", "xrandr")))


needs_monitors = pytest.mark.skipif(missing(), reason=NEEDS)


class Monitors:
    """A laptop's monitor and the second one, on one virtual screen."""

    def __init__(self, display):
        self.display = display
        self._ask("--setmonitor", "laptop", "1280/300x800/190+0+0", "screen")
        self.plug()

    def _ask(self, *words):
        subprocess.run(["xrandr", *words], env={**os.environ, "DISPLAY": self.display}, check=True, capture_output=True)

    def plug(self):
        """Plug the second monitor in."""
        self._ask("--setmonitor", "second", "1920/530x1080/300+1280+0", "none")

    def unplug(self):
        """Unplug it."""
        self._ask("--delmonitor", "second")


@contextlib.contextmanager
def monitors():
    """Start both."""
    with screen("3200x1080x24", "-noreset") as display:
        yield Monitors(display)


def place(running, name=CREW):
    """Return where a visible window is: left, top, width, height; None where there is none."""
    found = running.do("search", "--onlyvisible", "--name", name).split()
    if not found:
        return None
    lines = running.do("getwindowgeometry", "--shell", found[-1]).splitlines()
    values = dict(line.split("=") for line in lines if "=" in line)
    return tuple(int(values[key]) for key in ("X", "Y", "WIDTH", "HEIGHT")) if "X" in values else None


def wait_for(what, seconds=PATIENCE_S):
    """Wait until something holds."""
    end = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.1)


PICTURE = """
import sys
from PySide6.QtWidgets import QApplication
app = QApplication([])
sys.exit(not app.primaryScreen().grabWindow(0, 0, 0, 3200, 1080).save(sys.argv[1]))
"""


def picture(display, file):
    """Write a picture of both monitors."""
    environment = {**os.environ, "DISPLAY": display, "QT_QPA_PLATFORM": "xcb"}
    subprocess.run([sys.executable, "-c", PICTURE, str(file)], env=environment, check=True)


def main(out):
    """Write the three pictures and print where the crew screen is."""
    if missing():
        print(f"skipped: {NEEDS}")
        return
    from studiotimer.places import demo_sessions

    out.mkdir(parents=True, exist_ok=True)
    demo = demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog"
    with (
        tempfile.TemporaryDirectory() as home,
        monitors() as both,
        program(both.display, "rehearse", demo, XDG_CONFIG_HOME=home, XDG_STATE_HOME=home) as running,
    ):
        running.window()
        time.sleep(2.0)
        running.press("c")
        wait_for(lambda: place(running) == SECOND)
        for name, change in (("before", None), ("unplugged", both.unplug), ("after", both.plug)):
            if change is not None:
                change()
            time.sleep(3.0)
            picture(both.display, out / f"monitors-{name}.png")
            print(f"{name}: the crew screen is {place(running) or 'not shown'}")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("pictures"))
