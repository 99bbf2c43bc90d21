"""The list of keys: every action with its keys, in as many columns as it takes to see them all at once."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent

from studiotimer.window import theme
from studiotimer.window.keys import KeyMap, action_words, key_words
from studiotimer.window.stack import Part

HINT = "Shift with a call's key asks for its choices."
GAP = 14


class KeyList(Part):
    """Actions and their keys; painted, so that they fit whatever room there is."""

    def __init__(self, keys: KeyMap) -> None:
        super().__init__()
        self.rows = [
            (", ".join(key_words(name) for name in names) or "no key", action_words(action))
            for action, names in keys.keys.items()
        ]
        self._scale = 1.0
        self.setAccessibleName("List of keys")
        self.setAccessibleDescription("; ".join(f"{words}: {key}" for key, words in self.rows) + f". {HINT}")

    def set_scale(self, scale: float) -> None:
        self._scale = scale
        self.update()

    def minimumSizeHint(self) -> QSize:
        return QSize(300, 100)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        size, columns = self.fitted()
        quiet, strong = QFontMetricsF(theme.font(size)), QFontMetricsF(theme.font(size, "strong"))
        room = QRectF(self.contentsRect())
        width, height = room.width() / columns, quiet.height() * 1.12
        deep = -(-(len(self.rows) + 1) // columns)
        ink, dim = self.palette().windowText().color(), self.palette().placeholderText().color()
        for index, (key, words) in enumerate((*self.rows, ("", HINT))):
            cell = QRectF(room.x() + index // deep * width, room.y() + index % deep * height, width - GAP, height)
            lead = min(strong.horizontalAdvance(key), cell.width() * 0.6)
            painter.setPen(ink)
            painter.setFont(theme.font(size, "strong"))
            painter.drawText(cell, Qt.AlignmentFlag.AlignVCenter, key)
            painter.setPen(dim)
            painter.setFont(theme.font(size))
            left = cell.adjusted(lead + (8 if key else 0), 0, 0, 0)
            shown = quiet.elidedText(words, Qt.TextElideMode.ElideRight, left.width())
            painter.drawText(left, Qt.AlignmentFlag.AlignVCenter, shown)

    def fitted(self) -> tuple[int, int]:
        """Return the largest type [px] at which everything fits, and in how many columns."""
        room = self.contentsRect()
        for size in range(round((theme.BODY + 1) * self._scale), theme.TINY - 1, -1):
            metrics = QFontMetricsF(theme.font(size, "strong"))
            widest = max(metrics.horizontalAdvance(f"{key}  {words}") for key, words in self.rows) + GAP
            columns = max(int(room.width() // widest), 1)
            if -(-(len(self.rows) + 1) // columns) * metrics.height() * 1.12 <= room.height():
                return size, columns
        return theme.TINY, max(columns, 4)
