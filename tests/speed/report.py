"""Writing the report of many frames, and how long the window is held at most: `python -m tests.speed.report [COUNT]`.

Every tenth frame is a select. The window's thread ticks beside the writing, as it does for the clock; what is printed
is the longest wait between two ticks, with nothing to do and while the report is written.
"""

from __future__ import annotations

import datetime as dt
import os
import sys
import tempfile
import threading
import time
from pathlib import Path

from studiotimer.places import demo_sessions
from tests.speed.frames import pictures

TICK_S = 0.002


def main(count: int) -> None:
    """Draw the pictures, wrap them, write the report aside, and print what it took."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from studiotimer.window.app import YIELD_S, application
    from studiotimer.window.wrap.writing import write_report
    from studiotimer.wrap.export import Asked
    from studiotimer.wrap.frames import go_on
    from studiotimer.wrap.recorded import load
    from studiotimer.wrap.work import wrap_up

    sys.setswitchinterval(YIELD_S)
    app = application()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        pictures(folder / "frames", count)
        names = sorted(path.name for path in (folder / "frames").iterdir())
        (folder / "selects.csv").write_text("\n".join(names[::10]))
        session = load(demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog")
        wrapped = wrap_up(session, Asked(frames=(folder / "frames",), selects=folder / "selects.csv"))

        def writing() -> None:
            write_report(wrapped, folder / "out", dt.date(2026, 7, 1), go_on)

        def longest(while_this: threading.Thread) -> float:
            while_this.start()
            waits, last = [0.0], time.perf_counter()
            while while_this.is_alive():
                app.processEvents()
                time.sleep(TICK_S)
                waits.append(time.perf_counter() - last)
                last += waits[-1]
            return max(waits)

        idle = longest(threading.Thread(target=time.sleep, args=(1.0,)))
        began = time.perf_counter()
        busy = longest(threading.Thread(target=writing))
        print(
            f"{count} frames, {len(names[::10])} selects: the report is written in {time.perf_counter() - began:.2f} s"
        )
        print(f"longest wait of the window's thread: {busy * 1000:.0f} ms, with nothing to do {idle * 1000:.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)
