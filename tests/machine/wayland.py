"""A Wayland desk with two monitors, on a virtual screen so that keys can be pressed on it."""

import contextlib
import os
import shutil
import subprocess
import sys
import time

import pytest
from PIL import Image

from tests.screens import PATIENCE_S, Program, screen

NEEDS = "needs weston, Xvfb and xdotool: apt-get install weston xvfb xdotool"
SIZE, SECOND_AT, SOCKET = (1280, 800), 1300, "studio"
GROUND = 22
"""How light the ground of the dark pages is, of 255."""
BELOW = ((1270, 790), (5, 790))
CORNERS = ((300, 5), (3, 3), (1270, 5), *BELOW)
PICTURE = """
import sys
from PySide6.QtWidgets import QApplication
app = QApplication([])
sys.exit(not app.primaryScreen().grabWindow(0, 0, 0, 2600, 900).save(sys.argv[1]))
"""


def missing():
    """Whether the programs for it are not here."""
    return sys.platform != "linux" or not all(map(shutil.which, ("weston", "Xvfb", "xdotool")))


needs_wayland = pytest.mark.skipif(missing(), reason=NEEDS)


class Desk:
    """A compositor whose two monitors are windows on the virtual screen `display`."""

    def __init__(self, display, folder):
        self.display, self.log = display, folder / "weston.log"
        self.runtime = folder / "run"
        self.runtime.mkdir(mode=0o700)
        self.environment = {**os.environ, "DISPLAY": display, "XDG_RUNTIME_DIR": str(self.runtime)}
        width, height = SIZE
        light = self.runtime / "light.ini"
        light.write_text("[shell]\nbackground-color=0xffffffff\npanel-color=0xffffffff\n")
        with self.log.open("w") as log:
            self.process = subprocess.Popen(
                ["weston", "--backend=x11-backend.so", "--use-pixman", "--output-count=2", f"--width={width}",
                 f"--height={height}", f"--config={light}", "--idle-time=0", f"--socket={SOCKET}"],
                env=self.environment, stdout=log, stderr=subprocess.STDOUT,
            )  # fmt: skip
        end = time.monotonic() + PATIENCE_S
        while not (self.runtime / SOCKET).exists() or len(self.monitors()) < 2:
            assert self.process.poll() is None, self.log.read_text()
            assert time.monotonic() < end, "the compositor does not start"
            time.sleep(0.1)
        self.do("windowmove", self.monitors()[1], SECOND_AT, 0)

    def do(self, *words):
        """Run xdotool and return what it says."""
        done = subprocess.run(["xdotool", *map(str, words)], env=self.environment, capture_output=True, text=True)
        return done.stdout.strip()

    def monitors(self):
        """Return the windows on the virtual screen that stand for monitors."""
        return self.do("search", "--onlyvisible", "--class", "weston").split()

    def pictures(self):
        """Return a picture of each monitor, in shades of grey."""
        file = self.runtime.parent / "desk.png"
        environment = {**self.environment, "QT_QPA_PLATFORM": "xcb"}
        subprocess.run([sys.executable, "-c", PICTURE, str(file)], env=environment, check=True)
        with Image.open(file) as both:
            grey = both.convert("L")
        width, height = SIZE
        return [grey.crop((left, 0, left + width, height)) for left in (0, SECOND_AT)]

    def covered(self, places=CORNERS):
        """Return, of each monitor, whether the program's dark ground is all over it, the desk's bar too."""
        return [all(abs(one.getpixel(at) - GROUND) < 8 for at in places) for one in self.pictures()]

    def stop(self):
        """End the compositor."""
        self.process.terminate()
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait(10)


class OnWayland(Program):
    """The program there; its own windows are the compositor's, so keys go to a monitor's window."""

    def __init__(self, desk, arguments, **environment):
        there = {"QT_QPA_PLATFORM": "wayland", "WAYLAND_DISPLAY": SOCKET, "XDG_RUNTIME_DIR": str(desk.runtime)}
        self.desk = desk
        super().__init__(desk.display, arguments, **there, **environment)

    def click(self):
        """Click into the middle of each monitor, the first one last."""
        for left in (SECOND_AT, 0):
            self.desk.do("mousemove", left + SIZE[0] // 2, SIZE[1] // 2)
            self.desk.do("click", 1)

    def press(self, *keys, wait=0.1):
        """Press keys."""
        for key in keys:
            time.sleep(wait)
            self.desk.do("key", key)


@contextlib.contextmanager
def desk(folder):
    """Start the desk and end it in any case."""
    with screen("2600x900x24", "-noreset") as display:
        one = Desk(display, folder)
        try:
            yield one
        finally:
            one.stop()
