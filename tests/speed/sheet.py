"""Writing a plan of many shots as its five files, and how long the event loop is held: `python -m tests.speed.sheet [SHOTS]`.

Printed are the time it takes, with the processor's, and the longest time between two ticks of a timer of the window's
own thread, with nothing to do and while the files are drawn and written aside.
"""

import os
import sys
import tempfile
import time
from pathlib import Path

from PySide6.QtCore import QTimer

from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import results_of
from tests.prep.plans import THREE_FLAVOURS

TICK_MS = 2


class Ticks:
    """The longest time between two ticks of the event loop."""

    def __init__(self):
        self.longest, self._last = 0.0, time.perf_counter()
        self._timer = QTimer()
        self._timer.timeout.connect(self._tick)
        self._timer.start(TICK_MS)

    def _tick(self):
        now = time.perf_counter()
        self.longest, self._last = max(self.longest, now - self._last), now

    def begin(self):
        self.longest, self._last = 0.0, time.perf_counter()


def main(count):
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from studiotimer.window.app import YIELD_S, application
    from studiotimer.window.aside import answered
    from studiotimer.window.prep.plan_files import write_all, write_paper

    sys.setswitchinterval(YIELD_S)
    application()
    shots = [THREE_FLAVOURS["shots"][0] | {"name": f"shot {number}"} for number in range(count)]
    results = results_of(parse_plan(THREE_FLAVOURS | {"shots": shots}))
    ticks = Ticks()
    answered("nothing", lambda: time.sleep(1.0))
    idle = ticks.longest
    with tempfile.TemporaryDirectory() as folder:
        for what, deed in (
            ("the sheet", lambda: write_paper(results, "sheet.pdf", Path(folder) / "sheet.pdf")),
            ("all five files", lambda: write_all(results, Path(folder))),
        ):
            ticks.begin()
            began, busy = time.perf_counter(), time.process_time()
            assert deed() is None
            took, busy = time.perf_counter() - began, time.process_time() - busy
            print(
                f"{count} shots, {what}: {took:.2f} s ({busy:.2f} s of the processor), the event loop is held for at "
                f"most {ticks.longest * 1000:.0f} ms (with nothing to do {idle * 1000:.0f} ms)"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
