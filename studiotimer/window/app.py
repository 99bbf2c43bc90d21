"""The Qt application: made, given its typeface, and run on a session or the start page."""

from __future__ import annotations

import gc
import math
import os
import shutil
import signal
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from studiotimer import hops
from studiotimer.desktop import NAME
from studiotimer.places import set_apart
from studiotimer.session.collector import lasting
from studiotimer.window import faults, shelf, theme
from studiotimer.window.aside import LOOK_S
from studiotimer.window.buses import shun_silent
from studiotimer.window.collecting import Collector
from studiotimer.window.double_click import application_class, hear_double_clicks
from studiotimer.window.icons import program_icon
from studiotimer.window.loaded_ahead import load
from studiotimer.window.main import PLAN_SUFFIX, MainWindow
from studiotimer.window.settings.values import size_kept
from studiotimer.working import end_all

if TYPE_CHECKING:
    from studiotimer.session.rehearsal import RehearsalAsked

SCALE = "QT_SCALE_FACTOR"
STYLE = "Fusion"
"""Named as Qt's own option has it: setting the style later makes a style twice."""
WAITS = "Opening {name}: its disk does not answer yet."
YIELD_S = 0.001
"""How soon a forecast under way lets the window go on; at Python's usual 5 ms a burst of calls would wait."""


def application() -> QApplication:
    """Return the application, made when there is none yet."""
    existing = QApplication.instance()
    if isinstance(existing, QApplication):
        return existing
    shun_silent()
    draw_larger(size_kept())
    if shelf.silent():
        set_apart(_instead())
    app = application_class()([sys.argv[0], "-style", STYLE])
    app.setApplicationName(NAME)
    app.setApplicationDisplayName("Studiotimer")
    app.setDesktopFileName(NAME)
    app.setFont(theme.font(theme.BODY))
    app.setWindowIcon(program_icon())
    return app


@cache
def _instead() -> Path:
    """Return an empty folder for what is looked for in the user's own while that does not answer."""
    return Path(tempfile.mkdtemp(prefix="studiotimer-"))


def draw_larger(times: float) -> None:
    """Have Qt draw everything `times` as large, on top of what the system asks for; before the application is made."""
    theme.set_zoom(times)
    if times != 1.0:
        os.environ[SCALE] = f"{times * _asked_already():g}"


def _asked_already() -> float:
    """Return how much larger than usual Qt was asked to draw before; 1 for what is no such number."""
    try:
        asked = float(os.environ.get(SCALE) or 1.0)
    except ValueError:
        return 1.0
    return asked if math.isfinite(asked) and asked > 0.0 else 1.0


def opened(path: Path | None = None, follow: bool = False, rehearsed: RehearsalAsked | None = None) -> MainWindow:
    """Return the window, shown on a session when `path` is given, else on the start page.

    It is shown with all that is in it, so that it opens sooner; without it where a disk does not answer.
    """
    if path is not None and path.suffix != PLAN_SUFFIX:
        load()  # before the disk is given its time: on a slow machine that would go by meanwhile
    window = MainWindow()
    shown = QTimer(window)
    shown.setSingleShot(True)
    shown.timeout.connect(lambda: _show_waiting(window, path))
    shown.start(round(LOOK_S * 1000))
    if path is not None and rehearsed is not None:
        window.rehearse(path, rehearsed)
    elif path is not None:
        window.open_file(path, follow)
    shown.stop()
    window.show()
    return window


def _show_waiting(window: MainWindow, path: Path | None) -> None:
    window.show()
    if path is not None:
        window.say(WAITS.format(name=path.name))


def _end(window: MainWindow) -> None:
    """Close as the system asks: nobody is there to say what becomes of a plan that is not saved, so it is kept."""
    if window.nav.prep is not None:
        window.nav.prep.may_leave()
    window.close()


def run(path: Path | None = None, follow: bool = False, rehearsed: RehearsalAsked | None = None) -> int:
    """Open the window, on a session when `path` is given, and return its exit status."""
    faults.keep_log()
    sys.setswitchinterval(YIELD_S)
    collector = Collector()
    with lasting():
        app = application()
        window = opened(path, follow, rehearsed)
    window.ahead.done.connect(lambda: gc.freeze())  # as what is loaded at the opening is
    hear_double_clicks(app, window)
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: QTimer.singleShot(0, lambda: _end(window)))
    heartbeat = QTimer()
    heartbeat.timeout.connect(collector.collect)  # and so Python hears of signals
    heartbeat.start(200)
    status = app.exec()
    if shelf.silent():
        shutil.rmtree(_instead(), ignore_errors=True)
    if hops.on():
        from studiotimer.hop_file import end  # brings the standard library's log files, which are slow to load

        end()
    if not end_all():
        sys.stdout.flush()
        os._exit(status)  # a disk that does not answer holds a thread, which Python would wait for or fall over
    return status
