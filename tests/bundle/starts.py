"""Starts a bundle as a person would, on any system: `python tests/bundle/starts.py PROGRAM [WINDOW]`.

Its version, a life, and a window for five seconds (on Linux on a virtual screen, where there is none); status 1 and a
sentence where one of these fails. Needs nothing but Python.
"""

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

LIFE = ("life", "--mix", "premium", "--from", "-16C", "--room", "22C", "--humidity", "45", "--light", "LED 2000 lx")
HOMES = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME")
OPEN_S = 5.0


def said_by(*command):
    """Return what a command says, or end with what it complained of."""
    done = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", timeout=120, check=False)
    if done.returncode:
        sys.exit(f"{command[1]}: status {done.returncode}: {done.stderr.strip()}")
    return done.stdout


def stays_open(window, environment):
    """Whether the window is still there after five seconds; it is ended then."""
    on_screen = (
        [shutil.which("xvfb-run") or "xvfb-run", "-a"]
        if sys.platform == "linux" and "DISPLAY" not in os.environ
        else []
    )
    process = subprocess.Popen(
        [*on_screen, window, "rehearse", str(demo(window))], env=environment, start_new_session=True
    )
    try:
        process.wait(OPEN_S)
    except subprocess.TimeoutExpired:
        return True
    finally:
        end(process)
    return False


def end(process):
    """End a program, and with a virtual screen what runs on it."""
    if process.poll() is None:
        if sys.platform == "win32":
            process.terminate()
        else:
            os.killpg(process.pid, signal.SIGTERM)
    process.wait(30)


def demo(window):
    """Return a demo that lies in the bundle."""
    inside = Path(window).resolve().parents[1]
    return next(iter(sorted(inside.rglob("calm_led.setlog"))))


def main(program, window):
    """Try all three."""
    program, window = str(Path(program).resolve()), str(Path(window).resolve())
    version = said_by(program, "--version")
    if not re.fullmatch(r"studiotimer \d+\.\d+\.\d+", version.strip()):
        sys.exit(f"--version says {version!r}")
    life = said_by(program, *LIFE)
    if "slump" not in life:
        sys.exit(f"life says {life!r}")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home:
        if not stays_open(window, {**os.environ, **dict.fromkeys(HOMES, home)}):
            sys.exit("the window did not stay open for five seconds")
    print(f"{version.strip()}: --version, life and the window of the bundle work")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[-1])
