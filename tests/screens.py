"""A virtual screen, the real program on it, and keys pressed as a person would."""

import contextlib
import os
import shutil
import subprocess
import sys
import time

import pytest

needs_screen = pytest.mark.skipif(
    sys.platform != "linux" or not (shutil.which("Xvfb") and shutil.which("xdotool")),
    reason="needs Xvfb and xdotool: apt-get install xvfb xdotool",
)

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
        server.wait(10)


def _wait_for(display, seconds=20):
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

    def window(self, seconds=30):
        """Wait for the window, give it the keys, and return its number."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            assert self.process.poll() is None, self.process.stdout.read()
            found = self.do("search", "--onlyvisible", "--name", "Studiotimer").split()
            if found:
                self.do("windowfocus", "--sync", found[-1])
                return found[-1]
            time.sleep(0.1)
        raise AssertionError("the window did not open")

    def press(self, *keys, wait=0.0):
        """Press keys one after another; each is up again, for the screen too, before this goes on."""
        for key in keys:
            time.sleep(wait)
            self.do("key", "--clearmodifiers", key, "getmouselocation")

    def call(self, *arguments):
        """Run `studiotimer call` and return the finished process."""
        return self.run("call", *arguments)

    def run(self, *arguments):
        """Run another command beside the program and return the finished process."""
        command = Program.command(self, *arguments)
        return subprocess.run(command, env=self.environment, capture_output=True, text=True, timeout=60)

    def end(self):
        """End the program as a person closing it would, and return its exit status."""
        if self.process.poll() is None:
            self.process.terminate()
        try:
            return self.process.wait(20)
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
