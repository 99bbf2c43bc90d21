"""From key press to entry on disk and shown: `python -m tests.speed.press`.

Presses keys in the real window and waits for each entry to be folded and shown, and then for the disk to have it.
The same presses are timed with a disk that answers at once, for what the window itself takes.
"""

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

PRESSES = 400
WANTED_MS, WANTED_WITHOUT_DISK_MS = 16.0, 16.0


def percentile(values, share):
    ordered = sorted(values)
    return ordered[min(int(len(ordered) * share), len(ordered) - 1)]


def pressed(without_disk):
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
        if without_disk:
            os.fsync = os_fsync
        window.close()
    return shown, stored


def main():
    parser = argparse.ArgumentParser()
    parser.parse_args()
    os.environ["XDG_RUNTIME_DIR"] = tempfile.mkdtemp()
    for without_disk, wanted in ((False, WANTED_MS), (True, WANTED_WITHOUT_DISK_MS)):
        shown, stored = pressed(without_disk)
        name = "without the disk" if without_disk else "with the disk"
        print(f"{name:17} shown: median {percentile(shown, 0.5):5.1f} ms, 99 % {percentile(shown, 0.99):5.1f} ms; "
              f"shown as on disk: median {percentile(stored, 0.5):5.1f} ms, 99 % {percentile(stored, 0.99):5.1f} ms "
              f"(wanted: at most {wanted:g} ms)")  # fmt: skip


if __name__ == "__main__":
    main()
