"""Figures are shown only while they are worked out: what was not for most of a second is covered, and that is said."""

from __future__ import annotations

import time
from collections.abc import Callable

from PySide6.QtCore import QObject, QRect, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from studiotimer.window import theme
from studiotimer.window.faults import report

STALE_S = 0.7  # so that it is covered within the second
LOOK_MS = 100  # a seventh of it
STOPPED = "clock stopped"
SAID = "The clock cannot be relied on just now: time by a watch. Calls are taken and kept."


class Fresh(QObject):
    """Whether what a widget shows was worked out a moment ago, by a timer and a clock of its own."""

    changed = Signal(bool)

    def __init__(self, shown_in: QWidget) -> None:
        super().__init__(shown_in)
        self._marked = time.monotonic()
        self._undrawn = False
        self._was = False
        self._look = QTimer(self)
        self._look.setInterval(LOOK_MS)
        self._look.timeout.connect(self.look)
        self._look.start()

    @property
    def stale(self) -> bool:
        """Whether it was worked out too long ago, or could not be drawn, when that was last looked at and told."""
        return self._was

    def mark(self) -> None:
        """Say that what is shown was worked out just now."""
        self._marked = time.monotonic()

    def look(self) -> None:
        """Have it drawn anew, covered or not, when that changed; what could not be drawn is tried again."""
        stale = self._undrawn or time.monotonic() - self._marked > STALE_S
        turned = stale != self._was
        shown_in = self.parent()  # not kept: two objects that keep each other are let go in any thread
        if isinstance(shown_in, QWidget) and (turned or self._undrawn):
            shown_in.update()
        self._was = stale
        if turned:
            self.changed.emit(stale)

    def draw(self, widget: QWidget, paint: Callable[[QPainter], None]) -> None:
        """Draw a widget with `paint`, or the cover where that fails or what it would show is old; in a paint event."""
        if time.monotonic() - self._marked <= STALE_S:
            painter = QPainter(widget)
            try:
                paint(painter)
                self._undrawn = False
                return
            except Exception as error:
                self._undrawn = True
                report("drawing the clock", error, SAID)
            finally:
                painter.end()
        painter = QPainter(widget)
        paint_cover(painter, widget.rect())
        painter.end()


def paint_cover(painter: QPainter, place: QRect) -> None:
    """Cover a place in the colour of warnings, and say in it that the clock stopped."""
    painter.fillRect(place, QColor(theme.DARK.warning))
    font = painter.font()
    font.setPixelSize(max(min(place.height() // 3, place.width() // 9), 9))
    painter.setFont(font)
    painter.setPen(QColor(theme.INK))
    painter.drawText(place, Qt.AlignmentFlag.AlignCenter, STOPPED)
