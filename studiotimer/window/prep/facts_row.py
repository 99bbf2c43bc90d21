"""The facts of the plan in one row; pressing one says how it was found."""

from __future__ import annotations

import math
from functools import partial

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QVBoxLayout, QWidget

from studiotimer.prep.results import Results
from studiotimer.window.prep.facts import Shown, facts_of
from studiotimer.window.prep.how import HOW, How
from studiotimer.window.style import label, restyle
from studiotimer.window.theme import LIGHT, Theme

CELL, GAP, SIDE, ABOVE, BETWEEN = 96, 4, 4, 6, 1


class Figure(QAbstractButton):
    """One fact: what it is, its figure and a line under it. It is a button, which unfolds how it was found."""

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setToolTip(HOW)
        self.colours: Theme = LIGHT
        self._unfolded = False
        column = QVBoxLayout(self)
        column.setContentsMargins(SIDE, ABOVE, SIDE, ABOVE)
        column.setSpacing(BETWEEN)
        self.key, self.figure, self.caption = label("", "quiet"), label("", "figure"), label("", "quiet")
        self.figure.setWordWrap(False)
        for each in (self.key, self.figure, self.caption):
            each.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            column.addWidget(each)
        column.addStretch(1)

    def show_figure(self, shown: Shown, unfolded: bool) -> None:
        """Show a fact, and whether how it was found stands unfolded below."""
        self._unfolded = unfolded
        self.key.setText(shown.key)
        self.figure.setText(shown.figure)
        self.figure.setAccessibleName(f"{shown.key}: {shown.figure}")
        self.caption.setText(shown.note.replace("-", "\u2011"))
        restyle(self.figure, "bad", "true" if shown.bad else "false")
        self.setAccessibleName(
            f"{shown.key} {shown.figure}, {shown.note}: {HOW}, {'unfolded' if unfolded else 'folded'}"
        )
        self.update()

    def needed(self, width: int) -> int:
        """Return how high this is at that width."""
        inner = max(width - 2 * SIDE, 1)
        lines = sum(each.heightForWidth(inner) for each in (self.key, self.caption))
        return lines + self.figure.sizeHint().height() + 2 * ABOVE + 2 * BETWEEN

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(QPen(self.colours.colour("accent"), 2.0) if self.hasFocus() else Qt.PenStyle.NoPen)
        raised = self._unfolded or self.underMouse()
        painter.setBrush(self.colours.colour("raised") if raised else Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(box, 8, 8)


class Row(QWidget):
    """Cells of one height side by side, in as many rows as they need."""

    def __init__(self) -> None:
        super().__init__()
        self.cells: list[Figure] = []
        self.shown = 0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def place(self) -> None:
        """Place the cells that are shown."""
        count = max(self.shown, 1)
        least = max([CELL, *(cell.figure.sizeHint().width() + 2 * SIDE for cell in self.cells[: self.shown])])
        columns = max(1, min((self.width() + GAP) // (least + GAP), count))
        columns = math.ceil(count / math.ceil(count / columns))
        width = (self.width() - GAP * (columns - 1)) // columns
        high = max((cell.needed(width) for cell in self.cells[: self.shown]), default=0)
        for number, cell in enumerate(self.cells):
            row, column = divmod(number, columns)
            cell.setGeometry(column * (width + GAP), row * (high + GAP), width, high)
            cell.setVisible(number < self.shown)
        rows = math.ceil(count / columns)
        self.setFixedHeight(rows * high + (rows - 1) * GAP)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.place()


class Figures(QWidget):
    """All facts in a row, and under them how the chosen one was found."""

    def __init__(self) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        self.row = Row()
        self.how = How()
        column.addWidget(self.row)
        column.addWidget(self.how)
        self._colours: Theme = LIGHT
        self._shown: list[Shown] = []
        self._unfolded = ""

    @property
    def cells(self) -> list[Figure]:
        """Every fact's cell."""
        return self.row.cells

    def set_theme(self, colours: Theme) -> None:
        """Draw in another theme's colours."""
        self._colours = colours
        for cell in self.cells:
            cell.colours = colours
            cell.update()

    def show_results(self, results: Results) -> None:
        """Show the facts of a plan; what was unfolded stays so."""
        self._shown = facts_of(results)
        while len(self.cells) < len(self._shown):
            cell = Figure()
            cell.setParent(self.row)
            cell.colours = self._colours
            cell.clicked.connect(partial(self._turn, len(self.cells)))
            self.cells.append(cell)
        self._fill()
        self.row.shown = len(self._shown)
        self.row.place()

    def _turn(self, number: int) -> None:
        key = self._shown[number].key
        self._unfolded = "" if key == self._unfolded else key
        self._fill()

    def _fill(self) -> None:
        unfolded = None
        for cell, shown in zip(self.cells, self._shown, strict=False):
            cell.show_figure(shown, shown.key == self._unfolded)
            unfolded = shown if shown.key == self._unfolded else unfolded
        if unfolded is not None:
            self.how.tell(f"{unfolded.key}, {unfolded.figure}", unfolded.found)
        self.how.setVisible(unfolded is not None)
