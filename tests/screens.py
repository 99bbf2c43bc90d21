"""A virtual screen, the real program on it, and keys pressed as a person would."""

import contextlib
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

needs_screen = pytest.mark.skipif(
    sys.platform != "linux" or not (shutil.which("Xvfb") and shutil.which("xdotool")),
    reason="needs Xvfb and xdotool: apt-get install xvfb xdotool",
)

PATIENCE_S = 90
"""How long is waited at least for what must come: a busy machine may take long."""
NOBODY = "no studiotimer window"
HOMES = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR", "XDG_DOCUMENTS_DIR", "HOME")


@contextlib.contextmanager
def screen(size="1280x800x24", *options):
    """Start a virtual screen and give its name."""
    read, write = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", size, "-nolisten", "tcp", "-noreset", *options],
        pass_fds=[write],
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    try:
        display = f":{os.read(read, 16).decode().strip()}"
        _wait_for(display)
        yield display
    finally:
        os.close(read)
        server.terminate()
        server.wait(PATIENCE_S)


def _wait_for(display, seconds=PATIENCE_S):
    """Wait until the screen takes connections: it gives its name a moment before that."""
    end = time.monotonic() + seconds
    asked = ["xdotool", "getdisplaygeometry"]
    while subprocess.run(asked, env={**os.environ, "DISPLAY": display}, capture_output=True).returncode:
        assert time.monotonic() < end, f"the screen {display} takes no connection"
        time.sleep(0.1)


class Program:
    """The program in a process of its own, on a virtual screen."""

    def __init__(self, display, arguments, **environment):
        self.environment = {**os.environ, "DISPLAY": display, "QT_QPA_PLATFORM": "xcb", **environment}
        sessions = [Path(one).stem for one in arguments if Path(one).suffix == ".setlog"]
        self.title = sessions[0] if sessions else "Studiotimer"
        self.process = subprocess.Popen(
            self.command(*arguments), env=self.environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )

    def command(self, *arguments):
        """Return the command line that runs the program."""
        return [sys.executable, "-m", "studiotimer", *map(str, arguments)]

    def do(self, *arguments):
        """Run xdotool and return what it says."""
        done = subprocess.run(["xdotool", *map(str, arguments)], env=self.environment, capture_output=True, text=True)
        return done.stdout.strip()

    def window(self, seconds=PATIENCE_S):
        """Wait for the window, on its session where it is to open one, give it the keys, and return its number.

        Where a disk takes long the window is there before its session; a busy machine may look like that.
        """
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            assert self.process.poll() is None, self.last_words()
            found = self.do("search", "--onlyvisible", "--name", "Studiotimer").split()
            if found and self.do("getwindowname", found[-1]).startswith(self.title):
                self.do("windowfocus", "--sync", found[-1])
                return found[-1]
            time.sleep(0.1)
        raise AssertionError("the window did not open")

    def last_words(self):
        """Return what an ended program said, and the fault that it wrote down."""
        said = self.process.stdout.read()
        kept = re.search(r"\S*faults\.log", said)
        return f"{said}\n{Path(kept[0]).read_text()}" if kept and Path(kept[0]).exists() else said

    def press(self, *keys, wait=0.0):
        """Press keys one after another; each is up again, for the screen too, before this goes on."""
        for key in keys:
            time.sleep(wait)
            self.do("key", "--clearmodifiers", key, "getmouselocation")

    def rest(self, seconds=0.5):
        """Wait until it has done all it was asked to: it sleeps, and has not run for so long."""
        end, ran, since = time.monotonic() + PATIENCE_S, None, 0.0
        while ran is None or time.monotonic() - since < seconds:
            assert time.monotonic() < end, "it never rests"
            now = self._ran()
            if now is None or now != ran:
                ran, since = now, time.monotonic()
            time.sleep(0.05)

    def _ran(self):
        """Return how long its threads have run [ticks]; None while one runs, or waits for a processor or a disk."""
        ran = 0
        for task in Path(f"/proc/{self.process.pid}/task").iterdir():
            with contextlib.suppress(OSError):
                state, *numbers = (task / "stat").read_text().rpartition(")")[2].split()
                if state != "S":
                    return None
                ran += int(numbers[10]) + int(numbers[11])
        return ran

    def call(self, *arguments):
        """Run `studiotimer call`, again while the window does not take calls yet, and return the finished process."""
        end = time.monotonic() + PATIENCE_S
        while NOBODY in (done := self.run("call", *arguments)).stderr and self.process.poll() is None:
            assert time.monotonic() < end, done.stderr
        return done

    def run(self, *arguments):
        """Run another command beside the program and return the finished process."""
        command = Program.command(self, *arguments)
        return subprocess.run(command, env=self.environment, capture_output=True, text=True, timeout=PATIENCE_S)

    def end(self):
        """End the program as a person closing it would, and return its exit status."""
        if self.process.poll() is None:
            self.process.terminate()
        try:
            return self.process.wait(PATIENCE_S)
        finally:
            self.process.stdout.close()
            if self.process.poll() is None:
                self.process.kill()
                self.process.wait(10)


@contextlib.contextmanager
def program(display, *arguments, **environment):
    """Run the program and end it in any case."""
    running = Program(display, arguments, **environment)
    try:
        yield running
    finally:
        running.end()
