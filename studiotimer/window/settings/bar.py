"""How far from the forecast a mix lasted, as a bar to either side of it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from studiotimer.window import theme

WIDE, HIGH, THICK = 150, 24, 7
MOST = 0.5
"""The share longer or shorter at which the bar is full."""


class LearnedBar(QWidget):
    """The forecast in the middle of a line; filled to the right where the mix lasts longer, else to the left."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._share = 0.0
        self._name = name
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(WIDE, HIGH)

    @property
    def filled(self) -> float:
        """How much of a half is filled, less than 0 to the left."""
        return max(min(self._share / MOST, 1.0), -1.0)

    def show_factor(self, factor: float) -> None:
        """Show how many times as long as forecast the mix lasts."""
        self._share = factor - 1.0
        self.setAccessibleName(f"{self._name}, {factor:.2f} times the forecast")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colours = theme.under(self.palette().windowText().color())
        middle, half = self.height() / 2, self.width() / 2
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colours.colour("line"))
        painter.drawRoundedRect(QRectF(0, middle - 2, self.width(), 4), 2, 2)
        end = half + self.filled * half
        painter.setBrush(colours.colour("accent"))
        painter.drawRect(QRectF(min(half, end), middle - THICK / 2, abs(end - half), THICK))
        painter.setBrush(colours.colour("text"))
        painter.drawRect(QRectF(half - 1, middle - HIGH / 2 + 3, 2, HIGH - 6))
