"""The program on a virtual screen with a screen reader's bus: what a reader finds there, and what it is told.

`python -m tests.machine.reader` prints both for a recorded day. Needs Xvfb, xdotool, dbus-run-session, the bus of screen
readers and its library for the system's own Python (apt-get install xvfb xdotool dbus-daemon at-spi2-core python3-pyatspi).
"""

import contextlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import pytest

from tests.screens import PATIENCE_S, program, screen

NEEDS = (
    "needs Xvfb, xdotool, dbus-run-session, at-spi-bus-launcher and pyatspi: "
    "apt-get install xvfb xdotool dbus-daemon at-spi2-core python3-pyatspi"
)
PYTHON = "/usr/bin/python3"
"""The system's own: the reader's library is installed for that one."""
LAUNCHERS = tuple(map(Path, ("/usr/libexec/at-spi-bus-launcher", "/usr/lib/at-spi2-core/at-spi-bus-launcher")))
READERS = Path(__file__).with_name("readers.py")
LONGEST_S = 280.0
"""How long it is listened at most."""


def launcher():
    """Return the program that starts the bus, or None."""
    return next((path for path in LAUNCHERS if path.exists()), None)


def missing():
    """Whether something for it is not here."""
    if sys.platform != "linux" or launcher() is None:
        return True
    if not all(map(shutil.which, ("Xvfb", "xdotool", "dbus-run-session", PYTHON))):
        return True
    return subprocess.run([PYTHON, "-c", "import pyatspi"], capture_output=True).returncode != 0


needs_reader = pytest.mark.skipif(missing(), reason=NEEDS)


class Reader:
    """What stands for a screen reader, on the bus of its own."""

    def __init__(self, environment):
        self.environment = environment

    def walk(self):
        """Return what a reader finds in the program: depth, role, name, description, states."""
        done = subprocess.run(
            [PYTHON, READERS, "walk", "studiotimer"], env=self.environment, capture_output=True, text=True, timeout=120
        )
        assert done.returncode == 0, done.stderr
        return [json.loads(line) for line in done.stdout.splitlines()]

    @contextlib.contextmanager
    def listening(self):
        """Give a list that has what is told as it is told."""
        command = [PYTHON, READERS, "listen", str(LONGEST_S)]
        ears = subprocess.Popen(
            command, env=self.environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        assert ears.stdout.readline()
        heard = []
        hears = threading.Thread(target=lambda: heard.extend(json.loads(line) for line in ears.stdout), daemon=True)
        hears.start()
        try:
            yield heard
        finally:
            ears.kill()
            ears.wait(PATIENCE_S)
            hears.join(PATIENCE_S)
            ears.stdout.close()


@contextlib.contextmanager
def reader(folder, size="1280x800x24"):
    """Start a screen, a bus and the readers' own; give the display and the reader."""
    (folder / "run").mkdir(mode=0o700)
    with screen(size, "-noreset") as display:
        environment = {**os.environ, "DISPLAY": display, "XDG_RUNTIME_DIR": str(folder / "run")}
        script = f'echo "$DBUS_SESSION_BUS_ADDRESS"; exec {launcher()} --launch-immediately'
        bus = subprocess.Popen(
            ["dbus-run-session", "--", "sh", "-c", script], env=environment,
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, start_new_session=True,
        )  # fmt: skip
        try:
            address = bus.stdout.readline().strip()
            environment["DBUS_SESSION_BUS_ADDRESS"] = address
            time.sleep(1.0)
            yield display, Reader(environment)
        finally:
            os.killpg(bus.pid, signal.SIGTERM)
            bus.wait(PATIENCE_S)
            bus.stdout.close()


def running(display, bus, *arguments, **environment):
    """Run the program where a reader finds it."""
    given = {name: bus.environment[name] for name in ("DBUS_SESSION_BUS_ADDRESS", "XDG_RUNTIME_DIR")}
    return program(display, *arguments, QT_LINUX_ACCESSIBILITY_ALWAYS_ON="1", **given, **environment)


def main():
    """Print what a reader finds on the Set page of a day being played, and what it is told."""
    if missing():
        print(f"skipped: {NEEDS}")
        return
    from studiotimer.places import demo_sessions

    demo = demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog"
    with (
        tempfile.TemporaryDirectory() as folder,
        reader(Path(folder)) as (display, bus),
        running(display, bus, "rehearse", demo, XDG_CONFIG_HOME=folder, XDG_STATE_HOME=folder) as played,
    ):
        played.window()
        played.press("Up", "Up", wait=1.0)
        time.sleep(15.0)
        for depth, role, name, description, states in bus.walk():
            print("  " * depth + f"{role}: {name}", f"({description})" if description else "", *states)
        with bus.listening() as heard:
            time.sleep(20.0)
        for kind, words in heard:
            print(f"told, {kind}: {words}")


if __name__ == "__main__":
    main()
