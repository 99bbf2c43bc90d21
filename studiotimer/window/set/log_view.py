"""The log as one line, newest first; an entry not on disk yet says so."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from studiotimer.window import theme
from studiotimer.window.set.buttons import press_by_key
from studiotimer.window.theme import DARK

ROW_HEIGHT = 22
GAP = 18
MOST = 12
DONE = "✓"
"""An entry is on disk."""


@dataclass(frozen=True)
class LogRow:
    """One entry in words: its number, the wall clock's time, and marks for how it stands."""

    number: int
    time: str
    words: str
    mark: str = ""
    undone: bool = False


class RowButton(QAbstractButton):
    """One entry of the log; a click opens its amending."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.row = LogRow(0, "", "")
        self.scale = 1.0
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_row(self, row: LogRow) -> None:
        """Show an entry."""
        if row != self.row:
            self.row = row
            state = "taken back" if row.undone else row.mark
            self.setAccessibleName(" ".join(part for part in (row.time, row.words, state) if part))
            self.update()

    def wanted(self) -> int:
        """Return how wide it is when nothing is cut."""
        words = f"{self.row.time} {self.row.words} {self.row.mark or DONE}"
        return round(theme.wide(words, self._pixels()) + 12 * self.scale)

    def _pixels(self) -> float:
        return max(theme.SMALL * self.scale, theme.unzoomed(13))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        press_by_key(self, event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect())
        if self.underMouse() or self.hasFocus():
            painter.setPen(QColor(DARK.accent) if self.hasFocus() else Qt.PenStyle.NoPen)
            painter.setBrush(QColor(DARK.panel))
            painter.drawRoundedRect(box, 6, 6)
        painter.setFont(theme.font(self._pixels()))
        metrics = QFontMetricsF(painter.font())
        gap = metrics.horizontalAdvance(" ")
        painter.setPen(QColor(DARK.quiet))
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, self.row.time)
        left = metrics.horizontalAdvance(self.row.time) + gap
        mark = "" if self.row.undone else self.row.mark or DONE
        right = metrics.horizontalAdvance(mark) + gap if mark else 0.0
        painter.setPen(QColor(DARK.quiet if self.row.undone else DARK.text))
        words = metrics.elidedText(self.row.words, Qt.TextElideMode.ElideRight, box.width() - left - right)
        painter.drawText(box.adjusted(left, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, words)
        width = metrics.horizontalAdvance(words)
        if self.row.undone:
            painter.setPen(QPen(QColor(DARK.quiet), 1.5))
            painter.drawLine(QPointF(left, box.center().y()), QPointF(left + width, box.center().y()))
        if mark:
            painter.setPen(QColor(DARK.warning if self.row.mark else DARK.accent))
            painter.drawText(box.adjusted(left + width + gap, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, mark)


class LogView(QWidget):
    """The newest entries beside one another, as many as have room whole; the newest always."""

    picked = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: list[LogRow] = []
        self._buttons: list[RowButton] = []
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("log, newest first")

    @property
    def rows(self) -> list[LogRow]:
        """What the log shows."""
        return self._rows

    def capacity(self) -> int:
        """Return how many entries it has room for at most."""
        return MOST

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        for button in self._buttons:
            button.scale = scale
        self.updateGeometry()
        self._lay_out()
        self.update()

    def show_rows(self, rows: list[LogRow]) -> None:
        """Show entries, newest first."""
        if rows != self._rows:
            self._rows = rows
            self._lay_out()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_out()

    def sizeHint(self) -> QSize:
        return QSize(round(300 * self._scale), self._row_height())

    def minimumSizeHint(self) -> QSize:
        return QSize(round(theme.unzoomed(120)), self._row_height())

    def _row_height(self) -> int:
        return round(max(ROW_HEIGHT * self._scale, theme.unzoomed(18)))

    def _lay_out(self) -> None:
        shown = self._rows[:MOST]
        while len(self._buttons) < len(shown):
            button = RowButton(self)
            button.clicked.connect(lambda _=False, one=button: self.picked.emit(one.row.number))
            button.scale = self._scale
            self._buttons.append(button)
        left, height = 0, self._row_height()
        for index, button in enumerate(self._buttons):
            if index < len(shown):
                button.show_row(shown[index])
            wanted = min(button.wanted(), self.width()) if index == 0 else button.wanted()
            seen = index < len(shown) and left + wanted <= self.width()
            button.setVisible(seen)
            if not seen:
                left = self.width()
                continue
            button.setGeometry(left, (self.height() - height) // 2, wanted, height)
            left += wanted + round(GAP * self._scale)
