"""Opening the window, on the start page and on a demo, against an empty PySide6 window: `python -m tests.speed.opening`.

Both are opened as the command line opens them. Time is from the start of the process to the first window painted, by
the clock and of the processor; memory is what the process holds then. All are run in turn, several times, and the
medians are compared in the same run.
"""

import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from studiotimer.places import demo_sessions

RUNS = 10
WANTED_TIME, WANTED_MEMORY = 2.5, 1.8

MEASURE = """
import os, sys, time
def report():
    with open("/proc/self/statm") as file:
        pages = int(file.read().split()[1])
    with open("/proc/self/stat") as file:
        began = float(file.read().rsplit(")", 1)[1].split()[19]) / os.sysconf("SC_CLK_TCK")
    up = time.clock_gettime(time.CLOCK_BOOTTIME)
    print(up - began, time.process_time(), pages * os.sysconf("SC_PAGE_SIZE") / 2**20, flush=True)
"""
EMPTY = (
    MEASURE
    + """
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QWidget
app = QApplication([])
window = QWidget()
window.resize(1280, 800)
window.show()
QTimer.singleShot(0, lambda: (app.processEvents(), report(), app.quit()))
app.exec()
"""
)
OURS = (
    MEASURE
    + """
from pathlib import Path
from studiotimer.cli import shoot
from studiotimer.session.collector import lasting
with lasting():
    from studiotimer.window import app as opening
    from studiotimer.window.app import application, opened
opening.LOOK_S = 600.0  # on a busy machine the start page would be shown meanwhile, as where a disk does not answer
with lasting():
    app = application()
    window = opened(*map(Path, sys.argv[1:]))
from PySide6.QtCore import QTimer
QTimer.singleShot(0, lambda: (app.processEvents(), report(), window.close(), app.quit()))
app.exec()
"""
)


def once(code, *arguments):
    """Run `code` in a process of its own; return seconds to its first picture, those of the processor, and MiB held."""
    with tempfile.TemporaryDirectory() as home:
        names = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR")
        environment = {**os.environ, **dict.fromkeys(names, home), "QT_QPA_PLATFORM": "offscreen"}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)  # on a crew's machine the program is compiled once
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments], env=environment, capture_output=True, text=True, check=True
        )
    return tuple(map(float, done.stdout.split()[:3]))


def main():
    demo = next(iter(sorted(demo_sessions().glob("hot*/*.setlog"))))
    rows = {"empty PySide6 window": [], "start page": [], "a demo on Set": []}
    with tempfile.TemporaryDirectory() as folder:
        for run in range(-1, RUNS):
            copy = Path(folder) / f"{run}.setlog"
            copy.write_bytes(demo.read_bytes())
            seen = once(EMPTY), once(OURS), once(OURS, str(copy))
            if run >= 0:  # the first compiles
                for row, one in zip(rows.values(), seen, strict=True):
                    row.append(one)
    medians = [[statistics.median(column) for column in zip(*runs, strict=True)] for runs in rows.values()]
    for name, (seconds, processor, mebibytes) in zip(rows, medians, strict=True):
        print(f"{name:20} {seconds:6.3f} s {processor:6.3f} s of the processor {mebibytes:6.1f} MiB")
    print(f"wanted: at most {WANTED_TIME} times the time and {WANTED_MEMORY} times the memory of the empty window")
    for name, row in list(zip(rows, medians, strict=True))[1:]:
        by_clock, processor, memory = (ours / empty for ours, empty in zip(row, medians[0], strict=True))
        print(f"{name:20} {by_clock:4.2f} times, {processor:4.2f} of the processor; memory {memory:4.2f} times")


if __name__ == "__main__":
    main()
