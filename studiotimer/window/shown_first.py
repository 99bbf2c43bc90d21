"""When a forecast is asked for after a call: once that is shown and on disk, which takes some milliseconds."""

from __future__ import annotations

import time
from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Signal

SHOWN_FIRST_MS = 15
"""How long a forecast waits, so that the call that changed it, or the page itself, is shown first."""
DISK_FIRST_S = 0.06
"""How long it waits for the disk as well; one that takes longer does not keep a countdown from being right."""
LONGEST_S = 2.0
"""How long calls that come one right after another put it off: each would have it begin while the next is shown."""


class ShownFirst(QObject):
    """Tells by `due` that it is time. `waits` says whether something called is not on disk yet."""

    due = Signal()

    def __init__(self, waits: Callable[[], bool], parent: QObject) -> None:
        super().__init__(parent)
        self._waits = waits
        self._first = self._last = 0.0
        """When the first and the last of what is due now were begun with, by the steady clock."""
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SHOWN_FIRST_MS)
        self._timer.timeout.connect(self._look)

    def start(self) -> None:
        """Begin to wait, anew where it waits already."""
        self._last = time.monotonic()
        if not self._timer.isActive():
            self._first = self._last
        if self._last - self._first < LONGEST_S:
            self._timer.start()

    def again(self) -> None:
        """Begin to wait anew, unless it waits for nothing."""
        if self._timer.isActive():
            self.start()

    def stop(self) -> None:
        """Wait for nothing."""
        self._timer.stop()

    def _look(self) -> None:
        now = time.monotonic()
        if now - self._last < DISK_FIRST_S and now - self._first < LONGEST_S and self._waits():
            self._timer.start()
        else:
            self.due.emit()
