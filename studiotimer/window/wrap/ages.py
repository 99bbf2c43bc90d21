"""Selects against age beside the frames: a plot a look, and what it says."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QVBoxLayout, QWidget

from studiotimer.window import theme
from studiotimer.window.chart import Chart
from studiotimer.window.style import label
from studiotimer.window.wrap.ages_paint import paint_ages
from studiotimer.wrap.selects import ByAge

HEIGHT = 148


class Plot(Chart):
    """One look's plot."""

    def __init__(self, by_age: ByAge, colours: theme.Theme) -> None:
        super().__init__(colours)
        self._by_age = by_age
        self.setFixedHeight(HEIGHT)
        self.say(f"selects by age, {by_age.look} look", by_age.words)

    def sizeHint(self) -> QSize:
        return QSize(360, HEIGHT)

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw it."""
        painter.fillRect(area, self.colours.colour("ground"))
        paint_ages(painter, area.adjusted(0, 0, -2, 0), self._by_age, self.colours)


class Ages(QWidget):
    """The plots of looks with their words."""

    def __init__(self, colours: theme.Theme) -> None:
        super().__init__()
        self.colours = colours
        self.setAccessibleName("selects by age")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self.words: list[str] = []

    def show_ages(self, ages: Sequence[ByAge]) -> None:
        """Show these plots in place of those before."""
        while (item := self._column.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.words = [f"{one.look}: {one.words}" for one in ages]
        for one, words in zip(ages, self.words, strict=True):
            self._column.addWidget(Plot(one, self.colours))
            self._column.addWidget(label(words, "quiet"))
        self._column.addStretch(1)
