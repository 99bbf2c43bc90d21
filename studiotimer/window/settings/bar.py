"""How far from the forecast a mix lasted, as a bar to either side of it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPen
from PySide6.QtWidgets import QSizePolicy

from studiotimer.window import theme
from studiotimer.window.chart import Chart, Scale, upright

WIDE, HIGH, THICK = 150, 24, 7
MOST = 0.5
"""The share longer or shorter at which the bar is full."""


class LearnedBar(Chart):
    """The forecast in the middle of a line; filled to the right where the mix lasts longer, else to the left."""

    def __init__(self, name: str) -> None:
        super().__init__(theme.LIGHT)
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
        self.say(f"{self._name}, {factor:.2f} times the forecast")
        self.update()

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw the line, what of it is filled, and the forecast, in the colours that go with the words beside it."""
        colours = theme.under(self.palette().windowText().color())
        along, middle = Scale(-1.0, 1.0, area.left(), area.right()), area.center().y()
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colours.colour("line"))
        painter.drawRoundedRect(QRectF(area.left(), middle - 2, area.width(), 4), 2, 2)
        ends = sorted((along.at(0.0), along.at(self.filled)))
        painter.fillRect(QRectF(ends[0], middle - THICK / 2, ends[1] - ends[0], THICK), colours.colour("accent"))
        upright(painter, along.at(0.0), 3, HIGH - 3, QPen(colours.colour("text"), 2))
