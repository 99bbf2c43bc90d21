"""How soon a follower shows a call made in another window: `python -m tests.speed.following`.

A window that writes and a window that follows run on a virtual screen; calls are made by `studiotimer call`, and the
time from the start of each until the follower's log shows it is printed, and from when it is on disk.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from tests.screens import HOMES, program, screen
from tests.window.conftest import PLAN

WANTED_S = 1.0

FOLLOWER = """
import sys, time
from pathlib import Path
from PySide6.QtCore import QTimer
from studiotimer.window import app, main

told = set()
def write():
    window = next(one for one in app.application().topLevelWidgets() if isinstance(one, main.MainWindow))
    if window.page is None:
        return
    for row in window.page.log.rows:
        if row.number not in told:
            told.add(row.number)
            print(row.number, time.monotonic(), row.words, flush=True)

app.application()
often = QTimer()
often.timeout.connect(write)
often.start(10)
raise SystemExit(app.run(Path(sys.argv[1]), follow=True))
"""


def followed(count, folder):
    """Make calls in one window while another follows; return for each (seconds from its start, from its answer)."""
    path = Path(folder) / "followed.setlog"
    new_session(path, parse_plan(PLAN)).close()
    homes = {name: str(Path(folder) / "home") for name in HOMES}
    (Path(folder) / "home").mkdir(mode=0o700)
    made, shown = {}, {}
    with screen() as display, program(display, path, **homes) as writer:
        writer.window()
        environment = {**os.environ, **homes, "DISPLAY": display, "QT_QPA_PLATFORM": "xcb"}
        follower = subprocess.Popen(
            [sys.executable, "-c", FOLLOWER, str(path)], env=environment, stdout=subprocess.PIPE, text=True
        )
        try:
            assert follower.stdout.readline(), "the follower did not open"
            for number in range(count):
                began = time.monotonic()
                done = writer.call("note", "--text", f"call {number}")
                assert done.returncode == 0, done.stderr
                made[f"call {number}"] = began, time.monotonic()
            while not made.keys() <= shown.keys():
                _, at, words = follower.stdout.readline().rstrip("\n").split(" ", 2)
                shown[words] = float(at)
        finally:
            follower.terminate()
            follower.wait(90)
            follower.stdout.close()
    return [(shown[words] - began, shown[words] - on_disk) for words, (began, on_disk) in made.items()]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--calls", type=int, default=40)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        delays = followed(options.calls, folder)
    for name, values in zip(("from the start of the call", "from its answer"), zip(*delays, strict=True), strict=True):
        print(f"shown by the follower {name:27}: median {statistics.median(values):6.3f} s, most {max(values):6.3f} s")
    print(f"wanted: at most {WANTED_S:g} s")


if __name__ == "__main__":
    main()
