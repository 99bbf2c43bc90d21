"""Opening the window on a demo against an empty PySide6 window: `python -m tests.speed.opening`.

The demo is opened as the command line opens it. Time is from the start of the process to the first window painted;
memory is what the process holds then. Both are run in turn, several times, and the medians are compared in the same run.
"""

import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from studiotimer.places import demo_sessions

RUNS = 7
WANTED_TIME, WANTED_MEMORY = 2.5, 1.8

MEASURE = """
import os, sys, time
def report():
    with open("/proc/self/statm") as file:
        pages = int(file.read().split()[1])
    with open("/proc/self/stat") as file:
        began = float(file.read().rsplit(")", 1)[1].split()[19]) / os.sysconf("SC_CLK_TCK")
    up = time.clock_gettime(time.CLOCK_BOOTTIME)
    print(up - began, pages * os.sysconf("SC_PAGE_SIZE") / 2**20, flush=True)
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
DEMO = (
    MEASURE
    + """
from pathlib import Path
from studiotimer.cli import shoot
from studiotimer.session.collector import lasting
with lasting():
    from studiotimer.window.app import application, opened
with lasting():
    app = application()
    window = opened(Path(sys.argv[1]))
from PySide6.QtCore import QTimer
QTimer.singleShot(0, lambda: (app.processEvents(), report(), window.close(), app.quit()))
app.exec()
"""
)


def once(code, *arguments):
    """Run `code` in a process of its own; return seconds to its first picture and MiB held."""
    with tempfile.TemporaryDirectory() as home:
        names = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR")
        environment = {**os.environ, **dict.fromkeys(names, home), "QT_QPA_PLATFORM": "offscreen"}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)  # on a crew's machine the program is compiled once
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments], env=environment, capture_output=True, text=True, check=True
        )
    return tuple(map(float, done.stdout.split()[:2]))


def main():
    demo = next(iter(sorted(demo_sessions().glob("hot*/*.setlog"))))
    rows = {"empty PySide6 window": [], "studiotimer on a demo": []}
    with tempfile.TemporaryDirectory() as folder:
        for run in range(-1, RUNS):
            copy = Path(folder) / f"{run}.setlog"
            copy.write_bytes(demo.read_bytes())
            empty, opened = once(EMPTY), once(DEMO, str(copy))
            if run >= 0:  # the first compiles
                rows["empty PySide6 window"].append(empty)
                rows["studiotimer on a demo"].append(opened)
    medians = {
        name: tuple(statistics.median(column) for column in zip(*runs, strict=True)) for name, runs in rows.items()
    }
    for name, (seconds, mebibytes) in medians.items():
        print(f"{name:24} {seconds:6.3f} s {mebibytes:7.1f} MiB")
    (time_0, memory_0), (time_1, memory_1) = medians.values()
    print(f"time ratio   {time_1 / time_0:5.2f} (wanted: at most {WANTED_TIME})")
    print(f"memory ratio {memory_1 / memory_0:5.2f} (wanted: at most {WANTED_MEMORY})")


if __name__ == "__main__":
    main()
