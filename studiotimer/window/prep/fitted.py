"""A line of words that shows as much of itself as its width has room for, whole sentences first."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy

from studiotimer.window.spoken import SpokenLabel
from studiotimer.window.tips import tip

HEIGHT = 18


class Fitted(SpokenLabel):
    """A line of one height, whatever it says; all of it is in its tip and for a screen reader."""

    def __init__(self, name: str, role: str) -> None:
        super().__init__(name)
        self.setProperty("role", role)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setFixedHeight(HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def minimumSizeHint(self) -> QSize:
        return QSize(1, HEIGHT)

    @property
    def fitting(self) -> str:
        """Return what is shown: all, else the first sentence, else what of it has room."""
        words, metrics = self.text(), self.fontMetrics()
        first = words.partition(". ")[0]
        for each in (words, first):
            if metrics.horizontalAdvance(each) <= self.width():
                return each
        return metrics.elidedText(first, Qt.TextElideMode.ElideRight, self.width())

    def setText(self, words: str) -> None:
        super().setText(words)
        self.setToolTip(tip(words))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(self.font())
        painter.setPen(self.palette().windowText().color())
        middle = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(self.rect()), middle, self.fitting)
