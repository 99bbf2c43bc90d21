"""From key press to entry on disk and shown: `python -m tests.speed.press`.

Presses keys in the real window and waits for each entry to be folded and shown, and then for the disk to have it.
The presses come as a person's do, a moment apart, and then each as soon as the one before is on disk, so that most
meet the forecast of the one before. Both are timed also with a disk that answers at once, for what the window takes.
"""

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

from PySide6.QtCore import QEventLoop

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

PRESSES = 400
APART_S = 0.15
WANTED_MS = 16.0


def percentile(values, share):
    ordered = sorted(values)
    return ordered[min(int(len(ordered) * share), len(ordered) - 1)]


def wait(app, seconds):
    """Let the window go on for so long."""
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        app.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 5)
        time.sleep(0.002)


def pressed(without_disk, apart_s):
    """Return the milliseconds from each press until it is shown, and until it is shown as on disk."""
    from PySide6.QtCore import QEvent, Qt
    from PySide6.QtGui import QKeyEvent
    from PySide6.QtWidgets import QApplication

    from studiotimer.session import live
    from studiotimer.session.live import new_session
    from studiotimer.window.app import YIELD_S, application
    from studiotimer.window.main import MainWindow
    from tests.window.conftest import PLAN, parse_plan

    live.SAME_CALL_S = 0.0
    sys.setswitchinterval(YIELD_S)  # as the program has it
    app = application()
    window = MainWindow()
    window.sounds.load = lambda: None
    window.resize(1280, 800)
    window.show()
    shown, stored = [], []
    with tempfile.TemporaryDirectory() as folder:
        window._run(new_session(Path(folder) / "press.setlog", parse_plan(PLAN)))
        if without_disk:
            os_fsync, os.fsync = os.fsync, lambda handle: None
        session = window.running.session
        keys = [Qt.Key.Key_P, Qt.Key.Key_J, Qt.Key.Key_1, Qt.Key.Key_E, Qt.Key.Key_D]
        window.running.call("shot")
        wait(app, APART_S)  # nobody presses a key on a page that is not there yet
        for number in range(PRESSES):
            key = keys[number % len(keys)] if number < 100 or keys[number % len(keys)] != Qt.Key.Key_P else Qt.Key.Key_2
            began = time.perf_counter()
            before = session.ledger.entries[-1].n
            target = QApplication.focusWidget() or window
            QApplication.sendEvent(target, QKeyEvent(QEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier))
            last = session.ledger.entries[-1].n
            if last == before:
                raise SystemExit(f"press {number} was not logged: {window.page.quiet_line.text()}")
            app.processEvents()
            shown.append((time.perf_counter() - began) * 1000)
            while session.on_disk < last or window.page.log.rows[0].mark:
                app.processEvents()
            stored.append((time.perf_counter() - began) * 1000)
            wait(app, began + apart_s - time.perf_counter())
        if without_disk:
            os.fsync = os_fsync
        window.close()
    return shown, stored


def main():
    parser = argparse.ArgumentParser()
    parser.parse_args()
    os.environ["XDG_RUNTIME_DIR"] = tempfile.mkdtemp()
    for apart_s in (APART_S, 0.0):
        for without_disk in (False, True):
            shown, stored = pressed(without_disk, apart_s)
            how = f"{apart_s * 1000:3.0f} ms apart, {'without the disk' if without_disk else 'with the disk'}"
            print(
                f"{how:30} shown: median {percentile(shown, 0.5):5.1f} ms, 99 % {percentile(shown, 0.99):5.1f} ms; "
                f"shown as on disk: median {percentile(stored, 0.5):5.1f} ms, 99 % {percentile(stored, 0.99):5.1f} ms "
                f"(wanted: at most {WANTED_MS:g} ms)",
                flush=True,
            )


if __name__ == "__main__":
    main()
