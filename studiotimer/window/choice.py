"""A list to choose from, drawn as the program draws."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QComboBox, QCompleter, QLineEdit

from studiotimer.window import theme


def offer(line: QLineEdit, words: Sequence[str]) -> None:
    """Offer `words` while one of them is written in `line`; what else is written stays as it is."""
    completer = QCompleter(list(words), line)
    completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
    completer.setFilterMode(Qt.MatchFlag.MatchContains)
    line.setCompleter(completer)


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
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(theme.CHEVRON), 1.6))
        x, y = self.width() - 15.0, self.height() / 2 - 1.5
        painter.drawPolyline([QPointF(x - 4, y), QPointF(x, y + 4), QPointF(x + 4, y)])

    def fill(self, choices: Sequence[tuple[Any, str]], value: Any) -> None:
        """Offer `choices` as value and words, with `value` chosen; one not among them is offered as it is."""
        self.clear()
        known = list(choices)
        if value is not None and value not in [each for each, _ in known]:
            known.insert(0, (value, str(value)))
        for each, words in known:
            self.addItem(words, each)
        self.setCurrentIndex(next((n for n, (each, _) in enumerate(known) if each == value), -1))
