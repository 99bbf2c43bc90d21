"""A list to choose from, drawn as the program draws."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QMenu, QWidget

from studiotimer.window import theme

CHEVRON_WIDTH = 22


class Offering(QLineEdit):
    """A line to write in that offers some words at its chevron, or with the arrow down."""

    def __init__(self, words: Sequence[str], text: str = "") -> None:
        super().__init__(text)
        self.words = tuple(words)
        self.setTextMargins(0, 0, CHEVRON_WIDTH, 0)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.position().x() > self.width() - CHEVRON_WIDTH - 4:
            self._offer()
        else:
            super().mousePressEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Down:
            self._offer()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        _draw_chevron(self)

    def _offer(self) -> None:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for each in self.words:
            menu.addAction(each)
        menu.triggered.connect(lambda action: self.take(action.text()))
        menu.popup(self.mapToGlobal(QPoint(0, self.height())))

    def take(self, text: str) -> None:
        """Write `text` in the line, as if it had been typed."""
        self.setText(text)
        self.textEdited.emit(text)


def _draw_chevron(widget: QWidget) -> None:
    painter = QPainter(widget)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(theme.CHEVRON), 1.6))
    x, y = widget.width() - 15.0, widget.height() / 2 - 1.5
    painter.drawPolyline([QPointF(x - 4, y), QPointF(x, y + 4), QPointF(x + 4, y)])


class Choice(QComboBox):
    """A list to choose from; the wheel scrolls the page and never changes it by accident."""

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(4)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        _draw_chevron(self)

    def fill(self, choices: Sequence[tuple[object, str]], value: object) -> None:
        """Offer `choices` as value and words, with `value` chosen; one not among them is offered as it is."""
        self.clear()
        known = list(choices)
        if value is not None and value not in [each for each, _ in known]:
            known.insert(0, (value, str(value)))
        for each, words in known:
            self.addItem(words, each)
        self.setCurrentIndex(next((n for n, (each, _) in enumerate(known) if each == value), -1))
