"""What waits for the window's first picture."""

import subprocess
import sys
import time

import pytest
from PySide6.QtWidgets import QWidget

from studiotimer.places import demo_sessions
from studiotimer.window.first_picture import LATEST_MS, MOST_WAITS, FirstPicture

DRAWN_BEFORE = """
import sys, time
from pathlib import Path
from studiotimer.window import app as opening  # first, as the command line does, and so without what Qt for Python reads
from studiotimer.window.app import application, opened
from PySide6 import QtWidgets
from PySide6.QtCore import QEvent, QObject
opening.LOOK_S = 600.0  # a busy machine is no disk that does not answer: the window is not shown empty
app = application()

class Eye(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint and watched.objectName() == "drawn last" and not seen:
            seen.append(sorted(HEAVY & set(sys.modules) | {"QWizard"} & set(vars(QtWidgets))))
        return False

HEAVY = {
    "numpy", "psutil", "jeepney", "PIL", "asyncio", "PySide6.QtNetwork", "PySide6.QtPrintSupport", "_hashlib", "html",
    "subprocess",
}
seen, eye = [], Eye()
window = opened(Path(sys.argv[1]))
window.page.cue_label.setObjectName("drawn last")
window.page.cue_label.installEventFilter(eye)
while window.running.forecast is None:
    app.processEvents()
    time.sleep(0.005)
assert "numpy" in sys.modules
print(seen)
window.close()
"""
PLAIN = """
import builtins, linecache
before = builtins.__import__
import studiotimer.window.app, studiotimer.window.prep.page
assert builtins.__import__ is before
assert not [name for name in linecache.cache if "studiotimer" in name]
"""


@pytest.fixture
def seen(qtbot):
    """A window, what is done about it in turn, and what has it done."""

    class Drawn(QWidget):
        def paintEvent(self, event):
            done.append("drawn")

    done = []
    window = Drawn()
    qtbot.addWidget(window)
    return window, done, FirstPicture(window)


def test_what_can_wait_is_done_once_the_window_is_drawn_and_from_then_on_at_once(qtbot, seen):
    window, done, first = seen
    first.then(lambda: done.append("one"), lambda: done.append("two"))
    assert done == []
    window.show()
    qtbot.waitUntil(lambda: "two" in done, timeout=30_000)
    assert done == ["drawn", "one", "two"]
    first.then(lambda: done.append("three"))
    assert done[-1] == "three"


def test_a_window_that_is_not_drawn_is_not_waited_for(qtbot, seen):
    _, done, first = seen
    began = time.monotonic()
    first.then(lambda: done.append(time.monotonic() - began))
    qtbot.waitUntil(lambda: bool(done))
    assert done[0] > 0.9 * LATEST_MS / 1000


def test_a_window_that_is_shown_is_waited_for_longer_but_not_for_ever(qtbot, seen, monkeypatch):
    monkeypatch.setattr("studiotimer.window.first_picture.LATEST_MS", 10)
    window, done, first = seen
    window.setUpdatesEnabled(False)
    window.show()
    waits = []
    first.then(lambda: done.append("one"))
    monkeypatch.setattr(first._latest, "start", lambda ms: waits.append(ms))
    for _ in range(MOST_WAITS - 1):
        first._not_yet()
    assert done == []
    assert waits == [10] * (MOST_WAITS - 1)
    first._not_yet()
    assert done == ["one"]


def test_what_is_not_wanted_any_more_is_not_done(qtbot, seen):
    window, done, first = seen
    first.then(lambda: done.append("one"))
    first.forget()
    window.show()
    first.then(lambda: done.append("two"))
    qtbot.waitUntil(lambda: "two" in done, timeout=30_000)
    assert "one" not in done


def _run(code, *arguments):
    return subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=True, timeout=250
    ).stdout


def test_the_first_picture_of_a_session_waits_for_nothing_that_it_does_not_show(tmp_path):
    """No physics, no network, no OpenSSL, and no kinds of widgets that are not in it, such as a wizard."""
    copy = tmp_path / "day.setlog"
    copy.write_bytes(next(demo_sessions().glob("hot*/*.setlog")).read_bytes())
    assert _run(DRAWN_BEFORE, str(copy)).split("\n")[0] == "[[]]"


def test_no_module_is_read_for_names_of_qt_that_nobody_asks_for():
    assert _run(PLAIN) == ""
