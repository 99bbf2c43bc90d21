"""Keys heard where the focus is, before whatever has it; and whether the windows are heard at all."""

from __future__ import annotations

import time
from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget
from shiboken6 import isValid

BOUNCE_MS = 30
"""A key down again so soon after it went up was held, or its switch bounced: no hand is that quick."""
OLDEST_S = 10.0


def age_s(event: QKeyEvent) -> float:
    """Return how many seconds ago a key was pressed; 0 where the screen says nothing that can be true.

    Screens count milliseconds from the machine's start on, some of them in 32 bits, on the clock that Python calls
    monotonic.
    """
    age = (time.monotonic_ns() // 1_000_000 - event.timestamp()) % (1 << 32) / 1000
    return age if event.timestamp() and age <= OLDEST_S else 0.0


class Hearing(QObject):
    """Hands each key press to `pressed`, which says whether it took it.

    Not by a filter on the application: that would hand every object of Qt's own to Python, which takes a fifth of the
    opening for classes that nobody uses.
    """

    turned = Signal()
    """A window came to the front or left it, or a first key was heard since."""

    def __init__(self, window: QWidget, pressed: Callable[[QWidget, QKeyEvent], bool]) -> None:
        super().__init__(window)
        self._window = window
        self._pressed = pressed
        self.heard = False
        """Whether a key came since a window last left the front; without a window manager none is ever there."""
        self._let_go: dict[int, int] = {}
        """When each key went up last, in the screen's milliseconds."""
        self.listen(window)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        if (focus := app.focusWidget()) is not None:
            focus.installEventFilter(self)
        app.focusChanged.connect(self._focus_moved)

    def listen(self, window: QWidget) -> None:
        """Hear what is pressed in a window where nothing has the focus; what has it is heard by itself."""
        window.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(watched, QWidget):
            return False
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if not self.heard:
                self.heard = True
                self.turned.emit()
            if watched is (QApplication.focusWidget() or QApplication.activeWindow() or self._window):
                return self._pressed(watched, self._as_held(event))
        elif event.type() == QEvent.Type.KeyRelease and isinstance(event, QKeyEvent):
            self._let_go[event.key()] = event.timestamp()
        elif event.type() in (QEvent.Type.WindowActivate, QEvent.Type.WindowDeactivate) and watched.isWindow():
            self.heard = False
            self.turned.emit()
        return False

    def _as_held(self, event: QKeyEvent) -> QKeyEvent:
        """Return a key press as one of a held key where it is that, which the screen does not always notice."""
        since = event.timestamp() - self._let_go.get(event.key(), -BOUNCE_MS)
        if event.isAutoRepeat() or not event.timestamp() or not 0 <= since < BOUNCE_MS:
            return event
        return QKeyEvent(event.type(), event.key(), event.modifiers(), event.text(), True)

    def _focus_moved(self, before: QWidget | None, now: QWidget | None) -> None:
        if before is not None and isValid(before) and not before.isWindow():
            before.removeEventFilter(self)
        if now is not None:
            now.installEventFilter(self)
