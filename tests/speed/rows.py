"""What a call and a tick take of the window's time, 60 scoops in line and 5,000 entries: `python -m tests.speed.rows`.

In the time of the window's own thread, to what is drawn; nothing is written to the disk meanwhile, and no forecast is made.
"""

import argparse
import os
import tempfile
import time
from pathlib import Path
from statistics import median

from tests.speed.still import still_window

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

ENTRIES, SCOOPS, ROUNDS = 5000, 60, 200


def timed(do, rounds=ROUNDS):
    """Return the median and the 99th percentile of what a deed takes of its own thread, in milliseconds."""
    took = []
    for number in range(rounds):
        began = time.thread_time()
        do(number)
        took.append((time.thread_time() - began) * 1000)
    took.sort()
    return f"median {median(took):5.2f} ms, 99 % {took[int(0.99 * rounds)]:5.2f} ms"


def main():
    argparse.ArgumentParser().parse_args()
    app, window, clock = still_window()
    from studiotimer.session.live import new_session
    from tests.window.conftest import PLAN, parse_plan

    with tempfile.TemporaryDirectory() as folder:
        session = new_session(Path(folder) / "rows.setlog", parse_plan(PLAN), clock)
        for number in range(ENTRIES):
            clock.advance(1.0)
            kind = "shot" if number == 0 else "pull" if number <= SCOOPS else "note"
            session.call(kind, {"text": f"note {number}"} if kind == "note" else {})
        while session.waiting:
            time.sleep(0.01)
        window._run(session)
        page = window.page
        while window.running.forecast is None:
            app.processEvents()
        page._tick.stop()
        window.running.ask_forecast = lambda *_: None
        page.say("")
        app.processEvents()

        def call(number):
            clock.advance(1.0)
            session.call("note", {"text": f"and note {number}"})
            page._show_log()
            shown()

        def move(number):
            clock.advance(1.0)
            page._show_moving(page.now())
            shown()

        def shown():
            for _ in range(3):
                app.processEvents()

        def page_by_page(number):
            page.line.step(1 if number % (SCOOPS + 1) < SCOOPS else -1)
            shown()

        for what, do in (
            ("a note in the log", call),
            ("half a second on", move),
            ("the next scoop chosen", page_by_page),
        ):
            timed(do, 20)
            print(f"{what:24} {timed(do)}", flush=True)
        page.refresh()
        window.close()


if __name__ == "__main__":
    main()
