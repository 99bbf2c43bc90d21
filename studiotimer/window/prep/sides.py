"""The two sides of the Prep page, the plan and what follows from it: both, or one where only one has room."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QVBoxLayout, QWidget

from studiotimer.window import theme
from studiotimer.window.flow import NARROW


class Side(QWidget):
    """One side: holds one widget, in place of the one before."""

    def __init__(self) -> None:
        super().__init__()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._held: QWidget | None = None

    def setWidget(self, widget: QWidget) -> None:
        """Hold a widget; the one before is put away."""
        if self._held is not None:
            self._held.hide()
            self._held.deleteLater()
        self._held = widget
        self._column.addWidget(widget, 0, Qt.AlignmentFlag.AlignTop)
        widget.show()


class Sides(QWidget):
    """Both sides in a row, as high as they need. `turned` tells whether only one has room, and if it is the second."""

    turned = Signal(bool, bool)

    def __init__(self) -> None:
        super().__init__()
        self.plan, self.results = Side(), Side()
        self._second = False
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.GUTTER)
        row.addWidget(self.plan)
        row.addWidget(self.results, 1)

    @property
    def narrow(self) -> bool:
        """Whether only one side has room."""
        return self.width() < NARROW

    @property
    def second(self) -> bool:
        """Whether the results are the side that was wanted last."""
        return self._second

    def want(self, second: bool) -> None:
        """Bring the results into view, or the plan."""
        self._second = second
        self._lay_out()

    def resizeEvent(self, event: QResizeEvent) -> None:
        focus = QApplication.focusWidget()
        if focus is not None and event.oldSize().width() >= NARROW > self.width():
            self._second = self.results.isAncestorOf(focus) or (self._second and not self.plan.isAncestorOf(focus))
        self._lay_out()
        super().resizeEvent(event)

    def _lay_out(self) -> None:
        if self.narrow:
            self.plan.setMinimumWidth(1)
            self.plan.setMaximumWidth(NARROW)
        else:
            self.plan.setFixedWidth(theme.RAIL)
        self.plan.setVisible(not self.narrow or not self._second)
        self.results.setVisible(not self.narrow or self._second)
        self.turned.emit(self.narrow, self._second)
