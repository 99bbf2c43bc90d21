"""What waits until the window was drawn for the first time, so that it is there sooner."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QWidget

LATEST_MS = 500
"""How long anything waits for a window that is not drawn: one that is hidden, or that opens in its icon."""
MOST_WAITS = 10
"""So many times as long for one that is shown: on a busy machine it is drawn late, and what waits would delay it."""


class FirstPicture(QObject):
    """Does what can wait once `window` was drawn, in the order in which it was told; from then on at once."""

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._drawn = False
        self._waiting: list[Callable[[], object]] = []
        self._latest = QTimer(self)
        self._latest.setSingleShot(True)
        self._latest.setInterval(LATEST_MS)
        self._latest.timeout.connect(self._not_yet)
        self._window, self._waits = window, 0
        window.installEventFilter(self)

    def then(self, *deeds: Callable[[], object]) -> None:
        """Do these, one after another, after the first picture."""
        self._waiting += deeds
        if self._drawn:
            self._do()
        elif not self._latest.isActive():
            self._latest.start()

    def forget(self) -> None:
        """Do nothing of what waits."""
        self._waiting.clear()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.Paint:
            watched.removeEventFilter(self)
            self._drawn = True
            self._latest.start(0)  # what is in the window is drawn after it, before anything else is done
        return False

    def _not_yet(self) -> None:
        """Do what waits, unless the window is just being shown."""
        self._waits += 1
        if self._drawn or self._waits >= MOST_WAITS or not self._window.isVisible() or self._window.isMinimized():
            self._do()
        else:
            self._latest.start(LATEST_MS)

    def _do(self) -> None:
        waiting, self._waiting = self._waiting, []
        for deed in waiting:
            deed()
