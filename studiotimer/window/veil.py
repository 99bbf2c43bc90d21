"""A dark veil over a window, for a set that must not be lit by it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

DARKNESS = 127
"""Of 255: the clock and the cue stay readable, as a test holds."""


class DimVeil(QWidget):
    """Covers its parent, whatever size that has; the mouse goes through it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._over = parent
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAccessibleName("dimmed")
        self.hide()
        parent.installEventFilter(self)

    def cover(self, covered: bool) -> None:
        """Cover the window, or uncover it."""
        self.setGeometry(self._over.rect())
        self.setVisible(covered)
        self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and watched is self._over:
            self.setGeometry(self._over.rect())
        return False

    def paintEvent(self, event: QPaintEvent) -> None:
        QPainter(self).fillRect(self.rect(), QColor(0, 0, 0, DARKNESS))
