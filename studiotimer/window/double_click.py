"""A file that was double-clicked, where the system tells the program of it instead of naming it when it starts it.

macOS does (the type is declared in the bundle); a desktop of Linux, and Windows, start the program with the file.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QProcess
from PySide6.QtGui import QFileOpenEvent
from PySide6.QtWidgets import QApplication

from studiotimer.desktop import command
from studiotimer.window.main import MainWindow


class TellingApplication(QApplication):
    """Hands each file it is told of to `told`, those that come before there is a window as soon as there is one."""

    def __init__(self, arguments: list[str]) -> None:
        super().__init__(arguments)
        self._told: Callable[[Path], None] | None = None
        self._early: list[Path] = []

    def tell(self, told: Callable[[Path], None]) -> None:
        """Hand files to `told` from now on."""
        self._told = told
        for path in self._early:
            told(path)
        self._early.clear()

    def event(self, event: QEvent) -> bool:
        if not isinstance(event, QFileOpenEvent) or not event.file():
            return super().event(event)
        path = Path(event.file())
        if self._told is None:
            self._early.append(path)
        else:
            self._told(path)
        return True


def application_class() -> type[QApplication]:
    """Return the kind of application that this system has a use for."""
    return TellingApplication if sys.platform == "darwin" else QApplication


def hear_double_clicks(app: QApplication, window: MainWindow) -> None:
    """Open what the system tells of in the window from now on, where it tells of anything."""
    if isinstance(app, TellingApplication):
        app.tell(lambda path: open_or_start(window, path))


def open_or_start(window: MainWindow, path: Path) -> None:
    """Open a file in the window, or in one more of the program where a session is open in this one."""
    if window.running is None:
        window.open_file(path)
        return
    program, *rest = command()
    QProcess.startDetached(program, [*rest, "window", str(path)])
