"""Keys heard where the focus is, before whatever has it; and whether the windows are heard at all."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget


class Hearing(QObject):
    """Hands each key press to `pressed`, which says whether it took it.

    Not by a filter on the application: that would hand every object of Qt's own to Python, which takes a fifth of the
    opening for classes that nobody uses.
    """

    turned = Signal()
    """A window came to the front or left it."""

    def __init__(self, window: QWidget, pressed: Callable[[QWidget, QKeyEvent], bool]) -> None:
        super().__init__(window)
        self._window = window
        self._pressed = pressed
        self.listen(window)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        if (focus := app.focusWidget()) is not None:
            self.listen(focus)
        app.focusChanged.connect(self._focus_moved)

    def listen(self, widget: QWidget) -> None:
        """Hear what is pressed in `widget`; every window needs that, and what has the focus gets it by itself."""
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(watched, QWidget):
            return False
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if watched is (QApplication.focusWidget() or QApplication.activeWindow() or self._window):
                return self._pressed(watched, event)
        elif event.type() in (QEvent.Type.WindowActivate, QEvent.Type.WindowDeactivate) and watched.isWindow():
            self.turned.emit()
        return False

    def _focus_moved(self, _before: QWidget | None, now: QWidget | None) -> None:
        if now is not None:
            self.listen(now)
