"""The two sides of the Prep page, the plan and what follows from it: both, or one where only one has room."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QScrollArea, QWidget

from studiotimer.window.flow import NARROW

PLAN_WIDTH, PLAN_NARROW, ROOMY = 436, 386, 1150
EDGE = 4


class Sides(QWidget):
    """Two areas side by side. `turned` tells whether only one has room, and whether it is the second."""

    turned = Signal(bool, bool)

    def __init__(self, results: QWidget) -> None:
        super().__init__()
        self.plan, self.results = Side("the plan"), Side("what follows from it")
        self.results.setWidget(results)
        self._second = False
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(26)
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
            self.plan.setFixedWidth(PLAN_WIDTH if self.width() >= ROOMY else PLAN_NARROW)
        for side in (self.plan, self.results):
            side.show_whole(self.narrow)
        self.plan.setVisible(not self.narrow or not self._second)
        self.results.setVisible(not self.narrow or self._second)
        self.turned.emit(self.narrow, self._second)


class Side(QScrollArea):
    """One side: scrolls by itself, or is as high as what it holds, where the whole page scrolls."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._whole = False
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(name)

    def show_whole(self, whole: bool) -> None:
        """Be as high as what it holds, or scroll."""
        if whole != self._whole:
            self._whole = whole
            bar = Qt.ScrollBarPolicy.ScrollBarAlwaysOff if whole else Qt.ScrollBarPolicy.ScrollBarAsNeeded
            self.setVerticalScrollBarPolicy(bar)
            self.updateGeometry()

    def minimumSizeHint(self) -> QSize:
        least, inside = super().minimumSizeHint(), self.widget()
        if not self._whole or inside is None:
            return least
        height = inside.heightForWidth(self.width()) if inside.hasHeightForWidth() else inside.sizeHint().height()
        return QSize(least.width(), max(height, inside.minimumSizeHint().height(), inside.minimumHeight()) + EDGE)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if self._whole and watched is self.widget() and event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)
