"""The log, newest first; an entry not on disk yet says so."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from studiotimer.window import theme
from studiotimer.window.set.buttons import press_by_key
from studiotimer.window.theme import DARK

ROW_HEIGHT = 25


@dataclass(frozen=True)
class LogRow:
    """One entry in words: its number, the wall clock's time, and marks for how it stands."""

    number: int
    time: str
    words: str
    mark: str = ""
    undone: bool = False


class RowButton(QAbstractButton):
    """One row of the log; a click opens its amending."""

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
        painter.setFont(theme.font(theme.SMALL * self.scale))
        metrics = QFontMetricsF(painter.font())
        painter.setPen(QColor(DARK.quiet))
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, self.row.time)
        left = metrics.horizontalAdvance("00:00:00") + 14
        right = metrics.horizontalAdvance(self.row.mark) + 8 if self.row.mark else 0.0
        painter.setPen(QColor(DARK.quiet if self.row.undone else DARK.text))
        words = metrics.elidedText(self.row.words, Qt.TextElideMode.ElideRight, box.width() - left - right)
        painter.drawText(box.adjusted(left, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, words)
        if self.row.undone:
            width = metrics.horizontalAdvance(words)
            painter.setPen(QPen(QColor(DARK.quiet), 1.5))
            painter.drawLine(QPointF(left, box.center().y()), QPointF(left + width, box.center().y()))
        if self.row.mark:
            painter.setPen(QColor(DARK.warning))
            flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
            painter.drawText(box.adjusted(0, 0, -4, 0), flags, self.row.mark)


class LogView(QWidget):
    """The newest entries, as many as fit."""

    picked = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: list[LogRow] = []
        self._buttons: list[RowButton] = []
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("log, newest first")

    @property
    def rows(self) -> list[LogRow]:
        """What the log shows."""
        return self._rows

    def capacity(self) -> int:
        """Return how many rows fit."""
        return max(int((self.height() - self._top()) // self._row_height()), 1)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        for button in self._buttons:
            button.scale = scale
        self._lay_out()
        self.update()

    def show_rows(self, rows: list[LogRow]) -> None:
        """Show entries, newest first."""
        if rows != self._rows:
            self._rows = rows
            self._lay_out()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_out()

    def minimumSizeHint(self) -> QSize:
        return QSize(round(theme.unzoomed(180)), round(theme.unzoomed(24 + 3 * ROW_HEIGHT)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(QColor(DARK.quiet))
        painter.setFont(theme.font(theme.SMALL * self._scale))
        painter.drawText(QRectF(0, 0, self.width(), self._top() - 4), Qt.AlignmentFlag.AlignVCenter, "Log")

    def _top(self) -> int:
        return round(24 * self._scale)

    def _row_height(self) -> int:
        return round(ROW_HEIGHT * self._scale)

    def _lay_out(self) -> None:
        shown = self._rows[: self.capacity()]
        while len(self._buttons) < len(shown):
            button = RowButton(self)
            button.clicked.connect(lambda _=False, one=button: self.picked.emit(one.row.number))
            button.scale = self._scale
            self._buttons.append(button)
        height = self._row_height()
        for index, button in enumerate(self._buttons):
            button.setVisible(index < len(shown))
            if index < len(shown):
                button.setGeometry(0, self._top() + index * height, self.width(), height)
                button.show_row(shown[index])
