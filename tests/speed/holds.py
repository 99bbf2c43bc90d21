"""How long the event loop is held at most while a day is played into the window at 60 times its speed.

Meanwhile the capture folder lies on a share that hangs, the session bus takes connections and says nothing, and the
disk takes between 0 and 1.5 s for each flush: `python -m tests.speed.holds`. How much of a hold was the window's own
work is printed beside it: the rest a busy machine took, or other threads.
"""

import argparse
import os
import random
import socket
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
from tests.screens import HOMES

SPEED, SLOWEST_S, TICK_MS, OPENING_S = 60.0, 1.5, 2, 3.0


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


def played(window, demo, most_s):
    """Play the calls of a recorded day into the window; return the longest holds of the loop, own work and the calls.

    Own work is the longest processor time that the window's thread took between two ticks after the opening.
    """
    entries = [one for one in demo.entries if one.kind not in ("opened", "closed", "amend", "take_back", "restore")]
    began, first, held, made = time.monotonic(), entries[0].at, [0.0, 0.0], [0]
    last, busy, worked = [began], [time.thread_time()], [0.0]

    def tick():
        now = time.monotonic()
        part = int(now - began > OPENING_S)
        held[part], last[0] = max(held[part], now - last[0]), now
        spent, busy[0] = time.thread_time() - busy[0], time.thread_time()
        worked[0] = max(worked[0], spent) if part else 0.0
        while entries and (entries[0].at - first).total_seconds() / SPEED <= now - began:
            entry = entries.pop(0)
            fields = {
                key: value for key, value in fields_of(entry).items() if key not in ("n", "run", "at", "tick", "kind")
            }
            made[0] += window.running.call(entry.kind, fields).entry is not None
        if not entries or now - began > most_s:
            window.app.quit()

    timer = QTimer()
    timer.timeout.connect(tick)
    timer.start(TICK_MS)
    window.app.exec()
    return held, worked[0], made[0]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--most", type=float, default=90.0, help="play at most for so many seconds")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home:
        for name in HOMES:
            os.environ[name] = home
        bus = socket.socket(socket.AF_UNIX)
        bus.bind(f"{home}/silent")
        bus.listen(8)
        os.environ["DBUS_SESSION_BUS_ADDRESS"] = f"unix:path={home}/silent"
        faults.keep_log()
        window_app = application()
        window = MainWindow()
        window.app = window_app
        window.show()
        demo = read(sorted(demo_sessions().glob("*/*.setlog"))[0])
        path = Path(home) / "day.setlog"
        slow = slow_down()
        window._run(new_session(path, plan_of(demo.header)))
        share = Path(home) / "share"
        hang_below(share)
        slow.asked = True
        window.watch(str(share / "card"), 0.0)
        session = window.running.session
        longest, worked, made = played(window, demo, options.most)
        end = time.monotonic() + 30
        while session.waiting and time.monotonic() < end:
            window_app.processEvents()
        print(
            f"{made} calls of a day at {SPEED:g} times: the event loop was held for at most {longest[1] * 1000:.0f} ms "
            f"(own work at most {worked * 1000:.0f} ms), and {longest[0] * 1000:.0f} ms in its first {OPENING_S:g} s, while the physics is loaded; "
            f"{session.waiting} calls not on disk at the end, the file is {verify(path).state}",
            flush=True,
        )
        os._exit(0)


if __name__ == "__main__":
    main()
