"""How long the event loop is held at most while a day is played into the window at 60 times its speed.

Meanwhile the capture folder lies on a share that hangs, the session bus takes connections and says nothing, and the
disk takes between 0 and 1.5 s for each flush: `python -m tests.speed.holds`, on a virtual X screen of its own where
there is Xvfb. With `--bus stops` it is a real bus that answers until the window was opened, and then no more. How much
of a hold was the window's own work is printed beside it: the rest a busy machine took, or other threads.
"""

import argparse
import contextlib
import os
import random
import shutil
import signal
import socket
import subprocess
import tempfile
import threading
import time
from pathlib import Path

from PySide6.QtCore import QTimer

from studiotimer.places import demo_sessions
from studiotimer.session.entries import fields_of
from studiotimer.session.live import new_session, plan_of
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from studiotimer.window import faults
from studiotimer.window.app import application
from studiotimer.window.main import MainWindow
from tests.screens import HOMES, screen

SPEED, SLOWEST_S, TICK_MS, OPENING_S = 60.0, 1.5, 2, 3.0
NOT_PLAYED = ("opened", "closed", "amend", "take_back", "restore")
LOGGED = ("n", "run", "at", "tick", "kind", "phone", "call_id")
"""What the program writes into an entry by itself."""


def hang_below(folder):
    """Let whatever asks the system about `folder` not come back."""

    def hanging(real):
        def asked(path, *given, **named):
            if isinstance(path, str | os.PathLike) and str(path).startswith(str(folder)):
                threading.Event().wait()
            return real(path, *given, **named)

        return asked

    for name in ("stat", "lstat", "open", "scandir", "listdir"):
        setattr(os, name, hanging(getattr(os, name)))


def slow_down():
    """Let each flush take its time, but none in the window's own thread, which makes none."""
    fsync, chance = os.fsync, random.Random(1)

    def slow(handle):
        assert threading.current_thread() is not threading.main_thread() or not slow.asked
        time.sleep(chance.uniform(0.0, SLOWEST_S) if slow.asked else 0.0)
        fsync(handle)

    slow.asked = False
    os.fsync = slow
    return slow


@contextlib.contextmanager
def silent_bus(home):
    """A bus that takes connections and says nothing; give its address and what else is to happen after the opening."""
    with socket.socket(socket.AF_UNIX) as bus:
        bus.bind(f"{home}/silent")
        bus.listen(8)
        yield f"unix:path={home}/silent", lambda: None


@contextlib.contextmanager
def stopping_bus(home):
    """A real bus, and what stops it."""
    asked = ["dbus-daemon", "--session", "--nofork", "--print-address", f"--address=unix:path={home}/real"]
    bus = subprocess.Popen(asked, stdout=subprocess.PIPE, text=True)
    try:
        yield bus.stdout.readline().strip(), lambda: bus.send_signal(signal.SIGSTOP)
    finally:
        bus.kill()


BUSES = {"silent": silent_bus, "stops": stopping_bus}


def played(window, demo, most_s, opened):
    """Play the calls of a recorded day into the window, and have `opened` happen once the opening is over.

    Return the longest holds of the loop during and after the opening, its own work and how many calls were asked and
    made. Own work is the longest processor time that the window's thread took between two ticks after the opening.
    """
    entries = [one for one in demo.entries if one.kind not in NOT_PLAYED]
    began, first, held, asked, made = time.monotonic(), entries[0].at, [0.0, 0.0], [0], [0]
    last, busy, worked = [began], [time.thread_time()], [0.0]
    coming = [opened]

    def tick():
        now = time.monotonic()
        part = int(now - began > OPENING_S)
        if part and coming:
            coming.pop()()
        held[part], last[0] = max(held[part], now - last[0]), now
        spent, busy[0] = time.thread_time() - busy[0], time.thread_time()
        worked[0] = max(worked[0], spent) if part else 0.0
        while entries and (entries[0].at - first).total_seconds() / SPEED <= now - began:
            entry = entries.pop(0)
            fields = {key: value for key, value in fields_of(entry).items() if key not in LOGGED}
            asked[0] += 1
            made[0] += window.running.call(entry.kind, fields).entry is not None
        if not entries or now - began > most_s:
            window.app.quit()

    timer = QTimer()
    timer.timeout.connect(tick)
    timer.start(TICK_MS)
    window.app.exec()
    return held, worked[0], asked[0], made[0]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--most", type=float, default=90.0, help="play at most for so many seconds")
    parser.add_argument("--bus", choices=BUSES, default="silent", help="what the session bus does")
    options = parser.parse_args()
    with contextlib.ExitStack() as around:
        home = around.enter_context(tempfile.TemporaryDirectory(ignore_cleanup_errors=True))
        for name in HOMES:
            os.environ[name] = home
        if shutil.which("Xvfb") and "QT_QPA_PLATFORM" not in os.environ:
            os.environ |= {"DISPLAY": around.enter_context(screen()), "QT_QPA_PLATFORM": "xcb"}
        os.environ["DBUS_SESSION_BUS_ADDRESS"], opened = around.enter_context(BUSES[options.bus](home))
        said = play(home, options.most, opened)
        print(f"bus {options.bus}, {os.environ.get('QT_QPA_PLATFORM', 'the screen here')}: {said}", flush=True)
        around.pop_all().close()
        os._exit(0)


def play(home, most_s, opened):
    """Play the day and return what it came to, in words."""
    faults.keep_log()
    began = time.monotonic()
    window_app = application()
    window = MainWindow()
    window.app = window_app
    window.show()
    window_app.processEvents()
    shown = time.monotonic() - began
    demo = read(sorted(demo_sessions().glob("*/*.setlog"))[0])
    path = Path(home) / "day.setlog"
    slow = slow_down()
    window._run(new_session(path, plan_of(demo.header)))
    share = Path(home) / "share"
    hang_below(share)
    slow.asked = True
    window.watch(str(share / "card"), 0.0)
    session = window.running.session
    longest, worked, asked, made = played(window, demo, most_s, opened)
    end = time.monotonic() + 30
    while session.waiting and time.monotonic() < end:
        window_app.processEvents()
    return (
        f"the window was shown after {shown:.1f} s; {made} of {asked} calls of a day at {SPEED:g} times: the event loop "
        f"was held for at most {longest[1] * 1000:.0f} ms (own work at most {worked * 1000:.0f} ms), and "
        f"{longest[0] * 1000:.0f} ms in its first {OPENING_S:g} s, while the physics is loaded; "
        f"{session.waiting} calls not on disk at the end, the file is {verify(path).state}"
    )


if __name__ == "__main__":
    main()
